//! The compiler for WebAssembly: rustup's, or Debian's where rustup has none.
//!
//! Everything native stays with the cargo that runs us.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use anyhow::{Context, Result, anyhow};

use crate::place::Place;
use crate::{cargo, run, system};

/// The target of everything that runs in the browser.
pub const TARGET: &str = "wasm32-unknown-unknown";

/// A server out of reach is given up after this long; the standard library of
/// the target is a 20 MB download.
const RUSTUP_PATIENCE: Duration = Duration::from_secs(180);

/// Debian's compiler that can make WebAssembly, without its linker, whose
/// package name holds a version.
const DEBIAN_PACKAGES: [&str; 4] = ["rustc-web", "cargo-web", "rust-web-src", "rust-web-llvm"];

/// Debian's own programs lie here, whatever PATH says.
const DEBIAN_PROGRAMS: &str = "/usr/bin";

/// Which compiler makes WebAssembly on this machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toolchain {
    /// The one that runs us has the target's standard library.
    Own,
    /// Debian's, which builds the standard library from its source.
    Debian,
}

impl Toolchain {
    /// Finds a compiler for WebAssembly, and fetches one where there is none.
    ///
    /// # Errors
    /// When neither rustup nor Debian can give one: says what to do.
    pub fn get(place: &Place) -> Result<Self> {
        if own_has_target(place)? {
            return Ok(Self::Own);
        }
        // Remembered, so that the next start doesn't wait for a server that
        // was out of reach at the first.
        let remembered = place.target.join("wasm-by-debian");
        if remembered.exists() && debian_is_ready() {
            return Ok(Self::Debian);
        }
        let refused = match add_target() {
            Ok(()) => return Ok(Self::Own),
            Err(trouble) => trouble,
        };
        if !system::has_apt() {
            return Err(refused.context(format!(
                "The WebAssembly target can't be had. Go online and run `rustup target add {TARGET}`, then start again."
            )));
        }
        eprintln!("{refused:#}\nDebian's compiler is used for the browser part instead.");
        install_debian().context(
            "The WebAssembly compiler can't be had: rustup's server is out of reach, and apt could not install Debian's.",
        )?;
        fs::create_dir_all(&place.target)?;
        fs::write(&remembered, "rustup had no wasm32-unknown-unknown\n")?;
        Ok(Self::Debian)
    }

    /// `cargo VERB --target wasm32-unknown-unknown`, to which the caller adds the rest.
    pub fn cargo(self, place: &Place, verb: &str) -> Command {
        let mut command = match self {
            Self::Own => cargo::at(place),
            Self::Debian => debian_cargo(place),
        };
        command.args([verb, "--target", TARGET]);
        if self == Self::Debian {
            command.args(["-Z", "build-std=std,panic_abort"]);
        }
        command
    }
}

fn own_has_target(place: &Place) -> Result<bool> {
    let mut ask = Command::new("rustc");
    ask.args(["--print", "sysroot"]).current_dir(&place.root);
    let sysroot = PathBuf::from(run::output(&mut ask)?.trim());
    Ok(sysroot
        .join("lib/rustlib")
        .join(TARGET)
        .join("lib")
        .is_dir())
}

fn add_target() -> Result<()> {
    eprintln!("Adding the WebAssembly target ...");
    run::run_within(
        Command::new("rustup").args(["target", "add", TARGET]),
        RUSTUP_PATIENCE,
    )
}

fn debian_is_ready() -> bool {
    system::has_packages(&DEBIAN_PACKAGES)
        && system::matching_linker("rust-web-llvm")
            .is_some_and(|linker| system::has_packages(&[&linker]))
}

fn install_debian() -> Result<()> {
    system::apt_install(&DEBIAN_PACKAGES)?;
    let linker = system::matching_linker("rust-web-llvm")
        .ok_or_else(|| anyhow!("apt does not say which linker belongs to rust-web-llvm"))?;
    system::apt_install(&[&linker])
}

fn debian_cargo(place: &Place) -> Command {
    let programs = Path::new(DEBIAN_PROGRAMS);
    let mut path = vec![programs.to_owned()];
    path.extend(std::env::split_paths(
        &std::env::var_os("PATH").unwrap_or_default(),
    ));
    let mut command = Command::new(programs.join("cargo"));
    cargo::forget_own_package(&mut command);
    command
        .current_dir(&place.root)
        // Splitting PATH and joining it again fails only on a name that PATH could not hold.
        .env("PATH", std::env::join_paths(path).unwrap_or_default())
        .env("RUSTC", programs.join("rustc"))
        .env("RUSTDOC", programs.join("rustdoc"))
        .env_remove("RUSTUP_TOOLCHAIN")
        // Building the standard library is not stable yet; this compiler's source comes with it.
        .env("RUSTC_BOOTSTRAP", "1");
    command
}
