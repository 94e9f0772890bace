//! An agreement on paper: as pages to print and as PDF. What is asked for
//! comes from the place Show; pages are laid out here.

use ophryon_record::FacePictures;
use ophryon_stencil::{Jpeg, Sheet, print_pages};

use super::letters;
use crate::device::{files, print as printer};
use crate::later::Work;
use crate::studio::Studio;
use crate::words::sentence;

/// Which agreement goes on paper, and how.
pub struct Wanted {
    /// By its place, from 0.
    pub index: usize,
    /// Her face before, drawn and healed, as JPEG files.
    pub face: Option<[Vec<u8>; 3]>,
    /// Printed at once, or saved as PDF.
    pub to: To,
}

/// Where it goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum To {
    /// The printer.
    Printer,
    /// A file.
    File,
}

/// What puts an agreement on paper.
pub type PutOnPaper = fn(Studio, Wanted) -> Work<Result<Option<String>, String>>;

/// Prints or saves it; a word where letters are missing, or why there is none.
pub fn agreement(studio: Studio, wanted: Wanted) -> Work<Result<Option<String>, String>> {
    Box::pin(made(studio, wanted))
}

async fn made(studio: Studio, wanted: Wanted) -> Result<Option<String>, String> {
    let record = studio.settled().ok_or("No client is open.")?;
    let paper = studio.settings.sheet.get_untracked().paper.for_lists();
    let pictures = wanted.face.and_then(|files| {
        let [before, drawn, healed] = files.map(Jpeg::read);
        Some(FacePictures {
            before: before?,
            drawn: drawn?,
            healed: healed?,
        })
    });
    let pages = record.agreement_papers(wanted.index, paper, pictures.as_ref());
    let pages: Vec<Sheet> = pages.map_err(|why| sentence(&why.to_string()))?;
    let pages: Vec<&Sheet> = pages.iter().collect();
    if wanted.to == To::Printer {
        printer::page(&print_pages(&pages))?;
        return Ok(None);
    }
    let press = studio.later.press.get().await?;
    let pdf = (press.pdf)(&pages, &letters::letters(&pages).await);
    let pdf = pdf.map_err(|why| sentence(&why))?;
    let name = file_name(&record.client.code, wanted.index);
    files::save_bytes(&name, "application/pdf", &pdf.bytes)?;
    Ok(letters::boxes(&pdf.missing))
}

/// "agreement-K--M---2.pdf".
fn file_name(code: &str, index: usize) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { '-' };
    let code: String = code.chars().take(40).map(plain).collect();
    format!("agreement-{code}-{}.pdf", index + 1)
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_code_makes_a_files_name() {
        assert_eq!(super::file_name("K. M./3", 1), "agreement-K--M--3-2.pdf");
    }
}
