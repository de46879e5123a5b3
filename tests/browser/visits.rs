//! Visits from intake to hand over, finding, and that what is removed comes back.

use crate::fixtures::{Bench, Failed, exported, stored};
use serde_json::Value;

/// How many of each rack string are on hand.
fn on_hand(shop: &Value) -> Vec<Value> {
    let rack = shop["rack"].as_array().into_iter().flatten();
    rack.map(|string| string["on_hand"].clone()).collect()
}

/// The instruments of a workshop file without the moments at which they were changed.
fn unstamped(file: &str) -> Result<Value, Failed> {
    let mut shop: Value = serde_json::from_str(file)?;
    for instrument in shop["instruments"].as_array_mut().ok_or("no instruments")? {
        instrument["changed"] = Value::Null;
        for visit in instrument["visits"].as_array_mut().into_iter().flatten() {
            visit["changed"] = Value::Null;
        }
    }
    Ok(shop["instruments"].take())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_visit_goes_from_as_found_to_as_left_and_is_found_by_its_words() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 9").await?;
    let id = page.run("return location.hash.split('/').pop()", vec![]);
    let id = id.await?.as_str().unwrap_or_default().to_owned();
    let visits = async || -> Result<Value, Failed> {
        let shop = stored(&page, Some(&id)).await?;
        Ok(shop["instruments"][0]["visits"].clone())
    };
    // Whatever visit is open is closed first.
    while !page.all("[data-deed='close-visit']").await?.is_empty() {
        page.press_in("#visits", "Close it").await?;
        page.until_count("[data-deed='close-visit']", 0).await?;
    }
    let before = visits().await?.as_array().map_or(0, Vec::len);

    let hint = page.text("#visits > .hint").await?;
    assert!(hint.contains("Photographs are not kept here"), "{hint}");
    page.press_in("#visits", "Begin a visit").await?;
    page.find(".visit.open").await?;
    let typed = [
        ("temp_c", "21"),
        ("rh_percent", "48"),
        ("work", "Zitherbug shims under the saddle"),
        ("parts", "bone blank"),
        ("said", "rattles when it is cold"),
        ("waits_for", "a bone blank"),
    ];
    for (field, text) in typed {
        page.type_into(&format!(".visit.open [data-field^='visit_{field}']"), text)
            .await?;
    }
    page.press_in(".in-shop", "In the shop").await?;
    let waits = |t: &str| {
        let mut lines = t.lines().filter(|line| line.starts_with("Concert 9"));
        lines.any(|line| line.contains(": waits since ") && line.ends_with(" for a bone blank"))
    };
    page.until_text(".in-shop", waits).await?;
    let gap = "[data-field='course-1-gap_12_mm']";
    let found: f64 = page.value(gap).await?.parse()?;
    page.type_into(gap, &format!("{:.2}", found - 0.4)).await?;
    page.until_text(".visit.open .visit-said", |t| t.contains("(0.40 mm less)"))
        .await?;
    page.press_in(".visit.open", "Close it").await?;
    page.until_text(".visit .visit-state", |t| t == "Left the bench")
        .await?;
    page.until_text(".in-shop", |t| !t.contains("Concert 9"))
        .await?;
    let all = visits().await?;
    let visit = &all[before];
    for (field, text) in &typed[2..5] {
        assert_eq!(visit[*field], *text);
    }
    assert_eq!(
        (&visit["temp_c"], &visit["waits_for"]),
        (&Value::from(21.0), &Value::from(""))
    );
    assert_ne!(visit["as_found"], visit["as_left"]);

    // The next time: what changed since is drawn, and said.
    page.type_into(gap, &format!("{:.2}", found - 0.1)).await?;
    page.press_in("#visits", "Begin a visit").await?;
    let since = ".visit.open [data-since]";
    page.press_in(since, "What changed since").await?;
    page.until_text(since, |t| {
        t.contains("(0.30 mm more)") && t.contains("Ring: as left the time before")
    })
    .await?;
    page.until_count(&format!("{since} svg"), 1).await?;

    // Removed and brought back, a visit is the same to the letter; so is the instrument itself.
    let whole = exported(&page).await?;
    page.press_in(".visit.open", "Remove this visit").await?;
    page.until_count(".visit.open", 0).await?;
    page.press_in(".slip-place", "Undo").await?;
    page.until_count(".visit.open", 1).await?;
    page.press_in(".bench-row.open", "Remove").await?;
    page.until_text(".slip-place", |t| t.contains("Removed Concert 9"))
        .await?;
    page.press_in(".slip-place", "Undo").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    let back = exported(&page).await?;
    assert_eq!(unstamped(&back)?, unstamped(&whole)?);

    // Found by words of the work, and by nothing else.
    page.put("#bench-search", "ZITHERBUG saddle").await?;
    page.until_count(".bench-row", 1).await?;
    page.until_text(".bench-row .bench-name", |t| t.starts_with("Concert 9"))
        .await?;
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_string_put_on_comes_off_again_with_its_count() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 9").await?;
    let before = stored(&page, None).await?;
    page.press_in("#strings .course-row[data-course='1']", "Choose a string")
        .await?;
    page.find("[data-list='usable'] .candidate").await?;
    page.run(
        "const on = document.querySelector(\"#strings .course-row[data-course='1'] .string-name\").textContent; \
         const from = [...document.querySelectorAll('.candidate')].find(c => c.dataset.name !== on \
         && /rack, [1-9]/.test(c.querySelector('.origin').textContent)); from.querySelectorAll('button')[1].click()",
        vec![],
    )
    .await?;
    page.until_text(".slip-place", |t| t.contains("on course 1"))
        .await?;
    let after = stored(&page, None).await?;
    assert_ne!(
        on_hand(&after),
        on_hand(&before),
        "one is taken from the rack"
    );
    page.press_in(".slip-place", "Undo").await?;
    page.until_count(".slip-place .slip", 0).await?;
    let back = stored(&page, None).await?;
    assert_eq!(on_hand(&back), on_hand(&before));
    let courses = |shop: &Value| {
        let all = shop["instruments"].as_array().into_iter().flatten();
        all.map(|i| i["courses"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(courses(&back), courses(&before));
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn the_bench_says_what_is_due_in_the_whole_shop() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.with_one("Lark").await?;
    page.press_in(".due", "What is due").await?;
    page.until_text(".due ul", |t| t == "Nothing.").await?;
    page.press_in(".due", "What is due").await?;

    page.type_into("[data-field='playing_machine']", "Rocker")
        .await?;
    page.press_in("#playing-in", "Start it now").await?;
    page.with_one("Wren").await?;
    page.settle().await?;
    page.press_in(".bench-row:first-child", "Lark").await?;
    page.until_text(".sheet h1", |t| t == "Lark").await?;
    page.press_in(".due", "What is due").await?;
    let said = page
        .until_text(".due ul", |t| t.lines().count() == 3)
        .await?;
    let said: Vec<&str> = said.lines().collect();
    // A million strokes take eleven days and a half; the strings are tuned before.
    assert!(
        said[0].starts_with("Wren: tune the new strings in "),
        "{said:?}"
    );
    assert!(said[1].starts_with("Lark: played in in "), "{said:?}");
    assert!(said[2].starts_with("Rocker: free at "), "{said:?}");
    let at = |line: &str| line.rsplit(" at ").next().map(str::to_owned);
    assert_eq!(at(said[1]), at(said[2]));
    page.press_in(".due", "Wren").await?;
    page.until_text(".sheet h1", |t| t == "Wren").await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
