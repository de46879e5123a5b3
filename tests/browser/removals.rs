//! Whatever a button of the page takes away comes back: every one of them is found, pressed and taken back.

use crate::fixtures::{Bench, Failed, File, Page, exported};
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../demo-data/demo-shop.json");

/// The demo shop with an instrument in it that has all that can be removed from one.
fn full() -> Result<Value, Failed> {
    let mut shop: Value = serde_json::from_str(DEMO)?;
    let instruments = shop["instruments"].as_array_mut().ok_or("no instruments")?;
    let all = instruments.iter_mut();
    let mut named = all.filter(|i| i["id"] == "inst-concert-12");
    let concert = named.next().ok_or("no such instrument")?;
    concert["players"] = json!([{ "id": "soft", "name": "soft fingers", "force_n": 1.0 }]);
    concert["plan"] = json!({ "player": "soft", "rocking": [{ "fret": 16, "gap_mm": 0.1 }],
        "ticks": [{ "step": "x", "what": "Filed a slot", "date": "2026-01-31", "measured": true }] });
    concert["warm_readings"] = json!([{ "course": 1, "temp_c": 18.0, "cents": -1.0 }]);
    let visit = concert["visits"].as_array_mut().and_then(|v| v.last_mut());
    let visit = visit.ok_or("no visit")?;
    visit["as_left"] = Value::Null;
    visit["readings"] =
        json!([{ "course": 1, "fret": 0, "cents": 1.0 }, { "course": 2, "fret": 5, "cents": 7.0 }]);
    Ok(shop)
}

/// The records of a file without the moments at which they were changed.
fn unstamped(file: &str) -> Result<Value, Failed> {
    fn strip(value: &mut Value) {
        match value {
            Value::Object(fields) => {
                fields.remove("changed");
                fields.remove("exported");
                fields.values_mut().for_each(strip);
            }
            Value::Array(all) => all.iter_mut().for_each(strip),
            _ => {}
        }
    }
    let mut shop: Value = serde_json::from_str(file)?;
    strip(&mut shop);
    Ok(shop)
}

/// Lays all of a place open, and gives the words of its buttons that take something away, each once.
async fn removing(page: &Page, place: &str) -> Result<Vec<String>, Failed> {
    let found = page
        .run(
            "for (const s of document.querySelectorAll(arguments[0] + ' section')) s.scrollIntoView(); \
             for (const d of document.querySelectorAll(arguments[0] + ' details')) d.open = true; \
             const words = b => b.textContent.replace(/\\s+/g, ' ').trim(); \
             return [...new Set([...document.querySelectorAll(arguments[0] + ' button')].map(words) \
             .filter(w => /^(Remove|Put this list away|Clear|Delete|Forget|Empty)/.test(w)))]",
            vec![json!(place)],
        )
        .await?;
    Ok(serde_json::from_value(found)?)
}

/// Presses the first button with these words in a place, sees that something is gone, and takes it back.
async fn there_and_back(page: &Page, place: &str, words: &str) -> Result<(), Failed> {
    let before = unstamped(&exported(page).await?)?;
    let press = "const words = b => b.textContent.replace(/\\s+/g, ' ').trim(); \
        [...document.querySelectorAll(arguments[0] + ' button')].find(b => words(b) === arguments[1]).click()";
    page.run(press, vec![json!(place), json!(words)]).await?;
    let slip = page
        .until_text(".slip-place .slip", |t| !t.is_empty())
        .await;
    slip.map_err(|why| format!("\"{words}\" offers no undo: {why}"))?;
    assert_ne!(
        unstamped(&exported(page).await?)?,
        before,
        "\"{words}\" takes nothing away"
    );
    page.press_in(".slip-place", "Undo").await?;
    page.until_count(".slip-place .slip", 0).await?;
    assert_eq!(unstamped(&exported(page).await?)?, before, "\"{words}\"");
    Ok(())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn whatever_a_button_removes_comes_back() -> Result<(), Failed> {
    let file = File::new("removals")?;
    std::fs::write(&file.0, full()?.to_string())?;
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Copies of your records").await?;
    page.give_file("[data-field='import']", &file.0).await?;
    page.press("Take all of it in").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;

    // What stands far from the eye comes when it is near.
    let mut words = removing(&page, "main").await?;
    for id in ["plan", "loads", "playing-in", "visits"] {
        page.find(&format!("#{id} h2")).await?;
        page.run(
            &format!("document.querySelector('#{id}').scrollIntoView()"),
            vec![],
        )
        .await?;
        page.until(&format!(
            "return [...document.querySelectorAll('#{id} button')].some(b => /^(Remove|Put this list away)/.test(b.textContent.trim()))"
        ))
        .await
        .map_err(|why| format!("{id} has nothing to remove: {why}"))?;
        words = removing(&page, "main").await?;
    }
    let expected = [
        "Remove course 1",
        "Remove the reading of C4 fret 5",
        "Remove the chosen player",
        "Remove",
        "Remove them",
        "Put this list away",
        "Remove this visit",
    ];
    for one in expected {
        assert!(words.iter().any(|w| w == one), "no {one} among {words:?}");
    }
    for word in &words {
        there_and_back(&page, "main", word).await?;
    }
    // Two lists have a plain Remove: the rocker's readings and the looks at new strings.
    for place in ["#plan", "#playing-in"] {
        there_and_back(&page, place, "Remove").await?;
    }
    there_and_back(
        &page,
        ".bench-row.open",
        "Remove Concert 12, spruce and walnut",
    )
    .await?;

    // The rack: a string that no instrument carries, and a wrap of it.
    page.run("location.hash = '#/rack'", vec![]).await?;
    page.press_in(".rack-row", "wound, nylon core 0.48").await?;
    page.find(".rack-editor").await?;
    let words = removing(&page, ".rack-editor").await?;
    for one in ["Remove wrap 1", "Remove wrap 2"] {
        assert!(words.iter().any(|w| w == one), "no {one} among {words:?}");
    }
    for word in &words {
        there_and_back(&page, ".rack-editor", word).await?;
        if page.all(".rack-editor").await?.is_empty() {
            page.press_in(".rack-row", "wound, nylon core 0.48").await?;
        }
        page.find(".rack-editor").await?;
    }
    browser.close().await
}
