//! Checks against published values, and browser tests. The tests stand in `tests/` and `browser/`; here is what they share.

pub mod ear;
pub mod reference;
pub mod wav;
