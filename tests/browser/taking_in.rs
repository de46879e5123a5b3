//! A workshop file out and in: to the byte, twice, hostile, and cut off in the middle.

use crate::fixtures::{Bench, Failed, File, Page, exported, handed};
use serde_json::{Value, json};
use std::collections::BTreeMap;

const FIELD: &str = "[data-field='import']";
const SAID: &str = "[data-said='import']";

/// The stored records of a shop and their order, byte by byte.
async fn records(page: &Page, shop: &str) -> Result<BTreeMap<String, String>, Failed> {
    let mut kept = page.kept(shop).await?;
    kept.retain(|key, _| {
        ["instrument.", "rack.", "owner.", "order."]
            .iter()
            .any(|kind| key.starts_with(kind))
    });
    Ok(kept)
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
    let texts = records(&page, "strungwell-demo.").await?;
    assert!(texts.len() > 60, "{}", texts.len());
    let file = File::new("out")?;
    std::fs::write(&file.0, &before)?;

    page.run("localStorage.clear(); location.hash = '#/'", vec![])
        .await?;
    page.reload().await?;
    page.press("Copies of your records").await?;
    page.give_file(FIELD, &file.0).await?;
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
    page.until_text(SAID, |t| t.contains("records were written"))
        .await?;
    let same = |a: &str, b: &str| -> Result<bool, Failed> {
        let record = |text: &str| -> Result<String, Failed> {
            let shop: Value = serde_json::from_str(text)?;
            Ok(text.replace(shop["exported"].as_str().unwrap_or("-"), ""))
        };
        Ok(record(a)? == record(b)?)
    };
    assert!(
        same(&exported(&page).await?, &before)?,
        "the file's records are not the same to the byte"
    );
    assert!(
        records(&page, "strungwell.").await? == texts,
        "the stored records are not the same to the byte"
    );

    // The same file once more changes nothing.
    page.give_file(FIELD, &file.0).await?;
    let counts = page
        .until_text("[data-figure='import-counts']", |t| t.contains("added"))
        .await?;
    assert!(
        counts.starts_with("0 added, 0 changed, 0 in conflict"),
        "{counts}"
    );
    page.press("Take all of it in").await?;
    page.until_text(SAID, |t| t.contains("Nothing had to be changed"))
        .await?;
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_record_in_conflict_is_what_was_chosen_for_it() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.with_one("Lark").await?;
    page.with_one("Wren").await?;
    page.press("Copies of your records").await?;
    // The other laptop changed both at the same moment: nobody can tell which is newer.
    let whole = exported(&page).await?;
    let theirs = whole.replace("\"Lark\"", "\"Lark of the file\"");
    let theirs = theirs.replace("\"Wren\"", "\"Wren of the file\"");
    let file = File::new("conflict")?;
    std::fs::write(&file.0, theirs)?;
    page.give_file(FIELD, &file.0).await?;
    page.until_text("[data-figure='import-counts']", |t| {
        t.contains("2 in conflict")
    })
    .await?;
    let said = page.texts(".import-list li").await?.join(" | ");
    assert!(said.contains("Lark") && said.contains("Wren"), "{said}");
    let choose = "[...document.querySelectorAll('.import-list li')].filter(l => l.textContent.includes(arguments[0])).forEach(l => { \
        const s = l.querySelector('select'); s.value = arguments[1]; s.dispatchEvent(new Event('change', { bubbles: true })) })";
    for (name, word) in [("Lark", "theirs"), ("Wren", "mine")] {
        page.run(choose, vec![json!(name), json!(word)]).await?;
    }
    page.press("Take all of it in").await?;
    page.until_text(SAID, |t| t.contains("written")).await?;
    let mut names = page.texts(".bench-row .bench-name").await?;
    names.sort();
    assert_eq!(names, ["Lark of the file", "Wren"]);

    // One instrument goes out alone, and its file is one as well.
    page.press_in("#bench", "Wren").await?;
    page.until_text(".sheet h1", |t| t == "Wren").await?;
    let one: Value = serde_json::from_str(&handed(&page, "export-one").await?)?;
    let out: Vec<&Value> = one["instruments"]
        .as_array()
        .into_iter()
        .flatten()
        .collect();
    assert_eq!(out.len(), 1);
    assert_eq!(out[0]["name"], "Wren");
    browser.close().await
}

/// What a file does, and what the page must say of it.
const CORPUS: [(&str, &str); 8] = [
    (
        "cut-short.json",
        "the file: line 22, column 15 reads the end of the text, so the file is cut short",
    ),
    (
        "deep.json",
        "the file: line 1, column 128 reads more than 127 records or lists inside one another",
    ),
    (
        "twice.json",
        "the field \"version\" for the second time in one record",
    ),
    (
        "same-id-twice.json",
        "instrument \"One string\": id reads \"inst-1\"; an id that no other instrument has is accepted",
    ),
    (
        "newer-version.json",
        "the file: version reads 2, which a newer version of this program wrote",
    ),
    (
        "wrong-format.json",
        "the file: format reads \"shopping-list\"",
    ),
    (
        "scale-of-zero.json",
        "instrument \"One string\": scale_mm reads 0; a scale length in mm from 50 to 2000 is accepted",
    ),
    (
        "diameter-with-letters.json",
        "rack string \"plain nylon, 0.81 mm\": diameter_mm reads \"0.8x\"",
    ),
];

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_hostile_file_is_told_by_record_and_field_and_changes_nothing() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.with_one("Lark").await?;
    page.press("Copies of your records").await?;
    page.run("window.ran = 0; window.alert = () => window.ran++", vec![])
        .await?;
    let before = page.kept("strungwell").await?;
    let folder = strungwell_xtask::run::root().join("tests/corpus/workshop");
    for (name, words) in CORPUS {
        page.give_file(FIELD, &folder.join(name)).await?;
        let said = page.until_text(SAID, |t| t.contains(words)).await;
        let said = said.map_err(|why| format!("{name}: {why}"))?;
        assert!(said.starts_with("Nothing was taken in: "), "{name}: {said}");
    }
    // A text in another encoding would come in with its letters lost.
    let latin = File::new("latin")?;
    std::fs::write(&latin.0, b"{\"name\": \"M\xfcller\"}")?;
    page.give_file(FIELD, &latin.0).await?;
    page.until_text(SAID, |t| {
        t.contains("the file: byte 12 reads something that is not text in UTF-8")
    })
    .await?;
    // Larger than any shop: not read at all, and the same file can be picked again.
    let huge = File::new("huge")?;
    std::fs::File::create(&huge.0)?.set_len(64 * 1024 * 1024 + 1)?;
    page.give_file(FIELD, &huge.0).await?;
    page.until_text(SAID, |t| t.contains("larger than")).await?;
    page.until(&format!(
        "return document.querySelector(\"{FIELD}\").value === ''"
    ))
    .await?;
    // Markup in every name is text in the list and on the sheet, and no script of it runs.
    let markup = "<img src=x onerror=alert(1)><script>alert(2)</script>";
    let shop = json!({
        "format": "strungwell-workshop", "version": 1, "exported": "2026-01-31T10:00:00Z",
        "owners": [{ "id": "<b>", "name": markup }],
        "instruments": [{ "id": "\"'><i>", "name": markup, "owner": "<b>", "scale_mm": 381.0, "frets": 12,
            "maker": markup, "note": markup, "visits": [{ "id": "v", "work": markup, "said": markup }],
            "courses": [{ "note": "A4", "strings": [{ "make": { "plain": { "material": "nylon", "diameter_mm": 0.7 } } }] }] }]
    });
    let file = File::new("markup")?;
    std::fs::write(&file.0, shop.to_string())?;
    page.give_file(FIELD, &file.0).await?;
    page.until_text(".import-list", |t| t.contains(markup))
        .await?;
    assert_eq!(page.kept("strungwell").await?, before, "written unasked");
    page.press("Take all of it in").await?;
    page.press_in("#bench", "<img").await?;
    page.until_text(".sheet h1", |t| t.contains("<img src=x"))
        .await?;
    page.run(
        "for (const s of document.querySelectorAll('.sheet-section')) s.scrollIntoView()",
        vec![],
    )
    .await?;
    page.until_text("#hand-over .handout", |t| t.contains("<script>"))
        .await?;
    let made = "main img, main script, main b, .bench img, .bench script, .import img";
    assert_eq!(page.all(made).await?.len(), 0);
    assert_eq!(page.run("return window.ran", vec![]).await?, 0);
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_page_that_dies_while_it_takes_a_file_in_leaves_all_as_it_was() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser
        .open(&format!("{}/#/demo/", bench.address()))
        .await?;
    page.find(".bench-row").await?;
    let mut shop: Value = serde_json::from_str(&exported(&page).await?)?;
    // The same shop with every name changed, and later: every record is written over.
    for kind in ["instruments", "rack"] {
        for record in shop[kind].as_array_mut().ok_or("no records")? {
            record["name"] = json!("changed");
            record["changed"] = json!("2090-01-01T00:00:00Z");
        }
    }
    let file = File::new("half")?;
    std::fs::write(&file.0, shop.to_string())?;
    let before = records(&page, "strungwell-demo.").await?;
    page.press("Copies of your records").await?;
    page.give_file(FIELD, &file.0).await?;
    page.until_text("[data-figure='import-counts']", |t| t.contains("changed"))
        .await?;
    // The machine stops after twenty writes.
    page.run(
        "let left = 20; const put = Storage.prototype.setItem; \
         Storage.prototype.setItem = function (key, text) { if (left-- > 0) put.call(this, key, text) }; \
         Storage.prototype.removeItem = () => {}",
        vec![],
    )
    .await?;
    page.press("Take all of it in").await?;
    page.until_text(SAID, |t| t.contains("written")).await?;
    let half = records(&page, "strungwell-demo.").await?;
    let changed = half
        .iter()
        .filter(|(key, text)| before.get(*key) != Some(text));
    assert_eq!(changed.count(), 19, "one of the twenty is the journal");
    // It is switched on again a minute later; until then another window could still be at work.
    let journal = "strungwell-demo.journal";
    let text = page.kept(journal).await?.remove("").ok_or("no journal")?;
    let (begun, rest) = text[1..].split_once(',').ok_or("no moment")?;
    let earlier = begun.parse::<f64>()? - 60_000.0;
    page.store(journal, "").await.ok();
    page.run(
        "const frame = document.createElement('iframe'); document.body.append(frame); \
         frame.contentWindow.localStorage.setItem(arguments[0], arguments[1])",
        vec![json!(journal), json!(format!("[{earlier},{rest}"))],
    )
    .await?;
    page.reload().await?;
    page.until_text("[data-notice='told']", |t| {
        t.contains("nothing is half done")
    })
    .await?;
    assert!(
        records(&page, "strungwell-demo.").await? == before,
        "something is half done"
    );
    assert_eq!(page.kept(journal).await?.len(), 0);
    browser.close().await
}
