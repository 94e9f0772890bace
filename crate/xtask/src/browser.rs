//! A browser, its driver, and the tests that run inside it.

use std::env;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result};
use serde_json::json;

use crate::place::Place;
use crate::wasm::Toolchain;
use crate::{assets, cargo, run, system};

const BROWSERS: [&str; 5] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
];

const DRIVERS: [&str; 2] = ["chromedriver", "chromium.chromedriver"];

/// Quiet, without a window, and without calling home.
const FLAGS: [&str; 7] = [
    "--headless=new",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-dev-shm-usage",
];

/// A Chromium and the driver that goes with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Browser {
    browser: PathBuf,
    driver: PathBuf,
}

impl Browser {
    /// Takes `CHROMIUM` and `CHROMEDRIVER` where they are set, then what PATH
    /// has, then what apt can give.
    ///
    /// # Errors
    /// When there is none: says what to do.
    pub fn get(_place: &Place) -> Result<Self> {
        if let Some(found) = Self::find() {
            return Ok(found);
        }
        system::apt_install(&["chromium", "chromium-driver"])
            .and_then(|()| Self::find().context("apt installed no usable browser"))
            .context("The browser tests need Chromium and ChromeDriver of one version: install both, and set CHROMIUM and CHROMEDRIVER where they are not in PATH")
    }

    fn find() -> Option<Self> {
        let named = |variable: &str, names: &[&str]| {
            env::var_os(variable)
                .filter(|path| !path.is_empty())
                .map(PathBuf::from)
                .or_else(|| system::find_program(names))
        };
        Some(Self {
            browser: named("CHROMIUM", &BROWSERS)?,
            driver: named("CHROMEDRIVER", &DRIVERS)?,
        })
    }

    /// Tells `command` where browser and driver are.
    pub fn announce(&self, command: &mut Command) {
        command
            .env("CHROMIUM", &self.browser)
            .env("CHROMEDRIVER", &self.driver);
    }
}

/// Runs the tests of `packages` inside the browser.
pub fn run_tests(place: &Place, packages: &[&str], arguments: &[&str]) -> Result<()> {
    if packages.is_empty() {
        eprintln!("Nothing runs in the browser by itself yet.");
        return Ok(());
    }
    let toolchain = Toolchain::get(place)?;
    let browser = Browser::get(place)?;
    let runner = runner(place)?;
    let settings = place.tools().join("webdriver.json");
    assets::write(
        &settings,
        capabilities(&browser, system::is_root()).as_bytes(),
    )?;

    let mut tests = toolchain.cargo(place, "test");
    browser.announce(&mut tests);
    tests
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", runner)
        .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", settings)
        .env("WASM_BINDGEN_TEST_ONLY_WEB", "1");
    for package in packages {
        tests.args(["--package", package]);
    }
    run::run(tests.arg("--no-fail-fast").args(arguments))
}

/// What the driver is asked for. Root may not use Chromium's sandbox.
fn capabilities(browser: &Browser, as_root: bool) -> String {
    let mut flags = FLAGS.to_vec();
    if as_root {
        flags.push("--no-sandbox");
    }
    json!({ "goog:chromeOptions": { "args": flags, "binary": browser.browser } }).to_string()
}

/// wasm-bindgen's test runner, of the very version the crates were built with.
fn runner(place: &Place) -> Result<PathBuf> {
    let lock = std::fs::read_to_string(place.root.join("Cargo.lock"))?;
    let version = cargo::locked_version(&lock, "wasm-bindgen")?;
    let root = place.tools().join(format!("wasm-bindgen-{version}"));
    let runner = root.join("bin").join(format!(
        "wasm-bindgen-test-runner{}",
        env::consts::EXE_SUFFIX
    ));
    if !runner.is_file() {
        eprintln!("Building wasm-bindgen's test runner {version} ...");
        // The lock file it ships with names versions that were withdrawn; its
        // default features are for drivers far away, reached over TLS.
        run::run(
            cargo::at(place)
                .args(["install", "--quiet", "wasm-bindgen-cli", "--version"])
                .arg(format!("={version}"))
                .args(["--no-default-features", "--root"])
                .arg(&root)
                .arg("--target-dir")
                .arg(place.tools().join("build"))
                // It runs for seconds; more optimising takes minutes.
                .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "1"),
        )
        .context(
            "wasm-bindgen's test runner can't be had. It needs the network once: go online and start again",
        )?;
    }
    Ok(runner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_root_goes_without_the_sandbox() {
        let browser = Browser {
            browser: PathBuf::from("/somewhere/chromium"),
            driver: PathBuf::from("/somewhere/chromedriver"),
        };
        assert!(capabilities(&browser, true).contains("--no-sandbox"));
        let person = capabilities(&browser, false);
        assert!(!person.contains("--no-sandbox"));
        assert!(person.contains("/somewhere/chromium") && person.contains("--headless=new"));
    }
}
