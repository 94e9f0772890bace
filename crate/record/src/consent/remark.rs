//! What the client said of a shape while the device was in her hands.
//!
//! She only says; the shape is the artist's. What is said stays said: an undo
//! takes drawing back, and with a change that answered her the word that it
//! was taken ([`Reply::Taken`]), never what she said.

use ophryon_agreement::When;
use ophryon_brow::{Limits, Pair, Phrase};
use ophryon_frames::{Photo as Px, Point, Sided};
use serde::{Deserialize, Serialize};

use super::{ConsentEdit, ConsentError};
use crate::fingerprint::fingerprint;
use crate::{Edit, PRESENT, Record};

/// Remarks of one client; a talk has some ten.
pub const MOST_REMARKS: usize = 300;

/// Circles beside one remark: a few to a brow.
pub const MOST_CIRCLES: usize = 12;

/// Points of one circle; a finger's path is thinned before it is kept.
pub const MOST_CIRCLE_POINTS: usize = 200;

/// Digits of a shape's mark, and some to spare.
const LONGEST_MARK: usize = 64;

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
    /// The mark of the shape itself, by which it is found again whatever it is
    /// called by then; `None` in remarks from before there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shape: Option<String>,
    /// [`Record::drawing`] where it was the present one: drawn on, it is still
    /// the one she meant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<u32>,
    /// Its place among those she was shown, from 1: "Shape 2" on her page;
    /// `None` where there was only one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<u32>,
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

    /// The shape as it was called on her page, where she saw several.
    pub fn seen_as(&self) -> Option<String> {
        self.place.map(|place| format!("Shape {place}"))
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
        if self
            .shape
            .as_ref()
            .is_some_and(|s| s.chars().count() > LONGEST_MARK)
        {
            return Some(
                "the shape it is about has no mark of Ophryon's; take the file from its copy",
            );
        }
        if !points().all(|p| p.x.is_finite() && p.y.is_finite()) {
            return Some("a circle has a place that is no number; draw it again");
        }
        None
    }
}

/// Where the shape is that a remark was about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whereabouts {
    /// It is the present one, or the present one came of it by being drawn on.
    Present,
    /// It is a kept one that isn't present, by its place.
    Kept(usize),
    /// It is no more.
    Gone,
}

/// A mark that no other shape has; how it lies on skin is no part of it, since
/// she sees a shape from the front.
fn mark(pair: &Pair, limits: &Limits) -> String {
    fingerprint(pair, limits, &Sided::default())
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
        let present = self.kept_as();
        let index = variant.or(present);
        let kept = index.and_then(|index| self.variants.get(index));
        let photo = self.design_photo().filter(|_| !circles.is_empty());
        let is_present = variant.is_none() || variant == present;
        let shown = self.variants.len() + usize::from(present.is_none());
        let place = index.unwrap_or(self.variants.len()) + 1;
        Remark {
            said,
            at,
            version: self.version,
            variant: kept.map(|v| v.name.clone()),
            shape: self.mark_of(variant),
            drawing: is_present.then_some(self.drawing),
            place: u32::try_from(place).ok().filter(|_| shown > 1),
            photo: photo.map(|p| p.id.clone()),
            circles,
            reply: None,
        }
    }

    /// The mark of a kept shape, or of the present one or its proposal.
    fn mark_of(&self, variant: Option<usize>) -> Option<String> {
        if let Some(kept) = variant.and_then(|index| self.variants.get(index)) {
            return Some(mark(&kept.pair, &kept.limits));
        }
        let proposed = || self.proposal().ok();
        let pair = self.pair.clone().or_else(proposed)?;
        Some(mark(&pair, &self.limits))
    }

    /// Where the shape is that a remark was about. What was answered or drawn
    /// on since is still the one she meant; one that took its place is not.
    pub fn whereabouts(&self, remark: &Remark) -> Whereabouts {
        let found = |is: &dyn Fn(usize) -> bool| (0..self.variants.len()).find(|n| is(*n));
        let Some(shape) = &remark.shape else {
            let Some(name) = &remark.variant else {
                return Whereabouts::Present;
            };
            return match found(&|n| self.variants[n].name == *name) {
                Some(n) if self.kept_as() == Some(n) => Whereabouts::Present,
                Some(n) => Whereabouts::Kept(n),
                None => Whereabouts::Gone,
            };
        };
        let first = self.answers.as_ref();
        let first = first.map(|a| mark(&a.first_shown, &self.limits));
        let is_present = remark.drawing == Some(self.drawing)
            || first.as_ref() == Some(shape)
            || self.mark_of(None).as_ref() == Some(shape);
        if is_present {
            return Whereabouts::Present;
        }
        let kept = found(&|n| self.mark_of(Some(n)).as_ref() == Some(shape));
        kept.map_or(Whereabouts::Gone, Whereabouts::Kept)
    }

    /// Whether a remark is about the shape that is looked at: a kept one by
    /// its place, else the present one.
    pub fn is_said_of(&self, remark: &Remark, variant: Option<usize>) -> bool {
        match self.whereabouts(remark) {
            Whereabouts::Present => variant.is_none() || variant == self.kept_as(),
            Whereabouts::Kept(n) => variant == Some(n),
            Whereabouts::Gone => false,
        }
    }

    /// The last remark by which she said this of exactly the shape in view,
    /// while it stands unanswered.
    pub fn has_said(&self, said: Opinion, variant: Option<usize>) -> Option<usize> {
        let shape = self.mark_of(variant)?;
        self.consent
            .remarks
            .iter()
            .rposition(|r| r.reply.is_none() && r.said == said && r.shape.as_ref() == Some(&shape))
    }

    /// The changes by which she says something: the same said of that shape
    /// before, or its opposite, is taken back with it.
    pub fn saying(&self, remark: Remark) -> Vec<Edit> {
        let of = self.whereabouts(&remark);
        let replaces = |before: &Remark| match (before.said, remark.said) {
            (Opinion::Phrase(before), Opinion::Phrase(now)) => {
                before == now || before.opposite() == Some(now)
            }
            _ => false,
        };
        let all = self.consent.remarks.iter().enumerate();
        let past = all.filter(|(_, r)| r.is_open() && replaces(r) && self.whereabouts(r) == of);
        let reply = Some(Reply::TakenBack);
        let mut edits: Vec<_> = past
            .map(|(index, _)| Edit::Consent(ConsentEdit::Reply { index, reply }))
            .collect();
        edits.push(Edit::Consent(ConsentEdit::Remark(Box::new(remark))));
        edits
    }

    /// Counts the drawing up where another shape took the present one's place;
    /// never a number that something was said of.
    pub(crate) fn begin_drawing(&mut self, before: &Self) {
        let was_there = before.pair.is_some();
        let is_same = self.pair == before.pair && self.limits == before.limits;
        if !was_there || is_same {
            return;
        }
        let said_of = self.consent.remarks.iter().filter_map(|r| r.drawing);
        let last = said_of.max().unwrap_or_default().max(self.drawing);
        self.drawing = last.saturating_add(1);
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
