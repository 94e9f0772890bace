//! How the skin answers while it is worked, and what is usually done then.
//!
//! All of it is common practice without a source, no medical advice.

use serde::{Deserialize, Serialize};

/// Goes with every caution.
pub const NO_ADVICE: &str = "This is common practice and no medical advice: local codes and what a licensed practitioner was taught come first, and a doctor where the client is unwell or it doesn't stop.";

/// How skin is stretched near the eye.
pub const STRETCHING: &str = "Keep the stretching hand on bone, never on the eye.";

/// What is seen on a zone beyond its being worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SkinAnswer {
    /// Fine dots of blood.
    PinpointBleeding,
    /// It rises and grows tight.
    Swelling,
}

impl SkinAnswer {
    /// Every one.
    pub const ALL: [Self; 2] = [Self::PinpointBleeding, Self::Swelling];

    /// The name the artist reads.
    pub const fn words(self) -> &'static str {
        match self {
            Self::PinpointBleeding => "pinpoint bleeding",
            Self::Swelling => "swelling",
        }
    }

    /// What is usually done; to be shown with [`STRETCHING`] and [`NO_ADVICE`].
    pub const fn caution(self) -> &'static str {
        match self {
            Self::PinpointBleeding => {
                "Stop on this zone: pinpoint bleeding usually comes from too little stretch or too much force. Thinner skin bleeds sooner."
            }
            Self::Swelling => {
                "Stop on this zone: skin that swells has had enough, and usually bore too much force or too many passes. Thinner skin swells sooner, and a swollen brow can't be held against the design."
            }
        }
    }
}
