//! The setbacks that bring a course's notes nearest to tune.

use super::minimax::{Sample, least_worst};
use crate::fretboard::Setbacks;
use crate::heights::least::Normal;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, InBenchUnits, Length, mm};
use crate::range::OutOfRange;
use crate::strung::Banded;
use std::f64::consts::LN_2;
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
    fn weight(&self, fret: u32) -> f64 {
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

/// The best setbacks of one course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optimum {
    /// Where to put saddle and nut.
    pub setbacks: Setbacks,
    /// The saddle's place in mm with its band, from the doubt of the string's stretch and bending length.
    pub saddle_mm: Banded,
    /// The nut's place in mm with its band; no band where it stays.
    pub nut_mm: Banded,
    /// What is left there.
    pub residual: Residual,
    /// Sum of the squares of the cents that a millimetre of saddle moves each note, by their weights: how much this course
    /// minds a saddle that is not at its best place.
    pub saddle_weight: f64,
}

/// Why there are no best setbacks.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoOptimum {
    /// Too few notes sound.
    #[error(
        "{sounding} of the frets that count can sound; at least {needed} are needed to place {what}"
    )]
    TooFewNotes {
        /// How many can sound.
        sounding: usize,
        /// How many are needed.
        needed: usize,
        /// What is to be placed.
        what: &'static str,
    },
    /// The errors ask for setbacks that no instrument can have.
    #[error("the errors ask for setbacks that cannot be: {0}")]
    OutOfReach(#[from] OutOfRange),
}

/// The linear solution for the setbacks: with `Z_n` the error of fret `n` as a share of frequency, `g_n = 2^(n/12)`,
/// `gk = sum (g_n - 1)^k` and `Zk = sum (g_n - 1)^k Z_n`,
///
/// `dS = X0 (g0 Z1 - g1 Z0)/(g0 g2 - g1^2)`, `dN = -X0 (g2 Z0 - g1 Z1)/(g0 g2 - g1^2)`.
///
/// Each item is the steps of a note over the open string, its error, and its weight. None when the notes do not fix both.
/// Source: Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024).
#[must_use]
pub fn linear_setbacks(
    scale: Length,
    errors: impl IntoIterator<Item = (u32, Cents, f64)>,
) -> Option<Setbacks> {
    let (mut g, mut z) = ([0.0; 3], [0.0; 2]);
    for (steps, cents, weight) in errors {
        let share = cents.0 * LN_2 / 1200.0;
        let nearer = (f64::from(steps) / 12.0).exp2() - 1.0;
        g[0] += weight;
        g[1] += weight * nearer;
        g[2] += weight * nearer * nearer;
        z[0] += weight * share;
        z[1] += weight * nearer * share;
    }
    let determinant = g[0] * g[2] - g[1] * g[1];
    let fixed = determinant > 1e-12 * g[0] * g[2];
    fixed.then(|| Setbacks {
        saddle: scale * ((g[0] * z[1] - g[1] * z[0]) / determinant),
        nut: scale * (-(g[2] * z[0] - g[1] * z[1]) / determinant),
    })
}

/// Steps of Newton and Gauss, and the step in mm that ends them: each leaves a few thousandths of the one before.
const STEPS: usize = 12;
const SETTLED_MM: f64 = 1e-5;

/// The setbacks that bring a course nearest to tune.
///
/// Starts at the linear solution from where the string lies now and goes on with the exact pitch of each note and its exact
/// derivatives. Heights at nut and saddle are kept.
///
/// # Errors
/// [`NoOptimum`] when too few notes can sound, or the errors ask for setbacks that cannot be.
pub fn optimum(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Result<Optimum, NoOptimum> {
    let mut at = string.clone();
    if aim.nut == NutRule::Free
        && let Some(start) = linear_start(string, aim)
        && let Ok(started) = string.clone().with_setbacks(start)
    {
        at = started;
    }
    let mut gathered = Gathered::at(&at, aim)?;
    for _ in 0..STEPS {
        let (saddle, nut) = gathered.step(aim)?;
        let now = at.setbacks();
        at = at.with_setbacks(Setbacks {
            saddle: now.saddle + mm(saddle),
            nut: now.nut + mm(nut),
        })?;
        let settled = saddle.abs().max(nut.abs()) < SETTLED_MM;
        if settled {
            break;
        }
        gathered = Gathered::at(&at, aim)?;
    }
    gathered.finish(&at, aim)
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
fn counted(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> RangeInclusive<u32> {
    let has = string.frets();
    (*aim.frets.start()).max(*has.start())..=(*aim.frets.end()).min(*has.end())
}

fn linear_start(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Option<Setbacks> {
    let first = string.board().first_fret();
    let errors = counted(string, aim).filter_map(|fret| {
        let note = string.press(fret).ok()?;
        Some((fret - first, note.cents(), aim.weight(fret)))
    });
    let by = linear_setbacks(string.board().open_length(), errors)?;
    let now = string.setbacks();
    Some(Setbacks {
        saddle: now.saddle + by.saddle,
        nut: now.nut + by.nut,
    })
}

/// Running sums of the errors.
#[derive(Default)]
struct Sums {
    squares: f64,
    weights: f64,
    worst: Option<(u32, Cents)>,
    notes: u32,
}

impl Sums {
    fn add(&mut self, fret: u32, cents: Cents, weight: f64) {
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

    fn residual(&self) -> Option<Residual> {
        Some(Residual {
            rms: Cents((self.squares / self.weights).sqrt()),
            worst: self.worst?,
            notes: self.notes,
        })
    }
}

/// All notes that count, at one pair of setbacks.
struct Gathered {
    both: Normal<2>,
    saddle: Normal<1>,
    /// Right-hand sides for a unit of doubt in stretch and in bending length.
    by_stretch: [f64; 2],
    by_bending: [f64; 2],
    sums: Sums,
    /// Only for the least greatest error.
    samples: Vec<Sample>,
}

impl Gathered {
    fn at(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Result<Self, NoOptimum> {
        let mut all = Self {
            both: Normal::new(),
            saddle: Normal::new(),
            by_stretch: [0.0; 2],
            by_bending: [0.0; 2],
            sums: Sums::default(),
            samples: Vec::new(),
        };
        for fret in counted(string, aim) {
            let weight = aim.weight(fret);
            let Ok(note) = string.press(fret) else {
                continue;
            };
            if weight <= 0.0 {
                continue;
            }
            let (cents, per) = (note.cents(), note.cents_per());
            let row = [per.saddle_mm, per.nut_mm];
            all.both.add(row, -cents.0, weight);
            all.saddle.add([per.saddle_mm], -cents.0, weight);
            for ((k, b), r) in all.by_stretch.iter_mut().zip(&mut all.by_bending).zip(row) {
                *k -= weight * r * per.stretch;
                *b -= weight * r * per.bending_mm;
            }
            all.sums.add(fret, cents, weight);
            if aim.rule == Rule::Minimax {
                all.samples.push(Sample {
                    value: weight * cents.0,
                    row: row.map(|r| weight * r),
                });
            }
        }
        let (needed, what) = match aim.nut {
            NutRule::Free => (2, "saddle and nut"),
            NutRule::Stays => (1, "the saddle"),
        };
        let sounding = all.sums.notes as usize;
        if sounding < needed {
            return Err(NoOptimum::TooFewNotes {
                sounding,
                needed,
                what,
            });
        }
        Ok(all)
    }

    /// How far to move saddle and nut from here, in mm.
    fn step(&self, aim: &Aim<'_>) -> Result<(f64, f64), NoOptimum> {
        let by = match (aim.rule, aim.nut) {
            (Rule::LeastSquares, NutRule::Free) => self.both.solve().map(|[s, n]| (s, n)),
            (Rule::LeastSquares, NutRule::Stays) => self.saddle.solve().map(|[s]| (s, 0.0)),
            (Rule::Minimax, NutRule::Free) => {
                // Two notes can both be put right; three or more leave something to share out.
                least_worst(&self.samples, true).or_else(|| self.both.solve().map(|[s, n]| (s, n)))
            }
            (Rule::Minimax, NutRule::Stays) => least_worst(&self.samples, false)
                .or_else(|| self.saddle.solve().map(|[s]| (s, 0.0))),
        };
        by.ok_or(NoOptimum::TooFewNotes {
            sounding: self.sums.notes as usize,
            needed: 2,
            what: "saddle and nut",
        })
    }

    fn finish(&self, at: &StringOnBoard<'_>, aim: &Aim<'_>) -> Result<Optimum, NoOptimum> {
        let setbacks = at.setbacks();
        let sides = |band: Banded| f64::midpoint(band.high - band.value, band.value - band.low);
        let (k, b) = (sides(at.kappa()), sides(at.bending_length_mm()));
        let moves = |right: [f64; 2]| match aim.nut {
            NutRule::Free => self.both.solve_for(right),
            NutRule::Stays => self.saddle.solve_for([right[0]]).map(|[s]| [s, 0.0]),
        };
        let by_k = moves(self.by_stretch).unwrap_or_default().map(|m| m * k);
        let by_b = moves(self.by_bending).unwrap_or_default().map(|m| m * b);
        let half = |i: usize| {
            let (k, b) = (
                by_k.get(i).copied().unwrap_or(0.0),
                by_b.get(i).copied().unwrap_or(0.0),
            );
            (k * k + b * b + 2.0 * at.correlation * k * b)
                .max(0.0)
                .sqrt()
        };
        // The last step is too small to change what was gathered before it.
        let residual = self.sums.residual().ok_or(NoOptimum::TooFewNotes {
            sounding: 0,
            needed: 1,
            what: "the saddle",
        })?;
        Ok(Optimum {
            setbacks,
            saddle_mm: Banded::within(setbacks.saddle.bench(), half(0)),
            nut_mm: Banded::within(setbacks.nut.bench(), half(1)),
            residual,
            saddle_weight: self.saddle.diagonal()[0],
        })
    }
}
