//! What the artist has at hand in a visit and is not in the record yet: kept
//! with the device, so that a page that is read anew loses none of it.

use ophryon_frames::Side;
use serde::{Deserialize, Serialize};

use super::{Supply, SupplyKind, Zone};

/// So many counted passes can be taken back.
const MOST_COUNTED: usize = 50;

/// So many clients are remembered.
const MOST_CLIENTS: usize = 12;

/// A label that was typed in part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct SupplyDraft {
    /// Number of the visit it is for.
    pub visit: usize,
    /// The one that is changed, from 0; else it is added.
    pub at: Option<usize>,
    /// What was typed so far.
    pub supply: Supply,
}

/// What is at hand with one client.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct AtHand {
    /// What was counted, the last one last: visit, brow, zone.
    pub counted: Vec<(usize, Side, Zone)>,
    /// A tool's label.
    tool: Option<SupplyDraft>,
    /// A pigment's label.
    pigment: Option<SupplyDraft>,
}

impl AtHand {
    /// The label that was typed in part.
    pub const fn draft(&self, kind: SupplyKind) -> Option<&SupplyDraft> {
        match kind {
            SupplyKind::Tool => self.tool.as_ref(),
            SupplyKind::Pigment => self.pigment.as_ref(),
        }
    }

    /// Keeps one, or lets it go.
    pub fn set_draft(&mut self, kind: SupplyKind, draft: Option<SupplyDraft>) {
        match kind {
            SupplyKind::Tool => self.tool = draft,
            SupplyKind::Pigment => self.pigment = draft,
        }
    }
}

/// The same for every client of a device, by her key.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EachAtHand(Vec<(String, AtHand)>);

impl EachAtHand {
    /// As they were kept; none where that can't be read.
    pub fn from_json(text: &str) -> Self {
        serde_json::from_str(text).unwrap_or_default()
    }

    /// To be kept.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// That client's.
    pub fn of(&self, client: &str) -> AtHand {
        let found = self.0.iter().find(|(key, _)| key == client);
        found.map(|(_, one)| one.clone()).unwrap_or_default()
    }

    /// Sets that client's; those of long ago go.
    pub fn set(&mut self, client: &str, mut one: AtHand) {
        self.0.retain(|(key, _)| key != client);
        let over = one.counted.len().saturating_sub(MOST_COUNTED);
        one.counted.drain(..over);
        if one != AtHand::default() {
            self.0.push((client.to_owned(), one));
        }
        let over = self.0.len().saturating_sub(MOST_CLIENTS);
        self.0.drain(..over);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_and_counted_is_there_when_the_page_is_read_anew() {
        let draft = SupplyDraft {
            visit: 1,
            at: None,
            supply: Supply::named("Ash br"),
        };
        let mut one = AtHand {
            counted: vec![(1, Side::Left, Zone::Tail)],
            ..AtHand::default()
        };
        one.set_draft(SupplyKind::Pigment, Some(draft.clone()));
        let mut all = EachAtHand::default();
        all.set("a", one.clone());
        let again = EachAtHand::from_json(&all.to_json());
        assert_eq!(again.of("a"), one);
        assert_eq!(again.of("a").draft(SupplyKind::Pigment), Some(&draft));
        assert_eq!(again.of("a").draft(SupplyKind::Tool), None);
        assert_eq!(again.of("b"), AtHand::default(), "it is nobody else's");
        assert_eq!(EachAtHand::from_json("{ damaged"), EachAtHand::default());
    }

    #[test]
    fn it_never_grows_without_end_and_is_forgotten_whole() {
        let counted = |n| AtHand {
            counted: vec![(0, Side::Right, Zone::Body); n],
            ..AtHand::default()
        };
        let mut all = EachAtHand::default();
        for client in 0..30 {
            all.set(&client.to_string(), counted(200));
        }
        assert_eq!(all.of("29"), counted(MOST_COUNTED));
        assert_eq!(all.of("0"), AtHand::default());
        assert_eq!(all.0.len(), MOST_CLIENTS);
        all.set("29", AtHand::default());
        assert!(!all.to_json().contains("\"29\""));
    }
}
