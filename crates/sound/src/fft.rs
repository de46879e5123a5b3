//! A fast Fourier transform of a power of two, which is all that is needed here.

use std::f64::consts::TAU;

/// A transform of one size, with its table of angles.
pub(crate) struct Fft {
    size: usize,
    /// Cosine and minus sine of each stage's angles, one stage after the other.
    turns: Vec<(f64, f64)>,
}

impl Fft {
    /// A transform of at least `least` points.
    pub(crate) fn new(least: usize) -> Self {
        let size = least.max(2).next_power_of_two();
        let mut turns = Vec::with_capacity(size);
        let mut half = 1;
        while half < size {
            turns.extend((0..half).map(|k| {
                let (sine, cosine) = (TAU * k as f64 / (2 * half) as f64).sin_cos();
                (cosine, -sine)
            }));
            half *= 2;
        }
        Self { size, turns }
    }

    pub(crate) const fn size(&self) -> usize {
        self.size
    }

    /// Transforms in place: `X_k = sum x_n exp(-2 pi i k n/N)`, as pairs of real and imaginary part. A list of another
    /// length is left alone.
    pub(crate) fn run(&self, points: &mut [(f64, f64)]) {
        if points.len() != self.size {
            return;
        }
        let shift = usize::BITS - self.size.trailing_zeros();
        for k in 0..self.size {
            let mirrored = k.reverse_bits() >> shift;
            if mirrored > k {
                points.swap(k, mirrored);
            }
        }
        let mut half = 1;
        while half < self.size {
            let turns = &self.turns[half - 1..2 * half - 1];
            for block in points.chunks_exact_mut(2 * half) {
                let (low, high) = block.split_at_mut(half);
                for ((a, b), (c, s)) in low.iter_mut().zip(high).zip(turns) {
                    let turned = (b.0 * c - b.1 * s, b.0 * s + b.1 * c);
                    *b = (a.0 - turned.0, a.1 - turned.1);
                    *a = (a.0 + turned.0, a.1 + turned.1);
                }
            }
            half *= 2;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sum_that_defines_it() {
        let points: Vec<(f64, f64)> = (0..16)
            .map(|n| ((f64::from(n) * 1.7).sin(), (f64::from(n * n) * 0.3).cos()))
            .collect();
        let mut quick = points.clone();
        Fft::new(16).run(&mut quick);
        for (k, found) in quick.iter().enumerate() {
            let mut sum = (0.0, 0.0);
            for (n, (re, im)) in points.iter().enumerate() {
                let (s, c) = (-TAU * (k * n) as f64 / 16.0).sin_cos();
                sum = (sum.0 + re * c - im * s, sum.1 + re * s + im * c);
            }
            assert!((found.0 - sum.0).abs() < 1e-12 && (found.1 - sum.1).abs() < 1e-12);
        }
    }
}
