//! `ophryon` as it is met in a terminal: the real program, on the invented
//! client's file, well and badly treated.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod adjust;
mod check;
mod client_file;
mod commands;
mod desk;
mod fit;
mod hair;
mod heal;
mod healed;
mod measure;
mod photo;
mod seal;
mod sheet;
mod studio;
mod visits;
