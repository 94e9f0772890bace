//! Keeps the client in work on this device, and holds its pictures.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use leptos::prelude::*;
use leptos::task::spawn_local;
use ophryon_record::Record;
use web_sys::{Blob, Url};

use crate::device::clock;
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

/// What was kept last.
type Last = Option<(String, Record)>;

/// The signals of keeping.
#[derive(Clone, Copy)]
pub struct Keeper {
    /// Whether the client in work is kept.
    pub keeping: RwSignal<Keeping>,
    /// Addresses of the pictures, by file name.
    pub urls: RwSignal<BTreeMap<String, String>>,
    store: StoredValue<Option<Store>, LocalStorage>,
    blobs: StoredValue<BTreeMap<String, Blob>, LocalStorage>,
    unkept: StoredValue<BTreeSet<String>, LocalStorage>,
    last: StoredValue<Last, LocalStorage>,
    waiting: StoredValue<bool>,
}

impl Keeper {
    /// Nothing held yet.
    pub fn new() -> Self {
        Self {
            keeping: RwSignal::new(Keeping::Kept),
            urls: RwSignal::new(BTreeMap::new()),
            store: StoredValue::new_local(None),
            blobs: StoredValue::new_local(BTreeMap::new()),
            unkept: StoredValue::new_local(BTreeSet::new()),
            last: StoredValue::new_local(None),
            waiting: StoredValue::new(false),
        }
    }

    /// The store, opened at first use.
    ///
    /// # Errors
    /// A sentence.
    pub async fn store(self) -> Result<Store, String> {
        if let Some(store) = self.store.get_value() {
            return Ok(store);
        }
        let store = Store::open().await?;
        self.store.set_value(Some(store.clone()));
        Ok(store)
    }

    /// Holds a picture; it is kept with the next edit.
    pub fn hold(self, name: &str, blob: Blob, already_kept: bool) {
        if let Ok(url) = Url::create_object_url_with_blob(&blob) {
            let old = self
                .urls
                .try_update(|urls| urls.insert(name.to_owned(), url))
                .flatten();
            if let Some(old) = old {
                let _ = Url::revoke_object_url(&old);
            }
        }
        self.blobs.update_value(|b| {
            b.insert(name.to_owned(), blob);
        });
        if !already_kept {
            self.unkept.update_value(|u| {
                u.insert(name.to_owned());
            });
        }
    }

    /// A picture that is held.
    pub fn picture(self, name: &str) -> Option<Blob> {
        self.blobs.with_value(|b| b.get(name).cloned())
    }

    /// Lets go of all pictures.
    pub fn clear(self) {
        let old = self.urls.try_update(std::mem::take).unwrap_or_default();
        for url in old.values() {
            let _ = Url::revoke_object_url(url);
        }
        self.blobs.set_value(BTreeMap::new());
        self.unkept.set_value(BTreeSet::new());
        self.last.set_value(None);
        self.keeping.set(Keeping::Kept);
    }

    /// What was read from the store is as it is kept.
    pub fn is_kept(self, key: &str, record: &Record) {
        self.last.set_value(Some((key.to_owned(), record.clone())));
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
        Effect::new(move || {
            let changed = self.work.with(|work| {
                work.as_ref().is_some_and(|work| {
                    keeper.last.with_value(|last| {
                        last.as_ref()
                            .is_none_or(|(key, record)| {
                                *key != work.key || record != work.history.now()
                            })
                    })
                })
            });
            if !changed || keeper.waiting.get_value() {
                return;
            }
            keeper.waiting.set_value(true);
            keeper.keeping.set(Keeping::Soon);
            set_timeout(
                move || {
                    keeper.waiting.set_value(false);
                    spawn_local(self.keep_now());
                },
                SOON,
            );
        });
        // A tablet may never come back from the background.
        let hidden = window_event_listener(leptos::ev::pagehide, move |_| {
            spawn_local(self.keep_now());
        });
        let away = window_event_listener(leptos::ev::visibilitychange, move |_| {
            spawn_local(self.keep_now());
        });
        on_cleanup(move || {
            hidden.remove();
            away.remove();
        });
    }

    /// Keeps the client in work as it is.
    pub async fn keep_now(self) {
        let keeper = self.keeper;
        let Some((key, record)) = self
            .work
            .with_untracked(|w| w.as_ref().map(|w| (w.key.clone(), w.history.now().clone())))
        else {
            return;
        };
        let same = keeper.last.with_value(|last| {
            last.as_ref()
                .is_some_and(|(k, r)| *k == key && *r == record)
        });
        if same && keeper.unkept.with_value(BTreeSet::is_empty) {
            return;
        }
        let pictures: Vec<(String, Blob)> = keeper.unkept.with_value(|names| {
            names
                .iter()
                .filter_map(|n| Some((n.clone(), keeper.picture(n)?)))
                .collect()
        });
        let entry = Entry {
            key: key.clone(),
            code: record.client.code.clone(),
            changed_ms: clock::now_ms(),
            stands: places::stands(&record, Some(&record.drawn())).to_owned(),
        };
        let written = match keeper.store().await {
            Ok(store) => store.keep(&entry, &record, &pictures).await,
            Err(why) => Err(why),
        };
        let still_open = self
            .work
            .with_untracked(|w| w.as_ref().is_some_and(|w| w.key == key));
        if !still_open {
            return;
        }
        match written {
            Ok(()) => {
                for (name, _) in &pictures {
                    keeper.unkept.update_value(|u| {
                        u.remove(name);
                    });
                }
                let newest = self
                    .work
                    .with_untracked(|w| w.as_ref().is_some_and(|w| *w.history.now() == record));
                keeper.last.set_value(Some((key, record)));
                if newest {
                    keeper.keeping.set(Keeping::Kept);
                }
            }
            Err(why) => keeper.keeping.set(Keeping::Trouble(format!(
                "{why} The client is not kept on this device: save her file under Paper before you close this page."
            ))),
        }
    }
}
