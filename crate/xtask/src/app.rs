//! Builds the app into `target/www`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use wasm_bindgen_cli_support::Bindgen;

use crate::assets::{self, List};
use crate::budget::{LATER, Load};
use crate::cargo;
use crate::place::Place;
use crate::split::{self, Split};
use crate::stamp::{Inputs, Stamp};
use crate::wasm::Toolchain;

/// The crate that is the app.
const STUDIO: &str = "ophryon-studio";

/// The app's JavaScript is `ophryon.js`, its WebAssembly `ophryon_bg.wasm`.
const NAME: &str = "ophryon";

/// To be raised when the steps below change what they write.
const RECIPE: &str = "6";

/// Builds what has changed, and prints what travels when.
pub fn build(place: &Place) -> Result<Load> {
    let toolchain = Toolchain::get(place)?;
    let wasm = compile(place, toolchain)?;
    // Two builds at a time would write into each other's folder.
    let lock = fs::File::create(place.target.join("www.lock"))?;
    lock.lock().context("can't lock the app's folder")?;
    let list = assemble(place, &wasm)?;
    let load = Load::of(&list);
    eprintln!("{load}");
    Ok(load)
}

/// The app as WebAssembly, before wasm-bindgen. Cargo knows what is fresh.
fn compile(place: &Place, toolchain: Toolchain) -> Result<Vec<u8>> {
    // What the linker is told goes to this one program and makes nothing else
    // stale.
    let mut build = toolchain.cargo(place, "rustc");
    build.args(["--profile", "wasm", "--package", STUDIO, "--bin", STUDIO]);
    let made = cargo::artifacts_told(&mut build, &split::LINKER)?;
    let file = cargo::wasm(&made, STUDIO).with_context(|| {
        format!("{STUDIO} made no WebAssembly; it must be a program or a cdylib.")
    })?;
    assets::read(&file)
}

fn assemble(place: &Place, wasm: &[u8]) -> Result<List> {
    let folder = place.app();
    let mut pages = styles_later(assets::files_below(&place.root.join("www"))?)?;
    pages.extend(samples(&place.root.join("demo-data"))?);
    pages.extend(letters(&place.root.join("crate/stencil/fonts/scripts"))?);
    let lock = fs::read_to_string(place.root.join("Cargo.lock"))?;

    let mut inputs = Inputs::default();
    inputs.add("recipe", RECIPE.as_bytes());
    for tool in ["wasm-bindgen-cli-support", "wasm_split_cli_support"] {
        inputs.add(tool, cargo::locked_version(&lock, tool)?.as_bytes());
    }
    inputs.add("wasm", wasm);
    let program = inputs.fingerprint_so_far();
    for (name, path) in &pages {
        inputs.add(name, &assets::read(path)?);
    }
    let fingerprint = inputs.fingerprint();

    let stamp = Stamp::at(&place.target.join("www.stamp"));
    if stamp.holds(&fingerprint)
        && let Some(list) = assets::intact(&folder)
    {
        return Ok(list);
    }
    stamp.break_open()?;

    // Made beside the old folder and swapped at the end: a server that runs
    // meanwhile never shows half an app.
    let fresh = place.target.join("www.fresh");
    remove(&fresh)?;
    let apart = take_apart(wasm, &program, &place.target.join("www.parts"))?;
    bind(&apart.main, &fresh)?;
    for (name, bytes) in &apart.files {
        assets::write(&fresh.join(name), bytes)?;
    }
    for (name, path) in &pages {
        assets::write(&fresh.join(name), &assets::read(path)?)?;
    }
    let list = assets::finish(&fresh, apart.parts)?;
    swap(&fresh, &folder, &place.target.join("www.old"))?;
    stamp.set(&fingerprint)?;
    Ok(list)
}

/// Styles that the page doesn't name go where the parts are: `start.js` fetches
/// them beside the first screen, before anything that they are for.
fn styles_later(pages: BTreeMap<String, PathBuf>) -> Result<BTreeMap<String, PathBuf>> {
    let page = match pages.get("index.html") {
        Some(path) => String::from_utf8(assets::read(path)?)?,
        None => String::new(),
    };
    let named = |name: String| {
        let is_later = name.starts_with("styles/") && !page.contains(&name);
        if is_later {
            format!("{LATER}{name}")
        } else {
            name
        }
    };
    Ok(pages
        .into_iter()
        .map(|(name, path)| (named(name), path))
        .collect())
}

/// The invented clients as the app fetches them when a sample is asked for:
/// `demo/demo-even/client.json` and its photos.
fn samples(folder: &Path) -> Result<BTreeMap<String, PathBuf>> {
    let all = assets::files_below(folder)?;
    let clients: BTreeSet<String> = all
        .keys()
        .filter_map(|name| name.strip_suffix("/client.json"))
        .map(str::to_owned)
        .collect();
    let is_wanted = |name: &str| {
        name.rsplit_once('/').is_some_and(|(client, file)| {
            clients.contains(client) && (file == "client.json" || file.ends_with(".jpg"))
        })
    };
    Ok(all
        .into_iter()
        .filter(|(name, _)| is_wanted(name))
        .map(|(name, path)| (format!("demo/{name}"), path))
        .collect())
}

/// Letters of scripts that the app's own lack, as it fetches them when a PDF
/// needs them: `fonts/NotoSansThai-Regular.ttf`.
fn letters(folder: &Path) -> Result<BTreeMap<String, PathBuf>> {
    let all = assets::files_below(folder)?;
    let is_font = |name: &String| [".ttf", ".ttc"].iter().any(|ending| name.ends_with(ending));
    Ok(all
        .into_iter()
        .filter(|(name, _)| is_font(name))
        .map(|(name, path)| (format!("fonts/{name}"), path))
        .collect())
}

/// The program in parts, marked with the beginning of its fingerprint.
fn take_apart(wasm: &[u8], program: &str, scratch: &Path) -> Result<Split> {
    remove(scratch)?;
    fs::create_dir_all(scratch).with_context(|| format!("can't make {}", scratch.display()))?;
    let mark = program.get(..8).unwrap_or(program);
    let apart = split::split(wasm, &format!("{NAME}.js"), mark, scratch)?;
    remove(scratch)?;
    Ok(apart)
}

/// wasm-bindgen's part: JavaScript beside WebAssembly that knows it.
fn bind(wasm: &[u8], folder: &Path) -> Result<()> {
    Bindgen::new()
        .input_bytes(NAME, wasm.to_vec())
        .web(true)
        .and_then(|bindgen| {
            bindgen
                .typescript(false)
                // The table of functions, which the parts share.
                .keep_lld_exports(true)
                .remove_name_section(true)
                .remove_producers_section(true)
                .generate(folder)
        })
        .map_err(|trouble| {
            anyhow!("wasm-bindgen can't read the app: {trouble:#}. Cargo.toml must give wasm-bindgen and wasm-bindgen-cli-support the same version, and the app must do something.")
        })
}

fn swap(fresh: &Path, folder: &Path, old: &Path) -> Result<()> {
    remove(old)?;
    if folder.exists() {
        fs::rename(folder, old).with_context(|| {
            format!("can't replace {}; is it open elsewhere?", folder.display())
        })?;
    }
    fs::rename(fresh, folder).with_context(|| format!("can't write {}", folder.display()))?;
    remove(old)
}

fn remove(folder: &Path) -> Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(error).with_context(|| format!("can't remove {}", folder.display()))
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_the_clients_with_their_photos_and_nothing_else() {
        let top = tempfile::tempdir().unwrap();
        for name in [
            "one/client.json",
            "one/relaxed.jpg",
            "one/truth.json",
            "generator/src/lib.rs",
            "README.md",
        ] {
            assets::write(&top.path().join(name), b"x").unwrap();
        }
        let found = samples(top.path()).unwrap();
        let names: Vec<_> = found.keys().map(String::as_str).collect();
        assert_eq!(names, ["demo/one/client.json", "demo/one/relaxed.jpg"]);
    }

    #[test]
    fn the_fresh_folder_takes_the_place_of_the_old_one() {
        let top = tempfile::tempdir().unwrap();
        let [fresh, folder, old] =
            ["www.fresh", "www", "www.old"].map(|name| top.path().join(name));
        for round in ["first", "second"] {
            assets::write(&fresh.join(round), b"").unwrap();
            swap(&fresh, &folder, &old).unwrap();
            assert!(folder.join(round).exists());
            assert!(!fresh.exists() && !old.exists());
        }
        assert!(
            !folder.join("first").exists(),
            "nothing of the old app stays"
        );
    }
}
