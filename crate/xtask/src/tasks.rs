//! The shorter tasks; [`crate::test`] is the long one.

use std::process::Command;

use anyhow::{Context, Result};

use crate::browser::Browser;
use crate::place::Place;
use crate::{app, assets, cargo, run};

/// Crates whose benchmarks also run in the browser, by package name. Their
/// `wasm-bindgen-test` benchmarks are run in the same way as the tests are.
const BENCHED_IN_BROWSER: [&str; 1] = ["ophryon-parity"];

/// Builds, then becomes `ophryon serve`.
pub fn serve(place: &Place, port: Option<u16>, no_open: bool) -> Result<()> {
    if let Err(too_big) = app::build(place)?.check() {
        eprintln!("{too_big}");
    }
    let ophryon = cargo::build_program(place, "ophryon", &["--package", "ophryon"])?;
    let mut serve = Command::new(ophryon);
    serve.arg("serve").arg("--assets").arg(place.app());
    if let Some(port) = port {
        serve.arg("--port").arg(port.to_string());
    }
    if no_open {
        serve.arg("--no-open");
    }
    become_program(&mut serve)
}

/// On Unix nothing of us stays, so a signal reaches the server itself.
#[cfg(unix)]
fn become_program(command: &mut Command) -> Result<()> {
    use std::os::unix::process::CommandExt;
    Err(command.exec()).context("the server can't be started")
}

#[cfg(not(unix))]
fn become_program(command: &mut Command) -> Result<()> {
    run::run(command)
}

/// The app's files alone, for looking at it through a server that runs.
pub fn app(place: &Place) -> Result<()> {
    app::build(place)?.check()
}

/// The app, and one program that carries it: a full offline install.
pub fn build(place: &Place) -> Result<()> {
    app::build(place)?.check()?;
    let ophryon = cargo::build_program(place, "ophryon", &["--release", "--package", "ophryon"])?;
    let size = assets::read(&ophryon)?.len() as f64 / 1e6;
    println!("{} ({size:.1} MB) carries the app.", ophryon.display());
    Ok(())
}

/// The long proofs, optimised.
pub fn prove(place: &Place) -> Result<()> {
    app::build(place)?;
    let ophryon = cargo::build_program(place, "ophryon", &["--release", "--package", "ophryon"])?;
    let mut proofs = cargo::at(place);
    proofs.args(["test", "--release", "--package", "ophryon-tests"]);
    Browser::get(place)?.announce(&mut proofs);
    proofs
        .env("OPHRYON_APP", place.app())
        .env("OPHRYON_BIN", ophryon)
        .args(["--no-fail-fast", "--", "--ignored"]);
    run::run(&mut proofs)
}

/// One drag step, natively and in the browser where there is such a benchmark,
/// and what a photo costs.
pub fn bench(place: &Place) -> Result<()> {
    run::run(cargo::at(place).args(["bench", "--package", "ophryon-brow"]))?;
    run::run(cargo::at(place).args(["bench", "--package", "ophryon-photo"]))?;
    // As the app is built, so that the figure is what an artist gets.
    let drag = [
        "--profile",
        "wasm",
        "--test",
        "drag",
        "--",
        "--include-ignored",
        "--nocapture",
    ];
    crate::browser::run_tests(place, &BENCHED_IN_BROWSER, &drag)
}

/// The demo clients' pictures, from their generator.
pub fn demo(place: &Place) -> Result<()> {
    run::run(cargo::at(place).args([
        "run",
        "--release",
        "--package",
        "ophryon-demo",
        "--bin",
        "ophryon-demo",
    ]))
}
