//! Pieces that every place uses.

pub mod icon;
pub mod keypad;
pub mod line;
pub mod nudge;
pub mod number_field;
pub mod panel;
pub mod said;
pub mod thread;
pub mod tools;
