//! What to move, from what a tuner said.

use super::aim::NutRule;
use super::readings::{Reading, SetAside, sorted};
use crate::fretboard::Setbacks;
use crate::heights::least::Normal;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, InBenchUnits, mm};
use crate::range::{OutOfRange, within};
use crate::strung::Banded;

/// How to move saddle and nut so that what the tuner said goes away.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// Where to put saddle and nut.
    pub setbacks: Setbacks,
    /// How far to move the saddle from where it stands, in mm, with the band that the readings' own scatter leaves.
    pub saddle_mm: Banded,
    /// The same for the nut; exactly zero where it stays.
    pub nut_mm: Banded,
    /// Root mean square of the errors read, counted from the open string.
    pub before: Cents,
    /// The same as it should be afterwards.
    pub after: Cents,
    /// The readings that were not used, and why.
    pub set_aside: Vec<SetAside>,
}

impl Correction {
    /// Whether the errors read stand out from what readings scatter by: their root mean square exceeds one standard
    /// deviation of the difference of two readings.
    #[must_use]
    pub fn is_heard(&self, reading_sd: Cents) -> bool {
        self.before.0 > std::f64::consts::SQRT_2 * reading_sd.0
    }
}

/// Why readings give no correction.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoCorrection {
    /// Too few different frets can be used.
    #[error("{frets} different frets can be used; at least {needed} are needed to place {what}")]
    TooFew {
        /// How many different frets can be used.
        frets: usize,
        /// How many are needed.
        needed: usize,
        /// What is to be placed.
        what: &'static str,
        /// The readings that were not used, and why.
        set_aside: Vec<SetAside>,
    },
    /// The readings ask for setbacks that no instrument can have.
    #[error("the readings ask for setbacks that cannot be: {0}")]
    OutOfReach(#[from] OutOfRange),
}

const STEPS: usize = 12;
const SETTLED_MM: f64 = 1e-8;

/// The least squares of the errors read, counted from the open string (as read, or as tuned true where it was not), over the
/// places of saddle and, where it may move, nut.
///
/// What the model says of these notes as they stand does not matter, only how it says that they move. `reading_sd` is one
/// standard deviation of a reading that does not say its own; each counts by the inverse of its own square, and the open string's
/// doubt is shared by all.
///
/// # Errors
/// [`NoCorrection`] for too few usable readings, or setbacks that cannot be.
pub fn correction(
    string: &StringOnBoard<'_>,
    readings: &[Reading],
    nut: NutRule,
    reading_sd: Cents,
) -> Result<Correction, NoCorrection> {
    let sd = within("a reading's doubt", reading_sd.0, "cents", 0.01, 100.0)?;
    let sorted = sorted(string, readings, sd);
    let (fretted, open): (Vec<Reading>, Vec<Reading>) = sorted
        .used
        .iter()
        .map(|(_, r)| *r)
        .partition(|r| r.fret > 0);
    let frets = different(&fretted);
    let (needed, what) = match nut {
        NutRule::Free => (2, "saddle and nut"),
        NutRule::Stays => (1, "the saddle"),
    };
    if frets < needed {
        return Err(NoCorrection::TooFew {
            frets,
            needed,
            what,
            set_aside: sorted.aside,
        });
    }
    let (open_cents, open_sd) = open_string(&open, sd);

    let mut at = string.clone();
    let mut before = None;
    let mut solved = Solved::gather(string, &at, &fretted, open_cents, sd);
    for _ in 0..STEPS {
        before.get_or_insert(solved.rms());
        let Some([saddle, nut]) = solved.step(nut) else {
            break;
        };
        let now = at.setbacks();
        at = at.with_setbacks(Setbacks {
            saddle: now.saddle + mm(saddle),
            nut: now.nut + mm(nut),
        })?;
        solved = Solved::gather(string, &at, &fretted, open_cents, sd);
        if saddle.abs().max(nut.abs()) < SETTLED_MM {
            break;
        }
    }
    let (setbacks, was) = (at.setbacks(), string.setbacks());
    let half = solved.doubt(nut, open_sd);
    Ok(Correction {
        setbacks,
        saddle_mm: Banded::within((setbacks.saddle - was.saddle).bench(), half[0]),
        nut_mm: Banded::within((setbacks.nut - was.nut).bench(), half[1]),
        before: Cents(before.unwrap_or_default()),
        after: Cents(solved.rms()),
        set_aside: sorted.aside,
    })
}

/// The open string from its readings, each by its own doubt, and one standard deviation of it, in cents; tuned true within one
/// reading's doubt where it was not read.
fn open_string(open: &[Reading], sd: f64) -> (f64, f64) {
    let weight = |r: &Reading| r.sd_or(sd).powi(-2);
    let weights: f64 = open.iter().map(weight).sum();
    if weights > 0.0 {
        let sum: f64 = open.iter().map(|r| weight(r) * r.cents.0).sum();
        (sum / weights, weights.powf(-0.5))
    } else {
        (0.0, sd)
    }
}

/// How many different frets the readings are of.
pub(super) fn different(readings: &[Reading]) -> usize {
    let mut frets: Vec<u32> = readings.iter().map(|r| r.fret).collect();
    frets.sort_unstable();
    frets.dedup();
    frets.len()
}

/// The equations of one step.
struct Solved {
    both: Normal<2>,
    saddle: Normal<1>,
    /// Weighed sum of the rows: what an error of the open string does.
    rows: [f64; 2],
    squares: f64,
    count: f64,
}

impl Solved {
    fn gather(
        was: &StringOnBoard<'_>,
        at: &StringOnBoard<'_>,
        readings: &[Reading],
        open_cents: f64,
        sd: f64,
    ) -> Self {
        let mut s = Self {
            both: Normal::new(),
            saddle: Normal::new(),
            rows: [0.0; 2],
            squares: 0.0,
            count: 0.0,
        };
        for r in readings {
            let (Ok(then), Ok(now)) = (was.press(r.fret), at.press(r.fret)) else {
                continue;
            };
            let error = r.cents.0 - open_cents + now.cents().0 - then.cents().0;
            let per = now.cents_per();
            let row = [per.saddle_mm, per.nut_mm];
            let weight = r.sd_or(sd).powi(-2);
            s.both.add(row, -error, weight);
            s.saddle.add([per.saddle_mm], -error, weight);
            for (sum, r) in s.rows.iter_mut().zip(row) {
                *sum += weight * r;
            }
            s.squares += error * error;
            s.count += 1.0;
        }
        s
    }

    fn rms(&self) -> f64 {
        (self.squares / self.count.max(1.0)).sqrt()
    }

    fn step(&self, nut: NutRule) -> Option<[f64; 2]> {
        match nut {
            NutRule::Free => self.both.solve(),
            NutRule::Stays => self.saddle.solve().map(|[s]| [s, 0.0]),
        }
    }

    /// One standard deviation of both moves: the readings' own, and that of the open string which all share.
    fn doubt(&self, nut: NutRule, open_sd: f64) -> [f64; 2] {
        let own = match nut {
            NutRule::Free => self.both.inverse().map(|[[a, _], [_, b]]| [a, b]),
            NutRule::Stays => self.saddle.inverse().map(|[[a]]| [a, 0.0]),
        };
        let shared = match nut {
            NutRule::Free => self.both.solve_for(self.rows),
            NutRule::Stays => self.saddle.solve_for([self.rows[0]]).map(|[s]| [s, 0.0]),
        };
        let (Some([os, on]), Some([ss, sn])) = (own, shared) else {
            return [0.0; 2];
        };
        let half = |own: f64, shared: f64| own.max(0.0).sqrt().hypot(open_sd * shared);
        [half(os, ss), half(on, sn)]
    }
}
