//! The quantities at the crate's face: typed lengths, forces, frequencies and so on, and the cents of pitch.

pub use uom::si::f64::{Force, Frequency, Length, LinearMassDensity, MassDensity, Pressure};
use uom::si::{
    force::newton,
    frequency::hertz,
    length::{meter, millimeter},
    linear_mass_density::kilogram_per_meter,
    mass_density::kilogram_per_cubic_meter,
    pressure::{gigapascal, megapascal},
};

/// A length given in millimetres.
#[must_use]
pub fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A length given in metres.
#[must_use]
pub fn metres(value: f64) -> Length {
    Length::new::<meter>(value)
}

/// A force given in newtons.
#[must_use]
pub fn newtons(value: f64) -> Force {
    Force::new::<newton>(value)
}

/// A frequency given in hertz.
#[must_use]
pub fn hz(value: f64) -> Frequency {
    Frequency::new::<hertz>(value)
}

/// A stress or a modulus given in megapascals.
#[must_use]
pub fn mpa(value: f64) -> Pressure {
    Pressure::new::<megapascal>(value)
}

/// A stress or a modulus given in gigapascals.
#[must_use]
pub fn gpa(value: f64) -> Pressure {
    Pressure::new::<gigapascal>(value)
}

/// A mass per length given in grams per metre (the same number as milligrams per millimetre).
#[must_use]
pub fn g_per_m(value: f64) -> LinearMassDensity {
    LinearMassDensity::new::<kilogram_per_meter>(value * 1e-3)
}

/// A density given in kilograms per cubic metre.
#[must_use]
pub fn kg_per_m3(value: f64) -> MassDensity {
    MassDensity::new::<kilogram_per_cubic_meter>(value)
}

/// Reading a quantity back in the unit that the bench uses.
pub trait InBenchUnits {
    /// The number in the bench's unit: mm for a length, N for a force, Hz for a frequency, MPa for a stress, g/m for a
    /// mass per length, kg/m3 for a density.
    fn bench(&self) -> f64;
}

impl InBenchUnits for Length {
    fn bench(&self) -> f64 {
        self.get::<millimeter>()
    }
}
impl InBenchUnits for Force {
    fn bench(&self) -> f64 {
        self.get::<newton>()
    }
}
impl InBenchUnits for Frequency {
    fn bench(&self) -> f64 {
        self.get::<hertz>()
    }
}
impl InBenchUnits for Pressure {
    fn bench(&self) -> f64 {
        self.get::<megapascal>()
    }
}
impl InBenchUnits for LinearMassDensity {
    fn bench(&self) -> f64 {
        self.get::<kilogram_per_meter>() * 1e3
    }
}
impl InBenchUnits for MassDensity {
    fn bench(&self) -> f64 {
        self.get::<kilogram_per_cubic_meter>()
    }
}

/// A size of musical interval: 1200 cents to the octave, positive is sharp. Any finite number.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Cents(pub f64);

impl Cents {
    /// The interval from `from` up to `to`: `1200 log2(to/from)`. Definition of the cent.
    #[must_use]
    pub fn between(from: Frequency, to: Frequency) -> Self {
        Self::of_ratio(to.get::<hertz>() / from.get::<hertz>())
    }

    /// The interval of a frequency ratio: `1200 log2(ratio)`. The ratio must be positive.
    #[must_use]
    pub fn of_ratio(ratio: f64) -> Self {
        Self(1200.0 * ratio.log2())
    }

    /// The frequency ratio of this interval: `2^(cents/1200)`.
    #[must_use]
    pub fn ratio(self) -> f64 {
        (self.0 / 1200.0).exp2()
    }
}
