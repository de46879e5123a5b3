//! Editing the records of loads: what is written where.

use crate::moment::{self, Now};
use crate::records::{Former, Instrument, Look, PlayingIn, Settling, StrokeCount, WarmReading};
use crate::report::fretting::relief_fret;

/// Keeps the present strings as the strings before, with the relief as the setup has it, so that others can be put on and compared. What
/// was kept before goes. The day may be empty.
pub fn keep_as_former(instrument: &mut Instrument, date: &str) {
    let kept = instrument.former.take().map(|former| former.extra);
    instrument.former = Some(Former {
        date: date.to_owned(),
        courses: instrument.courses.clone(),
        relief_mm: instrument.setup.relief_mm,
        note: String::new(),
        extra: kept.unwrap_or_default(),
    });
}

/// Puts a predicted relief into the setup, to 0.01 mm, at the fret where the relief is measured. Heights and everything that follows
/// from them then count with it. Does nothing with what is no number or outside -5 to 5 mm.
pub fn take_predicted_relief(instrument: &mut Instrument, predicted_mm: f64) {
    if (-5.0..=5.0).contains(&predicted_mm) {
        instrument.setup.relief_fret = Some(relief_fret(instrument));
        instrument.setup.relief_mm = Some((predicted_mm * 100.0).round() / 100.0);
    }
}

/// Begins to watch new strings that were just brought to pitch. Earlier looks go; tolerance and rate stay as they were. Nothing happens
/// where the clock's word is no moment.
pub fn begin_settling(instrument: &mut Instrument, now: Now) {
    let Some(strung) = now.text() else { return };
    let before = instrument.settling.take().unwrap_or_default();
    instrument.settling = Some(Settling {
        strung,
        looks: Vec::new(),
        ..before
    });
}

/// Hours since the strings were first brought to pitch, for a look that is taken now; none before that or when nobody watches.
#[must_use]
pub fn hours_since_strung(instrument: &Instrument, now: Now) -> Option<f64> {
    let strung = moment::seconds(&instrument.settling.as_ref()?.strung)?;
    let hours = (now.seconds - strung) / 3600.0;
    // To a hundredth of an hour, and at least that: what the record takes.
    (hours > 0.0 && hours <= 100_000.0).then(|| ((hours * 100.0).round() / 100.0).max(0.01))
}

/// Writes a look, changes the one at `place` in the list, or removes it. What a later version knows of it stays with it. Does nothing
/// where nobody watches.
pub fn put_look(instrument: &mut Instrument, place: Option<usize>, look: Option<Look>) {
    if let Some(settling) = &mut instrument.settling {
        put(&mut settling.looks, place, look, |old, new| {
            new.extra = std::mem::take(&mut old.extra);
        });
    }
}

/// The same for a reading at a temperature.
pub fn put_warm_reading(
    instrument: &mut Instrument,
    place: Option<usize>,
    reading: Option<WarmReading>,
) {
    put(&mut instrument.warm_readings, place, reading, |old, new| {
        new.extra = std::mem::take(&mut old.extra);
    });
}

/// The same for a counter's reading. Does nothing where the instrument is not played in.
pub fn put_count(instrument: &mut Instrument, place: Option<usize>, count: Option<StrokeCount>) {
    if let Some(playing) = &mut instrument.playing_in {
        put(&mut playing.counts, place, count, |old, new| {
            new.extra = std::mem::take(&mut old.extra);
        });
    }
}

/// Starts playing in now: an earlier run's stop, counts and change of strings go, the machine's settings stay.
pub fn start_playing_in(instrument: &mut Instrument, now: Now) {
    let before = instrument.playing_in.take().unwrap_or_default();
    instrument.playing_in = Some(PlayingIn {
        started: now.text(),
        stopped: None,
        strings_changed: None,
        counts: Vec::new(),
        ..before
    });
}

/// Stops it now. Does nothing where it is not played in.
pub fn stop_playing_in(instrument: &mut Instrument, now: Now) {
    if let Some(playing) = &mut instrument.playing_in {
        playing.stopped = now.text();
    }
}

/// Notes that the strings were changed after playing in, and stops it if it still runs.
pub fn change_strings_after_playing_in(instrument: &mut Instrument, now: Now) {
    if let Some(playing) = &mut instrument.playing_in {
        playing.strings_changed = now.text();
        if playing.stopped.is_none() {
            playing.stopped = now.text();
        }
    }
}

/// Takes a rate of strokes, in strokes a minute, as the machine's turns a minute: the strokes over those of one turn. A rate that is
/// none, or a turn without strokes, changes nothing.
pub fn take_stroke_rate(instrument: &mut Instrument, strokes_per_minute: f64) {
    let playing = instrument.playing_in.get_or_insert_default();
    let turns = strokes_per_minute / playing.strokes_per_turn;
    if turns.is_finite() && turns > 0.0 {
        playing.turns_per_minute = (1e3 * turns).round() / 1e3;
    }
}

/// Gives one machine's counted turns a minute and hours a day to every instrument that hangs on it and still runs. The ids of those that
/// changed.
pub fn set_machine(
    instruments: &mut [Instrument],
    machine: &str,
    turns_per_minute: f64,
    hours_per_day: f64,
) -> Vec<String> {
    let mut changed = Vec::new();
    for instrument in instruments {
        let Some(playing) = &mut instrument.playing_in else {
            continue;
        };
        if playing.machine == machine && playing.stopped.is_none() {
            playing.turns_per_minute = turns_per_minute;
            playing.hours_per_day = hours_per_day;
            changed.push(instrument.id.clone());
        }
    }
    changed
}

/// Moves every moment of a shop by so many seconds, so that an example of another day is of today. Days of visits stay. A moment that
/// cannot be moved stays as it is.
pub fn move_moments(instruments: &mut [Instrument], by_seconds: f64) {
    let moved = |text: &mut String| {
        let to = moment::seconds(text).and_then(|at| moment::text(at + by_seconds));
        if let Some(to) = to {
            *text = to;
        }
    };
    for instrument in instruments {
        instrument
            .settling
            .iter_mut()
            .for_each(|s| moved(&mut s.strung));
        if let Some(playing) = &mut instrument.playing_in {
            let ends = [
                &mut playing.started,
                &mut playing.stopped,
                &mut playing.strings_changed,
            ];
            ends.into_iter().flatten().for_each(moved);
            playing.counts.iter_mut().for_each(|c| moved(&mut c.at));
        }
    }
}

fn put<T>(
    list: &mut Vec<T>,
    place: Option<usize>,
    item: Option<T>,
    keep: impl FnOnce(&mut T, &mut T),
) {
    let there = place.filter(|place| *place < list.len());
    match (there, item) {
        (Some(place), Some(mut item)) => {
            keep(&mut list[place], &mut item);
            list[place] = item;
        }
        (Some(place), None) => drop(list.remove(place)),
        (None, Some(item)) => list.push(item),
        (None, None) => {}
    }
}
