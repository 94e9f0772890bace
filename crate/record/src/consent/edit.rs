//! Asking, saying, agreeing, withdrawing: as values.

use ophryon_agreement::{
    Answer as CautionAnswer, AskError, Asked, NoCanonicalForm, Nonce, Said, Seal, Signature,
    SignatureError, When,
};
use serde::{Deserialize, Serialize};

use super::remark::{self, MOST_REMARKS, Remark, Reply};
use super::sealed::AgreedShape;
use super::{Agreement, Invited, MOST_AGREEMENTS, MOST_INVITATIONS, Sealed};
use crate::Record;

/// What is done about her agreement. None of it is a step that undo takes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum ConsentEdit {
    /// Asks the client these statements and cautions, in place of any before.
    Ask(Box<Asked>),
    /// Her yes or no to one statement.
    Say {
        /// The statement.
        statement: String,
        /// What she said.
        said: Said,
    },
    /// Her answer to one caution.
    AnswerCaution {
        /// The caution.
        caution: String,
        /// What she answered.
        answer: CautionAnswer,
    },
    /// She says something of a shape; see [`Record::remark`].
    Remark(Box<Remark>),
    /// What became of something she said.
    Reply {
        /// Which of the remarks, from 0.
        index: usize,
        /// What; `None` lets it wait again.
        reply: Option<Reply>,
    },
    /// The design was sent to another device.
    Invite(Invited),
    /// She signed; see [`Record::agree`] and [`Record::take_answer`].
    Agree(Box<Signed>),
    /// She takes an agreement back. It stays to be seen.
    Withdraw {
        /// Which one.
        seal: Seal,
        /// When.
        at: When,
    },
    /// The artist has read what she flagged or left open of the cautions in
    /// this agreement.
    ReadCautions {
        /// Which one.
        seal: Seal,
    },
}

/// An agreement to be kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Signed {
    /// The agreement.
    pub agreement: Agreement,
    /// What she was asked and answered, as it is sealed in it.
    pub asked: Asked,
    /// The invitation that is answered by it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nonce: Option<Nonce>,
}

/// Why nothing was asked, said or agreed to. Everything is as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ConsentError {
    /// Only a proposal.
    #[error("there is no shape to agree to yet; take the proposal or draw one first")]
    NoShape,
    /// No text was chosen.
    #[error("the client was not asked anything yet; choose the text she is to read first")]
    NotAsked,
    /// Something is open or refused.
    #[error("{0}")]
    Ask(#[from] AskError),
    /// No signature.
    #[error("{0}")]
    Signature(#[from] SignatureError),
    /// A number that is none.
    #[error("{0}")]
    NoCanonicalForm(#[from] NoCanonicalForm),
    /// The text is not the sealed one, or of another version.
    #[error("this agreement is not to the shape as it is now, so it was not taken; ask her again")]
    NotThisShape,
    /// Kept already.
    #[error("this agreement is kept already")]
    Twice,
    /// A one-time number that was used before.
    #[error("this one-time number was used before; make a new one")]
    NonceUsed,
    /// No agreement of that seal.
    #[error("there is no agreement with this seal; choose one that is there")]
    NoSuchAgreement,
    /// Withdrawn already.
    #[error("this agreement was withdrawn already, on {}", .at.in_words())]
    WithdrawnBefore {
        /// When.
        at: When,
    },
    /// Circles that can't be kept.
    #[error("{0}")]
    Remark(&'static str),
    /// No remark of that number.
    #[error("there is no remark of this number; choose one that is there")]
    NoSuchRemark,
    /// More than a talk has.
    #[error("{MOST_REMARKS} remarks are kept of this client; begin a new file for her")]
    TooMuchSaid,
    /// As many as can be.
    #[error("{MOST_AGREEMENTS} agreements are kept of this client; begin a new file for her")]
    TooMany,
}

impl ConsentEdit {
    /// What it does, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Ask(_) => "choose what the client is asked",
            Self::Say { .. } => "note what the client said",
            Self::AnswerCaution { .. } => "note an answer to a caution",
            Self::Remark(_) => "note what the client said",
            Self::Reply { .. } => "note what became of it",
            Self::Invite(_) => "send the shape to another device",
            Self::Agree(_) => "keep the client's agreement",
            Self::Withdraw { .. } => "withdraw an agreement",
            Self::ReadCautions { .. } => "mark the cautions as read",
        }
        .to_owned()
    }
}

/// The record with the change made.
pub(crate) fn apply(record: &Record, edit: &ConsentEdit) -> Result<Record, ConsentError> {
    let mut next = record.clone();
    let consent = &mut next.consent;
    match edit {
        ConsentEdit::Ask(asked) => consent.asked = Some((**asked).clone()),
        ConsentEdit::Say { statement, said } => {
            let asked = consent.asked.as_mut().ok_or(ConsentError::NotAsked)?;
            asked.say(statement, *said)?;
        }
        ConsentEdit::AnswerCaution { caution, answer } => {
            let asked = consent.asked.as_mut().ok_or(ConsentError::NotAsked)?;
            asked.answer(caution, *answer)?;
        }
        ConsentEdit::Remark(said) => remark::keep(&mut consent.remarks, said)?,
        ConsentEdit::Reply { index, reply } => {
            remark::reply(&mut consent.remarks, *index, *reply)?;
        }
        ConsentEdit::Invite(invited) => {
            if consent.invitations.iter().any(|i| i.nonce == invited.nonce) {
                return Err(ConsentError::NonceUsed);
            }
            consent.invitations.push(invited.clone());
            while consent.invitations.len() > MOST_INVITATIONS {
                consent.invitations.remove(0);
            }
        }
        ConsentEdit::Agree(signed) => {
            let one = &signed.agreement;
            if consent.agreements.iter().any(|a| a.seal == one.seal) {
                return Err(ConsentError::Twice);
            }
            if consent.agreements.len() >= MOST_AGREEMENTS {
                return Err(ConsentError::TooMany);
            }
            let fits = record.pair.is_some()
                && one.version == record.version
                && one.withdrawn.is_none()
                && Seal::of(&one.sealed) == one.seal;
            if !fits {
                return Err(ConsentError::NotThisShape);
            }
            consent.asked = Some(signed.asked.clone());
            consent
                .invitations
                .retain(|i| Some(i.nonce) != signed.nonce);
            consent.agreements.push(one.clone());
        }
        ConsentEdit::Withdraw { seal, at } => {
            let found = consent.agreements.iter_mut().find(|a| a.seal == *seal);
            let found = found.ok_or(ConsentError::NoSuchAgreement)?;
            if let Some(at) = &found.withdrawn {
                return Err(ConsentError::WithdrawnBefore { at: at.clone() });
            }
            found.withdrawn = Some(at.clone());
        }
        ConsentEdit::ReadCautions { seal } => {
            if consent.agreements.iter().all(|a| a.seal != *seal) {
                return Err(ConsentError::NoSuchAgreement);
            }
            consent.cautions_read = Some(*seal);
        }
    }
    // Her agreeing is no change of what she agrees to.
    if !matches!(edit, ConsentEdit::Agree(_)) {
        next.renumber_after(record);
    }
    Ok(next)
}

impl Record {
    /// Her yes to the present shape, signed on this device: an edit to make.
    ///
    /// # Errors
    /// [`ConsentError`]: no shape, a statement without its yes, no signature.
    /// Cautions that are flagged or open do not stand in the way; they are
    /// sealed with it.
    pub fn agree(&self, signature: Signature, at: When) -> Result<ConsentEdit, ConsentError> {
        let shape = AgreedShape::of(self).ok_or(ConsentError::NoShape)?;
        let asked = self.consent.asked.clone().ok_or(ConsentError::NotAsked)?;
        asked.is_answered()?;
        signature.check()?;
        let sealed = Sealed::new(self, shape, (asked.clone(), signature), at, None);
        Ok(ConsentEdit::Agree(Box::new(Signed {
            agreement: sealed.agreement()?,
            asked,
            nonce: None,
        })))
    }
}
