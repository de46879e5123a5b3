//! Records from JSON and to JSON.
//!
//! Each record lists its fields once ([`record_json`]); reading takes them out of the JSON record and keeps what is left as
//! the unknown ones, writing writes them in the same order and the unknown ones after. Ranges are not looked at here.
//! Derived serialisation would do the same at several times the size of the page's code.

use super::Extra;
use serde_json::{Number, Value};

/// What can be read from JSON and written as JSON.
pub(crate) trait Json: Sized {
    /// The value, or none when the JSON is of another kind.
    fn from_json(value: Value) -> Option<Self>;

    /// Writes the value.
    fn write(&self, out: &mut Writer);
}

/// The fields of a JSON record while they are taken out of it.
pub(crate) struct Fields(Extra);

impl Fields {
    pub(crate) fn of(value: Value) -> Option<Self> {
        match value {
            Value::Object(fields) => Some(Self(fields)),
            _ => None,
        }
    }

    /// Takes a field out; none where it is of another kind. One that does not stand there is taken as null.
    pub(crate) fn take<T: Json>(&mut self, name: &str) -> Option<T> {
        T::from_json(self.0.remove(name).unwrap_or(Value::Null))
    }

    /// What was not taken.
    pub(crate) fn rest(self) -> Extra {
        self.0
    }
}

/// JSON text with indents of two spaces.
#[derive(Default)]
pub(crate) struct Writer {
    text: String,
    depth: usize,
    /// Something stands already in the list or record that is open.
    begun: bool,
}

impl Writer {
    /// The text of a value.
    pub(crate) fn text_of(value: &impl Json) -> String {
        let mut out = Self::default();
        value.write(&mut out);
        out.text
    }

    pub(crate) fn open(&mut self, bracket: char) {
        self.text.push(bracket);
        self.depth += 1;
        self.begun = false;
    }

    pub(crate) fn close(&mut self, bracket: char) {
        self.depth = self.depth.saturating_sub(1);
        if self.begun {
            self.line();
        }
        self.text.push(bracket);
        self.begun = true;
    }

    /// Begins an item of a list.
    fn item(&mut self) {
        if self.begun {
            self.text.push(',');
        }
        self.line();
        self.begun = true;
    }

    /// Begins a field of a record.
    fn field(&mut self, name: &str) {
        self.item();
        self.string(name);
        self.text.push_str(": ");
    }

    /// A field that this version knows.
    pub(crate) fn known(&mut self, name: &str, value: &impl Json) {
        self.field(name);
        value.write(self);
    }

    /// The fields that this version does not know.
    pub(crate) fn unknown(&mut self, fields: &Extra) {
        for (name, value) in fields {
            self.field(name);
            value.write(self);
        }
    }

    fn line(&mut self) {
        self.text.push('\n');
        for _ in 0..self.depth {
            self.text.push_str("  ");
        }
    }

    fn plain(&mut self, text: &str) {
        self.text.push_str(text);
    }

    pub(crate) fn string(&mut self, text: &str) {
        self.text.push('"');
        for letter in text.chars() {
            match letter {
                '"' => self.plain("\\\""),
                '\\' => self.plain("\\\\"),
                '\n' => self.plain("\\n"),
                '\r' => self.plain("\\r"),
                '\t' => self.plain("\\t"),
                '\u{0}'..='\u{1f}' => {
                    self.plain("\\u00");
                    let code = u32::from(letter);
                    self.text.extend(char::from_digit(code / 16, 16));
                    self.text.extend(char::from_digit(code % 16, 16));
                }
                _ => self.text.push(letter),
            }
        }
        self.text.push('"');
    }
}

/// A number as JSON writes it, to the last digit.
pub(crate) fn number_text(number: &Number) -> String {
    match (number.as_u64(), number.as_i64(), number.as_f64()) {
        (Some(whole), ..) => whole.to_string(),
        (_, Some(whole), _) => whole.to_string(),
        (_, _, decimal) => format!("{:?}", decimal.unwrap_or_default()),
    }
}

impl Json for Value {
    fn from_json(value: Value) -> Option<Self> {
        Some(value)
    }

    fn write(&self, out: &mut Writer) {
        match self {
            Self::Null => out.plain("null"),
            Self::Bool(flag) => flag.write(out),
            Self::Number(number) => out.plain(&number_text(number)),
            Self::String(text) => out.string(text),
            Self::Array(list) => list.write(out),
            Self::Object(fields) => {
                out.open('{');
                out.unknown(fields);
                out.close('}');
            }
        }
    }
}

impl Json for String {
    fn from_json(value: Value) -> Option<Self> {
        match value {
            Value::String(text) => Some(text),
            _ => None,
        }
    }

    fn write(&self, out: &mut Writer) {
        out.string(self);
    }
}

impl Json for f64 {
    fn from_json(value: Value) -> Option<Self> {
        value.as_f64()
    }

    /// A number that is not finite becomes null: JSON has no word for it.
    fn write(&self, out: &mut Writer) {
        if self.is_finite() {
            out.plain(&format!("{self:?}"));
        } else {
            out.plain("null");
        }
    }
}

impl Json for u32 {
    fn from_json(value: Value) -> Option<Self> {
        value
            .as_u64()
            .and_then(|number| Self::try_from(number).ok())
    }

    fn write(&self, out: &mut Writer) {
        out.plain(&self.to_string());
    }
}

impl Json for i32 {
    fn from_json(value: Value) -> Option<Self> {
        value
            .as_i64()
            .and_then(|number| Self::try_from(number).ok())
    }

    fn write(&self, out: &mut Writer) {
        out.plain(&self.to_string());
    }
}

impl<T: Json> Json for Box<T> {
    fn from_json(value: Value) -> Option<Self> {
        T::from_json(value).map(Self::new)
    }

    fn write(&self, out: &mut Writer) {
        (**self).write(out);
    }
}

impl Json for bool {
    fn from_json(value: Value) -> Option<Self> {
        value.as_bool()
    }

    fn write(&self, out: &mut Writer) {
        out.plain(if *self { "true" } else { "false" });
    }
}

impl<T: Json> Json for Option<T> {
    fn from_json(value: Value) -> Option<Self> {
        if value.is_null() {
            Some(None)
        } else {
            T::from_json(value).map(Some)
        }
    }

    fn write(&self, out: &mut Writer) {
        match self {
            Some(value) => value.write(out),
            None => out.plain("null"),
        }
    }
}

impl<T: Json> Json for Vec<T> {
    fn from_json(value: Value) -> Option<Self> {
        match value {
            Value::Array(list) => list.into_iter().map(T::from_json).collect(),
            _ => None,
        }
    }

    fn write(&self, out: &mut Writer) {
        out.open('[');
        for value in self {
            out.item();
            value.write(out);
        }
        out.close(']');
    }
}

/// Reads and writes a record by the list of its known fields, in the order in which they are written. Usual values stand in
/// the JSON by then: the file's reader has put them there.
macro_rules! record_json {
    ($record:ident { $($field:ident),+ $(,)? }) => {
        impl $crate::records::json::Json for $record {
            fn from_json(value: serde_json::Value) -> Option<Self> {
                let mut fields = $crate::records::json::Fields::of(value)?;
                Some(Self {
                    $($field: fields.take(stringify!($field))?,)+
                    extra: fields.rest(),
                })
            }

            fn write(&self, out: &mut $crate::records::json::Writer) {
                out.open('{');
                $(out.known(stringify!($field), &self.$field);)+
                out.unknown(&self.extra);
                out.close('}');
            }
        }
    };
}

/// Reads and writes one of several words.
macro_rules! word_json {
    ($kind:ident { $($variant:ident = $word:literal),+ $(,)? }) => {
        impl $kind {
            /// The word in records.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)+
                }
            }

            /// The one with this word, or none.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word {
                    $($word => Some(Self::$variant),)+
                    _ => None,
                }
            }
        }

        impl $crate::records::json::Json for $kind {
            fn from_json(value: serde_json::Value) -> Option<Self> {
                value.as_str().and_then(Self::from_word)
            }

            fn write(&self, out: &mut $crate::records::json::Writer) {
                out.string(self.word());
            }
        }
    };
}

pub(crate) use {record_json, word_json};

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    #[test]
    fn it_is_laid_out_as_json_usually_is() {
        let value =
            json!({ "a": [1, -2, { "b": [], "c": {} }], "d": null, "e": true, "f": "x\"\\\n" });
        assert_eq!(
            Writer::text_of(&value),
            serde_json::to_string_pretty(&value).unwrap()
        );
    }

    #[test]
    fn every_control_character_and_the_ends_of_numbers_come_back() {
        let text: String = ('\u{0}'..='\u{9f}').collect();
        let value = json!([
            text,
            u64::MAX,
            i64::MIN,
            -1,
            f64::MAX,
            f64::MIN_POSITIVE,
            -0.1,
            1e21,
            381.0
        ]);
        let written = Writer::text_of(&value);
        assert_eq!(serde_json::from_str::<Value>(&written).unwrap(), value);
        assert!(written.contains("\\u001f") && written.contains("381.0"));
    }

    fn any_json() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<f64>().prop_map(Value::from),
            any::<String>().prop_map(Value::from),
        ];
        leaf.prop_recursive(4, 32, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                prop::collection::btree_map(any::<String>(), inner, 0..6)
                    .prop_map(|fields| Value::Object(fields.into_iter().collect())),
            ]
        })
    }

    proptest! {
        #[test]
        fn any_json_comes_back(value in any_json()) {
            let written = Writer::text_of(&value);
            prop_assert_eq!(serde_json::from_str::<Value>(&written).unwrap(), value);
        }
    }
}
