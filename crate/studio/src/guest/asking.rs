//! What a guest is asked: an invitation, her answers in this page's memory,
//! and the packet that her signature makes of them.

use std::rc::Rc;

use ophryon_agreement::{
    Answer as CautionAnswer, Asked, PacketKind, Said, Seal, Signature, When, unpack,
};
use ophryon_record::{AgreedDrawing, Answer, Invitation};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;

use super::face::{self, Stage};
use crate::device::clock;
use crate::signing::Asking;
use crate::words::sentence;

/// Her answer, ready to go back.
#[derive(Debug, Clone, PartialEq)]
pub struct Signed {
    /// When, by this device's clock.
    pub at: When,
    /// The seal over what she signed.
    pub seal: Seal,
    /// What goes back.
    pub packet: String,
}

impl Signed {
    /// From what goes back.
    pub fn read(packet: &str) -> Option<Self> {
        let answer: Answer = unpack(PacketKind::Answer, packet).ok()?;
        Some(Self {
            at: answer.at,
            seal: answer.seal,
            packet: packet.trim().to_owned(),
        })
    }
}

/// What stands in the page's own address, to stand a reload: her answer, the
/// studio's ticket where there is one, and her language.
pub fn to_fragment(packet: &str, ticket: &str, language: &str) -> String {
    [packet, ticket, language].join(BETWEEN)
}

/// The same three; what is not there is empty.
pub fn from_fragment(fragment: &str) -> [&str; 3] {
    let mut parts = fragment.split(BETWEEN);
    [(); 3].map(|()| parts.next().unwrap_or_default())
}

/// Stands in no packet, ticket or language.
const BETWEEN: &str = "~";

/// An invitation under her eyes.
pub struct Invited {
    invitation: Rc<Invitation>,
    asked: Signal<Option<Asked>>,
    signed: Signal<Option<Signed>>,
    label: Box<dyn Fn() -> String>,
}

impl Invited {
    /// `signed` is told once she has signed; `label` says what the picture is.
    pub fn new(
        invitation: Rc<Invitation>,
        asked: Asked,
        signed: Signal<Option<Signed>>,
        label: impl Fn() -> String + 'static,
    ) -> Self {
        Self {
            invitation,
            asked: create_signal(Some(asked)),
            signed,
            label: Box::new(label),
        }
    }

    fn change(&self, change: impl FnOnce(&mut Asked)) {
        self.asked.update(|asked| {
            if let Some(asked) = asked {
                change(asked);
            }
        });
    }
}

impl Asking for Invited {
    fn asked(&self) -> Option<Asked> {
        self.asked.get_clone()
    }

    fn say(&self, statement: &str, said: Said) {
        // The page only offers statements that are there.
        self.change(|asked| drop(asked.say(statement, said)));
    }

    fn answer(&self, caution: &str, answer: CautionAnswer) {
        self.change(|asked| drop(asked.answer(caution, answer)));
    }

    /// What is asked was chosen where it was sent from, and is sealed there.
    fn speak(&self, _: &str) {}

    fn drawing(&self) -> Option<AgreedDrawing> {
        self.invitation.shape.drawing().ok()
    }

    fn picture(&self) -> View {
        self.drawing().map_or_else(View::new, |drawing| {
            let shape = &self.invitation.shape;
            face::face(shape, &drawing, Stage::Drawn, (self.label)()).into()
        })
    }

    fn sign(&self, signature: Signature) -> Result<(), String> {
        let asked = self
            .asked
            .get_clone_untracked()
            .ok_or("Nothing is asked.")?;
        let at = clock::moment().ok_or("This device tells no time.")?;
        let packet = self
            .invitation
            .answer(&asked, signature, at)
            .map_err(|why| sentence(&why.to_string()))?;
        let signed = Signed::read(&packet).ok_or("The answer can't be read back.")?;
        self.signed.set(Some(signed));
        Ok(())
    }

    fn signed(&self) -> Option<(When, Option<Seal>)> {
        self.signed
            .with(|s| s.as_ref().map(|s| (s.at.clone(), Some(s.seal))))
    }

    fn name(&self) -> String {
        format!("guest {}", self.invitation.nonce)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn her_language_stands_a_reload_with_her_answer() {
        for ticket in ["", "0f3a"] {
            let kept = to_fragment("yes1.a-b_c.d", ticket, "es");
            assert_eq!(from_fragment(&kept), ["yes1.a-b_c.d", ticket, "es"]);
        }
        assert_eq!(from_fragment("yes1.a.b"), ["yes1.a.b", "", ""]);
    }
}
