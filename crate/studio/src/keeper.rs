//! Keeps the client in work on this device, and holds its pictures.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::future::poll_fn;
use std::rc::Rc;
use std::task::{Poll, Waker};

use ophryon_record::Record;
use sycamore::reactive::{Signal, create_signal};
use web_sys::{Blob, Url};

use crate::client_files::relist;
use crate::device::locks::Lock;
use crate::device::store::{Entry, Store};
use crate::later::Parts;

mod keep;
mod turn;

use turn::Turn;

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

/// Who works on the client that is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Seat {
    /// This window.
    #[default]
    Here,
    /// Another one; what it keeps is shown here, and nothing can be changed.
    Following,
    /// Nobody: she was erased in another window.
    Gone,
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
    /// Held as long as this window works on the client.
    lock: Option<Lock>,
    /// The last version of the client, in this sitting, and when.
    version: Option<(Record, f64)>,
    listens: bool,
}

/// The signals of keeping.
#[derive(Clone, Copy)]
pub struct Keeper {
    /// Whether the client in work is kept.
    pub keeping: Signal<Keeping>,
    /// Addresses of the pictures, by file name.
    pub urls: Signal<BTreeMap<String, String>>,
    /// Who works on the client in work.
    pub seat: Signal<Seat>,
    /// A client of this device who could not be read, by her key.
    pub unread: Signal<Option<String>>,
    /// She was to be left and can't be kept.
    pub wants_to_leave: Signal<bool>,
    /// Earlier versions are looked at.
    pub looks_back: Signal<bool>,
    held: Signal<Rc<RefCell<Held>>>,
}

impl Keeper {
    /// Nothing held yet.
    pub fn new() -> Self {
        Self {
            keeping: create_signal(Keeping::Kept),
            urls: create_signal(BTreeMap::new()),
            seat: create_signal(Seat::Here),
            unread: create_signal(None),
            wants_to_leave: create_signal(false),
            looks_back: create_signal(false),
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

    /// All clients on this device, the last changed first.
    ///
    /// # Errors
    /// A sentence.
    pub async fn clients(self, later: Parts) -> Result<Vec<Entry>, String> {
        (later.files.get().await?.clients)(self).await
    }

    /// The same, from the part that keeps clients; a line of the list that is
    /// missing or damaged is written anew first.
    ///
    /// # Errors
    /// A sentence.
    pub async fn listed(self) -> Result<Vec<Entry>, String> {
        let store = self.store().await?;
        let listed = store.list().await?;
        if listed.unlisted.is_empty() {
            return Ok(listed.entries);
        }
        relist(&store, listed.unlisted).await;
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
            listens: held.listens,
            ..Held::default()
        };
        held.wake();
        drop(held);
        self.keeping.set(Keeping::Kept);
        self.seat.set(Seat::Here);
        self.wants_to_leave.set(false);
        self.looks_back.set(false);
    }

    /// What was read from the store is as it is kept.
    pub fn is_kept(self, record: &Record, keepings: u32) {
        let held = self.held();
        let mut held = held.borrow_mut();
        held.keepings = keepings;
        let pictures = held.pictures;
        held.turn.is_stored(Shown {
            record: record.clone(),
            pictures,
        });
    }

    /// How often the client in work was written, as far as is known here.
    pub fn keepings(self) -> u32 {
        self.held().borrow().keepings
    }

    /// Nothing of the client in work is in the store.
    pub fn forget_kept(self) {
        let held = self.held();
        let mut held = held.borrow_mut();
        held.keepings = 0;
        held.turn = Turn::default();
        held.unkept = held.blobs.keys().cloned().collect();
    }

    /// Who works on the client in work.
    pub fn seat_now(self) -> Seat {
        self.seat.get_untracked()
    }

    /// Sits down at the client in work, or stands up from her.
    pub fn sit(self, seat: Seat, lock: Option<Lock>) {
        self.held().borrow_mut().lock = lock;
        self.seat.set(seat);
    }

    /// Whether the client in work may be changed here.
    ///
    /// # Errors
    /// A sentence with the way out.
    pub fn may_change(self) -> Result<(), String> {
        match self.seat_now() {
            Seat::Here => Ok(()),
            Seat::Following => Err("Another window works on this client, so nothing was changed. To work here, press “Go on here”.".to_owned()),
            Seat::Gone => Err("This client was erased in another window, so nothing was changed.".to_owned()),
        }
    }

    /// The last version of the client in work, in this sitting, and when.
    pub fn last_version(self) -> Option<(Record, f64)> {
        self.held().borrow().version.clone()
    }

    /// That is it from now on.
    pub fn versioned(self, version: Option<(Record, f64)>) {
        self.held().borrow_mut().version = version;
    }

    /// Whether it is the first time that this is asked.
    pub fn begins_to_listen(self) -> bool {
        let held = self.held();
        !std::mem::replace(&mut held.borrow_mut().listens, true)
    }

    /// Until no write is under way.
    pub async fn rested(self) {
        while self.held().borrow().turn.is_under_way() {
            self.write_is_over().await;
        }
    }
}

impl Keeper {
    /// Says how it stands, where that is news.
    fn say(self, keeping: Keeping) {
        if self.keeping.with_untracked(|now| *now != keeping) {
            self.keeping.set(keeping);
        }
    }

    /// The last change isn't kept.
    fn not_kept(self, why: &str) {
        self.say(Keeping::Trouble(format!(
            "{why} The last change is on this screen only; what was kept before is still there. Save the client's file before you close this page."
        )));
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
