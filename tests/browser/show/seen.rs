//! What a player sees and feels is what the report says.

use super::{called, moved, opened, shown, side_by, slide};
use crate::fixtures::{Bench, Failed, terminal};
use fantoccini::key::Key;
use serde_json::{Value, json};
use strungwell_workshop::checksum::crc32;
use strungwell_workshop::units::{Units, signed};

/// The same of a fret of the second course, as the terminal's report has it.
fn reported(report: &Value, fret: usize) -> [String; 3] {
    let units = Units::default();
    let fret = &report["instruments"][0]["courses"][1]["strings"][0]["frets"][fret];
    [
        units.force(fret["finger_n"].as_f64()),
        signed(fret["cents"].as_f64(), 1),
        units.force(fret["headroom_n"].as_f64()),
    ]
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_player_sees_and_feels_what_the_report_says() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let workshop = opened(&page).await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    // The bench is out of sight, and the keyboard stands in the view.
    for hidden in [".masthead", "#bench", ".notice.demo"] {
        let height = "return document.querySelector(arguments[0])?.getClientRects().length ?? 0";
        assert_eq!(page.run(height, vec![json!(hidden)]).await?, 0, "{hidden}");
    }
    let at = page.run("return document.activeElement.id", vec![]);
    assert_eq!(at.await?, "show-title");
    let before = shown(&page, 1).await?;
    assert_eq!(before, reported(&terminal(&workshop)?, 5));

    // The action drawn down by 0.40 mm.
    slide(&page, "show_action", "2.2").await?;
    page.until_text(".show-controls", |t| t.contains("2.20 mm"))
        .await?;
    page.until_text("[data-side='1'] [data-figure='show_finger']", |t| {
        t != before[0]
    })
    .await?;
    let report = terminal(&moved(&workshop, -0.4)?)?;
    let lower = shown(&page, 1).await?;
    assert_eq!(lower, reported(&report, 5));
    assert!(lower.iter().zip(&before).all(|(now, was)| now != was));

    // It buzzes on the screen exactly where the pluck is harder than the room.
    let fret = &report["instruments"][0]["courses"][1]["strings"][0]["frets"][5];
    let room = fret["headroom_n"].as_f64().ok_or("no headroom")?;
    for pluck in [room - 0.1, room + 0.1].map(|n| (10.0 * n).round() / 10.0) {
        slide(&page, "show_pluck", &pluck.to_string()).await?;
        page.until_text(".show-controls", |t| {
            t.contains(&Units::default().force(pluck))
        })
        .await?;
        let says = page.text("[data-side='1'] .show-figures").await?;
        assert_eq!(says.contains("buzzes on fret"), pluck > room, "{says}");
        let drawn = page.all("[data-side='1'] .touch-mark.bad").await?.len();
        assert_eq!(drawn == 1, pluck > room);
        let told = page
            .attr("[data-side='1'] .neck-side", "aria-label")
            .await?;
        assert!(told.starts_with("Your finger holds") && told.contains("cents"));
        assert_eq!(told.contains("buzzes"), pluck > room, "{told}");
    }

    // By the keyboard: the finger one fret on.
    let slider = page.find("[data-field='show_fret']").await?;
    slider
        .send_keys(&char::from(Key::Right).to_string())
        .await?;
    page.until_text(".show-controls", |t| t.contains("fret 6"))
        .await?;
    assert_eq!(shown(&page, 1).await?, reported(&report, 6));

    // Another instrument of the bench beside it, and the other fourth.
    side_by(&page, 1, "Concert 9").await?;
    let second = shown(&page, 2).await;
    assert_ne!(second?, shown(&page, 1).await?);
    page.press("The low fourth against the high one").await?;
    page.find(".note-button[data-course='1'][aria-pressed='true']")
        .await?;
    let line = page
        .until_text("[data-show='apart']", |t| t.contains("against"))
        .await?;
    assert!(line.contains("Mottola"), "{line}");
    let [high, low] = [shown(&page, 1).await?, shown(&page, 2).await?];
    assert_ne!(high[0], low[0]);

    // The walk: three moves, or none. Left, it gives back what the player had chosen.
    page.press_in(".player .note-buttons", "C4").await?;
    side_by(&page, 1, "Concert 9").await?;
    slide(&page, "show_action", "3").await?;
    slide(&page, "show_pluck", "2.5").await?;
    let chosen = async || -> Result<[String; 5], Failed> {
        Ok([
            called(&page, 1).await?,
            called(&page, 2).await?,
            page.text(".show-controls").await?,
            shown(&page, 1).await?.join(" "),
            shown(&page, 2).await?.join(" "),
        ])
    };
    page.until_text(".show-controls", |t| {
        t.contains("3.00 mm") && t.contains("2.5 N")
    })
    .await?;
    let before = chosen().await?;
    for way in [&["Skip the walk"][..], &["Next", "Done"]] {
        page.press("Walk me through it").await?;
        page.until_text(".show-tour", |t| {
            t.contains("1 of 3: Lower: easier and truer")
        })
        .await?;
        let says = page.text("[data-side='1'] .show-figures").await?;
        assert!(says.contains("rings clear"), "{says}");
        page.press("Next").await?;
        page.until_text(".show-tour", |t| t.contains("2 of 3: Too low"))
            .await?;
        let says = page.text("[data-side='1'] .show-figures").await?;
        assert!(says.contains("buzzes on fret"), "{says}");
        for words in way {
            page.press(words).await?;
            if *words == "Next" {
                page.until_text(".show-tour", |t| t.contains("3 of 3: The strings decide"))
                    .await?;
                assert_ne!(shown(&page, 1).await?[0], shown(&page, 2).await?[0]);
            }
        }
        page.until_text(".show-tour", |t| t.starts_with("Walk me"))
            .await?;
        assert_eq!(chosen().await?, before);
    }

    assert_eq!(page.complaints().await?, Vec::<String>::new());
    let main = page.find("#show-title").await?;
    main.send_keys(&char::from(Key::Escape).to_string()).await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn what_is_not_measured_is_said_and_a_walk_without_another_fourth_has_two_moves()
-> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Add an instrument").await?;
    page.choose("[data-field='new-family']", "mandolin").await?;
    page.press_in("form.add", "Add").await?;
    page.find("#heights .note-button[data-course='2']")
        .await?
        .click()
        .await?;
    page.type_into("[data-field='course-2-gap_12_mm']", "")
        .await?;
    page.press("Show a player").await?;
    page.until_text(".show-controls", |t| {
        t.contains("Height of the strings on the first: not measured under this string")
    })
    .await?;
    let is_still = "return document.querySelector(\"[data-field='show_action']\").disabled";
    assert_eq!(page.run(is_still, vec![]).await?, true);

    let finger = "return document.querySelector(\"[data-field='show_fret']\").value";
    let pressed = page.run(finger, vec![]).await?;
    page.press("Walk me through it, in two moves").await?;
    page.until_text(".show-tour", |t| {
        t.contains("1 of 2") && t.contains("cannot show it") && t.contains("not measured")
    })
    .await?;
    page.press_in(".player .note-buttons", "G3").await?;
    assert_eq!(page.run(is_still, vec![]).await?, false);
    slide(&page, "show_fret", "3").await?;
    assert_ne!(page.run(finger, vec![]).await?, pressed);
    page.press("Try again").await?;
    page.until_text(".show-tour", |t| t.contains("have been lowered"))
        .await?;
    page.press("Next").await?;
    page.until_text(".show-tour", |t| {
        t.contains("2 of 2: Too low") && t.contains("now meets a fret") && t.contains("Done")
    })
    .await?;
    page.press("Done").await?;
    page.until_text(".show-tour", |t| t.starts_with("Walk me"))
        .await?;
    // What stood before is there again: the string, and the finger's fret.
    assert_eq!(page.run(is_still, vec![]).await?, true);
    assert_eq!(page.run(finger, vec![]).await?, pressed);
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn another_instrument_is_read_when_it_is_chosen() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.with_one("Lark").await?;
    page.with_one("Wren").await?;
    // A whole line to be shown by, over a record that nobody can read.
    let sealed = "[\"Torn\",\"\",\"\",\"\",\"\",\"\",\"\"]\n{ torn";
    let sum = crc32(sealed.as_bytes());
    let text = format!("strungwell-record 1 {sum:08x}\n{sealed}");
    page.store("strungwell.instrument.torn", &text).await?;
    page.reload().await?;
    page.press_in("#bench", "Lark").await?;
    page.until_text(".sheet h1", |t| t == "Lark").await?;
    page.press("Show a player").await?;
    let first = shown(&page, 1).await?;
    side_by(&page, 1, "Torn").await?;
    page.until_text("[data-side='2']", |t| {
        t.contains("Nothing can be shown: the record of this instrument cannot be read.")
    })
    .await?;
    side_by(&page, 1, "Wren").await?;
    page.until_count("[data-side='2'] .neck-side", 1).await?;
    assert_eq!(shown(&page, 2).await?, first);
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
