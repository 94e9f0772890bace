//! Her answer from a second device: checked against what was sent and what is
//! here, taken once.

use ophryon_agreement::{
    Answer as CautionAnswer, Nonce, PacketError, PacketKind, Said, Seal, Signature, When, unpack,
};
use serde::{Deserialize, Serialize};

use super::sealed::{AgreedShape, Sealed};
use super::{ConsentEdit, ConsentError, Signed};
use crate::Record;

/// What travels back. The shape is not in it: it is here already, and the
/// seal tells whether it was the same there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Answer {
    /// The invitation's one-time number.
    pub nonce: Nonce,
    /// The seal, as computed where she signed.
    pub seal: Seal,
    /// What she said to the statements, in their order.
    pub said: Vec<Said>,
    /// What she answered to the cautions, in their order.
    pub cautions: Vec<CautionAnswer>,
    /// How she signed.
    pub signature: Signature,
    /// When, by that device's clock.
    pub at: When,
}

/// Why an answer was not taken. The file is as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum AnswerError {
    /// It can't be read.
    #[error("{0}")]
    Packet(#[from] PacketError),
    /// Nobody was asked under that number.
    #[error(
        "this answers no question that was sent for this client; check whose it is, or ask again"
    )]
    Foreign,
    /// Taken before.
    #[error("this answer was taken already; an answer counts once")]
    Replayed,
    /// The shape has moved on.
    #[error(
        "the shape is version {now} now and she answered to version {then}, so her answer was not taken; ask her again"
    )]
    OtherVersion {
        /// What she answered to.
        then: u32,
        /// What it is now.
        now: u32,
    },
    /// The seal is another: shape, text or answer are not the same there and here.
    #[error(
        "what she signed is not what stands here, or the answer was changed on its way, so it was not taken; ask her again"
    )]
    NotTheSame,
    /// A statement without its yes, no signature, nothing asked here.
    #[error("{0}")]
    Consent(#[from] ConsentError),
}

impl Record {
    /// Takes an answer that came back: an edit to make.
    ///
    /// # Errors
    /// [`AnswerError`]; nothing is changed.
    pub fn take_answer(&self, packet: &str) -> Result<ConsentEdit, AnswerError> {
        let answer: Answer = unpack(PacketKind::Answer, packet)?;
        let sent = self
            .consent
            .invitations
            .iter()
            .find(|i| i.nonce == answer.nonce);
        let Some(sent) = sent else {
            return Err(if self.was_answered(answer.nonce) {
                AnswerError::Replayed
            } else {
                AnswerError::Foreign
            });
        };
        if sent.version != self.version {
            return Err(AnswerError::OtherVersion {
                then: sent.version,
                now: self.version,
            });
        }
        let shape = AgreedShape::of(self).ok_or(ConsentError::NoShape)?;
        let mut asked = self.consent.asked.clone().ok_or(ConsentError::NotAsked)?;
        let as_many = asked.statements.len() == answer.said.len()
            && asked.cautions.len() == answer.cautions.len();
        if !as_many {
            return Err(AnswerError::NotTheSame);
        }
        for (statement, said) in asked.statements.iter_mut().zip(&answer.said) {
            statement.said = *said;
        }
        for (caution, given) in asked.cautions.iter_mut().zip(&answer.cautions) {
            caution.answer = *given;
        }
        asked.is_answered().map_err(ConsentError::from)?;
        answer.signature.check().map_err(ConsentError::from)?;
        let nonce = Some(answer.nonce);
        let signed = (asked.clone(), answer.signature);
        // Code and name may be others by now; she signed what was sent.
        let sealed = Sealed {
            client: sent.client.clone(),
            variant: sent.variant.clone(),
            ..Sealed::new(self, shape, signed, answer.at, nonce)
        };
        let agreement = sealed.agreement().map_err(ConsentError::from)?;
        if agreement.seal != answer.seal {
            return Err(AnswerError::NotTheSame);
        }
        Ok(ConsentEdit::Agree(Box::new(Signed {
            agreement,
            asked,
            nonce,
        })))
    }
}
