//! What a sheet says about itself: whose it is, which version, whether it was
//! agreed to, and what its millimetres rest on.

use ophryon_frames::Wrap;
use serde::{Deserialize, Serialize};

use crate::lettering::{clean, fit};

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
        /// First digits of the seal, to be compared with the file's.
        seal: Option<String>,
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
    /// Her name, only where it was asked for.
    pub name: Option<String>,
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
    /// The same in a sentence of its own, such as which tape read what.
    pub wrap_basis: Option<String>,
    /// How far lengths along the brow may be off because of it, expanded (k =
    /// 2), mm, where that is known.
    pub length_uncertainty_mm: Option<f64>,
    /// Day the sheet was made, as text; never read from a clock.
    pub made: Option<String>,
    /// A remark of one line, such as "Invented client, for trying things out".
    pub remark: Option<String>,
}

/// A sentence on a sheet; what must not be overlooked is set bold.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Note {
    pub(crate) words: String,
    pub(crate) counts: bool,
}

impl Note {
    pub(crate) fn of(words: impl Into<String>, counts: bool) -> Self {
        Self {
            words: words.into(),
            counts,
        }
    }
}

/// Most of a time in words that is repeated in a sentence, in sizes of its
/// letters; an ordinary date and time need 16.
const LONGEST_WHEN: f64 = 24.0;

/// Most of a seal's first digits, in sizes of the letters; eight need 5.
const LONGEST_SEAL: f64 = 8.0;

/// Most of what a wrap rests on, in sizes of the letters: four tapes need 140.
const LONGEST_BASIS: f64 = 160.0;

/// The usual cautions, on every sheet.
pub(crate) const CAUTIONS: &str = "No medical advice. Local codes and licensed practice rule: \
     they come before anything on this sheet.";

/// The same where there is little room.
pub(crate) const CAUTIONS_SHORT: &str =
    "No medical advice. Local codes and licensed practice rule.";

impl Caption {
    /// "K. M.", or with the name where it was asked for.
    pub(crate) fn client(&self) -> String {
        let code = clean(&self.code);
        match self.name.as_deref().map(clean) {
            Some(name) if !name.is_empty() && name != code => format!("{code}, {name}"),
            _ => code,
        }
    }

    /// "Brow stencil, client K. M., version 3".
    pub(crate) fn title(&self, what: &str) -> String {
        let mut title = what.to_owned();
        for (name, value) in [("client", self.client()), ("version", clean(&self.version))] {
            if !value.is_empty() {
                title = format!("{title}, {name} {value}");
            }
        }
        title
    }

    /// The wrap in a sentence, with what an estimate may cost.
    ///
    /// Flat, a brow is 4 to 9 mm short on open head meshes.
    pub fn wrap_sentence(&self) -> String {
        match (self.wrap, self.wrap_source) {
            (Wrap::Flat, _) => "WITHOUT A WRAP: the skin was taken as flat, and it is not. On \
                 skin this print is too short, on most heads by 4 to 9 mm along the brow. Measure \
                 the brow over the skin with a tape first."
                .to_owned(),
            (_, WrapSource::Estimated) => format!(
                "WRAP ESTIMATED: the curve of the skin is a typical one, not measured on this \
                 client. {} A tape drawn tight from start to tail takes most of that away.",
                self.cost()
            ),
            (_, WrapSource::Chosen) => "The curve of the skin was chosen by the artist, without a \
                 tape length on this sheet. Measure the brow over the skin with a tape before \
                 using it."
                .to_owned(),
            (_, WrapSource::Measured) => {
                let basis = self.basis().unwrap_or_else(|| {
                    "The curve of the skin was measured: it comes from a tape length on this \
                     client."
                        .to_owned()
                });
                match self.length_uncertainty_mm {
                    Some(mm) => format!("{basis} Lengths along the brow: ± {mm:.1} mm."),
                    None => basis,
                }
            }
        }
    }

    /// What an estimate may cost. Where nothing is known of this face: what a
    /// fixed radius left on open head meshes, 2 mm (1 SD) and 6 at worst.
    fn cost(&self) -> String {
        match self.length_uncertainty_mm {
            Some(mm) => format!("Lengths along the brow may be {mm:.1} mm off."),
            None => "Lengths along the brow may be 2 mm off, on some heads 6.".to_owned(),
        }
    }

    /// The same where there is little room.
    pub(crate) fn wrap_short(&self) -> String {
        match (self.wrap, self.wrap_source) {
            (Wrap::Flat, _) => {
                "WITHOUT A WRAP: too short on skin, on most heads by 4 to 9 mm along the brow."
                    .to_owned()
            }
            (_, WrapSource::Estimated) => {
                format!("WRAP ESTIMATED, without a tape. {}", self.cost())
            }
            (_, WrapSource::Chosen) => {
                "Wrap chosen by the artist, without a tape length.".to_owned()
            }
            (_, WrapSource::Measured) => match self.length_uncertainty_mm {
                Some(mm) => format!(
                    "Wrap measured by tape on this client. Lengths along the brow: ± {mm:.1} mm."
                ),
                None => "Wrap measured by tape on this client.".to_owned(),
            },
        }
    }

    fn basis(&self) -> Option<String> {
        let basis = fit(self.wrap_basis.as_deref()?, 1.0, LONGEST_BASIS);
        (!basis.is_empty()).then_some(basis)
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
            Agreement::Agreed { .. } => {
                let said = [self.agreed_when(), self.agreed_seal()];
                let said: Vec<_> = said.into_iter().filter(|s| !s.is_empty()).collect();
                if said.is_empty() {
                    "The client agreed to this exact shape.".to_owned()
                } else {
                    format!(
                        "The client agreed to this exact shape: {}.",
                        said.join(", ")
                    )
                }
            }
        }
    }

    /// When she agreed, as far as there is room to say it.
    pub(crate) fn agreed_when(&self) -> String {
        match &self.agreed {
            Agreement::Agreed {
                when: Some(when), ..
            } => fit(when, 1.0, LONGEST_WHEN),
            _ => String::new(),
        }
    }

    /// "seal 3f9a51c0", or nothing where none is known.
    pub(crate) fn agreed_seal(&self) -> String {
        match &self.agreed {
            Agreement::Agreed {
                seal: Some(seal), ..
            } => format!("seal {}", fit(seal, 1.0, LONGEST_SEAL)),
            _ => String::new(),
        }
    }

    /// "Agreed", "Agreed 14 March 2025, seal 3f9a51c0" or nothing.
    pub(crate) fn agreed_short(&self) -> String {
        match &self.agreed {
            Agreement::NotAgreed => String::new(),
            Agreement::Agreed { .. } => {
                let agreed = format!("Agreed {}", self.agreed_when());
                let said = [agreed.trim_end().to_owned(), self.agreed_seal()];
                let said: Vec<_> = said.into_iter().filter(|s| !s.is_empty()).collect();
                said.join(", ")
            }
        }
    }
}
