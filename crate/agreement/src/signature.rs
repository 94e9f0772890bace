//! What she signs with: strokes of a finger, or her name where a finger can't.

use serde::{Deserialize, Serialize};

/// Where a finger was: x and y in ten-thousandths of the width of the field it
/// signed in, x to the right, y down; milliseconds since the first touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Touch(pub u16, pub u16, pub u32);

/// The width of the field in units of [`Touch`].
pub const FIELD: u16 = 10_000;

/// A finger that moved less than this has not moved; a field of 100 mm across
/// keeps half a millimetre.
const STEP: i32 = 50;

/// More touches than anybody's name needs.
const MOST_TOUCHES: usize = 2_000;
/// More strokes than anybody's name needs.
const MOST_STROKES: usize = 100;
/// All strokes together, in units of [`Touch`]: less is a slip of the finger.
const SHORTEST: i32 = 300;
/// Ten minutes are long for a name.
const LONGEST_MS: u32 = 600_000;
/// Letters of a name.
const LONGEST_NAME: usize = 100;

/// How she signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Signature {
    /// By finger or pen.
    Drawn {
        /// From touching down to lifting.
        strokes: Vec<Vec<Touch>>,
    },
    /// By writing her name on a keyboard, where drawing is no way for her.
    Typed {
        /// As she wrote it.
        name: String,
    },
}

/// Why that is no signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SignatureError {
    /// Nothing, or a dot.
    #[error("nothing is signed yet; sign with a finger, or write your name")]
    Empty,
    /// More than fits.
    #[error("that is more than a signature; clear the field and sign again")]
    TooMuch,
    /// Times or places that no finger makes.
    #[error("that signature was not drawn on this field; clear it and sign again")]
    NotDrawn,
}

impl Signature {
    /// From every touch that a screen reported, without those that tell
    /// nothing new: ends of strokes are kept, and what moved enough.
    pub fn of_touches(strokes: &[Vec<Touch>]) -> Self {
        let thin = |stroke: &Vec<Touch>| {
            let mut kept: Vec<Touch> = Vec::with_capacity(stroke.len());
            for (n, touch) in stroke.iter().enumerate() {
                let is_end = n == 0 || n + 1 == stroke.len();
                if is_end || kept.last().is_none_or(|last| apart(*last, *touch) >= STEP) {
                    kept.push(*touch);
                }
            }
            kept
        };
        let strokes = strokes.iter().filter(|s| !s.is_empty()).map(thin);
        Self::Drawn {
            strokes: strokes.collect(),
        }
    }

    /// What keeps it from being taken.
    ///
    /// # Errors
    /// The reason, to be shown beside the field.
    pub fn check(&self) -> Result<(), SignatureError> {
        let strokes = match self {
            Self::Typed { name } if name.trim().is_empty() => return Err(SignatureError::Empty),
            Self::Typed { name } if name.chars().count() > LONGEST_NAME => {
                return Err(SignatureError::TooMuch);
            }
            Self::Typed { name } if name.chars().any(char::is_control) => {
                return Err(SignatureError::NotDrawn);
            }
            Self::Typed { .. } => return Ok(()),
            Self::Drawn { strokes } => strokes,
        };
        let touches: usize = strokes.iter().map(Vec::len).sum();
        if touches > MOST_TOUCHES || strokes.len() > MOST_STROKES {
            return Err(SignatureError::TooMuch);
        }
        let mut clock = 0;
        for Touch(x, y, ms) in strokes.iter().flatten() {
            // A field may be as high as it is wide, not higher.
            if *x > FIELD || *y > FIELD || *ms < clock || *ms > LONGEST_MS {
                return Err(SignatureError::NotDrawn);
            }
            clock = *ms;
        }
        let length: i32 = strokes
            .iter()
            .flat_map(|stroke| stroke.iter().zip(stroke.iter().skip(1)))
            .map(|(a, b)| apart(*a, *b))
            .sum();
        if length < SHORTEST {
            return Err(SignatureError::Empty);
        }
        Ok(())
    }
}

/// The larger of the distances across and down.
fn apart(a: Touch, b: Touch) -> i32 {
    let across = (i32::from(a.0) - i32::from(b.0)).abs();
    let down = (i32::from(a.1) - i32::from(b.1)).abs();
    across.max(down)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(touches: u16) -> Vec<Touch> {
        (0..touches)
            .map(|n| Touch(1000 + 20 * n, 3000, 16 * u32::from(n)))
            .collect()
    }

    #[test]
    fn touches_that_tell_nothing_new_are_left_out_and_ends_are_kept() {
        let all = line(200);
        let Signature::Drawn { strokes } = Signature::of_touches(&[all.clone(), vec![]]) else {
            panic!("it was drawn");
        };
        assert_eq!(strokes.len(), 1);
        assert_eq!(strokes[0].first(), all.first());
        assert_eq!(strokes[0].last(), all.last());
        assert!((60..80).contains(&strokes[0].len()), "{}", strokes[0].len());
        assert_eq!(Signature::Drawn { strokes }.check(), Ok(()));
    }

    #[test]
    fn what_is_no_signature_is_told() {
        let drawn = |strokes: Vec<Vec<Touch>>| Signature::Drawn { strokes }.check();
        let typed = |name: &str| {
            Signature::Typed {
                name: name.to_owned(),
            }
            .check()
        };
        assert_eq!(drawn(vec![]), Err(SignatureError::Empty));
        assert_eq!(drawn(vec![line(1)]), Err(SignatureError::Empty));
        assert_eq!(drawn(vec![line(3)]), Err(SignatureError::Empty));
        assert_eq!(drawn(vec![line(400); 6]), Err(SignatureError::TooMuch));
        let mut back = line(100);
        back.reverse();
        assert_eq!(drawn(vec![back]), Err(SignatureError::NotDrawn));
        let beyond = vec![Touch(0, 0, 0), Touch(10_001, 0, 5)];
        assert_eq!(drawn(vec![beyond]), Err(SignatureError::NotDrawn));
        assert_eq!(typed(" "), Err(SignatureError::Empty));
        assert_eq!(typed(&"x".repeat(101)), Err(SignatureError::TooMuch));
        assert_eq!(typed("a\nb"), Err(SignatureError::NotDrawn));
        assert_eq!(typed("Žofie Invented"), Ok(()));
    }
}
