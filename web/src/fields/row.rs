//! Fields of the open instrument that are listed as data: a name, a label, and the two ways between record and field.

use super::{Quantity, QuantityField, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::records::Instrument;

/// A field of a figure that may be empty.
pub(crate) struct FieldRow {
    /// The field's word for tests and drafts.
    pub name: &'static str,
    /// What stands over it.
    pub label: &'static str,
    /// What it is of.
    pub quantity: Quantity,
    /// The record and the field whose limits hold.
    pub of: (&'static str, &'static str),
    /// From the record.
    pub get: fn(&Instrument) -> Option<f64>,
    /// Into the record.
    pub set: fn(&mut Instrument, Option<f64>),
}

/// The fields of a list, one after the other.
pub(crate) fn field_rows(store: Store, rows: &'static [FieldRow]) -> Node {
    let one = |row: &'static FieldRow| {
        let value = store.pick(row.get);
        let on_change =
            Callback::new(move |value: Option<f64>| store.edit(|i| (row.set)(i, value)));
        view! { <QuantityField name=row.name label=words(row.label) quantity=row.quantity value on_change of=row.of /> }
    };
    rows.iter().map(one).collect_view()
}
