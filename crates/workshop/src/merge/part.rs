//! What the records that can be merged have in common.

use crate::moment;
use crate::records::json::Writer;
use crate::records::{Instrument, Owner, RackString, Visit};

/// The most characters of an id that an id made of it keeps: with the mark and eight digits it stays within 100.
const ID_KEPT: usize = 88;

/// A record that has an id and says when it was changed.
pub trait Part: Clone {
    /// Its id.
    fn id(&self) -> &str;
    /// What a person calls it; empty where it has no name.
    fn name(&self) -> &str;
    /// Its id, name and moment of change, to be set; none for the name where it has none.
    fn faces(&mut self) -> (&mut String, Option<&mut String>, &mut Option<String>);
    /// When it was changed.
    fn changed(&self) -> Option<&str>;
    /// Its text without the moment of its change and without what is merged on its own.
    fn bare(&self) -> String;
    /// Takes away what is merged on its own.
    fn strip(&mut self) {}
}

macro_rules! part {
    ($record:ident, |$one:ident| $name:expr, |$each:ident| $to_name:expr $(, $list:ident)?) => {
        impl Part for $record {
            fn id(&self) -> &str {
                &self.id
            }

            fn name(&self) -> &str {
                let $one = self;
                $name
            }

            fn faces(&mut self) -> (&mut String, Option<&mut String>, &mut Option<String>) {
                let $each = self;
                (&mut $each.id, $to_name, &mut $each.changed)
            }

            fn changed(&self) -> Option<&str> {
                self.changed.as_deref()
            }

            fn bare(&self) -> String {
                let mut bare = self.clone();
                bare.changed = None;
                bare.strip();
                Writer::text_of(&bare)
            }

            $(fn strip(&mut self) {
                self.$list.clear();
            })?
        }
    };
}

part!(Owner, |r| &r.name, |r| Some(&mut r.name));
part!(RackString, |r| &r.name, |r| Some(&mut r.name));
part!(Instrument, |r| &r.name, |r| Some(&mut r.name), visits);
part!(Visit, |r| &r.date, |_r| None);

/// What decides between two records of one id: the moment of the change, then the text, then how the moment is written. The
/// greater one counts.
#[derive(Clone, Debug, PartialEq, PartialOrd)]
pub(super) struct Weight {
    /// Seconds since 1970; before all time where the record does not say.
    pub(super) seconds: f64,
    pub(super) bare: String,
    written: Option<String>,
}

impl Weight {
    pub(super) fn of<P: Part>(part: &P) -> Self {
        Self {
            seconds: part
                .changed()
                .and_then(moment::seconds)
                .unwrap_or(f64::NEG_INFINITY),
            bare: part.bare(),
            written: part.changed().map(str::to_owned),
        }
    }

    /// Whether it is known which of the two is newer.
    pub(super) fn decides(&self, other: &Self) -> bool {
        self.seconds.is_finite() && other.seconds.is_finite() && self.seconds != other.seconds
    }
}

/// The record as it is kept beside the one that keeps its id: under an id made of its content, so that every shop that keeps
/// it gives it the same.
pub(super) fn apart<P: Part>(part: &P, bare: &str) -> P {
    let mut kept = part.clone();
    kept.strip();
    let name: String = kept.name().chars().take(180).collect();
    let id: String = part.id().chars().take(ID_KEPT).collect();
    let (to_id, to_name, _) = kept.faces();
    *to_id = format!("{id}~{:08x}", crate::checksum::crc32(bare.as_bytes()));
    if let Some(to_name) = to_name {
        *to_name = format!("{name} (the other one)");
    }
    kept
}

/// Says in a record when it was changed, where it differs from what it was before. `now` is a moment; one before the record's own
/// moment (a clock that was set back) leaves that.
pub fn stamp<P: Part>(before: Option<&P>, after: &mut P, now: &str) {
    if before.is_some_and(|before| before.bare() == after.bare()) {
        return;
    }
    let seconds = |text: &str| moment::seconds(text).unwrap_or(f64::NEG_INFINITY);
    let last = before
        .and_then(Part::changed)
        .map_or(f64::NEG_INFINITY, seconds);
    let (_, _, changed) = after.faces();
    if seconds(now) >= last {
        *changed = Some(now.to_owned());
    }
}

/// As [`stamp`], for an instrument and each of its visits.
pub fn stamp_instrument(before: Option<&Instrument>, after: &mut Instrument, now: &str) {
    stamp(before, after, now);
    for visit in &mut after.visits {
        let was = before.and_then(|b| b.visits.iter().find(|v| v.id == visit.id));
        if was != Some(&*visit) {
            stamp(was, visit, now);
        }
    }
}
