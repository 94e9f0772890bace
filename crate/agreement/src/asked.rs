//! What one client is asked before she signs, with what she said to it.

use serde::{Deserialize, Serialize};

use crate::Seal;

/// Everything she reads, word by word, and her answers. The words are kept
/// with her file: a text that is edited later leaves hers alone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Asked {
    /// Which language: "en", "es" (BCP 47).
    pub language: String,
    /// Which text it was.
    pub text: TextMark,
    /// That the list of cautions is no medical advice, and what comes first.
    pub advice: String,
    /// What she agrees to.
    pub statements: Vec<Statement>,
    /// What a doctor should know first.
    pub cautions: Vec<Caution>,
}

/// Which text: its number, and a mark that no other text has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct TextMark {
    /// Counted up by whoever edits it.
    pub version: u32,
    /// SHA-256 over its canonical form.
    pub hash: Seal,
    /// Ours, or the artist's own.
    pub by: TextBy,
}

/// Who wrote a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TextBy {
    /// It comes with Ophryon.
    Ophryon,
    /// The artist's own, or ours with her changes.
    Artist,
}

/// One sentence she agrees to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Statement {
    /// Stable name: "shape", "fades".
    pub id: String,
    /// Whether there is an agreement without a yes.
    pub kind: Kind,
    /// What she reads.
    pub words: String,
    /// What she said.
    #[serde(default, skip_serializing_if = "Said::is_open")]
    pub said: Said,
}

/// Whether a statement needs a yes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// No agreement without a yes to it.
    Needed,
    /// Yes and no are both fine, as whether photos may be kept.
    Choice,
}

/// What she said to a statement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Said {
    /// Nothing yet.
    #[default]
    Open,
    /// Yes.
    Yes,
    /// No.
    No,
}

impl Said {
    fn is_open(&self) -> bool {
        *self == Self::Open
    }
}

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Caution {
    /// Stable name: "pregnancy", "keloids".
    pub id: String,
    /// What she reads: a question.
    pub words: String,
    /// What is said to a yes and to a doubt. Empty where the words say it
    /// themselves, as texts did at first.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub advice: String,
    /// What she answered.
    #[serde(default, skip_serializing_if = "Answer::is_unanswered")]
    pub answer: Answer,
}

impl Caution {
    /// What is said to her answer: the advice to a yes and to a doubt.
    pub fn advised(&self) -> Option<&str> {
        let is_flagged = matches!(self.answer, Answer::DoctorFirst | Answer::NotSure);
        (is_flagged && !self.advice.is_empty()).then_some(self.advice.as_str())
    }

    /// The words with what is said to her answer.
    pub fn words_and_advice(&self) -> String {
        match self.advised() {
            Some(advice) => format!("{} {advice}", self.words),
            None => self.words.clone(),
        }
    }
}

/// What she answered to a caution. None of them stops the agreement; all but
/// [`Answer::NotMe`] are shown wherever the agreement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Nothing yet.
    #[default]
    Unanswered,
    /// It isn't so with her.
    NotMe,
    /// It is so: a doctor first.
    DoctorFirst,
    /// She isn't sure: a doctor first.
    NotSure,
}

impl Answer {
    fn is_unanswered(&self) -> bool {
        *self == Self::Unanswered
    }
}

/// Longest sentence, characters.
pub const LONGEST_WORDS: usize = 1_000;
/// Most statements, and most cautions.
pub const MOST_SENTENCES: usize = 40;
/// Longest name of a sentence or a language, characters.
const LONGEST_ID: usize = 40;

/// Why something can't be asked or answered.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum AskError {
    /// No sentence of that name.
    #[error("nothing was asked under the name “{}”; choose one that is there", .id.escape_debug())]
    NoSuch {
        /// The name.
        id: String,
    },
    /// A statement that needs a yes has none.
    #[error("not yet agreed to: “{words}”")]
    NoYes {
        /// The statement.
        words: String,
    },
    /// A choice that is still open.
    #[error("still open, yes or no: “{words}”")]
    Open {
        /// The statement.
        words: String,
    },
}

impl Asked {
    /// Says something to a statement.
    ///
    /// # Errors
    /// [`AskError::NoSuch`].
    pub fn say(&mut self, id: &str, said: Said) -> Result<(), AskError> {
        let found = self.statements.iter_mut().find(|s| s.id == id);
        found.ok_or_else(|| no_such(id))?.said = said;
        Ok(())
    }

    /// Answers a caution.
    ///
    /// # Errors
    /// [`AskError::NoSuch`].
    pub fn answer(&mut self, id: &str, answer: Answer) -> Result<(), AskError> {
        let found = self.cautions.iter_mut().find(|c| c.id == id);
        found.ok_or_else(|| no_such(id))?.answer = answer;
        Ok(())
    }

    /// Whether it can be signed as it stands.
    ///
    /// # Errors
    /// The first statement without the answer that it needs. Cautions never
    /// stand in the way; see [`Asked::for_a_doctor`].
    pub fn is_answered(&self) -> Result<(), AskError> {
        for statement in &self.statements {
            let words = statement.words.clone();
            match (statement.kind, statement.said) {
                (_, Said::Yes) | (Kind::Choice, Said::No) => {}
                (Kind::Needed, _) => return Err(AskError::NoYes { words }),
                (Kind::Choice, Said::Open) => return Err(AskError::Open { words }),
            }
        }
        Ok(())
    }

    /// The same questions for another round: what she said to the statements
    /// was to another shape, what she answered to the cautions is still so.
    #[must_use]
    pub fn anew(mut self) -> Self {
        for statement in &mut self.statements {
            statement.said = Said::Open;
        }
        self
    }

    /// The questions alone.
    #[must_use]
    pub fn unanswered(self) -> Self {
        let mut bare = self.anew();
        for caution in &mut bare.cautions {
            caution.answer = Answer::Unanswered;
        }
        bare
    }

    /// These questions with the answers she gave to others before, as far as
    /// they are the same: cautions by their name, for what is so with her is so
    /// in any language; statements only where both texts are of one hand and one
    /// version, for a yes is a yes to these words.
    #[must_use]
    pub fn answered_as(mut self, before: &Self) -> Self {
        for caution in &mut self.cautions {
            if let Some(same) = before.cautions.iter().find(|c| c.id == caution.id) {
                caution.answer = same.answer;
            }
        }
        let same_text = self.text.by == before.text.by && self.text.version == before.text.version;
        if same_text {
            for statement in &mut self.statements {
                let same = |s: &&Statement| s.id == statement.id && s.kind == statement.kind;
                if let Some(same) = before.statements.iter().find(same) {
                    statement.said = same.said;
                }
            }
        }
        self
    }

    /// Cautions that were flagged or left open: what is to be seen wherever
    /// the agreement is shown.
    pub fn for_a_doctor(&self) -> impl Iterator<Item = &Caution> {
        self.cautions.iter().filter(|c| c.answer != Answer::NotMe)
    }

    /// What makes it unfit to be kept: the field, and a sentence.
    pub fn problem(&self) -> Option<(&'static str, &'static str)> {
        let ids = || {
            let statements = self.statements.iter().map(|s| s.id.as_str());
            statements.chain(self.cautions.iter().map(|c| c.id.as_str()))
        };
        let words = || {
            let statements = self.statements.iter().map(|s| s.words.as_str());
            let cautions = self.cautions.iter().map(|c| c.words.as_str());
            // A caution without advice of its own is fine.
            let advice = self.cautions.iter().map(|c| c.advice.as_str());
            let advice = advice.filter(|a| !a.is_empty());
            let all = statements.chain(cautions).chain(advice);
            all.chain([self.advice.as_str()])
        };
        let most = self.statements.len().max(self.cautions.len());
        if most > MOST_SENTENCES || self.statements.is_empty() {
            return Some((
                "statements",
                "from 1 to 40 sentences can be asked, and as many cautions",
            ));
        }
        if ids().chain([self.language.as_str()]).any(|id| !is_id(id)) {
            return Some(("id", "names are 1 to 40 letters, digits and hyphens"));
        }
        let repeated = |(n, id): (usize, &str)| ids().take(n).any(|before| before == id);
        if ids().enumerate().any(repeated) {
            return Some(("id", "two sentences have one name; give each its own"));
        }
        if !words().all(is_readable) {
            return Some(("words", "a sentence has 1 to 1000 characters on one line"));
        }
        None
    }
}

fn no_such(id: &str) -> AskError {
    AskError::NoSuch {
        id: id.chars().take(LONGEST_ID).collect(),
    }
}

/// A stable name.
pub(crate) fn is_id(id: &str) -> bool {
    (1..=LONGEST_ID).contains(&id.len())
        && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

/// A sentence that can be read.
pub(crate) fn is_readable(words: &str) -> bool {
    !words.trim().is_empty()
        && words.chars().count() <= LONGEST_WORDS
        && !words.chars().any(char::is_control)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text_for;

    #[test]
    fn another_language_keeps_her_answers_and_another_text_only_what_is_so_with_her() {
        let mut before = text_for("en").unwrap().asked();
        before.say("shape", Said::Yes).unwrap();
        before.say("photo", Said::No).unwrap();
        before.answer("keloids", Answer::DoctorFirst).unwrap();
        let spanish = text_for("es").unwrap().asked().answered_as(&before);
        assert_eq!(spanish.statements[0].said, Said::Yes);
        assert_eq!(spanish.statements[4].said, Said::No);
        assert_eq!(
            spanish.for_a_doctor().count(),
            before.for_a_doctor().count()
        );

        let mut own = text_for("en").unwrap();
        own.version += 1;
        let other = own.asked().answered_as(&before);
        assert!(other.statements.iter().all(|s| s.said == Said::Open));
        let keloids = other.cautions.iter().find(|c| c.id == "keloids").unwrap();
        assert_eq!(keloids.answer, Answer::DoctorFirst);

        let anew = before.clone().anew();
        assert!(anew.statements.iter().all(|s| s.said == Said::Open));
        assert_eq!(anew.cautions, before.cautions);
    }
}
