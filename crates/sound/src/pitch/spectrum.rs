//! The peaks of a window's spectrum, each with its exact frequency.

use crate::count;
use crate::fft::Fft;
use std::f64::consts::{PI, TAU};

/// Partials are looked for up to here, in Hz.
const TOP_HZ: f64 = 9_000.0;

/// Peaks are looked for from here, in Hz.
const BOTTOM_HZ: f64 = 40.0;

/// Bins in one block of the noise floor.
const BLOCK: usize = 64;

/// A peak stands at least this many times over the noise: in noise alone a bin does so once in ten million.
const OVER_NOISE: f64 = 4.0;

/// At most so many peaks are kept, the strongest.
const MOST_PEAKS: usize = 64;

/// A peak weaker than this share of the strongest is left aside: it may be the rounding of samples to whole numbers, and
/// tells nothing that stronger ones do not.
const LEAST_SIZE: f64 = 1e-3;

/// Half the width of a Hann window's main lobe, in units of one over its length.
const LOBE: f64 = 2.0;

/// The tables for windows of one length.
pub(super) struct Plan {
    length: usize,
    /// Length of the window in seconds.
    pub(super) seconds: f64,
    rate: f64,
    fft: Fft,
    /// The Hann window and its slope in 1/s, sample by sample.
    window: Vec<(f64, f64)>,
}

impl Plan {
    pub(super) fn new(length: usize, rate: f64) -> Self {
        let seconds = length as f64 / rate;
        let window = (0..length)
            .map(|n| {
                let (sine, cosine) = (TAU * (n as f64 + 0.5) / length as f64).sin_cos();
                (0.5 - 0.5 * cosine, PI / seconds * sine)
            })
            .collect();
        Self {
            length,
            seconds,
            rate,
            fft: Fft::new(length),
            window,
        }
    }

    pub(super) const fn fits(&self, length: usize) -> bool {
        self.length == length
    }

    /// The highest frequency that is looked at.
    pub(super) fn top_hz(&self) -> f64 {
        TOP_HZ.min(0.45 * self.rate)
    }

    fn bin_hz(&self) -> f64 {
        self.rate / self.fft.size() as f64
    }
}

/// One peak of the spectrum.
#[derive(Clone, Copy, Debug)]
pub(super) struct Peak {
    /// Its frequency in Hz.
    pub(super) hz: f64,
    /// One standard deviation of it by the noise around, in Hz.
    pub(super) sd_hz: f64,
    /// Its size, in the spectrum's own unit.
    pub(super) size: f64,
    /// The noise's root mean square there, in the same unit.
    pub(super) noise: f64,
    /// Rate of decay in 1/s.
    pub(super) decay_per_s: f64,
}

/// The peaks of a window, by rising frequency.
///
/// For a partial `exp(s t)` with `s = -1/tau + 2 pi i f`, integrating by parts against a window `h` that is zero at its ends
/// gives `s X_h(w) = i w X_h(w) - X_h'(w)`, where `X_h'` is the spectrum under the window's slope: frequency and decay of each partial
/// follow exactly from two spectra, here by least squares over the three bins of a peak. The two windows travel through one
/// transform as real and imaginary part.
pub(super) fn peaks(plan: &Plan, samples: &[f32]) -> Vec<Peak> {
    let size = plan.fft.size();
    let mean = samples.iter().map(|s| f64::from(*s)).sum::<f64>() / plan.length as f64;
    let mut points = vec![(0.0, 0.0); size];
    for ((point, sample), (h, slope)) in points.iter_mut().zip(samples).zip(&plan.window) {
        let value = f64::from(*sample) - mean;
        *point = (value * h, value * slope);
    }
    plan.fft.run(&mut points);
    let bins = count(plan.top_hz() / plan.bin_hz()).min(size / 2 - 2);
    // The spectra under the window and under its slope, parted again.
    let parted = |k: usize| {
        let (a, b) = (points[k], points[(size - k) % size]);
        let plain = ((a.0 + b.0) / 2.0, (a.1 - b.1) / 2.0);
        let slope = ((a.1 + b.1) / 2.0, (b.0 - a.0) / 2.0);
        (plain, slope)
    };
    let sizes: Vec<f64> = (0..=bins + 1)
        .map(|k| {
            let (plain, _) = parted(k);
            (plain.0 * plain.0 + plain.1 * plain.1).sqrt()
        })
        .collect();
    let floor = noise_floor(&sizes);
    let first = count(BOTTOM_HZ / plan.bin_hz()).max(2);
    let mut found: Vec<Peak> = (first..bins)
        .filter(|&k| {
            let noise = floor[k / BLOCK];
            sizes[k] > OVER_NOISE * noise && sizes[k] >= sizes[k - 1] && sizes[k] > sizes[k + 1]
        })
        .filter_map(|k| {
            let (mut re, mut im, mut weight) = (0.0, 0.0, 0.0);
            for bin in k - 1..=k + 1 {
                let ((xr, xi), (dr, di)) = parted(bin);
                let square = xr * xr + xi * xi;
                // conj(X) X', and the bin's own angular frequency.
                re -= xr * dr + xi * di;
                im += TAU * bin as f64 * plan.bin_hz() * square - (xr * di - xi * dr);
                weight += square;
            }
            let noise = floor[k / BLOCK];
            let hz = im / weight / TAU;
            // Half a lobe away from its own peak, it is no partial but a ripple of something else.
            let near = (hz - k as f64 * plan.bin_hz()).abs() < LOBE / 2.0 / plan.seconds;
            near.then(|| Peak {
                hz,
                sd_hz: frequency_sd(noise / sizes[k], plan.seconds),
                size: sizes[k],
                noise,
                decay_per_s: -re / weight,
            })
        })
        .filter(|peak| peak.hz.is_finite() && peak.decay_per_s.is_finite())
        .collect();
    found.sort_by(|a, b| b.size.total_cmp(&a.size));
    let least = found.first().map_or(0.0, |peak| LEAST_SIZE * peak.size);
    found.retain(|peak| peak.size > least);
    let mut kept: Vec<Peak> = Vec::new();
    for peak in found {
        if kept.len() < MOST_PEAKS && kept.iter().all(|strong| !side_lobe(&peak, strong, plan)) {
            kept.push(peak);
        }
    }
    kept.sort_by(|a, b| a.hz.total_cmp(&b.hz));
    kept
}

/// Standard deviation of a peak's frequency in Hz, from noise over signal at the peak and the window's length:
/// `sqrt(integral h'^2 / integral h^2) (noise/signal)/(sqrt(2) 2 pi)`, for a Hann window `(pi/T) sqrt(4/3)` under the root.
fn frequency_sd(noise_to_signal: f64, seconds: f64) -> f64 {
    (4.0f64 / 3.0).sqrt() * noise_to_signal / (2.0 * 2f64.sqrt() * seconds)
}

/// Whether a weaker peak may be a side lobe of a stronger one: a Hann window falls off as `1/(pi x (x^2 - 1))`, `x` the
/// distance in units of one over its length. Twice that is allowed for a swing that dies away.
fn side_lobe(weak: &Peak, strong: &Peak, plan: &Plan) -> bool {
    let x = (weak.hz - strong.hz).abs() * plan.seconds;
    x < LOBE || weak.size < 2.0 * strong.size / (PI * x * (x * x - 1.0))
}

/// The noise's root mean square in each block of bins: from the median, which partials hardly move. A block between two
/// quieter ones takes the louder of those.
fn noise_floor(sizes: &[f64]) -> Vec<f64> {
    // The median of a Rayleigh distribution is sqrt(ln 2) of its root mean square.
    let per_median = 1.0 / std::f64::consts::LN_2.sqrt();
    let blocks: Vec<f64> = sizes
        .chunks(BLOCK)
        .map(|block| {
            let mut block = block.to_vec();
            let middle = block.len() / 2;
            let (_, median, _) = block.select_nth_unstable_by(middle, f64::total_cmp);
            *median * per_median
        })
        .collect();
    (0..blocks.len())
        .map(|k| {
            let before = blocks[k.saturating_sub(1)];
            let after = blocks[(k + 1).min(blocks.len() - 1)];
            // No sound is without any noise; the least keeps a ratio finite.
            blocks[k].min(before.max(after)).max(1e-9)
        })
        .collect()
}
