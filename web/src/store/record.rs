//! What the three kinds of record have in common for the store.

use super::route::Space;
use strungwell_workshop::file;
use strungwell_workshop::problem::Problem;
use strungwell_workshop::records::{Instrument, Owner, RackString};

/// A record that stands in the browser's storage under a key of its own.
pub(crate) trait Record: Clone + PartialEq + Send + Sync + 'static {
    /// The word for its kind in keys.
    const KIND: &'static str;

    /// Its id.
    fn id(&self) -> &str;
    /// Gives it another id.
    fn set_id(&mut self, id: String);
    /// What a person calls it.
    fn name(&self) -> &str;
    /// Reads it.
    fn read(text: &str) -> Result<Self, Problem>;
    /// Writes it.
    fn write(&self) -> String;
    /// Whether it would be read again.
    fn check(&self) -> Result<(), Problem>;

    /// The key of the record with this id.
    fn key(space: Space, id: &str) -> String {
        format!("{}{}.{id}", space.prefix(), Self::KIND)
    }

    /// The key of the list that keeps these records' order.
    fn order_key(space: Space) -> String {
        format!("{}order.{}", space.prefix(), Self::KIND)
    }
}

impl Record for Instrument {
    const KIND: &'static str = "instrument";

    fn id(&self) -> &str {
        &self.id
    }

    fn set_id(&mut self, id: String) {
        self.id = id;
    }

    fn name(&self) -> &str {
        &self.name
    }

    fn read(text: &str) -> Result<Self, Problem> {
        file::read_instrument(text)
    }

    fn write(&self) -> String {
        file::write_instrument(self)
    }

    fn check(&self) -> Result<(), Problem> {
        file::check_instrument(self)
    }
}

impl Record for RackString {
    const KIND: &'static str = "rack";

    fn id(&self) -> &str {
        &self.id
    }

    fn set_id(&mut self, id: String) {
        self.id = id;
    }

    fn name(&self) -> &str {
        &self.name
    }

    fn read(text: &str) -> Result<Self, Problem> {
        file::read_rack_string(text)
    }

    fn write(&self) -> String {
        file::write_rack_string(self)
    }

    fn check(&self) -> Result<(), Problem> {
        file::check_rack_string(self)
    }
}

impl Record for Owner {
    const KIND: &'static str = "owner";

    fn id(&self) -> &str {
        &self.id
    }

    fn set_id(&mut self, id: String) {
        self.id = id;
    }

    fn name(&self) -> &str {
        &self.name
    }

    fn read(text: &str) -> Result<Self, Problem> {
        file::read_owner(text)
    }

    fn write(&self) -> String {
        file::write_owner(self)
    }

    fn check(&self) -> Result<(), Problem> {
        file::read_owner(&file::write_owner(self)).map(drop)
    }
}
