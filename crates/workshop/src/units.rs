//! The units that a person sees: conversions both ways, and figures as text.
//!
//! Records and the report are in mm and N throughout; only what is shown and typed follows the setting. A figure that is
//! missing or not finite is shown as a dash, never as a made-up number.

use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exactly (international inch, 1959).
pub const MM_IN_INCH: f64 = 25.4;

/// Newtons in a kilogram-force, exactly (standard gravity, 3rd CGPM 1901).
pub const N_IN_KGF: f64 = 9.80665;

/// Newtons in a pound-force, exactly (international pound times standard gravity).
pub const N_IN_LBF: f64 = 4.448_221_615_260_5;

/// Grams in a pound, exactly (international pound, 1959).
pub const GRAMS_IN_POUND: f64 = 453.592_37;

/// Grams in an ounce, exactly (a sixteenth of a pound).
pub const GRAMS_IN_OUNCE: f64 = GRAMS_IN_POUND / 16.0;

/// What is shown where there is no figure.
pub const NO_FIGURE: &str = "–";

/// The unit of lengths on the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetres, shown to 0.01.
    #[default]
    Mm,
    /// Inches, shown to .001.
    Inch,
}

impl LengthUnit {
    /// The unit's sign, as it stands after a number.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "in",
        }
    }

    /// A length in mm, in this unit.
    #[must_use]
    pub fn from_mm(self, mm: f64) -> f64 {
        match self {
            Self::Mm => mm,
            Self::Inch => mm / MM_IN_INCH,
        }
    }

    /// A length in this unit, in mm.
    #[must_use]
    pub fn to_mm(self, length: f64) -> f64 {
        match self {
            Self::Mm => length,
            Self::Inch => length * MM_IN_INCH,
        }
    }
}

/// The unit of forces on the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ForceUnit {
    /// Newtons, shown to 0.1.
    #[default]
    Newton,
    /// Kilogram-force, shown to 0.01.
    Kgf,
    /// Pound-force, shown to 0.1.
    Lbf,
}

impl ForceUnit {
    /// The unit's sign, as it stands after a number.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Newton => "N",
            Self::Kgf => "kgf",
            Self::Lbf => "lbf",
        }
    }

    /// A force in N, in this unit.
    #[must_use]
    pub fn from_n(self, newtons: f64) -> f64 {
        newtons / self.newtons()
    }

    /// A force in this unit, in N.
    #[must_use]
    pub fn to_n(self, force: f64) -> f64 {
        force * self.newtons()
    }

    const fn newtons(self) -> f64 {
        match self {
            Self::Newton => 1.0,
            Self::Kgf => N_IN_KGF,
            Self::Lbf => N_IN_LBF,
        }
    }
}

/// The units that a person chose.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(default)]
pub struct Units {
    /// Lengths.
    pub length: LengthUnit,
    /// Forces.
    pub force: ForceUnit,
}

impl Units {
    /// A length in mm as text with its unit: `0.60 mm`, `.024 in`.
    #[must_use]
    pub fn length(self, mm: impl Into<Option<f64>>) -> String {
        with_unit(self.length_number(mm), self.length.sign())
    }

    /// A length in mm as text without its unit, in the chosen one: `0.60`, `.024`.
    #[must_use]
    pub fn length_number(self, mm: impl Into<Option<f64>>) -> String {
        let length = mm.into().map(|mm| self.length.from_mm(mm));
        match self.length {
            LengthUnit::Mm => figure(length, 2),
            LengthUnit::Inch => without_zero(figure(length, 3)),
        }
    }

    /// A force in N as text with its unit: `47.3 N`, `4.82 kgf`, `10.6 lbf`.
    #[must_use]
    pub fn force(self, newtons: impl Into<Option<f64>>) -> String {
        with_unit(self.force_number(newtons), self.force.sign())
    }

    /// A force in N as text without its unit, in the chosen one.
    #[must_use]
    pub fn force_number(self, newtons: impl Into<Option<f64>>) -> String {
        let force = newtons.into().map(|newtons| self.force.from_n(newtons));
        figure(force, if self.force == ForceUnit::Kgf { 2 } else { 1 })
    }

    /// A turning moment in N m as text with its unit: the chosen force on a metre, or on an inch where lengths are in inches:
    /// `1.52 N m`, `0.155 kgf m`, `13.5 lbf in`. Positive as the caller has it (a bridge's turns it towards the nut); three figures for
    /// moments from about 1 to 10 N m; the sign for no figure where there is none or it is not finite.
    #[must_use]
    pub fn moment(self, newton_metres: impl Into<Option<f64>>) -> String {
        let (arm_m, sign) = match self.length {
            LengthUnit::Mm => (1.0, "m"),
            LengthUnit::Inch => (MM_IN_INCH * 1e-3, "in"),
        };
        let decimals = match (self.length, self.force) {
            (LengthUnit::Mm, ForceUnit::Newton) | (LengthUnit::Inch, ForceUnit::Kgf) => 2,
            (LengthUnit::Mm, _) => 3,
            (LengthUnit::Inch, _) => 1,
        };
        let moment = newton_metres.into().map(|nm| self.force.from_n(nm) / arm_m);
        let sign = format!("{} {sign}", self.force.sign());
        with_unit(figure(moment, decimals), &sign)
    }

    /// The limits of a number in words, in the chosen units where it is a length or a force:
    /// `a diameter in in from .002 to .394`.
    #[must_use]
    pub fn limits(self, limits: &crate::file::Limits) -> String {
        let (low, high, sign) = match limits.unit {
            "mm" if self.length == LengthUnit::Inch => (
                self.length_number(limits.low),
                self.length_number(limits.high),
                "inches",
            ),
            "N" if self.force != ForceUnit::Newton => (
                self.force_number(limits.low),
                self.force_number(limits.high),
                self.force.sign(),
            ),
            _ => return limits.to_string(),
        };
        format!("{} in {sign} from {low} to {high}", limits.what)
    }
}

/// A number as text with this many decimals; [`NO_FIGURE`] when it is missing or not finite. Never `-0`.
#[must_use]
pub fn figure(number: impl Into<Option<f64>>, decimals: usize) -> String {
    match number.into().filter(|number| number.is_finite()) {
        Some(number) => {
            let text = format!("{number:.decimals$}");
            match text.strip_prefix('-') {
                Some(digits) if digits.chars().all(|digit| matches!(digit, '0' | '.')) => {
                    digits.to_owned()
                }
                _ => text,
            }
        }
        None => NO_FIGURE.to_owned(),
    }
}

/// A difference as text with this many decimals and always a sign, but for nothing: `+3.2`, `-1.0`, `0.0`.
#[must_use]
pub fn signed(number: impl Into<Option<f64>>, decimals: usize) -> String {
    let text = figure(number, decimals);
    let is_positive =
        text.chars().any(|digit| matches!(digit, '1'..='9')) && !text.starts_with('-');
    if is_positive {
        format!("+{text}")
    } else {
        text
    }
}

/// A share of one as text in per cent, without decimals: `31 %`.
#[must_use]
pub fn per_cent(share: impl Into<Option<f64>>) -> String {
    with_unit(figure(share.into().map(|share| 100.0 * share), 0), "%")
}

fn with_unit(number: String, sign: &str) -> String {
    if number == NO_FIGURE {
        number
    } else {
        format!("{number} {sign}")
    }
}

/// Inches are written `.028` at the bench.
fn without_zero(number: String) -> String {
    match number
        .strip_prefix("0.")
        .map(|decimals| ("", decimals))
        .or_else(|| number.strip_prefix("-0.").map(|decimals| ("-", decimals)))
    {
        Some((sign, decimals)) => format!("{sign}.{decimals}"),
        None => number,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation;
    use proptest::prelude::*;

    const INCH: Units = Units {
        length: LengthUnit::Inch,
        force: ForceUnit::Lbf,
    };
    const KGF: Units = Units {
        length: LengthUnit::Mm,
        force: ForceUnit::Kgf,
    };
    const SI: Units = Units {
        length: LengthUnit::Mm,
        force: ForceUnit::Newton,
    };

    #[test]
    fn figures_stand_as_the_bench_writes_them() {
        assert_eq!(SI.length(0.6), "0.60 mm");
        assert_eq!(INCH.length(0.6), ".024 in");
        assert_eq!(INCH.length(381.0), "15.000 in");
        assert_eq!(INCH.length(-0.6), "-.024 in");
        assert_eq!(SI.length(-0.001), "0.00 mm");
        assert_eq!(INCH.length(0.001), ".000 in");
        assert_eq!(SI.force(47.25), "47.2 N");
        assert_eq!(KGF.force(47.3), "4.82 kgf");
        assert_eq!(INCH.force(47.3), "10.6 lbf");
        assert_eq!(SI.moment(1.52), "1.52 N m");
        assert_eq!(KGF.moment(1.52), "0.155 kgf m");
        // 1 N m is 8.851 lbf in.
        assert_eq!(INCH.moment(1.52), "13.5 lbf in");
        let mixed = |force| Units {
            force,
            length: LengthUnit::Inch,
        };
        assert_eq!(mixed(ForceUnit::Newton).moment(1.52), "59.8 N in");
        assert_eq!(mixed(ForceUnit::Kgf).moment(1.52), "6.10 kgf in");
        assert_eq!(SI.moment(None), NO_FIGURE);
        assert_eq!(signed(3.16, 1), "+3.2");
        assert_eq!(signed(-3.16, 1), "-3.2");
        assert_eq!(signed(-0.01, 1), "0.0");
        assert_eq!(per_cent(0.314), "31 %");
    }

    #[test]
    fn what_is_no_figure_is_a_dash() {
        for none in [
            None,
            Some(f64::NAN),
            Some(f64::INFINITY),
            Some(f64::NEG_INFINITY),
        ] {
            for text in [
                SI.length(none),
                INCH.length(none),
                KGF.force(none),
                per_cent(none),
            ] {
                assert_eq!(text, "–");
            }
            assert_eq!(signed(none, 1), "–");
        }
    }

    #[test]
    fn limits_follow_the_setting() {
        let limits = crate::file::limits("plain", "diameter_mm").unwrap();
        assert_eq!(SI.limits(&limits), "a diameter in mm from 0.05 to 10");
        assert_eq!(
            INCH.limits(&limits),
            "a diameter in inches from .002 to .394"
        );
    }

    fn any_units() -> impl Strategy<Value = Units> {
        let force = prop_oneof![
            Just(ForceUnit::Newton),
            Just(ForceUnit::Kgf),
            Just(ForceUnit::Lbf)
        ];
        let length = prop_oneof![Just(LengthUnit::Mm), Just(LengthUnit::Inch)];
        (length, force).prop_map(|(length, force)| Units { length, force })
    }

    proptest! {
        #[test]
        fn units_convert_both_ways(units in any_units(), value in -1e6..1e6f64) {
            let length = units.length.to_mm(units.length.from_mm(value));
            let force = units.force.to_n(units.force.from_n(value));
            prop_assert!((length - value).abs() <= 1e-9 * value.abs());
            prop_assert!((force - value).abs() <= 1e-9 * value.abs());
        }

        #[test]
        fn what_is_shown_reads_back(units in any_units(), mm in -2000.0..2000.0f64, newtons in 0.0..500.0f64) {
            let length = notation::length_mm(&units.length(mm), LengthUnit::Mm).unwrap();
            let step = if units.length == LengthUnit::Mm { 0.01 } else { 0.0254 };
            prop_assert!((length - mm).abs() <= 0.5001 * step);
            let force = notation::force_n(&units.force(newtons), ForceUnit::Newton).unwrap();
            prop_assert!((force - newtons).abs() <= 0.5001 * 0.45);
            let unit_less = notation::length_mm(&units.length_number(mm), units.length).unwrap();
            prop_assert_eq!(unit_less, length);
        }

        #[test]
        fn nothing_but_digits_is_ever_shown(number in any::<f64>(), units in any_units()) {
            for text in [units.length_number(number), units.force_number(number), figure(number, 3)] {
                prop_assert!(text == NO_FIGURE || text.chars().all(|c| c.is_ascii_digit() || c == '.' || c == '-'), "{}", text);
            }
        }
    }
}
