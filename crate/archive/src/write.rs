//! Making a backup.

use std::collections::BTreeSet;
use std::io::{self, Write};

use miniz_oxide::deflate::compress_to_vec;
use ophryon_record::{Image, Photo, ReadError, Record};
use rawzip::{CompressionMethod, ZipArchiveWriter};

use crate::limits::{LARGEST_PHOTO, MOST_CLIENTS};
use crate::manifest::{ListedClient, ListedEntry, Made, Manifest, Placed, Was};
use crate::names::{self, CLIENT, CLIENTS, MANIFEST};
use crate::sums::{hex, sum};

/// How hard JSON is packed, 0 to 10: where more takes long and saves little.
const PACKING: u8 = 6;

/// Why a client can't be taken into a backup, or the backup not be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// A record that could not be read again.
    #[error("{0}")]
    Record(ReadError),
    /// A photo beyond what is read again.
    #[error("the photo “{photo}” is larger than any photo ({megabytes} MB, at most {} MB); bring a smaller one", LARGEST_PHOTO / 1024 / 1024)]
    PhotoTooLarge {
        /// Its id.
        photo: String,
        /// Its size.
        megabytes: u64,
    },
    /// More clients than one backup holds.
    #[error("one backup holds at most {MOST_CLIENTS} clients; make two")]
    TooMany,
    /// The sink's trouble.
    #[error("the backup can't be written ({0})")]
    Io(#[from] io::Error),
    /// The zip's trouble.
    #[error("the backup can't be written ({0})")]
    Zip(#[from] rawzip::Error),
}

/// The bytes of a photo that lies beside the client's file.
#[derive(Debug, Clone, Copy)]
pub struct PhotoBytes<'a> {
    /// The photo's id.
    pub photo: &'a str,
    /// Its file, as it is.
    pub bytes: &'a [u8],
}

/// Writes a backup, one client after the other, into anything that takes
/// bytes. The same clients in the same order with the same [`Made`] give the
/// same bytes.
pub struct BackupWriter<W: Write> {
    zip: ZipArchiveWriter<W>,
    manifest: Manifest,
}

impl<W: Write> BackupWriter<W> {
    /// Begins a backup.
    pub fn new(sink: W, made: Made) -> Self {
        Self {
            zip: ZipArchiveWriter::new(sink),
            manifest: Manifest::new(made),
        }
    }

    /// Adds a client with her photos; those inside her record need not be
    /// given. `changed`: when she was last changed, seconds since 1970. Returns
    /// the ids of photos of which there are no bytes; all else of her is kept.
    ///
    /// # Errors
    /// [`WriteError`]; after one that isn't about the record or the photo the
    /// backup can't be finished.
    pub fn add(
        &mut self,
        record: &Record,
        photos: &[PhotoBytes<'_>],
        changed: Option<i64>,
    ) -> Result<Vec<String>, WriteError> {
        let index = self.manifest.clients.len();
        if index >= MOST_CLIENTS {
            return Err(WriteError::TooMany);
        }
        let folder = names::folder(index, &record.client.code);
        let mut client = ListedClient {
            folder: folder.clone(),
            changed,
            placed: Vec::new(),
        };
        let mut inside = record.clone();
        let mut taken = taken_names(record);
        let mut pictures = Vec::new();
        let mut missing = Vec::new();
        for (i, photo) in inside.photos.iter_mut().enumerate() {
            let given = photos.iter().find(|p| p.photo == photo.id);
            let Some(bytes) = bytes_of(photo, given) else {
                if !photo.erased {
                    missing.push(photo.id.clone());
                }
                continue;
            };
            if bytes.len() as u64 > LARGEST_PHOTO {
                let megabytes = (bytes.len() as u64).div_ceil(1024 * 1024);
                let photo = photo.id.clone();
                return Err(WriteError::PhotoTooLarge { photo, megabytes });
            }
            let name = place(photo, i, &mut taken, &mut client.placed);
            pictures.push((format!("{CLIENTS}{folder}/{name}"), bytes));
        }
        // Before anything of her is written, so that a record that can't be
        // written leaves no trace.
        let json = inside.to_json().map_err(WriteError::Record)?;
        self.packed(&format!("{CLIENTS}{folder}/{CLIENT}"), json.as_bytes())?;
        for (name, bytes) in pictures {
            self.entry(&name, &bytes, CompressionMethod::STORE, &bytes)?;
        }
        self.manifest.clients.push(client);
        Ok(missing)
    }

    /// Writes the manifest and the list at the end, and gives the sink back.
    ///
    /// # Errors
    /// [`WriteError`].
    pub fn finish(mut self) -> Result<W, WriteError> {
        let json = self.manifest.to_json().map_err(io::Error::other)?;
        self.packed(MANIFEST, &json)?;
        Ok(self.zip.finish()?)
    }

    fn packed(&mut self, name: &str, bytes: &[u8]) -> Result<(), WriteError> {
        let packed = compress_to_vec(bytes, PACKING);
        self.entry(name, &packed, CompressionMethod::DEFLATE, bytes)
    }

    fn entry(
        &mut self,
        name: &str,
        written: &[u8],
        method: CompressionMethod,
        plain: &[u8],
    ) -> Result<(), WriteError> {
        let (mut entry, _) = self.zip.new_file(name).compression_method(method).start()?;
        entry.write_all(written)?;
        let crc = rawzip::crc32(plain);
        let size = plain.len() as u64;
        entry.finish(rawzip::DataDescriptorOutput::new(crc, size))?;
        if name != MANIFEST {
            self.manifest.entries.push(ListedEntry {
                name: name.to_owned(),
                bytes: size,
                sha_256: hex(&sum(plain)),
            });
        }
        Ok(())
    }
}

/// A photo's bytes, from inside the record or as given.
fn bytes_of(photo: &Photo, given: Option<&PhotoBytes<'_>>) -> Option<Vec<u8>> {
    if photo.erased {
        return None;
    }
    match &photo.image {
        Image::Embedded { .. } => photo.image.bytes(),
        Image::File { .. } => given.map(|p| p.bytes.to_vec()),
    }
}

/// Names that no photo may be moved to: another may mean to lie there.
fn taken_names(record: &Record) -> BTreeSet<String> {
    let mut taken = BTreeSet::from([CLIENT.to_owned()]);
    for photo in &record.photos {
        if let Image::File { name } = &photo.image {
            taken.insert(name.to_lowercase());
        }
    }
    taken
}

/// Gives a photo its file name in the backup, and notes where it lay if that
/// was elsewhere. The record then says where it lies here, so that a backup
/// that any zip program unpacked is still a client's file with its photos.
fn place(
    photo: &mut Photo,
    index: usize,
    taken: &mut BTreeSet<String>,
    placed: &mut Vec<Placed>,
) -> String {
    let (was, ending) = match &photo.image {
        Image::File { name } => {
            let lower = name.to_lowercase();
            let own = format!("{lower}\n");
            // One photo of that name may keep it; the line break, which no
            // name has, marks that it did.
            if names::is_plain(name) && lower != CLIENT && taken.insert(own) {
                return name.clone();
            }
            (Was::Named(name.clone()), ending(name))
        }
        Image::Embedded { media_type, .. } => {
            let ending = if media_type == "image/png" {
                "png"
            } else {
                "jpg"
            };
            (Was::Embedded(media_type.clone()), ending)
        }
    };
    let mut number = index + 1;
    let name = loop {
        let name = format!("photo-{number}.{ending}");
        if taken.insert(name.clone()) {
            break name;
        }
        number += 100;
    };
    taken.insert(format!("{name}\n"));
    placed.push(Placed {
        photo: photo.id.clone(),
        was,
    });
    photo.image = Image::File { name: name.clone() };
    name
}

fn ending(name: &str) -> &'static str {
    if name.to_ascii_lowercase().ends_with(".png") {
        "png"
    } else {
        "jpg"
    }
}
