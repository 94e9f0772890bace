//! The pair of brows on paper at true size, and the distances a ruler must
//! read on skin.
//!
//! A [`SheetContent`] (outlines on the skin, a [`Caption`]) is laid out once
//! by [`lay_out`] into a [`Sheet`]: lines, outlines and words in the page
//! frame, mm. Writers only spell a sheet: [`write_svg`] as a drawing of exact
//! size, [`print_page`] as a page that a browser prints at exactly 1:1, and
//! `write_pdf` (feature `pdf`) as PDF that brings its letters along, `write_dxf`
//! (feature `dxf`) as polylines for cutters. So every format shows the same
//! drawing.
//!
//! How it is put on paper is one value, [`SheetOptions`]: which paper or label,
//! which sides, how many copies, which way it is laid on the skin.
//! [`most_copies`] says how many fit; what doesn't is a [`SheetError`] that
//! names the way out. Every copy is a strip that stands for itself once it is
//! cut out.
//!
//! [`distances()`] is the list to check with a ruler, as data;
//! [`lay_out_distances`] puts it on a sheet of its own.
//! [`lay_out_written`] puts words, facts and tables on as many pages as it takes.
//! [`lay_out_printer_check`] is the page that tells what a printer does to its
//! gauges; [`Sheet::corrected`] takes that out of any sheet.
//!
//! Nothing here reads a clock or a file: dates come in as text, the letters of
//! a PDF are part of the program or, for [scripts](scripts_needed) that those
//! lack, handed in, and words are broken into lines by a cautious
//! estimate of their width.

mod agreement;
mod caption;
mod causes;
mod check_page;
mod correction;
mod distances;
#[cfg(feature = "dxf")]
mod dxf;
mod edge;
#[cfg(test)]
mod example;
mod gauge;
mod grid;
mod heading;
mod jpeg;
mod large_page;
mod layout;
mod lettering;
mod list;
mod notes;
mod options;
mod page;
#[cfg(feature = "pdf")]
mod pdf;
mod print;
mod readings;
mod scripts;
mod sheet;
mod small_page;
mod strip;
mod svg;
mod written;

pub use agreement::{
    AgreementPage, DrawnPair, Field, Numbers, Paragraph, Pictured, Section, Shows, Signed, Tone,
    lay_out_agreement,
};
pub use caption::{Agreement, Caption, WrapSource};
pub use check_page::lay_out_printer_check;
pub use correction::{Axis, Correction, CorrectionError};
pub use distances::{
    Distance, DistanceId, DistanceKind, ListBasis, RULER_SD_MM, RULER_TICK_MM, distances,
};
#[cfg(feature = "dxf")]
pub use dxf::{CHORD_MM, DxfError, write_dxf};
pub use edge::CUT_MARGIN_MM;
pub use gauge::{GAUGE_MM, GaugeLengths};
pub use jpeg::Jpeg;
pub use layout::{Placing, SheetContent, SheetError, lay_out, most_copies};
pub use list::lay_out_distances;
pub use options::{Facing, SheetOptions, Sides};
pub use page::Paper;
#[cfg(feature = "pdf")]
pub use pdf::{Pdf, PdfError, write_pdf, write_pdf_with};
pub use print::{print_page, print_pages};
pub use readings::{
    Cause, CheckedDistance, LikelyCause, RulerCheck, RulerReading, RulerReadings, RulerVerdict,
    check_readings,
};
pub use scripts::{ScriptFont, scripts_needed};
pub use sheet::{Align, Group, Item, Mark, Sheet, Stroke, Weight};
pub use svg::write_svg;
pub use written::{Block, Written, lay_out_written};
