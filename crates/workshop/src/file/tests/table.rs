//! The table against the types.

use super::super::schema::{Field, Presence};
use super::*;
use serde_json::Map;

/// Every record of a value with its row of the table.
fn each_record<'a>(
    value: &'a Value,
    kind: &'static Kind,
    found: &mut Vec<(&'a Map<String, Value>, &'static Kind)>,
) {
    let Value::Object(fields) = value else { return };
    found.push((fields, kind));
    let into = |takes: &Takes, value: &'a Value, found: &mut Vec<_>| match takes {
        Takes::Record(kind) => each_record(value, kind, found),
        Takes::Records { of, .. } => {
            value
                .as_array()
                .into_iter()
                .flatten()
                .for_each(|item| each_record(item, of, found));
        }
        _ => {}
    };
    for Field { name, takes, .. } in kind.fields {
        let Some(value) = fields.get(*name) else {
            continue;
        };
        if let Takes::OneOf(kinds) = takes {
            for make in *kinds {
                if let Some(inner) = value.get(make.name) {
                    into(&make.takes, inner, found);
                }
            }
        } else {
            into(takes, value, found);
        }
    }
}

#[test]
fn the_table_and_the_types_have_the_same_fields() {
    let written =
        serde_json::from_str::<Value>(&write(&read_value(&whole_shop()).unwrap())).unwrap();
    let mut found = Vec::new();
    each_record(&written, &WORKSHOP, &mut found);
    for (fields, kind) in &found {
        let mut of_the_types: Vec<&str> = fields.keys().map(String::as_str).collect();
        let mut of_the_table: Vec<&str> = kind.fields.iter().map(|field| field.name).collect();
        of_the_types.sort_unstable();
        of_the_table.sort_unstable();
        assert_eq!(of_the_types, of_the_table, "{}", kind.word);
    }
    for kind in KINDS {
        assert!(
            found.iter().any(|(_, seen)| seen.word == kind.word),
            "no {} in the example",
            kind.word
        );
        assert_eq!(
            KINDS.iter().filter(|other| other.word == kind.word).count(),
            1,
            "{}",
            kind.word
        );
    }
}

fn is_needed(pointer: &str) -> bool {
    let name = pointer.rsplit('/').next().unwrap_or_default();
    KINDS.iter().any(|kind| {
        kind.field(name)
            .is_some_and(|field| field.presence == Presence::Needed)
    })
}

#[test]
fn a_needed_field_missing_anywhere_is_named() {
    let mut all = Vec::new();
    pointers(&whole_shop(), "", &mut all);
    let mut tried = 0;
    for pointer in all.iter().filter(|pointer| is_needed(pointer)) {
        let (parent, name) = pointer.rsplit_once('/').unwrap();
        let mut value = whole_shop();
        let Some(Value::Object(fields)) = value.pointer_mut(parent) else {
            continue;
        };
        fields.remove(name);
        if let Err(problem) = read_value(&value) {
            tried += 1;
            assert!(
                problem.field == name || problem.field == "make" || problem.field == "rack, make",
                "{pointer}: {problem}"
            );
        }
    }
    assert!(tried > 30, "{tried}");
}
