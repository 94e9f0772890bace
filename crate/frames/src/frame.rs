//! The frames themselves: types without values.

mod sealed {
    pub trait Sealed {}
}

/// A frame of reference. Sealed: a new frame is a decision for this crate.
pub trait Frame: sealed::Sealed + Copy + Clone + std::fmt::Debug + PartialEq + 'static {
    /// Name as it stands in messages.
    const NAME: &'static str;
    /// Unit of both axes.
    const UNIT: &'static str;
}

macro_rules! frame {
    ($(#[$doc:meta])* $name:ident, $text:literal, $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name {}
        impl sealed::Sealed for $name {}
        impl Frame for $name {
            const NAME: &'static str = $text;
            const UNIT: &'static str = $unit;
        }
    };
}

frame!(
    /// The photograph: px, origin top left after EXIF orientation, y down.
    Photo, "photo", "px"
);
frame!(
    /// What the camera sees, levelled: mm, origin where the midline meets the
    /// pupil line, x toward the client's left, y up.
    Front, "front", "mm"
);
frame!(
    /// On the skin: mm, x = distance along the skin from the midline (signed
    /// like the front frame's x), y = height above the pupil line.
    Skin, "skin", "mm"
);
frame!(
    /// On the skin of either side: mm, x positive from the midline toward the
    /// tail, y = height above the pupil line. One brow model serves both sides.
    Lateral, "lateral", "mm"
);
frame!(
    /// The printed sheet: mm, origin top left, y down.
    Page, "page", "mm"
);
