//! Takes the app's program apart: what is needed at once, and parts that load
//! when they are first used.
//!
//! `crate/studio/src/later.rs` says what belongs to a part. The linker leaves
//! its relocations in the program (`--emit-relocs`), by which the splitter finds
//! what only that part reaches. All files share one memory and one table of
//! functions; `parts.js` loads them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use wasm_split_cli_support::Options;

use crate::assets;
use crate::budget::LATER;

/// What the program needs from the linker to be taken apart.
pub const LINKER: [&str; 2] = ["-C", "link-arg=--emit-relocs"];

/// Loads the parts; wasm-bindgen's JavaScript imports it.
const LOADER: &str = "parts.js";

/// Each part's name and the files it brings along; one of them may belong to
/// several parts.
pub type Parts = BTreeMap<String, Vec<String>>;

/// A program taken apart.
pub struct Split {
    /// What is needed at once, for wasm-bindgen.
    pub main: Vec<u8>,
    /// The rest, by name below the app's folder, ready to be served.
    pub files: BTreeMap<String, Vec<u8>>,
    /// Which part is in which files.
    pub parts: Parts,
}

/// Takes a program apart. `javascript` is the name of the file that
/// wasm-bindgen will write; `mark` stands in the names of the parts, so that
/// none is ever loaded into a program that it wasn't built with.
pub fn split(wasm: &[u8], javascript: &str, mark: &str, scratch: &Path) -> Result<Split> {
    let main = scratch.join("main.wasm");
    let loader = format!("./{LOADER}");
    let javascript = format!("./{javascript}");
    let mut options = Options::new(wasm);
    options.output_dir = scratch;
    options.main_out_path = &main;
    options.link_name = &loader;
    options.main_module = &javascript;
    let made = wasm_split_cli_support::transform(options)
        .map_err(|trouble| anyhow!("The app can't be taken apart: {trouble:?}"))?;

    let mut loading = fs::read_to_string(scratch.join(LOADER))
        .with_context(|| format!("the splitter wrote no {LOADER}"))?;
    let mut files = BTreeMap::new();
    let mut names = BTreeMap::new();
    for path in &made.split_modules {
        let written = file_name(path)?;
        let name = served_as(&written, mark);
        loading = pointed(&loading, &written, &name)?;
        files.insert(name.clone(), small(&assets::read(path)?)?);
        names.insert(written, name);
    }
    files.insert(LOADER.to_owned(), loading.into_bytes());

    let parts = made.prefetch_map.into_iter().map(|(part, needs)| {
        let needs = needs
            .iter()
            .filter_map(|stem| names.get(&format!("{stem}.wasm")));
        (part, needs.cloned().collect())
    });
    Ok(Split {
        main: assets::read(&main)?,
        files,
        parts: parts.collect(),
    })
}

fn file_name(path: &PathBuf) -> Result<String> {
    let name = path.file_name().and_then(|name| name.to_str());
    Ok(name
        .with_context(|| format!("{path:?} has no name"))?
        .to_owned())
}

/// `split_paper.wasm` is served as `later/paper.MARK.wasm`.
fn served_as(written: &str, mark: &str) -> String {
    let stem = written.strip_suffix(".wasm").unwrap_or(written);
    let stem = stem.strip_prefix("split_").unwrap_or(stem);
    format!("{LATER}{stem}.{mark}.wasm")
}

/// The loader with the address of a file changed.
fn pointed(loading: &str, written: &str, name: &str) -> Result<String> {
    let (before, after) = (format!("\"./{written}\""), format!("\"./{name}\""));
    if loading.matches(&before).count() != 1 {
        return Err(anyhow!(
            "{LOADER} does not load {written} in the one place expected"
        ));
    }
    Ok(loading.replacen(&before, &after, 1))
}

/// Written anew without names, and without the room that the linker left for
/// its relocations: a third as long.
fn small(wasm: &[u8]) -> Result<Vec<u8>> {
    let mut reader = walrus::ModuleConfig::new();
    reader
        .generate_name_section(false)
        .generate_producers_section(false);
    let mut module = reader.parse(wasm)?;
    walrus::passes::gc::run(&mut module);
    Ok(module.emit_wasm())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_served_under_its_name_and_the_mark_of_its_program() {
        assert_eq!(
            served_as("split_paper.wasm", "3f9a"),
            "later/paper.3f9a.wasm"
        );
        assert_eq!(served_as("chunk_2.wasm", "3f9a"), "later/chunk_2.3f9a.wasm");
    }

    #[test]
    fn the_loader_looks_where_the_part_is_served() {
        let loading = "fetch(new URL(\"./split_paper.wasm\", import.meta.url))";
        let name = "later/paper.3f9a.wasm";
        assert_eq!(
            pointed(loading, "split_paper.wasm", name).unwrap(),
            "fetch(new URL(\"./later/paper.3f9a.wasm\", import.meta.url))"
        );
        assert!(pointed(loading, "split_files.wasm", name).is_err());
    }
}
