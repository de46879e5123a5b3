//! The page in a real browser. Needs the built page, so these run with `cargo xtask test`, not with a plain `cargo test`.

#![allow(unreachable_pub)]

mod fixtures;

mod accessibility;
mod agreement;
mod choosing;
mod doors;
mod hand_over;
mod heard;
mod heights;
mod intonation;
mod listen;
mod offline;
mod pictures;
mod plan;
mod records;
mod removals;
mod sets;
mod show;
mod taking_in;
mod two_knobs;
mod typing;
mod visits;
mod walk_left;
mod walks;
