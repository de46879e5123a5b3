//! The ways in which a shop knows a string.

use strungwell_physics::quantity::InBenchUnits;
use strungwell_workshop::records::{
    Core, CoreShape, Density, Make, Plain, Rated, Weighed, Wound, Wrap, WrapForm,
};
use strungwell_workshop::report::{g_per_m, string_make};

/// A way of knowing a string.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// One thread or wire of known gauge.
    Plain,
    /// Core and wraps of known sizes.
    Wound,
    /// A cut length on a scale.
    Weighed,
    /// A stated tension at a note and a scale.
    Rated,
    /// A stated mass per length.
    Listed,
}

impl Kind {
    /// Every kind, in the order offered.
    pub(super) const ALL: [Self; 5] = [
        Self::Plain,
        Self::Wound,
        Self::Weighed,
        Self::Rated,
        Self::Listed,
    ];

    /// The kind of a make.
    pub(super) const fn of(make: &Make) -> Self {
        match make {
            Make::Plain(_) => Self::Plain,
            Make::Wound(_) => Self::Wound,
            Make::Weighed(_) => Self::Weighed,
            Make::Rated(_) => Self::Rated,
            Make::Density(_) => Self::Listed,
        }
    }

    /// Its word, as records have it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Wound => "wound",
            Self::Weighed => "weighed",
            Self::Rated => "rated",
            Self::Listed => "density",
        }
    }

    /// The kind of this word.
    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Its label.
    pub(super) const fn label(self) -> &'static str {
        match self {
            Self::Plain => "its gauge: one thread or wire",
            Self::Wound => "its core and wraps",
            Self::Weighed => "weighing a cut length",
            Self::Rated => "a tension stated at a note and a scale",
            Self::Listed => "a mass per length stated for it",
        }
    }

    /// A make of this kind to begin from, as near to another as that one says.
    pub(super) fn start(self, other: &Make) -> Make {
        let diameter_mm = string_make(other).map_or(0.81, |made| made.diameter().bench());
        let core = core(other).cloned();
        match self {
            Self::Plain => Make::Plain(Plain {
                material: "nylon".into(),
                diameter_mm,
                ..Plain::default()
            }),
            Self::Wound => Make::Wound(Wound {
                core: core.unwrap_or_else(start_core),
                wraps: vec![start_wrap()],
                ..Wound::default()
            }),
            Self::Weighed => {
                // A metre of it weighs as many grams as it has g/m.
                let mass_g = g_per_m(other).unwrap_or(1.0);
                Make::Weighed(Weighed {
                    mass_g,
                    length_mm: 1000.0,
                    diameter_mm,
                    core,
                    ..Weighed::default()
                })
            }
            Self::Rated => Make::Rated(Rated {
                tension_n: 50.0,
                note: "A4".into(),
                scale_mm: 381.0,
                diameter_mm,
                core,
                ..Rated::default()
            }),
            Self::Listed => Make::Density(Density {
                g_per_m: g_per_m(other).unwrap_or(1.0),
                diameter_mm,
                core,
                ..Density::default()
            }),
        }
    }
}

/// The outer diameter where the make states one.
pub(super) const fn diameter_mm(make: &Make) -> Option<f64> {
    match make {
        Make::Plain(m) => Some(m.diameter_mm),
        Make::Weighed(m) => Some(m.diameter_mm),
        Make::Rated(m) => Some(m.diameter_mm),
        Make::Density(m) => Some(m.diameter_mm),
        Make::Wound(_) => None,
    }
}

/// The core, where it is described.
pub(super) const fn core(make: &Make) -> Option<&Core> {
    match make {
        Make::Plain(_) => None,
        Make::Wound(m) => Some(&m.core),
        Make::Weighed(m) => m.core.as_ref(),
        Make::Rated(m) => m.core.as_ref(),
        Make::Density(m) => m.core.as_ref(),
    }
}

/// The core, where it is described, to be changed.
pub(super) const fn core_mut(make: &mut Make) -> Option<&mut Core> {
    match make {
        Make::Plain(_) => None,
        Make::Wound(m) => Some(&mut m.core),
        Make::Weighed(m) => m.core.as_mut(),
        Make::Rated(m) => m.core.as_mut(),
        Make::Density(m) => m.core.as_mut(),
    }
}

/// Describes the core, or leaves it undescribed, where the make does not need it.
pub(super) fn set_core(make: &mut Make, core: Option<Core>) {
    match make {
        Make::Weighed(m) => m.core = core,
        Make::Rated(m) => m.core = core,
        Make::Density(m) => m.core = core,
        Make::Plain(_) | Make::Wound(_) => {}
    }
}

/// A core to begin from.
pub(super) fn start_core() -> Core {
    Core {
        material: "nylon".into(),
        diameter_mm: 0.5,
        shape: CoreShape::Filaments,
        ..Core::default()
    }
}

/// A wrap to begin from.
pub(super) fn start_wrap() -> Wrap {
    Wrap {
        material: "silver-plated-copper".into(),
        form: WrapForm::Ribbon,
        size_mm: 0.1,
        ..Wrap::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::file::check_rack_string;
    use strungwell_workshop::records::{Extra, RackString};

    #[test]
    fn every_kind_begins_as_a_string_that_a_record_takes() {
        for from in Kind::ALL {
            let other =
                from.start(&Kind::Plain.start(&Kind::Wound.start(&Make::Plain(Plain::default()))));
            for kind in Kind::ALL {
                let make = kind.start(&other);
                assert_eq!(Kind::of(&make), kind);
                assert!(string_make(&make).is_ok(), "{make:?}");
                let string = RackString {
                    id: "a".into(),
                    name: String::new(),
                    make,
                    kappa: None,
                    kappa_give: None,
                    bend_modulus_gpa: None,
                    on_hand: None,
                    price: None,
                    note: String::new(),
                    changed: None,
                    extra: Extra::new(),
                };
                assert_eq!(check_rack_string(&string), Ok(()));
            }
        }
    }
}
