//! The table of what the shop's records promise: every test and every fuzz target that it names stands in the tree.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every source of the repository, one after the other.
fn sources(folder: &Path, text: &mut String) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, text);
        } else if path.extension().is_some_and(|end| end == "rs") {
            text.push_str(&std::fs::read_to_string(&path).unwrap());
        }
    }
}

/// The cells of the tables' rows, without heads and rules: what is promised, where it lives, the tests, what they caught.
fn rows(page: &str) -> Vec<[String; 4]> {
    let lines = page.lines().filter(|line| line.starts_with("| "));
    let rows = lines.filter(|line| !line.starts_with("| What is promised"));
    rows.map(|line| {
        let cells = line.trim_matches('|').split(" | ");
        let cells: Vec<String> = cells.map(|cell| cell.trim().to_owned()).collect();
        cells
            .try_into()
            .unwrap_or_else(|cells| panic!("not four cells: {cells:?}"))
    })
    .collect()
}

/// What stands between backticks.
fn quoted(cell: &str) -> impl Iterator<Item = &str> {
    cell.split('`').skip(1).step_by(2)
}

#[test]
fn every_test_that_the_table_of_records_names_stands_in_the_tree() {
    let page = std::fs::read_to_string(root().join("docs/records.md")).unwrap();
    let rows = rows(&page);
    assert!(rows.len() >= 40, "{}", rows.len());
    let mut code = String::new();
    for folder in ["crates", "web/src", "tests"] {
        sources(&root().join(folder), &mut code);
    }
    let mut named = BTreeSet::new();
    for [promise, lives, tests, caught] in &rows {
        assert!(quoted(tests).count() > 0, "no test: {promise}");
        assert!(!caught.is_empty(), "nothing was caught: {promise}");
        for name in quoted(tests) {
            let is_there = ["(", "<"]
                .iter()
                .any(|after| code.contains(&format!("fn {name}{after}")));
            assert!(is_there, "there is no test {name}: {promise}");
            named.insert(name);
        }
        for path in quoted(lives) {
            assert!(root().join(path).exists(), "there is no {path}: {promise}");
        }
    }
    assert!(named.len() >= 40, "{named:?}");
}
