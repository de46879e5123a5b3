//! The jobs of a shop, each walked from its beginning to its end as the person at the bench would.

use crate::fixtures::{Bench, Failed, Page, stored, terminal};
use serde_json::{Value, json};

/// Brings a section before the eye.
async fn go_to(page: &Page, section: &str) -> Result<(), Failed> {
    page.press_in(".index", section).await
}

/// A new instrument of a family, with a name.
async fn begin(page: &Page, family: &str, name: &str) -> Result<(), Failed> {
    page.press("Add an instrument").await?;
    page.find("[data-field='new-family']")
        .await?
        .select_by_value(family)
        .await?;
    page.press_in("form.add", "Add").await?;
    page.type_into("#instrument [data-field='name']", name)
        .await?;
    page.until_text(".sheet h1", |t| t == name).await?;
    Ok(())
}

/// The heights of every course, as a ruler and feelers give them.
async fn measure(page: &Page, courses: usize, first: &str, twelfth: &str) -> Result<(), Failed> {
    go_to(page, "Heights").await?;
    for course in 1..=courses {
        page.find(&format!("#heights .note-button[data-course='{course}']"))
            .await?
            .click()
            .await?;
        page.type_into(&format!("[data-field='course-{course}-gap_1_mm']"), first)
            .await?;
        page.type_into(
            &format!("[data-field='course-{course}-gap_12_mm']"),
            twelfth,
        )
        .await?;
    }
    Ok(())
}

/// A figure's first number.
fn number(text: &str) -> Result<f64, Failed> {
    let digits: String = text
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .collect();
    digits
        .parse()
        .map_err(|_| format!("\"{text}\" has no number").into())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_customers_instrument_comes_in_is_worked_on_and_goes_home() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    begin(&page, "ukulele-soprano", "Soprano with a split bridge").await?;
    page.find("[data-field='owner']")
        .await?
        .select_by_value("+")
        .await?;
    page.type_into("[data-field='owner-name']", "Ines Farrow")
        .await?;
    page.type_into("[data-field='serial']", "S-118").await?;
    measure(&page, 4, "0.6", "3.4").await?;

    // Intake: as found is kept before anything is touched.
    go_to(&page, "Visits").await?;
    page.press_in("#visits", "Begin a visit").await?;
    page.type_into("[data-field^='visit_said']", "Hard to play high up.")
        .await?;
    page.type_into("[data-field^='visit_waits_for']", "a new saddle blank")
        .await?;
    page.until_text(".in-shop summary", |t| t.contains("In the shop: 1"))
        .await?;
    page.press("In the shop").await?;
    page.until_text(".in-shop ul", |t| t.contains("a new saddle blank"))
        .await?;

    // The plan says what to do, and the saddle's step is done.
    go_to(&page, "Plan").await?;
    let found = page
        .until_text("#plan [data-figure='found_finger']", |t| t.contains('N'))
        .await?;
    page.until_count("#plan .step[data-step='saddle']", 1)
        .await?;
    let mut before = Vec::new();
    loop {
        let step = page.attr("#plan .step", "data-step").await?;
        if step == "saddle" {
            break;
        }
        // A plan has a handful of steps; more would be one that comes back.
        assert!(before.len() < 8, "{step} after {before:?}");
        page.press_in("#plan .step", "Tick it off").await?;
        page.until_text("#plan .ticks", |t| t.lines().count() > before.len())
            .await?;
        tokio::time::sleep(std::time::Duration::from_millis(700)).await;
        before.push(step);
    }
    page.press_in("#plan .step[data-step='saddle']", "Tick it off")
        .await?;
    page.until_text("#plan .ticks", |t| t.contains("addle"))
        .await?;
    let left = page
        .until_text("#plan [data-figure='found_finger']", |t| t != found)
        .await?;
    assert!(number(&left)? < number(&found)?, "{found} became {left}");

    go_to(&page, "Visits").await?;
    page.type_into("[data-field^='visit_work']", "Saddle lowered.")
        .await?;
    page.press_in("#visits", "Close it").await?;
    page.until_text("#visits .visit-state", |t| t == "Left the bench")
        .await?;
    page.until_count(".in-shop", 0).await?;

    // What goes home with it, and what stays.
    go_to(&page, "Hand over").await?;
    let customer = page
        .until_text("#hand-over .handout", |t| t.contains("Ines Farrow"))
        .await?;
    assert!(customer.contains("G4"), "{customer}");
    page.press_in("#hand-over", "For the shop").await?;
    page.until_text("#hand-over .handout", |t| t.contains("S-118"))
        .await?;
    let shop = stored(&page, None).await?;
    let visit = &shop["instruments"][0]["visits"][0];
    let gap = |setup: &str| visit[setup]["courses"][0]["gap_12_mm"].as_f64();
    assert_eq!(gap("as_found"), Some(3.4), "{visit}");
    assert!(gap("as_left") < Some(3.4), "{visit}");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_new_instrument_is_strung_with_a_low_fourth_and_settles() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    begin(&page, "ukulele-concert", "Concert 21").await?;
    let row = "#strings .course-row[data-course='1']";
    page.press_in(row, "Choose a string").await?;
    page.press_label("G3").await?;
    let wound = "[data-list='usable'] .candidate[data-verdict='good'][data-name^='wound']";
    page.press_in(wound, "Put on").await?;
    page.until_text(&format!("{row} .note"), |t| t == "G3")
        .await?;
    page.press_in(row, "Close").await?;
    page.until_count(".choosing", 0).await?;
    measure(&page, 4, "0.5", "2.6").await?;

    // Every course beside its neighbours.
    let pulls: Vec<f64> = page
        .texts("#strings .course-row [data-figure='tension']")
        .await?
        .iter()
        .map(|t| number(t))
        .collect::<Result<_, _>>()?;
    assert_eq!(pulls.len(), 4);
    let most = pulls.iter().copied().fold(0.0, f64::max);
    assert!(pulls.iter().all(|n| *n > 0.5 * most), "{pulls:?}");

    // New strings go flat for long: noted three times, and the page says when to tune again.
    go_to(&page, "Playing in").await?;
    page.settle().await?;
    let next = page
        .until_text(
            ".settling-course:nth-child(1) [data-figure='settling_next']",
            |t| t.chars().any(|c| c.is_ascii_digit()),
        )
        .await?;
    go_to(&page, "Hand over").await?;
    page.until_text("#hand-over .handout", |t| t.contains("G3"))
        .await?;

    // The terminal tells the same of the stored record.
    let report = terminal(&stored(&page, None).await?)?;
    let one = &report["instruments"][0];
    assert_eq!(one["courses"][0]["note"], "G3");
    let course = &one["settling"]["courses"][0];
    let says = course["schedule"][0]["at"].as_str().map_or_else(
        || {
            course["schedule"][0]["hours"]
                .as_f64()
                .map(|h| format!("{h:.1}"))
        },
        |at| Some(at.to_owned()),
    );
    assert!(
        next.contains(&says.ok_or("no next time")?),
        "{next} {course}"
    );
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_run_of_eight_is_strung_and_set_alike() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    begin(&page, "ukulele-concert", "Run 1").await?;
    for _ in 2..=8 {
        page.press_in(".bench-row.open", "Copy").await?;
        tokio::time::sleep(std::time::Duration::from_millis(150)).await;
    }
    page.until_count(".bench-row", 8).await?;
    // The first is strung and measured; the others take it over.
    page.press_in(".bench-row:first-child", "Run 1").await?;
    page.until_text(".sheet h1", |t| t == "Run 1").await?;
    let row = "#strings .course-row[data-course='1']";
    page.press_in(row, "Choose a string").await?;
    page.press_label("G3").await?;
    page.press_in(
        "[data-list='usable'] .candidate[data-verdict='good'][data-name^='wound']",
        "Put on",
    )
    .await?;
    page.until_text(&format!("{row} .note"), |t| t == "G3")
        .await?;
    measure(&page, 4, "0.5", "2.4").await?;
    go_to(&page, "Sets").await?;
    page.press_in("#sets", "The same for a run of instruments")
        .await?;
    let others = "#sets .tool-run input[type=checkbox]";
    page.until_count(others, 7).await?;
    for other in page.all(others).await? {
        other.click().await?;
    }
    page.press_in("#sets", "Work it out").await?;
    page.until_text(".tool-run", |t| {
        t.contains("7 instruments would be changed")
    })
    .await?;
    page.press_in("#sets", "Do it to all of them").await?;
    page.until_count("[data-deed='do-run']", 0).await?;
    let shop = stored(&page, None).await?;
    let all = shop["instruments"].as_array().ok_or("no instruments")?;
    assert_eq!(all.len(), 8);
    for one in all {
        assert_eq!(one["courses"], all[0]["courses"], "{}", one["name"]);
        assert_eq!(one["setup"]["courses"], all[0]["setup"]["courses"]);
    }
    assert_eq!(all[0]["courses"][0]["note"], "G3");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_buyer_asks_about_action_and_is_shown() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    begin(&page, "ukulele-concert", "Concert 30").await?;
    measure(&page, 4, "0.6", "3.4").await?;
    page.press_in("#visits", "Begin a visit").await?;
    measure(&page, 4, "0.5", "2.6").await?;
    page.press("Show a player").await?;
    page.find("#show-title").await?;
    // As it leaves stands beside as it came in: the lower one is easier to press, by a tenth and more.
    page.press_in(".player .note-buttons", "C4").await?;
    let mut forces = Vec::new();
    for (side, called) in [(1, "As it leaves"), (2, "As it came in")] {
        let place = format!("[data-side='{side}']");
        let name =
            "return document.querySelector(arguments[0] + ' select').selectedOptions[0].text";
        assert_eq!(page.run(name, vec![json!(place)]).await?, called);
        let css = format!("{place} [data-figure='show_finger']");
        forces.push(number(&page.text(&css).await?)?);
    }
    assert!(
        forces[0] < 0.9 * forces[1],
        "as it leaves and as it came in: {forces:?} N"
    );
    page.press("Walk me through it").await?;
    for said in [
        "Lower: easier and truer",
        "Too low",
        "The strings decide too",
    ] {
        page.until_text(".show-tour", |t| t.contains(said)).await?;
        if said != "The strings decide too" {
            page.press("Next").await?;
        }
    }
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

/// A shop's file of a year ago: one instrument, left with low action, waiting for nothing.
fn last_year() -> Value {
    let setup = |gap: f64| {
        let course = json!({ "gap_1_mm": 0.5, "gap_12_mm": gap, "saddle_setback_mm": 1.0 });
        json!({ "courses": vec![course; 4] })
    };
    let nylon =
        |mm: f64| json!([{ "make": { "plain": { "material": "nylon", "diameter_mm": mm } } }]);
    let courses: Vec<Value> = [("G4", 0.61), ("C4", 0.91), ("E4", 0.81), ("A4", 0.56)]
        .into_iter()
        .map(|(note, mm)| json!({ "note": note, "strings": nylon(mm) }))
        .collect();
    json!({
        "format": "strungwell-workshop", "version": 1,
        "owners": [{ "id": "o-7", "name": "Bram Oakes" }],
        "instruments": [{
            "id": "i-7", "name": "Concert, cedar top", "family": "ukulele-concert", "owner": "o-7",
            "scale_mm": 381.0, "frets": 18, "courses": courses, "setup": setup(2.4),
            "visits": [{ "id": "v-1", "date": "2025-11-20", "temp_c": 19.0, "rh_percent": 38.0,
                "as_found": setup(3.0), "as_left": setup(2.4), "work": "New saddle of bone." }],
        }],
    })
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn an_old_sheet_is_found_after_a_year_and_shows_what_moved() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let file = std::env::temp_dir().join(format!("strungwell-year-{}.json", std::process::id()));
    std::fs::write(&file, last_year().to_string())?;
    page.press("Copies of your records").await?;
    page.give_file("[data-field='import']", &file).await?;
    page.until_text("[data-figure='import-counts']", |t| {
        t.starts_with("2 added")
    })
    .await?;
    page.press("Take all of it in").await?;
    page.press_in("#bench", "Concert, cedar top").await?;
    page.until_text(".sheet h1", |t| t == "Concert, cedar top")
        .await?;

    // What was done then, and how it was left.
    go_to(&page, "Visits").await?;
    assert_eq!(
        page.value("[data-field^='visit_work']").await?,
        "New saddle of bone."
    );
    page.press_in("#visits", "Begin a visit").await?;
    // The top has risen in a dry year.
    measure(&page, 4, "0.5", "2.9").await?;
    go_to(&page, "Visits").await?;
    page.until_text("#visits .visit.open", |t| {
        t.contains("2.40") && t.contains("2.90")
    })
    .await?;
    let report = terminal(&stored(&page, None).await?)?;
    assert_eq!(report["instruments"][0]["name"], "Concert, cedar top");
    std::fs::remove_file(&file)?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
