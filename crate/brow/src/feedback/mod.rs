//! What a client says of a shape, answered with millimetres.
//!
//! Each phrase proposes one bounded step of what it is about ([`moves`]): the
//! largest part of the usual step with which both sides can still be drawn, no
//! constraint gets worse, the hair and the healed brow allow it, and the shape
//! is no farther from the one first shown than the client can have meant.
//! Where not even a tenth of a millimetre is possible, what is in the way is
//! named ([`NothingLeft`]).
//!
//! Both sides move alike in the frame of the shape, so offsets and differences
//! between the sides stay as the plan made them.
//!
//! What a phrase is about is common practice without a source; the steps and
//! bounds are ours.

mod answer;
mod moves;
mod parameter;
mod phrase;

pub use answer::{Asked, InTheWay, NothingLeft, Proposal, SMALLEST_STEP_MM, answer};
pub use parameter::{Change, Parameter, TOTAL_BOUNDS, Total};
pub use phrase::{Phrase, UnknownPhrase};
