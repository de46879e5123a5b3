//! The setbacks that bring a course's notes nearest to tune.

use super::aim::{Aim, NutRule, Residual, Rule, Sums, counted};
use super::minimax::{Sample, least_worst};
use crate::fretboard::Setbacks;
use crate::heights::least::Normal;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, InBenchUnits, Length, mm};
use crate::range::OutOfRange;
use crate::strung::Banded;
use std::f64::consts::LN_2;

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

/// Most steps of Newton and Gauss.
const STEPS: usize = 12;
/// A step of least squares shorter than this, in mm, is the last: each leaves about a thousandth of the one before, and the
/// errors after it follow from their derivatives to 0.0001 cents.
const LAST_MM: f64 = 0.05;
/// The same for the least greatest error, whose notes must first be found.
const LAST_MINIMAX_MM: f64 = 1e-5;

/// The setbacks that bring a course nearest to tune, to about 0.0001 mm.
///
/// Starts at the linear solution from where the string lies now and goes on with the exact pitch of each note and its exact
/// derivatives. Heights at nut and saddle are kept.
///
/// # Errors
/// [`NoOptimum`] when too few notes can sound, or the errors ask for setbacks that cannot be.
pub fn optimum(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Result<Optimum, NoOptimum> {
    let known =
        counted(string, aim).filter_map(|fret| Some((fret, string.press(fret).ok()?.cents())));
    optimum_from(string, known, aim)
}

/// [`optimum`] for a string whose errors as it lies are already known, by fret: they only tell where to start, so that the
/// notes need not be computed again.
///
/// # Errors
/// As [`optimum`].
pub fn optimum_from(
    string: &StringOnBoard<'_>,
    known: impl IntoIterator<Item = (u32, Cents)>,
    aim: &Aim<'_>,
) -> Result<Optimum, NoOptimum> {
    let mut at = string.clone();
    if let Some(start) = linear_start(string, known, aim)
        && let Ok(started) = string.clone().with_setbacks(start)
    {
        at = started;
    }
    let mut gathered = Gathered::at(&at, aim)?;
    for left in (0..STEPS).rev() {
        let (saddle, nut) = gathered.step(aim)?;
        let now = at.setbacks();
        at = at.with_setbacks(Setbacks {
            saddle: now.saddle + mm(saddle),
            nut: now.nut + mm(nut),
        })?;
        let last = match aim.rule {
            Rule::LeastSquares => LAST_MM,
            Rule::Minimax => LAST_MINIMAX_MM,
        };
        if left == 0 || saddle.abs().max(nut.abs()) < last {
            gathered.go([saddle, nut]);
            break;
        }
        gathered = Gathered::at(&at, aim)?;
    }
    gathered.finish(&at, aim)
}

/// The linear solution from where the string lies; none where the nut stays, or the notes do not fix both.
fn linear_start(
    string: &StringOnBoard<'_>,
    known: impl IntoIterator<Item = (u32, Cents)>,
    aim: &Aim<'_>,
) -> Option<Setbacks> {
    if aim.nut == NutRule::Stays {
        return None;
    }
    let frets = counted(string, aim);
    let first = string.board().first_fret();
    let errors = known
        .into_iter()
        .filter(|(fret, _)| frets.contains(fret))
        .map(|(fret, cents)| (fret - first, cents, aim.weight(fret)));
    let by = linear_setbacks(string.board().open_length(), errors)?;
    let now = string.setbacks();
    Some(Setbacks {
        saddle: now.saddle + by.saddle,
        nut: now.nut + by.nut,
    })
}

/// All notes that count, at one pair of setbacks.
struct Gathered {
    both: Normal<2>,
    saddle: Normal<1>,
    /// Right-hand sides for a unit of doubt in stretch and in bending length.
    by_stretch: [f64; 2],
    by_bending: [f64; 2],
    notes: Vec<Counted>,
}

/// One note that counts: its error, and how that moves with saddle and nut, per mm.
struct Counted {
    fret: u32,
    weight: f64,
    cents: f64,
    row: [f64; 2],
}

impl Gathered {
    fn at(string: &StringOnBoard<'_>, aim: &Aim<'_>) -> Result<Self, NoOptimum> {
        let mut all = Self {
            both: Normal::new(),
            saddle: Normal::new(),
            by_stretch: [0.0; 2],
            by_bending: [0.0; 2],
            notes: Vec::with_capacity(counted(string, aim).count()),
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
            all.notes.push(Counted {
                fret,
                weight,
                cents: cents.0,
                row,
            });
        }
        let (needed, what) = match aim.nut {
            NutRule::Free => (2, "saddle and nut"),
            NutRule::Stays => (1, "the saddle"),
        };
        let sounding = all.notes.len();
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
                least_worst(&self.samples(), true)
                    .or_else(|| self.both.solve().map(|[s, n]| (s, n)))
            }
            (Rule::Minimax, NutRule::Stays) => least_worst(&self.samples(), false)
                .or_else(|| self.saddle.solve().map(|[s]| (s, 0.0))),
        };
        by.ok_or(NoOptimum::TooFewNotes {
            sounding: self.notes.len(),
            needed: 2,
            what: "saddle and nut",
        })
    }

    /// The weighted errors, for the least greatest of them.
    fn samples(&self) -> Vec<Sample> {
        self.notes
            .iter()
            .map(|n| Sample {
                value: n.weight * n.cents,
                row: n.row.map(|r| n.weight * r),
            })
            .collect()
    }

    /// Moves the errors along a last short step by their derivatives.
    fn go(&mut self, step: [f64; 2]) {
        for note in &mut self.notes {
            note.cents += note.row[0] * step[0] + note.row[1] * step[1];
        }
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
        let mut sums = Sums::default();
        for note in &self.notes {
            sums.add(note.fret, Cents(note.cents), note.weight);
        }
        let residual = sums.residual().ok_or(NoOptimum::TooFewNotes {
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
