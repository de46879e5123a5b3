//! The figures of a string, each opening to its reason.

use crate::explain::Figure;
use crate::markup::prelude::*;
use strungwell_workshop::records::Make;
use strungwell_workshop::report::{Figure as Kind, StringFigures, reason};
use strungwell_workshop::units::{Units, figure, per_cent, signed};

/// A string at pitch as the section shows it: its figures and its record.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shown {
    /// The figures.
    pub figures: StringFigures,
    /// What it is.
    pub make: Make,
}

/// One line of figures: which, its label, and how it is said.
pub(crate) struct Line {
    /// Which figure.
    pub kind: Kind,
    /// Its label.
    pub label: &'static str,
    /// A word for tests and styles.
    pub name: &'static str,
}

const fn line(kind: Kind, label: &'static str, name: &'static str) -> Line {
    Line { kind, label, name }
}

/// Every figure, in the order of the comparison.
pub(crate) const LINES: [Line; 12] = [
    line(Kind::Pitch, "Pitch", "pitch"),
    line(Kind::Tension, "Tension", "tension"),
    line(Kind::Octave, "Sharp at fret 12", "octave"),
    line(Kind::OctaveFinger, "Finger at fret 12", "octave_finger"),
    line(Kind::Mass, "Mass", "mass"),
    line(Kind::Diameter, "Diameter", "diameter"),
    line(Kind::Stress, "Stress", "stress"),
    line(Kind::Breaking, "Of breaking", "breaking"),
    line(Kind::Highest, "Advised up to", "highest"),
    line(Kind::Kappa, "Stretch κ", "kappa"),
    line(Kind::EndCorrection, "End correction", "end_correction"),
    line(Kind::Partial, "10th partial", "partial"),
];

fn band(range: Option<[f64; 2]>, say: impl Fn(f64) -> String) -> String {
    range
        .map(|[low, high]| (say(low), say(high)))
        .filter(|(low, high)| low != high)
        .map_or_else(String::new, |(low, high)| {
            // A dash before a minus sign reads as two.
            let between = if low.starts_with('-') || high.starts_with('-') {
                " to "
            } else {
                "–"
            };
            format!("{low}{between}{high}")
        })
}

/// A figure of a string as text, and its range where it has one.
pub(crate) fn say(kind: Kind, s: &StringFigures, units: Units) -> (String, String) {
    let unit = |text: String, unit: &str| {
        if s_is_none(&text) {
            text
        } else {
            format!("{text} {unit}")
        }
    };
    match kind {
        Kind::Pitch => (unit(figure(s.pitch_hz, 2), "Hz"), String::new()),
        Kind::Tension => (
            units.force(s.tension_n),
            band(s.tension_band_n, |n| units.force_number(n)),
        ),
        Kind::Mass => (
            unit(figure(s.g_per_m, 3), "g/m"),
            band(s.g_per_m_band, |g| figure(g, 2)),
        ),
        Kind::Diameter => (units.length(s.diameter_mm), String::new()),
        Kind::Stress => (unit(figure(s.stress_mpa, 0), "MPa"), String::new()),
        Kind::Breaking => match s.breaking_fraction {
            Some(share) => (per_cent(share), String::new()),
            None => ("no figure".into(), String::new()),
        },
        Kind::Highest => (
            s.highest_note.clone().unwrap_or_else(|| "not known".into()),
            String::new(),
        ),
        Kind::Kappa => (figure(s.kappa, 1), band(s.kappa_band, |k| figure(k, 0))),
        Kind::EndCorrection => (
            units.length(s.end_correction_mm),
            band(s.end_correction_band_mm, |e| units.length_number(e)),
        ),
        Kind::Octave => {
            let note = s.fretting.octave();
            (
                unit(signed(note.and_then(|n| n.cents), 1), "cents"),
                band(note.and_then(|n| n.cents_band), |c| figure(c, 1)),
            )
        }
        Kind::OctaveFinger => (
            units.force(s.fretting.octave().and_then(|n| n.finger_n)),
            String::new(),
        ),
        Kind::Partial => (unit(figure(s.partial_10_cents, 1), "cents"), String::new()),
    }
}

fn s_is_none(text: &str) -> bool {
    text == strungwell_workshop::units::NO_FIGURE
}

/// One figure of a string that may change, opening to its reason.
#[component]
pub(crate) fn StringFigure(
    line: &'static Line,
    #[prop(into)] shown: Signal<Option<Shown>>,
    #[prop(into)] units: Signal<Units>,
) -> Node {
    let kind = line.kind;
    let said =
        Memo::new(move |_| shown.with(|s| s.as_ref().map(|s| say(kind, &s.figures, units.get()))));
    let value = Signal::derive(move || said.get().map_or_else(String::new, |s| s.0));
    let range = Signal::derive(move || said.get().map_or_else(String::new, |s| s.1));
    let why = Signal::derive(move || {
        shown.with(|s| {
            s.as_ref()
                .map(|s| reason(kind, &s.figures, &s.make, units.get()))
        })
    });
    view! { <Figure name=line.name label=line.label value range reason=why /> }
}
