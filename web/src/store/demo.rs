//! The demo shop: invented instruments and strings to look round in, kept apart from the person's own.

use strungwell_workshop::file;
use strungwell_workshop::moment::{self, Now};
use strungwell_workshop::records::Workshop;
use strungwell_workshop::report::loads::record::move_moments;

/// The demo shop as it comes with the page.
///
/// # Errors
/// A sentence when it cannot be read, which a test of this module makes sure of.
pub(crate) fn shop() -> Result<Workshop, String> {
    file::read(include_str!("../../../demo-data/demo-shop.json"))
        .map_err(|problem| format!("The demo shop: {problem}."))
}

/// Moves what the demo shop waits for to today, as if it had been written just now.
pub(crate) fn move_to(shop: &mut Workshop, now: Now) {
    if let Some(then) = shop.exported.as_deref().and_then(moment::seconds) {
        move_moments(&mut shop.instruments, now.seconds - then);
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_demo_shop_can_be_read() {
        let shop = super::shop().unwrap();
        assert!(shop.instruments.len() >= 8);
        assert!(shop.rack.len() >= 60);
    }
}
