//! The sections of an instrument's sheet, in the order in which they are read.

pub(crate) mod hand_over;
pub(crate) mod heights;
pub(crate) mod instrument;
pub(crate) mod intonation;
pub(crate) mod strings;
pub(crate) mod visits;
