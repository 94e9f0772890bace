//! `ophryon backup open`: a backup beside the clients that are in a folder.
//!
//! Writes only into that folder, into folders of its own in it, and never over
//! anything unless told so.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use ophryon_archive::{
    BackedUp, Choice, Fault, Picture, Present, Row, Standing, Write, beside, is_plain_name, sum,
};
use ophryon_record::{Image, Record};

use crate::backup::{Opened, about, changed, told};
use crate::trouble::Trouble;
use crate::{Outcome, client_file, output};

/// A client's file in her folder.
const CLIENT: &str = "client.json";

/// What becomes of clients that are there in another state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Differing {
    /// They stay as they are, and that is told.
    Leave,
    /// The backup's takes their place.
    Replace,
    /// The backup's comes beside them.
    KeepBoth,
}

/// A client that is in the folder.
struct There {
    folder: PathBuf,
    record: Record,
    /// As a preview has her.
    present: Present,
}

/// Writes what is not there.
pub fn run(backup: &Opened, into: &Path, differing: Differing) -> Result<Outcome, Trouble> {
    fs::create_dir_all(into).map_err(|source| Trouble::NoFolder {
        folder: into.to_owned(),
        source,
    })?;
    let there = present(into)?;
    let known: Vec<Present> = there.iter().map(|t| t.present.clone()).collect();
    let preview = backup.preview(&known);
    let mut outcome = told(&backup.faults());
    if told(&preview.faults) == Outcome::Incomplete {
        outcome = Outcome::Incomplete;
    }
    let choose = |row: &Row| match (row.standing, differing) {
        (Standing::New, _) => Choice::Take,
        (Standing::Same, _) => Choice::KeepHere,
        (Standing::PhotosOnlyThere, _) => Choice::KeepHereAddPhotos,
        (_, Differing::Leave) => Choice::KeepHere,
        (_, Differing::Replace) => Choice::Take,
        (_, Differing::KeepBoth) => Choice::KeepBoth,
    };
    for row in &preview.rows {
        let left = choose(row) == Choice::KeepHere && row.standing != Standing::Same;
        let way = if left {
            outcome = Outcome::Incomplete;
            "; left as she is here (--replace takes the backup's, --keep-both writes it beside her)"
        } else {
            ""
        };
        output::print(&format!("{row}{way}.\n"))?;
    }
    for write in preview.plan(choose) {
        let (client, place) = match write {
            Write::New { client } => (client, Place::Free),
            Write::Beside { client, .. } => (client, Place::Beside),
            Write::Replace { client, present } => (client, Place::Over(&there[present])),
            Write::AddPhotos { client, present } => (client, Place::Photos(&there[present])),
        };
        let read = match backup.client(client) {
            Some(Ok(read)) => read,
            Some(Err(fault)) => {
                outcome = told(&[fault]);
                continue;
            }
            None => continue,
        };
        // A photo that is in neither was said with the row; faults of her own
        // are said here.
        let own = |f: &&Fault| !matches!(f, Fault::NoPhoto { .. });
        if !read.faults.is_empty() {
            outcome = Outcome::Incomplete;
            told(&read.faults.iter().filter(own).cloned().collect::<Vec<_>>());
        }
        let name = backup.folder(client).unwrap_or("client");
        let written = carry_out(read, into, name, &place)?;
        output::print(&format!("  {}\n", written.display()))?;
    }
    Ok(outcome)
}

/// Clients in folders of `into`. What is no client's file is not looked at.
fn present(into: &Path) -> Result<Vec<There>, Trouble> {
    let failed = |source| Trouble::Unreadable {
        file: into.to_owned(),
        source,
    };
    let mut folders = Vec::new();
    for entry in fs::read_dir(into).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        // A link could lead anywhere.
        if entry.file_type().is_ok_and(|t| t.is_dir()) {
            folders.push(entry.path());
        }
    }
    folders.sort();
    let clients = folders.into_iter().filter_map(|folder| {
        let record = client_file::record(&folder.join(CLIENT)).ok()?;
        Some(There {
            present: known(&folder, &record)?,
            folder,
            record,
        })
    });
    Ok(clients.collect())
}

fn known(folder: &Path, record: &Record) -> Option<Present> {
    let mut photos = BTreeMap::new();
    for photo in &record.photos {
        let bytes = match &photo.image {
            Image::File { name } => fs::read(folder.join(name)).ok(),
            Image::Embedded { .. } => photo.image.bytes(),
        };
        if let Some(bytes) = bytes {
            photos.insert(photo.id.clone(), Some(sum(&bytes)));
        }
    }
    let changed = changed(&folder.join(CLIENT));
    // What was read from a file can be written.
    Present::of(record, photos, changed, None).ok()
}

/// Where a client goes.
enum Place<'a> {
    /// A folder of her own.
    Free,
    /// The same, as another client.
    Beside,
    /// In place of the one that is there.
    Over(&'a There),
    /// Pictures only.
    Photos(&'a There),
}

/// Writes one client; returns the folder.
fn carry_out(
    mut read: BackedUp,
    into: &Path,
    name: &str,
    place: &Place<'_>,
) -> Result<PathBuf, Trouble> {
    let folder = match place {
        Place::Free | Place::Beside => free(into, name),
        Place::Over(there) | Place::Photos(there) => there.folder.clone(),
    };
    if matches!(place, Place::Beside) {
        let mut random = [0; 16];
        getrandom::fill(&mut random)
            .map_err(|e| about(into, format!("no random numbers can be had ({e})")))?;
        read.record = beside(&read.record, random);
    }
    let mut files = Vec::new();
    if let Place::Photos(there) = place {
        for photo in there.record.photos.iter().filter(|p| !p.erased) {
            let given = read.photos.iter().find(|p| p.photo == photo.id);
            let (Some(given), Image::File { name }) = (given, &photo.image) else {
                continue;
            };
            // Never over a file that is there.
            if is_plain_name(name) && !folder.join(name).exists() {
                files.push((name.clone(), given.bytes.clone()));
            }
        }
    } else {
        renamed(&mut read);
        let json = read
            .record
            .to_json()
            .map_err(|why| about(&folder, why.to_string()))?;
        for Picture { name, bytes, .. } in read.photos {
            files.push((name, bytes));
        }
        files.push((CLIENT.to_owned(), json.into_bytes()));
    }
    output::write_all(&folder, Path::new(""), &files)?;
    Ok(folder)
}

/// Gives photos whose name not every system can have, or that would lie over
/// her file or each other, one that it can.
fn renamed(read: &mut BackedUp) {
    let mut taken = vec![CLIENT.to_owned()];
    let kept: Vec<String> = read
        .record
        .photos
        .iter()
        .filter_map(|p| match &p.image {
            Image::File { name } => Some(name.to_lowercase()),
            Image::Embedded { .. } => None,
        })
        .collect();
    for picture in &mut read.photos {
        let lower = picture.name.to_lowercase();
        let other = |n: &String| *n == lower;
        if is_plain_name(&picture.name) && !taken.iter().any(other) {
            taken.push(lower);
            continue;
        }
        let ending = if lower.ends_with(".png") {
            "png"
        } else {
            "jpg"
        };
        let fresh = (1_u32..)
            .map(|n| format!("photo-{n}.{ending}"))
            .find(|n| !taken.contains(n) && !kept.contains(n));
        let Some(fresh) = fresh else { continue };
        taken.push(fresh.clone());
        let photo = read
            .record
            .photos
            .iter_mut()
            .find(|p| p.id == picture.photo);
        if let Some(photo) = photo {
            photo.image = Image::File {
                name: fresh.clone(),
            };
        }
        picture.name = fresh;
    }
}

/// A folder that isn't there yet.
fn free(into: &Path, name: &str) -> PathBuf {
    let named = |n: u32| {
        if n == 1 {
            name.to_owned()
        } else {
            format!("{name}-{n}")
        }
    };
    let mut paths = (1_u32..).map(|n| into.join(named(n)));
    // A link that leads nowhere is there as well.
    let free = paths.find(|path| fs::symlink_metadata(path).is_err());
    free.unwrap_or_else(|| into.join(name))
}
