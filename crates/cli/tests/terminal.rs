//! The command as a person at a terminal meets it: what it prints, where, and its exit code.

// A test that cannot set its stage should stop there.
#![allow(clippy::expect_used, clippy::unwrap_used)]

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const SHOP: &str = r#"{
  "format": "strungwell-workshop", "version": 1,
  "owners": [{ "id": "o", "name": "Ada Fell" }],
  "rack": [{ "id": "nylon", "name": "nylon 0.81", "make": { "plain": { "material": "nylon", "diameter_mm": 0.81 } } }],
  "instruments": [{
    "id": "i", "owner": "o", "name": "Concert", "scale_mm": 381, "frets": 18,
    "courses": [
      { "note": "G3", "strings": [{ "make": { "density": { "g_per_m": 2.1, "diameter_mm": 0.76 } } }] },
      { "note": "C4", "strings": [{ "rack": "nylon" }] }
    ]
  }]
}"#;

fn strungwell(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_strungwell"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .expect("the command starts")
}

/// A file of this test alone, with this text in it.
fn file(name: &str, text: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, text).expect("a test file can be written");
    path
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).expect("text")
}

/// The one line of a refusal: exit code 2, nothing on the standard output.
fn refusal(output: &Output) -> &str {
    let said = std::str::from_utf8(&output.stderr).expect("text");
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(output.stdout.is_empty(), "{}", out(output));
    assert_eq!(said.matches('\n').count(), 1, "{said}");
    assert!(
        said.starts_with("strungwell: ") && said.ends_with('\n'),
        "{said}"
    );
    said.trim_end()
}

#[test]
fn help_and_version() {
    for word in ["--help", "-h", "help"] {
        let output = strungwell(&[word]);
        assert!(output.status.success());
        assert!(out(&output).contains("strungwell report FILE --json"));
    }
    let output = strungwell(&["--version"]);
    assert_eq!(
        out(&output),
        format!("strungwell {}\n", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn a_command_that_cannot_be_used_says_so() {
    for (arguments, said) in [
        (&[][..], "no command is given"),
        (&["string"][..], "\"string\" is not a command"),
        (&["check"][..], "check takes one file"),
        (&["report", "a", "b"][..], "report takes one file"),
        (&["report", "--json"][..], "report takes one file"),
        (&["report", "a", "--now"][..], "--now takes a moment"),
        (
            &["report", "a", "--json", "--json"][..],
            "report takes one file",
        ),
        (
            &["report", "a", "--yaml"][..],
            "report knows no option \"--yaml\"",
        ),
        (
            &["check", "a", "--json"][..],
            "check knows no option \"--json\"",
        ),
    ] {
        let output = strungwell(arguments);
        assert_eq!(
            refusal(&output),
            format!("strungwell: {said}; try strungwell --help")
        );
    }
}

#[test]
fn check_counts_what_it_read() {
    let path = file("counted.json", SHOP);
    let output = strungwell(&["check", path.to_str().unwrap()]);
    assert!(output.status.success());
    assert_eq!(
        out(&output),
        format!(
            "{}: a workshop file of version 1: 1 owner, 1 instrument with 2 strings fitted, 0 visits, 1 rack string\n",
            path.display()
        )
    );
    assert_eq!(
        fs::read_to_string(&path).unwrap(),
        SHOP,
        "the file is only read"
    );
}

#[test]
fn report_prints_text_or_json() {
    let path = file("reported.json", SHOP);
    let path = path.to_str().unwrap();
    let text = strungwell(&["report", path]);
    assert!(text.status.success());
    assert!(out(&text).starts_with("Concert\n"), "{}", out(&text));

    let json = strungwell(&["report", path, "--json"]);
    assert!(json.status.success());
    assert_eq!(json.stdout, strungwell(&["report", "--json", path]).stdout);
    let report: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let instrument = &report["instruments"][0];
    assert_eq!(instrument["id"], "i");
    assert_eq!(instrument["courses"][0]["note"], "G3");
    // T = mu (2 L f)^2 with 2.1 g/m, 0.381 m and G3 = 195.998 Hz.
    let tension = instrument["courses"][0]["strings"][0]["tension_n"]
        .as_f64()
        .unwrap();
    assert!((tension - 46.84).abs() < 0.01, "{tension}");
}

#[test]
fn the_shop_s_sheet_of_every_instrument_is_printed_as_text() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/demo-shop.json");
    let path = path.to_str().unwrap();
    let sheets = strungwell(&["report", path, "--sheet", "--now", "2026-02-01T10:00Z"]);
    assert!(sheets.status.success());
    let json = strungwell(&["report", path, "--json", "--now", "2026-02-01T10:00Z"]);
    let report: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let shop: serde_json::Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    // From one instrument's name to the next one's stands its sheet.
    let mut rest = out(&sheets);
    let instruments = shop["instruments"].as_array().unwrap();
    for (at, instrument) in instruments.iter().enumerate() {
        let name = instrument["name"].as_str().unwrap();
        let next = instruments.get(at + 1).map(|next| next["name"].as_str());
        let end = next.flatten().map_or(rest.len(), |next| {
            rest.find(&format!("\n{next}\n")).expect("the next sheet") + 1
        });
        let sheet = &rest[..end];
        rest = &rest[end..];
        assert!(sheet.starts_with(&format!("{name}\n")), "{sheet}");
        assert!(sheet.contains("Day: 2026-02-01"), "{sheet}");
        for heading in ["\nStrings\n", "\nHeights as left\n", "\nNotes\n"] {
            assert!(sheet.contains(heading), "{name} lacks {heading}");
        }
        let owners = shop["owners"].as_array().unwrap();
        if let Some(owner) = owners.iter().find(|o| o["id"] == instrument["owner"]) {
            let line = format!("Owner: {}\n", owner["name"].as_str().unwrap());
            assert!(sheet.contains(&line), "{name} lacks {line}");
        }
        for course in report["instruments"][at]["courses"].as_array().unwrap() {
            for string in course["strings"].as_array().unwrap() {
                let newtons = string["tension_n"].as_f64().map(|n| format!("{n:.1} N"));
                assert!(
                    newtons.is_none_or(|n| sheet.contains(&n)),
                    "{name}: {string}\n{sheet}"
                );
            }
        }
        for visit in instrument["visits"].as_array().into_iter().flatten() {
            for field in ["date", "work", "parts", "said"] {
                let said = visit[field].as_str().unwrap_or_default();
                assert!(sheet.contains(said), "{name} lacks {said}");
            }
        }
    }
    // A sheet is not JSON: both at once are refused.
    let both = strungwell(&["report", path, "--sheet", "--json"]);
    assert!(refusal(&both).contains("report takes one file"));
}

#[test]
fn a_report_is_of_a_moment() {
    let playing = SHOP.replace(
        "\"frets\": 18,",
        "\"frets\": 18, \"playing_in\": { \"strokes_per_turn\": 3, \"turns_per_minute\": 25, \"started\": \"2026-01-31T10:00Z\" },",
    );
    let path = file("moment.json", &playing);
    let path = path.to_str().unwrap();
    let strokes = |now: &str| {
        let output = strungwell(&["report", "--json", "--now", now, path]);
        assert!(output.status.success());
        let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        report["instruments"][0]["playing_in"]["strokes"].as_f64()
    };
    // 75 a minute.
    assert_eq!(strokes("2026-01-31T11:00Z"), Some(4500.0));
    assert_eq!(strokes("2026-01-31T13:00+01:00"), Some(9000.0));
    let bad = strungwell(&["report", path, "--now", "noon"]);
    assert_eq!(
        refusal(&bad),
        "strungwell: --now reads \"noon\"; a moment written as 2026-01-31T10:00Z is accepted"
    );
    // Without a word the clock's is taken, which is later.
    let text = strungwell(&["report", path]);
    assert!(
        out(&text).contains("change the strings now"),
        "{}",
        out(&text)
    );
}

#[test]
fn the_standard_input_is_a_file_too() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_strungwell"))
        .args(["check", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(SHOP.as_bytes())
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    assert!(out(&output).starts_with("the standard input: a workshop file of version 1"));
}

#[test]
fn bad_input_names_file_record_and_field() {
    let bad = |name: &str, from: &str, to: &str| {
        assert!(SHOP.contains(from), "{from}");
        let path = file(name, &SHOP.replace(from, to));
        let path = path.to_str().unwrap().to_owned();
        let check = strungwell(&["check", &path]);
        let said = refusal(&check).to_owned();
        for arguments in [&["report", &path][..], &["report", &path, "--json"][..]] {
            assert_eq!(refusal(&strungwell(arguments)), said);
        }
        said.strip_prefix(&format!("strungwell: {path}: "))
            .expect("the file is named")
            .to_owned()
    };
    assert_eq!(
        bad("scale.json", "\"scale_mm\": 381", "\"scale_mm\": 0"),
        "instrument \"Concert\": scale_mm reads 0; a scale length in mm from 50 to 2000 is accepted"
    );
    assert!(
        bad("note.json", "\"C4\"", "\"H9\"")
            .starts_with("instrument \"Concert\" (course 2): note reads \"H9\"; a note such as G3")
    );
    assert_eq!(
        bad(
            "letters.json",
            "\"diameter_mm\": 0.81",
            "\"diameter_mm\": \"0.8x\""
        ),
        "rack string \"nylon 0.81\": diameter_mm reads \"0.8x\"; a diameter in mm from 0.05 to 10 is accepted"
    );
    assert_eq!(
        bad("nothing.json", "\"rack\": \"nylon\"", "\"rack\": \"gut\""),
        "instrument \"Concert\" (course 2, string 1): rack reads \"gut\"; the id of a rack string in this file is accepted"
    );
    assert!(
        bad("short.json", "    ]\n  }]\n}", "")
            .contains("reads the end of the text, so the file is cut short")
    );
    assert!(
        bad("newer.json", "\"version\": 1", "\"version\": 7")
            .starts_with("the file: version reads 7")
    );
}

#[test]
fn a_file_that_is_not_there_is_said() {
    let said = strungwell(&["check", "no/such/file.json"]);
    assert!(refusal(&said).starts_with("strungwell: no/such/file.json: it cannot be read: "));
    let folder = strungwell(&["report", env!("CARGO_TARGET_TMPDIR")]);
    assert!(refusal(&folder).contains("it cannot be read: "));
}

#[test]
fn a_file_that_is_no_text_is_said() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("bytes.json");
    fs::write(&path, [0x7b, 0x22, 0xff, 0xfe]).unwrap();
    let output = strungwell(&["check", path.to_str().unwrap()]);
    assert!(
        refusal(&output).contains("the file: byte 3 reads something that is not text in UTF-8")
    );
}

#[test]
fn a_hostile_name_does_not_reach_the_terminal() {
    let path = file(
        "hostile.json",
        &SHOP.replace("\"Concert\"", "\"\\u001b[2Jgone\\n\""),
    );
    let output = strungwell(&["report", path.to_str().unwrap()]);
    assert!(output.status.success());
    assert!(!out(&output).contains('\u{1b}'), "{}", out(&output));
}

/// The files of `demo-data` in a folder of it, by name.
fn demo_files(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../demo-data")
        .join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("demo-data stands in the repository")
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    files.sort();
    files
}

#[test]
fn the_demo_files_are_sound_and_the_bad_ones_refused() {
    let sound = demo_files("");
    assert!(sound.len() >= 3);
    for path in sound {
        let output = strungwell(&["check", path.to_str().unwrap()]);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    let bad = demo_files("bad");
    assert!(bad.len() >= 8);
    for path in bad {
        let output = strungwell(&["check", path.to_str().unwrap()]);
        assert!(
            refusal(&output).contains(" is accepted"),
            "{}",
            path.display()
        );
    }
}
