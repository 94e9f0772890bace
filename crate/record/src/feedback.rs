//! What the client said of the shape, and how it was answered.
//!
//! The record keeps the shape as it was before the first answer, because
//! feedback goes only so far from it ([`ophryon_brow::TOTAL_BOUNDS`]), and the
//! phrases in their order. Both begin anew with a new shape: a proposal, a
//! style, a sketch or a kept one.

use ophryon_brow::{Asked, NothingLeft, Pair, Phrase, Proposal, answer};
use ophryon_frames::Sided;
use serde::{Deserialize, Serialize};

use crate::{Edit, Problem, Record, StudyError, VariantEdit};

/// Most answers that are kept; with the bounds of feedback there are fewer.
const MOST_ANSWERS: usize = 500;

/// The answers to one shape.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Answers {
    /// The shape as it was before the first answer.
    pub first_shown: Pair,
    /// What was said, in order.
    pub said: Vec<Phrase>,
}

/// Why a phrase has no answer. The record is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FeedbackError {
    /// There is no shape yet, and none can be proposed.
    #[error("{0}")]
    Study(#[from] StudyError),
    /// Nothing is left to give.
    #[error("{0}")]
    NothingLeft(#[from] NothingLeft),
}

impl Record {
    /// What a phrase proposes, to be looked at before it is taken with
    /// [`feedback_edit`].
    ///
    /// # Errors
    /// [`FeedbackError`].
    pub fn feedback(&self, phrase: Phrase) -> Result<Proposal, FeedbackError> {
        let measured = self.measured()?;
        let pair = match &self.pair {
            Some(pair) => pair.clone(),
            None => self.proposal_on(&measured)?,
        };
        let first = self.answers.as_ref().map_or(&pair, |a| &a.first_shown);
        let ears = Sided::from_fn(|side| measured.ears.get(side).on_skin);
        let asked = Asked {
            pair: &pair,
            first,
            limits: &self.limits,
            ears: &ears,
            hair: &measured.hair,
            traced: Sided::from_fn(|side| {
                let photo = self.design_photo();
                photo.is_some_and(|p| !p.hair.get(side).is_empty())
            }),
            shrink: &self.shrink,
        };
        Ok(answer(phrase, &asked)?)
    }

    /// Keeps what was said and how the shape began, after an edit.
    pub(crate) fn keep_answers(&mut self, before: &Self, edit: &Edit) {
        match edit {
            Edit::TakeFeedback { phrase, .. } => {
                // A shape that was never taken was shown as the proposal.
                let first = || before.pair.clone().or_else(|| before.proposal().ok());
                let answers = self.answers.take().or_else(|| {
                    first().map(|first_shown| Answers {
                        first_shown,
                        said: Vec::new(),
                    })
                });
                self.answers = answers.map(|mut answers| {
                    answers.said.push(*phrase);
                    answers
                });
            }
            Edit::ApplyStyle { style, .. } => {
                self.style = Some(style.clone());
                self.answers = None;
                self.begin_drawing(before);
            }
            Edit::Propose => {
                self.style = None;
                self.answers = None;
                self.begin_drawing(before);
            }
            Edit::Sketch { .. } => {
                self.style = None;
                self.answers = None;
            }
            Edit::Variant(VariantEdit::Take { index }) => {
                let kept = before.variants.get(*index);
                self.style = kept.and_then(|v| v.style.clone());
                self.answers = None;
                self.begin_drawing(before);
            }
            _ => {}
        }
    }

    /// What can't be used of style and answers.
    pub(crate) fn answer_problems(&self) -> Vec<Problem> {
        let mut all = Vec::new();
        let mut add = |field: &str, sentence: &str| {
            all.push(Problem {
                field: field.to_owned(),
                sentence: sentence.to_owned(),
            });
        };
        if let Some(style) = &self.style {
            let sound = !style.trim().is_empty()
                && style.chars().count() <= ophryon_brow::LONGEST_STYLE_NAME
                && !style.chars().any(char::is_control);
            if !sound {
                add(
                    "style",
                    "it is no style's name: it must be 1 to 40 characters on one line",
                );
            }
        }
        if let Some(answers) = &self.answers {
            if answers.said.is_empty() || answers.said.len() > MOST_ANSWERS {
                add("answers.said", "it must hold 1 to 500 phrases");
            }
            let first = &answers.first_shown;
            let points = std::iter::once(&first.points).chain(&first.unlinked);
            if points.into_iter().any(|p| !p.problems().is_empty()) {
                add(
                    "answers.first-shown",
                    "its points are not those of a brow; remove “answers”, and feedback counts from the shape as it is",
                );
            }
        }
        all
    }
}

/// The change that takes a proposal into the record.
pub fn feedback_edit(proposal: &Proposal) -> Edit {
    Edit::TakeFeedback {
        phrase: proposal.phrase,
        pair: Box::new(proposal.pair.clone()),
    }
}
