//! The columns of the rack's table.

use crate::file::{Limits, limits};
use crate::units::{LengthUnit, MM_IN_INCH};

/// A column that is known here. Wraps are counted from 0, six at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Id,
    Name,
    Kind,
    Material,
    Diameter,
    CoreMaterial,
    CoreShape,
    CoreDiameter,
    Filaments,
    WrapMaterial(u8),
    WrapForm(u8),
    WrapSize(u8),
    WrapWidth(u8),
    WrapGround(u8),
    Mass,
    MassGive,
    Length,
    LengthGive,
    Tension,
    RatedNote,
    Scale,
    MassPerLength,
    Kappa,
    KappaGive,
    BendModulus,
    OnHand,
    Price,
    Note,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    Text,
    Length,
    Grams,
    Newtons,
    GramsPerMetre,
    Gigapascal,
    Number,
    Count,
}

/// Columns without a number: the heading, what stands there, and the record and field whose limits hold.
type Told = (Column, &'static str, Holds, &'static str, &'static str);

const BEFORE_WRAPS: [Told; 9] = [
    (Column::Id, "id", Holds::Text, "", ""),
    (Column::Name, "name", Holds::Text, "", ""),
    (Column::Kind, "kind", Holds::Text, "", ""),
    (Column::Material, "material", Holds::Text, "", ""),
    (
        Column::Diameter,
        "diameter",
        Holds::Length,
        "plain",
        "diameter_mm",
    ),
    (Column::CoreMaterial, "core material", Holds::Text, "", ""),
    (Column::CoreShape, "core shape", Holds::Text, "", ""),
    (
        Column::CoreDiameter,
        "core diameter",
        Holds::Length,
        "core",
        "diameter_mm",
    ),
    (
        Column::Filaments,
        "filaments",
        Holds::Count,
        "core",
        "filaments",
    ),
];

const AFTER_WRAPS: [Told; 14] = [
    (Column::Mass, "mass", Holds::Grams, "weighed", "mass_g"),
    (
        Column::MassGive,
        "mass doubt",
        Holds::Grams,
        "weighed",
        "mass_give_g",
    ),
    (
        Column::Length,
        "length",
        Holds::Length,
        "weighed",
        "length_mm",
    ),
    (
        Column::LengthGive,
        "length doubt",
        Holds::Length,
        "weighed",
        "length_give_mm",
    ),
    (
        Column::Tension,
        "rated tension",
        Holds::Newtons,
        "rated",
        "tension_n",
    ),
    (Column::RatedNote, "rated note", Holds::Text, "", ""),
    (
        Column::Scale,
        "rated scale",
        Holds::Length,
        "rated",
        "scale_mm",
    ),
    (
        Column::MassPerLength,
        "mass per length",
        Holds::GramsPerMetre,
        "density",
        "g_per_m",
    ),
    (
        Column::Kappa,
        "kappa",
        Holds::Number,
        "rack string",
        "kappa",
    ),
    (
        Column::KappaGive,
        "kappa doubt",
        Holds::Number,
        "rack string",
        "kappa_give",
    ),
    (
        Column::BendModulus,
        "bend modulus",
        Holds::Gigapascal,
        "rack string",
        "bend_modulus_gpa",
    ),
    (
        Column::OnHand,
        "on hand",
        Holds::Count,
        "rack string",
        "on_hand",
    ),
    (
        Column::Price,
        "price",
        Holds::Number,
        "rack string",
        "price",
    ),
    (Column::Note, "note", Holds::Text, "", ""),
];

/// A column of a wrap: which, the heading after `wrap 1 `, what stands there, and the field whose limits hold.
type OfWrap = (fn(u8) -> Column, &'static str, Holds, &'static str);

const OF_WRAP: [OfWrap; 5] = [
    (Column::WrapMaterial, "material", Holds::Text, ""),
    (Column::WrapForm, "form", Holds::Text, ""),
    (Column::WrapSize, "size", Holds::Length, "size_mm"),
    (Column::WrapWidth, "width", Holds::Length, "width_mm"),
    (Column::WrapGround, "ground", Holds::Length, "ground_mm"),
];

/// The most wraps that a string may have.
pub(super) const WRAPS: u8 = 6;

impl Column {
    /// All columns in the order in which they are written.
    pub(super) fn all() -> impl Iterator<Item = Self> {
        let told = |t: Told| t.0;
        BEFORE_WRAPS
            .into_iter()
            .map(told)
            .chain((0..WRAPS).flat_map(|n| OF_WRAP.into_iter().map(move |(of, ..)| of(n))))
            .chain(AFTER_WRAPS.into_iter().map(told))
    }

    /// Its bare heading, what it holds, and the record and field whose limits hold for it.
    fn told(self) -> (String, Holds, &'static str, &'static str) {
        if let Some(t) = BEFORE_WRAPS
            .iter()
            .chain(&AFTER_WRAPS)
            .find(|t| t.0 == self)
        {
            return (t.1.to_owned(), t.2, t.3, t.4);
        }
        for n in 0..WRAPS {
            if let Some(t) = OF_WRAP.iter().find(|t| t.0(n) == self) {
                return (format!("wrap {} {}", n + 1, t.1), t.2, "wrap", t.3);
            }
        }
        (String::new(), Holds::Text, "", "")
    }

    pub(super) fn holds(self) -> Holds {
        self.told().1
    }

    pub(super) fn limits(self) -> Option<Limits> {
        let (_, _, record, field) = self.told();
        limits(record, field)
    }

    /// Its heading with its unit.
    pub(super) fn head(self) -> String {
        let (bare, holds, ..) = self.told();
        match holds {
            Holds::Length => format!("{bare} (mm)"),
            Holds::Grams => format!("{bare} (g)"),
            Holds::Newtons => format!("{bare} (N)"),
            Holds::GramsPerMetre => format!("{bare} (g/m)"),
            Holds::Gigapascal => format!("{bare} (GPa)"),
            Holds::Text | Holds::Number | Holds::Count => bare,
        }
    }

    /// Written even when no string uses it.
    pub(super) const fn is_always(self) -> bool {
        matches!(
            self,
            Self::Id
                | Self::Name
                | Self::Kind
                | Self::Material
                | Self::Diameter
                | Self::OnHand
                | Self::Price
                | Self::Note
        )
    }

    /// Says something of what the string is.
    pub(super) const fn is_make(self) -> bool {
        !matches!(
            self,
            Self::Id
                | Self::Name
                | Self::Kappa
                | Self::KappaGive
                | Self::BendModulus
                | Self::OnHand
                | Self::Price
                | Self::Note
        )
    }
}

/// A heading of a table.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heading {
    /// As it stands there.
    pub(super) text: String,
    /// The column, when it is known.
    pub(super) column: Option<Column>,
    /// How many of the record's unit its unit is.
    pub(super) factor: f64,
    /// The unit of lengths, for readers that know several.
    pub(super) unit: LengthUnit,
    /// What is wrong with its unit.
    pub(super) wrong: Option<String>,
}

/// Reads a heading: a known name in any case, and a unit in brackets after it.
pub(super) fn heading(text: &str) -> Heading {
    let text = text.trim().to_owned();
    let (bare, unit) = match text.strip_suffix(')').and_then(|t| t.rsplit_once('(')) {
        Some((bare, unit)) => (bare.trim(), unit.trim().to_ascii_lowercase()),
        None => (text.as_str(), String::new()),
    };
    let bare = bare.to_ascii_lowercase().replace('_', " ");
    let column = Column::all().find(|c| c.told().0 == bare);
    let known = |units: &[(&str, f64)]| units.iter().find(|(u, _)| *u == unit).map(|(_, f)| *f);
    let (factor, accept) = match column.map(Column::holds) {
        Some(Holds::Length) => (
            known(&[
                ("", 1.0),
                ("mm", 1.0),
                ("cm", 10.0),
                ("in", MM_IN_INCH),
                ("inch", MM_IN_INCH),
                ("inches", MM_IN_INCH),
                ("\"", MM_IN_INCH),
                ("thou", MM_IN_INCH / 1000.0),
            ]),
            "mm, cm, in or thou",
        ),
        Some(Holds::Grams) => (known(&[("", 1.0), ("g", 1.0), ("mg", 1e-3)]), "g or mg"),
        Some(Holds::Newtons) => (
            known(&[
                ("", 1.0),
                ("n", 1.0),
                ("kgf", crate::units::N_IN_KGF),
                ("kg", crate::units::N_IN_KGF),
                ("lbf", crate::units::N_IN_LBF),
                ("lb", crate::units::N_IN_LBF),
            ]),
            "N, kgf or lbf",
        ),
        Some(Holds::GramsPerMetre) => (
            known(&[("", 1.0), ("g/m", 1.0), ("mg/mm", 1.0), ("kg/m", 1000.0)]),
            "g/m, mg/mm or kg/m",
        ),
        Some(Holds::Gigapascal) => (
            known(&[("", 1.0), ("gpa", 1.0), ("mpa", 1e-3)]),
            "GPa or MPa",
        ),
        // A currency in brackets is the shop's own affair.
        Some(Holds::Text | Holds::Number | Holds::Count) | None => (Some(1.0), ""),
    };
    Heading {
        column,
        unit: if factor == Some(MM_IN_INCH) {
            LengthUnit::Inch
        } else {
            LengthUnit::Mm
        },
        wrong: factor
            .is_none()
            .then(|| format!("has a unit that is not known here; {accept} is accepted")),
        factor: factor.unwrap_or(1.0),
        text,
    }
}
