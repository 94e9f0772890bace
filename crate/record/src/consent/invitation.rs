//! The design for a second device: what is to be seen and signed there,
//! without the photo.

use ophryon_agreement::{
    Asked, Nonce, PacketError, PacketKind, Seal, Signature, Slim, UnknownText, When, pack, unpack,
};
use serde::{Deserialize, Serialize};

use super::answer::Answer;
use super::sealed::{AgreedShape, Sealed, next_number};
use super::{ConsentEdit, ConsentError, Invited};
use crate::Record;

/// What travels: the shape, what she is asked, and what binds her answer to
/// this file. No photo, no name; the client's code is in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Invitation {
    /// Good for one answer.
    pub nonce: Nonce,
    /// The client's code.
    pub client: String,
    /// The version of the shape.
    pub version: u32,
    /// The name under which the shape is kept, where it is.
    pub variant: Option<String>,
    /// Which agreement it will be.
    pub number: u32,
    /// The seal of the one before.
    pub previous: Option<Seal>,
    /// The shape.
    pub shape: AgreedShape,
    /// What she is asked.
    pub asked: Slim,
}

/// Why nothing was sent.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum InviteError {
    /// There is nothing to send.
    #[error("{0}")]
    Consent(#[from] ConsentError),
    /// It can't be packed or read.
    #[error("{0}")]
    Packet(#[from] PacketError),
    /// The texts of both devices differ.
    #[error("{0}")]
    Text(#[from] UnknownText),
}

impl Record {
    /// The present shape as a packet for another device, and the edit that
    /// remembers that it was sent. The nonce is 128 bits by chance.
    ///
    /// # Errors
    /// No shape, nothing asked, or a number that was used before.
    pub fn invite(&self, nonce: Nonce, at: When) -> Result<(ConsentEdit, String), InviteError> {
        let shape = AgreedShape::of(self).ok_or(ConsentError::NoShape)?;
        let asked = self.consent.asked.as_ref().ok_or(ConsentError::NotAsked)?;
        let used = |nonce| {
            let sent = self.consent.invitations.iter().any(|i| i.nonce == nonce);
            sent || self.was_answered(nonce)
        };
        if used(nonce) {
            return Err(ConsentError::NonceUsed.into());
        }
        let kept = self.kept_as().and_then(|n| self.variants.get(n));
        let invitation = Invitation {
            nonce,
            client: self.client.code.clone(),
            version: self.version,
            variant: kept.map(|v| v.name.clone()),
            number: next_number(self),
            previous: self.consent.agreements.last().map(|a| a.seal),
            shape,
            asked: Slim::of(asked),
        };
        let packet = pack(PacketKind::Invitation, &invitation)?;
        let edit = ConsentEdit::Invite(Invited {
            nonce,
            client: invitation.client,
            version: invitation.version,
            variant: invitation.variant,
            at,
        });
        Ok((edit, packet))
    }

    /// An agreement that is kept carries this number.
    pub(super) fn was_answered(&self, nonce: Nonce) -> bool {
        let read = self.consent.agreements.iter().filter_map(|a| a.read().ok());
        read.into_iter().any(|sealed| sealed.nonce == Some(nonce))
    }
}

impl Invitation {
    /// Reads a packet; a link with it as its fragment is fine too.
    ///
    /// # Errors
    /// A sentence that says what it is instead; a shape that no brow is.
    pub fn read(packet: &str) -> Result<Self, InviteError> {
        let invitation: Self = unpack(PacketKind::Invitation, packet)?;
        let record = invitation.record()?;
        let sound = record.problems().is_empty()
            && record
                .pair
                .as_ref()
                .is_some_and(|p| p.draw(&record.limits).is_ok());
        if sound {
            Ok(invitation)
        } else {
            let what = "no brow can be drawn from it".to_owned();
            Err(PacketError::NotAsMade { what }.into())
        }
    }

    /// A client's file that holds nothing but what was sent: what is shown of
    /// it, asked and answered there is shown by what shows any file.
    ///
    /// # Errors
    /// The texts of both devices differ.
    pub fn record(&self) -> Result<Record, UnknownText> {
        let mut record = Record::new(self.client.clone());
        record.version = self.version;
        record.consent.asked = Some(self.asked.whole()?);
        self.shape.clone().put_into(&mut record);
        Ok(record)
    }

    /// What she is asked, in full.
    ///
    /// # Errors
    /// The texts of both devices differ.
    pub fn asked(&self) -> Result<Asked, UnknownText> {
        self.asked.whole()
    }

    /// Her signed answer, as a packet for the way back.
    ///
    /// # Errors
    /// A statement without its yes, no signature.
    pub fn answer(
        &self,
        asked: &Asked,
        signature: Signature,
        at: When,
    ) -> Result<String, InviteError> {
        asked.is_answered().map_err(ConsentError::from)?;
        signature.check().map_err(ConsentError::from)?;
        let slim = Slim::of(asked);
        let sealed = self.sealed(slim.whole()?, signature.clone(), at.clone());
        let agreement = sealed.agreement().map_err(ConsentError::from)?;
        let answer = Answer {
            nonce: self.nonce,
            seal: agreement.seal,
            said: slim.said,
            cautions: slim.answers,
            signature,
            at,
        };
        Ok(pack(PacketKind::Answer, &answer)?)
    }

    fn sealed(&self, asked: Asked, signature: Signature, at: When) -> Sealed {
        let mut record = Record::new(self.client.clone());
        record.version = self.version;
        Sealed {
            number: self.number,
            previous: self.previous,
            variant: self.variant.clone(),
            ..Sealed::new(
                &record,
                self.shape.clone(),
                (asked, signature),
                at,
                Some(self.nonce),
            )
        }
    }
}

impl AgreedShape {
    /// Makes it the present shape of a record.
    pub(crate) fn put_into(self, record: &mut Record) {
        record.pair = Some(self.pair);
        record.limits = self.limits;
        record.wrap = self.wrap;
        record.plan = self.plan;
        record.shrink = self.shrink;
    }
}
