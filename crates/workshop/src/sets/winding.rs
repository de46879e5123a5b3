//! A wound string to order: core and wraps from the wire that the shop has, or from stock sizes; and strings that weigh alike,
//! plain and wound.

pub use super::section::{Section, SectionLayer, section};

use super::section::shape_word;
use crate::choose::{Finding, Limits, Verdict};
use crate::problem::quoted;
use crate::records::{Core, Instrument, Make, Plain, RackString, Wound, Wrap, WrapForm};
use crate::report::{
    Fitted, OpenString, StringFigures, describe, seated_figures, string_figures, string_make,
};
use crate::units::Units;
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::equivalent::{wound_for, wound_to};
use strungwell_physics::material::{MATERIALS, Material};
use strungwell_physics::quantity::{InBenchUnits, g_per_m, mm};
use strungwell_physics::string::{self, Bearer, StringMake};

/// What a wound string shall be.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// The course that it is for, counted from 0; its note, scale and slot are taken from there.
    pub course: usize,
    /// Tension in N.
    pub tension_n: f64,
    /// Outside diameter in mm; none for any.
    pub diameter_mm: Option<f64>,
    /// Stretch; none for any.
    pub kappa: Option<f64>,
    /// The largest share of its least breaking load.
    pub breaking_most: f64,
    /// How many wraps, 1 or 2.
    pub wraps: usize,
    /// Use the wire that lies on the rack alone: plain strings as cores, plain wire of winding metals as wraps.
    pub rack_only: bool,
    /// The units of the sentences.
    pub units: Units,
}

/// A core with its wraps, and how near it comes.
#[derive(Clone, Debug, PartialEq)]
pub struct Winding {
    /// What to wind.
    pub make: Make,
    /// It in words.
    pub name: String,
    /// Its figures on the course.
    pub figures: StringFigures,
    /// Good or fair.
    pub verdict: Verdict,
    /// What speaks for and against it.
    pub findings: Vec<Finding>,
    /// How far it lies from what is wanted, in words with the numbers.
    pub said: String,
    /// Every wire of it lies on the rack.
    pub on_rack: bool,
    /// Its section, for a drawing to scale.
    pub section: Section,
}

/// A wire or thread to be used.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Wire {
    material: Material,
    size_mm: f64,
    shape: string::CoreShape,
    on_rack: bool,
}

/// Wrap wires of stock, in mm. Sizes are common practice.
const STOCK_WRAPS: [f64; 26] = [
    0.05, 0.06, 0.07, 0.08, 0.09, 0.10, 0.11, 0.12, 0.13, 0.14, 0.15, 0.16, 0.18, 0.20, 0.22, 0.24,
    0.26, 0.28, 0.30, 0.32, 0.35, 0.38, 0.41, 0.44, 0.47, 0.50,
];
/// Bundles of nylon filaments, outside diameter in mm, from memory.
const STOCK_BUNDLES: [f64; 12] = [
    0.25, 0.30, 0.35, 0.38, 0.42, 0.45, 0.48, 0.52, 0.56, 0.60, 0.66, 0.72,
];
/// Hexagonal core wire, across the flats in mm, from memory.
const STOCK_HEX: [f64; 10] = [0.23, 0.25, 0.28, 0.30, 0.33, 0.36, 0.38, 0.41, 0.43, 0.46];
/// The thickest wire that goes under another as a first of two wraps, in mm: thicker ones make a stiff string. Own mark.
const UNDER_MOST: f64 = 0.10;
/// The most cores, wrap wires and wires under another that are tried.
const MOST_CORES: usize = 200;
const MOST_WRAPS: usize = 300;
const MOST_UNDER: usize = 40;
/// The most proposals.
const MOST: usize = 8;
/// How far the tension may lie from the wanted one.
const WITHIN: f64 = 0.15;

/// Core and wraps that come nearest to what is wanted, the best first; at most eight, no two on one core of the same metal.
/// Every core is tried with every wrap wire (and every thin one under it where two are wanted), so none is missed.
///
/// # Errors
/// A sentence when the course is not there, its note cannot be read, or a wanted figure is not physical.
pub fn windings(
    instrument: &Instrument,
    rack: &[RackString],
    wanted: &Wanted,
) -> Result<Vec<Winding>, String> {
    let course = instrument
        .courses
        .get(wanted.course)
        .ok_or("there is no such course")?;
    let is_size = |n: f64, low: f64, high: f64| n.is_finite() && (low..=high).contains(&n);
    if !is_size(wanted.tension_n, 1.0, 2000.0)
        || wanted.diameter_mm.is_some_and(|d| !is_size(d, 0.05, 10.0))
        || wanted.kappa.is_some_and(|k| !is_size(k, 1.0, 5000.0))
    {
        return Err("a wanted tension from 1 to 2000 N, diameter from 0.05 to 10 mm and stretch from 1 to 5000 are accepted".into());
    }
    let open = OpenString::of(instrument, wanted.course, &course.note)?;
    let limits = Limits::of(instrument, rack, wanted.course);
    let cores = cores(rack, limits.soft, wanted.rack_only);
    let wraps = wraps(rack, wanted.rack_only);
    let mut found: Vec<(f64, Wire, Vec<Wire>)> = Vec::new();
    for core in &cores {
        for outer in &wraps {
            let mut tries = vec![vec![*outer]];
            if wanted.wraps >= 2 {
                let under = wraps
                    .iter()
                    .filter(|w| w.size_mm <= UNDER_MOST)
                    .take(MOST_UNDER);
                tries = under.map(|w| vec![*w, *outer]).collect();
            }
            for layers in tries {
                if let Some(cost) = misfit(core, &layers, wanted, &open) {
                    found.push((cost, *core, layers));
                }
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut windings: Vec<Winding> = Vec::new();
    let mut seen: Vec<(f64, Vec<Material>)> = Vec::new();
    for (_, core, layers) in found {
        let kind = (core.size_mm, layers.iter().map(|w| w.material).collect());
        if seen.contains(&kind) || windings.len() >= MOST {
            continue;
        }
        if let Some(winding) = judged(instrument, &open, &limits, wanted, &core, &layers) {
            seen.push(kind);
            windings.push(winding);
        }
    }
    Ok(windings)
}

fn cores(rack: &[RackString], soft: bool, rack_only: bool) -> Vec<Wire> {
    let mut cores: Vec<Wire> = plain_wires(rack)
        .filter(|w| w.material.row().is_plain_string && w.material.is_soft() == soft)
        .collect();
    if !rack_only {
        let (material, shape, sizes): (_, _, &[f64]) = if soft {
            (
                Material::Nylon,
                string::CoreShape::Filaments(None),
                &STOCK_BUNDLES,
            )
        } else {
            (Material::Steel, string::CoreShape::Hex, &STOCK_HEX)
        };
        cores.extend(sizes.iter().map(|size| Wire {
            material,
            size_mm: *size,
            shape,
            on_rack: false,
        }));
    }
    sifted(cores, MOST_CORES)
}

fn wraps(rack: &[RackString], rack_only: bool) -> Vec<Wire> {
    let mut wraps: Vec<Wire> = plain_wires(rack)
        .filter(|w| w.material.row().is_wrap && !w.material.row().is_plain_string)
        .collect();
    if !rack_only {
        for material in [
            Material::SilverPlatedCopper,
            Material::Bronze,
            Material::PhosphorBronze,
            Material::Nickel,
            Material::Aluminium,
        ] {
            wraps.extend(STOCK_WRAPS.iter().map(|size| Wire {
                material,
                size_mm: *size,
                shape: string::CoreShape::Round,
                on_rack: false,
            }));
        }
    }
    sifted(wraps, MOST_WRAPS)
}

/// Each wire once, those of the rack first, and no more than a shop has: a rack of a hundred thousand must not take minutes.
fn sifted(wires: Vec<Wire>, most: usize) -> Vec<Wire> {
    let mut kept: Vec<Wire> = Vec::new();
    for wire in wires {
        let same = |k: &Wire| {
            k.material == wire.material && k.size_mm == wire.size_mm && k.shape == wire.shape
        };
        if kept.len() >= most {
            break;
        }
        if !kept.iter().any(same) {
            kept.push(wire);
        }
    }
    kept
}

fn plain_wires(rack: &[RackString]) -> impl Iterator<Item = Wire> + '_ {
    rack.iter()
        .filter(|s| s.on_hand != Some(0))
        .filter_map(|s| match &s.make {
            Make::Plain(plain) => Some(Wire {
                material: Material::from_key(&plain.material)?,
                size_mm: plain.diameter_mm,
                shape: string::CoreShape::Round,
                on_rack: true,
            }),
            _ => None,
        })
}

fn wind(core: &Wire, layers: &[Wire]) -> Option<StringMake> {
    let core = string::Core::new(core.material, mm(core.size_mm), core.shape).ok()?;
    let wraps: Option<Vec<string::Wrap>> = layers
        .iter()
        .map(|w| string::Wrap::new(w.material, mm(w.size_mm), string::WrapForm::Round).ok())
        .collect();
    StringMake::wound(core, &wraps?).ok()
}

/// The sum of the squares of the logarithms of what it has over what is wanted; none when it is out of the question.
fn misfit(core: &Wire, layers: &[Wire], wanted: &Wanted, open: &OpenString) -> Option<f64> {
    let make = wind(core, layers)?;
    let at = AtPitch::new(&make, Default::default(), open.length, open.pitch).ok()?;
    let off = |has: f64, wants: f64| (has / wants).ln().powi(2);
    let tension = off(at.tension_n.value, wanted.tension_n);
    if tension > WITHIN.ln_1p().powi(2)
        || at
            .breaking
            .as_ref()
            .is_ok_and(|b| b.fraction > wanted.breaking_most)
    {
        return None;
    }
    let diameter = wanted
        .diameter_mm
        .map_or(0.0, |d| off(make.diameter().bench(), d));
    let kappa = match wanted.kappa {
        Some(k) => off(at.stretch?.kappa.value, k),
        None => 0.0,
    };
    Some(tension + diameter + kappa)
}

fn judged(
    instrument: &Instrument,
    open: &OpenString,
    limits: &Limits,
    wanted: &Wanted,
    core: &Wire,
    layers: &[Wire],
) -> Option<Winding> {
    let make = record(core, layers);
    let fitted = Fitted::of(&make).ok()?;
    let (verdict, _) = limits.weigh(
        &string_figures(&fitted, open),
        &fitted.make,
        wanted.tension_n,
        None,
    );
    if verdict == Verdict::RuledOut {
        return None;
    }
    let figures = seated_figures(&fitted, open, instrument, wanted.course);
    let (verdict, findings) =
        limits.judge(&figures, &fitted.make, wanted.tension_n, None, wanted.units);
    Some(Winding {
        name: describe(&make),
        said: how_near(&figures, wanted),
        section: section(&make).ok()?,
        on_rack: core.on_rack && layers.iter().all(|w| w.on_rack),
        figures,
        verdict,
        findings,
        make,
    })
}

fn how_near(figures: &StringFigures, wanted: &Wanted) -> String {
    let units = wanted.units;
    let mut said = format!(
        "{} against {} wanted",
        units.force(figures.tension_n),
        units.force(wanted.tension_n)
    );
    if let Some(d) = wanted.diameter_mm {
        said.push_str(&format!(
            "; {} against {}",
            units.length(figures.diameter_mm),
            units.length(d)
        ));
    }
    if let (Some(wants), Some(has)) = (wanted.kappa, figures.kappa) {
        said.push_str(&format!("; stretch {has:.0} against {wants:.0}"));
    }
    match figures.breaking_fraction {
        Some(share) => said.push_str(&format!(
            "; {:.0} % of its least breaking load",
            100.0 * share
        )),
        None => said.push_str("; no breaking figure is published for its core"),
    }
    said.push('.');
    said
}

fn record(core: &Wire, layers: &[Wire]) -> Make {
    Make::Wound(Wound {
        core: Core {
            material: core.material.row().key.into(),
            diameter_mm: core.size_mm,
            shape: shape_word(core.shape),
            ..Core::default()
        },
        wraps: layers
            .iter()
            .map(|w| Wrap {
                material: w.material.row().key.into(),
                form: WrapForm::Round,
                size_mm: w.size_mm,
                ..Wrap::default()
            })
            .collect(),
        ..Wound::default()
    })
}

/// A round-wrapped string that weighs as much as another: of a given outside diameter, or with a core of a given share of the
/// outside. The other way, from wound to plain, is [`crate::report::as_heavy_as`].
///
/// # Errors
/// A sentence when a material is not known, or no such string weighs so.
pub fn wound_as_heavy_as(
    make: &Make,
    core: &str,
    wrap: &str,
    size: WoundSize,
) -> Result<Make, String> {
    let material = |word: &str| {
        Material::from_key(word)
            .ok_or_else(|| format!("{} is not a material known here", quoted(word)))
    };
    let (core, wrap) = (material(core)?, material(wrap)?);
    let shape = if core.is_soft() {
        string::CoreShape::Filaments(None)
    } else {
        string::CoreShape::Hex
    };
    let mass = g_per_m(string_make(make)?.g_per_m().value);
    let wound = match size {
        WoundSize::Diameter(d) => wound_to(mass, mm(d), core, shape, wrap),
        WoundSize::CoreShare(share) => wound_for(mass, core, shape, wrap, share),
    }
    .map_err(|why| why.to_string())?;
    let Bearer::Core(inner) = wound.bearer() else {
        return Err("such a string has no core".into());
    };
    let layers: Vec<Wire> = wound
        .wraps()
        .iter()
        .map(|w| Wire {
            material: w.material(),
            size_mm: w.size().bench(),
            shape: string::CoreShape::Round,
            on_rack: false,
        })
        .collect();
    Ok(record(
        &Wire {
            material: inner.material(),
            size_mm: inner.diameter().bench(),
            shape: inner.shape(),
            on_rack: false,
        },
        &layers,
    ))
}

/// What sets the size of a wound string beside its mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WoundSize {
    /// The outside diameter in mm.
    Diameter(f64),
    /// The core's share of the outside diameter, 0.2 to 0.9.
    CoreShare(f64),
}

/// A plain string of a material that weighs as much as another; to three thousandths of a millimetre more than any bench
/// measures.
///
/// # Errors
/// A sentence when the material is not known or the string is not physical.
pub fn plain_as_heavy_as(make: &Make, material: &str) -> Result<Make, String> {
    let row = MATERIALS
        .iter()
        .find(|row| row.key == material)
        .ok_or_else(|| format!("{} is not a material known here", quoted(material)))?;
    let mass = string_make(make)?.mass_per_length();
    let gauge = strungwell_physics::equivalent::plain_gauge(mass, row.material).bench();
    Ok(Make::Plain(Plain {
        material: row.key.into(),
        diameter_mm: gauge,
        ..Plain::default()
    }))
}
