//! A string as the shop knows it: plain, wound, weighed, rated or by its mass per length. From it comes the mass.

mod layers;

pub use layers::{Core, CoreShape, Wrap, WrapForm};

use crate::material::Material;
use crate::quantity::{Force, Frequency, InBenchUnits, Length, LinearMassDensity, g_per_m, mm};
use crate::range::{OutOfRange, within};
use crate::strung::Banded;
use crate::tension::mass_for_tension;
use crate::weighing::Weighing;
use std::f64::consts::PI;

/// How the shop knows a string's mass.
#[derive(Clone, Debug, PartialEq)]
enum Known {
    Plain(Material),
    Wound { core: Core, wraps: Vec<Wrap> },
    Massed { core: Option<Core> },
}

/// A string as the shop knows it, checked: its mass per length, its outside and what bears its tension.
#[derive(Clone, Debug, PartialEq)]
pub struct StringMake {
    known: Known,
    mass: Banded,
    diameter_mm: f64,
}

/// What bears a string's tension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bearer {
    /// The whole round section, of this material.
    Whole(Material),
    /// The core alone; wraps carry no load.
    Core(Core),
    /// Nobody said what the string is made of inside.
    Unknown,
}

const MASS_LOW: f64 = 0.001;
const MASS_HIGH: f64 = 200.0;

fn check_diameter(diameter: Length) -> Result<f64, OutOfRange> {
    within("a string's diameter", diameter.bench(), "mm", 0.05, 10.0)
}

pub(crate) fn check_mass(g_per_m: f64) -> Result<f64, OutOfRange> {
    within("a mass per length", g_per_m, "g/m", MASS_LOW, MASS_HIGH)
}

fn check_core_fits(core: Option<&Core>, diameter_mm: f64) -> Result<(), OutOfRange> {
    match core {
        Some(core) => within(
            "a core diameter",
            core.diameter().bench(),
            "mm",
            0.05,
            diameter_mm,
        )
        .map(|_| ()),
        None => Ok(()),
    }
}

impl StringMake {
    /// A plain string of a material and a diameter: `mu = rho pi d^2/4`.
    ///
    /// The band of the mass is the material's: a polymer sold by its unstretched diameter is lighter at pitch.
    ///
    /// # Errors
    /// [`OutOfRange`] when the diameter is outside 0.05 to 10 mm.
    pub fn plain(material: Material, diameter: Length) -> Result<Self, OutOfRange> {
        let diameter_mm = check_diameter(diameter)?;
        let area = PI / 4.0 * diameter_mm * diameter_mm;
        let row = material.row();
        let (low, high) = row.density_band();
        let mass = |density: f64| density * area * 1e-3;
        check_mass(mass(row.density().bench()))?;
        Ok(Self {
            known: Known::Plain(material),
            mass: Banded {
                value: mass(row.density().bench()),
                low: mass(low.bench()),
                high: mass(high.bench()),
            },
            diameter_mm,
        })
    }

    /// A wound string: a core and one or more wraps from the inside out, each touching turn to turn.
    ///
    /// The mass has a band of five parts in a hundred each way: lay of the turns, corners and drawn-down core, from memory.
    ///
    /// # Errors
    /// [`OutOfRange`] when there are no wraps or more than six, a ground diameter does not fit its wrap, or the whole is
    /// not a string.
    pub fn wound(core: Core, wraps: &[Wrap]) -> Result<Self, OutOfRange> {
        #[allow(clippy::cast_precision_loss)]
        within("a number of wraps", wraps.len() as f64, "layers", 1.0, 6.0)?;
        let mut grams = core.area_mm2() * core.material().row().density().bench();
        let mut lying_on = core.wrapped_diameter_mm();
        let mut outside = core.outside_mm();
        for wrap in wraps {
            grams += wrap.section_mm2(lying_on)? * wrap.material().row().density().bench();
            outside = wrap.outside_mm(outside);
            lying_on = wrap.outside_mm(lying_on);
        }
        let value = check_mass(grams * 1e-3)?;
        Ok(Self {
            known: Known::Wound {
                core,
                wraps: wraps.to_vec(),
            },
            mass: Banded::within(value, 0.05 * value),
            diameter_mm: check_diameter(mm(outside))?,
        })
    }

    /// A string of which a cut length was weighed: `mu = m/l`. `give_grams` is the scale's doubt each way.
    ///
    /// # Errors
    /// [`OutOfRange`] for a mass outside 0.001 to 1000 g, a length outside 10 to 10000 mm, or a result that is no string.
    pub fn weighed(
        grams: f64,
        give_grams: f64,
        length: Length,
        diameter: Length,
        core: Option<Core>,
    ) -> Result<Self, OutOfRange> {
        let cut = Weighing {
            grams,
            give_grams,
            length,
            give_length: Weighing::RULER,
        };
        Self::massed(cut.g_per_m()?, diameter, core)
    }

    /// This string with the mass per length of a cut length that was weighed; what it is made of stays as it was said.
    ///
    /// # Errors
    /// As [`Weighing::g_per_m`].
    pub fn with_weighing(self, cut: &Weighing) -> Result<Self, OutOfRange> {
        Ok(Self {
            mass: cut.g_per_m()?,
            ..self
        })
    }

    /// A string rated to a tension at a note and a scale: `mu = T/(2 L f)^2`, with two parts in a hundred of doubt each way
    /// (a rating's last digit, from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] for a tension outside 1 to 2000 N, a scale outside 50 to 2000 mm, or a result that is no string.
    pub fn rated(
        tension: Force,
        pitch: Frequency,
        scale: Length,
        diameter: Length,
        core: Option<Core>,
    ) -> Result<Self, OutOfRange> {
        within("a rated tension", tension.bench(), "N", 1.0, 2000.0)?;
        within("a rated scale", scale.bench(), "mm", 50.0, 2000.0)?;
        within("a rated pitch", pitch.bench(), "Hz", 10.0, 10_000.0)?;
        let value = check_mass(mass_for_tension(tension, scale, pitch).bench())?;
        Self::massed(Banded::within(value, 0.02 * value), diameter, core)
    }

    /// A string with a listed mass per length, taken as exact to one part in a hundred (its last digit, from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] for a mass outside 0.001 to 200 g/m.
    pub fn listed(
        mass: LinearMassDensity,
        diameter: Length,
        core: Option<Core>,
    ) -> Result<Self, OutOfRange> {
        let value = check_mass(mass.bench())?;
        Self::massed(Banded::within(value, 0.01 * value), diameter, core)
    }

    fn massed(mass: Banded, diameter: Length, core: Option<Core>) -> Result<Self, OutOfRange> {
        let diameter_mm = check_diameter(diameter)?;
        check_core_fits(core.as_ref(), diameter_mm)?;
        Ok(Self {
            known: Known::Massed { core },
            mass,
            diameter_mm,
        })
    }

    /// Mass per length at pitch.
    #[must_use]
    pub fn mass_per_length(&self) -> LinearMassDensity {
        g_per_m(self.mass.value)
    }

    /// The same in g/m, with its band.
    #[must_use]
    pub const fn g_per_m(&self) -> Banded {
        self.mass
    }

    /// Outside diameter.
    #[must_use]
    pub fn diameter(&self) -> Length {
        mm(self.diameter_mm)
    }

    /// Area of the whole outline, `pi/4 d^2`, in mm2.
    #[must_use]
    pub fn outline_mm2(&self) -> f64 {
        PI / 4.0 * self.diameter_mm * self.diameter_mm
    }

    /// What bears the tension.
    #[must_use]
    pub const fn bearer(&self) -> Bearer {
        match &self.known {
            Known::Plain(material) => Bearer::Whole(*material),
            Known::Wound { core, .. }
            | Known::Massed {
                core: Some(core), ..
            } => Bearer::Core(*core),
            Known::Massed { core: None, .. } => Bearer::Unknown,
        }
    }

    /// The area that bears the tension, in mm2: the core where there is one, else the whole outline.
    #[must_use]
    pub fn bearing_mm2(&self) -> f64 {
        match self.bearer() {
            Bearer::Core(core) => core.area_mm2(),
            Bearer::Whole(_) | Bearer::Unknown => self.outline_mm2(),
        }
    }

    /// The wraps from the inside out; none for a string that is not described so.
    #[must_use]
    pub fn wraps(&self) -> &[Wrap] {
        match &self.known {
            Known::Wound { wraps, .. } => wraps,
            Known::Plain(_) | Known::Massed { .. } => &[],
        }
    }

    /// The mean density over the outline, `mu/(pi r^2)`, in kg/m3.
    #[must_use]
    pub fn effective_density(&self) -> crate::quantity::MassDensity {
        crate::quantity::kg_per_m3(self.mass.value / self.outline_mm2() * 1e3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{hz, newtons};

    fn core(d: f64) -> Core {
        Core::new(Material::Steel, mm(d), CoreShape::Round).unwrap()
    }

    fn wrap(form: WrapForm) -> Wrap {
        Wrap::new(Material::Bronze, mm(0.2), form).unwrap()
    }

    #[test]
    fn grinding_to_the_full_outside_removes_nothing() {
        let round = StringMake::wound(core(0.4), &[wrap(WrapForm::Round)]).unwrap();
        let ground =
            StringMake::wound(core(0.4), &[wrap(WrapForm::Ground { outside: mm(0.8) })]).unwrap();
        assert!((round.g_per_m().value - ground.g_per_m().value).abs() < 1e-9);
    }

    #[test]
    fn grinding_to_the_wire_centre_removes_its_outer_half() {
        // Half a circle of radius a about a centre at R: the outer half turns about R + 4a/(3 pi) (Pappus).
        let ground =
            StringMake::wound(core(0.4), &[wrap(WrapForm::Ground { outside: mm(0.6) })]).unwrap();
        let (a, centre) = (0.1, 0.3);
        let outer = 2.0 * PI * (centre + 4.0 * a / (3.0 * PI)) * (PI * a * a / 2.0) / 0.2;
        let whole = PI * PI / 4.0 * 0.2 * 0.6;
        let expected = (PI / 4.0 * 0.16 * 7850.0 + (whole - outer) * 8800.0) * 1e-3;
        assert!((ground.g_per_m().value - expected).abs() < 1e-12);
    }

    #[test]
    fn grinding_past_the_wire_centre_is_refused() {
        let error = StringMake::wound(core(0.4), &[wrap(WrapForm::Ground { outside: mm(0.55) })]);
        assert!(error.unwrap_err().to_string().contains("ground diameter"));
    }

    #[test]
    fn a_second_wrap_lies_on_the_first() {
        let one = StringMake::wound(core(0.4), &[wrap(WrapForm::Round)]).unwrap();
        let two =
            StringMake::wound(core(0.4), &[wrap(WrapForm::Round), wrap(WrapForm::Round)]).unwrap();
        assert!((two.diameter().bench() - 1.2).abs() < 1e-12);
        let added = two.g_per_m().value - one.g_per_m().value;
        assert!((added - PI * PI / 4.0 * 0.2 * 1.0 * 8.8).abs() < 1e-12);
    }

    #[test]
    fn a_ribbon_fills_more_than_round_wire_of_its_thickness() {
        let round = StringMake::wound(core(0.4), &[wrap(WrapForm::Round)]).unwrap();
        let ribbon = StringMake::wound(
            core(0.4),
            &[wrap(WrapForm::Ribbon {
                width: Some(mm(0.6)),
            })],
        )
        .unwrap();
        assert!(ribbon.g_per_m().value > 1.15 * round.g_per_m().value);
    }

    #[test]
    fn a_core_wider_than_its_string_is_refused() {
        let too_wide = StringMake::listed(g_per_m(2.0), mm(0.5), Some(core(0.6)));
        assert!(too_wide.is_err());
    }

    #[test]
    fn a_rated_string_weighs_what_its_rating_says() {
        let make = StringMake::rated(newtons(52.0), hz(196.0), mm(370.0), mm(0.8), None).unwrap();
        let expected = 52.0 / (2.0 * 0.370 * 196.0_f64).powi(2) * 1e3;
        assert!((make.g_per_m().value - expected).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0, 1e300] {
            assert!(StringMake::plain(Material::Nylon, mm(bad)).is_err());
            assert!(StringMake::listed(g_per_m(bad), mm(0.5), None).is_err());
            assert!(StringMake::weighed(bad, 0.01, mm(500.0), mm(0.5), None).is_err());
            assert!(StringMake::rated(newtons(bad), hz(100.0), mm(500.0), mm(0.5), None).is_err());
        }
    }
}
