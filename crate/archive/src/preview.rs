//! What a restore would do, before it does anything.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use ophryon_record::{Image, ReadError, Record};
use rawzip::ReaderAt;

use crate::read::Glance;
use crate::sums::{Sum, sum};
use crate::{Backup, Fault};

/// What a client's file holds apart from where its pictures lie: a checksum
/// over its canonical JSON. Two files with the same one are the same client in
/// the same state.
///
/// # Errors
/// For a record that can't be written.
pub fn state_of(record: &Record) -> Result<Sum, ReadError> {
    let mut record = record.clone();
    for photo in &mut record.photos {
        photo.image = Image::File {
            name: "-".to_owned(),
        };
    }
    Ok(sum(record.to_json()?.as_bytes()))
}

/// A client that is on this device, as far as a restore must know her.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Present {
    /// Her record's identity.
    pub id: Option<String>,
    /// Her code.
    pub code: String,
    /// Her name, if it is kept.
    pub name: Option<String>,
    /// Version of her shape.
    pub version: u32,
    /// When she was last changed, seconds since 1970, if that is known.
    pub changed: Option<i64>,
    /// [`state_of`] her record.
    pub state: Sum,
    /// By id her photos whose pictures are here, with their checksums where
    /// those are known.
    pub photos: BTreeMap<String, Option<Sum>>,
    /// The state in which she last went into a backup or came out of one, if
    /// the shell keeps that. With it, which side changed is certain.
    pub base: Option<Sum>,
}

impl Present {
    /// From a record and the pictures that are here.
    ///
    /// # Errors
    /// For a record that can't be written.
    pub fn of(
        record: &Record,
        photos: BTreeMap<String, Option<Sum>>,
        changed: Option<i64>,
        base: Option<Sum>,
    ) -> Result<Self, ReadError> {
        Ok(Self {
            id: record.id.clone(),
            code: record.client.code.clone(),
            name: record.client.name.clone(),
            version: record.version,
            changed,
            state: state_of(record)?,
            photos,
            base,
        })
    }
}

/// How a client of the backup stands to the one that is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Not here.
    New,
    /// The same here.
    Same,
    /// The same but for pictures that only the backup has.
    PhotosOnlyThere,
    /// Changed here since.
    NewerHere(Basis),
    /// Changed there since.
    NewerThere(Basis),
    /// Changed on both sides, or nobody can tell.
    BothChanged,
}

/// How it is known which side is newer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The other side is as both once were.
    Known,
    /// By version and date alone: the older side may hold work of its own.
    Dates,
}

/// One client of the backup beside the one that is here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Which client of the backup, from 0.
    pub client: usize,
    /// Which of those here, as they were handed in; `None` for a new one.
    pub present: Option<usize>,
    /// Her code in the backup.
    pub code: String,
    /// Her name in the backup.
    pub name: Option<String>,
    /// Versions of her shape: in the backup, and here.
    pub versions: (u32, Option<u32>),
    /// When she was last changed, there and here.
    pub changed: (Option<i64>, Option<i64>),
    /// How she stands.
    pub standing: Standing,
    /// Photos (ids) whose pictures are neither in the backup nor here.
    pub photos_missing: Vec<String>,
    /// Photos (ids) whose pictures only the backup has.
    pub photos_there: Vec<String>,
    /// [`state_of`] her record in the backup: what the shell keeps as base.
    pub state: Sum,
}

impl fmt::Display for Row {
    /// One sentence about her.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = match self.standing {
            Standing::New => "is not here yet",
            Standing::Same => "is the same here",
            Standing::PhotosOnlyThere => "is the same here but for photos that only the backup has",
            Standing::NewerHere(Basis::Known) => "was changed here since the backup",
            Standing::NewerHere(Basis::Dates) => "is newer here by version and date",
            Standing::NewerThere(Basis::Known) => "is newer in the backup",
            Standing::NewerThere(Basis::Dates) => {
                "is newer in the backup by version and date; what was changed only here would go"
            }
            Standing::BothChanged => "was changed here and in the backup",
        };
        write!(f, "{} {words}", crate::Name::new(&self.code))?;
        if !self.photos_missing.is_empty() {
            let count = self.photos_missing.len();
            let photos = if count == 1 { "photo is" } else { "photos are" };
            write!(f, "; {count} {photos} in neither")?;
        }
        Ok(())
    }
}

/// Every client of a backup beside those that are here.
#[derive(Debug, Clone, Default)]
pub struct Preview {
    /// By the backup's order.
    pub rows: Vec<Row>,
    /// Clients of the backup that can't be read.
    pub faults: Vec<Fault>,
}

impl<R: ReaderAt> Backup<R> {
    /// Compares with what is here. Nothing is changed, and photos are read only
    /// where the backup doesn't list their checksums.
    pub fn preview(&self, present: &[Present]) -> Preview {
        let mut comparing = self.comparing(present);
        while comparing.step() {}
        comparing.preview()
    }

    /// The same client by client, for shells that show how far it is.
    pub fn comparing<'a>(&'a self, present: &'a [Present]) -> Comparing<'a, R> {
        Comparing {
            backup: self,
            known: Known::of(present),
            met: BTreeSet::new(),
            next: 0,
            preview: Preview::default(),
        }
    }
}

/// A preview on its way; see [`Backup::comparing`].
pub struct Comparing<'a, R> {
    backup: &'a Backup<R>,
    known: Known<'a>,
    met: BTreeSet<usize>,
    next: usize,
    preview: Preview,
}

impl<R: ReaderAt> Comparing<'_, R> {
    /// Compares one more client; false once there are no more.
    pub fn step(&mut self) -> bool {
        let client = self.next;
        if client >= self.backup.count() {
            return false;
        }
        self.next += 1;
        match self.backup.glance(client) {
            Some(Ok(glance)) => {
                if let Ok(state) = state_of(&glance.record) {
                    // A second one of the same identity comes beside it.
                    let here = self.known.find(&glance.record);
                    let here = here.filter(|here| self.met.insert(*here));
                    let here = here.map(|i| (i, &self.known.present[i]));
                    self.preview.rows.push(row(client, &glance, state, here));
                }
            }
            Some(Err(fault)) => self.preview.faults.push(fault),
            None => {}
        }
        true
    }

    /// What was compared so far.
    pub fn preview(self) -> Preview {
        self.preview
    }
}

/// Those that are here, by what they are found by.
struct Known<'a> {
    ids: BTreeMap<&'a str, usize>,
    /// For files from before identities were given.
    names: BTreeMap<(&'a str, Option<&'a str>), usize>,
    present: &'a [Present],
}

impl<'a> Known<'a> {
    fn of(present: &'a [Present]) -> Self {
        let mut known = Self {
            ids: BTreeMap::new(),
            names: BTreeMap::new(),
            present,
        };
        for (i, one) in present.iter().enumerate() {
            if let Some(id) = &one.id {
                known.ids.entry(id.as_str()).or_insert(i);
            }
            let name = (one.code.as_str(), one.name.as_deref());
            known.names.entry(name).or_insert(i);
        }
        known
    }

    /// By identity; where one of the two has none, by code and name.
    fn find(&self, record: &Record) -> Option<usize> {
        if let Some(found) = record.id.as_deref().and_then(|id| self.ids.get(id)) {
            return Some(*found);
        }
        let name = (record.client.code.as_str(), record.client.name.as_deref());
        let found = *self.names.get(&name)?;
        let both = record.id.is_some() && self.present[found].id.is_some();
        (!both).then_some(found)
    }
}

fn row(client: usize, there: &Glance, state: Sum, here: Option<(usize, &Present)>) -> Row {
    let none = BTreeMap::new();
    let photos_here = here.map_or(&none, |(_, p)| &p.photos);
    let wanted = || there.record.photos.iter().filter(|p| !p.erased);
    let photos_there = wanted()
        .filter(|p| there.photos.contains_key(&p.id) && !photos_here.contains_key(&p.id))
        .map(|p| p.id.clone())
        .collect::<Vec<_>>();
    let photos_missing = wanted()
        .filter(|p| !there.photos.contains_key(&p.id) && !photos_here.contains_key(&p.id))
        .map(|p| p.id.clone())
        .collect();
    let standing = match here {
        None => Standing::New,
        Some((_, here)) => standing(there, state, here, &photos_there),
    };
    Row {
        client,
        present: here.map(|(i, _)| i),
        code: there.record.client.code.clone(),
        name: there.record.client.name.clone(),
        versions: (there.record.version, here.map(|(_, p)| p.version)),
        changed: (there.changed, here.and_then(|(_, p)| p.changed)),
        standing,
        photos_missing,
        photos_there,
        state,
    }
}

fn standing(there: &Glance, state: Sum, here: &Present, only_there: &[String]) -> Standing {
    let differs = |(id, sum): (&String, &Option<Sum>)| match (sum, here.photos.get(id)) {
        (Some(a), Some(Some(b))) => a != b,
        _ => false,
    };
    if state == here.state && !there.photos.iter().any(differs) {
        return if only_there.is_empty() {
            Standing::Same
        } else {
            Standing::PhotosOnlyThere
        };
    }
    if state != here.state {
        if here.base == Some(state) {
            return Standing::NewerHere(Basis::Known);
        }
        if here.base == Some(here.state) {
            return Standing::NewerThere(Basis::Known);
        }
        if here.base.is_some() {
            return Standing::BothChanged;
        }
    }
    let version = there.record.version.cmp(&here.version);
    let date = match (there.changed, here.changed) {
        (Some(there), Some(here)) => there.cmp(&here),
        _ => version,
    };
    match version.then(date) {
        std::cmp::Ordering::Greater if date.is_ge() => Standing::NewerThere(Basis::Dates),
        std::cmp::Ordering::Less if date.is_le() => Standing::NewerHere(Basis::Dates),
        _ => Standing::BothChanged,
    }
}
