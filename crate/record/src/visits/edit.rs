//! Every change of the log, as a value.

use ophryon_agreement::Day;
use ophryon_frames::Side;
use serde::{Deserialize, Serialize};

use super::{HealedCheck, MOST_VISITS, NextVisit, SkinAnswer, Supply, Visit, VisitKind, Zone};
use crate::Record;

/// What is done to the log. Numbers count from 0, in the order of
/// [`Record::visits`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum VisitEdit {
    /// Adds a visit behind the others.
    Add(Box<Visit>),
    /// Changes one thing of a visit.
    Change {
        /// Which visit.
        visit: usize,
        /// What.
        what: VisitChange,
    },
    /// Takes a visit away. Its photos stay in the record.
    Remove {
        /// Which visit.
        visit: usize,
    },
}

/// One thing of a visit, as it shall be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum VisitChange {
    /// Its day.
    Day(Day),
    /// What it was for.
    Kind(VisitKind),
    /// All of its tools.
    Tools(Vec<Supply>),
    /// All of its pigments.
    Pigments(Vec<Supply>),
    /// Batch of the needles; empty takes it away.
    NeedleBatch(String),
    /// Passes over one zone.
    Passes {
        /// Which brow.
        side: Side,
        /// Which zone.
        zone: Zone,
        /// How many in all.
        passes: u32,
    },
    /// Time worked on one zone.
    Seconds {
        /// Which brow.
        side: Side,
        /// Which zone.
        zone: Zone,
        /// How long in all, s.
        seconds: u32,
    },
    /// The skin's answer on one zone.
    Skin {
        /// Which brow.
        side: Side,
        /// Which zone.
        zone: Zone,
        /// All that was seen; empty where nothing was.
        skin: Vec<SkinAnswer>,
    },
    /// Ids of all its photos.
    Photos(Vec<String>),
    /// Its notes.
    Notes(String),
    /// When the client is to come next; `None` leaves it open.
    Next(Option<NextVisit>),
    /// What healed; `None` takes it away.
    Healed(Option<Box<HealedCheck>>),
}

/// Why the log was not changed. It is as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum VisitError {
    /// No visit of that number.
    #[error("there is no visit {}; choose one that is there", .visit + 1)]
    NoSuchVisit {
        /// The number, from 0.
        visit: usize,
    },
    /// As many as can be.
    #[error("{MOST_VISITS} visits are kept of this client; remove one that isn't hers")]
    TooMany,
}

impl VisitEdit {
    /// What it does, to follow "Undo:".
    pub fn words(&self) -> String {
        match self {
            Self::Add(visit) => {
                format!("add the {} of {}", visit.kind.words(), visit.day.in_words())
            }
            Self::Change { what, .. } => what.words(),
            Self::Remove { .. } => "remove a visit".to_owned(),
        }
    }
}

impl VisitChange {
    fn words(&self) -> String {
        let zone = |what: &str, side: &Side, zone: &Zone| {
            format!(
                "{what} on the {} of the client's {} brow",
                zone.name(),
                side.name()
            )
        };
        match self {
            Self::Passes { side, zone: on, .. } => zone("count passes", side, on),
            Self::Seconds { side, zone: on, .. } => zone("set the time worked", side, on),
            Self::Skin { side, zone: on, .. } => zone("note the skin's answer", side, on),
            Self::Day(day) => format!("set the visit's day to {}", day.in_words()),
            Self::Kind(kind) => format!("call the visit a {}", kind.words()),
            Self::Tools(_) => "change the visit's tools".to_owned(),
            Self::Pigments(_) => "change the visit's pigments".to_owned(),
            Self::NeedleBatch(_) => "enter the needles' batch".to_owned(),
            Self::Photos(_) => "choose the visit's photos".to_owned(),
            Self::Notes(_) => "write the visit's notes".to_owned(),
            Self::Next(Some(_)) => "set when the client comes next".to_owned(),
            Self::Next(None) => "leave open when the client comes next".to_owned(),
            Self::Healed(Some(_)) => "keep what healed".to_owned(),
            Self::Healed(None) => "remove what healed".to_owned(),
        }
    }

    fn make(&self, visit: &mut Visit) {
        match self {
            Self::Day(day) => visit.day = *day,
            Self::Kind(kind) => visit.kind = *kind,
            Self::Tools(tools) => visit.tools.clone_from(tools),
            Self::Pigments(pigments) => visit.pigments.clone_from(pigments),
            Self::NeedleBatch(batch) => visit.needle_batch.clone_from(batch),
            Self::Passes { side, zone, passes } => {
                visit.work.get_mut(*side).get_mut(*zone).passes = *passes;
            }
            Self::Seconds {
                side,
                zone,
                seconds,
            } => visit.work.get_mut(*side).get_mut(*zone).seconds = *seconds,
            Self::Skin { side, zone, skin } => {
                let kept = &mut visit.work.get_mut(*side).get_mut(*zone).skin;
                kept.clone_from(skin);
            }
            Self::Photos(photos) => visit.photos.clone_from(photos),
            Self::Notes(notes) => visit.notes.clone_from(notes),
            Self::Next(next) => visit.next = *next,
            Self::Healed(check) => visit.healed.clone_from(check),
        }
    }
}

/// The record with the change made.
pub(crate) fn apply(record: &Record, edit: &VisitEdit) -> Result<Record, VisitError> {
    let mut next = record.clone();
    match edit {
        VisitEdit::Add(visit) => {
            if next.visits.len() >= MOST_VISITS {
                return Err(VisitError::TooMany);
            }
            next.visits.push((**visit).clone());
        }
        VisitEdit::Change { visit, what } => {
            let one = next.visits.get_mut(*visit);
            what.make(one.ok_or(VisitError::NoSuchVisit { visit: *visit })?);
        }
        VisitEdit::Remove { visit } => {
            if *visit >= next.visits.len() {
                return Err(VisitError::NoSuchVisit { visit: *visit });
            }
            next.visits.remove(*visit);
        }
    }
    Ok(next)
}

impl Record {
    /// Takes a photo that is removed out of every visit.
    pub(crate) fn forget_photo_of_visits(&mut self, id: &str) {
        for visit in &mut self.visits {
            visit.photos.retain(|photo| photo != id);
            if let Some(check) = &mut visit.healed {
                check.photo = check.photo.take().filter(|photo| photo != id);
            }
        }
    }
}
