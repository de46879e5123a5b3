//! The JSON Schema of the workshop file against the program's own reader.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use strungwell_workshop::file;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn validator() -> jsonschema::Validator {
    let text = std::fs::read_to_string(root().join("docs/workshop-file.schema.json")).unwrap();
    let schema: Value = serde_json::from_str(&text).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap();
    jsonschema::options()
        .should_validate_formats(true)
        .build(&schema)
        .unwrap()
}

fn json_files(folder: &str) -> Vec<(String, String)> {
    let mut all: Vec<_> = std::fs::read_dir(root().join(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "json"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (path.file_name().unwrap().to_string_lossy().into(), text)
        })
        .collect();
    all.sort();
    assert!(all.len() >= 3, "{folder}");
    all
}

#[test]
fn the_demo_data_fits_the_schema() {
    let schema = validator();
    for (name, text) in json_files("demo-data") {
        let value = serde_json::from_str(&text).unwrap();
        let wrong: Vec<String> = schema
            .iter_errors(&value)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert!(wrong.is_empty(), "{name}: {}", wrong.join("\n"));
        assert!(file::read(&text).is_ok(), "{name}");
    }
}

#[test]
fn bad_files_fit_neither() {
    let schema = validator();
    let mut fitting = Vec::new();
    for (name, text) in json_files("demo-data/bad") {
        assert!(file::read(&text).is_err(), "{name}");
        if serde_json::from_str(&text).is_ok_and(|value| schema.is_valid(&value)) {
            fitting.push(name);
        }
    }
    // That what is referred to is in the file is more than a schema can say.
    assert_eq!(fitting, ["rack-reference-to-nothing.json"]);
}

/// Where each different field stands, one place for each: lists are looked into at the first record that has the field.
fn places(
    value: &Value,
    here: &str,
    kind: &str,
    seen: &mut BTreeSet<String>,
    out: &mut Vec<String>,
) {
    let mut step = |name: &str, inner: &Value, into: &str| {
        let place = format!("{here}/{name}");
        let kind = format!("{kind}/{into}");
        if seen.insert(format!("{kind} {}", inner.is_null())) {
            out.push(place.clone());
        }
        places(inner, &place, &kind, seen, out);
    };
    match value {
        Value::Object(fields) => fields
            .iter()
            .for_each(|(name, inner)| step(name, inner, name)),
        Value::Array(list) => (0..).zip(list).for_each(|(at, inner): (usize, _)| {
            step(&at.to_string(), inner, "*");
        }),
        _ => {}
    }
}

/// The shop with the one instrument that a place lies in, or with none, and where the place is then: a whole shop for each wrong
/// value would take minutes.
fn around(whole: &Value, place: &str) -> (Value, String) {
    let mut shop = whole.clone();
    let instruments = shop["instruments"].as_array_mut().unwrap();
    let parts: Vec<&str> = place.splitn(4, '/').collect();
    let (kept, place) = match parts[..] {
        ["", "instruments", at] => (Some(at), "/instruments/0".to_owned()),
        ["", "instruments", at, rest] => (Some(at), format!("/instruments/0/{rest}")),
        _ => (None, place.to_owned()),
    };
    let kept = kept.map(|at| instruments.swap_remove(at.parse().unwrap()));
    *instruments = kept.into_iter().collect();
    (shop, place)
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let schema = validator();
    let demo = &json_files("demo-data")[0];
    assert_eq!(demo.0, "demo-shop.json");
    // Written anew, every field that the program knows stands in every record.
    let whole: Value = serde_json::from_str(&file::write(&file::read(&demo.1).unwrap())).unwrap();
    let mut all = Vec::new();
    places(&whole, "", "", &mut BTreeSet::new(), &mut all);
    let wrong = [
        json!(null),
        json!(true),
        json!(-1e12),
        json!(1e12),
        json!(2.5),
        json!(3),
        json!(""),
        json!("x".repeat(20_001)),
        json!("2023-02-29"),
        json!("2026-01-31"),
        json!("2026-01-31T10:00:30+01:00"),
        json!("2026-01-31T24:00Z"),
        json!("Bb3"),
        json!("H9"),
        json!("steel"),
        json!([]),
        json!([7]),
        json!({}),
        json!({ "plain": { "material": "nylon", "diameter_mm": 1 }, "wound": 1 }),
        json!({ "rack": null }),
    ];
    let (mut tried, mut refused) = (0, 0);
    for place in &all {
        let (shop, place) = around(&whole, place);
        for wrong in &wrong {
            let mut value = shop.clone();
            *value.pointer_mut(&place).unwrap() = wrong.clone();
            let read = file::read(&value.to_string());
            let fits = schema.is_valid(&value);
            tried += 1;
            refused += u32::from(read.is_err());
            let beyond = read.as_ref().is_err_and(|problem| {
                // A reference to nothing, which a schema cannot see.
                problem.accept.contains("in this file")
            });
            assert!(
                beyond || fits == read.is_ok(),
                "{place} with {wrong:.60}: the schema {}, the reader {:?}",
                if fits { "takes it" } else { "refuses it" },
                read.err().map(|problem| problem.to_string())
            );
        }
    }
    println!("{tried} tried, {refused} refused");
    assert!(all.len() > 150 && refused > 2000, "{} {refused}", all.len());
}
