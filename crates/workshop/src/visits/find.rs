//! Finding instruments by the words in their records.

use crate::records::Owner;

/// The fields whose texts are searched; ids, notes of tunings and the words of tables are not.
const SEARCHED: [&str; 14] = [
    "name",
    "maker",
    "serial",
    "note",
    "contact",
    "work",
    "parts",
    "said",
    "waits_for",
    "date",
    "wood",
    "board_wood",
    "machine",
    "family",
];

/// The words of one instrument, made ready to be searched.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Searched(String);

impl Searched {
    /// The words of an instrument's JSON record, as [`crate::file::write_instrument`] writes it, and of its owner's: names, maker,
    /// serial, days, and every text of it and its visits. The record is not checked here, so that thousands can be made ready
    /// at once; a text that is no JSON has whatever words it seems to have.
    #[must_use]
    pub fn of(instrument_json: &str, owner: Option<&Owner>) -> Self {
        let mut words = String::new();
        let mut name = String::new();
        let mut rest = instrument_json;
        while let Some(start) = rest.find('"') {
            let (text, after) = literal(&rest[start..]);
            rest = after;
            if rest.trim_start().starts_with(':') {
                name = text;
            } else if SEARCHED.contains(&name.as_str()) {
                push(&mut words, &text);
            }
        }
        if let Some(owner) = owner {
            for text in [&owner.name, &owner.contact, &owner.note] {
                push(&mut words, text);
            }
        }
        Self(words)
    }

    /// Whether every word of a search stands in it, in whatever order and as part of whatever word. Capitals and accents do
    /// not count.
    #[must_use]
    pub fn has(&self, search: &str) -> bool {
        fold(search)
            .split_whitespace()
            .all(|word| self.0.contains(word))
    }
}

/// A JSON text in quotes at the beginning of `from`, and what follows it.
fn literal(from: &str) -> (String, &str) {
    let mut escaped = false;
    let end = from.char_indices().skip(1).find(|(_, letter)| {
        let ends = *letter == '"' && !escaped;
        escaped = *letter == '\\' && !escaped;
        ends
    });
    match end {
        Some((at, _)) => {
            let text = serde_json::from_str(&from[..=at]).unwrap_or_default();
            (text, &from[at + 1..])
        }
        None => (String::new(), ""),
    }
}

fn push(words: &mut String, text: &str) {
    if !text.is_empty() {
        words.push_str(&fold(text));
        words.push('\n');
    }
}

/// A text with small letters and without accents, as it is compared: `Müller, Łódź` is `muller, lodz`.
#[must_use]
pub fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars().flat_map(char::to_lowercase) {
        match letter {
            '\u{300}'..='\u{36f}' => {}
            'à'..='å' | 'ā' | 'ă' | 'ą' => out.push('a'),
            'ç' | 'ć' | 'ĉ' | 'ċ' | 'č' => out.push('c'),
            'ď' | 'đ' | 'ð' => out.push('d'),
            'è'..='ë' | 'ē' | 'ĕ' | 'ė' | 'ę' | 'ě' => out.push('e'),
            'ĝ' | 'ğ' | 'ġ' | 'ģ' => out.push('g'),
            'ĥ' | 'ħ' => out.push('h'),
            'ì'..='ï' | 'ĩ' | 'ī' | 'ĭ' | 'į' | 'ı' => out.push('i'),
            'ĵ' => out.push('j'),
            'ķ' => out.push('k'),
            'ĺ' | 'ļ' | 'ľ' | 'ł' => out.push('l'),
            'ñ' | 'ń' | 'ņ' | 'ň' => out.push('n'),
            'ò'..='ö' | 'ø' | 'ō' | 'ŏ' | 'ő' => out.push('o'),
            'ŕ' | 'ŗ' | 'ř' => out.push('r'),
            'ś' | 'ŝ' | 'ş' | 'š' | 'ș' => out.push('s'),
            'ţ' | 'ť' | 'ŧ' | 'ț' => out.push('t'),
            'ù'..='ü' | 'ũ' | 'ū' | 'ŭ' | 'ů' | 'ű' | 'ų' => out.push('u'),
            'ŵ' => out.push('w'),
            'ý' | 'ÿ' | 'ŷ' => out.push('y'),
            'ź' | 'ż' | 'ž' => out.push('z'),
            'ß' => out.push_str("ss"),
            'æ' => out.push_str("ae"),
            'œ' => out.push_str("oe"),
            'þ' => out.push_str("th"),
            other => out.push(other),
        }
    }
    out
}
