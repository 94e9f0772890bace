//! One file in a backup: where its bytes are, and how they become the file.

use miniz_oxide::inflate::{TINFLStatus, decompress_to_vec_with_limit};
use ophryon_record::LARGEST_FILE;
use rawzip::{CompressionMethod, ReaderAt};

use crate::limits::{LARGEST_PHOTO, MOST_SWELLING, SMALL};
use crate::names::{self, CLIENT, Part};
use crate::{Fault, Name, manifest, source};

/// A file in a backup.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub(crate) name: String,
    pub(crate) method: CompressionMethod,
    /// Where its packed bytes are in the file.
    pub(crate) begin: u64,
    pub(crate) end: u64,
    pub(crate) crc: u32,
    /// Unpacked, as stated.
    pub(crate) size: u64,
}

impl Entry {
    /// Whether it can be read at all, before anything is read of it.
    pub(crate) fn check(&self) -> Result<(), Fault> {
        let name = || Name::new(&self.name);
        let packed = self.end.saturating_sub(self.begin);
        match self.method {
            CompressionMethod::STORE if packed != self.size => {
                return Err(Fault::Damaged { name: name() });
            }
            CompressionMethod::STORE | CompressionMethod::DEFLATE => {}
            _ => return Err(Fault::Method { name: name() }),
        }
        let most = match names::part(&self.name) {
            Part::Manifest => manifest::LARGEST,
            Part::InFolder(_, CLIENT) => LARGEST_FILE as u64,
            _ => LARGEST_PHOTO,
        };
        // Packed it may be larger than unpacked, by a little.
        if self.size.max(packed.saturating_sub(SMALL)) > most {
            let megabytes = self.size.max(packed).div_ceil(1024 * 1024);
            return Err(Fault::TooLarge {
                name: name(),
                megabytes,
            });
        }
        if self.size > SMALL && self.size / MOST_SWELLING > packed {
            return Err(Fault::Swells { name: name() });
        }
        Ok(())
    }

    /// The file: unpacked, no longer than stated, and proven by its checksum.
    pub(crate) fn read(&self, from: &impl ReaderAt) -> Result<Vec<u8>, Fault> {
        self.check()?;
        let name = || Name::new(&self.name);
        let packed = (self.end - self.begin) as usize;
        let packed =
            source::part(from, self.begin, packed).map_err(|_| Fault::CutOff { name: name() })?;
        let plain = if self.method == CompressionMethod::STORE {
            packed
        } else {
            // One byte more shows that it would have gone on.
            decompress_to_vec_with_limit(&packed, self.size as usize).map_err(|why| {
                if why.status == TINFLStatus::HasMoreOutput {
                    Fault::Swells { name: name() }
                } else {
                    Fault::Damaged { name: name() }
                }
            })?
        };
        if plain.len() as u64 != self.size || rawzip::crc32(&plain) != self.crc {
            return Err(Fault::Damaged { name: name() });
        }
        Ok(plain)
    }
}
