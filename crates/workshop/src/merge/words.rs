//! What an import would do, in words.

use super::{Entry, Side, Standing};
use crate::problem::clean;
use serde_json::{Map, Value};

/// The units at the end of fields' names.
const UNITS: [&str; 8] = [
    "_mm", "_hz", "_gpa", "_cents", "_percent", "_n", "_c", "_deg",
];

/// The fields in which two records' texts differ, in words.
pub(super) fn differing(mine: &str, theirs: &str) -> Vec<String> {
    let fields = |text| serde_json::from_str::<Map<String, Value>>(text).unwrap_or_default();
    let (a, b) = (fields(mine), fields(theirs));
    let mut names: Vec<&String> = a.keys().chain(b.keys()).collect();
    names.sort_unstable();
    names.dedup();
    names
        .into_iter()
        .filter(|name| a.get(*name) != b.get(*name))
        .map(|name| field(name))
        .collect()
}

/// A field's name in words: `scale_mm` is `scale`.
fn field(name: &str) -> String {
    let bare = UNITS.iter().find_map(|unit| name.strip_suffix(unit));
    clean(&bare.unwrap_or(name).replace('_', " "), 40)
}

/// A count of visits in words.
fn visits(count: usize) -> String {
    match count {
        1 => "1 visit".into(),
        count => format!("{count} visits"),
    }
}

/// One record's line.
pub(super) fn sentence(entry: &Entry) -> String {
    let differs = match entry.differs.len() {
        0 => String::new(),
        1..=6 => format!(" Different: {}.", entry.differs.join(", ")),
        more => format!(
            " Different: {} and {} more.",
            entry.differs[..5].join(", "),
            more - 5
        ),
    };
    let first = match entry.standing {
        Standing::Added => "New here; it would be added.".to_owned(),
        Standing::Same => "The same here already.".to_owned(),
        Standing::Visits => "The same but for its visits.".to_owned(),
        Standing::Newer(Side::Theirs) => {
            format!("Newer in the file; it would replace the one here.{differs}")
        }
        Standing::Newer(Side::Mine) => {
            format!("Newer here; the one in the file would be passed over.{differs}")
        }
        Standing::Conflict => {
            format!(
                "Not the same, and neither is known to be the newer; both would be kept, side by side.{differs}"
            )
        }
    };
    let counts: Vec<String> = [
        (entry.visits_added, "added"),
        (entry.visits_changed, "replaced by a newer one"),
        (entry.visits_apart, "kept side by side"),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0 && entry.standing != Standing::Added)
    .map(|(count, done)| format!("{} would be {done}", visits(count)))
    .collect();
    if counts.is_empty() {
        first
    } else {
        format!("{first} {}.", counts.join(", "))
    }
}
