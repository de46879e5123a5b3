//! What was removed last, so that it can be brought back exactly, at its place.
//!
//! The same serves for a change that takes much away at once, such as removing a course: then the whole record as it was
//! before is kept, until the record is changed again.

use super::keep::Keep;
use super::route::Space;
use serde::{Deserialize, Serialize};

/// A removed record or set-aside text. Where strings were made and nothing else was changed, kind, key, id and text are empty.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Removed {
    /// The kind's word in keys, or `aside`.
    pub kind: String,
    /// The key that it stood under.
    pub key: String,
    /// The id of the record.
    pub id: String,
    /// What was done, as a sentence.
    pub said: String,
    /// Its place among its kind.
    pub at: usize,
    /// Its text.
    pub text: String,
    /// What was changed along with it, as it was: the kind's word and the text.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<(String, String)>,
    /// The ids of the rack strings that were newly made along with it: they go again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fresh: Vec<String>,
}

impl Removed {
    /// Whether it would bring back the record with this id.
    pub(super) fn holds(&self, id: &str) -> bool {
        let quoted = serde_json::to_string(id).unwrap_or_default();
        self.id == id
            || self.fresh.iter().any(|fresh| fresh == id)
            || self.also.iter().any(|(_, text)| text.contains(&quoted))
    }
}

fn key(space: Space) -> String {
    format!("{}removed", space.prefix())
}

/// What was removed last; a text that cannot be read counts as nothing.
pub(crate) fn load(keep: &Keep, space: Space) -> Option<Removed> {
    serde_json::from_str(&keep.read(&key(space))?).ok()
}

/// Keeps what was removed last, in place of what was before.
pub(crate) fn save(keep: &Keep, space: Space, removed: Option<&Removed>) {
    match removed.map(serde_json::to_string) {
        Some(Ok(text)) => keep.write(&key(space), &text),
        _ if keep.read(&key(space)).is_some() => keep.forget(&key(space)),
        _ => {}
    }
}
