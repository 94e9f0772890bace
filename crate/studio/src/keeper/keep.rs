//! Keeping the client in work: when, and what is done with what came of it.

use std::time::Duration;

use ophryon_record::{History, Record};
use sycamore::reactive::create_effect;
use wasm_bindgen_futures::spawn_local;

use super::turn::Next;
use super::{Keeping, Seat, Shown};
use crate::client_files::{PutIn, State, after_a_write, gone, lose, put_in};
use crate::device::page;
use crate::device::store::{Cause, NotKept};
use crate::studio::Studio;

/// An edit is kept this long after it was made; together with the writing it
/// stays well under a second.
const SOON: Duration = Duration::from_millis(250);

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
            Err(NotKept::Erased) => gone(self),
            Err(NotKept::Trouble(why)) => keeper.not_kept(&why),
        }
        false
    }
}
