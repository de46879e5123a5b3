//! The sets as found, string by string.

use super::aim::Metric;
use super::compare::compare;
use super::places::{Board, Source, Spot};
use super::search::Found;
use super::{Answer, SetProposal, SetString};
use crate::choose::{From, as_fitted_on};
use crate::problem::clean;
use crate::records::Make;
use crate::report::{Fitted, finger_probe, seated_figures};

/// The answer of a search.
pub(super) fn answer(board: &Board<'_>, found: &Found) -> Answer {
    let mut sets: Vec<SetProposal> = found.sets.iter().map(|set| proposal(board, set)).collect();
    let mut notes = board.notes.clone();
    if !found.proven {
        notes.push(
            "There were too many sets to try them all: these are good ones, but a better one may exist. Narrower limits help."
                .into(),
        );
    }
    if sets.len() < board.puzzle.sets && board.notes.is_empty() {
        notes.push(if sets.is_empty() {
            "No set keeps to all limits at once: each course by itself has strings, but not together (the number on hand, the \
             load or the price stands against it)."
                .into()
        } else {
            format!(
                "There is no further set within {:.0} % of the aim that differs from these in {} places and keeps to the limits.",
                100.0 * board.choices.within,
                board.puzzle.differ
            )
        });
    }
    compare(board, &mut sets);
    Answer {
        aim: board.aim.words.clone(),
        metric: board.aim.what,
        sets,
        proven: found.proven,
        notes,
    }
}

fn proposal(board: &Board<'_>, set: &[usize]) -> SetProposal {
    let mut strings: Vec<SetString> = Vec::new();
    let mut cost = 0.0;
    for (at, spot) in board.spots.iter().enumerate() {
        cost += board.puzzle.places[at].choices[set[at]].cost;
        for string in &spot.strings {
            strings.push(new_string(board, spot, *string, &spot.sources[set[at]]));
        }
    }
    for (course, on) in board.instrument.courses.iter().enumerate() {
        if board.choices.locked.contains(&course) {
            let kept = 0..on.strings.len();
            strings.extend(kept.map(|string| kept_string(board, course, string)));
        }
    }
    strings.sort_by_key(|s| (s.course, s.string));
    let new = || strings.iter().filter(|s| !s.locked);
    #[allow(clippy::cast_precision_loss)]
    let count = (new().count() as f64).max(1.0);
    // By the ratio's logarithm, as the search counts: a tenth more and a tenth less of the ratio weigh alike.
    let squares: f64 = new()
        .filter_map(|s| s.departs)
        .map(|d| d.ln_1p().powi(2))
        .sum();
    let total: Option<f64> = strings.iter().map(|s| s.figures.tension_n).sum();
    SetProposal {
        departs: (squares / count).sqrt(),
        departs_most: new()
            .filter_map(|s| s.departs)
            .map(f64::abs)
            .fold(0.0, f64::max),
        score: (cost / count).sqrt(),
        total_n: total,
        price: new().filter_map(|s| s.price).sum(),
        unpriced: new().filter(|s| s.price.is_none()).count(),
        to_order: to_order(board, &strings),
        why: String::new(),
        gains: Vec::new(),
        gives_up: Vec::new(),
        strings,
    }
}

/// How many new strings the rack does not hold. One that nobody counted is taken to be there.
fn to_order(board: &Board<'_>, strings: &[SetString]) -> usize {
    let mut left = board.puzzle.on_hand.clone();
    strings
        .iter()
        .filter(|s| !s.locked)
        .filter(|s| match &s.from {
            From::Rack(id) => {
                let Some(at) = board.rack.iter().position(|r| r.id == *id) else {
                    return true;
                };
                let lacks = left[at] == 0;
                left[at] = left[at].saturating_sub(1);
                lacks
            }
            From::Stock => true,
            From::Fitted => false,
        })
        .count()
}

fn note_of(board: &Board<'_>, course: usize, string: usize) -> String {
    let on = &board.instrument.courses[course];
    let up = on.strings.get(string).map_or(0, |s| s.semitones);
    strungwell_physics::pitch::Note::parse(&on.note)
        .ok()
        .and_then(|n| n.up(up))
        .map_or_else(
            || clean(&on.note, 12),
            |n| {
                if up == 0 {
                    clean(&on.note, 12)
                } else {
                    n.to_string()
                }
            },
        )
}

fn new_string(board: &Board<'_>, spot: &Spot, string: usize, source: &Source) -> SetString {
    let (from, fitted, price, on_hand): (_, &Fitted, _, _) = match source {
        Source::Rack(number) => {
            let (at, fitted) = &board.fits[*number];
            let on_rack = &board.rack[*at];
            (
                From::Rack(on_rack.id.clone()),
                fitted,
                on_rack.price,
                on_rack.on_hand,
            )
        }
        Source::Stock(fitted) => (From::Stock, &**fitted, None, None),
    };
    let figures = seated_figures(fitted, &spot.open, board.instrument, spot.course);
    let (verdict, findings) =
        spot.limits
            .judge(&figures, &fitted.make, spot.tension, on_hand, board.units());
    let has = match board.aim.what {
        Metric::Tension => figures.tension_n,
        Metric::Stretch => figures.kappa,
        Metric::Finger => finger_n(board, spot, fitted),
    };
    SetString {
        course: spot.course,
        string,
        note: note_of(board, spot.course, string),
        locked: false,
        from,
        make: Some(fitted.record.clone()),
        figures,
        aim: spot.aim,
        has,
        departs: has.map(|has| has / spot.aim - 1.0),
        price,
        verdict,
        findings,
    }
}

fn finger_n(board: &Board<'_>, spot: &Spot, fitted: &Fitted) -> Option<f64> {
    let at = strungwell_physics::at_pitch::AtPitch::new(
        &fitted.make,
        fitted.measured,
        spot.open.length,
        spot.open.pitch,
    )
    .ok()?;
    finger_probe(board.instrument, spot.course)
        .ok()?
        .finger_n(&at, super::aim::FINGER_FRET)
}

fn kept_string(board: &Board<'_>, course: usize, string: usize) -> SetString {
    let aim = board.aim.targets[course]
        .get(string)
        .copied()
        .unwrap_or(f64::NAN);
    let wanted = board.aim.tensions[course]
        .get(string)
        .copied()
        .unwrap_or(f64::NAN);
    let kept = as_fitted_on(
        board.instrument,
        board.rack,
        course,
        string,
        wanted,
        board.units(),
    );
    let (make, figures, verdict, findings): (Option<Make>, _, _, _) = match kept {
        Ok(kept) => (Some(kept.make), kept.figures, kept.verdict, kept.findings),
        Err(_) => (
            None,
            crate::report::StringFigures::unknown("no string"),
            crate::choose::Verdict::Fair,
            Vec::new(),
        ),
    };
    let has = match board.aim.what {
        Metric::Tension => figures.tension_n,
        Metric::Stretch => figures.kappa,
        Metric::Finger => None,
    };
    SetString {
        course,
        string,
        note: note_of(board, course, string),
        locked: true,
        from: From::Fitted,
        make,
        figures,
        aim,
        has,
        departs: has.map(|has| has / aim - 1.0).filter(|d| d.is_finite()),
        price: None,
        verdict,
        findings,
    }
}
