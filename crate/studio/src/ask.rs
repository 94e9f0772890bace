//! Which one thing is asked for next, from the record and what is under way.

use ophryon_face::{Coin, Held, Landmark, Need, Reference};
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{Photo, PhotoState, Record, TapeLine, WrapChoice};

/// Things of known size that may be in a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleKind {
    /// A card of the common size.
    Card,
    /// Two marks of a ruler.
    Ruler,
    /// A round sticker.
    Sticker,
    /// A coin.
    Coin,
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
    /// Where it was held.
    pub held: Held,
    /// The reference it takes the place of, from 0; else it is one more.
    pub instead: Option<usize>,
}

impl ScaleTry {
    /// Nothing tapped yet.
    pub const fn new(kind: ScaleKind, instead: Option<usize>) -> Self {
        Self {
            kind,
            taps: Vec::new(),
            held: Held::BrowPlane,
            instead,
        }
    }
}

/// What is typed or chosen about a thing of known size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum KnownSize {
    /// Its size is what it is.
    Given,
    /// A length, mm.
    Length(f64),
    /// Which coin.
    Coin(Coin),
}

/// What the screen asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// A photo of the face in that state.
    Photo(PhotoState),
    /// What the face is doing in a photo that was brought.
    WhatState,
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
    /// What a tape over the skin reads.
    Tape(Side, TapeLine),
    /// Which of the tapes to look at.
    Tapes,
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
    pub const ALL: [Self; 6] = [
        Self::Card,
        Self::Ruler,
        Self::Coin,
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
            Self::Coin => "A coin",
            Self::Caliper => "A caliper reading",
            Self::Iris => "Nothing of known size",
        }
    }

    /// What it takes, and how sure it is.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Card => "Bank card or driving licence, held flat beside the brows. Very sure.",
            Self::Ruler => "Two marks on it. Sure.",
            Self::Sticker => "On the skin, of a size you know. Sure.",
            Self::Coin => "Euro, US or UK; its size is known. Sure.",
            Self::Caliper => "Measured on the face itself. Sure.",
            Self::Iris => "Then the iris serves: about 11.7 mm in most adults. Rough.",
        }
    }

    /// How many taps it takes.
    pub const fn taps(self) -> usize {
        match self {
            Self::Card => 4,
            Self::Caliper => 0,
            Self::Ruler | Self::Sticker | Self::Coin | Self::Iris => 2,
        }
    }

    /// A number has to be typed, or a coin chosen.
    pub const fn has_length(self) -> bool {
        matches!(
            self,
            Self::Ruler | Self::Sticker | Self::Coin | Self::Caliper
        )
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
            (Self::Coin, 0) => "Tap the rim of the coin where it looks widest.",
            (Self::Sticker | Self::Coin, _) => "Tap the rim right across from there.",
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
            (Self::Coin, _) => "On its outer edge, where metal ends.",
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
    /// One more thing of known size is to be chosen, or one instead of
    /// another.
    pub other_scale: Option<OtherScale>,
    /// A landmark gone back to.
    pub again: Option<Landmark>,
    /// It is tapped once more, to measure the spread, and not replaced.
    pub once_more: bool,
    /// Whether a photo was brought and it isn't known what the face is doing.
    pub coming: bool,
    /// Landmarks left out, and in which photo.
    pub skipped: Vec<(PhotoState, Landmark)>,
    /// Where the question of the tape stands.
    pub tape: TapeWay,
}

/// Which scale is chosen anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OtherScale {
    /// One beside those that there are.
    More,
    /// One instead of that one, from 0.
    Instead(usize),
}

impl OtherScale {
    /// The reference that goes.
    pub const fn instead(self) -> Option<usize> {
        match self {
            Self::More => None,
            Self::Instead(index) => Some(index),
        }
    }
}

/// Where the question of the tape stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TapeWay {
    /// It is asked while there is none and no shape was drawn yet.
    #[default]
    Usual,
    /// One tape is asked for.
    At(Side, TapeLine),
    /// All of them are looked at.
    List,
    /// Left out for now.
    Skipped,
}

/// The photo of the face in that state: the first of them. The brows are
/// designed on the relaxed one.
pub fn photo_in(record: &Record, state: PhotoState) -> Option<&Photo> {
    record.photos.iter().find(|p| p.state == state)
}

/// What the screen asks for now in the photo of that state.
pub fn next(record: &Record, state: PhotoState, way: &UnderWay) -> Ask {
    if way.coming {
        return Ask::WhatState;
    }
    let Some(photo) = photo_in(record, state) else {
        return Ask::Photo(state);
    };
    if state == PhotoState::Visit {
        return Ask::Nothing;
    }
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
    // One in use is laid over the relaxed one and takes its scale from there.
    let needs_scale = !state.in_use() && photo.references.is_empty();
    if needs_scale || way.other_scale.is_some() {
        return Ask::WhichScale;
    }
    if let Some(landmark) = way.again {
        return Ask::Landmark(landmark);
    }
    let open =
        |l: Landmark| record.need_in(state, l) != Need::Rule && !way.skipped.contains(&(state, l));
    match photo.landmarks.next_missing(open) {
        Some(landmark) => Ask::Landmark(landmark),
        None if state == PhotoState::Relaxed => tape(record, way.tape),
        None => Ask::Nothing,
    }
}

/// The tape comes after the landmarks, and not before these can be true.
fn tape(record: &Record, way: TapeWay) -> Ask {
    match way {
        TapeWay::At(side, line) => Ask::Tape(side, line),
        TapeWay::List => Ask::Tapes,
        TapeWay::Usual
            if record.wrap == WrapChoice::Estimate
                && record.pair.is_none()
                && record.levelled().is_ok() =>
        {
            Ask::Tape(Side::Right, TapeLine::StartToTail)
        }
        TapeWay::Usual | TapeWay::Skipped => Ask::Nothing,
    }
}

/// The landmarks that are asked for in the photo of that state, in order,
/// whether they are there or not.
pub fn asked_for(record: &Record, state: PhotoState) -> Vec<Landmark> {
    Landmark::in_order()
        .into_iter()
        .filter(|l| record.need_in(state, *l) != Need::Rule)
        .collect()
}

/// A finished reference from taps and what is known of its size.
pub fn reference(tried: &ScaleTry, size: KnownSize) -> Option<Reference> {
    let two = |from: usize| Some([*tried.taps.get(from)?, *tried.taps.get(from + 1)?]);
    let held = tried.held;
    Some(match (tried.kind, size) {
        (ScaleKind::Card, _) => Reference::Card {
            long: two(0)?,
            short: two(2),
            held,
        },
        (ScaleKind::Ruler, KnownSize::Length(length_mm)) => Reference::Ruler {
            ends: two(0)?,
            length_mm,
            held,
        },
        (ScaleKind::Sticker, KnownSize::Length(diameter_mm)) => Reference::Sticker {
            rim: two(0)?,
            diameter_mm,
            held,
        },
        (ScaleKind::Coin, KnownSize::Coin(coin)) => Reference::Coin {
            rim: two(0)?,
            coin,
            held,
        },
        (ScaleKind::Iris, _) => Reference::Iris {
            side: Side::Right,
            rim: two(0)?,
        },
        _ => return None,
    })
}

/// The taps of a reference, in the order they were asked for.
pub fn taps_of(reference: &Reference) -> Vec<Point<Px>> {
    match *reference {
        Reference::Card { long, short, .. } => long
            .into_iter()
            .chain(short.into_iter().flatten())
            .collect(),
        Reference::Ruler { ends, .. } => ends.to_vec(),
        Reference::Sticker { rim, .. }
        | Reference::Coin { rim, .. }
        | Reference::Iris { rim, .. } => rim.to_vec(),
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
        Reference::Card { long, short, held } if index >= 2 => Reference::Card {
            long,
            short: short.map(|s| moved(s, index - 2)),
            held,
        },
        Reference::Card { long, short, held } => Reference::Card {
            long: moved(long, index),
            short,
            held,
        },
        Reference::Ruler {
            ends,
            length_mm,
            held,
        } => Reference::Ruler {
            ends: moved(ends, index),
            length_mm,
            held,
        },
        Reference::Sticker {
            rim,
            diameter_mm,
            held,
        } => Reference::Sticker {
            rim: moved(rim, index),
            diameter_mm,
            held,
        },
        Reference::Coin { rim, coin, held } => Reference::Coin {
            rim: moved(rim, index),
            coin,
            held,
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
            taps: vec![Point::new(100.0, 100.0), Point::new(956.0, 100.0)],
            ..ScaleTry::new(ScaleKind::Card, None)
        };
        reference(&tried, KnownSize::Given).unwrap()
    }

    fn with_scale() -> Record {
        let edit = Edit::AddReference {
            photo: "photo-1".to_owned(),
            reference: card(),
        };
        apply(&with_photo(), &edit).unwrap()
    }

    const REST: PhotoState = PhotoState::Relaxed;

    #[test]
    fn one_thing_is_asked_after_the_other() {
        let mut way = UnderWay::default();
        assert_eq!(next(&Record::new("A"), REST, &way), Ask::Photo(REST));
        assert_eq!(next(&with_photo(), REST, &way), Ask::WhichScale);
        way.scale = Some(ScaleTry::new(ScaleKind::Ruler, None));
        let kind = ScaleKind::Ruler;
        assert_eq!(
            next(&with_photo(), REST, &way),
            Ask::ScaleTap { kind, index: 0 }
        );
        if let Some(scale) = &mut way.scale {
            scale.taps = vec![Point::new(1.0, 1.0), Point::new(500.0, 1.0)];
        }
        assert_eq!(next(&with_photo(), REST, &way), Ask::ScaleLength { kind });
        way.scale = None;
        let first = asked_for(&with_scale(), REST)[0];
        assert_eq!(next(&with_scale(), REST, &way), Ask::Landmark(first));
    }

    #[test]
    fn skipped_landmarks_are_not_asked_again_and_the_rest_is() {
        let record = with_scale();
        let chin = Landmark::Middle(MiddleLandmark::Chin);
        let mut way = UnderWay::default();
        for l in asked_for(&record, REST) {
            if l != chin {
                way.skipped.push((REST, l));
            }
        }
        assert_eq!(next(&record, REST, &way), Ask::Landmark(chin));
        way.skipped.push((REST, chin));
        assert_eq!(next(&record, REST, &way), Ask::Nothing);
        way.again = Some(chin);
        assert_eq!(next(&record, REST, &way), Ask::Landmark(chin));
    }

    #[test]
    fn moving_a_tap_of_a_reference_moves_that_one_only() {
        let to = Point::new(950.0, 104.0);
        let moved = with_tap(card(), 1, to);
        assert_eq!(taps_of(&moved), [Point::new(100.0, 100.0), to]);
        assert_eq!(with_tap(card(), 7, to), card());
    }

    #[test]
    fn a_face_in_use_is_asked_for_no_scale_and_no_tape() {
        let image = Image::File {
            name: "b.jpg".to_owned(),
        };
        let open = PhotoState::EyesOpen;
        let mut way = UnderWay::default();
        assert_eq!(next(&with_scale(), open, &way), Ask::Photo(open));
        let photo = Photo::new("photo-2", open, image, 3000, 4000);
        let record = apply(&with_scale(), &Edit::AddPhoto(photo)).unwrap();
        let asked = asked_for(&record, open);
        assert_eq!(next(&record, open, &way), Ask::Landmark(asked[0]));
        way.skipped.extend(asked.into_iter().map(|l| (open, l)));
        assert_eq!(next(&record, open, &way), Ask::Nothing);
        // Beside it, the relaxed one still asks for its own.
        assert!(matches!(next(&record, REST, &way), Ask::Landmark(_)));
        way.coming = true;
        assert_eq!(next(&record, open, &way), Ask::WhatState);
    }
}
