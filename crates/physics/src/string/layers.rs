//! What a wound string is made of: its core, which bears the tension, and the wraps on it.

use crate::material::Material;
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};
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
    pub(super) fn outside_mm(&self) -> f64 {
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
    pub(super) fn section_mm2(&self, under_mm: f64) -> Result<f64, OutOfRange> {
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
