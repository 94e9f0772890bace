//! The walk through a JPEG: size, EXIF, and whether it is whole.
//!
//! Source: ISO/IEC 10918-1, Annex B.

use crate::Size;
use crate::bytes::Order;
use crate::walk::{Flaw, Walk};

/// A marker with what belongs to it.
pub struct Segment<'a> {
    pub marker: u8,
    /// What follows the marker's length.
    pub payload: &'a [u8],
    /// The compressed picture behind it, if it starts a scan.
    pub scan: &'a [u8],
}

impl Segment<'_> {
    /// As it stands in a file.
    pub fn write(&self, out: &mut Vec<u8>) {
        out.extend([0xFF, self.marker]);
        if self.marker != END {
            // It was read with a length of 16 bits.
            let length = u16::try_from(self.payload.len() + 2).unwrap_or(u16::MAX);
            out.extend(length.to_be_bytes());
            out.extend(self.payload);
            out.extend(self.scan);
        }
    }
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
        at = next_marker(bytes, at).ok_or(Flaw::CutShort)?;
        let marker = *bytes.get(at + 1).ok_or(Flaw::CutShort)?;
        at += 2;
        if marker == END {
            look(Segment {
                marker,
                payload: &[],
                scan: &[],
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
        let mut scan = bytes.get(at..at).unwrap_or_default();
        if marker == START_OF_SCAN {
            let end = scan_end(bytes, at).ok_or(Flaw::CutShort)?;
            scan = bytes.get(at..end).unwrap_or_default();
            at = end;
            // Fill before the next marker.
            while let Some(rest) = scan.strip_suffix(&[0xFF]) {
                scan = rest;
            }
        }
        look(Segment {
            marker,
            payload,
            scan,
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
