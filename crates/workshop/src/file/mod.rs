//! Reading and writing the workshop file, and its records one by one.
//!
//! Nothing is half read: a text either becomes a whole value whose every field is within its limits, or a [`Problem`]
//! that names the record, the field, what stands there and what would be accepted. No text makes the reader panic.
//! What the limits are is written in `docs/workshop-file.md` and in one table ([`limits`] gives a row of it).

mod parse;
mod schema;
mod table;
mod table_loads;
mod table_makes;
mod table_plan;
mod walk;

#[cfg(test)]
mod tests;

pub use schema::Limits;

use crate::problem::{Problem, quoted};
use crate::records::json::{Json, Writer};
use crate::records::{FORMAT, Instrument, Owner, RackString, VERSION, Workshop};
use schema::{Kind, Takes};
use serde_json::Value;
use table::{INSTRUMENT, KINDS, OWNER, RACK_STRING, WORKSHOP};
use walk::{Ids, label, label_of, walk};

/// The largest file that is read, in bytes: 32 MiB.
pub const MOST_BYTES: usize = 32 * 1024 * 1024;

/// Reads a workshop file.
///
/// # Errors
/// A [`Problem`] when the text is larger than [`MOST_BYTES`], no JSON, cut short, nested deeper than 127 levels, of another
/// format or a newer version, or when a field is missing, of the wrong kind, out of its limits, or refers to nothing.
pub fn read(text: &str) -> Result<Workshop, Problem> {
    let mut value = parse::parse(text)?;
    let version = version_of(&value)?;
    value = migrate(value, version)?;
    walk(&mut value, &WORKSHOP, WORKSHOP.word.into())?;
    let workshop = typed(value, WORKSHOP.word)?;
    check_references(&workshop)?;
    Ok(workshop)
}

/// Reads a workshop file from bytes, as they come from a disk.
///
/// # Errors
/// As [`read`]; also when the bytes are not UTF-8 text.
pub fn read_bytes(bytes: &[u8]) -> Result<Workshop, Problem> {
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text),
        Err(error) => Err(Problem {
            record: WORKSHOP.word.into(),
            field: format!("byte {}", error.valid_up_to() + 1),
            read: "something that is not text in UTF-8".into(),
            accept: "a workshop file in JSON".into(),
        }),
    }
}

/// Writes a workshop file: JSON with indents, known fields in a fixed order, then the unknown ones by name.
///
/// The same records give the same text, and reading it gives the same records. A number that is not finite is written as
/// null; [`check`] finds it beforehand.
#[must_use]
pub fn write(workshop: &Workshop) -> String {
    Writer::text_of(workshop)
}

/// Checks records made in the program as [`read`] checks them in a file.
///
/// # Errors
/// The first [`Problem`] found.
pub fn check(workshop: &Workshop) -> Result<(), Problem> {
    read(&write(workshop)).map(drop)
}

/// Reads one owner, as a browser stores it.
///
/// # Errors
/// As [`read`].
pub fn read_owner(text: &str) -> Result<Owner, Problem> {
    read_one(text, &OWNER)
}

/// Reads one rack string, as a browser stores it.
///
/// # Errors
/// As [`read`].
pub fn read_rack_string(text: &str) -> Result<RackString, Problem> {
    read_one(text, &RACK_STRING)
}

/// Reads one instrument, as a browser stores it. Whether its owner and rack strings exist is not looked at.
///
/// # Errors
/// As [`read`].
pub fn read_instrument(text: &str) -> Result<Instrument, Problem> {
    read_one(text, &INSTRUMENT)
}

/// Writes one record, as a browser stores it: JSON in the same order as [`write`].
#[must_use]
pub fn write_owner(owner: &Owner) -> String {
    Writer::text_of(owner)
}

/// Writes one record, as a browser stores it: JSON in the same order as [`write`].
#[must_use]
pub fn write_rack_string(string: &RackString) -> String {
    Writer::text_of(string)
}

/// Writes one record, as a browser stores it: JSON in the same order as [`write`].
#[must_use]
pub fn write_instrument(instrument: &Instrument) -> String {
    Writer::text_of(instrument)
}

/// Checks one instrument as [`read_instrument`] does.
///
/// # Errors
/// The first [`Problem`] found.
pub fn check_instrument(instrument: &Instrument) -> Result<(), Problem> {
    read_instrument(&write_instrument(instrument)).map(drop)
}

/// Checks one rack string as [`read_rack_string`] does.
///
/// # Errors
/// The first [`Problem`] found.
pub fn check_rack_string(string: &RackString) -> Result<(), Problem> {
    read_rack_string(&write_rack_string(string)).map(drop)
}

/// The limits of a number in a record, or none when there is no such number.
///
/// The record is named by its word: `owner`, `rack string`, `instrument`, `course`, `string`, `plain`, `wound`, `core`,
/// `wrap`, `weighed`, `rated`, `density`, `press`, `pluck`, `setup`, `course setup`, `bridge`, `neck`, `bar`, `tuner`, `former
/// strings`, `settling`, `look`, `playing in`, `count`, `warm reading`, `player`, `plan`,
/// `shop limits`, `rocker reading`, `step done`, `visit` or `reading`.
#[must_use]
pub fn limits(record: &str, field: &str) -> Option<Limits> {
    let kind = KINDS.iter().find(|kind| kind.word == record)?;
    match kind.field(field)?.takes {
        Takes::Number(limits) | Takes::Numbers { of: limits, .. } => Some(limits),
        _ => None,
    }
}

/// The version that a file says it is of, when it is a workshop file at all.
fn version_of(value: &Value) -> Result<u32, Problem> {
    let problem = |field: &str, read: String, accept: String| Problem {
        record: WORKSHOP.word.into(),
        field: field.into(),
        read,
        accept,
    };
    if !value.is_object() {
        return Err(problem(
            "",
            "something else than one JSON record".into(),
            "a workshop file".into(),
        ));
    }
    match value.get("format") {
        Some(Value::String(word)) if word == FORMAT => {}
        other => {
            let read = match other {
                Some(Value::String(word)) => quoted(word),
                Some(_) => "something else than a text".into(),
                None => "nothing".into(),
            };
            return Err(problem("format", read, format!("\"{FORMAT}\"")));
        }
    }
    let oldest_to_newest = if VERSION == 1 {
        "1".into()
    } else {
        format!("1 to {VERSION}")
    };
    let accept = format!("version {oldest_to_newest}");
    match value.get("version").and_then(Value::as_f64) {
        Some(version) if version > f64::from(VERSION) && version.fract() == 0.0 => Err(problem(
            "version",
            format!("{version}, which a newer version of this program wrote"),
            accept,
        )),
        Some(version) => (1..=VERSION)
            .find(|known| f64::from(*known).total_cmp(&version).is_eq())
            .ok_or_else(|| problem("version", version.to_string(), accept)),
        None if value
            .get("version")
            .is_some_and(|version| !version.is_null()) =>
        {
            Err(problem(
                "version",
                "something else than a number".into(),
                accept,
            ))
        }
        None => Err(problem("version", "nothing".into(), accept)),
    }
}

/// Brings a file of an earlier version to the present one, one version at a time.
///
/// # Errors
/// A [`Problem`] when there is no such earlier version.
pub fn migrate(value: Value, from_version: u32) -> Result<Value, Problem> {
    // Version 1 is the first: there is nothing to bring forward yet. A later version adds its step here.
    if from_version == VERSION {
        return Ok(value);
    }
    Err(Problem {
        record: WORKSHOP.word.into(),
        field: "version".into(),
        read: from_version.to_string(),
        accept: format!("version {VERSION}"),
    })
}

fn read_one<T: Json>(text: &str, kind: &'static Kind) -> Result<T, Problem> {
    let mut value = parse::parse(text).map_err(|problem| Problem {
        record: format!("the stored {}", kind.word),
        accept: format!("a whole {} in JSON", kind.word),
        ..problem
    })?;
    let label = label_of(&value, kind.word, None);
    walk(&mut value, kind, label.clone())?;
    typed(value, &label)
}

/// The typed record of a value that the walk has passed; a refusal here would be a gap in the table.
fn typed<T: Json>(value: Value, label: &str) -> Result<T, Problem> {
    T::from_json(value).ok_or_else(|| Problem {
        record: label.to_owned(),
        field: String::new(),
        read: "something that does not fit".into(),
        accept: "a record as the workshop file describes it".into(),
    })
}

/// That every owner and rack string referred to is in the file.
fn check_references(workshop: &Workshop) -> Result<(), Problem> {
    let owners = Ids::of(workshop.owners.iter().map(|owner| owner.id.as_str()));
    let rack = Ids::of(workshop.rack.iter().map(|string| string.id.as_str()));
    for (index, instrument) in workshop.instruments.iter().enumerate() {
        let named = || {
            label(
                INSTRUMENT.word,
                &instrument.name,
                &instrument.id,
                Some(index + 1),
            )
        };
        if let Some(id) = instrument.owner.as_deref().filter(|id| !owners.hold(id)) {
            return Err(Problem {
                record: named(),
                field: "owner".into(),
                read: quoted(id),
                accept: "the id of an owner in this file, or null,".into(),
            });
        }
        let own = instrument.courses.len();
        for (place, course) in instrument.all_courses().enumerate() {
            for (string, fitted) in course.strings.iter().enumerate() {
                if let Some(id) = fitted.rack.as_deref().filter(|id| !rack.hold(id)) {
                    let (before, place) = match place.checked_sub(own) {
                        Some(place) => ("former, ", place),
                        None => ("", place),
                    };
                    return Err(Problem {
                        record: format!(
                            "{} ({before}course {}, string {})",
                            named(),
                            place + 1,
                            string + 1
                        ),
                        field: "rack".into(),
                        read: quoted(id),
                        accept: "the id of a rack string in this file".into(),
                    });
                }
            }
        }
    }
    Ok(())
}
