//! One photo: the picture, what was tapped in it and what gives its scale.

use std::sync::Arc;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ophryon_face::{Landmarks, Reference};
use ophryon_frames::{Point, Sided};
use serde::{Deserialize, Serialize};

/// What the face was doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhotoState {
    /// At rest, eyes softly open.
    #[default]
    Relaxed,
    /// Eyes opened wide, as in use.
    EyesOpen,
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
    /// Width after EXIF orientation, px.
    pub width_px: u32,
    /// Height after EXIF orientation, px.
    pub height_px: u32,
    /// What gives the scale, once it was tapped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<Reference>,
    /// What was tapped.
    #[serde(default)]
    pub landmarks: Landmarks,
    /// Border of the natural hair where it was traced, in order round the
    /// brow; empty where it wasn't.
    #[serde(default)]
    pub hair: Sided<Vec<Point<ophryon_frames::Photo>>>,
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
            width_px,
            height_px,
            reference: None,
            landmarks: Landmarks::default(),
            hair: Sided::default(),
        }
    }
}
