//! Bringing clients back from a backup: writing what was chosen.

use std::collections::BTreeMap;

use ophryon_archive::{BackedUp, Choice, Row, Standing, Write, beside};
use ophryon_record::Record;

use super::carry::{self, Here};
use super::compare::{Compared, sentence};
use crate::device::store::{Base, Entry, Reading, Store, Whole, new_key};
use crate::device::{clock, page, pictures};
use crate::places;
use crate::safe::progress::Progress;
use crate::safe::unfinished::UnderWay;
use crate::studio::Studio;

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
    let under_way = UnderWay::begin(studio.keeper.store().await?, plan.len()).await;
    let outcome = bringing.all(&plan, progress, &under_way).await;
    under_way.end().await;
    if !outcome? {
        return Ok(None);
    }
    let now = clock::now_ms();
    let same = compared.preview.rows.iter().filter_map(|row| {
        let key = compared.here.get(row.present?)?;
        let is_same = matches!(row.standing, Standing::Same);
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
    /// Writes all that was chosen; false where it was stopped.
    async fn all(
        &mut self,
        plan: &[Write],
        progress: Progress,
        under_way: &UnderWay,
    ) -> Result<bool, String> {
        // The last one first: what is written last stands first in the list.
        for (done, write) in plan.iter().rev().enumerate() {
            progress.at("Bringing clients back", Some((done, plan.len())));
            progress.breathe().await;
            let outcome = if progress.is_stopped() {
                Ok(false)
            } else {
                self.write(*write).await.map(|()| true)
            };
            match outcome {
                Ok(true) => under_way.at(done + 1).await,
                Ok(false) => {
                    progress.at("Going back to how it was", None);
                    self.go_back().await?;
                    return Ok(false);
                }
                Err(why) => {
                    progress.at("Going back to how it was", None);
                    self.go_back().await?;
                    return Err(format!("{why} Every client is as she was before."));
                }
            }
        }
        Ok(true)
    }

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
        let entry = Entry::of(key, &record, &stands, changed_ms);
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
