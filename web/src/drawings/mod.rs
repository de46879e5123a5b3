//! The drawings: SVG, each a function of plain data. Lines and letters take their look from the style sheet's classes.

pub(crate) mod board;
pub(crate) mod heights;
pub(crate) mod intonation;
pub(crate) mod parts;
pub(crate) mod pen;
pub(crate) mod strings;
