//! What a seal stands over: everything she agreed to, and how she said so.

use ophryon_agreement::{Asked, NoCanonicalForm, Nonce, Seal, Signature, When, canonical};
use ophryon_brow::{Limits, Pair, Shrink};
use serde::{Deserialize, Serialize};

use super::Agreement;
use crate::{PlanChoice, Record, WrapChoice};

/// The schema of what is sealed.
pub const SEALED_SCHEMA: u32 = 1;

/// What it says it is, so that no other sealed text passes for one.
const KIND: &str = "brow-agreement";

/// The exact shape: everything that is chosen and that a line of the drawing,
/// or its place on the face, follows from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct AgreedShape {
    /// Points, form and offsets.
    pub pair: Pair,
    /// What the outline keeps to.
    pub limits: Limits,
    /// How it was laid on the skin.
    pub wrap: WrapChoice,
    /// How a difference is evened out.
    pub plan: PlanChoice,
    /// How much smaller it was shown healed.
    #[serde(default)]
    pub shrink: Shrink,
}

/// One agreement, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Sealed {
    /// Always "brow-agreement".
    pub kind: String,
    /// Always [`SEALED_SCHEMA`].
    pub schema: u32,
    /// Which agreement of this client, from 1. This tells what came first;
    /// clocks are set back.
    pub number: u32,
    /// The seal of the one before, so that none can be taken out unseen.
    pub previous: Option<Seal>,
    /// The client's code when she signed.
    pub client: String,
    /// The version of the shape.
    pub version: u32,
    /// The name under which the shape was kept, where it was.
    pub variant: Option<String>,
    /// The shape.
    pub shape: AgreedShape,
    /// What she was asked, and her answers.
    pub asked: Asked,
    /// How she signed.
    pub signature: Signature,
    /// When, by the clock of the device she signed on.
    pub at: When,
    /// The one-time number of the invitation, where she signed on another
    /// device.
    pub nonce: Option<Nonce>,
}

/// Why an agreement that is kept can't be relied on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SealBroken {
    /// The text is not the one that was sealed.
    #[error("its text was changed after it was sealed")]
    Changed,
    /// The seal fits and the text doesn't say what it must.
    #[error("it can't be read as an agreement ({what})")]
    Unreadable {
        /// What the reader stumbled over.
        what: String,
    },
    /// Its place in the row is another's.
    #[error("an agreement before it was taken out, put in or changed")]
    OutOfOrder,
}

impl AgreedShape {
    /// The present shape; `None` while there is none.
    pub fn of(record: &Record) -> Option<Self> {
        Some(Self {
            pair: record.pair.clone()?,
            limits: record.limits,
            wrap: record.wrap,
            plan: record.plan,
            shrink: record.shrink,
        })
    }
}

impl Sealed {
    /// What is sealed by signing this shape.
    pub(super) fn new(
        record: &Record,
        shape: AgreedShape,
        (asked, signature): (Asked, Signature),
        at: When,
        nonce: Option<Nonce>,
    ) -> Self {
        let kept = record.kept_as().and_then(|n| record.variants.get(n));
        Self {
            kind: KIND.to_owned(),
            schema: SEALED_SCHEMA,
            number: next_number(record),
            previous: record.consent.agreements.last().map(|a| a.seal),
            client: record.client.code.clone(),
            version: record.version,
            variant: kept.map(|v| v.name.clone()),
            shape,
            asked,
            signature,
            at,
            nonce,
        }
    }

    /// Seals it.
    ///
    /// # Errors
    /// A number that is none.
    pub fn agreement(&self) -> Result<Agreement, NoCanonicalForm> {
        let sealed = canonical(self)?;
        Ok(Agreement {
            version: self.version,
            seal: Seal::of(&sealed),
            sealed,
            withdrawn: None,
        })
    }
}

/// The number of the next agreement.
pub(super) fn next_number(record: &Record) -> u32 {
    u32::try_from(record.consent.agreements.len())
        .unwrap_or(u32::MAX)
        .saturating_add(1)
}

impl Agreement {
    /// What was sealed, once it is clear that it is still the same.
    ///
    /// # Errors
    /// [`SealBroken`]: it can't be relied on.
    pub fn read(&self) -> Result<Sealed, SealBroken> {
        if Seal::of(&self.sealed) != self.seal {
            return Err(SealBroken::Changed);
        }
        let unreadable = |what: &str| SealBroken::Unreadable {
            what: what.chars().filter(|c| !c.is_control()).take(200).collect(),
        };
        let sealed: Sealed =
            serde_json::from_str(&self.sealed).map_err(|why| unreadable(&why.to_string()))?;
        if sealed.kind != KIND || sealed.schema != SEALED_SCHEMA {
            return Err(unreadable("it is of another kind or schema"));
        }
        if sealed.version != self.version {
            return Err(unreadable("the version beside it is another"));
        }
        Ok(sealed)
    }
}
