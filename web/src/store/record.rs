//! What the three kinds of record have in common for the store.

use super::card::Card;
use super::route::Space;
use super::stored::{self, Stored};
use strungwell_workshop::file;
use strungwell_workshop::merge::{stamp, stamp_instrument};
use strungwell_workshop::problem::{Problem, quoted};
use strungwell_workshop::records::{Instrument, Owner, RackString};

/// A record that stands in the browser's storage under a key of its own.
pub(crate) trait Record: Clone + PartialEq + Send + Sync + 'static {
    /// The word for its kind in keys.
    const KIND: &'static str;
    /// What the page holds of it while it is not open.
    type Line: Line<Self>;

    /// Its id.
    fn id(&self) -> &str;
    /// Gives it another id.
    fn set_id(&mut self, id: String);
    /// What a person calls it.
    fn name(&self) -> &str;
    /// Reads its JSON.
    fn read(text: &str) -> Result<Self, Problem>;
    /// Writes its JSON.
    fn write(&self) -> String;
    /// Says in it when it was changed.
    fn stamp(&mut self, before: Option<&Self>, now: &str);
    /// The line to show it by: its name first.
    fn head(&self) -> Vec<String> {
        vec![self.name().to_owned()]
    }

    /// The text that is stored.
    fn sealed(&self) -> String {
        stored::seal(&self.head(), &self.write())
    }

    /// The text that is stored, and the record as it will be read from it.
    ///
    /// # Errors
    /// Where it could not be read again.
    fn sealed_and_read(&self) -> Result<(String, Self), Problem> {
        let json = self.write();
        Self::read(&json).map(|read| (stored::seal(&self.head(), &json), read))
    }

    /// The key of the record with this id.
    fn key(space: Space, id: &str) -> String {
        format!("{}{}.{id}", space.prefix(), Self::KIND)
    }

    /// The key of the list that keeps these records' order.
    fn order_key(space: Space) -> String {
        format!("{}order.{}", space.prefix(), Self::KIND)
    }
}

/// What the page holds of a record: of owners and strings all of it, of instruments a card.
pub(crate) trait Line<R>: Clone + PartialEq + Send + Sync + 'static {
    /// The record's id.
    fn id(&self) -> &str;
    /// Its name.
    fn name(&self) -> &str;
    /// The line of a record and its stored text.
    fn of(record: R, text: &str) -> Self;
    /// The line of a stored text and the record that was read from it.
    fn of_read(record: R, text: &str) -> Self {
        Self::of(record, text)
    }
    /// The line of a stored text whose checksum is right; none where the whole record is needed for it.
    fn of_head(_id: &str, _head: &[String], _text: &str) -> Option<Self> {
        None
    }
    /// The whole record.
    fn record(&self) -> Result<R, String>;
}

/// The whole record of a stored text.
///
/// # Errors
/// A sentence without its stop.
pub(super) fn whole<R: Record>(text: &str, id: &str) -> Result<R, String> {
    let json = match stored::look(text) {
        Ok(Stored::Bare(json)) => Ok(json.to_owned()),
        Ok(Stored::Sealed(_, body)) => stored::json(body),
        Err(why) => Err(why),
    };
    let json = json.map_err(|why| {
        let word = if R::KIND == RackString::KIND {
            "rack string"
        } else {
            R::KIND
        };
        match stored::name_on(text).as_str() {
            "" => format!("this {word} {why}"),
            name => format!("the {word} {} {why}", quoted(name)),
        }
    })?;
    let record = R::read(&json).and_then(|record| with_id(record, id));
    record.map_err(|problem| problem.to_string())
}

/// The line of a stored text: without reading the whole record where that can be.
///
/// # Errors
/// As [`whole`].
pub(super) fn line<R: Record>(text: &str, id: &str) -> Result<R::Line, String> {
    if let Ok(Stored::Sealed(head, _)) = stored::look(text)
        && let Some(line) = R::Line::of_head(id, &head, text)
    {
        return Ok(line);
    }
    whole::<R>(text, id).map(|record| R::Line::of(record, text))
}

/// A record under another's key would be written to its own key, over whatever is there.
fn with_id<R: Record>(record: R, id: &str) -> Result<R, Problem> {
    if record.id() == id {
        return Ok(record);
    }
    Err(Problem {
        record: format!("the stored {} {}", R::KIND, quoted(record.name())),
        field: "id".into(),
        read: quoted(record.id()),
        accept: format!("{}, the id in its key,", quoted(id)),
    })
}

macro_rules! record {
    ($record:ident, $kind:literal, $line:ident, $read:ident, $write:ident, $stamp:ident $(, $head:path)?) => {
        impl Record for $record {
            const KIND: &'static str = $kind;
            type Line = $line;

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
                file::$read(text)
            }

            fn write(&self) -> String {
                file::$write(self)
            }

            fn stamp(&mut self, before: Option<&Self>, now: &str) {
                $stamp(before, self, now);
            }

            $(fn head(&self) -> Vec<String> {
                $head(self)
            })?
        }
    };
}

/// Owners and strings are held whole.
macro_rules! held_whole {
    ($record:ident) => {
        impl Line<$record> for $record {
            fn id(&self) -> &str {
                &self.id
            }

            fn name(&self) -> &str {
                &self.name
            }

            fn of(record: $record, _: &str) -> Self {
                record
            }

            fn record(&self) -> Result<$record, String> {
                Ok(self.clone())
            }
        }
    };
}

record!(
    Instrument,
    "instrument",
    Card,
    read_instrument,
    write_instrument,
    stamp_instrument,
    Card::head
);
record!(
    RackString,
    "rack",
    RackString,
    read_rack_string,
    write_rack_string,
    stamp
);
record!(Owner, "owner", Owner, read_owner, write_owner, stamp);
held_whole!(RackString);
held_whole!(Owner);
