//! The drawings of intonation: the map of cents over the frets, and the saddle seen from above.

mod above;
mod map;

pub(crate) use above::{Above, FromAbove};
pub(crate) use map::CentsMap;
