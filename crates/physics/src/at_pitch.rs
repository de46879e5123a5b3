//! A string brought to a pitch on a speaking length: tension, stress, share of breaking, stretch and bending.

use crate::material::Material;
use crate::quantity::{
    Force, Frequency, InBenchUnits, Length, Pressure, g_per_m, gpa, mm, mpa, newtons,
};
use crate::range::{OutOfRange, within};
use crate::stiffness;
use crate::strength::{
    NoStrength, OUTLINE_MARK_MPA, SOFT_CORE_MARK_MPA, SOFT_PLAIN_MARK_MPA, Strength, WARN_FROM,
    breaking_load, breaking_stress,
};
use crate::stretch::{Stretch, StretchOrigin};
use crate::string::{Bearer, Core, CoreShape, StringMake};
use crate::strung::{Banded, Strung};
use crate::tension::{pitch_for_tension, share, stress, tension};

/// What was measured on a string, or given with it, and so goes before the material's law.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measured {
    /// The stretch kappa, at least 1.
    pub kappa: Option<f64>,
    /// One standard deviation of that stretch, when it was measured; a tenth of it is taken otherwise.
    pub kappa_give: Option<f64>,
    /// The modulus in bending, in GPa.
    pub bend_modulus_gpa: Option<f64>,
}

/// How near to breaking a string is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breaking {
    /// Tension over the least breaking load of what bears it.
    pub fraction: f64,
    /// That load.
    pub load: Force,
    /// The strength and its source.
    pub strength: Strength,
}

/// The highest pitch that a string should be taken to, and what sets it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HighestPitch {
    /// Three quarters of the least breaking load.
    ByBreaking(Frequency),
    /// No breaking figure is published; this is the top of the stress range at which such strings were measured.
    ByMeasuredStress(Frequency),
}

/// A stress above which a string without a breaking figure carries a caution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StressMark {
    /// The stress.
    pub stress: Pressure,
    /// True when strings of the kind were measured up to it; false when it is this project's own mark.
    pub measured: bool,
}

/// A string at pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct AtPitch {
    /// Pitch of the open string.
    pub pitch: Frequency,
    /// Speaking length of the open string.
    pub length: Length,
    /// Tension in N, with the band of the mass.
    pub tension_n: Banded,
    /// Stress in what bears the tension: the core where there is one, else the whole outline.
    pub stress: Pressure,
    /// Share of breaking, or why there is none.
    pub breaking: Result<Breaking, NoStrength>,
    /// The stretch; none when nothing is known of what bears the tension.
    pub stretch: Option<Stretch>,
    /// The bending length `b_s` in mm; none without a stretch.
    pub bending_length_mm: Option<Banded>,
    /// The highest pitch advised; none when nothing is known of what bears the tension.
    pub highest: Option<HighestPitch>,
    /// The stress above which it carries a caution; none where a breaking figure says more.
    pub mark: Option<StressMark>,
    diameter: Length,
    mass: Banded,
}

/// The share of the bending length by which a polymer or nylon-core string is doubtful: the published total end
/// coefficient is 1.1 give or take 0.2 (Anderson & Beausoleil 2024).
const BENDING_DOUBT_SOFT: f64 = 0.2 / 1.1;
/// The same for a plain wire: its modulus is known to three parts in two hundred, and the root halves that.
const BENDING_DOUBT_WIRE: f64 = 0.0075;
/// The same for a wrapped wire: friction of the turns is left out, from memory.
const BENDING_DOUBT_WOUND_WIRE: f64 = 0.05;

impl AtPitch {
    /// Brings a string to a pitch on a speaking length.
    ///
    /// # Errors
    /// [`OutOfRange`] for a speaking length outside 30 to 2000 mm, a pitch outside 10 to 10000 Hz, or a measured stretch or
    /// modulus that is not physical.
    pub fn new(
        make: &StringMake,
        measured: Measured,
        length: Length,
        pitch: Frequency,
    ) -> Result<Self, OutOfRange> {
        within("a speaking length", length.bench(), "mm", 30.0, 2000.0)?;
        within("a pitch", pitch.bench(), "Hz", 10.0, 10_000.0)?;
        if let Some(kappa) = measured.kappa {
            within("a stretch", kappa, "", 1.0, 5000.0)?;
        }
        if let Some(modulus) = measured.bend_modulus_gpa {
            within("a bending modulus", modulus, "GPa", 0.01, 1000.0)?;
        }
        let at = |g: f64| tension(g_per_m(g), length, pitch).bench();
        let mass = make.g_per_m();
        let tension_n = Banded {
            value: at(mass.value),
            low: at(mass.low),
            high: at(mass.high),
        };
        let bearing = make.bearing_mm2();
        let stress = stress(newtons(tension_n.value), bearing);
        let breaking = strength_of(make).map(|strength| {
            let load = breaking_load(strength.stress, bearing);
            Breaking {
                fraction: share(newtons(tension_n.value), load),
                load,
                strength,
            }
        });
        let stretch = stretch_of(make, measured, tension_n.value, stress);
        let bending_length_mm = stretch.map(|s| bending(make, measured, &s, tension_n.value));
        let highest = highest_pitch(make, length, &breaking);
        Ok(Self {
            pitch,
            length,
            tension_n,
            stress,
            breaking,
            stretch,
            bending_length_mm,
            highest,
            mark: stress_mark(make),
            diameter: make.diameter(),
            mass,
        })
    }

    /// Tension.
    #[must_use]
    pub fn tension(&self) -> Force {
        newtons(self.tension_n.value)
    }

    /// What pressing, intonation and clearance need of it; none without a stretch.
    #[must_use]
    pub fn strung(&self) -> Option<Strung> {
        Some(Strung {
            tension: self.tension(),
            mass_per_length: g_per_m(self.mass.value),
            diameter: self.diameter,
            kappa: self.stretch?.kappa,
            bending_length_mm: self.bending_length_mm?,
        })
    }

    /// End correction at each end in mm: half the bending length, as a string that continues over a narrow support.
    #[must_use]
    pub fn end_correction_mm(&self) -> Option<f64> {
        self.bending_length_mm
            .map(|b| stiffness::end_correction(mm(b.value), stiffness::Ends::Halfway).bench())
    }

    /// The end correction's band in mm.
    #[must_use]
    pub fn end_correction_band_mm(&self) -> Option<(f64, f64)> {
        let at = |b: f64| stiffness::end_correction(mm(b), stiffness::Ends::Halfway).bench();
        self.bending_length_mm.map(|b| (at(b.low), at(b.high)))
    }

    /// The measured stress range of what bears the tension, and whether the string lies in it; none where the stretch does
    /// not come from a law that was measured over a range.
    #[must_use]
    pub fn measured_range(&self) -> Option<(f64, f64, bool)> {
        match self.stretch?.origin {
            StretchOrigin::Law { law, inside } => {
                law.measured_mpa.map(|(low, high)| (low, high, inside))
            }
            StretchOrigin::Given | StretchOrigin::WoundOnNylon => None,
        }
    }
}

fn strength_of(make: &StringMake) -> Result<Strength, NoStrength> {
    match make.bearer() {
        Bearer::Whole(material) => breaking_stress(material, make.diameter()),
        Bearer::Core(core) => breaking_stress(core.material(), core_wire(&core)),
        Bearer::Unknown => Err(NoStrength::CoreUnknown),
    }
}

/// What stands in for a breaking figure where none is published. It rests on what bears the tension alone, not on how its
/// stretch is known, so that a measured stretch takes no caution away.
fn stress_mark(make: &StringMake) -> Option<StressMark> {
    let own = |high: f64| StressMark {
        stress: mpa(high),
        measured: false,
    };
    match make.bearer() {
        Bearer::Whole(material) => match material.row().stretch.and_then(|law| law.measured_mpa) {
            Some((_, high)) => Some(StressMark {
                stress: mpa(high),
                measured: true,
            }),
            None if strength_of(make).is_err() => Some(own(SOFT_PLAIN_MARK_MPA)),
            None => None,
        },
        Bearer::Core(core) if core.material().is_soft() && strength_of(make).is_err() => {
            Some(own(SOFT_CORE_MARK_MPA))
        }
        Bearer::Core(_) => None,
        Bearer::Unknown => Some(own(OUTLINE_MARK_MPA)),
    }
}

/// The diameter of the wire that a core was drawn as: a hexagon counts as the round wire of its area.
fn core_wire(core: &Core) -> Length {
    match core.shape() {
        CoreShape::Hex => mm((4.0 / std::f64::consts::PI * core.area_mm2()).sqrt()),
        CoreShape::Round | CoreShape::Filaments(_) => core.diameter(),
    }
}

fn stretch_of(
    make: &StringMake,
    measured: Measured,
    tension_n: f64,
    stress: Pressure,
) -> Option<Stretch> {
    if let Some(kappa) = measured.kappa {
        let mut given = Stretch::given(kappa);
        if let Some(give) = measured.kappa_give.filter(|g| g.is_finite()) {
            given.kappa = Banded::within(kappa, give.abs().min(kappa - 1.0));
        }
        return Some(given);
    }
    // Stress over what bears the tension turns E/sigma into E A/T, which is what kappa means.
    debug_assert!(tension_n > 0.0);
    match make.bearer() {
        Bearer::Whole(material) => material
            .row()
            .stretch
            .map(|law| Stretch::by_law(law, stress)),
        Bearer::Core(core) => {
            let law = core.material().row().stretch?;
            let by_law = Stretch::by_law(law, stress);
            match by_law.origin {
                // A core of nylon works at more stress than the plain strings that the law was fitted to; strings wound
                // on nylon were themselves measured, so their figure is nearer than the law carried beyond its range.
                StretchOrigin::Law { inside: false, .. } if core.material() == Material::Nylon => {
                    Some(Stretch::WOUND_ON_NYLON)
                }
                _ => Some(by_law),
            }
        }
        Bearer::Unknown => Some(Stretch::WOUND_ON_NYLON),
    }
}

fn bending(make: &StringMake, measured: Measured, stretch: &Stretch, tension_n: f64) -> Banded {
    let tension = newtons(tension_n);
    let steel_core = match make.bearer() {
        Bearer::Core(core) if !core.material().is_soft() => Some(core),
        _ => None,
    };
    // Wraps over wire slide and add little; over nylon the whole outline was found to bend as one.
    let bent = steel_core.map_or_else(|| make.diameter(), |core| core_wire(&core));
    let kappa_doubt = (stretch.kappa.high - stretch.kappa.low) / 2.0 / stretch.kappa.value / 2.0;
    let (length, doubt) = match (measured.bend_modulus_gpa, steel_core) {
        (Some(modulus), _) => (
            stiffness::bending_length(gpa(modulus), bent, tension),
            BENDING_DOUBT_WOUND_WIRE,
        ),
        (None, Some(_)) => {
            let modulus = mpa(stretch.kappa.value * tension_n / make.bearing_mm2());
            (
                stiffness::bending_length(modulus, bent, tension),
                BENDING_DOUBT_WOUND_WIRE,
            )
        }
        (None, None) => (
            stiffness::bending_length_of_stretch(stretch.kappa.value, make.diameter() / 2.0),
            match make.bearer() {
                Bearer::Whole(material) if !material.is_soft() => BENDING_DOUBT_WIRE,
                _ => BENDING_DOUBT_SOFT.hypot(kappa_doubt),
            },
        ),
    };
    Banded::within(length.bench(), doubt * length.bench())
}

fn highest_pitch(
    make: &StringMake,
    length: Length,
    breaking: &Result<Breaking, NoStrength>,
) -> Option<HighestPitch> {
    let mass = make.mass_per_length();
    if let Ok(breaking) = breaking {
        return Some(HighestPitch::ByBreaking(pitch_for_tension(
            mass,
            length,
            breaking.load * WARN_FROM,
        )));
    }
    let Bearer::Whole(material) = make.bearer() else {
        return None;
    };
    let (_, high) = material.row().stretch?.measured_mpa?;
    let load = breaking_load(mpa(high), make.bearing_mm2());
    Some(HighestPitch::ByMeasuredStress(pitch_for_tension(
        mass, length, load,
    )))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hz;
    use crate::string::{Wrap, WrapForm};
    use proptest::prelude::*;

    const G3: f64 = 195.997_717_990_874_66;

    fn fourth(make: &StringMake) -> AtPitch {
        AtPitch::new(make, Measured::default(), mm(381.0), hz(G3)).unwrap()
    }

    #[test]
    fn the_feel_of_a_low_fourth() {
        let nylon = fourth(&StringMake::plain(Material::Nylon, mm(1.02)).unwrap());
        let fluorocarbon = fourth(&StringMake::plain(Material::Fluorocarbon, mm(1.17)).unwrap());
        let wound = fourth(&StringMake::listed(g_per_m(2.1), mm(0.76), None).unwrap());
        assert!((nylon.tension_n.value - 21.0).abs() < 0.5);
        assert!((nylon.stress.bench() - 25.0).abs() < 0.6);
        assert!((fluorocarbon.tension_n.value - 43.0).abs() < 0.5);
        assert!((wound.tension_n.value - 47.0).abs() < 0.5);
        let kappa = |a: &AtPitch| a.stretch.unwrap().kappa.value;
        assert!(kappa(&nylon) > kappa(&fluorocarbon) && kappa(&fluorocarbon) > kappa(&wound) - 5.0);
        assert_eq!(nylon.measured_range().map(|r| r.2), Some(false));
    }

    #[test]
    fn a_wire_core_bears_alone_and_bends_alone() {
        let core = Core::new(Material::Steel, mm(0.4), CoreShape::Hex).unwrap();
        let wrap = Wrap::new(Material::Bronze, mm(0.2), WrapForm::Round).unwrap();
        let make = StringMake::wound(core, &[wrap]).unwrap();
        let at = AtPitch::new(&make, Measured::default(), mm(648.0), hz(110.0)).unwrap();
        let area = 3.0_f64.sqrt() / 2.0 * 0.16;
        assert!((at.stress.bench() - at.tension_n.value / area).abs() < 1e-9);
        assert!((at.stretch.unwrap().kappa.value - 203e3 * area / at.tension_n.value).abs() < 1e-6);
        let breaking = at.breaking.unwrap();
        assert!(breaking.fraction > 0.1 && breaking.fraction < 0.9);
        let solid = stiffness::bending_length_of_stretch(
            at.stretch.unwrap().kappa.value,
            make.diameter() / 2.0,
        );
        assert!(at.bending_length_mm.unwrap().value < solid.bench());
    }

    #[test]
    fn the_highest_pitch_is_at_three_quarters_of_breaking() {
        let make = StringMake::plain(Material::Steel, mm(0.254)).unwrap();
        let at = AtPitch::new(&make, Measured::default(), mm(647.7), hz(329.63)).unwrap();
        let Some(HighestPitch::ByBreaking(top)) = at.highest else {
            panic!("{:?}", at.highest)
        };
        let there = AtPitch::new(&make, Measured::default(), mm(647.7), top).unwrap();
        assert!((there.breaking.unwrap().fraction - WARN_FROM).abs() < 1e-9);
    }

    #[test]
    fn a_measured_stretch_goes_before_the_law() {
        let make = StringMake::plain(Material::Nylon, mm(0.7)).unwrap();
        let measured = Measured {
            kappa: Some(60.0),
            kappa_give: Some(2.0),
            ..Measured::default()
        };
        let at = AtPitch::new(&make, measured, mm(381.0), hz(330.0)).unwrap();
        assert_eq!(
            at.stretch.unwrap().kappa,
            Banded {
                value: 60.0,
                low: 58.0,
                high: 62.0
            }
        );
    }

    proptest! {
        #[test]
        fn any_finite_input_is_answered_or_refused(
            d in proptest::num::f64::ANY, l in proptest::num::f64::ANY, f in proptest::num::f64::ANY,
            row in 0..crate::material::MATERIALS.len(), k in proptest::option::of(proptest::num::f64::ANY),
        ) {
            let material = crate::material::MATERIALS[row].material;
            if let Ok(make) = StringMake::plain(material, mm(d)) {
                let measured = Measured { kappa: k, ..Measured::default() };
                if let Ok(at) = AtPitch::new(&make, measured, mm(l), hz(f)) {
                    prop_assert!(at.tension_n.value.is_finite() && at.tension_n.value > 0.0);
                    prop_assert!(at.stress.bench().is_finite());
                    if let Some(s) = at.strung() {
                        prop_assert!(s.kappa.low.is_finite() && s.kappa.high.is_finite());
                        prop_assert!(s.bending_length_mm.value.is_finite());
                    }
                }
            }
        }

        #[test]
        fn strings_of_the_trade_are_always_answered(d in 0.2..1.3f64, l in 300.0..700.0f64, f in 60.0..700.0f64) {
            for row in crate::material::MATERIALS.iter().filter(|r| r.is_plain_string) {
                let make = StringMake::plain(row.material, mm(d)).unwrap();
                let at = AtPitch::new(&make, Measured::default(), mm(l), hz(f)).unwrap();
                prop_assert!(at.tension_n.low <= at.tension_n.value && at.tension_n.value <= at.tension_n.high);
                if let Some(s) = at.strung() {
                    prop_assert!(s.kappa.low >= 1.0 && s.kappa.low <= s.kappa.value);
                    prop_assert!(at.end_correction_mm().unwrap() > 0.0);
                }
            }
        }
    }
}
