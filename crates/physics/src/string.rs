//! A string as the shop knows it: plain, wound, weighed, rated or by its mass per length. From it comes the mass.

use crate::material::Material;
use crate::quantity::{Force, Frequency, InBenchUnits, Length, LinearMassDensity, g_per_m, mm};
use crate::range::{OutOfRange, within};
use crate::strung::Banded;
use crate::tension::mass_for_tension;
use crate::weighing::Weighing;
use std::f64::consts::PI;

/// What bears the tension of a wound string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CoreShape {
    /// One round wire or monofilament.
    Round,
    /// One hexagonal wire; its diameter is taken across the flats.
    Hex,
    /// A bundle of filaments; its diameter is the bundle's outside under the wrap. The number is how many, where known.
    Filaments(Option<u32>),
}

/// The core of a wound string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    material: Material,
    diameter_mm: f64,
    shape: CoreShape,
}

impl Core {
    /// A core of a material, an outside diameter (across the flats when hexagonal) and a shape.
    ///
    /// # Errors
    /// [`OutOfRange`] when the diameter is outside 0.05 to 5 mm.
    pub fn new(material: Material, diameter: Length, shape: CoreShape) -> Result<Self, OutOfRange> {
        let diameter_mm = within("a core diameter", diameter.bench(), "mm", 0.05, 5.0)?;
        Ok(Self {
            material,
            diameter_mm,
            shape,
        })
    }

    /// What it is made of.
    #[must_use]
    pub const fn material(&self) -> Material {
        self.material
    }

    /// Its shape.
    #[must_use]
    pub const fn shape(&self) -> CoreShape {
        self.shape
    }

    /// Its outside diameter (across the flats when hexagonal).
    #[must_use]
    pub fn diameter(&self) -> Length {
        mm(self.diameter_mm)
    }

    /// The solid area that bears the tension, in mm2: round `pi/4 d^2`; hexagonal `(sqrt 3/2) a^2`; filaments
    /// `packing pi/4 d^2`.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        let square = self.diameter_mm * self.diameter_mm;
        match self.shape {
            CoreShape::Round => PI / 4.0 * square,
            CoreShape::Hex => 3.0_f64.sqrt() / 2.0 * square,
            CoreShape::Filaments(n) => packing(n) * PI / 4.0 * square,
        }
    }

    /// The diameter that the first wrap lies on. A wrap over a hexagon rides on its corners, `2/sqrt 3` of the width
    /// across the flats, and hangs lower between them; the mean of corner and flat is used.
    #[must_use]
    pub fn wrapped_diameter_mm(&self) -> f64 {
        match self.shape {
            CoreShape::Hex => self.diameter_mm * 0.5 * (1.0 + 2.0 / 3.0_f64.sqrt()),
            CoreShape::Round | CoreShape::Filaments(_) => self.diameter_mm,
        }
    }

    /// The outside diameter that a caliper meets over the corners.
    fn outside_mm(&self) -> f64 {
        match self.shape {
            CoreShape::Hex => self.diameter_mm * 2.0 / 3.0_f64.sqrt(),
            CoreShape::Round | CoreShape::Filaments(_) => self.diameter_mm,
        }
    }
}

/// The share of a bundle's outline that is solid. Best known packings of up to seven equal circles in a circle, from
/// memory; more, or an unknown number, 0.80 (a pressed bundle lies near the packing of 19).
fn packing(filaments: Option<u32>) -> f64 {
    match filaments {
        Some(1) => 1.0,
        Some(2) => 0.5,
        Some(3) => 0.646,
        Some(4) => 0.686,
        Some(5) => 0.685,
        Some(6) => 0.667,
        Some(7) => 0.778,
        _ => 0.80,
    }
}

/// The form of a wrap's wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WrapForm {
    /// Round wire of this diameter.
    Round,
    /// Flat wire as thick as the wrap's size and this wide; where the width is unknown it is taken as three times the
    /// thickness.
    Ribbon {
        /// Width of the ribbon along the string.
        width: Option<Length>,
    },
    /// Round wire ground down afterwards to this outside diameter of the string.
    Ground {
        /// Outside diameter after grinding.
        outside: Length,
    },
}

/// One layer of wire wound touching turn to turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wrap {
    material: Material,
    size_mm: f64,
    form: WrapForm,
}

/// The radius of a ribbon's corners as a share of its thickness: rolled edges, from memory.
const RIBBON_CORNER: f64 = 0.25;

impl Wrap {
    /// A wrap of a material, the size of its wire (diameter, or a ribbon's thickness) and its form.
    ///
    /// # Errors
    /// [`OutOfRange`] when the size is outside 0.01 to 2 mm, or a ribbon's width outside 0.02 to 5 mm.
    pub fn new(material: Material, size: Length, form: WrapForm) -> Result<Self, OutOfRange> {
        let size_mm = within("a wrap's size", size.bench(), "mm", 0.01, 2.0)?;
        match form {
            WrapForm::Ribbon { width: Some(width) } => {
                within("a ribbon's width", width.bench(), "mm", 0.02, 5.0)?;
            }
            WrapForm::Ground { outside } => {
                within("a ground diameter", outside.bench(), "mm", 0.05, 10.0)?;
            }
            WrapForm::Ribbon { width: None } | WrapForm::Round => {}
        }
        Ok(Self {
            material,
            size_mm,
            form,
        })
    }

    /// What it is made of.
    #[must_use]
    pub const fn material(&self) -> Material {
        self.material
    }

    /// The size of its wire: the diameter, or a ribbon's thickness.
    #[must_use]
    pub fn size(&self) -> Length {
        mm(self.size_mm)
    }

    /// Its form.
    #[must_use]
    pub const fn form(&self) -> WrapForm {
        self.form
    }

    /// The outside diameter after this wrap, laid on an outside diameter of `under_mm`.
    pub(crate) fn outside_mm(&self, under_mm: f64) -> f64 {
        match self.form {
            WrapForm::Round | WrapForm::Ribbon { .. } => under_mm + 2.0 * self.size_mm,
            WrapForm::Ground { outside } => outside.bench(),
        }
    }

    /// Its metal's cross-section averaged along the string, in mm2, laid touching on an outside diameter of `under_mm`.
    ///
    /// Round: `(pi^2/4) w (D + w)`, the annulus filled to pi/4 (a helix of pitch w). Ribbon: the annulus less the
    /// corners, `pi t (D + t) (1 - (4 - pi) r^2/(t b))`. Ground: round less the segment outside the ground diameter, by
    /// Pappus' theorem `2 pi (R S + (2/3)(a^2 - h^2)^(3/2))/w` with S the segment's area and h the height of the cut over
    /// the wire's centre.
    ///
    /// # Errors
    /// [`OutOfRange`] when a ground diameter cuts below the wire's centre or lies outside the wrap.
    fn section_mm2(&self, under_mm: f64) -> Result<f64, OutOfRange> {
        let w = self.size_mm;
        let round = PI * PI / 4.0 * w * (under_mm + w);
        match self.form {
            WrapForm::Round => Ok(round),
            WrapForm::Ribbon { width } => {
                let b = width.map_or(3.0 * w, |b| b.bench());
                let corner = RIBBON_CORNER * w.min(b);
                Ok(PI * w * (under_mm + w) * (1.0 - (4.0 - PI) * corner * corner / (w * b)))
            }
            WrapForm::Ground { outside } => {
                let centre = (under_mm + w) / 2.0;
                let ground = within(
                    "a ground diameter",
                    outside.bench(),
                    "mm",
                    2.0 * centre,
                    under_mm + 2.0 * w,
                )?;
                let a = w / 2.0;
                let h = (ground / 2.0 - centre).clamp(0.0, a);
                // By the angle, since the difference of the usual form loses its digits near the outside.
                let angle = (h / a).acos();
                let (sin, cos) = angle.sin_cos();
                let segment = a * a * (angle - sin * cos);
                Ok(round - 2.0 * PI * (centre * segment + 2.0 / 3.0 * (a * sin).powi(3)) / w)
            }
        }
    }
}

/// How the shop knows a string's mass.
#[derive(Clone, Debug, PartialEq)]
enum Known {
    Plain(Material),
    Wound { core: Core, wraps: Vec<Wrap> },
    Massed { core: Option<Core>, how: MassKnown },
}

/// How a mass per length that does not follow from the make came to be known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MassKnown {
    /// A cut length was weighed.
    Weighed,
    /// From a tension stated at a note and a scale.
    Rated,
    /// A catalogue's mass per length.
    Listed,
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
        Some(core) => {
            within("a core diameter", core.diameter_mm, "mm", 0.05, diameter_mm).map(|_| ())
        }
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
        let mut grams = core.area_mm2() * core.material.row().density().bench();
        let mut lying_on = core.wrapped_diameter_mm();
        let mut outside = core.outside_mm();
        for wrap in wraps {
            grams += wrap.section_mm2(lying_on)? * wrap.material.row().density().bench();
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
        Self::massed(cut.g_per_m()?, diameter, core, MassKnown::Weighed)
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
        Self::massed(
            Banded::within(value, 0.02 * value),
            diameter,
            core,
            MassKnown::Rated,
        )
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
        Self::massed(
            Banded::within(value, 0.01 * value),
            diameter,
            core,
            MassKnown::Listed,
        )
    }

    fn massed(
        mass: Banded,
        diameter: Length,
        core: Option<Core>,
        how: MassKnown,
    ) -> Result<Self, OutOfRange> {
        let diameter_mm = check_diameter(diameter)?;
        check_core_fits(core.as_ref(), diameter_mm)?;
        Ok(Self {
            known: Known::Massed { core, how },
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

    /// How the mass is known, when it does not follow from the make.
    #[must_use]
    pub const fn mass_known(&self) -> Option<MassKnown> {
        match &self.known {
            Known::Massed { how, .. } => Some(*how),
            Known::Plain(_) | Known::Wound { .. } => None,
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
