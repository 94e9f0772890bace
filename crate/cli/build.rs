//! Puts the built app into the program: the folder named by `OPHRYON_ASSETS`,
//! or `www` in cargo's target folder, where `cargo xtask build` leaves it. With
//! neither, the program carries no app and says so when asked to serve it.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::{env, io};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-env-changed=OPHRYON_ASSETS");
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("cargo sets OUT_DIR")?);
    let files = match env::var_os("OPHRYON_ASSETS").filter(|named| !named.is_empty()) {
        Some(named) => {
            let folder = PathBuf::from(named);
            println!("cargo::rerun-if-changed={}", folder.display());
            files_below(&folder)
                .map_err(|error| format!("OPHRYON_ASSETS, {}: {error}", folder.display()))?
        }
        None => match target_folder(&out) {
            Some(target) => {
                let folder = target.join("www");
                // Cargo runs us at every build while a watched path is missing.
                fs::create_dir_all(&folder)?;
                println!("cargo::rerun-if-changed={}", folder.display());
                files_below(&folder)?
            }
            None => BTreeMap::new(),
        },
    };
    // Included from a copy: the app's folder may be replaced while we compile.
    let copy = out.join("app");
    fs::create_dir_all(&copy)?;
    let mut source = String::from("&[\n");
    for (index, (name, path)) in files.iter().enumerate() {
        let own = copy.join(index.to_string());
        fs::copy(path, &own)?;
        writeln!(source, "    ({name:?}, include_bytes!({own:?})),")?;
    }
    source.push_str("]\n");
    fs::write(out.join("app.rs"), source)?;
    Ok(())
}

/// Cargo leaves this file at the top of its target folder.
fn target_folder(out: &Path) -> Option<PathBuf> {
    out.ancestors()
        .find(|folder| folder.join(".rustc_info.json").exists())
        .map(Path::to_owned)
}

/// Every file below `folder` by its name with `/`.
fn files_below(folder: &Path) -> io::Result<BTreeMap<String, PathBuf>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![(String::new(), folder.to_owned())];
    while let Some((before, folder)) = folders.pop() {
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
                continue;
            };
            if name.starts_with('.') {
                continue;
            }
            // Letters of other scripts are in the program already, for its own PDF.
            if path.is_dir() {
                if before.is_empty() && name == "fonts" {
                    continue;
                }
                folders.push((format!("{before}{name}/"), path));
            } else {
                found.insert(format!("{before}{name}"), path);
            }
        }
    }
    Ok(found)
}
