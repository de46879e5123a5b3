//! Making the prediction the instrument's own: stretch and end correction from readings on several frets.

use super::correction::different;
use super::readings::{OUT_OF_LINE_SDS, Reading, SetAside, WhySetAside, sorted};
use crate::heights::least::Normal;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, InBenchUnits, mm};
use crate::range::{OutOfRange, within};
use crate::stiffness::end_correction;
use crate::strung::Banded;

/// What readings on several frets say of a string.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The stretch, with one standard deviation each way.
    pub kappa: Banded,
    /// The bending length in mm, with one standard deviation each way.
    pub bending_length_mm: Banded,
    /// The end correction at each end in mm, which follows from it.
    pub end_correction_mm: Banded,
    /// Correlation of the two doubts, -1 to 1: readings often fix a mixture of both better than either.
    pub correlation: f64,
    /// How far the open string was off when the readings were taken.
    pub open: Cents,
    /// How far the stretch moved from what was known before, in the standard deviations of that. Beyond three either way the
    /// string is not what it was said to be, or the heights or setbacks are not.
    pub kappa_moved_sds: f64,
    /// The same for the bending length.
    pub bending_moved_sds: f64,
    /// Root mean square of what the readings used differ from the model as it was.
    pub before: Cents,
    /// The same with what was found.
    pub after: Cents,
    /// How many readings were used.
    pub used: usize,
    /// The readings that were not used, and why.
    pub set_aside: Vec<SetAside>,
}

/// Why readings say nothing of the string.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotFitted {
    /// Too few different frets can be used.
    #[error(
        "{frets} different frets can be used; at least 2 are needed to tell stretch from end correction"
    )]
    TooFew {
        /// How many different frets can be used.
        frets: usize,
        /// The readings that were not used, and why.
        set_aside: Vec<SetAside>,
    },
    /// A number that is none, or too large.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
}

/// Where the open string was not read it counts as tuned true within one reading's doubt; where it was, it may have been
/// anywhere, to this many cents.
const OPEN_ANYWHERE: f64 = 200.0;
/// What counts as known exactly still gets this relative doubt, so that the equations stay sound.
const EXACT: f64 = 1e-6;
const STEPS: usize = 30;

/// Fits stretch and bending length to readings, starting from what is known of the string: the most likely values given its
/// bands and the readings, each good to its own doubt, or to `reading_sd` where it does not say one. Both stay positive, for their logarithms are what is moved.
///
/// A reading more than 3.5 standard deviations from where the others put it is set aside, the worst first, at most a third
/// of them; a reading counts as no finer than `reading_sd` there, since heights and model are not either. Source: least squares with prior knowledge (Gauss); common practice.
///
/// # Errors
/// [`NotFitted`] when fewer than two different frets can be used, or `reading_sd` is not physical.
pub fn fit(
    string: &StringOnBoard<'_>,
    readings: &[Reading],
    reading_sd: Cents,
) -> Result<Fitted, NotFitted> {
    let sd = within("a reading's doubt", reading_sd.0, "cents", 0.01, 100.0)?;
    let sorted = sorted(string, readings, sd);
    let (mut used, mut aside) = (sorted.used, sorted.aside);
    let most_aside = used.len() / 3;
    let prior = Prior::of(string, used.iter().any(|(_, r)| r.fret == 0), sd);
    let mut dropped = 0;
    loop {
        let fretted: Vec<Reading> = used.iter().map(|u| u.1).filter(|r| r.fret > 0).collect();
        let frets = different(&fretted);
        if frets < 2 {
            return Err(NotFitted::TooFew {
                frets,
                set_aside: aside,
            });
        }
        let found = Found::settle(string, &used, &prior, sd)?;
        let worst = (dropped < most_aside)
            .then(|| found.out_of_line(&used, sd))
            .flatten();
        let Some((index, why)) = worst else {
            aside.sort_by_key(|a| a.place);
            return found.report(string, &used, &prior, sd, aside);
        };
        let (place, reading) = used.remove(index);
        aside.push(SetAside {
            place,
            reading,
            why,
        });
        dropped += 1;
    }
}

/// What is known before the readings, as relative doubts.
struct Prior {
    kappa: f64,
    bending: f64,
    kappa_sd: f64,
    bending_sd: f64,
    open_sd: f64,
}

impl Prior {
    fn of(string: &StringOnBoard<'_>, open_read: bool, sd: f64) -> Self {
        let relative = |b: Banded| {
            let half = f64::midpoint(b.high - b.value, b.value - b.low);
            if b.value > 0.0 {
                (half / b.value).max(EXACT)
            } else {
                EXACT
            }
        };
        Self {
            kappa: string.kappa().value,
            bending: string.bending_length_mm().value,
            kappa_sd: relative(string.kappa()),
            bending_sd: relative(string.bending_length_mm()),
            open_sd: if open_read { OPEN_ANYWHERE } else { sd },
        }
    }

    /// The string with both moved by these logarithms.
    fn moved<'a>(
        &self,
        string: &StringOnBoard<'a>,
        by: [f64; 3],
    ) -> Result<StringOnBoard<'a>, OutOfRange> {
        string.clone().with_found(
            Banded::exact(self.kappa * by[0].exp()),
            Banded::exact(self.bending * by[1].exp()),
            0.0,
        )
    }
}

/// Where the fit came to rest: the logarithms of both moves and the open string's cents.
struct Found {
    at: [f64; 3],
    normal: Normal<3>,
    /// Row and misfit (reading less model) of each reading.
    rows: Vec<([f64; 3], f64)>,
}

impl Found {
    fn settle(
        string: &StringOnBoard<'_>,
        used: &[(usize, Reading)],
        prior: &Prior,
        sd: f64,
    ) -> Result<Self, OutOfRange> {
        let mut at = [0.0; 3];
        let mut best = Self::gather(&prior.moved(string, at)?, used, prior, sd, at);
        for _ in 0..STEPS {
            let Some(step) = best.normal.solve() else {
                break;
            };
            let mut share = 1.0;
            let mut next = None;
            // A whole step, or part of one where it would leave what is physical.
            while share > 1e-3 && next.is_none() {
                let mut tried = at;
                for (t, s) in tried.iter_mut().zip(step) {
                    *t += share * s;
                }
                next = prior.moved(string, tried).ok().map(|moved| (tried, moved));
                share /= 2.0;
            }
            let Some((tried, moved)) = next else { break };
            at = tried;
            best = Self::gather(&moved, used, prior, sd, at);
            if step.iter().all(|s| s.abs() < 1e-10) {
                break;
            }
        }
        Ok(best)
    }

    fn gather(
        moved: &StringOnBoard<'_>,
        used: &[(usize, Reading)],
        prior: &Prior,
        sd: f64,
        at: [f64; 3],
    ) -> Self {
        let mut normal = Normal::new();
        normal.add([1.0, 0.0, 0.0], -at[0], prior.kappa_sd.powi(-2));
        normal.add([0.0, 1.0, 0.0], -at[1], prior.bending_sd.powi(-2));
        normal.add([0.0, 0.0, 1.0], -at[2], prior.open_sd.powi(-2));
        let mut rows = Vec::with_capacity(used.len());
        for (_, reading) in used {
            let mut row = [0.0, 0.0, 1.0];
            let mut model = at[2];
            if reading.fret > 0
                && let Ok(note) = moved.press(reading.fret)
            {
                let per = note.cents_per();
                row[0] = per.stretch * moved.kappa().value;
                row[1] = per.bending_mm * moved.bending_length_mm().value;
                model += note.cents().0;
            }
            let misfit = reading.cents.0 - model;
            normal.add(row, misfit, reading.sd_or(sd).powi(-2));
            rows.push((row, misfit));
        }
        Self { at, normal, rows }
    }

    /// The reading furthest out of line with the others, when it is too far.
    fn out_of_line(&self, used: &[(usize, Reading)], sd: f64) -> Option<(usize, WhySetAside)> {
        let covariance = self.normal.inverse()?;
        let mut worst: Option<(usize, f64, f64)> = None;
        for (i, ((row, misfit), (_, reading))) in self.rows.iter().zip(used).enumerate() {
            let own = reading.sd_or(sd);
            let mut held = 0.0;
            for (a, line) in row.iter().zip(covariance) {
                for (b, c) in row.iter().zip(line) {
                    held += a * b * c;
                }
            }
            // The share of the reading's own variance that it keeps to itself.
            let free = 1.0 - held / (own * own);
            if free < 1e-6 {
                continue;
            }
            let sds = misfit.abs() / (own.max(sd) * free.sqrt());
            if worst.is_none_or(|(_, most, _)| sds > most) {
                // Left out, the others would put it this far off.
                worst = Some((i, sds, misfit / free));
            }
        }
        let (index, sds, off) = worst.filter(|w| w.1 > OUT_OF_LINE_SDS)?;
        let reading = used.get(index)?.1;
        let expected = Cents(reading.cents.0 - off);
        Some((index, WhySetAside::OutOfLine { expected, sds }))
    }

    fn report(
        &self,
        string: &StringOnBoard<'_>,
        used: &[(usize, Reading)],
        prior: &Prior,
        sd: f64,
        set_aside: Vec<SetAside>,
    ) -> Result<Fitted, NotFitted> {
        let covariance = self.normal.inverse().unwrap_or_default();
        let [[kk, kb, _], [_, bb, _], _] = covariance;
        let kappa = prior.kappa * self.at[0].exp();
        let bending = prior.bending * self.at[1].exp();
        let positive = |value: f64, relative: f64| {
            let band = Banded::within(value, value * relative.max(0.0).sqrt());
            Banded {
                low: band.low.max(0.0),
                ..band
            }
        };
        let bending_length_mm = positive(bending, bb);
        let ends = |b: f64| end_correction(mm(b), string.ends).bench();
        let rms = |rows: &[([f64; 3], f64)]| {
            let sum: f64 = rows.iter().map(|(_, m)| m * m).sum();
            Cents((sum / rows.len().max(1) as f64).sqrt())
        };
        // As it was: the open string where the readings put it, the string as it was described.
        let was = [0.0, 0.0, self.at[2]];
        let before = Self::gather(&prior.moved(string, was)?, used, prior, sd, was);
        let size = (kk * bb).max(0.0).sqrt();
        Ok(Fitted {
            kappa: positive(kappa, kk),
            bending_length_mm,
            end_correction_mm: Banded {
                value: ends(bending_length_mm.value),
                low: ends(bending_length_mm.low),
                high: ends(bending_length_mm.high),
            },
            correlation: if size > 0.0 {
                (kb / size).clamp(-1.0, 1.0)
            } else {
                0.0
            },
            open: Cents(self.at[2]),
            kappa_moved_sds: self.at[0] / prior.kappa_sd,
            bending_moved_sds: self.at[1] / prior.bending_sd,
            before: rms(&before.rows),
            after: rms(&self.rows),
            used: used.len(),
            set_aside,
        })
    }
}
