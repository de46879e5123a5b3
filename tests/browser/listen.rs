//! The microphone: a whole course measured by ear, a pull, a settling string and a machine's strokes heard; and what the page says
//! where there is none. Chromium plays a file of the test's own as its microphone.

use crate::fixtures::{Bench, Failed, Page, stored};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::time::{Duration, Instant};
use strungwell_physics::plucked::Loss;
use strungwell_physics::quantity::Cents;
use strungwell_sound::tone::{Note, render};
use strungwell_tests::wav::mono_16;
use strungwell_workshop::file::read;
use strungwell_workshop::records::Workshop;
use strungwell_workshop::report;

const RATE: f64 = 48_000.0;
const INSTRUMENT: &str = "inst-concert-9";

/// How long a pluck sounds and how long it is still after it, in seconds.
const SOUNDS_S: f64 = 1.7;
const STILL_S: f64 = 0.3;

/// A sound for the microphone, kept in a file for as long as this lives.
struct Microphone {
    sound: Vec<f32>,
    file: PathBuf,
}

impl Microphone {
    /// Begins with a moment of silence, as long as a browser may take to listen.
    fn new(name: &str) -> Self {
        let name = format!("strungwell-{}-{name}.wav", std::process::id());
        Self {
            sound: silence(1.0),
            file: std::env::temp_dir().join(name),
        }
    }

    fn pluck(&mut self, hz: f64, bending: f64, pluck_at: f64) -> Result<(), Failed> {
        let note = Note {
            hz,
            bending,
            pluck_at,
            loss: Loss::POLYMER,
            pluck: 1.0,
            headroom: None,
            start_s: 0.0,
        };
        self.sound.extend(render(&[note], RATE, SOUNDS_S)?);
        self.sound.extend(silence(STILL_S));
        Ok(())
    }

    /// Writes the file: the browser's switches that make it the microphone. It begins anew at its end.
    fn switches(&mut self) -> Result<Vec<String>, Failed> {
        self.sound.extend(silence(1.0));
        // A room is never quite still.
        let mut state = 1_u32;
        for sample in &mut self.sound {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *sample += 0.001 * (((state >> 16) as f32) / 32_768.0 - 1.0);
        }
        std::fs::write(&self.file, mono_16(&self.sound, 48_000))?;
        Ok(vec![
            "--use-fake-device-for-media-stream".into(),
            "--use-fake-ui-for-media-stream".into(),
            format!("--use-file-for-fake-audio-capture={}", self.file.display()),
        ])
    }
}

impl Drop for Microphone {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.file);
    }
}

fn silence(seconds: f64) -> Vec<f32> {
    vec![0.0; (RATE * seconds) as usize]
}

fn demo() -> Result<Workshop, Failed> {
    Ok(read(include_str!("../../demo-data/demo-shop.json")).map_err(|why| why.to_string())?)
}

async fn open(page: &Page) -> Result<(), Failed> {
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 9").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 9"))
        .await?;
    Ok(())
}

/// Keeps hold of what the page asks of the browser, and of what it gets.
async fn watch(page: &Page) -> Result<(), Failed> {
    let script = "const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices); \
        navigator.mediaDevices.getUserMedia = async how => { window.asked = how; return window.lent = await ask(how); }";
    page.run(script, vec![]).await?;
    Ok(())
}

/// The states of the tracks that the page got.
async fn tracks(page: &Page) -> Result<Value, Failed> {
    page.run(
        "return window.lent ? window.lent.getTracks().map(t => t.readyState) : []",
        vec![],
    )
    .await
}

/// Waits longer than a page usually needs, since sound takes its own time.
async fn until(
    page: &Page,
    css: &str,
    seconds: u64,
    fits: impl Fn(&str) -> bool,
) -> Result<String, Failed> {
    let end = Instant::now() + Duration::from_secs(seconds);
    loop {
        let last = page.texts(css).await?.join(" | ");
        if fits(&last) {
            return Ok(last);
        }
        if Instant::now() > end {
            return Err(format!("{css} reads \"{last}\"").into());
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_whole_course_is_measured_by_ear() -> Result<(), Failed> {
    let shop = demo()?;
    let instrument = shop.instruments.iter().find(|i| i.id == INSTRUMENT);
    let instrument = instrument.ok_or("the demo has no such instrument")?;
    // The low fourth as it sounds by its own figures, a little sharp as a whole, and the harmonic after the open string.
    let sharp = 2.4;
    let mut expected = Vec::new();
    let mut microphone = Microphone::new("course");
    for fret in [0, 1, 3, 5, 7, 9, 12] {
        let tone = report::tone(instrument, &shop.rack, 0, fret)?;
        let hz = tone.hz * Cents(sharp).ratio();
        microphone.pluck(hz, tone.bending, tone.pluck_at)?;
        if fret == 0 {
            microphone.pluck(2.0 * hz, 2.0 * tone.bending, tone.pluck_at)?;
        }
        expected.push((fret, Cents::of_ratio(hz / tone.true_hz).0));
    }

    let bench = Bench::new().await?;
    let browser = bench.browser_with(&microphone.switches()?).await?;
    let page = browser.open(bench.address()).await?;
    open(&page).await?;
    let before = stored(&page, Some(INSTRUMENT)).await?;
    let before = before["instruments"][0]["visits"][0]["readings"].clone();
    watch(&page).await?;
    page.press_in("#intonation", "Measure it by ear").await?;
    for (field, word) in [("notes", "spread"), ("repeats", "1")] {
        page.choose(&format!("#field-listen_{field}"), word).await?;
    }
    page.press_label("The harmonic at the octave").await?;
    assert_eq!(tracks(&page).await?, json!([]));
    page.press_in("#intonation .by-ear", "Listen").await?;
    page.until_text(".listening", |t| t.contains("Nothing is recorded or sent"))
        .await?;
    assert_eq!(tracks(&page).await?, json!(["live"]));
    let asked = page.run("return window.asked", vec![]).await?;
    assert_eq!(
        asked,
        json!({ "audio": { "echoCancellation": false, "noiseSuppression": false, "autoGainControl": false } })
    );
    // It shows the pitch with its spread while the note sounds.
    until(&page, "[data-figure='listen_live']", 20, |t| {
        t.contains('±')
    })
    .await?;
    let says = "[data-figure='listen_says']";
    until(&page, says, 55, |t| {
        t == "All notes of this course are measured."
    })
    .await?;
    assert_eq!(page.all(".listening").await?.len(), 0);
    assert_eq!(tracks(&page).await?, json!(["ended"]));

    let kept = stored(&page, Some(INSTRUMENT)).await?;
    let readings = kept["instruments"][0]["visits"][0]["readings"].as_array();
    let readings = readings.ok_or("no readings")?;
    for (fret, cents) in expected {
        let of_note: Vec<&Value> = readings
            .iter()
            .filter(|r| r["course"] == 1 && r["fret"] == fret)
            .collect();
        assert_eq!(of_note.len(), 1, "fret {fret}: {readings:?}");
        let read = of_note[0]["cents"].as_f64().ok_or("no cents")?;
        assert!(
            (read - cents).abs() < 0.5,
            "fret {fret}: {read} for {cents}"
        );
        let doubt = of_note[0]["sd_cents"].as_f64().ok_or("no doubt")?;
        // One pluck of a pressed note is no better than players press.
        let most = if fret == 0 { 0.7 } else { 2.2 };
        assert!(doubt > 0.0 && doubt < most, "fret {fret}: {doubt}");
    }
    // The fields show them, and the harmonic is told beside.
    let shown: f64 = page.value("#field-tuner-1-open").await?.parse()?;
    assert!((shown - sharp).abs() < 0.5, "{shown}");
    let heard = page.texts(".by-ear .heard li").await?;
    assert_eq!(heard.len(), 8);
    assert!(heard[1].starts_with("harmonic +2."), "{heard:?}");
    let stiff = page.texts(".by-ear .hint").await?.join(" ");
    assert!(stiff.contains("they agree"), "{stiff}");
    // One undo takes back all that was heard, and brings back what stood there.
    page.until_text(".slip-place .slip", |t| {
        t.contains("Took readings of course 1 by ear")
    })
    .await?;
    page.press_in(".slip-place:not(.listening)", "Undo").await?;
    page.until_count(".slip-place:not(.listening) .slip", 0)
        .await?;
    let back = stored(&page, Some(INSTRUMENT)).await?;
    assert_eq!(back["instruments"][0]["visits"][0]["readings"], before);
    // The next course stands ready, and nothing else was touched.
    assert_eq!(page.value("#field-listen_course").await?, "2");
    assert!(
        readings
            .iter()
            .any(|r| r["course"] == 2 && r["sd_cents"].is_null())
    );
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_pull_and_a_settling_string_are_heard_and_listening_ends_where_it_should()
-> Result<(), Failed> {
    let mut microphone = Microphone::new("pull");
    let open_hz = 195.998;
    microphone.pluck(open_hz * Cents(-37.0).ratio(), 0.002, 0.24)?;
    microphone.pluck(open_hz * Cents(113.0).ratio(), 0.002, 0.24)?;
    let bench = Bench::new().await?;
    let browser = bench.browser_with(&microphone.switches()?).await?;
    let page = browser.open(bench.address()).await?;
    open(&page).await?;
    watch(&page).await?;

    page.press_in("#playing-in", "New strings, just").await?;
    page.press_in(".slip", "Dismiss").await?;
    page.press_in("#playing-in", "Read it by ear").await?;
    let flat = "#field-look_flat_cents";
    let flat = filled(&page, flat).await?;
    assert!((flat - 37.0).abs() < 0.5, "{flat}");
    assert_eq!(tracks(&page).await?, json!(["ended"]));

    // Another instrument ends it.
    page.press_in("#playing-in", "Count its strokes by ear")
        .await?;
    page.find(".listening").await?;
    assert_eq!(tracks(&page).await?, json!(["live"]));
    page.press_in("#bench", "Concert 12").await?;
    page.until_count(".listening", 0).await?;
    assert_eq!(tracks(&page).await?, json!(["ended"]));
    // The mark's own button does, and so does a page that is not looked at.
    page.press_in("#playing-in", "Count its strokes by ear")
        .await?;
    page.find(".listening").await?;
    page.press_in(".listening", "Stop").await?;
    page.until_count(".listening", 0).await?;
    assert_eq!(tracks(&page).await?, json!(["ended"]));
    page.press_in("#playing-in", "Count its strokes by ear")
        .await?;
    page.find(".listening").await?;
    page.run(
        "Object.defineProperty(document, 'hidden', { value: true, configurable: true }); \
         document.dispatchEvent(new Event('visibilitychange', { bubbles: true })); delete document.hidden",
        vec![],
    )
    .await?;
    page.until_count(".listening", 0).await?;
    assert_eq!(tracks(&page).await?, json!(["ended"]));

    // The rack's pull: the string as it is, then drawn.
    page.press_in("#bench", "The rack").await?;
    page.find(".rack-row .rack-line").await?.click().await?;
    page.press_in("#sheet", "Measure it").await?;
    page.press_in("#sheet", "Read it by ear").await?;
    let rise = filled(&page, "#field-pull_rise_cents").await?;
    assert!((rise - 150.0).abs() < 0.5, "{rise}");
    let give = filled(&page, "#field-pull_rise_give_cents").await?;
    assert!(give > 0.0 && give < 1.0, "{give}");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

/// The number in a field, once there is one.
async fn filled(page: &Page, css: &str) -> Result<f64, Failed> {
    let end = Instant::now() + Duration::from_secs(20);
    while page.value(css).await?.is_empty() {
        if Instant::now() > end {
            return Err(format!("{css} stays empty").into());
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    Ok(page.value(css).await?.parse()?)
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn strokes_are_counted_by_ear() -> Result<(), Failed> {
    let mut microphone = Microphone::new("strokes");
    let per_minute = 132.0;
    for _ in 0..220 {
        let mut stroke = silence(60.0 / per_minute);
        for (i, sample) in stroke.iter_mut().take(8_000).enumerate() {
            let t = i as f32 / RATE as f32;
            *sample = 0.3 * (-30.0 * t).exp() * (9_000.0 * t).sin();
        }
        microphone.sound.extend(stroke);
    }
    let bench = Bench::new().await?;
    let browser = bench.browser_with(&microphone.switches()?).await?;
    let page = browser.open(bench.address()).await?;
    open(&page).await?;
    page.press_in("#playing-in", "Count its strokes by ear")
        .await?;
    let figure = "[data-figure='strokes_heard']";
    let told = until(&page, figure, 40, |t| t.contains("from 2")).await?;
    // A page held up for so long that many strokes passed unheard counts anew.
    let hold = async |ms: u32| {
        let script =
            format!("const end = performance.now() + {ms}; while (performance.now() < end);");
        page.run(&script, vec![]).await
    };
    let script = format!(
        "window.said = []; const place = document.querySelector(\"{figure}\"); \
         new MutationObserver(() => said.push(place.textContent)) \
         .observe(place, {{ childList: true, characterData: true, subtree: true }})"
    );
    page.run(&script, vec![]).await?;
    // What it has said since it was asked last.
    let said = async || -> Result<Vec<String>, Failed> {
        let said = page.run("return window.said.splice(0)", vec![]).await?;
        Ok(serde_json::from_value(said)?)
    };
    hold(4500).await?;
    let mut between = Vec::new();
    let end = Instant::now() + Duration::from_secs(20);
    while !between
        .iter()
        .any(|t: &String| t.starts_with("Listening for"))
    {
        assert!(Instant::now() < end, "{between:?}");
        tokio::time::sleep(Duration::from_millis(100)).await;
        between.extend(said().await?);
    }
    let told_anew = until(&page, figure, 40, |t| t.contains("from 2")).await?;
    said().await?;
    // Held up for less, though longer than sound is kept, it goes on: never again is there nothing to tell.
    hold(1200).await?;
    let told_on = until(&page, figure, 40, |t| t.contains("from 3")).await?;
    let said = said().await?;
    assert!(
        said.len() > 5 && said.iter().all(|t| t.contains("strokes a minute")),
        "{said:?}"
    );
    page.press_in("#playing-in", "Stop listening").await?;
    for told in [&told, &told_anew, &told_on] {
        let words: Vec<&str> = told.split(' ').collect();
        let (rate, doubt): (f64, f64) = (words[0].parse()?, words[2].parse()?);
        assert!((rate - per_minute).abs() < 0.5 && doubt < 0.5, "{told}");
    }
    page.press_in("#playing-in", "Take this rate").await?;
    let turns: f64 = page
        .value("#field-playing_turns_per_minute")
        .await?
        .parse()?;
    assert!((turns - per_minute).abs() < 0.5, "{turns}");

    // A browser whose sound stands still, and a card that runs too fast, are told of.
    for (what, is, says) in [
        ("currentTime", "1", "holds the sound back"),
        (
            "sampleRate",
            "192000",
            "runs faster than the page can listen",
        ),
    ] {
        let be = format!(
            "const all = BaseAudioContext.prototype; window.was = Object.getOwnPropertyDescriptor(all, '{what}'); \
             Object.defineProperty(all, '{what}', {{ get() {{ return {is}; }}, configurable: true }})"
        );
        page.run(&be, vec![]).await?;
        page.press_in("#playing-in", "Count its strokes by ear")
            .await?;
        page.until_text("[data-note='listen-strokes']", |t| t.contains(says))
            .await?;
        page.until_count(".listening", 0).await?;
        let back =
            format!("Object.defineProperty(BaseAudioContext.prototype, '{what}', window.was)");
        page.run(&back, vec![]).await?;
    }
    // So is a card whose browser gives a slower clock and then joins no sound to it, as some do: the first clock is the card's.
    let fast = "const all = BaseAudioContext.prototype, clocks = []; \
        Object.defineProperty(all, 'sampleRate', { get() { if (!clocks.includes(this)) clocks.push(this); \
        return clocks.indexOf(this) ? 48000 : 192000; }, configurable: true }); \
        AudioContext.prototype.createMediaStreamSource = () => { throw new DOMException('another rate', 'NotSupportedError'); }";
    page.run(fast, vec![]).await?;
    page.press_in("#playing-in", "Count its strokes by ear")
        .await?;
    page.until_text("[data-note='listen-strokes']", |t| {
        t.contains("Set it to 48 kHz")
    })
    .await?;
    page.until_count(".listening", 0).await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await
}

/// What the page says when it is asked to listen, and that a reading can be typed all the same.
async fn says_and_types(page: &Page) -> Result<String, Failed> {
    open(page).await?;
    page.press_in("#intonation", "Measure it by ear").await?;
    page.press_in("#intonation .by-ear", "Listen").await?;
    let why = page
        .until_text("#intonation [data-note='listen']", |t| t.ends_with('.'))
        .await?;
    assert_eq!(page.all(".listening").await?.len(), 0);
    page.type_into("#field-tuner-2-open", "-1.5").await?;
    let kept = stored(page, Some(INSTRUMENT)).await?;
    let readings = kept["instruments"][0]["visits"][0]["readings"].as_array();
    assert!(
        readings
            .into_iter()
            .flatten()
            .any(|r| r["course"] == 2 && r["fret"] == 0 && r["cents"] == -1.5)
    );
    Ok(why)
}

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn without_a_microphone_the_page_says_why_and_typing_works() -> Result<(), Failed> {
    // None is connected.
    let bench = Bench::new().await?;
    let allowed = "--use-fake-ui-for-media-stream".to_owned();
    let browser = bench.browser_with(&[allowed]).await?;
    let page = browser.open(bench.address()).await?;
    let why = says_and_types(&page).await?;
    assert!(why.starts_with("No microphone is connected."), "{why}");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await?;

    // The person refuses.
    let bench = Bench::new().await?;
    let switches = [
        "--use-fake-device-for-media-stream",
        "--deny-permission-prompts",
    ]
    .map(str::to_owned);
    let browser = bench.browser_with(&switches).await?;
    let page = browser.open(bench.address()).await?;
    let why = says_and_types(&page).await?;
    assert!(why.starts_with("The microphone was not allowed."), "{why}");
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await?;

    // The page is not from a secure address.
    let bench = Bench::new().await?;
    let switches = ["--host-resolver-rules=MAP workshop.test 127.0.0.1".to_owned()];
    let browser = bench.browser_with(&switches).await?;
    let address = bench.address().replace("127.0.0.1", "workshop.test");
    let page = browser.open(&address).await?;
    let why = says_and_types(&page).await?;
    assert!(
        why.contains("only to a page from a secure address"),
        "{why}"
    );
    browser.close().await
}
