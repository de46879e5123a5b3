//! What a note sounds like: the figures from which its tone is rendered.

use super::fretting::{Under, pluck};
use super::{OpenString, fitted};
use crate::records::{Instrument, RackString};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::plucked::{Loss, true_pitch};
use strungwell_physics::quantity::InBenchUnits;

/// The figures of one note's tone. The sound crate's note takes them one by one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneFigures {
    /// The pitch in Hz as the instrument is set up: the open string in tune, a fretted note with its error.
    pub hz: f64,
    /// The pitch in Hz that the note should have.
    pub true_hz: f64,
    /// Bending length over sounding length, without unit.
    pub bending: f64,
    /// Place of the pluck from the saddle as a share of the sounding length, 0.01 to 0.99.
    pub pluck_at: f64,
    /// How the tone dies away; from memory, by the kind of string.
    pub loss: Loss,
    /// The player's pluck as a force in N.
    pub pluck_n: f64,
    /// The hardest pluck that stays clear of the frets, in N; none where no fret lies ahead.
    pub headroom_n: Option<f64>,
}

/// The tone of a course's first string, open (0) or pressed to a fret. The course counts from 0, frets from the instrument's
/// nut.
///
/// # Errors
/// Why it cannot be computed, in words: no heights, no string, a blocked note.
pub fn tone(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    fret: u32,
) -> Result<ToneFigures, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let setup = instrument
        .setup
        .courses
        .get(course)
        .ok_or("the heights of this course are not measured")?;
    let string = on.strings.first().ok_or("no string is chosen")?;
    let fitted = fitted(string, rack)?;
    let open = OpenString::of(instrument, course, &on.note)?;
    let strung = AtPitch::new(&fitted.make, fitted.measured, open.length, open.pitch)
        .map_err(|why| why.to_string())?
        .strung()
        .ok_or("the string's stretch is not known")?;
    let under = Under::of(instrument, on, setup)?;
    let on_board = under.strung(instrument, on, &strung)?;
    let pressed = on_board.press(fret).map_err(|why| why.to_string())?;
    let pluck = pluck(instrument, on)?;
    let frets = fret.saturating_sub(on.first_fret);
    let true_hz = true_pitch(open.pitch, frets).bench();
    let sounding = pressed.sounding_length().bench();
    let figures = ToneFigures {
        hz: true_hz * pressed.cents().ratio(),
        true_hz,
        bending: strung.bending_length_mm.value / sounding,
        pluck_at: (pluck.from_saddle().bench() / sounding).clamp(0.01, 0.99),
        loss: Loss::of(&fitted.make),
        pluck_n: pluck.force().bench(),
        headroom_n: pressed
            .clearance(&pluck)
            .headroom_force
            .map(|force| force.bench()),
    };
    let all = [
        figures.hz,
        figures.true_hz,
        figures.bending,
        figures.pluck_at,
    ];
    all.iter()
        .all(|figure| figure.is_finite() && *figure > 0.0)
        .then_some(figures)
        .ok_or_else(|| "the note cannot be computed".into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families;
    use crate::report::instrument_report;

    #[test]
    fn every_note_has_the_pitch_and_the_headroom_of_the_report() {
        let mut instrument = families::start("ukulele-concert", 1, None, "x").unwrap();
        instrument.pluck.force_n = 2.0;
        let report = instrument_report(&instrument, &[]);
        for (course, figures) in report.courses.iter().enumerate() {
            let string = &figures.strings[0];
            for note in &string.fretting.frets {
                let tone = tone(&instrument, &[], course, note.fret).unwrap();
                let over = f64::from(note.fret) * 100.0 + note.cents.unwrap();
                let expected = figures.pitch_hz.unwrap() * (over / 1200.0).exp2();
                assert!((tone.hz / expected - 1.0).abs() < 1e-9, "{}", note.fret);
                assert_eq!(tone.headroom_n, note.headroom_n);
                assert!((tone.pluck_n - 2.0).abs() < 1e-12);
                assert!(tone.bending > 0.0 && tone.bending < 0.05);
                assert_eq!(tone.loss, Loss::POLYMER);
            }
        }
    }

    #[test]
    fn what_cannot_sound_says_why() {
        let mut instrument = families::start("ukulele-concert", 1, None, "x").unwrap();
        assert!(tone(&instrument, &[], 9, 0).is_err());
        assert!(tone(&instrument, &[], 0, 39).is_err());
        instrument.setup.courses[0].gap_1_mm = None;
        let why = tone(&instrument, &[], 0, 1).unwrap_err();
        assert!(why.contains("not measured"), "{why}");
    }
}
