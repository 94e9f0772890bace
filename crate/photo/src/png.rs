//! The walk through a PNG.
//!
//! Source: ISO/IEC 15948 (PNG), clauses 5 and 11; eXIf from its third edition.

use crate::Size;
use crate::bytes::Order;
use crate::walk::{Flaw, Walk};

pub const SIGNATURE: usize = 8;

/// One chunk.
pub struct Chunk<'a> {
    pub kind: &'a [u8],
    pub data: &'a [u8],
    /// With length and checksum.
    pub whole: &'a [u8],
}

/// Calls `look` with each chunk up to the last.
pub fn each<'a>(bytes: &'a [u8], mut look: impl FnMut(Chunk<'a>)) -> Result<(), Flaw> {
    let mut at = SIGNATURE;
    loop {
        let length = Order::Big.u32(bytes, at).ok_or(Flaw::CutShort)? as usize;
        let end = at.checked_add(length).and_then(|e| e.checked_add(12));
        let whole = end
            .and_then(|end| bytes.get(at..end))
            .ok_or(Flaw::CutShort)?;
        let kind = &whole[4..8];
        if !kind.iter().all(u8::is_ascii_alphabetic) {
            return Err(Flaw::Damaged);
        }
        at += whole.len();
        look(Chunk {
            kind,
            data: &whole[8..whole.len() - 4],
            whole,
        });
        if kind == b"IEND" {
            return Ok(());
        }
    }
}

pub fn walk(bytes: &[u8]) -> Result<Walk<'_>, Flaw> {
    let (mut size, mut exif, mut picture) = (None, None, false);
    each(bytes, |chunk| match chunk.kind {
        b"IHDR" if size.is_none() => {
            let side = |at| Order::Big.u32(chunk.data, at);
            if let (Some(width), Some(height)) = (side(0), side(4)) {
                size = Some(Size::new(width, height));
            }
        }
        b"eXIf" if exif.is_none() => exif = Some(chunk.data),
        b"IDAT" => picture = true,
        _ => {}
    })?;
    Walk::new(size.filter(|_| picture).ok_or(Flaw::Damaged)?, exif)
}
