//! What the store asks of the browser around it: the time, chance, and the address. The store's own tests stand in its place.

#[cfg(not(test))]
pub(super) use browser::{address, later, now, random_bytes, set_address};
#[cfg(test)]
pub(super) use stand_in::{address, later, now, random_bytes, set_address};

#[cfg(not(test))]
mod browser {
    use leptos::prelude::{set_timeout, window};
    use std::time::Duration;
    use strungwell_workshop::moment::Now;

    pub(crate) fn now() -> Now {
        let clock = js_sys::Date::new_0();
        // The zone is a whole number of minutes.
        #[allow(clippy::cast_possible_truncation)]
        let ahead_min = -clock.get_timezone_offset() as i32;
        Now::from_ms(clock.get_time(), ahead_min)
    }

    pub(crate) fn random_bytes() -> [u8; 16] {
        let mut bytes = [0_u8; 16];
        let given = web_sys::window()
            .and_then(|window| window.crypto().ok())
            .is_some_and(|crypto| crypto.get_random_values_with_u8_array(&mut bytes).is_ok());
        if !given {
            for byte in &mut bytes {
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let drawn = (js_sys::Math::random() * 256.0) as u8;
                *byte = drawn;
            }
        }
        bytes
    }

    pub(crate) fn later(work: impl FnOnce() + 'static, wait: Duration) {
        set_timeout(work, wait);
    }

    pub(crate) fn address() -> String {
        window().location().hash().unwrap_or_default()
    }

    pub(crate) fn set_address(hash: &str) {
        // A browser refuses only addresses that it cannot read, and these are plain ASCII.
        let _ = window().location().set_hash(hash);
    }
}

#[cfg(test)]
pub(super) mod stand_in {
    use std::cell::{Cell, RefCell};
    use std::time::Duration;
    use strungwell_workshop::moment::Now;

    thread_local! {
        /// What the clock says, in milliseconds; it goes on only when a test sets it.
        pub(crate) static NOW_MS: Cell<f64> = const { Cell::new(1_770_000_000_000.0) };
        static DRAWN: Cell<u64> = const { Cell::new(0) };
        static ADDRESS: RefCell<String> = const { RefCell::new(String::new()) };
    }

    pub(crate) fn now() -> Now {
        Now::from_ms(NOW_MS.get(), 0)
    }

    /// Each another, in the order in which they are drawn.
    pub(crate) fn random_bytes() -> [u8; 16] {
        DRAWN.set(DRAWN.get() + 1);
        u128::from(DRAWN.get()).to_be_bytes()
    }

    /// Nobody waits in a test.
    pub(crate) fn later(_work: impl FnOnce() + 'static, _wait: Duration) {}

    pub(crate) fn address() -> String {
        ADDRESS.with_borrow(String::clone)
    }

    pub(crate) fn set_address(hash: &str) {
        ADDRESS.set(hash.to_owned());
    }
}
