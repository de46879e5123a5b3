//! The Intonation section: a low fourth's sharpness, the saddle put in its place, and a tuner's readings.

use crate::fixtures::{Bench, DEMO_SHOP, Failed, Page, terminal_report};
use fantoccini::key::Key;
use serde_json::Value;
use strungwell_workshop::units::{Units, figure, signed};

const INSTRUMENT: &str = "inst-concert-9";

/// The report of the demo's instrument as the terminal gives it.
fn terminal() -> Result<Value, Failed> {
    let report = terminal_report(DEMO_SHOP)?;
    let all = report["instruments"].as_array().ok_or("no instruments")?;
    let found = all.iter().find(|i| i["id"] == INSTRUMENT);
    Ok(found.ok_or("the demo has no such instrument")?.clone())
}

async fn open(page: &Page) -> Result<(), Failed> {
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 9").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    Ok(())
}

fn octave(course: usize) -> String {
    format!("#intonation .strand[data-course='{course}'] [data-figure='octave_cents']")
}

fn cost(course: usize, figure: &str) -> String {
    format!("#intonation .costs tr[data-course='{course}'] [data-figure='{figure}']")
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_plain_nylon_low_fourth_shows_its_sharpness_and_the_saddle_mends_it() -> Result<(), Failed>
{
    let report = terminal()?;
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    open(&page).await?;

    // Without being asked: the low fourth is by far the sharpest at its octave, and every figure is the terminal's.
    let units = Units::default();
    let mut shown = Vec::new();
    for (i, course) in report["courses"]
        .as_array()
        .into_iter()
        .flatten()
        .enumerate()
    {
        let string = &course["strings"][0];
        let text = page.text(&octave(i + 1)).await?;
        assert_eq!(text, signed(string["frets"][12]["cents"].as_f64(), 1));
        shown.push(text.parse::<f64>()?);
        for (word, expected) in [
            ("rms_now", figure(string["rms_now_cents"].as_f64(), 1)),
            ("rms_best", figure(string["rms_cents"].as_f64(), 1)),
            (
                "line_cost",
                signed(report["saddle"]["courses"][i]["cost_cents"].as_f64(), 2),
            ),
            (
                "line_setback",
                units.length_number(report["saddle"]["courses"][i]["setback_mm"].as_f64()),
            ),
        ] {
            assert_eq!(
                page.text(&cost(i + 1, word)).await?,
                expected,
                "course {}, {word}",
                i + 1
            );
        }
        let best = page
            .text(&format!("{} .value", cost(i + 1, "saddle_setback")))
            .await?;
        assert_eq!(
            best,
            units.length_number(string["saddle_setback_mm"].as_f64())
        );
    }
    assert!(
        shown.len() == 4 && shown[1..].iter().all(|other| shown[0] > other + 5.0),
        "{shown:?}"
    );
    let sharpest = page.text("#intonation [data-figure='sharpest']").await?;
    assert!(sharpest.starts_with("G3, "), "{sharpest}");

    // The best places lower what is left, and can be undone.
    let before = page.text(&cost(1, "rms_now")).await?;
    page.press_in("#intonation", "Put the saddle at the best places")
        .await?;
    let after = page
        .until_text(&cost(1, "rms_now"), |t| t != before)
        .await?;
    assert!(
        after.parse::<f64>()? < 1.0 && before.parse::<f64>()? > 5.0,
        "{before} {after}"
    );
    let octave_after = page.text(&octave(1)).await?;
    assert!(octave_after.parse::<f64>()?.abs() < 2.0, "{octave_after}");
    assert_ne!(
        page.value("#field-course-1-saddle_setback_mm").await?,
        "1.50"
    );
    page.press_in(".slip", "Undo").await?;
    page.until_text(&cost(1, "rms_now"), |t| t == before)
        .await?;

    // A contact point moves by keys as by typing.
    let handle = page.find("#intonation .handle[data-course='1']").await?;
    for _ in 0..2 {
        handle
            .send_keys(&char::from(Key::Right).to_string())
            .await?;
    }
    page.until_text(&cost(1, "rms_now"), |t| t != before)
        .await?;
    let field = "#field-course-1-saddle_setback_mm";
    assert_eq!(page.value(field).await?, "1.70");
    let now = "#intonation .handle[data-course='1']";
    assert_eq!(page.attr(now, "aria-valuenow").await?, "1.7");
    // And by the hand, which keeps hold of it.
    page.drag(now, 40.0, 0.0).await?;
    let dragged: f64 = page.value(field).await?.parse()?;
    assert!(dragged > 1.75 && dragged < 4.0, "{dragged}");
    page.type_into("#field-course-1-saddle_setback_mm", "1.5")
        .await?;
    page.until_text(&cost(1, "rms_now"), |t| t == before)
        .await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn readings_are_kept_and_said() -> Result<(), Failed> {
    let report = terminal()?;
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    open(&page).await?;

    // What the visit's readings say is the terminal's, to the digit shown.
    let moved = report["readings"]["courses"][0]["correction"]["saddle_mm"].as_f64();
    let said = "#intonation .said[data-course='1']";
    let words = page
        .text(&format!("{said} [data-figure='correction']"))
        .await?;
    assert!(
        words.contains(&format!("by {} (", Units::default().length(moved))),
        "{words} {moved:?}"
    );
    assert!(!page.text(said).await?.contains("stretch κ"));

    // Two more frets: now they tell the string's stretch as well.
    for (fret, cents) in [("5", "8"), ("9", "11,5")] {
        page.type_into("#field-new_reading_fret", fret).await?;
        page.type_into("#field-new_reading_cents", cents).await?;
        page.press_in("#intonation .another-reading", "Add the reading")
            .await?;
        page.find(&format!(
            "#intonation .other-reading[data-course='1'][data-fret='{fret}']"
        ))
        .await?;
    }
    let kappa = format!("{said} [data-figure='fitted_kappa']");
    let fitted = page.text(&kappa).await?;
    // A reading that cannot stand beside another is named.
    page.type_into("#field-new_reading_fret", "12").await?;
    page.type_into("#field-new_reading_cents", "-30").await?;
    page.press_in("#intonation .another-reading", "Add the reading")
        .await?;
    page.until_text(said, |t| t.contains("Set aside: -30.0 cents at fret 12"))
        .await?;
    page.press_in("#intonation .other-reading[data-fret='12']", "Remove")
        .await?;
    page.until_text(said, |t| !t.contains("Set aside")).await?;
    // The open string is typed in its own place.
    page.type_into("#field-tuner-2-open", "-1.5").await?;
    page.press_in(said, "Take this stretch").await?;
    page.until_text(said, |t| t.contains("is recorded")).await?;

    page.reload().await?;
    page.until_text(said, |t| t.contains("is recorded")).await?;
    assert_eq!(page.text(&kappa).await?, fitted);
    assert_eq!(page.value("#field-tuner-2-open").await?, "-1.5");
    assert_eq!(page.value("#field-tuner-1-octave").await?, "12");
    assert_eq!(page.all("#intonation .other-reading").await?.len(), 10);
    // The figures of the Strings section rest on it.
    let number = fitted.split(' ').next().ok_or("no figure")?;
    assert_eq!(
        page.text("#strings .course-row[data-course='1'] [data-figure='kappa']")
            .await?,
        number
    );
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
