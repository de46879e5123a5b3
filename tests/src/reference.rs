//! The values to check against: what was asked, what a source says, how near the code must come, and where it is from.

use serde_json::Value;
use std::cell::RefCell;

/// One value of the outside world.
#[derive(Clone, Debug)]
pub struct Check {
    /// Its short name.
    pub id: String,
    /// What it is, in words.
    pub quantity: String,
    /// What it follows from.
    pub inputs: Value,
    /// The value or values.
    pub expected: Value,
    /// How near the code must come: `abs` or `rel`, one number or one for each value.
    pub tolerance: Value,
    /// Where it comes from.
    pub source: String,
    /// Whether it is published, computed from a named formula, or from memory.
    pub provenance: String,
}

/// All checks, in the file's order.
///
/// # Panics
/// When the file beside the tests is not what it should be.
#[must_use]
#[allow(clippy::expect_used, clippy::panic)]
pub fn checks() -> Vec<Check> {
    let all: Vec<Value> = serde_json::from_str(include_str!("../reference/checks.json"))
        .expect("checks.json is JSON");
    all.into_iter()
        .map(|c| {
            let text = |key: &str| {
                c[key]
                    .as_str()
                    .unwrap_or_else(|| panic!("{c}: {key} is missing"))
                    .to_owned()
            };
            Check {
                id: text("id"),
                quantity: text("quantity"),
                inputs: c["inputs"].clone(),
                expected: c["expected"].clone(),
                tolerance: c["tolerance"].clone(),
                source: text("source"),
                provenance: text("provenance"),
            }
        })
        .collect()
}

/// The check with this id.
///
/// # Panics
/// When there is none.
#[must_use]
#[allow(clippy::panic)]
pub fn check(id: &str) -> Check {
    checks()
        .into_iter()
        .find(|c| c.id == id)
        .unwrap_or_else(|| panic!("no check {id}"))
}

/// All checks whose id begins so; at least one.
///
/// # Panics
/// When there is none.
#[must_use]
pub fn checks_of(prefix: &str) -> Vec<Check> {
    let found: Vec<Check> = checks()
        .into_iter()
        .filter(|c| c.id.starts_with(prefix))
        .collect();
    assert!(!found.is_empty(), "no check begins with {prefix}");
    found
}

impl Check {
    /// An input that is a number.
    ///
    /// # Panics
    /// When it is none.
    #[must_use]
    #[allow(clippy::panic)]
    pub fn number(&self, input: &str) -> f64 {
        self.inputs[input]
            .as_f64()
            .unwrap_or_else(|| panic!("{}: no number {input}", self.id))
    }

    /// The expected values as a flat list of numbers.
    #[must_use]
    pub fn expected_numbers(&self) -> Vec<f64> {
        fn flat(value: &Value, out: &mut Vec<f64>) {
            match value {
                Value::Array(items) => items.iter().for_each(|v| flat(v, out)),
                Value::Object(map) => map.values().for_each(|v| flat(v, out)),
                other => out.extend(other.as_f64()),
            }
        }
        let mut out = Vec::new();
        flat(&self.expected, &mut out);
        out
    }

    /// Holds the code's values against the expected ones within the stated tolerance, and notes the comparison.
    ///
    /// # Panics
    /// When one of them is off, or their number differs.
    pub fn hold(&self, got: &[f64]) {
        let expected = self.expected_numbers();
        assert_eq!(
            got.len(),
            expected.len(),
            "{}: {got:?} against {expected:?}",
            self.id
        );
        for (at, got) in got.iter().enumerate() {
            self.hold_at(at, *got);
        }
    }

    /// Holds one of the code's values, counted from 0, as [`Check::hold`] holds all.
    ///
    /// # Panics
    /// When it is off, or there is none of this number.
    #[allow(clippy::panic)]
    pub fn hold_at(&self, at: usize, got: f64) {
        let expected = self.expected_numbers()[at];
        let stated = |key: &str| match &self.tolerance[key] {
            Value::Array(each) => each[at].as_f64(),
            one => one.as_f64(),
        };
        let allowed = match (stated("abs"), stated("rel")) {
            (Some(abs), _) => abs,
            (None, Some(rel)) => rel * expected.abs(),
            (None, None) => panic!("{}: no tolerance for value {at}", self.id),
        };
        println!(
            "{:<16} {got:>14.7} against {expected:>14.7} within {allowed:.1e}  {}",
            self.id, self.provenance
        );
        assert!(
            (got - expected).abs() <= allowed * (1.0 + 1e-9) + f64::EPSILON,
            "{}: {got} against {expected}, allowed {allowed}; {} ({}; {})",
            self.id,
            self.quantity,
            self.source,
            self.provenance
        );
        let held = Held {
            id: self.id.clone(),
            at,
            got,
            expected,
            allowed,
        };
        HELD.with_borrow_mut(|all| all.push(held));
    }
}

/// One comparison that held.
#[derive(Clone, Debug)]
pub struct Held {
    /// The check's short name.
    pub id: String,
    /// Which of its values, counted from 0.
    pub at: usize,
    /// The code's value.
    pub got: f64,
    /// The source's.
    pub expected: f64,
    /// How near they must be.
    pub allowed: f64,
}

impl Held {
    /// How far the code's value lies from the source's.
    #[must_use]
    pub fn off(&self) -> f64 {
        (self.got - self.expected).abs()
    }
}

thread_local! {
    static HELD: RefCell<Vec<Held>> = const { RefCell::new(Vec::new()) };
}

/// All comparisons that held on this thread so far, in their order.
#[must_use]
pub fn held() -> Vec<Held> {
    HELD.with_borrow(Clone::clone)
}
