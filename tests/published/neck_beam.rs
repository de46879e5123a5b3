//! The tapered neck against a beam of finite elements and sections cut into slices, which know none of the crate's formulas.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use nalgebra::{DMatrix, DVector};
use strungwell_physics::neck::{
    Bar, Neck, Pull, Taper, dip, half_ellipse_second_moment, uniform_mid_dip, uniform_tip_raise,
};
use strungwell_physics::quantity::{InBenchUnits, gpa, mm, newtons};
use strungwell_tests::reference::check;

/// A neck as the slices see it: mm and MPa.
struct Sliced {
    length: f64,
    width: [f64; 2],
    depth: [f64; 2],
    board: f64,
    wood: f64,
    board_wood: f64,
    /// Modulus, width, top below the board's surface, height.
    bar: Option<[f64; 4]>,
}

const SLICES: u32 = 4000;

impl Sliced {
    /// Stiffness and neutral axis of the section at a place, by slices from the top down.
    fn section(&self, x: f64) -> (f64, f64) {
        let u = x / self.length;
        let width = self.width[0] * (1.0 - u) + self.width[1] * u;
        let depth = self.depth[0] * (1.0 - u) + self.depth[1] * u;
        // Board and neck sliced apart, so that no slice straddles their joint.
        let mut sums = [0.0; 3];
        let parts = [(0.0, self.board), (self.board, depth)];
        for (part, (from, to)) in parts.into_iter().enumerate() {
            let step = (to - from) / f64::from(SLICES);
            for i in 0..SLICES {
                let z = from + (f64::from(i) + 0.5) * step;
                let e_width = if part == 0 {
                    self.board_wood * width
                } else {
                    let v = (z - self.board) / (depth - self.board);
                    let full = width * (1.0 - v * v).sqrt();
                    match self.bar {
                        Some([e, w, top, height]) if z > top && z < top + height => {
                            self.wood * (full - w) + e * w
                        }
                        _ => self.wood * full,
                    }
                };
                for (power, sum) in sums.iter_mut().enumerate() {
                    *sum += e_width * step * z.powi(i32::try_from(power).unwrap());
                }
            }
        }
        let neutral = sums[1] / sums[0];
        (sums[2] - sums[0] * neutral * neutral, neutral)
    }

    /// Heights of nodes that lie evenly from the nut to the body, under tensions `(N, height at nut, height at body, from)`: beam elements
    /// of cubic shape whose nodal forces do the virtual work of the moment, the last node held.
    fn raised(&self, pulls: &[(f64, f64, f64, f64)], elements: usize) -> Vec<f64> {
        #[allow(clippy::cast_precision_loss)]
        let h = self.length / elements as f64;
        let size = 2 * (elements + 1);
        let mut stiffness = DMatrix::<f64>::zeros(size, size);
        let mut force = DVector::<f64>::zeros(size);
        // Simpson's rule over each element.
        for element in 0..elements {
            #[allow(clippy::cast_precision_loss)]
            let start = element as f64 * h;
            for (place, weight) in [(0.0, 1.0 / 6.0), (0.5, 4.0 / 6.0), (1.0, 1.0 / 6.0)] {
                // A hair inside, so that a pull that starts at a node belongs to one side of it.
                let x = start + h * (place * (1.0 - 2e-9) + 1e-9);
                let (ei, neutral) = self.section(x);
                let moment: f64 = pulls
                    .iter()
                    .filter(|pull| x > pull.3)
                    .map(|pull| pull.0 * (pull.1 + (pull.2 - pull.1) * x / self.length + neutral))
                    .sum();
                // Second derivatives of the four cubic shapes.
                let curve = [
                    (-6.0 + 12.0 * place) / (h * h),
                    (-4.0 + 6.0 * place) / h,
                    (6.0 - 12.0 * place) / (h * h),
                    (-2.0 + 6.0 * place) / h,
                ];
                for (i, own) in curve.iter().enumerate() {
                    force[2 * element + i] += weight * h * moment * own;
                    for (j, other) in curve.iter().enumerate() {
                        stiffness[(2 * element + i, 2 * element + j)] +=
                            weight * h * ei * own * other;
                    }
                }
            }
        }
        let free = size - 2;
        let solved = stiffness
            .view((0, 0), (free, free))
            .into_owned()
            .lu()
            .solve(&force.rows(0, free).into_owned())
            .unwrap();
        (0..=elements)
            .map(|node| {
                if 2 * node < free {
                    solved[2 * node]
                } else {
                    0.0
                }
            })
            .collect()
    }

    fn neck(&self) -> Neck {
        let taper = Taper {
            length: mm(self.length),
            width: self.width.map(mm),
            depth: self.depth.map(mm),
            board: mm(self.board),
        };
        let bars = self.bar.iter().map(|[e, w, top, height]| Bar {
            modulus: gpa(e * 1e-3),
            width: mm(*w),
            height: mm(*height),
            down: mm(top - self.board),
        });
        Neck::new(
            taper,
            gpa(self.wood * 1e-3),
            gpa(self.board_wood * 1e-3),
            bars.collect(),
        )
        .unwrap()
    }
}

fn tenor() -> Sliced {
    Sliced {
        length: 238.5,
        width: [36.0, 47.0],
        depth: [17.5, 20.5],
        board: 5.0,
        wood: 10_340.0,
        board_wood: 11_600.0,
        bar: None,
    }
}

/// Both ways over the same neck and pulls: the raise at the nut, and the dip at the middle under a straightedge nut to body.
fn compare(sliced: &Sliced, pulls: &[(f64, f64, f64, f64)]) {
    const ELEMENTS: usize = 60;
    let nodes = sliced.raised(pulls, ELEMENTS);
    let own: Vec<Pull> = pulls
        .iter()
        .map(|(tension, nut, body, from)| Pull {
            tension: newtons(*tension),
            from: mm(*from),
            height_at_nut: mm(*nut),
            height_at_body: mm(*body),
        })
        .collect();
    let stations: Vec<_> = (0..=4)
        .map(|i| mm(sliced.length * f64::from(i) / 4.0))
        .collect();
    let raised = sliced.neck().raise(&own, &stations);
    for (i, raise) in raised.iter().enumerate() {
        let node = nodes[i * ELEMENTS / 4];
        println!(
            "{:>8.2} mm {:>12.8} against {node:>12.8}",
            stations[i].bench(),
            raise.bench()
        );
        assert!((raise.bench() - node).abs() < 1e-4 * nodes[0], "{i}");
    }
    let at = |i: usize| (stations[i], raised[i]);
    let dipped = dip(at(0), at(2), at(4)).bench();
    let by_nodes = f64::midpoint(nodes[0], nodes[ELEMENTS]) - nodes[ELEMENTS / 2];
    assert!(
        (dipped / by_nodes - 1.0).abs() < 5e-4,
        "{dipped} against {by_nodes}"
    );
}

#[test]
fn a_tapered_neck_bends_as_finite_elements_do() {
    compare(
        &tenor(),
        &[
            (45.0, 1.9, 3.6, 0.0),
            (46.0, 1.8, 3.5, 0.0),
            (49.0, 1.7, 3.4, 0.0),
        ],
    );
    // Without a board, strongly tapered.
    let bare = Sliced {
        board: 0.0,
        width: [30.0, 60.0],
        depth: [12.0, 26.0],
        ..tenor()
    };
    compare(&bare, &[(300.0, 2.0, 6.0, 0.0)]);
}

#[test]
fn a_bar_in_it_and_a_short_drone_too() {
    let barred = Sliced {
        bar: Some([130_000.0, 6.0, 6.0, 8.0]),
        ..tenor()
    };
    compare(&barred, &[(45.0, 1.9, 3.6, 0.0), (46.0, 1.8, 3.5, 0.0)]);
    // The drone's peg stands at a node.
    let peg = 238.5 * 24.0 / 60.0;
    compare(&barred, &[(60.0, 2.0, 3.0, 0.0), (61.0, 2.0, 3.0, peg)]);
}

#[test]
fn a_uniform_neck_is_the_closed_form() {
    let uniform = Sliced {
        width: [40.0; 2],
        depth: [20.0; 2],
        ..tenor()
    };
    let (ei, neutral) = uniform.section(0.0);
    let moment = 180.0 * (3.0 + neutral) * 1e-3;
    let raised = uniform.raised(&[(180.0, 3.0, 3.0, 0.0)], 40);
    let tip = uniform_tip_raise(moment, mm(uniform.length), ei * 1e-6).bench();
    assert!((raised[0] / tip - 1.0).abs() < 1e-6);
    let middle = raised[0] / 2.0 - raised[20];
    assert!(
        (uniform_mid_dip(moment, mm(uniform.length), ei * 1e-6).bench() / middle - 1.0).abs()
            < 1e-6
    );
}

#[test]
pub(crate) fn the_second_moment_of_half_an_ellipse() {
    check("NECK-02").hold(&[half_ellipse_second_moment(1.0, 1.0)]);
    // By slices of a half ellipse of 3 by 2.
    let steps = 400_000;
    let (mut area, mut first, mut second) = (0.0, 0.0, 0.0);
    for i in 0..steps {
        let z = 2.0 * (f64::from(i) + 0.5) / f64::from(steps);
        let slice = 6.0 * (1.0 - (z / 2.0_f64).powi(2)).sqrt() * 2.0 / f64::from(steps);
        area += slice;
        first += slice * z;
        second += slice * z * z;
    }
    let own = second - first * first / area;
    assert!((half_ellipse_second_moment(3.0, 2.0) / own - 1.0).abs() < 1e-5);
}
