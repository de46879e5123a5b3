//! How a string stretches: the trade's one number for it, kappa, with its doubt.

use crate::quantity::{Force, InBenchUnits, Length, Pressure, gpa};
use crate::range::{OutOfRange, within};
use crate::strung::Banded;

/// How the incremental stretching modulus of a material depends on its stress: `E = base + slope sigma`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StretchLaw {
    /// Modulus at no stress, in GPa.
    pub base_gpa: f64,
    /// Rise of the modulus with stress, GPa per GPa.
    pub slope: f64,
    /// One standard deviation of the fit, in GPa.
    pub rms_gpa: f64,
    /// The lowest and highest stress, in MPa, of the strings it was fitted to; none when it does not depend on stress.
    pub measured_mpa: Option<(f64, f64)>,
    /// Where it comes from.
    pub source: &'static str,
}

const FITTED: &str = "fitted to the strings measured in place by Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024)";

impl StretchLaw {
    /// Nylon: `E = 0.92 + 44.2 sigma`, measured over 66 to 174 MPa.
    pub const NYLON: Self = Self {
        base_gpa: 0.92,
        slope: 44.2,
        rms_gpa: 0.28,
        // The ends as they follow from the tables' tensions and radii.
        measured_mpa: Some((65.7, 173.6)),
        source: FITTED,
    };
    /// Fluorocarbon: `E = 1.53 + 40.0 sigma`, measured over 105 to 294 MPa.
    pub const FLUOROCARBON: Self = Self {
        base_gpa: 1.53,
        slope: 40.0,
        rms_gpa: 0.31,
        measured_mpa: Some((104.6, 294.0)),
        source: FITTED,
    };
    /// Gut: a constant 6 GPa give or take 1.5, from memory.
    pub const GUT: Self = Self {
        base_gpa: 6.0,
        slope: 0.0,
        rms_gpa: 1.5,
        measured_mpa: None,
        source: "6 GPa give or take 1.5, from memory",
    };
    /// Steel: a constant 203 GPa give or take 3.
    pub const STEEL: Self = Self {
        base_gpa: 203.0,
        slope: 0.0,
        rms_gpa: 3.0,
        measured_mpa: None,
        source: "handbook range 200 to 206 GPa, from memory",
    };

    /// The stretching modulus at a stress: `E = base + slope sigma`, with one standard deviation each way.
    ///
    /// Outside the measured stress range the band is widened: twice the fit's, and more by the share of the range's
    /// nearer end that the stress lies beyond it. That rule is this project's own caution and has no source.
    #[must_use]
    pub fn modulus(&self, stress: Pressure) -> Banded {
        let sigma_gpa = stress.bench() * 1e-3;
        Banded::within(
            self.base_gpa + self.slope * sigma_gpa,
            self.rms_gpa * self.widening(stress),
        )
    }

    /// How many times wider than the fit's own the band is at this stress; 1 inside the measured range.
    #[must_use]
    pub fn widening(&self, stress: Pressure) -> f64 {
        match self.measured_mpa {
            Some((low, _)) if stress.bench() < low => 2.0 + (low - stress.bench()) / low,
            Some((_, high)) if stress.bench() > high => 2.0 + (stress.bench() - high) / high,
            _ => 1.0,
        }
    }

    /// The stretch at a stress: `kappa = E/sigma`. The stress must be positive.
    #[must_use]
    pub fn kappa(&self, stress: Pressure) -> Banded {
        let modulus = self.modulus(stress);
        let sigma_gpa = stress.bench() * 1e-3;
        // A stress beyond the modulus is past any string; the stretch stays what it can be at least.
        let at_least = |gpa: f64| (gpa / sigma_gpa).max(1.0);
        Banded {
            value: at_least(modulus.value),
            low: at_least(modulus.low),
            high: at_least(modulus.high),
        }
    }
}

/// How a stretch came to be known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StretchOrigin {
    /// Measured on this string, or given with it.
    Given,
    /// From the law of the material that bears the tension; `inside` tells whether its stress was measured.
    Law {
        /// The law.
        law: StretchLaw,
        /// The stress lies in the range that the law was fitted to (or the law does not depend on it).
        inside: bool,
    },
    /// Wound on nylon (or on a core that nobody described): the mean of the published nylon-core strings.
    WoundOnNylon,
}

/// The stretch of a string at pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// `kappa = EA/T`, no unit; at least 1.
    pub kappa: Banded,
    /// How it is known.
    pub origin: StretchOrigin,
}

impl Stretch {
    /// The stretch of a string wound on nylon, or on a core that nobody described: 51 give or take 5.
    ///
    /// Source: the mean of the nylon-core strings measured by Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024); of
    /// their 36 strings of all kinds 30 lie at 52 give or take 5.
    pub const WOUND_ON_NYLON: Self = Self {
        kappa: Banded {
            value: 51.0,
            low: 46.0,
            high: 56.0,
        },
        origin: StretchOrigin::WoundOnNylon,
    };

    /// A stretch that was measured or given, with a tenth of doubt each way where none is stated.
    ///
    /// A tenth is about the spread between strings of one kind in the published set.
    #[must_use]
    pub fn given(kappa: f64) -> Self {
        Self {
            kappa: Banded::within(kappa, 0.1 * kappa),
            origin: StretchOrigin::Given,
        }
    }

    /// The stretch by a material's law at the stress in what bears the tension.
    #[must_use]
    pub fn by_law(law: StretchLaw, stress: Pressure) -> Self {
        let inside = law
            .measured_mpa
            .is_none_or(|(low, high)| (low..=high).contains(&stress.bench()));
        Self {
            kappa: law.kappa(stress),
            origin: StretchOrigin::Law { law, inside },
        }
    }
}

/// The stretch from the relative change of pitch with length, `R = (L/f) df/dL`: `kappa = 2 R + 1`.
///
/// Source: Anderson & Beausoleil 2024. `R` is positive.
#[must_use]
pub fn kappa_from_r(r: f64) -> f64 {
    2.0 * r + 1.0
}

/// `R` from a measured pitch change: a string of speaking length `length` whose ends are drawn `extra` further apart (or
/// which loses that much of its unstretched length to the tuner) rises by `cents`: `R = (ln 2/1200) cents L/dL`.
///
/// Source: Anderson & Beausoleil 2024, with the linear form of the cent.
#[must_use]
pub fn r_from_pull(length: Length, extra: Length, rise: crate::quantity::Cents) -> f64 {
    std::f64::consts::LN_2 / 1200.0 * rise.0 * (length / extra).get::<uom::si::ratio::ratio>()
}

/// The stretch by a pull test, with its doubt: `kappa = 2 R + 1`, and `dR/R = sqrt((dx/x)^2 + (dc/c)^2)` for an extra length
/// `x` read to `dx` and a rise of `c` cents read to `dc`. The doubts are taken without sign.
///
/// Source: as [`r_from_pull`]; independent readings' relative doubts add as squares.
///
/// # Errors
/// [`OutOfRange`] for a speaking length outside 30 to 2000 mm, an extra length outside 0.01 to 100 mm, a rise outside 0.1 to
/// 1200 cents, a doubt that is no number, or a stretch outside 1 to 5000.
pub fn kappa_by_pull(
    length: Length,
    extra: (Length, Length),
    rise: (crate::quantity::Cents, crate::quantity::Cents),
) -> Result<Banded, OutOfRange> {
    within("a speaking length", length.bench(), "mm", 30.0, 2000.0)?;
    let x = within("an extra length", extra.0.bench(), "mm", 0.01, 100.0)?;
    let c = within("a rise of pitch", rise.0.0, "cents", 0.1, 1200.0)?;
    let dx = within(
        "a doubt of the extra length",
        extra.1.bench().abs(),
        "mm",
        0.0,
        100.0,
    )?;
    let dc = within("a doubt of the rise", rise.1.0.abs(), "cents", 0.0, 1200.0)?;
    let r = r_from_pull(length, extra.0, rise.0);
    let kappa = within("a stretch", kappa_from_r(r), "", 1.0, 5000.0)?;
    let half = 2.0 * r * (dx / x).hypot(dc / c);
    Ok(Banded {
        low: (kappa - half).max(1.0),
        ..Banded::within(kappa, half)
    })
}

/// The slope form of the same: pitches measured at several extra lengths, `R = (L/f) df/dL` with the slope of the
/// unweighted straight line through the readings (mm, Hz). None for fewer than two different lengths.
#[must_use]
pub fn r_from_readings(
    length: Length,
    nominal: crate::quantity::Frequency,
    readings: &[(f64, f64)],
) -> Option<f64> {
    #[allow(clippy::cast_precision_loss)]
    let n = readings.len() as f64;
    let mean_x = readings.iter().map(|r| r.0).sum::<f64>() / n;
    let mean_f = readings.iter().map(|r| r.1).sum::<f64>() / n;
    let xx: f64 = readings.iter().map(|r| (r.0 - mean_x).powi(2)).sum();
    let xf: f64 = readings
        .iter()
        .map(|r| (r.0 - mean_x) * (r.1 - mean_f))
        .sum();
    let r = length.bench() / nominal.bench() * xf / xx;
    (xx > 0.0 && r.is_finite()).then_some(r)
}

/// The modulus that a stretch means over a section: `E = kappa T/A`.
#[must_use]
pub fn effective_modulus(kappa: f64, tension: Force, area_mm2: f64) -> Pressure {
    gpa(kappa * tension.bench() / area_mm2 * 1e-3)
}

/// The fast modulus of nylon, which bending in vibration feels: `E = 4.5 + 39 sigma` (GPa).
///
/// Source: Woodhouse & Lynch-Aird 2019, eq. 16 (coefficients second-hand). Higher than the slow modulus that fretting
/// feels; kept for comparison, not used by default.
#[must_use]
pub fn fast_modulus_nylon(stress: Pressure) -> Pressure {
    gpa(4.5 + 39.0 * stress.bench() * 1e-3)
}

/// The fast modulus of fluorocarbon: `E = 3.2 + 41 sigma` (GPa). Source as [`fast_modulus_nylon`].
#[must_use]
pub fn fast_modulus_fluorocarbon(stress: Pressure) -> Pressure {
    gpa(3.2 + 41.0 * stress.bench() * 1e-3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::mpa;

    #[test]
    fn outside_the_measured_range_the_band_widens() {
        let law = StretchLaw::NYLON;
        let width = |sigma: f64| {
            let e = law.modulus(mpa(sigma));
            e.high - e.low
        };
        assert!((width(100.0) - 0.56).abs() < 1e-9);
        assert!(width(25.0) > 2.0 * width(100.0));
        assert!(width(10.0) > width(25.0));
        assert!(width(300.0) > width(200.0));
    }

    #[test]
    fn a_pull_test_gives_its_doubt() {
        use crate::quantity::{Cents, mm};
        // 1 mm on 381 mm at R = 25 is 25 * 1200/ln 2 / 381 = 113.6 cents.
        let rise = 25.0 * 1200.0 / std::f64::consts::LN_2 / 381.0;
        let pull = |dx: f64, dc: f64| {
            kappa_by_pull(mm(381.0), (mm(1.0), mm(dx)), (Cents(rise), Cents(dc))).unwrap()
        };
        assert!((pull(0.0, 0.0).value - 51.0).abs() < 1e-9);
        assert!((pull(0.0, 0.0).high - 51.0).abs() < 1e-9);
        assert!((pull(0.05, 0.0).high - 53.5).abs() < 1e-9);
        assert!((pull(0.03, 0.04 * rise).low - 48.5).abs() < 1e-9);
        for bad in [f64::NAN, 0.0, -1.0, f64::INFINITY] {
            assert!(
                kappa_by_pull(mm(381.0), (mm(bad), mm(0.1)), (Cents(50.0), Cents(1.0))).is_err()
            );
            assert!(
                kappa_by_pull(mm(381.0), (mm(1.0), mm(0.1)), (Cents(bad), Cents(1.0))).is_err()
            );
        }
    }

    #[test]
    fn readings_at_one_length_give_no_slope() {
        assert_eq!(
            r_from_readings(
                crate::quantity::mm(650.0),
                crate::quantity::hz(100.0),
                &[(1.0, 99.0)]
            ),
            None
        );
        assert_eq!(
            r_from_readings(crate::quantity::mm(650.0), crate::quantity::hz(100.0), &[]),
            None
        );
    }
}
