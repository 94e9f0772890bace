//! A text as a picture that a camera reads: a QR code, by the format's own
//! reference library (ISO/IEC 18004).

use qrcodegen::{QrCode, QrCodeEcc};

use crate::markup::{El, svg};

/// Free space around, modules (ISO/IEC 18004, 6.3.8; from memory).
const QUIET: i32 = 4;

/// The picture, dark on light whatever the theme; `None` for more than any
/// code holds.
pub fn picture(text: &str, label: String) -> Option<El> {
    let code = QrCode::encode_text(text, QrCodeEcc::Low).ok()?;
    let size = code.size() + 2 * QUIET;
    Some(
        svg("svg")
            .at("class", "qr")
            .at("viewBox", format!("0 0 {size} {size}"))
            .at("role", "img")
            .at("shape-rendering", "crispEdges")
            .id("qr")
            .label(label)
            .put(
                svg("rect")
                    .at("width", size.to_string())
                    .at("height", size.to_string())
                    .at("fill", "#fff"),
            )
            .put(svg("path").at("d", path(&code)).at("fill", "#000")),
    )
}

/// Every run of dark modules in a row as one piece.
fn path(code: &QrCode) -> String {
    let mut d = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let begun = x;
            while code.get_module(x, y) {
                x += 1;
            }
            if x > begun {
                let (left, top) = (begun + QUIET, y + QUIET);
                d.push_str(&format!("M{left} {top}h{}v1h-{}z", x - begun, x - begun));
            }
            x += 1;
        }
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_picture_has_every_dark_module_and_no_other() {
        let code = QrCode::encode_text("https://192.168.0.7:8741/?come", QrCodeEcc::Low).unwrap();
        let mut dark = 0;
        for piece in path(&code).split('z').filter(|p| !p.is_empty()) {
            let run = piece.split(['h', 'v']).nth(1).unwrap();
            dark += run.parse::<i32>().unwrap();
        }
        let all = (0..code.size()).flat_map(|y| (0..code.size()).map(move |x| (x, y)));
        let expected = all.filter(|(x, y)| code.get_module(*x, *y)).count();
        assert_eq!(dark, i32::try_from(expected).unwrap());
    }

    #[test]
    fn a_whole_packet_fits_and_more_than_a_code_holds_is_no_picture() {
        let longest = ophryon_agreement::LONGEST_LINK + 100;
        assert!(QrCode::encode_text(&"a".repeat(longest), QrCodeEcc::Low).is_ok());
        assert!(QrCode::encode_text(&"a".repeat(3_000), QrCodeEcc::Low).is_err());
    }
}
