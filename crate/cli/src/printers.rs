//! What a ruler read on each printer's check page, kept in a small JSON file.
//!
//! ```json
//! {
//!   "schema": 1,
//!   "printers": { "studio": { "horizontal-mm": 97.3, "vertical-mm": 98.9 } }
//! }
//! ```

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use ophryon_stencil::Correction;
use serde::{Deserialize, Serialize};

use crate::output;
use crate::trouble::Trouble;

/// The schema that is written.
const SCHEMA: u32 = 1;

/// Longest name of a printer, letters.
const LONGEST_NAME: usize = 60;

/// The file of printers, read.
pub struct Printers {
    /// Where it lies.
    pub file: PathBuf,
    kept: Kept,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    schema: u32,
    printers: BTreeMap<String, Readings>,
}

/// What a ruler read on an uncorrected check page.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Readings {
    /// Across the page, mm.
    pub horizontal_mm: f64,
    /// Down the page, mm.
    pub vertical_mm: f64,
}

/// Only the schema, to tell a newer file from a damaged one.
#[derive(Deserialize)]
struct Schema {
    schema: u32,
}

impl Printers {
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
            Ok(text) => read(&text).map_err(trouble)?,
            Err(error) if error.kind() == io::ErrorKind::NotFound => Kept {
                schema: SCHEMA,
                printers: BTreeMap::new(),
            },
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
        let trouble = |sentence: String| Trouble::Printers {
            file: self.file.clone(),
            sentence,
        };
        let Some(read) = self.kept.printers.get(name.trim()) else {
            let known: Vec<_> = self
                .kept
                .printers
                .keys()
                .map(|k| format!("“{k}”"))
                .collect();
            let known = if known.is_empty() {
                "no printer is kept yet".to_owned()
            } else {
                format!("kept are {}", known.join(", "))
            };
            return Err(trouble(format!(
                "there is no printer “{}”, {known}; print a check page with `ophryon \
                 printer-check --out DIR` and measure it",
                name.trim().escape_debug()
            )));
        };
        Correction::from_gauges(read.horizontal_mm, read.vertical_mm)
            .map_err(|why| trouble(format!("printer “{name}”: {why}")))
    }

    /// Keeps what was read, in place of what was kept for that name.
    pub fn keep(&mut self, name: &str, read: Readings) -> Result<(), Trouble> {
        let name = name.trim();
        if name.is_empty() || name.chars().any(char::is_control) {
            return Err(Trouble::Options(
                "--printer: give the printer a name of letters that can be seen".to_owned(),
            ));
        }
        if name.chars().count() > LONGEST_NAME {
            return Err(Trouble::Options(format!(
                "--printer: that name has more than {LONGEST_NAME} letters; give it a shorter one"
            )));
        }
        self.kept.printers.insert(name.to_owned(), read);
        let trouble = |why: &dyn std::fmt::Display| Trouble::Printers {
            file: self.file.clone(),
            sentence: format!("it can't be written ({why}); choose another file with --printers"),
        };
        let mut text = serde_json::to_string_pretty(&self.kept).map_err(|why| trouble(&why))?;
        text.push('\n');
        output::write_whole(&self.file, text.as_bytes()).map_err(|why| trouble(&why))
    }
}

fn read(text: &str) -> Result<Kept, String> {
    let Schema { schema } = serde_json::from_str(text).map_err(|why| {
        format!("this is no file of printers ({why}); choose another with --printers")
    })?;
    if schema > SCHEMA {
        return Err(format!(
            "this was made by a newer Ophryon (schema {schema}); this one reads up to {SCHEMA}"
        ));
    }
    serde_json::from_str(text).map_err(|why| {
        format!("this is damaged ({why}); mend it, or move it away and measure again")
    })
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
