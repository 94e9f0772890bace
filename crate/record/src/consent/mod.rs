//! What the client was asked, what she said, and what she agreed to.
//!
//! None of it is ever undone: what she said is said anew, an agreement is
//! withdrawn and stays to be seen. [`crate::History`] therefore takes steps of
//! the drawing back and leaves this as it is. Whether the present shape is
//! agreed to is computed each time ([`Record::agreed`]), never kept.

mod answer;
mod drawn;
mod edit;
mod invitation;
mod number;
mod remark;
mod sealed;
mod state;

use ophryon_agreement::{Asked, Nonce, Seal, When};
use serde::{Deserialize, Serialize};

pub use answer::{Answer, AnswerError};
pub use drawn::AgreedDrawing;
pub(crate) use edit::apply;
pub use edit::{ConsentEdit, ConsentError, Signed};
pub use invitation::{Invitation, InviteError};
pub use remark::{
    MOST_CIRCLE_POINTS, MOST_CIRCLES, MOST_REMARKS, Opinion, Remark, Reply, Whereabouts,
};
pub use sealed::{AgreedShape, SEALED_SCHEMA, SealBroken, Sealed};
pub use state::{AgreedState, Changed, WhyNot};

/// Agreements of one client; one a year would fill a life twice.
pub const MOST_AGREEMENTS: usize = 200;

/// Invitations that wait for an answer; older ones are let go.
pub const MOST_INVITATIONS: usize = 20;

/// Longest sealed text, bytes: some ten times an ordinary one with a long
/// signature.
pub const LONGEST_SEALED: usize = 256 * 1024;

/// All dealings with the client that need her word.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Consent {
    /// What she is asked, with her answers; `None` until a text was chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked: Option<Asked>,
    /// Sent to another device and not answered yet.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub invitations: Vec<Invited>,
    /// Everything she said of the shapes, in the order she said it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<Remark>,
    /// Everything she ever agreed to, in the order it was kept.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub agreements: Vec<Agreement>,
    /// The agreement whose flagged and open cautions the artist has marked as
    /// read; another agreement is marked anew. No seal stands over it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cautions_read: Option<Seal>,
}

/// An invitation that was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Invited {
    /// Its one-time number.
    pub nonce: Nonce,
    /// The client's code as it was sent.
    pub client: String,
    /// The version of the shape that was sent.
    pub version: u32,
    /// The name under which the shape was kept, where it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// When.
    pub at: When,
}

/// One yes to one exact shape.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Agreement {
    /// The version of the shape.
    pub version: u32,
    /// SHA-256 over the bytes of `sealed`.
    pub seal: Seal,
    /// Everything that was agreed to and how, in its canonical form; read it
    /// with [`Agreement::read`]. Kept as text, so that what was sealed stays
    /// the same bytes whatever later versions of Ophryon write.
    pub sealed: String,
    /// When it was withdrawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub withdrawn: Option<When>,
}

impl Consent {
    /// Nothing was asked or said yet.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// What can't be kept: the field within, and a sentence.
    pub(crate) fn problem(&self) -> Option<(String, String)> {
        let found = |field: String, words: &str| Some((field, words.to_owned()));
        if let Some((at, words)) = self.asked.as_ref().and_then(Asked::problem) {
            return found(format!("consent.asked.{at}"), words);
        }
        if self.agreements.len() > MOST_AGREEMENTS || self.invitations.len() > MOST_INVITATIONS {
            let words = "there are more than one client can have; remove what isn't hers";
            return found("consent".to_owned(), words);
        }
        if self.remarks.len() > MOST_REMARKS {
            let words = "there are more than one client says; remove the first";
            return found("consent.remarks".to_owned(), words);
        }
        for (n, remark) in self.remarks.iter().enumerate() {
            if let Some(words) = remark.problem() {
                return found(format!("consent.remarks[{n}]"), words);
            }
        }
        for (n, one) in self.agreements.iter().enumerate() {
            if one.version == 0 {
                let words = "versions count from 1; take the file from its copy";
                return found(format!("consent.agreements[{n}].version"), words);
            }
            if one.sealed.len() > LONGEST_SEALED {
                let words = "it is longer than any agreement; take the file from its copy";
                return found(format!("consent.agreements[{n}].sealed"), words);
            }
        }
        None
    }
}
