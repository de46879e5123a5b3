//! Inputs. Each is a label, what is typed, its unit, and a sentence when it cannot be read.
//!
//! What is typed is never rewritten under the hand: it is read at every key, and put in its usual form when the field is
//! left. While it cannot be read, or lies outside the limits, the text stays, the last valid value goes on counting, and the
//! field says both; the text even survives a reload ([`Scope`]).

mod choice;
mod entry;
pub(crate) mod make;
mod quantity;
mod row;
mod text;

pub(crate) use choice::{ChoiceField, Toggle};
pub(crate) use make::MakeEditor;
pub(crate) use quantity::{CountField, ForceField, LengthField, Quantity, QuantityField};
pub(crate) use row::{FieldRow, field_rows};
pub(crate) use text::{NoteField, TextField};

use crate::markup::prelude::*;

/// Names the record that the fields below belong to, so that unread texts are kept with it; given by context.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Scope(pub String);

/// A number of a whole-number field as a count; such a field gives only whole numbers from 0 up.
pub(crate) fn whole(value: f64) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = value.clamp(0.0, f64::from(u32::MAX)) as u32;
    count
}

/// The words of a static label.
pub(crate) fn words(text: impl Into<String>) -> Signal<String> {
    Signal::stored(text.into())
}
