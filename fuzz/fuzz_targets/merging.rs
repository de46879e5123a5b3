//! Any file merged into any other can be read again, and merging it once more changes nothing.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::{file, merge};

fuzz_target!(|bytes: &[u8]| {
    let half = bytes.len() / 2;
    let (Ok(mine), Ok(theirs)) = (file::read_bytes(&bytes[..half]), file::read_bytes(bytes)) else {
        return;
    };
    if let Ok(merged) = merge::merge(&mine, &theirs) {
        assert_eq!(merge::merge(&merged, &theirs).as_ref(), Ok(&merged));
    }
});
