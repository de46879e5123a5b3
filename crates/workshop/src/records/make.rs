//! What a string is, said in the way that the shop knows it.

use super::Extra;
use super::json::{Fields, Json, Writer, record_json, word_json};
use serde_json::Value;

/// What a string is, in one of the ways that a shop can know it.
#[derive(Clone, Debug, PartialEq)]
pub enum Make {
    /// One thread or wire of a known material and diameter.
    Plain(Plain),
    /// A core with wraps around it, all of known size.
    Wound(Wound),
    /// A cut length was weighed.
    Weighed(Weighed),
    /// The maker states the tension at a note and a scale.
    Rated(Rated),
    /// The maker states the mass per length.
    Density(Density),
}

/// One thread or wire.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plain {
    /// The material's word, such as `nylon` (see [`strungwell_physics::material::MATERIALS`]).
    pub material: String,
    /// Diameter in mm.
    pub diameter_mm: f64,
    /// Unknown fields.
    pub extra: Extra,
}

/// A core with wraps around it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wound {
    /// The core, which carries the load.
    pub core: Core,
    /// The wraps, innermost first.
    pub wraps: Vec<Wrap>,
    /// Unknown fields.
    pub extra: Extra,
}

/// The part of a wound string that carries the load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Core {
    /// The material's word.
    pub material: String,
    /// Size in mm: the diameter of a round core, the width across the flats of a hexagonal one, the outside
    /// diameter of a bundle of filaments under its wrap.
    pub diameter_mm: f64,
    /// The core's cross-section.
    pub shape: CoreShape,
    /// How many filaments a bundle has; none for a core of one piece.
    pub filaments: Option<u32>,
    /// Unknown fields.
    pub extra: Extra,
}

/// A core's cross-section.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CoreShape {
    /// One round thread or wire.
    #[default]
    Round,
    /// A hexagonal wire.
    Hex,
    /// A bundle of fine filaments.
    Filaments,
}

/// One layer wound around a core.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wrap {
    /// The material's word.
    pub material: String,
    /// The wire's cross-section.
    pub form: WrapForm,
    /// Thickness in mm before any grinding: the diameter of a round wire, the thickness of a ribbon.
    pub size_mm: f64,
    /// Width of a ribbon in mm; none when unknown or round.
    pub width_mm: Option<f64>,
    /// Diameter of the string in mm over this wrap once ground; needed for the form [`WrapForm::Ground`], none otherwise.
    pub ground_mm: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

/// The cross-section of a wrap's wire.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WrapForm {
    /// Round wire.
    #[default]
    Round,
    /// Flat ribbon.
    Ribbon,
    /// Round wire ground smooth after winding.
    Ground,
}

/// A string known by the mass of a cut length.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weighed {
    /// Mass of the cut length in g.
    pub mass_g: f64,
    /// What the scale leaves in doubt each way, in g; none takes a pocket scale's 0.01 g.
    pub mass_give_g: Option<f64>,
    /// The cut length in mm.
    pub length_mm: f64,
    /// What the ruler leaves in doubt each way, in mm; none takes a millimetre.
    pub length_give_mm: Option<f64>,
    /// Outer diameter in mm.
    pub diameter_mm: f64,
    /// The core, when it is known.
    pub core: Option<Core>,
    /// What it is made of, when that is known as well: a plain or a wound string, whose mass the weighing replaces. It goes
    /// before `core`.
    pub of: Option<Box<Make>>,
    /// Unknown fields.
    pub extra: Extra,
}

/// A string known by its stated tension at a note and a scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rated {
    /// The stated tension in N.
    pub tension_n: f64,
    /// The note at which it is stated, at A4 = 440 Hz.
    pub note: String,
    /// The scale length in mm at which it is stated.
    pub scale_mm: f64,
    /// Outer diameter in mm.
    pub diameter_mm: f64,
    /// The core, when it is known.
    pub core: Option<Core>,
    /// Unknown fields.
    pub extra: Extra,
}

/// A string known by its stated mass per length.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Density {
    /// Mass per length in g/m (the same number as mg/mm).
    pub g_per_m: f64,
    /// Outer diameter in mm.
    pub diameter_mm: f64,
    /// The core, when it is known.
    pub core: Option<Core>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Plain {
    material,
    diameter_mm
});
record_json!(Wound { core, wraps });
record_json!(Core {
    material,
    diameter_mm,
    shape,
    filaments
});
record_json!(Wrap {
    material,
    form,
    size_mm,
    width_mm,
    ground_mm
});
record_json!(Weighed {
    mass_g,
    mass_give_g,
    length_mm,
    length_give_mm,
    diameter_mm,
    core,
    of
});
record_json!(Rated {
    tension_n,
    note,
    scale_mm,
    diameter_mm,
    core
});
record_json!(Density {
    g_per_m,
    diameter_mm,
    core
});
word_json!(CoreShape { Round = "round", Hex = "hex", Filaments = "filaments" });
word_json!(WrapForm { Round = "round", Ribbon = "ribbon", Ground = "ground" });

impl Default for Make {
    /// A plain string of nothing yet.
    fn default() -> Self {
        Self::Plain(Plain::default())
    }
}

impl Json for Make {
    fn from_json(value: Value) -> Option<Self> {
        let (word, inner) = Fields::of(value)?.rest().into_iter().next()?;
        match word.as_str() {
            "plain" => Json::from_json(inner).map(Self::Plain),
            "wound" => Json::from_json(inner).map(Self::Wound),
            "weighed" => Json::from_json(inner).map(Self::Weighed),
            "rated" => Json::from_json(inner).map(Self::Rated),
            "density" => Json::from_json(inner).map(Self::Density),
            _ => None,
        }
    }

    fn write(&self, out: &mut Writer) {
        out.open('{');
        match self {
            Self::Plain(plain) => out.known("plain", plain),
            Self::Wound(wound) => out.known("wound", wound),
            Self::Weighed(weighed) => out.known("weighed", weighed),
            Self::Rated(rated) => out.known("rated", rated),
            Self::Density(density) => out.known("density", density),
        }
        out.close('}');
    }
}
