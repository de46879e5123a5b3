//! `strungwell`: the report at a terminal.

fn main() {}
