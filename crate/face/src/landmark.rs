//! The places on a face that the artist taps, and how to ask for each.

use std::fmt;

use ophryon_frames::Side;
use serde::{Deserialize, Serialize};

/// A place that every face has once on each side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum SidedLandmark {
    /// Middle of the pupil, looking straight at the camera.
    Pupil,
    /// Where the coloured iris meets the white of the eye, toward the ear.
    IrisOuterRim,
    /// Where the lids meet beside the nose.
    InnerCorner,
    /// Where the lids meet toward the ear.
    OuterCorner,
    /// Widest point of the wing of the nose.
    NoseWing,
    /// Edge of the lower lid below the outer rim of the iris.
    LowerLid,
    /// Middle of the ear.
    EarMiddle,
    /// Upper end of the natural brow's front edge.
    BrowStartTop,
    /// Lower end of the natural brow's front edge.
    BrowStartBottom,
    /// Highest point of the natural brow's upper edge.
    BrowPeak,
    /// Highest point of the natural brow's lower edge.
    BrowLowerArch,
    /// End of the natural brow toward the ear.
    BrowTail,
}

/// A place on the middle of the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum MiddleLandmark {
    /// Deepest point of the bridge of the nose, between the eyes.
    Bridge,
    /// Where the wall between the nostrils meets the upper lip.
    NoseBase,
    /// Middle of the chin, at its lowest.
    Chin,
}

/// Any place the artist can tap. Written as its id, `right/inner-corner`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Landmark {
    /// On one side of the face.
    Sided(Side, SidedLandmark),
    /// On the middle of the face.
    Middle(MiddleLandmark),
}

/// Whether the work can go on without a landmark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Need {
    /// No sheet without it.
    Always,
    /// Only where a chosen mapping rule is drawn through it.
    Rule,
    /// Makes the midline or the aim surer, and can be left out.
    Optional,
}

/// An id that names no landmark.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{id}” is no landmark; one is written like right/inner-corner or middle/chin")]
pub struct UnknownLandmark {
    /// The text that was read.
    pub id: String,
}

impl SidedLandmark {
    /// All, in the order of the declaration.
    pub const ALL: [Self; 12] = [
        Self::Pupil,
        Self::IrisOuterRim,
        Self::InnerCorner,
        Self::OuterCorner,
        Self::NoseWing,
        Self::LowerLid,
        Self::EarMiddle,
        Self::BrowStartTop,
        Self::BrowStartBottom,
        Self::BrowPeak,
        Self::BrowLowerArch,
        Self::BrowTail,
    ];

    /// Id without the side, as in files: `inner-corner`.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Pupil => "pupil",
            Self::IrisOuterRim => "iris-outer-rim",
            Self::InnerCorner => "inner-corner",
            Self::OuterCorner => "outer-corner",
            Self::NoseWing => "nose-wing",
            Self::LowerLid => "lower-lid",
            Self::EarMiddle => "ear-middle",
            Self::BrowStartTop => "brow-start-top",
            Self::BrowStartBottom => "brow-start-bottom",
            Self::BrowPeak => "brow-peak",
            Self::BrowLowerArch => "brow-lower-arch",
            Self::BrowTail => "brow-tail",
        }
    }

    /// Part of the natural brow. Such a landmark never takes part in the
    /// midline, roll or scale.
    pub const fn is_brow(self) -> bool {
        matches!(
            self,
            Self::BrowStartTop
                | Self::BrowStartBottom
                | Self::BrowPeak
                | Self::BrowLowerArch
                | Self::BrowTail
        )
    }

    /// Whether the work can go on without it.
    pub const fn need(self) -> Need {
        match self {
            Self::Pupil
            | Self::InnerCorner
            | Self::OuterCorner
            | Self::NoseWing
            | Self::BrowStartTop
            | Self::BrowStartBottom
            | Self::BrowPeak
            | Self::BrowTail => Need::Always,
            Self::IrisOuterRim | Self::LowerLid => Need::Rule,
            Self::EarMiddle | Self::BrowLowerArch => Need::Optional,
        }
    }

    const fn hint(self) -> &'static str {
        match self {
            Self::Pupil => "The middle of the dark pupil, with the client looking at the camera.",
            Self::IrisOuterRim => {
                "Where the coloured ring meets the white, on the ear's side, level with the pupil."
            }
            Self::InnerCorner => "Where the upper and lower lid meet, beside the nose.",
            Self::OuterCorner => {
                "Where the upper and lower lid meet, toward the ear; not the end of the lashes."
            }
            Self::NoseWing => "The widest point of the nostril's outer edge.",
            Self::LowerLid => "On the edge of the lower lid, below the outer rim of the iris.",
            Self::EarMiddle => "Halfway between the top of the ear and its lobe.",
            Self::BrowStartTop => "The upper end of the hair's front edge, nearest the nose.",
            Self::BrowStartBottom => "The lower end of the hair's front edge, nearest the nose.",
            Self::BrowPeak => "The highest point of the hair's upper edge.",
            Self::BrowLowerArch => {
                "The highest point of the hair's lower edge, a little behind the peak."
            }
            Self::BrowTail => {
                "The last hairs of the brow toward the ear, in the middle of its end."
            }
        }
    }
}

impl MiddleLandmark {
    /// All, from above down.
    pub const ALL: [Self; 3] = [Self::Bridge, Self::NoseBase, Self::Chin];

    /// Id without the `middle/`, as in files.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Bridge => "bridge",
            Self::NoseBase => "nose-base",
            Self::Chin => "chin",
        }
    }
}

impl Landmark {
    /// The order in which to ask: along the eyes from the client's right to
    /// her left, back over the nose, along the brows, then the ears and the
    /// middle. Each next one lies beside the last, so that the hand and the
    /// magnifier travel least.
    pub fn in_order() -> [Self; 27] {
        use MiddleLandmark::{Bridge, Chin, NoseBase};
        use Side::{Left, Right};
        use SidedLandmark as S;
        [
            Self::Sided(Right, S::OuterCorner),
            Self::Sided(Right, S::LowerLid),
            Self::Sided(Right, S::IrisOuterRim),
            Self::Sided(Right, S::Pupil),
            Self::Sided(Right, S::InnerCorner),
            Self::Sided(Left, S::InnerCorner),
            Self::Sided(Left, S::Pupil),
            Self::Sided(Left, S::IrisOuterRim),
            Self::Sided(Left, S::LowerLid),
            Self::Sided(Left, S::OuterCorner),
            Self::Sided(Left, S::NoseWing),
            Self::Sided(Right, S::NoseWing),
            Self::Sided(Right, S::BrowTail),
            Self::Sided(Right, S::BrowLowerArch),
            Self::Sided(Right, S::BrowPeak),
            Self::Sided(Right, S::BrowStartTop),
            Self::Sided(Right, S::BrowStartBottom),
            Self::Sided(Left, S::BrowStartBottom),
            Self::Sided(Left, S::BrowStartTop),
            Self::Sided(Left, S::BrowPeak),
            Self::Sided(Left, S::BrowLowerArch),
            Self::Sided(Left, S::BrowTail),
            Self::Sided(Left, S::EarMiddle),
            Self::Sided(Right, S::EarMiddle),
            Self::Middle(Bridge),
            Self::Middle(NoseBase),
            Self::Middle(Chin),
        ]
    }

    /// `right/inner-corner`, `left/pupil`, `middle/chin`.
    pub fn id(self) -> String {
        match self {
            Self::Sided(side, landmark) => format!("{}/{}", side.name(), landmark.id()),
            Self::Middle(landmark) => format!("middle/{}", landmark.id()),
        }
    }

    /// The landmark of that id.
    ///
    /// # Errors
    /// [`UnknownLandmark`] with the text that was read.
    pub fn from_id(id: &str) -> Result<Self, UnknownLandmark> {
        let find = || {
            let (place, name) = id.split_once('/')?;
            if place == "middle" {
                let found = MiddleLandmark::ALL.into_iter().find(|l| l.id() == name)?;
                return Some(Self::Middle(found));
            }
            let side = Side::BOTH.into_iter().find(|s| s.name() == place)?;
            let found = SidedLandmark::ALL.into_iter().find(|l| l.id() == name)?;
            Some(Self::Sided(side, found))
        };
        find().ok_or_else(|| UnknownLandmark { id: id.to_owned() })
    }

    /// A phrase to ask for it: "inner corner of the client's right eye".
    pub fn name(self) -> String {
        use SidedLandmark as S;
        let (side, landmark) = match self {
            Self::Middle(MiddleLandmark::Bridge) => return "bridge of the nose".to_owned(),
            Self::Middle(MiddleLandmark::NoseBase) => return "base of the nose".to_owned(),
            Self::Middle(MiddleLandmark::Chin) => return "middle of the chin".to_owned(),
            Self::Sided(side, landmark) => (side.name(), landmark),
        };
        match landmark {
            S::Pupil => format!("middle of the pupil of the client's {side} eye"),
            S::IrisOuterRim => format!("outer rim of the iris of the client's {side} eye"),
            S::InnerCorner => format!("inner corner of the client's {side} eye"),
            S::OuterCorner => format!("outer corner of the client's {side} eye"),
            S::NoseWing => format!("wing of the nose on the client's {side}"),
            S::LowerLid => format!("edge of the lower lid of the client's {side} eye"),
            S::EarMiddle => format!("middle of the client's {side} ear"),
            S::BrowStartTop => format!("upper edge of the client's {side} brow at its start"),
            S::BrowStartBottom => format!("lower edge of the client's {side} brow at its start"),
            S::BrowPeak => format!("peak of the client's {side} brow"),
            S::BrowLowerArch => format!("lower arch of the client's {side} brow"),
            S::BrowTail => format!("tail end of the client's {side} brow"),
        }
    }

    /// One short sentence on where exactly to tap.
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Sided(_, landmark) => landmark.hint(),
            Self::Middle(MiddleLandmark::Bridge) => {
                "The deepest point of the bridge, in the middle between the eyes."
            }
            Self::Middle(MiddleLandmark::NoseBase) => {
                "Where the wall between the nostrils meets the upper lip."
            }
            Self::Middle(MiddleLandmark::Chin) => "The lowest point of the chin, in its middle.",
        }
    }

    /// Whether the work can go on without it.
    pub const fn need(self) -> Need {
        match self {
            Self::Sided(_, landmark) => landmark.need(),
            Self::Middle(_) => Need::Optional,
        }
    }

    /// Part of a natural brow.
    pub const fn is_brow(self) -> bool {
        matches!(self, Self::Sided(_, landmark) if landmark.is_brow())
    }

    /// The same place on the other side; a middle landmark is its own.
    pub const fn partner(self) -> Self {
        match self {
            Self::Sided(side, landmark) => Self::Sided(side.other(), landmark),
            middle @ Self::Middle(_) => middle,
        }
    }
}

impl fmt::Display for Landmark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name())
    }
}

// Written and read as text, so that a reader's error can name the key.
macro_rules! as_id {
    ($landmark:ty) => {
        impl From<$landmark> for String {
            fn from(landmark: $landmark) -> Self {
                landmark.id().to_owned()
            }
        }

        impl TryFrom<String> for $landmark {
            type Error = UnknownLandmark;
            fn try_from(id: String) -> Result<Self, UnknownLandmark> {
                let found = Self::ALL.into_iter().find(|l| l.id() == id);
                found.ok_or(UnknownLandmark { id })
            }
        }
    };
}
as_id!(SidedLandmark);
as_id!(MiddleLandmark);

impl From<Landmark> for String {
    fn from(landmark: Landmark) -> Self {
        landmark.id()
    }
}

impl TryFrom<String> for Landmark {
    type Error = UnknownLandmark;
    fn try_from(id: String) -> Result<Self, UnknownLandmark> {
        Self::from_id(&id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_landmark_is_asked_for_once_and_found_again_by_its_id() {
        let mut seen = std::collections::BTreeSet::new();
        for landmark in Landmark::in_order() {
            assert!(seen.insert(landmark), "{landmark} asked for twice");
            assert_eq!(Landmark::from_id(&landmark.id()), Ok(landmark));
            let written = serde_json::to_string(&landmark).unwrap();
            assert_eq!(written, format!("\"{}\"", landmark.id()));
            assert_eq!(
                serde_json::from_str::<Landmark>(&written).unwrap(),
                landmark
            );
        }
        let sided = Side::BOTH
            .into_iter()
            .flat_map(|s| SidedLandmark::ALL.map(|l| Landmark::Sided(s, l)));
        let middle = MiddleLandmark::ALL.map(Landmark::Middle);
        assert!(sided.chain(middle).all(|l| seen.contains(&l)));
    }

    /// The key in a file's map and the end of the id are one word.
    #[test]
    fn ids_are_the_words_in_files() {
        for landmark in SidedLandmark::ALL {
            let key = serde_json::to_value(landmark).unwrap();
            assert_eq!(key, landmark.id());
        }
        for landmark in MiddleLandmark::ALL {
            assert_eq!(serde_json::to_value(landmark).unwrap(), landmark.id());
        }
    }

    #[test]
    fn a_wrong_id_is_refused_with_an_example() {
        for id in [
            "",
            "chin",
            "middle/",
            "left/chin",
            "middle/pupil",
            "Right/pupil",
            "up/pupil",
        ] {
            let error = Landmark::from_id(id).unwrap_err();
            assert!(error.to_string().contains(id) && error.to_string().contains("middle/chin"));
        }
    }

    /// The client's side is said wherever there are two, and no two landmarks
    /// are asked for in the same words.
    #[test]
    fn phrases_name_the_clients_side() {
        let mut phrases = std::collections::BTreeSet::new();
        for landmark in Landmark::in_order() {
            let phrase = landmark.name();
            if let Landmark::Sided(side, _) = landmark {
                assert!(
                    phrase.contains(&format!("client's {}", side.name())),
                    "{phrase}"
                );
            }
            assert!(phrases.insert(phrase));
            assert!(landmark.hint().ends_with('.') && landmark.hint().len() < 90);
        }
        assert_eq!(
            Landmark::Sided(Side::Right, SidedLandmark::InnerCorner).name(),
            "inner corner of the client's right eye"
        );
    }

    #[test]
    fn eyes_come_before_nose_before_brows_before_the_rest() {
        let stage = |l: Landmark| match l {
            Landmark::Middle(_) => 4,
            Landmark::Sided(_, SidedLandmark::EarMiddle) => 3,
            Landmark::Sided(_, s) if s.is_brow() => 2,
            Landmark::Sided(_, SidedLandmark::NoseWing) => 1,
            Landmark::Sided(..) => 0,
        };
        let order = Landmark::in_order();
        assert!(order.windows(2).all(|w| stage(w[0]) <= stage(w[1])));
    }
}
