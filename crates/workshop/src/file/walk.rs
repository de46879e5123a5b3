//! Walking a JSON value by the table of records, and saying what stands where it should not.

use super::schema::{Field, Kind, Presence, Takes};
use crate::moment;
use crate::problem::{Problem, clean, quoted};
use crate::records::json::number_text;
use serde_json::{Map, Value};
use strungwell_physics::material::{MATERIALS, Material};
use strungwell_physics::pitch::Note;

/// The longest id, in characters.
const ID_MOST: usize = 100;

/// Checks a record and everything in it, and puts in the usual values of what is left out.
pub(super) fn walk(value: &mut Value, kind: &Kind, label: String) -> Result<(), Problem> {
    let mut place = Place {
        record: label,
        path: Vec::new(),
    };
    match value {
        Value::Object(fields) => place.record(fields, kind),
        other => Err(place.problem("", shown(other), "a record".into())),
    }
}

/// A record's name in words: by its name, else by its id, else by its number in the list, counted from 1.
pub(super) fn label(word: &str, name: &str, id: &str, number: Option<usize>) -> String {
    match (
        [name, id].into_iter().find(|text| !text.trim().is_empty()),
        number,
    ) {
        (Some(text), _) => format!("{word} {}", quoted(text)),
        (None, Some(number)) => format!("{word} {number}"),
        (None, None) => format!("the {word}"),
    }
}

/// The label of a record that is still JSON.
pub(super) fn label_of(value: &Value, word: &str, number: Option<usize>) -> String {
    let text = |name| value.get(name).and_then(Value::as_str).unwrap_or_default();
    label(word, text("name"), text("id"), number)
}

/// Where in a file the walk stands.
struct Place {
    record: String,
    path: Vec<String>,
}

impl Place {
    fn problem(&self, field: &str, read: String, accept: String) -> Problem {
        let record = if self.path.is_empty() {
            self.record.clone()
        } else {
            format!("{} ({})", self.record, self.path.join(", "))
        };
        Problem {
            record,
            field: field.to_owned(),
            read,
            accept,
        }
    }

    fn record(&mut self, fields: &mut Map<String, Value>, kind: &Kind) -> Result<(), Problem> {
        for field in kind.fields {
            if fields.get(field.name).is_none_or(Value::is_null) {
                match field.presence {
                    Presence::Needed => {
                        let accept = accepted(&field.takes);
                        return Err(self.problem(field.name, "nothing".into(), accept));
                    }
                    Presence::Optional => continue,
                    Presence::Usual(number) => {
                        fields.insert(field.name.to_owned(), usual(&field.takes, number));
                    }
                }
            }
            if let Some(value) = fields.get_mut(field.name) {
                self.field(value, field)?;
            }
        }
        if kind.word == "string" {
            self.one_source(fields)?;
        }
        Ok(())
    }

    /// A fitted string comes from the rack or is described in place.
    fn one_source(&self, fields: &Map<String, Value>) -> Result<(), Problem> {
        let given = |name| fields.get(name).is_some_and(|value| !value.is_null());
        let read = match (given("rack"), given("make")) {
            (true, true) => "both",
            (false, false) => "neither",
            _ => return Ok(()),
        };
        Err(self.problem("rack, make", read.into(), "exactly one of the two".into()))
    }

    fn field(&mut self, value: &mut Value, field: &Field) -> Result<(), Problem> {
        let name = field.name;
        let refused = |place: &Self, value: &Value| {
            Err(place.problem(name, shown(value), accepted(&field.takes)))
        };
        match (&field.takes, &mut *value) {
            (Takes::Record(kind), Value::Object(fields)) => {
                self.path.push(name.replace('_', " "));
                self.record(fields, kind)?;
                self.path.pop();
                Ok(())
            }
            (Takes::OneOf(kinds), Value::Object(fields)) => self.one_of(fields, kinds, field),
            (Takes::Records { least, most, .. }, Value::Array(list))
                if list.len() < *least || list.len() > *most =>
            {
                refused(self, value)
            }
            (Takes::Records { of, what, .. }, Value::Array(list)) => {
                self.records(list, name, of, what)
            }
            (Takes::Numbers { of, most, .. }, Value::Array(list)) if list.len() <= *most => {
                for (index, item) in list.iter().enumerate() {
                    if !item.as_f64().is_some_and(|number| of.accept(number)) {
                        let field = format!("{name} {}", index + 1);
                        return Err(self.problem(&field, shown(item), of.to_string()));
                    }
                }
                Ok(())
            }
            (Takes::Number(limits), Value::Number(number)) => {
                match number.as_f64().filter(|number| limits.accept(*number)) {
                    Some(accepted) => {
                        if limits.whole && !number.is_u64() {
                            *value = Value::from(whole(accepted));
                        }
                        Ok(())
                    }
                    None => refused(self, value),
                }
            }
            (Takes::Flag, Value::Bool(_)) => Ok(()),
            (takes, Value::String(text)) if text_fits(takes, text) => Ok(()),
            _ => refused(self, value),
        }
    }

    fn one_of(
        &mut self,
        fields: &mut Map<String, Value>,
        kinds: &[Field],
        field: &Field,
    ) -> Result<(), Problem> {
        let names: Vec<&str> = fields.keys().map(String::as_str).collect();
        let known = match names[..] {
            [name] => kinds.iter().find(|kind| kind.name == name),
            _ => None,
        };
        let Some(known) = known else {
            let read = match names[..] {
                [] => "an empty record".to_owned(),
                [name] => quoted(name),
                _ => format!("{} together", clean(&names.join(", "), 60)),
            };
            return Err(self.problem(field.name, read, accepted(&field.takes)));
        };
        match (&known.takes, fields.get_mut(known.name)) {
            (Takes::Record(kind), Some(Value::Object(inner))) => self.record(inner, kind),
            (takes, other) => {
                let read = other.map_or_else(|| "nothing".into(), |value| shown(value));
                Err(self.problem(known.name, read, accepted(takes)))
            }
        }
    }

    fn records(
        &mut self,
        list: &mut [Value],
        name: &str,
        kind: &Kind,
        what: &str,
    ) -> Result<(), Problem> {
        let top = kind.field("name").is_some();
        for (index, item) in list.iter_mut().enumerate() {
            let label = label_of(item, what, Some(index + 1));
            let Value::Object(fields) = item else {
                let field = format!("{name} {}", index + 1);
                return Err(self.problem(&field, shown(item), "a record".into()));
            };
            if top {
                Self {
                    record: label,
                    path: Vec::new(),
                }
                .record(fields, kind)?;
            } else {
                self.path.push(format!("{what} {}", index + 1));
                self.record(fields, kind)?;
                self.path.pop();
            }
        }
        if kind.field("id").is_some() {
            self.no_id_twice(list, what, top)?;
        }
        Ok(())
    }

    fn no_id_twice(&mut self, list: &[Value], what: &str, top: bool) -> Result<(), Problem> {
        let ids = list
            .iter()
            .map(|item| item.get("id").and_then(Value::as_str).unwrap_or_default());
        let Some((id, index)) = Ids::of(ids).first_repeated() else {
            return Ok(());
        };
        let accept = format!("an id that no other {what} has");
        if top {
            let item = list.get(index).unwrap_or(&Value::Null);
            let record = label_of(item, what, Some(index + 1));
            return Err(Problem {
                record,
                field: "id".into(),
                read: quoted(id),
                accept,
            });
        }
        self.path.push(format!("{what} {}", index + 1));
        Err(self.problem("id", quoted(id), accept))
    }
}

/// The ids of a list, to be found among.
pub(super) struct Ids<'a>(Vec<(&'a str, usize)>);

impl<'a> Ids<'a> {
    pub(super) fn of(ids: impl Iterator<Item = &'a str>) -> Self {
        let mut sorted: Vec<(&str, usize)> =
            ids.enumerate().map(|(index, id)| (id, index)).collect();
        sorted.sort_unstable();
        Self(sorted)
    }

    pub(super) fn hold(&self, id: &str) -> bool {
        self.0
            .binary_search_by(|(known, _)| (*known).cmp(id))
            .is_ok()
    }

    /// The first id in the list that stood before it already, and its place counted from 0.
    fn first_repeated(&self) -> Option<(&'a str, usize)> {
        let later = |pair: &[(&'a str, usize)]| match pair {
            [(first, _), second] if *first == second.0 => Some(*second),
            _ => None,
        };
        self.0
            .windows(2)
            .filter_map(later)
            .min_by_key(|(_, index)| *index)
    }
}

/// A whole number that the table accepted; its limits are far inside what 32 bits hold.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
const fn whole(number: f64) -> u32 {
    number as u32
}

/// Whether a text is what a field of texts takes.
fn text_fits(takes: &Takes, text: &str) -> bool {
    match takes {
        Takes::Text(most) => text.chars().count() <= *most,
        Takes::Id => !text.trim().is_empty() && text.chars().count() <= ID_MOST,
        Takes::Day => text.is_empty() || moment::day(text).is_some(),
        Takes::Moment => moment::seconds(text).is_some(),
        Takes::Note => Note::parse(text).is_ok(),
        Takes::Material => Material::from_key(text).is_some(),
        Takes::Word(words) => words.contains(&text),
        _ => false,
    }
}

/// What a field takes, in words.
fn accepted(takes: &Takes) -> String {
    match takes {
        Takes::Text(most) => format!("a text of at most {most} characters"),
        Takes::Id => format!("a text that is not empty, of at most {ID_MOST} characters,"),
        Takes::Day => "a day written as 2026-01-31".into(),
        Takes::Moment => {
            "a moment written as 2026-01-31T10:00Z (or with a zone such as +01:00 for the Z)".into()
        }
        Takes::Note => {
            "a note such as G3 or Bb2 (a letter A to G, perhaps # or b, and an octave from 0 to 8)"
                .into()
        }
        Takes::Material => {
            let words: Vec<&str> = MATERIALS.iter().map(|row| row.key).collect();
            format!("one of {}", words.join(", "))
        }
        Takes::Word(words) => format!("one of {}", words.join(", ")),
        Takes::Flag => "true or false".into(),
        Takes::Number(limits) if limits.whole => format!("{limits}, a whole number,"),
        Takes::Number(limits) => limits.to_string(),
        Takes::Record(_) => "a record".into(),
        Takes::OneOf(kinds) => {
            let words: Vec<&str> = kinds.iter().map(|kind| kind.name).collect();
            format!("a record with exactly one of {}", words.join(", "))
        }
        Takes::Records {
            whats,
            least: 0,
            most,
            ..
        }
        | Takes::Numbers { whats, most, .. } => {
            format!("a list of at most {most} {whats}")
        }
        Takes::Records {
            whats, least, most, ..
        } => format!("a list of {least} to {most} {whats}"),
    }
}

/// The usual value of a field: the number that the table gives, else nothing, said in the field's own kind.
fn usual(takes: &Takes, number: f64) -> Value {
    match takes {
        Takes::Number(limits) if limits.whole => Value::from(whole(number)),
        Takes::Number(_) => Value::from(number),
        Takes::Flag => Value::Bool(false),
        Takes::Word(words) => Value::from(words.first().copied().unwrap_or_default()),
        Takes::Record(_) | Takes::OneOf(_) => Value::Object(Map::new()),
        Takes::Records { .. } | Takes::Numbers { .. } => Value::Array(Vec::new()),
        Takes::Text(_) | Takes::Id | Takes::Day | Takes::Moment | Takes::Note | Takes::Material => {
            Value::String(String::new())
        }
    }
}

/// A value as a sentence shows it.
fn shown(value: &Value) -> String {
    match value {
        Value::Null => "nothing".into(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) => number_text(number),
        Value::String(text) => quoted(text),
        Value::Array(list) => format!("a list of {}", list.len()),
        Value::Object(_) => "a record".into(),
    }
}
