//! Where on the page the person is, kept in the address after `#`, so that reload and the back button work.

/// Which records are shown: the person's own, or the invented ones of the demo shop.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Space {
    /// The person's own.
    #[default]
    Own,
    /// The demo shop's.
    Demo,
}

impl Space {
    /// What the keys of this space's records begin with in the browser's storage.
    pub(crate) const fn prefix(self) -> &'static str {
        match self {
            Self::Own => "strungwell.",
            Self::Demo => "strungwell-demo.",
        }
    }
}

/// What the sheet shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) enum Place {
    /// Whatever was open last.
    #[default]
    Home,
    /// The instrument with this id.
    Instrument(String),
    /// The rack.
    Rack,
    /// What is shown to a player: the instrument with this id, or the one of a link.
    Show(String),
}

/// An address on the page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Route {
    /// Which records.
    pub space: Space,
    /// What of them.
    pub place: Place,
}

impl Route {
    /// Reads what stands in the address from `#` on. What it does not know is [`Place::Home`].
    pub(crate) fn parse(hash: &str) -> Self {
        let path = hash.trim_start_matches('#').trim_start_matches('/');
        let (space, path) = match path.strip_prefix("demo") {
            Some(rest) if rest.is_empty() || rest.starts_with('/') => {
                (Space::Demo, rest.trim_start_matches('/'))
            }
            _ => (Space::Own, path),
        };
        let place = if path == "rack" {
            Place::Rack
        } else if let Some(what) = path.strip_prefix("show/") {
            Place::Show(decoded(what))
        } else {
            path.strip_prefix("instrument/")
                .filter(|id| !id.is_empty())
                .map_or(Place::Home, |id| Place::Instrument(decoded(id)))
        };
        Self { space, place }
    }

    /// The address, with its `#`.
    pub(crate) fn hash(&self) -> String {
        let space = match self.space {
            Space::Own => "#/",
            Space::Demo => "#/demo/",
        };
        match &self.place {
            Place::Home => space.to_owned(),
            Place::Rack => format!("{space}rack"),
            Place::Show(what) => format!("{space}show/{}", encoded(what)),
            Place::Instrument(id) => format!("{space}instrument/{}", encoded(id)),
        }
    }
}

/// A text as it may stand in an address: everything but plain letters, digits and `-_.~` as `%` and two hex digits a byte.
fn encoded(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_.~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            for digit in [byte >> 4, byte & 15] {
                out.push(char::from_digit(u32::from(digit), 16).unwrap_or('0'));
            }
            let at = out.len() - 2;
            out.insert(at, '%');
        }
    }
    out
}

/// The text of an address; what is no proper code stays as it stands.
fn decoded(text: &str) -> String {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).and_then(|b| char::from(*b).to_digit(16));
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        match (bytes[at], digit(at + 1), digit(at + 2)) {
            (b'%', Some(high), Some(low)) => {
                out.push(u8::try_from(high * 16 + low).unwrap_or(b'?'));
                at += 3;
            }
            (byte, ..) => {
                out.push(byte);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_reads_back() {
        for space in [Space::Own, Space::Demo] {
            for place in [
                Place::Home,
                Place::Rack,
                Place::Show("show1:4,2-:ab".into()),
                Place::Instrument("inst-9".into()),
                Place::Instrument("a/b #% é\u{202e}".into()),
                Place::Instrument("rack".into()),
            ] {
                let route = Route { space, place };
                assert_eq!(Route::parse(&route.hash()), route, "{}", route.hash());
            }
        }
    }

    #[test]
    fn an_odd_address_is_home() {
        for hash in [
            "",
            "#",
            "#/",
            "#/nowhere",
            "#/instrument/",
            "#/demonstration",
            "#//",
        ] {
            assert_eq!(Route::parse(hash), Route::default(), "{hash}");
        }
        assert_eq!(
            Route::parse("#/instrument/%zz%4").place,
            Place::Instrument("%zz%4".into())
        );
    }
}
