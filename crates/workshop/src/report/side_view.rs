//! The neck from the side under one string: fret tops, board, the open string, the pressed one and how low it swings. Lines
//! to draw, in mm.
//!
//! Along the board `x` runs from the scale's origin (where the nut's front edge truly belongs) towards the bridge; heights
//! `z` stand over the straight line of the fret tops, positive away from the board, a string's being that of its underside.

use super::fretting::{Under, board_of, crowns, measured_frets, pluck, relief_fret, tops_of};
use crate::records::{Course, Instrument};
use strungwell_physics::clearance::Pluck;
use strungwell_physics::fretboard::Fretboard;
use strungwell_physics::heights::FretTops;
use strungwell_physics::press::{Place, Pressed};
use strungwell_physics::quantity::InBenchUnits;
use strungwell_physics::strung::Strung;

/// A place of the side view.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spot {
    /// Along the board in mm, towards the bridge.
    pub x_mm: f64,
    /// Height in mm, away from the board.
    pub z_mm: f64,
}

impl From<Place> for Spot {
    fn from(place: Place) -> Self {
        Self {
            x_mm: place.x.bench(),
            z_mm: place.z.bench(),
        }
    }
}

/// One fret from the side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FretSide {
    /// Its number; 0 is the nut's true place.
    pub fret: u32,
    /// Along the board in mm.
    pub x_mm: f64,
    /// Height of its top in mm.
    pub top_mm: f64,
    /// Height of the board's smooth line over the frets in mm: the top, unless this fret stands high or low.
    pub smooth_mm: f64,
    /// Height of the wood under it in mm; negative.
    pub wood_mm: f64,
}

/// The neck from the side under one course.
#[derive(Clone, Debug, PartialEq)]
pub struct SideView {
    /// The scale's end in mm, setback left out.
    pub scale_mm: f64,
    /// The fret at which this course's nut stands; 0 for the instrument's nut.
    pub first_fret: u32,
    /// The two frets at which this course's gaps are measured.
    pub measured: [u32; 2],
    /// The fret at which the relief is measured.
    pub relief_fret: u32,
    /// The frets, the nut's true place first.
    pub frets: Vec<FretSide>,
    /// The open string's underside from the nut's front edge to the saddle's crown; none where no heights are known.
    pub line: Option<[Spot; 2]>,
    /// The note that was asked for; none when it cannot sound or nothing is known of the string.
    pub note: Option<NoteSide>,
    /// Why that note cannot sound; none when it can, or when nothing can be said of any.
    pub blocked: Option<String>,
    /// Why nothing can be said of any note; none when something can.
    pub missing: Option<String>,
}

/// A note from the side: the string pressed (or open), at rest and at the lowest of the player's pluck.
#[derive(Clone, Debug, PartialEq)]
pub struct NoteSide {
    /// The fret pressed; 0 for the open string.
    pub fret: u32,
    /// The corners of the string at rest, from nut to saddle.
    pub way: Vec<Spot>,
    /// Where the finger holds it; none for the open string.
    pub finger: Option<Spot>,
    /// The lowest of the player's pluck: where the sounding part begins, the lowest corner, the saddle.
    pub lowest: [Spot; 3],
    /// The top of the fret that it touches first, or would under a harder pluck; none when no fret lies ahead.
    pub nearest: Option<(u32, Spot)>,
    /// Whether the player's pluck stays clear of the frets ahead.
    pub is_clear: bool,
    /// Whether the player's pluck lifts the string off the fret it is pressed to.
    pub chatters: bool,
    /// Whether the finger lies on the wood.
    pub on_wood: bool,
    /// The numbers that its figures are made of.
    pub workings: Workings,
}

/// The numbers that a note's figures are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Workings {
    /// Tension of the open string in N.
    pub open_tension_n: f64,
    /// Tension of the note in N.
    pub tension_n: f64,
    /// Stretch kappa, without unit.
    pub kappa: f64,
    /// Relative stretch by pressing.
    pub stretch: f64,
    /// Length of the open string from nut to saddle in mm.
    pub open_mm: f64,
    /// Length of the part that sounds in mm.
    pub sounding_mm: f64,
    /// Sines of the string's fall to the finger, from the nut's side and from the fret's.
    pub falls: [f64; 2],
    /// Where it is plucked, in mm from the saddle.
    pub from_saddle_mm: f64,
    /// How high the player's pluck draws it there, in mm.
    pub pluck_height_mm: f64,
    /// The player's pluck in N.
    pub pluck_n: f64,
    /// The hardest pluck in N that leaves the string down on its fret; none for the open string.
    pub chatter_n: Option<f64>,
    /// Heights in mm over the fret pressed, string open: underside and top; none for the open string.
    pub over_fret_mm: Option<[f64; 2]>,
}

/// The side view of a course of an instrument, counted from 0, with the string (as its figures know it) pressed to a fret;
/// 0 is the open string.
///
/// # Errors
/// A sentence when there is no such course, or its board cannot be.
pub fn side_view(
    instrument: &Instrument,
    course: usize,
    strung: Option<&Strung>,
    fret: u32,
) -> Result<SideView, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let board = board_of(instrument, on).map_err(|why| why.to_string())?;
    // A relief or a fret top that cannot be is told below; the board is still worth drawing.
    let tops = tops_of(instrument, &board)
        .or_else(|_| FretTops::straight(&board, crowns(instrument)))
        .map_err(|why| why.to_string())?;
    let mut view = SideView {
        scale_mm: board.scale().bench(),
        first_fret: board.first_fret(),
        measured: measured_frets(on),
        relief_fret: relief_fret(instrument),
        frets: frets(&board, &tops),
        line: None,
        note: None,
        blocked: None,
        missing: None,
    };
    let under = instrument
        .setup
        .courses
        .get(course)
        .ok_or_else(|| "the heights of this course are not measured".to_owned())
        .and_then(|setup| Under::of(instrument, on, setup));
    match under {
        Err(why) => view.missing = Some(why),
        Ok(under) => {
            view.line = Some(under.line.ends().map(Spot::from));
            match strung {
                None => view.missing = Some("the string's stretch is not known".into()),
                Some(strung) => view.press(instrument, on, &under, strung, fret),
            }
        }
    }
    Ok(view)
}

impl SideView {
    fn press(
        &mut self,
        instrument: &Instrument,
        course: &Course,
        under: &Under,
        strung: &Strung,
        fret: u32,
    ) {
        let laid = under
            .strung(instrument, course, strung)
            .and_then(|string| Ok((string, pluck(instrument, course)?)));
        match laid {
            Err(why) => self.missing = Some(why),
            Ok((string, pluck)) => match string.press(fret) {
                Err(why) => self.blocked = Some(why.to_string()),
                Ok(pressed) => self.note = Some(note(&pressed, &under.tops, &pluck)),
            },
        }
    }
}

fn frets(board: &Fretboard, tops: &FretTops) -> Vec<FretSide> {
    (0..=board.frets())
        .filter_map(|fret| {
            Some(FretSide {
                fret,
                x_mm: board.position(fret)?.bench(),
                top_mm: tops.top(fret)?.bench(),
                smooth_mm: tops.smooth(fret)?.bench(),
                wood_mm: tops.wood(fret)?.bench(),
            })
        })
        .collect()
}

fn note(pressed: &Pressed<'_>, tops: &FretTops, pluck: &Pluck) -> NoteSide {
    let string = pressed.string();
    let board = string.board();
    let clearance = pressed.clearance(pluck);
    let top = |fret: u32| {
        Some(Spot {
            x_mm: board.position(fret)?.bench(),
            z_mm: tops.top(fret)?.bench(),
        })
    };
    let fret = pressed.fret();
    let falls = pressed.falls();
    NoteSide {
        fret,
        way: pressed.way().into_iter().map(Spot::from).collect(),
        finger: pressed.finger().map(Spot::from),
        lowest: pressed.lowest_swing(pluck).map(Spot::from),
        nearest: clearance
            .worst_fret
            .and_then(|fret| Some((fret, top(fret)?))),
        is_clear: clearance.is_clear(),
        chatters: clearance
            .chatter_force
            .is_some_and(|most| pluck.force() > most),
        on_wood: pressed.on_wood(),
        workings: Workings {
            open_tension_n: string.tension().bench(),
            tension_n: pressed.tension().bench(),
            kappa: string.kappa().value,
            stretch: pressed.stretch(),
            open_mm: string.open_length().bench(),
            sounding_mm: pressed.sounding_length().bench(),
            falls: [falls.0, falls.1],
            from_saddle_mm: clearance.from_saddle.bench(),
            pluck_height_mm: clearance.pluck_height.bench(),
            pluck_n: pluck.force().bench(),
            chatter_n: clearance.chatter_force.map(|n| n.bench()),
            over_fret_mm: top(fret)
                .filter(|_| fret > 0)
                .zip(string.gap(fret))
                .map(|(top, gap)| [top.z_mm + gap.bench(), top.z_mm]),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families;
    use crate::report::instrument_report;

    fn concert() -> Instrument {
        families::start("ukulele-concert", 0, None, "a").unwrap()
    }

    fn view(instrument: &Instrument, fret: u32) -> SideView {
        let report = instrument_report(instrument, &[]);
        let strung = report.courses[1].strings[0].fretting.strung;
        side_view(instrument, 1, strung.as_ref(), fret).unwrap()
    }

    #[test]
    fn the_drawn_gaps_are_those_that_were_measured() {
        let mut instrument = concert();
        instrument.setup.relief_mm = Some(0.2);
        instrument.setup.relief_fret = Some(7);
        instrument.setup.courses[1].gap_1_mm = Some(0.7);
        instrument.setup.courses[1].gap_12_mm = Some(2.9);
        let view = view(&instrument, 0);
        let [nut, saddle] = view.line.unwrap();
        let over = |fret: usize| {
            let f = view.frets[fret];
            nut.z_mm + (saddle.z_mm - nut.z_mm) * (f.x_mm - nut.x_mm) / (saddle.x_mm - nut.x_mm)
                - f.top_mm
        };
        assert!((over(1) - 0.7).abs() < 1e-9 && (over(12) - 2.9).abs() < 1e-9);
        assert!((view.frets[7].top_mm + 0.2).abs() < 1e-9);
        assert!(view.frets.iter().all(|f| f.wood_mm < f.top_mm));
    }

    #[test]
    fn what_is_drawn_of_a_note_is_what_is_reported() {
        let instrument = concert();
        let report = instrument_report(&instrument, &[]);
        let reported = &report.courses[1].strings[0].fretting.frets;
        for fret in 0..=instrument.frets {
            let note = view(&instrument, fret).note.unwrap();
            let figures = &reported[fret as usize];
            assert_eq!(note.fret, fret);
            assert_eq!(note.nearest.map(|n| n.0), figures.touches_fret);
            assert_eq!(
                note.is_clear,
                figures
                    .headroom_n
                    .is_none_or(|n| n >= instrument.pluck.force_n)
            );
            assert_eq!(note.finger.is_some(), fret > 0);
            let w = note.workings;
            let force = w.tension_n * (w.falls[0] + w.falls[1]);
            assert!((force - figures.finger_n.unwrap_or(0.0)).abs() < 1e-9);
            let gap = w.over_fret_mm.map(|[string, top]| string - top);
            assert_eq!(gap.is_some(), figures.gap_mm.is_some());
            assert!((gap.unwrap_or(0.0) - figures.gap_mm.unwrap_or(0.0)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_board_is_drawn_even_where_no_note_can_be_told() {
        let mut instrument = concert();
        instrument.setup.courses[1].gap_12_mm = None;
        let none = view(&instrument, 3);
        assert!(none.line.is_none() && none.note.is_none());
        assert!(none.missing.unwrap().contains("not measured"));
        assert_eq!(none.frets.len(), instrument.frets as usize + 1);

        let mut instrument = concert();
        instrument.setup.relief_mm = Some(0.1);
        instrument.setup.relief_fret = Some(1);
        let bent = view(&instrument, 3);
        assert!(bent.missing.unwrap().contains("relief"));
        assert!(!bent.frets.is_empty());

        let mut instrument = concert();
        instrument.setup.courses[1].gap_1_mm = Some(-0.2);
        let low = view(&instrument, 1);
        assert!(low.line.is_some() && low.note.is_none());
        assert!(low.blocked.unwrap().contains("fret 1"));
        assert!(side_view(&instrument, 9, None, 0).is_err());
    }
}
