//! How new strings settle: the shop's own readings of how flat they went, and what they say of the days to come.
//!
//! No constant of a material stands here: polymer strings differ by kind, gauge, load and room, and published figures do not carry
//! over. Published practice is only that it takes hours, about ten until such a string holds for an hour.

use crate::intonation::READING_SD;
use crate::line::Line;
use crate::quantity::Cents;
use crate::strung::Banded;
use std::f64::consts::LN_10;

/// So many readings at different hours are needed.
pub const READINGS_NEEDED: usize = 3;

/// Looks beyond so many hours, and flatter or sharper than so many cents, are left out: no string does that.
const MOST_HOURS: f64 = 1e6;
const MOST_CENTS: f64 = 12_000.0;

/// One look at a string that was brought to pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Hours since the string was first brought to pitch; positive.
    pub hours: f64,
    /// How flat it was then, in cents; positive is flat.
    pub flat: Cents,
    /// It was brought back to pitch after this look.
    pub retuned: bool,
}

/// Why looks say nothing.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotSettling {
    /// Too few readings at different hours.
    #[error("{have} of the {READINGS_NEEDED} readings at different hours that are needed")]
    TooFew {
        /// How many different hours there are.
        have: usize,
    },
    /// The string did not go flat.
    #[error("the readings do not go flat with time, so there is nothing to settle")]
    NotFlat,
}

/// How a string settles: all that it has gone flat since it was strung, retunings undone, is `D = a + b log10 t`, `t` in hours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settling {
    /// The fitted line over `log10 t`: `b` is cents for each tenfold of the time.
    pub line: Line,
    /// Hours at which it was last brought to pitch; none when it never was since.
    pub retuned_at: Option<f64>,
    /// The hour of the first look.
    pub first_hours: f64,
    /// The hour of the last look.
    pub last_hours: f64,
}

/// The looks in the order of time as `(hours, all that it had gone flat)`, retunings undone, and the last of them after which it
/// was brought to pitch. Looks that are not physical are left out.
fn walk(looks: &[Look]) -> (Vec<(f64, f64)>, Option<f64>) {
    let mut looks: Vec<Look> = looks
        .iter()
        .copied()
        .filter(|look| {
            look.hours > 0.0 && look.hours <= MOST_HOURS && look.flat.0.abs() <= MOST_CENTS
        })
        .collect();
    looks.sort_by(|a, b| a.hours.total_cmp(&b.hours));
    let (mut undone, mut tuned) = (0.0, None);
    let points = looks
        .iter()
        .map(|look| {
            let all = undone + look.flat.0;
            if look.retuned {
                undone = all;
                tuned = Some(look.hours);
            }
            (look.hours, all)
        })
        .collect();
    (points, tuned)
}

impl Settling {
    /// Fits looks in any order. Source: least squares over the logarithm of time, the usual shape of a polymer's creep; one
    /// look is good to 2 cents (Mottola, same-note variability study) or to what the looks scatter by, whichever is more.
    ///
    /// What was tuned away at a look counts on afterwards, so that the sum is what the string would have gone flat by itself.
    ///
    /// # Errors
    /// [`NotSettling`] for fewer than three different hours, or a line that does not go flat.
    pub fn of(looks: &[Look]) -> Result<Self, NotSettling> {
        let (undone, tuned) = walk(looks);
        let points: Vec<(f64, f64)> = undone.iter().map(|(t, d)| (t.log10(), *d)).collect();
        // In the order of time, so that equal hours lie side by side.
        let alike = points.windows(2).filter(|pair| pair[0].0 >= pair[1].0);
        let too_few = NotSettling::TooFew {
            have: points.len() - alike.count(),
        };
        let line = Line::through(&points, READINGS_NEEDED, READING_SD.0).ok_or(too_few)?;
        if line.b > 0.0 {
            Ok(Self {
                line,
                retuned_at: tuned,
                first_hours: undone.first().map_or(0.0, |point| point.0),
                last_hours: undone.last().map_or(0.0, |point| point.0),
            })
        } else {
            Err(NotSettling::NotFlat)
        }
    }

    /// The looks in the order of time as `(hours, cents)`: all that the string had gone flat by then, what was tuned away counted on.
    #[must_use]
    pub fn undone(looks: &[Look]) -> Vec<(f64, f64)> {
        walk(looks).0
    }

    /// The slope with one standard deviation each way, in cents for each tenfold of the time; its low end may be below zero.
    #[must_use]
    pub fn slope(&self) -> Banded {
        Banded::within(self.line.b, self.line.b_sd)
    }

    /// All that the string has gone flat after so many hours (positive), with one standard deviation each way: `a + b log10 t`.
    #[must_use]
    pub fn flat_after(&self, hours: f64) -> Banded {
        let x = hours.log10();
        Banded::within(self.line.at(x), self.line.sd_at(x))
    }

    /// How flat a string is that was in tune at one hour, at a later one (both positive): `b log10(t2/t1)`.
    #[must_use]
    pub fn flat_between(&self, tuned_hours: f64, hours: f64) -> Banded {
        let tenfolds = (hours / tuned_hours).log10();
        Banded::within(self.line.b * tenfolds, self.line.b_sd * tenfolds)
    }

    /// How fast it goes flat at an hour (positive), in cents an hour: `dD/dt = b/(t ln 10)`.
    #[must_use]
    pub fn rate_at(&self, hours: f64) -> Banded {
        let slope = self.slope();
        let per = 1.0 / (hours * LN_10);
        Banded {
            value: slope.value * per,
            low: (slope.low * per).max(0.0),
            high: slope.high * per,
        }
    }

    /// The hour since stringing from which on it goes flat by less than so many cents an hour (positive): `t = b/(r ln 10)`.
    #[must_use]
    pub fn hours_until_rate(&self, cents_per_hour: f64) -> Banded {
        let slope = self.slope();
        let per = 1.0 / (cents_per_hour * LN_10);
        Banded {
            value: slope.value * per,
            low: (slope.low * per).max(0.0),
            high: slope.high * per,
        }
    }

    /// The hour at which a string tuned at an hour (positive) will be flat by so many cents: `t2 = t1 10^(c/b)`.
    ///
    /// The band's far end is infinite where the readings do not rule out that it has settled already.
    #[must_use]
    pub fn flat_again_at(&self, tuned_hours: f64, cents: f64) -> Banded {
        let at = |b: f64| {
            if b > 0.0 {
                tuned_hours * 10_f64.powf(cents / b)
            } else {
                f64::INFINITY
            }
        };
        let slope = self.slope();
        Banded {
            value: at(slope.value),
            low: at(slope.high),
            high: at(slope.low),
        }
    }

    /// The hours at which to retune so that it never is flat by more than so many cents, tuned at an hour (positive), until it
    /// goes flat by less than so many cents an hour; at most `most` of them. Each is [`Self::flat_again_at`] of the one before.
    #[must_use]
    pub fn schedule(&self, tuned: f64, cents: f64, until_rate: f64, most: usize) -> Vec<Banded> {
        let end = self.hours_until_rate(until_rate).value;
        let (mut tuned, mut list) = (tuned, Vec::new());
        while tuned < end && list.len() < most {
            let next = self.flat_again_at(tuned, cents);
            if !next.value.is_finite() || next.value <= tuned {
                break;
            }
            tuned = next.value;
            list.push(next);
        }
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn looks(a: f64, b: f64, retune: bool) -> Vec<Look> {
        let mut undone = 0.0;
        [0.5, 1.0, 3.0, 8.0, 24.0]
            .iter()
            .map(|hours: &f64| {
                let all = a + b * hours.log10();
                let flat = all - undone;
                if retune {
                    undone = all;
                }
                Look {
                    hours: *hours,
                    flat: Cents(flat),
                    retuned: retune,
                }
            })
            .collect()
    }

    proptest! {
        #[test]
        fn retuning_between_looks_changes_nothing_of_what_is_found(a in 20.0..80.0f64, b in 5.0..60.0f64) {
            let left = Settling::of(&looks(a, b, false)).unwrap();
            let tuned = Settling::of(&looks(a, b, true)).unwrap();
            for found in [left, tuned] {
                prop_assert!((found.line.a - a).abs() < 1e-9 && (found.line.b - b).abs() < 1e-9);
            }
            prop_assert_eq!(tuned.retuned_at, Some(24.0));
            prop_assert_eq!(left.retuned_at, None);
            // At the hour of a rate the rate is that.
            let t = tuned.hours_until_rate(0.5).value;
            prop_assert!((tuned.rate_at(t).value - 0.5).abs() < 1e-12);
            // Tuned at one hour it is flat by c at the other.
            let next = tuned.flat_again_at(24.0, 4.0).value;
            prop_assert!((tuned.flat_after(next).value - tuned.flat_after(24.0).value - 4.0).abs() < 1e-9);
            prop_assert!((tuned.flat_between(24.0, next).value - 4.0).abs() < 1e-9);
            // The rate is the slope of the curve.
            let slope = (tuned.flat_after(10.01).value - tuned.flat_after(9.99).value) / 0.02;
            prop_assert!((tuned.rate_at(10.0).value / slope - 1.0).abs() < 1e-5);
        }
    }

    #[test]
    fn a_schedule_keeps_within_its_cents_and_ends() {
        let found = Settling::of(&looks(40.0, 30.0, true)).unwrap();
        let list = found.schedule(24.0, 5.0, 0.2, 50);
        assert!(!list.is_empty());
        let mut tuned = 24.0;
        for next in &list {
            let flat = found.flat_after(next.value).value - found.flat_after(tuned).value;
            assert!((flat - 5.0).abs() < 1e-9);
            assert!(next.low <= next.value && next.value <= next.high);
            tuned = next.value;
        }
        assert!(found.rate_at(tuned).value <= 0.2);
        assert_eq!(found.schedule(24.0, 5.0, 0.2, 2).len(), 2);
        assert!(found.schedule(24.0, 5.0, 100.0, 50).is_empty());
    }

    #[test]
    fn too_little_or_no_flatness_is_said() {
        assert_eq!(Settling::of(&[]), Err(NotSettling::TooFew { have: 0 }));
        let one = Look {
            hours: 1.0,
            flat: Cents(10.0),
            retuned: false,
        };
        assert_eq!(
            Settling::of(&[one; 4]),
            Err(NotSettling::TooFew { have: 1 })
        );
        assert_eq!(
            Settling::of(&looks(40.0, -3.0, false)),
            Err(NotSettling::NotFlat)
        );
        let odd = Look {
            hours: f64::NAN,
            ..one
        };
        assert_eq!(
            Settling::of(&[odd, Look { hours: -1.0, ..one }]),
            Err(NotSettling::TooFew { have: 0 })
        );
    }

    #[test]
    fn readings_that_scatter_widen_the_doubt() {
        let mut rough = looks(40.0, 30.0, false);
        for (i, look) in rough.iter_mut().enumerate() {
            look.flat.0 += if i % 2 == 0 { 6.0 } else { -6.0 };
        }
        let (calm, rough) = (
            Settling::of(&looks(40.0, 30.0, false)).unwrap(),
            Settling::of(&rough).unwrap(),
        );
        assert!((calm.line.reading_sd - READING_SD.0).abs() < 1e-12);
        assert!(rough.line.b_sd > 2.0 * calm.line.b_sd);
    }
}
