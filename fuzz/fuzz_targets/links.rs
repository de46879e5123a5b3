//! A link that shows an instrument is read, with every figure within its limits, or refused.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::{file, link};

fuzz_target!(|text: &str| {
    if let Ok(shown) = link::decode(text) {
        assert_eq!(file::check_instrument(&shown.instrument), Ok(()));
    }
});
