//! Opening a chosen file as a backup and comparing it with what is here.

use std::collections::BTreeMap;
use std::io;

use ophryon_archive::{
    Backup, BackupWriter, Fault, LockError, Made, OpenError, Passphrase, Present, Preview,
    ReaderAt, Standing, Unlocked, is_locked,
};
use ophryon_record::{Image, Record};
use web_sys::File;

use super::changes;
use super::source::Source;
use crate::device::files;
use crate::device::store::Store;
use crate::safe::progress::{Progress, rest};
use crate::studio::Studio;
use crate::words;

/// A file that was opened as a backup, and how it stands to what is here.
pub struct Compared {
    /// The file's name.
    pub name: String,
    /// When it was made, as it says.
    pub made: Option<String>,
    /// Each client of it beside the one that is here.
    pub preview: Preview,
    /// What of it can't be read, a sentence each; every photo was tried.
    pub faults: Vec<String>,
    /// What differs of clients who are other here, in words, by their place in
    /// the backup.
    pub differs: BTreeMap<usize, String>,
    /// The file itself.
    pub(super) backup: Backup<Reader>,
    /// Keys of the clients here, as the preview counts them.
    pub(super) here: Vec<String>,
}

/// Where a chosen file's bytes come from.
pub(super) enum Reader {
    Plain(Source),
    Locked(Unlocked<Source>),
}

impl ReaderAt for Reader {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        match self {
            Self::Plain(source) => source.read_at(buffer, offset),
            Self::Locked(unlocked) => unlocked.read_at(buffer, offset),
        }
    }
}

/// Why a chosen file isn't open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shut {
    /// It wants a passphrase; where one was given, it was the wrong one.
    Locked(Option<String>),
    /// A sentence.
    Not(String),
    /// It was stopped.
    Stopped,
}

impl From<String> for Shut {
    fn from(why: String) -> Self {
        Self::Not(why)
    }
}

/// Opens a chosen file and compares it with the clients here. Nothing is
/// changed.
///
/// # Errors
/// [`Shut`].
pub async fn compare(
    studio: Studio,
    file: &File,
    passphrase: Option<Passphrase>,
    progress: Progress,
) -> Result<Compared, Shut> {
    let name = file.name();
    progress.at("Reading the file", None);
    let reading = studio.later.files.get().await?;
    let reader = reader(file, passphrase, progress).await?;
    let told = |why: &str| Shut::Not(format!("“{name}”: {}", words::sentence(why)));
    let (reader, length, is_cut_off) = match reader {
        Reader::Plain(source) => {
            let source = match source.begins().trim_ascii_start().first() {
                Some(b'{') => single(file, reading.read).await.map_err(|e| told(&e))?,
                _ => source,
            };
            let length = source.length();
            (Reader::Plain(source), length, false)
        }
        Reader::Locked(unlocked) => {
            let (length, is_whole) = (unlocked.length(), unlocked.is_whole());
            (Reader::Locked(unlocked), length, !is_whole)
        }
    };
    rest().await;
    let backup = Backup::open(reader, length).map_err(|e| told(&why(&e)))?;
    let store = studio.keeper.store().await?;
    let (present, here) = present(&store, reading.read, progress).await?;
    let mut comparing = backup.comparing(&present);
    let (mut done, all) = (0, backup.count());
    while comparing.step() {
        done += 1;
        progress.at("Comparing with what is here", Some((done, all)));
        progress.breathe().await;
        if progress.is_stopped() {
            return Err(Shut::Stopped);
        }
    }
    let preview = comparing.preview();
    let mut faults: Vec<Fault> = backup.faults();
    if is_cut_off {
        faults.insert(0, Fault::LockCutOff);
    }
    faults.extend(preview.faults.iter().cloned());
    let mut differs = BTreeMap::new();
    for client in 0..all {
        progress.at("Trying whether everything can be read", Some((client, all)));
        progress.breathe().await;
        if progress.is_stopped() {
            return Err(Shut::Stopped);
        }
        // Who can't be read at all is among the faults already.
        let Some(Ok(there)) = backup.client(client) else {
            continue;
        };
        faults.extend(there.faults);
        let row = preview.rows.iter().find(|r| r.client == client);
        let Some(row) = row.filter(|r| is_other(r.standing)) else {
            continue;
        };
        if let Some(key) = row.present.and_then(|p| here.get(p))
            && let Ok(record) = (reading.read)(&store.record_text(key).await?)
        {
            let words = changes::differs(row.standing, &record, &there.record);
            differs.extend(words.map(|words| (client, words)));
        }
    }
    Ok(Compared {
        name,
        differs,
        made: backup.made().map(|m| m.at.clone()),
        faults: faults.iter().map(sentence).collect(),
        preview,
        backup,
        here,
    })
}

/// Whether the one in the backup is another than the one here.
const fn is_other(standing: Standing) -> bool {
    !matches!(
        standing,
        Standing::New | Standing::Same | Standing::PhotosOnlyThere
    )
}

/// A fault as it stands on the screen.
pub(super) fn sentence(fault: &Fault) -> String {
    let words = fault.to_string();
    // A name of a file stands as it is.
    if words.starts_with("clients/") {
        return format!("{words}.");
    }
    words::sentence(&words)
}

/// A file in which nothing was found says what was found instead.
fn why(error: &OpenError) -> String {
    match error {
        OpenError::NoBackup { faults } if !faults.is_empty() => {
            let first: Vec<_> = faults.iter().take(3).map(ToString::to_string).collect();
            format!("{error} ({})", first.join("; "))
        }
        _ => error.to_string(),
    }
}

async fn reader(
    file: &File,
    passphrase: Option<Passphrase>,
    progress: Progress,
) -> Result<Reader, Shut> {
    let source = Source::of(file).await?;
    if !is_locked(&source.begins()) {
        return Ok(Reader::Plain(source));
    }
    let Some(passphrase) = passphrase else {
        return Err(Shut::Locked(None));
    };
    progress.at("Unlocking, which takes a moment", None);
    rest().await;
    let length = source.length();
    match Unlocked::open(source, length, &passphrase) {
        Ok(unlocked) => Ok(Reader::Locked(unlocked)),
        Err(why @ LockError::WrongPassphrase) => {
            Err(Shut::Locked(Some(words::sentence(&why.to_string()))))
        }
        Err(why) => Err(Shut::Not(format!(
            "“{}”: {}",
            file.name(),
            words::sentence(&why.to_string())
        ))),
    }
}

/// A single client's file, as a backup of one.
async fn single(file: &File, read: fn(&str) -> Result<Record, String>) -> Result<Source, String> {
    let record = read(&files::read_text(file).await?)?;
    let mut writer = BackupWriter::new(Vec::new(), Made::default());
    writer.add(&record, &[], None).map_err(|e| e.to_string())?;
    let bytes = writer.finish().map_err(|e| e.to_string())?;
    Ok(Source::Held(bytes))
}

/// The clients here, as far as they can be read, and their keys.
async fn present(
    store: &Store,
    read: fn(&str) -> Result<Record, String>,
    progress: Progress,
) -> Result<(Vec<Present>, Vec<String>), Shut> {
    let bases = store.bases().await?;
    let list = store.list().await?;
    let changed: BTreeMap<&str, f64> = list
        .entries
        .iter()
        .map(|e| (e.key.as_str(), e.changed_ms))
        .collect();
    let keys = store.keys().await?;
    let (mut present, mut here) = (Vec::new(), Vec::new());
    for (done, key) in keys.iter().enumerate() {
        progress.at("Looking at the clients here", Some((done, keys.len())));
        progress.breathe().await;
        if progress.is_stopped() {
            return Err(Shut::Stopped);
        }
        let raw = store.read(key).await?;
        // One that can't be read stays as she is: whatever comes, comes beside.
        let Ok(record) = read(&raw.record) else {
            continue;
        };
        let photos = record.photos.iter().filter_map(|photo| match &photo.image {
            Image::File { name } => raw
                .pictures
                .iter()
                .any(|(n, _)| n == name)
                .then(|| (photo.id.clone(), None)),
            Image::Embedded { .. } => Some((photo.id.clone(), None)),
        });
        let changed = changed.get(key.as_str()).map(|ms| (ms / 1000.0) as i64);
        let base = bases.get(key).map(|b| b.sum);
        let one = Present::of(&record, photos.collect(), changed, base);
        if let Ok(one) = one {
            present.push(one);
            here.push(key.clone());
        }
    }
    Ok((present, here))
}
