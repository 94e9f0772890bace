//! An agreement on paper: what was sealed, in her language.
//!
//! Everything comes from the sealed text, nothing from the record as it is
//! now, but for two things that are said in a frame: that she withdrew it, and
//! that the shape has changed since.

mod words;

use ophryon_agreement::{Answer, Asked, Kind, Said, Signature, TextBy, Touch};
use ophryon_brow::{ShrinkBy, SideConflict};
use ophryon_frames::Sided;
use ophryon_stencil::{
    AgreementPage, DrawnPair, Field, Jpeg, Numbers, Paper, Paragraph, Pictured, Section, Sheet,
    Shows, Signed, Tone, lay_out_agreement,
};

use self::words::Words;
use crate::{AgreedDrawing, Agreement, Record, SealBroken, Sealed, StageNumbers};

/// Her face without the shape, with it as drawn, and as healed.
#[derive(Debug, Clone, PartialEq)]
pub struct FacePictures {
    /// Nothing drawn on it.
    pub before: Jpeg,
    /// The outline.
    pub drawn: Jpeg,
    /// The powder, healed.
    pub healed: Jpeg,
}

/// Why an agreement can't be put on paper.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AgreementPaperError {
    /// There is none of that number.
    #[error("there is no such agreement; choose one that is there")]
    NoSuch,
    /// It can't be relied on.
    #[error("this agreement can't be relied on: {0}; take the file from its copy")]
    Broken(#[from] SealBroken),
    /// Its shape can't be drawn.
    #[error("{0}")]
    Shape(#[from] SideConflict),
}

impl Sealed {
    /// She agreed that photos of her face are kept after the day. Pictures of
    /// it stand on a paper only then: a paper is kept.
    pub fn keeps_photos(&self) -> bool {
        keeps_photos(&self.asked)
    }
}

fn keeps_photos(asked: &Asked) -> bool {
    let photo = asked.statements.iter().find(|s| s.id == "photo");
    photo.is_some_and(|s| s.said == Said::Yes)
}

impl Record {
    /// What was sealed in one of the agreements, and the record with its shape
    /// as the present one: to see it, not to keep it. `None` where it is not
    /// there or can't be relied on.
    pub fn with_agreement(&self, index: usize) -> Option<(Sealed, Self)> {
        let sealed = self.consent.agreements.get(index)?.read().ok()?;
        let mut as_agreed = self.clone();
        sealed.shape.clone().put_into(&mut as_agreed);
        Some((sealed, as_agreed))
    }

    /// One of the agreements as pages, by its place from 0, with pictures of
    /// her face where there are any and she lets photos be kept.
    ///
    /// # Errors
    /// [`AgreementPaperError`].
    pub fn agreement_papers(
        &self,
        index: usize,
        paper: Paper,
        pictures: Option<&FacePictures>,
    ) -> Result<Vec<Sheet>, AgreementPaperError> {
        let one = self.consent.agreements.get(index);
        let one = one.ok_or(AgreementPaperError::NoSuch)?;
        let sealed = one.read()?;
        let drawing = sealed.shape.drawing()?;
        let words = Words::of(&sealed.asked.language);
        let is_present = self.agreed().seal() == Some(&one.seal);
        let pictures = pictures.filter(|_| sealed.keeps_photos());
        Ok(lay_out_agreement(&AgreementPage {
            language: sealed.asked.language.clone(),
            title: words.say("title"),
            paper,
            remark: match &one.withdrawn {
                Some(at) => Some(words.say_with("withdrawn", &[("when", &words.when(at))])),
                None if is_present => None,
                None => Some(words.say("changed")),
            },
            fields: fields(one, &sealed, &words),
            pictures: pictured(&drawing, pictures, &words),
            below_pictures: below(&drawing, pictures.is_some(), &words),
            numbers: numbers(&drawing, &words),
            sections: sections(&sealed.asked, &words),
            signed: signed(one, &sealed, &words),
            foot: words.say_with(
                "foot",
                &[
                    ("client", &sealed.client),
                    ("version", &sealed.version.to_string()),
                    ("seal", &one.seal.short()),
                ],
            ),
        }))
    }
}

fn fields(one: &Agreement, sealed: &Sealed, words: &Words) -> Vec<Field> {
    let field = |key: &str, value: String| Field {
        name: words.say(key),
        value,
    };
    let mut all = vec![
        field("client", sealed.client.clone()),
        field("version", sealed.version.to_string()),
    ];
    all.extend(sealed.variant.clone().map(|name| field("shape", name)));
    all.push(field("signed-on", words.when(&sealed.at)));
    all.push(field("seal", one.seal.short()));
    all
}

fn pictured(
    drawing: &AgreedDrawing,
    pictures: Option<&FacePictures>,
    words: &Words,
) -> Vec<Pictured> {
    let one = |key: &str, shows: Shows| Pictured {
        words: words.say(key),
        shows,
    };
    if let Some(face) = pictures {
        return vec![
            one("before", Shows::Photo(face.before.clone())),
            one("drawn", Shows::Photo(face.drawn.clone())),
            one("healed", Shows::Photo(face.healed.clone())),
        ];
    }
    let both = |of: &Sided<ophryon_brow::Outline<ophryon_frames::Skin>>| {
        vec![of.right.clone(), of.left.clone()]
    };
    let Sided { right, left } = &drawing.healed_on_skin;
    let healed: Vec<_> = right.iter().chain(left).cloned().collect();
    let mut all = vec![one(
        "drawn",
        Shows::Pair(DrawnPair {
            outlines: both(&drawing.on_skin),
            paler: vec![],
        }),
    )];
    if !healed.is_empty() {
        let paler = both(&drawing.on_skin);
        let outlines = healed;
        all.push(one("healed", Shows::Pair(DrawnPair { outlines, paler })));
    }
    all
}

fn below(drawing: &AgreedDrawing, on_face: bool, words: &Words) -> Vec<String> {
    let percent = format!("{:.0}", 100.0 * drawing.shrink.share);
    let key = match drawing.shrink.by {
        ShrinkBy::Area => "shrink-area",
        ShrinkBy::Thickness => "shrink-thickness",
    };
    let first = words.say(if on_face { "impression" } else { "no-face" });
    let shrink = words.say_with(key, &[("percent", &percent)]);
    vec![format!("{first} {shrink}")]
}

fn numbers(drawing: &AgreedDrawing, words: &Words) -> Numbers {
    let heads = ["drawn-right", "drawn-left", "healed-right", "healed-left"];
    let all: [Option<StageNumbers>; 4] = [
        Some(drawing.drawn.right),
        Some(drawing.drawn.left),
        drawing.healed.right,
        drawing.healed.left,
    ];
    let row = |key: &str, read: fn(&StageNumbers) -> Option<f64>| {
        let cells = all.iter().map(|n| match n.as_ref().and_then(read) {
            Some(mm) => format!("{mm:.1}").replace('.', &words.say("decimal")),
            None => "–".to_owned(),
        });
        (words.say(key), cells.collect())
    };
    Numbers {
        title: words.say("numbers"),
        note: words.say("sides"),
        heads: heads.map(|key| words.say(key)).to_vec(),
        rows: vec![
            row("length", |n| Some(n.length_mm)),
            row("thickness-start", |n| Some(n.thickness_start_mm)),
            row("thickness-body", |n| Some(n.thickness_body_mm)),
            row("thickness-peak", |n| Some(n.thickness_peak_mm)),
            row("thickness-tail", |n| Some(n.thickness_tail_mm)),
            row("peak-height", |n| n.peak_height_mm),
        ],
    }
}

fn sections(asked: &Asked, words: &Words) -> Vec<Section> {
    let statements = asked.statements.iter().map(|s| {
        let (key, tone) = match (s.kind, s.said) {
            (_, Said::Yes) => ("yes", Tone::Plain),
            (Kind::Choice, Said::No) => ("no", Tone::Plain),
            (Kind::Needed, Said::No) => ("no", Tone::Marked),
            (_, Said::Open) => ("open", Tone::Marked),
        };
        Paragraph {
            answer: words.say(key),
            tone,
            words: s.words.clone(),
        }
    });
    let cautions = asked.cautions.iter().map(|c| {
        let (key, tone) = match c.answer {
            Answer::NotMe => ("not-me", Tone::Plain),
            Answer::DoctorFirst => ("so", Tone::Marked),
            Answer::NotSure => ("not-sure", Tone::Marked),
            Answer::Unanswered => ("unanswered", Tone::Marked),
        };
        Paragraph {
            answer: words.say(key),
            tone,
            words: c.words_and_advice(),
        }
    });
    let is_marked = asked.for_a_doctor().next().is_some();
    let lead = if is_marked {
        format!("{} {}", words.say("look"), asked.advice)
    } else {
        asked.advice.clone()
    };
    let mut all = vec![];
    if !asked.cautions.is_empty() {
        all.push(Section {
            title: words.say("cautions"),
            lead: Some(lead),
            paragraphs: cautions.collect(),
        });
    }
    // What she says yes to comes last: she signs below it.
    all.push(Section {
        title: words.say("statements"),
        lead: None,
        paragraphs: statements.collect(),
    });
    all
}

fn signed(one: &Agreement, sealed: &Sealed, words: &Words) -> Signed {
    /// Digits of the seal to a group.
    const DIGITS: usize = 8;
    let (strokes, typed, how) = match &sealed.signature {
        Signature::Drawn { strokes } => {
            let plain = |s: &Vec<Touch>| s.iter().map(|t| (t.0, t.1)).collect();
            (strokes.iter().map(plain).collect(), None, "by-hand")
        }
        Signature::Typed { name } => (vec![], Some(name.clone()), "typed"),
    };
    let mut lines = vec![
        words.say_with("signed-at", &[("when", &words.when(&sealed.at))]),
        words.say(how),
    ];
    if sealed.nonce.is_some() {
        lines.push(words.say("elsewhere"));
    }
    let by = words.say(match sealed.asked.text.by {
        TextBy::Ophryon => "by-ophryon",
        TextBy::Artist => "by-artist",
    });
    let version = sealed.asked.text.version.to_string();
    let text = words.say_with("text", &[("version", &version), ("by", &by)]);
    let digits: Vec<char> = one.seal.to_string().chars().collect();
    let groups = digits.chunks(DIGITS).map(String::from_iter);
    let seal = groups.collect::<Vec<_>>().join(" ");
    Signed {
        title: words.say("signature"),
        strokes,
        typed,
        lines,
        fine: vec![format!("{text} {}", words.say("sealed")), seal],
    }
}
