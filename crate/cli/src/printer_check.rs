//! `ophryon printer-check`: what a printer does to 100 mm, measured once and
//! then taken out of every sheet.

use std::path::{Path, PathBuf};

use ophryon_record::Gauges;
use ophryon_stencil::{CorrectionError, Paper, lay_out_printer_check, write_svg};

use crate::Outcome;
use crate::output;
use crate::paper::{Fonts, missing_letters, paper};
use crate::printers::PrintersFile;
use crate::trouble::Trouble;

/// What `ophryon printer-check` can be told.
#[derive(Debug, clap::Args)]
pub struct PrinterCheckOptions {
    /// Folder for printer-check.svg and printer-check.pdf; made if it isn't
    /// there. With --printer the page is corrected, to see that it helps
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Paper or label to lay it out for, or that was measured: on small ones
    /// the gauges are shorter
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = paper())]
    paper: Paper,
    /// Name of the printer
    #[arg(long, value_name = "NAME")]
    printer: Option<String>,
    /// What a ruler read on the horizontal gauge of an uncorrected page, mm
    #[arg(long, value_name = "MM", value_parser = millimetres, allow_hyphen_values = true)]
    #[arg(requires = "vertical", requires = "printer")]
    horizontal: Option<f64>,
    /// What it read on the vertical gauge, mm
    #[arg(long, value_name = "MM", value_parser = millimetres, allow_hyphen_values = true)]
    #[arg(requires = "horizontal", requires = "printer")]
    vertical: Option<f64>,
    /// Keep readings more than 3 % off: "fit to page" was surely off
    #[arg(long, requires = "horizontal")]
    fit_to_page_was_off: bool,
    /// File of printers; without it the one beside the user's settings
    #[arg(long, value_name = "FILE", requires = "printer")]
    printers: Option<PathBuf>,
}

/// Writes the check page, keeps readings, or says what is kept.
pub fn run(options: &PrinterCheckOptions) -> Result<Outcome, Trouble> {
    let mut page = lay_out_printer_check(options.paper);
    let drawn = page.gauges().unwrap_or_default();
    let mut text = String::new();
    let mut correction = None;
    if let Some(name) = &options.printer {
        let mut printers = PrintersFile::open(options.printers.as_deref())?;
        if let (Some(horizontal_mm), Some(vertical_mm)) = (options.horizontal, options.vertical) {
            let refused = |why: CorrectionError| Trouble::Options(why.to_string());
            let gauges = Gauges::read(drawn, horizontal_mm, vertical_mm).map_err(refused)?;
            let found = gauges.correction().map_err(refused)?;
            if let Some(question) = found.question().filter(|_| !options.fit_to_page_was_off) {
                return Err(Trouble::Options(format!(
                    "{question}; if it was off, add --fit-to-page-was-off and the readings are \
                     kept"
                )));
            }
            printers.keep(name, gauges)?;
            text.push_str(&format!(
                "Kept in {}; use it with `ophryon sheet FILE --out DIR --printer NAME`.\n",
                printers.file.display()
            ));
        }
        let found = printers.correction(name)?;
        text.push_str(&format!(
            "Printer “{}”: sheets are drawn at {}.\n",
            name.trim(),
            found.in_words()
        ));
        correction = Some((found, name));
    }
    match (&options.out, &correction) {
        (Some(folder), _) => {
            let mut then =
                "give both readings with --printer NAME --horizontal MM --vertical MM".to_owned();
            if options.paper != Paper::default() {
                then = format!("{then} --paper {}", options.paper.id());
            }
            if let Some((correction, name)) = &correction {
                page = page
                    .corrected(*correction, name)
                    .map_err(|why| Trouble::Options(why.to_string()))?;
                then = format!("{}, for the page is corrected", drawn.in_words());
            }
            // A printer's name can be in any script.
            let pdf = Fonts::open(&[])?.pdf(&[&page])?;
            let files = [
                (
                    "printer-check.svg".to_owned(),
                    write_svg(&page).into_bytes(),
                ),
                ("printer-check.pdf".to_owned(), pdf.bytes),
            ];
            // Nothing was read that could be replaced.
            output::write_all(folder, Path::new(""), &files)?;
            text.push_str(&missing_letters(&pdf.missing));
            text.push_str(&format!(
                "Written: {} and printer-check.pdf, for {} paper; print one at 100 %, measure \
                 both gauges: {then}.\n",
                folder.join("printer-check.svg").display(),
                options.paper.name()
            ));
        }
        (None, None) => {
            return Err(Trouble::Options(
                "say what to do: --out DIR writes the check page; --printer NAME --horizontal MM \
                 --vertical MM keeps what a ruler read on it"
                    .to_owned(),
            ));
        }
        (None, Some(_)) => {}
    }
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// A number, with a decimal point or comma.
fn millimetres(text: &str) -> Result<f64, String> {
    text.trim()
        .replace(',', ".")
        .parse()
        .map_err(|_| "this is no number of mm, such as 97.3".to_owned())
}
