//! `cargo xtask`: builds, serves and tests the project on a bare machine.
//!
//! Needs only rustup's stable Rust; everything else is fetched when a command
//! first needs it, and what can't be had is named in a sentence.
//!
//! | command | what it does |
//! |---|---|
//! | `cargo xtask serve` | builds the app, serves it on 127.0.0.1 and opens the page |
//! | `cargo xtask test` | format, lints, unit, property, doc, browser and whole-product tests |
//! | `cargo xtask build` | the app, and one release `ophryon` that carries it |
//! | `cargo xtask prove` | the long proofs: tests marked `#[ignore]`, optimised |
//! | `cargo xtask bench` | how long one drag step takes, and a photo |
//! | `cargo xtask demo` | redraws the pictures of the demo clients |
//!
//! # How the app is built
//! `crate/studio` is compiled for `wasm32-unknown-unknown` with the profile
//! `wasm`; the parts that load when they are first used are taken out of it;
//! wasm-bindgen writes the JavaScript of the rest; the files of `www` are added;
//! all of it lands in `target/www` with packed copies beside each file and with
//! `assets.json`, which lists names, sizes and SHA-256 for the service worker.
//! The page loads the app with `import init from "./ophryon.js"`.
//!
//! By hand, the first two steps are
//! `rustup target add wasm32-unknown-unknown` and
//! `cargo rustc -p ophryon-studio --bin ophryon-studio --target wasm32-unknown-unknown
//! --profile wasm -- -C link-arg=--emit-relocs`.

mod app;
mod assets;
mod axe;
mod browser;
mod budget;
mod cargo;
mod place;
mod report;
mod run;
mod split;
mod stamp;
mod system;
mod tasks;
mod test;
mod wasm;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::place::Place;

/// Builds, serves and tests the project.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask")]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Build the app, serve it on 127.0.0.1 and open the page.
    Serve {
        /// Port to start from; a taken one is passed over.
        #[arg(long)]
        port: Option<u16>,
        /// Print the address instead of opening it.
        #[arg(long)]
        no_open: bool,
    },
    /// Run every check, in the order in which they are likely to fail.
    Test {
        /// Only these parts; all of them when none is named.
        #[arg(value_enum)]
        only: Vec<test::Part>,
    },
    /// Build the app alone, and say what travels when.
    App,
    /// Build the app, and a release `ophryon` that carries it.
    Build,
    /// Run the long proofs.
    Prove,
    /// Measure one drag step, and what a photo costs.
    Bench,
    /// Redraw the pictures of the demo clients.
    Demo,
}

fn main() -> ExitCode {
    let task = Arguments::parse().task;
    let done = Place::find().and_then(|place| match task {
        Task::Serve { port, no_open } => tasks::serve(&place, port, no_open),
        Task::Test { only } => test::run(&place, &only),
        Task::App => tasks::app(&place),
        Task::Build => tasks::build(&place),
        Task::Prove => tasks::prove(&place),
        Task::Bench => tasks::bench(&place),
        Task::Demo => tasks::demo(&place),
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("{trouble:#}");
            ExitCode::FAILURE
        }
    }
}
