//! What there is to print of the shape as it is, with the printer's error
//! taken out.

use std::rc::Rc;

use ophryon_record::{PaperError, Papers};
use ophryon_stencil::{Correction, Paper, Sheet, SheetOptions, lay_out_printer_check};

use super::shelf::shelf;
use crate::device::clock;
use crate::markup::glance;
use crate::studio::Studio;

/// The papers of the shape, or why there are none; nothing while there is no
/// shape.
pub type Made = Option<Result<Rc<Papers>, PaperError>>;

fn uncorrected(studio: Studio, options: &SheetOptions) -> Option<Result<Papers, PaperError>> {
    let record = studio.record()?;
    studio.of_shape(|drawn| record.papers_made(drawn, options, clock::today()))
}

/// The papers with these options, for the printer in use.
pub fn with(studio: Studio, options: &SheetOptions) -> Made {
    let corrected =
        uncorrected(studio, options)?.and_then(|papers| match correction(options.paper) {
            Some((correction, name)) => papers.corrected(correction, &name),
            None => Ok(papers),
        });
    Some(corrected.map(Rc::new))
}

/// The papers with the options of this device.
pub fn made(studio: Studio) -> Made {
    with(studio, &studio.settings.sheet.get())
}

/// The papers as they are at this moment.
pub fn now(studio: Studio) -> Option<Rc<Papers>> {
    glance(|| made(studio))?.ok()
}

/// The same for no printer in particular.
pub fn uncorrected_now(studio: Studio) -> Option<Papers> {
    glance(|| uncorrected(studio, &studio.settings.sheet.get()))?.ok()
}

/// What the printer in use needs.
fn correction(paper: Paper) -> Option<(Correction, String)> {
    let name = shelf().chosen(paper)?;
    Some((shelf().correction(&name).ok()?, name))
}

/// The check page, corrected for a printer or for none.
pub fn check_page(studio: Studio, printer: Option<&str>) -> Sheet {
    let page = lay_out_printer_check(studio.settings.sheet.get().paper);
    let correction = printer.and_then(|name| Some((shelf().correction(name).ok()?, name)));
    match correction {
        // A check page has room for every correction that can be kept.
        Some((correction, name)) => page.corrected(correction, name).unwrap_or(page),
        None => page,
    }
}
