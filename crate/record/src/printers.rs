//! What a ruler read on each printer's check page: a list of the shop, not of
//! a client. The command line keeps it in a file of the user's, the app on the
//! device; both take their factors from here.
//!
//! ```json
//! {
//!   "schema": 1,
//!   "printers": { "studio": { "horizontal-mm": 97.3, "vertical-mm": 98.9 } }
//! }
//! ```

use std::collections::BTreeMap;

use ophryon_stencil::{Correction, CorrectionError, GAUGE_MM, GaugeLengths};
use serde::{Deserialize, Serialize};

/// The schema that is written.
const SCHEMA: u32 = 1;

/// Longest name of a printer, letters.
const LONGEST_NAME: usize = 60;

/// Printers by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Printers {
    schema: u32,
    printers: BTreeMap<String, Gauges>,
}

/// What 100 mm come out as, read with a ruler on an uncorrected check page.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Gauges {
    /// Across the page, mm.
    pub horizontal_mm: f64,
    /// Down the page, mm.
    pub vertical_mm: f64,
}

/// Only the schema, to tell a newer list from a damaged one.
#[derive(Deserialize)]
struct Schema {
    schema: u32,
}

/// Why a printer can't be kept or used; what was kept stays.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PrinterError {
    /// No name, or one that can't be seen.
    #[error("give the printer a name of letters that can be seen")]
    NoName,
    /// A name that fills a page.
    #[error("that name has more than {LONGEST_NAME} letters; give the printer a shorter one")]
    LongName,
    /// Nobody measured a printer of that name.
    #[error("there is no printer “{}”, {}", .name.escape_debug(), kept_are(.known))]
    NoSuchPrinter {
        /// As asked for.
        name: String,
        /// Those that there are.
        known: Vec<String>,
    },
    /// Readings that can't come from a printer.
    #[error("{0}")]
    Gauges(#[from] CorrectionError),
    /// A text that is no list of printers.
    #[error("this is no list of printers ({what})")]
    NotPrinters {
        /// What the reader stumbled over.
        what: String,
    },
    /// From a later version.
    #[error("this was made by a newer Ophryon (schema {found}); this one reads up to {SCHEMA}")]
    Newer {
        /// Its schema.
        found: u32,
    },
    /// The right schema, and something amiss.
    #[error("this is damaged ({what})")]
    Damaged {
        /// What the reader stumbled over.
        what: String,
    },
}

fn kept_are(names: &[String]) -> String {
    if names.is_empty() {
        return "no printer is kept yet".to_owned();
    }
    let names: Vec<_> = names.iter().map(|name| format!("“{name}”")).collect();
    format!("kept are {}", names.join(", "))
}

impl Default for Printers {
    fn default() -> Self {
        Self {
            schema: SCHEMA,
            printers: BTreeMap::new(),
        }
    }
}

impl Printers {
    /// Reads the list.
    ///
    /// # Errors
    /// A newer schema, a damaged list, or no list at all.
    pub fn from_json(text: &str) -> Result<Self, PrinterError> {
        let Schema { schema } =
            serde_json::from_str(text).map_err(|why| PrinterError::NotPrinters {
                what: why.to_string(),
            })?;
        if schema > SCHEMA {
            return Err(PrinterError::Newer { found: schema });
        }
        serde_json::from_str(text).map_err(|why| PrinterError::Damaged {
            what: why.to_string(),
        })
    }

    /// Writes it; ends with a line break.
    pub fn to_json(&self) -> String {
        crate::json::of_printers(self)
    }

    /// The names, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.printers.keys().map(String::as_str)
    }

    /// What was read on that printer's check page.
    pub fn gauges(&self, name: &str) -> Option<Gauges> {
        self.printers.get(name.trim()).copied()
    }

    /// What takes that printer's error out of a sheet.
    ///
    /// # Errors
    /// A name that isn't kept; kept readings that no printer makes.
    pub fn correction(&self, name: &str) -> Result<Correction, PrinterError> {
        let gauges = self
            .gauges(name)
            .ok_or_else(|| PrinterError::NoSuchPrinter {
                name: name.trim().to_owned(),
                known: self.names().map(str::to_owned).collect(),
            })?;
        Ok(gauges.correction()?)
    }

    /// Keeps what was read, in place of what was kept for that name; hands
    /// back the name as it is kept.
    ///
    /// # Errors
    /// A name that can't be used, readings that no printer makes.
    pub fn keep(&mut self, name: &str, gauges: Gauges) -> Result<String, PrinterError> {
        let name = name.trim();
        if name.is_empty() || name.chars().any(char::is_control) {
            return Err(PrinterError::NoName);
        }
        if name.chars().count() > LONGEST_NAME {
            return Err(PrinterError::LongName);
        }
        gauges.correction()?;
        self.printers.insert(name.to_owned(), gauges);
        Ok(name.to_owned())
    }

    /// Forgets a printer; hands back what was read, so that it can be kept
    /// again.
    pub fn forget(&mut self, name: &str) -> Option<Gauges> {
        self.printers.remove(name.trim())
    }
}

impl Gauges {
    /// From what a ruler read on a check page whose gauges are so long.
    ///
    /// # Errors
    /// Readings that no printer makes.
    pub fn read(
        drawn: GaugeLengths,
        horizontal_mm: f64,
        vertical_mm: f64,
    ) -> Result<Self, CorrectionError> {
        Correction::from_readings(drawn, horizontal_mm, vertical_mm)?;
        Ok(Self {
            horizontal_mm: horizontal_mm / (drawn.across_mm / GAUGE_MM),
            vertical_mm: vertical_mm / (drawn.down_mm / GAUGE_MM),
        })
    }

    /// The factors that bring both gauges to 100 mm.
    ///
    /// # Errors
    /// Readings that no printer makes.
    pub fn correction(self) -> Result<Correction, CorrectionError> {
        Correction::from_gauges(self.horizontal_mm, self.vertical_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STUDIO: Gauges = Gauges {
        horizontal_mm: 97.3,
        vertical_mm: 98.9,
    };

    #[test]
    fn a_printer_comes_back_as_it_was_kept_and_can_be_forgotten_and_kept_again() {
        let mut printers = Printers::default();
        assert_eq!(printers.keep(" studio ", STUDIO).unwrap(), "studio");
        let read = Printers::from_json(&printers.to_json()).unwrap();
        assert_eq!(read, printers);
        // 100 / 97.3 and 100 / 98.9, by hand.
        let factors = read.correction("studio").unwrap();
        assert!((factors.x() - 1.027_749).abs() < 1e-6 && (factors.y() - 1.011_122).abs() < 1e-6);
        let gauges = printers.forget("studio").unwrap();
        let said = printers.correction("studio").unwrap_err().to_string();
        assert_eq!(said, "there is no printer “studio”, no printer is kept yet");
        printers.keep("studio", gauges).unwrap();
        assert_eq!(read, printers);
    }

    #[test]
    fn what_can_not_be_kept_is_refused_and_leaves_the_rest() {
        let mut printers = Printers::default();
        printers.keep("studio", STUDIO).unwrap();
        let before = printers.clone();
        let zero = Gauges {
            vertical_mm: 0.0,
            ..STUDIO
        };
        for (name, gauges, part) in [
            (" ", STUDIO, "give the printer a name"),
            ("a\u{7}b", STUDIO, "give the printer a name"),
            (&"W".repeat(61), STUDIO, "more than 60 letters"),
            ("studio", zero, "the vertical gauge can't read 0 mm"),
        ] {
            let said = printers.keep(name, gauges).unwrap_err().to_string();
            assert!(said.contains(part), "{said}");
        }
        assert_eq!(printers, before);
        let said = printers.correction("loft").unwrap_err().to_string();
        assert_eq!(said, "there is no printer “loft”, kept are “studio”");
    }

    /// On a label there is room for shorter gauges only.
    #[test]
    fn short_gauges_tell_the_same_of_a_printer() {
        let drawn = GaugeLengths {
            across_mm: 50.0,
            down_mm: 80.0,
        };
        let found = Gauges::read(drawn, 49.0, 80.8).unwrap();
        assert!((found.horizontal_mm - 98.0).abs() < 1e-9);
        assert!((found.vertical_mm - 101.0).abs() < 1e-9);
        let said = Gauges::read(drawn, 98.0, 80.8).unwrap_err().to_string();
        assert!(said.contains("of 50 mm reads 98"), "{said}");
    }

    #[test]
    fn a_text_that_is_no_list_says_what_it_is() {
        for (text, part) in [
            ("", "no list of printers"),
            ("dear diary", "no list of printers"),
            (
                "{\"schema\": 9, \"presses\": []}",
                "newer Ophryon (schema 9)",
            ),
            ("{\"schema\": 1, \"printers\": 3}", "damaged"),
        ] {
            let said = Printers::from_json(text).unwrap_err().to_string();
            assert!(said.contains(part), "{said}");
        }
    }
}
