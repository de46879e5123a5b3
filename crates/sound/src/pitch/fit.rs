//! The first partial and the inharmonicity that the partials have in common.

use super::choose::Partial;
use super::{Inharmonicity, Pitch};
use strungwell_physics::plucked::squared_stretch;
use strungwell_physics::quantity::Cents;

/// What is known of any string's inharmonicity coefficient before it is heard: about nothing, give or take this. The
/// stiffest strings of the trade on their highest frets come to twice as much.
const COEFFICIENT_SD: f64 = 5e-4;

/// How well any partial is believed at most, in Hz, from round to round of the fit: at first the loud ones count hardly more
/// than the others, so that one drawn aside by a hum stands out; a body moves every partial a little in the end.
const LEAST_SD_HZ: [f64; 8] = [0.3, 0.3, 0.1, 0.03, 0.01, 0.002, 0.002, 0.002];

/// How well any partial is believed while partials are still looked for, in Hz: a hum beside one draws it aside as far.
const LOOKED_FOR_HZ: f64 = 1.0;

/// From so many standard deviations on, a misfit counts for less.
const FITS_WITHIN: f64 = 3.0;

/// The straight line `(f_q/q)^2 = f0^2 + (f0^2 B') q^2` through partials: its value at zero and its slope, by least squares.
pub(super) fn straight(partials: &[Partial]) -> Option<(f64, f64)> {
    let line = Line::through(partials, &vec![1.0; partials.len()], LOOKED_FOR_HZ)?;
    (line.square > 0.0 && line.square + line.slope > 0.0).then_some((line.square, line.slope))
}

/// A fitted line with the covariance of its two numbers.
struct Line {
    square: f64,
    slope: f64,
    /// Variances of `square` and `slope`, and their covariance.
    spread: (f64, f64, f64),
}

impl Line {
    fn through(partials: &[Partial], weights: &[f64], least_sd: f64) -> Option<Self> {
        let scale = partials
            .iter()
            .map(|partial| (partial.peak.hz / f64::from(partial.q)).powi(2))
            .fold(0.0, f64::max);
        // Normal equations of u = square/scale and v = slope/scale; the last term is what is known of v beforehand.
        let (mut uu, mut uv, mut vv) = (0.0, 0.0, COEFFICIENT_SD.powi(-2));
        let (mut ru, mut rv) = (0.0, 0.0);
        for (partial, weight) in partials.iter().zip(weights) {
            let q = f64::from(partial.q);
            let y = (partial.peak.hz / q).powi(2) / scale;
            let sd = 2.0 * partial.peak.hz * partial.peak.sd_hz.max(least_sd) / (q * q * scale);
            let w = weight / (sd * sd);
            uu += w;
            uv += w * q * q;
            vv += w * q.powi(4);
            ru += w * y;
            rv += w * y * q * q;
        }
        let determinant = uu * vv - uv * uv;
        if !(determinant.is_finite() && determinant > 0.0 && scale > 0.0) {
            return None;
        }
        let square = (ru * vv - rv * uv) / determinant * scale;
        let slope = (rv * uu - ru * uv) / determinant * scale;
        let s2 = scale * scale / determinant;
        (square.is_finite() && slope.is_finite()).then_some(Self {
            square,
            slope,
            spread: (vv * s2, uu * s2, -uv * s2),
        })
    }

    /// By how many of its standard deviations a partial misses the line.
    fn misfit(&self, partial: &Partial, least_sd: f64) -> f64 {
        let stretched = squared_stretch(self.slope / self.square, partial.q);
        let expected = f64::from(partial.q) * (self.square * stretched).max(0.0).sqrt();
        (partial.peak.hz - expected) / partial.peak.sd_hz.max(least_sd)
    }
}

/// Fits first partial and inharmonicity together; a partial that does not fit (a hum upon it, another string) counts less
/// from round to round (Cauchy's weights). The level is left at zero.
pub(super) fn fit(partials: &[Partial]) -> Option<Pitch> {
    let mut weights = vec![1.0; partials.len()];
    let mut line = Line::through(partials, &weights, LEAST_SD_HZ[0])?;
    let mut least = LEAST_SD_HZ[0];
    for next in LEAST_SD_HZ {
        for (weight, partial) in weights.iter_mut().zip(partials) {
            *weight = 1.0 / (1.0 + (line.misfit(partial, least) / FITS_WITHIN).powi(2));
        }
        least = next;
        line = Line::through(partials, &weights, least)?;
    }
    let first = line.square + line.slope;
    if !(first > 0.0 && line.square > 0.0) {
        return None;
    }
    let pitch = first.sqrt();
    let (square, slope, both) = line.spread;
    let alone = (square + slope + 2.0 * both).max(0.0).sqrt() / (2.0 * pitch);
    let misfit: f64 = partials
        .iter()
        .zip(&weights)
        .map(|(partial, weight)| weight * line.misfit(partial, least).powi(2))
        .sum();
    let free = weights.iter().sum::<f64>() - 2.0;
    let widened = if free > 0.5 {
        (misfit / free).max(1.0).sqrt()
    } else {
        1.0
    };
    let sd_hz = alone * widened;
    let coefficient = line.slope / line.square;
    let sd = slope.max(0.0).sqrt() / line.square * widened;
    let strongest = partials
        .iter()
        .max_by(|a, b| a.peak.size.total_cmp(&b.peak.size))?;
    let told = partials.len() > 2 && sd < COEFFICIENT_SD / 2.0;
    Some(Pitch {
        hz: pitch,
        sd_cents: Cents::of_ratio(1.0 + sd_hz / pitch).0,
        inharmonicity: (told && coefficient.is_finite())
            .then_some(Inharmonicity { coefficient, sd }),
        level_db: 0.0,
        partials: partials.len(),
        decay_per_s: strongest.peak.decay_per_s,
    })
}
