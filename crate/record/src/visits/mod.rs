//! The log of visits: what was used, what was done, how the skin answered.
//!
//! Whoever works keeps it; nothing in it is computed from the shape, and the
//! shape doesn't follow from it. Every change is a step that undo takes back.

mod at_hand;
mod edit;
mod healed_check;
mod next;
mod offered;
mod paper;
mod problem;
mod skin;
mod supply;
mod timer;
mod warning;
mod words;
mod work;
mod zones_drawn;

use ophryon_agreement::Day;
use ophryon_frames::Sided;
use serde::{Deserialize, Serialize};

use crate::Record;

pub use at_hand::{AtHand, EachAtHand, SupplyDraft};
pub(crate) use edit::apply;
pub use edit::{VisitChange, VisitEdit, VisitError};
pub use healed_check::{HealedCheck, Kept, MeasuredShare, SkinType};
pub(crate) use healed_check::{LEAST_SHARE_SD, MOST_KEPT, MOST_SHARE_SD};
pub use next::{NEXT_VISIT_WEEKS, NextVisit};
pub use offered::{SupplyKind, SupplyShelf};
pub use paper::VisitSheetOptions;
pub(crate) use problem::visits as problems;
pub use problem::{MOST_SUPPLIES, MOST_VISITS};
pub use skin::{NO_ADVICE, STRETCHING, SkinAnswer};
pub use supply::Supply;
pub use timer::{ZoneTimer, ZoneTimers, clock_words};
pub use warning::VisitWarning;
pub use work::{MOST_PASSES, MOST_SECONDS, Zone, ZoneWork, Zones};
pub use zones_drawn::{BrowZones, ZonesDrawn};

/// What a visit is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum VisitKind {
    /// The first time pigment is worked in.
    FirstSession,
    /// The touch-up after the first has healed.
    SecondSession,
    /// The healed result is looked at and measured.
    HealedCheck,
    /// Anything else.
    Other,
}

impl VisitKind {
    /// In the order they usually follow.
    pub const ALL: [Self; 4] = [
        Self::FirstSession,
        Self::SecondSession,
        Self::HealedCheck,
        Self::Other,
    ];

    /// The name the artist reads.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FirstSession => "first session",
            Self::SecondSession => "second session",
            Self::HealedCheck => "healed check",
            Self::Other => "other visit",
        }
    }
}

/// One visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Visit {
    /// The day, handed in by the shell or entered.
    pub day: Day,
    /// What it was for.
    pub kind: VisitKind,
    /// Tools, with what stands on their packing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tools: Vec<Supply>,
    /// Pigments, with what stands on their labels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pigments: Vec<Supply>,
    /// Batch of the needles; empty until it was entered.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub needle_batch: String,
    /// Passes, time and the skin's answer, for each brow zone by zone.
    #[serde(default, skip_serializing_if = "work::nothing_done")]
    pub work: Sided<Zones>,
    /// Ids of the photos that belong to it; all are in the record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<String>,
    /// Anything worth remembering.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    /// When the client is to come next, once that was settled; see
    /// [`Visit::proposed_next`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<NextVisit>,
    /// What healed, once it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub healed: Option<Box<HealedCheck>>,
}

impl Visit {
    /// A visit of which nothing was entered yet.
    pub fn new(day: Day, kind: VisitKind) -> Self {
        Self {
            day,
            kind,
            tools: Vec::new(),
            pigments: Vec::new(),
            needle_batch: String::new(),
            work: Sided::default(),
            photos: Vec::new(),
            notes: String::new(),
            next: None,
            healed: None,
        }
    }

    /// Seconds worked on both brows together.
    pub fn seconds(&self) -> u32 {
        let all = self.work.iter().flat_map(|(_, zones)| zones.iter());
        all.fold(0, |sum, (_, work)| sum.saturating_add(work.seconds))
    }

    /// Everything that was told of the skin, each once, with what to do.
    pub fn skin_answers(&self) -> Vec<SkinAnswer> {
        let noted = |answer: &SkinAnswer| {
            let mut all = self.work.iter().flat_map(|(_, zones)| zones.iter());
            all.any(|(_, work)| work.skin.contains(answer))
        };
        SkinAnswer::ALL.into_iter().filter(noted).collect()
    }
}

impl Record {
    /// The visits by day, the earliest first, each with its number in
    /// [`Record::visits`]; those of one day as they were entered.
    pub fn visit_log(&self) -> Vec<(usize, &Visit)> {
        let mut log: Vec<_> = self.visits.iter().enumerate().collect();
        log.sort_by_key(|(_, visit)| visit.day);
        log
    }

    /// Every healed check that was measured, in the order of the log; what
    /// [`crate::learn`] learns from.
    pub fn healed_checks(&self) -> Vec<&HealedCheck> {
        let log = self.visit_log().into_iter();
        log.filter_map(|(_, visit)| visit.healed.as_deref())
            .collect()
    }
}
