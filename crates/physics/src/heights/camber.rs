//! The crown of the saddle: the circle that comes nearest to the courses' heights.

use super::least::Normal;
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// One course at the saddle: its place across and the height of its underside over any level line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrownPoint {
    /// Place across the saddle, from anywhere.
    pub across: Length,
    /// Height at the saddle, from anywhere.
    pub height: Length,
}

/// The circle that fits the courses best.
#[derive(Clone, Debug, PartialEq)]
pub struct Camber {
    /// Its radius: positive for a crown, negative for a hollow. None when it is as good as flat (over ten metres).
    pub radius: Option<Length>,
    /// How far each course lies off the circle, in the order given: positive is too high.
    pub departures: Vec<Length>,
    /// The root of their mean square.
    pub rms: Length,
}

/// Why courses give no circle.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoCamber {
    /// Fewer than three courses.
    #[error("a circle needs three courses at different places across; {0} given")]
    TooFew(usize),
    /// A number that is none, or too large.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
}

/// A crown flatter than this radius, in mm, is called flat.
const FLAT_FROM_MM: f64 = 10_000.0;
const STEPS: usize = 30;

impl Camber {
    /// The circle of least squares, by the distance of each course from it.
    ///
    /// The circle is written `A (x^2 + y^2) + B x + C y + D = 0` with `B^2 + C^2 - 4 A D = 1`, so that a straight line is the
    /// case `A = 0` and a nearly flat crown gives no trouble; radius `1/(2 A)`. Source: Chernov, Circular and Linear
    /// Regression (2010), from memory.
    ///
    /// # Errors
    /// [`NoCamber`] for fewer than three courses at different places, or a number beyond 300 mm.
    pub fn fit(points: &[CrownPoint]) -> Result<Self, NoCamber> {
        let mut places = Vec::with_capacity(points.len());
        for p in points {
            let x = within(
                "a course's place across",
                p.across.bench(),
                "mm",
                -300.0,
                300.0,
            )?;
            let y = within("a course's height", p.height.bench(), "mm", -300.0, 300.0)?;
            places.push((x, y));
        }
        let different = different(&places);
        if different < 3 {
            return Err(NoCamber::TooFew(different));
        }
        // About the middle and in units of the spread, so that all four coefficients are of one size.
        let count = places.len() as f64;
        let mean_x = places.iter().map(|p| p.0).sum::<f64>() / count;
        let mean_y = places.iter().map(|p| p.1).sum::<f64>() / count;
        let spread = places
            .iter()
            .map(|p| (p.0 - mean_x).abs())
            .fold(0.0, f64::max);
        for p in &mut places {
            *p = ((p.0 - mean_x) / spread, (p.1 - mean_y) / spread);
        }
        let circle = Circle::near(&places).settled(&places);
        let departures: Vec<Length> = places
            .iter()
            .map(|&p| mm(circle.departure(p) * spread))
            .collect();
        let mean_square = departures.iter().map(|d| d.bench().powi(2)).sum::<f64>() / count;
        let curvature = 2.0 * circle.a / spread;
        Ok(Self {
            radius: (curvature.abs() > 1.0 / FLAT_FROM_MM).then(|| mm(1.0 / curvature)),
            departures,
            rms: mm(mean_square.sqrt()),
        })
    }
}

/// How far a circle of a radius falls at a distance from its middle: `R - sqrt(R^2 - a^2)`; nothing for a radius that is not
/// above the distance.
#[must_use]
pub fn sagitta(radius: Length, from_middle: Length) -> Length {
    mm(sagitta_mm(radius.bench(), from_middle.bench()))
}

/// [`sagitta`] in mm.
pub(crate) fn sagitta_mm(radius: f64, from_middle: f64) -> f64 {
    let under = radius * radius - from_middle * from_middle;
    if radius > 0.0 && under > 0.0 {
        from_middle * from_middle / (radius + under.sqrt())
    } else {
        0.0
    }
}

/// The radius of a circle whose middle stands `rise` over the ends of a chord: `(w^2/4 + s^2)/(2 s)`. None for a chord or a
/// rise that is not above zero. Source: Pythagoras.
#[must_use]
pub fn radius_of_chord(chord: Length, rise: Length) -> Option<Length> {
    let (w, s) = (chord.bench(), rise.bench());
    let radius = (w * w / 4.0 + s * s) / (2.0 * s);
    (w > 0.0 && s > 0.0 && radius.is_finite()).then(|| mm(radius))
}

/// How many different places across there are, a hundredth of a millimetre apart at least.
fn different(places: &[(f64, f64)]) -> usize {
    let mut x: Vec<f64> = places.iter().map(|p| p.0).collect();
    x.sort_by(f64::total_cmp);
    x.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    x.len()
}

/// A circle or a line, `C` taken as positive: what lies above it has a positive departure.
#[derive(Clone, Copy)]
struct Circle {
    a: f64,
    /// The direction of `(B, C)`.
    theta: f64,
    d: f64,
}

impl Circle {
    /// The parabola of least squares, as a first guess.
    fn near(places: &[(f64, f64)]) -> Self {
        let mut n = Normal::<3>::new();
        for &(x, y) in places {
            n.add([1.0, x, x * x], y, 1.0);
        }
        let [p, q, r] = n.solve().unwrap_or([0.0; 3]);
        let size = (q * q + 1.0 - 4.0 * r * p).max(1e-6).sqrt();
        Self {
            a: -r / size,
            theta: 1.0_f64.atan2(-q),
            d: -p / size,
        }
    }

    fn bc_size(&self) -> f64 {
        (1.0 + 4.0 * self.a * self.d).max(1e-9).sqrt()
    }

    /// Distance from the circle with its sign.
    fn departure(&self, (x, y): (f64, f64)) -> f64 {
        let e = self.bc_size();
        let p =
            self.a * (x * x + y * y) + e * (self.theta.cos() * x + self.theta.sin() * y) + self.d;
        2.0 * p / (1.0 + (1.0 + 4.0 * self.a * p).max(0.0).sqrt())
    }

    fn sum_of_squares(&self, places: &[(f64, f64)]) -> f64 {
        places.iter().map(|&p| self.departure(p).powi(2)).sum()
    }

    /// Gauss and Newton's steps, halved where a whole one does not help.
    fn settled(mut self, places: &[(f64, f64)]) -> Self {
        let mut left = self.sum_of_squares(places);
        for _ in 0..STEPS {
            let Some(step) = self.step(places) else {
                break;
            };
            let mut share = 1.0;
            let better = loop {
                let tried = Self {
                    a: self.a + share * step[0],
                    theta: self.theta + share * step[1],
                    d: self.d + share * step[2],
                };
                let there = tried.sum_of_squares(places);
                if there.is_finite() && there < left {
                    left = there;
                    break Some(tried);
                }
                share /= 2.0;
                if share < 1e-4 {
                    break None;
                }
            };
            let Some(better) = better else { break };
            self = better;
        }
        self
    }

    fn step(&self, places: &[(f64, f64)]) -> Option<[f64; 3]> {
        let (e, (sin, cos)) = (self.bc_size(), self.theta.sin_cos());
        let mut n = Normal::<3>::new();
        for &(x, y) in places {
            let along = cos * x + sin * y;
            let far = self.departure((x, y));
            // p = far + a far^2, so dp/dfar is this.
            let q = 1.0 + 2.0 * self.a * far;
            let by_a = x * x + y * y + 2.0 * self.d / e * along - far * far;
            let by_theta = e * (cos * y - sin * x);
            let by_d = 1.0 + 2.0 * self.a / e * along;
            n.add([by_a / q, by_theta / q, by_d / q], -far, 1.0);
        }
        n.solve()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn crown(radius: f64, tilt: f64, places: &[f64]) -> Vec<CrownPoint> {
        places
            .iter()
            .map(|&x| CrownPoint {
                across: mm(x),
                height: mm(9.0
                    + tilt * x
                    + radius.signum() * ((radius * radius - x * x).sqrt() - radius.abs())),
            })
            .collect()
    }

    #[test]
    fn a_crown_gives_its_radius_and_one_high_course() {
        let mut points = crown(305.0, 0.0, &[-24.0, -14.4, -4.8, 4.8, 14.4, 24.0]);
        let found = Camber::fit(&points).unwrap();
        assert!((found.radius.unwrap().bench() - 305.0).abs() < 1e-4);
        assert!(found.rms.bench() < 1e-9);
        points[2].height += mm(0.1);
        let found = Camber::fit(&points).unwrap();
        assert!(found.departures[2].bench() > 0.05);
        let rest = found.departures.iter().enumerate().filter(|(i, _)| *i != 2);
        assert!(
            rest.map(|(_, d)| d.bench().abs()).fold(0.0, f64::max) < found.departures[2].bench()
        );
    }

    #[test]
    fn no_circle_near_it_fits_better() {
        // Heights far from any circle, so that wrong derivatives would come to rest elsewhere.
        let places = [
            (-1.0, 0.3),
            (-0.5, -0.4),
            (0.1, 0.5),
            (0.6, -0.2),
            (1.0, 0.4),
        ];
        let found = Circle::near(&places).settled(&places);
        let least = found.sum_of_squares(&places);
        for (a, theta, d) in [
            (1e-4, 0.0, 0.0),
            (0.0, 1e-4, 0.0),
            (0.0, 0.0, 1e-4),
            (1e-4, 0.0, -1e-4),
        ] {
            for sign in [1.0, -1.0] {
                let near = Circle {
                    a: found.a + sign * a,
                    theta: found.theta + sign * theta,
                    d: found.d + sign * d,
                };
                assert!(near.sum_of_squares(&places) > least);
            }
        }
    }

    #[test]
    fn flat_and_hollow_are_told() {
        let flat = Camber::fit(&crown(1e9, 0.02, &[-20.0, -5.0, 5.0, 20.0])).unwrap();
        assert_eq!(flat.radius, None);
        let hollow = Camber::fit(&crown(-400.0, 0.0, &[-20.0, -5.0, 5.0, 20.0])).unwrap();
        assert!((hollow.radius.unwrap().bench() + 400.0).abs() < 1e-3);
    }

    #[test]
    fn three_places_are_needed() {
        let two = crown(300.0, 0.0, &[-10.0, 10.0, 10.0]);
        assert_eq!(Camber::fit(&two), Err(NoCamber::TooFew(2)));
    }

    proptest! {
        #[test]
        fn no_heights_break_it(points in proptest::collection::vec((proptest::num::f64::ANY, proptest::num::f64::ANY), 0..8)) {
            let points: Vec<_> = points.iter().map(|&(x, y)| CrownPoint { across: mm(x), height: mm(y) }).collect();
            if let Ok(found) = Camber::fit(&points) {
                prop_assert!(found.rms.bench().is_finite());
            }
        }

        #[test]
        fn any_places_in_the_hand_are_answered(points in proptest::collection::vec((-40.0..40.0f64, 0.0..20.0f64), 3..8)) {
            let points: Vec<_> = points.iter().map(|&(x, y)| CrownPoint { across: mm(x), height: mm(y) }).collect();
            if let Ok(found) = Camber::fit(&points) {
                prop_assert!(found.rms.bench().is_finite() && found.rms.bench() < 20.0);
                prop_assert!(found.radius.is_none_or(|r| r.bench().is_finite()));
            }
        }
    }
}
