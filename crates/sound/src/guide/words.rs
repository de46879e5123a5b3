//! What the guide says.

use super::{Guide, Stage, Way};

/// What to do now.
pub(super) fn say(guide: &Guide) -> String {
    let Some(asked) = guide.asked() else {
        return "All notes of this course are measured.".into();
    };
    let note = how(asked.way, &guide.plan.note, guide.plan.first_fret);
    match guide.stage {
        Stage::Done => "All notes of this course are measured.".into(),
        Stage::Pluck => match guide.why_not {
            Some(why) if heard_something(why) => format!("{note}. Now {why}."),
            _ => format!("{note}."),
        },
        Stage::Listening { cents, .. } => {
            format!("Let it ring: {} so far.", off(cents))
        }
        Stage::OtherNote { cents } => format!(
            "That is another note, {} from the one asked for. {note}.",
            distance(cents)
        ),
        Stage::Tune { cents } => format!(
            "The open string is {}. Tune it, then pluck it again.",
            off(cents)
        ),
        Stage::Again { taken } => format!(
            "Taken, {taken} of {}. Let it die away, then the same again: {}.",
            guide.plan.repeats,
            lower(&note)
        ),
    }
}

/// Silence between two plucks needs no word.
const fn heard_something(why: crate::pitch::NoPitch) -> bool {
    use crate::pitch::NoPitch;
    matches!(why, NoPitch::Hum | NoPitch::NotOneString | NoPitch::Broken)
}

fn how(way: Way, note: &str, first_fret: u32) -> String {
    match way {
        Way::Open => format!("Pluck the open {note} string"),
        Way::Harmonic => format!(
            "Touch the {note} string lightly over fret {} and pluck it, for the harmonic",
            first_fret + 12
        ),
        Way::Fretted(fret) => format!("Press the {note} string at fret {fret} and pluck it"),
    }
}

fn off(cents: f64) -> String {
    if cents.abs() < 0.05 {
        "in tune".into()
    } else {
        let side = if cents > 0.0 { "sharp" } else { "flat" };
        format!("{:.1} cents {side}", cents.abs())
    }
}

/// A distance that is too great for cents to say anything.
fn distance(cents: f64) -> String {
    let semitones = (cents.abs() / 100.0).round().max(1.0);
    let side = if cents > 0.0 { "higher" } else { "lower" };
    if semitones > 1.0 {
        format!("about {semitones} frets {side}")
    } else {
        format!("about a fret {side}")
    }
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}
