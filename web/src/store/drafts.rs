//! Texts that stand in a field and cannot be read: they are kept, so that a reload does not lose them.

use super::keep::Keep;
use super::route::Space;

/// The key of a field's draft; `scope` names the record.
fn key(space: Space, scope: &str, field: &str) -> String {
    format!("{}draft.{scope}.{field}", space.prefix())
}

/// The draft of a field.
pub(crate) fn read(keep: &Keep, space: Space, scope: &str, field: &str) -> Option<String> {
    keep.read(&key(space, scope, field))
}

/// Keeps or drops the draft of a field.
pub(crate) fn write(keep: &Keep, space: Space, scope: &str, field: &str, text: Option<&str>) {
    let key = key(space, scope, field);
    match text {
        Some(text) => keep.write(&key, text),
        None if keep.read(&key).is_some() => keep.forget(&key),
        None => {}
    }
}

/// Drops every draft of a record.
pub(crate) fn drop_all(keep: &Keep, space: Space, scope: &str) {
    for (key, _) in starting(keep, &key(space, scope, "")) {
        keep.forget(&key);
    }
}

/// Follows the removal of one of several numbered things: the drafts of `word-3-…` go when the third is removed, and those
/// of the ones behind it move up.
pub(crate) fn removed(keep: &Keep, space: Space, scope: &str, word: &str, number: usize) {
    let start = format!("{}-", key(space, scope, word));
    let mut moved = Vec::new();
    for (key, text) in starting(keep, &start) {
        let rest = &key[start.len()..];
        let Some((at, field)) = rest
            .split_once('-')
            .and_then(|(at, field)| Some((at.parse::<usize>().ok()?, field)))
        else {
            continue;
        };
        if at >= number {
            keep.forget(&key);
        }
        if at > number {
            moved.push((format!("{start}{}-{field}", at - 1), text));
        }
    }
    for (key, text) in moved {
        keep.write(&key, &text);
    }
}

fn starting(keep: &Keep, start: &str) -> Vec<(String, String)> {
    keep.keys()
        .into_iter()
        .filter(|key| key.starts_with(start))
        .filter_map(|key| keep.read(&key).map(|text| (key, text)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::keep::tests::TestDrawer;
    use super::*;

    #[test]
    fn drafts_follow_the_course_they_belong_to() {
        let keep = Keep::new(Box::new(TestDrawer::default()));
        let put = |field: &str| write(&keep, Space::Own, "i", field, Some(field));
        let got = |field: &str| read(&keep, Space::Own, "i", field);
        put("course-1-note");
        put("course-2-note");
        put("course-3-slot_mm");
        put("course-10-note");
        removed(&keep, Space::Own, "i", "course", 2);
        assert_eq!(got("course-1-note").as_deref(), Some("course-1-note"));
        assert_eq!(got("course-2-note"), None);
        assert_eq!(got("course-2-slot_mm").as_deref(), Some("course-3-slot_mm"));
        assert_eq!(got("course-3-slot_mm"), None);
        assert_eq!(got("course-9-note").as_deref(), Some("course-10-note"));
        drop_all(&keep, Space::Own, "i");
        assert_eq!(got("course-1-note"), None);
    }
}
