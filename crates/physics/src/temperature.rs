//! What warmth does to pitch: the string's expansion against the neck's.

use crate::material::Material;
use crate::quantity::Cents;
use crate::strung::Banded;
use std::f64::consts::LN_2;

/// How a material expands with warmth: the share of its length for each kelvin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expansion {
    /// The share for each kelvin, with its range.
    pub per_kelvin: Banded,
    /// Where it comes from.
    pub source: &'static str,
}

/// Wood along the grain: 3.1 to 4.5 millionths for each kelvin, whatever the wood. Source: USDA Wood Handbook, ch. 4, from memory.
pub const WOOD_ALONG: Expansion = Expansion {
    per_kelvin: Banded {
        value: 3.8e-6,
        low: 3.1e-6,
        high: 4.5e-6,
    },
    source: "wood along the grain, 3.1 to 4.5 millionths a kelvin: USDA Wood Handbook, from memory",
};

const STEEL: Expansion = Expansion {
    per_kelvin: Banded {
        value: 12.0e-6,
        low: 11.0e-6,
        high: 12.5e-6,
    },
    source: "steel, 12 millionths a kelvin, as in Rossing (ed.), The Science of String Instruments (2010), ch. 21; spread from memory",
};

/// How the string expands whose tension is borne by this material, where that is known.
///
/// None for polymers and gut: drawn threads do not expand as their bulk material does and change with load and moisture, and no
/// published figure for such strings is known here. A shop's own readings at two temperatures tell ([`rate_share`] is then not
/// needed).
#[must_use]
pub const fn expansion(bearer: Material) -> Option<Expansion> {
    match bearer {
        Material::Steel | Material::SpringSteel => Some(STEEL),
        _ => None,
    }
}

/// Share by which the frequency changes for each kelvin: `d ln f/dT = -kappa (alpha_s - alpha_n)/2`; positive rises.
///
/// `kappa = E/sigma` is the string's stretch, `alpha` the expansions of string and neck. For a rigid frame that does not expand it
/// is `-alpha E/(2 sigma)`. Source: Rossing (ed.) 2010, ch. 21, eq. 21.1 for the rigid frame; the neck's own share added.
#[must_use]
pub fn rate_share(kappa: f64, string_per_kelvin: f64, neck_per_kelvin: f64) -> f64 {
    -kappa * (string_per_kelvin - neck_per_kelvin) / 2.0
}

/// Cents for each kelvin: `-(600/ln 2) kappa (alpha_s - alpha_n)`; negative goes flat when it grows warm.
///
/// The band takes the doubts of the stretch and of both expansions as independent. Everything else is left out: moisture, and the
/// body's and the head's own warmth. Source: [`rate_share`] and the definition of the cent.
#[must_use]
pub fn cents_per_kelvin(kappa: Banded, string: Expansion, neck: Expansion) -> Banded {
    let cents = |k: f64, s: f64, n: f64| 1200.0 / LN_2 * rate_share(k, s, n);
    let (k, s, n) = (kappa.value, string.per_kelvin, neck.per_kelvin);
    let value = cents(k, s.value, n.value);
    // The change when one of the three goes to an end of its range, upwards and downwards on its own.
    let moved = [
        [
            cents(kappa.low, s.value, n.value),
            cents(kappa.high, s.value, n.value),
        ],
        [cents(k, s.low, n.value), cents(k, s.high, n.value)],
        [cents(k, s.value, n.low), cents(k, s.value, n.high)],
    ];
    let square = |sign: f64| {
        moved
            .iter()
            .map(|ends| {
                let most = ends.iter().map(|e| sign * (e - value)).fold(0.0, f64::max);
                most * most
            })
            .sum::<f64>()
            .sqrt()
    };
    Banded {
        value,
        low: value - square(-1.0),
        high: value + square(1.0),
    }
}

/// Cents after warming by so many kelvin: the rate times the kelvin. For a step, not for a warmth that the wood has followed.
#[must_use]
pub fn after_warming(cents_per_kelvin: f64, kelvin: f64) -> Cents {
    Cents(cents_per_kelvin * kelvin)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steel_string_goes_flat_on_a_hot_stage_and_its_band_holds_it() {
        let rate = cents_per_kelvin(Banded::within(300.0, 10.0), STEEL, WOOD_ALONG);
        // -(600/ln 2) 300 (12 - 3.8) millionths.
        assert!((rate.value + 2.1294).abs() < 1e-3, "{rate:?}");
        assert!(rate.low < rate.value && rate.value < rate.high);
        assert!((after_warming(rate.value, 10.0).0 + 21.294).abs() < 1e-2);
        let sure = cents_per_kelvin(
            Banded::exact(300.0),
            Expansion {
                per_kelvin: Banded::exact(12e-6),
                source: "",
            },
            Expansion {
                per_kelvin: Banded::exact(3.8e-6),
                source: "",
            },
        );
        assert_eq!((sure.low, sure.high), (sure.value, sure.value));
    }

    #[test]
    fn polymers_and_gut_are_not_guessed() {
        for soft in [
            Material::Nylon,
            Material::Fluorocarbon,
            Material::Gut,
            Material::Polyester,
        ] {
            assert_eq!(expansion(soft), None);
        }
        assert!(expansion(Material::Steel).is_some());
    }
}
