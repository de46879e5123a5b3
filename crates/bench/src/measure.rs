//! What is timed.

use crate::sounds;
use serde_json::json;
use std::hint::black_box;
use strungwell_physics::clearance::{Pluck, Release};
use strungwell_physics::fretboard::{Fretboard, Setbacks};
use strungwell_physics::heights::{FretTops, Gap, StringLine};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{g_per_m, mm, newtons};
use strungwell_physics::strung::{Banded, Strung};
use strungwell_workshop::families;
use strungwell_workshop::records::{
    Course, Instrument, Make, Neck, Plain, Plan, RackString, ShopLimits, Wound, Wrap,
};
use strungwell_workshop::report::{instrument_report, plan_curve, plan_of};
use strungwell_workshop::sets::{Choices, SetLimits, propose_on};
use strungwell_workshop::units::Units;

/// How many times each is repeated between two looks at the clock, and how many looks there are; the median is told.
const LOOKS: usize = 31;

/// All figures as one JSON object: `note_ns`, one fretted note with its clearance; `report_us`, the report of four courses of
/// eighteen frets; `sets_ms`, three whole sets for twelve strings from a rack of 500 and from stock; `plan_ms`, the plan of six courses of
/// twenty-two frets whose relief may change, and `curve_ms`, its trade curve; `pitch_ms`, the pitch of half a second of sound; `chord_ms`, two seconds of a chord of four. `now_ms` is a clock in milliseconds.
pub(crate) fn all(now_ms: impl Fn() -> f64) -> String {
    let note_ms = note(&now_ms).unwrap_or(f64::NAN);
    let report_ms = report(&now_ms).unwrap_or(f64::NAN);
    let sets_ms = sets(&now_ms).unwrap_or(f64::NAN);
    let (plan_ms, curve_ms) = plan(&now_ms).unwrap_or((f64::NAN, f64::NAN));
    let pitch_ms = sounds::pitch(&now_ms).unwrap_or(f64::NAN);
    let chord_ms = sounds::chord(&now_ms).unwrap_or(f64::NAN);
    json!({
        "note_ns": note_ms * 1e6,
        "report_us": report_ms * 1e3,
        "sets_ms": sets_ms,
        "plan_ms": plan_ms,
        "curve_ms": curve_ms,
        "pitch_ms": pitch_ms,
        "chord_ms": chord_ms,
    })
    .to_string()
}

/// The median time in ms of one run, over looks at the clock of `runs` runs each.
pub(crate) fn median(now_ms: &impl Fn() -> f64, runs: u32, mut run: impl FnMut()) -> f64 {
    let mut looks: Vec<f64> = (0..=LOOKS)
        .map(|_| {
            let start = now_ms();
            for _ in 0..runs {
                run();
            }
            (now_ms() - start) / f64::from(runs)
        })
        // The first look warms up.
        .skip(1)
        .collect();
    looks.sort_by(f64::total_cmp);
    looks[LOOKS / 2]
}

fn note(now_ms: &impl Fn() -> f64) -> Option<f64> {
    let board = Fretboard::new(mm(381.0), 18).ok()?;
    let tops = FretTops::straight(&board, mm(1.0)).ok()?;
    let gaps = [
        Gap {
            fret: 1,
            gap: mm(0.6),
        },
        Gap {
            fret: 12,
            gap: mm(2.6),
        },
    ];
    let line = StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.5, 0.0), gaps).ok()?;
    let strung = Strung {
        tension: newtons(40.0),
        mass_per_length: g_per_m(0.9),
        diameter: mm(0.8),
        kappa: Banded::within(52.0, 5.0),
        bending_length_mm: Banded::within(1.4, 0.2),
    };
    let string = StringOnBoard::new(&strung, &board, &tops, line).ok()?;
    let pluck = Pluck::new(newtons(1.5), mm(95.0), Release::Away).ok()?;
    let per_all = median(now_ms, 2000, || {
        for fret in 1..=18 {
            if let Ok(pressed) = black_box(&string).press(black_box(fret)) {
                black_box((
                    pressed.cents(),
                    pressed.finger_force(),
                    pressed.clearance(&pluck),
                ));
            }
        }
    });
    Some(per_all / 18.0)
}

/// A concert ukulele of eighteen frets with a low fourth.
pub(crate) fn concert() -> Option<Instrument> {
    let mut instrument = families::start("ukulele-concert", 1, None, "bench")?;
    instrument.frets = 18;
    Some(instrument)
}

/// A steel-string guitar of six courses and twenty-two frets, with a rod and everything measured.
fn six_courses() -> Option<Instrument> {
    let mut guitar = families::start("guitar-steel", 0, None, "bench")?;
    guitar.frets = 22;
    guitar.neck = Some(Neck {
        rod: true,
        ..Neck::default()
    });
    guitar.camber_radius_mm = Some(400.0);
    guitar.pluck.force_n = 1.2;
    guitar.plan = Some(Plan {
        cents_limit: 20.0,
        limits: ShopLimits {
            bridge_top_mm: Some(0.5),
            saddle_spread_mm: Some(52.0),
            ..ShopLimits::default()
        },
        ..Plan::default()
    });
    Some(guitar)
}

fn plan(now_ms: &impl Fn() -> f64) -> Option<(f64, f64)> {
    let guitar = six_courses()?;
    let units = Units::default();
    let made = plan_of(&guitar, &[], units);
    // Fewer courses, no steps or nothing to solve would be a flattering figure.
    let is_whole =
        made.courses.len() == 6 && made.relief_left_mm.is_some() && !made.steps.is_empty();
    if !is_whole {
        return None;
    }
    let plan_ms = median(now_ms, 1, || {
        black_box(plan_of(black_box(&guitar), &[], units));
    });
    let curve_ms = median(now_ms, 1, || {
        black_box(plan_curve(black_box(&guitar), &[], &made));
    });
    Some((plan_ms, curve_ms))
}

fn report(now_ms: &impl Fn() -> f64) -> Option<f64> {
    let instrument = concert()?;
    let made = instrument_report(&instrument, &[]);
    let notes: usize = made
        .courses
        .iter()
        .flat_map(|c| &c.strings)
        .map(|s| s.fretting.frets.len())
        .sum();
    // Four courses of eighteen frets and the open string; fewer would be a flattering figure.
    (notes == 4 * 19).then(|| {
        median(now_ms, 100, || {
            black_box(instrument_report(black_box(&instrument), &[]));
        })
    })
}

/// A rack of 500 strings of steel, plain and wound, two or three of each on hand, every one with a price.
fn rack() -> Vec<RackString> {
    (0..500_u32)
        .map(|n| {
            let make = if n % 2 == 0 {
                Make::Plain(Plain {
                    material: "steel".into(),
                    diameter_mm: 0.20 + f64::from(n) * 0.001,
                    ..Plain::default()
                })
            } else {
                let mut wound = Wound::default();
                wound.core.material = "steel".into();
                wound.core.diameter_mm = 0.28 + f64::from(n % 10) * 0.015;
                wound.wraps.push(Wrap {
                    material: if n % 4 == 1 { "bronze" } else { "nickel" }.into(),
                    size_mm: 0.06 + f64::from(n) * 0.0009,
                    ..Wrap::default()
                });
                Make::Wound(wound)
            };
            RackString {
                id: n.to_string(),
                name: n.to_string(),
                make,
                on_hand: Some(2 + n % 2),
                price: Some(0.6 + f64::from(n % 17) * 0.1),
                ..RackString::default()
            }
        })
        .collect()
}

/// A guitar of six pairs, the lower three with an octave string: twelve strings on nine places.
fn twelve() -> Option<Instrument> {
    let mut instrument = families::start("guitar-steel", 0, None, "bench")?;
    for (index, course) in instrument.courses.iter_mut().enumerate() {
        let mut second = course.strings.first()?.clone();
        if index < 3 {
            second.semitones = 12;
        }
        course.strings.push(second);
    }
    Some(instrument)
}

/// Three sets under every limit: counts, load and price. A figure without three sets, or without proof that they are the
/// best, would be a flattering one.
fn sets(now_ms: &impl Fn() -> f64) -> Option<f64> {
    let (instrument, rack) = (twelve()?, rack());
    let strings: usize = instrument
        .courses
        .iter()
        .map(|c: &Course| c.strings.len())
        .sum();
    let choices = Choices {
        level: Some(100.0),
        limits: SetLimits {
            total_n: Some(1180.0),
            price: Some(14.0),
            ..SetLimits::default()
        },
        ..Choices::default()
    };
    let free = Choices {
        limits: SetLimits::default(),
        ..choices.clone()
    };
    let whole = |choices: &Choices| {
        propose_on(&instrument, &rack, &[], choices)
            .is_ok_and(|answer| answer.sets.len() == 3 && answer.proven)
    };
    (strings == 12 && whole(&choices) && whole(&free)).then(|| {
        let time = |choices: &Choices| {
            median(now_ms, 1, || {
                black_box(propose_on(black_box(&instrument), &rack, &[], choices)).ok();
            })
        };
        // The slower of the two: under every limit, and under the counts alone.
        time(&choices).max(time(&free))
    })
}
