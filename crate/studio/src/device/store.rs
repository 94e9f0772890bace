//! Clients on this device: the browser's own database.
//!
//! | store | key | value |
//! |---|---|---|
//! | `clients` | client key | the record as its JSON text |
//! | `list` | client key | [`Entry`] as lines of text, for the first screen |
//! | `pictures` | client key `/` file name | the photo's bytes as a Blob |
//!
//! A client is written in one transaction, so it is there whole or as before.

use idb::{Database, Factory, KeyRange, ObjectStoreParams, Query, TransactionMode};
use ophryon_record::Record;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::Blob;

const NAME: &str = "ophryon";
const VERSION: u32 = 1;
const CLIENTS: &str = "clients";
const LIST: &str = "list";
const PICTURES: &str = "pictures";

/// A line of the list of clients.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Key of the client in the store.
    pub key: String,
    /// The artist's code for her.
    pub code: String,
    /// When it was last changed, ms since 1970.
    pub changed_ms: f64,
    /// Where the work stands, in words.
    pub stands: String,
}

impl Entry {
    /// One line each; a code holds no line break.
    fn to_text(&self) -> String {
        format!(
            "{}\n{:.0}\n{}\n{}",
            self.key, self.changed_ms, self.stands, self.code
        )
    }

    fn from_text(text: &str) -> Option<Self> {
        let mut lines = text.splitn(4, '\n');
        Some(Self {
            key: lines.next()?.to_owned(),
            // Written as a whole number.
            changed_ms: lines.next()?.parse::<i64>().ok()? as f64,
            stands: lines.next()?.to_owned(),
            code: lines.next()?.to_owned(),
        })
    }
}

/// A client as it was kept.
pub struct Kept {
    /// The record, pictures beside it.
    pub record: Record,
    /// Pictures by file name.
    pub pictures: Vec<(String, Blob)>,
    /// Names of pictures that the record has and the store hasn't.
    pub lost: Vec<String>,
}

/// The open database.
#[derive(Clone)]
pub struct Store {
    database: std::rc::Rc<Database>,
}

/// Why the store can't be used, in a sentence.
pub type Trouble = String;

fn trouble(doing: &str, error: idb::Error) -> Trouble {
    format!("This browser would not {doing} ({error}).")
}

/// A key that no client has.
pub fn new_key() -> String {
    let chance = (js_sys::Math::random() * 1e9).floor();
    format!("{:.0}-{chance:.0}", js_sys::Date::now())
}

impl Store {
    /// Opens the database, and makes it at the first time.
    ///
    /// # Errors
    /// A sentence, as in a private window that keeps nothing.
    pub async fn open() -> Result<Self, Trouble> {
        let open = || -> Result<_, idb::Error> {
            let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
            request.on_upgrade_needed(|event| {
                use idb::DatabaseEvent;
                let Ok(database) = event.database() else {
                    return;
                };
                let there = database.store_names();
                for name in [CLIENTS, LIST, PICTURES] {
                    if !there.iter().any(|n| n == name) {
                        // A failure here fails the whole opening.
                        let _ = database.create_object_store(name, ObjectStoreParams::new());
                    }
                }
            });
            Ok(request)
        };
        let request = open().map_err(|e| trouble("open its store", e))?;
        let database = request.await.map_err(|e| trouble("open its store", e))?;
        Ok(Self {
            database: std::rc::Rc::new(database),
        })
    }

    /// All clients, the last changed first.
    ///
    /// # Errors
    /// A sentence.
    pub async fn list(&self) -> Result<Vec<Entry>, Trouble> {
        let read = async || -> Result<Vec<JsValue>, idb::Error> {
            let work = self
                .database
                .transaction(&[LIST], TransactionMode::ReadOnly)?;
            let all = work.object_store(LIST)?.get_all(None, None)?.await?;
            Ok(all)
        };
        let all = read().await.map_err(|e| trouble("list the clients", e))?;
        let mut entries: Vec<Entry> = all
            .iter()
            .filter_map(|value| Entry::from_text(&value.as_string()?))
            .collect();
        entries.sort_unstable_by(|a, b| b.changed_ms.total_cmp(&a.changed_ms));
        Ok(entries)
    }

    /// Writes a client, its record as JSON; pictures only where they are handed in.
    ///
    /// # Errors
    /// A sentence; the client is then as it was kept before.
    pub async fn keep(
        &self,
        entry: &Entry,
        record: &str,
        pictures: &[(String, Blob)],
    ) -> Result<(), Trouble> {
        let line = entry.to_text();
        let key = JsValue::from_str(&entry.key);
        let write = async || -> Result<(), idb::Error> {
            let work = self
                .database
                .transaction(&[CLIENTS, LIST, PICTURES], TransactionMode::ReadWrite)?;
            work.object_store(CLIENTS)?
                .put(&JsValue::from_str(record), Some(&key))?;
            work.object_store(LIST)?
                .put(&JsValue::from_str(&line), Some(&key))?;
            let store = work.object_store(PICTURES)?;
            for (name, blob) in pictures {
                let key = JsValue::from_str(&picture_key(&entry.key, name));
                store.put(blob.as_ref(), Some(&key))?;
            }
            work.commit()?.await?;
            Ok(())
        };
        write().await.map_err(|e| trouble("keep the client", e))
    }

    /// Reads a client with its pictures; `read_record` is in a part, see
    /// [`crate::later`].
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn fetch(
        &self,
        key: &str,
        read_record: fn(&str) -> Result<Record, String>,
    ) -> Result<Kept, Trouble> {
        let read = async || -> Result<_, idb::Error> {
            let work = self
                .database
                .transaction(&[CLIENTS, PICTURES], TransactionMode::ReadOnly)?;
            let text = work
                .object_store(CLIENTS)?
                .get(Query::Key(JsValue::from_str(key)))?
                .await?;
            let range = KeyRange::bound(
                &JsValue::from_str(&picture_key(key, "")),
                &JsValue::from_str(&picture_key(key, "\u{ffff}")),
                None,
                None,
            )?;
            let store = work.object_store(PICTURES)?;
            let names = store
                .get_all_keys(Some(Query::KeyRange(range.clone())), None)?
                .await?;
            let blobs = store.get_all(Some(Query::KeyRange(range)), None)?.await?;
            Ok((text, names, blobs))
        };
        let (text, names, blobs) = read().await.map_err(|e| trouble("read the client", e))?;
        let text = text
            .and_then(|t| t.as_string())
            .ok_or("This client is no longer kept on this device.")?;
        let record = read_record(&text)?;
        let prefix = picture_key(key, "");
        let pictures: Vec<(String, Blob)> = names
            .iter()
            .zip(blobs)
            .filter_map(|(name, blob)| {
                let name = name.as_string()?.strip_prefix(&prefix)?.to_owned();
                Some((name, blob.dyn_into().ok()?))
            })
            .collect();
        let lost = crate::pictures_of(&record)
            .filter(|name| !pictures.iter().any(|(there, _)| there == name))
            .map(str::to_owned)
            .collect();
        Ok(Kept {
            record,
            pictures,
            lost,
        })
    }

    /// Takes a client off this device, pictures included.
    ///
    /// # Errors
    /// A sentence; the client is then still there.
    pub async fn erase(&self, key: &str) -> Result<(), Trouble> {
        let write = async || -> Result<(), idb::Error> {
            let work = self
                .database
                .transaction(&[CLIENTS, LIST, PICTURES], TransactionMode::ReadWrite)?;
            for name in [CLIENTS, LIST] {
                work.object_store(name)?
                    .delete(Query::Key(JsValue::from_str(key)))?;
            }
            let range = KeyRange::bound(
                &JsValue::from_str(&picture_key(key, "")),
                &JsValue::from_str(&picture_key(key, "\u{ffff}")),
                None,
                None,
            )?;
            work.object_store(PICTURES)?
                .delete(Query::KeyRange(range))?;
            work.commit()?.await?;
            Ok(())
        };
        write().await.map_err(|e| trouble("erase the client", e))
    }
}

fn picture_key(client: &str, name: &str) -> String {
    format!("{client}/{name}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_the_list_comes_back_as_it_was() {
        let entry = Entry {
            key: "1764057600000-12".to_owned(),
            code: "Å. K. (left: 2)".to_owned(),
            changed_ms: 1_764_057_600_123.0,
            stands: "shape drawn".to_owned(),
        };
        assert_eq!(Entry::from_text(&entry.to_text()), Some(entry));
        assert_eq!(Entry::from_text("damaged"), None);
    }
}
