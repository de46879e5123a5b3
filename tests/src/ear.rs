//! An ear of the tests' own: nothing of the code under test is in it.

use std::f64::consts::TAU;

/// The frequency near `about` at which the sound is strongest, by the sum that defines the Fourier transform, under a window
/// of four terms (Blackman-Harris), the maximum narrowed down by thirds; `rate` and the frequencies in Hz.
#[must_use]
pub fn strongest_near(sound: &[f32], rate: f64, about: f64) -> f64 {
    let n = sound.len() as f64;
    let windowed: Vec<f64> = sound
        .iter()
        .enumerate()
        .map(|(i, sample)| {
            let x = TAU * (i as f64 + 0.5) / n;
            let w =
                0.35875 - 0.48829 * x.cos() + 0.14128 * (2.0 * x).cos() - 0.01168 * (3.0 * x).cos();
            f64::from(*sample) * w
        })
        .collect();
    let strength = |hz: f64| {
        let (s, c) = (TAU * hz / rate).sin_cos();
        let (mut turn_c, mut turn_s) = (1.0, 0.0);
        let (mut re, mut im) = (0.0, 0.0);
        for value in &windowed {
            re += value * turn_c;
            im += value * turn_s;
            (turn_c, turn_s) = (turn_c * c - turn_s * s, turn_s * c + turn_c * s);
        }
        re * re + im * im
    };
    let reach = (0.02 * about).min(1.2);
    let (mut low, mut high) = (about - reach, about + reach);
    while high - low > 1e-4 {
        let third = (high - low) / 3.0;
        if strength(low + third) < strength(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    (low + high) / 2.0
}

/// How much of a sound is high and rough: the energy of its second differences over that of the sound itself.
#[must_use]
pub fn roughness(sound: &[f32]) -> f64 {
    let whole: f64 = sound.iter().map(|s| f64::from(*s).powi(2)).sum();
    let rough: f64 = sound
        .windows(3)
        .map(|w| f64::from(w[0] - 2.0 * w[1] + w[2]).powi(2))
        .sum();
    rough / whole.max(1e-30)
}
