//! Gathers the texts of the folder `texts`: a file more is a language more.

use std::fmt::Write;
use std::fs;
use std::io::{Error, Result};
use std::path::Path;

fn main() -> Result<()> {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=texts");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("texts");
    let mut files = fs::read_dir(&folder)?
        .map(|entry| Ok(entry?.path()))
        .collect::<Result<Vec<_>>>()?;
    files.retain(|file| file.extension().is_some_and(|e| e == "json"));
    files.sort();
    let mut list = String::from("[\n");
    for file in files {
        println!("cargo::rerun-if-changed={}", file.display());
        let path = file.display().to_string();
        writeln!(list, "    include_str!({path:?}),").map_err(Error::other)?;
    }
    list.push(']');
    let out = std::env::var_os("OUT_DIR")
        .ok_or_else(|| Error::other("cargo says no folder for what is built"))?;
    fs::write(Path::new(&out).join("texts.rs"), list)
}
