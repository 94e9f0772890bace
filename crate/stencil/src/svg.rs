//! A sheet as SVG of exact size.

use crate::Sheet;

/// The sheet as SVG.
pub fn write_svg(sheet: &Sheet) -> String {
    let _ = sheet;
    String::new()
}
