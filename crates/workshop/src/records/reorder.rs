//! Courses put in and taken out, with everything that is written of them.
//!
//! Heights stand in lists beside the courses, and a tuner's readings name their course by its number. A course that comes or
//! goes moves all of these along, so that each stays with the course it was taken from. The strings before are a stringing of
//! their own and stay as they were.

use super::{CourseSetup, Instrument, Setup};

/// Puts a new course in at a place counted from 0 on the bass side; past the end it is the last one.
///
/// The new course is a copy of its neighbour (the one that stood there, or the last), with the neighbour's heights as they
/// stand. No visit knows of it: in the setups of visits it is not measured, and it has no readings. Does nothing where there
/// is no course to copy.
pub fn insert_course(instrument: &mut Instrument, at: usize) {
    let count = instrument.courses.len();
    let at = at.min(count);
    let near = at.min(count.saturating_sub(1));
    let Some(course) = instrument.courses.get(near).cloned() else {
        return;
    };
    instrument.courses.insert(at, course);
    let heights = instrument.setup.courses.get(near).cloned();
    make_room(&mut instrument.setup, at, heights);
    for setup in kept_setups(instrument) {
        make_room(setup, at, None);
    }
    for number in course_numbers(instrument) {
        if place(*number).is_some_and(|course| course >= at) {
            *number = number.saturating_add(1);
        }
    }
}

/// Takes out the course at a place counted from 0 on the bass side, with its heights and its readings of all visits; those
/// of the courses behind it move up. Does nothing where there is no such course, or where it is the only one.
pub fn remove_course(instrument: &mut Instrument, at: usize) {
    if at >= instrument.courses.len() || instrument.courses.len() == 1 {
        return;
    }
    instrument.courses.remove(at);
    close_up(&mut instrument.setup, at);
    for setup in kept_setups(instrument) {
        close_up(setup, at);
    }
    for visit in &mut instrument.visits {
        visit
            .readings
            .retain(|reading| place(reading.course) != Some(at));
    }
    if let Some(settling) = &mut instrument.settling {
        settling.looks.retain(|look| place(look.course) != Some(at));
    }
    instrument
        .warm_readings
        .retain(|reading| place(reading.course) != Some(at));
    for number in course_numbers(instrument) {
        if place(*number).is_some_and(|course| course > at) {
            *number -= 1;
        }
    }
}

/// The setups that are kept beside the present one: of visits, and of the plan.
fn kept_setups(instrument: &mut Instrument) -> impl Iterator<Item = &mut Setup> {
    let visits = instrument.visits.iter_mut();
    let plan = instrument.plan.iter_mut().flat_map(|plan| {
        let ticks = plan.ticks.iter_mut().map(|tick| &mut tick.after);
        let asked = [&mut plan.wish, &mut plan.typed].into_iter().flatten();
        asked.chain(ticks)
    });
    visits
        .flat_map(|visit| [&mut visit.as_found, &mut visit.as_left])
        .flatten()
        .chain(plan)
}

/// The numbers of the courses that readings of every kind are of.
fn course_numbers(instrument: &mut Instrument) -> impl Iterator<Item = &mut u32> {
    let visits = instrument.visits.iter_mut().flat_map(|v| &mut v.readings);
    let looks = instrument.settling.iter_mut().flat_map(|s| &mut s.looks);
    visits
        .map(|reading| &mut reading.course)
        .chain(looks.map(|look| &mut look.course))
        .chain(instrument.warm_readings.iter_mut().map(|r| &mut r.course))
}

/// How many readings, of visits, of new strings settling and of temperature, are of the course at a place counted from 0: those that [`remove_course`] takes out.
#[must_use]
pub fn count_readings(instrument: &Instrument, at: usize) -> usize {
    let visits = instrument.visits.iter().flat_map(|visit| &visit.readings);
    let looks = instrument.settling.iter().flat_map(|s| &s.looks);
    visits
        .map(|reading| reading.course)
        .chain(looks.map(|look| look.course))
        .chain(instrument.warm_readings.iter().map(|r| r.course))
        .filter(|course| place(*course) == Some(at))
        .count()
}

/// The place of a course of a number, counted from 0; none for the number 0, which is no course's.
fn place(course: u32) -> Option<usize> {
    usize::try_from(course).ok()?.checked_sub(1)
}

/// Moves the heights from a place on by one. A list that ends before it says nothing of these courses and stays, unless
/// there is something to write at its end.
fn make_room(setup: &mut Setup, at: usize, heights: Option<CourseSetup>) {
    let count = setup.courses.len();
    if at < count || (at == count && heights.is_some()) {
        setup.courses.insert(at, heights.unwrap_or_default());
    }
}

fn close_up(setup: &mut Setup, at: usize) {
    if at < setup.courses.len() {
        setup.courses.remove(at);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{Look, Reading, Settling, Visit, WarmReading};
    use crate::{families, file};

    fn gaps(gaps: &[f64]) -> Setup {
        Setup {
            courses: gaps
                .iter()
                .map(|gap| CourseSetup {
                    gap_12_mm: Some(*gap),
                    ..CourseSetup::default()
                })
                .collect(),
            ..Setup::default()
        }
    }

    fn read(setup: &Setup) -> Vec<Option<f64>> {
        setup.courses.iter().map(|c| c.gap_12_mm).collect()
    }

    fn reading(course: u32, cents: f64) -> Reading {
        Reading {
            course,
            fret: 12,
            cents,
            ..Reading::default()
        }
    }

    /// Four courses; the gaps and the cents of each begin with its number.
    fn visited() -> Instrument {
        let mut instrument = families::start("ukulele-concert", 0, None, "a").unwrap();
        for (course, note) in instrument.courses.iter_mut().zip(["G4", "C4", "E4", "A4"]) {
            course.note = note.into();
        }
        instrument.setup = gaps(&[1.0, 2.0, 3.0, 4.0]);
        instrument.visits = vec![
            Visit {
                id: "one".into(),
                date: "2026-01-31".into(),
                as_found: Some(gaps(&[1.1, 2.1, 3.1, 4.1])),
                as_left: Some(gaps(&[1.2, 2.2])),
                readings: vec![reading(3, 3.0), reading(1, 1.0), reading(3, 3.5)],
                ..Visit::default()
            },
            Visit {
                id: "two".into(),
                date: "2026-02-01".into(),
                readings: vec![reading(4, 4.0), reading(2, 2.0)],
                ..Visit::default()
            },
        ];
        instrument
    }

    fn notes(instrument: &Instrument) -> Vec<&str> {
        instrument.courses.iter().map(|c| c.note.as_str()).collect()
    }

    /// All readings as (course, cents).
    fn readings(instrument: &Instrument) -> Vec<(u32, f64)> {
        let all = instrument.visits.iter().flat_map(|v| &v.readings);
        all.map(|r| (r.course, r.cents)).collect()
    }

    #[test]
    fn what_was_measured_stays_with_its_course_when_one_comes() {
        let mut instrument = visited();
        insert_course(&mut instrument, 0);
        assert_eq!(notes(&instrument), ["G4", "G4", "C4", "E4", "A4"]);
        let some = |gaps: &[f64]| gaps.iter().map(|g| Some(*g)).collect::<Vec<_>>();
        assert_eq!(read(&instrument.setup), some(&[1.0, 1.0, 2.0, 3.0, 4.0]));
        let visit = &instrument.visits[0];
        let found = read(visit.as_found.as_ref().unwrap());
        assert_eq!(found, [vec![None], some(&[1.1, 2.1, 3.1, 4.1])].concat());
        let left = read(visit.as_left.as_ref().unwrap());
        assert_eq!(left, [None, Some(1.2), Some(2.2)]);
        assert_eq!(
            readings(&instrument),
            [(4, 3.0), (2, 1.0), (4, 3.5), (5, 4.0), (3, 2.0)]
        );
        assert_eq!(file::check_instrument(&instrument), Ok(()));

        let mut last = visited();
        insert_course(&mut last, 99);
        assert_eq!(notes(&last), ["G4", "C4", "E4", "A4", "A4"]);
        assert_eq!(read(&last.setup), some(&[1.0, 2.0, 3.0, 4.0, 4.0]));
        assert_eq!(last.visits, visited().visits);
    }

    #[test]
    fn what_was_measured_stays_with_its_course_when_one_goes() {
        let mut instrument = visited();
        assert_eq!(count_readings(&instrument, 2), 2);
        remove_course(&mut instrument, 2);
        assert_eq!(notes(&instrument), ["G4", "C4", "A4"]);
        assert_eq!(read(&instrument.setup), [Some(1.0), Some(2.0), Some(4.0)]);
        let visit = &instrument.visits[0];
        assert_eq!(
            read(visit.as_found.as_ref().unwrap()),
            [Some(1.1), Some(2.1), Some(4.1)]
        );
        // A list that ends before the course says nothing of it.
        assert_eq!(
            read(visit.as_left.as_ref().unwrap()),
            [Some(1.2), Some(2.2)]
        );
        assert_eq!(readings(&instrument), [(1, 1.0), (3, 4.0), (2, 2.0)]);
        assert_eq!(file::check_instrument(&instrument), Ok(()));
    }

    #[test]
    fn looks_and_warm_readings_move_along() {
        let mut instrument = visited();
        let look = |course| Look {
            course,
            hours: f64::from(course),
            ..Look::default()
        };
        instrument.settling = Some(Settling {
            looks: vec![look(1), look(3)],
            ..Settling::default()
        });
        instrument.warm_readings = vec![WarmReading {
            course: 3,
            ..WarmReading::default()
        }];
        let before = instrument.clone();
        assert_eq!(count_readings(&instrument, 2), 4);
        insert_course(&mut instrument, 1);
        let courses: Vec<u32> = course_numbers(&mut instrument).map(|n| *n).collect();
        assert_eq!(courses[courses.len() - 3..], [1, 4, 4]);
        remove_course(&mut instrument, 1);
        assert_eq!(instrument.settling, before.settling);
        assert_eq!(instrument.warm_readings, before.warm_readings);
        remove_course(&mut instrument, 2);
        assert!(instrument.warm_readings.is_empty());
        assert_eq!(instrument.settling.unwrap().looks, [look(1)]);
    }

    #[test]
    fn lists_shorter_than_the_courses_move_too() {
        let mut instrument = visited();
        instrument.setup = gaps(&[1.0, 2.0]);
        let before = instrument.clone();
        insert_course(&mut instrument, 0);
        assert_eq!(read(&instrument.setup), [Some(1.0), Some(1.0), Some(2.0)]);
        remove_course(&mut instrument, 0);
        assert_eq!(instrument, before);
        remove_course(&mut instrument, 0);
        assert_eq!(read(&instrument.setup), [Some(2.0)]);
        // Nothing is known of the last course, and nothing of its copy.
        insert_course(&mut instrument, 3);
        assert_eq!(read(&instrument.setup), [Some(2.0)]);
    }

    #[test]
    fn odd_numbers_do_no_harm() {
        let mut instrument = visited();
        instrument.visits[0].readings = vec![reading(0, 0.0), reading(u32::MAX, 1.0)];
        insert_course(&mut instrument, 0);
        let first: Vec<u32> = instrument.visits[0]
            .readings
            .iter()
            .map(|r| r.course)
            .collect();
        assert_eq!(first, [0, u32::MAX]);
        let before = instrument.clone();
        remove_course(&mut instrument, 9);
        assert_eq!(instrument, before);
        while instrument.courses.len() > 1 {
            remove_course(&mut instrument, 0);
        }
        let one = instrument.clone();
        remove_course(&mut instrument, 0);
        assert_eq!(instrument, one);
        instrument.courses.clear();
        insert_course(&mut instrument, 0);
        assert!(instrument.courses.is_empty());
    }
}
