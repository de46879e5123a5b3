//! Checks against published values, and browser tests. The tests stand in `tests/`.
