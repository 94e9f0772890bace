//! Keeps the client in work on this device, and holds its pictures.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::time::Duration;

use ophryon_record::Record;
use sycamore::reactive::{Signal, create_effect, create_signal};
use wasm_bindgen_futures::spawn_local;
use web_sys::{Blob, Url};

use crate::device::clock;
use crate::device::page;
use crate::device::store::{Entry, Store};
use crate::places;
use crate::studio::Studio;

/// An edit is kept this long after it was made; together with the writing it
/// stays well under a second.
const SOON: Duration = Duration::from_millis(250);

/// Whether the client in work is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Keeping {
    /// As it is shown.
    Kept,
    /// About to be.
    Soon,
    /// It isn't; a sentence says why.
    Trouble(String),
}

/// What the keeper holds that nothing on the screen follows.
#[derive(Default)]
struct Held {
    store: Option<Store>,
    blobs: BTreeMap<String, Blob>,
    unkept: BTreeSet<String>,
    /// What was kept last, under which key.
    last: Option<(String, Record)>,
    waiting: bool,
}

/// The signals of keeping.
#[derive(Clone, Copy)]
pub struct Keeper {
    /// Whether the client in work is kept.
    pub keeping: Signal<Keeping>,
    /// Addresses of the pictures, by file name.
    pub urls: Signal<BTreeMap<String, String>>,
    held: Signal<Rc<RefCell<Held>>>,
}

impl Keeper {
    /// Nothing held yet.
    pub fn new() -> Self {
        Self {
            keeping: create_signal(Keeping::Kept),
            urls: create_signal(BTreeMap::new()),
            held: create_signal(Rc::new(RefCell::new(Held::default()))),
        }
    }

    fn held(self) -> Rc<RefCell<Held>> {
        self.held.get_clone_untracked()
    }

    /// The store, opened at first use.
    ///
    /// # Errors
    /// A sentence.
    pub async fn store(self) -> Result<Store, String> {
        let known = self.held().borrow().store.clone();
        if let Some(store) = known {
            return Ok(store);
        }
        let store = Store::open().await?;
        self.held().borrow_mut().store = Some(store.clone());
        Ok(store)
    }

    /// Holds a picture; it is kept with the next edit.
    pub fn hold(self, name: &str, blob: Blob, already_kept: bool) {
        if let Ok(url) = Url::create_object_url_with_blob(&blob) {
            let old = self.urls.update(|urls| urls.insert(name.to_owned(), url));
            if let Some(old) = old {
                let _ = Url::revoke_object_url(&old);
            }
        }
        let held = self.held();
        let mut held = held.borrow_mut();
        held.blobs.insert(name.to_owned(), blob);
        if !already_kept {
            held.unkept.insert(name.to_owned());
        }
    }

    /// A picture that is held.
    pub fn picture(self, name: &str) -> Option<Blob> {
        self.held().borrow().blobs.get(name).cloned()
    }

    /// Lets go of all pictures.
    pub fn clear(self) {
        let old = self.urls.update(std::mem::take);
        for url in old.values() {
            let _ = Url::revoke_object_url(url);
        }
        let store = self.held().borrow().store.clone();
        *self.held().borrow_mut() = Held {
            store,
            ..Held::default()
        };
        self.keeping.set(Keeping::Kept);
    }

    /// What was read from the store is as it is kept.
    pub fn is_kept(self, key: &str, record: &Record) {
        self.held().borrow_mut().last = Some((key.to_owned(), record.clone()));
    }

    fn is_last(self, key: &str, record: &Record) -> bool {
        let held = self.held();
        let held = held.borrow();
        held.last
            .as_ref()
            .is_some_and(|(k, r)| k == key && r == record)
    }
}

impl Default for Keeper {
    fn default() -> Self {
        Self::new()
    }
}

impl Studio {
    /// From now on every edit is kept.
    pub fn keep_from_now_on(self) {
        let keeper = self.keeper;
        create_effect(move || {
            let changed = self.work.with(|work| {
                work.as_ref()
                    .is_some_and(|w| !keeper.is_last(&w.key, w.history.now()))
            });
            if !changed || keeper.held().borrow().waiting {
                return;
            }
            keeper.held().borrow_mut().waiting = true;
            keeper.keeping.set(Keeping::Soon);
            page::later(SOON, move || {
                keeper.held().borrow_mut().waiting = false;
                spawn_local(self.keep_now());
            });
        });
        // A tablet may never come back from the background.
        for away in ["pagehide", "visibilitychange"] {
            page::listen::<web_sys::Event>(away, move |_| spawn_local(self.keep_now()));
        }
    }

    /// Keeps the client in work as it is.
    pub async fn keep_now(self) {
        let keeper = self.keeper;
        let (Some(key), Some(record)) = (self.key_now(), self.settled()) else {
            return;
        };
        let pictures: Vec<(String, Blob)> = {
            let held = keeper.held();
            let held = held.borrow();
            let blob = |n: &String| Some((n.clone(), held.blobs.get(n)?.clone()));
            held.unkept.iter().filter_map(blob).collect()
        };
        if keeper.is_last(&key, &record) && pictures.is_empty() {
            return;
        }
        let entry = Entry {
            key: key.clone(),
            code: record.client.code.clone(),
            changed_ms: clock::now_ms(),
            stands: places::stands(&record, Some(&record.drawn())).to_owned(),
        };
        let write = async || {
            let text = (self.later.files.get().await?.write)(&record)?;
            keeper.store().await?.keep(&entry, &text, &pictures).await
        };
        let written = write().await;
        if self.key_now().as_ref() != Some(&key) {
            return; // Another client is open by now.
        }
        match written {
            Ok(()) => {
                let newest = self.settled().is_some_and(|now| now == record);
                {
                    let held = keeper.held();
                    let mut held = held.borrow_mut();
                    for (name, _) in &pictures {
                        held.unkept.remove(name);
                    }
                    held.last = Some((key, record));
                }
                if newest {
                    keeper.keeping.set(Keeping::Kept);
                }
            }
            Err(why) => keeper.keeping.set(Keeping::Trouble(format!(
                "{why} The client is not kept on this device: save the file under Paper before you close this page."
            ))),
        }
    }
}
