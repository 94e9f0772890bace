//! The powder look: soft shading within an outline, from a light front to a
//! fuller tail, fresh and healed. Pure: what it makes is drawn by the shells.
//!
//! ```text
//! outline, healed outline -> Bed -> dots -> Powder
//! photo's pixels, Window, Tone, Stage -> Powder::paint
//! ```
//!
//! It is an impression of colour. What is agreed is the shape, which other
//! rooms keep; nothing here is measured or printed.

mod bed;
mod chance;
mod cover;
mod dots;
mod ground;
mod line;
mod manner;
mod powder;
mod tone;
mod window;

pub use bed::Bed;
pub use cover::Cover;
pub use dots::{Dot, dots};
pub use manner::{Manner, Place};
pub use powder::{Pixels, Powder, Stage};
pub use tone::Tone;
pub use window::Window;
