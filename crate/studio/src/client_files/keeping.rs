//! Writing a client into the store, and her line of the list.

use ophryon_record::Record;
use web_sys::Blob;

use super::{read, write};
use crate::device::clock;
use crate::device::store::{Entry, Keeping, NotKept, Store};
use crate::places;

/// A client as she is to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct PutIn {
    /// Her key.
    pub client: String,
    /// Her record.
    pub record: Record,
    /// Pictures that are not in the store yet.
    pub pictures: Vec<(String, Blob)>,
    /// How often she was written when she was read.
    pub keepings: u32,
}

/// Her line of the list.
pub fn entry(key: &str, record: &Record) -> Entry {
    let stands = places::stands(record, Some(&record.drawn()));
    Entry::of(key, record, &stands, clock::now_ms())
}

/// Keeps a client in the store.
pub async fn put_in(store: Store, put: PutIn) -> Result<u32, NotKept> {
    let text = write(&put.record).map_err(NotKept::Trouble)?;
    let what = Keeping {
        entry: &entry(&put.client, &put.record),
        record: &text,
        pictures: &put.pictures,
        keepings: put.keepings,
    };
    store.keep(&what).await
}

/// Writes lines of the list anew, one after the other: thousands are never held at once. One that can't be
/// mended now is tried again at the next look at the list.
pub async fn relist(store: &Store, keys: Vec<String>) {
    for key in keys {
        let Ok(text) = store.record_text(&key).await else {
            continue;
        };
        let line = match read(&text) {
            Ok(record) => entry(&key, &record),
            Err(_) => unreadable(&key, &text),
        };
        let _ = store.relist(&line).await;
    }
}

/// A line for a record that this version can't read: it is kept untouched.
fn unreadable(key: &str, text: &str) -> Entry {
    let told = |text: &str| -> Option<String> {
        let value: serde_json::Value = serde_json::from_str(text).ok()?;
        Some(value.pointer("/client/code")?.as_str()?.to_owned())
    };
    Entry {
        key: key.to_owned(),
        code: told(text).unwrap_or_else(|| "Client that can’t be read".to_owned()),
        stands: "can’t be opened by this version".to_owned(),
        // When she was changed is in a line that is still there, or nowhere.
        changed_ms: clock::now_ms(),
        ..Entry::default()
    }
}
