//! Undo and redo: whole records, one finished gesture at a time.
//!
//! What the client was asked, said and agreed to is no step and is never taken
//! back ([`crate::Consent`]): undo takes back the drawing, which then may be
//! another than she agreed to, and says so; redo brings back the one she
//! agreed to, agreed. [`History::undo_leaves_what_is_agreed`] tells before.

use std::collections::VecDeque;

use crate::{Edit, EditError, Record, apply};

/// Steps that can be undone; an hour's work has fewer. A step costs a few kB,
/// because photos are shared between them.
const MOST_STEPS: usize = 500;

/// A record with its past. While a finger is down, [`History::preview`] shows
/// a draft; [`History::finish`] makes one step of it, [`History::abandon`]
/// leaves no trace.
#[derive(Debug, Clone)]
pub struct History {
    now: Record,
    past: VecDeque<Step>,
    future: Vec<Step>,
    draft: Option<Step>,
    /// The last step is words that are still being written.
    is_writing: bool,
}

/// A record on the other side of a change, and the change in words.
#[derive(Debug, Clone)]
struct Step {
    record: Record,
    words: String,
}

impl History {
    /// Begins with a record that has no past.
    pub fn new(record: Record) -> Self {
        Self {
            now: record,
            past: VecDeque::new(),
            future: Vec::new(),
            draft: None,
            is_writing: false,
        }
    }

    /// What counts, is saved and printed: without an unfinished gesture.
    pub fn now(&self) -> &Record {
        &self.now
    }

    /// What is shown: the draft of an unfinished gesture, else [`History::now`].
    pub fn shown(&self) -> &Record {
        self.draft.as_ref().map_or(&self.now, |d| &d.record)
    }

    /// Makes an edit as one step. `true` if anything changed; without a
    /// change there is no step. An unfinished gesture is abandoned.
    ///
    /// # Errors
    /// [`EditError`]; past, present and future stay as they are.
    pub fn apply(&mut self, edit: &Edit) -> Result<bool, EditError> {
        self.draft = None;
        let next = apply(&self.now, edit)?;
        Ok(self.step(next, edit.words()))
    }

    /// Makes several edits as one step: all of them or none.
    ///
    /// # Errors
    /// The first [`EditError`]; past, present and future stay as they are.
    pub fn apply_all(&mut self, edits: &[Edit], words: &str) -> Result<bool, EditError> {
        self.draft = None;
        let mut next = self.now.clone();
        for edit in edits {
            next = apply(&next, edit)?;
        }
        Ok(self.step(next, words.to_owned()))
    }

    /// Shows an edit of an unfinished gesture. It is made to the record as it
    /// was before the gesture, so each preview replaces the last.
    ///
    /// # Errors
    /// [`EditError`]; the last good preview stays.
    pub fn preview(&mut self, edit: &Edit) -> Result<&Record, EditError> {
        let record = apply(&self.now, edit)?;
        let words = edit.words();
        Ok(&self.draft.insert(Step { record, words }).record)
    }

    /// Makes an edit of words that are being written: it counts at once, and
    /// what is written on in the same field until [`History::written`] is one
    /// step with it. `true` if anything changed.
    ///
    /// # Errors
    /// [`EditError`]; nothing changed.
    pub fn write_on(&mut self, edit: &Edit) -> Result<bool, EditError> {
        self.draft = None;
        let next = apply(&self.now, edit)?;
        let words = edit.words();
        let goes_on = self.is_writing && self.undo_words() == Some(words.as_str());
        if !goes_on {
            let is_new = self.step(next, words);
            self.is_writing = is_new;
            return Ok(is_new);
        }
        let is_new = next != self.now;
        self.now = next;
        // Written away again, it was no step.
        if self.past.back().is_some_and(|step| step.record == self.now) {
            self.past.pop_back();
            self.is_writing = false;
        }
        Ok(is_new)
    }

    /// The field is left: what is written next is a step of its own.
    pub fn written(&mut self) {
        self.is_writing = false;
    }

    /// Whether a gesture is unfinished.
    pub fn is_previewing(&self) -> bool {
        self.draft.is_some()
    }

    /// Ends a gesture: its last good preview becomes one step. `true` if
    /// anything changed.
    pub fn finish(&mut self) -> bool {
        match self.draft.take() {
            Some(draft) => self.step(draft.record, draft.words),
            None => false,
        }
    }

    /// Drops an unfinished gesture.
    pub fn abandon(&mut self) {
        self.draft = None;
    }

    /// What undo would take back, in words.
    pub fn undo_words(&self) -> Option<&str> {
        self.past.back().map(|s| s.words.as_str())
    }

    /// The shape is agreed to, and undo would make another of it: worth asking
    /// before.
    pub fn undo_leaves_what_is_agreed(&self) -> bool {
        let Some(step) = self.past.back() else {
            return false;
        };
        let mut back = step.record.clone();
        back.keep_her_word(&self.now);
        self.now.agreed().is_agreed() && !back.agreed().is_agreed()
    }

    /// What redo would bring again, in words.
    pub fn redo_words(&self) -> Option<&str> {
        self.future.last().map(|s| s.words.as_str())
    }

    /// Takes back the last step; during a gesture only that. `false` if there
    /// was nothing.
    pub fn undo(&mut self) -> bool {
        if self.draft.take().is_some() {
            return true;
        }
        self.is_writing = false;
        let Some(Step { mut record, words }) = self.past.pop_back() else {
            return false;
        };
        record.keep_her_word(&self.now);
        let record = std::mem::replace(&mut self.now, record);
        self.future.push(Step { record, words });
        true
    }

    /// Brings back the step last taken back. `false` if there was nothing.
    pub fn redo(&mut self) -> bool {
        self.draft = None;
        self.is_writing = false;
        let Some(Step { mut record, words }) = self.future.pop() else {
            return false;
        };
        record.keep_her_word(&self.now);
        let record = std::mem::replace(&mut self.now, record);
        self.past.push_back(Step { record, words });
        true
    }

    /// Makes a step to another state; an unfinished gesture is abandoned.
    pub(crate) fn step_to(&mut self, next: Record, words: String) -> bool {
        self.draft = None;
        self.step(next, words)
    }

    fn step(&mut self, next: Record, words: String) -> bool {
        self.is_writing = false;
        if next == self.now {
            return false;
        }
        if next.differs_in_her_word_only(&self.now) {
            self.now = next;
            return true;
        }
        let record = std::mem::replace(&mut self.now, next);
        self.past.push_back(Step { record, words });
        if self.past.len() > MOST_STEPS {
            self.past.pop_front();
        }
        self.future.clear();
        true
    }
}
