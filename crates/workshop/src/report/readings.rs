//! What a tuner's readings say: where saddle and nut should go, and how far each string really stretches.

mod figures;
mod heard;
mod record;

pub use figures::{AsideFigures, CorrectionFigures, CourseReadings, FitFigures, ReadingsView};
pub use heard::{ToHear, hundredths, octave_fret, reading_by_ear, stiffness_heard, to_hear};
pub use record::{open_visit, put_correction, put_reading, reading_at, take_stretch};

use super::fretting::Under;
use super::saddle_view::SaddleAim;
use super::{OpenString, fitted};
use crate::records::{FittedString, Instrument, RackString, Setup, Visit};
use figures::{SAME_KAPPA, corrected, fit_figures};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::intonation::{
    self, NoCorrection, NotFitted, NutRule, READING_SD, SetAside, correction, fit,
};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::Cents;
use strungwell_physics::strung::Strung;

/// From so many frets on, readings also tell a string's stretch. This project's own mark: two would do for the sum, but
/// then nothing would be left over to show a wrong reading.
pub const FRETS_FOR_FIT: usize = 4;

/// With which setup the readings were taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TakenWith {
    /// As found at that visit, where that was noted.
    #[default]
    AsFound,
    /// As it stands now.
    AsItStands,
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
pub(crate) fn as_known(found: &Setup, now: &Setup) -> Setup {
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
                    sd: r.sd_cents.map(Cents),
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
        let open = OpenString::of(self.instrument, self.course, &on.note)?.raised(string.semitones);
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

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests;
