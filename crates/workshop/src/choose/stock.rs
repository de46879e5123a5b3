//! Stock gauges: strings that can be got, computed for a course on the spot.

use crate::records::{Core, CoreShape, Make, Plain, Wound, Wrap, WrapForm};
use crate::report::OpenString;
use strungwell_physics::equivalent::{round_wrap_for, wound_for};
use strungwell_physics::material::Material;
use strungwell_physics::quantity::{InBenchUnits, mm, newtons};
use strungwell_physics::string::{self, StringMake};
use strungwell_physics::tension::{gauge_for_tension, mass_for_tension};

/// A series of gauges that a material is sold in.
struct Series {
    material: Material,
    /// Step between gauges in mm.
    step_mm: f64,
    thinnest_mm: f64,
    thickest_mm: f64,
}

/// Plain strings of soft instruments. Steps and ends are common practice.
const SOFT: [Series; 2] = [
    Series {
        material: Material::Nylon,
        step_mm: 0.02,
        thinnest_mm: 0.40,
        thickest_mm: 1.10,
    },
    Series {
        material: Material::Fluorocarbon,
        step_mm: 0.02,
        thinnest_mm: 0.40,
        thickest_mm: 1.17,
    },
];

/// Plain wire in thousandths of an inch, from .008 to .024. Common practice.
const WIRE: Series = Series {
    material: Material::Steel,
    step_mm: 0.0254,
    thinnest_mm: 0.2032,
    thickest_mm: 0.6096,
};

/// Steps of wrap wire in mm, and of core in mm.
const WRAP_STEP_MM: f64 = 0.01;
const CORE_STEP_MM: f64 = 0.01;

/// Cores as shares of a wound string's diameter, from memory: a thinner core is more supple, a thicker one is safer.
const SOFT_CORE_SHARES: [f64; 2] = [0.55, 0.65];
const HEX_CORE_SHARES: [f64; 2] = [0.40, 0.48];

/// Stock strings nearest to a wanted tension on an open course.
pub(crate) fn gauges(soft: bool, wanted_n: f64, open: &OpenString) -> Vec<Make> {
    let mut makes = Vec::new();
    let plain: &[Series] = if soft {
        &SOFT
    } else {
        std::slice::from_ref(&WIRE)
    };
    for series in plain {
        plain_gauges(series, wanted_n, open, &mut makes);
    }
    let (core, shape, wraps, shares): (_, _, &[Material], _) = if soft {
        let shape = string::CoreShape::Filaments(None);
        (
            Material::Nylon,
            shape,
            &[Material::SilverPlatedCopper, Material::Bronze],
            SOFT_CORE_SHARES,
        )
    } else {
        (
            Material::Steel,
            string::CoreShape::Hex,
            &[Material::PhosphorBronze, Material::Nickel],
            HEX_CORE_SHARES,
        )
    };
    for wrap in wraps {
        for share in shares {
            makes.extend(wound(wanted_n, open, core, shape, *wrap, share));
        }
    }
    makes
}

/// The two gauges of a series on either side of the wanted tension, or its nearest end.
fn plain_gauges(series: &Series, wanted_n: f64, open: &OpenString, makes: &mut Vec<Make>) {
    let density = series.material.row().density();
    let exact = gauge_for_tension(density, open.length, open.pitch, newtons(wanted_n)).bench();
    let steps = ((exact - series.thinnest_mm) / series.step_mm).floor();
    let mut last = None;
    for step in [steps, steps + 1.0] {
        let gauge = (series.thinnest_mm + step * series.step_mm)
            .clamp(series.thinnest_mm, series.thickest_mm);
        // Thousandths of a millimetre are as fine as any gauge is written.
        let gauge = (gauge * 1e4).round() / 1e4;
        if gauge.is_finite() && last != Some(gauge) {
            last = Some(gauge);
            makes.push(Make::Plain(Plain {
                material: series.material.row().key.into(),
                diameter_mm: gauge,
                ..Plain::default()
            }));
        }
    }
}

/// A wound string near the wanted tension, its core and wrap rounded to sizes that are sold. None where it would weigh so
/// little that a plain string serves, or cannot be made.
fn wound(
    wanted_n: f64,
    open: &OpenString,
    core: Material,
    shape: string::CoreShape,
    wrap: Material,
    share: f64,
) -> Option<Make> {
    let mass = mass_for_tension(newtons(wanted_n), open.length, open.pitch);
    let ideal = wound_for(mass, core, shape, wrap, share).ok()?;
    let inner = string_core(&ideal)?;
    let core_mm = round_to(inner.diameter().bench(), CORE_STEP_MM);
    let inner = string::Core::new(core, mm(core_mm), shape).ok()?;
    let size_mm = round_to(
        round_wrap_for(&inner, wrap, mass).ok()?.size().bench(),
        WRAP_STEP_MM,
    );
    // Wrap wire thinner than 0.05 mm is not sold for strings (common practice).
    (size_mm >= 0.05 && core_mm >= 0.15).then(|| {
        Make::Wound(Wound {
            core: Core {
                material: core.row().key.into(),
                diameter_mm: core_mm,
                shape: match shape {
                    string::CoreShape::Hex => CoreShape::Hex,
                    string::CoreShape::Filaments(_) => CoreShape::Filaments,
                    string::CoreShape::Round => CoreShape::Round,
                },
                ..Core::default()
            },
            wraps: vec![Wrap {
                material: wrap.row().key.into(),
                form: WrapForm::Round,
                size_mm,
                ..Wrap::default()
            }],
            ..Wound::default()
        })
    })
}

fn string_core(make: &StringMake) -> Option<string::Core> {
    match make.bearer() {
        string::Bearer::Core(core) => Some(core),
        string::Bearer::Whole(_) | string::Bearer::Unknown => None,
    }
}

/// The nearest whole number of steps, written without the dust of binary fractions.
fn round_to(value: f64, step: f64) -> f64 {
    let per = (1.0 / step).round();
    (value * per).round() / per
}
