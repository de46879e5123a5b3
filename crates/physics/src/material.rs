//! What strings are made of: densities and elastic laws, each with its source.

use crate::quantity::{MassDensity, kg_per_m3};
use crate::stretch::StretchLaw;

/// What a string, a core or a wrap is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Material {
    /// Nylon monofilament, or a bundle of nylon filaments.
    Nylon,
    /// Fluorocarbon (PVDF) monofilament.
    Fluorocarbon,
    /// Twisted gut.
    Gut,
    /// Polyester filament.
    Polyester,
    /// Music wire to ASTM A228.
    Steel,
    /// Spring steel wire to EN 10270-1 class SM.
    SpringSteel,
    /// Stainless steel wire, as a wrap.
    StainlessSteel,
    /// Nickel wire.
    Nickel,
    /// Nickel-plated steel wire, as a wrap.
    NickelPlatedSteel,
    /// Copper.
    Copper,
    /// Silver-plated copper.
    SilverPlatedCopper,
    /// Silver.
    Silver,
    /// Bronze of 80 parts copper and 20 parts zinc, as the string trade names it.
    Bronze,
    /// Phosphor bronze.
    PhosphorBronze,
    /// Brass.
    Brass,
    /// Aluminium.
    Aluminium,
    /// Tungsten.
    Tungsten,
}

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Provenance {
    /// From the source named beside it.
    Published,
    /// From memory, not looked up.
    FromMemory,
}

impl Provenance {
    /// The words shown beside a value.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::FromMemory => "from memory",
        }
    }
}

/// One row of the material table.
#[derive(Clone, Copy, Debug)]
pub struct MaterialRow {
    /// The material.
    pub material: Material,
    /// The word used in records and files.
    pub key: &'static str,
    /// The words shown on the page.
    pub label: &'static str,
    /// Density in kg/m3: the value used.
    density: f64,
    /// The lowest density in kg/m3 that a string of it, known by its diameter alone, may behave as.
    density_low: f64,
    /// The highest such density in kg/m3.
    density_high: f64,
    /// Where the densities come from.
    pub density_source: &'static str,
    /// Whether they are published or remembered.
    pub density_provenance: Provenance,
    /// How stiffly it stretches, where that is known.
    pub stretch: Option<StretchLaw>,
    /// The word "plain" strings are made of it.
    pub is_plain_string: bool,
    /// Wraps are made of it.
    pub is_wrap: bool,
}

impl MaterialRow {
    /// The density used.
    #[must_use]
    pub fn density(&self) -> MassDensity {
        kg_per_m3(self.density)
    }

    /// The range of densities that a string known only by its diameter may behave as, lowest first.
    ///
    /// A polymer string is sold by its unstretched diameter and works stretched, so its mass at pitch is less than the
    /// bulk density of the material gives: the low end is the lowest found from published mass and diameter.
    #[must_use]
    pub fn density_band(&self) -> (MassDensity, MassDensity) {
        (kg_per_m3(self.density_low), kg_per_m3(self.density_high))
    }
}

const SPEC_TABLES: &str = "bulk 1120 to 1150 from memory; low end from catalogue mass and diameter in \
     Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024), string specification tables";
const SPEC_TABLES_FLUOROCARBON: &str = "bulk 1780 from memory; low end from catalogue mass and diameter in \
     Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024), string specification tables";
const HANDBOOK: &str = "handbook value, from memory";

const fn metal(
    material: Material,
    key: &'static str,
    label: &'static str,
    density: f64,
) -> MaterialRow {
    MaterialRow {
        material,
        key,
        label,
        density,
        density_low: density * 0.99,
        density_high: density * 1.01,
        density_source: HANDBOOK,
        density_provenance: Provenance::FromMemory,
        stretch: None,
        is_plain_string: false,
        is_wrap: true,
    }
}

const fn wire(material: Material, key: &'static str, label: &'static str) -> MaterialRow {
    MaterialRow {
        density_low: 7800.0,
        density_high: 7860.0,
        density_source: "7850 handbook value, from memory; 7806 follows from the worked table of published banjo physics notes",
        stretch: Some(StretchLaw::STEEL),
        is_plain_string: true,
        is_wrap: false,
        ..metal(material, key, label, 7850.0)
    }
}

/// The materials that strings are made of.
pub const MATERIALS: [MaterialRow; 17] = [
    MaterialRow {
        material: Material::Nylon,
        key: "nylon",
        label: "nylon",
        density: 1140.0,
        density_low: 939.0,
        density_high: 1150.0,
        density_source: SPEC_TABLES,
        density_provenance: Provenance::FromMemory,
        stretch: Some(StretchLaw::NYLON),
        is_plain_string: true,
        is_wrap: false,
    },
    MaterialRow {
        material: Material::Fluorocarbon,
        key: "fluorocarbon",
        label: "fluorocarbon",
        density: 1780.0,
        density_low: 1588.0,
        density_high: 1790.0,
        density_source: SPEC_TABLES_FLUOROCARBON,
        density_provenance: Provenance::FromMemory,
        stretch: Some(StretchLaw::FLUOROCARBON),
        is_plain_string: true,
        is_wrap: false,
    },
    MaterialRow {
        material: Material::Gut,
        key: "gut",
        label: "gut",
        density: 1300.0,
        density_low: 1250.0,
        density_high: 1350.0,
        density_source: "1300 as used with Peruffo's breaking stress; spread from memory",
        density_provenance: Provenance::FromMemory,
        stretch: Some(StretchLaw::GUT),
        is_plain_string: true,
        is_wrap: false,
    },
    MaterialRow {
        material: Material::Polyester,
        key: "polyester",
        label: "polyester",
        density: 1380.0,
        density_low: 1200.0,
        density_high: 1400.0,
        density_source: HANDBOOK,
        density_provenance: Provenance::FromMemory,
        stretch: None,
        is_plain_string: true,
        is_wrap: false,
    },
    wire(Material::Steel, "steel", "steel (music wire)"),
    wire(
        Material::SpringSteel,
        "spring-steel",
        "spring steel (SM wire)",
    ),
    metal(
        Material::StainlessSteel,
        "stainless-steel",
        "stainless steel",
        7930.0,
    ),
    metal(Material::Nickel, "nickel", "nickel", 8900.0),
    metal(
        Material::NickelPlatedSteel,
        "nickel-plated-steel",
        "nickel-plated steel",
        7900.0,
    ),
    metal(Material::Copper, "copper", "copper", 8960.0),
    metal(
        Material::SilverPlatedCopper,
        "silver-plated-copper",
        "silver-plated copper",
        8980.0,
    ),
    metal(Material::Silver, "silver", "silver", 10490.0),
    metal(Material::Bronze, "bronze", "bronze", 8800.0),
    metal(
        Material::PhosphorBronze,
        "phosphor-bronze",
        "phosphor bronze",
        8860.0,
    ),
    metal(Material::Brass, "brass", "brass", 8500.0),
    metal(Material::Aluminium, "aluminium", "aluminium", 2700.0),
    metal(Material::Tungsten, "tungsten", "tungsten", 19_300.0),
];

impl Material {
    /// This material's row of the table.
    #[must_use]
    pub fn row(self) -> &'static MaterialRow {
        // The table stands in the order of the enumeration; a test holds it there.
        &MATERIALS[self as usize]
    }

    /// The material with this word in records, or none.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        MATERIALS
            .iter()
            .find(|row| row.key == key)
            .map(|row| row.material)
    }

    /// Stretches far before it breaks: a polymer or gut, whose mass at pitch depends on its stretch.
    #[must_use]
    pub const fn is_soft(self) -> bool {
        matches!(
            self,
            Self::Nylon | Self::Fluorocarbon | Self::Gut | Self::Polyester
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_stands_in_the_order_of_the_enumeration() {
        for row in &MATERIALS {
            assert_eq!(row.material.row().key, row.key);
            assert_eq!(Material::from_key(row.key), Some(row.material));
            assert!(
                row.density_low <= row.density && row.density <= row.density_high,
                "{}",
                row.key
            );
            assert!(!row.density_source.is_empty());
        }
    }
}
