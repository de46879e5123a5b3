//! What is read is within its limits and comes back the same; what is not is said in one sentence.
#![no_main]

use libfuzzer_sys::fuzz_target;
use strungwell_workshop::file;

fuzz_target!(|bytes: &[u8]| match file::read_bytes(bytes) {
    Ok(shop) => {
        let text = file::write(&shop);
        assert_eq!(file::read(&text).as_ref(), Ok(&shop));
    }
    Err(problem) => assert!(!problem.to_string().chars().any(char::is_control)),
});
