//! Words put at the front of a line, or made a sentence of their own.

/// The text with a capital at its front.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

/// The text as a sentence: a capital at its front and one stop at its end. Nothing stays nothing.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut said = capital(text.trim_end_matches('.'));
    if !said.is_empty() {
        said.push('.');
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_has_one_capital_and_one_stop() {
        assert_eq!(sentence("élan is kept"), "Élan is kept.");
        assert_eq!(sentence("No course."), "No course.");
        assert_eq!(sentence(""), "");
        assert_eq!(capital("lighter."), "Lighter.");
        assert_eq!(capital(""), "");
    }
}
