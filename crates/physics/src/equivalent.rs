//! Strings that weigh the same: the plain gauge of a wound string, and the wrap that makes a core weigh as wanted.

use crate::material::Material;
use crate::quantity::{InBenchUnits, Length, LinearMassDensity, mm};
use crate::range::{OutOfRange, within};
use crate::string::{Core, CoreShape, StringMake, Wrap, WrapForm};
use std::f64::consts::PI;

/// The diameter of a solid string of a material with this mass per length: `d = sqrt(4 mu/(pi rho))`.
#[must_use]
pub fn plain_gauge(mass: LinearMassDensity, material: Material) -> Length {
    let rho = material.row().density().bench();
    mm((4.0 * mass.bench() * 1e3 / (PI * rho)).sqrt())
}

/// The solid string of `to` that weighs as much as a solid one of `from`: `d2 = d1 sqrt(rho1/rho2)`.
#[must_use]
pub fn gauge_in(material: Material, gauge: Length, to: Material) -> Length {
    gauge * (material.row().density().bench() / to.row().density().bench()).sqrt()
}

/// The size of a single round wrap that makes a core weigh as much as wanted: the positive root of
/// `(pi^2/4) rho w (D + w) = mu - mu_core`.
///
/// # Errors
/// [`OutOfRange`] when the core alone weighs as much or more, or the wire would be thinner than 0.01 or thicker than 2 mm.
pub fn round_wrap_for(
    core: &Core,
    wrap: Material,
    mass: LinearMassDensity,
) -> Result<Wrap, OutOfRange> {
    let core_grams = core.area_mm2() * core.material().row().density().bench() * 1e-3;
    let left = within(
        "the mass left for the wrap",
        mass.bench() - core_grams,
        "g/m",
        1e-6,
        200.0,
    )?;
    let under = core.wrapped_diameter_mm();
    let product = left * 1e3 * 4.0 / (PI * PI * wrap.row().density().bench());
    let size = ((under * under + 4.0 * product).sqrt() - under) / 2.0;
    Wrap::new(wrap, mm(size), WrapForm::Round)
}

/// A wound string of a wanted mass whose core is this share of the outside diameter (round core, one round wrap).
///
/// At a fixed share everything scales with the outside diameter D, so `mu = D^2 (pi/4 rho_c s^2 + pi^2/4 rho_w t (s + t))`
/// with `t = (1 - s)/2`.
///
/// # Errors
/// [`OutOfRange`] for a share outside 0.2 to 0.9 or a string that cannot be made.
pub fn wound_for(
    mass: LinearMassDensity,
    core: Material,
    shape: CoreShape,
    wrap: Material,
    core_share: f64,
) -> Result<StringMake, OutOfRange> {
    let share = within("a core's share of the diameter", core_share, "", 0.2, 0.9)?;
    within("a mass per length", mass.bench(), "g/m", 0.001, 200.0)?;
    // A string of 1 mm tells the mass at that share; the wanted one is that times a square.
    let of_outside = |outside: f64| -> Result<StringMake, OutOfRange> {
        let core = Core::new(core, mm(share * outside), shape)?;
        let size = (outside - core.wrapped_diameter_mm()) / 2.0;
        StringMake::wound(core, &[Wrap::new(wrap, mm(size), WrapForm::Round)?])
    };
    let unit = of_outside(1.0)?.g_per_m().value;
    of_outside((mass.bench() / unit).sqrt())
}

/// A wound string of a wanted mass and outside diameter: one core and one round wrap of these materials. At a fixed outside
/// diameter a thicker core leaves less wrap, so the mass `pi/4 rho_c d^2 + pi^2/4 rho_w w (d + w)`, `w = (D - d)/2`, falls as
/// the core's share rises; the share is found by halving.
///
/// # Errors
/// [`OutOfRange`] when no core from 0.2 to 0.9 of the diameter gives that mass, or the string cannot be made.
pub fn wound_to(
    mass: LinearMassDensity,
    outside: Length,
    core: Material,
    shape: CoreShape,
    wrap: Material,
) -> Result<StringMake, OutOfRange> {
    within("a string's diameter", outside.bench(), "mm", 0.05, 10.0)?;
    let of_share = |share: f64| -> Result<StringMake, OutOfRange> {
        let core = Core::new(core, outside * share, shape)?;
        let size = (outside.bench() - core.wrapped_diameter_mm()) / 2.0;
        StringMake::wound(core, &[Wrap::new(wrap, mm(size), WrapForm::Round)?])
    };
    let (mut thin, mut thick) = (0.2, 0.9);
    let (heaviest, lightest) = (of_share(thin)?, of_share(thick)?);
    within(
        "a mass per length",
        mass.bench(),
        "g/m",
        lightest.g_per_m().value,
        heaviest.g_per_m().value,
    )?;
    for _ in 0..60 {
        let middle = f64::midpoint(thin, thick);
        if of_share(middle)?.g_per_m().value > mass.bench() {
            thin = middle;
        } else {
            thick = middle;
        }
    }
    of_share(f64::midpoint(thin, thick))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::g_per_m;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_plain_gauge_weighs_as_much(mu in 0.05..10.0f64) {
            for material in [Material::Nylon, Material::Fluorocarbon, Material::Steel] {
                let make = StringMake::plain(material, plain_gauge(g_per_m(mu), material)).unwrap();
                prop_assert!((make.g_per_m().value / mu - 1.0).abs() < 1e-12);
            }
        }

        #[test]
        fn a_solved_wrap_weighs_as_much(d in 0.2..0.6f64, extra in 0.2..6.0f64) {
            let core = Core::new(Material::Nylon, mm(d), CoreShape::Filaments(None)).unwrap();
            let wanted = core.area_mm2() * 1.140 + extra;
            let wrap = round_wrap_for(&core, Material::SilverPlatedCopper, g_per_m(wanted)).unwrap();
            let make = StringMake::wound(core, &[wrap]).unwrap();
            prop_assert!((make.g_per_m().value / wanted - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_share_of_core_holds_and_weighs_as_much(mu in 0.8..8.0f64, share in 0.35..0.8f64) {
            let shape = CoreShape::Filaments(None);
            let make = wound_for(g_per_m(mu), Material::Nylon, shape, Material::Copper, share).unwrap();
            prop_assert!((make.g_per_m().value / mu - 1.0).abs() < 1e-9);
            let back = plain_gauge(make.mass_per_length(), Material::Nylon);
            let plain = StringMake::plain(Material::Nylon, back).unwrap();
            prop_assert!((plain.g_per_m().value / mu - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_wound_string_of_a_mass_and_a_diameter(d in 0.5..1.5f64, share in 0.3..0.8f64) {
            let shape = CoreShape::Filaments(None);
            let core = Core::new(Material::Nylon, mm(share * d), shape).unwrap();
            let wrap = Wrap::new(Material::Bronze, mm((1.0 - share) * d / 2.0), WrapForm::Round).unwrap();
            let wanted = StringMake::wound(core, &[wrap]).unwrap();
            let made = wound_to(wanted.mass_per_length(), mm(d), Material::Nylon, shape, Material::Bronze).unwrap();
            prop_assert!((made.g_per_m().value / wanted.g_per_m().value - 1.0).abs() < 1e-9);
            prop_assert!((made.diameter().bench() / d - 1.0).abs() < 1e-9);
            prop_assert!((made.wraps()[0].size().bench() - wrap.size().bench()).abs() < 1e-9);
        }

        #[test]
        fn gauges_go_there_and_back(d in 0.2..1.2f64) {
            let there = gauge_in(Material::Nylon, mm(d), Material::Fluorocarbon);
            let back = gauge_in(Material::Fluorocarbon, there, Material::Nylon);
            prop_assert!((back.bench() - d).abs() < 1e-12);
        }
    }

    #[test]
    fn a_core_that_is_heavy_enough_takes_no_wrap() {
        let core = Core::new(Material::Steel, mm(0.5), CoreShape::Round).unwrap();
        assert!(round_wrap_for(&core, Material::Copper, g_per_m(1.0)).is_err());
    }
}
