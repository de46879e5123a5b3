//! The figures of one string at pitch.

use super::fretting::{Fretting, fretting};
use super::{Fitted, OpenString};
use crate::records::Instrument;
use crate::units::Units;
use serde::Serialize;
use strungwell_physics::at_pitch::{AtPitch, HighestPitch};
use strungwell_physics::quantity::InBenchUnits;
use strungwell_physics::range::OutOfRange;
use strungwell_physics::stiffness;
use strungwell_physics::strength::{REFUSE_FROM, WARN_FROM};
use strungwell_physics::stretch::StretchOrigin;
use strungwell_physics::string::Bearer;
use strungwell_physics::strung::Banded;

/// The figures of one string at pitch. One that cannot be computed is none, and a warning of the report says why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StringFigures {
    /// The string in words.
    pub name: String,
    /// The id of the rack string; none for one described on the instrument.
    pub rack: Option<String>,
    /// Pitch of the open string in Hz.
    pub pitch_hz: Option<f64>,
    /// Speaking length of the open string in mm, before setbacks.
    pub speaking_length_mm: Option<f64>,
    /// Outside diameter in mm.
    pub diameter_mm: Option<f64>,
    /// Wound, or of a make that nobody described inside.
    pub is_wound: bool,
    /// Mass per length in g/m.
    pub g_per_m: Option<f64>,
    /// Its range in g/m.
    pub g_per_m_band: Option<[f64; 2]>,
    /// Tension in N.
    pub tension_n: Option<f64>,
    /// Its range in N, from the range of the mass.
    pub tension_band_n: Option<[f64; 2]>,
    /// Stress in MPa in what bears the tension.
    pub stress_mpa: Option<f64>,
    /// What bears the tension.
    pub stress_bearer: BearerWord,
    /// Area in mm2 of what bears the tension.
    pub bearing_mm2: Option<f64>,
    /// Share of the least breaking load; none where no source gives one (`breaking_note` says why).
    pub breaking_fraction: Option<f64>,
    /// The least breaking load in N.
    pub breaking_load_n: Option<f64>,
    /// The source of the breaking figure, or why there is none.
    pub breaking_note: String,
    /// The highest pitch advised, in Hz.
    pub highest_hz: Option<f64>,
    /// The highest whole note at or below it.
    pub highest_note: Option<String>,
    /// True when that is where such strings were measured, since no breaking figure is published.
    pub highest_is_measured_stress: bool,
    /// Stretch, without unit.
    pub kappa: Option<f64>,
    /// Its range.
    pub kappa_band: Option<[f64; 2]>,
    /// How the stretch is known, in words.
    pub kappa_note: String,
    /// The stress range in MPa in which the stretch was measured; none where it does not rest on one.
    pub measured_mpa: Option<[f64; 2]>,
    /// False when the stress lies outside that range.
    pub inside_measured: bool,
    /// The stress in MPa above which the string carries a caution for want of a breaking figure; none where there is one.
    pub stress_mark_mpa: Option<f64>,
    /// True when strings of the kind were measured up to that mark; false when it is this project's own.
    pub stress_mark_measured: bool,
    /// Bending length in mm.
    pub bending_length_mm: Option<f64>,
    /// Its range.
    pub bending_length_band_mm: Option<[f64; 2]>,
    /// End correction at each end in mm, half the bending length.
    pub end_correction_mm: Option<f64>,
    /// Its range.
    pub end_correction_band_mm: Option<[f64; 2]>,
    /// How sharp the tenth partial of the tone stands over ten times the first, in cents.
    pub partial_10_cents: Option<f64>,
    /// What pressing it does, where heights were measured.
    #[serde(flatten)]
    pub fretting: Fretting,
}

/// What bears a string's tension, as a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BearerWord {
    /// The whole section.
    Whole,
    /// The core alone.
    Core,
    /// Not known: the stress is over the whole outline.
    Outline,
}

fn pair(band: Banded) -> Option<[f64; 2]> {
    Some([finite(band.low)?, finite(band.high)?])
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// The partial that stands for a string's inharmonicity.
const PARTIAL: u32 = 10;

/// Above this share of its mark a string without a breaking figure should not be strung. This project's own.
const OVER_MARK: f64 = 1.3;

/// Below this share of the lowest measured stress a string is far outside. This project's own mark.
const FAR_BELOW: f64 = 0.75;

/// Brings a string to pitch on an open course and gives its figures, but for what pressing it does.
#[must_use]
pub fn string_figures(fitted: &Fitted, open: &OpenString) -> StringFigures {
    match AtPitch::new(&fitted.make, fitted.measured, open.length, open.pitch) {
        Ok(at) => figures(fitted, open, &at),
        Err(why) => unplayable(fitted, &why),
    }
}

/// The same with what pressing it does on a course of an instrument, counted from 0, as that is set up.
#[must_use]
pub fn seated_figures(
    fitted: &Fitted,
    open: &OpenString,
    instrument: &Instrument,
    course: usize,
) -> StringFigures {
    match AtPitch::new(&fitted.make, fitted.measured, open.length, open.pitch) {
        Ok(at) => StringFigures {
            fretting: fretting(instrument, course, &at),
            ..figures(fitted, open, &at)
        },
        Err(why) => unplayable(fitted, &why),
    }
}

fn unplayable(fitted: &Fitted, why: &OutOfRange) -> StringFigures {
    StringFigures {
        breaking_note: why.to_string(),
        ..StringFigures::unknown(&fitted.name)
    }
}

fn figures(fitted: &Fitted, open: &OpenString, at: &AtPitch) -> StringFigures {
    let mass = fitted.make.g_per_m();
    let highest = at.highest.map(|h| match h {
        HighestPitch::ByBreaking(f) => (f, false),
        HighestPitch::ByMeasuredStress(f) => (f, true),
    });
    let range = at.measured_range();
    StringFigures {
        name: fitted.name.clone(),
        rack: fitted.rack.clone(),
        pitch_hz: finite(at.pitch.bench()),
        speaking_length_mm: finite(at.length.bench()),
        diameter_mm: finite(fitted.make.diameter().bench()),
        is_wound: match fitted.make.bearer() {
            Bearer::Whole(_) => false,
            Bearer::Core(core) => core.diameter() < fitted.make.diameter() * 0.95,
            Bearer::Unknown => true,
        },
        g_per_m: finite(mass.value),
        g_per_m_band: pair(mass),
        tension_n: finite(at.tension_n.value),
        tension_band_n: pair(at.tension_n),
        stress_mpa: finite(at.stress.bench()),
        stress_bearer: match fitted.make.bearer() {
            Bearer::Whole(_) => BearerWord::Whole,
            Bearer::Core(_) => BearerWord::Core,
            Bearer::Unknown => BearerWord::Outline,
        },
        bearing_mm2: finite(fitted.make.bearing_mm2()),
        breaking_fraction: at.breaking.ok().and_then(|b| finite(b.fraction)),
        breaking_load_n: at.breaking.ok().and_then(|b| finite(b.load.bench())),
        breaking_note: match at.breaking {
            Ok(ref breaking) => breaking.strength.source.to_owned(),
            Err(ref why) => why.to_string(),
        },
        highest_hz: highest.and_then(|(f, _)| finite(f.bench())),
        highest_note: highest.and_then(|(f, _)| {
            let (note, over) = open.standard.nearest(f)?;
            (if over.0 < 0.0 { note.up(-1)? } else { note })
                .to_string()
                .into()
        }),
        highest_is_measured_stress: highest.is_some_and(|(_, measured)| measured),
        kappa: at.stretch.and_then(|s| finite(s.kappa.value)),
        kappa_band: at.stretch.and_then(|s| pair(s.kappa)),
        kappa_note: kappa_note(at, fitted),
        measured_mpa: range.map(|(low, high, _)| [low, high]),
        inside_measured: range.is_none_or(|(_, _, inside)| inside),
        stress_mark_mpa: at.mark.and_then(|mark| finite(mark.stress.bench())),
        stress_mark_measured: at.mark.is_some_and(|mark| mark.measured),
        bending_length_mm: at.bending_length_mm.and_then(|b| finite(b.value)),
        bending_length_band_mm: at.bending_length_mm.and_then(pair),
        end_correction_mm: at.end_correction_mm().and_then(finite),
        end_correction_band_mm: at
            .end_correction_band_mm()
            .and_then(|(low, high)| Some([finite(low)?, finite(high)?])),
        partial_10_cents: at.bending_length_mm.and_then(|b| {
            finite(stiffness::partial_sharpness(b.value / at.length.bench(), PARTIAL).0)
        }),
        fretting: Fretting::default(),
    }
}

fn kappa_note(at: &AtPitch, fitted: &Fitted) -> String {
    match at.stretch.map(|s| s.origin) {
        None => {
            "the stretch of what bears the tension is not known; a pull test would give it".into()
        }
        Some(StretchOrigin::Given) => {
            "measured, or noted with the string; it holds at the tension at which it was measured"
                .into()
        }
        Some(StretchOrigin::WoundOnNylon) => {
            let mean = "mean of the published strings wound on nylon (Anderson & Beausoleil 2024), 51 give or take 5";
            match fitted.make.bearer() {
                Bearer::Unknown => format!(
                    "the core is not described and is taken as nylon: {mean}. If it is steel, this does not hold"
                ),
                Bearer::Core(_) | Bearer::Whole(_) => mean.into(),
            }
        }
        Some(StretchOrigin::Law { law, inside }) => {
            let note = law.source.to_owned();
            match law.measured_mpa {
                Some((low, high)) if !inside => format!(
                    "{note}; measured from {low:.0} to {high:.0} MPa, so here it is carried beyond what was measured"
                ),
                _ => note,
            }
        }
    }
}

impl StringFigures {
    /// The figures of a string of which nothing can be computed.
    #[must_use]
    pub fn unknown(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            rack: None,
            pitch_hz: None,
            speaking_length_mm: None,
            diameter_mm: None,
            is_wound: false,
            g_per_m: None,
            g_per_m_band: None,
            tension_n: None,
            tension_band_n: None,
            stress_mpa: None,
            stress_bearer: BearerWord::Outline,
            bearing_mm2: None,
            breaking_fraction: None,
            breaking_load_n: None,
            breaking_note: String::new(),
            highest_hz: None,
            highest_note: None,
            highest_is_measured_stress: false,
            kappa: None,
            kappa_band: None,
            kappa_note: String::new(),
            measured_mpa: None,
            inside_measured: true,
            stress_mark_mpa: None,
            stress_mark_measured: false,
            bending_length_mm: None,
            bending_length_band_mm: None,
            end_correction_mm: None,
            end_correction_band_mm: None,
            partial_10_cents: None,
            fretting: Fretting::default(),
        }
    }

    /// Says what the person should know of this string at the given note, each with a code.
    pub(crate) fn warn(&self, note: &str, units: Units, mut say: impl FnMut(&'static str, String)) {
        let name = &self.name;
        if self.tension_n.is_none() {
            say(
                "string-not-known",
                format!("{note}, {name}: {}", self.breaking_note),
            );
            return;
        }
        if let Some(caution) = self.breaking_caution(units) {
            say(caution.0, format!("{note}, {name}: {}", caution.1));
        }
        if self.kappa.is_none() {
            say(
                "stretch-not-known",
                format!("{note}, {name}: {}.", self.kappa_note),
            );
        }
        if let Some((_, text)) = self.stress_caution() {
            say("over-measured", format!("{note}, {name}: {text}"));
        } else if let Some((stress, [low, high])) = self.far_outside_measured() {
            say(
                "outside-measured-stress",
                format!(
                    "{note}, {name}: works at {stress:.0} MPa; its stretch was measured from {low:.0} to {high:.0} MPa, \
                     so the figures for fretting are an estimate with a wide band. A pull test would settle it."
                ),
            );
        }
    }

    /// A caution when a string without a breaking figure works above its mark, even if it weighs as little as it may; true
    /// with it when it is so far above that it should not be strung so.
    #[must_use]
    pub fn stress_caution(&self) -> Option<(bool, String)> {
        let (mark, stress, least) = (
            self.stress_mark_mpa?,
            self.stress_mpa?,
            self.least_stress_mpa()?,
        );
        (least > mark).then(|| {
            let up_to = if self.stress_mark_measured {
                format!("above the {mark:.0} MPa up to which such strings were measured")
            } else {
                format!("above {mark:.0} MPa, this page's own mark for a string of this kind")
            };
            (
                least > OVER_MARK * mark,
                format!(
                    "Works at {stress:.0} MPa, {up_to}, and no breaking figure is published: it may break. Wear eye protection \
                     and bring it up slowly, or choose a lower pitch or a stronger string."
                ),
            )
        })
    }

    /// The stress and the measured range, in MPa, when the string works so far outside it that the person should know: below
    /// three quarters of its low end, or above its high end even if the string weighs as little as it may. Nearer than that
    /// the wider band says enough.
    #[must_use]
    pub fn far_outside_measured(&self) -> Option<(f64, [f64; 2])> {
        let (stress, range) = (self.stress_mpa?, self.measured_mpa?);
        (stress < FAR_BELOW * range[0] || self.least_stress_mpa()? > range[1])
            .then_some((stress, range))
    }

    /// The stress in MPa if the string weighs as little as it may.
    #[must_use]
    pub fn least_stress_mpa(&self) -> Option<f64> {
        Some(self.stress_mpa? * self.tension_band_n?[0] / self.tension_n?)
    }

    /// A caution when the string works near what breaks it, with its code; none when there is nothing to fear or no figure.
    #[must_use]
    pub fn breaking_caution(&self, units: Units) -> Option<(&'static str, String)> {
        let fraction = self.breaking_fraction?;
        let load = units.force(self.breaking_load_n?);
        let tension = units.force(self.tension_n?);
        let percent = 100.0 * fraction;
        if fraction >= REFUSE_FROM {
            Some((
                "breaking",
                format!(
                    "{tension} is {percent:.0} % of the least breaking load of {load}. Do not string it so: choose \
                     a lower pitch, a shorter scale or a stronger core. A breaking string can hurt an eye."
                ),
            ))
        } else if fraction >= WARN_FROM {
            Some((
                "near-breaking",
                format!(
                    "{tension} is {percent:.0} % of the least breaking load of {load}. Wear eye protection and \
                     bring it up slowly."
                ),
            ))
        } else {
            None
        }
    }
}
