//! The records that a shop keeps, as the workshop file (version 1) writes them.
//!
//! Each type here is one JSON record and each field has the JSON's name, with its unit at the end. Fields that this
//! version does not know are kept in `extra` and written again, so nothing that another version wrote is lost.
//! A value of these types may hold anything that its types allow; [`crate::file`] reads and writes them, and is where ranges
//! are checked.

mod instrument;
pub(crate) mod json;
mod loads;
mod make;
mod plan;
mod rack;
mod reorder;
mod setup;
mod visit;

pub use instrument::{
    Bridge, BridgeKind, Course, FittedString, Instrument, Neck, Pluck, Press, Release, Tuner,
};
pub use loads::{Bar, BarMaterial, Former, Look, PlayingIn, Settling, StrokeCount, WarmReading};
pub use make::{Core, CoreShape, Density, Make, Plain, Rated, Weighed, Wound, Wrap, WrapForm};
pub use plan::{Plan, Player, Rocking, ShopLimits, Target, Tick};
pub use rack::RackString;
pub use reorder::{count_readings, insert_course, remove_course};
pub use setup::{CourseSetup, Setup};
pub use visit::{Reading, Visit};

use json::record_json;

/// Fields that this version does not know, kept as they were read.
pub type Extra = serde_json::Map<String, serde_json::Value>;

/// The word that names the workshop file's format.
pub const FORMAT: &str = "strungwell-workshop";

/// The version of the workshop file that this program writes, and the newest that it reads.
pub const VERSION: u32 = 1;

/// A whole shop: what one workshop file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Workshop {
    /// The format's word, always [`FORMAT`].
    pub format: String,
    /// The format's version, from 1 to [`VERSION`].
    pub version: u32,
    /// When the file was written, as text such as `2026-01-31T10:00:00Z`; none in a file written by hand.
    pub exported: Option<String>,
    /// The people whose instruments these are.
    pub owners: Vec<Owner>,
    /// The strings that the shop has or can get.
    pub rack: Vec<RackString>,
    /// The instruments.
    pub instruments: Vec<Instrument>,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Workshop {
    /// An empty shop of the present version.
    fn default() -> Self {
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            exported: None,
            owners: Vec::new(),
            rack: Vec::new(),
            instruments: Vec::new(),
            extra: Extra::new(),
        }
    }
}

impl Workshop {
    /// The rack string with this id, or none.
    #[must_use]
    pub fn rack_string(&self, id: &str) -> Option<&RackString> {
        self.rack.iter().find(|string| string.id == id)
    }

    /// The owner with this id, or none.
    #[must_use]
    pub fn owner(&self, id: &str) -> Option<&Owner> {
        self.owners.iter().find(|owner| owner.id == id)
    }
}

/// A person whose instruments come to the bench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Owner {
    /// What other records call this one; any text, the same in no other owner.
    pub id: String,
    /// The person's name.
    pub name: String,
    /// How to reach them.
    pub contact: String,
    /// Anything else.
    pub note: String,
    /// When this record was changed last, as a moment; none when not known.
    pub changed: Option<String>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Workshop {
    format,
    version,
    exported,
    owners,
    rack,
    instruments
});
record_json!(Owner {
    id,
    name,
    contact,
    note,
    changed
});
