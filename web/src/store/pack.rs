//! A text made short enough that a shop of thousands of instruments fits into a browser's storage.
//!
//! Repeats are written as "so many bytes, from so far back", and the bytes as letters of 15 bits each, all of them ones that a
//! browser keeps as they are. Version 1 of the stored record rests on this form: it may not change without a new version.

/// What a packed text begins with.
pub(super) const MARK: char = '~';

/// The shortest repeat that is worth writing as one.
const LEAST: usize = 4;

/// The longest repeat that one token holds.
const MOST: usize = LEAST + 127;

/// The longest run of bytes that one token holds.
const RUN: usize = 128;

/// The largest text that is unpacked, in bytes.
const MOST_BYTES: usize = 32 * 1024 * 1024;

/// The first of the 32768 letters; all of them lie below the codes that stand in pairs.
const FIRST: u32 = 0x3400;

/// The text, packed; none where it would not come back the same or become no shorter.
pub(super) fn pack(text: &str) -> Option<String> {
    let packed = letters(&tokens(text.as_bytes()));
    let shorter = packed.chars().count() < text.chars().count();
    (shorter && unpack(&packed).as_deref() == Some(text)).then_some(packed)
}

/// The text that was packed; none for anything else.
pub(super) fn unpack(packed: &str) -> Option<String> {
    let (count, letters) = packed.strip_prefix(MARK)?.split_once(':')?;
    let bytes = bytes_of(letters, count.parse().ok()?)?;
    String::from_utf8(expanded(&bytes)?).ok()
}

fn tokens(text: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(text.len() / 3);
    // Where each four bytes stood last, by their sum in 12 bits; one more than the place, so that 0 is nowhere.
    let mut last = vec![0_usize; 4096];
    let (mut at, mut from) = (0, 0);
    while at < text.len() {
        let Some((back, length)) = repeat(text, at, &mut last) else {
            at += 1;
            continue;
        };
        run(&text[from..at], &mut out);
        out.push(0x80 | low(length - LEAST));
        out.extend([low(back), low(back >> 8)]);
        for place in at + 1..at + length {
            let _ = repeat(text, place, &mut last);
        }
        at += length;
        from = at;
    }
    run(&text[from..], &mut out);
    out
}

/// The repeat that begins at a place: how far back it stood, and its length. Notes the place.
fn repeat(text: &[u8], at: usize, last: &mut [usize]) -> Option<(usize, usize)> {
    let four: [u8; 4] = text.get(at..at + LEAST)?.try_into().ok()?;
    let slot = (u32::from_le_bytes(four).wrapping_mul(2_654_435_761) >> 20) as usize;
    let before = std::mem::replace(last.get_mut(slot)?, at + 1).checked_sub(1)?;
    let back = at - before;
    let pairs = text[before..].iter().zip(&text[at..]).take(MOST);
    let same = pairs.take_while(|(a, b)| a == b).count();
    (back < 0x1_0000 && back > 0 && same >= LEAST).then_some((back, same))
}

fn run(bytes: &[u8], out: &mut Vec<u8>) {
    for part in bytes.chunks(RUN) {
        out.push(low(part.len() - 1));
        out.extend(part);
    }
}

/// The low eight bits.
#[allow(clippy::cast_possible_truncation)]
const fn low(number: usize) -> u8 {
    (number & 0xff) as u8
}

fn expanded(tokens: &[u8]) -> Option<Vec<u8>> {
    let mut out: Vec<u8> = Vec::with_capacity(tokens.len() * 4);
    let mut rest = tokens;
    while let Some((token, after)) = rest.split_first() {
        let count = usize::from(token & 0x7f);
        if token & 0x80 == 0 {
            let (bytes, after) = after.split_at_checked(count + 1)?;
            out.extend(bytes);
            rest = after;
        } else {
            let (back, after) = after.split_at_checked(2)?;
            let back = usize::from(back[0]) | usize::from(back[1]) << 8;
            let start = out.len().checked_sub(back).filter(|_| back > 0)?;
            for at in start..start + count + LEAST {
                out.push(*out.get(at)?);
            }
            rest = after;
        }
        if out.len() > MOST_BYTES {
            return None;
        }
    }
    Some(out)
}

fn letters(bytes: &[u8]) -> String {
    let mut out = format!("{MARK}{}:", bytes.len());
    let (mut held, mut bits) = (0_u32, 0);
    for byte in bytes {
        held = (held << 8) | u32::from(*byte);
        bits += 8;
        if bits >= 15 {
            bits -= 15;
            out.extend(char::from_u32(FIRST + ((held >> bits) & 0x7fff)));
            held &= (1 << bits) - 1;
        }
    }
    if bits > 0 {
        out.extend(char::from_u32(FIRST + ((held << (15 - bits)) & 0x7fff)));
    }
    out
}

fn bytes_of(letters: &str, count: usize) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(count.min(letters.len()));
    let (mut held, mut bits) = (0_u32, 0);
    for letter in letters.chars() {
        let value = u32::from(letter).checked_sub(FIRST);
        held = (held << 15) | value.filter(|value| *value < 0x8000)?;
        bits += 15;
        while bits >= 8 {
            bits -= 8;
            out.push(low((held >> bits) as usize));
        }
        held &= (1 << bits) - 1;
    }
    // At the end less than a byte is left over, or one byte of nothing.
    (out.len() >= count && out.len() <= count + 1).then(|| {
        out.truncate(count);
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_record_becomes_a_fraction_and_comes_back() {
        let shop = super::super::demo::shop().unwrap();
        for instrument in &shop.instruments {
            let text = strungwell_workshop::file::write_instrument(instrument);
            let packed = pack(&text).unwrap();
            let (short, long) = (packed.chars().count(), text.chars().count());
            assert!(short * 4 < long, "{short} of {long}");
            assert_eq!(unpack(&packed).as_deref(), Some(text.as_str()));
        }
    }

    #[test]
    fn long_runs_and_far_repeats_come_back() {
        let far: String = (0..40_000_u32)
            .filter_map(|n| char::from_u32(97 + n * n % 23))
            .collect();
        for text in [
            "a".repeat(100_000),
            far.repeat(3),
            "\u{10ffff}é~".repeat(50),
        ] {
            assert_eq!(
                unpack(&pack(&text).unwrap()).as_deref(),
                Some(text.as_str())
            );
        }
        assert_eq!(pack(""), None);
        assert_eq!(pack("{}"), None);
    }

    proptest! {
        #[test]
        fn any_text_comes_back(text in "(?s).{0,40}", times in 1..9usize) {
            let text = text.repeat(times);
            let bytes = tokens(text.as_bytes());
            prop_assert_eq!(expanded(&bytes), Some(text.clone().into_bytes()));
            let written = letters(&bytes);
            prop_assert_eq!(unpack(&written), Some(text));
        }

        #[test]
        fn no_text_does_harm(text in "(?s)~[0-9]{1,3}:[\u{3400}-\u{b3ff}]{0,20}", other in any::<String>()) {
            let _ = (unpack(&text), unpack(&other));
        }
    }
}
