//! Typed points of the frames a brow lives in, and the wraps that join them.
//!
//! Mixing frames is the mistake that ruins a brow, so a point carries its
//! frame in its type and points of two frames do not add. Changing frame is
//! always a named function that takes what it needs: a [`Wrap`] between
//! [`Front`] and [`Skin`], a [`Side`] between [`Skin`] and [`Lateral`].
//!
//! | frame | unit | axes |
//! |---|---|---|
//! | [`Photo`] | px | origin top left after EXIF orientation, y down |
//! | [`Front`] | mm | origin where the midline meets the pupil line; x toward the client's left, y up |
//! | [`Skin`] | mm | x = s, the distance along the skin from the midline, signed like Front's x; y = h, height, up |
//! | [`Lateral`] | mm | Skin without a side: x is positive from the midline toward the tail; y up |
//! | [`Page`] | mm | origin top left, y down |
//!
//! ```compile_fail
//! use ophryon_frames::{Front, Point, Skin};
//! let seen: Point<Front> = Point::new(50.0, 20.0);
//! let worn: Point<Skin> = Point::new(54.0, 20.0);
//! let mixed = seen - worn; // two frames: does not compile
//! ```

mod frame;
mod point;
mod ring;
mod side;
mod tape;
mod wrap;

pub use frame::{Frame, Front, Lateral, Page, Photo, Skin};
pub use point::{Point, Vector};
pub use ring::{signed_area, simplified};
pub use side::{Side, Sided};
pub use tape::{Tape, estimate_cost};
pub use wrap::{
    MAX_DEPTH, MAX_RADIUS_MM, MIN_DEPTH, MIN_RADIUS_MM, TYPICAL_DEPTH, TYPICAL_DEPTH_SD,
    TYPICAL_RADIUS_MM, Wrap, WrapError, WrapKind,
};
