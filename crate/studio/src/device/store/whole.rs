//! A client as a whole: put in by a restore, erased, her photos erased.

use idb::TransactionMode;
use ophryon_record::{Image, Record};
use wasm_bindgen::JsValue;
use web_sys::Blob;

use super::door::{NotDone, ended};
use super::read::{all_of, needed, of_client};
use super::told::tell;
use super::version::{self, NewVersion};
use super::write::{keepings, key, put, text};
use super::{
    BASES, Base, CLIENTS, Cause, Entry, KEEPINGS, Keeping, LIST, PICTURES, STORES, Store, Trouble,
    VERSION_LOOKS, VERSION_RECORDS, VERSIONS,
};

/// A client as a backup brings her.
pub struct Whole<'a> {
    /// Her line of the list.
    pub entry: &'a Entry,
    /// Her record, pictures beside it.
    pub record: Record,
    /// Her pictures by file name.
    pub pictures: Vec<(String, Blob)>,
    /// Her state in the backup, if she is now as there.
    pub base: Option<Base>,
}

/// From text to record and back; both are in a part, see [`crate::later`].
#[derive(Clone, Copy)]
pub struct Reading {
    /// From text.
    pub read: fn(&str) -> Result<Record, String>,
    /// To text.
    pub write: fn(&Record) -> Result<String, String>,
}

async fn is_same(a: &Blob, b: &Blob) -> Result<bool, Trouble> {
    use crate::device::pictures::bytes;
    Ok(a.size() == b.size() && bytes(a).await? == bytes(b).await?)
}

/// `photo-1.jpg` becomes `photo-1-2.jpg` and so on.
fn free_name(name: &str, taken: &[(String, Blob)]) -> String {
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, "jpg"));
    (2_u32..)
        .map(|n| format!("{stem}-{n}.{ending}"))
        .find(|n| !taken.iter().any(|(t, _)| t == n))
        .unwrap_or_default()
}

impl Store {
    /// Puts a client in whole, all or nothing, in place of the one of that key
    /// if there is one; that one stays as an earlier version with its
    /// pictures. A window that has her open is not overwritten: what it holds
    /// becomes a version there.
    ///
    /// # Errors
    /// A sentence; the store is then as before.
    pub async fn put_whole(&self, whole: Whole<'_>, reading: Reading) -> Result<(), Trouble> {
        let client = &whole.entry.key;
        let Whole {
            entry,
            mut record,
            mut pictures,
            base,
        } = whole;
        let before = self.read(client).await.ok();
        // An earlier version's picture is never written over by another of
        // that name.
        let there = before.as_ref().map_or(&[][..], |b| &b.pictures);
        for (name, blob) in &mut pictures {
            let old = there.iter().find(|(n, _)| n == name);
            let Some((_, old)) = old else { continue };
            if !is_same(old, blob).await? {
                let new = free_name(name, there);
                for photo in &mut record.photos {
                    match &mut photo.image {
                        Image::File { name: n } if n == name => n.clone_from(&new),
                        _ => {}
                    }
                }
                *name = new;
            }
        }
        let text_now = (reading.write)(&record)?;
        let names = before.as_ref().map_or_else(Vec::new, |before| {
            let record = (reading.read)(&before.record).ok();
            record.map_or_else(Vec::new, |r| needed(&r).map(str::to_owned).collect())
        });
        let write = async || -> Result<u32, NotDone> {
            let work = self.door.begin(&STORES, TransactionMode::ReadWrite)?;
            let number = keepings(&work, client).await?.unwrap_or(0);
            let old = work.object_store(CLIENTS)?.get(key(client))?.await?;
            if let Some(old) = old.and_then(|o| o.as_string()) {
                let new = NewVersion {
                    at_ms: js_sys::Date::now(),
                    cause: Cause::BeforeRestore,
                    says: "",
                    pictures: names.clone(),
                    record: &old,
                    look: None,
                };
                version::put(&work, client, &new).await?;
            }
            let what = Keeping {
                entry,
                record: &text_now,
                pictures: &pictures,
                keepings: number,
            };
            put(&work, &what, number.saturating_add(1)).await?;
            if let Some(base) = base {
                work.object_store(BASES)?
                    .put(&text(&base.to_text()), Some(&text(client)))?;
            }
            ended(work).await?;
            Ok(number.saturating_add(1))
        };
        let number = write().await.map_err(|e| e.says("put the client in"))?;
        tell(client, number);
        Ok(())
    }

    /// Takes a client off this device: record, line, pictures, earlier
    /// versions, all in one.
    ///
    /// # Errors
    /// A sentence; the client is then still there, whole.
    pub async fn erase(&self, client: &str) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self.door.begin(&STORES, TransactionMode::ReadWrite)?;
            for name in [CLIENTS, LIST, KEEPINGS, BASES] {
                work.object_store(name)?.delete(key(client))?;
            }
            for name in [PICTURES, VERSIONS, VERSION_RECORDS, VERSION_LOOKS] {
                work.object_store(name)?.delete(of_client(client)?)?;
            }
            ended(work).await
        };
        write().await.map_err(|e| e.says("erase the client"))?;
        tell(client, 0);
        Ok(())
    }

    /// Takes a client's photos off this device, also those of earlier
    /// versions; every number stays. `entry` is her line afterwards.
    ///
    /// # Errors
    /// A sentence; she is then as before.
    pub async fn erase_photos(&self, entry: &Entry, reading: Reading) -> Result<(), Trouble> {
        let client = &entry.key;
        let doing = "erase the photos";
        let without = |text: &str| -> Result<String, Trouble> {
            (reading.write)(&(reading.read)(text)?.without_photos())
        };
        let work = self
            .door
            .begin(&STORES, TransactionMode::ReadWrite)
            .map_err(|e| e.says(doing))?;
        let read = async || -> Result<_, NotDone> {
            let record = work.object_store(CLIENTS)?.get(key(client))?.await?;
            let number = keepings(&work, client).await?.unwrap_or(0);
            let records = all_of(&work, VERSION_RECORDS, client).await?;
            Ok((record, number, records))
        };
        let (record, number, records) = read().await.map_err(|e| e.says(doing))?;
        let text_now = match record.and_then(|r| r.as_string()) {
            Some(record) => without(&record),
            None => Err("This client is no longer kept on this device.".to_owned()),
        };
        let text_now = match text_now {
            Ok(text) => text,
            Err(why) => {
                let _ = work.abort();
                return Err(why);
            }
        };
        let write = async || -> Result<(), NotDone> {
            for (version, record) in records {
                let name = format!("{client}/{version}");
                let store = work.object_store(VERSION_RECORDS)?;
                match record.as_string().and_then(|r| without(&r).ok()) {
                    Some(bare) => {
                        store.put(&text(&bare), Some(&text(&name)))?;
                    }
                    // What can't be read can't be kept without its photos.
                    None => {
                        store.delete(key(&name))?;
                        work.object_store(VERSIONS)?.delete(key(&name))?;
                    }
                }
            }
            for name in [PICTURES, VERSION_LOOKS] {
                work.object_store(name)?.delete(of_client(client)?)?;
            }
            let what = Keeping {
                entry,
                record: &text_now,
                pictures: &[],
                keepings: number,
            };
            put(&work, &what, number.saturating_add(1)).await
        };
        write().await.map_err(|e| e.says(doing))?;
        ended(work).await.map_err(|e| e.says(doing))?;
        tell(client, number.saturating_add(1));
        Ok(())
    }

    /// Counts a client as written once more, so that a window that still has
    /// her can't write over what follows; what is there stays as an earlier
    /// version. Gives how often she has been written by now.
    ///
    /// # Errors
    /// A sentence.
    pub async fn take_over(&self, client: &str, names: Vec<String>) -> Result<u32, Trouble> {
        let write = async || -> Result<Option<u32>, NotDone> {
            let work = self.door.begin(&STORES, TransactionMode::ReadWrite)?;
            let old = work.object_store(CLIENTS)?.get(key(client))?.await?;
            let Some(old) = old.and_then(|o| o.as_string()) else {
                return Ok(None);
            };
            let number = keepings(&work, client)
                .await?
                .unwrap_or(0)
                .saturating_add(1);
            let new = NewVersion {
                at_ms: js_sys::Date::now(),
                cause: Cause::BeforeTakeover,
                says: "",
                pictures: names.clone(),
                record: &old,
                look: None,
            };
            version::put(&work, client, &new).await?;
            let number_now = JsValue::from_f64(f64::from(number));
            work.object_store(KEEPINGS)?
                .put(&number_now, Some(&text(client)))?;
            ended(work).await?;
            Ok(Some(number))
        };
        let number = write().await.map_err(|e| e.says("take the client over"))?;
        if let Some(number) = number {
            tell(client, number);
        }
        number.ok_or_else(|| "This client is no longer kept on this device.".to_owned())
    }
}
