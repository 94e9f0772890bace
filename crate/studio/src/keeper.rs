//! Keeps the client in work on this device, and holds its pictures.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::future::poll_fn;
use std::rc::Rc;
use std::task::{Poll, Waker};
use std::time::Duration;

use ophryon_record::{History, Record};
use sycamore::reactive::{Signal, create_effect, create_signal};
use wasm_bindgen_futures::spawn_local;
use web_sys::{Blob, Url};

use crate::client_files::{PutIn, State, after_a_write, gone, lose, put_in, relist};
use crate::device::locks::Lock;
use crate::device::store::{Cause, Entry, NotKept, Store};
use crate::device::{page, settings};
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
            if keeper.seat_now() != Seat::Here {
                return;
            }
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
        create_effect(move || {
            if self.on_paper.with(Option::is_some) {
                self.milestone(Cause::OnPaper);
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

    /// Keeps an earlier version of the client in work, beside whatever else is
    /// done.
    pub fn milestone(self, cause: Cause) {
        spawn_local(async move {
            if let Ok(files) = self.later.files.get().await
                && self.keeper.seat_now() == Seat::Here
            {
                (files.milestone)(self, cause);
            }
        });
    }

    /// The client in work as she is shown, with her pictures.
    pub fn state_now(self) -> Option<State> {
        let record = self.settled()?;
        let picture = |name: &str| Some((name.to_owned(), self.keeper.picture(name)?));
        let pictures = crate::pictures_of(&record).filter_map(picture).collect();
        Some(State { record, pictures })
    }

    /// The same where it is not as it is in the store.
    pub fn unkept(self) -> Option<State> {
        let (_, shown) = self.to_keep()?;
        let is_stored = self.keeper.held().borrow().turn.stored() == Some(&shown);
        self.state_now().filter(|_| !is_stored)
    }

    /// Shows another state of the client in work, which is as she is kept.
    pub fn show_anew(self, record: Record) {
        self.work.update(|work| {
            if let Some(work) = work
                && *work.history.now() != record
            {
                work.history = History::new(record);
            }
        });
    }

    /// The client in work goes under another key from now on.
    pub fn under_key(self, key: String) {
        settings::write("last", &key);
        self.work.update(|work| {
            if let Some(work) = work {
                work.key = key;
            }
        });
    }

    /// Keeps the client in work as it is: once this is over it is in the
    /// store, or [`Keeper::keeping`] says why not.
    pub async fn keep_now(self) {
        if self.key_now().is_none() {
            return;
        }
        match self.later.files.get().await {
            Ok(files) => (files.keep_now)(self).await,
            Err(why) => self.keeper.not_kept(&why),
        }
    }

    /// The same, from the part that keeps clients.
    pub async fn keep_all(self) {
        let keeper = self.keeper;
        let client = keeper.held().borrow().client;
        while keeper.held().borrow().client == client && keeper.seat_now() == Seat::Here {
            let Some((key, shown)) = self.to_keep() else {
                return;
            };
            let next = keeper.held().borrow_mut().turn.due(&shown);
            match next {
                Next::Write => {
                    if !self.write_one(client, &key, shown.record).await {
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
    async fn write_one(self, client: u32, key: &str, record: Record) -> bool {
        let keeper = self.keeper;
        let pictures = keeper.unkept();
        let put = PutIn {
            client: key.to_owned(),
            record,
            pictures,
            keepings: keeper.held().borrow().keepings,
        };
        let written = match keeper.store().await {
            Ok(store) => put_in(store, put.clone()).await,
            Err(why) => Err(NotKept::Trouble(why)),
        };
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
                Err(why)
            }
        };
        held.wake();
        drop(held);
        match outcome {
            Ok(()) => {
                after_a_write(self);
                return true;
            }
            Err(NotKept::Elsewhere) => spawn_local(lose(self)),
            Err(NotKept::Erased) => gone(
                self,
                "This client was erased in another window. What is shown here is kept nowhere.",
            ),
            Err(NotKept::Trouble(why)) => keeper.not_kept(&why),
        }
        false
    }
}
