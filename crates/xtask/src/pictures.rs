//! Pictures of the page, taken by the browser tests' own harness.

use crate::run::{Failed, cargo, root, run, say};
use crate::{apt, page};
use std::path::Path;

/// How `look` is called.
pub const LOOK: &str = "look [--out DIR] [--width N] [--dark] [--print] [--script FILE]";

/// Takes the pictures that the project keeps, into `docs/pictures`.
///
/// # Errors
/// When a scene cannot be reached.
pub fn keep() -> Result<(), Failed> {
    take(&root().join("docs/pictures"), &[])
}

/// Takes one picture of the whole page, 1280 px wide by day if nothing else is said, and prints it to PDF if asked; the
/// file of `--script` tells the way to what is shown, one step a line (`tests/browser/fixtures/steps.rs` lists the steps).
///
/// # Errors
/// When the words are not understood or a step cannot be taken.
pub fn look(words: &[String]) -> Result<(), Failed> {
    let mut out = root().join("target/look");
    let mut with = Vec::new();
    let mut steps = String::new();
    let mut words = words.iter();
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("{word} wants a value: {LOOK}"));
        match word.as_str() {
            "--out" => out = std::path::absolute(value()?).map_err(|why| why.to_string())?,
            "--width" => with.push(("STRUNGWELL_LOOK_WIDTH", width(value()?)?)),
            "--dark" => with.push(("STRUNGWELL_LOOK_NIGHT", "1".into())),
            "--print" => with.push(("STRUNGWELL_LOOK_PRINT", "1".into())),
            "--script" => {
                let file = value()?;
                steps = std::fs::read_to_string(file).map_err(|why| format!("{file}: {why}"))?;
            }
            other => return Err(format!("\"{other}\" is not understood: {LOOK}")),
        }
    }
    with.push(("STRUNGWELL_LOOK", steps));
    take(&out, &with)
}

fn width(text: &str) -> Result<String, Failed> {
    match text.parse::<u32>() {
        Ok(width) if (100..=4000).contains(&width) => Ok(text.into()),
        _ => Err(format!("\"{text}\" is no width: 100 to 4000 (px) is")),
    }
}

fn take(out: &Path, with: &[(&str, String)]) -> Result<(), Failed> {
    apt::browser()?;
    page::build()?;
    let out_text = out.to_string_lossy();
    let mut with: Vec<(&str, &str)> = with.iter().map(|(k, v)| (*k, v.as_str())).collect();
    with.push(("STRUNGWELL_PICTURES", &out_text));
    let args = [
        "test",
        "--package",
        "strungwell-tests",
        "--test",
        "browser",
        "--",
        "--ignored",
        "--nocapture",
        "pictures::",
    ];
    run(cargo(), &args, &with)?;
    say(&format!("the pictures stand in {}", out.display()));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_are_not_understood_are_named() {
        for (words, named) in [
            (&["--widht", "360"][..], "\"--widht\""),
            (&["--width"], "--width wants a value"),
            (&["--width", "36o"], "\"36o\""),
            (&["--width", "0"], "\"0\""),
            (&["--script", "no-such-file"], "no-such-file"),
        ] {
            let words: Vec<String> = words.iter().map(|w| (*w).into()).collect();
            let why = look(&words).unwrap_err();
            assert!(why.contains(named), "{why}");
        }
    }
}
