//! Why a note's figure is what it is: the formula, with this note's numbers in it, and the source.

use super::side_view::NoteSide;
use super::{FretFigures, Reason};
use crate::units::{figure, signed};

/// A computed figure of a fretted note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteFigure {
    /// Gap under the open string.
    Gap,
    /// The finger's force.
    Finger,
    /// Error against equal temperament.
    Cents,
    /// Headroom as a height.
    Headroom,
    /// Headroom as a force.
    HeadroomForce,
}

/// Why a figure of a note is what it is.
#[must_use]
pub fn note_reason(which: NoteFigure, note: &NoteSide, figures: &FretFigures) -> Reason {
    let w = note.workings;
    let said = |formula: &str, numbers: String, source: &str| Reason {
        formula: formula.into(),
        numbers,
        source: source.into(),
    };
    let nearest = note
        .nearest
        .map_or_else(String::new, |(fret, _)| format!(", least at fret {fret}"));
    match which {
        NoteFigure::Gap => said(
            "gap = height of the open string's underside − height of the fret's top, both over the straight line of the fret \
             tops; the string runs straight through the two measured gaps",
            match w.over_fret_mm {
                Some([string, top]) => format!(
                    "{} mm − {} mm = {} mm",
                    figure(string, 3),
                    figure(top, 3),
                    figure(figures.gap_mm, 3)
                ),
                None => "the open string has no fret under it".into(),
            },
            "geometry",
        ),
        NoteFigure::Finger => said(
            "F = Tₙ (sin α + sin β): tension of the pressed string times the sines of its fall to the finger, from the nut's side \
             and from the fret's",
            format!(
                "{} N × ({} + {}) = {} N{}",
                figure(w.tension_n, 2),
                figure(w.falls[0], 4),
                figure(w.falls[1], 4),
                figure(figures.finger_n, 2),
                if note.on_wood {
                    ", and there it lies on the wood"
                } else {
                    ""
                }
            ),
            "statics of a taut string",
        ),
        NoteFigure::Cents => said(
            "1200 log₂(fₙ/f₀) − 100 n: pressing lengthens the path by ε, so Tₙ = T₀ (1 + κ ε); what sounds is the length from fret \
             to saddle, less what its stiffness takes",
            format!(
                "ε = {} ‰, κ = {}: {} N becomes {} N; {} mm of {} mm sound: {} cents{}",
                figure(1000.0 * w.stretch, 3),
                figure(w.kappa, 1),
                figure(w.open_tension_n, 2),
                figure(w.tension_n, 2),
                figure(w.sounding_mm, 2),
                figure(w.open_mm, 2),
                signed(figures.cents, 2),
                figures.cents_band.map_or_else(String::new, |[low, high]| {
                    format!(", from {} to {}", signed(low, 1), signed(high, 1))
                }),
            ),
            "Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024); pressed string at rest, geometry",
        ),
        NoteFigure::Headroom => said(
            "the gap from the sounding string to each fret ahead, divided by the share of its height that a pluck comes down \
             there; the least of them",
            format!(
                "{} mm at {} mm from the saddle{nearest}; the player's pluck draws it {} mm",
                figure(figures.headroom_mm, 2),
                figure(w.from_saddle_mm, 1),
                figure(w.pluck_height_mm, 2)
            ),
            "d'Alembert's solution of the flexible string, swinging without loss: the most that it can come down",
        ),
        NoteFigure::HeadroomForce => said(
            "F = Tₙ a (1/p + 1/(L − p)): the force that holds the string at height a, at p from the saddle",
            format!(
                "{} N × {} mm × (1/{} + 1/({} − {})) = {} N; the player plucks with {} N",
                figure(w.tension_n, 2),
                figure(figures.headroom_mm, 3),
                figure(w.from_saddle_mm, 1),
                figure(w.sounding_mm, 1),
                figure(w.from_saddle_mm, 1),
                figure(figures.headroom_n, 2),
                figure(w.pluck_n, 2)
            ),
            "the two sides of a taut string at a corner, for heights small against their lengths",
        ),
    }
}
