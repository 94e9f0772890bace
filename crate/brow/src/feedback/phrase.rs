//! The phrases that can be answered.

use serde::{Deserialize, Serialize};

/// Something a client says of a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phrase {
    /// The brow is too thick.
    TooThick,
    /// The brow is too thin.
    TooThin,
    /// The peak stands too high above the start.
    TooArched,
    /// The peak hardly rises.
    TooFlat,
    /// The tail reaches too far.
    TooLong,
    /// The tail ends too early.
    TooShort,
    /// The brows begin too near the midline.
    TooCloseTogether,
    /// The brows begin too far from the midline.
    TooFarApart,
    /// The tail's tip hangs.
    EndsTooLow,
    /// The brows look raised.
    LooksSurprised,
    /// The brows look drawn down and together.
    LooksStern,
}

/// What was typed is none of the phrases.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "“{said}” is none of the phrases that can be answered; say one of: {}",
    listed()
)]
pub struct UnknownPhrase {
    /// What was typed, shortened.
    pub said: String,
}

fn listed() -> String {
    let all: Vec<_> = Phrase::ALL.iter().map(|p| p.words()).collect();
    all.join(", ")
}

/// Longest piece of what was typed that is quoted, characters.
const QUOTED: usize = 60;

impl Phrase {
    /// All phrases, in pairs of opposites where there are such.
    pub const ALL: [Self; 11] = [
        Self::TooThick,
        Self::TooThin,
        Self::TooArched,
        Self::TooFlat,
        Self::TooLong,
        Self::TooShort,
        Self::TooCloseTogether,
        Self::TooFarApart,
        Self::EndsTooLow,
        Self::LooksSurprised,
        Self::LooksStern,
    ];

    /// As the client says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TooThick => "too thick",
            Self::TooThin => "too thin",
            Self::TooArched => "too arched",
            Self::TooFlat => "too flat",
            Self::TooLong => "too long",
            Self::TooShort => "too short",
            Self::TooCloseTogether => "too close together",
            Self::TooFarApart => "too far apart",
            Self::EndsTooLow => "ends too low",
            Self::LooksSurprised => "looks surprised",
            Self::LooksStern => "looks stern",
        }
    }

    /// As it stands in files and in addresses: "too-thick".
    pub const fn id(self) -> &'static str {
        match self {
            Self::TooThick => "too-thick",
            Self::TooThin => "too-thin",
            Self::TooArched => "too-arched",
            Self::TooFlat => "too-flat",
            Self::TooLong => "too-long",
            Self::TooShort => "too-short",
            Self::TooCloseTogether => "too-close-together",
            Self::TooFarApart => "too-far-apart",
            Self::EndsTooLow => "ends-too-low",
            Self::LooksSurprised => "looks-surprised",
            Self::LooksStern => "looks-stern",
        }
    }

    /// From what someone typed: capitals, blanks, hyphens, quotation marks and
    /// marks at the end don't count.
    ///
    /// # Errors
    /// [`UnknownPhrase`], which lists those that there are.
    pub fn parse(typed: &str) -> Result<Self, UnknownPhrase> {
        let mut plain = String::new();
        for word in typed.split(|c: char| !c.is_ascii_alphabetic()) {
            if word.is_empty() {
                continue;
            }
            if !plain.is_empty() {
                plain.push('-');
            }
            plain.push_str(&word.to_ascii_lowercase());
        }
        let foreign = typed
            .chars()
            .any(|c| c.is_alphanumeric() && !c.is_ascii_alphabetic());
        Self::ALL
            .into_iter()
            .find(|p| !foreign && p.id() == plain)
            .ok_or_else(|| UnknownPhrase {
                said: typed
                    .trim()
                    .chars()
                    .take(QUOTED)
                    .map(|c| if c.is_control() { ' ' } else { c })
                    .collect(),
            })
    }

    /// The phrase that asks for the contrary, where there is one.
    pub const fn opposite(self) -> Option<Self> {
        match self {
            Self::TooThick => Some(Self::TooThin),
            Self::TooThin => Some(Self::TooThick),
            Self::TooArched => Some(Self::TooFlat),
            Self::TooFlat => Some(Self::TooArched),
            Self::TooLong => Some(Self::TooShort),
            Self::TooShort => Some(Self::TooLong),
            Self::TooCloseTogether => Some(Self::TooFarApart),
            Self::TooFarApart => Some(Self::TooCloseTogether),
            Self::EndsTooLow | Self::LooksSurprised | Self::LooksStern => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typing_is_taken_as_it_comes() {
        for typed in [
            "too thick",
            "Too thick!",
            "  TOO   THICK  ",
            "too-thick",
            "“too thick”.",
        ] {
            assert_eq!(Phrase::parse(typed), Ok(Phrase::TooThick), "{typed}");
        }
        for phrase in Phrase::ALL {
            assert_eq!(Phrase::parse(phrase.words()), Ok(phrase));
            assert_eq!(Phrase::parse(phrase.id()), Ok(phrase));
        }
    }

    #[test]
    fn anything_else_is_refused_with_all_that_there_are() {
        for typed in [
            "",
            "thick",
            "too thickness",
            "too thick 2 é",
            "not too thick",
        ] {
            let said = Phrase::parse(typed).unwrap_err().to_string();
            for phrase in Phrase::ALL {
                assert!(said.contains(phrase.words()), "{said}");
            }
        }
    }

    #[test]
    fn the_kebab_name_is_the_one_in_files() {
        use serde::de::IntoDeserializer;
        use serde::de::value::{Error, StrDeserializer};
        for phrase in Phrase::ALL {
            let id: StrDeserializer<Error> = phrase.id().into_deserializer();
            assert_eq!(Phrase::deserialize(id), Ok(phrase));
        }
    }
}
