//! How far each fretted note is out of tune, with its doubt, and what to move so that the instrument plays in tune.

mod aim;
mod correction;
mod fit;
mod minimax;
mod optimum;
mod readings;
mod rule_of_thumb;
mod saddle_line;

pub use aim::{Aim, NutRule, Residual, Rule, residual, residual_of};
pub use correction::{Correction, NoCorrection, correction};
pub use fit::{Fitted, NotFitted, fit};
pub use optimum::{NoOptimum, Optimum, linear_setbacks, optimum, optimum_from};
pub use readings::{READING_SD, Reading, SetAside, WhySetAside, pure_tone_step};
pub use rule_of_thumb::setbacks_by_closed_form;
pub use saddle_line::{CourseAtSaddle, NoLine, SaddleLine};

use crate::press::{Blocked, Pressed, StringOnBoard};
use crate::quantity::Cents;

/// One note's error, with its doubt (about one standard deviation each way) and what that comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoteError {
    /// The fret; 0 for the open string.
    pub fret: u32,
    /// Error against equal temperament counted from the open string; positive is sharp.
    pub cents: Cents,
    /// The lower end of its band.
    pub low: Cents,
    /// The upper end of its band.
    pub high: Cents,
    /// The part of the band's half width that the string's stretch makes alone.
    pub from_stretch: Cents,
    /// The part that its bending length makes alone.
    pub from_bending: Cents,
    /// The part that the measured heights make alone; zero where they count as exact.
    pub from_heights: Cents,
}

impl NoteError {
    /// The error of a note, its band propagated to first order from the bands of stretch and bending length, and from the
    /// measured gaps where their doubt was given.
    #[must_use]
    pub fn of(note: &Pressed<'_>) -> Self {
        let string = note.string;
        let cents = note.cents();
        let per = note.cents_per();
        let heights = string.gap_doubt.map_or(0.0, |doubt| {
            let [a, b] = doubt
                .raises
                .map(|(nut, saddle)| per.nut_height_mm * nut + per.saddle_height_mm * saddle);
            doubt.sd_mm * a.hypot(b)
        });
        let side = |up: f64| {
            // A note may fall where the stretch grows: take the end of each band that moves it this way.
            let reach = |slope: f64, band: crate::strung::Banded| {
                let room = if slope * up > 0.0 {
                    band.high - band.value
                } else {
                    band.value - band.low
                };
                slope.abs() * room
            };
            let (k, b) = (
                reach(per.stretch, string.kappa),
                reach(per.bending_mm, string.bending_mm),
            );
            let shared = 2.0 * string.correlation * k * b * (per.stretch * per.bending_mm).signum();
            (
                k,
                b,
                (k * k + b * b + shared + heights * heights).max(0.0).sqrt(),
            )
        };
        let (k_up, b_up, up) = side(1.0);
        let (k_down, b_down, down) = side(-1.0);
        Self {
            fret: note.fret(),
            cents,
            low: Cents(cents.0 - down),
            high: Cents(cents.0 + up),
            from_stretch: Cents(f64::midpoint(k_up, k_down)),
            from_bending: Cents(f64::midpoint(b_up, b_down)),
            from_heights: Cents(heights),
        }
    }
}

/// The measurement that would narrow a course's bands most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Narrows {
    /// The pull test, which gives the stretch.
    PullTest,
    /// Tuner readings on several frets, high ones among them, which give the end correction.
    FretReadings,
    /// Measuring the gaps more closely.
    Gaps,
}

/// Names the one measurement that would narrow the bands of these notes most: the doubt with the greatest share in the sum
/// of their squares. None when nothing is in doubt.
#[must_use]
pub fn narrows_most<'e>(errors: impl IntoIterator<Item = &'e NoteError>) -> Option<Narrows> {
    let mut sums = [0.0_f64; 3];
    for e in errors {
        sums[0] += e.from_stretch.0.powi(2);
        sums[1] += e.from_bending.0.powi(2);
        sums[2] += e.from_heights.0.powi(2);
    }
    let kinds = [Narrows::PullTest, Narrows::FretReadings, Narrows::Gaps];
    let (most, kind) = sums
        .into_iter()
        .zip(kinds)
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    (most > 0.0).then_some(kind)
}

impl StringOnBoard<'_> {
    /// The error of one note; 0 is the open string.
    ///
    /// # Errors
    /// [`Blocked`], with the reason, when that note cannot sound.
    pub fn note_error(&self, fret: u32) -> Result<NoteError, Blocked> {
        Ok(NoteError::of(&self.press(fret)?))
    }
}

#[cfg(test)]
mod readings_tests;
#[cfg(test)]
mod tests;
