//! Checksums.

use std::fmt::Write;

use sha2::{Digest, Sha256};

/// A SHA-256 (FIPS 180-4).
pub type Sum = [u8; 32];

/// The checksum of some bytes.
pub fn sum(bytes: &[u8]) -> Sum {
    Sha256::digest(bytes).into()
}

/// As it stands in a manifest.
pub(crate) fn hex(sum: &Sum) -> String {
    sum.iter()
        .fold(String::with_capacity(64), |mut text, byte| {
            // Into memory: can't fail.
            let _ = write!(text, "{byte:02x}");
            text
        })
}

/// As it was read from one.
pub(crate) fn from_hex(text: &str) -> Option<Sum> {
    let mut sum = [0; 32];
    if text.len() != 64 || !text.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    for (i, byte) in sum.iter_mut().enumerate() {
        *byte = u8::from_str_radix(text.get(2 * i..2 * i + 2)?, 16).ok()?;
    }
    Some(sum)
}
