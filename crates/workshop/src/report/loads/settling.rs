//! How the new strings of an instrument settle: the fitted curve of each course, and when to tune again.

use super::{finite, pair};
use crate::file;
use crate::moment::{self, Now};
use crate::problem::clean;
use crate::records::{self, Instrument};
use crate::units::figure;
use serde::Serialize;
use strungwell_physics::quantity::Cents;
use strungwell_physics::settling::{Look, Settling};
use strungwell_physics::strung::Banded;

/// How new strings settle.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SettlingReport {
    /// When they were first brought to pitch, as recorded.
    pub strung: String,
    /// Hours since then; none without a clock's word.
    pub hours_now: Option<f64>,
    /// How flat they may go before they are tuned again, in cents.
    pub tolerance_cents: f64,
    /// Below this drift, in cents an hour, they count as settled.
    pub settled_cents_per_hour: f64,
    /// One entry a course.
    pub courses: Vec<CourseSettling>,
    /// The next time to tune, over all courses; none where no course says.
    pub next: Option<Retune>,
    /// What it comes to, in sentences.
    pub words: Vec<String>,
}

/// How one course settles.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CourseSettling {
    /// The open note.
    pub note: String,
    /// What was read, retunings undone, in the order of time.
    pub points: Vec<SettlingPoint>,
    /// All that it had gone flat after one hour, in cents, by the fitted curve `a + b log10 t`.
    pub a_cents: Option<f64>,
    /// Cents for each tenfold of the time.
    pub b_cents: Option<f64>,
    /// Its range, one standard deviation each way.
    pub b_band_cents: Option<[f64; 2]>,
    /// Root mean square in cents by which the readings lie off the curve.
    pub rms_cents: Option<f64>,
    /// The hour since stringing when it was last in tune, by the looks; none when it was never tuned again.
    pub tuned_hours: Option<f64>,
    /// How flat it should be now, in cents; none without a clock's word.
    pub flat_now_cents: Option<f64>,
    /// How fast it goes flat now, in cents an hour.
    pub rate_now: Option<f64>,
    /// Its range.
    pub rate_now_band: Option<[f64; 2]>,
    /// The hour since stringing at which it counts as settled.
    pub settled_hours: Option<f64>,
    /// Its range.
    pub settled_band_hours: Option<[f64; 2]>,
    /// That hour as a person reads it, at the place of the clock.
    pub settled_at: Option<String>,
    /// When to tune again until it is settled, the soonest first.
    pub schedule: Vec<Retune>,
    /// The fitted curve, for a drawing.
    pub curve: Vec<SettlingPoint>,
    /// What is needed; none when the curve is fitted.
    pub missing: Option<String>,
}

/// A point of a settling curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SettlingPoint {
    /// Hours since stringing.
    pub hours: f64,
    /// All that it had gone flat by then, in cents.
    pub cents: f64,
    /// The curve's range; the same twice for a reading.
    pub band_cents: [f64; 2],
}

/// A time to tune.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Retune {
    /// Hours since stringing.
    pub hours: f64,
    /// Their range; the far end is none where it may have settled before.
    pub band_hours: [Option<f64>; 2],
    /// Hours from now; none without a clock's word. Zero when it is due.
    pub in_hours: Option<f64>,
    /// Seconds since 1970, for a clock.
    pub seconds: Option<f64>,
    /// The moment as a person reads it.
    pub at: Option<String>,
}

/// The most times to tune that are listed.
const MOST_TIMES: usize = 12;
/// Points of the drawn curve.
const CURVE: u32 = 24;

/// When and how an instrument's strings are looked at.
struct Watch<'a> {
    record: &'a records::Settling,
    strung: f64,
    now: Option<Now>,
    hours_now: Option<f64>,
}

pub(super) fn settling_report(
    instrument: &Instrument,
    now: Option<Now>,
    warn: &mut impl FnMut(&'static str, String),
) -> Option<SettlingReport> {
    let record = &likely(instrument.settling.as_ref()?);
    let strung = moment::seconds(&record.strung);
    let watch = Watch {
        record,
        strung: strung.unwrap_or(0.0),
        now: now.filter(|_| strung.is_some()),
        hours_now: now
            .zip(strung)
            .and_then(|(now, strung)| finite((now.seconds - strung) / 3600.0))
            .filter(|hours| *hours > 0.0),
    };
    let courses: Vec<CourseSettling> = (0..instrument.courses.len())
        .map(|course| watch.course(instrument, course))
        .collect();
    let next = courses
        .iter()
        .filter_map(|course| course.schedule.first())
        .min_by(|a, b| a.hours.total_cmp(&b.hours))
        .cloned();
    let words = watch.words(&courses, next.as_ref());
    if next.as_ref().is_some_and(|next| next.in_hours == Some(0.0)) {
        warn(
            "retune-now",
            "New strings should have gone flat past their tolerance: tune them now, and note how flat they were."
                .to_owned(),
        );
    }
    Some(SettlingReport {
        strung: record.strung.clone(),
        hours_now: watch.hours_now,
        tolerance_cents: record.tolerance_cents,
        settled_cents_per_hour: record.settled_cents_per_hour,
        courses,
        next,
        words,
    })
}

/// The record with usual values in place of a tolerance or a drift that no file would take.
fn likely(record: &records::Settling) -> records::Settling {
    let usual = records::Settling::default();
    let kept = |field: &str, value: f64, usual: f64| {
        let limits = file::limits("settling", field);
        if limits.is_some_and(|limits| limits.accept(value)) {
            value
        } else {
            usual
        }
    };
    records::Settling {
        tolerance_cents: kept(
            "tolerance_cents",
            record.tolerance_cents,
            usual.tolerance_cents,
        ),
        settled_cents_per_hour: kept(
            "settled_cents_per_hour",
            record.settled_cents_per_hour,
            usual.settled_cents_per_hour,
        ),
        ..record.clone()
    }
}

impl Watch<'_> {
    fn course(&self, instrument: &Instrument, index: usize) -> CourseSettling {
        let looks: Vec<Look> = self
            .record
            .looks
            .iter()
            .filter(|l| usize::try_from(l.course).is_ok_and(|number| number == index + 1))
            .map(|l| Look {
                hours: l.hours,
                flat: Cents(l.flat_cents),
                retuned: l.retuned,
            })
            .collect();
        let mut said = CourseSettling {
            note: instrument.courses[index].note.clone(),
            ..CourseSettling::default()
        };
        match Settling::of(&looks) {
            Ok(found) => self.fill(&mut said, &found),
            Err(why) => said.missing = Some(why.to_string()),
        }
        let points = Settling::undone(&looks);
        said.points = points
            .iter()
            .map(|(hours, cents)| SettlingPoint {
                hours: *hours,
                cents: *cents,
                band_cents: [*cents; 2],
            })
            .collect();
        said
    }

    fn fill(&self, said: &mut CourseSettling, found: &Settling) {
        said.a_cents = finite(found.line.a);
        said.b_cents = finite(found.line.b);
        said.b_band_cents = pair(found.slope());
        said.rms_cents = finite(found.line.rms);
        said.tuned_hours = found.retuned_at;
        let settled = found.hours_until_rate(self.record.settled_cents_per_hour);
        said.settled_hours = finite(settled.value);
        said.settled_band_hours = pair(settled);
        said.settled_at = self
            .now
            .map(|now| now.shown(self.strung + 3600.0 * settled.value));
        let mut tuned = found.retuned_at.unwrap_or(found.last_hours);
        if let Some(hours) = self.hours_now {
            let since = match found.retuned_at {
                Some(tuned) => found.flat_between(tuned, hours.max(tuned)).value,
                None => found.flat_after(hours).value,
            };
            said.flat_now_cents = finite(since);
            let rate = found.rate_at(hours);
            said.rate_now = finite(rate.value);
            said.rate_now_band = pair(rate);
            if since >= self.record.tolerance_cents && hours > tuned {
                // It is due: as if tuned now, the rest counts from here.
                said.schedule.push(self.time(Banded::exact(hours)));
                tuned = hours;
            }
        }
        let rest = found.schedule(
            tuned,
            self.record.tolerance_cents,
            self.record.settled_cents_per_hour,
            MOST_TIMES,
        );
        // A time that has gone by cannot be kept any more.
        let ahead = |next: &Banded| self.hours_now.is_none_or(|hours| next.value >= hours);
        said.schedule
            .extend(rest.into_iter().filter(ahead).map(|next| self.time(next)));
        said.schedule.truncate(MOST_TIMES);
        said.curve = self.curve(found, settled.value);
    }

    fn time(&self, at: Banded) -> Retune {
        let seconds = self.now.map(|_| self.strung + 3600.0 * at.value);
        Retune {
            hours: at.value,
            band_hours: [finite(at.low), finite(at.high)],
            in_hours: self.hours_now.map(|now| (at.value - now).max(0.0)),
            seconds: seconds.and_then(finite),
            at: self
                .now
                .zip(seconds)
                .map(|(now, seconds)| now.shown(seconds)),
        }
    }

    /// The curve from the first reading to where it is settled or now, whichever is later, evenly in the logarithm of time.
    fn curve(&self, found: &Settling, settled: f64) -> Vec<SettlingPoint> {
        let from = found.first_hours;
        let to = settled
            .max(found.last_hours)
            .max(self.hours_now.unwrap_or(0.0));
        (0..=CURVE)
            .filter_map(|i| {
                let hours = from * (to / from).powf(f64::from(i) / f64::from(CURVE));
                let flat = found.flat_after(hours);
                Some(SettlingPoint {
                    hours: finite(hours)?,
                    cents: finite(flat.value)?,
                    band_cents: pair(flat)?,
                })
            })
            .collect()
    }

    fn words(&self, courses: &[CourseSettling], next: Option<&Retune>) -> Vec<String> {
        let mut words = Vec::new();
        for course in courses {
            let note = clean(&course.note, 12);
            let said = match (
                &course.missing,
                course.settled_hours,
                course.settled_band_hours,
            ) {
                (Some(why), ..) => format!("{note}: {why}."),
                (None, Some(hours), Some([low, high])) => format!(
                    "{note}: another {} cents flat for each tenfold of the time; under {} cents an hour from {} hours after stringing on \
                     (from {} to {}).",
                    figure(course.b_cents, 0),
                    figure(self.record.settled_cents_per_hour, 2),
                    figure(hours, 1),
                    figure(low, 1),
                    figure(high, 1),
                ),
                _ => continue,
            };
            words.push(said);
        }
        match next {
            Some(next) if next.in_hours == Some(0.0) => words.push("Tune now.".to_owned()),
            Some(next) => words.push(format!(
                "Tune next {}, to stay within {} cents.",
                match (&next.at, next.in_hours) {
                    (Some(at), Some(hours)) => format!("in {}, at {at}", span(hours)),
                    _ => format!("{} hours after stringing", figure(next.hours, 1)),
                },
                figure(self.record.tolerance_cents, 1),
            )),
            None if courses.iter().any(|course| course.settled_hours.is_some()) => {
                words.push("They need no more tuning than strings that have settled.".to_owned());
            }
            None => words.push(
                "Read how flat each string is a few times at growing intervals (such as half an hour, two hours, a night), tune it again, and \
                 note both: the strings' own readings are the only figures used."
                    .to_owned(),
            ),
        }
        words
    }
}

/// A span of hours as a person says it.
pub(super) fn span(hours: f64) -> String {
    if hours < 1.0 {
        format!("{} min", figure(60.0 * hours, 0))
    } else if hours < 48.0 {
        format!("{} h", figure(hours, 1))
    } else {
        format!("{} days", figure(hours / 24.0, 1))
    }
}
