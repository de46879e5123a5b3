//! Writing many records at once, all of them or none.
//!
//! What stood there before is noted under one key first. Should the page die before the last write, the next start puts it
//! back; should the storage be full, it is put back at once.

use super::keep::{Keep, Refusal};
use super::route::Space;
use strungwell_workshop::checksum::crc32;

/// How long a journal may be another window's that is at work on it, in milliseconds.
const AT_WORK_MS: f64 = 10_000.0;

/// What is to be written: keys, and the texts under them or none where the text should go.
pub(super) type Writes = Vec<(String, Option<String>)>;

/// What stood under a key before, and the checksum of what was to stand there; none for nothing.
type Before = (String, Option<String>, Option<u32>);

/// A journal: when it was begun, and what was to be done.
type Journal = (f64, Vec<Before>);

fn key(space: Space) -> String {
    format!("{}journal", space.prefix())
}

/// Writes all, or nothing. `now_ms` is the clock's.
///
/// # Errors
/// The storage's; then everything stands as it stood before.
pub(super) fn write(
    keep: &Keep,
    space: Space,
    now_ms: f64,
    writes: &Writes,
) -> Result<(), Refusal> {
    let before: Vec<Before> = writes
        .iter()
        .map(|(key, text)| (key.clone(), keep.read(key), sum(text.as_deref())))
        .collect();
    let text = serde_json::to_string(&(now_ms, &before)).map_err(|_| Refusal::Full)?;
    keep.insist(&key(space), Some(&text))?;
    for (key, text) in writes {
        if let Err(why) = keep.insist(key, text.as_deref()) {
            back(keep, space, &before);
            return Err(why);
        }
    }
    keep.insist(&key(space), None)
}

/// What was found at the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// Nothing was left half done.
    Nothing,
    /// Something was left half done, and stands as it was before.
    PutBack,
    /// Another window began a moment ago and may still be at work.
    AtWork,
}

/// Puts back what was left half done.
pub(super) fn recover(keep: &Keep, space: Space, now_ms: f64) -> Found {
    let Some(text) = keep.read(&key(space)) else {
        return Found::Nothing;
    };
    match serde_json::from_str::<Journal>(&text) {
        // A clock that was set back must not keep it for ever.
        Ok((begun, _)) if (0.0..AT_WORK_MS).contains(&(now_ms - begun)) => Found::AtWork,
        Ok((_, before)) => {
            back(keep, space, &before);
            Found::PutBack
        }
        Err(_) => {
            keep.write(&super::shelf::aside_key("journal"), &text);
            keep.forget(&key(space));
            Found::Nothing
        }
    }
}

fn sum(text: Option<&str>) -> Option<u32> {
    text.map(|text| crc32(text.as_bytes()))
}

fn back(keep: &Keep, space: Space, before: &[Before]) {
    // What was added goes first: it makes the room that the rest had.
    for adding in [true, false] {
        for (of, text, written) in before.iter().filter(|one| one.1.is_none() == adding) {
            // What was changed since is not touched: it is newer than either.
            let is_ours = sum(keep.read(of).as_deref()) == *written;
            if is_ours && keep.insist(of, text.as_deref()).is_err() {
                // The journal stays, and the next start tries again.
                return;
            }
        }
    }
    // Left behind, it is only carried out once more.
    let _ = keep.insist(&key(space), None);
}
