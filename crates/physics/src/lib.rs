//! The physics of small fretted instruments.
