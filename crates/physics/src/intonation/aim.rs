//! Which notes are to be brought into tune, by which rule, and what is left of their errors.

use crate::press::StringOnBoard;
use crate::quantity::Cents;
use std::ops::RangeInclusive;

/// What counts as nearest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rule {
    /// The least sum of the squares of the errors, by their weights.
    #[default]
    LeastSquares,
    /// The least greatest error, by its weight.
    Minimax,
}

/// Whether the nut may move.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NutRule {
    /// The nut moves with the saddle.
    #[default]
    Free,
    /// The nut stays where it stands.
    Stays,
}

/// What to bring into tune, and by moving what.
#[derive(Clone, Debug, PartialEq)]
pub struct Aim<'w> {
    /// The frets that count, as numbered on the board; those that the course lacks, or that are blocked, are passed over.
    pub frets: RangeInclusive<u32>,
    /// A weight for each fret from the first of `frets` on: zero leaves one out. Frets beyond its end, and all when there is
    /// none, have weight 1. A weight that is negative or no number counts as zero.
    pub weights: Option<&'w [f64]>,
    /// What counts as nearest.
    pub rule: Rule,
    /// Whether the nut may move.
    pub nut: NutRule,
}

impl Default for Aim<'_> {
    /// Frets 1 to 12, all alike, by least squares, saddle and nut both.
    fn default() -> Self {
        Self {
            frets: 1..=12,
            weights: None,
            rule: Rule::default(),
            nut: NutRule::default(),
        }
    }
}

impl Aim<'_> {
    /// The weight of a fret.
    pub(super) fn weight(&self, fret: u32) -> f64 {
        let Some(weights) = self.weights else {
            return 1.0;
        };
        let at = fret.saturating_sub(*self.frets.start()) as usize;
        let weight = weights.get(at).copied().unwrap_or(1.0);
        if weight.is_finite() {
            weight.max(0.0)
        } else {
            0.0
        }
    }
}

/// What is left of the errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The root of the weighted mean of their squares, the open string not counted.
    pub rms: Cents,
    /// The fret with the greatest error, and that error.
    pub worst: (u32, Cents),
    /// How many notes were counted.
    pub notes: u32,
}

impl Residual {
    /// The root mean square with the open string counted as one more note of no error, as the published tables of Anderson
    /// & Beausoleil (2024) turn out to have it.
    #[must_use]
    pub fn rms_with_open(&self) -> Cents {
        let n = f64::from(self.notes);
        Cents(self.rms.0 * (n / (n + 1.0)).sqrt())
    }
}

/// What is left of a course's errors as it lies. None when no note that counts can sound.
#[must_use]
pub fn residual(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Option<Residual> {
    let notes =
        counted(string, aim).filter_map(|fret| Some((fret, string.press(fret).ok()?.cents())));
    residual_of(notes, aim)
}

/// What is left of errors that are already known, by fret; the open string and frets that do not count are passed over. None
/// when none is left.
#[must_use]
pub fn residual_of(
    notes: impl IntoIterator<Item = (u32, Cents)>,
    aim: &Aim<'_>,
) -> Option<Residual> {
    let mut sums = Sums::default();
    for (fret, cents) in notes {
        if fret > 0 && aim.frets.contains(&fret) {
            sums.add(fret, cents, aim.weight(fret));
        }
    }
    sums.residual()
}

/// The frets that count on this course.
pub(super) fn counted(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> RangeInclusive<u32> {
    let has = string.frets();
    (*aim.frets.start()).max(*has.start())..=(*aim.frets.end()).min(*has.end())
}

/// Running sums of the errors.
#[derive(Default)]
pub(super) struct Sums {
    squares: f64,
    weights: f64,
    worst: Option<(u32, Cents)>,
    notes: u32,
}

impl Sums {
    pub(super) fn add(&mut self, fret: u32, cents: Cents, weight: f64) {
        if weight <= 0.0 {
            return;
        }
        self.squares += weight * cents.0 * cents.0;
        self.weights += weight;
        self.notes += 1;
        if self
            .worst
            .is_none_or(|(_, most)| cents.0.abs() > most.0.abs())
        {
            self.worst = Some((fret, cents));
        }
    }

    pub(super) fn residual(&self) -> Option<Residual> {
        Some(Residual {
            rms: Cents((self.squares / self.weights).sqrt()),
            worst: self.worst?,
            notes: self.notes,
        })
    }
}
