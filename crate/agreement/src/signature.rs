//! What she signs with: strokes of a finger, or her name where a finger can't.

use serde::{Deserialize, Serialize};

/// Where a finger was: x and y in ten-thousandths of the width of the field it
/// signed in, x to the right, y down; milliseconds since the first touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Touch(pub u16, pub u16, pub u32);

/// The width of the field in units of [`Touch`].
pub const FIELD: u16 = 10_000;

/// Furthest that a touch which is left out lies from the lines that are kept:
/// 0.3 mm on a field 100 mm across, about the width of a pen's line.
const STRAIGHT: i64 = 30;

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
    /// Too little for a name.
    #[error("a name has at least two letters; write your name")]
    NoName,
    /// More than fits.
    #[error("that is more than a signature; clear the field and sign again")]
    TooMuch,
    /// Times or places that no finger makes.
    #[error("that signature was not drawn on this field; clear it and sign again")]
    NotDrawn,
}

impl Signature {
    /// From every touch that a screen reported, without those that lie on the
    /// way from one to another: a line looks the same with them and without,
    /// and a packet is half as long. Douglas and Peucker: Algorithms for the
    /// reduction of the number of points, Cartographica 10(2), 1973 (from
    /// memory).
    pub fn of_touches(strokes: &[Vec<Touch>]) -> Self {
        let strokes = strokes.iter().filter(|s| !s.is_empty());
        Self::Drawn {
            strokes: strokes.map(|s| thinned(s)).collect(),
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
            Self::Typed { name } if name.chars().filter(|c| c.is_alphabetic()).count() < 2 => {
                return Err(SignatureError::NoName);
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

fn thinned(stroke: &[Touch]) -> Vec<Touch> {
    let mut kept = vec![false; stroke.len()];
    let last = stroke.len().saturating_sub(1);
    let mut pieces = vec![(0, last)];
    while let Some((from, to)) = pieces.pop() {
        if let (Some(a), Some(b)) = (stroke.get(from), stroke.get(to)) {
            kept[from] = true;
            kept[to] = true;
            let off = |n: &usize| stroke.get(*n).map_or(0, |p| off_chord(*p, *a, *b));
            let Some(furthest) = (from + 1..to).max_by_key(off) else {
                continue;
            };
            if off(&furthest) > STRAIGHT * STRAIGHT {
                pieces.extend([(from, furthest), (furthest, to)]);
            }
        }
    }
    let kept = stroke.iter().zip(kept).filter(|(_, kept)| *kept);
    kept.map(|(touch, _)| *touch).collect()
}

/// The square of a touch's distance from the line between two others; whole
/// numbers, the same on every machine.
fn off_chord(p: Touch, a: Touch, b: Touch) -> i64 {
    let to = |q: Touch| {
        let (x, y) = (
            i64::from(q.0) - i64::from(a.0),
            i64::from(q.1) - i64::from(a.1),
        );
        (x, y)
    };
    let ((px, py), (bx, by)) = (to(p), to(b));
    let (along, length) = (px * bx + py * by, bx * bx + by * by);
    if along <= 0 {
        px * px + py * py
    } else if along >= length {
        (px - bx) * (px - bx) + (py - by) * (py - by)
    } else {
        let across = px * by - py * bx;
        across * across / length
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
    #[allow(clippy::disallowed_methods, reason = "only drawn with")]
    fn what_lies_on_the_way_is_left_out_and_the_line_stays() {
        let thin = |stroke: &Vec<Touch>| match Signature::of_touches(&[stroke.clone(), vec![]]) {
            Signature::Drawn { strokes } => strokes,
            Signature::Typed { .. } => panic!("it was drawn"),
        };
        let straight = line(200);
        assert_eq!(thin(&straight), [[straight[0], straight[199]]]);

        // A circle of a quarter of the field, two turns in 400 touches.
        let round: Vec<Touch> = (0..400_u16)
            .map(|n| {
                let turn = f64::from(n) * 0.01 * std::f64::consts::PI;
                let (x, y) = (5000.0 + 2500.0 * turn.cos(), 5000.0 + 2500.0 * turn.sin());
                Touch(x.round() as u16, y.round() as u16, 8 * u32::from(n))
            })
            .collect();
        let kept = &thin(&round)[0];
        // A chord of 2 r sin(t / 2) leaves r (1 - cos(t / 2)) of 30 at most:
        // at least 20 a turn.
        assert!((40..100).contains(&kept.len()), "{}", kept.len());
        let near = |p: &Touch| {
            let chords = kept.iter().zip(kept.iter().skip(1));
            chords.map(|(a, b)| off_chord(*p, *a, *b)).min() <= Some(STRAIGHT * STRAIGHT)
        };
        assert!(round.iter().all(near));
        assert_eq!(thin(kept).concat(), *kept, "nothing is left to leave out");
        assert_eq!(Signature::of_touches(&[round]).check(), Ok(()));
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
        for no_name in ["x", " x ", "x.", "12 3"] {
            assert_eq!(typed(no_name), Err(SignatureError::NoName), "{no_name}");
        }
        for name in ["Žofie Invented", "Bo", "李娜"] {
            assert_eq!(typed(name), Ok(()), "{name}");
        }
    }
}
