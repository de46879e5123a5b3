//! Stiff ends and partials: published values, the exact characteristic equations, and a beam of finite elements that knows
//! none of the crate's formulas.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use nalgebra::{DMatrix, DVector, SymmetricEigen};
use std::f64::consts::PI;
use strungwell_physics::quantity::{InBenchUnits, g_per_m, gpa, hz, mm, newtons};
use strungwell_physics::stiffness::{
    Ends, bending_length, bending_length_of_stretch, end_correction, frequency_factor,
    inharmonicity, partial_sharpness,
};
use strungwell_physics::string::StringMake;
use strungwell_physics::{material::Material, stretch, tension};
use strungwell_tests::reference::{check, checks_of};

/// The root of a function that changes its sign once between two places.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let sign = f(low).signum();
    assert!(
        sign * f(high) < 0.0,
        "no change of sign from {low} to {high}"
    );
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if f(middle).signum() == sign {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Frequency over that of the flexible string's first partial, from the trigonometric wave number `k` of a mode.
fn frequency(b: f64, k: f64) -> f64 {
    k / PI * (1.0 + (b * k).powi(2)).sqrt()
}

/// The exact mode of a string hinged at one end and clamped at the other: `tan k = (k/k1) tanh k1`, `k1^2 - k^2 = 1/b^2`.
fn hinged_clamped(b: f64, q: u32) -> f64 {
    let from = PI * f64::from(q);
    let k = root(from + 1e-9, from + PI / 2.0 - 1e-9, |k| {
        let k1 = (b.powi(-2) + k * k).sqrt();
        k.tan() - k / k1 * k1.tanh()
    });
    frequency(b, k)
}

/// The exact mode of a string clamped at both ends, as modes even and odd about its middle.
fn clamped(b: f64, q: u32) -> f64 {
    let from = PI * f64::from(q);
    let even = q % 2 == 1;
    let k = root(from + 1e-9, from + PI - 1e-9, |k| {
        let k1 = (b.powi(-2) + k * k).sqrt();
        let (sin, cos) = (k / 2.0).sin_cos();
        // Multiplied out, so that nothing is divided by a cosine near zero.
        if even {
            k * sin + k1 * (k1 / 2.0).tanh() * cos
        } else {
            k1 * sin - k * (k1 / 2.0).tanh() * cos
        }
    });
    frequency(b, k)
}

#[test]
pub(crate) fn exact_modes_of_stiff_strings() {
    let partials = [1, 2, 5, 10];
    for c in checks_of("EIG-PP-") {
        c.hold(&partials.map(|q| f64::from(q) * frequency_factor(c.number("B"), q, Ends::Pinned)));
    }
    for c in checks_of("EIG-PC-") {
        c.hold(&partials.map(|q| hinged_clamped(c.number("B"), q)));
    }
    for c in checks_of("EIG-CC-") {
        c.hold(&partials.map(|q| clamped(c.number("B"), q)));
    }
}

#[test]
pub(crate) fn series_come_near_the_exact_modes() {
    let c = check("EIG-SER-1");
    let b = c.number("B");
    c.hold(&[frequency_factor(b, 1, Ends::Halfway) - hinged_clamped(b, 1)]);
    let c = check("EIG-SER-2");
    let b = c.number("B");
    c.hold(&[frequency_factor(b, 1, Ends::Clamped) - clamped(b, 1)]);
    // By how much they fall short at B = 0.01, as the docs say, and that it is of third order.
    for (ends, exact, short) in [
        (Ends::Halfway, hinged_clamped as fn(f64, u32) -> f64, 0.013),
        (Ends::Clamped, clamped, 0.036),
    ] {
        let off = |b: f64| cents(exact(b, 1) / frequency_factor(b, 1, ends));
        assert!((off(0.01) - short).abs() < 0.001, "{ends:?} {}", off(0.01));
        assert!((off(0.01) / off(0.005) - 8.0).abs() < 1.0, "{ends:?}");
    }
}

#[test]
pub(crate) fn inharmonicity_of_a_plain_steel_string() {
    let c = check("INH-01");
    let make = StringMake::plain(Material::Steel, mm(c.number("d_mm"))).unwrap();
    let area = make.bearing_mm2();
    let mass = g_per_m(c.number("rho") * area * 1e-3);
    let tension = tension::tension(mass, mm(c.number("L_mm")), hz(c.number("f_Hz")));
    let b = bending_length(gpa(c.number("E_GPa")), mm(c.number("d_mm")), tension).bench()
        / c.number("L_mm");
    c.hold(&[inharmonicity(b)]);
    // The identity with the bending length, and a letter's first-order form of the same stretch.
    let second_moment = PI / 64.0 * c.number("d_mm").powi(4);
    let of_beam =
        c.number("E_GPa") * 1e3 * second_moment / (tension.bench() * c.number("L_mm").powi(2));
    check("INH-02").hold(&[inharmonicity(b) / (PI * PI * of_beam)]);
    let (e, t, f) = (c.number("E_GPa") * 1e9, tension.bench(), c.number("f_Hz"));
    let (area_m2, mu) = (area * 1e-6, mass.bench() * 1e-3);
    let letter = PI / 2.0 * e * area_m2 * area_m2 * mu / (t * t) * f * f;
    check("INH-03").hold(&[letter / (inharmonicity(b) / 2.0)]);
    assert!(
        (partial_sharpness(b, 10).0 - 1200.0 / 2_f64.ln() * 49.5 * inharmonicity(b)).abs() < 0.01
    );
}

#[test]
pub(crate) fn stiffness_of_the_published_strings() {
    for c in checks_of("STIFF-") {
        let radius = c.number("radius_mm");
        let b0 =
            bending_length_of_stretch(c.number("kappa"), mm(radius)).bench() / c.number("scale_mm");
        let modulus = stretch::effective_modulus(
            c.number("kappa"),
            newtons(c.number("T0_N")),
            PI * radius * radius,
        );
        c.hold(&[b0, modulus.bench() * 1e-3]);
        // Bent as a solid of that modulus it has the same bending length.
        let solid = bending_length(modulus, mm(2.0 * radius), newtons(c.number("T0_N")));
        assert!((solid.bench() / c.number("scale_mm") / b0 - 1.0).abs() < 1e-9);
    }
}

/// How the ends of the speaking length are held in the finite elements.
enum Held {
    Hinged,
    Clamped,
    /// The string runs on behind both supports by this length, in mm.
    RunsOn(f64),
}

/// The first frequency of a stiff string as finite elements, over that of the flexible string of the speaking length.
///
/// Beams of cubic shape under tension (unit tension, unit mass per length, all in mm), finer near the supports; the
/// supports only keep the string from moving sideways.
fn by_finite_elements(length: f64, bending: f64, held: &Held) -> f64 {
    let mut places = vec![0.0];
    let tail = match held {
        Held::RunsOn(tail) => *tail,
        Held::Hinged | Held::Clamped => 0.0,
    };
    let span = |from: f64, to: f64, places: &mut Vec<f64>| {
        // Elements of a third of a bending length at both ends, growing by a half each towards the middle.
        let mut steps = Vec::new();
        let (mut step, mut half) = (bending / 3.0, 0.0);
        while half + step < (to - from) / 2.0 {
            steps.push(step);
            half += step;
            step = (step * 1.5).min((to - from) / 24.0);
        }
        steps.push((to - from) / 2.0 - half);
        let mut x = from;
        for s in steps.iter().chain(steps.iter().rev()) {
            x += s;
            places.push(x);
        }
    };
    if tail > 0.0 {
        span(0.0, tail, &mut places);
    }
    span(tail, tail + length, &mut places);
    if tail > 0.0 {
        span(tail + length, 2.0 * tail + length, &mut places);
    }
    let nodes = places.len();
    let (mut k, mut m) = (
        DMatrix::<f64>::zeros(2 * nodes, 2 * nodes),
        DMatrix::<f64>::zeros(2 * nodes, 2 * nodes),
    );
    let ei = bending * bending;
    for (i, w) in places.windows(2).enumerate() {
        let l = w[1] - w[0];
        let beam = [
            [12.0, 6.0 * l, -12.0, 6.0 * l],
            [6.0 * l, 4.0 * l * l, -6.0 * l, 2.0 * l * l],
            [-12.0, -6.0 * l, 12.0, -6.0 * l],
            [6.0 * l, 2.0 * l * l, -6.0 * l, 4.0 * l * l],
        ];
        let pull = [
            [36.0, 3.0 * l, -36.0, 3.0 * l],
            [3.0 * l, 4.0 * l * l, -3.0 * l, -l * l],
            [-36.0, -3.0 * l, 36.0, -3.0 * l],
            [3.0 * l, -l * l, -3.0 * l, 4.0 * l * l],
        ];
        let mass = [
            [156.0, 22.0 * l, 54.0, -13.0 * l],
            [22.0 * l, 4.0 * l * l, 13.0 * l, -3.0 * l * l],
            [54.0, 13.0 * l, 156.0, -22.0 * l],
            [-13.0 * l, -3.0 * l * l, -22.0 * l, 4.0 * l * l],
        ];
        for r in 0..4 {
            for c in 0..4 {
                k[(2 * i + r, 2 * i + c)] += ei / l.powi(3) * beam[r][c] + pull[r][c] / (30.0 * l);
                m[(2 * i + r, 2 * i + c)] += l / 420.0 * mass[r][c];
            }
        }
    }
    // Sideways motion is held at the supports and at the tails' far ends, turning only by clamps.
    let mut fixed = vec![0, 2 * (nodes - 1)];
    for support in [tail, tail + length] {
        let at = places
            .iter()
            .position(|x| (x - support).abs() < 1e-9)
            .unwrap();
        fixed.push(2 * at);
    }
    if matches!(held, Held::Clamped) {
        fixed.extend([1, 2 * nodes - 1]);
    }
    let free: Vec<usize> = (0..2 * nodes).filter(|d| !fixed.contains(d)).collect();
    let (k, m) = (
        k.select_rows(&free).select_columns(&free),
        m.select_rows(&free).select_columns(&free),
    );
    let lower = m.cholesky().unwrap().l();
    let half = lower.solve_lower_triangular(&k).unwrap();
    let whole = lower.solve_lower_triangular(&half.transpose()).unwrap();
    let squares: DVector<f64> = SymmetricEigen::new(whole).eigenvalues;
    squares.min().sqrt() / (PI / length)
}

fn cents(ratio: f64) -> f64 {
    1200.0 * ratio.log2()
}

#[test]
fn finite_elements_agree_with_the_exact_modes() {
    for b in [0.00236, 0.0069] {
        let hinged = by_finite_elements(650.0, 650.0 * b, &Held::Hinged);
        assert!(cents(hinged / frequency_factor(b, 1, Ends::Pinned)).abs() < 0.005);
        let held = by_finite_elements(650.0, 650.0 * b, &Held::Clamped);
        assert!(
            cents(held / clamped(b, 1)).abs() < 0.005,
            "{}",
            cents(held / clamped(b, 1))
        );
    }
}

#[test]
fn a_string_that_runs_on_over_its_supports_stands_halfway() {
    // The case of the docs: 12 cents by half a bending length at each end, against next to none hinged, twice as much clamped.
    let b = 0.0069;
    let first_order = cents(1.0 / (1.0 - 2.0 * end_correction(mm(b), Ends::Halfway).bench()));
    assert!((first_order - 12.0).abs() < 0.05, "{first_order}");
    let hinged = cents(by_finite_elements(650.0, 650.0 * b, &Held::Hinged));
    let held = cents(by_finite_elements(650.0, 650.0 * b, &Held::Clamped));
    assert!((hinged - 0.4).abs() < 0.05, "{hinged}");
    assert!((held - 24.5).abs() < 0.1, "{held}");
    for tail in [20.0, 40.0, 60.0, 120.0] {
        let runs_on = cents(by_finite_elements(650.0, 650.0 * b, &Held::RunsOn(tail)));
        let series = cents(frequency_factor(b, 1, Ends::Halfway));
        println!(
            "tail {tail:>5}: finite elements {runs_on:.2}, series {series:.2}, first order {first_order:.2} cents"
        );
        // Short tails turn less readily, so the end is nearer to clamped, never further than the figures of the docs.
        assert!(runs_on > first_order && runs_on < 14.2, "{tail}: {runs_on}");
        assert!(
            (runs_on - series).abs() < 0.15 * series,
            "{tail}: {runs_on} {series}"
        );
    }
    // With tails that are long against the bending length the series is met closely.
    for b in [0.001, 0.00236, 0.004] {
        let runs_on = cents(by_finite_elements(650.0, 650.0 * b, &Held::RunsOn(150.0)));
        let series = cents(frequency_factor(b, 1, Ends::Halfway));
        println!("B {b}: finite elements {runs_on:.3}, series {series:.3} cents");
        assert!(
            (runs_on / series - 1.0).abs() < 0.03,
            "{b}: {runs_on} {series}"
        );
    }
}
