//! The JSON Schema of the workshop file, made from the table and from what the format's page says each field means.

use super::super::schema::{Field, Presence};
use super::table::section;
use super::*;
use serde_json::Map;

const PAGE: &str = include_str!("../../../../../docs/workshop-file.md");
const BESIDE_IT: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../docs/workshop-file.schema.json"
);

/// What the page says a field means, and what stands for it when it is left out.
fn meaning(kind: &Kind, field: &Field) -> String {
    let row = format!("| `{}` |", field.name);
    let row = section(PAGE, kind.word)
        .lines()
        .find(|line| line.starts_with(&row))
        .unwrap_or_else(|| panic!("no row {} {}", kind.word, field.name));
    let cells: Vec<&str> = row.trim_matches(['|', ' ']).split(" | ").collect();
    let words = cells[3].replace('`', "");
    match cells[2] {
        "needed" => words,
        left_out => format!("{words}. If left out: {}", left_out.replace('`', "")),
    }
}

/// The name of a kind among the schema's definitions.
fn name(kind: &Kind) -> String {
    kind.word.replace(' ', "-")
}

fn refer(kind: &Kind) -> Value {
    json!({ "$ref": format!("#/$defs/{}", name(kind)) })
}

fn numbers(limits: &Limits) -> Value {
    let word = if limits.whole { "integer" } else { "number" };
    json!({ "type": word, "minimum": limits.low, "maximum": limits.high })
}

fn takes(field: &Field) -> Value {
    match &field.takes {
        Takes::Text(_) if field.name == "format" => json!({ "const": FORMAT }),
        Takes::Text(most) => json!({ "type": "string", "maxLength": most }),
        Takes::Id => json!({ "type": "string", "maxLength": 100, "pattern": "\\S" }),
        Takes::Day => json!({ "anyOf": [{ "const": "" }, { "type": "string", "format": "date" }] }),
        Takes::Moment => json!({
            "type": "string",
            "pattern": "^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?(Z|[+-](0[0-9]|1[0-4]):[0-5][0-9])$"
        }),
        Takes::Note => json!({
            "type": "string", "pattern": "^\\s*[A-Ga-g][#b\u{266f}\u{266d}]{0,2}\\s*[0-8]\\s*$"
        }),
        Takes::Material => {
            json!({ "enum": strungwell_physics::material::MATERIALS.map(|row| row.key) })
        }
        Takes::Word(words) => json!({ "enum": words }),
        Takes::Flag => json!({ "type": "boolean" }),
        Takes::Number(limits) => numbers(limits),
        Takes::Record(kind) => refer(kind),
        Takes::OneOf(kinds) => {
            let inner = kinds.iter().map(|kind| (kind.name.to_owned(), takes(kind)));
            json!({
                "type": "object", "minProperties": 1, "maxProperties": 1, "additionalProperties": false,
                "properties": inner.collect::<Map<_, _>>()
            })
        }
        Takes::Records {
            of, least, most, ..
        } => {
            json!({ "type": "array", "minItems": least, "maxItems": most, "items": refer(of) })
        }
        Takes::Numbers { of, most, .. } => {
            json!({ "type": "array", "maxItems": most, "items": numbers(of) })
        }
    }
}

/// What a schema describes, or null.
fn or_null(mut schema: Value) -> Value {
    if let Some(word) = schema.get("type").cloned() {
        schema["type"] = json!([word, "null"]);
        return schema;
    }
    json!({ "anyOf": [schema, { "type": "null" }] })
}

fn property(kind: &Kind, field: &Field) -> Value {
    let mut value = match field.presence {
        Presence::Needed => takes(field),
        _ => or_null(takes(field)),
    };
    value["description"] = meaning(kind, field).into();
    if let (Takes::Number(_), Presence::Usual(number)) = (&field.takes, field.presence) {
        value["default"] = number.into();
    }
    value
}

fn definition(kind: &Kind) -> Value {
    let fields = kind.fields.iter();
    let needed: Vec<&str> = fields
        .clone()
        .filter(|field| field.presence == Presence::Needed)
        .map(|field| field.name)
        .collect();
    let properties: Map<_, _> = fields
        .map(|field| (field.name.to_owned(), property(kind, field)))
        .collect();
    let mut value = json!({ "type": "object", "required": needed, "properties": properties });
    if kind.word == "string" {
        let given = |name: &str| json!({ "required": [name], "properties": { name: { "not": { "type": "null" } } } });
        value["oneOf"] = json!([given("rack"), given("make")]);
    }
    value
}

fn schema() -> Value {
    let mut whole = definition(&WORKSHOP);
    whole["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    whole["title"] = "Strungwell workshop file, version 1".into();
    whole["description"] = "Further fields are allowed everywhere but beside the one field of a make, and are kept. Beyond what a \
        schema can say, an id stands once in its list, an owner or a rack string referred to is in the file, and no field stands twice \
        in a record."
        .into();
    let rest = KINDS.iter().filter(|kind| kind.word != WORKSHOP.word);
    let rest: Map<_, _> = rest.map(|kind| (name(kind), definition(kind))).collect();
    whole["$defs"] = rest.into();
    whole
}

#[test]
fn the_schema_is_that_of_the_table() {
    let wanted = schema();
    if std::env::var_os("STRUNGWELL_RENEW").is_some() {
        std::fs::write(BESIDE_IT, format!("{wanted:#}\n")).unwrap();
    }
    let stands = std::fs::read_to_string(BESIDE_IT).unwrap_or_default();
    assert!(
        serde_json::from_str::<Value>(&stands).ok() == Some(wanted),
        "docs/workshop-file.schema.json is not what the table says; renew it with \
         STRUNGWELL_RENEW=1 cargo test -p strungwell-workshop json_schema"
    );
}
