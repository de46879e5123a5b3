//! Records that a shop can trust: two windows, a full storage, a text changed by hand, many records, and a file out and in.

use crate::fixtures::{Bench, Failed, Page, exported};
use serde_json::{Value, json};

const NAME: &str = "#instrument [data-field='name']";
const SCALE: &str = "[data-field='scale_mm']";

/// A page with one instrument of the person's own.
async fn with_one(page: &Page, name: &str) -> Result<(), Failed> {
    page.press("Add an instrument").await?;
    page.press_in("form.add", "Add").await?;
    page.type_into(NAME, name).await?;
    page.until_text(".bench-row.open .bench-name", |t| t == name)
        .await?;
    Ok(())
}

/// The key and the stored text of the first instrument of the person's own.
async fn stored(page: &Page) -> Result<(String, String), Failed> {
    let found = page
        .run(
            "const key = Object.keys(localStorage).find(k => k.startsWith('strungwell.instrument.')); \
             return [key, localStorage.getItem(key)]",
            vec![],
        )
        .await?;
    Ok(serde_json::from_value(found)?)
}

/// Types into a field of a window that need not be in front.
async fn put(page: &Page, css: &str, text: &str) -> Result<(), Failed> {
    page.find(css).await?;
    page.run(
        "const field = document.querySelector(arguments[0]); field.value = arguments[1]; \
         field.dispatchEvent(new Event('input', { bubbles: true }))",
        vec![json!(css), json!(text)],
    )
    .await?;
    Ok(())
}

async fn until_value(page: &Page, css: &str, text: &str) -> Result<(), Failed> {
    for _ in 0..100 {
        if page.value(css).await? == text {
            return Ok(());
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    Err(format!("{css} reads {}", page.value(css).await?).into())
}

async fn store(page: &Page, key: &str, text: &str) -> Result<(), Failed> {
    page.run(
        "localStorage.setItem(arguments[0], arguments[1])",
        vec![json!(key), json!(text)],
    )
    .await?;
    Ok(())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn two_windows_on_one_record_overwrite_nothing_unseen() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    with_one(&page, "Lark").await?;
    let told = "[data-notice='told']";

    // The second window is told, and so is the first.
    let [first, second] = page.another_window(bench.address()).await?;
    page.until_text(told, |t| t.contains("open in another window"))
        .await?;
    put(&page, SCALE, "400").await?;
    page.switch(&first).await?;
    page.until_text(told, |t| t.contains("Another window changed"))
        .await?;
    until_value(&page, SCALE, "400.00").await?;
    put(&page, SCALE, "410").await?;
    page.switch(&second).await?;
    page.until_text(told, |t| t.contains("Another window changed"))
        .await?;
    until_value(&page, SCALE, "410.00").await?;

    // The other window's text arrives unseen, between two strokes of a key.
    page.switch(&first).await?;
    let (key, text) = stored(&page).await?;
    put(&page, NAME, "Wren").await?;
    store(&page, &key, &text).await?;
    put(&page, SCALE, "420").await?;
    page.until_text(".notice.bad", |t| t.contains("set aside whole"))
        .await?;
    assert_eq!(page.value(NAME).await?, "Lark");
    let (_, now) = stored(&page).await?;
    assert_eq!(now, text, "the other window's text was written over");
    page.press("Put it beside the other").await?;
    page.until_count(".bench-row", 2).await?;
    let names = page.texts(".bench-row .bench-name").await?;
    assert!(
        names.contains(&"Lark".to_owned()) && names.contains(&"Wren (copy)".to_owned()),
        "{names:?}"
    );
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_full_storage_keeps_what_is_typed_and_says_so() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    with_one(&page, "Lark").await?;
    page.run(
        "let n = 0; for (let size = 1 << 22; size >= 1; size >>= 1) \
         while (true) { try { localStorage.setItem('filler' + n, 'x'.repeat(size)); n++; } catch { break; } }",
        vec![],
    )
    .await?;
    let long = "A name that is much longer than the one that stood there before it";
    page.type_into(NAME, long).await?;
    page.until_text(".notice.bad", |t| t.contains("is full"))
        .await?;
    assert_eq!(page.value(NAME).await?, long);
    assert!(exported(&page).await?.contains(long));
    // What was kept before stands whole in the storage.
    assert!(stored(&page).await?.1.contains("strungwell-record 1 "));
    page.run(
        "Object.keys(localStorage).filter(k => k.startsWith('filler')).forEach(k => localStorage.removeItem(k))",
        vec![],
    )
    .await?;
    page.type_into(SCALE, "385").await?;
    page.until_count(".notice.bad", 0).await?;
    page.reload().await?;
    page.find(NAME).await?;
    assert_eq!(
        (
            page.value(NAME).await?.as_str(),
            page.value(SCALE).await?.as_str()
        ),
        (long, "385.00")
    );
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_text_changed_by_hand_is_set_aside_and_the_rest_opens() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    with_one(&page, "Lark").await?;
    let (key, text) = stored(&page).await?;
    with_one(&page, "Wren")
        .await
        .or_else(|_| Ok::<(), Failed>(()))?;
    let broken = text.replace("Lark", "Dark");
    assert_ne!(broken, text);
    store(&page, &key, &broken).await?;
    page.reload().await?;
    let why = page
        .until_text("[data-aside] p", |t| t.contains("checksum"))
        .await?;
    assert!(why.contains("Dark"), "{why}");
    assert_eq!(page.texts(".bench-row .bench-name").await?, ["Wren"]);
    let left = page
        .run(
            "return localStorage.getItem(arguments[0])",
            vec![json!(key)],
        )
        .await?;
    assert_eq!(left, broken, "it stays as it is");
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_demo_shop_survives_a_file_out_a_wipe_and_the_file_in() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser
        .open(&format!("{}/#/demo/", bench.address()))
        .await?;
    page.find(".bench-row").await?;
    let before = exported(&page).await?;
    let folder = std::env::temp_dir().join(format!("strungwell-out-{}", std::process::id()));
    std::fs::create_dir_all(&folder)?;
    let file = folder.join("shop.json");
    std::fs::write(&file, &before)?;

    page.run("localStorage.clear(); location.hash = '#/'", vec![])
        .await?;
    page.reload().await?;
    page.press("Copies of your records").await?;
    page.give_file("[data-field='import']", &file).await?;
    let counts = page
        .until_text("[data-figure='import-counts']", |t| t.contains("added"))
        .await?;
    assert!(counts.contains("0 in conflict"), "{counts}");
    assert_eq!(
        page.all(".bench-row").await?.len(),
        0,
        "nothing is written before it is agreed to"
    );
    page.press("Take all of it in").await?;
    page.find(".bench-row").await?;
    let records = |text: &str| -> Result<String, Failed> {
        let shop: Value = serde_json::from_str(text)?;
        Ok(text.replace(shop["exported"].as_str().unwrap_or("-"), ""))
    };
    let same = records(&exported(&page).await?)? == records(&before)?;
    assert!(same, "the records are not the same to the byte");

    // The same file once more changes nothing.
    page.give_file("[data-field='import']", &file).await?;
    let counts = page
        .until_text("[data-figure='import-counts']", |t| t.contains("added"))
        .await?;
    assert!(
        counts.starts_with("0 added, 0 changed, 0 in conflict"),
        "{counts}"
    );
    page.press("Take all of it in").await?;
    page.until_text("[data-said='import']", |t| {
        t.contains("Nothing had to be changed")
    })
    .await?;

    // A hostile one is refused, and its text is text.
    let mut hostile: Value = serde_json::from_str(&before)?;
    let owners = hostile["owners"].as_array_mut().ok_or("no owners")?;
    owners.push(json!({ "id": "<b>", "name": "<img src=x onerror=alert(1)>" }));
    std::fs::write(&file, hostile.to_string())?;
    page.give_file("[data-field='import']", &file).await?;
    page.until_text(".import-list", |t| t.contains("<img src=x"))
        .await?;
    assert_eq!(page.all(".import-list img").await?.len(), 0);
    std::fs::write(&file, "[".repeat(100_000))?;
    page.give_file("[data-field='import']", &file).await?;
    page.until_text("[data-said='import']", |t| t.contains("inside one another"))
        .await?;
    std::fs::remove_dir_all(&folder)?;
    browser.close().await
}

/// When the largest part of the page was painted after a reload, in milliseconds: the best of three.
async fn painted(page: &Page) -> Result<f64, Failed> {
    let mut best = f64::INFINITY;
    for _ in 0..3 {
        page.reload().await?;
        page.find("#strings").await?;
        let painted = page
            .run(
                "return new Promise(done => new PerformanceObserver(list => done(list.getEntries().at(-1).startTime)) \
                 .observe({ type: 'largest-contentful-paint', buffered: true }))",
                vec![],
            )
            .await?;
        best = best.min(painted.as_f64().unwrap_or(f64::INFINITY));
    }
    Ok(best)
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn two_thousand_instruments_open_within_a_second() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser
        .open(&format!("{}/#/demo/", bench.address()))
        .await?;
    page.find(".bench-row").await?;
    let alone = painted(&page).await?;
    // The demo shop's longest record, two thousand times under other keys: only the open one is read whole.
    let made = page
        .run(
            "const all = Object.keys(localStorage).filter(k => k.startsWith('strungwell-demo.instrument.')); \
             all.sort((a, b) => localStorage.getItem(b).length - localStorage.getItem(a).length); \
             const key = all[0], text = localStorage.getItem(key); \
             localStorage.setItem(key.replace('-demo', ''), text); \
             localStorage.setItem('strungwell.last', key.split('.').slice(2).join('.')); \
             for (let n = 0; n < 1999; n++) localStorage.setItem('strungwell.instrument.n' + n, text); \
             location.hash = '#/'; return text.length",
            vec![],
        )
        .await?;
    let best = painted(&page).await?;
    println!(
        "2000 records of {made} letters: painted after {best} ms; the demo shop after {alone} ms"
    );
    // On a machine that is busy with something else the page alone takes longer; then what the records add is looked at.
    assert!(
        best < 1000.0 || best - alone < 400.0,
        "{best} ms, {alone} ms without"
    );
    assert!(page.text(".bench").await?.contains("And 1800 more"));
    browser.close().await
}
