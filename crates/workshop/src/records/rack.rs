//! The strings that the shop has or can get.

use super::json::record_json;
use super::{Extra, Make};

/// A string on the rack.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RackString {
    /// What other records call this one; any text, the same in no other rack string.
    pub id: String,
    /// The string in words and numbers.
    pub name: String,
    /// What it is.
    pub make: Make,
    /// Measured stretch `kappa = EA/T` at pitch, without unit; none when not measured.
    pub kappa: Option<f64>,
    /// One standard deviation of that measured stretch; none when it is not known.
    pub kappa_give: Option<f64>,
    /// Measured bending modulus in GPa, taken on the outer diameter; none when not measured.
    pub bend_modulus_gpa: Option<f64>,
    /// How many are on hand; none when not counted.
    pub on_hand: Option<u32>,
    /// Price of one, in the shop's own currency; none when not noted.
    pub price: Option<f64>,
    /// Anything else.
    pub note: String,
    /// When this record was changed last, as a moment; none when not known.
    pub changed: Option<String>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(RackString {
    id,
    name,
    make,
    kappa,
    kappa_give,
    bend_modulus_gpa,
    on_hand,
    price,
    note,
    changed
});
