//! The physics of small fretted instruments, as pure functions and types of the trade.
//!
//! Each module is a thing of the trade. There is no input or output here, no clock and no browser; every public
//! constructor refuses what is not physical and says why, so that inside everything is already valid and no NaN
//! leaves a public function. Quantities at the crate's face are typed ([`quantity`]).

pub mod at_pitch;
pub mod bridge;
pub mod clearance;
pub mod equivalent;
pub mod fretboard;
pub mod heights;
pub mod intonation;
pub mod line;
pub mod material;
pub mod neck;
pub mod pitch;
pub mod playing_in;
pub mod plucked;
pub mod press;
pub mod quantity;
pub mod range;
pub mod section;
pub mod settling;
pub mod solver;
pub mod stiffness;
pub mod strength;
pub mod stretch;
pub mod string;
pub mod strung;
pub mod tails;
pub mod temperature;
pub mod tension;
pub mod tuner;
pub mod weighing;
pub mod wood;
