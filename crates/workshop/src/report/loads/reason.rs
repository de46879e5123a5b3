//! Why a figure of the loads is what it is: the formula, with this instrument's numbers in it, and the source.

use super::Loads;
use crate::report::Reason;
use crate::units::{figure, signed};
use strungwell_physics::neck::uniform_mid_dip;
use strungwell_physics::quantity::{InBenchUnits, mm};

/// A computed figure of the loads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadFigure {
    /// Tension of all strings.
    Tension,
    /// Rise against the strings before.
    Rise,
    /// Moment about the soundboard.
    Moment,
    /// Down-force on the saddle.
    DownForce,
    /// Mean shear of the glue, or mean pressure under loose feet.
    FootStress,
    /// Change of the relief.
    ReliefChange,
    /// Cents for a degree of a course's tuner.
    CentsPerDegree,
    /// Turns to pitch.
    TurnsToPitch,
    /// Cents for a kelvin.
    CentsPerKelvin,
    /// The settling curve.
    Settling,
    /// When it is settled.
    SettledAt,
    /// The next time to tune.
    NextRetune,
    /// Strokes made.
    Strokes,
}

/// Why a figure is what it is; `course` counts from 0 and matters to the figures of one course. None where that part is not there.
#[must_use]
pub fn load_reason(which: LoadFigure, loads: &Loads, course: usize) -> Option<Reason> {
    match which {
        LoadFigure::Tension
        | LoadFigure::Rise
        | LoadFigure::Moment
        | LoadFigure::DownForce
        | LoadFigure::FootStress => of_bridge(which, loads),
        LoadFigure::ReliefChange => of_neck(loads),
        LoadFigure::CentsPerDegree | LoadFigure::TurnsToPitch => of_tuner(which, loads, course),
        LoadFigure::CentsPerKelvin => of_warmth(loads, course),
        LoadFigure::Settling | LoadFigure::SettledAt | LoadFigure::NextRetune => {
            of_settling(which, loads, course)
        }
        LoadFigure::Strokes => of_playing(loads),
    }
}

fn said(formula: &str, numbers: String, source: impl Into<String>) -> Option<Reason> {
    Some(Reason {
        formula: formula.into(),
        numbers,
        source: source.into(),
    })
}

fn of_bridge(which: LoadFigure, loads: &Loads) -> Option<Reason> {
    let bridge = loads.bridge.as_ref()?;
    let now = &bridge.now;
    let total = figure(now.tension_n, 1);
    match which {
        LoadFigure::Tension => {
            let each: Vec<String> = now.courses.iter().map(|c| figure(c.tension_n, 1)).collect();
            said(
                "T = Σ μ (2 L f)² over all strings",
                format!("{} = {total} N", each.join(" + ")),
                "Mersenne's law; the range is that of the strings' masses",
            )
        }
        LoadFigure::Rise => {
            let before = bridge.before.as_ref()?;
            let [low, high] = bridge.more_band_n?;
            said(
                "(T − T₀)/T₀, T₀ the strings before. In the range, courses that are strung as before count as known",
                format!(
                    "({total} − {}) N / {} N = {} %; {} N, from {} to {} N",
                    figure(before.tension_n, 1),
                    figure(before.tension_n, 1),
                    signed(bridge.rise.map(|rise| 100.0 * rise), 1),
                    signed(bridge.more_n, 1),
                    signed(low, 1),
                    signed(high, 1),
                ),
                "arithmetic; from a tenth more it is said, from a quarter more on the page defers to a repairer, both this project's own marks",
            )
        }
        LoadFigure::Moment => said(
            "M = T h, h the strings' height over the soundboard at the saddle",
            format!(
                "{total} N × {} mm = {} N m",
                figure(bridge.saddle_height_mm, 2),
                figure(now.moment_nm, 2)
            ),
            "statics; the strings count as parallel to the soundboard",
        ),
        LoadFigure::DownForce => {
            let [front, behind] = bridge.angles_deg?;
            said(
                "F = T (sin α + sin β), α and β the angles by which the strings fall in front of the saddle and behind it",
                format!(
                    "{total} N × (sin {}° + sin {}°) = {} N",
                    figure(front, 1),
                    figure(behind, 1),
                    figure(now.down_force_n, 1)
                ),
                "balance of forces at the saddle, the same tension on both sides",
            )
        }
        _ => {
            let [a, b] = bridge.foot_mm?;
            let (force, stress) = match now.shear_mpa {
                Some(shear) => (total, shear),
                None => (figure(now.down_force_n, 1), now.pressure_mpa?),
            };
            said(
                "mean stress = force/(a b), the force along the glue (the tension) or onto loose feet (the down-force)",
                format!(
                    "{force} N / ({} mm × {} mm) = {} MPa",
                    figure(a, 1),
                    figure(b, 1),
                    figure(stress, 3)
                ),
                "definition; a mean alone: edges bear several times as much, and the moment peels besides",
            )
        }
    }
}

fn of_neck(loads: &Loads) -> Option<Reason> {
    let neck = loads.neck.as_ref()?;
    let (first, last) = (neck.sections.first()?, neck.sections.last()?);
    let length = neck.length_mm?;
    let tension = loads.bridge.as_ref()?.now.tension_n;
    // The same neck as if it were its own middle all along, to be checked by hand.
    let middle = f64::midpoint(first.stiffness_nm2, last.stiffness_nm2);
    let moment = tension * f64::midpoint(first.neutral_mm, last.neutral_mm) * 1e-3;
    let by_hand = uniform_mid_dip(moment, mm(length), middle).bench();
    said(
        "y″ = T e/(E I): e the height of the strings over the neutral axis, E I the transformed section of board, neck and bars, held at the body; the \
         relief is the dip of y under the straightedge. A uniform neck has M L²/(8 E I)",
        format!(
            "E I from {} to {} N m², neutral axis {} to {} mm under the board's surface, {} mm to the body: {} mm now less {} mm before. By hand, \
             uniform and with the strings on the board: {} mm",
            figure(first.stiffness_nm2, 0),
            figure(last.stiffness_nm2, 0),
            figure(first.neutral_mm, 1),
            figure(last.neutral_mm, 1),
            figure(length, 1),
            figure(neck.now_mm, 3),
            figure(neck.before_mm, 3),
            figure(by_hand, 3),
        ),
        format!(
            "beam theory. Neck: {}; board: {}; scatter of a fifth each way",
            neck.wood.as_ref()?.source,
            neck.board.as_ref().map_or("none", |board| &board.source)
        ),
    )
}

fn of_tuner(which: LoadFigure, loads: &Loads, course: usize) -> Option<Reason> {
    let tuner = loads.tuners.get(course)?;
    if which == LoadFigure::CentsPerDegree {
        return said(
            "(1200/ln 2) R π D/(360 i L), R = (κ − 1)/2; post D, ratio i, length L",
            format!(
                "κ = {}, D = {} mm, i = {}, L = {} mm: {} cents a degree, {}° a cent",
                figure(tuner.kappa, 1),
                figure(tuner.post_mm, 1),
                figure(tuner.ratio, 1),
                figure(tuner.length_mm, 1),
                figure(tuner.cents_per_degree, 3),
                figure(tuner.degrees_per_cent, 2)
            ),
            "geometry; R as in Anderson & Beausoleil 2024. String behind nut and saddle stretches too and makes it a little less",
        );
    }
    said(
        "i (s + ε L)/(π D), slack s, strain at pitch ε: ln(1 + b σ/E₀)/b by the material's law E = E₀ + b σ, else 1/κ",
        format!(
            "({} mm + {} × {} mm) / {} mm a turn = {} turns",
            figure(tuner.slack_mm, 1),
            figure(tuner.strain, 4),
            figure(tuner.length_mm, 1),
            figure(tuner.take_up_mm, 3),
            figure(tuner.turns_to_pitch, 1)
        ),
        "geometry; the law carried on below where it was measured. Creep of a new soft string asks for more",
    )
}

fn of_warmth(loads: &Loads, course: usize) -> Option<Reason> {
    let warmth = loads.temperature.as_ref()?.courses.get(course)?;
    let rate = format!(
        "{} cents a kelvin{}",
        signed(warmth.cents_per_k, 2),
        warmth
            .cents_per_k_band
            .map_or_else(String::new, |[low, high]| {
                format!(", from {} to {}", signed(low, 2), signed(high, 2))
            })
    );
    if warmth.is_read {
        return said(
            "slope of cents over temperature",
            rate,
            warmth.source.clone(),
        );
    }
    let Some(expansion) = warmth.expansion_ppm else {
        return said(
            "−(600/ln 2) κ (αₛ − αₙ)",
            "not known".to_owned(),
            warmth.missing.clone().unwrap_or_default(),
        );
    };
    said(
        "−(600/ln 2) κ (αₛ − αₙ), α the expansions of string and neck",
        format!(
            "κ = {}, αₛ = {} millionths a kelvin: {rate}",
            figure(warmth.kappa, 1),
            figure(expansion, 1)
        ),
        warmth.source.clone(),
    )
}

fn of_settling(which: LoadFigure, loads: &Loads, course: usize) -> Option<Reason> {
    let settling = loads.settling.as_ref()?;
    let found = settling.courses.get(course)?;
    let [low, high] = found.b_band_cents?;
    let source = format!(
        "least squares through this string's {} readings; one is good to 2 cents (Mottola) or to their scatter, {} cents",
        found.points.len(),
        figure(found.rms_cents, 1)
    );
    match which {
        LoadFigure::Settling => said(
            "D = a + b log₁₀ t, t in hours since stringing, D all that it had gone flat, retunings undone",
            format!(
                "a = {} cents, b = {} cents a tenfold (from {} to {})",
                figure(found.a_cents, 1),
                figure(found.b_cents, 1),
                figure(low, 1),
                figure(high, 1)
            ),
            source,
        ),
        LoadFigure::SettledAt => said(
            "t = b/(r ln 10), r the drift below which it counts as settled",
            format!(
                "{} cents / ({} cents an hour × 2.303) = {} h",
                figure(found.b_cents, 1),
                figure(settling.settled_cents_per_hour, 2),
                figure(found.settled_hours, 1)
            ),
            source,
        ),
        _ => said(
            "t₂ = t₁ 10^(c/b), t₁ when it was last in tune, c the tolerance",
            format!(
                "{} h × 10^({}/{}) = {} h after stringing",
                figure(found.tuned_hours, 2),
                figure(settling.tolerance_cents, 1),
                figure(found.b_cents, 1),
                figure(found.schedule.first().map(|next| next.hours), 1)
            ),
            source,
        ),
    }
}

fn of_playing(loads: &Loads) -> Option<Reason> {
    let playing = loads.playing_in.as_ref()?;
    said(
        "strokes = strokes a turn × turns a minute × 60 × hours a day × days, from the start or from the last reading of the counter",
        format!(
            "{} a minute, {} a day: {} by now",
            figure(playing.strokes_per_minute, 1),
            super::playing_in::thousands(playing.strokes_per_day.unwrap_or(f64::NAN)),
            super::playing_in::thousands(playing.strokes.unwrap_or(f64::NAN)),
        ),
        "arithmetic; common practice: a million strokes take nine to ten days of running day and night",
    )
}
