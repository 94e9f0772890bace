//! Results: printed at once, or written so that no half-written file is left.

use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;

use crate::trouble::Trouble;

/// Prints a finished text. A reader that has seen enough (`| head`) is fine.
pub fn print(text: &str) -> Result<(), Trouble> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Trouble::Print(error)),
        _ => Ok(()),
    }
}

/// Writes all files of one result into `folder`, which is made if it isn't
/// there: each under another name first, then all put in place. `input` is
/// never replaced.
pub fn write_all(folder: &Path, input: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Trouble> {
    fs::create_dir_all(folder).map_err(|source| Trouble::NoFolder {
        folder: folder.to_owned(),
        source,
    })?;
    let mut waiting = Vec::with_capacity(files.len());
    for (name, bytes) in files {
        let file = folder.join(name);
        if file.is_dir() {
            let why = "there is a folder of that name";
            return Err(Trouble::InTheWay { file, why });
        }
        if same_file(&file, input) {
            let why = "this is the client's file itself";
            return Err(Trouble::InTheWay { file, why });
        }
        match write_aside(folder, bytes) {
            Ok(aside) => waiting.push((aside, file)),
            Err(source) => return Err(Trouble::Unwritable { file, source }),
        }
    }
    for (aside, file) in waiting {
        aside.persist(&file).map_err(|error| Trouble::Unwritable {
            file,
            source: error.error,
        })?;
    }
    Ok(())
}

/// A file is written over only when that was asked for; `option` is the one
/// that names it.
pub fn may_write(out: &Path, option: &str, replace: bool) -> Result<(), Trouble> {
    if out.is_dir() {
        return Err(Trouble::Options(format!(
            "{}: this is a folder; name a file in it with {option}",
            out.display()
        )));
    }
    if out.exists() && !replace {
        return Err(Trouble::Options(format!(
            "{}: there is a file of that name; choose another with {option}, or add --replace to write over it",
            out.display()
        )));
    }
    Ok(())
}

/// Writes one file, all of it or nothing, and its folder if it isn't there.
pub fn write_whole(file: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = folder_of(file);
    fs::create_dir_all(folder)?;
    let aside = write_aside(folder, bytes)?;
    aside.persist(file).map_err(|error| error.error)?;
    Ok(())
}

/// Why a file was not written.
pub enum ThroughError<E> {
    /// It can't be.
    Io(io::Error),
    /// What was to be written can't be made.
    Other(E),
}

/// Writes one file that is too large for memory, all of it or nothing, and its
/// folder if it isn't there.
pub fn write_through<T, E>(
    file: &Path,
    write: impl FnOnce(&mut fs::File) -> Result<T, E>,
) -> Result<T, ThroughError<E>> {
    let folder = folder_of(file);
    fs::create_dir_all(folder).map_err(ThroughError::Io)?;
    let mut aside = aside(folder).map_err(ThroughError::Io)?;
    let done = write(aside.as_file_mut()).map_err(ThroughError::Other)?;
    aside.as_file().sync_all().map_err(ThroughError::Io)?;
    aside
        .persist(file)
        .map_err(|error| ThroughError::Io(error.error))?;
    Ok(done)
}

fn folder_of(file: &Path) -> &Path {
    match file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Removed again on drop unless it is put in place.
fn write_aside(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut aside = aside(folder)?;
    aside.write_all(bytes)?;
    aside.as_file().sync_all()?;
    Ok(aside)
}

fn aside(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".ophryon-");
    let permissions = readable_by_all();
    if let Some(permissions) = permissions {
        builder.permissions(permissions);
    }
    builder.tempfile_in(folder)
}

/// The permissions any new file has (less the user's mask); temporary files
/// would be closed to everybody else.
#[cfg(unix)]
fn readable_by_all() -> Option<Permissions> {
    use std::os::unix::fs::PermissionsExt;
    Some(Permissions::from_mode(0o666))
}

#[cfg(not(unix))]
fn readable_by_all() -> Option<Permissions> {
    None
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
