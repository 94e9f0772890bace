//! Opening a client's file: read, understood, its photos looked at.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use ophryon_record::{LARGEST_FILE, PaperError, Record, Report, ShapeSource, StudyError};
use ophryon_stencil::SheetError;

use crate::output;
use crate::photo;
use crate::trouble::Trouble;

/// A client's file that is sound, with its place.
pub struct ClientFile {
    /// As given on the command line.
    pub path: PathBuf,
    /// What it holds.
    pub record: Record,
}

impl ClientFile {
    /// Reads a client's file and looks at its photos.
    pub fn open(path: &Path) -> Result<Self, Trouble> {
        let file = || path.to_owned();
        let record = record(path)?;
        let beside = path.parent().unwrap_or(Path::new(""));
        for (i, one) in record.photos.iter().enumerate() {
            photo::check(one, beside).map_err(|(field, sentence)| Trouble::Field {
                file: file(),
                field: format!("photos[{i}].{field}"),
                sentence,
            })?;
        }
        Ok(Self {
            path: file(),
            record,
        })
    }

    /// Writes a changed record as a file of its own, whole or not at all.
    pub fn write_changed(&self, changed: &Record, out: &Path) -> Result<(), Trouble> {
        let text = changed.to_json().map_err(|source| Trouble::Read {
            file: self.path.clone(),
            source,
        })?;
        output::write_whole(out, text.as_bytes()).map_err(|source| Trouble::Unwritable {
            file: out.to_owned(),
            source,
        })
    }

    /// The report of its shape.
    pub fn report(&self) -> Result<Report, Trouble> {
        self.record.report().map_err(|why| self.study_trouble(&why))
    }

    /// A study error as a sentence about this file.
    pub fn study_trouble(&self, why: &StudyError) -> Trouble {
        Trouble::Field {
            file: self.path.clone(),
            field: why.field(&self.record),
            sentence: why.to_string(),
        }
    }

    /// A paper error as a sentence about this file, or about what was asked for.
    pub fn paper_trouble(&self, why: &PaperError) -> Trouble {
        match why {
            PaperError::Study(why) => self.study_trouble(why),
            PaperError::Sheet(why @ SheetError::NoOutline { .. }) => Trouble::Field {
                file: self.path.clone(),
                field: "pair".to_owned(),
                sentence: why.to_string(),
            },
            other => Trouble::Options(other.to_string()),
        }
    }
}

/// Reads a client's file, wherever its photos are.
pub fn record(path: &Path) -> Result<Record, Trouble> {
    let text = read(path)?;
    Record::from_json(&text).map_err(|source| Trouble::Read {
        file: path.to_owned(),
        source,
    })
}

fn read(path: &Path) -> Result<String, Trouble> {
    let file = || path.to_owned();
    let unreadable = |source| Trouble::Unreadable {
        file: file(),
        source,
    };
    if fs::metadata(path).map_err(unreadable)?.is_dir() {
        return Err(Trouble::Folder { file: file() });
    }
    // One byte more than is allowed tells a too large file without reading it all.
    let most = LARGEST_FILE as u64 + 1;
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|f| f.take(most).read_to_end(&mut bytes))
        .map_err(unreadable)?;
    if bytes.len() > LARGEST_FILE {
        return Err(Trouble::TooLarge { file: file() });
    }
    String::from_utf8(bytes).map_err(|error| Trouble::NotText {
        file: file(),
        at: error.utf8_error().valid_up_to(),
    })
}

/// One line on whose shape it is, and one if it is only proposed.
pub fn heading(report: &Report) -> String {
    let head = &report.head;
    let agreed = if head.agreed { "agreed" } else { "NOT AGREED" };
    let mut text = format!(
        "Client {}, version {}, fingerprint {}, {agreed}\n{}\n",
        head.code, head.version, head.fingerprint, head.agreement
    );
    if head.source == ShapeSource::Proposal {
        text.push_str(
            "The file holds no shape yet: this is the proposal from the mapping rules.\n",
        );
    }
    text
}
