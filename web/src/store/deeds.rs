//! What is written, and in which order, when records come and go: so that the machine may die between any two writes and the
//! next start finds all as it was before or as it should be after.

use super::keep::Keep;
use super::record::Record;
use super::removal::{self, Removed};
use super::route::Space;
use super::shelf::write_order;

/// A new record, or one that is brought back: its key and text, and the lines of its kind with it among them. A record without a
/// place in the order opens all the same.
pub(super) fn place<R: Record>(
    keep: &Keep,
    space: Space,
    (key, text): (&str, &str),
    lines: &[R::Line],
) {
    keep.write(key, text);
    write_order::<R>(keep, space, lines);
}

/// A record taken out: the slip that can bring it back stands before the record goes. `lines` are those that stay.
pub(super) fn take_out<R: Record>(keep: &Keep, space: Space, slip: &Removed, lines: &[R::Line]) {
    removal::save(keep, space, Some(slip));
    keep.forget(&slip.key);
    write_order::<R>(keep, space, lines);
}
