//! The walk through a JPEG: size, EXIF, and whether it is whole.
//!
//! Source: ISO/IEC 10918-1, Annex B.

use crate::Size;
use crate::bytes::Order;
use crate::walk::{Flaw, Walk};

/// A piece of the file between two markers.
pub struct Segment<'a> {
    pub marker: u8,
    /// What follows the marker's length, without the compressed picture.
    pub payload: &'a [u8],
    /// All of it as it stands in the file, with the compressed picture.
    pub whole: &'a [u8],
}

pub const START_OF_SCAN: u8 = 0xDA;
pub const END: u8 = 0xD9;
pub const APP1: u8 = 0xE1;
pub const EXIF: &[u8] = b"Exif\0\0";

/// Calls `look` with each segment up to the end of the picture. What stands
/// behind it (a second picture, a film) is not looked at.
pub fn each<'a>(bytes: &'a [u8], mut look: impl FnMut(Segment<'a>)) -> Result<(), Flaw> {
    let mut at = 2;
    loop {
        let from = at;
        at = next_marker(bytes, at).ok_or(Flaw::CutShort)?;
        let marker = *bytes.get(at + 1).ok_or(Flaw::CutShort)?;
        at += 2;
        if marker == END {
            let whole = bytes.get(from..at).unwrap_or_default();
            look(Segment {
                marker,
                payload: &[],
                whole,
            });
            return Ok(());
        }
        match marker {
            0x01 | 0xD0..=0xD7 => continue,
            // Another picture begins before this one has ended.
            0xD8 => return Err(Flaw::CutShort),
            _ => {}
        }
        let length = usize::from(Order::Big.u16(bytes, at).ok_or(Flaw::CutShort)?);
        if length < 2 {
            return Err(Flaw::Damaged);
        }
        let payload = bytes.get(at + 2..at + length).ok_or(Flaw::CutShort)?;
        at += length;
        if marker == START_OF_SCAN {
            at = scan_end(bytes, at).ok_or(Flaw::CutShort)?;
        }
        let whole = bytes.get(from..at).unwrap_or_default();
        look(Segment {
            marker,
            payload,
            whole,
        });
    }
}

/// Place of the next marker: 0xFF before neither 0xFF (fill) nor 0.
fn next_marker(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at += bytes.get(at..)?.iter().position(|&b| b == 0xFF)?;
        match bytes.get(at + 1)? {
            0x00 | 0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

/// End of compressed data: the next marker that is no restart.
fn scan_end(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at = next_marker(bytes, at)?;
        match bytes.get(at + 1)? {
            0xD0..=0xD7 => at += 2,
            _ => return Some(at),
        }
    }
}

pub fn walk(bytes: &[u8]) -> Result<Walk<'_>, Flaw> {
    let (mut size, mut exif, mut scans) = (None, None, 0_u32);
    each(bytes, |segment| match segment.marker {
        // A start of frame; 0xC4, 0xC8 and 0xCC are something else.
        0xC0..=0xCF if !matches!(segment.marker, 0xC4 | 0xC8 | 0xCC) => {
            let side = |at| Order::Big.u16(segment.payload, at).map(u32::from);
            if let (None, Some(height), Some(width)) = (size, side(1), side(3)) {
                size = Some(Size::new(width, height));
            }
        }
        APP1 if exif.is_none() => exif = segment.payload.strip_prefix(EXIF),
        START_OF_SCAN => scans += 1,
        _ => {}
    })?;
    let size = size.filter(|_| scans > 0).ok_or(Flaw::Damaged)?;
    Walk::new(size, exif)
}
