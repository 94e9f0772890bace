//! The texts a client reads, as data: statements, cautions, ranges. Those that
//! come with Ophryon lie in the folder `texts`, a file to a language; an
//! artist's own is such a file too.

use serde::{Deserialize, Serialize};

use crate::asked::{is_id, is_readable};
use crate::{Asked, Caution, Kind, Said, Seal, Statement, TextBy, TextMark, canonical};

/// The schema of a text's file.
const SCHEMA: u32 = 1;

/// Largest file of a text, bytes: some hundred times ours.
const LARGEST_TEXT: usize = 256 * 1024;

/// Statements that no text goes without: what is agreed to, that it fades,
/// that there may be a second visit, that the cautions were read, and whether
/// photos are kept.
pub const NEEDED_IDS: [&str; 5] = ["shape", "fades", "touch-up", "cautions", "photo"];

/// A text as the artist edits it. Ranges stand in the words as `{name}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Text {
    /// Always 1.
    pub schema: u32,
    /// BCP 47: "en", "es".
    pub language: String,
    /// The language in itself: "English", "Español".
    pub name: String,
    /// Counted up by whoever edits it.
    pub version: u32,
    /// How a range reads: "{from} to {to}".
    pub between: String,
    /// That the cautions are no medical advice.
    pub advice: String,
    /// What she agrees to.
    pub statements: Vec<StatementText>,
    /// What a doctor should know first.
    pub cautions: Vec<CautionText>,
    /// What is uncertain, as from and to with where it comes from.
    pub ranges: Vec<Range>,
}

/// A statement with `{name}` where a range is to stand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StatementText {
    /// Stable name.
    pub id: String,
    /// Whether there is an agreement without a yes.
    pub kind: Kind,
    /// The sentence.
    pub words: String,
}

/// A caution with `{name}` where a range is to stand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct CautionText {
    /// Stable name.
    pub id: String,
    /// The question.
    pub words: String,
    /// What is said to a yes and to a doubt; without it, only the question is
    /// there.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub advice: String,
}

/// What nobody knows to the day: always two ends, never one figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Range {
    /// Stable name, as it stands in the words.
    pub id: String,
    /// Its lower end.
    pub from: u32,
    /// Its upper end.
    pub to: u32,
    /// How this one reads, where not as the text's ranges do:
    /// "entre un {from} y un {to}".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between: Option<String>,
    /// Where both come from.
    pub source: String,
}

/// Why a text can't be used; what was used before stays.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TextError {
    /// No text's file.
    #[error(
        "this is no text of statements ({what}); choose a file that Ophryon saved, or edit a copy of one"
    )]
    NotAText {
        /// What the reader stumbled over.
        what: String,
    },
    /// From a later version.
    #[error(
        "this text was made by a newer Ophryon (schema {found}); this one reads {SCHEMA}, so update it first"
    )]
    Newer {
        /// Its schema.
        found: u32,
    },
    /// Something in it that can't stay so.
    #[error("{at}: {sentence}")]
    Problem {
        /// Which part.
        at: String,
        /// What is wrong and the way out.
        sentence: String,
    },
}

fn problem(at: impl Into<String>, sentence: impl Into<String>) -> TextError {
    TextError::Problem {
        at: at.into(),
        sentence: sentence.into(),
    }
}

/// The texts that come with Ophryon, by language.
pub fn texts() -> Vec<Text> {
    const FILES: &[&str] = &include!(concat!(env!("OUT_DIR"), "/texts.rs"));
    // A file that can't be read fails the tests, so none is lost here.
    let read = FILES.iter().filter_map(|file| Text::from_json(file).ok());
    read.collect()
}

/// The text for a language such as "es-MX": itself, else its language without
/// the region, else English.
pub fn text_for(language: &str) -> Option<Text> {
    let all = texts();
    let short = language.split('-').next().unwrap_or_default();
    [language, short, "en"].into_iter().find_map(|wanted| {
        let same = |text: &&Text| text.language.eq_ignore_ascii_case(wanted);
        all.iter().find(same).cloned()
    })
}

/// The one of ours with that mark.
pub(crate) fn text_of(mark: &TextMark) -> Option<Text> {
    texts().into_iter().find(|text| text.hash() == mark.hash)
}

impl Text {
    /// Reads a text.
    ///
    /// # Errors
    /// [`TextError`], a sentence that names what to mend.
    pub fn from_json(json: &str) -> Result<Self, TextError> {
        #[derive(Deserialize)]
        struct Schema {
            schema: u32,
        }
        let not = |what: String| TextError::NotAText { what };
        if json.len() > LARGEST_TEXT {
            return Err(not(format!("it is larger than {} kB", LARGEST_TEXT / 1024)));
        }
        let json = json.strip_prefix('\u{feff}').unwrap_or(json);
        let Schema { schema } = serde_json::from_str(json).map_err(|why| not(why.to_string()))?;
        if schema > SCHEMA {
            return Err(TextError::Newer { found: schema });
        }
        let text: Self = serde_json::from_str(json).map_err(|why| not(why.to_string()))?;
        text.check()?;
        Ok(text)
    }

    /// Writes it, to be edited: one field to a line.
    pub fn to_json(&self) -> String {
        // Words and whole numbers only: writing them can't fail.
        let mut json = serde_json::to_string_pretty(self).unwrap_or_default();
        json.push('\n');
        json
    }

    /// What can't stay so.
    ///
    /// # Errors
    /// The first of them.
    pub fn check(&self) -> Result<(), TextError> {
        if self.schema != SCHEMA {
            return Err(problem("schema", format!("it must be {SCHEMA}")));
        }
        if self.version == 0 {
            return Err(problem("version", "versions count from 1; set it to 1"));
        }
        let own = self.ranges.iter().filter_map(|r| r.between.as_ref());
        for between in own.chain([&self.between]) {
            if !(between.contains("{from}") && between.contains("{to}")) {
                return Err(problem("between", "it must hold {from} and {to}"));
            }
        }
        for range in &self.ranges {
            if !is_id(&range.id) || !is_readable(&range.source) {
                let what = "a range needs a name of letters, digits and hyphens, and a source";
                return Err(problem("ranges", what));
            }
            if range.from >= range.to {
                let what = "nobody knows this to the day, so the second number must be larger than the first";
                return Err(problem(&range.id, what));
            }
        }
        for id in NEEDED_IDS {
            let Some(found) = self.statements.iter().find(|s| s.id == id) else {
                let what = "this statement is missing; every agreement has it";
                return Err(problem(id, what));
            };
            let kind = if id == "photo" {
                Kind::Choice
            } else {
                Kind::Needed
            };
            if found.kind != kind {
                let what = match kind {
                    Kind::Choice => {
                        "whether photos are kept is hers to say: set its kind to choice"
                    }
                    Kind::Needed => "there is no agreement without this: set its kind to needed",
                };
                return Err(problem(id, what));
            }
        }
        let asked = self.filled();
        if let Some((at, sentence)) = asked.problem() {
            return Err(problem(at, sentence));
        }
        let words = asked.statements.iter().map(|s| (&s.id, &s.words));
        let cautions = asked.cautions.iter();
        let cautions = cautions.flat_map(|c| [(&c.id, &c.words), (&c.id, &c.advice)]);
        for (id, words) in words.chain(cautions) {
            if words.contains(['{', '}']) {
                return Err(problem(
                    id.as_str(),
                    "something in {braces} is none of the ranges; add it to them or write it out",
                ));
            }
        }
        Ok(())
    }

    /// SHA-256 over its canonical form.
    pub fn hash(&self) -> Seal {
        Seal::of(&canonical(self).unwrap_or_default())
    }

    /// It is one of ours, word for word.
    pub fn is_ours(&self) -> bool {
        let (mine, all) = (self.hash(), texts());
        all.iter().any(|text| text.hash() == mine)
    }

    /// What a client is asked, with nothing answered yet.
    pub fn asked(&self) -> Asked {
        let mut asked = self.filled();
        asked.text.hash = self.hash();
        if self.is_ours() {
            asked.text.by = TextBy::Ophryon;
        }
        asked
    }

    fn filled(&self) -> Asked {
        Asked {
            language: self.language.clone(),
            text: TextMark {
                version: self.version,
                hash: Seal::from_bytes([0; 32]),
                by: TextBy::Artist,
            },
            advice: self.fill(&self.advice),
            statements: self
                .statements
                .iter()
                .map(|s| Statement {
                    id: s.id.clone(),
                    kind: s.kind,
                    words: self.fill(&s.words),
                    said: Said::Open,
                })
                .collect(),
            cautions: self
                .cautions
                .iter()
                .map(|c| Caution {
                    id: c.id.clone(),
                    words: self.fill(&c.words),
                    advice: self.fill(&c.advice),
                    answer: crate::Answer::Unanswered,
                })
                .collect(),
        }
    }

    /// The words with their ranges put in.
    fn fill(&self, words: &str) -> String {
        self.ranges.iter().fold(words.to_owned(), |words, range| {
            let between = range.between.as_ref().unwrap_or(&self.between);
            let both = between
                .replace("{from}", &range.from.to_string())
                .replace("{to}", &range.to.to_string());
            words.replace(&format!("{{{}}}", range.id), &both)
        })
    }
}

#[cfg(test)]
mod tests;
