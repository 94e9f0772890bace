//! The letters of a PDF beyond those that the writer brings along, and a word on
//! those that nobody has. For every part that writes one.

use ophryon_stencil::{Sheet, scripts_needed};

use crate::device::files;

/// The fonts for scripts that the built-in letters lack; without those that
/// can't be fetched now, whose letters are then told to be missing.
pub async fn letters(sheets: &[&Sheet]) -> Vec<Vec<u8>> {
    let mut fonts = vec![];
    for script in scripts_needed(sheets) {
        let address = format!("fonts/{}", script.file_name());
        fonts.extend(files::fetch_bytes(&address).await);
    }
    fonts
}

/// A word on letters that a PDF shows as boxes.
pub fn boxes(missing: &[char]) -> Option<String> {
    if missing.is_empty() {
        return None;
    }
    let named: Vec<_> = missing.iter().map(|c| format!("“{c}”")).collect();
    Some(format!(
        "The PDF's letters hold no {}; an empty box stands there. Printed from here, the sheet shows them.",
        named.join(", ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_are_missing_are_named() {
        assert_eq!(boxes(&[]), None);
        let said = boxes(&['眉', 'あ']).unwrap_or_default();
        assert!(said.contains("“眉”, “あ”"), "{said}");
    }
}
