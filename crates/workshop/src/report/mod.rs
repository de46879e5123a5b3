//! Records in, every computed figure out. The page, the printed sheet, the terminal and the tests all draw from here.

mod finger;
mod fitted;
mod fretting;
pub mod loads;
mod note_reason;
pub mod plan;
pub mod readings;
mod reason;
pub mod saddle_view;
mod side_view;
mod strings;
pub mod text;
mod tone;
mod words;

pub(crate) use finger::finger_probe;
pub(crate) use fitted::SCALE_STEP_G;
pub use fitted::{Fitted, fitted, string_make};
pub(crate) use fretting::let_plan_go;
pub use fretting::{FretFigures, Fretting};
pub use note_reason::{NoteFigure, note_reason};
pub use plan::{plan_curve, plan_of, tick_off};
pub use reason::{Figure, Reason, reason};
pub use side_view::{FretSide, NoteSide, SideView, Spot, Workings, side_view};
pub use strings::{BearerWord, StringFigures, seated_figures, string_figures};
pub use text::text;
pub use tone::{ToneFigures, tone};
pub use words::describe;

/// Share of the breaking load from which on a string is near breaking.
pub use strungwell_physics::strength::WARN_FROM;

/// What a player repeats, each way, in cents: one standard deviation of a tuner's reading of the same note.
pub const READING_SD_CENTS: f64 = strungwell_physics::intonation::READING_SD.0;

use crate::moment::Now;
use crate::problem::clean;
use crate::records::{Course, Instrument, RackString, Workshop};
use crate::units::Units;
use serde::Serialize;
use strungwell_physics::equivalent::plain_gauge;
use strungwell_physics::material::Material;
use strungwell_physics::pitch::{Note, PitchStandard};
use strungwell_physics::quantity::{Cents, Frequency, InBenchUnits, Length, hz, mm};
use strungwell_physics::tension::length_from_fret;

/// Every computed figure of a shop.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// One entry an instrument, in the file's order.
    pub instruments: Vec<InstrumentReport>,
    /// What the shop waits for, the soonest first; empty without a clock's word.
    pub due: Vec<loads::Due>,
    /// The machines that play instruments in, by their names; empty without a clock's word.
    pub machines: Vec<loads::MachineReport>,
}

/// Every computed figure of one instrument.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InstrumentReport {
    /// The instrument's id.
    pub id: String,
    /// The instrument's name.
    pub name: String,
    /// One entry a course, from the bass side to the treble side.
    pub courses: Vec<CourseReport>,
    /// The sum of all strings' tensions in N; none when one of them is not known.
    pub total_tension_n: Option<f64>,
    /// What the strings that have a price cost together, in the shop's own currency.
    pub strings_price: f64,
    /// How many strings have no price.
    pub strings_unpriced: usize,
    /// A straight saddle through the best places of the courses; none where none can be computed.
    pub saddle: Option<saddle_view::SaddleReport>,
    /// What the tuner's readings of the visit on the bench say; in the report of a whole shop alone, and none without
    /// such a visit.
    pub readings: Option<readings::ReadingsView>,
    /// What it bears and waits for; in the report of a whole shop alone, and empty otherwise.
    #[serde(flatten)]
    pub loads: loads::Loads,
    /// The plan for the bench with its curve; in the report of a whole shop alone.
    pub plan: Option<plan::PlanView>,
    /// What the person should know, each with what to do.
    pub warnings: Vec<Warning>,
}

/// Every computed figure of one course.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CourseReport {
    /// The open note.
    pub note: String,
    /// Its pitch in Hz, with the course's offset.
    pub pitch_hz: Option<f64>,
    /// The open string's speaking length in mm, before setbacks.
    pub speaking_length_mm: Option<f64>,
    /// Tension of the course's strings together, in N; none when one of them is not known.
    pub tension_n: Option<f64>,
    /// Its strings.
    pub strings: Vec<StringFigures>,
}

/// Something that the person should know.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Warning {
    /// A fixed word for programs.
    pub code: &'static str,
    /// The sentence for people, with its numbers and what to do.
    pub text: String,
    /// The course that it is about, counted from 1; none for the whole instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub course: Option<usize>,
}

/// Computes every figure of a shop, but for those that depend on the time of day.
#[must_use]
pub fn report(workshop: &Workshop) -> Report {
    report_at(workshop, None)
}

/// Computes every figure of a shop at a moment.
#[must_use]
pub fn report_at(workshop: &Workshop, now: Option<Now>) -> Report {
    Report {
        instruments: workshop
            .instruments
            .iter()
            .map(|instrument| whole_report(instrument, &workshop.rack, now))
            .collect(),
        due: now.map_or_else(Vec::new, |now| loads::due(&workshop.instruments, now)),
        machines: now.map_or_else(Vec::new, |now| loads::machines(&workshop.instruments, now)),
    }
}

fn whole_report(
    instrument: &Instrument,
    rack: &[RackString],
    now: Option<Now>,
) -> InstrumentReport {
    let mut report = instrument_report(instrument, rack);
    report.readings = readings::readings_view(
        instrument,
        rack,
        readings::TakenWith::default(),
        &saddle_view::SaddleAim::default(),
    );
    report.plan = Some(plan_with_curve(instrument, rack));
    report.loads = loads::loads_of(instrument, rack, now, Units::default());
    report.warnings.append(&mut report.loads.warnings);
    report
}

fn plan_with_curve(instrument: &Instrument, rack: &[RackString]) -> plan::PlanView {
    let mut plan = plan_of(instrument, rack, Units::default());
    plan.curve = plan_curve(instrument, rack, &plan);
    plan
}

/// Computes every figure of one instrument, whose strings may lie on the rack.
#[must_use]
pub fn instrument_report(instrument: &Instrument, rack: &[RackString]) -> InstrumentReport {
    instrument_report_in(instrument, rack, Units::default())
}

/// The same with its sentences in the units that the person chose; the figures stay in mm and N.
#[must_use]
pub fn instrument_report_in(
    instrument: &Instrument,
    rack: &[RackString],
    units: Units,
) -> InstrumentReport {
    let mut warnings = Vec::new();
    let courses: Vec<CourseReport> = (0..instrument.courses.len())
        .map(|course| course_report(instrument, rack, course, units, &mut warnings))
        .collect();
    let total_tension_n = sum(courses.iter().map(|course| course.tension_n));
    let saddle = saddle_view::saddle_report(instrument, &courses);
    let price = crate::rack::price(instrument, rack);
    InstrumentReport {
        id: instrument.id.clone(),
        name: instrument.name.clone(),
        courses,
        total_tension_n,
        strings_price: price.sum,
        strings_unpriced: price.unpriced,
        saddle,
        readings: None,
        loads: loads::Loads::default(),
        plan: None,
        warnings,
    }
}

fn course_report(
    instrument: &Instrument,
    rack: &[RackString],
    index: usize,
    units: Units,
    warnings: &mut Vec<Warning>,
) -> CourseReport {
    let course = &instrument.courses[index];
    let mut warn = |code: &'static str, text: String| {
        warnings.push(Warning {
            code,
            text,
            course: Some(index + 1),
        });
    };
    let open = match OpenString::of(instrument, index, &course.note) {
        Ok(open) => Some(open),
        Err(why) => {
            warn(
                "note-not-known",
                format!("Course {} ({}): {why}.", index + 1, clean(&course.note, 12)),
            );
            None
        }
    };
    let strings: Vec<StringFigures> = course
        .strings
        .iter()
        .map(|string| match (fitted(string, rack), &open) {
            (Ok(fitted), Some(open)) => {
                let open = open.raised(string.semitones);
                let figures = seated_figures(&fitted, &open, instrument, index);
                figures.warn(&clean(&course.note, 12), units, &mut warn);
                figures
            }
            (Ok(fitted), None) => StringFigures::unknown(&fitted.name),
            (Err(why), _) => {
                warn(
                    "string-not-known",
                    format!("Course {} ({}): {why}.", index + 1, clean(&course.note, 12)),
                );
                StringFigures::unknown("no string")
            }
        })
        .collect();
    CourseReport {
        note: course.note.clone(),
        pitch_hz: open.as_ref().map(|open| open.pitch.bench()),
        speaking_length_mm: open.as_ref().map(|open| open.length.bench()),
        tension_n: sum(strings.iter().map(|string| string.tension_n)),
        strings,
    }
}

/// The sum when every part is known and there is one; none otherwise.
fn sum(parts: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    let mut count = 0;
    let total = parts
        .inspect(|_| count += 1)
        .try_fold(0.0, |sum, part| Some(sum + part?))?;
    (count > 0).then_some(total)
}

/// An open string before anything is strung on it: its pitch and speaking length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenString {
    /// The pitch.
    pub pitch: Frequency,
    /// The speaking length, before setbacks.
    pub length: Length,
    /// The instrument's pitch standard.
    pub standard: PitchStandard,
}

impl OpenString {
    /// The open string of a course of an instrument, counted from 0, if it were tuned to this note (with the course's
    /// offset).
    ///
    /// # Errors
    /// A sentence when the note or the pitch standard cannot be read, or there is no such course.
    pub fn of(instrument: &Instrument, course: usize, note: &str) -> Result<Self, String> {
        let course = instrument
            .courses
            .get(course)
            .ok_or("there is no such course")?;
        Self::on(instrument, course, note)
    }

    /// The same of a course that need not be one of the instrument's own now, such as one of the strings before.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn on(instrument: &Instrument, course: &Course, note: &str) -> Result<Self, String> {
        let standard = PitchStandard::new(hz(instrument.a4_hz)).map_err(|e| e.to_string())?;
        let note = Note::parse(note).map_err(|e| e.to_string())?;
        let scale = mm(course.scale_mm.unwrap_or(instrument.scale_mm));
        Ok(Self {
            pitch: standard.frequency(note, Cents(course.offset_cents)),
            length: length_from_fret(scale, course.first_fret),
            standard,
        })
    }
}

impl OpenString {
    /// The same so many semitones higher: the octave string of an octave pair sounds 12 over its course.
    #[must_use]
    pub fn raised(self, semitones: i32) -> Self {
        Self {
            pitch: self.pitch * Cents(100.0 * f64::from(semitones)).ratio(),
            ..self
        }
    }
}

/// Distance of each fret from the nut in mm, the nut itself (0) first, on a scale: `X0 - X0 2^(-n/12)`. Empty for a scale that
/// is no number.
#[must_use]
pub fn fret_positions_mm(scale_mm: f64, frets: u32) -> Vec<f64> {
    if !scale_mm.is_finite() {
        return Vec::new();
    }
    (0..=frets.min(MOST_FRETS))
        .map(|n| (mm(scale_mm) - length_from_fret(mm(scale_mm), n)).bench())
        .collect()
}

/// More frets than any board has; a bound, so that a hostile number cannot fill the memory.
const MOST_FRETS: u32 = 60;

/// Mass per length of a string in g/m; none when it is not physical.
#[must_use]
pub fn g_per_m(make: &crate::records::Make) -> Option<f64> {
    string_make(make).ok().map(|m| m.g_per_m().value)
}

/// The plain strings that weigh as much as this one, as `(label of the material, diameter in mm)`: `d = sqrt(4 mu/(pi rho))`.
/// Empty when the make is not physical.
#[must_use]
pub fn as_heavy_as(make: &crate::records::Make) -> Vec<(&'static str, f64)> {
    let Ok(make) = string_make(make) else {
        return Vec::new();
    };
    [
        Material::Nylon,
        Material::Fluorocarbon,
        Material::Gut,
        Material::Steel,
    ]
    .into_iter()
    .map(|m| {
        (
            m.row().label,
            plain_gauge(make.mass_per_length(), m).bench(),
        )
    })
    .collect()
}
