//! Bringing clients back from a backup: reading it, comparing it with what is
//! here, and writing what was chosen.

use std::collections::BTreeMap;
use std::io;

use ophryon_archive::{
    BackedUp, Backup, BackupWriter, Choice, Fault, LockError, Made, OpenError, Passphrase, Present,
    Preview, ReaderAt, Row, Unlocked, Write, beside, is_locked,
};
use ophryon_record::{Image, Record};
use web_sys::File;

use super::carry::{self, Here};
use super::progress::{Progress, rest};
use super::source::Source;
use crate::device::store::{Base, Entry, Reading, Store, Whole, new_key};
use crate::device::{clock, files, page, pictures};
use crate::places;
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
    /// What of it can't be read, a sentence each.
    pub faults: Vec<String>,
    backup: Backup<Reader>,
    /// Keys of the clients here, as the preview counts them.
    here: Vec<String>,
}

/// Where a chosen file's bytes come from.
enum Reader {
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
    Ok(Compared {
        name,
        made: backup.made().map(|m| m.at.clone()),
        faults: faults.iter().map(sentence).collect(),
        preview,
        backup,
        here,
    })
}

fn sentence(fault: &Fault) -> String {
    words::sentence(&fault.to_string())
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

/// What a restore did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Brought {
    /// Clients who are new here.
    pub new: usize,
    /// Clients here who became as the backup has them.
    pub replaced: usize,
    /// Clients who got photos back.
    pub photos: usize,
    /// Clients who came beside one that is here.
    pub beside: usize,
    /// What of it couldn't be read, a sentence each.
    pub faults: Vec<String>,
}

/// How a client was before, to go back to where the restore is stopped.
enum Before {
    Absent(String),
    There(Entry, Box<Record>),
}

/// A restore on its way.
struct Bringing<'a> {
    compared: &'a Compared,
    store: Store,
    reading: Reading,
    /// Lines of the clients here, by key.
    entries: BTreeMap<String, Entry>,
    undo: Vec<Before>,
    bases: Vec<(String, Base)>,
    brought: Brought,
}

/// Writes what was chosen, each client all or nothing. `None` where it was
/// stopped: then everything is as it was.
///
/// # Errors
/// A sentence; then everything is as it was.
pub async fn bring(
    studio: Studio,
    compared: &Compared,
    choose: impl Fn(&Row) -> Choice,
    progress: Progress,
) -> Result<Option<Brought>, String> {
    let files = studio.later.files.get().await?;
    let store = studio.keeper.store().await?;
    let entries = store.list().await?.entries;
    let mut bringing = Bringing {
        compared,
        store,
        entries: entries.into_iter().map(|e| (e.key.clone(), e)).collect(),
        reading: Reading {
            read: files.read,
            write: files.write,
        },
        undo: Vec::new(),
        bases: Vec::new(),
        brought: Brought::default(),
    };
    let plan = compared.preview.plan(choose);
    // The last one first: what is written last stands first in the list.
    for (done, write) in plan.iter().rev().enumerate() {
        progress.at("Bringing clients back", Some((done, plan.len())));
        progress.breathe().await;
        let outcome = if progress.is_stopped() {
            Ok(false)
        } else {
            bringing.write(*write).await.map(|()| true)
        };
        match outcome {
            Ok(true) => {}
            Ok(false) => {
                progress.at("Going back to how it was", None);
                bringing.go_back().await?;
                return Ok(None);
            }
            Err(why) => {
                progress.at("Going back to how it was", None);
                bringing.go_back().await?;
                return Err(format!("{why} Every client is as she was before."));
            }
        }
    }
    let now = clock::now_ms();
    let same = compared.preview.rows.iter().filter_map(|row| {
        let key = compared.here.get(row.present?)?;
        let is_same = matches!(row.standing, ophryon_archive::Standing::Same);
        is_same.then(|| (key.clone(), base(row, now)))
    });
    bringing.bases.extend(same);
    bringing.store.set_bases(&bringing.bases).await?;
    Ok(Some(bringing.brought))
}

fn base(row: &Row, now: f64) -> Base {
    Base {
        sum: row.state,
        at_ms: now,
    }
}

impl Bringing<'_> {
    async fn write(&mut self, write: Write) -> Result<(), String> {
        let (Write::New { client }
        | Write::Replace { client, .. }
        | Write::AddPhotos { client, .. }
        | Write::Beside { client, .. }) = write;
        let there = match self.compared.backup.client(client) {
            Some(Ok(there)) => there,
            Some(Err(fault)) => {
                self.brought.faults.push(sentence(&fault));
                return Ok(());
            }
            None => return Ok(()),
        };
        self.brought
            .faults
            .extend(there.faults.iter().map(sentence));
        match write {
            Write::New { .. } => {
                self.put_new(there, client, true).await?;
                self.brought.new += 1;
            }
            Write::Beside { .. } => {
                let random = page::random()
                    .ok_or("This browser hands out no random numbers, so nobody can be kept beside another.")?;
                let record = beside(&there.record, random);
                self.put_new(BackedUp { record, ..there }, client, false)
                    .await?;
                self.brought.beside += 1;
            }
            Write::Replace { present, .. } => {
                self.put_in_place(there, client, present, true).await?;
                self.brought.replaced += 1;
            }
            Write::AddPhotos { present, .. } => {
                self.put_in_place(there, client, present, false).await?;
                self.brought.photos += 1;
            }
        }
        Ok(())
    }

    /// Somebody who is not here by that key.
    async fn put_new(
        &mut self,
        there: BackedUp,
        client: usize,
        as_there: bool,
    ) -> Result<(), String> {
        let key = new_key();
        let changed = there.changed;
        let carried = carry::whole(there);
        self.undo.push(Before::Absent(key.clone()));
        self.put(&key, carried.record, carried.pictures, changed)
            .await?;
        if as_there {
            self.note(key, client);
        }
        Ok(())
    }

    /// Somebody who is here: her record as in the backup, or only its photos.
    async fn put_in_place(
        &mut self,
        there: BackedUp,
        client: usize,
        present: usize,
        as_there: bool,
    ) -> Result<(), String> {
        let gone = "A client went from this device meanwhile.";
        let key = self.compared.here.get(present).cloned().ok_or(gone)?;
        let raw = self.store.read(&key).await?;
        let before = (self.reading.read)(&raw.record)?;
        let here: Here = raw.pictures.iter().map(|(n, _)| n.clone()).collect();
        let entry = self.entries.get(&key).cloned().ok_or(gone)?;
        let changed = there.changed;
        self.undo
            .push(Before::There(entry.clone(), Box::new(before.clone())));
        if as_there {
            let carried = carry::in_place_of(there, Some(&before), &here);
            self.put(&key, carried.record, carried.pictures, changed)
                .await?;
            self.note(key, client);
        } else {
            let added = carry::missing(&there, &before, &here);
            let changed = Some((entry.changed_ms / 1000.0) as i64);
            self.put(&key, before, added, changed).await?;
        }
        Ok(())
    }

    async fn put(
        &self,
        key: &str,
        record: Record,
        files: Vec<(String, Vec<u8>)>,
        changed: Option<i64>,
    ) -> Result<(), String> {
        let stands = places::stands(&record, Some(&record.drawn()));
        let changed_ms = changed.map_or_else(clock::now_ms, |s| s as f64 * 1000.0);
        let entry = Entry::of(key, &record, stands, changed_ms);
        let mut pictures = Vec::new();
        for (name, bytes) in files {
            let blob = pictures::from_bytes(&bytes, carry::media_type(&bytes))?;
            pictures.push((name, blob));
        }
        let whole = Whole {
            entry: &entry,
            record,
            pictures,
            base: None,
        };
        self.store.put_whole(whole, self.reading).await
    }

    /// She is now as in the backup.
    fn note(&mut self, key: String, client: usize) {
        let mut rows = self.compared.preview.rows.iter();
        if let Some(row) = rows.find(|r| r.client == client) {
            self.bases.push((key, base(row, clock::now_ms())));
        }
    }

    /// Puts everybody back who was written.
    async fn go_back(&mut self) -> Result<(), String> {
        while let Some(before) = self.undo.pop() {
            match before {
                Before::Absent(key) => self.store.erase(&key).await?,
                Before::There(entry, record) => {
                    let whole = Whole {
                        entry: &entry,
                        record: *record,
                        pictures: Vec::new(),
                        base: None,
                    };
                    self.store.put_whole(whole, self.reading).await?;
                }
            }
        }
        Ok(())
    }
}
