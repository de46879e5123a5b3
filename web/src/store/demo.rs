//! The demo shop: invented instruments and strings to look round in, kept apart from the person's own.

use strungwell_workshop::file;
use strungwell_workshop::records::Workshop;

/// The demo shop as it comes with the page.
///
/// # Errors
/// A sentence when it cannot be read, which a test of this module makes sure of.
pub(crate) fn shop() -> Result<Workshop, String> {
    file::read(include_str!("../../../demo-data/demo-shop.json"))
        .map_err(|problem| format!("The demo shop: {problem}."))
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
