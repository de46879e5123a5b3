//! From text to a JSON value, with the place of what is wrong.

use super::MOST_BYTES;
use crate::problem::{Problem, clean};
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

const A_WHOLE_FILE: &str = "a whole workshop file in JSON";

/// Reads JSON of at most [`MOST_BYTES`], at most 127 records or lists deep, no field twice in a record.
pub(super) fn parse(text: &str) -> Result<Value, Problem> {
    if text.len() > MOST_BYTES {
        return Err(Problem {
            record: "the file".into(),
            field: "its size".into(),
            read: format!("{} bytes", text.len()),
            accept: format!("at most {MOST_BYTES} bytes (32 MiB)"),
        });
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    serde_json::from_str::<Unrepeated>(text)
        .map(|read| read.0)
        .map_err(|error| told(&error))
}

/// The JSON library's error in our words.
fn told(error: &serde_json::Error) -> Problem {
    let whole = error.to_string();
    let reason = whole.split(" at line ").next().unwrap_or_default();
    let read = if error.is_eof() {
        "the end of the text, so the file is cut short".to_owned()
    } else if reason.contains("recursion limit") {
        "more than 127 records or lists inside one another".to_owned()
    } else if error.is_data() {
        clean(reason, 120)
    } else {
        format!("something that is not JSON ({})", clean(reason, 120))
    };
    Problem {
        record: "the file".into(),
        field: format!("line {}, column {}", error.line(), error.column()),
        read,
        accept: A_WHOLE_FILE.into(),
    }
}

/// A JSON value in whose records no field stands twice: of two, one would be lost without a word.
struct Unrepeated(Value);

impl<'de> Deserialize<'de> for Unrepeated {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Collect).map(Self)
    }
}

struct Collect;

impl<'de> Visitor<'de> for Collect {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value)
            .map(Value::Number)
            .ok_or_else(|| E::custom("a number too large to hold"))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(Unrepeated(value)) = list.next_element()? {
            values.push(value);
        }
        Ok(Value::Array(values))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut record: A) -> Result<Value, A::Error> {
        let mut fields = Map::new();
        while let Some(name) = record.next_key::<String>()? {
            if fields.contains_key(&name) {
                return Err(de::Error::custom(format_args!(
                    "the field \"{}\" for the second time in one record",
                    clean(&name, 60)
                )));
            }
            let Unrepeated(value) = record.next_value()?;
            fields.insert(name, value);
        }
        Ok(Value::Object(fields))
    }
}
