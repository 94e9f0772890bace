//! Where the workspace and its build output lie.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use serde::Deserialize;

use crate::{cargo, run};

/// The folders every task works in.
#[derive(Debug, Clone, Deserialize)]
pub struct Place {
    /// Top of the repository.
    #[serde(rename = "workspace_root")]
    pub root: PathBuf,
    /// Build output, wherever the user's cargo settings put it.
    #[serde(rename = "target_directory")]
    pub target: PathBuf,
}

impl Place {
    /// Asks cargo, which knows about `CARGO_TARGET_DIR` and configuration files.
    pub fn find() -> Result<Self> {
        let mut ask = cargo::command();
        ask.args(["metadata", "--format-version", "1", "--no-deps"])
            .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")));
        let answer = run::output(&mut ask)?;
        serde_json::from_str(&answer).context("cargo's description of the workspace is unreadable")
    }

    /// The built app.
    pub fn app(&self) -> PathBuf {
        self.target.join("www")
    }

    /// Programs fetched for the tests.
    pub fn tools(&self) -> PathBuf {
        self.target.join("tools")
    }
}
