//! Calling cargo from inside cargo.

use std::env;
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};
use serde::Deserialize;

use crate::place::Place;
use crate::run;

/// The cargo that runs us, without what it told us about our own package:
/// build scripts that watch those variables would run again each time.
pub fn command() -> Command {
    let program = env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo"));
    let mut command = Command::new(program);
    forget_own_package(&mut command);
    command
}

/// [`command`], run at the top of the repository.
pub fn at(place: &Place) -> Command {
    let mut command = command();
    command.current_dir(&place.root);
    command
}

/// Removes the variables that `cargo run` sets for the program it starts.
pub fn forget_own_package(command: &mut Command) {
    for (name, _) in env::vars_os() {
        if is_own_package(&name) {
            command.env_remove(name);
        }
    }
}

fn is_own_package(name: &OsStr) -> bool {
    let name = name.to_string_lossy();
    ["CARGO_PKG_", "CARGO_MANIFEST_", "CARGO_BIN_"]
        .iter()
        .any(|start| name.starts_with(start))
        || matches!(
            name.as_ref(),
            "CARGO" | "CARGO_CRATE_NAME" | "CARGO_PRIMARY_PACKAGE" | "OUT_DIR"
        )
}

/// What a build made, as far as we use it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Artifact {
    target: Target,
    filenames: Vec<PathBuf>,
    executable: Option<PathBuf>,
    profile: Profile,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
struct Target {
    name: String,
    kind: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
struct Profile {
    test: bool,
}

/// Runs a cargo command that builds, and lists what it made.
pub fn artifacts(command: &mut Command) -> Result<Vec<Artifact>> {
    artifacts_told(command, &[])
}

/// The same for `cargo rustc`, with words for the compiler of the last crate.
pub fn artifacts_told(command: &mut Command, compiler: &[&str]) -> Result<Vec<Artifact>> {
    let json = command
        .arg("--message-format=json-render-diagnostics")
        .stdin(Stdio::null());
    if !compiler.is_empty() {
        json.arg("--").args(compiler);
    }
    Ok(read_artifacts(&run::output(json)?))
}

/// Cargo's messages are one JSON object a line; other lines are passed over.
fn read_artifacts(messages: &str) -> Vec<Artifact> {
    #[derive(Deserialize)]
    #[serde(tag = "reason", rename_all = "kebab-case")]
    enum Message {
        CompilerArtifact(Artifact),
        #[serde(other)]
        Other,
    }
    messages
        .lines()
        .filter_map(|line| match serde_json::from_str(line) {
            Ok(Message::CompilerArtifact(artifact)) => Some(artifact),
            Ok(Message::Other) | Err(_) => None,
        })
        .collect()
}

/// The program `name` among `artifacts`; a test of the same name is not it.
pub fn program(artifacts: &[Artifact], name: &str) -> Option<PathBuf> {
    artifacts
        .iter()
        .filter(|made| !made.profile.test && made.target.name == name)
        .filter(|made| made.target.kind.iter().any(|kind| kind == "bin"))
        .find_map(|made| made.executable.clone())
}

/// The WebAssembly of the program or crate called `name` (either spelling); the
/// program, where there are both.
pub fn wasm(artifacts: &[Artifact], name: &str) -> Option<PathBuf> {
    let mut named: Vec<_> = artifacts
        .iter()
        .filter(|made| made.target.name.replace('-', "_") == name.replace('-', "_"))
        .collect();
    named.sort_by_key(|made| !made.target.kind.iter().any(|kind| kind == "bin"));
    named
        .into_iter()
        .flat_map(|made| &made.filenames)
        .find(|file| file.extension() == Some(OsStr::new("wasm")))
        .cloned()
}

/// Builds one program and says where it is.
pub fn build_program(place: &Place, name: &str, arguments: &[&str]) -> Result<PathBuf> {
    let made = artifacts(at(place).arg("build").args(arguments))?;
    program(&made, name).with_context(|| format!("cargo built no program called `{name}`."))
}

/// The version that Cargo.lock holds for `package`.
pub fn locked_version(lock: &str, package: &str) -> Result<String> {
    let mut versions = lock
        .split("[[package]]")
        .filter(|entry| field(entry, "name").as_deref() == Some(package))
        .filter_map(|entry| field(entry, "version"));
    match (versions.next(), versions.next()) {
        (Some(version), None) => Ok(version),
        (None, _) => bail!("Cargo.lock holds no `{package}`."),
        (Some(one), Some(other)) => {
            bail!("Cargo.lock holds two versions of `{package}` ({one} and {other}); keep one.")
        }
    }
}

fn field(entry: &str, name: &str) -> Option<String> {
    entry.lines().find_map(|line| {
        let (key, value) = line.split_once(" = ")?;
        (key == name).then(|| value.trim_matches('"').to_owned())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOCK: &str = r#"version = 4

[[package]]
name = "wasm-bindgen-shared"
version = "9.9.9"

[[package]]
name = "wasm-bindgen"
version = "0.2.130"
dependencies = [
 "wasm-bindgen-shared",
]

[[package]]
name = "twice"
version = "1.0.0"

[[package]]
name = "twice"
version = "2.0.0"
"#;

    #[test]
    fn the_locked_version_is_that_of_the_very_package() {
        assert_eq!(locked_version(LOCK, "wasm-bindgen").unwrap(), "0.2.130");
    }

    #[test]
    fn no_version_or_two_is_an_error() {
        assert!(locked_version(LOCK, "wasm").is_err());
        let trouble = locked_version(LOCK, "twice").unwrap_err().to_string();
        assert!(trouble.contains("1.0.0") && trouble.contains("2.0.0"));
    }

    #[test]
    fn the_program_is_told_from_its_test_and_from_noise() {
        let messages = r#"
warning: not JSON
{"reason":"build-script-executed","package_id":"x"}
{"reason":"compiler-artifact","target":{"name":"ophryon","kind":["bin"]},"profile":{"test":true},"filenames":["/t/deps/ophryon-1"],"executable":"/t/deps/ophryon-1"}
{"reason":"compiler-artifact","target":{"name":"ophryon","kind":["bin"]},"profile":{"test":false},"filenames":["/t/ophryon"],"executable":"/t/ophryon"}
{"reason":"compiler-artifact","target":{"name":"ophryon_studio","kind":["cdylib","rlib"]},"profile":{"test":false},"filenames":["/t/ophryon_studio.wasm","/t/libophryon_studio.rlib"],"executable":null}
{"reason":"build-finished","success":true}"#;
        let made = read_artifacts(messages);
        assert_eq!(program(&made, "ophryon"), Some(PathBuf::from("/t/ophryon")));
        assert_eq!(
            wasm(&made, "ophryon-studio"),
            Some(PathBuf::from("/t/ophryon_studio.wasm"))
        );
        assert_eq!(program(&made, "other"), None);
    }

    #[test]
    fn only_what_cargo_says_of_this_package_is_forgotten() {
        assert!(is_own_package(OsStr::new("CARGO_PKG_NAME")));
        assert!(is_own_package(OsStr::new("CARGO_MANIFEST_DIR")));
        assert!(!is_own_package(OsStr::new("CARGO_TARGET_DIR")));
        assert!(!is_own_package(OsStr::new("CARGO_HOME")));
    }
}
