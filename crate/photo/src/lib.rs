//! What a photo's file says, and what its pixels say.
//!
//! | from | to | by |
//! |---|---|---|
//! | a file's bytes | kind, size, orientation, focal length, date | [`PhotoFile::read`] |
//! | its size | the size at which it is kept | [`Size::kept`] |
//! | focal length, width | px of focal length, camera distance | [`PhotoFile::optics`] |
//! | pixels, where a brow is | where its hair grows | [`find_hair`] |
//! | pixels, the agreed outline | what of it healed | [`measure_healed`] |
//!
//! Nothing is decoded here: the browser or the command line does that. Bad
//! files come back as a [`PhotoError`] with its sentence, whatever their bytes
//! are.

mod bytes;
mod exif;
mod file;
mod hair;
mod healed;
mod heif;
mod iris;
mod jpeg;
mod kind;
mod optics;
mod orientation;
mod pixels;
mod plain;
mod plane;
mod png;
mod quality;
mod size;
mod taken;
mod walk;
mod webp;

pub use file::{PhotoError, PhotoFile};
pub use hair::{
    BRUSH_MM, Brush, BrushError, FoundHair, HairCover, HairRemark, HairSearch, NoHair, SearchError,
    brushed, find_hair,
};
pub use healed::{
    Band, BandPlace, Columns, FIFTHS, Filled, Measured, NoPigment, Patch, Pigment, PigmentSearch,
    TouchUp, measure_healed,
};
pub use iris::{CATCH_MM, Iris, RoughScale, WeakEvidence, find_iris};
pub use kind::Kind;
pub use optics::{FocalLength, Optics};
pub use orientation::Orientation;
pub use pixels::{Crop, Layout, Pixels};
pub use quality::{AtLarge, BrowBand, Exposure, Matter, Quality, Remark, SideQuality, Weight};
pub use size::{Kept, LEAST_SIDE, MOST_PIXELS, Size, TOO_LONG_SIDE};
pub use taken::Taken;
