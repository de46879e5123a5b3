//! Everything that must hold: formatting, lints, native tests, the page's build and weight, tests in a real browser.

use crate::run::{Failed, asks, cargo, run, say};
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

/// Runs the named parts, or all when none is named. `--only` may stand before them.
///
/// # Errors
/// The first part that fails, or a word that names none.
pub fn run_parts(names: &[String]) -> Result<(), Failed> {
    let parts = chosen(names)?;
    let begun = Instant::now();
    for (part, word) in &parts {
        let start = Instant::now();
        say(&format!("{word} …"));
        one(*part, &parts)?;
        say(&format!(
            "{word} done in {:.0} s",
            start.elapsed().as_secs_f64()
        ));
    }
    let words: Vec<&str> = parts.iter().map(|(_, word)| *word).collect();
    say(&format!(
        "all is well: {} in {:.0} s",
        words.join(", "),
        begun.elapsed().as_secs_f64()
    ));
    Ok(())
}

/// The parts that the words name, in the parts' own order; all for no word.
fn chosen(names: &[String]) -> Result<Vec<(Part, &'static str)>, Failed> {
    let names = match names {
        [only] if only == "--only" => return Err("--only wants the name of a part".into()),
        [only, rest @ ..] if only == "--only" => rest,
        all => all,
    };
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
    Ok(Part::ALL
        .into_iter()
        .filter(|(_, word)| names.is_empty() || names.iter().any(|n| n == word))
        .collect())
}

fn one(part: Part, parts: &[(Part, &str)]) -> Result<(), Failed> {
    let cargo = cargo();
    match part {
        Part::Format => {
            component(&cargo, "fmt", "rustfmt")?;
            run(&cargo, &["fmt", "--all", "--check"], &[])
        }
        Part::Lints => {
            component(&cargo, "clippy", "clippy")?;
            run(
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
            )
        }
        Part::Native => run(&cargo, &["test", "--workspace"], &[]),
        Part::Page => {
            let dist = page::build()?;
            page::weigh(&dist)
        }
        Part::Browser => {
            apt::browser()?;
            // Never a page of yesterday: asked for alone, this part builds what it drives.
            if parts.iter().all(|(p, _)| *p != Part::Page) {
                page::build()?;
            }
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

/// Makes sure that the toolchain has a tool of cargo's; a small toolchain comes without.
fn component(cargo: &str, tool: &str, name: &str) -> Result<(), Failed> {
    if asks(cargo, &[tool, "--version"]).is_some() {
        return Ok(());
    }
    say(&format!("adding {name} to the toolchain with rustup"));
    run("rustup", &["component", "add", name], &[])
        .map_err(|why| format!("cargo {tool} is missing and could not be added ({why})"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        text.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn parts_are_chosen_by_name_and_run_in_their_own_order() {
        let of = |text: &str| {
            chosen(&words(text)).map(|parts| parts.iter().map(|(_, w)| *w).collect::<Vec<_>>())
        };
        assert_eq!(of("").unwrap().len(), Part::ALL.len());
        assert_eq!(of("browser page").unwrap(), ["page", "browser"]);
        assert_eq!(of("--only native").unwrap(), ["native"]);
        assert!(of("--only").is_err());
        assert!(of("nativ").unwrap_err().contains("\"nativ\""));
    }
}
