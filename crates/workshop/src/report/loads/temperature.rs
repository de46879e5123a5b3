//! What warmth does to each course.

use super::stringing::{CourseAt, Stringing};
use super::{finite, pair};
use crate::problem::clean;
use crate::records::Instrument;
use crate::units::{figure, signed};
use serde::Serialize;
use strungwell_physics::intonation::READING_SD;
use strungwell_physics::line::Line;
use strungwell_physics::string::Bearer;
use strungwell_physics::strung::Banded;
use strungwell_physics::temperature::{WOOD_ALONG, after_warming, cents_per_kelvin, expansion};

/// By how many kelvin a hot stage is warmer than the room where it was tuned, unless asked otherwise.
pub const STAGE_K: f64 = 10.0;

/// What warmth does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TemperatureReport {
    /// One entry a course.
    pub courses: Vec<CourseWarmth>,
    /// By how many kelvin the hot stage of `stage_cents` is warmer.
    pub stage_k: f64,
    /// How far the courses come apart there: the most less the least, in cents; none with fewer than two known.
    pub stage_spread_cents: Option<f64>,
    /// What it comes to, in sentences.
    pub words: Vec<String>,
}

/// What warmth does to one course. Pairs count as their first string.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CourseWarmth {
    /// The open note.
    pub note: String,
    /// Cents for each kelvin; negative goes flat in warmth.
    pub cents_per_k: Option<f64>,
    /// Its range.
    pub cents_per_k_band: Option<[f64; 2]>,
    /// True when it was read on this instrument, false when it is computed from the string's and the wood's expansions.
    pub is_read: bool,
    /// The string's stretch.
    pub kappa: Option<f64>,
    /// Expansion of the string in millionths a kelvin, where it is computed.
    pub expansion_ppm: Option<f64>,
    /// Where the figure comes from.
    pub source: String,
    /// Cents on the hot stage.
    pub stage_cents: Option<f64>,
    /// Their range.
    pub stage_band_cents: Option<[f64; 2]>,
    /// Why nothing is known, and what is needed; none when it is.
    pub missing: Option<String>,
}

/// Cents after warming by so many kelvin at a rate, for a stage of another warmth.
#[must_use]
pub fn stage_cents(cents_per_k: f64, kelvin: f64) -> f64 {
    after_warming(cents_per_k, kelvin).0
}

pub(super) fn temperature_report(
    instrument: &Instrument,
    strings: &Stringing<'_>,
) -> Option<TemperatureReport> {
    let courses: Vec<CourseWarmth> = strings
        .courses
        .iter()
        .enumerate()
        .map(|(index, on)| of_course(instrument, index, on))
        .collect();
    let known = || courses.iter().filter_map(|c| Some((c, c.stage_cents?)));
    let most = known().max_by(|a, b| a.1.total_cmp(&b.1));
    let least = known().min_by(|a, b| a.1.total_cmp(&b.1));
    let spread = (known().count() > 1)
        .then(|| Some(most?.1 - least?.1))
        .flatten();
    let mut words = Vec::new();
    let each: Vec<String> = known()
        .map(|(course, cents)| format!("{} {}", clean(&course.note, 12), signed(cents, 1)))
        .collect();
    if !each.is_empty() {
        words.push(format!(
            "On a stage {} °C warmer than where it was tuned, before the wood has followed: {} cents.",
            figure(STAGE_K, 0),
            each.join(", ")
        ));
    }
    if let Some(spread) = spread {
        words.push(format!(
            "The courses come {} cents apart, so tune on the stage, not before it.",
            figure(spread, 1)
        ));
    }
    if known().count() < courses.len() {
        words.push(
            "How much a drawn thread of nylon, fluorocarbon or gut expands under load is not published where it could be \
             checked, and humidity acts on gut and wood as well: read it. Tune in a cool room, note each open string's cents there and \
             again, not retuned, in a warm one."
                .to_owned(),
        );
    }
    (!courses.is_empty()).then_some(TemperatureReport {
        courses,
        stage_k: STAGE_K,
        stage_spread_cents: spread,
        words,
    })
}

fn of_course(instrument: &Instrument, index: usize, on: &CourseAt<'_>) -> CourseWarmth {
    let points: Vec<(f64, f64)> = instrument
        .warm_readings
        .iter()
        .filter(|r| usize::try_from(r.course).is_ok_and(|number| number == index + 1))
        .map(|r| (r.temp_c, r.cents))
        .collect();
    let mut warmth = CourseWarmth {
        note: on.course.note.clone(),
        ..CourseWarmth::default()
    };
    let rate = if let Some(line) = Line::through(&points, 2, READING_SD.0) {
        warmth.is_read = true;
        warmth.source = format!(
            "least squares through {} readings of this string at different temperatures",
            line.used
        );
        Some(Banded::within(line.b, line.b_sd))
    } else {
        match computed(on, &mut warmth) {
            Ok(rate) => Some(rate),
            Err(why) => {
                warmth.missing = Some(why);
                None
            }
        }
    };
    if let Some(rate) = rate {
        let stage = |rate| stage_cents(rate, STAGE_K);
        warmth.cents_per_k = finite(rate.value);
        warmth.cents_per_k_band = pair(rate);
        warmth.stage_cents = finite(stage(rate.value));
        warmth.stage_band_cents = pair(rate).map(|band| band.map(stage));
    }
    warmth
}

fn computed(on: &CourseAt<'_>, warmth: &mut CourseWarmth) -> Result<Banded, String> {
    let (fitted, at) = match &on.strings {
        Err(why) => return Err(why.clone()),
        Ok(_) => on.first().ok_or("no string is chosen")?,
    };
    let bearer = match fitted.make.bearer() {
        Bearer::Whole(material) => material,
        Bearer::Core(core) => core.material(),
        Bearer::Unknown => {
            return Err("what bears the tension inside the string is not known".into());
        }
    };
    let expands = expansion(bearer).ok_or_else(|| {
        format!(
            "how {} strings expand is not known here; read the open string at two temperatures",
            bearer.row().label
        )
    })?;
    let kappa = at.stretch.ok_or("the string's stretch is not known")?.kappa;
    warmth.kappa = finite(kappa.value);
    warmth.expansion_ppm = finite(expands.per_kelvin.value * 1e6);
    warmth.source = format!("{}; {}", expands.source, WOOD_ALONG.source);
    Ok(cents_per_kelvin(kappa, expands, WOOD_ALONG))
}
