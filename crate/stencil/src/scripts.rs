//! Letters of the scripts that the built-in fonts don't hold: which font has
//! them. The fonts themselves lie in `fonts/scripts` beside this crate, 7 MB in
//! all; a shell brings along those that are needed and no others.

use std::collections::BTreeSet;

use crate::Sheet;

/// A font for scripts beyond Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew,
/// Arabic and Lao.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ScriptFont {
    /// Chinese, Japanese and Korean.
    EastAsian,
    /// Thai.
    Thai,
    /// Hindi, Marathi, Nepali.
    Devanagari,
    /// Bengali, Assamese.
    Bengali,
    /// Punjabi.
    Gurmukhi,
    /// Gujarati.
    Gujarati,
    /// Odia.
    Oriya,
    /// Tamil.
    Tamil,
    /// Telugu.
    Telugu,
    /// Kannada.
    Kannada,
    /// Malayalam.
    Malayalam,
    /// Sinhala.
    Sinhala,
    /// Khmer.
    Khmer,
    /// Burmese.
    Myanmar,
    /// Amharic, Tigrinya.
    Ethiopic,
    /// Dhivehi.
    Thaana,
}

impl ScriptFont {
    /// All of them.
    pub const ALL: [Self; 16] = [
        Self::EastAsian,
        Self::Thai,
        Self::Devanagari,
        Self::Bengali,
        Self::Gurmukhi,
        Self::Gujarati,
        Self::Oriya,
        Self::Tamil,
        Self::Telugu,
        Self::Kannada,
        Self::Malayalam,
        Self::Sinhala,
        Self::Khmer,
        Self::Myanmar,
        Self::Ethiopic,
        Self::Thaana,
    ];

    /// Name of its file.
    pub const fn file_name(self) -> &'static str {
        match self {
            Self::EastAsian => "wqy-microhei.ttc",
            Self::Thai => "NotoSansThai-Regular.ttf",
            Self::Devanagari => "NotoSansDevanagari-Regular.ttf",
            Self::Bengali => "NotoSansBengali-Regular.ttf",
            Self::Gurmukhi => "NotoSansGurmukhi-Regular.ttf",
            Self::Gujarati => "NotoSansGujarati-Regular.ttf",
            Self::Oriya => "NotoSansOriya-Regular.ttf",
            Self::Tamil => "NotoSansTamil-Regular.ttf",
            Self::Telugu => "NotoSansTelugu-Regular.ttf",
            Self::Kannada => "NotoSansKannada-Regular.ttf",
            Self::Malayalam => "NotoSansMalayalam-Regular.ttf",
            Self::Sinhala => "NotoSansSinhala-Regular.ttf",
            Self::Khmer => "NotoSansKhmer-Regular.ttf",
            Self::Myanmar => "NotoSansMyanmar-Regular.ttf",
            Self::Ethiopic => "NotoSansEthiopic-Regular.ttf",
            Self::Thaana => "NotoSansThaana-Regular.ttf",
        }
    }

    /// The font of that file name.
    pub fn from_file_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|font| font.file_name() == name)
    }

    /// By the blocks of the Unicode Standard (Blocks.txt).
    fn of(c: char) -> Option<Self> {
        Some(match u32::from(c) {
            0x0780..=0x07BF => Self::Thaana,
            0x0900..=0x097F | 0xA8E0..=0xA8FF => Self::Devanagari,
            0x0980..=0x09FF => Self::Bengali,
            0x0A00..=0x0A7F => Self::Gurmukhi,
            0x0A80..=0x0AFF => Self::Gujarati,
            0x0B00..=0x0B7F => Self::Oriya,
            0x0B80..=0x0BFF => Self::Tamil,
            0x0C00..=0x0C7F => Self::Telugu,
            0x0C80..=0x0CFF => Self::Kannada,
            0x0D00..=0x0D7F => Self::Malayalam,
            0x0D80..=0x0DFF => Self::Sinhala,
            0x0E00..=0x0E7F => Self::Thai,
            0x1000..=0x109F | 0xA9E0..=0xA9FF | 0xAA60..=0xAA7F => Self::Myanmar,
            0x1200..=0x139F | 0x2D80..=0x2DDF | 0xAB00..=0xAB2F => Self::Ethiopic,
            0x1780..=0x17FF | 0x19E0..=0x19FF => Self::Khmer,
            // From the radicals to the unified ideographs, Hangul, and what is
            // compatible with them or as broad as they are.
            0x1100..=0x11FF
            | 0x2E80..=0x9FFF
            | 0xAC00..=0xD7AF
            | 0xF900..=0xFAFF
            | 0xFF00..=0xFFEF => Self::EastAsian,
            _ => return None,
        })
    }

    /// The font itself, where it is built in.
    #[cfg(feature = "script-fonts")]
    pub const fn bytes(self) -> &'static [u8] {
        macro_rules! file {
            ($name:literal) => {
                include_bytes!(concat!("../fonts/scripts/", $name))
            };
        }
        match self {
            Self::EastAsian => file!("wqy-microhei.ttc"),
            Self::Thai => file!("NotoSansThai-Regular.ttf"),
            Self::Devanagari => file!("NotoSansDevanagari-Regular.ttf"),
            Self::Bengali => file!("NotoSansBengali-Regular.ttf"),
            Self::Gurmukhi => file!("NotoSansGurmukhi-Regular.ttf"),
            Self::Gujarati => file!("NotoSansGujarati-Regular.ttf"),
            Self::Oriya => file!("NotoSansOriya-Regular.ttf"),
            Self::Tamil => file!("NotoSansTamil-Regular.ttf"),
            Self::Telugu => file!("NotoSansTelugu-Regular.ttf"),
            Self::Kannada => file!("NotoSansKannada-Regular.ttf"),
            Self::Malayalam => file!("NotoSansMalayalam-Regular.ttf"),
            Self::Sinhala => file!("NotoSansSinhala-Regular.ttf"),
            Self::Khmer => file!("NotoSansKhmer-Regular.ttf"),
            Self::Myanmar => file!("NotoSansMyanmar-Regular.ttf"),
            Self::Ethiopic => file!("NotoSansEthiopic-Regular.ttf"),
            Self::Thaana => file!("NotoSansThaana-Regular.ttf"),
        }
    }
}

/// The fonts that a PDF of these sheets needs beside the built-in ones, always
/// in the same order.
pub fn scripts_needed(sheets: &[&Sheet]) -> Vec<ScriptFont> {
    let words = sheets.iter().flat_map(|sheet| sheet.words());
    let found: BTreeSet<_> = words
        .flat_map(str::chars)
        .filter_map(ScriptFont::of)
        .collect();
    found.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{example, lay_out};

    #[test]
    fn only_the_fonts_that_a_code_asks_for_are_needed() {
        let needed = |code: &str| {
            let mut content = example::content();
            content.caption.code = code.to_owned();
            scripts_needed(&[&lay_out(&content).unwrap()])
        };
        assert_eq!(needed("Žofie Ł."), []);
        assert_eq!(needed("王 K."), [ScriptFont::EastAsian]);
        assert_eq!(
            needed("देवी สมหญิง"),
            [ScriptFont::Thai, ScriptFont::Devanagari]
        );
    }

    #[cfg(feature = "script-fonts")]
    #[test]
    fn each_font_is_the_file_it_is_named_after() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fonts/scripts");
        for font in ScriptFont::ALL {
            let file = std::fs::read(folder.join(font.file_name())).unwrap();
            assert!(file == font.bytes(), "{}", font.file_name());
            assert_eq!(ScriptFont::from_file_name(font.file_name()), Some(font));
        }
    }
}
