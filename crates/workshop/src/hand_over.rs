//! Hand over: the sheet that goes with the instrument to its customer, and the one that stays in the shop.
//!
//! Both are words and tables that any printer can lay out: the page prints them, the terminal writes them. Figures come from the
//! report; the care and the cautions are common practice, said once, and defer to those who know better.

use crate::cautions::{BORDER, WIRE};
use crate::problem::clean;
use crate::records::{CourseSetup, Instrument, Setup};
use crate::report::{FretFigures, InstrumentReport};
use crate::units::{NO_FIGURE, Units, figure, per_cent, signed};
use std::fmt::Write as _;

/// A sheet to print.
#[derive(Clone, Debug, PartialEq)]
pub struct Handout {
    /// What stands over it: the instrument's name.
    pub title: String,
    /// Its parts, read downwards.
    pub parts: Vec<Part>,
}

/// One part of a sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Part {
    /// What it is about; empty for the lines under the title.
    pub heading: &'static str,
    /// The heads of the table's columns; empty without a table.
    pub head: Vec<String>,
    /// The table's rows.
    pub rows: Vec<Vec<String>>,
    /// What stands under the table, a sentence each.
    pub lines: Vec<String>,
}

/// What is known beside the instrument itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beside<'a> {
    /// The owner's name; empty when there is none.
    pub owner: &'a str,
    /// The day, as it shall be printed.
    pub day: &'a str,
    /// The units to print in.
    pub units: Units,
}

/// The sheet for the customer: what it is, its tuning and strings, its heights, how to care for it, what to beware of.
#[must_use]
pub fn customer(instrument: &Instrument, report: &InstrumentReport, beside: Beside<'_>) -> Handout {
    let units = beside.units;
    let strings = report.courses.iter().enumerate().flat_map(|(at, course)| {
        course.strings.iter().map(move |string| {
            vec![
                (at + 1).to_string(),
                line(&course.note),
                line(&string.name),
                units.force(string.tension_n),
            ]
        })
    });
    let strings = Part {
        heading: "Tuning and strings",
        head: words(&["Course", "Note", "String", "Tension"]),
        rows: strings.collect(),
        lines: vec![
            format!("Tuned to A4 = {} Hz. Courses are counted from the player's bass side.", figure(instrument.a4_hz, 1)),
            "New strings stretch: retune often during the first days, and press and pull them gently along their length. Plain \
             nylon and fluorocarbon take longest."
                .into(),
        ],
    };
    Handout {
        title: title(instrument),
        parts: vec![
            known(instrument, beside),
            strings,
            heights(instrument, units),
            done(instrument),
            Part {
                heading: "Care",
                lines: words(&CARE),
                ..Part::default()
            },
            Part {
                heading: "Take care",
                lines: cautions(instrument, report, units),
                ..Part::default()
            },
        ],
    }
}

/// What was done at the last visit, and with which parts.
fn done(instrument: &Instrument) -> Part {
    let lines = instrument.visits.last().map(|visit| {
        let said = [("Work", &visit.work), ("Parts", &visit.parts)];
        let said = said.into_iter().filter(|(_, text)| !text.trim().is_empty());
        said.map(|(what, text)| format!("{what}: {}", clean(text, 1000)))
            .collect()
    });
    Part {
        heading: "What was done",
        lines: lines.unwrap_or_default(),
        ..Part::default()
    }
}

/// Care of an instrument: common practice.
const CARE: [&str; 4] = [
    "Keep it away from heaters, sun and a parked car; heat softens glue and moves the neck.",
    "Wood follows the air. Between about 40 and 60 % relative humidity it keeps its shape and its action; a closed case helps.",
    "Wipe the strings after playing. Change them when they sound dull, feel rough, or no longer play in tune along the neck.",
    "If notes begin to buzz or the strings stand higher than noted here, bring it back before anything is cut.",
];

fn cautions(instrument: &Instrument, report: &InstrumentReport, units: Units) -> Vec<String> {
    let mut said = words(&[WIRE]);
    for string in report.courses.iter().flat_map(|course| &course.strings) {
        if let Some((_, text)) = string.breaking_caution(units) {
            said.push(format!("{}: {text}", line(&string.name)));
        }
    }
    if let (Some(total), true) = (report.total_tension_n, instrument.courses.len() > 1) {
        said.push(format!(
            "Its strings pull with {} together. Ask before putting on a heavier set: bridge and neck were judged for this one.",
            units.force(total)
        ));
    }
    said.push(BORDER.to_owned());
    said
}

/// The sheet for the shop: all figures as left.
#[must_use]
pub fn shop(instrument: &Instrument, report: &InstrumentReport, beside: Beside<'_>) -> Handout {
    let units = beside.units;
    let strings = report.courses.iter().enumerate().flat_map(|(at, course)| {
        course.strings.iter().map(move |s| {
            let share = s
                .breaking_fraction
                .map_or_else(|| NO_FIGURE.to_owned(), per_cent);
            vec![
                format!("{} {}", at + 1, line(&course.note)),
                line(&s.name),
                figure(s.pitch_hz, 2),
                units.force(s.tension_n),
                figure(s.stress_mpa, 0),
                share,
                figure(s.kappa, 1),
                units.length(s.fretting.saddle_setback_mm),
            ]
        })
    });
    let strings = Part {
        heading: "Strings",
        head: words(&[
            "Course",
            "String",
            "Hz",
            "Tension",
            "MPa",
            "Of breaking",
            "Stretch",
            "Best saddle setback",
        ]),
        rows: strings.collect(),
        lines: vec![format!(
            "All strings together: {}.",
            units.force(report.total_tension_n)
        )],
    };
    let notes = report.courses.iter().enumerate().flat_map(|(at, course)| {
        let frets = course.strings.first().map(|s| s.fretting.frets.as_slice());
        let chosen = frets.unwrap_or_default().iter();
        let chosen = chosen.filter(|f| [1, 5, 7, 12].contains(&f.fret));
        chosen.map(move |f| note(&format!("{} {}", at + 1, line(&course.note)), f, units))
    });
    let notes = Part {
        heading: "Notes",
        head: words(&[
            "Course",
            "Fret",
            "Sharp or flat, cents",
            "Range",
            "Finger",
            "Headroom",
        ]),
        rows: notes.collect(),
        lines: vec![format!(
            "For a pluck of {}; a course of several strings is given by its first.",
            units.force(instrument.pluck.force_n)
        )],
    };
    let mut loads = String::new();
    crate::report::loads::text::loads_text(&report.loads, &mut loads);
    Handout {
        title: title(instrument),
        parts: vec![
            known(instrument, beside),
            strings,
            heights(instrument, units),
            notes,
            Part {
                heading: "Loads and waiting",
                lines: loads.lines().map(|text| text.trim().to_owned()).collect(),
                ..Part::default()
            },
            Part {
                heading: "To know",
                lines: report.warnings.iter().map(|w| w.text.clone()).collect(),
                ..Part::default()
            },
            visits(instrument),
        ],
    }
}

fn note(course: &str, f: &FretFigures, units: Units) -> Vec<String> {
    let range = f.cents_band.map_or_else(
        || NO_FIGURE.to_owned(),
        |[low, high]| format!("{} to {}", signed(low, 1), signed(high, 1)),
    );
    let headroom = match &f.blocked {
        Some(why) => why.clone(),
        None => units.force(f.headroom_n),
    };
    vec![
        course.to_owned(),
        f.fret.to_string(),
        signed(f.cents, 1),
        range,
        units.force(f.finger_n),
        headroom,
    ]
}

fn visits(instrument: &Instrument) -> Part {
    let rows = instrument.visits.iter().map(|visit| {
        vec![
            line(&visit.date),
            if visit.as_left.is_some() {
                "left"
            } else {
                "on the bench"
            }
            .to_owned(),
            visit
                .temp_c
                .map_or_else(String::new, |c| format!("{c:.0} °C")),
            visit
                .rh_percent
                .map_or_else(String::new, |rh| format!("{rh:.0} %")),
            clean(&visit.work, 400),
            clean(&visit.parts, 200),
            clean(&visit.said, 400),
            clean(&visit.note, 400),
        ]
    });
    Part {
        heading: "Visits",
        head: words(&[
            "Day",
            "",
            "Temperature",
            "Humidity",
            "Work",
            "Parts",
            "Said",
            "Note",
        ]),
        rows: rows.collect(),
        ..Part::default()
    }
}

fn title(instrument: &Instrument) -> String {
    let name = line(&instrument.name);
    if name.is_empty() {
        "Instrument without a name".into()
    } else {
        name
    }
}

/// The lines under the title.
fn known(instrument: &Instrument, beside: Beside<'_>) -> Part {
    let said = [
        ("Maker", instrument.maker.as_str()),
        ("Serial number", &instrument.serial),
        ("Owner", beside.owner),
        ("Day", beside.day),
    ];
    let mut lines: Vec<String> = said
        .into_iter()
        .filter(|(_, text)| !text.trim().is_empty())
        .map(|(what, text)| format!("{what}: {}", line(text)))
        .collect();
    lines.push(format!(
        "Scale length: {}",
        beside.units.length(instrument.scale_mm)
    ));
    Part {
        lines,
        ..Part::default()
    }
}

/// Heights and setbacks as they stand.
fn heights(instrument: &Instrument, units: Units) -> Part {
    let Setup {
        courses,
        relief_mm,
        relief_fret,
        ..
    } = &instrument.setup;
    let none = CourseSetup::default();
    let rows = instrument.courses.iter().enumerate().map(|(at, course)| {
        let setup = courses.get(at).unwrap_or(&none);
        vec![
            (at + 1).to_string(),
            line(&course.note),
            units.length(setup.gap_1_mm),
            units.length(setup.gap_12_mm),
            units.length(setup.saddle_setback_mm),
        ]
    });
    let relief = match (relief_mm, relief_fret) {
        (Some(mm), Some(fret)) => format!("Relief {} at fret {fret}.", units.length(*mm)),
        (Some(mm), None) => format!("Relief {}.", units.length(*mm)),
        _ => "Relief not measured.".into(),
    };
    Part {
        heading: "Heights as left",
        head: words(&[
            "Course",
            "Note",
            "Gap at fret 1",
            "Gap at fret 12",
            "Saddle setback",
        ]),
        rows: rows.collect(),
        lines: vec![
            relief,
            "Gaps are from the fret's top to the string's underside, string open.".into(),
        ],
    }
}

fn words(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

fn line(text: &str) -> String {
    clean(text, 120)
}

impl Handout {
    /// The sheet as text, for a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = format!("{}\n", self.title);
        for part in self.parts.iter().filter(|part| !part.is_empty()) {
            // Writing to a String cannot fail.
            let _ = if part.heading.is_empty() {
                Ok(())
            } else {
                writeln!(out, "\n{}", part.heading)
            };
            let width = |at: usize| {
                let heads = part.head.get(at).map_or(0, |text| text.chars().count());
                let cells = part.rows.iter().filter_map(|row| row.get(at));
                cells
                    .map(|text| text.chars().count())
                    .max()
                    .unwrap_or(0)
                    .max(heads)
            };
            for row in std::iter::once(&part.head).chain(&part.rows) {
                let cells = row.iter().enumerate();
                let cells: Vec<String> = cells
                    .map(|(at, text)| format!("{text:<size$}", size = width(at)))
                    .collect();
                if !cells.is_empty() {
                    let _ = writeln!(out, "  {}", cells.join("  ").trim_end());
                }
            }
            for text in &part.lines {
                let _ = writeln!(out, "  {text}");
            }
        }
        out
    }
}

impl Part {
    /// Whether there is nothing to print.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty() && self.lines.is_empty()
    }
}

#[cfg(test)]
mod tests;
