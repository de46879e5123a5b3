//! Everything that must hold: formatting, lints, native tests, the page's build and weight, tests in a real browser.

use crate::run::{Failed, cargo, run, say};
use crate::{apt, page};
use std::time::Instant;

/// One part of the check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Formatting.
    Format,
    /// Lints, with warnings denied.
    Lints,
    /// Native tests.
    Native,
    /// The page's build and weight.
    Page,
    /// Tests in a real browser; needs the page built.
    Browser,
}

impl Part {
    /// All parts in their order, with the word for each.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Format, "format"),
        (Self::Lints, "lints"),
        (Self::Native, "native"),
        (Self::Page, "page"),
        (Self::Browser, "browser"),
    ];
}

/// Runs the named parts, or all when none is named.
///
/// # Errors
/// The first part that fails, or a word that names none.
pub fn run_parts(names: &[String]) -> Result<(), Failed> {
    if let Some(unknown) = names
        .iter()
        .find(|n| Part::ALL.iter().all(|(_, word)| word != n))
    {
        let words: Vec<&str> = Part::ALL.iter().map(|(_, word)| *word).collect();
        return Err(format!(
            "\"{unknown}\" is no part of the test; the parts are {}",
            words.join(", ")
        ));
    }
    for (part, word) in Part::ALL {
        if names.is_empty() || names.iter().any(|n| n == word) {
            let start = Instant::now();
            say(&format!("{word} …"));
            one(part)?;
            say(&format!(
                "{word} done in {:.0} s",
                start.elapsed().as_secs_f64()
            ));
        }
    }
    Ok(())
}

fn one(part: Part) -> Result<(), Failed> {
    let cargo = cargo();
    match part {
        Part::Format => run(&cargo, &["fmt", "--all", "--check"], &[]),
        Part::Lints => run(
            &cargo,
            &[
                "clippy",
                "--workspace",
                "--all-targets",
                "--",
                "-D",
                "warnings",
            ],
            &[],
        ),
        Part::Native => run(&cargo, &["test", "--workspace"], &[]),
        Part::Page => {
            let dist = page::build()?;
            page::weigh(&dist)
        }
        Part::Browser => {
            apt::browser()?;
            run(
                &cargo,
                &[
                    "test",
                    "--package",
                    "strungwell-tests",
                    "--test",
                    "browser",
                    "--",
                    "--ignored",
                ],
                &[],
            )
        }
    }
}
