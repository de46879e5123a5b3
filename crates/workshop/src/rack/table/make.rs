//! From a line of the table to a rack string.

use super::Wrong;
use super::cells::{Row, unguarded};
use super::columns::{Column, Heading, Holds, WRAPS};
use crate::notation;
use crate::problem::quoted;
use crate::records::{
    Core, CoreShape, Density, Make, Plain, RackString, Rated, Weighed, Wound, Wrap, WrapForm,
};
use strungwell_physics::material::Material;
use strungwell_physics::pitch::Note;

/// A line while it is read.
pub(super) struct Line<'a> {
    row: &'a Row,
    headings: &'a [Heading],
    pub(super) wrong: Vec<Wrong>,
}

impl<'a> Line<'a> {
    pub(super) fn new(row: &'a Row, headings: &'a [Heading]) -> Self {
        let mut line = Self {
            row,
            headings,
            wrong: Vec::new(),
        };
        let beyond = row.cells.iter().skip(headings.len());
        if beyond.filter(|c| !c.trim().is_empty()).count() > 0 {
            line.say(
                None,
                format!(
                    "it has {} cells under {} headings",
                    row.cells.len(),
                    headings.len()
                ),
            );
        }
        line
    }

    pub(super) fn say(&mut self, column: Option<Column>, text: String) {
        let head = column.and_then(|c| self.heading(c).map(|(_, h)| h.text.clone()));
        self.wrong.push(Wrong {
            line: self.row.line,
            column: head.unwrap_or_else(|| column.map_or_else(String::new, Column::head)),
            text,
        });
    }

    fn heading(&self, column: Column) -> Option<(usize, &'a Heading)> {
        self.headings
            .iter()
            .enumerate()
            .find(|(_, h)| h.column == Some(column))
    }

    /// The text of a column, trimmed; none when the table has no such column.
    pub(super) fn text(&self, column: Column) -> Option<String> {
        let (at, _) = self.heading(column)?;
        let cell = self.row.cells.get(at).map_or("", String::as_str);
        Some(unguarded(cell.trim()).trim().to_owned())
    }

    fn filled(&self, column: Column) -> Option<String> {
        self.text(column).filter(|t| !t.is_empty())
    }

    /// A number in the record's unit and within its limits; none for an empty cell or one that is wrong, which is said.
    fn number(&mut self, column: Column) -> Option<f64> {
        let text = self.filled(column)?;
        let (_, heading) = self.heading(column)?;
        let own = text
            .chars()
            .any(|c| c.is_alphabetic() && !matches!(c, 'e' | 'E') || c == '"');
        let read = match column.holds() {
            // A cell may carry its own unit; a bare number has the heading's.
            Holds::Length if own || text.contains('/') => notation::length_mm(&text, heading.unit),
            Holds::Grams if own => notation::mass_g(&text),
            Holds::Newtons if own => notation::force_n(&text, crate::units::ForceUnit::Newton),
            Holds::GramsPerMetre if own => notation::mass_per_length_g_m(&text),
            Holds::Count => notation::count(&text).map(f64::from),
            _ => notation::number(&text).map(|n| twelve_digits(n * heading.factor)),
        };
        let limits = column.limits();
        let accept = limits.map_or_else(|| "a number".to_owned(), |l| l.to_string());
        match read {
            Ok(value) if limits.is_none_or(|l| l.accept(value)) => Some(value),
            _ => {
                self.say(
                    Some(column),
                    format!("reads {}; {accept} is accepted", quoted(&text)),
                );
                None
            }
        }
    }

    fn needed(&mut self, column: Column, what: &str) -> Option<f64> {
        if self.filled(column).is_none() {
            self.say(Some(column), format!("reads nothing; {what} needs it"));
            return None;
        }
        self.number(column)
    }

    fn material(&mut self, column: Column, what: &str) -> Option<String> {
        let Some(text) = self.filled(column) else {
            self.say(Some(column), format!("reads nothing; {what} needs it"));
            return None;
        };
        let found = Material::from_key(&text).or_else(|| {
            strungwell_physics::material::MATERIALS
                .iter()
                .find(|row| {
                    row.label.eq_ignore_ascii_case(&text) || row.key.eq_ignore_ascii_case(&text)
                })
                .map(|row| row.material)
        });
        match found {
            Some(material) => Some(material.row().key.to_owned()),
            None => {
                let known: Vec<&str> = strungwell_physics::material::MATERIALS
                    .iter()
                    .map(|row| row.key)
                    .collect();
                self.say(
                    Some(column),
                    format!(
                        "reads {}; one of {} is accepted",
                        quoted(&text),
                        known.join(", ")
                    ),
                );
                None
            }
        }
    }

    fn word<T: Default>(
        &mut self,
        column: Column,
        from: impl Fn(&str) -> Option<T>,
        accept: &str,
    ) -> T {
        let Some(text) = self.filled(column) else {
            return T::default();
        };
        from(&text.to_ascii_lowercase()).unwrap_or_else(|| {
            self.say(
                Some(column),
                format!("reads {}; {accept} is accepted", quoted(&text)),
            );
            T::default()
        })
    }

    /// Writes what the line says on a string. A column that the table has counts, empty or not; what the string is counts
    /// when the line says anything of it, and must be said of a new one.
    pub(super) fn fill(&mut self, on: &mut RackString, is_new: bool) {
        if let Some(name) = self.text(Column::Name) {
            on.name = name;
        }
        if let Some(note) = self.text(Column::Note) {
            on.note = note;
        }
        for (column, place) in [
            (Column::Kappa, &mut on.kappa),
            (Column::KappaGive, &mut on.kappa_give),
            (Column::BendModulus, &mut on.bend_modulus_gpa),
            (Column::Price, &mut on.price),
        ] {
            if self.text(column).is_some() {
                *place = self.number(column);
            }
        }
        if self.text(Column::OnHand).is_some() {
            on.on_hand = self.count(Column::OnHand);
        }
        if is_new || Column::all().any(|c| c.is_make() && self.filled(c).is_some()) {
            let before = self.wrong.len();
            if let Some(make) = self.make()
                && self.wrong.len() == before
                && without_extra(&on.make) != make
            {
                on.make = make;
            }
        }
    }

    fn count(&mut self, column: Column) -> Option<u32> {
        let value = self.number(column)?;
        // A count within its limits is whole and small.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Some(value as u32)
    }

    /// The kind that is written, or the one that the filled cells mean.
    fn kind(&mut self) -> Option<&'static str> {
        const KINDS: [&str; 5] = ["plain", "wound", "weighed", "rated", "density"];
        if let Some(text) = self.filled(Column::Kind) {
            let found = KINDS.into_iter().find(|k| k.eq_ignore_ascii_case(&text));
            if found.is_none() {
                self.say(
                    Some(Column::Kind),
                    format!(
                        "reads {}; one of {} is accepted",
                        quoted(&text),
                        KINDS.join(", ")
                    ),
                );
            }
            return found;
        }
        Some(if self.filled(Column::Mass).is_some() {
            "weighed"
        } else if self.filled(Column::Tension).is_some() {
            "rated"
        } else if self.filled(Column::MassPerLength).is_some() {
            "density"
        } else if self.filled(Column::WrapMaterial(0)).is_some() {
            "wound"
        } else {
            "plain"
        })
    }

    fn make(&mut self) -> Option<Make> {
        Some(match self.kind()? {
            "wound" => Make::Wound(self.wound()?),
            "weighed" => {
                let what = "a weighed string";
                let of = if self.filled(Column::WrapMaterial(0)).is_some() {
                    Some(Make::Wound(self.wound()?))
                } else if self.filled(Column::Material).is_some() {
                    Some(Make::Plain(self.plain()?))
                } else {
                    None
                };
                Make::Weighed(Weighed {
                    mass_g: self.needed(Column::Mass, what)?,
                    mass_give_g: self.number(Column::MassGive),
                    length_mm: self.needed(Column::Length, what)?,
                    length_give_mm: self.number(Column::LengthGive),
                    diameter_mm: self.needed(Column::Diameter, what)?,
                    core: if matches!(of, Some(Make::Wound(_))) {
                        None
                    } else {
                        self.core_if_any()
                    },
                    of: of.map(Box::new),
                    ..Weighed::default()
                })
            }
            "rated" => {
                let what = "a rated string";
                let note = self.filled(Column::RatedNote).unwrap_or_default();
                if let Err(why) = Note::parse(&note) {
                    self.say(Some(Column::RatedNote), why.to_string());
                }
                Make::Rated(Rated {
                    tension_n: self.needed(Column::Tension, what)?,
                    note,
                    scale_mm: self.needed(Column::Scale, what)?,
                    diameter_mm: self.needed(Column::Diameter, what)?,
                    core: self.core_if_any(),
                    ..Rated::default()
                })
            }
            "density" => Make::Density(Density {
                g_per_m: self.needed(Column::MassPerLength, "a string of known mass per length")?,
                diameter_mm: self.needed(Column::Diameter, "a string of known mass per length")?,
                core: self.core_if_any(),
                ..Density::default()
            }),
            _ => Make::Plain(self.plain()?),
        })
    }

    fn plain(&mut self) -> Option<Plain> {
        let what = "a plain string";
        let material = self.material(Column::Material, what);
        let diameter = self.needed(Column::Diameter, what);
        Some(Plain {
            material: material?,
            diameter_mm: diameter?,
            ..Plain::default()
        })
    }

    fn wound(&mut self) -> Option<Wound> {
        let core = self.core()?;
        let mut wraps = Vec::new();
        for n in 0..WRAPS {
            if self.filled(Column::WrapMaterial(n)).is_none()
                && (n > 0 || self.filled(Column::WrapSize(n)).is_none())
            {
                break;
            }
            wraps.push(Wrap {
                material: self.material(Column::WrapMaterial(n), "a wound string")?,
                form: self.word(
                    Column::WrapForm(n),
                    WrapForm::from_word,
                    "round, ribbon or ground",
                ),
                size_mm: self.needed(Column::WrapSize(n), "a wrap")?,
                width_mm: self.number(Column::WrapWidth(n)),
                ground_mm: self.number(Column::WrapGround(n)),
                ..Wrap::default()
            });
        }
        if wraps.is_empty() {
            self.say(
                Some(Column::WrapMaterial(0)),
                "reads nothing; a wound string needs it".into(),
            );
        }
        Some(Wound {
            core,
            wraps,
            ..Wound::default()
        })
    }

    fn core_if_any(&mut self) -> Option<Core> {
        let has = self.filled(Column::CoreMaterial).is_some()
            || self.filled(Column::CoreDiameter).is_some();
        if has { self.core() } else { None }
    }

    fn core(&mut self) -> Option<Core> {
        let material = self.material(Column::CoreMaterial, "a core");
        let diameter = self.needed(Column::CoreDiameter, "a core");
        Some(Core {
            shape: self.word(
                Column::CoreShape,
                CoreShape::from_word,
                "round, hex or filaments",
            ),
            filaments: self.count(Column::Filaments),
            material: material?,
            diameter_mm: diameter?,
            ..Core::default()
        })
    }
}

/// To twelve digits, so that .020 in is 0.508 mm to the digit; the notation's own readers do the same.
fn twelve_digits(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    format!("{value:.11e}").parse().unwrap_or(value)
}

/// A make without the unknown fields of its records: what a table can say of it.
fn without_extra(make: &Make) -> Make {
    let mut bare = make.clone();
    strip(&mut bare);
    bare
}

fn strip(make: &mut Make) {
    let core = |core: &mut Option<Core>| {
        if let Some(core) = core {
            core.extra.clear();
        }
    };
    match make {
        Make::Plain(plain) => plain.extra.clear(),
        Make::Wound(wound) => {
            wound.extra.clear();
            wound.core.extra.clear();
            for wrap in &mut wound.wraps {
                wrap.extra.clear();
            }
        }
        Make::Weighed(weighed) => {
            weighed.extra.clear();
            core(&mut weighed.core);
            if let Some(of) = &mut weighed.of {
                strip(of);
            }
        }
        Make::Rated(rated) => {
            rated.extra.clear();
            core(&mut rated.core);
        }
        Make::Density(density) => {
            density.extra.clear();
            core(&mut density.core);
        }
    }
}
