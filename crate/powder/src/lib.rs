//! The powder look: soft shading within an outline, from a light front to a
//! fuller tail, fresh and healed. Pure: what it makes is drawn by the shells.

mod tone;

pub use tone::Tone;
