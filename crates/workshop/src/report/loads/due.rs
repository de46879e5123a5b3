//! What the whole shop waits for, and which machine is free when.

use super::playing_in::{PlayingState, playing_in};
use super::settling::{settling_report, span};
use crate::moment::Now;
use crate::problem::clean;
use crate::records::Instrument;
use serde::Serialize;

/// Something that an instrument waits for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Due {
    /// The instrument's id.
    pub instrument: String,
    /// Its name.
    pub name: String,
    /// A fixed word: `retune`, `playing-in-done` or `change-strings`.
    pub what: &'static str,
    /// When, in seconds since 1970.
    pub seconds: f64,
    /// Hours from now; zero when it is due.
    pub in_hours: f64,
    /// The same in a sentence.
    pub text: String,
}

/// A machine that plays instruments in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MachineReport {
    /// Its name in the shop's words; empty where none was given.
    pub machine: String,
    /// The instruments that hang on it and run: id, name and hours until each is done, the soonest first.
    pub instruments: Vec<(String, String, f64)>,
    /// Hours until the last of them is done.
    pub free_in_hours: f64,
    /// That moment as a person reads it.
    pub free_at: String,
}

/// What the instruments wait for, the soonest first.
#[must_use]
pub fn due(instruments: &[Instrument], now: Now) -> Vec<Due> {
    let mut list = Vec::new();
    for instrument in instruments {
        let name = clean(&instrument.name, 80);
        let mut wait = |what, seconds: f64, said: &str| {
            let in_hours = ((seconds - now.seconds) / 3600.0).max(0.0);
            let when = if in_hours > 0.0 {
                format!("in {}, at {}", span(in_hours), now.shown(seconds))
            } else {
                "now".to_owned()
            };
            list.push(Due {
                instrument: instrument.id.clone(),
                name: instrument.name.clone(),
                what,
                seconds,
                in_hours,
                text: format!("{name}: {said} {when}."),
            });
        };
        let settling = settling_report(instrument, Some(now), &mut |_, _| {});
        if let Some(seconds) = settling.and_then(|s| s.next).and_then(|next| next.seconds) {
            wait("retune", seconds, "tune the new strings");
        }
        let Some(record) = &instrument.playing_in else {
            continue;
        };
        let report = playing_in(record, Some(now));
        match (report.state, report.done_seconds) {
            (PlayingState::Running, Some(done)) => {
                wait("playing-in-done", done, "played in");
            }
            (PlayingState::StringsDue, Some(done)) => {
                wait("change-strings", done, "played in; change the strings");
            }
            _ => {}
        }
    }
    list.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    list
}

/// The machines that play instruments in, by name.
#[must_use]
pub fn machines(instruments: &[Instrument], now: Now) -> Vec<MachineReport> {
    let mut list: Vec<MachineReport> = Vec::new();
    for instrument in instruments {
        let Some(record) = &instrument.playing_in else {
            continue;
        };
        let report = playing_in(record, Some(now));
        let (PlayingState::Running, Some(hours)) = (report.state, report.remaining_hours) else {
            continue;
        };
        let entry = (instrument.id.clone(), instrument.name.clone(), hours);
        match list.iter_mut().find(|m| m.machine == report.machine) {
            Some(machine) => machine.instruments.push(entry),
            None => list.push(MachineReport {
                machine: report.machine,
                instruments: vec![entry],
                free_in_hours: 0.0,
                free_at: String::new(),
            }),
        }
    }
    for machine in &mut list {
        machine.instruments.sort_by(|a, b| a.2.total_cmp(&b.2));
        machine.free_in_hours = machine.instruments.last().map_or(0.0, |last| last.2);
        machine.free_at = now.shown(now.seconds + 3600.0 * machine.free_in_hours);
    }
    list.sort_by(|a, b| a.machine.cmp(&b.machine));
    list
}
