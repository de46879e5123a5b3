//! Loads as text, for a terminal or a printer.

use super::Loads;
use crate::problem::clean;
use std::fmt::Write as _;

/// Appends what an instrument bears and waits for, a part a block.
pub(crate) fn loads_text(loads: &Loads, out: &mut String) {
    let mut block = |title: &str, words: &[String], missing: Option<&str>| {
        if words.is_empty() && missing.is_none() {
            return;
        }
        // Writing to a String cannot fail.
        let _ = writeln!(out, "  {title}:");
        for line in words {
            let _ = writeln!(out, "    {}", clean(line, 400));
        }
        if let Some(missing) = missing {
            let _ = writeln!(out, "    not said: {}", clean(missing, 400));
        }
    };
    if let Some(bridge) = &loads.bridge {
        let missing = bridge.missing.join("; ");
        let missing = Some(missing.as_str()).filter(|text| !text.is_empty());
        block("bridge", &bridge.words, missing);
    }
    if let Some(neck) = &loads.neck {
        let mut words = neck.words.clone();
        if neck.change_mm.is_some() {
            words.push(neck.trust.to_owned());
        }
        block("neck", &words, neck.missing.as_deref());
    }
    let each = |tuner: &super::TunerReport| {
        let said = tuner.missing.as_deref().unwrap_or(&tuner.words);
        format!("{}: {said}", clean(&tuner.note, 12))
    };
    let tuners: Vec<String> = loads.tuners.iter().map(each).collect();
    block("tuners", &tuners, None);
    if let Some(temperature) = &loads.temperature {
        block("temperature", &temperature.words, None);
    }
    if let Some(settling) = &loads.settling {
        let mut words = settling.words.clone();
        for course in &settling.courses {
            let times: Vec<String> = course
                .schedule
                .iter()
                .map(|time| match &time.at {
                    Some(at) => at.clone(),
                    None => format!("{:.1} h", time.hours),
                })
                .collect();
            if !times.is_empty() {
                words.push(format!(
                    "{}: tune at {}",
                    clean(&course.note, 12),
                    times.join(", ")
                ));
            }
        }
        block("settling", &words, None);
    }
    if let Some(playing) = &loads.playing_in {
        block("playing in", &playing.words, playing.missing.as_deref());
    }
}
