//! The sizes of a string's section, for a drawing to scale.

use crate::records::{CoreShape, Make, WrapForm};
use crate::report::string_make;
use strungwell_physics::section;
use strungwell_physics::string;

/// A string cut along its middle, sizes in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Outside diameter.
    pub outside_mm: f64,
    /// The core: its material in words, its shape, its size (across the flats of a hexagon) and the diameter over its
    /// corners; none where the inside is not known.
    pub core: Option<(&'static str, CoreShape, f64, f64)>,
    /// The wraps from the inside out.
    pub layers: Vec<SectionLayer>,
}

/// One wrap of a section, sizes in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionLayer {
    /// The material in words.
    pub material: &'static str,
    /// Round, ribbon or ground.
    pub form: WrapForm,
    /// Diameter that it lies on.
    pub inside_mm: f64,
    /// Diameter over it.
    pub outside_mm: f64,
    /// The wire's diameter, or a ribbon's thickness.
    pub wire_mm: f64,
    /// From one turn to the next along the string.
    pub pitch_mm: f64,
}

/// The section of any string.
///
/// # Errors
/// A sentence naming the quantity that is not physical.
pub fn section(make: &Make) -> Result<Section, String> {
    let cut = section::Section::of(&string_make(make)?);
    Ok(Section {
        outside_mm: cut.outside_mm,
        core: cut.core.map(|core| {
            (
                core.material.row().label,
                shape_word(core.shape),
                core.across_mm,
                core.corners_mm,
            )
        }),
        layers: cut
            .layers
            .iter()
            .map(|layer| SectionLayer {
                material: layer.material.row().label,
                form: match layer.form {
                    string::WrapForm::Round => WrapForm::Round,
                    string::WrapForm::Ribbon { .. } => WrapForm::Ribbon,
                    string::WrapForm::Ground { .. } => WrapForm::Ground,
                },
                inside_mm: layer.inside_mm,
                outside_mm: layer.outside_mm,
                wire_mm: layer.wire_mm,
                pitch_mm: layer.pitch_mm,
            })
            .collect(),
    })
}

pub(super) const fn shape_word(shape: string::CoreShape) -> CoreShape {
    match shape {
        string::CoreShape::Round => CoreShape::Round,
        string::CoreShape::Hex => CoreShape::Hex,
        string::CoreShape::Filaments(_) => CoreShape::Filaments,
    }
}
