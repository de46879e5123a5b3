//! The strings that the shop has or can get.

use super::{Extra, Make};
use serde::{Deserialize, Serialize};

/// A string on the rack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RackString {
    /// What other records call this one; any text, the same in no other rack string.
    pub id: String,
    /// The string in words and numbers.
    #[serde(default)]
    pub name: String,
    /// What it is.
    pub make: Make,
    /// Measured stretch `kappa = EA/T` at pitch, without unit; none when not measured.
    #[serde(default)]
    pub kappa: Option<f64>,
    /// One standard deviation of that measured stretch; none when it is not known.
    #[serde(default)]
    pub kappa_give: Option<f64>,
    /// Measured bending modulus in GPa, taken on the outer diameter; none when not measured.
    #[serde(default)]
    pub bend_modulus_gpa: Option<f64>,
    /// How many are on hand; none when not counted.
    #[serde(default)]
    pub on_hand: Option<u32>,
    /// Price of one, in the shop's own currency; none when not noted.
    #[serde(default)]
    pub price: Option<f64>,
    /// Anything else.
    #[serde(default)]
    pub note: String,
    /// Unknown fields.
    #[serde(flatten)]
    pub extra: Extra,
}
