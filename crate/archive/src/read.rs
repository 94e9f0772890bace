//! Reading a backup, whatever became of it.

use std::collections::BTreeMap;

use ophryon_record::{Image, Record};
use rawzip::ReaderAt;

use crate::entry::Entry;
use crate::fault::Faults;
use crate::manifest::{ListedClient, Made, Manifest, ManifestError, Was};
use crate::names::{CLIENT, CLIENTS, MANIFEST, Part, part};
use crate::sums::{Sum, from_hex, sum};
use crate::{Fault, MANIFEST_SCHEMA, Name, is_locked, listing, source};

/// Why nothing of a file can be read as a backup, in a sentence with the way
/// out.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum OpenError {
    /// Nothing in it.
    #[error("this is empty; fetch the copy it came from")]
    Empty,
    /// A passphrase is needed first.
    #[error("this is locked; enter the passphrase it was locked with")]
    Locked,
    /// Nothing of ours in it.
    #[error("this is no backup of Ophryon; choose one that Ophryon made")]
    NotOurs,
    /// No client in it that can be read.
    #[error(
        "this holds no client of Ophryon that can be read; choose a backup that Ophryon made, or fetch the copy it came from"
    )]
    NoBackup {
        /// What was found instead.
        faults: Vec<Fault>,
    },
    /// From a later version.
    #[error(
        "this was made by a newer Ophryon (backup schema {found}); this one reads up to {MANIFEST_SCHEMA}, so update it first"
    )]
    Newer {
        /// Its schema.
        found: u32,
    },
    /// The file can't be read.
    #[error("it can't be read ({0}); try a copy of it")]
    Io(#[from] std::io::Error),
}

/// A backup that was opened. Clients are read one at a time, so memory doesn't
/// grow with their number.
pub struct Backup<R> {
    source: R,
    made: Option<Made>,
    clients: Vec<Folder>,
    sums: BTreeMap<String, (u64, Option<Sum>)>,
    faults: Faults,
}

/// A client's entries.
struct Folder {
    name: String,
    file: Entry,
    photos: BTreeMap<String, Entry>,
    listed: Option<ListedClient>,
}

/// A client as the backup has her.
#[derive(Debug, Clone)]
pub struct BackedUp {
    /// Her record as it was: photos that were inside it are inside it again.
    pub record: Record,
    /// Photos that lay beside her file, with where they lay.
    pub photos: Vec<Picture>,
    /// When she was last changed, seconds since 1970, if that was known.
    pub changed: Option<i64>,
    /// What is missing or damaged of her.
    pub faults: Vec<Fault>,
}

/// A photo that lies beside a client's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The photo's id.
    pub photo: String,
    /// Its file's name, which the record repeats. Any text without a folder;
    /// [`crate::is_plain_name`] says whether every system can have it.
    pub name: String,
    /// The file.
    pub bytes: Vec<u8>,
}

impl<R: ReaderAt> Backup<R> {
    /// Opens a backup of so many bytes, which is not locked or was unlocked
    /// ([`crate::Unlocked`]). No photo is read yet.
    ///
    /// # Errors
    /// [`OpenError`]; everything short of that is among [`Backup::faults`].
    pub fn open(source: R, length: u64) -> Result<Self, OpenError> {
        if length == 0 {
            return Err(OpenError::Empty);
        }
        // A stretch of a damaged locked file may not be readable.
        if source::first(&source, length, 64).is_ok_and(|first| is_locked(&first)) {
            return Err(OpenError::Locked);
        }
        let mut faults = Faults::default();
        let entries = listing::entries(&source, length, &mut faults);
        let mut own = None;
        let mut folders = Folders::new();
        for entry in entries {
            if let Err(fault) = entry.check() {
                faults.add(fault);
                continue;
            }
            match part(&entry.name) {
                Part::InFolder(folder, file) => {
                    let file = file.to_owned();
                    let place = folders.entry(folder.to_owned()).or_default();
                    if file == CLIENT {
                        place.0 = Some(entry);
                    } else {
                        place.1.insert(file, entry);
                    }
                }
                _ => own = Some(entry),
            }
        }
        let manifest = match own.as_ref().map(|entry| entry.read(&source)) {
            None => {
                faults.add(Fault::NoManifest);
                None
            }
            Some(Err(fault)) => {
                faults.add(fault);
                faults.add(Fault::NoManifest);
                None
            }
            Some(Ok(json)) => match Manifest::read(&json) {
                Ok(manifest) => Some(manifest),
                Err(ManifestError::Newer(found)) => return Err(OpenError::Newer { found }),
                Err(ManifestError::Bad(what)) => {
                    faults.add(Fault::BadManifest { what });
                    None
                }
            },
        };
        let mut listed = BTreeMap::new();
        let (mut made, mut sums) = (None, BTreeMap::new());
        if let Some(manifest) = manifest {
            made = Some(manifest.made);
            for client in manifest.clients {
                listed.insert(client.folder.clone(), client);
            }
            for entry in manifest.entries {
                if !has(&folders, &entry.name) {
                    let name = Name::new(&entry.name);
                    faults.add(Fault::Missing { name });
                }
                sums.insert(entry.name, (entry.bytes, from_hex(&entry.sha_256)));
            }
        }
        let mut clients = Vec::new();
        for (name, (file, photos)) in folders {
            let listed = listed.remove(&name);
            match file {
                Some(file) => clients.push(Folder {
                    name,
                    file,
                    photos,
                    listed,
                }),
                None => faults.add(Fault::NoClient {
                    name: Name::new(&format!("{CLIENTS}{name}")),
                }),
            }
        }
        if clients.is_empty() && (made.is_none() || !listed.is_empty()) {
            let faults = faults.all();
            return Err(
                if made.is_none() && faults.iter().all(Fault::is_of_any_file) {
                    OpenError::NotOurs
                } else {
                    OpenError::NoBackup { faults }
                },
            );
        }
        Ok(Self {
            source,
            made,
            clients,
            sums,
            faults,
        })
    }

    /// By what and when it was made, if its manifest can be read.
    pub fn made(&self) -> Option<&Made> {
        self.made.as_ref()
    }

    /// How many clients can be read, as far as is known before reading them.
    pub fn count(&self) -> usize {
        self.clients.len()
    }

    /// The folder of a client, counted from 0: plain, and no other's.
    pub fn folder(&self, client: usize) -> Option<&str> {
        self.clients.get(client).map(|c| c.name.as_str())
    }

    /// What was wrong with the backup as a whole.
    pub fn faults(&self) -> Vec<Fault> {
        self.faults.all()
    }

    /// Reads a client with her photos, counted from 0; `None` beyond the last.
    ///
    /// # Errors
    /// The fault for which her file can't be read.
    pub fn client(&self, index: usize) -> Option<Result<BackedUp, Fault>> {
        self.clients.get(index).map(|folder| self.read(folder))
    }

    fn read(&self, folder: &Folder) -> Result<BackedUp, Fault> {
        let mut faults = Vec::new();
        let mut record = self.record(folder, &mut faults)?;
        let mut photos = Vec::new();
        let placed = folder.listed.as_ref().map(|l| l.placed.as_slice());
        for photo in &mut record.photos {
            let Image::File { name } = &photo.image else {
                continue;
            };
            let Some(entry) = folder.photos.get(name) else {
                if !photo.erased {
                    faults.push(Fault::NoPhoto {
                        code: Name::new(&record.client.code),
                        photo: Name::new(&photo.id),
                    });
                }
                continue;
            };
            let bytes = match self.proven(entry, &mut faults) {
                Ok(bytes) => bytes,
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            };
            let was = placed.and_then(|p| p.iter().find(|p| p.photo == photo.id));
            let name = match was.map(|p| &p.was) {
                Some(Was::Embedded(media_type)) if is_media_type(media_type) => {
                    photo.image = Image::embed(media_type.clone(), &bytes);
                    continue;
                }
                Some(Was::Named(name)) if is_beside(name) => name.clone(),
                _ => name.clone(),
            };
            photo.image = Image::File { name: name.clone() };
            photos.push(Picture {
                photo: photo.id.clone(),
                name,
                bytes,
            });
        }
        Ok(BackedUp {
            record,
            photos,
            changed: folder.listed.as_ref().and_then(|l| l.changed),
            faults,
        })
    }

    /// Her record as it stands in the backup, photos beside it.
    fn record(&self, folder: &Folder, faults: &mut Vec<Fault>) -> Result<Record, Fault> {
        let name = || Name::new(&folder.file.name);
        let json = self.proven(&folder.file, faults)?;
        let json = String::from_utf8(json).map_err(|_| Fault::Damaged { name: name() })?;
        Record::from_json(&json).map_err(|why| Fault::Client { name: name(), why })
    }

    /// An entry's bytes, with a word if the manifest has another sum.
    fn proven(&self, entry: &Entry, faults: &mut Vec<Fault>) -> Result<Vec<u8>, Fault> {
        let bytes = entry.read(&self.source)?;
        let is_as_listed =
            |listed: &(u64, Option<Sum>)| *listed == (bytes.len() as u64, Some(sum(&bytes)));
        if !self.sums.get(&entry.name).is_none_or(is_as_listed) {
            let name = Name::new(&entry.name);
            faults.push(Fault::Changed { name });
        }
        Ok(bytes)
    }

    /// The record with its photos beside it and what the manifest says of
    /// them, for a preview: no photo is read where their sums are listed.
    pub(crate) fn glance(&self, index: usize) -> Option<Result<Glance, Fault>> {
        let folder = self.clients.get(index)?;
        let glance = |record: Record| {
            let mut photos = BTreeMap::new();
            for photo in &record.photos {
                let Image::File { name } = &photo.image else {
                    continue;
                };
                let Some(entry) = folder.photos.get(name) else {
                    continue;
                };
                let listed = self.sums.get(&entry.name).and_then(|s| s.1);
                let sum = listed.or_else(|| entry.read(&self.source).ok().map(|b| sum(&b)));
                photos.insert(photo.id.clone(), sum);
            }
            Glance {
                photos,
                changed: folder.listed.as_ref().and_then(|l| l.changed),
                record,
            }
        };
        Some(self.record(folder, &mut Vec::new()).map(glance))
    }

    /// Reads everything, keeps nothing: all faults of the backup and its
    /// clients. Client by client with [`Backup::client`].
    pub fn check(&self) -> Vec<Fault> {
        let mut faults = self.faults.clone();
        for folder in &self.clients {
            match self.read(folder) {
                Ok(client) => client.faults.into_iter().for_each(|f| faults.add(f)),
                Err(fault) => faults.add(fault),
            }
        }
        faults.all()
    }
}

/// What a preview needs of a client.
pub(crate) struct Glance {
    pub(crate) record: Record,
    /// By id those that are there, with their sums where those are known.
    pub(crate) photos: BTreeMap<String, Option<Sum>>,
    pub(crate) changed: Option<i64>,
}

type Folders = BTreeMap<String, (Option<Entry>, BTreeMap<String, Entry>)>;

fn has(folders: &Folders, name: &str) -> bool {
    match part(name) {
        Part::InFolder(folder, CLIENT) => folders.get(folder).is_some_and(|f| f.0.is_some()),
        Part::InFolder(folder, file) => folders.get(folder).is_some_and(|f| f.1.contains_key(file)),
        _ => name == MANIFEST,
    }
}

/// As long as a record's names are, characters.
const LONGEST_PHOTO_NAME: usize = 100;

/// As a record has them; a manifest could say anything.
fn is_media_type(text: &str) -> bool {
    matches!(text, "image/jpeg" | "image/png")
}

fn is_beside(name: &str) -> bool {
    !name.contains(['/', '\\', ':'])
        && !name.chars().any(char::is_control)
        && name.chars().count() <= LONGEST_PHOTO_NAME
        && !matches!(name.trim(), "" | "." | "..")
}
