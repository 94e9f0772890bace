//! Which one thing is asked for next, from the record and what is under way.

use std::collections::BTreeSet;

use ophryon_face::{Landmark, Need, Reference};
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::Record;

/// Things of known size that may be in a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleKind {
    /// A card of the common size.
    Card,
    /// Two marks of a ruler.
    Ruler,
    /// A round sticker.
    Sticker,
    /// A distance read off a caliper.
    Caliper,
    /// The coloured part of an eye.
    Iris,
}

/// A reference on its way: what was tapped and typed so far.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleTry {
    /// Which thing.
    pub kind: ScaleKind,
    /// What was tapped so far.
    pub taps: Vec<Point<Px>>,
}

/// What the screen asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// A photo.
    Photo,
    /// Which thing of known size is in it.
    WhichScale,
    /// A tap on that thing.
    ScaleTap {
        /// Which thing.
        kind: ScaleKind,
        /// Which tap, from 0.
        index: usize,
    },
    /// How long that thing is, or what the caliper read.
    ScaleLength {
        /// Which thing.
        kind: ScaleKind,
    },
    /// A landmark.
    Landmark(Landmark),
    /// Nothing: every landmark is there or skipped.
    Nothing,
}

impl Ask {
    /// Whether a tap on the photo answers it.
    pub const fn wants_tap(&self) -> bool {
        matches!(self, Self::ScaleTap { .. } | Self::Landmark(_))
    }
}

impl ScaleKind {
    /// All, surest and commonest first.
    pub const ALL: [Self; 5] = [
        Self::Card,
        Self::Ruler,
        Self::Sticker,
        Self::Caliper,
        Self::Iris,
    ];

    /// What it is.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Card => "A card",
            Self::Ruler => "A ruler",
            Self::Sticker => "A round sticker",
            Self::Caliper => "A caliper reading",
            Self::Iris => "Nothing of known size",
        }
    }

    /// What it takes, and how sure it is.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Card => "Bank card or driving licence, held flat beside the brows. Very sure.",
            Self::Ruler => "Two marks on it. Sure.",
            Self::Sticker => "On the forehead, of a size you know. Sure.",
            Self::Caliper => "Measured on the face itself. Sure.",
            Self::Iris => "Then the iris serves: about 11.7 mm in most adults. Rough.",
        }
    }

    /// How many taps it takes.
    pub const fn taps(self) -> usize {
        match self {
            Self::Card => 4,
            Self::Caliper => 0,
            Self::Ruler | Self::Sticker | Self::Iris => 2,
        }
    }

    /// A number has to be typed.
    pub const fn has_length(self) -> bool {
        matches!(self, Self::Ruler | Self::Sticker | Self::Caliper)
    }

    /// What to tap.
    pub const fn question(self, index: usize) -> &'static str {
        match (self, index) {
            (Self::Card, 0) => "Tap the middle of one short edge of the card.",
            (Self::Card, 1) => "Tap the middle of the other short edge.",
            (Self::Card, 2) => "Tap the middle of one long edge of the card.",
            (Self::Card, _) => "Tap the middle of the other long edge.",
            (Self::Ruler, 0) => "Tap a mark of the ruler.",
            (Self::Ruler, _) => "Tap another mark, as far away as you can.",
            (Self::Sticker, 0) => "Tap the rim of the sticker where it looks widest.",
            (Self::Sticker, _) => "Tap the rim right across from there.",
            (Self::Iris, 0) => {
                "Tap the rim of the iris of the client's right eye, on the side of the nose."
            }
            (Self::Iris, _) => "Tap the rim of the same iris on the side of the ear.",
            (Self::Caliper, _) => "What did the caliper read?",
        }
    }

    /// Where exactly.
    pub const fn hint(self, index: usize) -> &'static str {
        match (self, index) {
            (Self::Card, 0 | 1) => "Short edge to short edge is the card's full length, 85.6 mm.",
            (Self::Card, _) => {
                "With the other direction a tilted card is noticed. You can leave it out."
            }
            (Self::Ruler, _) => "The longer the stretch, the surer the scale.",
            (Self::Sticker, _) => "On its outer edge, not in the middle of the line.",
            (Self::Iris, _) => "Where the colour meets the white, level with the pupil.",
            (Self::Caliper, _) => {
                "Take it between the points you choose, without pressing into the skin."
            }
        }
    }
}

/// What is under way besides the record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UnderWay {
    /// A reference on its way.
    pub scale: Option<ScaleTry>,
    /// The scale is to be chosen anew.
    pub other_scale: bool,
    /// A landmark gone back to.
    pub again: Option<Landmark>,
    /// Landmarks left out.
    pub skipped: BTreeSet<Landmark>,
}

/// What the screen asks for now.
pub fn next(record: &Record, way: &UnderWay) -> Ask {
    let Some(photo) = record.design_photo() else {
        return Ask::Photo;
    };
    if let Some(scale) = &way.scale {
        let index = scale.taps.len();
        return if index < scale.kind.taps() {
            Ask::ScaleTap {
                kind: scale.kind,
                index,
            }
        } else {
            Ask::ScaleLength { kind: scale.kind }
        };
    }
    if photo.references.is_empty() || way.other_scale {
        return Ask::WhichScale;
    }
    if let Some(landmark) = way.again {
        return Ask::Landmark(landmark);
    }
    let open = |l: Landmark| record.need(l) != Need::Rule && !way.skipped.contains(&l);
    photo
        .landmarks
        .next_missing(open)
        .map_or(Ask::Nothing, Ask::Landmark)
}

/// The landmarks that are asked for, in order, whether they are there or not.
pub fn asked_for(record: &Record) -> Vec<Landmark> {
    Landmark::in_order()
        .into_iter()
        .filter(|l| record.need(*l) != Need::Rule)
        .collect()
}

/// A finished reference from taps and, where it has one, a length.
pub fn reference(tried: &ScaleTry, length_mm: Option<f64>) -> Option<Reference> {
    let two = |from: usize| Some([*tried.taps.get(from)?, *tried.taps.get(from + 1)?]);
    Some(match tried.kind {
        ScaleKind::Card => Reference::Card {
            long: two(0)?,
            short: two(2),
        },
        ScaleKind::Ruler => Reference::Ruler {
            ends: two(0)?,
            length_mm: length_mm?,
        },
        ScaleKind::Sticker => Reference::Sticker {
            rim: two(0)?,
            diameter_mm: length_mm?,
        },
        ScaleKind::Iris => Reference::Iris {
            side: Side::Right,
            rim: two(0)?,
        },
        ScaleKind::Caliper => return None,
    })
}

/// The taps of a reference, in the order they were asked for.
pub fn taps_of(reference: &Reference) -> Vec<Point<Px>> {
    match *reference {
        Reference::Card { long, short } => long
            .into_iter()
            .chain(short.into_iter().flatten())
            .collect(),
        Reference::Ruler { ends, .. } => ends.to_vec(),
        Reference::Sticker { rim, .. } | Reference::Iris { rim, .. } => rim.to_vec(),
        Reference::Caliper { .. } => Vec::new(),
    }
}

/// The reference with one of its taps moved.
pub fn with_tap(reference: Reference, index: usize, to: Point<Px>) -> Reference {
    let moved = |mut pair: [Point<Px>; 2], at: usize| {
        if let Some(tap) = pair.get_mut(at) {
            *tap = to;
        }
        pair
    };
    match reference {
        Reference::Card { long, short } if index >= 2 => Reference::Card {
            long,
            short: short.map(|s| moved(s, index - 2)),
        },
        Reference::Card { long, short } => Reference::Card {
            long: moved(long, index),
            short,
        },
        Reference::Ruler { ends, length_mm } => Reference::Ruler {
            ends: moved(ends, index),
            length_mm,
        },
        Reference::Sticker { rim, diameter_mm } => Reference::Sticker {
            rim: moved(rim, index),
            diameter_mm,
        },
        Reference::Iris { side, rim } => Reference::Iris {
            side,
            rim: moved(rim, index),
        },
        caliper @ Reference::Caliper { .. } => caliper,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::MiddleLandmark;
    use ophryon_record::{Edit, Image, Photo, PhotoState, apply};

    fn with_photo() -> Record {
        let image = Image::File {
            name: "a.jpg".to_owned(),
        };
        let photo = Photo::new("photo-1", PhotoState::Relaxed, image, 3000, 4000);
        apply(&Record::new("A"), &Edit::AddPhoto(photo)).unwrap()
    }

    fn card() -> Reference {
        let tried = ScaleTry {
            kind: ScaleKind::Card,
            taps: vec![Point::new(100.0, 100.0), Point::new(956.0, 100.0)],
        };
        reference(&tried, None).unwrap()
    }

    fn with_scale() -> Record {
        let edit = Edit::AddReference {
            photo: "photo-1".to_owned(),
            reference: card(),
        };
        apply(&with_photo(), &edit).unwrap()
    }

    #[test]
    fn one_thing_is_asked_after_the_other() {
        let mut way = UnderWay::default();
        assert_eq!(next(&Record::new("A"), &way), Ask::Photo);
        assert_eq!(next(&with_photo(), &way), Ask::WhichScale);
        way.scale = Some(ScaleTry {
            kind: ScaleKind::Ruler,
            taps: vec![],
        });
        let kind = ScaleKind::Ruler;
        assert_eq!(next(&with_photo(), &way), Ask::ScaleTap { kind, index: 0 });
        if let Some(scale) = &mut way.scale {
            scale.taps = vec![Point::new(1.0, 1.0), Point::new(500.0, 1.0)];
        }
        assert_eq!(next(&with_photo(), &way), Ask::ScaleLength { kind });
        way.scale = None;
        let first = asked_for(&with_scale())[0];
        assert_eq!(next(&with_scale(), &way), Ask::Landmark(first));
    }

    #[test]
    fn skipped_landmarks_are_not_asked_again_and_the_rest_is() {
        let record = with_scale();
        let chin = Landmark::Middle(MiddleLandmark::Chin);
        let mut way = UnderWay::default();
        for l in asked_for(&record) {
            if l != chin {
                way.skipped.insert(l);
            }
        }
        assert_eq!(next(&record, &way), Ask::Landmark(chin));
        way.skipped.insert(chin);
        assert_eq!(next(&record, &way), Ask::Nothing);
        way.again = Some(chin);
        assert_eq!(next(&record, &way), Ask::Landmark(chin));
    }

    #[test]
    fn moving_a_tap_of_a_reference_moves_that_one_only() {
        let to = Point::new(950.0, 104.0);
        let moved = with_tap(card(), 1, to);
        assert_eq!(taps_of(&moved), [Point::new(100.0, 100.0), to]);
        assert_eq!(with_tap(card(), 7, to), card());
    }
}
