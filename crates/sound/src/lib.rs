//! Sound of plucked strings: rendered from the physics ([`tone`]), and measured ([`pitch`], [`strokes`]), with a guide
//! through the measurement of a course ([`guide`]).
//!
//! Pure: no browser, no clock, no file, no microphone. Samples come in and go out as `f32` from -1 to 1 at a stated rate.
//! No function here panics on any samples, or gives a number that is not finite.

mod fft;
pub mod guide;
mod noise;
pub mod pitch;
pub mod steady;
pub mod strokes;
pub mod tone;

/// The lowest sample rate that is accepted, in Hz.
pub const LOWEST_RATE: f64 = 8_000.0;

/// The highest sample rate that is accepted, in Hz.
pub const HIGHEST_RATE: f64 = 192_000.0;

/// A count out of a number that is not negative; what lies outside is brought to the nearest count.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a cast from f64 saturates, which is what is wanted
pub(crate) const fn count(value: f64) -> usize {
    value as usize
}

/// A sample out of a number.
#[allow(clippy::cast_possible_truncation)] // fewer digits are what a sample has
pub(crate) const fn sample(value: f64) -> f32 {
    value as f32
}
