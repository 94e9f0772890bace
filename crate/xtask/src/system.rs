//! What the operating system has, and what its package manager can add.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, bail};

use crate::run;

/// The first of `names` that PATH has.
pub fn find_program(names: &[&str]) -> Option<PathBuf> {
    names.iter().find_map(|name| which::which(name).ok())
}

/// Debian and its descendants: apt can be asked.
pub fn has_apt() -> bool {
    Path::new("/etc/debian_version").exists() && find_program(&["apt-get"]).is_some()
}

/// Root needs no sandbox exceptions elsewhere; browsers insist on knowing.
pub fn is_root() -> bool {
    cfg!(unix) && run::output(Command::new("id").arg("-u")).is_ok_and(|answer| answer.trim() == "0")
}

/// Installs Debian packages, without those that are merely recommended.
///
/// # Errors
/// With the line to type, where this is no Debian or we may not install.
pub fn apt_install(packages: &[&str]) -> Result<()> {
    let line = format!(
        "apt-get install --no-install-recommends {}",
        packages.join(" ")
    );
    if !has_apt() {
        bail!("this system has no apt");
    }
    let as_root = is_root();
    if !as_root && !run::succeeds(Command::new("sudo").args(["-n", "true"])) {
        bail!("installing needs the system administrator: run `sudo {line}` and start again");
    }
    let apt = |arguments: &[&str]| {
        let mut command = if as_root {
            Command::new("apt-get")
        } else {
            let mut command = Command::new("sudo");
            command.args(["-n", "apt-get"]);
            command
        };
        command
            .args(["-q", "-y", "-o", "Dpkg::Use-Pty=0"])
            .args(arguments)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .stdout(std::io::stderr());
        command
    };
    eprintln!("Installing {} ...", packages.join(", "));
    // A stale list is no reason to stop: what we need may be in it.
    if let Err(trouble) = run::run(apt(&["update"]).stdout(std::process::Stdio::null())) {
        eprintln!("{trouble}");
    }
    run::run(apt(&["install", "--no-install-recommends"]).args(packages))
}

/// Whether all of `packages` are installed.
pub fn has_packages(packages: &[&str]) -> bool {
    packages.iter().all(|package| {
        let mut query = Command::new("dpkg-query");
        query.args(["-W", "-f=${db:Status-Status}", package]);
        query
            .output()
            .is_ok_and(|answer| answer.status.success() && answer.stdout == b"installed")
    })
}

/// The linker that belongs to the LLVM of `package`, such as `lld-22`.
pub fn matching_linker(package: &str) -> Option<String> {
    let answer = run::output(Command::new("apt-cache").args(["depends", package])).ok()?;
    linker_in(&answer)
}

/// Some releases name the linker itself, others only the LLVM it comes with.
fn linker_in(depends: &str) -> Option<String> {
    let names = || {
        depends
            .lines()
            .filter_map(|line| line.trim().split(": ").nth(1))
    };
    let versioned = |start: &'static str| {
        names()
            .filter_map(move |name| name.strip_prefix(start))
            .find(|version| version.parse::<u32>().is_ok())
    };
    versioned("lld-")
        .or_else(|| versioned("llvm-"))
        .map(|version| format!("lld-{version}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_linker_is_read_from_what_apt_says() {
        let named =
            "rust-web-llvm\n  Depends: libc6\n |Depends: llvm-22-dev\n  Recommends: lld-22\n";
        assert_eq!(linker_in(named), Some("lld-22".to_owned()));
        let implied = "rust-web-llvm\n  Depends: libgcc-s1\n  Depends: llvm-22\n";
        assert_eq!(linker_in(implied), Some("lld-22".to_owned()));
        assert_eq!(linker_in("rust-web-llvm\n  Depends: libc6\n"), None);
    }
}
