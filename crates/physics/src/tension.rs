//! Tension, and what follows from it: pitch for a tension, gauge for a tension, scale for a tension, stress.

use crate::quantity::{Force, Frequency, Length, LinearMassDensity, MassDensity, Pressure, mpa};
use crate::quantity::{InBenchUnits, mm, newtons};
use std::f64::consts::PI;
use uom::si::ratio::ratio;

/// Tension of an open string on its speaking length: `T = mu (2 L f)^2`.
///
/// This is the flexible string's tension, what the trade's tables mean. Stiffness lowers the tension really needed by
/// about twice `b_s/L` and the saddle's setback raises it by about twice `dS/L`; on a compensated instrument the two
/// cancel to first order, so the figure serves throughout. Source: Mersenne's law; published string tables use it.
#[must_use]
pub fn tension(mass: LinearMassDensity, length: Length, pitch: Frequency) -> Force {
    let speed = 2.0 * length * pitch;
    mass * speed * speed
}

/// Mass per length that reaches a tension: `mu = T/(2 L f)^2`, the inverse of [`tension`].
#[must_use]
pub fn mass_for_tension(tension: Force, length: Length, pitch: Frequency) -> LinearMassDensity {
    let speed = 2.0 * length * pitch;
    tension / (speed * speed)
}

/// Pitch that a string reaches at a tension: `f = sqrt(T/mu)/(2 L)`.
#[must_use]
pub fn pitch_for_tension(mass: LinearMassDensity, length: Length, tension: Force) -> Frequency {
    (tension / mass).sqrt() / (2.0 * length)
}

/// Speaking length at which a string has a pitch at a tension: `L = sqrt(T/mu)/(2 f)`.
#[must_use]
pub fn length_for_tension(mass: LinearMassDensity, pitch: Frequency, tension: Force) -> Length {
    (tension / mass).sqrt() / (2.0 * pitch)
}

/// The one scale length at which a set's strings come nearest to wanted tensions: each wants `L_i = sqrt(T_i/mu_i)/(2 f_i s_i)`,
/// `s_i` its speaking length's share of the scale (1 but for short strings), and `L = (L_1 L_2 ... L_n)^(1/n)` makes the sum of
/// the squares of `ln(T/T_i)` least, since `ln T` is linear in `ln L`. None without strings or with one that is not physical.
#[must_use]
pub fn scale_for_tensions(
    strings: impl IntoIterator<Item = (LinearMassDensity, Frequency, Force, f64)>,
) -> Option<Length> {
    let mut logs = 0.0;
    let mut count = 0.0;
    for (mass, pitch, wanted, share) in strings {
        logs += (length_for_tension(mass, pitch, wanted).bench() / share).ln();
        count += 1.0;
    }
    let scale = (logs / count).exp();
    (scale.is_finite() && scale > 0.0).then(|| mm(scale))
}

/// Gauge of a plain string of a density that reaches a tension: `d = sqrt(4 T/(pi rho))/(2 L f)`.
#[must_use]
pub fn gauge_for_tension(
    density: MassDensity,
    length: Length,
    pitch: Frequency,
    tension: Force,
) -> Length {
    (4.0 / PI * tension / density).sqrt() / (2.0 * length * pitch)
}

/// Stress of any plain string at a pitch: `sigma = rho (2 L f)^2`, whatever its diameter.
#[must_use]
pub fn plain_stress(density: MassDensity, length: Length, pitch: Frequency) -> Pressure {
    let speed = 2.0 * length * pitch;
    density * speed * speed
}

/// Stress over an area in mm2: `sigma = T/A`. The area must be positive.
#[must_use]
pub fn stress(tension: Force, area_mm2: f64) -> Pressure {
    mpa(tension.bench() / area_mm2)
}

/// The highest product of pitch and length that a plain string of a strength and a density can bear:
/// `f L = sqrt(sigma_b/rho)/2`, in Hz m. Independent of diameter.
#[must_use]
pub fn breaking_index(strength: Pressure, density: MassDensity) -> f64 {
    ((strength / density).get::<uom::si::available_energy::joule_per_kilogram>()).sqrt() / 2.0
}

/// The strength that a breaking index means: `sigma_b = rho (2 f L)^2`, the inverse of [`breaking_index`].
#[must_use]
pub fn strength_of_index(index_hz_m: f64, density: MassDensity) -> Pressure {
    mpa(density.bench() * (2.0 * index_hz_m).powi(2) * 1e-6)
}

/// The speaking length of a string that starts at a fret: `L 2^(-n/12)`, for a short drone.
#[must_use]
pub fn length_from_fret(scale: Length, first_fret: u32) -> Length {
    scale * (-f64::from(first_fret) / 12.0).exp2()
}

/// A force as a share of another; zero when the other is zero.
#[must_use]
pub fn share(part: Force, whole: Force) -> f64 {
    if whole > newtons(0.0) {
        (part / whole).get::<ratio>()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{g_per_m, hz, kg_per_m3};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_way_round_agrees(mu in 0.05..20.0f64, l in 200.0..900.0f64, f in 60.0..900.0f64) {
            let (mass, length, pitch) = (g_per_m(mu), mm(l), hz(f));
            let t = tension(mass, length, pitch);
            prop_assert!((mass_for_tension(t, length, pitch).bench() / mu - 1.0).abs() < 1e-12);
            prop_assert!((pitch_for_tension(mass, length, t).bench() / f - 1.0).abs() < 1e-12);
            prop_assert!((length_for_tension(mass, pitch, t).bench() / l - 1.0).abs() < 1e-12);
            let rho = kg_per_m3(1140.0);
            let d = gauge_for_tension(rho, length, pitch, t).bench();
            prop_assert!((rho.bench() * PI / 4.0 * d * d * 1e-3 / mu - 1.0).abs() < 1e-12);
            let s = stress(t, PI / 4.0 * d * d);
            prop_assert!((plain_stress(rho, length, pitch).bench() / s.bench() - 1.0).abs() < 1e-12);
            prop_assert!((breaking_index(s, rho) / (f * l * 1e-3) - 1.0).abs() < 1e-12);
            prop_assert!((strength_of_index(f * l * 1e-3, rho).bench() / s.bench() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn the_scale_of_a_set_is_the_best_there_is() {
        let set = [
            (2.1, 196.0, 45.0, 1.0),
            (0.9, 261.6, 42.0, 1.0),
            (0.6, 330.0, 40.0, 0.75),
        ]
        .map(|(m, f, t, s)| (g_per_m(m), hz(f), newtons(t), s));
        let off = |scale: f64| -> f64 {
            set.iter()
                .map(|(m, f, t, s)| {
                    (tension(*m, mm(scale * s), *f) / *t)
                        .get::<ratio>()
                        .ln()
                        .powi(2)
                })
                .sum()
        };
        let best = scale_for_tensions(set).unwrap().bench();
        assert!(off(best) < off(best * 1.001) && off(best) < off(best * 0.999));
        assert!(scale_for_tensions([]).is_none());
        assert!(scale_for_tensions([(g_per_m(1.0), hz(0.0), newtons(1.0), 1.0)]).is_none());
    }

    #[test]
    fn a_short_drone_from_the_fifth_fret() {
        assert!(
            (length_from_fret(mm(667.0), 5).bench() - 667.0 / 2_f64.powf(5.0 / 12.0)).abs() < 1e-9
        );
        assert!((length_from_fret(mm(667.0), 0).bench() - 667.0).abs() < 1e-12);
    }
}
