//! What a string can bear before it breaks, where a published figure exists.

use crate::material::{Material, Provenance};
use crate::quantity::{Force, InBenchUnits, Length, Pressure, mpa, newtons};
use crate::tension::strength_of_index;

/// From this share of the breaking load on, the page warns.
pub const WARN_FROM: f64 = 0.75;
/// From this share of the breaking load on, the page refuses to recommend.
pub const REFUSE_FROM: f64 = 0.90;

/// One row of the music wire table.
#[derive(Clone, Copy, Debug)]
pub struct WireRow {
    /// Wire diameter in inches, as the standard lists it.
    pub diameter_in: f64,
    /// Least tensile strength in ksi.
    pub least_ksi: f64,
    /// Whether the row was read in a published copy of the table or is remembered.
    pub provenance: Provenance,
}

const fn remembered(diameter_in: f64, least_ksi: f64) -> WireRow {
    WireRow {
        diameter_in,
        least_ksi,
        provenance: Provenance::FromMemory,
    }
}

const fn published(diameter_in: f64, least_ksi: f64) -> WireRow {
    WireRow {
        diameter_in,
        least_ksi,
        provenance: Provenance::Published,
    }
}

/// Least tensile strength of music wire by diameter. Source: ASTM A228 tensile table as reproduced by a wire supplier for
/// the rows marked published; the other rows from memory.
pub const MUSIC_WIRE: [WireRow; 17] = [
    remembered(0.006, 415.0),
    remembered(0.007, 407.0),
    remembered(0.008, 399.0),
    remembered(0.009, 393.0),
    published(0.010, 387.0),
    remembered(0.011, 382.0),
    published(0.012, 377.0),
    remembered(0.013, 373.0),
    remembered(0.014, 369.0),
    remembered(0.015, 365.0),
    published(0.016, 362.0),
    remembered(0.018, 356.0),
    remembered(0.020, 350.0),
    remembered(0.022, 345.0),
    remembered(0.024, 341.0),
    remembered(0.026, 337.0),
    remembered(0.028, 333.0),
];

/// Least tensile strength of spring steel wire, diameter in mm and N/mm2. Source: EN 10270-1 class SM as reproduced by a
/// spring maker.
pub const SPRING_STEEL_SM: [(f64, f64); 7] = [
    (0.3, 2370.0),
    (0.4, 2270.0),
    (0.5, 2200.0),
    (0.6, 2140.0),
    (0.7, 2090.0),
    (0.8, 2050.0),
    (1.0, 1980.0),
];

/// The lowest breaking index of gut, in Hz m: published as 240 to 280 with a mean of 260 in a string maker's article. The
/// lowest is used, as for wire.
pub const GUT_INDEX_HZ_M: f64 = 240.0;

/// The stress in MPa from which a soft core, a soft string that was not measured, or the outline of a string that nobody
/// described carries a caution. No breaking figure is published for them; these are this project's own marks, set above what
/// strings in use bear by these formulas, and mean "not known", not "safe" below.
pub const SOFT_CORE_MARK_MPA: f64 = 600.0;
/// The same for a plain string of a soft material whose kind was not measured.
pub const SOFT_PLAIN_MARK_MPA: f64 = 300.0;
/// The same over the outline of a string that nobody described inside.
pub const OUTLINE_MARK_MPA: f64 = 300.0;

const KSI_IN_MPA: f64 = 6.894_757_293;

/// A breaking stress with its source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// The least breaking stress.
    pub stress: Pressure,
    /// Where it comes from.
    pub source: &'static str,
}

/// Why there is no breaking figure.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoStrength {
    /// No published figure for the material as strings.
    #[error("no published breaking figure for {} strings is known here", .0.row().label)]
    NoSource(Material),
    /// The wire is thinner or thicker than the standard's table as held here.
    #[error("a wire of {diameter_mm:.2} mm is outside the table's {low_mm:.2} to {high_mm:.2} mm")]
    OutsideTable {
        /// The wire's diameter in mm.
        diameter_mm: f64,
        /// The thinnest in the table in mm.
        low_mm: f64,
        /// The thickest in the table in mm.
        high_mm: f64,
    },
    /// What bears the tension is not known.
    #[error("what bears the tension inside the string is not known")]
    CoreUnknown,
}

/// The least breaking stress of a solid of a material and a diameter.
///
/// Music wire and spring steel: the standard's least tensile strength, interpolated in the logarithm of the diameter. Gut:
/// the lowest published breaking index, `sigma_b = rho (2 f L)^2`.
///
/// # Errors
/// [`NoStrength`] where no source gives a figure.
pub fn breaking_stress(material: Material, diameter: Length) -> Result<Strength, NoStrength> {
    match material {
        Material::Steel => {
            let rows = MUSIC_WIRE.map(|row| (row.diameter_in * 25.4, row.least_ksi * KSI_IN_MPA));
            Ok(Strength {
                stress: mpa(interpolate(&rows, diameter.bench())?),
                source: "least tensile strength, ASTM A228 as reproduced by a wire supplier; between .010, .012 and .016 in from memory",
            })
        }
        Material::SpringSteel => Ok(Strength {
            stress: mpa(interpolate(&SPRING_STEEL_SM, diameter.bench())?),
            source: "least tensile strength, EN 10270-1 class SM as reproduced by a spring maker",
        }),
        Material::Gut => Ok(Strength {
            stress: strength_of_index(GUT_INDEX_HZ_M, Material::Gut.row().density()),
            source: "lowest of the breaking indices 240 to 280 Hz m in a string maker's article",
        }),
        other => Err(NoStrength::NoSource(other)),
    }
}

/// The load at which an area of a strength breaks: `F = sigma_b A`, with the area in mm2.
#[must_use]
pub fn breaking_load(strength: Pressure, area_mm2: f64) -> Force {
    newtons(strength.bench() * area_mm2)
}

/// Straight-line interpolation in the logarithm of the diameter (mm) over rows in ascending order.
fn interpolate(rows: &[(f64, f64)], diameter_mm: f64) -> Result<f64, NoStrength> {
    let low_mm = rows.first().map_or(0.0, |r| r.0);
    let high_mm = rows.last().map_or(0.0, |r| r.0);
    let outside = NoStrength::OutsideTable {
        diameter_mm,
        low_mm,
        high_mm,
    };
    // A hair of give, so that a gauge of .006 in written as 0.1524 mm is in the table.
    if !(diameter_mm >= low_mm * 0.999 && diameter_mm <= high_mm * 1.001) {
        return Err(outside);
    }
    let d = diameter_mm.clamp(low_mm, high_mm);
    rows.windows(2)
        .find(|pair| d <= pair[1].0)
        .map(|pair| {
            let along = (d / pair[0].0).ln() / (pair[1].0 / pair[0].0).ln();
            pair[0].1 + along * (pair[1].1 - pair[0].1)
        })
        .ok_or(outside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::mm;

    #[test]
    fn between_two_rows_the_strength_lies_between_theirs() {
        let at = |d: f64| breaking_stress(Material::Steel, mm(d)).map(|s| s.stress.bench());
        let (a, b, c) = (at(0.254).unwrap(), at(0.268).unwrap(), at(0.2794).unwrap());
        assert!(a > b && b > c);
    }

    #[test]
    fn outside_the_table_there_is_no_figure() {
        for d in [0.0, 0.1, 2.0, f64::NAN] {
            assert!(matches!(
                breaking_stress(Material::Steel, mm(d)),
                Err(NoStrength::OutsideTable { .. })
            ));
        }
        assert!(breaking_stress(Material::Nylon, mm(0.5)).is_err());
    }
}
