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

/// The section of the format's page under a heading of the third level.
pub(super) fn section<'a>(page: &'a str, heading: &str) -> &'a str {
    let from = page.find(&format!("\n### {heading}\n")).map(|at| at + 5);
    let rest = &page[from.unwrap_or_else(|| panic!("no section on the {heading}"))..];
    &rest[..rest.find("\n#").unwrap_or(rest.len())]
}

#[test]
fn the_page_of_the_format_says_what_the_table_says() {
    let page = include_str!("../../../../../docs/workshop-file.md");
    for kind in KINDS {
        let rows: Vec<&str> = section(page, kind.word)
            .lines()
            .filter(|line| line.starts_with("| `"))
            .collect();
        assert_eq!(
            rows.len(),
            kind.fields.len(),
            "{}: a row for each field",
            kind.word
        );
        for (row, field) in rows.iter().zip(kind.fields) {
            let cells: Vec<&str> = row.split(" | ").collect();
            let what = format!("{} {}: {row}", kind.word, field.name);
            assert_eq!(cells[0], format!("| `{}`", field.name), "{what}");
            assert_eq!(
                cells[2] == "needed",
                field.presence == Presence::Needed,
                "{what}"
            );
            if let (Takes::Number(_), Presence::Usual(number)) = (&field.takes, field.presence) {
                assert_eq!(cells[2], number.to_string(), "{what}");
            }
            let said = match &field.takes {
                Takes::Number(limits) | Takes::Numbers { of: limits, .. } => {
                    format!("{} to {}", limits.low, limits.high)
                }
                Takes::Text(most) if field.name != "format" => format!("up to {most}"),
                Takes::Word(words) => format!("`{}`", words.join("`, `")),
                Takes::Records { least: 1, most, .. } => format!("1 to {most}"),
                Takes::Records { most, .. } if *most <= 5000 => format!("at most {most}"),
                _ => continue,
            };
            assert!(cells[1].contains(&said), "{what}: {said}");
        }
    }
    for row in &strungwell_physics::material::MATERIALS {
        assert!(
            section(page, "A make").contains(&format!("`{}`", row.key)),
            "{}",
            row.key
        );
    }
    let example = page
        .split("```")
        .nth(1)
        .and_then(|text| text.strip_prefix("json"));
    assert_eq!(
        example.map(|text| read(text).map(|shop| shop.instruments.len())),
        Some(Ok(1))
    );
}
