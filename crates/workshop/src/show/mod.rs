//! What a player is shown: one note at two setups, what the finger holds up said as a weight, the sentences beside it.
//!
//! All figures are the report's; here they are picked for one note and put in words that need no bench.

mod sides;
mod walk;
mod words;

pub use sides::{Side, Which, sides, with_action};
pub use walk::{Step, fourth, moves, walk};
pub use words::{Weight, as_heavy_as, can_be_heard, compared};

use crate::records::{Instrument, RackString, Release};
use crate::report::{
    FretFigures, OpenString, SideView, Spot, ToneFigures, fitted, seated_figures, side_view, tone,
};
use crate::units::Units;
use strungwell_physics::plucked::swinging_corners;
use strungwell_physics::quantity::hz;
use words::says;

/// One note as a player meets it.
#[derive(Clone, Debug, PartialEq)]
pub struct Felt {
    /// The neck from the side.
    pub view: SideView,
    /// The note's figures; none when nothing can be said of it.
    pub figures: Option<FretFigures>,
    /// The string's gap at its twelfth fret in mm; none where its heights are not measured, so that it cannot be moved.
    pub gap_12_mm: Option<f64>,
    /// Whether the player's pluck touches a fret.
    pub buzzes: bool,
    /// What the finger holds down, as a weight.
    pub weight: Option<Weight>,
    /// Effort, pitch and room in three sentences.
    pub says: [String; 3],
    /// What its tone is rendered from; none where it cannot sound.
    pub tone: Option<ToneFigures>,
    /// Whether it is drawn towards the board and let go, not away from it.
    pub is_towards: bool,
}

/// Turns a second of the swing as it is shown: slow enough for the eye.
const SHOWN_TURNS_PER_S: f64 = 0.9;

impl Felt {
    /// The sounding string so many seconds after the player's pluck: its beginning, two corners, the saddle. It swings as slowly
    /// as an eye can follow, and dies away as fast as its first partial is heard to. None where the note cannot sound.
    #[must_use]
    pub fn swinging(&self, seconds: f64) -> Option<[Spot; 4]> {
        let (note, tone) = (self.view.note.as_ref()?, self.tone.as_ref()?);
        let [stop, low, saddle] = note.lowest;
        let run = saddle.x_mm - stop.x_mm;
        if !(run > 0.0 && seconds >= 0.0 && seconds.is_finite()) {
            return None;
        }
        let at_rest = |x_mm: f64| stop.z_mm + (saddle.z_mm - stop.z_mm) * (x_mm - stop.x_mm) / run;
        let left = tone.loss.left(hz(tone.hz), seconds);
        // Drawn away from the board, the string lies lowest half a turn after.
        let turns = seconds * SHOWN_TURNS_PER_S + if self.is_towards { 0.0 } else { 0.5 };
        let corners =
            swinging_corners((low.x_mm - stop.x_mm) / run, turns).map(|(along, height)| {
                let x_mm = stop.x_mm + along * run;
                let z_mm = at_rest(x_mm) + left * height * (low.z_mm - at_rest(low.x_mm));
                Spot { x_mm, z_mm }
            });
        Some([stop, corners[0], corners[1], saddle])
    }

    /// How many times slower it swings as shown than it sounds; none where it cannot sound.
    #[must_use]
    pub fn slowed(&self) -> Option<f64> {
        Some(self.tone.as_ref()?.hz / SHOWN_TURNS_PER_S)
    }
}

/// A note of a course's first string, open (0) or pressed to a fret; the course counts from 0.
///
/// # Errors
/// A sentence's middle when there is no such course or its board cannot be.
pub fn felt(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    fret: u32,
    units: Units,
) -> Result<Felt, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let string = on.strings.first().ok_or("no string is chosen")?;
    let open = OpenString::of(instrument, course, &on.note)?;
    let figures = seated_figures(&fitted(string, rack)?, &open, instrument, course);
    let view = side_view(instrument, course, figures.fretting.strung.as_ref(), fret)?;
    let note = figures.fretting.frets.into_iter().find(|f| f.fret == fret);
    let buzzes = view.note.as_ref().is_some_and(|note| !note.is_clear);
    let weight = note.as_ref().and_then(|n| as_heavy_as(n.finger_n?));
    let says = says(
        &view,
        fret,
        note.as_ref(),
        weight,
        instrument.pluck.force_n,
        units,
    );
    Ok(Felt {
        figures: note,
        gap_12_mm: instrument
            .setup
            .courses
            .get(course)
            .and_then(|c| c.gap_12_mm)
            .filter(|_| view.line.is_some()),
        buzzes,
        weight,
        says,
        tone: tone(instrument, rack, course, fret).ok(),
        is_towards: instrument.pluck.release == Release::Towards,
        view,
    })
}

/// The chord to begin with: every course at the second fret, or at the highest of a board that has fewer; one that is open there
/// is not played.
#[must_use]
pub fn first_chord(instrument: &Instrument) -> Vec<Option<u32>> {
    let fret = instrument.frets.min(2);
    let courses = instrument.courses.iter();
    courses
        .map(|c| (c.first_fret == 0 || c.first_fret < fret).then_some(fret))
        .collect()
}

/// The notes of a chord: a fret for each course, none for a course that is not played.
///
/// # Errors
/// Which course cannot sound, and why.
pub fn chord(
    instrument: &Instrument,
    rack: &[RackString],
    frets: &[Option<u32>],
) -> Result<Vec<ToneFigures>, String> {
    if frets.iter().all(Option::is_none) {
        return Err("no string is played".into());
    }
    let played = frets
        .iter()
        .enumerate()
        .filter_map(|(course, fret)| Some((course, (*fret)?)));
    played
        .map(|(course, fret)| {
            tone(instrument, rack, course, fret)
                .map_err(|why| format!("course {}: {why}", course + 1))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families::start;
    use crate::report::instrument_report;

    fn concert() -> Instrument {
        start("ukulele-concert", 0, None, "a").unwrap()
    }

    #[test]
    fn a_note_is_felt_as_the_report_says() {
        let mut instrument = concert();
        let was = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        with_action(&mut instrument, 1, was.gap_12_mm.unwrap() - 0.5);
        let now = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        let report = instrument_report(&instrument, &[]);
        let expected = &report.courses[1].strings[0].fretting.frets[5];
        assert_eq!(now.figures.as_ref(), Some(expected));
        let finger = |felt: &Felt| felt.figures.as_ref().unwrap().finger_n.unwrap();
        assert!(finger(&now) < finger(&was));
        let moved = instrument.setup.courses[3].gap_12_mm.unwrap()
            - concert().setup.courses[3].gap_12_mm.unwrap();
        assert!((moved + 0.5).abs() < 1e-9, "{moved}");
        instrument.pluck.force_n = 6.0;
        with_action(&mut instrument, 1, 1.2);
        let buzzing = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        assert!(
            buzzing.buzzes && buzzing.says[2].contains("buzzes on fret"),
            "{:?}",
            buzzing.says
        );
        assert!(felt(&instrument, &[], 9, 5, Units::default()).is_err());
    }

    #[test]
    fn a_note_that_cannot_be_told_is_not_called_open() {
        let mut instrument = concert();
        let says = |i: &Instrument, fret| felt(i, &[], 1, fret, Units::default()).unwrap().says;
        assert!(says(&instrument, 0)[0].starts_with("The open string"));
        assert!(says(&instrument, 5)[0].starts_with("Your finger holds"));
        // The board ends before it; then, nothing is measured.
        let last = instrument.frets;
        for (fret, room) in [(last + 1, "does not sound"), (5, "is not known: the gaps")] {
            let says = says(&instrument, fret);
            assert!(
                says[0].starts_with(&format!("At fret {fret} nothing")),
                "{says:?}"
            );
            assert!(says[2].contains(room), "{says:?}");
            instrument.setup.courses[1].gap_1_mm = None;
        }
    }

    #[test]
    fn heights_that_are_not_measured_cannot_be_moved() {
        let gap = |i: &Instrument| felt(i, &[], 1, 5, Units::default()).unwrap().gap_12_mm;
        let mut instrument = concert();
        assert!(gap(&instrument).is_some());
        instrument.setup.courses[1].gap_1_mm = None;
        assert_eq!(gap(&instrument), None);
        instrument = concert();
        instrument.setup.courses[1].gap_12_mm = None;
        assert_eq!(gap(&instrument), None);
    }

    #[test]
    fn the_first_chord_lies_on_the_board() {
        let mut instrument = concert();
        for (frets, fret) in [(18, 2), (2, 2), (1, 1), (0, 0)] {
            instrument.frets = frets;
            assert_eq!(
                first_chord(&instrument),
                vec![Some(fret); 4],
                "{frets} frets"
            );
        }
        let banjo = start("banjo-five-string", 0, None, "a").unwrap();
        let chord = first_chord(&banjo);
        let fifth = banjo
            .courses
            .iter()
            .position(|c| c.first_fret == 5)
            .unwrap();
        assert_eq!(chord.iter().position(Option::is_none), Some(fifth));
        assert_eq!(chord.iter().flatten().count(), 4);
    }

    #[test]
    fn it_swings_from_the_pluck_through_the_lowest_and_dies_away() {
        let mut instrument = concert();
        let half_turn = 0.5 / SHOWN_TURNS_PER_S;
        for release in [Release::Away, Release::Towards] {
            instrument.pluck.release = release;
            let felt = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
            let [stop, low, saddle] = felt.view.note.as_ref().unwrap().lowest;
            let at_rest = stop.z_mm
                + (saddle.z_mm - stop.z_mm) * (low.x_mm - stop.x_mm) / (saddle.x_mm - stop.x_mm);
            let lowest_at = if felt.is_towards { 0.0 } else { half_turn };
            let tone = felt.tone.unwrap();
            let left = tone.loss.left(hz(tone.hz), lowest_at);
            let [start, corner, _, end] = felt.swinging(lowest_at).unwrap();
            assert_eq!((start, end), (stop, saddle));
            assert!((corner.x_mm - low.x_mm).abs() < 1e-6);
            assert!((corner.z_mm - at_rest - left * (low.z_mm - at_rest)).abs() < 1e-9);
            let up = |seconds: f64| {
                let [stop, corner, _, saddle] = felt.swinging(seconds).unwrap();
                corner.z_mm > stop.z_mm.min(saddle.z_mm) + 1.0
            };
            assert_eq!(up(0.0), release == Release::Away);
            assert!(felt.swinging(f64::NAN).is_none() && felt.swinging(-1.0).is_none());
        }
        assert!(
            chord(&instrument, &[], &[None, None])
                .unwrap_err()
                .contains("no string")
        );
    }
}
