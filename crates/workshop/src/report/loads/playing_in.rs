//! Playing in: strokes made and to come, and when it is done.

use super::finite;
use super::settling::span;
use crate::moment::{self, Now};
use crate::records::{self, Instrument};
use crate::units::{figure, per_cent};
use serde::Serialize;
use strungwell_physics::playing_in::{Count, Machine};
use strungwell_physics::range::within;

/// From such a difference of counter and rate on, as a share, it is said. This project's own mark.
const COUNTER_OFF: f64 = 0.1;

const DAY_S: f64 = 86_400.0;

/// Where playing in stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PlayingState {
    /// Not started yet, or not known without a clock's word.
    #[default]
    Waiting,
    /// It runs.
    Running,
    /// It was stopped before its strokes were made.
    Stopped,
    /// All strokes are made; the strings are due for a change.
    StringsDue,
    /// All strokes are made and the strings changed.
    Finished,
}

/// Playing in on a machine.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PlayingInReport {
    /// Which machine, in the shop's words.
    pub machine: String,
    /// How many strokes it is to have.
    pub target_strokes: f64,
    /// Strokes a minute while it runs.
    pub strokes_per_minute: Option<f64>,
    /// Strokes a day.
    pub strokes_per_day: Option<f64>,
    /// How many days the whole takes.
    pub days: Option<f64>,
    /// Where it stands.
    pub state: PlayingState,
    /// Strokes made by now, or by when it was stopped; none without a clock's word.
    pub strokes: Option<f64>,
    /// Strokes to come.
    pub remaining_strokes: Option<f64>,
    /// Share of the target, 0 to 1.
    pub share: Option<f64>,
    /// Hours until it is done, while it runs.
    pub remaining_hours: Option<f64>,
    /// When it is or was done, in seconds since 1970; none before it is started or when it was stopped short.
    pub done_seconds: Option<f64>,
    /// The same as a person reads it; none without a clock's word.
    pub done_at: Option<String>,
    /// By what share the last counter's reading is ahead of what the rate says.
    pub counter_ahead: Option<f64>,
    /// What it comes to, in sentences.
    pub words: Vec<String>,
    /// What is needed; none when all is known.
    pub missing: Option<String>,
}

pub(super) fn playing_in_report(
    instrument: &Instrument,
    now: Option<Now>,
    warn: &mut impl FnMut(&'static str, String),
) -> Option<PlayingInReport> {
    let record = instrument.playing_in.as_ref()?;
    let mut report = playing_in(record, now);
    if let Some(ahead) = report.counter_ahead.filter(|off| off.abs() > COUNTER_OFF) {
        let text = format!(
            "The counter of the playing in reads {} {} than the rate says: count the machine's turns a minute again, or the strokes \
             of a turn.",
            per_cent(ahead.abs()),
            if ahead > 0.0 { "more" } else { "less" }
        );
        report.words.push(text.clone());
        warn("playing-in-rate", text);
    }
    if report.state == PlayingState::StringsDue {
        warn("strings-due", STRINGS_DUE.to_owned());
    }
    Some(report)
}

const STRINGS_DUE: &str = "The strokes of the playing in are made. Take it off the machine and change the strings: they are worn.";

/// Where one playing in stands.
pub(super) fn playing_in(record: &records::PlayingIn, now: Option<Now>) -> PlayingInReport {
    let mut report = PlayingInReport {
        machine: record.machine.clone(),
        target_strokes: finite(record.target_strokes).unwrap_or(0.0),
        ..PlayingInReport::default()
    };
    if let Err(why) = fill(&mut report, record, now) {
        report.missing = Some(why);
    }
    report
}

fn fill(
    report: &mut PlayingInReport,
    record: &records::PlayingIn,
    now: Option<Now>,
) -> Result<(), String> {
    let machine = Machine::new(
        record.strokes_per_turn,
        record.turns_per_minute,
        record.hours_per_day,
    )
    .map_err(|why| why.to_string())?;
    let target = within("a number of strokes", record.target_strokes, "", 1.0, 1e9)
        .map_err(|why| why.to_string())?;
    report.strokes_per_minute = finite(machine.strokes_per_minute());
    report.strokes_per_day = finite(machine.strokes_per_day());
    report.days = finite(machine.days_for(target));
    report.words.push(format!(
        "{} strokes a minute make {} a day; {} take {}.",
        figure(report.strokes_per_minute, 1),
        thousands(machine.strokes_per_day()),
        thousands(target),
        span(24.0 * machine.days_for(target)),
    ));
    let Some(started) = record.started.as_deref() else {
        report.words.push("It is not started yet.".to_owned());
        return Ok(());
    };
    let at = |text: Option<&str>| text.and_then(moment::seconds);
    let started = at(Some(started)).ok_or("the moment of the start cannot be read")?;
    let stopped = at(record.stopped.as_deref());
    let days = |seconds: f64| (seconds - started) / DAY_S;
    // A counter's word counts from its own moment on; without one the start does.
    let until = stopped.or(now.map(|now| now.seconds));
    let mut counts: Vec<Count> = record
        .counts
        .iter()
        .filter_map(|count| Some((at(Some(&count.at))?, count.strokes)))
        .filter(|(at, strokes)| {
            strokes.is_finite() && *at >= started && until.is_none_or(|until| *at <= until)
        })
        .map(|(at, strokes)| Count {
            days: days(at),
            strokes,
        })
        .collect();
    counts.sort_by(|a, b| a.days.total_cmp(&b.days));
    let last = counts.last().copied();
    report.counter_ahead = last.and_then(|count| machine.counter_ahead(count));
    let from = last.unwrap_or(Count {
        days: 0.0,
        strokes: 0.0,
    });
    let done = started + DAY_S * machine.day_of(target, from);
    let strokes = until.map(|until| machine.strokes_after(days(until).max(0.0), from));
    let is_done = strokes.is_some_and(|strokes| strokes >= target);
    report.strokes = strokes.and_then(finite);
    report.remaining_strokes = strokes.map(|strokes| (target - strokes).max(0.0));
    report.share = strokes.map(|strokes| (strokes / target).min(1.0));
    if is_done || stopped.is_none() {
        report.done_seconds = finite(done);
        report.done_at = now.map(|now| now.shown(done));
    }
    let changed = at(record.strings_changed.as_deref());
    report.state = match (until, is_done) {
        (None, _) => PlayingState::Waiting,
        (Some(until), false) if until < started => PlayingState::Waiting,
        (_, false) if stopped.is_some() => PlayingState::Stopped,
        (_, false) => PlayingState::Running,
        (_, true) if changed.is_some_and(|changed| changed >= started) => PlayingState::Finished,
        (_, true) => PlayingState::StringsDue,
    };
    if report.state == PlayingState::Running {
        report.remaining_hours = now.map(|now| ((done - now.seconds) / 3600.0).max(0.0));
    }
    let done_at = report.done_at.as_deref().unwrap_or_default();
    let made = thousands(strokes.unwrap_or(0.0));
    report.words.push(match report.state {
        PlayingState::Waiting if now.is_some() => "It is to start later.".to_owned(),
        PlayingState::Waiting => "How far it is depends on the time of day.".to_owned(),
        PlayingState::Running => format!(
            "{made} strokes are made ({}), {} are to come: done in {}, at {done_at}. Change the strings then.",
            per_cent(report.share),
            thousands(target - strokes.unwrap_or(0.0)),
            span(report.remaining_hours.unwrap_or(0.0)),
        ),
        PlayingState::Stopped => format!(
            "It was stopped at {made} strokes ({}).",
            per_cent(report.share)
        ),
        PlayingState::StringsDue => STRINGS_DUE.to_owned(),
        PlayingState::Finished => "It is played in, and the strings were changed.".to_owned(),
    });
    Ok(())
}

/// A whole number with its thousands apart: `1 000 000`.
pub(super) fn thousands(number: f64) -> String {
    let digits = figure(number, 0);
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return digits;
    }
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}
