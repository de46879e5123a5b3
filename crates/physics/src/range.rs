//! Refusing what is not physical, in words.

/// A number outside what its quantity can be.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} of {value} {unit} is outside {low} to {high} {unit}")]
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
    if value.is_finite() && value >= low && value <= high {
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
