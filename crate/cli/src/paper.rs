//! What all tasks that write pages share: papers as they are typed, and PDF in
//! letters of any script.

use std::fs;
use std::path::{Path, PathBuf};

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use ophryon_stencil::{Paper, Pdf, PdfError, Sheet, scripts_needed, write_pdf_with};

use crate::trouble::Trouble;

/// Largest font file that is read: those of all Chinese letters have 20 MB.
const LARGEST_FONT: u64 = 64 * 1024 * 1024;

/// A paper by its id: "a4".
pub fn paper() -> impl TypedValueParser<Value = Paper> {
    let known = Paper::ALL.map(|paper| PossibleValue::new(paper.id()).help(paper.about()));
    // Whatever the parser lets through is one of them.
    PossibleValuesParser::new(known).map(|id| Paper::from_id(&id).unwrap_or_default())
}

/// Fonts that the user named.
pub struct Fonts(Vec<(PathBuf, Vec<u8>)>);

impl Fonts {
    /// Reads them.
    pub fn open(files: &[PathBuf]) -> Result<Self, Trouble> {
        let fonts = files.iter().map(|file| Ok((file.clone(), read(file)?)));
        fonts.collect::<Result<_, Trouble>>().map(Self)
    }

    /// These sheets as one PDF: in the built-in letters, then in those of the
    /// named fonts, then in those that come along for other scripts.
    pub fn pdf(&self, sheets: &[&Sheet]) -> Result<Pdf, Trouble> {
        let mut fonts: Vec<&[u8]> = self.0.iter().map(|(_, bytes)| bytes.as_slice()).collect();
        for script in scripts_needed(sheets) {
            fonts.push(script.bytes());
        }
        write_pdf_with(sheets, &fonts).map_err(|why| match why {
            PdfError::Font { number } if number < self.0.len() => Trouble::Font {
                file: self.0[number].0.clone(),
                sentence: "this is no TrueType or OpenType font; choose another with --font"
                    .to_owned(),
            },
            why => Trouble::Pdf(why),
        })
    }
}

fn read(file: &Path) -> Result<Vec<u8>, Trouble> {
    let trouble = |sentence: String| Trouble::Font {
        file: file.to_owned(),
        sentence,
    };
    let unreadable = |source| Trouble::Unreadable {
        file: file.to_owned(),
        source,
    };
    let found = fs::metadata(file).map_err(unreadable)?;
    if found.is_dir() {
        return Err(trouble(
            "this is a folder; name the font's file in it".to_owned(),
        ));
    }
    if found.len() > LARGEST_FONT {
        return Err(trouble(
            "this is larger than any font; choose another with --font".to_owned(),
        ));
    }
    fs::read(file).map_err(unreadable)
}

/// A line on letters that the PDF shows as boxes; nothing where there are none.
pub fn missing_letters(missing: &[char]) -> String {
    if missing.is_empty() {
        return String::new();
    }
    let named: Vec<_> = missing.iter().map(|c| format!("“{c}”")).collect();
    format!(
        "Mind: no font at hand holds {}; an empty box stands there in the PDF. Name a font that \
         has it with --font FILE. The SVG shows what the computer has.\n",
        named.join(", ")
    )
}
