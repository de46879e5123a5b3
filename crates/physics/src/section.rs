//! A wound string cut along its middle: the sizes of its core and layers, for a drawing to scale.

use crate::material::Material;
use crate::quantity::InBenchUnits;
use crate::string::{Bearer, CoreShape, StringMake, WrapForm};

/// The sizes of a string's section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Outside diameter in mm.
    pub outside_mm: f64,
    /// The core; none for a string whose inside is not known.
    pub core: Option<CoreOutline>,
    /// The wraps from the inside out; none for a plain string, or where they are not known.
    pub layers: Vec<Layer>,
}

/// The outline of what bears the tension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreOutline {
    /// What it is made of.
    pub material: Material,
    /// Round, hexagonal or a bundle.
    pub shape: CoreShape,
    /// Its size in mm: the diameter, or the width across the flats.
    pub across_mm: f64,
    /// The diameter in mm over a hexagon's corners, `2/sqrt 3` of the width across the flats; the diameter itself else.
    pub corners_mm: f64,
}

/// One wrap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// What it is made of.
    pub material: Material,
    /// Round, ribbon or ground.
    pub form: WrapForm,
    /// The diameter in mm that it lies on. On a hexagon that is the mean of corner and flat.
    pub inside_mm: f64,
    /// The diameter in mm over it.
    pub outside_mm: f64,
    /// The wire's size in mm before any grinding: its diameter, or a ribbon's thickness.
    pub wire_mm: f64,
    /// How far one turn lies from the next along the string, in mm: the wire's own width, since turns touch.
    pub pitch_mm: f64,
}

impl Section {
    /// The section of a string. Geometry of touching turns, as the mass is reckoned by.
    #[must_use]
    pub fn of(make: &StringMake) -> Self {
        let core = match make.bearer() {
            Bearer::Whole(material) => Some(CoreOutline {
                material,
                shape: CoreShape::Round,
                across_mm: make.diameter().bench(),
                corners_mm: make.diameter().bench(),
            }),
            Bearer::Core(core) => Some(CoreOutline {
                material: core.material(),
                shape: core.shape(),
                across_mm: core.diameter().bench(),
                corners_mm: match core.shape() {
                    CoreShape::Hex => core.diameter().bench() * 2.0 / 3.0_f64.sqrt(),
                    CoreShape::Round | CoreShape::Filaments(_) => core.diameter().bench(),
                },
            }),
            Bearer::Unknown => None,
        };
        let mut inside = match make.bearer() {
            Bearer::Core(core) => core.wrapped_diameter_mm(),
            Bearer::Whole(_) | Bearer::Unknown => make.diameter().bench(),
        };
        let layers = make
            .wraps()
            .iter()
            .map(|wrap| {
                let wire = wrap.size().bench();
                let layer = Layer {
                    material: wrap.material(),
                    form: wrap.form(),
                    inside_mm: inside,
                    outside_mm: wrap.outside_mm(inside),
                    wire_mm: wire,
                    pitch_mm: match wrap.form() {
                        WrapForm::Ribbon { width: Some(width) } => width.bench(),
                        WrapForm::Ribbon { width: None } => 3.0 * wire,
                        WrapForm::Round | WrapForm::Ground { .. } => wire,
                    },
                };
                inside = layer.outside_mm;
                layer
            })
            .collect();
        Self {
            outside_mm: make.diameter().bench(),
            core,
            layers,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::mm;
    use crate::string::{Core, Wrap};

    #[test]
    fn layers_lie_on_one_another_and_end_at_the_outside() {
        let core = Core::new(Material::Nylon, mm(0.4), CoreShape::Round).unwrap();
        let wrap = |size: f64, form| Wrap::new(Material::Copper, mm(size), form).unwrap();
        let make = StringMake::wound(
            core,
            &[
                wrap(0.06, WrapForm::Round),
                wrap(
                    0.05,
                    WrapForm::Ribbon {
                        width: Some(mm(0.3)),
                    },
                ),
            ],
        )
        .unwrap();
        let section = Section::of(&make);
        let ends: Vec<(f64, f64)> = section
            .layers
            .iter()
            .map(|l| (l.inside_mm, l.outside_mm))
            .collect();
        for (a, b) in ends.iter().zip([(0.4, 0.52), (0.52, 0.62)]) {
            assert!(
                (a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12,
                "{ends:?}"
            );
        }
        assert!((section.outside_mm - 0.62).abs() < 1e-12);
        assert_eq!(section.layers[1].pitch_mm, mm(0.3).bench());
        let hex = Core::new(Material::Steel, mm(0.4), CoreShape::Hex).unwrap();
        let make = StringMake::wound(hex, &[wrap(0.1, WrapForm::Round)]).unwrap();
        let core = Section::of(&make).core.unwrap();
        assert!((core.corners_mm / core.across_mm - 1.1547).abs() < 1e-4);
    }
}
