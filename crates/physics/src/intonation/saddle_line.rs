//! A straight saddle through the best places of the courses.

use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// One course's best place at the saddle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseAtSaddle {
    /// Where the course crosses the saddle, from anywhere, across the strings.
    pub across: Length,
    /// Its best saddle setback.
    pub setback: Length,
    /// How much it counts: 1 for each course alike, or [`super::Optimum::saddle_weight`] to make the sum of all squared cents
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

    /// The line's setback at a place across.
    #[must_use]
    pub fn at(&self, across: Length) -> Length {
        self.setback + (across - self.middle) * self.slant
    }
}
