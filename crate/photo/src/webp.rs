//! The walk through a WebP.
//!
//! Source: RFC 9649, sections 2.3 to 2.7.

use crate::Size;
use crate::bytes::Order;
use crate::jpeg::EXIF;
use crate::walk::{Flaw, Walk};

pub fn walk(bytes: &[u8]) -> Result<Walk<'_>, Flaw> {
    let little = Order::Little;
    let told = little.u32(bytes, 4).ok_or(Flaw::CutShort)? as usize;
    let end = told.checked_add(8).ok_or(Flaw::Damaged)?;
    if bytes.len() < end {
        return Err(Flaw::CutShort);
    }
    let (mut canvas, mut frame, mut exif) = (None, None, None);
    let mut at = 12;
    while at + 8 <= end {
        let kind = bytes.get(at..at + 4).ok_or(Flaw::Damaged)?;
        let length = little.u32(bytes, at + 4).ok_or(Flaw::Damaged)? as usize;
        let from = at + 8;
        let to = from.checked_add(length).ok_or(Flaw::Damaged)?;
        let data = bytes.get(from..to).ok_or(Flaw::CutShort)?;
        match kind {
            b"VP8X" => canvas = extended(data),
            b"VP8 " if frame.is_none() => frame = lossy(data),
            b"VP8L" if frame.is_none() => frame = lossless(data),
            b"EXIF" if exif.is_none() => exif = Some(data.strip_prefix(EXIF).unwrap_or(data)),
            // The first frame of a moving picture has its own size inside.
            b"ANMF" if frame.is_none() => frame = canvas,
            _ => {}
        }
        // Chunks are padded to even lengths.
        at = to + (length & 1);
    }
    let frame = frame.ok_or(Flaw::Damaged)?;
    Walk::new(canvas.unwrap_or(frame), exif)
}

fn extended(data: &[u8]) -> Option<Size> {
    let side = |at| Some(Order::Little.u24(data, at)? + 1);
    Some(Size::new(side(4)?, side(7)?))
}

fn lossy(data: &[u8]) -> Option<Size> {
    if data.get(3..6)? != [0x9D, 0x01, 0x2A] {
        return None;
    }
    let side = |at| Some(u32::from(Order::Little.u16(data, at)? & 0x3FFF));
    Some(Size::new(side(6)?, side(8)?))
}

fn lossless(data: &[u8]) -> Option<Size> {
    if *data.first()? != 0x2F {
        return None;
    }
    let bits = Order::Little.u32(data, 1)?;
    Some(Size::new((bits & 0x3FFF) + 1, ((bits >> 14) & 0x3FFF) + 1))
}
