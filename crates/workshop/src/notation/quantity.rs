//! One reader for each quantity: which units it knows, and which it takes when none is written.

use super::Unread;
use super::amount::{Amount, amount};
use crate::problem::quoted;
use crate::units::{
    ForceUnit, GRAMS_IN_OUNCE, GRAMS_IN_POUND, LengthUnit, MM_IN_INCH, N_IN_KGF, N_IN_LBF,
};

/// The names of a unit, lower case, and how many of the result's unit it is.
type Named = (&'static [&'static str], f64);

const LENGTHS: &[Named] = &[
    (
        &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
        1.0,
    ),
    (
        &[
            "cm",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
        ],
        10.0,
    ),
    (&["m", "metre", "metres", "meter", "meters"], 1000.0),
    (&["\"", "in", "inch", "inches"], MM_IN_INCH),
    (&["thou", "mil", "mils"], MM_IN_INCH / 1000.0),
];

const FORCES: &[Named] = &[
    (&["n", "newton", "newtons"], 1.0),
    (&["kgf", "kg", "kp"], N_IN_KGF),
    (&["gf", "g"], N_IN_KGF / 1000.0),
    (&["lbf", "lb", "lbs", "pound", "pounds"], N_IN_LBF),
];

const MASSES: &[Named] = &[
    (&["g", "gram", "grams", "gramme", "grammes"], 1.0),
    (&["mg"], 0.001),
    (&["kg"], 1000.0),
    (&["oz", "ounce", "ounces"], GRAMS_IN_OUNCE),
    (&["lb", "lbs", "pound", "pounds"], GRAMS_IN_POUND),
];

const MASSES_PER_LENGTH: &[Named] = &[
    (&["g/m", "mg/mm"], 1.0),
    (&["kg/m"], 1000.0),
    (&["lb/in"], GRAMS_IN_POUND / (MM_IN_INCH / 1000.0)),
];

const FREQUENCIES: &[Named] = &[(&["hz", "hertz"], 1.0), (&["khz"], 1000.0)];
const CENTS: &[Named] = &[(&["c", "ct", "cent", "cents", "¢"], 1.0)];
const PERCENTS: &[Named] = &[(&["%", "percent", "per cent"], 1.0)];
const DEGREES: &[Named] = &[(&["°", "deg", "degree", "degrees"], 1.0)];
const NO_UNIT: &[Named] = &[];

const LENGTH_ACCEPT: &str = "a length such as 381, 381 mm, 15 in, 13 7/8 in, .028\" or 28 thou";
const FORCE_ACCEPT: &str = "a force such as 50 N, 5 kgf or 11 lbf";

/// Reads a length and gives it in mm, to twelve digits.
///
/// `usual` is the unit of a number written without one. A fraction without a unit, its divisor a power of two up to 128,
/// is always of an inch: nobody divides a millimetre so.
///
/// # Errors
/// [`Unread`] when the text is no length of at most 100 m.
pub fn length_mm(text: &str, usual: LengthUnit) -> Result<f64, Unread> {
    let read = amount(text).and_then(|amount| {
        let usual = match (amount.divisor, usual) {
            (Some(divisor), _) if amount.unit.is_empty() && is_of_a_ruler(divisor) => MM_IN_INCH,
            (Some(_), LengthUnit::Mm) if amount.unit.is_empty() => {
                return Err("a fraction like this needs its unit, mm or in".into());
            }
            (_, LengthUnit::Mm) => 1.0,
            (_, LengthUnit::Inch) => MM_IN_INCH,
        };
        in_unit(&amount, LENGTHS, Some(usual), "length")
    });
    bounded(text, read, 100_000.0, LENGTH_ACCEPT)
}

/// Whether a ruler divides an inch so.
fn is_of_a_ruler(divisor: f64) -> bool {
    [1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0].contains(&divisor)
}

/// Reads a force and gives it in N. `usual` is the unit of a number written without one; kg and lb mean the weight of so
/// much.
///
/// # Errors
/// [`Unread`] when the text is no force of at most 100 kN.
pub fn force_n(text: &str, usual: ForceUnit) -> Result<f64, Unread> {
    let usual = match usual {
        ForceUnit::Newton => 1.0,
        ForceUnit::Kgf => N_IN_KGF,
        ForceUnit::Lbf => N_IN_LBF,
    };
    let read = amount(text).and_then(|amount| in_unit(&amount, FORCES, Some(usual), "force"));
    bounded(text, read, 100_000.0, FORCE_ACCEPT)
}

/// Reads a mass and gives it in g; a number without a unit is in g.
///
/// # Errors
/// [`Unread`] when the text is no mass of at most a tonne.
pub fn mass_g(text: &str) -> Result<f64, Unread> {
    simple(text, MASSES, "mass", "a mass such as 1.42 g or 0.05 oz")
}

/// Reads a mass per length and gives it in g/m; a number without a unit is in g/m.
///
/// # Errors
/// [`Unread`] when the text is no mass per length.
pub fn mass_per_length_g_m(text: &str) -> Result<f64, Unread> {
    simple(
        text,
        MASSES_PER_LENGTH,
        "mass per length",
        "a mass per length such as 2.10 g/m, 2.10 mg/mm or 2.215e-5 lb/in",
    )
}

/// Reads a frequency and gives it in Hz; a number without a unit is in Hz.
///
/// # Errors
/// [`Unread`] when the text is no frequency.
pub fn frequency_hz(text: &str) -> Result<f64, Unread> {
    simple(
        text,
        FREQUENCIES,
        "frequency",
        "a frequency such as 440 or 440 Hz",
    )
}

/// Reads a difference of pitch in cents: `+3`, `-2.5 c`, `4 cents`; positive is sharp.
///
/// # Errors
/// [`Unread`] when the text is no number of cents.
pub fn cents(text: &str) -> Result<f64, Unread> {
    simple(
        text,
        CENTS,
        "pitch",
        "a number of cents such as +3 or -2.5 cents",
    )
}

/// Reads a share in per cent: `45`, `45 %`.
///
/// # Errors
/// [`Unread`] when the text is no number.
pub fn percent(text: &str) -> Result<f64, Unread> {
    simple(
        text,
        PERCENTS,
        "share",
        "a number of per cent such as 45 or 45 %",
    )
}

/// Reads an angle in degrees: `14`, `14°`.
///
/// # Errors
/// [`Unread`] when the text is no number.
pub fn degrees(text: &str) -> Result<f64, Unread> {
    simple(
        text,
        DEGREES,
        "angle",
        "a number of degrees such as 14 or 14°",
    )
}

/// Reads a plain number: `51`, `51,5`.
///
/// # Errors
/// [`Unread`] when the text is no number.
pub fn number(text: &str) -> Result<f64, Unread> {
    simple(text, NO_UNIT, "number", "a number such as 51 or 51.5")
}

/// Reads a count: a whole number from 0 to 1,000,000.
///
/// # Errors
/// [`Unread`] when the text is no such number.
pub fn count(text: &str) -> Result<u32, Unread> {
    const ACCEPT: &str = "a whole number such as 18";
    let value = bounded(
        text,
        simple_amount(text, NO_UNIT, "count"),
        1_000_000.0,
        ACCEPT,
    )?;
    if value < 0.0 || value.fract() != 0.0 {
        return Err(Unread::new(
            text,
            "it is not a whole number from 0 up",
            ACCEPT,
        ));
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    Ok(value as u32)
}

fn simple(text: &str, units: &[Named], what: &str, accept: &str) -> Result<f64, Unread> {
    bounded(text, simple_amount(text, units, what), 1e6, accept)
}

fn simple_amount(text: &str, units: &[Named], what: &str) -> Result<f64, String> {
    amount(text).and_then(|amount| in_unit(&amount, units, Some(1.0), what))
}

/// The amount in the result's unit.
fn in_unit(
    amount: &Amount,
    units: &[Named],
    usual: Option<f64>,
    what: &str,
) -> Result<f64, String> {
    let written = amount.unit.to_ascii_lowercase();
    let written = written.strip_suffix('.').unwrap_or(&written);
    let factor = if amount.unit.is_empty() {
        usual
    } else {
        units
            .iter()
            .find(|(names, _)| names.contains(&written))
            .map(|(_, factor)| *factor)
    };
    match factor {
        Some(factor) => Ok(amount.value * factor),
        None if amount.unit == "'" => Err("feet are not read here".into()),
        None if units.is_empty() => {
            Err(format!("{} stands after the number", quoted(&amount.unit)))
        }
        None => Err(format!(
            "{} is no unit of {what} here",
            quoted(&amount.unit)
        )),
    }
}

/// A finite number no larger than `most` either way, rounded to twelve digits so that 13 7/8 in is 352.425 mm to the digit.
fn bounded(text: &str, read: Result<f64, String>, most: f64, accept: &str) -> Result<f64, Unread> {
    match read {
        Ok(value) if value.is_finite() && value.abs() <= most => Ok(rounded(value)),
        Ok(_) => Err(Unread::new(text, "the number is too large", accept)),
        Err(why) => Err(Unread::new(text, why, accept)),
    }
}

/// A number to twelve significant digits, which is finer than any bench and drops the last bits of a conversion.
fn rounded(value: f64) -> f64 {
    // From here up to the number's first digit lie twelve; both powers of ten stay exact.
    let mut tens = 1.0;
    while value.abs() * tens < 1e11 && tens < 1e22 {
        tens *= 10.0;
    }
    (value * tens).round() / tens
}
