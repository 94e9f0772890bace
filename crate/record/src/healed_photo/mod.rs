//! A later photo of the healed brows against what was agreed.
//!
//! 1. The agreed shape is laid into the later photo: its outlines on the skin,
//!    through the same wrap, and by the landmarks that the brows' muscles don't
//!    move ([`LaidOver`]).
//! 2. The photo's pixels tell what of each outline is filled
//!    ([`ophryon_photo::measure_healed`]); decoding them is the shell's.
//! 3. Both together give what was kept, with how sure that is, evenness now
//!    against plan, and what to fill again ([`HealedOutcome`]).

mod even;
mod grid;
mod lay;
mod missing;
mod outcome;
mod paper;
mod words;

pub use even::EvenRow;
pub use lay::{LaidOver, LaidShape, NotLaid};
pub use missing::{Missing, MissingPart};
pub use outcome::{CheckedSide, HealedOutcome, WayKept};
