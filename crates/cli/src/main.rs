//! `strungwell`: the report and the file check at a terminal.

use std::fmt::Write as _;
use std::io::{self, Read, Write};
use std::process::ExitCode;
use std::time::{SystemTime, UNIX_EPOCH};
use strungwell_workshop::file::{self, MOST_BYTES};
use strungwell_workshop::hand_over;
use strungwell_workshop::moment::{self, Now};
use strungwell_workshop::problem::clean;
use strungwell_workshop::records::Workshop;
use strungwell_workshop::report::{self, Report};

const HELP: &str = "\
Strungwell: what a workshop file says about its strings and instruments.

Usage:
  strungwell report FILE           every computed figure, as text
  strungwell report FILE --json    the same as JSON
  strungwell report FILE --sheet   the shop's sheet of each instrument: all figures as they stand
  strungwell report FILE --now 2026-01-31T10:00Z
                                   as of that moment, not of this one
  strungwell check FILE            read the file and say what is in it
  strungwell --help                this text
  strungwell --version             the version

FILE may be - for the standard input. Nothing is written to any file.
Exit code: 0 all is well; 2 the file or the command cannot be used, said in one line.
";

/// The command or the file cannot be used.
const BAD_INPUT: u8 = 2;

/// Nobody could be told: the terminal or the pipe takes no more.
const CANNOT_WRITE: u8 = 1;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args_os()
        .skip(1)
        .map(|word| word.to_string_lossy().into_owned())
        .collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let result = match words[..] {
        ["--help" | "-h" | "help"] => Ok(HELP.to_owned()),
        ["--version" | "-V"] => Ok(format!("strungwell {}\n", env!("CARGO_PKG_VERSION"))),
        ["check", path] if is_file(path) => check(path),
        ["report", ref rest @ ..] => Asked::of(rest)
            .ok_or_else(|| misused(&words))
            .and_then(|asked| asked.report()),
        _ => Err(misused(&words)),
    };
    match result {
        Ok(text) => match io::stdout().lock().write_all(text.as_bytes()) {
            Ok(()) => ExitCode::SUCCESS,
            Err(_) => ExitCode::from(CANNOT_WRITE),
        },
        Err(line) => {
            // When even this cannot be written, the exit code still tells.
            let _ = writeln!(io::stderr().lock(), "strungwell: {line}");
            ExitCode::from(BAD_INPUT)
        }
    }
}

/// Whether a word stands for a file and not for an option.
fn is_file(word: &str) -> bool {
    word == "-" || !word.starts_with('-')
}

/// A report that is asked for.
struct Asked<'a> {
    path: &'a str,
    json: bool,
    sheet: bool,
    now: Option<&'a str>,
}

impl<'a> Asked<'a> {
    /// The words after `report`, in any order; none when they are no file and its options.
    fn of(words: &[&'a str]) -> Option<Self> {
        let (mut path, mut json, mut sheet, mut now) = (None, false, false, None);
        let mut words = words.iter();
        while let Some(word) = words.next() {
            match *word {
                "--json" if !json && !sheet => json = true,
                "--sheet" if !json && !sheet => sheet = true,
                "--now" if now.is_none() => now = Some(*words.next()?),
                word if is_file(word) && path.is_none() => path = Some(word),
                _ => return None,
            }
        }
        Some(Self {
            path: path?,
            json,
            sheet,
            now,
        })
    }

    /// Every computed figure of the file, for people or as JSON for programs.
    fn report(&self) -> Result<String, String> {
        let now = match self.now {
            Some(text) => Now {
                seconds: moment::seconds(text).ok_or_else(|| {
                    format!(
                        "--now reads \"{}\"; a moment written as 2026-01-31T10:00Z is accepted",
                        clean(text, 40)
                    )
                })?,
                ahead_min: 0,
            },
            None => clock(),
        };
        let shop = read(self.path)?;
        let report = report::report_at(&shop, Some(now));
        if self.sheet {
            return Ok(sheets(&shop, &report, now));
        }
        if !self.json {
            return Ok(report::text(&report));
        }
        let mut text = serde_json::to_string_pretty(&report).map_err(|error| {
            format!(
                "{}: the report cannot be written as JSON: {error}",
                named(self.path)
            )
        })?;
        text.push('\n');
        Ok(text)
    }
}

/// The shop's sheet of each instrument, one after the other.
fn sheets(shop: &Workshop, report: &Report, now: Now) -> String {
    let day = now.text().unwrap_or_default();
    let day = day.get(..10).unwrap_or_default();
    let sheets = shop.instruments.iter().zip(&report.instruments);
    let sheets = sheets.map(|(instrument, report)| {
        let owner = instrument.owner.as_deref().and_then(|id| shop.owner(id));
        let beside = hand_over::Beside {
            owner: owner.map_or("", |owner| &owner.name),
            day,
            ..hand_over::Beside::default()
        };
        hand_over::shop(instrument, report, beside).text()
    });
    sheets.collect::<Vec<_>>().join("\n")
}

/// What the machine's clock says, to the minute, in universal time.
fn clock() -> Now {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let minutes = since.map_or(0.0, |since| (since.as_secs_f64() / 60.0).floor());
    Now {
        seconds: 60.0 * minutes,
        ahead_min: 0,
    }
}

/// What is wrong with a command that cannot be used.
fn misused(words: &[&str]) -> String {
    let what = match words {
        [] => "no command is given".to_owned(),
        [command @ ("check" | "report"), rest @ ..] => {
            let known = |word: &str| {
                is_file(word)
                    || (*command == "report" && matches!(word, "--json" | "--sheet" | "--now"))
            };
            match rest.iter().find(|word| !known(word)) {
                Some(option) => format!("{command} knows no option \"{}\"", clean(option, 40)),
                None if rest.last() == Some(&"--now") => "--now takes a moment".to_owned(),
                None => format!("{command} takes one file"),
            }
        }
        [command, ..] => format!("\"{}\" is not a command", clean(command, 40)),
    };
    format!("{what}; try strungwell --help")
}

/// What is in a file, by count.
fn check(path: &str) -> Result<String, String> {
    let workshop = read(path)?;
    let mut text = String::new();
    let strings: usize = workshop
        .instruments
        .iter()
        .flat_map(|instrument| &instrument.courses)
        .map(|course| course.strings.len())
        .sum();
    let visits: usize = workshop
        .instruments
        .iter()
        .map(|instrument| instrument.visits.len())
        .sum();
    // Writing to a String cannot fail.
    let _ = writeln!(
        text,
        "{}: a workshop file of version {}: {}, {} with {} fitted, {}, {}",
        named(path),
        workshop.version,
        counted(workshop.owners.len(), "owner"),
        counted(workshop.instruments.len(), "instrument"),
        counted(strings, "string"),
        counted(visits, "visit"),
        counted(workshop.rack.len(), "rack string"),
    );
    Ok(text)
}

fn counted(count: usize, what: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {what}{ending}")
}

/// A path as a line of words shows it.
fn named(path: &str) -> String {
    if path == "-" {
        "the standard input".to_owned()
    } else {
        clean(path, 200)
    }
}

/// Reads the workshop file at a path, or from the standard input for `-`.
fn read(path: &str) -> Result<Workshop, String> {
    let name = named(path);
    let bytes = if path == "-" {
        bytes_of(&mut io::stdin().lock())
    } else {
        std::fs::File::open(path).and_then(|mut file| bytes_of(&mut file))
    }
    .map_err(|error| {
        format!(
            "{name}: it cannot be read: {}",
            clean(&error.to_string(), 120)
        )
    })?;
    file::read_bytes(&bytes).map_err(|problem| format!("{name}: {problem}"))
}

/// Everything that a source gives, but no more than one byte over what the reader takes, which then says so.
fn bytes_of(source: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(MOST_BYTES)
        .unwrap_or(u64::MAX)
        .saturating_add(1);
    source.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}
