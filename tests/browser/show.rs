//! An instrument shown to a player: what is seen, felt and heard is what the report says, and a link shows it elsewhere.

use crate::fixtures::{Bench, Failed, Glass, Page, stored, terminal};
use fantoccini::key::Key;
use serde_json::{Value, json};
use std::time::Duration;
use strungwell_tests::ear::{roughness, strongest_near};
use strungwell_workshop::checksum::crc32;
use strungwell_workshop::link;
use strungwell_workshop::show::Which;
use strungwell_workshop::units::{Units, signed};

const INSTRUMENT: &str = "inst-concert-12";

/// From the welcome to the demo's concert instrument, and its view for a player.
pub(crate) async fn opened(page: &Page) -> Result<Value, Failed> {
    page.press("Look round the demo shop").await?;
    page.press_in("#bench", "Concert 12").await?;
    page.until_text(".sheet h1", |t| t.starts_with("Concert 12"))
        .await?;
    let workshop = stored(page, Some(INSTRUMENT)).await?;
    page.press("Show a player").await?;
    page.find(".player .note-button[data-course='2'][aria-pressed='true']")
        .await?;
    Ok(workshop)
}

/// Moves a slider as a hand does.
pub(crate) async fn slide(page: &Page, name: &str, value: &str) -> Result<(), Failed> {
    let slider = page.find(&format!("[data-field='{name}']")).await?;
    page.run(
        "arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input', { bubbles: true }))",
        vec![serde_json::to_value(&slider)?, json!(value)],
    )
    .await?;
    Ok(())
}

/// Picks one of the setups for the first or the second side, by its words.
async fn side_by(page: &Page, side: usize, words: &str) -> Result<(), Failed> {
    page.run(
        "const s = document.getElementById(arguments[0]);
         s.value = [...s.options].find(o => o.text.startsWith(arguments[1])).value;
         s.dispatchEvent(new Event('change', { bubbles: true }))",
        vec![json!(format!("show-side-{side}")), json!(words)],
    )
    .await?;
    Ok(())
}

/// What the setup on a side is called.
pub(crate) async fn called(page: &Page, side: usize) -> Result<String, Failed> {
    let name = page
        .run(
            "return document.getElementById(arguments[0]).selectedOptions[0].text",
            vec![json!(format!("show-side-{}", side - 1))],
        )
        .await?;
    Ok(name.as_str().unwrap_or_default().to_owned())
}

/// The link that is made of what is shown, after the address.
async fn link_made(page: &Page) -> Result<String, Failed> {
    page.press("Make a link").await?;
    let link = page.value("[data-field='show_link']").await?;
    let (_, carried) = link.split_once("#/show/").ok_or("no link")?;
    Ok(carried.to_owned())
}

/// Finger's force, cents and headroom of a side, as shown.
async fn shown(page: &Page, side: usize) -> Result<[String; 3], Failed> {
    let mut all = [const { String::new() }; 3];
    for (text, figure) in all
        .iter_mut()
        .zip(["show_finger", "show_cents", "show_headroom"])
    {
        let css = format!("[data-side='{side}'] [data-figure='{figure}']");
        *text = page.text(&css).await?;
    }
    Ok(all)
}

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

/// All gaps at the twelfth fret of a workshop's instrument moved, in mm.
fn moved(workshop: &Value, by: f64) -> Result<Value, Failed> {
    let mut workshop = workshop.clone();
    let courses = workshop["instruments"][0]["setup"]["courses"]
        .as_array_mut()
        .ok_or("no setup")?;
    for course in courses {
        let gap = course["gap_12_mm"].as_f64().ok_or("no gap")?;
        course["gap_12_mm"] = json!(((gap + by) * 1e4).round() / 1e4);
    }
    Ok(workshop)
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

    page.press("Walk me through it, in two moves").await?;
    page.until_text(".show-tour", |t| {
        t.contains("1 of 2") && t.contains("cannot show it") && t.contains("not measured")
    })
    .await?;
    page.press_in(".player .note-buttons", "G3").await?;
    assert_eq!(page.run(is_still, vec![]).await?, false);
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
    assert_eq!(page.run(is_still, vec![]).await?, true);
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

#[tokio::test]
#[ignore = "needs the built page: cargo xtask test"]
async fn a_link_shows_the_same_in_a_browser_that_knows_nothing() -> Result<(), Failed> {
    let bench = Bench::new().await?;
    let browser = bench.browser().await?;
    let page = browser.open(bench.address()).await?;
    let workshop = opened(&page).await?;
    slide(&page, "show_action", "2.2").await?;
    page.until_text(".show-controls", |t| t.contains("2.20 mm"))
        .await?;
    let [first, second] = [shown(&page, 1).await?, shown(&page, 2).await?];
    let carried = link_made(&page).await?;
    assert!(carried.len() <= 2900, "{}", carried.len());
    let lower = carried.to_lowercase();
    let instrument = &workshop["instruments"][0];
    for field in ["name", "note", "id", "owner", "serial", "maker", "family"] {
        for word in instrument[field].as_str().unwrap_or("").split(' ') {
            let word = word.to_lowercase();
            assert!(word.len() < 4 || !lower.contains(&word), "{field}: {word}");
        }
    }
    page.find(".qr path").await?;

    // Another instrument stays at home; and it is no first setup of a link.
    let names = [called(&page, 1).await?, called(&page, 2).await?];
    assert_eq!(names[0], "As it leaves");
    side_by(&page, 1, "Concert 9").await?;
    let alone = link::decode(&link_made(&page).await?)?;
    assert_eq!((alone.which, alone.other), (Which::Tried, None));
    side_by(&page, 0, "Concert 9").await?;
    page.press("Make a link").await?;
    page.until_text(".show-share", |t| t.contains("No link: it shows another"))
        .await?;

    // On a phone the finger follows a hand, and nothing sticks out.
    page.look_through(Glass::NARROW).await?;
    page.find(".neck-side").await?;
    assert_eq!(page.sideways().await?, 0);
    page.drag("[data-side='1'] .touch-finger", -60.0, 0.0)
        .await?;
    page.until_text(".show-controls", |t| !t.contains("fret 5"))
        .await?;
    assert_eq!(page.complaints().await?, Vec::<String>::new());
    browser.close().await?;

    let other = Bench::new().await?;
    let fresh = other.browser().await?;
    let address = format!("{}/#/show/", other.address());
    let page = fresh.open(&format!("{address}{carried}")).await?;
    assert_eq!(called(&page, 1).await?, "With the height tried");
    assert_eq!(called(&page, 2).await?, names[1]);
    assert_eq!(shown(&page, 1).await?, first);
    assert_eq!(shown(&page, 2).await?, second);
    assert_eq!(page.complaints().await?, Vec::<String>::new());

    // A link that was cut short, and one that never was one, are refused in a sentence.
    let short = &carried[..carried.len() - 9];
    let long = format!("show1:{}", "1,".repeat(2000));
    for (bad, says) in [
        (short, "cut short"),
        ("<b>hello</b>", "shows no instrument"),
        (long.as_str(), "too long"),
    ] {
        let page = fresh.open(&format!("{address}{bad}")).await?;
        let why = page
            .until_text("[data-show='refused']", |t| t.contains(says))
            .await?;
        assert!(why.starts_with("Sorry"), "{why}");
        assert_eq!(page.complaints().await?, Vec::<String>::new());
    }
    fresh.close().await
}
