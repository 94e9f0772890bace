//! The browser's own side of the database: opening, beginning and ending a
//! transaction, and what it says when something fails.

use std::cell::Cell;
use std::rc::Rc;

use idb::{DatabaseEvent, Factory, ObjectStoreParams, Query, Transaction, TransactionMode};
use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{IdbDatabase, IdbTransaction};

use super::{STORES, Trouble};

const NAME: &str = "ophryon";

/// Version 1 had clients, list and pictures only.
const VERSION: u32 = 2;

/// The open database.
pub(super) struct Door {
    database: IdbDatabase,
    is_open: Rc<Cell<bool>>,
}

/// Why a transaction was not done; nothing of it is in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotDone {
    /// The device has no room.
    Full,
    /// The browser's settings keep the page from storing anything.
    Denied,
    /// The connection is closed; opening again may help.
    Closed,
    /// Anything else, as the browser says it.
    Other(String),
}

impl NotDone {
    fn of(error: &JsValue) -> Self {
        let name = Reflect::get(error, &"name".into()).ok();
        let name = name.and_then(|n| n.as_string()).unwrap_or_default();
        match name.as_str() {
            "QuotaExceededError" => Self::Full,
            "SecurityError" | "NotAllowedError" => Self::Denied,
            "InvalidStateError" => Self::Closed,
            _ => {
                let message = Reflect::get(error, &"message".into()).ok();
                let message = message.and_then(|n| n.as_string()).unwrap_or_default();
                // Chromium has no name of its own for it.
                if message.contains("denied permission") {
                    return Self::Denied;
                }
                Self::Other(match (message.is_empty(), name.is_empty()) {
                    (false, _) => message,
                    (true, false) => name,
                    (true, true) => "no reason was given".to_owned(),
                })
            }
        }
    }

    /// In a sentence: what was not done, and why.
    pub fn says(&self, doing: &str) -> String {
        match self {
            Self::Full => format!(
                "This device has no room left for Ophryon, so it could not {doing}. Make room: save backups and erase clients you no longer need, or free space on the device."
            ),
            Self::Denied => format!(
                "This browser's settings let no page store anything, so Ophryon could not {doing}. Allow it to store data in the browser's settings for this page."
            ),
            Self::Closed => format!(
                "Another window has closed the store, so this one could not {doing}. Try again."
            ),
            Self::Other(why) => format!("This browser would not {doing} ({why})."),
        }
    }
}

impl From<idb::Error> for NotDone {
    fn from(error: idb::Error) -> Self {
        use idb::Error as E;
        match &error {
            E::DomException(why) => Self::of(why),
            E::TransactionOpenFailed(why)
            | E::IndexedDbOpenFailed(why)
            | E::IndexedDbNotFound(why)
            | E::ObjectStoreNotFound(why)
            | E::GetFailed(why)
            | E::GetAllFailed(why)
            | E::GetAllKeysFailed(why)
            | E::AddFailed(why)
            | E::UpdateFailed(why)
            | E::DeleteFailed(why) => Self::of(why),
            _ => Self::Other(error.to_string()),
        }
    }
}

impl Door {
    /// Opens the database, and makes it at the first time. What an older
    /// version kept stays.
    pub(super) async fn open() -> Result<Self, Trouble> {
        let could_not = |e: NotDone| e.says("open its store");
        let begun = || -> Result<_, idb::Error> {
            let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
            request.on_upgrade_needed(|event| {
                let Ok(database) = event.database() else {
                    return;
                };
                let there = database.store_names();
                for name in STORES {
                    if !there.iter().any(|n| n == name) {
                        // A failure here fails the whole opening.
                        let _ = database.create_object_store(name, ObjectStoreParams::new());
                    }
                }
            });
            Ok(request)
        };
        let mut request = begun().map_err(|e| could_not(e.into()))?;
        // Another window with an older version would keep this waiting for
        // ever: that is told, and opening again finds it opened by then.
        let mut hands = None;
        let answer = Promise::new(&mut |done, fail| hands = Some((done, fail)));
        let (done, blocked) = match hands {
            Some((done, fail)) => (Some::<Function>(done), Some::<Function>(fail)),
            None => (None, None),
        };
        request.on_blocked(move |_| {
            if let Some(blocked) = blocked {
                let _ = blocked.call0(&JsValue::NULL);
            }
        });
        let opened = Rc::new(Cell::new(None));
        {
            let opened = Rc::clone(&opened);
            spawn_local(async move {
                opened.set(Some(request.await));
                if let Some(done) = done {
                    let _ = done.call0(&JsValue::NULL);
                }
            });
        }
        JsFuture::from(answer).await.map_err(|_| {
            "Ophryon is open in another window in an older version, which holds the store. Close that window and try again; nothing is lost.".to_owned()
        })?;
        let database = match opened.take() {
            Some(Ok(database)) => IdbDatabase::from(database),
            Some(Err(why)) => return Err(could_not(why.into())),
            None => return Err(could_not(NotDone::Closed)),
        };
        Ok(Self::with(database))
    }

    fn with(database: IdbDatabase) -> Self {
        let is_open = Rc::new(Cell::new(true));
        // A newer version in another window is not kept waiting.
        for name in ["versionchange", "close"] {
            let (closing, is_open) = (database.clone(), Rc::clone(&is_open));
            let told = Closure::<dyn FnMut()>::new(move || {
                closing.close();
                is_open.set(false);
            });
            // Only a name that is no event's could fail.
            let _ = database.add_event_listener_with_callback(name, told.as_ref().unchecked_ref());
            told.forget();
        }
        Self { database, is_open }
    }

    pub(super) fn is_open(&self) -> bool {
        self.is_open.get()
    }

    /// Begins a transaction. What is written is on the disk when it ends well,
    /// where the browser offers that (Indexed Database API 3.0, "durability");
    /// others pass the wish over.
    pub(super) fn begin(
        &self,
        stores: &[&str],
        mode: TransactionMode,
    ) -> Result<Transaction, NotDone> {
        let names: Array = stores.iter().map(|s| JsValue::from_str(s)).collect();
        let (mode, options) = match mode {
            TransactionMode::ReadOnly | TransactionMode::VersionChange => {
                ("readonly", JsValue::UNDEFINED)
            }
            TransactionMode::ReadWrite => {
                let options = Object::new();
                let _ = Reflect::set(&options, &"durability".into(), &"strict".into());
                ("readwrite", options.into())
            }
        };
        // web-sys has this call without the wish only.
        let begun = Reflect::get(&self.database, &"transaction".into())
            .and_then(|f| f.dyn_into::<Function>())
            .and_then(|f| f.call3(&self.database, &names, &mode.into(), &options))
            .map_err(|e| NotDone::of(&e))?;
        Transaction::try_from(begun).map_err(NotDone::from)
    }

    /// One value.
    pub(super) async fn look(&self, store: &str, key: &str) -> Result<Option<JsValue>, NotDone> {
        let work = self.begin(&[store], TransactionMode::ReadOnly)?;
        let key = Query::Key(JsValue::from_str(key));
        Ok(work.object_store(store)?.get(key)?.await?)
    }
}

/// Waits until a transaction is wholly in the store, or says why it isn't.
pub(super) async fn ended(work: Transaction) -> Result<(), NotDone> {
    let work = IdbTransaction::from(work);
    let ended = Promise::new(&mut |done, fail| {
        work.set_oncomplete(Some(&done));
        work.set_onabort(Some(&fail));
    });
    // Nothing more follows; where this is not offered it ends by itself.
    #[allow(deprecated)]
    let _ = work.commit();
    match JsFuture::from(ended).await {
        Ok(_) => Ok(()),
        Err(_) => Err(match work.error() {
            Some(why) => NotDone::of(&why),
            None => NotDone::Other("it was stopped".to_owned()),
        }),
    }
}

/// How much room there is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Space {
    /// What the app takes up, bytes, about.
    pub used: f64,
    /// What it may still take up, bytes, about.
    pub left: f64,
    /// The browser promised to keep it when the device runs short of room.
    pub is_promised: bool,
}

/// How much room there is; `None` where the browser doesn't say.
pub async fn space() -> Option<Space> {
    let storage = web_sys::window()?.navigator().storage();
    let said = JsFuture::from(storage.estimate().ok()?).await.ok()?;
    let number = |name: &str| Reflect::get(&said, &name.into()).ok()?.as_f64();
    let (used, quota) = (number("usage")?, number("quota")?);
    let promised = JsFuture::from(storage.persisted().ok()?).await.ok()?;
    Some(Space {
        used,
        left: (quota - used).max(0.0),
        is_promised: promised.is_truthy(),
    })
}
