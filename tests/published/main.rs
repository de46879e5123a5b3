//! The code against the outside world: published values, exact equations, finite elements. What was held is written as a table in
//! `docs/checks.md` and, in short, in the readme.

#![allow(unreachable_pub)]

mod clearance;
mod fretting;
mod fretting_heights;
mod loads;
mod neck_beam;
mod plan;
mod reference_strings;
mod stiff_string;
mod strings;
mod table;
