//! The file itself: who, which photos, what was chosen, the shape.

use ophryon_brow::{Limits, Pair, Rules, Shrink};
use ophryon_frames::Sided;
use ophryon_stencil::RulerReadings;
use serde::{Deserialize, Serialize};

use crate::{Answers, Consent, Photo, PhotoState, PlanChoice, Variant, Visit, WrapChoice};

/// The schema this version writes. It reads this one and those before.
pub const SCHEMA: u32 = 3;

/// Everything that is kept of one client. Written as JSON; see
/// docs/file-format.md. [`Record::problems`] lists what makes it unusable;
/// what comes from [`Record::from_json`] or [`crate::apply`] has none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Record {
    /// Always [`SCHEMA`] once read.
    pub schema: u32,
    /// Lasting identity, by which a backup is brought together with what is
    /// there; `None` in files from before it was given. See
    /// [`Record::identify`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// Who it is.
    pub client: Client,
    /// Version of the shape, from 1; the sheet carries it.
    #[serde(default = "first")]
    pub version: u32,
    /// The photos, in the order they were brought.
    #[serde(default)]
    pub photos: Vec<Photo>,
    /// Where a brow starts, peaks and ends.
    #[serde(default)]
    pub rules: Rules,
    /// What the outline must keep to.
    #[serde(default)]
    pub limits: Limits,
    /// How the frontal view lies on the skin.
    #[serde(default)]
    pub wrap: WrapChoice,
    /// Midline to the middle of the ear over the skin, by tape, mm.
    #[serde(default)]
    pub ear_tape_mm: Sided<Option<f64>>,
    /// How much of a difference is evened out, and on which side.
    #[serde(default)]
    pub plan: PlanChoice,
    /// What a ruler read on skin.
    #[serde(default, skip_serializing_if = "crate::readings::nothing_read")]
    pub ruler: Sided<RulerReadings>,
    /// The shape; `None` until one was proposed or drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pair: Option<Pair>,
    /// Counted up where another shape takes the present one's place (a
    /// proposal, a style, a kept one), so that what she said of it is not taken
    /// for the other's. Drawing on leaves it.
    #[serde(default, skip_serializing_if = "is_first_drawing")]
    pub drawing: u32,
    /// Name of the style that the shape began from, where it did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub style: Option<String>,
    /// What the client said of it and how it was first shown, once something
    /// was answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answers: Option<Answers>,
    /// Shapes kept beside it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<Variant>,
    /// How much smaller a brow heals.
    #[serde(default, skip_serializing_if = "is_usual")]
    pub shrink: Shrink,
    /// What she was asked, said and agreed to.
    #[serde(default, skip_serializing_if = "Consent::is_empty")]
    pub consent: Consent,
    /// The log of her visits, in the order they were entered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub visits: Vec<Visit>,
}

fn is_usual(shrink: &Shrink) -> bool {
    *shrink == Shrink::default()
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "as serde asks for it")]
const fn is_first_drawing(drawing: &u32) -> bool {
    *drawing == 0
}

const fn first() -> u32 {
    1
}

/// Who the file is about. Only the code goes on paper.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Client {
    /// The artist's own short code for her; never empty.
    pub code: String,
    /// Her name, if the artist keeps it here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Anything worth remembering.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Record {
    /// A new client, with every choice at its default.
    pub fn new(code: impl Into<String>) -> Self {
        Self {
            schema: SCHEMA,
            id: None,
            client: Client {
                code: code.into(),
                ..Client::default()
            },
            version: first(),
            photos: Vec::new(),
            rules: Rules::default(),
            limits: Limits::default(),
            wrap: WrapChoice::default(),
            ear_tape_mm: Sided::default(),
            plan: PlanChoice::default(),
            ruler: Sided::default(),
            pair: None,
            style: None,
            drawing: 0,
            answers: None,
            variants: Vec::new(),
            shrink: Shrink::default(),
            consent: Consent::default(),
            visits: Vec::new(),
        }
    }

    /// The photo of that id.
    pub fn photo(&self, id: &str) -> Option<&Photo> {
        self.photos.iter().find(|p| p.id == id)
    }

    /// The photo the brows are designed on: the first relaxed one, else the
    /// first from before the work. A brow is set on the face at rest.
    pub fn design_photo(&self) -> Option<&Photo> {
        let relaxed = |p: &&Photo| p.state == PhotoState::Relaxed;
        let before_work = |p: &&Photo| p.state.before_work();
        let mut photos = self.photos.iter();
        photos
            .find(relaxed)
            .or_else(|| self.photos.iter().find(before_work))
    }

    /// The photos from before the work.
    pub fn before_work(&self) -> impl Iterator<Item = &Photo> {
        self.photos.iter().filter(|p| p.state.before_work())
    }

    /// An id that no photo has yet: "photo-1", "photo-2" and so on.
    pub fn free_photo_id(&self) -> String {
        (1_u32..)
            .map(|n| format!("photo-{n}"))
            .find(|id| self.photo(id).is_none())
            .unwrap_or_default()
    }
}
