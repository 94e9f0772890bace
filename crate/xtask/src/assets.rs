//! The finished files of the app: packed copies, and the list of them all.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use flate2::Compression;
use flate2::write::GzEncoder;
use serde::{Deserialize, Serialize};

use crate::split::Parts;
use crate::stamp::{Inputs, sha256};

/// The list of files, read by the service worker.
pub const LIST: &str = "assets.json";

/// Kinds of file that shrink; pictures and fonts are compressed already.
const SHRINKING: [&str; 11] = [
    "html",
    "css",
    "js",
    "mjs",
    "json",
    "wasm",
    "svg",
    "txt",
    "webmanifest",
    "ico",
    "bin",
];

/// What `assets.json` holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct List {
    /// Changes whenever any file does; good as the name of a cache.
    pub version: String,
    /// Every file but this list and the packed copies, by name.
    pub files: Vec<File>,
    /// The files that each part brings along when it is first used.
    #[serde(default)]
    pub parts: Parts,
}

/// One file of the app.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct File {
    /// Path below the page's folder, with `/`.
    pub name: String,
    /// Size in bytes.
    pub bytes: u64,
    /// Size in bytes of the gzipped copy, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gzip_bytes: Option<u64>,
    /// Size in bytes of the copy packed by Brotli, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brotli_bytes: Option<u64>,
    /// SHA-256 in hexadecimal.
    pub sha256: String,
}

impl File {
    /// What travels to a browser: all of today's take Brotli where the address
    /// is this computer's or the connection is encrypted, and gzip elsewhere.
    pub fn transferred(&self) -> u64 {
        self.brotli_bytes.unwrap_or_else(|| self.gzipped())
    }

    /// What travels to a program that takes gzip only.
    pub fn gzipped(&self) -> u64 {
        self.gzip_bytes.unwrap_or(self.bytes)
    }
}

/// Adds packed copies and the list to a folder that has neither yet.
pub fn finish(folder: &Path, parts: Parts) -> Result<List> {
    let mut files = Vec::new();
    let mut all = Inputs::default();
    for (name, path) in files_below(folder)? {
        let bytes = read(&path)?;
        let packed = |ending: &str, packed: Option<Vec<u8>>| -> Result<Option<u64>> {
            let Some(packed) = packed.filter(|packed| packed.len() < bytes.len()) else {
                return Ok(None);
            };
            write(&folder.join(format!("{name}.{ending}")), &packed)?;
            Ok(Some(packed.len() as u64))
        };
        let shrinks = shrinks(&name);
        let gzip_bytes = packed("gz", shrinks.then(|| gzipped(&bytes)).transpose()?)?;
        let brotli_bytes = packed("br", shrinks.then(|| brotli(&bytes)).transpose()?)?;
        all.add(&name, &bytes);
        files.push(File {
            name,
            bytes: bytes.len() as u64,
            gzip_bytes,
            brotli_bytes,
            sha256: sha256(&bytes),
        });
    }
    let list = List {
        version: all.fingerprint(),
        files,
        parts,
    };
    write(&folder.join(LIST), &serde_json::to_vec_pretty(&list)?)?;
    Ok(list)
}

/// The list of a finished app, if all its files are there in full.
pub fn intact(folder: &Path) -> Option<List> {
    let list: List = serde_json::from_slice(&fs::read(folder.join(LIST)).ok()?).ok()?;
    let has = |name: &str, bytes: u64| {
        fs::metadata(folder.join(name)).is_ok_and(|file| file.len() == bytes)
    };
    let all = list.files.iter().all(|file| {
        has(&file.name, file.bytes)
            && file
                .gzip_bytes
                .is_none_or(|bytes| has(&format!("{}.gz", file.name), bytes))
            && file
                .brotli_bytes
                .is_none_or(|bytes| has(&format!("{}.br", file.name), bytes))
    });
    all.then_some(list)
}

/// Every file below `folder` by its name with `/`, sorted, dot-files left out.
pub fn files_below(folder: &Path) -> Result<BTreeMap<String, PathBuf>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![(String::new(), folder.to_owned())];
    while let Some((before, folder)) = folders.pop() {
        let entries =
            fs::read_dir(&folder).with_context(|| format!("can't read {}", folder.display()))?;
        for entry in entries {
            let entry = entry?;
            let name = entry.file_name();
            let name = name
                .to_str()
                .with_context(|| format!("{} has no UTF-8 name", entry.path().display()))?;
            if name.starts_with('.') {
                continue;
            }
            if entry.path().is_dir() {
                folders.push((format!("{before}{name}/"), entry.path()));
            } else {
                found.insert(format!("{before}{name}"), entry.path());
            }
        }
    }
    Ok(found)
}

pub fn read(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("can't read {}", path.display()))
}

pub fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).with_context(|| format!("can't make {}", folder.display()))?;
    }
    fs::write(path, bytes).with_context(|| format!("can't write {}", path.display()))
}

/// Whether a kind of file is worth packing.
fn shrinks(name: &str) -> bool {
    let kind = name.rsplit_once('.').map_or("", |(_, kind)| kind);
    SHRINKING.contains(&kind)
}

fn gzipped(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut gzip = GzEncoder::new(Vec::new(), Compression::best());
    gzip.write_all(bytes)?;
    Ok(gzip.finish()?)
}

/// Packed as small as the format (RFC 7932) gets: quality 11, window of 4 MiB.
fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packed = Vec::new();
    let mut writer = brotli::CompressorWriter::new(&mut packed, 1 << 16, 11, 22);
    writer.write_all(bytes)?;
    drop(writer);
    Ok(packed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    fn folder_with(files: &[(&str, &[u8])]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, bytes) in files {
            write(&folder.path().join(name), bytes).unwrap();
        }
        folder
    }

    #[test]
    fn the_list_names_every_file_with_size_and_hash() {
        let page = "a line of the page\n".repeat(50);
        let folder = folder_with(&[
            ("index.html", page.as_bytes()),
            ("icons/brow.png", &[7; 300]),
            (".hidden", b"not served"),
        ]);
        let list = finish(folder.path(), Parts::new()).unwrap();
        let names: Vec<_> = list.files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names, ["icons/brow.png", "index.html"]);
        assert_eq!(list.files[1].bytes, page.len() as u64);
        assert_eq!(list.files[1].sha256, sha256(page.as_bytes()));
        assert_eq!(list.files[0].gzip_bytes, None, "pictures stay as they are");
        let written: List =
            serde_json::from_slice(&read(&folder.path().join(LIST)).unwrap()).unwrap();
        assert_eq!(written, list);
    }

    #[test]
    fn a_gzipped_copy_unpacks_to_the_file() {
        let page = b"one and the same line\n".repeat(40);
        let folder = folder_with(&[("index.html", &page)]);
        let list = finish(folder.path(), Parts::new()).unwrap();
        let copy = read(&folder.path().join("index.html.gz")).unwrap();
        assert_eq!(list.files[0].gzip_bytes, Some(copy.len() as u64));
        let mut unpacked = Vec::new();
        flate2::read::GzDecoder::new(copy.as_slice())
            .read_to_end(&mut unpacked)
            .unwrap();
        assert_eq!(unpacked, page);
    }

    #[test]
    fn a_copy_by_brotli_unpacks_to_the_file_and_is_what_travels() {
        let page = b"one and the same line\n".repeat(40);
        let folder = folder_with(&[("index.html", &page)]);
        let list = finish(folder.path(), Parts::new()).unwrap();
        let copy = read(&folder.path().join("index.html.br")).unwrap();
        assert_eq!(list.files[0].transferred(), copy.len() as u64);
        let mut unpacked = Vec::new();
        brotli::Decompressor::new(copy.as_slice(), 4096)
            .read_to_end(&mut unpacked)
            .unwrap();
        assert_eq!(unpacked, page);
    }

    #[test]
    fn a_file_that_does_not_shrink_has_no_copy() {
        let folder = folder_with(&[("tiny.js", b"x")]);
        assert_eq!(
            finish(folder.path(), Parts::new()).unwrap().files[0].gzip_bytes,
            None
        );
        assert!(!folder.path().join("tiny.js.gz").exists());
    }

    #[test]
    fn the_version_follows_the_content() {
        let version = |page: &[u8]| {
            let folder = folder_with(&[("index.html", page)]);
            finish(folder.path(), Parts::new()).unwrap().version
        };
        assert_ne!(version(b"one"), version(b"two"));
        assert_eq!(version(b"one"), version(b"one"));
    }

    #[test]
    fn a_lost_or_cut_file_shows() {
        let page = b"one and the same line\n".repeat(40);
        let folder = folder_with(&[("index.html", &page), ("start.js", b"start()")]);
        assert_eq!(intact(folder.path()), None, "not finished yet");
        let list = finish(folder.path(), Parts::new()).unwrap();
        assert_eq!(intact(folder.path()), Some(list));
        fs::write(folder.path().join("index.html.gz"), b"cut").unwrap();
        assert_eq!(intact(folder.path()), None);
    }
}
