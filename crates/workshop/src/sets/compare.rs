//! What a set gains and gives up against another, and why it stands where it stands.

use super::places::{Board, is_fault};
use super::{SetProposal, SetString};
use crate::units::figure;
use crate::words::capital;

/// What is compared between two sets: a figure (less is better), the least difference that is worth saying, and the words.
struct Measure {
    value: Option<f64>,
    least: f64,
    less: &'static str,
    more: &'static str,
    show: fn(f64) -> String,
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn count(set: &SetProposal) -> f64 {
    let faults = set
        .strings
        .iter()
        .filter(|s| !s.locked)
        .flat_map(|s| &s.findings)
        .filter(|f| is_fault(f.code, f.verdict))
        .count();
    #[allow(clippy::cast_precision_loss)]
    let faults = faults as f64;
    faults
}

/// The mean over the strings of a figure that all have.
fn mean(set: &SetProposal, of: impl Fn(&SetString) -> Option<f64>) -> Option<f64> {
    let all: Option<Vec<f64>> = set.strings.iter().map(of).collect();
    let all = all?;
    #[allow(clippy::cast_precision_loss)]
    let count = all.len() as f64;
    (count > 0.0).then(|| all.iter().sum::<f64>() / count)
}

fn measures(set: &SetProposal) -> [Measure; 7] {
    let setback = |s: &SetString| s.figures.fretting.saddle_setback_mm;
    let ends = set
        .strings
        .iter()
        .map(setback)
        .try_fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| {
            s.map(|s| (low.min(s), high.max(s)))
        });
    #[allow(clippy::cast_precision_loss)]
    let to_order = set.to_order as f64;
    let whole = |n: f64| figure(n, 0);
    [
        Measure {
            value: Some(set.departs),
            least: 0.003,
            less: "nearer to the profile",
            more: "further from the profile",
            show: percent,
        },
        Measure {
            value: Some(count(set)),
            least: 0.5,
            less: "fewer things speak against its strings",
            more: "more speaks against its strings",
            show: whole,
        },
        Measure {
            value: Some(to_order),
            least: 0.5,
            less: "fewer strings to order",
            more: "more strings to order",
            show: whole,
        },
        Measure {
            value: (set.unpriced == 0).then_some(set.price),
            least: 0.005,
            less: "cheaper",
            more: "dearer",
            show: |n| figure(n, 2),
        },
        Measure {
            value: mean(set, |s| s.figures.kappa),
            least: 1.0,
            less: "less stretch, so it goes less sharp when pressed",
            more: "more stretch, so it goes sharper when pressed",
            show: |n| figure(n, 1),
        },
        Measure {
            value: ends.map(|(low, high)| high - low),
            least: 0.1,
            less: "a saddle nearer to straight (spread of best setbacks, mm)",
            more: "a saddle further from straight (spread of best setbacks, mm)",
            show: |n| figure(n, 2),
        },
        Measure {
            value: mean(set, |s| s.figures.fretting.rms_cents),
            least: 0.2,
            less: "frets truer at its best setbacks (mean error, cents)",
            more: "frets less true at its best setbacks (mean error, cents)",
            show: |n| figure(n, 1),
        },
    ]
}

pub(super) fn compare(board: &Board<'_>, sets: &mut [SetProposal]) {
    for at in 0..sets.len() {
        let against = usize::from(at == 0);
        let mut gains = Vec::new();
        let mut gives_up = Vec::new();
        if let Some(other) = sets.get(against).filter(|_| against != at) {
            for (mine, theirs) in measures(&sets[at]).into_iter().zip(measures(other)) {
                let (Some(a), Some(b)) = (mine.value, theirs.value) else {
                    continue;
                };
                let said = |word: &str| {
                    format!(
                        "{}: {} against {}.",
                        capital(word),
                        (mine.show)(a),
                        (mine.show)(b)
                    )
                };
                if a < b - mine.least {
                    gains.push(said(mine.less));
                } else if a > b + mine.least {
                    gives_up.push(said(mine.more));
                }
            }
            load(board, &sets[at], other, &mut gains, &mut gives_up);
        }
        let why = why(board, sets, at);
        sets[at].gains = gains;
        sets[at].gives_up = gives_up;
        sets[at].why = why;
    }
}

/// A lighter load is easier on the instrument and softer in sound; which of these counts is the person's to say.
fn load(
    board: &Board<'_>,
    set: &SetProposal,
    other: &SetProposal,
    gains: &mut Vec<String>,
    gives_up: &mut Vec<String>,
) {
    let (Some(a), Some(b)) = (set.total_n, other.total_n) else {
        return;
    };
    let units = board.units();
    let said = |word: &str| format!("{word}: {} against {}.", units.force(a), units.force(b));
    if a < b - 2.0 {
        gains.push(said("Lighter load on bridge and neck"));
    } else if a > b + 2.0 {
        gives_up.push(said("Heavier load on bridge and neck"));
    }
}

fn why(board: &Board<'_>, sets: &[SetProposal], at: usize) -> String {
    let set = &sets[at];
    let worst = set
        .strings
        .iter()
        .filter(|s| !s.locked)
        .filter_map(|s| Some((s, s.departs?)))
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let mut said = format!(
        "{} lies {} from the aim on average",
        capital(board.aim.what.noun()),
        percent(set.departs)
    );
    if let Some((string, departs)) = worst {
        said.push_str(&format!(
            ", at most {}{} (course {}, {})",
            if departs > 0.0 { "+" } else { "−" },
            percent(departs.abs()),
            string.course + 1,
            string.note
        ));
    }
    let faults = count(set);
    said.push_str(&if faults < 0.5 {
        "; nothing speaks against any string".to_owned()
    } else {
        format!(
            "; {faults:.0} thing{} speak{} against its strings, each counted as 10 %",
            if faults < 1.5 { "" } else { "s" },
            if faults < 1.5 { "s" } else { "" }
        )
    });
    said.push_str(&match set.to_order {
        0 => "; all are on the rack".to_owned(),
        n => format!("; {n} to order, each counted as 5 %"),
    });
    said.push_str(&format!(". Together {}", percent(set.score)));
    match (at, sets.get(1)) {
        (0, Some(next)) => said.push_str(&format!(
            ", the least of all sets that keep to the limits; the next has {}.",
            percent(next.score)
        )),
        (0, None) => said.push_str(", the least of all sets that keep to the limits."),
        _ => said.push_str(&format!(
            ", against {} of the first.",
            percent(sets[0].score)
        )),
    }
    said
}
