//! A restore that was cut off, as by a page that was loaded anew: what is known
//! of it afterwards.

use super::own::count;
use crate::device::locks::{self, Answer, How, Lock};
use crate::device::store::Store;

/// Under which the store knows how far a restore is; empty where none is under
/// way.
const FACT: &str = "restore";

/// Held by the window that restores, for as long as it is there.
const LOCK: &str = "ophryon-restore";

/// A restore under way.
pub struct UnderWay {
    store: Store,
    all: usize,
    _lock: Option<Lock>,
}

impl UnderWay {
    /// Begins to bring so many clients.
    pub async fn begin(store: Store, all: usize) -> Self {
        let lock = match locks::ask(LOCK, How::IfFree, || {}).await {
            Answer::Held(lock) => Some(lock),
            Answer::Busy | Answer::NotOffered => None,
        };
        let under_way = Self {
            store,
            all,
            _lock: lock,
        };
        under_way.at(0).await;
        under_way
    }

    /// So many are brought by now.
    pub async fn at(&self, done: usize) {
        // Not noted, nothing is said afterwards; the clients are there or not.
        let fact = format!("{done} {}", self.all);
        let _ = self.store.set_fact(FACT, &fact).await;
    }

    /// It ended by itself, whichever way.
    pub async fn end(self) {
        forget(&self.store).await;
    }
}

/// What is to be said of a restore that was cut off.
pub async fn said(store: &Store) -> Option<String> {
    let words = words(&store.fact(FACT).await.ok()??)?;
    // Another window may be at it just now.
    match locks::ask(LOCK, How::IfFree, || {}).await {
        Answer::Busy => None,
        Answer::Held(_) | Answer::NotOffered => Some(words),
    }
}

/// Nothing is said any more.
pub async fn forget(store: &Store) {
    let _ = store.set_fact(FACT, "").await;
}

fn words(fact: &str) -> Option<String> {
    let (done, all) = fact.split_once(' ')?;
    let (done, all): (usize, usize) = (done.parse().ok()?, all.parse().ok()?);
    let were = if done == 1 { "was" } else { "were" };
    Some(format!(
        "{done} of {} {were} brought back before it stopped; choose the file again to bring the rest.",
        count(all, "client")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_restore_that_was_cut_off_says_how_far_it_came() {
        let said = words("29 157").expect("words");
        assert!(
            said.starts_with("29 of 157 clients were brought back before it stopped;"),
            "{said}"
        );
        for nothing in ["", "x 3", "29"] {
            assert_eq!(words(nothing), None);
        }
    }
}
