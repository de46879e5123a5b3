//! What a pocket scale and a pull test tell of a string, and which one measurement would narrow a decision most.

use super::aim::Metric;
use super::{Answer, SetString};
use crate::records::{Make, Weighed};
use crate::report::{SCALE_STEP_G, string_make};
use strungwell_physics::quantity::{Cents, InBenchUnits, mm};
use strungwell_physics::stretch::kappa_by_pull;
use strungwell_physics::weighing::doubt_of_weighing;

/// A cut length laid on a scale.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weighing {
    /// Its mass in g, 0.001 to 1000.
    pub mass_g: f64,
    /// The scale's doubt each way in g; none takes a pocket scale's 0.01 g.
    pub mass_give_g: Option<f64>,
    /// The cut length in mm, 10 to 10000.
    pub length_mm: f64,
    /// The ruler's doubt each way in mm; none takes a millimetre.
    pub length_give_mm: Option<f64>,
}

/// A string with its weighing, and what it brought.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighedString {
    /// The record to keep with the rack string. What the string is made of stays in it.
    pub make: Make,
    /// Mass per length in g/m.
    pub g_per_m: f64,
    /// Its range in g/m.
    pub g_per_m_band: [f64; 2],
    /// What to know in a sentence: the mass with its doubt, and how much was in doubt before.
    pub said: String,
}

/// Puts a weighing to a string. A string that was known by a rating or a listed mass alone keeps its core and its diameter.
///
/// # Errors
/// A sentence naming the quantity that is not physical, or that the result is no string.
pub fn weighed(make: &Make, weighing: &Weighing) -> Result<WeighedString, String> {
    let before = string_make(make)?;
    let (core, of) = match make {
        Make::Plain(_) | Make::Wound(_) => (None, Some(Box::new(make.clone()))),
        Make::Weighed(w) => (w.core.clone(), w.of.clone()),
        Make::Rated(r) => (r.core.clone(), None),
        Make::Density(d) => (d.core.clone(), None),
    };
    let made = Make::Weighed(Weighed {
        mass_g: weighing.mass_g,
        mass_give_g: weighing.mass_give_g,
        length_mm: weighing.length_mm,
        length_give_mm: weighing.length_give_mm,
        diameter_mm: before.diameter().bench(),
        core,
        of,
        ..Weighed::default()
    });
    let now = string_make(&made)?.g_per_m();
    let was = before.g_per_m();
    let said = format!(
        "{:.3} g/m, give or take {:.1} %; before it was {:.3} g/m, from {:.3} to {:.3}.{}",
        now.value,
        50.0 * (now.high - now.low) / now.value,
        was.value,
        was.low,
        was.high,
        if now.high < was.low || now.low > was.high {
            " The two do not agree: weigh again, or look whether it is the string that it was taken for."
        } else {
            ""
        }
    );
    Ok(WeighedString {
        make: made,
        g_per_m: now.value,
        g_per_m_band: [now.low, now.high],
        said,
    })
}

/// A pull test: the ends of a string at pitch are drawn further apart and the rise of its pitch is read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PullTest {
    /// The speaking length in mm.
    pub length_mm: f64,
    /// How much further apart the ends are drawn, or how much string the tuner takes up, in mm.
    pub extra_mm: f64,
    /// Its doubt each way in mm.
    pub extra_give_mm: f64,
    /// The rise in cents.
    pub rise_cents: f64,
    /// Its doubt each way in cents: what a tuner repeats to, about 2.
    pub rise_give_cents: f64,
}

/// The stretch by a pull test and its doubt, to keep as a rack string's `kappa` and `kappa_give`.
///
/// # Errors
/// A sentence naming the quantity that is not physical.
pub fn pulled(test: &PullTest) -> Result<(f64, f64), String> {
    let kappa = kappa_by_pull(
        mm(test.length_mm),
        (mm(test.extra_mm), mm(test.extra_give_mm)),
        (Cents(test.rise_cents), Cents(test.rise_give_cents)),
    )
    .map_err(|why| why.to_string())?;
    Ok((kappa.value, kappa.high - kappa.value))
}

/// The measurement that would narrow a decision most.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrowing {
    /// The course of the string to measure, counted from 0.
    pub course: usize,
    /// The string on it, counted from 0.
    pub string: usize,
    /// True to weigh a cut length, false for a pull test.
    pub weigh: bool,
    /// True when what is in doubt could change which set is first.
    pub could_change: bool,
    /// What to do and why, in a sentence.
    pub said: String,
}

/// The piece and the doubt of a weighing that is proposed.
const PIECE_MM: f64 = 500.0;
/// What a pull test by hand tells the stretch to, as a share; from memory.
const PULL_DOUBT: f64 = 0.05;

/// Names the one measurement that would narrow the choice between the first set and the second most: of the strings in which
/// they differ, the one whose doubt can move its own set's score furthest. None without two sets, or where nothing is in doubt.
#[must_use]
pub fn narrows(answer: &Answer) -> Option<Narrowing> {
    let [first, second, ..] = answer.sets.as_slice() else {
        return None;
    };
    let differ = first
        .strings
        .iter()
        .zip(&second.strings)
        .filter(|(a, b)| a.from != b.from || a.make != b.make);
    let (string, doubt) = differ
        .flat_map(|(a, b)| [a, b])
        .filter_map(|s| Some((s, doubt(s, answer.metric)?)))
        .max_by(|a, b| a.1.swing.total_cmp(&b.1.swing))?;
    #[allow(clippy::cast_precision_loss)]
    let count = first.strings.iter().filter(|s| !s.locked).count().max(1) as f64;
    let apart = (second.score * second.score - first.score * first.score) * count;
    let could_change = doubt.swing > apart;
    let name = crate::problem::clean(&string.figures.name, 60);
    let said = format!(
        "{} {name}: its {} is known from {:.0} to {:+.0} %, and {} would tell it to {:.1} %. {}",
        if doubt.weigh {
            "Weigh a cut length of"
        } else {
            "Make a pull test with"
        },
        if doubt.weigh { "mass" } else { "stretch" },
        100.0 * doubt.low,
        100.0 * doubt.high,
        if doubt.weigh {
            "500 mm on a scale of 0.01 g"
        } else {
            "a test by hand"
        },
        100.0 * doubt.after,
        if could_change {
            "It could change which set is first."
        } else {
            "The first set stays first whatever it says."
        }
    );
    Some(Narrowing {
        course: string.course,
        string: string.string,
        weigh: doubt.weigh,
        could_change,
        said,
    })
}

struct Doubt {
    weigh: bool,
    low: f64,
    high: f64,
    after: f64,
    /// How far it can move the cost of its set.
    swing: f64,
}

fn doubt(string: &SetString, what: Metric) -> Option<Doubt> {
    let departs = string.departs?.ln_1p();
    let figures = &string.figures;
    // A finger's force goes with the tension.
    let weigh = what != Metric::Stretch;
    let (value, band, after) = if weigh {
        let mass = figures.g_per_m?;
        (
            mass,
            figures.g_per_m_band?,
            doubt_of_weighing(mass, mm(PIECE_MM), SCALE_STEP_G),
        )
    } else {
        (figures.kappa?, figures.kappa_band?, PULL_DOUBT)
    };
    let shares = band.map(|end| end / value - 1.0);
    // One that is known as well already has nothing to gain.
    if shares[1] - shares[0] <= 2.0 * after {
        return None;
    }
    let swing = shares
        .into_iter()
        .map(|share| ((departs + share.ln_1p()).powi(2) - departs * departs).abs())
        .fold(0.0, f64::max);
    swing.is_finite().then_some(Doubt {
        weigh,
        low: shares[0],
        high: shares[1],
        after,
        swing,
    })
}
