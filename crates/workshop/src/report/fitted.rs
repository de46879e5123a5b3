//! From a record of a string to the physics of it.

use crate::problem::quoted;
use crate::records::{self, FittedString, Make, RackString};
use strungwell_physics::at_pitch::Measured;
use strungwell_physics::material::Material;
use strungwell_physics::pitch::{Note, PitchStandard};
use strungwell_physics::quantity::{Cents, g_per_m, mm, newtons};
use strungwell_physics::string::{Core, CoreShape, StringMake, Wrap, WrapForm};
use strungwell_physics::weighing::Weighing;

/// A string ready to be brought to pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The string in words.
    pub name: String,
    /// The id of the rack string, when it is one.
    pub rack: Option<String>,
    /// What it is, as recorded.
    pub record: Make,
    /// What it is, checked.
    pub make: StringMake,
    /// What was measured on it.
    pub measured: Measured,
}

impl Fitted {
    /// A string described in place.
    ///
    /// # Errors
    /// A sentence naming the field that is not physical.
    pub fn of(make: &Make) -> Result<Self, String> {
        Ok(Self {
            name: super::describe(make),
            rack: None,
            record: make.clone(),
            make: string_make(make)?,
            measured: Measured::default(),
        })
    }

    /// A string from the rack.
    ///
    /// # Errors
    /// A sentence naming the string and the field that is not physical.
    pub fn from_rack(string: &RackString) -> Result<Self, String> {
        let words = super::describe(&string.make);
        Ok(Self {
            name: if string.name.trim().is_empty() {
                words
            } else {
                string.name.clone()
            },
            rack: Some(string.id.clone()),
            record: string.make.clone(),
            make: string_make(&string.make)
                .map_err(|why| format!("rack string {}: {why}", quoted(&string.name)))?,
            measured: Measured {
                kappa: string.kappa,
                kappa_give: string.kappa_give,
                bend_modulus_gpa: string.bend_modulus_gpa,
            },
        })
    }
}

/// Finds what a course's string is. What is measured on the instrument goes before what is noted on the rack.
///
/// # Errors
/// A sentence when the rack has no such string, nothing is described, or what is described is not physical.
pub fn fitted(string: &FittedString, rack: &[RackString]) -> Result<Fitted, String> {
    let mut fitted = match (&string.rack, &string.make) {
        (Some(id), _) => {
            let found = rack.iter().find(|r| r.id == *id);
            Fitted::from_rack(
                found.ok_or_else(|| format!("the rack has no string {}", quoted(id)))?,
            )?
        }
        (None, Some(make)) => Fitted::of(make)?,
        (None, None) => return Err("no string is chosen".into()),
    };
    if let Some(kappa) = string.kappa {
        fitted.measured.kappa = Some(kappa);
        fitted.measured.kappa_give = string.kappa_give;
    }
    fitted.measured.bend_modulus_gpa = string.bend_modulus_gpa.or(fitted.measured.bend_modulus_gpa);
    Ok(fitted)
}

/// The checked make of a recorded one.
///
/// # Errors
/// A sentence naming the quantity, the value read and what is accepted.
pub fn string_make(make: &Make) -> Result<StringMake, String> {
    let made = match make {
        Make::Plain(plain) => StringMake::plain(material(&plain.material)?, mm(plain.diameter_mm)),
        Make::Wound(wound) => {
            let wraps = wound
                .wraps
                .iter()
                .map(wrap)
                .collect::<Result<Vec<_>, _>>()?;
            StringMake::wound(core(&wound.core)?, &wraps)
        }
        Make::Weighed(weighed) => {
            let cut = Weighing {
                grams: weighed.mass_g,
                give_grams: weighed.mass_give_g.unwrap_or(SCALE_STEP_G),
                length: mm(weighed.length_mm),
                give_length: weighed.length_give_mm.map_or(Weighing::RULER, mm),
            };
            // Only a plain or a wound string can stand there, so this goes no deeper.
            match weighed.of.as_deref() {
                Some(of @ (Make::Plain(_) | Make::Wound(_))) => {
                    string_make(of)?.with_weighing(&cut)
                }
                _ => StringMake::weighed(
                    cut.grams,
                    cut.give_grams,
                    cut.length,
                    mm(weighed.diameter_mm),
                    weighed.core.as_ref().map(core).transpose()?,
                )
                .and_then(|make| make.with_weighing(&cut)),
            }
        }
        Make::Rated(rated) => {
            let note = Note::parse(&rated.note).map_err(|e| e.to_string())?;
            StringMake::rated(
                newtons(rated.tension_n),
                // A rating is stated at the standard pitch, whatever this instrument is tuned to.
                PitchStandard::default().frequency(note, Cents(0.0)),
                mm(rated.scale_mm),
                mm(rated.diameter_mm),
                rated.core.as_ref().map(core).transpose()?,
            )
        }
        Make::Density(density) => StringMake::listed(
            g_per_m(density.g_per_m),
            mm(density.diameter_mm),
            density.core.as_ref().map(core).transpose()?,
        ),
    };
    made.map_err(|e| e.to_string())
}

/// A pocket scale's step in grams, as common practice has it, where none is noted.
pub(crate) const SCALE_STEP_G: f64 = 0.01;

fn material(word: &str) -> Result<Material, String> {
    Material::from_key(word).ok_or_else(|| format!("{} is not a material known here", quoted(word)))
}

fn core(core: &records::Core) -> Result<Core, String> {
    let shape = match core.shape {
        records::CoreShape::Round => CoreShape::Round,
        records::CoreShape::Hex => CoreShape::Hex,
        records::CoreShape::Filaments => CoreShape::Filaments(core.filaments),
    };
    Core::new(material(&core.material)?, mm(core.diameter_mm), shape).map_err(|e| e.to_string())
}

fn wrap(wrap: &records::Wrap) -> Result<Wrap, String> {
    let form = match wrap.form {
        records::WrapForm::Round => WrapForm::Round,
        records::WrapForm::Ribbon => WrapForm::Ribbon {
            width: wrap.width_mm.map(mm),
        },
        records::WrapForm::Ground => WrapForm::Ground {
            outside: mm(wrap
                .ground_mm
                .ok_or("a ground wrap needs its ground diameter")?),
        },
    };
    Wrap::new(material(&wrap.material)?, mm(wrap.size_mm), form).map_err(|e| e.to_string())
}
