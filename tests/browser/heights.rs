//! The action drawn down on the page: what a finger finds falls together, and the terminal says the same of the stored records.

use crate::fixtures::{Bench, Failed, Page, stored, terminal};
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use strungwell_workshop::units::{Units, signed};

const INSTRUMENT: &str = "inst-concert-12";

/// Presses a key several times on an element that takes the keyboard.
async fn keys(page: &Page, css: &str, key: Key, times: usize) -> Result<(), Failed> {
    let element = page.find(css).await?;
    page.run(
        "arguments[0].focus()",
        vec![serde_json::to_value(&element)?],
    )
    .await?;
    let mut board = KeyActions::new("keys".into());
    for _ in 0..times {
        let value = char::from(key);
        board = board
            .then(KeyAction::Down { value })
            .then(KeyAction::Up { value });
    }
    element.client().perform_actions(board).await?;
    Ok(())
}

/// Finger's force, cents and headroom of the chosen note, as shown.
async fn shown(page: &Page) -> Result<[String; 3], Failed> {
    Ok([
        page.text("[data-figure='note_finger']").await?,
        page.text("[data-figure='note_cents']").await?,
        page.text("[data-figure='note_headroom_n']").await?,
    ])
}

/// The number that a shown figure begins with.
fn number(text: &str) -> Result<f64, Failed> {
    let first = text.split(' ').next().unwrap_or_default();
    first
        .parse()
        .map_err(|_| format!("\"{text}\" does not begin with a number").into())
}

fn all_fell(before: &[String; 3], after: &[String; 3]) -> Result<(), Failed> {
    for (before, after) in before.iter().zip(after) {
        assert!(number(after)? < number(before)?, "{before} then {after}");
    }
    Ok(())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn lowering_the_action_lowers_force_sharpness_and_headroom_as_the_terminal_says()
-> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    page.find("#heights .note-button[data-course='2']")
        .await?
        .click()
        .await?;
    page.until_text("[data-figure='finger_at']", |t| t == "fret 5")
        .await?;
    let first = shown(&page).await?;
    let knob = "[data-handle='gap_12']";
    let field = "[data-field='course-2-gap_12_mm']";
    assert_eq!(page.value(field).await?, "2.60");
    assert_eq!(page.attr(knob, "aria-valuenow").await?, "2.60");

    // With the keyboard.
    keys(&page, knob, Key::Down, 8).await?;
    page.until_text("[data-figure='note_finger']", |t| t != first[0])
        .await?;
    assert_eq!(page.attr(knob, "aria-valuetext").await?, "2.20 mm");
    assert_eq!(page.value(field).await?, "2.20");
    let second = shown(&page).await?;
    all_fell(&first, &second)?;

    // With a pointer.
    page.drag(&format!("{knob} .knob"), 0.0, 12.0).await?;
    page.until_text("[data-figure='note_finger']", |t| t != second[0])
        .await?;
    let gap: f64 = page.attr(knob, "aria-valuenow").await?.parse()?;
    assert!(gap < 2.1 && gap > 1.2, "{gap}");
    let third = shown(&page).await?;
    all_fell(&second, &third)?;
    // The strands in the drawing show the same figures, and what they were.
    assert!(third[0].starts_with(&page.text("[data-figure='strand_finger']").await?));
    assert!(third[1].starts_with(&page.text("[data-figure='strand_cents']").await?));
    assert!(third[2].starts_with(&page.text("[data-figure='strand_headroom']").await?));

    // The stored records, read at the terminal.
    let workshop = stored(&page, Some(INSTRUMENT)).await?;
    let setup = &workshop["instruments"][0]["setup"]["courses"];
    assert!(
        (setup[1]["gap_12_mm"].as_f64().ok_or("no gap")? - gap).abs() < 0.006,
        "{setup}"
    );
    assert_eq!(setup[0]["gap_12_mm"], 2.6);
    let report = terminal(&workshop)?;
    let frets = report["instruments"][0]["courses"][1]["strings"][0]["frets"]
        .as_array()
        .ok_or("no frets in the report")?
        .clone();
    let units = Units::default();
    assert_eq!(third[0], units.force(frets[5]["finger_n"].as_f64()));
    assert_eq!(
        third[1],
        format!("{} cents", signed(frets[5]["cents"].as_f64(), 1))
    );
    assert_eq!(third[2], units.force(frets[5]["headroom_n"].as_f64()));
    page.press_in("#heights", "Figures at every fret").await?;
    page.until_count(".fret-table tbody tr", frets.len())
        .await?;
    for fret in &frets {
        let row = format!(".fret-table tr[data-fret='{}']", fret["fret"]);
        let cells = page.texts(&format!("{row} td")).await?;
        let wanted = [
            (0, units.length_number(fret["gap_mm"].as_f64())),
            (1, units.force_number(fret["finger_n"].as_f64())),
            (2, signed(fret["cents"].as_f64(), 1)),
            (4, units.length_number(fret["headroom_mm"].as_f64())),
            (5, units.force_number(fret["headroom_n"].as_f64())),
        ];
        for (at, wanted) in wanted {
            assert_eq!(cells.get(at), Some(&wanted), "fret {}", fret["fret"]);
        }
    }
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_string_that_lies_on_a_fret_is_told_and_the_rest_goes_on() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    page.find("#heights .note-button[data-course='1']")
        .await?
        .click()
        .await?;
    let still = page.text("[data-figure='note_finger']").await?;

    // A gap below zero is taken as measured: the notes that it takes away are told, the others stand.
    page.type_into("[data-field='course-1-gap_1_mm']", "-0.1")
        .await?;
    let told = page
        .until_text("[data-heights='blocked']", |t| t.contains("Fret 1"))
        .await?;
    assert!(told.contains("not above zero"), "{told}");
    page.until_count("[data-blocked='1']", 1).await?;
    page.until_text("[data-figure='note_finger']", |t| {
        t.ends_with(" N") && t != still
    })
    .await?;
    // A relief that the board cannot have stops the notes, not the page; the text stays as typed.
    page.type_into("[data-field='relief_fret']", "1").await?;
    page.until_text("[data-heights='missing']", |t| t.contains("relief"))
        .await?;
    assert_eq!(page.value("[data-field='relief_fret']").await?, "1");
    page.type_into("[data-field='relief_fret']", "7").await?;
    page.until_text("[data-figure='note_finger']", |t| t.ends_with(" N"))
        .await?;
    // What cannot be read counts for nothing and stays.
    page.type_into("[data-field='course-1-gap_12_mm']", "2.6 furlongs")
        .await?;
    let why = page
        .until_text("#field-course-1-gap_12_mm-message", |t| !t.is_empty())
        .await?;
    assert!(why.contains("Counting with 2.60 mm"), "{why}");
    assert_eq!(
        page.value("[data-field='course-1-gap_12_mm']").await?,
        "2.6 furlongs"
    );
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn on_paper_the_fields_of_the_gaps_stand_apart() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.demo("Concert 9").await?;
    page.find("#heights .place.gap").await?;
    page.as_printed().await?;
    // What A4 has between its margins is narrower than the window that the drawing was made for, and scales it.
    let apart = "document.querySelector('.heights-figure').style.inlineSize = '719px';
        const [one, twelve] = [...document.querySelectorAll('.heights-figure.wide > .place.gap')].map(e => e.getBoundingClientRect());
        return twelve.left - one.right";
    let apart = page.run(apart, vec![]).await?;
    assert!(apart.as_f64().is_some_and(|apart| apart >= 0.0), "{apart}");
    browser.close().await
}
