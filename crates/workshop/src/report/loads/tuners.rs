//! How much a turn of each course's tuner does, and how fine a hand must be.

use super::finite;
use super::stringing::{CourseAt, Stringing};
use crate::records::{self, Instrument};
use crate::units::{Units, figure};
use serde::Serialize;
use strungwell_physics::quantity::{InBenchUnits, Length, mm};
use strungwell_physics::stretch::StretchOrigin;
use strungwell_physics::strung::Banded;
use strungwell_physics::tuner::{Tuner, strain_of_stretch, strain_to_pitch};

/// What a course's tuner does. Pairs count as their first string.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TunerReport {
    /// The open note.
    pub note: String,
    /// Turns of the button for one of the post.
    pub ratio: Option<f64>,
    /// The post's diameter in mm.
    pub post_mm: Option<f64>,
    /// Speaking length in mm.
    pub length_mm: Option<f64>,
    /// The string's stretch.
    pub kappa: Option<f64>,
    /// String taken up by one turn of the button, in mm.
    pub take_up_mm: Option<f64>,
    /// Cents for one degree of the button.
    pub cents_per_degree: Option<f64>,
    /// Its range, from the stretch's.
    pub cents_per_degree_band: Option<[f64; 2]>,
    /// Degrees of the button for one cent: how fine a hand must be.
    pub degrees_per_cent: Option<f64>,
    /// Its range.
    pub degrees_per_cent_band: Option<[f64; 2]>,
    /// The same of a friction peg on the same post, one to one.
    pub friction_degrees_per_cent: Option<f64>,
    /// How much longer the string is at pitch than slack, as a share of its length.
    pub strain: Option<f64>,
    /// True when only the string's stretch at pitch is known and not how it stretches on the way, so that the strain is the least
    /// that it may be.
    pub strain_is_least: bool,
    /// The slack that is wound in first, in mm.
    pub slack_mm: f64,
    /// Turns of the button from that slack to pitch.
    pub turns_to_pitch: Option<f64>,
    /// Why something is not known; none when all is.
    pub missing: Option<String>,
    /// What it comes to, in one sentence; empty where nothing is known.
    pub words: String,
}

pub(super) fn tuner_reports(
    instrument: &Instrument,
    strings: &Stringing<'_>,
    units: Units,
) -> Vec<TunerReport> {
    let Some(record) = &instrument.tuner else {
        return Vec::new();
    };
    strings
        .courses
        .iter()
        .map(|course| of_course(record, course, units))
        .collect()
}

fn of_course(record: &records::Tuner, on: &CourseAt<'_>, units: Units) -> TunerReport {
    let mut report = TunerReport {
        note: on.course.note.clone(),
        ratio: record.ratio.and_then(finite),
        post_mm: record.post_mm.and_then(finite),
        length_mm: on.length.map(|length| length.bench()),
        slack_mm: record.slack_mm.and_then(finite).map_or(0.0, |s| s.max(0.0)),
        ..TunerReport::default()
    };
    if let Err(why) = fill(&mut report, on, units) {
        report.missing = Some(why);
    }
    report
}

fn fill(report: &mut TunerReport, on: &CourseAt<'_>, units: Units) -> Result<(), String> {
    let (Some(ratio), Some(post)) = (report.ratio, report.post_mm) else {
        return Err("the tuner's ratio and its post's diameter are needed".into());
    };
    let tuner = Tuner::new(ratio, mm(post)).map_err(|why| why.to_string())?;
    report.take_up_mm = finite(tuner.take_up_per_turn().bench());
    let length = on.length.ok_or("the note cannot be read")?;
    let (_, at) = match &on.strings {
        Err(why) => return Err(why.clone()),
        Ok(_) => on.first().ok_or("no string is chosen")?,
    };
    let stretch = at.stretch.ok_or("the string's stretch is not known")?;
    let kappa = stretch.kappa;
    report.kappa = finite(kappa.value);
    report.cents_per_degree = finite(tuner.cents_per_degree(kappa.value, length).0);
    report.cents_per_degree_band = both(kappa, |k| finite(tuner.cents_per_degree(k, length).0));
    let degrees = |tuner: &Tuner, k| tuner.degrees_per_cent(k, length);
    report.degrees_per_cent = degrees(&tuner, kappa.value);
    report.degrees_per_cent_band =
        both(kappa, |k| degrees(&tuner, k)).map(|[low, high]| [high, low]);
    report.friction_degrees_per_cent = degrees(&tuner.ungeared(), kappa.value);
    let strain = match stretch.origin {
        StretchOrigin::Law { law, .. } => strain_to_pitch(&law, at.stress),
        StretchOrigin::Given | StretchOrigin::WoundOnNylon => {
            report.strain_is_least = true;
            strain_of_stretch(kappa.value)
        }
    };
    report.strain = finite(strain);
    report.turns_to_pitch = finite(tuner.turns_to_pitch(mm(report.slack_mm), strain, length));
    report.words = words(report, length, units);
    Ok(())
}

fn both(band: Banded, of: impl Fn(f64) -> Option<f64>) -> Option<[f64; 2]> {
    Some([of(band.low)?, of(band.high)?])
}

fn words(report: &TunerReport, length: Length, units: Units) -> String {
    let geared = report.ratio.is_some_and(|ratio| ratio > 1.0);
    let beside = if geared {
        format!(
            "; a friction peg on the same post would ask for {}°",
            figure(report.friction_degrees_per_cent, 2)
        )
    } else {
        String::new()
    };
    let slack = if report.slack_mm > 0.0 {
        format!("from {} of slack", units.length(report.slack_mm))
    } else {
        "from no slack".to_owned()
    };
    let least = if report.strain_is_least {
        "At least "
    } else {
        ""
    };
    format!(
        "One turn takes up {}; one cent is {}° of the button{beside}. {least}{} turns bring it to pitch {slack}, {} of them stretching it.",
        units.length(report.take_up_mm),
        figure(report.degrees_per_cent, 2),
        figure(report.turns_to_pitch, 1),
        figure(
            report
                .strain
                .zip(report.take_up_mm)
                .map(|(strain, turn)| strain * length.bench() / turn),
            1
        ),
    )
}
