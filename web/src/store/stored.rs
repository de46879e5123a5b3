//! How a record stands in the browser's storage: version, checksum, a line to show it by, and the record itself.
//!
//! ```text
//! strungwell-record 1 89abcdef
//! ["its name", …]
//! { the record, or the same packed }
//! ```
//! The checksum is of everything after the first line. The second line lets the bench be shown without reading every record.
//! Version 0 is the bare JSON record of earlier pages: it is read, and becomes version 1 when it is next written.

use super::pack;
use strungwell_workshop::checksum::crc32;
use strungwell_workshop::problem::quoted;

/// The word that a stored record begins with.
const WORD: &str = "strungwell-record ";

/// The version that is written.
const VERSION: &str = "1";

/// A stored text, looked at from outside.
#[derive(Debug, PartialEq)]
pub(super) enum Stored<'a> {
    /// Version 0: the JSON alone.
    Bare(&'a str),
    /// Version 1: the line to show it by, and the body.
    Sealed(Vec<String>, &'a str),
}

/// The text to store.
pub(super) fn seal(head: &[String], json: &str) -> String {
    let head = serde_json::to_string(head).unwrap_or_default();
    let body = pack::pack(json);
    let sealed = format!("{head}\n{}", body.as_deref().unwrap_or(json));
    format!("{WORD}{VERSION} {:08x}\n{sealed}", crc32(sealed.as_bytes()))
}

/// Looks at a stored text from outside.
///
/// # Errors
/// Why it cannot be trusted, in words that go on from "This record".
pub(super) fn look(text: &str) -> Result<Stored<'_>, String> {
    let Some(rest) = text.strip_prefix(WORD) else {
        return Ok(Stored::Bare(text));
    };
    let (first, sealed) = rest.split_once('\n').unwrap_or((rest, ""));
    let (version, sum) = first.split_once(' ').unwrap_or((first, ""));
    if version != VERSION {
        let version = quoted(version);
        return Err(format!(
            "is stored in version {version}, and this page reads 0 and {VERSION}"
        ));
    }
    if format!("{:08x}", crc32(sealed.as_bytes())) != sum {
        return Err(
            "does not have the checksum that stands over it, so something else than this page changed it".into(),
        );
    }
    let (head, body) = sealed.split_once('\n').unwrap_or((sealed, ""));
    let head = serde_json::from_str(head).map_err(|_| "has no line to show it by".to_owned())?;
    Ok(Stored::Sealed(head, body))
}

/// The JSON of a body.
///
/// # Errors
/// As [`look`].
pub(super) fn json(body: &str) -> Result<String, String> {
    if body.starts_with(pack::MARK) {
        return pack::unpack(body).ok_or_else(|| "cannot be unpacked".to_owned());
    }
    Ok(body.to_owned())
}

/// What of a stored text a person can read: its JSON where that can be had, whatever the checksum says, else the text.
pub(super) fn readable(text: &str) -> String {
    let rest = text.strip_prefix(WORD);
    let body = rest.and_then(|rest| rest.splitn(3, '\n').nth(2));
    body.and_then(|body| json(body).ok())
        .unwrap_or_else(|| text.to_owned())
}

/// The name on the line to show a text by, though the rest be broken; empty where there is none.
pub(super) fn name_on(text: &str) -> String {
    let rest = text.strip_prefix(WORD);
    let head = rest.and_then(|rest| rest.split('\n').nth(1));
    let head: Option<Vec<String>> = head.and_then(|head| serde_json::from_str(head).ok());
    head.into_iter().flatten().next().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_changed_letter_is_noticed() {
        let head = ["Lark \n \"quoted\"".to_owned(), String::new()];
        let text = seal(&head, &format!("{{ {} }}", "\"name\": 1, ".repeat(20)));
        let Ok(Stored::Sealed(read, body)) = look(&text) else {
            panic!("{text}")
        };
        assert_eq!(read, head);
        assert!(body.starts_with(pack::MARK));
        assert!(json(body).unwrap().starts_with("{ \"name\""));
        assert_eq!(name_on(&text), head[0]);
        let letters: Vec<char> = text.chars().collect();
        for at in WORD.len()..letters.len() {
            let mut changed = letters.clone();
            changed[at] = if changed[at] == 'x' { 'y' } else { 'x' };
            let changed: String = changed.into_iter().collect();
            assert!(look(&changed).is_err(), "{at}: {changed}");
            let cut: String = letters[..at].iter().collect();
            assert!(look(&cut).is_err(), "{cut}");
        }
        let newer = look("strungwell-record 2 00000000\n[]\n{}").unwrap_err();
        assert!(newer.contains("version \"2\""), "{newer}");
        assert_eq!(look("{}"), Ok(Stored::Bare("{}")));
    }

    /// What version 1 looks like may not change: a text of it as it was written first.
    #[test]
    fn the_first_text_of_version_1_is_still_read_and_written() {
        let text = include_str!("../../../tests/corpus/stored/1-instrument.txt");
        let Ok(Stored::Sealed(head, body)) = look(text) else {
            panic!("{text}")
        };
        let json = json(body).unwrap();
        assert!(body.starts_with(pack::MARK) && json.contains("\"scale_mm\": "));
        assert_eq!(seal(&head, &json), text);
    }
}
