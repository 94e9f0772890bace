//! When what is shown is written: decided here, without a browser.
//!
//! One write is under way at a time. What is shown is kept only when it equals
//! what the last write that went well put into the store, and no write is
//! under way that could put something else there.

/// What is to be done next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// Nothing: what is shown is in the store.
    Rest,
    /// Write once the hand has rested for a moment.
    Soon,
    /// Write now what is shown; [`Turn::written`] or [`Turn::failed`] follows.
    Write,
    /// Nothing yet: somebody waits or writes already, and looks again then.
    Awaited,
}

/// What is known of the store, and what is on its way there.
#[derive(Debug)]
pub struct Turn<T> {
    stored: Option<T>,
    under_way: Option<T>,
    is_timed: bool,
}

impl<T> Default for Turn<T> {
    fn default() -> Self {
        Self {
            stored: None,
            under_way: None,
            is_timed: false,
        }
    }
}

impl<T: PartialEq + Clone> Turn<T> {
    /// This was read from the store, or is as good as in it.
    pub fn is_stored(&mut self, what: T) {
        self.stored = Some(what);
    }

    /// What the last write that went well put there.
    pub fn stored(&self) -> Option<&T> {
        self.stored.as_ref()
    }

    /// Whether a write is under way.
    pub fn is_under_way(&self) -> bool {
        self.under_way.is_some()
    }

    /// Something else is shown than before.
    pub fn changed(&mut self, shown: &T) -> Next {
        if self.under_way.is_some() {
            return Next::Awaited;
        }
        if self.stored.as_ref() == Some(shown) {
            return Next::Rest;
        }
        if self.is_timed {
            return Next::Awaited;
        }
        self.is_timed = true;
        Next::Soon
    }

    /// The moment asked for by [`Next::Soon`] is over.
    pub fn rested(&mut self) {
        self.is_timed = false;
    }

    /// What is shown is to be in the store now.
    pub fn due(&mut self, shown: &T) -> Next {
        if self.under_way.is_some() {
            return Next::Awaited;
        }
        if self.stored.as_ref() == Some(shown) {
            return Next::Rest;
        }
        self.under_way = Some(shown.clone());
        Next::Write
    }

    /// The write that was under way is in the store.
    pub fn written(&mut self) {
        self.stored = self.under_way.take();
    }

    /// It is not; the store is as before.
    pub fn failed(&mut self) {
        self.under_way = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A store with one client, and one who edits.
    #[derive(Default)]
    struct Told {
        turn: Turn<u32>,
        shown: u32,
        writing: Option<u32>,
        store: u32,
    }

    impl Told {
        fn opened(at: u32) -> Self {
            let mut told = Self {
                shown: at,
                store: at,
                ..Self::default()
            };
            told.turn.is_stored(at);
            told
        }

        fn edit(&mut self, to: u32) -> Next {
            self.shown = to;
            self.turn.changed(&to)
        }

        fn timer(&mut self) -> Next {
            self.turn.rested();
            self.due()
        }

        fn due(&mut self) -> Next {
            let next = self.turn.due(&self.shown);
            if next == Next::Write {
                assert_eq!(self.writing, None, "two writes at once");
                self.writing = Some(self.shown);
            }
            next
        }

        fn done(&mut self) -> Next {
            self.store = self.writing.take().unwrap();
            self.turn.written();
            self.due()
        }
    }

    #[test]
    fn an_undo_before_the_timer_leaves_nothing_to_write_and_says_kept() {
        let mut told = Told::opened(1);
        assert_eq!(told.edit(2), Next::Soon);
        assert_eq!(told.edit(1), Next::Rest);
        assert_eq!(told.timer(), Next::Rest);
        // The timer is free again.
        assert_eq!(told.edit(3), Next::Soon);
    }

    #[test]
    fn an_undo_during_a_write_is_written_after_it() {
        let mut told = Told::opened(1);
        told.edit(2);
        assert_eq!(told.timer(), Next::Write);
        assert_eq!(told.edit(1), Next::Awaited);
        assert_eq!(told.done(), Next::Write);
        assert_eq!(told.done(), Next::Rest);
        assert_eq!(told.store, 1);
    }

    #[test]
    fn what_failed_is_written_at_the_next_edit_and_at_the_next_try() {
        let mut told = Told::opened(1);
        told.edit(2);
        assert_eq!(told.timer(), Next::Write);
        told.writing = None;
        told.turn.failed();
        assert_eq!(told.edit(3), Next::Soon);
        assert_eq!(told.due(), Next::Write);
        // The timer comes late.
        assert_eq!(told.timer(), Next::Awaited);
        assert_eq!(told.done(), Next::Rest);
        assert_eq!(told.store, 3);
    }

    /// Every order of six happenings ends, once all is quiet, with the store
    /// as shown, and "kept" is never said while they differ.
    #[test]
    fn in_every_order_the_store_ends_as_shown() {
        const HAPPENINGS: u32 = 5;
        for order in 0..HAPPENINGS.pow(6) {
            let mut told = Told::opened(0);
            let mut timed = false;
            for step in 0..6 {
                let next = match order / HAPPENINGS.pow(step) % HAPPENINGS {
                    happening @ 0..=2 => told.edit(happening),
                    3 if timed => {
                        timed = false;
                        told.timer()
                    }
                    4 if told.writing.is_some() => told.done(),
                    _ => continue,
                };
                timed |= next == Next::Soon;
                if next == Next::Rest {
                    assert_eq!((told.store, told.writing), (told.shown, None));
                }
            }
            while timed || told.writing.is_some() {
                if told.writing.is_some() {
                    told.done();
                } else {
                    timed = false;
                    told.timer();
                }
            }
            assert_eq!(told.store, told.shown, "order {order}");
        }
    }
}
