//! A string made for another instrument, judged on this one from its rating.

use crate::choose::{Ask, Candidate, Finding, Limits, Verdict};
use crate::records::{Instrument, Make, RackString, Rated};
use crate::report::{Fitted, OpenString, seated_figures};
use crate::units::Units;
use strungwell_physics::quantity::{InBenchUnits, mm};
use strungwell_physics::tails::Tails;

/// How a string's end is made, or what an instrument holds it by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum End {
    /// A bare end, tied or knotted.
    #[default]
    Plain,
    /// A ball or a barrel in a loop.
    Ball,
    /// An open loop.
    Loop,
}

impl End {
    const fn words(self) -> &'static str {
        match self {
            Self::Plain => "a bare end",
            Self::Ball => "a ball",
            Self::Loop => "a loop",
        }
    }
}

/// A string that is to be borrowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Borrowing {
    /// What its maker says of it.
    pub rating: Rated,
    /// How its end is made.
    pub end: End,
    /// Its whole length in mm from end to end; none when nobody measured it.
    pub whole_mm: Option<f64>,
    /// What this instrument holds strings by; none when it is not said.
    pub holds: Option<End>,
    /// From the saddle to the fastened end, in mm; none takes what is usual.
    pub behind_saddle_mm: Option<f64>,
    /// From the nut to the tuner's post, in mm; none takes what is usual.
    pub nut_to_post_mm: Option<f64>,
    /// Turns around the post; none takes what is usual.
    pub turns: Option<f64>,
}

/// A borrowed string on this instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Borrowed {
    /// Its figures and what speaks for and against it, the end and the length among them.
    pub candidate: Candidate,
    /// The length that it needs from end to end, in mm.
    pub needs_mm: f64,
    /// How far its rating's scale and note lie from here, and what that does to its tension, in words.
    pub compared: String,
    /// What was taken because nobody said it, each a sentence.
    pub assumed: Vec<String>,
}

// What is usual where nobody measured, from memory.
const BEHIND_MM: f64 = 20.0;
const TO_POST_MM: f64 = 100.0;
const TURNS: f64 = 3.0;
const POST_MM: f64 = 6.0;
/// Enough to hold by while it is wound on.
const SPARE_MM: f64 = 40.0;

/// Judges a borrowed string on a course.
///
/// # Errors
/// A sentence when there is no such course, the note or the rating cannot be read, or a length is not physical.
pub fn borrowed(
    instrument: &Instrument,
    rack: &[RackString],
    ask: &Ask,
    borrowing: &Borrowing,
) -> Result<Borrowed, String> {
    let units = ask.units;
    let open = OpenString::of(instrument, ask.course, &ask.note)?;
    let make = Make::Rated(borrowing.rating.clone());
    let fitted = Fitted::of(&make)?;
    let limits = Limits::of(instrument, rack, ask.course);
    let figures = seated_figures(&fitted, &open, instrument, ask.course);
    let tension = figures
        .tension_n
        .ok_or_else(|| figures.breaking_note.clone())?;
    let wanted = ask
        .tension_n
        .filter(|n| n.is_finite() && *n > 0.0)
        .or(limits.neighbours_mean_n)
        .unwrap_or(tension);
    let (_, mut findings) = limits.judge(&figures, &fitted.make, wanted, None, units);
    let mut assumed = Vec::new();
    let (needs_mm, parts) = needs(instrument, borrowing, &open, &fitted, units, &mut assumed)?;
    findings.push(length_finding(borrowing, needs_mm, &parts, units));
    findings.push(end_finding(borrowing, &mut assumed));
    findings.sort_by_key(|f| std::cmp::Reverse(f.verdict));
    let verdict = findings
        .iter()
        .map(|f| f.verdict)
        .max()
        .unwrap_or(Verdict::Good);
    if borrowing.rating.core.is_none() {
        assumed.push(
            "What bears its tension inside is not said, so it is taken as wound on nylon: no breaking figure, a stretch of 51 give \
             or take 5. A pull test would tell."
                .into(),
        );
    }
    let compared = format!(
        "Rated {} at {} on {}; here {} at {} on {}.",
        units.force(borrowing.rating.tension_n),
        crate::problem::clean(&borrowing.rating.note, 12),
        units.length(borrowing.rating.scale_mm),
        units.force(tension),
        crate::problem::clean(&ask.note, 12),
        units.length(open.length.bench())
    );
    Ok(Borrowed {
        candidate: Candidate {
            from: crate::choose::From::Stock,
            make,
            note: ask.note.clone(),
            figures,
            verdict,
            findings,
        },
        needs_mm,
        compared,
        assumed,
    })
}

fn needs(
    instrument: &Instrument,
    borrowing: &Borrowing,
    open: &OpenString,
    fitted: &Fitted,
    units: Units,
    assumed: &mut Vec<String>,
) -> Result<(f64, String), String> {
    let mut or = |said: Option<f64>, usual: f64, what: &str, length: bool| {
        said.unwrap_or_else(|| {
            let usual_words = if length {
                units.length(usual)
            } else {
                crate::units::figure(usual, 0)
            };
            assumed.push(format!("{what} is taken as {usual_words}; measure it."));
            usual
        })
    };
    let post = instrument.tuner.as_ref().and_then(|t| t.post_mm);
    let tails = Tails {
        behind_saddle: mm(or(
            borrowing.behind_saddle_mm,
            BEHIND_MM,
            "The length behind the saddle",
            true,
        )),
        nut_to_post: mm(or(
            borrowing.nut_to_post_mm,
            TO_POST_MM,
            "The length from nut to post",
            true,
        )),
        turns: or(borrowing.turns, TURNS, "The number of turns", false),
        post: mm(or(post, POST_MM, "The post's diameter", true)),
        spare: mm(SPARE_MM),
    };
    let whole = tails
        .length_needed(open.length, fitted.make.diameter())
        .map_err(|why| why.to_string())?
        .bench();
    let parts = format!(
        "{} speaking, {} behind the saddle, {} to the post, {:.0} turns and {} to hold by",
        units.length(open.length.bench()),
        units.length(tails.behind_saddle.bench()),
        units.length(tails.nut_to_post.bench()),
        tails.turns,
        units.length(SPARE_MM)
    );
    Ok((whole, parts))
}

fn length_finding(borrowing: &Borrowing, needs_mm: f64, parts: &str, units: Units) -> Finding {
    let needed = format!("{} are needed ({parts})", units.length(needs_mm));
    let (verdict, text) = match borrowing.whole_mm {
        Some(whole) if whole.is_finite() && whole >= needs_mm => (
            Verdict::Good,
            format!("Long enough: {needed} and it has {}.", units.length(whole)),
        ),
        Some(whole) => (
            Verdict::RuledOut,
            format!("Too short: {needed} and it has {}.", units.length(whole)),
        ),
        // A string for a scale is longer than the scale, by how much nobody said.
        None if borrowing.rating.scale_mm >= needs_mm => (
            Verdict::Good,
            format!(
                "Long enough: {needed} and its own scale alone is {}.",
                units.length(borrowing.rating.scale_mm)
            ),
        ),
        None => (
            Verdict::Fair,
            format!(
                "Measure its length: {needed}; its own scale is {}.",
                units.length(borrowing.rating.scale_mm)
            ),
        ),
    };
    Finding {
        code: "length",
        verdict,
        text,
    }
}

fn end_finding(borrowing: &Borrowing, assumed: &mut Vec<String>) -> Finding {
    let has = borrowing.end.words();
    let (verdict, text) = match (borrowing.holds, borrowing.end) {
        (None, end) => {
            assumed.push("What the instrument holds strings by is not said.".into());
            (
                Verdict::Fair,
                format!(
                    "It ends in {}: look whether the bridge or tailpiece takes that.",
                    end.words()
                ),
            )
        }
        (Some(holds), end) if holds == end => (
            Verdict::Good,
            format!("It ends in {has}, which the instrument takes."),
        ),
        (Some(End::Plain), _) => (
            Verdict::Fair,
            format!(
                "It ends in {has} and the bridge takes a bare end: cut it off and tie the string, if its core holds a knot and \
                 its winding does not come loose."
            ),
        ),
        (Some(holds), End::Plain) => (
            Verdict::Fair,
            format!(
                "It ends bare and the instrument takes {}: tie one to it.",
                holds.words()
            ),
        ),
        (Some(holds), _) => (
            Verdict::Fair,
            format!(
                "It ends in {has} and the instrument takes {}: a ball can be pushed out of its loop, and one tied into a loop.",
                holds.words()
            ),
        ),
    };
    Finding {
        code: "end",
        verdict,
        text,
    }
}
