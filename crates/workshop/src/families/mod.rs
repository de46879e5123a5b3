//! Families of instruments: usual scales, tunings, heights and strings, as points to start from.
//!
//! Everything here can be changed once an instrument is begun. Where a figure was published its source stands beside it;
//! the rest is common practice.

mod table;

pub use table::FAMILIES;

use crate::records::{
    Core, CoreShape, Course, CourseSetup, Density, FittedString, Instrument, Make, Plain, Setup,
    Wound, Wrap, WrapForm,
};

/// A family of instruments and its usual figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Family {
    /// The word in an instrument's `family`, such as `ukulele-concert`.
    pub key: &'static str,
    /// The wider kind, which an instrument's `family` may hold as well: `ukulele`, `banjo`, `mandolin`, `guitar` or `own`.
    pub kind: &'static str,
    /// The name shown.
    pub label: &'static str,
    /// Usual scale length in mm.
    pub scale_mm: f64,
    /// Where the scale length comes from.
    pub scale_source: &'static str,
    /// Usual number of frets.
    pub frets: u32,
    /// The fret at which neck and body usually meet.
    pub body_fret: u32,
    /// Usual height of the fret wire in mm, common practice.
    pub fret_height_mm: f64,
    /// Usual tension of one string in N, least and most; none where nothing is usual.
    pub tension_n: Option<(f64, f64)>,
    /// Where the tensions come from.
    pub tension_source: &'static str,
    /// Heights to start from.
    pub action: Action,
    /// Usual tunings, the first the most usual. There is at least one.
    pub tunings: &'static [Tuning],
}

/// String heights and relief to start from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Action {
    /// Gap at fret 1 in mm, on the first (bass side) and the last course; those between are spread evenly.
    pub gap_1_mm: (f64, f64),
    /// Gap at fret 12 in mm, on the first (bass side) and the last course.
    pub gap_12_mm: (f64, f64),
    /// Relief in mm.
    pub relief_mm: f64,
    /// The fret of that relief.
    pub relief_fret: u32,
    /// Where the figures come from.
    pub source: &'static str,
}

/// A tuning with strings that suit it on the family's usual scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuning {
    /// The name shown.
    pub label: &'static str,
    /// The courses, from the player's bass side to the treble side.
    pub courses: &'static [StartCourse],
}

/// One course of a tuning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartCourse {
    /// The open note.
    pub note: &'static str,
    /// The fret at which its nut stands; 0 for the instrument's nut.
    pub first_fret: u32,
    /// How many such strings the course has.
    pub count: u32,
    /// The string.
    pub string: StartString,
}

/// A string of a starting set. Gauges are common practice but where the table names a source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StartString {
    /// One thread or wire.
    Plain {
        /// The material's word.
        material: &'static str,
        /// Diameter in mm.
        diameter_mm: f64,
    },
    /// A core with one wrap.
    Wound {
        /// The core's material.
        core: &'static str,
        /// The core's outside diameter in mm, across the flats of a hexagon.
        core_mm: f64,
        /// The core's cross-section.
        shape: CoreShape,
        /// The wrap's material.
        wrap: &'static str,
        /// The wrap's form.
        form: WrapForm,
        /// The wrap's thickness in mm.
        wrap_mm: f64,
    },
    /// A string of a stated mass and diameter.
    Listed {
        /// Mass per length in g/m.
        g_per_m: f64,
        /// Outer diameter in mm.
        diameter_mm: f64,
    },
}

impl StartString {
    /// The string as a record.
    #[must_use]
    pub fn make(self) -> Make {
        match self {
            Self::Plain {
                material,
                diameter_mm,
            } => Make::Plain(Plain {
                material: material.into(),
                diameter_mm,
                ..Plain::default()
            }),
            Self::Wound {
                core,
                core_mm,
                shape,
                wrap,
                form,
                wrap_mm,
            } => Make::Wound(Wound {
                core: Core {
                    material: core.into(),
                    diameter_mm: core_mm,
                    shape,
                    ..Core::default()
                },
                wraps: vec![Wrap {
                    material: wrap.into(),
                    form,
                    size_mm: wrap_mm,
                    ..Wrap::default()
                }],
                ..Wound::default()
            }),
            Self::Listed {
                g_per_m,
                diameter_mm,
            } => Make::Density(Density {
                g_per_m,
                diameter_mm,
                ..Density::default()
            }),
        }
    }
}

/// The family with this key, or none.
#[must_use]
pub fn family(key: &str) -> Option<&'static Family> {
    FAMILIES.iter().find(|family| family.key == key)
}

/// The family that an instrument belongs to: by its key, else, of those of the kind that it names and its number of
/// courses, the one whose usual scale is nearest. None when its `family` is some other text.
#[must_use]
pub fn of(instrument: &Instrument) -> Option<&'static Family> {
    family(&instrument.family).or_else(|| {
        let off = |family: &Family| (family.scale_mm - instrument.scale_mm).abs();
        FAMILIES
            .iter()
            .filter(|family| family.kind == instrument.family)
            .filter(|family| {
                family
                    .tunings
                    .iter()
                    .any(|tuning| tuning.courses.len() == instrument.courses.len())
            })
            .min_by(|a, b| off(a).total_cmp(&off(b)))
    })
}

/// A new instrument of a family: its tuning by number (0 is the most usual), on a scale of so many mm, or on the family's
/// usual one.
///
/// Strings keep the gauges that suit the family's usual scale. None when there is no such family or tuning.
#[must_use]
pub fn start(
    key: &str,
    tuning: usize,
    scale_mm: Option<f64>,
    id: impl Into<String>,
) -> Option<Instrument> {
    let family = family(key)?;
    let tuning = family.tunings.get(tuning)?;
    Some(Instrument {
        id: id.into(),
        name: family.label.into(),
        family: family.key.into(),
        scale_mm: scale_mm.unwrap_or(family.scale_mm),
        frets: family.frets,
        body_fret: Some(family.body_fret),
        fret_height_mm: Some(family.fret_height_mm),
        courses: tuning.courses.iter().map(StartCourse::course).collect(),
        setup: family.action.setup(tuning.courses.len()),
        ..Instrument::default()
    })
}

impl StartCourse {
    fn course(&self) -> Course {
        let string = FittedString::of(self.string.make());
        Course {
            note: self.note.into(),
            first_fret: self.first_fret,
            strings: (0..self.count).map(|_| string.clone()).collect(),
            ..Course::default()
        }
    }
}

impl Action {
    /// The heights of so many courses, spread evenly from the bass side to the treble side and rounded to 0.01 mm.
    pub(crate) fn setup(&self, courses: usize) -> Setup {
        let spread = |(bass, treble): (f64, f64), index: usize| {
            let last = courses.saturating_sub(1).max(1);
            #[allow(clippy::cast_precision_loss)]
            let share = index as f64 / last as f64;
            Some((100.0 * (bass + share * (treble - bass))).round() / 100.0)
        };
        Setup {
            courses: (0..courses)
                .map(|index| CourseSetup {
                    gap_1_mm: spread(self.gap_1_mm, index),
                    gap_12_mm: spread(self.gap_12_mm, index),
                    ..CourseSetup::default()
                })
                .collect(),
            relief_mm: Some(self.relief_mm),
            relief_fret: Some(self.relief_fret),
            ..Setup::default()
        }
    }
}

#[cfg(test)]
mod tests;
