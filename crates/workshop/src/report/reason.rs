//! Why a figure is what it is: the formula, with this string's numbers in it, and the source.

use super::{BearerWord, StringFigures};
use crate::problem::clean;
use crate::records::Make;
use crate::units::Units;
use std::fmt::Write as _;
use strungwell_physics::material::Material;

/// A computed figure of a string.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Pitch of the open string.
    Pitch,
    /// Mass per length.
    Mass,
    /// Outside diameter.
    Diameter,
    /// Tension.
    Tension,
    /// Stress in what bears the tension.
    Stress,
    /// Share of breaking.
    Breaking,
    /// The highest pitch advised.
    Highest,
    /// Stretch.
    Kappa,
    /// End correction.
    EndCorrection,
    /// Sharpness of the tenth partial.
    Partial,
    /// Error of the note at the twelfth fret in front of the nut.
    Octave,
    /// The finger's force there.
    OctaveFinger,
}

/// The reason of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The formula in symbols, with what they mean.
    pub formula: String,
    /// The same with this string's numbers.
    pub numbers: String,
    /// Where the formula and its values come from.
    pub source: String,
}

const DASH: &str = "not known";

fn number(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| DASH.into(), |v| format!("{v:.decimals$}"))
}

fn band(value: Option<[f64; 2]>, decimals: usize) -> String {
    value.map_or_else(String::new, |[low, high]| {
        format!(", from {low:.decimals$} to {high:.decimals$}")
    })
}

/// Why a figure of a string is what it is. `make` is the string's record. The working is in mm and N, as the formulas are;
/// a figure shown in another unit is said in that unit at the end.
#[must_use]
pub fn reason(figure: Figure, string: &StringFigures, make: &Make, units: Units) -> Reason {
    let mut reason = worked(figure, string, make);
    let shown = match figure {
        Figure::Tension => Some(units.force(string.tension_n)),
        Figure::OctaveFinger => {
            Some(units.force(string.fretting.octave().and_then(|note| note.finger_n)))
        }
        Figure::Diameter => Some(units.length(string.diameter_mm)),
        Figure::EndCorrection => Some(units.length(string.end_correction_mm)),
        _ => None,
    };
    let same = match figure {
        Figure::Tension | Figure::OctaveFinger => units.force == Units::default().force,
        _ => units.length == Units::default().length,
    };
    if let (Some(shown), false) = (shown, same) {
        reason.numbers = format!("{}; that is {shown}", reason.numbers);
    }
    reason
}

fn worked(figure: Figure, string: &StringFigures, make: &Make) -> Reason {
    let s = string;
    let said = |formula: &str, numbers: String, source: &str| Reason {
        formula: formula.into(),
        numbers,
        source: source.into(),
    };
    match figure {
        Figure::Pitch => said(
            "f = A4 · 2^((m − 69)/12), m the note's number of semitones (C4 is 60), shifted by the course's offset",
            format!("{} Hz", number(s.pitch_hz, 2)),
            "equal temperament; A4 = 440 Hz is ISO 16:1975",
        ),
        Figure::Mass => mass(s, make),
        Figure::Diameter => said(
            "outside diameter: as noted with the string, or core + 2 × each wrap",
            format!("{} mm", number(s.diameter_mm, 3)),
            "geometry",
        ),
        Figure::Tension => said(
            "T = μ (2 L f)², mass per length μ, speaking length L, pitch f",
            format!(
                "{} g/m × (2 × {} mm × {} Hz)² = {} N{}",
                number(s.g_per_m, 4),
                number(s.speaking_length_mm, 2),
                number(s.pitch_hz, 2),
                number(s.tension_n, 2),
                band(s.tension_band_n, 1),
            ),
            "Mersenne's law for a flexible string, as the trade's tables use it. Stiffness lowers it by about twice the bending \
             length over L and the saddle's setback raises it by about as much, so on a compensated instrument it stands",
        ),
        Figure::Stress => said(
            match s.stress_bearer {
                BearerWord::Core => "σ = T/A, A the core's area: wraps carry no load",
                BearerWord::Whole => "σ = T/A, A the string's section",
                BearerWord::Outline => {
                    "σ = T/A, A the whole outline, since the core is not described"
                }
            },
            format!(
                "{} N / {} mm² = {} MPa",
                number(s.tension_n, 2),
                number(s.bearing_mm2, 4),
                number(s.stress_mpa, 1)
            ),
            "definition of stress",
        ),
        Figure::Breaking => said(
            "share = T / (least breaking stress × bearing area)",
            match s.breaking_load_n {
                Some(load) => format!(
                    "{} N / {load:.1} N = {} %",
                    number(s.tension_n, 2),
                    number(s.breaking_fraction.map(|f| 100.0 * f), 0)
                ),
                None => "no share can be given".into(),
            },
            &s.breaking_note,
        ),
        Figure::Highest => said(
            if s.highest_is_measured_stress {
                "f = √(σ A/μ)/(2 L), σ the highest stress at which such strings were measured"
            } else {
                "f = √(¾ × breaking load/μ)/(2 L)"
            },
            format!("{} Hz", number(s.highest_hz, 1)),
            if s.highest_is_measured_stress {
                &s.kappa_note
            } else {
                &s.breaking_note
            },
        ),
        Figure::Kappa => said(
            "κ = E A/T: how many times its tension the string would bear if stretched to twice its length. The more, the \
             sharper it goes when pressed",
            format!("{}{}", number(s.kappa, 1), band(s.kappa_band, 1)),
            &s.kappa_note,
        ),
        Figure::EndCorrection => said(
            "half the bending length b = √(E I/T), at each end: a string that runs on over a narrow support lies halfway \
             between hinged and clamped",
            format!(
                "½ × {} mm = {} mm{}",
                number(s.bending_length_mm, 3),
                number(s.end_correction_mm, 3),
                band(s.end_correction_band_mm, 2)
            ),
            "beam theory; total measured as 1.1 give or take 0.2 of b (Anderson & Beausoleil 2024)",
        ),
        Figure::Partial => said(
            "f_q = q f √(1 + π² (b/L)² q²), q = 10, b the bending length",
            format!("{} cents sharp", number(s.partial_10_cents, 2)),
            "stiff string on hinges; Fletcher & Rossing, The Physics of Musical Instruments",
        ),
        Figure::Octave => said(
            "error = 1200 log2(f₁₂/f₀) − 1200, pressed as the heights say: the path is longer by ε, so tension is T (1 + κ ε), the mass \
             per length μ/(1 + ε), and the stiff ends count for more on the shorter string",
            match s.fretting.octave() {
                Some(note) => format!(
                    "{} cents{}, with κ of {}",
                    crate::units::signed(note.cents, 2),
                    band(note.cents_band, 1),
                    number(s.kappa, 1)
                ),
                None => s
                    .fretting
                    .missing
                    .clone()
                    .unwrap_or_else(|| "that note does not sound".into()),
            },
            "the pressed string by contact; its case of no reaction is the model of Anderson & Beausoleil 2024",
        ),
        Figure::OctaveFinger => said(
            "F = T₁₂ (sin α + sin β), α and β the slopes of the string on both sides of the finger",
            match s.fretting.octave() {
                Some(note) => format!("{} N at fret {}", number(note.finger_n, 2), note.fret),
                None => s
                    .fretting
                    .missing
                    .clone()
                    .unwrap_or_else(|| "that note does not sound".into()),
            },
            "balance of forces at the finger, with the finger as far behind the fret and the fret bearing as hard as the sheet says",
        ),
    }
}

fn mass(s: &StringFigures, make: &Make) -> Reason {
    let density = |word: &str| {
        Material::from_key(word).map(|m| {
            let row = m.row();
            (row.label, row.density().value, row.density_source)
        })
    };
    let (formula, mut numbers, source) = match make {
        Make::Plain(plain) => {
            let (label, rho, source) = density(&plain.material).unwrap_or((DASH, f64::NAN, DASH));
            (
                "μ = ρ π d²/4",
                format!(
                    "{label} of {rho:.0} kg/m³ × π × ({} mm)²/4",
                    number(s.diameter_mm, 3)
                ),
                source.to_owned(),
            )
        }
        Make::Wound(wound) => {
            let mut numbers = String::new();
            for (place, word) in std::iter::once(("core", &wound.core.material))
                .chain(wound.wraps.iter().map(|w| ("wrap", &w.material)))
            {
                let (label, rho, _) = density(word).unwrap_or((DASH, f64::NAN, DASH));
                let _ = write!(numbers, "{place} {label} at {rho:.0} kg/m³; ");
            }
            (
                "μ = core's area × density + for each wrap (π²/4) ρ w (D + w); a ribbon fills its ring but for the corners, \
                 a ground wrap is round less the segment taken off",
                numbers.trim_end_matches("; ").to_owned(),
                "geometry of touching turns; densities from handbooks, from memory".to_owned(),
            )
        }
        Make::Weighed(w) => (
            "μ = m/l, a cut length on the scale",
            format!("{:.3} g / {:.1} mm", w.mass_g, w.length_mm),
            "weighed in the shop".to_owned(),
        ),
        Make::Rated(r) => (
            "μ = T/(2 L f)², from the tension that the string is rated to",
            format!(
                "{:.1} N at {} on {:.1} mm",
                r.tension_n,
                clean(&r.note, 12),
                r.scale_mm
            ),
            "the string's rating".to_owned(),
        ),
        Make::Density(_) => (
            "μ as listed with the string",
            String::new(),
            "the string's listing".to_owned(),
        ),
    };
    let value = format!("{} g/m{}", number(s.g_per_m, 4), band(s.g_per_m_band, 3));
    numbers = if numbers.is_empty() {
        value
    } else {
        format!("{numbers} = {value}")
    };
    Reason {
        formula: formula.into(),
        numbers,
        source,
    }
}
