//! What a walk through any container gives.

use crate::Size;
use crate::orientation::Orientation;

/// Why a file of a known kind is no photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flaw {
    /// It ends before its picture does.
    CutShort,
    /// It contradicts itself.
    Damaged,
}

/// What the container says.
#[derive(Debug)]
pub struct Walk<'a> {
    /// As stored.
    pub stored: Size,
    /// A TIFF block.
    pub exif: Option<&'a [u8]>,
    /// The container's own word on how the picture lies; EXIF's doesn't count
    /// then.
    pub lies: Option<Orientation>,
}

impl<'a> Walk<'a> {
    pub fn new(stored: Size, exif: Option<&'a [u8]>) -> Result<Self, Flaw> {
        if stored.width == 0 || stored.height == 0 {
            return Err(Flaw::Damaged);
        }
        Ok(Self {
            stored,
            exif,
            lies: None,
        })
    }
}
