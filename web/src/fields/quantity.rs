//! Fields of figures: lengths, forces, and the rest, in the chosen units and in any that the bench writes.

use super::entry::{Entry, Shape};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::file::{Limits, limits};
use strungwell_workshop::notation::{self, Unread};
use strungwell_workshop::problem::quoted;
use strungwell_workshop::units::{ForceUnit, LengthUnit, Units, figure};

/// What a figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// A length in mm.
    Length,
    /// A force in N.
    Force,
    /// A difference of pitch in cents.
    Cents,
    /// A frequency in Hz.
    Hertz,
    /// A mass in g.
    Mass,
    /// A mass per length in g/m.
    MassPerLength,
    /// A number without unit.
    Number,
    /// A price, in the shop's own currency.
    Price,
    /// A modulus in GPa.
    Modulus,
    /// A whole number.
    Count,
}

impl Quantity {
    fn read(self, text: &str, units: Units) -> Result<f64, Unread> {
        match self {
            Self::Length => notation::length_mm(text, units.length),
            Self::Force => notation::force_n(text, units.force),
            Self::Cents => notation::cents(text),
            Self::Hertz => notation::frequency_hz(text),
            Self::Mass => notation::mass_g(text),
            Self::MassPerLength => notation::mass_per_length_g_m(text),
            Self::Number | Self::Price | Self::Modulus => notation::number(text),
            Self::Count => notation::count(text).map(f64::from),
        }
    }

    /// The value in the chosen unit, as exact as a record is worth reading.
    fn say(self, value: f64, units: Units) -> String {
        match self {
            Self::Length => match units.length {
                LengthUnit::Mm => exact(value, 2, 4),
                LengthUnit::Inch => {
                    let text = exact(units.length.from_mm(value), 3, 5);
                    // Inches are written `.028` at the bench.
                    match text.strip_prefix("0.") {
                        Some(decimals) => format!(".{decimals}"),
                        None => text,
                    }
                }
            },
            Self::Force => {
                let least = if units.force == ForceUnit::Kgf { 2 } else { 1 };
                exact(units.force.from_n(value), least, least + 2)
            }
            Self::Mass | Self::Price => exact(value, 2, 4),
            Self::MassPerLength => exact(value, 3, 5),
            Self::Count => exact(value, 0, 0),
            Self::Cents | Self::Hertz | Self::Number | Self::Modulus => exact(value, 0, 4),
        }
    }

    fn unit(self, units: Units) -> &'static str {
        match self {
            Self::Length => units.length.sign(),
            Self::Force => units.force.sign(),
            Self::Cents => "cents",
            Self::Hertz => "Hz",
            Self::Mass => "g",
            Self::MassPerLength => "g/m",
            Self::Modulus => "GPa",
            Self::Number | Self::Price | Self::Count => "",
        }
    }
}

/// A number with at least so many decimals, and more where it has them, up to `most`.
fn exact(value: f64, least: usize, most: usize) -> String {
    let mut text = figure(value, most);
    let Some(point) = text.find('.') else {
        return text;
    };
    let keep = if least == 0 { point } else { point + 1 + least };
    while text.len() > keep && text.ends_with(['0', '.']) {
        text.pop();
    }
    text
}

/// Reads a text as a field does: what it is, or why it cannot be used, as the start of a sentence.
fn taken(
    quantity: Quantity,
    text: &str,
    units: Units,
    limits: Option<Limits>,
    required: bool,
) -> Result<Option<f64>, String> {
    if text.trim().is_empty() && !required {
        return Ok(None);
    }
    let value = quantity
        .read(text, units)
        .map_err(|unread| unread.to_string())?;
    match limits {
        Some(limits) if !limits.accept(value) => Err(format!(
            "{} is outside the limits; {} is accepted",
            quoted(text.trim()),
            units.limits(&limits)
        )),
        _ => Ok(Some(value)),
    }
}

/// A field of a figure. `of` names the record and the field whose limits hold ([`limits`]); a field that is not `required` may
/// be left empty, which means that the figure is not known.
#[component]
pub(crate) fn QuantityField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    quantity: Quantity,
    #[prop(into)] value: Signal<Option<f64>>,
    on_change: Callback<Option<f64>>,
    #[prop(into, optional)] of: Option<(&'static str, &'static str)>,
    #[prop(optional)] required: bool,
    #[prop(optional)] compact: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    let units = Store::here().units();
    let limits = of.and_then(|(record, field)| limits(record, field));
    let shown = Signal::derive(move || {
        value
            .get()
            .map(|value| quantity.say(value, units.get()))
            .unwrap_or_default()
    });
    let unit = Signal::derive(move || quantity.unit(units.get()).to_owned());
    let take = Callback::new(move |text: String| {
        let value = taken(quantity, &text, units.get_untracked(), limits, required)?;
        on_change.run(value);
        Ok(())
    });
    let shape = if quantity == Quantity::Count {
        Shape::Digits
    } else {
        Shape::Figures
    };
    view! { <Entry name label shown take unit hint shape compact /> }
}

/// A field of a length in mm.
#[component]
pub(crate) fn LengthField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<Option<f64>>,
    on_change: Callback<Option<f64>>,
    of: (&'static str, &'static str),
    #[prop(optional)] required: bool,
    #[prop(optional)] compact: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    view! { <QuantityField name label quantity=Quantity::Length value on_change of required compact hint /> }
}

/// A field of a string's tension in N, which may be left empty.
#[component]
pub(crate) fn ForceField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<Option<f64>>,
    on_change: Callback<Option<f64>>,
    #[prop(default = ("rated", "tension_n"))] of: (&'static str, &'static str),
    #[prop(optional)] required: bool,
    #[prop(optional)] compact: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    view! { <QuantityField name label quantity=Quantity::Force value on_change of required compact hint /> }
}

/// A field of a whole number.
#[component]
pub(crate) fn CountField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<Option<u32>>,
    on_change: Callback<Option<u32>>,
    of: (&'static str, &'static str),
    #[prop(optional)] required: bool,
    #[prop(optional)] compact: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    let value = Signal::derive(move || value.get().map(f64::from));
    let on_change = Callback::new(move |count: Option<f64>| on_change.run(count.map(super::whole)));
    view! { <QuantityField name label quantity=Quantity::Count value on_change of required compact hint /> }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SI: Units = Units {
        length: LengthUnit::Mm,
        force: ForceUnit::Newton,
    };
    const INCH: Units = Units {
        length: LengthUnit::Inch,
        force: ForceUnit::Kgf,
    };

    #[test]
    fn a_field_shows_what_its_record_holds() {
        assert_eq!(Quantity::Length.say(381.0, SI), "381.00");
        assert_eq!(Quantity::Length.say(352.425, SI), "352.425");
        assert_eq!(Quantity::Length.say(0.7112, INCH), ".028");
        assert_eq!(Quantity::Hertz.say(440.0, SI), "440");
        assert_eq!(Quantity::Hertz.say(441.5, SI), "441.5");
        assert_eq!(Quantity::Cents.say(-20.0, SI), "-20");
        assert_eq!(Quantity::Count.say(10.0, SI), "10");
        assert_eq!(Quantity::Force.say(50.0, SI), "50.0");
    }

    #[test]
    fn what_a_field_shows_reads_back_as_it_was() {
        for (quantity, value) in [
            (Quantity::Length, 381.0),
            (Quantity::Length, 0.155),
            (Quantity::Force, 47.25),
            (Quantity::MassPerLength, 2.10),
            (Quantity::Count, 18.0),
        ] {
            for units in [SI, INCH] {
                let read = taken(quantity, &quantity.say(value, units), units, None, true)
                    .unwrap()
                    .unwrap();
                assert!(
                    (read - value).abs() <= 1e-3 * value,
                    "{quantity:?} {value} {read}"
                );
            }
        }
    }

    #[test]
    fn what_cannot_be_used_is_said_in_words() {
        let scale = limits("instrument", "scale_mm");
        let say = |text: &str| taken(Quantity::Length, text, SI, scale, true).unwrap_err();
        assert_eq!(
            say("0"),
            "\"0\" is outside the limits; a scale length in mm from 50 to 2000 is accepted"
        );
        assert!(
            say("38l").contains("\"38l\" cannot be read"),
            "{}",
            say("38l")
        );
        assert!(say("").starts_with("nothing cannot be read"), "{}", say(""));
        assert_eq!(
            taken(Quantity::Length, "15 in", SI, scale, true),
            Ok(Some(381.0))
        );
        assert_eq!(taken(Quantity::Length, " ", SI, scale, false), Ok(None));
    }
}
