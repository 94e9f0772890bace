//! axe-core, the rules by which pages are tried for people with disabilities
//! (Deque, MPL-2.0). Fetched for the tests, never shipped.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, ensure};

use crate::place::Place;
use crate::stamp::sha256;
use crate::{run, system};

const VERSION: &str = "4.14.1";

/// SHA-256 of `axe.min.js` in it.
const SHA256: &str = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c";

/// The script, fetched from npm's registry at the first time.
///
/// # Errors
/// When it can't be had: says what to do.
pub fn get(place: &Place) -> Result<PathBuf> {
    let folder = place.tools().join(format!("axe-{VERSION}"));
    let script = folder.join("node_modules/axe-core/axe.min.js");
    if !script.is_file() {
        let npm = || system::find_program(&["npm"]);
        let npm = match npm() {
            Some(npm) => npm,
            None => {
                system::apt_install(&["npm"])?;
                npm().context("apt installed no usable npm")?
            }
        };
        let mut install = Command::new(npm);
        install
            .arg("install")
            .arg("--prefix")
            .arg(&folder)
            .args(["--no-save", "--no-package-lock", "--ignore-scripts"])
            .args(["--no-audit", "--no-fund", "--loglevel", "error"])
            .arg(format!("axe-core@{VERSION}"));
        run::run(&mut install).context(
            "axe-core can't be had. It needs the network once: go online and start again",
        )?;
    }
    let found = sha256(&fs::read(&script)?);
    ensure!(
        found == SHA256,
        "{} is not axe-core {VERSION} as published (SHA-256 {found}): delete it and start again",
        script.display()
    );
    Ok(script)
}
