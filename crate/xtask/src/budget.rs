//! The first load: what a browser fetches before the drawing screen works.

use std::fmt;

use anyhow::{Result, bail};

use crate::assets::{File, List};

/// Three seconds of a poor connection (about 100 kB/s); after that the app
/// comes from the service worker's cache.
pub const FIRST_LOAD_BYTES: u64 = 300_000;

/// Files of this folder load when first used, and don't count.
pub const LATER: &str = "later/";

/// Kinds of file that a first load consists of. Icons are fetched on the side.
const COUNTED: [&str; 5] = ["html", "css", "js", "mjs", "wasm"];

/// The compressed size of the first load, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstLoad {
    /// As browsers take it: Brotli where there is a copy.
    transferred: u64,
    /// As a host without Brotli sends it. Told, not judged.
    gzipped: u64,
}

impl FirstLoad {
    pub fn of(list: &List) -> Self {
        let counted = || {
            list.files.iter().filter(|file| {
                let kind = file.name.rsplit_once('.').map_or("", |(_, kind)| kind);
                COUNTED.contains(&kind) && !file.name.starts_with(LATER)
            })
        };
        Self {
            transferred: counted().map(File::transferred).sum(),
            gzipped: counted().map(File::gzipped).sum(),
        }
    }

    /// # Errors
    /// When the first load is over [`FIRST_LOAD_BYTES`]: says by how much.
    pub fn check(self) -> Result<()> {
        if self.transferred > FIRST_LOAD_BYTES {
            bail!(
                "{self}: {:.1} kB too much. Let what isn't needed to draw load from www/{LATER} when it is first used.",
                (self.transferred - FIRST_LOAD_BYTES) as f64 / 1000.0
            );
        }
        Ok(())
    }
}

impl fmt::Display for FirstLoad {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "First load {:.1} kB compressed, of {} kB allowed ({:.1} kB where only gzip is taken)",
            self.transferred as f64 / 1000.0,
            FIRST_LOAD_BYTES / 1000,
            self.gzipped as f64 / 1000.0
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(files: &[(&str, u64, Option<u64>)]) -> List {
        let files = files.iter().map(|&(name, bytes, gzip_bytes)| File {
            name: name.to_owned(),
            bytes,
            gzip_bytes,
            brotli_bytes: gzip_bytes.map(|bytes| bytes * 4 / 5),
            sha256: String::new(),
        });
        List {
            version: String::new(),
            files: files.collect(),
        }
    }

    #[test]
    fn counted_is_what_travels_before_the_screen_works() {
        let load = FirstLoad::of(&list(&[
            ("index.html", 900, Some(400)),
            ("ophryon_bg.wasm", 700_000, Some(250_000)),
            ("tiny.js", 20, None),
            ("icons/brow.png", 50_000, None),
            ("later/paper.wasm", 400_000, Some(200_000)),
        ]));
        assert_eq!(load.transferred, 200_340);
        assert_eq!(load.gzipped, 250_420);
        assert!(load.check().is_ok());
    }

    #[test]
    fn a_first_load_over_the_budget_fails_and_says_by_how_much() {
        let at = FirstLoad::of(&list(&[("a.wasm", 900_000, Some(375_000))]));
        assert!(at.check().is_ok());
        let over = FirstLoad::of(&list(&[("a.wasm", 900_000, Some(376_875))]));
        assert!(
            over.check()
                .unwrap_err()
                .to_string()
                .contains("1.5 kB too much")
        );
    }
}
