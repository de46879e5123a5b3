//! A straight line through readings, with its doubt.

/// A line `y = a + b x` by least squares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// The value at `x = 0`.
    pub a: f64,
    /// The slope.
    pub b: f64,
    /// One standard deviation of the slope.
    pub b_sd: f64,
    /// One standard deviation of a single reading: the larger of what was expected and what the readings scatter by.
    pub reading_sd: f64,
    /// Root mean square of what is left.
    pub rms: f64,
    /// How many readings were used.
    pub used: usize,
    mean_x: f64,
}

impl Line {
    /// The least squares line through points `(x, y)`: `b = sum (x - mx)(y - my)/sum (x - mx)^2`, `a = my - b mx`.
    ///
    /// `sd(b) = s/sqrt(sum (x - mx)^2)`, where `s` is the larger of `expected_sd` (what one reading is good to) and
    /// `sqrt(sum r^2/(n - 2))`, so that three readings that happen to lie well do not claim more than a reading can. None for
    /// fewer than `least` different `x` (at least two), or when anything is not finite. Source: least squares.
    #[must_use]
    pub fn through(points: &[(f64, f64)], least: usize, expected_sd: f64) -> Option<Self> {
        let mut places: Vec<f64> = points.iter().map(|p| p.0).collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        if places.len() < least.max(2) {
            return None;
        }
        let n = count(points.len());
        let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
        let (mean_x, mean_y) = (mean(|p| p.0), mean(|p| p.1));
        let spread: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
        let b = points
            .iter()
            .map(|p| (p.0 - mean_x) * (p.1 - mean_y))
            .sum::<f64>()
            / spread;
        let a = mean_y - b * mean_x;
        let left: f64 = points.iter().map(|p| (p.1 - a - b * p.0).powi(2)).sum();
        let scatter = if points.len() > 2 {
            (left / (n - 2.0)).sqrt()
        } else {
            0.0
        };
        let reading_sd = scatter.max(expected_sd.abs());
        let line = Self {
            a,
            b,
            b_sd: reading_sd / spread.sqrt(),
            reading_sd,
            rms: (left / n).sqrt(),
            used: points.len(),
            mean_x,
        };
        [line.a, line.b, line.b_sd, line.reading_sd]
            .iter()
            .all(|value| value.is_finite())
            .then_some(line)
    }

    /// The line's value: `a + b x`.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        self.a + self.b * x
    }

    /// One standard deviation of the line's value: `sqrt(s^2/n + sd(b)^2 (x - mx)^2)`.
    #[must_use]
    pub fn sd_at(&self, x: f64) -> f64 {
        (self.reading_sd.powi(2) / count(self.used) + (self.b_sd * (x - self.mean_x)).powi(2))
            .sqrt()
    }
}

/// A count as a number; exact as far as any list of readings goes.
#[allow(clippy::cast_precision_loss)]
const fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_by_hand() {
        // y = 1, 3, 2 at 0, 1, 2: mean 2, slope (1 - 0 + 0)/2 = 0.5.
        let line = Line::through(&[(0.0, 1.0), (1.0, 3.0), (2.0, 2.0)], 2, 0.0).unwrap();
        assert!((line.b - 0.5).abs() < 1e-12 && (line.a - 1.5).abs() < 1e-12);
        // Left over: -0.5, 1, -0.5; s^2 = 1.5, sum of squares of x about its mean is 2.
        assert!((line.reading_sd - 1.5_f64.sqrt()).abs() < 1e-12);
        assert!((line.b_sd - 0.75_f64.sqrt()).abs() < 1e-12);
        assert!((line.sd_at(1.0) - 0.5_f64.sqrt()).abs() < 1e-12);
        assert!((line.rms - 0.5_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn too_little_gives_no_line() {
        assert_eq!(Line::through(&[], 2, 1.0), None);
        assert_eq!(Line::through(&[(1.0, 1.0), (1.0, 2.0)], 2, 1.0), None);
        assert_eq!(Line::through(&[(0.0, 1.0), (1.0, f64::NAN)], 2, 1.0), None);
        assert_eq!(Line::through(&[(0.0, 1.0), (1.0, 2.0)], 3, 1.0), None);
        // Two readings that leave nothing over are still no better than a reading is.
        assert!(
            Line::through(&[(0.0, 1.0), (1.0, 2.0)], 2, 2.0)
                .unwrap()
                .b_sd
                > 2.0
        );
    }
}
