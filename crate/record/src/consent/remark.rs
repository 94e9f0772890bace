//! What the client said of a shape while the device was in her hands.
//!
//! She only says; the shape is the artist's. What is said stays said: an undo
//! takes drawing back, and with a change that answered her the word that it
//! was taken ([`Reply::Taken`]), never what she said.

use ophryon_agreement::When;
use ophryon_brow::Phrase;
use ophryon_frames::{Photo as Px, Point};
use serde::{Deserialize, Serialize};

use super::ConsentError;
use crate::{PRESENT, Record};

/// Remarks of one client; a talk has some ten.
pub const MOST_REMARKS: usize = 300;

/// Circles beside one remark: a few to a brow.
pub const MOST_CIRCLES: usize = 12;

/// Points of one circle; a finger's path is thinned before it is kept.
pub const MOST_CIRCLE_POINTS: usize = 200;

/// What can be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Opinion {
    /// She likes it.
    LikesIt,
    /// Of those shown, it is the one she wants.
    ChoosesIt,
    /// Something is too much or too little.
    #[serde(untagged)]
    Phrase(Phrase),
}

impl Opinion {
    /// As the client says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::LikesIt => "I like it",
            Self::ChoosesIt => "this one",
            Self::Phrase(phrase) => phrase.words(),
        }
    }
}

/// What became of something she said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reply {
    /// The artist changed the shape for it.
    Taken,
    /// The artist left the shape as it was.
    Left,
    /// She didn't mean it after all.
    TakenBack,
}

/// Something she said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Remark {
    /// What.
    pub said: Opinion,
    /// When.
    pub at: When,
    /// The version of the shape as it was then.
    pub version: u32,
    /// The kept shape that she was looking at, by its name; `None` for the
    /// present one where that was not kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub variant: Option<String>,
    /// The photo that she drew on, by its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// Where she means it: lines of her finger, px of that photo.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub circles: Vec<Vec<Point<Px>>>,
    /// What became of it; `None` while it waits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reply: Option<Reply>,
}

impl Remark {
    /// It waits for the artist.
    pub const fn is_open(&self) -> bool {
        self.reply.is_none() && matches!(self.said, Opinion::Phrase(_))
    }

    /// Of which shape: the name of a kept one, else [`PRESENT`].
    pub fn of_shape(&self) -> &str {
        self.variant.as_deref().unwrap_or(PRESENT)
    }

    /// What can't be kept, a sentence.
    pub(crate) fn problem(&self) -> Option<&'static str> {
        if self.circles.len() > MOST_CIRCLES {
            return Some("there are more circles than one remark can have; keep the first");
        }
        let points = || self.circles.iter().flatten();
        if self.circles.iter().any(|c| c.len() > MOST_CIRCLE_POINTS) {
            return Some("a circle has more points than a finger draws; draw it again");
        }
        if !points().all(|p| p.x.is_finite() && p.y.is_finite()) {
            return Some("a circle has a place that is no number; draw it again");
        }
        None
    }
}

impl Record {
    /// A remark about the shape that she is looking at: a kept one by its
    /// place, else the present one. Circles are px of the photo that the brows
    /// are designed on.
    pub fn remark(
        &self,
        said: Opinion,
        variant: Option<usize>,
        circles: Vec<Vec<Point<Px>>>,
        at: When,
    ) -> Remark {
        let kept = variant.or_else(|| self.kept_as());
        let kept = kept.and_then(|index| self.variants.get(index));
        let photo = self.design_photo().filter(|_| !circles.is_empty());
        Remark {
            said,
            at,
            version: self.version,
            variant: kept.map(|v| v.name.clone()),
            photo: photo.map(|p| p.id.clone()),
            circles,
            reply: None,
        }
    }
}

pub(super) fn keep(all: &mut Vec<Remark>, remark: &Remark) -> Result<(), ConsentError> {
    if let Some(why) = remark.problem() {
        return Err(ConsentError::Remark(why));
    }
    if all.len() >= MOST_REMARKS {
        return Err(ConsentError::TooMuchSaid);
    }
    all.push(remark.clone());
    Ok(())
}

pub(super) fn reply(
    all: &mut [Remark],
    index: usize,
    reply: Option<Reply>,
) -> Result<(), ConsentError> {
    let remark = all.get_mut(index).ok_or(ConsentError::NoSuchRemark)?;
    remark.reply = reply;
    Ok(())
}

/// After a step back or forth: what was said is as it is now; whether the shape
/// answers it is as the shape.
pub(super) fn after_a_step(kept: &mut [Remark], then: &[Remark]) {
    for (now, then) in kept.iter_mut().zip(then) {
        match (now.reply, then.reply) {
            (Some(Reply::Taken), None) => now.reply = None,
            (None, Some(Reply::Taken)) => now.reply = Some(Reply::Taken),
            _ => {}
        }
    }
}
