//! A link that shows an instrument is read or refused.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::link;

fuzz_target!(|text: &str| {
    let _ = link::decode(text);
});
