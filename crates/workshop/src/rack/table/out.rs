//! From a rack string to the cells of its line.

use super::columns::{Column, WRAPS};
use crate::records::{Core, Make, Plain, RackString, Wound};

/// The filled cells of a string.
pub(super) fn cells_of(string: &RackString) -> Vec<(Column, String)> {
    let mut cells = vec![
        (Column::Id, string.id.clone()),
        (Column::Name, string.name.clone()),
        (Column::Note, string.note.clone()),
    ];
    let mut out = Cells(&mut cells);
    out.make(&string.make);
    out.number(Column::Kappa, string.kappa);
    out.number(Column::KappaGive, string.kappa_give);
    out.number(Column::BendModulus, string.bend_modulus_gpa);
    out.number(Column::OnHand, string.on_hand.map(f64::from));
    out.number(Column::Price, string.price);
    cells.retain(|(_, text)| !text.is_empty());
    cells
}

struct Cells<'a>(&'a mut Vec<(Column, String)>);

impl Cells<'_> {
    fn number(&mut self, column: Column, value: Option<f64>) {
        if let Some(value) = value.filter(|v| v.is_finite()) {
            self.0.push((column, value.to_string()));
        }
    }

    fn text(&mut self, column: Column, text: &str) {
        self.0.push((column, text.to_owned()));
    }

    fn make(&mut self, make: &Make) {
        match make {
            Make::Plain(plain) => {
                self.text(Column::Kind, "plain");
                self.plain(plain);
            }
            Make::Wound(wound) => {
                self.text(Column::Kind, "wound");
                self.wound(wound);
            }
            Make::Weighed(weighed) => {
                self.text(Column::Kind, "weighed");
                self.number(Column::Mass, Some(weighed.mass_g));
                self.number(Column::MassGive, weighed.mass_give_g);
                self.number(Column::Length, Some(weighed.length_mm));
                self.number(Column::LengthGive, weighed.length_give_mm);
                match weighed.of.as_deref() {
                    Some(Make::Plain(plain)) => self.text(Column::Material, &plain.material),
                    Some(Make::Wound(wound)) => self.wound(wound),
                    _ => {}
                }
                self.number(Column::Diameter, Some(weighed.diameter_mm));
                if !matches!(weighed.of.as_deref(), Some(Make::Wound(_))) {
                    self.core(weighed.core.as_ref());
                }
            }
            Make::Rated(rated) => {
                self.text(Column::Kind, "rated");
                self.number(Column::Tension, Some(rated.tension_n));
                self.text(Column::RatedNote, &rated.note);
                self.number(Column::Scale, Some(rated.scale_mm));
                self.number(Column::Diameter, Some(rated.diameter_mm));
                self.core(rated.core.as_ref());
            }
            Make::Density(density) => {
                self.text(Column::Kind, "density");
                self.number(Column::MassPerLength, Some(density.g_per_m));
                self.number(Column::Diameter, Some(density.diameter_mm));
                self.core(density.core.as_ref());
            }
        }
    }

    fn plain(&mut self, plain: &Plain) {
        self.text(Column::Material, &plain.material);
        self.number(Column::Diameter, Some(plain.diameter_mm));
    }

    fn wound(&mut self, wound: &Wound) {
        self.core(Some(&wound.core));
        for (n, wrap) in (0..WRAPS).zip(&wound.wraps) {
            self.text(Column::WrapMaterial(n), &wrap.material);
            self.text(Column::WrapForm(n), wrap.form.word());
            self.number(Column::WrapSize(n), Some(wrap.size_mm));
            self.number(Column::WrapWidth(n), wrap.width_mm);
            self.number(Column::WrapGround(n), wrap.ground_mm);
        }
    }

    fn core(&mut self, core: Option<&Core>) {
        if let Some(core) = core {
            self.text(Column::CoreMaterial, &core.material);
            self.text(Column::CoreShape, core.shape.word());
            self.number(Column::CoreDiameter, Some(core.diameter_mm));
            self.number(Column::Filaments, core.filaments.map(f64::from));
        }
    }
}
