//! An instrument's figures in a link, to show it to a player: what is written after the `#` of an address.
//!
//! A link carries what the report needs and nothing else: no name, owner, maker, serial number, note, wood, price, day, id
//! or field of another version. Strings from the rack travel as what they are. Numbers travel to six digits.

mod qr;
mod wire;

#[cfg(test)]
mod tests;

pub use qr::{QrCode, qr_code};

use crate::file::check_instrument;
use crate::records::{Instrument, RackString, Setup, Visit};
use crate::report::fitted;
use crate::show::Which;
use wire::Wire;

/// The longest link that is read or written, in characters; the largest QR code holds a little more.
pub const MOST: usize = 2_900;

/// What every link begins with: the version of its writing.
const BEGIN: &str = "show1:";

/// The id of an instrument out of a link.
pub const SHOWN_ID: &str = "shown";

/// What a link shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The instrument, nameless, with the id [`SHOWN_ID`], every string described in place, set up in one of its ways.
    pub instrument: Instrument,
    /// Which of its setups that is.
    pub which: Which,
    /// Another setup to hold it against, such as how it came in, and which it is.
    pub other: Option<(Which, Setup)>,
}

/// Why there is no link, or a link shows nothing. A sentence's middle, without a full stop.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadLink {
    /// It does not begin as a link of this version does.
    #[error("this link shows no instrument; ask for it again")]
    Other,
    /// It was cut off or changed on its way.
    #[error("this link was cut short or changed on its way; ask for it again")]
    Damaged,
    /// It is longer than [`MOST`].
    #[error("this link is too long: {0} characters, and at most {MOST} are accepted")]
    TooLong(usize),
    /// A figure in it, or in the instrument, is out of its limits.
    #[error("{0}")]
    Figure(String),
}

/// The link of two setups on show, each with the instrument so set up. The second travels where it is the same instrument's,
/// on the same strings, and differs from the first.
///
/// # Errors
/// As [`encode`]; [`BadLink::Figure`] too when the first is another instrument's.
pub fn of_sides(
    first: (Which, &Instrument),
    second: Option<(Which, &Instrument)>,
    rack: &[RackString],
) -> Result<String, BadLink> {
    let (which, shown) = first;
    let other = second.filter(|(other, beside)| {
        *other != Which::Other
            && beside.courses == shown.courses
            && (*other, &beside.setup) != (which, &shown.setup)
    });
    encode(
        shown,
        which,
        rack,
        other.map(|(which, beside)| (which, &beside.setup)),
    )
}

/// Writes an instrument's figures as a link's text, after the `#`: letters, digits and `,.:-` only.
///
/// `which` of its setups it stands with travels too; `other` is a second setup to be shown beside it, such as how it came in.
///
/// # Errors
/// [`BadLink::Figure`] when a setup is another instrument's, a string is not known, or a figure is out of its limits or cannot be
/// written; [`BadLink::TooLong`] for an instrument of so many strings that it does not fit.
pub fn encode(
    instrument: &Instrument,
    which: Which,
    rack: &[RackString],
    other: Option<(Which, &Setup)>,
) -> Result<String, BadLink> {
    let mut shown = Shown {
        instrument: figures_of(instrument, rack)?,
        which,
        other: other.map(|(which, setup)| (which, setup.clone())),
    };
    check(&shown)?;
    let mut wire = Wire::writing();
    wire.shown(&mut shown)?;
    let body = wire.written();
    let link = format!("{BEGIN}{body}:{}", seal(&body));
    if link.len() > MOST {
        return Err(BadLink::TooLong(link.len()));
    }
    Ok(link)
}

/// Reads a link's text, with or without the `#` before it. Whatever the text is, it is either shown whole or refused.
///
/// # Errors
/// [`BadLink`], in words.
pub fn decode(text: &str) -> Result<Shown, BadLink> {
    let text = text.trim();
    let text = text.strip_prefix('#').unwrap_or(text);
    let long = text.chars().count();
    if long > MOST {
        return Err(BadLink::TooLong(long));
    }
    let inner = text.strip_prefix(BEGIN).ok_or(BadLink::Other)?;
    let (body, sealed) = inner.rsplit_once(':').ok_or(BadLink::Damaged)?;
    if seal(body) != sealed {
        return Err(BadLink::Damaged);
    }
    read_body(body)
}

/// Reads what stands between the beginning and the seal.
fn read_body(body: &str) -> Result<Shown, BadLink> {
    let mut shown = Shown {
        instrument: Instrument::default(),
        which: Which::Now,
        other: None,
    };
    let mut wire = Wire::reading(body);
    wire.shown(&mut shown)?;
    wire.ended()?;
    shown.instrument.id = SHOWN_ID.into();
    check(&shown)?;
    Ok(shown)
}

/// The instrument without anything that a link does not carry.
fn figures_of(instrument: &Instrument, rack: &[RackString]) -> Result<Instrument, BadLink> {
    let mut figures = Instrument {
        id: SHOWN_ID.into(),
        a4_hz: instrument.a4_hz,
        scale_mm: instrument.scale_mm,
        frets: instrument.frets,
        fret_height_mm: instrument.fret_height_mm,
        courses: instrument.courses.clone(),
        press: instrument.press.clone(),
        pluck: instrument.pluck.clone(),
        setup: instrument.setup.clone(),
        ..Instrument::default()
    };
    for (number, course) in figures.courses.iter_mut().enumerate() {
        for string in &mut course.strings {
            // What the report says of a string that it cannot find, a link says too.
            fitted(string, rack)
                .map_err(|why| BadLink::Figure(format!("course {}: {why}", number + 1)))?;
            let Some(id) = string.rack.take() else {
                continue;
            };
            if let Some(found) = rack.iter().find(|candidate| candidate.id == id) {
                string.make = Some(found.make.clone());
                if string.kappa.is_none() {
                    string.kappa = found.kappa;
                    string.kappa_give = string.kappa_give.or(found.kappa_give);
                }
                string.bend_modulus_gpa = string.bend_modulus_gpa.or(found.bend_modulus_gpa);
            }
        }
    }
    Ok(figures)
}

/// That every figure is within the limits of the workshop file.
fn check(shown: &Shown) -> Result<(), BadLink> {
    let mut whole = shown.instrument.clone();
    whole.visits = vec![Visit {
        id: "other".into(),
        as_found: shown.other.as_ref().map(|(_, setup)| setup.clone()),
        ..Visit::default()
    }];
    check_instrument(&whole).map_err(|problem| BadLink::Figure(problem.to_string()))
}

/// Six letters that change when the text does (FNV-1a of 32 bits, from memory): against accidents, not against intent.
fn seal(text: &str) -> String {
    let hash = text.bytes().fold(0x811c_9dc5u32, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    });
    format!("{:06x}", hash >> 8)
}
