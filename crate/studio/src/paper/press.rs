//! PDF and DXF. Heavy, because a PDF brings its letters along: a part of its
//! own, fetched when the first such file is saved.

use ophryon_stencil::{Sheet, write_dxf, write_pdf_with};

/// What writes such files.
#[derive(Clone, Copy)]
pub struct Press {
    /// Writes PDF.
    pub pdf: WritePdf,
    /// A stencil of true size for cutters; a sentence where that can't be.
    pub dxf: fn(&Sheet) -> Result<String, String>,
}

/// These sheets as one PDF, with these fonts beside the built-in letters; a
/// sentence where that can't be.
pub type WritePdf = fn(&[&Sheet], &[Vec<u8>]) -> Result<Written, String>;

/// A PDF.
pub struct Written {
    /// The file.
    pub bytes: Vec<u8>,
    /// Letters that no font holds; an empty box stands in place of each.
    pub missing: Vec<char>,
}

/// The press.
pub const PRESS: Press = Press {
    pdf: |sheets, fonts| {
        let fonts: Vec<_> = fonts.iter().map(Vec::as_slice).collect();
        let pdf = write_pdf_with(sheets, &fonts).map_err(|why| why.to_string())?;
        Ok(Written {
            bytes: pdf.bytes,
            missing: pdf.missing,
        })
    },
    dxf: |sheet| write_dxf(sheet).map_err(|why| why.to_string()),
};
