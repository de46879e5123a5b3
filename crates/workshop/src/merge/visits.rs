//! The visits of one instrument, merged one by one.

use super::part::{Weight, apart, stamp};
use super::{Choice, Side};
use crate::records::Visit;

/// The visits of both, and what was done.
#[derive(Debug, Default)]
pub(super) struct Visits {
    pub(super) all: Vec<Visit>,
    pub(super) added: usize,
    pub(super) changed: usize,
    pub(super) apart: usize,
}

/// Brings visits together. Where a choice is made for the instrument it is made for visits of the same id too.
pub(super) fn merged(
    mine: &[Visit],
    theirs: &[Visit],
    choice: Choice,
    now: Option<&str>,
) -> Visits {
    let mut out = Visits::default();
    let of = |list: &[Visit], id: &str| list.iter().find(|v| v.id == id).cloned();
    let (ids, by_day) = order(mine, theirs);
    for id in ids {
        match (of(mine, &id), of(theirs, &id)) {
            (Some(mine), None) => out.all.push(mine),
            (None, Some(theirs)) => {
                out.added += 1;
                out.all.push(theirs);
            }
            (Some(a), Some(b)) => {
                let taken = taken(&a, &b, choice, now);
                let known = taken.beside.filter(|beside| {
                    ![mine, theirs]
                        .iter()
                        .any(|list| list.iter().any(|v| v.id == beside.id))
                });
                if taken.visit != a {
                    out.changed += 1;
                }
                out.all.push(taken.visit);
                if let Some(beside) = known {
                    out.apart += 1;
                    out.all.push(beside);
                }
            }
            (None, None) => {}
        }
    }
    if by_day {
        // The same order whichever list is called mine, and the next time too.
        out.all
            .sort_by(|a, b| (&a.date, &a.id).cmp(&(&b.date, &b.id)));
    }
    out
}

struct Taken {
    visit: Visit,
    beside: Option<Visit>,
}

fn taken(mine: &Visit, theirs: &Visit, choice: Choice, now: Option<&str>) -> Taken {
    let (a, b) = (Weight::of(mine), Weight::of(theirs));
    let rule = if b > a { Side::Theirs } else { Side::Mine };
    if a.bare == b.bare {
        let visit = if rule == Side::Theirs { theirs } else { mine };
        return Taken {
            visit: visit.clone(),
            beside: None,
        };
    }
    let decided = a.decides(&b);
    let side = match choice {
        Choice::Rule | Choice::Both => rule,
        Choice::Mine => Side::Mine,
        Choice::Theirs => Side::Theirs,
    };
    let (win, lose, lost) = match side {
        Side::Mine => (mine, theirs, &b),
        Side::Theirs => (theirs, mine, &a),
    };
    let mut visit = win.clone();
    let chosen = matches!(choice, Choice::Mine | Choice::Theirs);
    if let (true, Some(now)) = (chosen && (side != rule || !decided), now) {
        stamp(None, &mut visit, now);
    }
    let both = choice == Choice::Both || (choice == Choice::Rule && !decided);
    Taken {
        visit,
        beside: both.then(|| apart(lose, &lost.bare)),
    }
}

/// The ids of both: in the longer list's order where that holds the other one in order, else mine first and to be laid by day.
fn order(mine: &[Visit], theirs: &[Visit]) -> (Vec<String>, bool) {
    let ids = |list: &[Visit]| list.iter().map(|v| v.id.clone()).collect::<Vec<_>>();
    let (mut a, b) = (ids(mine), ids(theirs));
    if within(&b, &a) {
        return (a, false);
    }
    if within(&a, &b) {
        return (b, false);
    }
    let more: Vec<String> = b.into_iter().filter(|id| !a.contains(id)).collect();
    a.extend(more);
    (a, true)
}

/// Whether all of `few` stand in `many` in the same order.
fn within(few: &[String], many: &[String]) -> bool {
    let mut rest = many.iter();
    few.iter().all(|id| rest.any(|other| other == id))
}
