//! What is still missing to compare the brows at rest and in use: one
//! question after the other.

use ophryon_face::{BrowPlace, Landmark, Need, STEADY, SidedLandmark};
use ophryon_frames::Side;

use crate::{Photo, PhotoState, Record, StudyError};

/// The next thing to do.
#[derive(Debug, Clone, PartialEq)]
pub enum BalanceAsk {
    /// Take or bring a photo.
    Photo {
        /// Of the face doing this.
        state: PhotoState,
    },
    /// Tap something of known size.
    Scale {
        /// In the photo of this id.
        photo: String,
    },
    /// Tap a landmark.
    Tap {
        /// In the photo of this id.
        photo: String,
        /// What its face is doing.
        state: PhotoState,
        /// Which one.
        landmark: Landmark,
        /// [`Need::Optional`] makes the comparison surer and can be left out.
        need: Need,
    },
    /// Taps contradict each other.
    Mend {
        /// In the photo of this id.
        photo: String,
        /// What was found, and the way out.
        sentence: String,
    },
}

impl BalanceAsk {
    /// The question in a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::Photo { state } => state.ask().to_owned(),
            Self::Scale { .. } => {
                "Tap something of known size in the relaxed photo, such as the ends of a card."
                    .to_owned()
            }
            Self::Tap {
                landmark, state, ..
            } => {
                let in_which = match state {
                    PhotoState::Relaxed | PhotoState::Visit => "",
                    PhotoState::EyesOpen => " in the photo with the eyes wide open",
                    PhotoState::Raised => " in the photo with the brows raised",
                    PhotoState::Healed => " in the photo of the healed brows",
                };
                format!("Tap the {landmark}{in_which}.")
            }
            Self::Mend { sentence, .. } => sentence.clone(),
        }
    }

    /// Without an answer there is nothing to compare.
    pub const fn is_needed(&self) -> bool {
        !matches!(
            self,
            Self::Tap {
                need: Need::Optional,
                ..
            }
        )
    }

    /// The photo it is about, if there is one.
    pub fn photo(&self) -> Option<&str> {
        match self {
            Self::Photo { .. } => None,
            Self::Scale { photo } | Self::Tap { photo, .. } | Self::Mend { photo, .. } => {
                Some(photo)
            }
        }
    }
}

impl PhotoState {
    /// What to ask for.
    const fn ask(self) -> &'static str {
        match self {
            Self::Relaxed => "Take a photo of the face at rest: forehead loose, eyes softly open.",
            Self::EyesOpen => "Take a photo with the eyes wide open.",
            Self::Raised => "Take a photo with the brows raised as far as they go.",
            Self::Healed => "Take a photo of the healed brows, with the face at rest.",
            Self::Visit => "Take a photo to keep with the visit.",
        }
    }
}

/// The photo at rest and the photo in use.
pub(crate) struct StatePair<'r> {
    pub at_rest: Option<&'r Photo>,
    pub in_use: Option<&'r Photo>,
}

impl Record {
    /// The relaxed photo that the brows are designed on, and the one to
    /// compare it with: the first with the eyes wide open, else the first
    /// with the brows raised.
    pub(crate) fn state_pair(&self) -> StatePair<'_> {
        let first = |state| self.photos.iter().find(|p| p.state == state);
        StatePair {
            at_rest: first(PhotoState::Relaxed),
            in_use: first(PhotoState::EyesOpen).or_else(|| first(PhotoState::Raised)),
        }
    }

    /// Everything that is still missing to compare the brows at rest and in
    /// use, in the order of asking; empty when nothing is.
    pub fn balance_asks(&self) -> Vec<BalanceAsk> {
        let pair = self.state_pair();
        self.asks_between(pair.at_rest, pair.in_use)
    }

    pub(crate) fn asks_between(
        &self,
        at_rest: Option<&Photo>,
        in_use: Option<&Photo>,
    ) -> Vec<BalanceAsk> {
        let mut asks = Vec::new();
        match at_rest {
            Some(photo) => {
                if photo.references.is_empty() {
                    let photo = photo.id.clone();
                    asks.push(BalanceAsk::Scale { photo });
                }
                taps(photo, &mut asks);
                if !asks.iter().any(BalanceAsk::is_needed)
                    && let Err(why) = self.levelled_in(photo)
                {
                    asks.push(mend(photo, &why));
                }
            }
            None => asks.push(BalanceAsk::Photo {
                state: PhotoState::Relaxed,
            }),
        }
        match in_use {
            Some(photo) => {
                let before = asks.len();
                taps(photo, &mut asks);
                let problems = photo.landmarks.check(photo.width_px, photo.height_px);
                if !asks[before..].iter().any(BalanceAsk::is_needed) && !problems.is_empty() {
                    let why = StudyError::Landmarks {
                        photo: photo.id.clone(),
                        problems,
                    };
                    asks.push(mend(photo, &why));
                }
            }
            None => asks.push(BalanceAsk::Photo {
                state: PhotoState::EyesOpen,
            }),
        }
        asks
    }
}

fn mend(photo: &Photo, why: &StudyError) -> BalanceAsk {
    let mut sentence = why.to_string();
    // Errors begin small, questions large.
    if let Some(first) = sentence.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    sentence.push('.');
    BalanceAsk::Mend {
        photo: photo.id.clone(),
        sentence,
    }
}

/// The landmarks that are missing in a photo.
fn taps(photo: &Photo, asks: &mut Vec<BalanceAsk>) {
    for landmark in Landmark::in_order() {
        let Some(need) = needed(landmark, photo.state) else {
            continue;
        };
        if photo.landmarks.get(landmark).is_none() {
            asks.push(BalanceAsk::Tap {
                photo: photo.id.clone(),
                state: photo.state,
                landmark,
                need,
            });
        }
    }
}

/// Whether the comparison looks at a landmark.
pub(crate) fn needed(landmark: Landmark, state: PhotoState) -> Option<Need> {
    let is_brow = |l| BrowPlace::ALL.map(BrowPlace::landmark).contains(&l);
    match landmark {
        // Level and midline come from the relaxed photo.
        Landmark::Sided(_, SidedLandmark::Pupil) => {
            (state == PhotoState::Relaxed).then_some(Need::Always)
        }
        Landmark::Sided(_, l) if is_brow(l) => Some(Need::Always),
        Landmark::Sided(..) if STEADY.contains(&landmark) => Some(Need::Always),
        Landmark::Middle(_) if STEADY.contains(&landmark) => Some(Need::Optional),
        _ => None,
    }
}

/// The client's sides, for whoever asks about one.
pub(crate) const fn clients(side: Side) -> &'static str {
    match side {
        Side::Right => "client's right",
        Side::Left => "client's left",
    }
}
