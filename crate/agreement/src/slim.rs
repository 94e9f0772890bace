//! What a client is asked, made small for a link: of a text that comes with
//! Ophryon only its mark travels, and the other device has the words.

use serde::{Deserialize, Serialize};

use crate::text::text_of;
use crate::{Answer, Asked, Said, TextBy, TextMark};

/// [`Asked`] for a packet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Slim {
    /// Which text.
    pub text: TextMark,
    /// The artist's own words; none where the text is ours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<Asked>,
    /// What was said to the statements, in their order.
    pub said: Vec<Said>,
    /// What was answered to the cautions, in their order.
    pub answers: Vec<Answer>,
}

/// The other device has other texts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "this device holds another version of the text that was asked; update Ophryon on both devices"
)]
pub struct UnknownText;

impl Slim {
    /// Leaves out what the other device knows.
    pub fn of(asked: &Asked) -> Self {
        let ours = asked.text.by == TextBy::Ophryon;
        let known = text_of(&asked.text).map(|text| text.asked());
        let same = known.is_some_and(|known| known == asked.clone().unanswered());
        Self {
            text: asked.text.clone(),
            words: (!(ours && same)).then(|| asked.clone().unanswered()),
            said: asked.statements.iter().map(|s| s.said).collect(),
            answers: asked.cautions.iter().map(|c| c.answer).collect(),
        }
    }

    /// The whole again.
    ///
    /// # Errors
    /// [`UnknownText`], also where there are not as many answers as questions.
    pub fn whole(&self) -> Result<Asked, UnknownText> {
        let mut asked = match &self.words {
            Some(words) => words.clone(),
            None => text_of(&self.text).ok_or(UnknownText)?.asked(),
        };
        let fits = asked.text == self.text
            && asked.problem().is_none()
            && asked.statements.len() == self.said.len()
            && asked.cautions.len() == self.answers.len();
        if !fits {
            return Err(UnknownText);
        }
        for (statement, said) in asked.statements.iter_mut().zip(&self.said) {
            statement.said = *said;
        }
        for (caution, answer) in asked.cautions.iter_mut().zip(&self.answers) {
            caution.answer = *answer;
        }
        Ok(asked)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text_for;

    #[test]
    fn our_words_stay_behind_and_her_own_travel() {
        let mut asked = text_for("es").unwrap().asked();
        asked.say("photo", Said::No).unwrap();
        asked.answer("keloids", Answer::DoctorFirst).unwrap();
        let slim = Slim::of(&asked);
        assert_eq!(slim.words, None);
        assert_eq!(slim.whole().unwrap(), asked);

        let mut own = text_for("en").unwrap();
        own.cautions.truncate(3);
        let mut asked = own.asked();
        asked.say("shape", Said::Yes).unwrap();
        let slim = Slim::of(&asked);
        assert!(slim.words.is_some());
        assert_eq!(slim.whole().unwrap(), asked);
    }

    #[test]
    fn words_that_claim_to_be_ours_travel_as_they_are() {
        let mut asked = text_for("en").unwrap().asked();
        asked.statements[0].words.push_str(" Twice.");
        let slim = Slim::of(&asked);
        assert_eq!(slim.whole().unwrap(), asked);
        let other = Slim {
            words: None,
            text: TextMark {
                hash: crate::Seal::of("another"),
                ..asked.text.clone()
            },
            ..slim.clone()
        };
        assert_eq!(other.whole(), Err(UnknownText));
        let short = Slim {
            said: vec![],
            ..slim
        };
        assert_eq!(short.whole(), Err(UnknownText));
    }
}
