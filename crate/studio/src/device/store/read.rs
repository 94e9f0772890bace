//! Reading clients.

use idb::{KeyRange, Query, Transaction, TransactionMode};
use ophryon_record::Record;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::Blob;

use super::door::NotDone;
use super::write::{keepings, key, picture_key, text};
use super::{CLIENTS, KEEPINGS, PICTURES, Store, Trouble};

/// A client as she is kept, whatever her record holds.
pub struct Raw {
    /// Her record as it is kept, JSON.
    pub record: String,
    /// How often she was written.
    pub keepings: u32,
    /// All her pictures, also those of earlier versions, by file name.
    pub pictures: Vec<(String, Blob)>,
}

/// A client as she was kept.
pub struct Kept {
    /// The record, pictures beside it.
    pub record: Record,
    /// Its pictures by file name.
    pub pictures: Vec<(String, Blob)>,
    /// Names of pictures that the record has and the store hasn't; those that
    /// were erased are none of them.
    pub lost: Vec<String>,
    /// How often she was written.
    pub keepings: u32,
}

impl Raw {
    /// With her record as it was read from the text.
    pub fn with(self, record: Record) -> Kept {
        let mut pictures = self.pictures;
        pictures.retain(|(name, _)| crate::pictures_of(&record).any(|n| n == name));
        let lost = needed(&record)
            .filter(|name| !pictures.iter().any(|(there, _)| there == name))
            .map(str::to_owned)
            .collect();
        Kept {
            record,
            pictures,
            lost,
            keepings: self.keepings,
        }
    }
}

/// All keys that begin with a client's.
pub(super) fn of_client(client: &str) -> Result<Query, NotDone> {
    let range = KeyRange::bound(
        &text(&picture_key(client, "")),
        &text(&picture_key(client, "\u{ffff}")),
        None,
        None,
    )?;
    Ok(Query::KeyRange(range))
}

/// What of a store belongs to a client, by what follows her key.
pub(super) async fn all_of(
    work: &Transaction,
    store: &str,
    client: &str,
) -> Result<Vec<(String, JsValue)>, NotDone> {
    let store = work.object_store(store)?;
    let keys = store.get_all_keys(Some(of_client(client)?), None)?.await?;
    let values = store.get_all(Some(of_client(client)?), None)?.await?;
    let prefix = picture_key(client, "");
    let named = keys.iter().zip(values);
    Ok(named
        .filter_map(|(key, value)| {
            let name = key.as_string()?.strip_prefix(&prefix)?.to_owned();
            Some((name, value))
        })
        .collect())
}

/// Names of the pictures that a record needs: those of photos that were erased
/// on purpose are not missed.
pub(super) fn needed(record: &Record) -> impl Iterator<Item = &str> {
    let photos = record.photos.iter().filter(|p| !p.erased);
    photos.filter_map(|p| match &p.image {
        ophryon_record::Image::File { name } => Some(name.as_str()),
        ophryon_record::Image::Embedded { .. } => None,
    })
}

impl Store {
    /// Keys of all clients.
    ///
    /// # Errors
    /// A sentence.
    pub async fn keys(&self) -> Result<Vec<String>, Trouble> {
        let read = async || -> Result<Vec<JsValue>, NotDone> {
            let work = self.door.begin(&[CLIENTS], TransactionMode::ReadOnly)?;
            Ok(work
                .object_store(CLIENTS)?
                .get_all_keys(None, None)?
                .await?)
        };
        let keys = read().await.map_err(|e| e.says("list the clients"))?;
        Ok(keys.iter().filter_map(JsValue::as_string).collect())
    }

    /// A client's record as it is kept, without pictures.
    ///
    /// # Errors
    /// A sentence.
    pub async fn record_text(&self, client: &str) -> Result<String, Trouble> {
        let found = self.door.look(CLIENTS, client).await;
        let found = found.map_err(|e| e.says("read the client"))?;
        found.and_then(|t| t.as_string()).ok_or_else(gone)
    }

    /// A client as she is kept, all of one moment.
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn read(&self, client: &str) -> Result<Raw, Trouble> {
        let read = async || -> Result<_, NotDone> {
            let work = self
                .door
                .begin(&[CLIENTS, KEEPINGS, PICTURES], TransactionMode::ReadOnly)?;
            let record = work.object_store(CLIENTS)?.get(key(client))?.await?;
            let keepings = keepings(&work, client).await?;
            let pictures = all_of(&work, PICTURES, client).await?;
            Ok((record, keepings, pictures))
        };
        let (record, keepings, pictures) = read().await.map_err(|e| e.says("read the client"))?;
        let pictures = pictures.into_iter();
        Ok(Raw {
            record: record.and_then(|r| r.as_string()).ok_or_else(gone)?,
            keepings: keepings.unwrap_or(0),
            pictures: pictures
                .filter_map(|(name, blob)| Some((name, blob.dyn_into().ok()?)))
                .collect(),
        })
    }

    /// A client with the pictures of her record. `read_record` is in a part,
    /// see [`crate::later`].
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn fetch(
        &self,
        client: &str,
        read_record: fn(&str) -> Result<Record, String>,
    ) -> Result<Kept, Trouble> {
        let raw = self.read(client).await?;
        let record = read_record(&raw.record)?;
        Ok(raw.with(record))
    }

    /// One picture of a client.
    ///
    /// # Errors
    /// A sentence.
    pub async fn picture(&self, client: &str, name: &str) -> Result<Option<Blob>, Trouble> {
        let found = self.door.look(PICTURES, &picture_key(client, name)).await;
        let found = found.map_err(|e| e.says("read a photo"))?;
        Ok(found.and_then(|b| b.dyn_into().ok()))
    }
}

fn gone() -> Trouble {
    "This client is no longer kept on this device.".to_owned()
}
