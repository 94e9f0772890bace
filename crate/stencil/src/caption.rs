//! What a sheet says about itself: whose it is, which version, whether it was
//! agreed to, and what its millimetres rest on.

use ophryon_frames::Wrap;
use serde::{Deserialize, Serialize};

use crate::lettering::fit;

/// Whether the client has agreed to this exact shape.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Agreement {
    /// Not, or not to this version: the sheet is marked NOT AGREED.
    #[default]
    NotAgreed,
    /// Agreed to.
    Agreed {
        /// When, in words, if it is known.
        when: Option<String>,
    },
}

/// What the wrap's parameter comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WrapSource {
    /// From a tape length over this client's skin.
    Measured,
    /// The typical value; nobody measured this client.
    Estimated,
    /// A radius the artist entered, known from elsewhere.
    Chosen,
}

/// Everything the sheet says in words. All text is handed in: any script, any
/// length; control characters are dropped and what is too long is cut with "…".
#[derive(Debug, Clone, PartialEq)]
pub struct Caption {
    /// Initials or code of the client, never the full name unless asked.
    pub code: String,
    /// Which version of the shape.
    pub version: String,
    /// Fingerprint of that version.
    pub fingerprint: String,
    /// Whether the client has agreed to it.
    pub agreed: Agreement,
    /// How the flat photo was carried to the curved skin.
    pub wrap: Wrap,
    /// What the wrap rests on; without meaning for [`Wrap::Flat`].
    pub wrap_source: WrapSource,
    /// Day the sheet was made, as text; never read from a clock.
    pub made: Option<String>,
    /// A remark of one line, such as "Invented client, for trying things out".
    pub remark: Option<String>,
}

/// Most of a time in words that is repeated in a sentence, in sizes of its
/// letters; an ordinary date and time need 16.
const LONGEST_WHEN: f64 = 24.0;

/// The usual cautions, on every sheet.
pub(crate) const CAUTIONS: &str = "No medical advice. Local codes and licensed practice rule: \
     they come before anything on this sheet.";

impl Caption {
    /// The wrap in a sentence, with what an estimate may cost.
    ///
    /// The figures are from open head meshes: 4 to 9 mm short along the brow
    /// when flat; 2 mm (1 SD) left by a fixed radius.
    pub fn wrap_sentence(&self) -> String {
        match (self.wrap, self.wrap_source) {
            (Wrap::Flat, _) => "WITHOUT A WRAP: the skin was taken as flat, and it is not. On \
                 skin this print is too short, on most heads by 4 to 9 mm along the brow. Measure \
                 the brow over the skin with a tape first."
                .to_owned(),
            (_, WrapSource::Estimated) => {
                "WRAP ESTIMATED: the curve of the skin is a typical one, \
                 not measured on this client. Lengths along the brow may be 2 mm off, on some \
                 heads 6. A tape drawn tight from start to tail takes most of that away."
                    .to_owned()
            }
            (_, WrapSource::Chosen) => "The curve of the skin was chosen by the artist, without a \
                 tape length on this sheet. Measure the brow over the skin with a tape before \
                 using it."
                .to_owned(),
            (_, WrapSource::Measured) => "The curve of the skin was measured: it comes from a \
                 tape length on this client."
                .to_owned(),
        }
    }

    /// The wrap was measured on this client.
    pub fn is_wrap_measured(&self) -> bool {
        !matches!(self.wrap, Wrap::Flat) && self.wrap_source == WrapSource::Measured
    }

    /// What must not be overlooked, in a few words beside each brow: it stays
    /// there when the sheet is cut to a strip.
    pub(crate) fn warnings(&self) -> String {
        let agreed = (self.agreed == Agreement::NotAgreed).then_some("NOT AGREED");
        let wrap = match (self.wrap, self.wrap_source) {
            (Wrap::Flat, _) => Some("without a wrap"),
            (_, WrapSource::Estimated) => Some("wrap estimated"),
            (_, WrapSource::Chosen) => Some("wrap not measured"),
            (_, WrapSource::Measured) => None,
        };
        agreed
            .into_iter()
            .chain(wrap)
            .collect::<Vec<_>>()
            .join(", ")
    }

    /// The agreement in a sentence.
    pub fn agreement_sentence(&self) -> String {
        match &self.agreed {
            Agreement::NotAgreed => {
                "NOT AGREED: the client has not said yes to this shape.".to_owned()
            }
            Agreement::Agreed { when } => {
                let when = fit(when.as_deref().unwrap_or_default(), 1.0, LONGEST_WHEN);
                if when.is_empty() {
                    "The client agreed to this exact shape.".to_owned()
                } else {
                    format!("The client agreed to this exact shape: {when}.")
                }
            }
        }
    }
}
