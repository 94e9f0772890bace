//! Writing a client in work.

use idb::{ObjectStore, Query, Transaction, TransactionMode};
use wasm_bindgen::JsValue;
use web_sys::Blob;

use super::door::{NotDone, ended};
use super::told::tell;
use super::{CLIENTS, Entry, FACTS, KEEPINGS, LIST, PICTURES, Store, Trouble};

/// The fact that counts what was kept on this device; see [`Entry::turn`].
const TURN: &str = "turn";

/// A client as she is to be kept.
#[derive(Debug, Clone, Copy)]
pub struct Keeping<'a> {
    /// Her line in the list; its turn is given by the store.
    pub entry: &'a Entry,
    /// Her record as JSON.
    pub record: &'a str,
    /// Pictures that are not in the store yet.
    pub pictures: &'a [(String, Blob)],
    /// How often she had been written when she was read; 0 for a new client.
    pub keepings: u32,
}

/// Why a client was not kept; the store is then as before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotKept {
    /// Somebody else has written her since.
    Elsewhere,
    /// She was erased since.
    Erased,
    /// A sentence.
    Trouble(Trouble),
}

impl From<NotDone> for NotKept {
    fn from(why: NotDone) -> Self {
        Self::Trouble(why.says("keep the last change"))
    }
}

impl From<idb::Error> for NotKept {
    fn from(why: idb::Error) -> Self {
        NotDone::from(why).into()
    }
}

pub(super) fn text(value: &str) -> JsValue {
    JsValue::from_str(value)
}

pub(super) fn key(value: &str) -> Query {
    Query::Key(text(value))
}

pub(super) fn picture_key(client: &str, name: &str) -> String {
    format!("{client}/{name}")
}

/// How often a client was written; `None` where the number isn't there.
pub(super) async fn keepings(work: &Transaction, client: &str) -> Result<Option<u32>, NotDone> {
    let there = work.object_store(KEEPINGS)?.get(key(client))?.await?;
    Ok(there.and_then(|v| v.as_f64()).map(|n| n as u32))
}

/// Puts a client into a transaction over [`CLIENTS`], [`LIST`], [`PICTURES`],
/// [`KEEPINGS`] and [`FACTS`].
pub(super) async fn put(
    work: &Transaction,
    what: &Keeping<'_>,
    keepings: u32,
) -> Result<(), NotDone> {
    let client = text(&what.entry.key);
    let facts = work.object_store(FACTS)?;
    let turn = facts.get(key(TURN))?.await?;
    let turn = turn.and_then(|t| t.as_string()?.parse::<i64>().ok());
    let turn = turn.unwrap_or(0).saturating_add(1);
    let entry = Entry {
        turn: turn as f64,
        ..what.entry.clone()
    };
    let set = |store: ObjectStore, key: &JsValue, value: &JsValue| {
        store.put(value, Some(key)).map(|_| ())
    };
    set(facts, &text(TURN), &text(&turn.to_string()))?;
    set(
        work.object_store(KEEPINGS)?,
        &client,
        &f64::from(keepings).into(),
    )?;
    set(work.object_store(CLIENTS)?, &client, &text(what.record))?;
    set(work.object_store(LIST)?, &client, &text(&entry.to_text()))?;
    for (name, blob) in what.pictures {
        let key = text(&picture_key(&what.entry.key, name));
        set(work.object_store(PICTURES)?, &key, blob)?;
    }
    Ok(())
}

impl Store {
    /// Writes a client, all or nothing, unless somebody else did since she was
    /// read. Gives how often she has been written by now.
    ///
    /// # Errors
    /// [`NotKept`]; the client is then as she was kept before.
    pub async fn keep(&self, what: &Keeping<'_>) -> Result<u32, NotKept> {
        let work = self.door.begin(
            &[CLIENTS, LIST, PICTURES, KEEPINGS, FACTS],
            TransactionMode::ReadWrite,
        )?;
        let there = keepings(&work, &what.entry.key).await?;
        if there.unwrap_or(0) != what.keepings {
            let _ = work.abort();
            return Err(match there {
                None => NotKept::Erased,
                Some(_) => NotKept::Elsewhere,
            });
        }
        let now = what.keepings.saturating_add(1);
        put(&work, what, now).await?;
        ended(work).await?;
        tell(&what.entry.key, now);
        Ok(now)
    }

    /// Writes a client's line anew where it was missing, damaged or from an
    /// older version; her place in the order of the list stays.
    ///
    /// # Errors
    /// A sentence.
    pub async fn relist(&self, entry: &Entry) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self
                .door
                .begin(&[CLIENTS, LIST], TransactionMode::ReadWrite)?;
            let client = work.object_store(CLIENTS)?;
            let is_there = client.get_key(key(&entry.key))?.await?.is_some();
            let list = work.object_store(LIST)?;
            let line = list.get(key(&entry.key))?.await?;
            let line = line.and_then(|l| l.as_string());
            let old = line.and_then(|l| Entry::from_text(&l));
            // She may have been erased or kept meanwhile.
            if is_there && !old.as_ref().is_some_and(|(_, is_whole)| *is_whole) {
                let mut entry = entry.clone();
                if let Some((old, _)) = old {
                    entry.changed_ms = old.changed_ms;
                }
                list.put(&text(&entry.to_text()), Some(&text(&entry.key)))?;
            }
            ended(work).await
        };
        write()
            .await
            .map_err(|e| e.says("mend the list of clients"))
    }

    /// Notes something about this device; see [`Store::fact`].
    ///
    /// # Errors
    /// A sentence.
    pub async fn set_fact(&self, name: &str, fact: &str) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self.door.begin(&[FACTS], TransactionMode::ReadWrite)?;
            work.object_store(FACTS)?
                .put(&text(fact), Some(&text(name)))?;
            ended(work).await
        };
        write().await.map_err(|e| e.says("keep its notes"))
    }
}
