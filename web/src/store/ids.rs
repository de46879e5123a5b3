//! Ids for new records.

use super::around::random_bytes;
use std::fmt::Write as _;

/// A new id: 122 random bits, written as a version 4 UUID (RFC 9562).
///
/// The browser's own maker of such ids is shut on pages that come over plain HTTP, so this one asks for random bytes only.
pub(crate) fn new_id() -> String {
    written(random_bytes())
}

fn written(mut bytes: [u8; 16]) -> String {
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    let mut id = String::with_capacity(36);
    for (at, byte) in bytes.iter().enumerate() {
        if matches!(at, 4 | 6 | 8 | 10) {
            id.push('-');
        }
        // Writing to a String cannot fail.
        let _ = write!(id, "{byte:02x}");
    }
    id
}

#[cfg(test)]
mod tests {
    #[test]
    fn an_id_has_the_shape_of_a_version_4_uuid() {
        assert_eq!(
            super::written([0xff; 16]),
            "ffffffff-ffff-4fff-bfff-ffffffffffff"
        );
        assert_eq!(
            super::written([0; 16]),
            "00000000-0000-4000-8000-000000000000"
        );
    }
}
