//! The sections of an instrument's sheet, in the order in which they are read.

pub(crate) mod entry;
pub(crate) mod hand_over;
pub(crate) mod heights;
pub(crate) mod instrument;
pub(crate) mod intonation;
pub(crate) mod loads;
pub(crate) mod plan;
pub(crate) mod playing_in;
pub(crate) mod sets;
pub(crate) mod strings;
pub(crate) mod visits;
