//! A table of comma-separated values is read or refused line by line.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::rack::table;
use strungwell_workshop::records::Workshop;
use strungwell_workshop::file;

fuzz_target!(|text: &str| {
    if let Ok(preview) = table::read(text, &[]) {
        let mut shop = Workshop::default();
        if preview.apply(&mut shop).is_ok() {
            assert_eq!(file::check(&shop), Ok(()));
        }
    }
});
