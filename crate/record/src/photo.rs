//! One photo: the picture, what was tapped in it and what gives its scale.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ophryon_face::{Landmark, Landmarks, Lens, Reference, Taps};
use ophryon_frames::{Photo as Px, Point, Sided};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Serialize};

/// What the face was doing, and when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhotoState {
    /// At rest, eyes softly open.
    #[default]
    Relaxed,
    /// Eyes opened wide, as in use.
    EyesOpen,
    /// Brows raised as far as they go.
    Raised,
    /// The face at rest once the brows have healed, to be measured against
    /// what was agreed. Nothing is designed on it.
    Healed,
    /// Kept with a visit, and never measured.
    Visit,
}

impl PhotoState {
    /// Whether the brows may be designed on it. What was taken after the work
    /// shows the work, not the natural brows.
    pub const fn before_work(self) -> bool {
        matches!(self, Self::Relaxed | Self::EyesOpen | Self::Raised)
    }

    /// Whether it is compared with the face at rest.
    pub const fn in_use(self) -> bool {
        matches!(self, Self::EyesOpen | Self::Raised)
    }
}

/// The picture itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Image {
    /// Kept beside the client's file (or in the app's store) under this name.
    File {
        /// A plain file name, without folders.
        name: String,
    },
    /// Inside the client's file.
    Embedded {
        /// `image/jpeg` or `image/png`.
        media_type: String,
        /// The file's bytes, base64. Shared, so that undo steps don't copy it.
        base64: Arc<str>,
    },
}

impl Image {
    /// Puts a picture's bytes into the file.
    pub fn embed(media_type: impl Into<String>, bytes: &[u8]) -> Self {
        Self::Embedded {
            media_type: media_type.into(),
            base64: STANDARD.encode(bytes).into(),
        }
    }

    /// The bytes of an embedded picture; `None` for one kept beside the file
    /// or for base64 that can't be read.
    pub fn bytes(&self) -> Option<Vec<u8>> {
        match self {
            Self::File { .. } => None,
            Self::Embedded { base64, .. } => STANDARD.decode(base64.as_bytes()).ok(),
        }
    }
}

/// What is known of the lens, for the camera's distance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all_fields = "kebab-case", deny_unknown_fields)]
pub enum Optics {
    /// Focal length of the lens that shows as much on 36 x 24 mm film, as
    /// EXIF has it; of the whole picture, so not for a cropped one.
    #[serde(rename = "35-mm-equivalent")]
    Equivalent {
        /// mm.
        focal_mm: f64,
    },
    /// Focal length of this picture, in its own px.
    #[serde(rename = "pixels")]
    Pixels {
        /// px.
        focal_px: f64,
    },
}

/// Diagonal of 36 x 24 mm film, mm. Equivalent focal lengths are taken over
/// the diagonal (CIPA DCG-001; from memory).
const FILM_DIAGONAL_MM: f64 = 43.266_615_305_567_87;

impl Optics {
    /// Focal length in px of a picture of that size.
    pub fn focal_px(&self, width_px: u32, height_px: u32) -> f64 {
        match *self {
            Self::Equivalent { focal_mm } => {
                let diagonal = libm::hypot(f64::from(width_px), f64::from(height_px));
                focal_mm * diagonal / FILM_DIAGONAL_MM
            }
            Self::Pixels { focal_px } => focal_px,
        }
    }
}

/// A tap that the assistance moved to what it found there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Snap {
    /// Where the artist tapped.
    pub tapped: Point<Px>,
    /// Standard uncertainty of the place that was found, in every direction,
    /// px; `None` where the assistance doesn't say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_px: Option<f64>,
}

/// One photo with everything that was tapped in it. Photo frame: px, origin
/// top left after EXIF orientation, y down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Photo {
    /// Unlike any other photo's of this client.
    pub id: String,
    /// What the face was doing.
    #[serde(default)]
    pub state: PhotoState,
    /// The picture.
    pub image: Image,
    /// The picture was erased at somebody's wish; what was tapped in it stays.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub erased: bool,
    /// Width after EXIF orientation, px.
    pub width_px: u32,
    /// Height after EXIF orientation, px.
    pub height_px: u32,
    /// What is known of the lens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub optics: Option<Optics>,
    /// What gives the scale, as far as it was tapped. Schema 1 had one
    /// `reference` or none; it is read as a list.
    #[serde(default, alias = "reference", deserialize_with = "one_or_many")]
    pub references: Vec<Reference>,
    /// Where everything is that was tapped.
    #[serde(default)]
    pub landmarks: Landmarks,
    /// Every tap of the landmarks that were tapped again, two or more each;
    /// such a landmark lies at their mean.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub repeated_taps: BTreeMap<Landmark, Vec<Point<Px>>>,
    /// Landmarks that the assistance placed. All others were set by hand.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub snapped: BTreeMap<Landmark, Snap>,
    /// Border of the natural hair where it was traced, in order round the
    /// brow; empty where it wasn't.
    #[serde(default)]
    pub hair: Sided<Vec<Point<Px>>>,
}

impl Photo {
    /// A photo in which nothing was tapped yet.
    pub fn new(
        id: impl Into<String>,
        state: PhotoState,
        image: Image,
        width_px: u32,
        height_px: u32,
    ) -> Self {
        Self {
            id: id.into(),
            state,
            image,
            erased: false,
            width_px,
            height_px,
            optics: None,
            references: Vec::new(),
            landmarks: Landmarks::default(),
            repeated_taps: BTreeMap::new(),
            snapped: BTreeMap::new(),
            hair: Sided::default(),
        }
    }

    /// The landmarks with what is known of how they got there.
    pub fn taps(&self) -> Taps<'_> {
        let placed = self.snapped.iter();
        let mut placed_sd_px = BTreeMap::new();
        // Collecting into a map would sort, and bring the sort along.
        placed_sd_px.extend(placed.filter_map(|(l, snap)| Some((*l, snap.sd_px?))));
        Taps {
            landmarks: &self.landmarks,
            repeated: &self.repeated_taps,
            placed_sd_px,
        }
    }

    /// What the lens says, for the camera's distance.
    pub fn lens(&self) -> Option<Lens> {
        let focal_px = self.optics?.focal_px(self.width_px, self.height_px);
        Some(match self.optics? {
            Optics::Equivalent { .. } => Lens::from_equivalent(focal_px),
            Optics::Pixels { .. } => Lens::calibrated(focal_px),
        })
    }

    /// What the scale was first taken from.
    pub fn first_reference(&self) -> Option<&Reference> {
        self.references.first()
    }

    /// Sets a landmark by hand. What was noted of its former place goes.
    pub fn set_by_hand(&mut self, landmark: Landmark, at: Point<Px>) {
        self.landmarks.set(landmark, at);
        self.repeated_taps.remove(&landmark);
        self.snapped.remove(&landmark);
    }

    /// Sets a landmark where the assistance found it.
    pub fn set_by_snap(&mut self, landmark: Landmark, at: Point<Px>, snap: Snap) {
        self.set_by_hand(landmark, at);
        self.snapped.insert(landmark, snap);
    }

    /// One more tap of a landmark: it comes to lie at the mean of its taps,
    /// and their spread says how sure it is. A place that the assistance found
    /// is no tap, so the first tap after it stands alone.
    pub fn tap_again(&mut self, landmark: Landmark, at: Point<Px>) {
        let before = match self.landmarks.get(landmark) {
            Some(p) if !self.snapped.contains_key(&landmark) => p,
            _ => {
                self.set_by_hand(landmark, at);
                return;
            }
        };
        let taps = self
            .repeated_taps
            .entry(landmark)
            .or_insert_with(|| vec![before]);
        taps.push(at);
        let mean = mean_of(taps);
        self.landmarks.set(landmark, mean);
    }

    /// Takes a landmark away, with every tap of it.
    pub fn forget(&mut self, landmark: Landmark) {
        self.landmarks.remove(landmark);
        self.repeated_taps.remove(&landmark);
        self.snapped.remove(&landmark);
    }

    /// Replaces all landmarks. What was noted of a landmark stays where the
    /// landmark does.
    pub fn set_landmarks(&mut self, landmarks: Landmarks) {
        let before = std::mem::replace(&mut self.landmarks, landmarks);
        let stays = |l: &Landmark| self.landmarks.get(*l) == before.get(*l);
        self.repeated_taps.retain(|l, _| stays(l));
        self.snapped.retain(|l, _| stays(l));
    }
}

/// Where repeated taps put a landmark.
pub(crate) fn mean_of(taps: &[Point<Px>]) -> Point<Px> {
    let n = taps.len() as f64;
    let sum = |of: fn(&Point<Px>) -> f64| taps.iter().map(of).sum::<f64>();
    Point::new(sum(|p| p.x) / n, sum(|p| p.y) / n)
}

/// A list of references, or one of them as schema 1 wrote it.
fn one_or_many<'de, D: Deserializer<'de>>(json: D) -> Result<Vec<Reference>, D::Error> {
    struct OneOrMany;
    impl<'de> Visitor<'de> for OneOrMany {
        type Value = Vec<Reference>;
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a list of references")
        }
        fn visit_unit<E>(self) -> Result<Self::Value, E> {
            Ok(Vec::new())
        }
        fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Self::Value, A::Error> {
            Reference::deserialize(MapAccessDeserializer::new(map)).map(|one| vec![one])
        }
        fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
            let mut all = Vec::new();
            while let Some(one) = list.next_element()? {
                all.push(one);
            }
            Ok(all)
        }
    }
    json.deserialize_any(OneOrMany)
}
