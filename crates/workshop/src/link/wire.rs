//! How a link writes figures: one list of fields for both ways, so that reading and writing cannot drift apart.

use super::{BadLink, Shown};
use crate::problem::quoted;
use crate::records::{
    Core, CoreShape, Course, CourseSetup, Density, FittedString, Instrument, Make, Plain, Rated,
    Release, Setup, Weighed, Wound, Wrap, WrapForm,
};
use crate::show::Which;
use std::str::Split;
use strungwell_physics::pitch::Note;

/// Between two tokens.
const BETWEEN: char = ',';

/// The longest word, such as a material's.
const MOST_WORD: usize = 30;

/// Which setup the instrument stands with, and which the second is, by their places: one number says both.
const FIRST: [Which; 5] = [
    Which::Now,
    Which::Found,
    Which::Planned,
    Which::Fourth,
    Which::Tried,
];
const SECOND: [Option<Which>; 6] = [
    None,
    Some(Which::Found),
    Some(Which::Now),
    Some(Which::Planned),
    Some(Which::Fourth),
    Some(Which::Tried),
];

/// Tokens being written or read.
pub(super) enum Wire<'a> {
    Out(String),
    In(Split<'a, char>),
}

type Done = Result<(), BadLink>;

impl<'a> Wire<'a> {
    pub(super) const fn writing() -> Self {
        Self::Out(String::new())
    }

    pub(super) fn reading(text: &'a str) -> Self {
        Self::In(text.split(BETWEEN))
    }

    /// What was written.
    pub(super) fn written(self) -> String {
        match self {
            Self::Out(text) => text,
            Self::In(_) => String::new(),
        }
    }

    /// That nothing is left to read.
    pub(super) fn ended(mut self) -> Done {
        // A comma stands after the last token too.
        if self.token("")? != Some("") {
            return Err(BadLink::Damaged);
        }
        match &mut self {
            Self::In(tokens) => tokens.next().map_or(Ok(()), |_| Err(BadLink::Damaged)),
            Self::Out(_) => Ok(()),
        }
    }

    /// Writes a token, or gives the next one.
    fn token(&mut self, text: &str) -> Result<Option<&'a str>, BadLink> {
        match self {
            Self::Out(out) => {
                out.push_str(text);
                out.push(BETWEEN);
                Ok(None)
            }
            Self::In(tokens) => tokens.next().map(Some).ok_or(BadLink::Damaged),
        }
    }

    /// A number that may be missing.
    fn maybe(&mut self, value: &mut Option<f64>) -> Done {
        let text = value.map(digits).unwrap_or_default();
        if let Some(token) = self.token(&text)? {
            *value = if token.is_empty() {
                None
            } else {
                let number: f64 = token.parse().map_err(|_| BadLink::Damaged)?;
                Some(
                    Some(number)
                        .filter(|n| n.is_finite())
                        .ok_or(BadLink::Damaged)?,
                )
            };
        }
        Ok(())
    }

    /// A number, left out where it is the usual one.
    fn number(&mut self, value: &mut f64, usual: f64) -> Done {
        let mut known = Some(*value).filter(|value| value.to_bits() != usual.to_bits());
        self.maybe(&mut known)?;
        *value = known.unwrap_or(usual);
        Ok(())
    }

    fn maybe_whole(&mut self, value: &mut Option<u32>) -> Done {
        let text = value.map(|value| value.to_string()).unwrap_or_default();
        if let Some(token) = self.token(&text)? {
            *value = if token.is_empty() {
                None
            } else {
                Some(token.parse().map_err(|_| BadLink::Damaged)?)
            };
        }
        Ok(())
    }

    fn whole(&mut self, value: &mut u32) -> Done {
        let mut known = Some(*value);
        self.maybe_whole(&mut known)?;
        *value = known.ok_or(BadLink::Damaged)?;
        Ok(())
    }

    fn word(&mut self, value: &mut String) -> Done {
        let text = value.trim().to_owned();
        let fits = |text: &str| {
            text.len() <= MOST_WORD && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        };
        if matches!(self, Self::Out(_)) && !fits(&text) {
            return Err(unwritable(&text));
        }
        if let Some(token) = self.token(&text)? {
            if !fits(token) {
                return Err(BadLink::Damaged);
            }
            value.clear();
            value.push_str(token);
        }
        Ok(())
    }

    /// A note travels by its plain name, a sharp as `s`.
    fn note(&mut self, value: &mut String) -> Done {
        if matches!(self, Self::Out(_)) {
            let note = Note::parse(value).map_err(|_| unwritable(value))?;
            return self.word(&mut note.to_string().replace('#', "s"));
        }
        self.word(value)?;
        *value = value.replace('s', "#");
        Ok(())
    }

    /// One of several by its place among them.
    fn one_of(&mut self, place: usize, most: usize) -> Result<usize, BadLink> {
        match self.token(&place.to_string())? {
            None => Ok(place),
            Some(token) => {
                let place: usize = token.parse().map_err(|_| BadLink::Damaged)?;
                if place > most {
                    return Err(BadLink::Damaged);
                }
                Ok(place)
            }
        }
    }

    fn list<T: Default>(
        &mut self,
        list: &mut Vec<T>,
        most: usize,
        mut each: impl FnMut(&mut Self, &mut T) -> Done,
    ) -> Done {
        let count = self.one_of(list.len(), most)?;
        list.resize_with(count, T::default);
        list.iter_mut().try_for_each(|item| each(self, item))
    }

    fn maybe_record<T: Default>(
        &mut self,
        record: &mut Option<T>,
        each: impl FnOnce(&mut Self, &mut T) -> Done,
    ) -> Done {
        if self.one_of(usize::from(record.is_some()), 1)? == 0 {
            return Ok(());
        }
        each(self, record.get_or_insert_with(T::default))
    }

    pub(super) fn shown(&mut self, shown: &mut Shown) -> Done {
        self.instrument(&mut shown.instrument)?;
        let second = shown.other.as_ref().map(|(which, _)| *which);
        let place = FIRST.iter().position(|which| *which == shown.which);
        let beside = SECOND.iter().position(|which| *which == second);
        let (Some(place), Some(beside)) = (place, beside) else {
            return Err(BadLink::Figure(
                "it shows another instrument's setup; choose one of this instrument's own".into(),
            ));
        };
        let count = SECOND.len();
        let both = self.one_of(place * count + beside, FIRST.len() * count - 1)?;
        shown.which = FIRST[both / count];
        let Some(which) = SECOND[both % count] else {
            return Ok(());
        };
        let (known, setup) = shown.other.get_or_insert_with(|| (which, Setup::default()));
        *known = which;
        self.setup(setup)
    }

    fn instrument(&mut self, i: &mut Instrument) -> Done {
        self.number(&mut i.a4_hz, 440.0)?;
        self.number(&mut i.scale_mm, 0.0)?;
        self.whole(&mut i.frets)?;
        self.maybe(&mut i.fret_height_mm)?;
        self.number(&mut i.press.finger_behind_mm, 6.0)?;
        self.number(&mut i.press.fret_reaction_n, 1.0)?;
        self.number(&mut i.pluck.force_n, 1.5)?;
        self.maybe(&mut i.pluck.from_saddle_mm)?;
        let towards = usize::from(i.pluck.release == Release::Towards);
        i.pluck.release = [Release::Away, Release::Towards][self.one_of(towards, 1)?];
        self.list(&mut i.courses, 24, Self::course)?;
        self.setup(&mut i.setup)
    }

    fn course(&mut self, c: &mut Course) -> Done {
        self.note(&mut c.note)?;
        self.number(&mut c.offset_cents, 0.0)?;
        self.maybe(&mut c.scale_mm)?;
        self.whole(&mut c.first_fret)?;
        self.list(&mut c.strings, 4, Self::string)
    }

    fn string(&mut self, s: &mut FittedString) -> Done {
        self.make(s.make.get_or_insert_with(Make::default))?;
        self.maybe(&mut s.kappa)?;
        self.maybe(&mut s.kappa_give)?;
        self.maybe(&mut s.bend_modulus_gpa)
    }

    fn make(&mut self, make: &mut Make) -> Done {
        let place = match make {
            Make::Plain(_) => 0,
            Make::Wound(_) => 1,
            Make::Weighed(_) => 2,
            Make::Rated(_) => 3,
            Make::Density(_) => 4,
        };
        let read = self.one_of(place, 4)?;
        if read != place {
            *make = match read {
                1 => Make::Wound(Wound::default()),
                2 => Make::Weighed(Weighed::default()),
                3 => Make::Rated(Rated::default()),
                4 => Make::Density(Density::default()),
                _ => Make::default(),
            };
        }
        match make {
            Make::Plain(Plain {
                material,
                diameter_mm,
                ..
            }) => {
                self.word(material)?;
                self.number(diameter_mm, 0.0)
            }
            Make::Wound(wound) => {
                self.core(&mut wound.core)?;
                self.list(&mut wound.wraps, 6, Self::wrap)
            }
            Make::Weighed(w) => {
                self.number(&mut w.mass_g, 0.0)?;
                self.maybe(&mut w.mass_give_g)?;
                self.number(&mut w.length_mm, 0.0)?;
                self.number(&mut w.diameter_mm, 0.0)?;
                self.maybe_record(&mut w.core, Self::core)
            }
            Make::Rated(r) => {
                self.number(&mut r.tension_n, 0.0)?;
                self.note(&mut r.note)?;
                self.number(&mut r.scale_mm, 0.0)?;
                self.number(&mut r.diameter_mm, 0.0)?;
                self.maybe_record(&mut r.core, Self::core)
            }
            Make::Density(d) => {
                self.number(&mut d.g_per_m, 0.0)?;
                self.number(&mut d.diameter_mm, 0.0)?;
                self.maybe_record(&mut d.core, Self::core)
            }
        }
    }

    fn core(&mut self, core: &mut Core) -> Done {
        const SHAPES: [CoreShape; 3] = [CoreShape::Round, CoreShape::Hex, CoreShape::Filaments];
        self.word(&mut core.material)?;
        self.number(&mut core.diameter_mm, 0.0)?;
        let place = SHAPES.iter().position(|s| *s == core.shape).unwrap_or(0);
        core.shape = SHAPES[self.one_of(place, 2)?];
        self.maybe_whole(&mut core.filaments)
    }

    fn wrap(&mut self, wrap: &mut Wrap) -> Done {
        const FORMS: [WrapForm; 3] = [WrapForm::Round, WrapForm::Ribbon, WrapForm::Ground];
        self.word(&mut wrap.material)?;
        let place = FORMS.iter().position(|f| *f == wrap.form).unwrap_or(0);
        wrap.form = FORMS[self.one_of(place, 2)?];
        self.number(&mut wrap.size_mm, 0.0)?;
        self.maybe(&mut wrap.width_mm)?;
        self.maybe(&mut wrap.ground_mm)
    }

    fn setup(&mut self, setup: &mut Setup) -> Done {
        self.list(&mut setup.courses, 24, |wire, c: &mut CourseSetup| {
            wire.maybe(&mut c.gap_1_mm)?;
            wire.maybe(&mut c.gap_12_mm)?;
            wire.maybe(&mut c.saddle_setback_mm)?;
            wire.maybe(&mut c.nut_setback_mm)
        })?;
        self.maybe(&mut setup.relief_mm)?;
        self.maybe_whole(&mut setup.relief_fret)?;
        self.maybe_record(&mut setup.fret_tops_mm, |wire, tops: &mut Vec<f64>| {
            wire.list(tops, 40, |wire, top| wire.number(top, 0.0))
        })
    }
}

/// That a text of the instrument has no writing in a link.
fn unwritable(text: &str) -> BadLink {
    BadLink::Figure(format!("{} cannot be written in a link", quoted(text)))
}

/// A number to six digits, without an exponent or zeros at the end.
fn digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    let text = format!("{rounded}");
    match text.strip_prefix("0.") {
        Some(rest) => format!(".{rest}"),
        None => text
            .strip_prefix("-0.")
            .map_or_else(|| text.clone(), |rest| format!("-.{rest}")),
    }
}
