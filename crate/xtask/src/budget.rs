//! What travels when: the first load, which a browser fetches before the
//! drawing screen works, and the parts that are fetched when they are first
//! used.

use std::fmt;

use anyhow::{Result, bail};

use crate::assets::{File, List};

/// Three seconds of a poor connection (about 100 kB/s); after that the app
/// comes from the service worker's cache.
pub const FIRST_LOAD_BYTES: u64 = 300_000;

/// The same three seconds for a part, where somebody asks for it before it came
/// by itself.
pub const PART_BYTES: u64 = 300_000;

/// The part that writes PDF brings along the letters that go into one, 700 kB of
/// them. It is fetched only when such a file is saved, and a word is shown
/// while it comes.
pub const PRESS: &str = "press";

/// What that part may take: nine seconds of a poor connection, once.
pub const PRESS_BYTES: u64 = 900_000;

/// The part that keeps clients. It is fetched at once beside the first screen,
/// before any other; what it brings along is there when another one is asked
/// for.
pub const AT_ONCE: &str = "files";

/// What a part may take.
fn allowed(part: &str) -> u64 {
    if part == PRESS {
        PRESS_BYTES
    } else {
        PART_BYTES
    }
}

/// Files of this folder load when first used, and don't count.
pub const LATER: &str = "later/";

/// Kinds of file that a first load consists of. Icons are fetched on the side.
const COUNTED: [&str; 5] = ["html", "css", "js", "mjs", "wasm"];

/// The compressed sizes of what travels, in bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// The first load as browsers take it: Brotli where there is a copy.
    first: u64,
    /// As a host without Brotli sends it. Told, not judged.
    gzipped: u64,
    /// Each part with all that it brings along; without what came with the one
    /// that is fetched at once.
    parts: Vec<(String, u64)>,
}

impl Load {
    pub fn of(list: &List) -> Self {
        let counted = || {
            list.files.iter().filter(|file| {
                let kind = file.name.rsplit_once('.').map_or("", |(_, kind)| kind);
                COUNTED.contains(&kind) && !file.name.starts_with(LATER)
            })
        };
        let size = |name: &String| {
            let file = list.files.iter().find(|file| file.name == *name);
            file.map_or(0, File::transferred)
        };
        let parts = list.parts.iter();
        let at_once = list.parts.get(AT_ONCE).map_or(&[][..], Vec::as_slice);
        let brings = |part: &str, files: &[String]| {
            let is_new = |file: &&String| part == AT_ONCE || !at_once.contains(*file);
            files.iter().filter(is_new).map(size).sum()
        };
        Self {
            first: counted().map(File::transferred).sum(),
            gzipped: counted().map(File::gzipped).sum(),
            parts: parts
                .map(|(part, files)| (part.clone(), brings(part, files)))
                .collect(),
        }
    }

    /// # Errors
    /// When the first load is over [`FIRST_LOAD_BYTES`], or a part over what it
    /// may take: says by how much.
    pub fn check(&self) -> Result<()> {
        if self.first > FIRST_LOAD_BYTES {
            bail!(
                "{self}\nThe first load is {} too much. Let what isn't needed to draw come later: see crate/studio/src/later.rs.",
                kilobytes(self.first - FIRST_LOAD_BYTES)
            );
        }
        for (part, bytes) in &self.parts {
            if *bytes > allowed(part) {
                bail!(
                    "{self}\nThe part “{part}” is {} too much. Make two of it.",
                    kilobytes(bytes - allowed(part))
                );
            }
        }
        Ok(())
    }
}

fn kilobytes(bytes: u64) -> String {
    format!("{:.1} kB", bytes as f64 / 1000.0)
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "First load {} compressed, of {} kB allowed ({} where only gzip is taken).",
            kilobytes(self.first),
            FIRST_LOAD_BYTES / 1000,
            kilobytes(self.gzipped)
        )?;
        for (part, bytes) in &self.parts {
            write!(
                f,
                "\nLater, {part}: {}, of {} kB.",
                kilobytes(*bytes),
                allowed(part) / 1000
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(files: &[(&str, u64, Option<u64>)], parts: &[(&str, &[&str])]) -> List {
        let files = files.iter().map(|&(name, bytes, gzip_bytes)| File {
            name: name.to_owned(),
            bytes,
            gzip_bytes,
            brotli_bytes: gzip_bytes.map(|bytes| bytes * 4 / 5),
            sha256: String::new(),
        });
        let parts = parts.iter().map(|(part, files)| {
            let files = files.iter().map(|&name| name.to_owned());
            ((*part).to_owned(), files.collect())
        });
        List {
            version: String::new(),
            files: files.collect(),
            parts: parts.collect(),
        }
    }

    #[test]
    fn counted_is_what_travels_before_the_screen_works() {
        let load = Load::of(&list(
            &[
                ("index.html", 900, Some(400)),
                ("ophryon_bg.wasm", 700_000, Some(250_000)),
                ("tiny.js", 20, None),
                ("icons/brow.png", 50_000, None),
                ("later/paper.wasm", 400_000, Some(200_000)),
            ],
            &[("paper", &["later/paper.wasm"])],
        ));
        assert_eq!(load.first, 200_340);
        assert_eq!(load.gzipped, 250_420);
        assert_eq!(load.parts, [("paper".to_owned(), 160_000)]);
        assert!(load.check().is_ok());
    }

    #[test]
    fn a_first_load_over_the_budget_fails_and_says_by_how_much() {
        let at = Load::of(&list(&[("a.wasm", 900_000, Some(375_000))], &[]));
        assert!(at.check().is_ok());
        let over = Load::of(&list(&[("a.wasm", 900_000, Some(376_875))], &[]));
        assert!(
            over.check()
                .unwrap_err()
                .to_string()
                .contains("1.5 kB too much")
        );
    }

    #[test]
    fn what_came_at_once_is_not_counted_twice() {
        let files = [
            ("later/files.wasm", 800_000, Some(100_000)),
            ("later/shared.bin", 800_000, Some(100_000)),
            ("later/show.wasm", 800_000, Some(50_000)),
        ];
        let load = Load::of(&list(
            &files,
            &[
                ("files", &["later/files.wasm", "later/shared.bin"]),
                ("show", &["later/shared.bin", "later/show.wasm"]),
            ],
        ));
        assert_eq!(
            load.parts,
            [("files".to_owned(), 160_000), ("show".to_owned(), 40_000)]
        );
    }

    #[test]
    fn a_part_counts_with_all_that_it_brings_along() {
        let files = [
            ("later/show.wasm", 800_000, Some(250_000)),
            ("later/chunk_3.wasm", 300_000, Some(150_000)),
        ];
        let alone = list(&files, &[("show", &["later/show.wasm"])]);
        assert!(Load::of(&alone).check().is_ok());
        let both: &[&str] = &["later/chunk_3.wasm", "later/show.wasm"];
        let trouble = Load::of(&list(&files, &[("show", both)])).check();
        let said = trouble.unwrap_err().to_string();
        assert!(said.contains("“show” is 20.0 kB too much"), "{said}");
        // With the letters of a PDF it may be larger, and not as large as one likes.
        let press = Load::of(&list(&files, &[("press", both)]));
        assert!(press.check().is_ok());
        let files = [("later/press.wasm", 3_000_000, Some(1_130_000))];
        let press = Load::of(&list(&files, &[("press", &["later/press.wasm"])]));
        assert!(
            press
                .check()
                .unwrap_err()
                .to_string()
                .contains("4.0 kB too much")
        );
    }
}
