//! The checksum that tells a stored text that was changed by accident.

/// The 32-bit cyclic redundancy check of some bytes: the remainder for the polynomial 0x04C11DB7, bits reflected, begun with and
/// turned over by all ones. Source: ISO 3309, as ITU-T V.42 (2002), 8.1.1.6.2, gives it.
#[must_use]
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum, byte| {
        (sum >> 8) ^ TABLE[((sum ^ u32::from(*byte)) & 0xff) as usize]
    })
}

/// The remainder of each byte alone.
static TABLE: [u32; 256] = table();

const fn table() -> [u32; 256] {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        #[allow(clippy::cast_possible_truncation)]
        let mut sum = byte as u32;
        let mut bit = 0;
        while bit < 8 {
            sum = if sum & 1 == 1 {
                (sum >> 1) ^ 0xedb8_8320
            } else {
                sum >> 1
            };
            bit += 1;
        }
        table[byte] = sum;
        byte += 1;
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value that every catalogue of these sums gives (from memory).
    #[test]
    fn the_digits_give_the_known_sum() {
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
        assert_eq!(crc32(b""), 0);
    }

    #[test]
    fn one_changed_bit_is_always_seen() {
        let text = b"strungwell".to_vec();
        for at in 0..text.len() * 8 {
            let mut changed = text.clone();
            changed[at / 8] ^= 1 << (at % 8);
            assert_ne!(crc32(&changed), crc32(&text));
        }
    }
}
