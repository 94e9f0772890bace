//! `cargo xtask test`: everything that must pass before main moves.
//!
//! Two cores build it from nothing, so no dependency is compiled twice where
//! that can be helped: native tests are compiled once, all packages together
//! (choosing packages would choose other features, and build again), and then
//! run in portions. The app comes first because `ophryon` carries it.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result};
use clap::ValueEnum;

use crate::browser::{self, Browser};
use crate::budget::Load;
use crate::place::Place;
use crate::report::Report;
use crate::{app, axe, cargo, run, system};

/// Crates whose tests run inside the browser, by package name.
const TESTED_IN_BROWSER: [&str; 1] = ["ophryon-parity"];

/// A part of the tests that can be run alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Part {
    /// Layout of the source.
    Format,
    /// Clippy, every warning an error.
    Lints,
    /// Unit and property tests inside the crates.
    Unit,
    /// The examples in the documentation.
    Doc,
    /// Tests inside the browser.
    Browser,
    /// References, paper, command line and the whole app.
    Product,
}

/// Runs `only`, or everything.
pub fn run(place: &Place, only: &[Part]) -> Result<()> {
    let wanted = |part| only.is_empty() || only.contains(&part);
    let native = [Part::Unit, Part::Doc, Part::Product]
        .into_iter()
        .any(wanted);
    let mut report = Report::default();

    if wanted(Part::Format) || wanted(Part::Lints) {
        report.step("Formatter and lints at hand", || {
            component("rustfmt", "fmt")?;
            component("clippy", "clippy")
        });
    }
    if wanted(Part::Format) {
        report.step("Format", || {
            run::run(cargo::at(place).args(["fmt", "--all", "--check"]))
        });
    }
    let mut load: Option<Load> = None;
    if wanted(Part::Product) {
        report.step("Build the app", || {
            load = Some(app::build(place)?);
            Ok(())
        });
        report.step("What travels when", || {
            load.context("there is no app to measure")?.check()
        });
    }
    if wanted(Part::Lints) {
        report.step("Lints", || {
            run::run(
                cargo::at(place)
                    .args(["clippy", "--workspace", "--all-targets"])
                    .args(["--", "-D", "warnings"]),
            )
        });
    }
    let mut ophryon: Option<PathBuf> = None;
    if native {
        report.step("Compile the native tests", || {
            let made =
                cargo::artifacts(cargo::at(place).args(["test", "--workspace", "--no-run"]))?;
            ophryon = Some(cargo::program(&made, "ophryon").context(
                "the tests built no `ophryon`; crate/cli/tests must hold a test that runs it",
            )?);
            Ok(())
        });
    }
    if wanted(Part::Unit) {
        report.step("Unit and property tests", || {
            run::run(native_tests(place).args(["--lib", "--bins"]))
        });
    }
    if wanted(Part::Doc) {
        report.step("Examples in the documentation", || {
            run::run(native_tests(place).arg("--doc"))
        });
    }
    if wanted(Part::Browser) {
        report.step("Tests inside the browser", || {
            browser::run_tests(place, &TESTED_IN_BROWSER, &[])
        });
    }
    if wanted(Part::Product) {
        report.step("References, paper and the whole product", || {
            paper_tools()?;
            second_readers_of_backups();
            let mut tests = native_tests(place);
            Browser::get(place)?.announce(&mut tests);
            let ophryon = ophryon.context("there is no `ophryon` to test")?;
            // Without it the test of the screens says so and fails.
            match axe::get(place) {
                Ok(script) => {
                    tests.env("OPHRYON_AXE", script);
                }
                Err(trouble) => eprintln!("No rules for accessible screens: {trouble:#}"),
            }
            if let Some(readers) = drawing_readers(place) {
                tests.env("PYTHONPATH", readers);
            }
            tests
                .args(["--test", "*"])
                .env("OPHRYON_APP", place.app())
                .env("OPHRYON_BIN", ophryon);
            run::run(&mut tests)
        });
    }
    report.finish()
}

/// Always all packages: see the top of this file.
fn native_tests(place: &Place) -> Command {
    let mut tests = cargo::at(place);
    tests.args(["test", "--workspace", "--no-fail-fast"]);
    tests
}

/// A bare rustup may have been installed without formatter and lints.
fn component(name: &str, subcommand: &str) -> Result<()> {
    if run::succeeds(cargo::command().args([subcommand, "--version"])) {
        return Ok(());
    }
    run::run(Command::new("rustup").args(["component", "add", name])).with_context(|| {
        format!(
            "{name} can't be had. Go online and run `rustup component add {name}`, then start again"
        )
    })
}

/// Programs that read a printed page back.
fn paper_tools() -> Result<()> {
    for (program, package) in [("pdftoppm", "poppler-utils"), ("qpdf", "qpdf")] {
        if system::find_program(&[program]).is_none() {
            system::apt_install(&[package]).with_context(|| {
                format!(
                    "Measuring printed pages needs `{program}`: install {package} and start again"
                )
            })?;
        }
    }
    Ok(())
}

/// The reference program of the format that backups are locked in, and the
/// most common reader of zips. Without them the tests say so and go on.
fn second_readers_of_backups() {
    for program in ["age", "unzip"] {
        let is_there = system::find_program(&[program]).is_some();
        if !is_there && let Err(trouble) = system::apt_install(&[program]) {
            eprintln!("No second reader of backups, {program}: {trouble:#}");
        }
    }
}

/// An independent reader of DXF, Python's ezdxf, kept among the build output.
/// Without it the test says so and reads by itself.
fn drawing_readers(place: &Place) -> Option<PathBuf> {
    let python = system::find_program(&["python3"])?;
    let folder = place.tools().join("python");
    if folder.join("ezdxf").is_dir() {
        return Some(folder);
    }
    let mut install = Command::new(python);
    install
        .args(["-m", "pip", "install", "--quiet"])
        .args(["--disable-pip-version-check", "--target"])
        .arg(&folder)
        .arg("ezdxf==1.4.5");
    if let Err(trouble) = run::run(&mut install) {
        eprintln!("No second reader of DXF: {trouble:#}");
        return None;
    }
    Some(folder)
}
