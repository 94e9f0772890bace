//! Why nothing was done: one sentence that names the file, the field and the
//! way out.

use std::io;
use std::path::{Path, PathBuf};

use ophryon_record::{LARGEST_FILE, ReadError};
use ophryon_stencil::{DxfError, PdfError};

use crate::serve::ServeError;

/// Everything that ends a task with exit code 2.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// The client's file can't be opened.
    #[error("{}: {}", file.display(), unreadable(source, "the file"))]
    Unreadable {
        /// As given.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A folder in place of a file.
    #[error("{}: this is a folder; name the client's file in it", file.display())]
    Folder {
        /// As given.
        file: PathBuf,
    },
    /// Not checked further because of its size.
    #[error("{}: this is larger than any client's file (at most {} MB); choose a file that Ophryon saved", file.display(), LARGEST_FILE / 1024 / 1024)]
    TooLarge {
        /// As given.
        file: PathBuf,
    },
    /// Bytes that are no text.
    #[error("{}: this is not JSON but something else than text (from byte {at} on); choose a file that Ophryon saved", file.display())]
    NotText {
        /// As given.
        file: PathBuf,
        /// Where the text ends.
        at: usize,
    },
    /// Text that is no client's file.
    #[error("{}: {source}", file.display())]
    Read {
        /// As given.
        file: PathBuf,
        /// Why.
        source: ReadError,
    },
    /// A field that can't be used together with the rest.
    #[error("{}: {field}: {sentence}", file.display())]
    Field {
        /// As given.
        file: PathBuf,
        /// Path of the field.
        field: String,
        /// What is wrong and the way out.
        sentence: String,
    },
    /// A table of points that can't be used.
    #[error("{}: {sentence}", file.display())]
    Table {
        /// As given.
        file: PathBuf,
        /// What is wrong and the way out.
        sentence: String,
    },
    /// A font that can't be used.
    #[error("{}: {sentence}", file.display())]
    Font {
        /// As given.
        file: PathBuf,
        /// What is wrong and the way out.
        sentence: String,
    },
    /// No output folder.
    #[error("{}: {}", folder.display(), unwritable(source))]
    NoFolder {
        /// As given.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// An output that would replace the input, or a folder.
    #[error("{}: {why}; choose another folder with --out", file.display())]
    InTheWay {
        /// The output.
        file: PathBuf,
        /// What is in the way.
        why: &'static str,
    },
    /// An output that can't be written.
    #[error("{}: {}", file.display(), unwritable(source))]
    Unwritable {
        /// The output.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Standard output is gone.
    #[error("the result can't be printed ({0}); send it to a file instead")]
    Print(io::Error),
    /// The file of printers can't be used.
    #[error("{}: {sentence}", file.display())]
    Printers {
        /// The file.
        file: PathBuf,
        /// What is wrong and the way out.
        sentence: String,
    },
    /// A backup that can't be made or used.
    #[error("{}: {sentence}", file.display())]
    Backup {
        /// The backup, or the client's file that it is about.
        file: PathBuf,
        /// What is wrong and the way out.
        sentence: String,
    },
    /// Photos that can't be used, a sentence each.
    #[error("{}", .0.join("\nophryon: "))]
    Photos(Vec<String>),
    /// Options that can't be used, or not together.
    #[error("{0}")]
    Options(String),
    /// No PDF can be made.
    #[error("{0}")]
    Pdf(#[from] PdfError),
    /// No DXF can be made.
    #[error("{0}")]
    Dxf(#[from] DxfError),
    /// The app can't be served.
    #[error("{0}")]
    Serve(#[from] ServeError),
}

impl Trouble {
    /// A table of points that can't be used, in words.
    pub fn table(file: &Path, sentence: String) -> Self {
        Self::Table {
            file: file.to_owned(),
            sentence,
        }
    }
}

/// A sentence for a file that can't be opened.
pub fn unreadable(error: &io::Error, what: &str) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => {
            format!("there is no such file; check the path to {what}")
        }
        io::ErrorKind::PermissionDenied => {
            format!("it may not be read; give yourself the right to read {what}")
        }
        _ => format!("it can't be read ({error}); try a copy of {what}"),
    }
}

fn unwritable(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            "it may not be written; choose another folder with --out".to_owned()
        }
        io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
            "there is a file of that name where a folder is needed; choose another folder with --out"
                .to_owned()
        }
        io::ErrorKind::StorageFull => {
            "there is no room left; make some or choose another folder with --out".to_owned()
        }
        _ => format!("it can't be written ({error}); choose another folder with --out"),
    }
}
