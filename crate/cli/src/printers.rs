//! The user's file of printers: what a ruler read on each one's check page.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use ophryon_record::{Gauges, PrinterError, Printers};
use ophryon_stencil::Correction;

use crate::output;
use crate::trouble::Trouble;

/// The file of printers, read.
pub struct PrintersFile {
    /// Where it lies.
    pub file: PathBuf,
    kept: Printers,
}

impl PrintersFile {
    /// Reads `file`, or the user's own; a file that isn't there yet is empty.
    pub fn open(file: Option<&Path>) -> Result<Self, Trouble> {
        let file = match file {
            Some(file) => file.to_owned(),
            None => usual_file()?,
        };
        let trouble = |sentence: String| Trouble::Printers {
            file: file.clone(),
            sentence,
        };
        let kept = match fs::read_to_string(&file) {
            Ok(text) => Printers::from_json(&text).map_err(|why| trouble(unreadable(&why)))?,
            Err(error) if error.kind() == io::ErrorKind::NotFound => Printers::default(),
            Err(error) => {
                return Err(trouble(format!(
                    "it can't be read ({error}); choose another file with --printers"
                )));
            }
        };
        Ok(Self { file, kept })
    }

    /// The correction for a printer.
    pub fn correction(&self, name: &str) -> Result<Correction, Trouble> {
        self.kept.correction(name).map_err(|why| {
            let sentence = match why {
                PrinterError::NoSuchPrinter { .. } => format!(
                    "{why}; print a check page with `ophryon printer-check --out DIR` and \
                     measure it"
                ),
                why => format!("printer “{}”: {why}", name.trim()),
            };
            Trouble::Printers {
                file: self.file.clone(),
                sentence,
            }
        })
    }

    /// Keeps what was read, in place of what was kept for that name.
    pub fn keep(&mut self, name: &str, gauges: Gauges) -> Result<(), Trouble> {
        self.kept
            .keep(name, gauges)
            .map_err(|why| Trouble::Options(format!("--printer: {why}")))?;
        output::write_whole(&self.file, self.kept.to_json().as_bytes()).map_err(|why| {
            Trouble::Printers {
                file: self.file.clone(),
                sentence: format!(
                    "it can't be written ({why}); choose another file with --printers"
                ),
            }
        })
    }
}

fn unreadable(why: &PrinterError) -> String {
    let way_out = match why {
        PrinterError::NotPrinters { .. } => "choose another with --printers",
        PrinterError::Damaged { .. } => "mend it, or move it away and measure again",
        _ => return why.to_string(),
    };
    format!("{why}; {way_out}")
}

/// Beside the user's settings for other programs.
fn usual_file() -> Result<PathBuf, Trouble> {
    directories::ProjectDirs::from("", "", "ophryon")
        .map(|folders| folders.config_dir().join("printers.json"))
        .ok_or_else(|| {
            Trouble::Options(
                "this computer names no folder for your settings; say with --printers FILE where \
                 printers are kept"
                    .to_owned(),
            )
        })
}
