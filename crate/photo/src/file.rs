//! A photo's file before anything is decoded: whether it is one, how large,
//! how it lies, and what it tells of its optics.

use crate::exif::Tags;
use crate::optics::{FocalLength, Optics};
use crate::orientation::Orientation;
use crate::size::{LEAST_SIDE, Size, TOO_LONG_SIDE};
use crate::taken::Taken;
use crate::walk::Flaw;
use crate::{Kept, Kind, heif, jpeg, png, webp};

/// What a photo's file says of itself. Nothing else is read from it: no
/// place, no owner, no camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhotoFile {
    /// By its first bytes, whatever its name ends with.
    pub kind: Kind,
    /// As stored, before it is turned upright.
    pub stored: Size,
    /// How the stored picture must be turned.
    pub orientation: Orientation,
    /// As the camera wrote it.
    pub focal: Option<FocalLength>,
    /// By the camera's clock.
    pub taken: Option<Taken>,
    pub(crate) written_as: Option<Size>,
}

/// Why a file is not taken in. Displayed as a clause about the file that
/// follows its name; [`PhotoError::sentence`] makes the whole sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PhotoError {
    /// Nothing in it.
    #[error("is empty")]
    Empty,
    /// Another kind of file.
    #[error("is no photo")]
    NoPhoto,
    /// It ends before its picture does.
    #[error("is cut short: part of the {} is missing", kind.name())]
    CutShort {
        /// What it would be.
        kind: Kind,
    },
    /// It contradicts itself.
    #[error("is damaged: it is no {} that can be read", kind.name())]
    Damaged {
        /// What it would be.
        kind: Kind,
    },
    /// A side below [`LEAST_SIDE`].
    #[error("is only {size}, too small to tap on exactly")]
    TooSmall {
        /// Upright.
        size: Size,
    },
    /// A side of [`TOO_LONG_SIDE`] or more.
    #[error("is {size}, which is no photo of a face")]
    TooLarge {
        /// Upright.
        size: Size,
    },
    /// Sound, as far as the file goes, but this browser can't show it.
    #[error("is a {} photo, which this browser can't show", kind.name())]
    CannotShow {
        /// Which.
        kind: Kind,
    },
    /// What was decoded has another size than the file states.
    #[error("says {stated} and holds {found}")]
    OtherSize {
        /// Upright, by the file.
        stated: Size,
        /// Decoded.
        found: Size,
    },
}

impl PhotoError {
    /// What to do about it.
    pub fn way_out(&self) -> String {
        match self {
            Self::Empty | Self::CutShort { .. } | Self::Damaged { .. } | Self::OtherSize { .. } => {
                "Send or copy it again from where it was taken.".to_owned()
            }
            Self::NoPhoto => {
                "Choose a photo in JPEG, PNG or WebP, or HEIC where the browser shows it.".to_owned()
            }
            Self::TooSmall { .. } => {
                format!("Choose a photo of at least {LEAST_SIDE} px on its short side.")
            }
            Self::TooLarge { .. } => {
                format!("Choose one with fewer than {TOO_LONG_SIDE} px on its long side.")
            }
            Self::CannotShow { .. } => {
                "Save it as JPEG, or set the camera to take JPEG (often called “most compatible”), and choose that."
                    .to_owned()
            }
        }
    }

    /// The whole of it: what happened, what was kept, what to do.
    pub fn sentence(&self, name: &str) -> String {
        format!(
            "“{name}” {self}, so nothing was changed. {}",
            self.way_out()
        )
    }
}

impl PhotoFile {
    /// Reads all that is needed from a file's bytes; nothing is decoded.
    ///
    /// # Errors
    /// [`PhotoError`].
    pub fn read(bytes: &[u8]) -> Result<Self, PhotoError> {
        if bytes.is_empty() {
            return Err(PhotoError::Empty);
        }
        let kind = Kind::of(bytes).ok_or(PhotoError::NoPhoto)?;
        let walk = match kind {
            Kind::Jpeg => jpeg::walk(bytes),
            Kind::Png => png::walk(bytes),
            Kind::Webp => webp::walk(bytes),
            Kind::Heic | Kind::Avif => heif::walk(bytes),
        }
        .map_err(|flaw| match flaw {
            Flaw::CutShort => PhotoError::CutShort { kind },
            Flaw::Damaged => PhotoError::Damaged { kind },
        })?;
        let tags = walk.exif.map(Tags::read).unwrap_or_default();
        let file = Self {
            kind,
            stored: walk.stored,
            orientation: walk.lies.or(tags.orientation).unwrap_or_default(),
            focal: tags.focal,
            taken: tags.taken,
            written_as: tags.written_as,
        };
        let size = file.size();
        if size.width.max(size.height) >= TOO_LONG_SIDE {
            return Err(PhotoError::TooLarge { size });
        }
        if size.width.min(size.height) < LEAST_SIDE {
            return Err(PhotoError::TooSmall { size });
        }
        Ok(file)
    }

    /// Its size when it stands upright.
    pub fn size(&self) -> Size {
        self.orientation.upright(self.stored)
    }

    /// The size it is kept at.
    pub fn kept(&self) -> Kept {
        self.size().kept()
    }

    /// Its optics for an upright width of so many px: `None` without a focal
    /// length in the file, or where the picture was cropped since.
    pub fn optics(&self, width_px: u32) -> Option<Optics> {
        let size = self.size();
        let full = Optics::of(self.focal?, self.written_as, size)?;
        Some(full.scaled(f64::from(width_px) / f64::from(size.width)))
    }

    /// How a decoded picture must still be turned: not at all, where the
    /// decoder did so itself. Decoders that leave a half turn or a mirroring
    /// undone can't be told apart by the size; no browser does.
    ///
    /// # Errors
    /// [`PhotoError::OtherSize`].
    pub fn still_to_turn(&self, decoded: Size) -> Result<Orientation, PhotoError> {
        if decoded == self.size() {
            Ok(Orientation::UPRIGHT)
        } else if decoded == self.stored {
            Ok(self.orientation)
        } else {
            Err(PhotoError::OtherSize {
                stated: self.size(),
                found: decoded,
            })
        }
    }
}
