//! The walk through the boxes of a HEIC or AVIF.
//!
//! Only the first picture's size, how it lies and its EXIF are looked for; it
//! is the browser that decodes it, where it can.
//!
//! Source: ISO/IEC 14496-12 (boxes, `meta`, `iloc`), ISO/IEC 23008-12
//! (`ispe`, `irot`, `imir`, Exif items).

use crate::Size;
use crate::bytes::Order;
use crate::orientation::Orientation;
use crate::walk::{Flaw, Walk};

const BIG: Order = Order::Big;
/// Boxes looked at on one level, and properties or items in one list; real
/// files have tens, those of many tiles some hundreds.
const MOST: usize = 4096;

/// A box: its four letters and what it holds.
#[derive(Clone, Copy)]
struct Found<'a> {
    kind: &'a [u8],
    inside: &'a [u8],
}

/// The boxes that lie in `bytes`, one after another.
fn boxes(bytes: &[u8]) -> Result<Vec<Found<'_>>, Flaw> {
    let (mut found, mut at) = (Vec::new(), 0_usize);
    while at < bytes.len() && found.len() < MOST {
        let told = BIG.u32(bytes, at).ok_or(Flaw::CutShort)? as usize;
        let kind = bytes.get(at + 4..at + 8).ok_or(Flaw::CutShort)?;
        let (head, length) = match told {
            0 => (8, bytes.len() - at),
            1 => {
                let high = BIG.u32(bytes, at + 8).ok_or(Flaw::CutShort)?;
                let low = BIG.u32(bytes, at + 12).ok_or(Flaw::CutShort)?;
                if high > 0 {
                    return Err(Flaw::CutShort);
                }
                (16, low as usize)
            }
            n => (8, n),
        };
        if length < head {
            return Err(Flaw::Damaged);
        }
        let end = at.checked_add(length).ok_or(Flaw::CutShort)?;
        let inside = bytes.get(at + head..end).ok_or(Flaw::CutShort)?;
        found.push(Found { kind, inside });
        at = end;
    }
    Ok(found)
}

fn one<'a>(found: &[Found<'a>], kind: &[u8; 4]) -> Option<&'a [u8]> {
    found.iter().find(|b| b.kind == kind).map(|b| b.inside)
}

pub fn walk(bytes: &[u8]) -> Result<Walk<'_>, Flaw> {
    let top = boxes(bytes)?;
    let meta = one(&top, b"meta").ok_or(Flaw::CutShort)?;
    // A full box: version and flags come first.
    let meta = boxes(meta.get(4..).ok_or(Flaw::Damaged)?).map_err(|_| Flaw::Damaged)?;
    if one(&top, b"mdat").is_none() && one(&meta, b"idat").is_none() {
        return Err(Flaw::CutShort);
    }
    let primary = one(&meta, b"pitm").and_then(primary).ok_or(Flaw::Damaged)?;
    let properties = one(&meta, b"iprp").ok_or(Flaw::Damaged)?;
    let properties = boxes(properties).map_err(|_| Flaw::Damaged)?;
    let kept = one(&properties, b"ipco").ok_or(Flaw::Damaged)?;
    let kept = boxes(kept).map_err(|_| Flaw::Damaged)?;
    let which = one(&properties, b"ipma")
        .and_then(|b| associated(b, primary))
        .ok_or(Flaw::Damaged)?;
    let (mut size, mut lies) = (None, Orientation::UPRIGHT);
    for property in which.iter().filter_map(|i| kept.get(i.checked_sub(1)?)) {
        let b = property.inside;
        match property.kind {
            b"ispe" => {
                if let (Some(w), Some(h)) = (BIG.u32(b, 4), BIG.u32(b, 8)) {
                    size = Some(Size::new(w, h));
                }
            }
            // Quarter turns anticlockwise.
            b"irot" => {
                let quarters = b.first().map_or(0, |a| a & 3);
                lies = lies.then(Orientation::turned(4 - quarters));
            }
            b"imir" => {
                let left_right = b.first().is_some_and(|a| a & 1 == 1);
                let flip = if left_right {
                    Orientation::mirror()
                } else {
                    Orientation::mirror().then(Orientation::turned(2))
                };
                lies = lies.then(flip);
            }
            _ => {}
        }
    }
    let mut walk = Walk::new(size.ok_or(Flaw::Damaged)?, exif(bytes, &meta))?;
    walk.lies = Some(lies);
    Ok(walk)
}

fn primary(b: &[u8]) -> Option<u32> {
    match b.first()? {
        0 => BIG.u16(b, 4).map(u32::from),
        _ => BIG.u32(b, 4),
    }
}

/// Numbers of the properties of one item, in their order, counted from 1.
fn associated(b: &[u8], item: u32) -> Option<Vec<usize>> {
    let (version, wide) = (*b.first()?, b.get(3)? & 1 == 1);
    let entries = BIG.u32(b, 4)?;
    let mut at = 8;
    for _ in 0..(entries as usize).min(MOST) {
        let id = if version == 0 {
            let id = BIG.u16(b, at)?;
            at += 2;
            u32::from(id)
        } else {
            let id = BIG.u32(b, at)?;
            at += 4;
            id
        };
        let count = usize::from(*b.get(at)?);
        at += 1;
        let each = if wide { 2 } else { 1 };
        let list = b.get(at..at + count * each)?;
        at += count * each;
        if id == item {
            let number = |c: &[u8]| match *c {
                [a] => usize::from(a & 0x7F),
                [a, b] => usize::from(u16::from_be_bytes([a & 0x7F, b])),
                _ => 0,
            };
            return Some(list.chunks_exact(each).map(number).collect());
        }
    }
    None
}

/// The TIFF block of the item of kind `Exif`.
fn exif<'a>(file: &'a [u8], meta: &[Found<'a>]) -> Option<&'a [u8]> {
    let id = exif_item(one(meta, b"iinf")?)?;
    let place = location(one(meta, b"iloc")?, id)?;
    let store = if place.in_meta {
        one(meta, b"idat")?
    } else {
        file
    };
    let data = store.get(place.from..place.from.checked_add(place.length)?)?;
    // First how far the TIFF block lies behind these four bytes.
    let skip = BIG.u32(data, 0)? as usize;
    data.get(skip.checked_add(4)?..)
}

fn exif_item(b: &[u8]) -> Option<u32> {
    let entries = match b.first()? {
        0 => b.get(6..)?,
        _ => b.get(8..)?,
    };
    for entry in boxes(entries).ok()?.iter().filter(|e| e.kind == b"infe") {
        let b = entry.inside;
        let (id, kind) = match b.first() {
            Some(2) => (BIG.u16(b, 4).map(u32::from), b.get(8..12)),
            Some(3) => (BIG.u32(b, 4), b.get(10..14)),
            _ => continue,
        };
        if kind == Some(b"Exif") {
            return id;
        }
    }
    None
}

struct Place {
    from: usize,
    length: usize,
    in_meta: bool,
}

/// Where an item's first extent lies.
fn location(b: &[u8], item: u32) -> Option<Place> {
    let version = *b.first()?;
    let sizes = BIG.u16(b, 4)?;
    let nibble = |shift: u16| usize::from((sizes >> shift) & 0xF);
    let (offsets, lengths, bases) = (nibble(12), nibble(8), nibble(4));
    let indices = if version == 0 { 0 } else { nibble(0) };
    let mut at = 6;
    let mut take = |bytes: usize| -> Option<u64> {
        let n = b.get(at..at + bytes)?;
        at += bytes;
        (bytes <= 8).then(|| n.iter().fold(0, |n, d| (n << 8) | u64::from(*d)))
    };
    let wide = if version < 2 { 2 } else { 4 };
    let count = take(wide)?;
    for _ in 0..count.min(MOST as u64) {
        let id = take(wide)?;
        let method = if version == 0 { 0 } else { take(2)? & 0xF };
        take(2)?;
        let base = take(bases)?;
        let extents = take(2)?;
        let mut first = None;
        for _ in 0..extents {
            take(indices)?;
            let (offset, length) = (take(offsets)?, take(lengths)?);
            first.get_or_insert((offset, length));
        }
        if id == u64::from(item) {
            let (offset, length) = first?;
            return (method < 2).then_some(Place {
                from: usize::try_from(base.checked_add(offset)?).ok()?,
                length: usize::try_from(length).ok()?,
                in_meta: method == 1,
            });
        }
    }
    None
}
