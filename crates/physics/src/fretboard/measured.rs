//! The scale of an instrument on the bench, from the frets that were measured.

use super::distance_from_nut;
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// A fret and how far it was measured from the origin of the rule, the front of its crown to be the same all along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FretDistance {
    /// Number of the fret, from 1.
    pub fret: u32,
    /// Distance from wherever the rule's zero lay.
    pub distance: Length,
}

/// Where the rule's zero lay.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Origin {
    /// At the nut's front edge, so that the nut's displacement can be told.
    #[default]
    Nut,
    /// Anywhere else, as at a fret or partway along the rule.
    Elsewhere,
}

/// The scale that measured frets mean.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredScale {
    /// The scale length.
    pub scale: Length,
    /// One standard deviation of it from the frets' scatter; none with two frets, which leave no scatter to judge by.
    pub scale_sd: Option<Length>,
    /// How far the nut's front edge stands from its true place, as in [`super::Setbacks`]: negative is towards the bridge.
    /// None when the rule's zero lay elsewhere.
    pub nut_setback: Option<Length>,
    /// How far each measured fret lies from its true place on that scale, in the order given; positive towards the bridge.
    pub residuals: Vec<(u32, Length)>,
}

/// Why frets that were measured give no scale.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotAScale {
    /// Fewer than two different frets.
    #[error("a scale needs two different frets; {0} given")]
    TooFew(usize),
    /// A number that is none, or too large.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
    /// The distances do not grow from fret to fret.
    #[error("the distances do not grow towards the bridge: they would mean a scale of {0:.1} mm")]
    NotGrowing(f64),
}

/// The scale from the distance between frets 1 and 13: `X0 = 2 x 2^(1/12) D`, that is 2.1189 times it.
///
/// Source: arithmetic; published lutherie notes print 2.119.
#[must_use]
pub fn scale_from_two_frets(fret_1_to_13: Length) -> Length {
    2.0 * (1.0_f64 / 12.0).exp2() * fret_1_to_13
}

impl MeasuredScale {
    /// Least squares of `distance = o + X0 (1 - 2^(-n/12))` over the frets given, in any order, for `X0` and the origin's
    /// own term `o`. Two different frets suffice; more give residuals.
    ///
    /// # Errors
    /// [`NotAScale`] for fewer than two different frets, a number that is not physical, or distances that do not grow.
    pub fn fit(frets: &[FretDistance], origin: Origin) -> Result<Self, NotAScale> {
        for f in frets {
            within(
                "a fret",
                f64::from(f.fret),
                "",
                1.0,
                f64::from(super::MOST_FRETS),
            )?;
            within(
                "a fret's distance",
                f.distance.bench(),
                "mm",
                -2000.0,
                2000.0,
            )?;
        }
        let different = {
            let mut seen: Vec<u32> = frets.iter().map(|f| f.fret).collect();
            seen.sort_unstable();
            seen.dedup();
            seen.len()
        };
        if different < 2 {
            return Err(NotAScale::TooFew(different));
        }
        // `u` is the fret's place on a scale of one.
        let unit = |fret: u32| distance_from_nut(mm(1.0), fret).bench();
        let count = frets.len() as f64;
        let mean_u = frets.iter().map(|f| unit(f.fret)).sum::<f64>() / count;
        let mean_d = frets.iter().map(|f| f.distance.bench()).sum::<f64>() / count;
        let (mut uu, mut ud) = (0.0, 0.0);
        for f in frets {
            let u = unit(f.fret) - mean_u;
            uu += u * u;
            ud += u * (f.distance.bench() - mean_d);
        }
        let scale_mm = ud / uu;
        if scale_mm <= 0.0 {
            return Err(NotAScale::NotGrowing(scale_mm));
        }
        let scale_mm = within("a scale", scale_mm, "mm", 50.0, 2000.0)?;
        let o = mean_d - scale_mm * mean_u;
        let residuals: Vec<(u32, Length)> = frets
            .iter()
            .map(|f| (f.fret, mm(f.distance.bench() - o - scale_mm * unit(f.fret))))
            .collect();
        let left: f64 = residuals.iter().map(|(_, r)| r.bench().powi(2)).sum();
        let free = frets.len().saturating_sub(2);
        Ok(Self {
            scale: mm(scale_mm),
            scale_sd: (free > 0).then(|| mm((left / free as f64 / uu).sqrt())),
            nut_setback: (origin == Origin::Nut).then(|| mm(o)),
            residuals,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(fret: u32, distance: f64) -> FretDistance {
        FretDistance {
            fret,
            distance: mm(distance),
        }
    }

    #[test]
    fn a_moved_nut_and_a_bad_fret_fall_out() {
        // 381 mm, nut half a millimetre too near the bridge, fret 7 a fifth too far on.
        let mut frets: Vec<FretDistance> = (1..=18)
            .map(|n| at(n, distance_from_nut(mm(381.0), n).bench() - 0.5))
            .collect();
        frets[6].distance += mm(0.2);
        let found = MeasuredScale::fit(&frets, Origin::Nut).unwrap();
        assert!((found.scale.bench() - 381.0).abs() < 0.1);
        assert!((found.nut_setback.unwrap().bench() + 0.5).abs() < 0.05);
        let (worst, by) = found
            .residuals
            .iter()
            .max_by(|a, b| a.1.abs().partial_cmp(&b.1.abs()).unwrap())
            .unwrap();
        assert_eq!(*worst, 7);
        assert!((by.bench() - 0.2).abs() < 0.03);
        assert!(found.scale_sd.unwrap().bench() > 0.0);
    }

    #[test]
    fn two_frets_suffice_from_any_origin() {
        let d1 = distance_from_nut(mm(381.0), 1).bench();
        let d13 = distance_from_nut(mm(381.0), 13).bench();
        let found =
            MeasuredScale::fit(&[at(13, d13 + 77.0), at(1, d1 + 77.0)], Origin::Elsewhere).unwrap();
        assert!((found.scale.bench() - 381.0).abs() < 1e-9);
        assert_eq!((found.nut_setback, found.scale_sd), (None, None));
        assert!((scale_from_two_frets(mm(d13 - d1)).bench() - 381.0).abs() < 1e-9);
    }

    #[test]
    fn what_gives_no_scale_is_refused() {
        assert_eq!(
            MeasuredScale::fit(&[at(1, 20.0), at(1, 20.1)], Origin::Nut),
            Err(NotAScale::TooFew(1))
        );
        assert!(matches!(
            MeasuredScale::fit(&[at(1, 200.0), at(12, 20.0)], Origin::Nut),
            Err(NotAScale::NotGrowing(_))
        ));
        assert!(MeasuredScale::fit(&[at(1, f64::NAN), at(12, 20.0)], Origin::Nut).is_err());
        assert!(MeasuredScale::fit(&[at(0, 0.0), at(12, 190.0)], Origin::Nut).is_err());
    }

    proptest! {
        #[test]
        fn any_origin_gives_the_same_scale(scale in 200.0..800.0f64, o in -300.0..300.0f64, a in 1..12u32, b in 13..24u32) {
            let frets = [a, b, 12].map(|n| at(n, distance_from_nut(mm(scale), n).bench() + o));
            let found = MeasuredScale::fit(&frets, Origin::Nut).unwrap();
            prop_assert!((found.scale.bench() - scale).abs() < 1e-8);
            prop_assert!((found.nut_setback.unwrap().bench() - o).abs() < 1e-8);
        }

        #[test]
        fn no_number_breaks_it(d in proptest::collection::vec((0..70u32, proptest::num::f64::ANY), 0..6)) {
            let frets: Vec<FretDistance> = d.iter().map(|&(n, x)| at(n, x)).collect();
            if let Ok(found) = MeasuredScale::fit(&frets, Origin::Nut) {
                prop_assert!(found.scale.bench().is_finite());
                prop_assert!(found.residuals.iter().all(|(_, r)| r.bench().is_finite()));
            }
        }
    }
}
