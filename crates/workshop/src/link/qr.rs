//! A link as a QR code.

use qrcodegen::{QrCode as Code, QrCodeEcc};

/// The squares of a QR code (ISO/IEC 18004). A reader needs four light squares around it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QrCode {
    /// Squares on a side, without the light edge.
    pub size: usize,
    /// Whether each square is dark, row by row from the top, each from the left: `size` times `size`.
    pub dark: Vec<bool>,
}

/// The QR code of a text, such as a whole address: the smallest that holds it, with the lowest correction, or a higher one
/// where that makes it no larger. None for a text that no QR code holds (over 2953 bytes).
#[must_use]
pub fn qr_code(text: &str) -> Option<QrCode> {
    let code = Code::encode_text(text, QrCodeEcc::Low).ok()?;
    let side = code.size();
    let dark = (0..side)
        .flat_map(|y| (0..side).map(move |x| (x, y)))
        .map(|(x, y)| code.get_module(x, y))
        .collect();
    Some(QrCode {
        size: usize::try_from(side).ok()?,
        dark,
    })
}
