//! Whole sets for a tenor with a low fourth; a tenor restrung, with its loads, its neck and its new strings.

use crate::fixtures::{Bench, Failed, stored, terminal};
use strungwell_workshop::units::Units;

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn three_sets_with_a_low_fourth_and_why_the_first_is_first() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Tenor 5").await?;
    page.until_text(".sheet .tuning", |t| t == "G3 C4 E4 A4")
        .await?;
    // From the rack alone.
    page.find("[data-field='set_stock']").await?.click().await?;
    page.press_in("#sets", "Propose whole sets").await?;
    page.until_count("#sets .set-one", 3).await?;
    for set in 1..=3 {
        let one = format!("#sets .set-one[data-set='{set}']");
        let offs = page.texts(&format!("{one} tbody td:nth-child(5)")).await?;
        assert_eq!(offs.len(), 4);
        for off in offs {
            let text = off.replace('−', "-");
            let off: f64 = text
                .trim_end_matches('%')
                .trim()
                .parse()
                .map_err(|_| format!("\"{text}\" is no share"))?;
            assert!(off.abs() <= 15.0, "{off}");
        }
        let from = page.texts(&format!("{one} tbody td:nth-child(6)")).await?;
        assert!(from.iter().all(|text| text == "rack"), "{from:?}");
    }
    let why = page.text("#sets .set-one[data-set='1'] .what").await?;
    assert!(why.chars().any(|c| c.is_ascii_digit()), "{why}");
    let name = page
        .text("#sets .set-one[data-set='1'] tbody tr:first-child td:nth-child(2)")
        .await?;
    page.press_in("#sets .set-one[data-set='1']", "String it so")
        .await?;
    page.until_text("#strings .course-row[data-course='1'] .string-name", |t| {
        t == name
    })
    .await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_restrung_tenor_shows_its_load_its_relief_and_when_to_tune() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Tenor 5").await?;
    page.run("document.querySelector('#loads').scrollIntoView()", vec![])
        .await?;
    let more = page
        .until_text("[data-figure='bridge_more']", |t| t.contains('%'))
        .await?;
    let change = page
        .until_text("[data-figure='relief_change']", |t| t.contains("mm"))
        .await?;
    let caution = page.text("[data-note='bridge-caution']").await?;
    assert!(caution.contains("repairer"), "{caution}");
    let trust = page.text("#loads .trust").await?;
    assert!(trust.contains("creep"), "{trust}");
    page.run(
        "document.querySelector('#playing-in').scrollIntoView()",
        vec![],
    )
    .await?;
    page.until_text(
        ".settling-course:nth-child(2) [data-figure='settling_settled']",
        |t| t.starts_with("20"),
    )
    .await?;
    page.until_count("#playing-in .settling-course", 4).await?;

    // The same on paper: what lies far below is worked out before it is printed.
    page.reload().await?;
    page.until_text(".sheet h1", |t| t.starts_with("Tenor 5"))
        .await?;
    page.run("window.dispatchEvent(new Event('beforeprint'))", vec![])
        .await?;
    page.as_printed().await?;
    let printed = page.until_text("#loads", |t| t.contains(&more)).await?;
    assert!(printed.contains(&change) && printed.contains("repairer"));
    page.until_text("#playing-in", |t| t.contains("cents flat for each tenfold"))
        .await?;

    let shop = stored(&page, None).await?;
    let report = terminal(&shop)?;
    let tenor = report["instruments"]
        .as_array()
        .into_iter()
        .flatten()
        .find(|i| i["name"].as_str().is_some_and(|n| n.starts_with("Tenor 5")))
        .ok_or("no tenor at the terminal")?;
    let units = Units::default();
    let more_n = tenor["bridge"]["more_n"].as_f64().ok_or("no added load")?;
    assert!(more.contains(&units.force(more_n)), "{more} {more_n}");
    assert_eq!(change, units.length(tenor["neck"]["change_mm"].as_f64()));
    assert_eq!(
        tenor["settling"]["courses"].as_array().map(Vec::len),
        Some(4)
    );
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
