//! The number at the start of a written quantity, and the unit after it.

use crate::problem::quoted;

/// A number as it was written, and the rest of the text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Amount {
    /// Its value; finite.
    pub(super) value: f64,
    /// The divisor of its fraction, when it was written with one.
    pub(super) divisor: Option<f64>,
    /// What stands after the number, without spaces around it.
    pub(super) unit: String,
}

/// Reads a number and what follows it.
///
/// Accepts a sign, digits with a decimal point or comma, a whole number with a fraction after a space, a hyphen or
/// nothing (`13 7/8`, `13-7/8`, `13⅞`), or a fraction alone.
///
/// # Errors
/// The reason in words.
pub(super) fn amount(text: &str) -> Result<Amount, String> {
    if text.chars().count() > super::MOST_CHARACTERS {
        return Err(format!(
            "it is longer than {} characters",
            super::MOST_CHARACTERS
        ));
    }
    let plain = plain_signs(text);
    let mut rest = plain.trim();
    if rest.is_empty() {
        return Err("no number is written".into());
    }
    let mut sign = 1.0;
    if let Some(after) = rest.strip_prefix('-') {
        sign = -1.0;
        rest = after.trim_start();
    } else if let Some(after) = rest.strip_prefix('+') {
        rest = after.trim_start();
    }
    let (first, after) = digits(rest);
    if first.is_empty() && !after.starts_with(['.', ',', '/']) {
        return Err(format!("{} is not a number", quoted(before_digits(rest))));
    }
    if after.starts_with(['.', ',']) {
        let (value, unit) = decimal(first, after)?;
        return finish(sign * value, None, unit);
    }
    if let Some((value, divisor, unit)) = fraction(first, after)? {
        return finish(sign * value, Some(divisor), unit);
    }
    let whole = number_of(first);
    let joined = after
        .trim_start()
        .strip_prefix(['-', '+'])
        .unwrap_or(after)
        .trim_start();
    let (second, behind) = digits(joined);
    if second.is_empty() {
        let (value, unit) = exponent(whole, after).unwrap_or((whole, after));
        return finish(sign * value, None, unit);
    }
    match fraction(second, behind)? {
        Some((part, divisor, unit)) if part < 1.0 => {
            finish(sign * (whole + part), Some(divisor), unit)
        }
        Some(_) => Err("the fraction after a whole number must be less than one".into()),
        None => Err(format!(
            "two numbers, {first} and {second}, stand side by side"
        )),
    }
}

fn finish(value: f64, divisor: Option<f64>, unit: &str) -> Result<Amount, String> {
    let unit = unit.trim();
    if unit.starts_with(|letter: char| letter.is_ascii_digit() || ".,/-+".contains(letter)) {
        return Err(format!("{} stands after the number", quoted(unit)));
    }
    if !value.is_finite() {
        return Err("the number is too large".into());
    }
    // Minus nothing is nothing.
    let value = if value == 0.0 { 0.0 } else { value };
    Ok(Amount {
        value,
        divisor,
        unit: unit.to_owned(),
    })
}

/// The digits at the start, and the rest.
fn digits(text: &str) -> (&str, &str) {
    let end = text
        .find(|letter: char| !letter.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at(end)
}

/// What stands before the first digit or space, to be quoted.
fn before_digits(text: &str) -> &str {
    let end = text
        .find(|letter: char| letter.is_ascii_digit() || letter.is_whitespace())
        .filter(|end| *end > 0)
        .unwrap_or(text.len());
    text.get(..end).unwrap_or(text)
}

/// The number that these digits make. Beyond fifteen digits the last are not exact, which no bench sees.
fn number_of(digits: &str) -> f64 {
    digits.bytes().fold(0.0, |number, digit| {
        10.0 * number + f64::from(digit.wrapping_sub(b'0'))
    })
}

/// Ten to a power of at most 99; exact to 22.
fn ten_to(power: usize) -> f64 {
    (0..power.min(99)).fold(1.0, |number, _| 10.0 * number)
}

/// Decimals after the digits `first`; `after` starts with the point or comma.
fn decimal<'a>(first: &str, after: &'a str) -> Result<(f64, &'a str), String> {
    let (decimals, rest) = digits(after.get(1..).unwrap_or_default());
    if first.is_empty() && decimals.is_empty() {
        return Err("a decimal point stands without digits".into());
    }
    if rest.starts_with(['.', ',']) && !rest.get(1..).unwrap_or_default().is_empty() {
        return Err("it has more than one decimal point or comma".into());
    }
    let value = number_of(&[first, decimals].concat()) / ten_to(decimals.len());
    Ok(exponent(value, rest).unwrap_or((value, rest)))
}

/// A number with the power of ten written after it (`2.2e-5`), or none where there is none.
fn exponent(mantissa: f64, after: &str) -> Option<(f64, &str)> {
    let power = after.strip_prefix(['e', 'E'])?;
    let (down, power) = match power.strip_prefix('-') {
        Some(power) => (true, power),
        None => (false, power.strip_prefix('+').unwrap_or(power)),
    };
    let (power, rest) = digits(power);
    if power.is_empty() || power.len() > 2 {
        return None;
    }
    let ten = ten_to(power.bytes().fold(0, |sum, digit| {
        10 * sum + usize::from(digit.wrapping_sub(b'0'))
    }));
    Some((if down { mantissa / ten } else { mantissa * ten }, rest))
}

/// A fraction whose upper number's digits are `upper`, when a stroke follows: its value, its divisor and the rest.
fn fraction<'a>(upper: &str, after: &'a str) -> Result<Option<(f64, f64, &'a str)>, String> {
    let Some(below) = after.trim_start().strip_prefix('/') else {
        return Ok(None);
    };
    let (lower, rest) = digits(below.trim_start());
    if upper.is_empty() || lower.is_empty() {
        return Err("a number is missing in the fraction".into());
    }
    if upper.len() > 5 || lower.len() > 5 {
        return Err("the fraction has too many digits".into());
    }
    let (upper, lower) = (number_of(upper), number_of(lower));
    if lower == 0.0 {
        return Err("the fraction is divided by nothing".into());
    }
    Ok(Some((upper / lower, lower, rest)))
}

/// The text with the printer's signs made plain: fractions, primes, strokes, minus signs and odd spaces.
fn plain_signs(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{2212}' | '\u{2010}'..='\u{2014}' => plain.push('-'),
            '″' | '“' | '”' | '„' | '〃' => plain.push('"'),
            '′' | '‘' | '’' => plain.push('\''),
            _ if letter.is_whitespace() => plain.push(' '),
            _ => match single_sign_fraction(letter) {
                // The space keeps `13⅞` from becoming 137/8.
                Some(written) => {
                    plain.push(' ');
                    plain.push_str(written);
                }
                None => plain.push(letter),
            },
        }
    }
    plain.replace("''", "\"")
}

/// The fractions that have a sign of their own.
const fn single_sign_fraction(letter: char) -> Option<&'static str> {
    Some(match letter {
        '¼' => "1/4",
        '½' => "1/2",
        '¾' => "3/4",
        '⅐' => "1/7",
        '⅑' => "1/9",
        '⅒' => "1/10",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}
