//! What was done on each zone of a brow.

use ophryon_frames::Sided;
use serde::{Deserialize, Serialize};

use super::SkinAnswer;

/// Most passes over one zone (ours): far beyond what skin bears, so that only
/// a slip of the counter is refused.
pub const MOST_PASSES: u32 = 100;

/// Most seconds on one zone: eight hours (ours), a timer left running.
pub const MOST_SECONDS: u32 = 8 * 3600;

/// A part of the brow that is worked as one (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zone {
    /// The line round the brow.
    Outline,
    /// From start to peak.
    Body,
    /// From peak to tip.
    Tail,
    /// The front edge, usually the softest.
    Front,
}

impl Zone {
    /// In the order they are usually worked.
    pub const ALL: [Self; 4] = [Self::Outline, Self::Body, Self::Tail, Self::Front];

    /// The name the artist reads, and the field's in the file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Outline => "outline",
            Self::Body => "body",
            Self::Tail => "tail",
            Self::Front => "front",
        }
    }
}

/// What was done on one zone.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct ZoneWork {
    /// Passes over it, up to [`MOST_PASSES`].
    pub passes: u32,
    /// Time worked on it, s, up to [`MOST_SECONDS`].
    pub seconds: u32,
    /// How the skin answered, each answer once; none while nothing was seen.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub skin: Vec<SkinAnswer>,
}

impl ZoneWork {
    fn is_nothing(&self) -> bool {
        *self == Self::default()
    }
}

/// What was done on every zone of one brow.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Zones {
    /// The line round the brow.
    #[serde(skip_serializing_if = "ZoneWork::is_nothing")]
    pub outline: ZoneWork,
    /// From start to peak.
    #[serde(skip_serializing_if = "ZoneWork::is_nothing")]
    pub body: ZoneWork,
    /// From peak to tip.
    #[serde(skip_serializing_if = "ZoneWork::is_nothing")]
    pub tail: ZoneWork,
    /// The front edge.
    #[serde(skip_serializing_if = "ZoneWork::is_nothing")]
    pub front: ZoneWork,
}

impl Zones {
    /// One zone's.
    pub const fn get(&self, zone: Zone) -> &ZoneWork {
        match zone {
            Zone::Outline => &self.outline,
            Zone::Body => &self.body,
            Zone::Tail => &self.tail,
            Zone::Front => &self.front,
        }
    }

    /// One zone's, to change it.
    pub const fn get_mut(&mut self, zone: Zone) -> &mut ZoneWork {
        match zone {
            Zone::Outline => &mut self.outline,
            Zone::Body => &mut self.body,
            Zone::Tail => &mut self.tail,
            Zone::Front => &mut self.front,
        }
    }

    /// Every zone's, as in [`Zone::ALL`].
    pub fn iter(&self) -> impl Iterator<Item = (Zone, &ZoneWork)> {
        Zone::ALL.into_iter().map(|zone| (zone, self.get(zone)))
    }
}

pub(super) fn nothing_done(work: &Sided<Zones>) -> bool {
    *work == Sided::default()
}
