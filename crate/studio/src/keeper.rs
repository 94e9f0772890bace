//! Keeps the client in work on this device, and holds its pictures.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::future::poll_fn;
use std::rc::Rc;
use std::task::{Poll, Waker};
use std::time::Duration;

use ophryon_record::Record;
use sycamore::reactive::{Signal, create_effect, create_signal};
use wasm_bindgen_futures::spawn_local;
use web_sys::{Blob, Url};

use crate::client_files::PutIn;
use crate::device::page;
use crate::device::store::{Entry, NotKept, Store};
use crate::later::Parts;
use crate::studio::Studio;

mod turn;

use turn::{Next, Turn};

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

/// What is kept together: the record, and how many pictures came since the
/// client was opened.
#[derive(Debug, Clone, PartialEq)]
struct Shown {
    record: Record,
    pictures: u32,
}

/// What the keeper holds that nothing on the screen follows.
#[derive(Default)]
struct Held {
    store: Option<Store>,
    blobs: BTreeMap<String, Blob>,
    unkept: BTreeSet<String>,
    /// Pictures that came.
    pictures: u32,
    turn: Turn<Shown>,
    /// How often the client in work was written, as far as is known here.
    keepings: u32,
    /// Counts the clients that were opened: an answer that comes late is known
    /// by it.
    client: u32,
    /// Those who wait for the write that is under way.
    waiting: Vec<Waker>,
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
        if let Some(store) = known.filter(Store::is_open) {
            return Ok(store);
        }
        let store = Store::open().await?;
        self.held().borrow_mut().store = Some(store.clone());
        Ok(store)
    }

    /// All clients on this device; a line of the list that is missing or
    /// damaged is written anew first.
    ///
    /// # Errors
    /// A sentence.
    pub async fn clients(self, later: Parts) -> Result<Vec<Entry>, String> {
        let store = self.store().await?;
        let listed = store.list().await?;
        if listed.unlisted.is_empty() {
            return Ok(listed.entries);
        }
        let files = later.files.get().await?;
        (files.relist)(store.clone(), listed.unlisted).await;
        Ok(store.list().await?.entries)
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
            held.pictures += 1;
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
        let held = self.held();
        let mut held = held.borrow_mut();
        *held = Held {
            store: held.store.take(),
            client: held.client.wrapping_add(1),
            waiting: std::mem::take(&mut held.waiting),
            ..Held::default()
        };
        held.wake();
        drop(held);
        self.keeping.set(Keeping::Kept);
    }

    /// What was read from the store is as it is kept.
    pub fn is_kept(self, record: &Record, keepings: u32) {
        let held = self.held();
        let mut held = held.borrow_mut();
        held.keepings = keepings;
        held.turn.is_stored(Shown {
            record: record.clone(),
            pictures: 0,
        });
    }
}

impl Keeper {
    /// Says how it stands, where that is news.
    fn say(self, keeping: Keeping) {
        if self.keeping.with_untracked(|now| *now != keeping) {
            self.keeping.set(keeping);
        }
    }

    /// Pictures that are not in the store yet.
    fn unkept(self) -> Vec<(String, Blob)> {
        let held = self.held();
        let held = held.borrow();
        let blob = |n: &String| Some((n.clone(), held.blobs.get(n)?.clone()));
        held.unkept.iter().filter_map(blob).collect()
    }

    /// Until the write that is under way is over.
    async fn write_is_over(self) {
        let mut asked = false;
        poll_fn(|context| {
            if asked {
                return Poll::Ready(());
            }
            asked = true;
            let waker = context.waker().clone();
            self.held().borrow_mut().waiting.push(waker);
            Poll::Pending
        })
        .await;
    }
}

impl Held {
    fn wake(&mut self) {
        for waker in self.waiting.drain(..) {
            waker.wake();
        }
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
            // Followed; what is kept is never an unfinished gesture.
            self.work.track();
            let Some((_, shown)) = self.to_keep() else {
                return;
            };
            let next = keeper.held().borrow_mut().turn.changed(&shown);
            match next {
                Next::Rest => keeper.say(Keeping::Kept),
                Next::Soon => {
                    keeper.say(Keeping::Soon);
                    let client = keeper.held().borrow().client;
                    page::later(SOON, move || {
                        if keeper.held().borrow().client == client {
                            keeper.held().borrow_mut().turn.rested();
                            spawn_local(self.keep_now());
                        }
                    });
                }
                Next::Awaited | Next::Write => keeper.say(Keeping::Soon),
            }
        });
        // A tablet may never come back from the background.
        for away in ["pagehide", "visibilitychange"] {
            page::listen::<web_sys::Event>(away, move |_| spawn_local(self.keep_now()));
        }
    }

    /// What is to be kept now, under which key.
    fn to_keep(self) -> Option<(String, Shown)> {
        let pictures = self.keeper.held().borrow().pictures;
        self.work.with_untracked(|work| {
            let work = work.as_ref()?;
            let record = work.history.now().clone();
            Some((work.key.clone(), Shown { record, pictures }))
        })
    }

    /// Keeps the client in work as it is: once this is over it is in the
    /// store, or [`Keeper::keeping`] says why not.
    pub async fn keep_now(self) {
        let keeper = self.keeper;
        let client = keeper.held().borrow().client;
        while keeper.held().borrow().client == client {
            let Some((key, shown)) = self.to_keep() else {
                return;
            };
            let next = keeper.held().borrow_mut().turn.due(&shown);
            match next {
                Next::Write => {
                    if !self.write(client, &key, shown.record).await {
                        return;
                    }
                }
                Next::Awaited | Next::Soon => {
                    keeper.write_is_over().await;
                    if matches!(keeper.keeping.get_clone_untracked(), Keeping::Trouble(_)) {
                        return;
                    }
                }
                Next::Rest => {
                    keeper.say(Keeping::Kept);
                    return;
                }
            }
        }
    }

    /// Writes; `false` where it did not go well.
    async fn write(self, client: u32, key: &str, record: Record) -> bool {
        let keeper = self.keeper;
        let pictures = keeper.unkept();
        let put = PutIn {
            client: key.to_owned(),
            record,
            pictures,
            keepings: keeper.held().borrow().keepings,
        };
        let write = async || -> Result<u32, NotKept> {
            let files = self.later.files.get().await.map_err(NotKept::Trouble)?;
            let store = keeper.store().await.map_err(NotKept::Trouble)?;
            (files.put)(store, put.clone()).await
        };
        let written = write().await;
        let held = keeper.held();
        let mut held = held.borrow_mut();
        if held.client != client {
            return false; // Another client is open by now.
        }
        let outcome = match written {
            Ok(keepings) => {
                held.turn.written();
                held.keepings = keepings;
                for (name, _) in &put.pictures {
                    held.unkept.remove(name);
                }
                Ok(())
            }
            Err(why) => {
                held.turn.failed();
                Err(match why {
                    NotKept::Trouble(why) => why,
                    NotKept::Elsewhere => {
                        "Another window has changed this client since.".to_owned()
                    }
                    NotKept::Erased => "This client was erased in another window.".to_owned(),
                })
            }
        };
        held.wake();
        drop(held);
        match outcome {
            Ok(()) => true,
            Err(why) => {
                keeper.say(Keeping::Trouble(format!(
                    "{why} The client is not kept on this device: save the file under Paper before you close this page."
                )));
                false
            }
        }
    }
}
