//! The first screen: who is in the chair, and whether everybody is safe.

mod backup;
mod details;
mod erasing;
mod finding;
mod scale;
mod shelf;
