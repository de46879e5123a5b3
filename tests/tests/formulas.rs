//! The index of the physics: every public function of it in one table, so that a formula is found by what it yields.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// The functions of a source: each with the first paragraph of what is said of it.
fn functions(text: &str) -> Vec<(String, String)> {
    let code = text.split("#[cfg(test)]").next().unwrap();
    let (mut said, mut found, mut of) = (Vec::new(), Vec::new(), String::new());
    for line in code.lines() {
        if let Some(rest) = line.strip_prefix("impl") {
            // `impl<'a> Name<'a> {` is the name's own; `impl Trait for Name {` is not.
            let words = match rest.starts_with('<') {
                true => rest.split_once('>').map_or(rest, |cut| cut.1),
                false => rest,
            };
            let name = words
                .trim_start()
                .split([' ', '<', '{'])
                .next()
                .unwrap_or_default();
            of = if words.contains(" for ") {
                String::new()
            } else {
                format!("{name}::")
            };
        }
        let trimmed = line.trim_start();
        if let Some(words) = trimmed.strip_prefix("///") {
            said.push(words.trim().to_owned());
        } else if trimmed.starts_with("#[") {
            // Between what is said and what it is said of.
        } else {
            let declared = trimmed
                .strip_prefix("pub fn ")
                .or_else(|| trimmed.strip_prefix("pub const fn "));
            if let Some(rest) = declared {
                let name = rest.split(['(', '<']).next().unwrap();
                let of = if line.starts_with(' ') {
                    of.as_str()
                } else {
                    ""
                };
                let first: Vec<&str> = said
                    .iter()
                    .map(String::as_str)
                    .take_while(|words| !words.is_empty())
                    .collect();
                found.push((format!("{of}{name}"), first.join(" ")));
            }
            said.clear();
        }
    }
    found
}

fn index() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/physics/src");
    let mut all = Vec::new();
    sources(&root, &mut all);
    all.sort();
    let mut out = String::from(
        "# Where each formula stands\n\nEvery public function of `crates/physics` that says an equation or a source, and every free one, with what it yields: the first words \
         of its own docs, where the source and the valid range follow. Why the formulas have this form and how far to trust them stands in \
         [physics.md](physics.md), [physics-fretting.md](physics-fretting.md), [physics-plan.md](physics-plan.md) and \
         [physics-loads.md](physics-loads.md). This page is written by a test (`tests/tests/formulas.rs`).\n",
    );
    for path in all {
        let name = path.strip_prefix(&root).unwrap().with_extension("");
        let name = name.to_string_lossy().replace(['/', '\\'], "::");
        if name.contains("tests") || name == "quantity" || name == "range" {
            continue;
        }
        let rows: Vec<_> = functions(&std::fs::read_to_string(&path).unwrap())
            .into_iter()
            .filter(|(name, said)| !name.contains("::") || said.contains('`') && said.contains('='))
            .collect();
        if rows.is_empty() {
            continue;
        }
        out += &format!("\n## `{name}`\n\n| Function | Yields |\n|---|---|\n");
        for (name, said) in rows {
            assert!(!said.is_empty(), "{name} says nothing of itself");
            out += &format!("| `{name}` | {} |\n", said.replace('|', "\\|"));
        }
    }
    out
}

#[test]
fn the_index_has_every_formula() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/physics-index.md");
    let wanted = index();
    if std::env::var_os("STRUNGWELL_RENEW").is_some() {
        std::fs::write(&page, &wanted).unwrap();
    }
    assert!(
        std::fs::read_to_string(&page).unwrap_or_default() == wanted,
        "docs/physics-index.md is not what the code says; renew it with STRUNGWELL_RENEW=1 cargo test -p strungwell-tests --test formulas"
    );
}
