//! What an instrument bears and waits for: bridge, neck, tuners, temperature, settling of new strings, playing in.
//!
//! [`loads_of`] computes all of it for one instrument, [`due`] what the whole shop waits for. What depends on the time of day takes
//! it as a [`Now`]; without one those figures are left out. Each part has its numbers, `words` ready to be shown and, where it
//! cannot be computed, a `missing` that says what is needed. Why a figure is what it is says [`load_reason`]. Records are edited
//! by the functions of [`record`].

mod bridge;
mod due;
mod neck;
mod playing_in;
mod reason;
pub mod record;
mod settling;
mod stringing;
mod temperature;
pub(crate) mod text;
mod tuners;

pub use bridge::{BridgeLoad, BridgeReport, CourseLoad};
pub use due::{Due, MachineReport, due, machines};
pub use neck::{DRY_AND_DAMP, NeckPlace, NeckReport, SectionFigures, WoodFigures, wood_names};
pub use playing_in::{PlayingInReport, PlayingState};
pub use reason::{LoadFigure, load_reason};
pub use settling::{CourseSettling, Retune, SettlingPoint, SettlingReport};
pub use temperature::{CourseWarmth, STAGE_K, TemperatureReport, stage_cents};
pub use tuners::TunerReport;

use super::Warning;
use crate::moment::Now;
use crate::records::{Instrument, RackString};
use crate::units::Units;
use serde::Serialize;
use stringing::Stringing;

/// What an instrument bears and waits for. A part that is not described in its record is none or empty.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Loads {
    /// What the strings do to the bridge, now and before; none while a string's tension is not known.
    pub bridge: Option<BridgeReport>,
    /// How the neck bends under them; none where no neck is described.
    pub neck: Option<NeckReport>,
    /// One entry a course; empty where no tuner is described.
    pub tuners: Vec<TunerReport>,
    /// What warmth does.
    pub temperature: Option<TemperatureReport>,
    /// How new strings settle; none where nobody looks.
    pub settling: Option<SettlingReport>,
    /// Playing in; none where it is not played in.
    pub playing_in: Option<PlayingInReport>,
    /// What the person should know of these; the report of a whole shop has them among the instrument's.
    #[serde(skip)]
    pub warnings: Vec<Warning>,
}

/// Computes what an instrument bears and waits for. Its strings may lie on the rack; `now` is what a clock says; sentences are in
/// the units given, figures in those of their names.
#[must_use]
pub fn loads_of(
    instrument: &Instrument,
    rack: &[RackString],
    now: Option<Now>,
    units: Units,
) -> Loads {
    let strings = Stringing::of(instrument, &instrument.courses, rack);
    let former = instrument
        .former
        .as_ref()
        .map(|former| Stringing::of(instrument, &former.courses, rack));
    let mut warnings = Vec::new();
    let mut warn = |code: &'static str, text: String| {
        warnings.push(Warning {
            code,
            text,
            course: None,
        });
    };
    let bridge = bridge::bridge_report(instrument, &strings, former.as_ref(), units, &mut warn);
    let neck = neck::neck_report(instrument, &strings, former.as_ref(), units, &mut warn);
    let tuners = tuners::tuner_reports(instrument, &strings, units);
    let temperature = temperature::temperature_report(instrument, &strings);
    let settling = settling::settling_report(instrument, now, &mut warn);
    let playing_in = playing_in::playing_in_report(instrument, now, &mut warn);
    Loads {
        bridge,
        neck,
        tuners,
        temperature,
        settling,
        playing_in,
        warnings,
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn pair(band: strungwell_physics::strung::Banded) -> Option<[f64; 2]> {
    Some([finite(band.low)?, finite(band.high)?])
}

#[cfg(test)]
mod tests;
