//! What is known of the curve of this client's skin.

use ophryon_frames::{Side, Sided, TYPICAL_DEPTH, Wrap};
use serde::{Deserialize, Serialize};

/// Where a tape was laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TapeLine {
    /// Drawn tight over the skin from the start to the tail of the natural
    /// brow; what "the tape" means where nothing else is said.
    StartToTail,
    /// Drawn tight over the skin from the midline, at the height of the start,
    /// to the tail of the natural brow.
    MidlineToTail,
}

impl TapeLine {
    /// Both, the usual one first.
    pub const ALL: [Self; 2] = [Self::StartToTail, Self::MidlineToTail];

    /// In words: "from start to tail".
    pub const fn words(self) -> &'static str {
        match self {
            Self::StartToTail => "from start to tail",
            Self::MidlineToTail => "from midline to tail",
        }
    }

    /// How it is laid, in a sentence.
    pub const fn how(self) -> &'static str {
        match self {
            Self::StartToTail => {
                "Draw a soft tape tight over the skin, straight from the start to the end of the tail. Don't follow the arch."
            }
            Self::MidlineToTail => {
                "Draw a soft tape tight over the skin, from the midline at the height of the start straight to the end of the tail."
            }
        }
    }
}

/// What tapes read on one side, mm; `None` where none was laid.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Tapes {
    /// From start to tail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_to_tail_mm: Option<f64>,
    /// From the midline to the tail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub midline_to_tail_mm: Option<f64>,
}

impl Tapes {
    /// What the tape along that line read, mm.
    pub const fn get(&self, line: TapeLine) -> Option<f64> {
        match line {
            TapeLine::StartToTail => self.start_to_tail_mm,
            TapeLine::MidlineToTail => self.midline_to_tail_mm,
        }
    }

    /// The same with another reading along that line.
    #[must_use]
    pub const fn with(mut self, line: TapeLine, length_mm: Option<f64>) -> Self {
        match line {
            TapeLine::StartToTail => self.start_to_tail_mm = length_mm,
            TapeLine::MidlineToTail => self.midline_to_tail_mm = length_mm,
        }
        self
    }

    /// No tape was laid.
    pub const fn is_empty(&self) -> bool {
        self.start_to_tail_mm.is_none() && self.midline_to_tail_mm.is_none()
    }

    /// Every tape that was laid.
    pub fn iter(&self) -> impl Iterator<Item = (TapeLine, f64)> {
        let all = *self;
        TapeLine::ALL
            .into_iter()
            .filter_map(move |line| Some((line, all.get(line)?)))
    }
}

/// Where the wraps of both sides come from. The wraps themselves follow from
/// it and from the landmarks: [`crate::Record::curve`].
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    try_from = "Written"
)]
pub enum WrapChoice {
    /// An upright profile of the typical depth. The sheet says that it is an
    /// estimate.
    #[default]
    Estimate,
    /// On each side an upright profile from the tapes laid there; a side
    /// without one takes the other's.
    Tape(Sided<Tapes>),
    /// An upright cylinder of a radius known from elsewhere.
    Cylinder {
        /// Radius, mm.
        radius_mm: f64,
    },
    /// No wrap. The sheet says that it is short on skin.
    Flat,
}

/// As it stands in a file, in the forms of every schema.
#[derive(Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
enum Written {
    Estimate,
    Tape {
        right: Option<Tapes>,
        left: Option<Tapes>,
        /// Schema 1: the only tape, from start to tail.
        side: Option<Side>,
        length_mm: Option<f64>,
    },
    Cylinder {
        radius_mm: f64,
    },
    Flat,
}

impl TryFrom<Written> for WrapChoice {
    type Error = &'static str;

    fn try_from(written: Written) -> Result<Self, Self::Error> {
        Ok(match written {
            Written::Estimate => Self::Estimate,
            Written::Cylinder { radius_mm } => Self::Cylinder { radius_mm },
            Written::Flat => Self::Flat,
            Written::Tape {
                right,
                left,
                side: None,
                length_mm: None,
            } => Self::Tape(Sided {
                right: right.unwrap_or_default(),
                left: left.unwrap_or_default(),
            }),
            Written::Tape {
                right: None,
                left: None,
                side: Some(side),
                length_mm: Some(length_mm),
            } => Self::tape(side, TapeLine::StartToTail, length_mm),
            Written::Tape { .. } => {
                return Err("the tape needs either `right` and `left`, or `side` and `length-mm`");
            }
        })
    }
}

impl WrapChoice {
    /// One tape alone.
    pub fn tape(side: Side, line: TapeLine, length_mm: f64) -> Self {
        let mut tapes = Sided::<Tapes>::default();
        *tapes.get_mut(side) = Tapes::default().with(line, Some(length_mm));
        Self::Tape(tapes)
    }

    /// The tapes that were laid on each side; none where the curve comes from
    /// elsewhere.
    pub fn tapes(&self) -> Sided<Tapes> {
        match self {
            Self::Tape(tapes) => *tapes,
            _ => Sided::default(),
        }
    }

    /// The same choice with another reading of one tape; without any tape
    /// left, the estimate.
    #[must_use]
    pub fn with_tape(&self, side: Side, line: TapeLine, length_mm: Option<f64>) -> Self {
        let mut tapes = self.tapes();
        let one = tapes.get_mut(side);
        *one = one.with(line, length_mm);
        match (*self, tapes.iter().all(|(_, t)| t.is_empty())) {
            (Self::Tape(_), true) => Self::Estimate,
            (other, true) => other,
            (_, false) => Self::Tape(tapes),
        }
    }

    /// The wrap, where it doesn't depend on the photo: everything but a tape.
    pub fn fixed(&self) -> Option<Wrap> {
        match *self {
            Self::Estimate => Some(Wrap::Profile {
                depth: TYPICAL_DEPTH,
            }),
            Self::Cylinder { radius_mm } => Some(Wrap::Cylinder { radius_mm }),
            Self::Flat => Some(Wrap::Flat),
            Self::Tape(_) => None,
        }
    }

    /// What to be careful about while no tape was laid; `None` where nothing is.
    pub const fn caution(&self) -> Option<&'static str> {
        match self {
            Self::Estimate => Some(
                "The curve of the skin is an estimate; draw a tape from start to tail over the skin and enter what it reads.",
            ),
            Self::Flat => Some(
                "The curve of the skin is left out: lengths along the brow are short on skin by several mm.",
            ),
            Self::Tape(_) | Self::Cylinder { .. } => None,
        }
    }

    /// One sentence for the sheet and the screen.
    pub fn words(&self) -> String {
        match self {
            Self::Estimate => {
                "Curve of the skin: estimate of a typical head; one tape length makes it a measurement."
                    .to_owned()
            }
            Self::Tape(tapes) => {
                let all: Vec<_> = tapes
                    .iter()
                    .flat_map(|(side, tapes)| tapes.iter().map(move |tape| (side, tape)))
                    .map(|(side, (line, mm))| {
                        format!("{mm:.1} mm {} over the client's {} brow", line.words(), side.name())
                    })
                    .collect();
                let alone = Side::BOTH.into_iter().find(|s| tapes.get(*s).is_empty());
                let other = alone.map_or_else(String::new, |side| {
                    format!(" The client's {} is taken to be curved alike.", side.name())
                });
                format!("Curve of the skin: by tape, {}.{other}", all.join("; "))
            }
            Self::Cylinder { radius_mm } => {
                format!("Curve of the skin: cylinder of {radius_mm:.1} mm, chosen.")
            }
            Self::Flat => {
                "The curve of the skin is left out: the brows on this sheet are short on skin by several mm.".to_owned()
            }
        }
    }
}
