//! Woods of necks and boards: how stiff they are along the grain, and how they swell across it, each with its source.

use crate::material::Provenance;
use crate::quantity::{InBenchUnits, Length, Pressure, gpa, mm};
use crate::range::{OutOfRange, within};

/// One standard deviation of the modulus between boards of one kind, as a share of it. Source: about 20 %, from the USDA Wood
/// Handbook's coefficients of variation (from memory).
pub const SCATTER: f64 = 0.20;

/// The unit in which a source gives a modulus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AsGiven {
    /// Gigapascals.
    Gpa,
    /// Megapascals.
    Mpa,
    /// Millions of pounds-force per square inch.
    Mpsi,
}

const MPSI_IN_GPA: f64 = 6.894_757_293;

/// One row of the wood table.
#[derive(Clone, Copy, Debug)]
pub struct WoodRow {
    /// The name shown, in the trade's words.
    pub label: &'static str,
    /// Other names by which the trade knows it.
    pub aliases: &'static [&'static str],
    /// Modulus of elasticity in bending along the grain at 12 % moisture (air-dry), in `unit`.
    pub modulus: f64,
    /// The same of another edition or source of equal standing; the mean of the two is used.
    pub modulus_too: Option<f64>,
    /// The same of green wood.
    pub modulus_green: Option<f64>,
    /// The unit of the three.
    pub unit: AsGiven,
    /// Where the moduli come from.
    pub source: &'static str,
    /// Whether they are published or remembered.
    pub provenance: Provenance,
    /// Specific gravity, where the same source gives it.
    pub specific_gravity: Option<f64>,
    /// Shrinkage from green to ovendry in per cent: radial, tangential, of the volume. None where it is not known here.
    pub shrinkage: Option<[f64; 3]>,
}

const HANDBOOK: &str = "USDA Forest Products Laboratory, Wood Handbook";
const HANDBOOK_MEMORY: &str = "USDA Forest Products Laboratory, Wood Handbook, from memory";

const fn row(label: &'static str, unit: AsGiven, modulus: f64, green: Option<f64>) -> WoodRow {
    WoodRow {
        label,
        aliases: &[],
        modulus,
        modulus_too: None,
        modulus_green: green,
        unit,
        source: HANDBOOK,
        provenance: Provenance::Published,
        specific_gravity: None,
        shrinkage: None,
    }
}

const fn remembered(label: &'static str, unit: AsGiven, modulus: f64) -> WoodRow {
    WoodRow {
        source: HANDBOOK_MEMORY,
        provenance: Provenance::FromMemory,
        ..row(label, unit, modulus, None)
    }
}

/// The woods known here.
pub const WOODS: [WoodRow; 12] = [
    WoodRow {
        aliases: &[
            "Honduran mahogany",
            "American mahogany",
            "genuine mahogany",
            "Swietenia",
        ],
        source: "USDA Wood Handbook, table 4-5b, as quoted (1.50 million psi)",
        shrinkage: Some([3.0, 4.1, 7.8]),
        ..row("mahogany", AsGiven::Mpsi, 1.50, Some(1.34))
    },
    WoodRow {
        aliases: &["Khaya", "khaya"],
        source: "USDA Wood Handbook, table 4-5b, as quoted (1.40 million psi)",
        ..row("African mahogany", AsGiven::Mpsi, 1.40, Some(1.15))
    },
    WoodRow {
        aliases: &["walnut", "American walnut"],
        source: "USDA Wood Handbook, FPL-GTR-83",
        specific_gravity: Some(0.55),
        shrinkage: Some([5.5, 7.8, 12.8]),
        ..row("black walnut", AsGiven::Gpa, 11.6, Some(9.8))
    },
    WoodRow {
        aliases: &["maple", "hard maple", "rock maple"],
        source: "USDA Wood Handbook, data mirror",
        specific_gravity: Some(0.63),
        shrinkage: Some([4.8, 9.9, 14.7]),
        ..row("sugar maple", AsGiven::Mpa, 12_600.0, Some(10_700.0))
    },
    WoodRow {
        aliases: &["Spanish-cedar", "cedro", "Cedrela"],
        source: "USDA Wood Handbook, table 5-5b (1.44 million psi)",
        ..row("Spanish cedar", AsGiven::Mpsi, 1.44, Some(1.31))
    },
    WoodRow {
        modulus_too: Some(10.83),
        source: "a wood species database, as two editions of published banjo physics notes quote it (1.503 and 1.570 million psi)",
        ..row("koa", AsGiven::Gpa, 10.37, None)
    },
    WoodRow {
        aliases: &["spruce"],
        source: "two sawmills' data sheets (Canadian values); the Wood Handbook's 10.8 GPa from memory",
        ..row("Sitka spruce", AsGiven::Mpa, 11_200.0, None)
    },
    WoodRow {
        aliases: &["cherry"],
        shrinkage: Some([3.7, 7.1, 11.5]),
        ..remembered("black cherry", AsGiven::Mpsi, 1.49)
    },
    WoodRow {
        aliases: &["Port Orford cedar"],
        shrinkage: Some([4.6, 6.9, 10.1]),
        ..remembered("Port-Orford-cedar", AsGiven::Mpsi, 1.70)
    },
    WoodRow {
        aliases: &["western red cedar", "red cedar"],
        shrinkage: Some([2.4, 5.0, 6.8]),
        ..remembered("western redcedar", AsGiven::Mpsi, 1.11)
    },
    WoodRow {
        aliases: &["East Indian rosewood", "rosewood"],
        ..remembered("Indian rosewood", AsGiven::Mpsi, 1.78)
    },
    WoodRow {
        aliases: &["African ebony"],
        source: "handbook value, from memory",
        ..remembered("ebony", AsGiven::Gpa, 17.0)
    },
];

impl WoodRow {
    fn in_gpa(&self, value: f64) -> f64 {
        match self.unit {
            AsGiven::Gpa => value,
            AsGiven::Mpa => value * 1e-3,
            AsGiven::Mpsi => value * MPSI_IN_GPA,
        }
    }

    /// The modulus of elasticity along the grain at 12 % moisture: the mean where two sources stand beside one another.
    #[must_use]
    pub fn modulus(&self) -> Pressure {
        let other = self.modulus_too.unwrap_or(self.modulus);
        gpa(self.in_gpa(f64::midpoint(self.modulus, other)))
    }

    /// The same of green wood, where a source gives it.
    #[must_use]
    pub fn modulus_green(&self) -> Option<Pressure> {
        self.modulus_green.map(|green| gpa(self.in_gpa(green)))
    }
}

/// The wood of this name, whatever its capitals, hyphens and spaces at the ends; none when it is not known here.
#[must_use]
pub fn wood(name: &str) -> Option<&'static WoodRow> {
    let plain = |text: &str| text.trim().replace('-', " ").to_lowercase();
    let name = plain(name);
    WOODS.iter().find(|row| {
        plain(row.label) == name || row.aliases.iter().any(|alias| plain(alias) == name)
    })
}

/// The fibre saturation point in per cent of moisture, above which wood no longer swells. Source: Wood Handbook, ch. 13, as its
/// tables take it.
const SATURATION: f64 = 30.0;
/// The moisture in per cent at which the handbook's coefficients take the board's size: the middle of 6 to 14.
const MIDDLE: f64 = 10.0;

/// Share by which a board's width changes for each per cent of moisture between 6 and 14 %: `C = (S/30)/(1 - S (30 - 10)/30)`, `S`
/// the shrinkage from green to ovendry as a share.
///
/// `shrinkage_percent` radial for a quarter-sawn board, tangential for a flat-sawn one, 0 to 30. Source: linear shrinkage from
/// the fibre saturation point, referred to the size at 10 %; agrees with Wood Handbook table 13-5 to its last digit.
#[must_use]
pub fn dimension_coefficient(shrinkage_percent: f64) -> f64 {
    let share = shrinkage_percent.clamp(0.0, 30.0) / 100.0;
    share / SATURATION / (1.0 - share * (SATURATION - MIDDLE) / SATURATION)
}

/// Change of a board's width between two moistures in per cent: `dD = D C (M2 - M1)`; positive swells.
///
/// Source: USDA Wood Handbook, ch. 13, good from 6 to 14 %.
#[must_use]
pub fn movement(width: Length, coefficient: f64, moisture: [f64; 2]) -> Length {
    width * (coefficient * (moisture[1] - moisture[0]))
}

/// Moisture in per cent that wood comes to in air of a temperature in degrees Celsius and a relative humidity as a share (0 to 0.95).
///
/// `M = (1800/W) [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)]`, with `T` in degrees Fahrenheit
/// `W = 330 + 0.452 T + 0.00415 T^2`, `K = 0.791 + 0.000463 T - 0.000000844 T^2`, `K1 = 6.34 + 0.000775 T - 0.0000935 T^2`,
/// `K2 = 1.09 + 0.0284 T - 0.0000904 T^2`. Source: Hailwood and Horrobin's equation with the USDA Wood Handbook's coefficients.
///
/// # Errors
/// [`OutOfRange`] for a temperature outside -20 to 70 degrees or a humidity outside 0 to 0.95.
pub fn equilibrium_moisture(temp_c: f64, humidity: f64) -> Result<f64, OutOfRange> {
    let t = within("a temperature", temp_c, "degrees Celsius", -20.0, 70.0)? * 1.8 + 32.0;
    let h = within("a relative humidity", humidity, "", 0.0, 0.95)?;
    let w = 330.0 + 0.452 * t + 0.00415 * t * t;
    let k = 0.791 + 0.000_463 * t - 0.000_000_844 * t * t;
    let k1 = 6.34 + 0.000_775 * t - 0.000_093_5 * t * t;
    let k2 = 1.09 + 0.0284 * t - 0.000_090_4 * t * t;
    let kh = k * h;
    let one = k1 * kh;
    let two = k1 * k2 * kh * kh;
    Ok(1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two)))
}

/// How far a board's width moves when the air goes from one humidity (a share) to another at a temperature, once the wood has
/// followed, which takes days to weeks: [`movement`] between the two [`equilibrium_moisture`]s.
///
/// # Errors
/// As [`equilibrium_moisture`].
pub fn movement_in_air(
    width: Length,
    shrinkage_percent: f64,
    temp_c: f64,
    humidity: [f64; 2],
) -> Result<Length, OutOfRange> {
    let moisture = [
        equilibrium_moisture(temp_c, humidity[0])?,
        equilibrium_moisture(temp_c, humidity[1])?,
    ];
    let moved = movement(width, dimension_coefficient(shrinkage_percent), moisture);
    Ok(if moved.bench().is_finite() {
        moved
    } else {
        mm(0.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wood_is_known_by_its_names() {
        for (name, label) in [
            ("Mahogany ", "mahogany"),
            ("Spanish-cedar", "Spanish cedar"),
            ("rock maple", "sugar maple"),
            ("KHAYA", "African mahogany"),
            ("port orford cedar", "Port-Orford-cedar"),
        ] {
            assert_eq!(wood(name).map(|row| row.label), Some(label), "{name}");
        }
        assert!(wood("").is_none() && wood("cheese").is_none());
    }

    #[test]
    fn every_row_is_likely_and_has_a_source() {
        for row in &WOODS {
            let modulus = row.modulus().bench() * 1e-3;
            assert!((6.0..20.0).contains(&modulus), "{}", row.label);
            assert!(
                row.modulus_green()
                    .is_none_or(|green| green < row.modulus())
            );
            assert!(!row.source.is_empty());
            // A name means one wood only.
            for name in row.aliases {
                assert_eq!(
                    wood(name).map(|found| found.label),
                    Some(row.label),
                    "{name}"
                );
            }
        }
    }

    #[test]
    fn a_dry_room_shrinks_a_board() {
        let moved = movement_in_air(mm(46.0), 4.1, 20.0, [0.6, 0.35])
            .unwrap()
            .bench();
        assert!((-0.4..-0.1).contains(&moved), "{moved}");
        assert!(movement_in_air(mm(46.0), 4.1, 20.0, [0.5, 1.2]).is_err());
        assert!(equilibrium_moisture(f64::NAN, 0.5).is_err());
        assert!(equilibrium_moisture(20.0, 0.0).unwrap().abs() < 1e-12);
    }
}
