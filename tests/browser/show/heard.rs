//! What a player hears is what the report says.

use super::{moved, opened, slide};
use crate::fixtures::{Bench, Failed, Page, terminal};
use std::time::Duration;
use strungwell_tests::ear::{roughness, strongest_near};

/// From now on what goes to the loudspeaker is kept: rate and samples, and the volume through which it goes.
const CATCH: &str = "
    const start = AudioBufferSourceNode.prototype.start, connect = AudioNode.prototype.connect;
    AudioBufferSourceNode.prototype.start = function () {
        window.caught = [this.buffer.sampleRate, Array.from(this.buffer.getChannelData(0))];
        return start.apply(this, arguments);
    };
    AudioNode.prototype.connect = function (to) {
        if (to instanceof AudioDestinationNode) window.volume = this.gain;
        return connect.apply(this, arguments);
    };";

/// What was caught: the rate in Hz and the samples.
async fn caught(page: &Page) -> Result<(f64, Vec<f32>), Failed> {
    let caught = page
        .run(
            "const was = window.caught; window.caught = null; return was",
            vec![],
        )
        .await?;
    let rate = caught[0].as_f64().ok_or("nothing was played")?;
    let sound: Vec<f32> = serde_json::from_value(caught[1].clone())?;
    let loudest = sound.iter().fold(0.0_f32, |most, s| most.max(s.abs()));
    assert!((0.1..0.51).contains(&loudest), "{loudest}");
    Ok((rate, sound))
}

async fn volume(page: &Page) -> Result<f64, Failed> {
    let volume = page.run("return window.volume.value", vec![]).await?;
    volume.as_f64().ok_or_else(|| "no volume".into())
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_player_hears_what_the_report_says() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let workshop = opened(&page).await?;
    page.run(CATCH, vec![]).await?;
    slide(&page, "show_action", "4.6").await?;
    let report = terminal(&moved(&workshop, 2.0)?)?;
    let courses = report["instruments"][0]["courses"]
        .as_array()
        .ok_or("no courses")?;

    // A chord: each of its notes at the report's pitch, and in tune when that is asked for.
    for in_tune in [false, true] {
        let words = if in_tune {
            "The same in tune"
        } else {
            "Strum the first"
        };
        page.press_in(".show-chord", words).await?;
        let (rate, sound) = caught(&page).await?;
        for course in courses {
            let open = course["pitch_hz"].as_f64().ok_or("no pitch")?;
            let cents = course["strings"][0]["frets"][2]["cents"]
                .as_f64()
                .ok_or("no cents")?;
            assert!(cents > 1.0, "{cents}");
            let off = if in_tune { 0.0 } else { cents };
            let expected = open * ((200.0 + off) / 1200.0).exp2();
            let found = strongest_near(&sound, rate, expected);
            let apart = 1200.0 * (found / expected).log2();
            assert!(
                apart.abs() < 0.2,
                "{}: {found} for {expected}",
                course["note"]
            );
        }
    }

    // Gentle at the start, louder by hand, silent in one touch, and silent it stays.
    assert!((volume(&page).await? - 0.3).abs() < 1e-6);
    slide(&page, "show_volume", "0.5").await?;
    assert!((volume(&page).await? - 0.5).abs() < 1e-6);
    page.press_in(".player", "Mute").await?;
    assert_eq!(volume(&page).await?, 0.0);
    slide(&page, "show_volume", "0.8").await?;
    assert_eq!(volume(&page).await?, 0.0);
    let pressed = page.attr("[data-deed='mute']", "aria-pressed").await?;
    assert_eq!(pressed, "true");

    // A buzz is heard where the report's room is less than the pluck. And a plucked string is drawn swinging.
    let fret = &courses[1]["strings"][0]["frets"][5];
    let room = fret["headroom_n"].as_f64().ok_or("no headroom")?;
    let mut rough = Vec::new();
    for pluck in [room - 0.2, 2.5 * room] {
        slide(&page, "show_pluck", &format!("{pluck:.1}")).await?;
        page.press_in("[data-side='1']", "Pluck").await?;
        let (rate, sound) = caught(&page).await?;
        let (from, to) = ((0.3 * rate) as usize, (0.7 * rate) as usize);
        rough.push(roughness(&sound[from..to]));
    }
    assert!(rough[1] > 5.0 * rough[0], "{rough:?}");
    let swing =
        "return document.querySelector(\"[data-side='1'] .swinging\").getAttribute('points') ?? ''";
    let first = page.run(swing, vec![]).await?;
    tokio::time::sleep(Duration::from_millis(200)).await;
    let second = page.run(swing, vec![]).await?;
    assert!(first != "" && second != "" && first != second);
    page.with_little_motion().await?;
    tokio::time::sleep(Duration::from_millis(3000)).await;
    page.press_in("[data-side='1']", "Pluck").await?;
    tokio::time::sleep(Duration::from_millis(100)).await;
    assert_eq!(page.run(swing, vec![]).await?, "");

    // The other fourth sounds an octave away.
    page.press("The low fourth against the high one").await?;
    slide(&page, "show_fret", "0").await?;
    for (side, octave) in [(1, 1.0), (2, 0.5)] {
        page.press_in(&format!("[data-side='{side}']"), "Pluck")
            .await?;
        let (rate, sound) = caught(&page).await?;
        let expected = courses[0]["pitch_hz"].as_f64().ok_or("no pitch")? * octave;
        let found = strongest_near(&sound, rate, expected);
        assert!((1200.0 * (found / expected).log2()).abs() < 0.2, "{found}");
    }
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn sound_that_cannot_be_begun_is_let_go() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    opened(&page).await?;
    page.run(
        "window.letGo = 0; const of = AudioContext.prototype, close = of.close;
         of.close = function () { window.letGo++; return close.apply(this, arguments) };
         of.createGain = () => { throw new Error('refused') }",
        vec![],
    )
    .await?;
    for closed in 1..=2 {
        page.press_in("[data-side='1']", "Pluck").await?;
        page.until_text(".player > .message", |t| {
            t == "Nothing sounds: this browser gives no sound."
        })
        .await?;
        page.until(&format!("return window.letGo === {closed}"))
            .await?;
    }
    page.run("delete AudioContext.prototype.createGain", vec![])
        .await?;
    page.press_in("[data-side='1']", "Pluck").await?;
    page.until_text(".player > .message", str::is_empty).await?;
    assert_eq!(page.run("return window.letGo", vec![]).await?, 2);
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}
