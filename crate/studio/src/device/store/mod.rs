//! Clients on this device: the browser's own database.
//!
//! | store | key | value |
//! |---|---|---|
//! | `clients` | client key | the record as its JSON text |
//! | `list` | client key | [`Entry`] as lines of text, for the first screen |
//! | `pictures` | client key `/` file name | the photo's bytes as a Blob |
//! | `keepings` | client key | how often she was written, a number |
//! | `versions` | client key `/` number | [`Version`] as lines of text |
//! | `version-records` | the same | her record then, as JSON text |
//! | `version-looks` | the same | a small picture as a Blob |
//! | `bases` | client key | [`Base`]: her state when she last went into a backup |
//! | `facts` | a name | what the app knows of this device, a text |
//!
//! A client is written in one transaction, so it is there whole or as before.
//! What the first screen needs is in this file and those of it that it calls;
//! all else is only reached from parts, see [`crate::later`].

mod bases;
mod door;
mod entry;
mod read;
mod told;
mod version;
mod whole;
mod write;

use std::rc::Rc;

use idb::TransactionMode;
use wasm_bindgen::JsValue;

pub use bases::Base;
pub use door::{NotDone, Space, space};
pub use entry::Entry;
pub use read::Raw;
pub use told::listen;
pub use version::{Cause, Earlier, NewVersion, Version};
pub use whole::{Reading, Whole};
pub use write::{Keeping, NotKept};

use door::Door;

const CLIENTS: &str = "clients";
const LIST: &str = "list";
const PICTURES: &str = "pictures";
const KEEPINGS: &str = "keepings";
const VERSIONS: &str = "versions";
const VERSION_RECORDS: &str = "version-records";
const VERSION_LOOKS: &str = "version-looks";
const BASES: &str = "bases";
const FACTS: &str = "facts";

/// All of them; version 1 of the database had the first three.
const STORES: [&str; 9] = [
    CLIENTS,
    LIST,
    PICTURES,
    KEEPINGS,
    VERSIONS,
    VERSION_RECORDS,
    VERSION_LOOKS,
    BASES,
    FACTS,
];

/// Why the store can't be used, in a sentence.
pub type Trouble = String;

/// The open database.
#[derive(Clone)]
pub struct Store {
    door: Rc<Door>,
}

/// The clients on this device.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Listed {
    /// The last changed first.
    pub entries: Vec<Entry>,
    /// Keys of clients that are kept and whose line is missing, damaged or from
    /// before names were searched for.
    pub unlisted: Vec<String>,
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
    /// A sentence, as where the browser's settings deny it.
    pub async fn open() -> Result<Self, Trouble> {
        let door = Door::open().await?;
        Ok(Self {
            door: Rc::new(door),
        })
    }

    /// Whether it can still be used: another window may have had to make it
    /// anew.
    pub fn is_open(&self) -> bool {
        self.door.is_open()
    }

    /// All clients; neither records nor pictures are read.
    ///
    /// # Errors
    /// A sentence.
    pub async fn list(&self) -> Result<Listed, Trouble> {
        let read = async || -> Result<_, NotDone> {
            let work = self
                .door
                .begin(&[LIST, CLIENTS], TransactionMode::ReadOnly)?;
            let lines = work.object_store(LIST)?.get_all(None, None)?.await?;
            let there = work
                .object_store(CLIENTS)?
                .get_all_keys(None, None)?
                .await?;
            Ok((lines, there))
        };
        let (lines, there) = read().await.map_err(|e| e.says("list the clients"))?;
        let lines = lines.iter().filter_map(JsValue::as_string);
        let there = there.iter().filter_map(JsValue::as_string);
        Ok(entry::listed(lines, there.collect()))
    }

    /// What the app knows of this device under a name.
    ///
    /// # Errors
    /// A sentence.
    pub async fn fact(&self, name: &str) -> Result<Option<String>, Trouble> {
        let found = self.door.look(FACTS, name).await;
        let found = found.map_err(|e| e.says("read its notes"))?;
        Ok(found.and_then(|v| v.as_string()))
    }
}
