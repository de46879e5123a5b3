//! What a tuner's readings say: where saddle and nut should go, and how far each string really stretches.

use super::fretting::Under;
use super::saddle_view::SaddleAim;
use super::{OpenString, fitted};
use crate::records::{FittedString, Instrument, RackString, Reading, Setup, Visit};
use serde::Serialize;
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::intonation::{
    self, Correction, Fitted, NoCorrection, NotFitted, NutRule, READING_SD, SetAside, correction,
    fit,
};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{Cents, InBenchUnits};
use strungwell_physics::strung::{Banded, Strung};

/// From so many frets on, readings also tell a string's stretch. This project's own mark: two would do for the sum, but
/// then nothing would be left over to show a wrong reading.
pub const FRETS_FOR_FIT: usize = 4;

/// Beyond so many standard deviations from what was known, a fit is not believed without a word.
const FAR_SDS: f64 = 3.0;

/// With which setup the readings were taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TakenWith {
    /// As found at that visit, where that was noted.
    #[default]
    AsFound,
    /// As it stands now.
    AsItStands,
}

/// What the readings of a visit say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingsView {
    /// The visit's id.
    pub visit: String,
    /// Its day.
    pub date: String,
    /// True when the heights or setbacks were changed since they were noted as found, so that it matters with which the
    /// readings were taken.
    pub changed_since: bool,
    /// One entry a course.
    pub courses: Vec<CourseReadings>,
}

/// What the readings of one course say.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CourseReadings {
    /// The open note.
    pub note: String,
    /// How many readings there are.
    pub count: usize,
    /// Of how many different frets, the open string not counted.
    pub frets: usize,
    /// Where to put saddle and nut.
    pub correction: Option<CorrectionFigures>,
    /// What the string is, from readings on several frets.
    pub fit: Option<FitFigures>,
    /// Readings that were not used, and why.
    pub set_aside: Vec<AsideFigures>,
    /// Why there is no correction; none when there is one, or no reading.
    pub missing: Option<String>,
}

/// A correction from readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CorrectionFigures {
    /// How far to move the saddle from where it stood, in mm; positive is backwards, which flattens.
    pub saddle_mm: f64,
    /// Its range, from the readings' own scatter.
    pub saddle_band_mm: [f64; 2],
    /// How far to move the nut's edge, in mm; negative is towards the bridge.
    pub nut_mm: f64,
    /// Its range.
    pub nut_band_mm: [f64; 2],
    /// The saddle's setback in mm then.
    pub saddle_setback_mm: f64,
    /// The nut's setback in mm then.
    pub nut_setback_mm: f64,
    /// True when the nut was left where it stood, asked for or because one fret cannot place both.
    pub nut_stays: bool,
    /// Root mean square in cents of the errors read.
    pub before_cents: f64,
    /// The same as it should be afterwards.
    pub after_cents: f64,
    /// Whether the errors read stand out from what readings scatter by.
    pub is_heard: bool,
}

/// A string's stretch and end correction from readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FitFigures {
    /// Stretch.
    pub kappa: f64,
    /// Its range.
    pub kappa_band: [f64; 2],
    /// One standard deviation of it.
    pub kappa_give: f64,
    /// End correction at each end in mm.
    pub end_correction_mm: f64,
    /// Its range.
    pub end_correction_band_mm: [f64; 2],
    /// Correlation of the two doubts, -1 to 1.
    pub correlation: f64,
    /// How far off the open string was, in cents.
    pub open_cents: f64,
    /// Root mean square in cents by which the readings differed from the figures as they were.
    pub before_cents: f64,
    /// The same with what was found.
    pub after_cents: f64,
    /// How many readings were used.
    pub used: usize,
    /// How far the stretch moved from what was known, in standard deviations of that.
    pub moved_sds: f64,
    /// Whether either moved so far that the string may not be what it was said to be, or the heights not as measured.
    pub is_far: bool,
    /// Whether this stretch is recorded on the instrument already.
    pub is_taken: bool,
}

/// A reading that was not used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsideFigures {
    /// Its place in the visit's list of readings, from 0.
    pub place: usize,
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// What it said, in cents.
    pub cents: f64,
    /// Why it was not used.
    pub why: String,
}

/// The visit that is on the bench: the newest that was not closed by heights as left. Its place in the list.
#[must_use]
pub fn open_visit(instrument: &Instrument) -> Option<usize> {
    let open = instrument
        .visits
        .iter()
        .enumerate()
        .filter(|(_, visit)| visit.as_left.is_none());
    // Days are written so that they sort as text; of one day's, the last noted.
    open.max_by(|(_, a), (_, b)| a.date.cmp(&b.date))
        .map(|(place, _)| place)
}

/// Notes a reading in the visit on the bench, or changes or removes the one at `place` in its list.
///
/// Where no visit is open, one is begun with `begin` (its id and day) and the present setup as found; never for a removal.
pub fn put_reading(
    instrument: &mut Instrument,
    place: Option<usize>,
    reading: Option<Reading>,
    begin: impl FnOnce() -> (String, String),
) {
    let at = match open_visit(instrument) {
        Some(at) => at,
        None if reading.is_some() => {
            let (id, date) = begin();
            instrument.visits.push(Visit {
                id,
                date,
                as_found: Some(instrument.setup.clone()),
                ..Visit::default()
            });
            instrument.visits.len() - 1
        }
        None => return,
    };
    let Some(visit) = instrument.visits.get_mut(at) else {
        return;
    };
    let there = place.filter(|place| *place < visit.readings.len());
    match (there, reading) {
        (Some(place), Some(reading)) => {
            // What a later version knows of this reading stays with it.
            let kept = std::mem::take(&mut visit.readings[place].extra);
            visit.readings[place] = Reading {
                extra: kept,
                ..reading
            };
        }
        (Some(place), None) => drop(visit.readings.remove(place)),
        (None, Some(reading)) => visit.readings.push(reading),
        (None, None) => {}
    }
}

/// Takes a fitted stretch for the strings of a course, counted from 0: those that are as its first.
pub fn take_stretch(instrument: &mut Instrument, course: usize, fit: &FitFigures) {
    let Some(course) = instrument.courses.get_mut(course) else {
        return;
    };
    let first = course.strings.first().cloned();
    for string in course
        .strings
        .iter_mut()
        .filter(|s| Some(&**s) == first.as_ref())
    {
        string.kappa = Some(fit.kappa);
        string.kappa_give = Some(fit.kappa_give);
    }
}

/// What the readings of the visit on the bench say. None when no visit is open.
#[must_use]
pub fn readings_view(
    instrument: &Instrument,
    rack: &[RackString],
    taken: TakenWith,
    aim: &SaddleAim,
) -> Option<ReadingsView> {
    let visit = instrument.visits.get(open_visit(instrument)?)?;
    let found = visit
        .as_found
        .as_ref()
        .filter(|setup| !setup.courses.is_empty());
    let changed_since = found.is_some_and(|setup| *setup != instrument.setup);
    let mut then = instrument.clone();
    if let Some(setup) = found.filter(|_| taken == TakenWith::AsFound) {
        then.setup = as_known(setup, &instrument.setup);
    }
    Some(ReadingsView {
        visit: visit.id.clone(),
        date: visit.date.clone(),
        changed_since,
        courses: (0..then.courses.len())
            .map(|course| course_readings(&then, rack, visit, course, aim))
            .collect(),
    })
}

/// A setup as found, with what was not measured then taken from the present one.
fn as_known(found: &Setup, now: &Setup) -> Setup {
    let mut known = found.clone();
    known.relief_mm = known.relief_mm.or(now.relief_mm);
    known.relief_fret = known.relief_fret.or(now.relief_fret);
    if known.fret_tops_mm.is_none() {
        known.fret_tops_mm.clone_from(&now.fret_tops_mm);
    }
    for (course, now) in known.courses.iter_mut().zip(&now.courses) {
        course.gap_1_mm = course.gap_1_mm.or(now.gap_1_mm);
        course.gap_12_mm = course.gap_12_mm.or(now.gap_12_mm);
        course.saddle_setback_mm = course.saddle_setback_mm.or(now.saddle_setback_mm);
        course.nut_setback_mm = course.nut_setback_mm.or(now.nut_setback_mm);
    }
    known
}

fn course_readings(
    instrument: &Instrument,
    rack: &[RackString],
    visit: &Visit,
    course: usize,
    aim: &SaddleAim,
) -> CourseReadings {
    let own: Vec<(usize, intonation::Reading)> = visit
        .readings
        .iter()
        .enumerate()
        .filter(|(_, r)| usize::try_from(r.course).is_ok_and(|number| number == course + 1))
        .map(|(place, r)| {
            (
                place,
                intonation::Reading {
                    fret: r.fret,
                    cents: Cents(r.cents),
                },
            )
        })
        .collect();
    let mut frets: Vec<u32> = own
        .iter()
        .map(|(_, r)| r.fret)
        .filter(|fret| *fret > 0)
        .collect();
    frets.sort_unstable();
    frets.dedup();
    let mut said = CourseReadings {
        note: instrument.courses[course].note.clone(),
        count: own.len(),
        frets: frets.len(),
        ..CourseReadings::default()
    };
    if own.is_empty() {
        return said;
    }
    let found = (|| {
        let on = &instrument.courses[course];
        let setup = instrument
            .setup
            .courses
            .get(course)
            .ok_or("the heights of this course are not measured")?;
        let under = Under::of(instrument, on, setup)?;
        let string = on.strings.first().ok_or("no string is chosen")?;
        let asked = Asked {
            instrument,
            rack,
            under: &under,
            course,
            readings: &own,
        };
        asked.answer(&mut said, string, aim.nut())
    })();
    if let Err(why) = found {
        said.missing = Some(why);
    }
    said
}

/// The readings of one course and what they are held against.
struct Asked<'a> {
    instrument: &'a Instrument,
    rack: &'a [RackString],
    under: &'a Under,
    course: usize,
    readings: &'a [(usize, intonation::Reading)],
}

impl Asked<'_> {
    fn string(&self, string: &FittedString) -> Result<Strung, String> {
        let on = &self.instrument.courses[self.course];
        let fitted = fitted(string, self.rack)?;
        let open = OpenString::of(self.instrument, self.course, &on.note)?;
        AtPitch::new(&fitted.make, fitted.measured, open.length, open.pitch)
            .map_err(|why| why.to_string())?
            .strung()
            .ok_or_else(|| "the string's stretch is not known".into())
    }

    fn laid(&self, strung: &Strung) -> Result<StringOnBoard<'_>, String> {
        self.under.strung(
            self.instrument,
            &self.instrument.courses[self.course],
            strung,
        )
    }

    fn answer(
        &self,
        said: &mut CourseReadings,
        string: &FittedString,
        nut: NutRule,
    ) -> Result<(), String> {
        let readings: Vec<intonation::Reading> = self.readings.iter().map(|(_, r)| *r).collect();
        let strung = self.string(string)?;
        let on_board = self.laid(&strung)?;
        let mut found = correction(&on_board, &readings, nut, READING_SD);
        let mut stays = nut == NutRule::Stays;
        if matches!(found, Err(NoCorrection::TooFew { frets: 1, .. })) {
            stays = true;
            found = correction(&on_board, &readings, NutRule::Stays, READING_SD);
        }
        match found {
            Ok(found) => {
                said.set_aside = self.aside(&found.set_aside);
                said.correction = corrected(&found, stays);
            }
            Err(why) => {
                if let NoCorrection::TooFew { set_aside, .. } = &why {
                    said.set_aside = self.aside(set_aside);
                }
                said.missing = Some(why.to_string());
            }
        }
        if said.frets >= FRETS_FOR_FIT {
            match self.fit(string, &on_board, &readings) {
                Ok((fit, set_aside)) => {
                    said.set_aside = self.aside(&set_aside);
                    said.fit = fit;
                }
                Err(NotFitted::TooFew { .. } | NotFitted::Outside(_)) => {}
            }
        }
        Ok(())
    }

    /// The fit, from what was known of the string before these very readings.
    fn fit(
        &self,
        string: &FittedString,
        on_board: &StringOnBoard<'_>,
        readings: &[intonation::Reading],
    ) -> Result<(Option<FitFigures>, Vec<SetAside>), NotFitted> {
        if let Some(recorded) = string.kappa {
            // A stretch that was taken from these readings must not count as known before them.
            let unknown = FittedString {
                kappa: None,
                kappa_give: None,
                ..string.clone()
            };
            let before = self.string(&unknown).ok();
            let laid = before.as_ref().and_then(|strung| self.laid(strung).ok());
            if let Some(laid) = laid {
                let found = fit(&laid, readings, READING_SD)?;
                let figures = fit_figures(&found, true);
                if figures
                    .as_ref()
                    .is_some_and(|f| (f.kappa - recorded).abs() < SAME_KAPPA)
                {
                    return Ok((figures, found.set_aside));
                }
            }
        }
        let found = fit(on_board, readings, READING_SD)?;
        Ok((fit_figures(&found, false), found.set_aside))
    }

    fn aside(&self, set_aside: &[SetAside]) -> Vec<AsideFigures> {
        let place = |aside: &SetAside| self.readings.get(aside.place).map(|(place, _)| *place);
        set_aside
            .iter()
            .filter_map(|aside| {
                Some(AsideFigures {
                    place: place(aside)?,
                    fret: aside.reading.fret,
                    cents: finite(aside.reading.cents.0)?,
                    why: aside.why.to_string(),
                })
            })
            .collect()
    }
}

/// Stretches are recorded to a tenth; two nearer than half of that are one.
const SAME_KAPPA: f64 = 0.05;

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn pair(band: Banded) -> Option<[f64; 2]> {
    Some([finite(band.low)?, finite(band.high)?])
}

fn corrected(found: &Correction, nut_stays: bool) -> Option<CorrectionFigures> {
    Some(CorrectionFigures {
        saddle_mm: finite(found.saddle_mm.value)?,
        saddle_band_mm: pair(found.saddle_mm)?,
        nut_mm: finite(found.nut_mm.value)?,
        nut_band_mm: pair(found.nut_mm)?,
        saddle_setback_mm: finite(found.setbacks.saddle.bench())?,
        nut_setback_mm: finite(found.setbacks.nut.bench())?,
        nut_stays,
        before_cents: finite(found.before.0)?,
        after_cents: finite(found.after.0)?,
        is_heard: found.is_heard(READING_SD),
    })
}

fn fit_figures(found: &Fitted, is_taken: bool) -> Option<FitFigures> {
    let give = f64::midpoint(
        found.kappa.high - found.kappa.value,
        found.kappa.value - found.kappa.low,
    );
    Some(FitFigures {
        kappa: finite(tenth(found.kappa.value))?,
        kappa_band: pair(found.kappa)?,
        kappa_give: finite(tenth(give))?,
        end_correction_mm: finite(found.end_correction_mm.value)?,
        end_correction_band_mm: pair(found.end_correction_mm)?,
        correlation: finite(found.correlation)?,
        open_cents: finite(found.open.0)?,
        before_cents: finite(found.before.0)?,
        after_cents: finite(found.after.0)?,
        used: found.used,
        moved_sds: finite(found.kappa_moved_sds)?,
        is_far: found
            .kappa_moved_sds
            .abs()
            .max(found.bending_moved_sds.abs())
            > FAR_SDS,
        is_taken,
    })
}

#[cfg(test)]
mod tests;
