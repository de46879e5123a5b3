//! One stringing and setup for several instruments at once: all or nothing, with a list of what the rack then lacks.

use crate::file;
use crate::problem::{clean, quoted};
use crate::rack::{Lack, Old, Price, place_of, price, used};
use crate::records::{FittedString, Instrument, RackString, Setup, Workshop};
use crate::report::instrument_report_in;
use crate::units::Units;

/// What a run of instruments shall have.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run {
    /// The instruments' ids.
    pub instruments: Vec<String>,
    /// The strings, one list a course; none leaves the strings as they are.
    pub strings: Option<Vec<Vec<FittedString>>>,
    /// The notes, one a course; none leaves them.
    pub notes: Option<Vec<String>>,
    /// Heights, setbacks and relief as they shall stand; none leaves them. What a field of it does not say is left as it is.
    pub setup: Option<Setup>,
    /// Where the strings go that come off.
    pub old: Old,
}

impl Run {
    /// A run that makes instruments as one of them is: its strings, its notes and its setup.
    #[must_use]
    pub fn like(pattern: &Instrument, instruments: Vec<String>) -> Self {
        Self {
            instruments,
            strings: Some(pattern.courses.iter().map(|c| c.strings.clone()).collect()),
            notes: Some(pattern.courses.iter().map(|c| c.note.clone()).collect()),
            setup: Some(pattern.setup.clone()),
            old: Old::Away,
        }
    }
}

/// A run worked out, before anything is changed.
#[derive(Clone, Debug, PartialEq)]
pub struct RunPlan {
    /// The instruments as they will be, in the order asked.
    pub instruments: Vec<Instrument>,
    /// The rack as it will be.
    pub rack: Vec<RackString>,
    /// What the rack lacks for the whole run.
    pub lacks: Vec<Lack>,
    /// What the strings of the whole run cost.
    pub price: Price,
    /// What the report will warn of, each with the instrument's name.
    pub warnings: Vec<String>,
    /// The shop's records that this was worked out from: it may be applied to these alone.
    from: Vec<Instrument>,
    rack_before: Vec<RackString>,
}

/// Works a run out. Nothing is changed.
///
/// # Errors
/// Every reason against it, each a sentence that names the instrument: it is not there or named twice, has other than so many
/// courses, or a value is not accepted. One reason is enough to make nothing of the run.
pub fn plan(workshop: &Workshop, run: &Run, units: Units) -> Result<RunPlan, Vec<String>> {
    let mut wrong = Vec::new();
    if run.instruments.is_empty() {
        wrong.push("no instrument is chosen".to_owned());
    }
    let mut from = Vec::new();
    let mut to: Vec<Instrument> = Vec::new();
    for (n, id) in run.instruments.iter().enumerate() {
        if run.instruments[..n].contains(id) {
            wrong.push(format!("instrument {} is chosen twice", quoted(id)));
            continue;
        }
        match place_of(workshop, id) {
            Ok(at) => {
                let before = &workshop.instruments[at];
                match changed(before, run, &workshop.rack) {
                    Ok(after) => {
                        from.push(before.clone());
                        to.push(after);
                    }
                    Err(why) => wrong.push(format!("{}: {why}", quoted(&before.name))),
                }
            }
            Err(why) => wrong.push(why),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let (rack, lacks) = if run.strings.is_some() {
        counted(workshop, &from, &to, run.old)
    } else {
        (workshop.rack.clone(), Vec::new())
    };
    let mut sum = Price::default();
    let mut warnings = Vec::new();
    for after in &to {
        let one = price(after, &rack);
        sum.sum += one.sum;
        sum.priced += one.priced;
        sum.unpriced += one.unpriced;
        let name = clean(&after.name, 60);
        warnings.extend(
            instrument_report_in(after, &rack, units)
                .warnings
                .into_iter()
                .map(|w| format!("{name}: {}", w.text)),
        );
    }
    Ok(RunPlan {
        instruments: to,
        rack,
        lacks,
        price: sum,
        warnings,
        from,
        rack_before: workshop.rack.clone(),
    })
}

/// Does what was planned, to the shop that it was planned for.
///
/// # Errors
/// A sentence when one of the instruments or the rack was changed since; nothing is changed then.
pub fn apply(workshop: &mut Workshop, plan: &RunPlan) -> Result<(), String> {
    if workshop.rack != plan.rack_before {
        return Err("the rack was changed since; work the run out again".into());
    }
    let mut places = Vec::new();
    for before in &plan.from {
        let at = place_of(workshop, &before.id)?;
        if workshop.instruments[at] != *before {
            return Err(format!(
                "{} was changed since; work the run out again",
                quoted(&before.name)
            ));
        }
        places.push(at);
    }
    for (at, after) in places.into_iter().zip(&plan.instruments) {
        workshop.instruments[at] = after.clone();
    }
    workshop.rack.clone_from(&plan.rack);
    Ok(())
}

/// One instrument as the run makes it.
fn changed(before: &Instrument, run: &Run, rack: &[RackString]) -> Result<Instrument, String> {
    let mut after = before.clone();
    let courses = after.courses.len();
    let fits = |n: usize, what: &str| {
        if n == courses {
            Ok(())
        } else {
            Err(format!(
                "it has {courses} courses and the run has {what} for {n}"
            ))
        }
    };
    if let Some(strings) = &run.strings {
        fits(strings.len(), "strings")?;
        for (course, strings) in after.courses.iter_mut().zip(strings) {
            course.strings.clone_from(strings);
        }
    }
    if let Some(notes) = &run.notes {
        fits(notes.len(), "notes")?;
        for (course, note) in after.courses.iter_mut().zip(notes) {
            course.note.clone_from(note);
        }
    }
    if let Some(setup) = &run.setup {
        if !setup.courses.is_empty() {
            fits(setup.courses.len(), "heights")?;
        }
        set_up(&mut after.setup, setup, courses);
    }
    for (id, _) in used(&after) {
        if !rack.iter().any(|r| r.id == id) {
            return Err(format!("the rack has no string {}", quoted(&id)));
        }
    }
    file::check_instrument(&after).map_err(|why| why.to_string())?;
    Ok(after)
}

/// Writes what a setup says over another; what it does not say stays.
fn set_up(on: &mut Setup, to: &Setup, courses: usize) {
    if !to.courses.is_empty() {
        on.courses
            .resize_with(courses.max(on.courses.len()), Default::default);
    }
    for (on, to) in on.courses.iter_mut().zip(&to.courses) {
        on.gap_1_mm = to.gap_1_mm.or(on.gap_1_mm);
        on.gap_12_mm = to.gap_12_mm.or(on.gap_12_mm);
        on.saddle_setback_mm = to.saddle_setback_mm.or(on.saddle_setback_mm);
        on.nut_setback_mm = to.nut_setback_mm.or(on.nut_setback_mm);
    }
    on.relief_mm = to.relief_mm.or(on.relief_mm);
    on.relief_fret = to.relief_fret.or(on.relief_fret);
    // The fret tops are each instrument's own.
}

/// The rack after the run, and what it lacks for all instruments together.
fn counted(
    workshop: &Workshop,
    from: &[Instrument],
    to: &[Instrument],
    old: Old,
) -> (Vec<RackString>, Vec<Lack>) {
    let joined = |of: &[Instrument]| Instrument {
        courses: of.iter().flat_map(|i| i.courses.clone()).collect(),
        ..Instrument::default()
    };
    let mut rack = workshop.rack.clone();
    // A run strings every instrument anew: what it had before does not serve again, even where it is the same string.
    let lacks = match old {
        Old::Away => crate::rack::recount(&mut rack, None, Some(&joined(to)), old),
        Old::ToRack => crate::rack::recount(&mut rack, Some(&joined(from)), Some(&joined(to)), old),
    };
    (rack, lacks)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn demo() -> Workshop {
        file::read(include_str!("../../../demo-data/demo-shop.json")).unwrap()
    }

    fn of<'a>(shop: &'a Workshop, id: &str) -> &'a Instrument {
        &shop.instruments[place_of(shop, id).unwrap()]
    }

    fn run(shop: &Workshop) -> Run {
        Run::like(
            of(shop, "inst-concert-10"),
            ["inst-concert-12", "inst-concert-9", "inst-concert-7"]
                .map(String::from)
                .to_vec(),
        )
    }

    #[test]
    fn three_instruments_get_one_stringing_and_one_setup() {
        let mut shop = demo();
        let plan = plan(&shop, &run(&shop), Units::default()).unwrap();
        apply(&mut shop, &plan).unwrap();
        let pattern = of(&shop, "inst-concert-10").clone();
        for id in ["inst-concert-12", "inst-concert-9", "inst-concert-7"] {
            let done = of(&shop, id);
            for (a, b) in done.courses.iter().zip(&pattern.courses) {
                assert_eq!((&a.note, &a.strings), (&b.note, &b.strings));
            }
            assert_eq!(done.setup.courses, pattern.setup.courses);
            assert_eq!(done.visits.len(), of(&demo(), id).visits.len());
        }
        assert_eq!(file::check(&shop), Ok(()));
    }

    #[test]
    fn what_the_rack_lacks_is_counted_over_the_whole_run() {
        let shop = demo();
        let plan = plan(&shop, &run(&shop), Units::default()).unwrap();
        // None of the 0.52 on hand, and two of the 0.85 for three instruments.
        let lack = |id: &str| plan.lacks.iter().find(|l| l.id == id).map(Lack::lacking);
        assert_eq!(lack("rack-fluorocarbon-0.52"), Some(3));
        assert_eq!(lack("rack-fluorocarbon-0.85"), Some(1));
        assert_eq!(lack("rack-wound-nylon-silver-0.76"), None);
        assert_eq!(plan.price.priced, 12);
    }

    #[test]
    fn one_that_cannot_be_strung_so_stops_the_whole_run() {
        let mut shop = demo();
        let before = shop.clone();
        let mut all = run(&shop);
        all.instruments.push("inst-guitar-nylon".into());
        all.instruments.push("nobody".into());
        let wrong = plan(&shop, &all, Units::default()).unwrap_err();
        assert_eq!(wrong.len(), 2, "{wrong:?}");
        assert!(wrong[0].contains("6 courses"), "{wrong:?}");
        let mut bad = run(&shop);
        bad.notes = Some(vec!["H9".into(); 4]);
        assert_eq!(plan(&shop, &bad, Units::default()).unwrap_err().len(), 3);
        let planned = plan(&shop, &run(&shop), Units::default()).unwrap();
        shop.instruments[0].note = "changed since".into();
        let touched = shop.clone();
        assert!(apply(&mut shop, &planned).is_err());
        assert_eq!(shop, touched);
        assert_ne!(shop, before);
        assert!(plan(&shop, &Run::default(), Units::default()).is_err());
    }
}
