//! An instrument shown to a player: what is seen and heard is what the report says, and a link shows it elsewhere.

use crate::fixtures::{Bench, Failed, Glass, Page, stored, terminal};
use serde_json::{Value, json};
use std::f64::consts::TAU;
use strungwell_workshop::units::{Units, signed};

const INSTRUMENT: &str = "inst-concert-12";

/// Finger's force, cents and headroom of the first setup, as shown.
async fn shown(page: &Page) -> Result<[String; 3], Failed> {
    let mut all = [const { String::new() }; 3];
    for (text, figure) in all
        .iter_mut()
        .zip(["show_finger", "show_cents", "show_headroom"])
    {
        *text = page
            .text(&format!("[data-side='1'] [data-figure='{figure}']"))
            .await?;
    }
    Ok(all)
}

/// How strong a frequency is in a sound, under a window that falls off to both sides.
fn strength(sound: &[f64], rate: f64, hz: f64) -> f64 {
    let n = sound.len() as f64;
    let (mut re, mut im) = (0.0, 0.0);
    for (i, sample) in sound.iter().enumerate() {
        let i = i as f64;
        let value = sample * (0.5 - 0.5 * (TAU * (i + 0.5) / n).cos());
        re += value * (TAU * hz * i / rate).cos();
        im += value * (TAU * hz * i / rate).sin();
    }
    re.hypot(im)
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_player_sees_feels_and_hears_what_the_report_says_here_and_by_a_link()
-> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    let mut workshop = stored(&page, "strungwell-demo", Some(INSTRUMENT)).await?;
    page.press("Show a player").await?;
    page.find(".player .note-button[data-course='2'][aria-pressed='true']")
        .await?;
    let before = shown(&page).await?;

    // The action drawn down by 0.40 mm.
    let slider = page.find("[data-field='show_action']").await?;
    page.run(
        "arguments[0].value = '2.2'; arguments[0].dispatchEvent(new Event('input', { bubbles: true }))",
        vec![serde_json::to_value(&slider)?],
    )
    .await?;
    page.until_text(".show-controls", |t| t.contains("2.20 mm"))
        .await?;
    page.until_text("[data-side='1'] [data-figure='show_finger']", |t| {
        t != before[0]
    })
    .await?;
    let after = shown(&page).await?;
    let courses = workshop["instruments"][0]["setup"]["courses"]
        .as_array_mut()
        .ok_or("no setup")?;
    for course in courses {
        let gap = course["gap_12_mm"].as_f64().ok_or("no gap")?;
        course["gap_12_mm"] = json!(((gap - 0.4) * 1e4).round() / 1e4);
    }
    let report = terminal(&workshop)?;
    let courses = &report["instruments"][0]["courses"];
    let fret = &courses[1]["strings"][0]["frets"][5];
    let units = Units::default();
    assert_eq!(
        after,
        [
            units.force(fret["finger_n"].as_f64()),
            signed(fret["cents"].as_f64(), 1),
            units.force(fret["headroom_n"].as_f64()),
        ]
    );

    // A chord, caught on its way to the loudspeaker: its notes are the report's.
    page.run(
        "const was = AudioBufferSourceNode.prototype.start;
         AudioBufferSourceNode.prototype.start = function () {
             const rate = this.buffer.sampleRate;
             window.caught = [rate, Array.from(this.buffer.getChannelData(0).slice(0, rate))];
             return was.apply(this, arguments);
         };",
        vec![],
    )
    .await?;
    page.find("[data-deed='chord-1']").await?.click().await?;
    let caught = page.run("return window.caught", vec![]).await?;
    let rate = caught[0].as_f64().ok_or("nothing was played")?;
    let sound: Vec<f64> = caught[1]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_f64)
        .collect();
    let loudest = sound
        .iter()
        .fold(0.0_f64, |most, sample| most.max(sample.abs()));
    assert!(loudest > 0.1 && loudest < 0.51, "{loudest}");
    for course in courses.as_array().ok_or("no courses")? {
        let open = course["pitch_hz"].as_f64().ok_or("no pitch")?;
        let cents = course["strings"][0]["frets"][2]["cents"]
            .as_f64()
            .ok_or("no cents")?;
        let hz = |off: f64| open * ((200.0 + cents + off) / 1200.0).exp2();
        let here = strength(&sound, rate, hz(0.0));
        for off in [-12.0, 12.0] {
            assert!(
                here > strength(&sound, rate, hz(off)),
                "{} {off}",
                course["note"]
            );
        }
    }
    page.press_in(".player", "Mute").await?;
    assert_eq!(
        page.attr("[data-deed='mute']", "aria-pressed").await?,
        "true"
    );

    // The link, in a browser that knows nothing.
    page.press("Make a link").await?;
    let link = page.value("[data-field='show_link']").await?;
    let (_, carried) = link.split_once("#/show/").ok_or("no link")?;
    assert!(!carried.to_lowercase().contains("concert"), "{carried}");
    page.find(".qr path").await?;
    page.look_through(Glass::NARROW).await?;
    assert_eq!(page.sideways().await?, 0);
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await?;
    let other = Bench::new().await?;
    let fresh = other.browser().await?;
    let address = format!("{}/#/show/", other.address());
    let page = fresh.open(&format!("{address}{carried}")).await?;
    assert_eq!(shown(&page).await?, after);

    // A link that was cut short is refused in a sentence.
    let page = fresh
        .open(&format!("{address}{}", &carried[..carried.len() - 9]))
        .await?;
    let why = page
        .until_text("[data-show='refused']", |t| !t.is_empty())
        .await?;
    assert!(why.contains("cut short"), "{why}");
    fresh.close().await
}
