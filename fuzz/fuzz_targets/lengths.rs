//! What a person types as a figure is a finite number or a sentence.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::notation;
use strungwell_workshop::units::{ForceUnit, LengthUnit};

fuzz_target!(|text: &str| {
    let read = [
        notation::length_mm(text, LengthUnit::Mm),
        notation::length_mm(text, LengthUnit::Inch),
        notation::force_n(text, ForceUnit::Newton),
        notation::mass_g(text),
        notation::mass_per_length_g_m(text),
        notation::frequency_hz(text),
        notation::cents(text),
        notation::number(text),
    ];
    assert!(read.into_iter().flatten().all(f64::is_finite));
    let _ = (notation::note(text), notation::count(text));
});
