//! Refusing what is not physical, in words.

use std::fmt;

/// A number outside what its quantity can be.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} of {} is outside {} to {}", Plain(*.value, .unit), Plain(*.low, ""), Plain(*.high, .unit))]
pub struct OutOfRange {
    /// The quantity, in the trade's words.
    pub what: &'static str,
    /// The number that was given.
    pub value: f64,
    /// The unit of the three numbers.
    pub unit: &'static str,
    /// The least that is accepted.
    pub low: f64,
    /// The most that is accepted.
    pub high: f64,
}

/// A number with at most four decimals and its unit, without the dust of binary fractions.
struct Plain(f64, &'static str);

impl fmt::Display for Plain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:.4}", self.0);
        let text = if self.0.abs() < 1e6 {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        write!(
            f,
            "{text}{}{}",
            if self.1.is_empty() { "" } else { " " },
            self.1
        )
    }
}

/// The give on a bound, as a share of it: a diameter of exactly the bound must not fall to a rounding in metres.
const GIVE: f64 = 1e-9;

/// Passes a number on when it is finite and lies from `low` to `high`, both included.
///
/// # Errors
/// [`OutOfRange`], naming the quantity, otherwise.
pub fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    low: f64,
    high: f64,
) -> Result<f64, OutOfRange> {
    if value.is_finite() && value >= low - GIVE * low.abs() && value <= high + GIVE * high.abs() {
        Ok(value)
    } else {
        Err(OutOfRange {
            what,
            value,
            unit,
            low,
            high,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_reads_as_a_sentence() {
        let error = within("a scale", 0.0, "mm", 50.0, 2000.0).unwrap_err();
        assert_eq!(
            error.to_string(),
            "a scale of 0 mm is outside 50 to 2000 mm"
        );
        let error = within("a stretch", 0.800_000_000_000_000_2, "", 1.0, 5000.0).unwrap_err();
        assert_eq!(error.to_string(), "a stretch of 0.8 is outside 1 to 5000");
    }

    #[test]
    fn what_is_no_number_is_outside() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(within("a scale", bad, "mm", 50.0, 2000.0).is_err());
        }
    }
}
