//! A straight saddle through the best places of the courses, and what each course loses by it.

use super::aim::{Aim, Residual, residual};
use super::optimum::{NoOptimum, Optimum};
use crate::fretboard::Setbacks;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// One course's best place at the saddle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseAtSaddle {
    /// Where the course crosses the saddle, from anywhere, across the strings.
    pub across: Length,
    /// Its best saddle setback.
    pub setback: Length,
    /// How much it counts: 1 for each course alike, or [`Optimum::saddle_weight`] to make the sum of all squared cents
    /// least.
    pub weight: f64,
}

/// The straight line that fits the courses best.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleLine {
    /// The weighted middle of the courses.
    pub middle: Length,
    /// The saddle's setback there.
    pub setback: Length,
    /// Its slant: mm of setback for each mm across.
    pub slant: f64,
    /// The setback that the line gives each course, in the order given.
    pub courses: Vec<Length>,
}

/// Why there is no line.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoLine {
    /// No course has any weight.
    #[error("a saddle line needs at least one course that counts")]
    NoCourse,
    /// A number that is none, or too large.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
}

impl SaddleLine {
    /// The weighted least squares line through the courses' best setbacks. One course, or all at one place, give a line
    /// without slant.
    ///
    /// # Errors
    /// [`NoLine`] when nothing counts or a number is not physical.
    pub fn through(courses: &[CourseAtSaddle]) -> Result<Self, NoLine> {
        let mut sums = [0.0; 3];
        for c in courses {
            within(
                "a course's place across",
                c.across.bench(),
                "mm",
                -300.0,
                300.0,
            )?;
            within("a setback", c.setback.bench(), "mm", -50.0, 50.0)?;
            within("a course's weight", c.weight, "", 0.0, 1e12)?;
            sums[0] += c.weight;
            sums[1] += c.weight * c.across.bench();
            sums[2] += c.weight * c.setback.bench();
        }
        let [weight, across, setback] = sums;
        if weight <= 0.0 {
            return Err(NoLine::NoCourse);
        }
        let (middle, level) = (across / weight, setback / weight);
        let (mut uu, mut us) = (0.0, 0.0);
        for c in courses {
            let u = c.across.bench() - middle;
            uu += c.weight * u * u;
            us += c.weight * u * (c.setback.bench() - level);
        }
        let slant = if uu > 1e-9 * weight { us / uu } else { 0.0 };
        Ok(Self {
            middle: mm(middle),
            setback: mm(level),
            slant,
            courses: courses
                .iter()
                .map(|c| mm(level + slant * (c.across.bench() - middle)))
                .collect(),
        })
    }

    /// The slant as an angle in degrees; positive where the setback grows across.
    #[must_use]
    pub fn slant_degrees(&self) -> f64 {
        self.slant.atan().to_degrees()
    }

    /// The line's setback at a place across.
    #[must_use]
    pub fn at(&self, across: Length) -> Length {
        self.setback + (across - self.middle) * self.slant
    }
}

/// What a course loses by a saddle that is not at its best place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SaddleCost {
    /// What is left with the saddle there, the nut at its best place.
    pub residual: Residual,
    /// How much the root mean square grows by it.
    pub more_rms: Cents,
    /// The fret that it moves most, and by how much.
    pub most_moved: (u32, Cents),
}

impl Optimum {
    /// What the course loses when its saddle stands at another setback than its best, the nut at its best.
    ///
    /// # Errors
    /// [`NoOptimum`] when the setback cannot be, or no note that counts can sound there.
    pub fn cost_at(
        &self,
        string: &StringOnBoard<'_>,
        saddle: Length,
        aim: &Aim<'_>,
    ) -> Result<SaddleCost, NoOptimum> {
        let best = string.clone().with_setbacks(self.setbacks)?;
        let there = string.clone().with_setbacks(Setbacks {
            saddle,
            nut: self.setbacks.nut,
        })?;
        let none = NoOptimum::TooFewNotes {
            sounding: 0,
            needed: 1,
            what: "the saddle",
        };
        let left = residual(&there, aim).ok_or_else(|| none.clone())?;
        let most_moved = aim
            .frets
            .clone()
            .filter_map(|fret| {
                let by = there.press(fret).ok()?.cents().0 - best.press(fret).ok()?.cents().0;
                (fret > 0).then_some((fret, Cents(by)))
            })
            .max_by(|a, b| a.1.0.abs().total_cmp(&b.1.0.abs()))
            .ok_or(none)?;
        Ok(SaddleCost {
            residual: left,
            more_rms: Cents(left.rms.0 - self.residual.rms.0),
            most_moved,
        })
    }
}
