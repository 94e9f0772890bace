//! What a client agreed to, on paper: the shape in pictures and millimetres,
//! every sentence with her answer, her signature, the seal.
//!
//! All words are handed in, in her language; nothing here knows which they are.

mod flow;
mod head;
mod pictured;

use ophryon_brow::Outline;
use ophryon_frames::Skin;

use crate::lettering::clean;
use crate::{Jpeg, Paper, Sheet};

/// Everything that stands on it.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreementPage {
    /// The language of all words (BCP 47).
    pub language: String,
    /// What it is: the heading.
    pub title: String,
    /// Office paper; on anything smaller it is laid out for A4.
    pub paper: Paper,
    /// Must not be overlooked: "WITHDRAWN 14 March 2025".
    pub remark: Option<String>,
    /// Whose, which version, when, the seal's first digits; from the left.
    pub fields: Vec<Field>,
    /// Beside each other.
    pub pictures: Vec<Pictured>,
    /// Below them.
    pub below_pictures: Vec<String>,
    /// The shape in millimetres.
    pub numbers: Numbers,
    /// Sentences with answers.
    pub sections: Vec<Section>,
    /// How it was signed.
    pub signed: Signed,
    /// At the foot of each page; `{page}` and `{pages}` stand for numbers.
    pub foot: String,
}

/// A value with its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// Its name.
    pub name: String,
    /// The value.
    pub value: String,
}

/// A picture with the words below it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pictured {
    /// What it shows.
    pub words: String,
    /// The picture.
    pub shows: Shows,
}

/// What a picture is.
#[derive(Debug, Clone, PartialEq)]
pub enum Shows {
    /// A photo.
    Photo(Jpeg),
    /// Both brows in lines.
    Pair(DrawnPair),
}

/// Both brows without the face, as one sees the client.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnPair {
    /// All outlines of both sides on the skin.
    pub outlines: Vec<Outline<Skin>>,
    /// What they are drawn beside, paler: as drawn, where this is healed.
    pub paler: Vec<Outline<Skin>>,
}

/// A table of numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbers {
    /// What they are.
    pub title: String,
    /// Said beside the heads.
    pub note: String,
    /// Over each column of numbers.
    pub heads: Vec<String>,
    /// Name and numbers of each row.
    pub rows: Vec<(String, Vec<String>)>,
}

/// Sentences that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// What they are.
    pub title: String,
    /// Said before them.
    pub lead: Option<String>,
    /// The sentences.
    pub paragraphs: Vec<Paragraph>,
}

/// A sentence and the answer to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paragraph {
    /// The answer.
    pub answer: String,
    /// How it stands out.
    pub tone: Tone,
    /// The sentence.
    pub words: String,
}

/// How an answer stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// As expected.
    Plain,
    /// To be looked at: framed.
    Marked,
}

/// How it was signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// What it is.
    pub title: String,
    /// Strokes in ten-thousandths of the width of the field, x to the right, y
    /// down; empty where she wrote her name.
    pub strokes: Vec<Vec<(u16, u16)>>,
    /// Her name as she typed it.
    pub typed: Option<String>,
    /// Said beside it: when and how.
    pub lines: Vec<String>,
    /// Said in small letters below it, last of all: the text, the seal.
    pub fine: Vec<String>,
}

/// Lays it out: two pages for the usual, more where texts are long.
pub fn lay_out_agreement(page: &AgreementPage) -> Vec<Sheet> {
    flow::lay_out(page)
}

/// The sheet's title, for a window or a file.
fn file_title(page: &AgreementPage) -> String {
    let named = page
        .fields
        .iter()
        .map(|f| format!("{} {}", f.name, f.value));
    let all = std::iter::once(page.title.clone()).chain(named.take(2));
    clean(&all.collect::<Vec<_>>().join(", "))
}
