//! A step is skipped when nothing that goes into it has changed.
//!
//! Compared is content, not time: a checkout or a copy changes times only.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use sha2::{Digest, Sha256};

/// Collects what goes into a step.
#[derive(Default)]
pub struct Inputs(Sha256);

impl Inputs {
    /// Adds one named input. Lengths go in as well, so that no two lists of
    /// inputs run together into the same bytes.
    pub fn add(&mut self, name: &str, bytes: &[u8]) {
        for part in [name.as_bytes(), bytes] {
            self.0.update((part.len() as u64).to_le_bytes());
            self.0.update(part);
        }
    }

    /// The fingerprint of the inputs until now.
    pub fn fingerprint_so_far(&self) -> String {
        Self(self.0.clone()).fingerprint()
    }

    /// The fingerprint of all inputs, in their order.
    pub fn fingerprint(self) -> String {
        hex(&self.0.finalize())
    }
}

/// SHA-256 in hexadecimal (FIPS 180-4).
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The file that remembers the fingerprint of the last run.
pub struct Stamp(PathBuf);

impl Stamp {
    pub fn at(path: &Path) -> Self {
        Self(path.to_owned())
    }

    /// Whether the last run had these very inputs.
    pub fn holds(&self, fingerprint: &str) -> bool {
        fs::read_to_string(&self.0).is_ok_and(|last| last == fingerprint)
    }

    /// To be called before the step touches its outputs: a step that is
    /// interrupted must not count as done.
    pub fn break_open(&self) -> Result<()> {
        match fs::remove_file(&self.0) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                Err(error).with_context(|| format!("can't remove {}", self.0.display()))
            }
            _ => Ok(()),
        }
    }

    /// To be called when all outputs are in place.
    pub fn set(&self, fingerprint: &str) -> Result<()> {
        fs::write(&self.0, fingerprint).with_context(|| format!("can't write {}", self.0.display()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fingerprint(inputs: &[(&str, &str)]) -> String {
        let mut all = Inputs::default();
        for (name, bytes) in inputs {
            all.add(name, bytes.as_bytes());
        }
        all.fingerprint()
    }

    #[test]
    fn any_change_of_name_content_or_order_shows() {
        let first = fingerprint(&[("a", "1"), ("b", "2")]);
        assert_eq!(first, fingerprint(&[("a", "1"), ("b", "2")]));
        for changed in [
            fingerprint(&[("a", "1"), ("b", "3")]),
            fingerprint(&[("a", "1"), ("c", "2")]),
            fingerprint(&[("b", "2"), ("a", "1")]),
            fingerprint(&[("a", "1")]),
            fingerprint(&[("a", "1b"), ("", "2")]),
            fingerprint(&[("a1", ""), ("b", "2")]),
        ] {
            assert_ne!(first, changed);
        }
    }

    #[test]
    fn a_stamp_holds_only_for_its_fingerprint_and_until_broken() {
        let folder = tempfile::tempdir().unwrap();
        let stamp = Stamp::at(&folder.path().join("stamp"));
        assert!(!stamp.holds("one"));
        stamp.break_open().unwrap();
        stamp.set("one").unwrap();
        assert!(stamp.holds("one") && !stamp.holds("two"));
        stamp.break_open().unwrap();
        assert!(!stamp.holds("one"));
    }

    #[test]
    fn sha_256_is_that_of_the_standard() {
        // FIPS 180-4's example of one block: the three letters "abc".
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
