//! Takes the app's program apart: what is needed at once, and parts that load
//! when they are first used.
//!
//! `crate/studio/src/later.rs` says what belongs to a part. The linker leaves
//! its relocations in the program (`--emit-relocs`), by which the splitter finds
//! what only that part reaches. What two parts need and the rest doesn't becomes
//! a piece of its own; the small ones of these travel together. All pieces share
//! one memory and one table of functions; `parts.js` loads them.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, ensure};
use wasm_split_cli_support::Options;

use crate::assets;
use crate::budget::LATER;

/// What the program needs from the linker to be taken apart.
pub const LINKER: [&str; 2] = ["-C", "link-arg=--emit-relocs"];

/// Loads the parts; wasm-bindgen's JavaScript imports it.
const LOADER: &str = "parts.js";

/// Pieces that several parts need and that are shorter than this travel in one
/// file: asking for each by itself takes longer than fetching all.
const SMALL_BYTES: usize = 8_000;

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
    let shared = format!("{LATER}shared.{mark}.bin");
    let mut files = BTreeMap::new();
    let mut names = BTreeMap::new();
    let mut together = Vec::new();
    for path in &made.split_modules {
        let written = file_name(path)?;
        let piece = small(&assets::read(path)?)?;
        if is_shared(&written) && piece.len() < SMALL_BYTES {
            let from = together.len();
            together.extend_from_slice(&piece);
            let fetching = format!("piece({from}, {})", together.len());
            loading = replaced(&loading, &fetcher(&written), &fetching)?;
            names.insert(written, shared.clone());
        } else {
            let name = served_as(&written, mark);
            let (before, after) = (address(&written), address(&name));
            loading = replaced(&loading, &before, &after)?;
            files.insert(name.clone(), piece);
            names.insert(written, name);
        }
    }
    if !together.is_empty() {
        loading.push_str(&PIECE.replace("SHARED", &shared));
        files.insert(shared, together);
    }
    files.insert(LOADER.to_owned(), loading.into_bytes());

    let parts = made.prefetch_map.into_iter().map(|(part, needs)| {
        let needs = needs
            .iter()
            .filter_map(|stem| names.get(&format!("{stem}.wasm")));
        let needs: BTreeSet<String> = needs.cloned().collect();
        (part, needs.into_iter().collect())
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

/// The splitter's name for a piece that belongs to no part alone.
fn is_shared(written: &str) -> bool {
    written.starts_with("chunk_")
}

fn address(name: &str) -> String {
    format!("\"./{name}\"")
}

/// How the splitter's loader fetches a piece.
fn fetcher(written: &str) -> String {
    format!(
        "() => {{
    const src = fetch(new URL({}, import.meta.url));
    src.catch(() => {{}});
    return async (imports) => (WebAssembly.instantiateStreaming(src, imports));
}}
",
        address(written)
    )
}

/// The same for a piece out of the file that holds the small ones. What could
/// not be fetched is fetched anew at the next try.
const PIECE: &str = r#"
let together;
function piece(from, to) {
    return () => {
        together ??= fetch(new URL("./SHARED", import.meta.url)).then((answer) => {
            if (!answer.ok) throw new Error(`${answer.url}: ${answer.status}`);
            return answer.arrayBuffer();
        });
        const all = together;
        all.catch(() => { if (together === all) together = undefined; });
        return async (imports) => WebAssembly.instantiate((await all).slice(from, to), imports);
    };
}
"#;

/// The loader with something in it replaced, which must be there once.
fn replaced(loading: &str, before: &str, after: &str) -> Result<String> {
    ensure!(
        loading.matches(before).count() == 1,
        "{LOADER} is not as expected: it should hold once\n{before}"
    );
    Ok(loading.replacen(before, after, 1))
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
    fn the_loader_looks_where_a_part_is_served() {
        let loading = format!(
            "const part = makeLoad({}, []);",
            fetcher("split_paper.wasm")
        );
        let (before, after) = (
            address("split_paper.wasm"),
            address("later/paper.3f9a.wasm"),
        );
        let moved = replaced(&loading, &before, &after).unwrap();
        assert!(moved.contains(r#"fetch(new URL("./later/paper.3f9a.wasm", import.meta.url))"#));
        assert!(replaced(&loading, &address("split_files.wasm"), &after).is_err());
    }

    #[test]
    fn only_what_belongs_to_several_parts_may_travel_with_others() {
        assert!(is_shared("chunk_12.wasm"));
        assert!(!is_shared("split_chunk.wasm"));
    }
}
