//! Why there can be no sheet, and the way out in the same sentence.

use ophryon_frames::Side;

use crate::{Paper, Sides};

/// Why there can be no sheet, and the way out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// An outline without segments or with a coordinate that is no number.
    #[error("the client's {} brow has no outline that can be printed; draw it again", .side.name())]
    NoOutline {
        /// The side.
        side: Side,
    },
    /// Larger than the paper, with all that a sheet must say.
    #[error("{} with midline and level line {} {width_mm:.0} x {height_mm:.0} mm and {} not fit on {} paper beside what the sheet must say; {}", .sides.name(), needs(*.sides), does(*.sides), .paper.name(), way_out(*.other, *.one_side))]
    TooLarge {
        /// What was asked for.
        sides: Sides,
        /// Width of the drawing, mm.
        width_mm: f64,
        /// Height of the drawing, mm.
        height_mm: f64,
        /// The paper asked for.
        paper: Paper,
        /// The smallest larger paper that holds it.
        other: Option<Paper>,
        /// On the paper asked for, either side alone fits.
        one_side: bool,
    },
    /// More copies than the page holds.
    #[error("{} paper holds {}, not {asked}; ask for {}", .paper.name(), holds(*.most, *.sides), at_most(*.most))]
    TooManyCopies {
        /// What was asked for.
        asked: u32,
        /// How many fit.
        most: u32,
        /// Of what.
        sides: Sides,
        /// The paper asked for.
        paper: Paper,
    },
    /// None at all.
    #[error("no copies would be an empty page; ask for 1 or more")]
    NoCopies,
}

const fn needs(sides: Sides) -> &'static str {
    match sides {
        Sides::Both => "need",
        Sides::Right | Sides::Left => "needs",
    }
}

const fn does(sides: Sides) -> &'static str {
    match sides {
        Sides::Both => "do",
        Sides::Right | Sides::Left => "does",
    }
}

fn holds(most: u32, sides: Sides) -> String {
    match most {
        1 => format!("one copy of {}", sides.name()),
        most => format!("{most} copies of {}", sides.name()),
    }
}

fn at_most(most: u32) -> String {
    match most {
        1 => "1".to_owned(),
        most => format!("{most} or fewer"),
    }
}

fn way_out(other: Option<Paper>, one_side: bool) -> String {
    match (other, one_side) {
        (Some(other), true) => {
            format!("use {} paper, or print one side to a page", other.name())
        }
        (Some(other), false) => format!("use {} paper", other.name()),
        (None, true) => "print one side to a page".to_owned(),
        (None, false) => {
            "no brows are that large: check the scale of the photo and the tape length".to_owned()
        }
    }
}
