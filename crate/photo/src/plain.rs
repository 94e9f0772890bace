//! The same photo without what is nobody's business: no place, no owner, no
//! camera, no preview from before it was cropped. A client's file travels.

use crate::exif::Tags;
use crate::jpeg::{self, EXIF};
use crate::optics::FocalLength;
use crate::orientation::Orientation;
use crate::png;
use crate::taken::Taken;
use crate::{Kind, PhotoFile, Size};

/// Chunks of a PNG that the picture's look depends on.
const PNG_KEPT: [&[u8; 4]; 12] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB",
    b"cICP", b"pHYs",
];

impl PhotoFile {
    /// The same file with nothing in it but the picture and its colours, how it
    /// lies, focal length and date; the picture's own bytes stay as they are.
    /// Kinds that don't stay ([`Kind::stays`]) and files that this was not read
    /// from come back as they are.
    pub fn plain(&self, bytes: &[u8]) -> Vec<u8> {
        self.rewritten(bytes, self.orientation)
    }

    /// The same for a JPEG that was written anew from this photo, upright: it
    /// gets this photo's focal length and date.
    pub fn plain_upright(&self, jpeg: &[u8]) -> Vec<u8> {
        self.rewritten(jpeg, Orientation::UPRIGHT)
    }

    fn rewritten(&self, bytes: &[u8], lies: Orientation) -> Vec<u8> {
        let tags = Tags {
            orientation: Some(lies),
            focal: self.focal,
            taken: self.taken,
            written_as: self.written_as,
        };
        let tiff = written(&tags);
        let made = match Kind::of(bytes) {
            Some(Kind::Jpeg) => jpeg_with(bytes, &tiff),
            Some(Kind::Png) => png_with(bytes, &tiff),
            _ => None,
        };
        made.unwrap_or_else(|| bytes.to_vec())
    }
}

fn jpeg_with(bytes: &[u8], tiff: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(bytes.len() + tiff.len() + 16);
    out.extend([0xFF, 0xD8]);
    let mut told = false;
    let mut tell = |out: &mut Vec<u8>| {
        if !told {
            let length = u16::try_from(EXIF.len() + tiff.len() + 2).unwrap_or(u16::MAX);
            out.extend([0xFF, jpeg::APP1]);
            out.extend(length.to_be_bytes());
            out.extend(EXIF);
            out.extend(tiff);
            told = true;
        }
    };
    jpeg::each(bytes, |segment| {
        let kept = match segment.marker {
            // JFIF comes first, EXIF next; then colour profile and colour space.
            0xE0 => true,
            0xE2 => segment.payload.starts_with(b"ICC_PROFILE\0"),
            0xEE => segment.payload.starts_with(b"Adobe"),
            0xE1..=0xEF | 0xFE => false,
            _ => true,
        };
        if segment.marker != 0xE0 {
            tell(&mut out);
        }
        if kept {
            segment.write(&mut out);
        }
    })
    .ok()?;
    Some(out)
}

fn png_with(bytes: &[u8], tiff: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(bytes.len() + tiff.len() + 16);
    out.extend(bytes.get(..png::SIGNATURE)?);
    png::each(bytes, |chunk| {
        if PNG_KEPT.iter().any(|kept| chunk.kind == *kept) {
            out.extend(chunk.whole);
        }
        if chunk.kind == b"IHDR" {
            let from = out.len() + 4;
            out.extend(u32::try_from(tiff.len()).unwrap_or(0).to_be_bytes());
            out.extend(b"eXIf");
            out.extend(tiff);
            let sum = checksum(out.get(from..).unwrap_or_default());
            out.extend(sum.to_be_bytes());
        }
    })
    .ok()?;
    Some(out)
}

/// CRC-32 of ISO/IEC 15948, annex D; only a few bytes go through it.
fn checksum(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            let low = crc & 1;
            crc = (crc >> 1) ^ (0xEDB8_8320 * low);
        }
    }
    !crc
}

/// A value of an entry.
enum Value {
    Short(u16),
    Long(u32),
    Ratio(u32, u32),
    Date(Taken),
    Version,
}

/// EXIF as a TIFF block, big-endian.
fn written(tags: &Tags) -> Vec<u8> {
    let mut inner = vec![(0x9000, Value::Version)];
    if let Some(taken) = tags.taken {
        inner.push((0x9003, Value::Date(taken)));
    }
    if let Some(FocalLength::OnSensor { mm, .. }) = tags.focal {
        inner.push((0x920A, ratio(mm)));
    }
    if let Some(Size { width, height }) = tags.written_as {
        inner.push((0xA002, Value::Long(width)));
        inner.push((0xA003, Value::Long(height)));
    }
    match tags.focal {
        Some(FocalLength::OnSensor { px_per_mm, .. }) => {
            inner.push((0xA20E, ratio(px_per_mm * 10.0)));
            inner.push((0xA210, Value::Short(3)));
        }
        Some(FocalLength::Equivalent { mm }) => {
            inner.push((0xA405, Value::Short(mm as u16)));
        }
        None => {}
    }
    let lies = tags.orientation.unwrap_or_default().exif();
    let mut out = b"MM\0\x2A\0\0\0\x08".to_vec();
    // The inner directory follows the outer one of two entries.
    let at = 8 + 2 + 2 * 12 + 4;
    directory(
        &mut out,
        &[(0x0112, Value::Short(lies)), (0x8769, Value::Long(at))],
    );
    directory(&mut out, &inner);
    out
}

/// As exactly as 1/10,000 goes; focal lengths and resolutions have less.
fn ratio(v: f64) -> Value {
    Value::Ratio((v * 1e4 + 0.5) as u32, 10_000)
}

/// Writes a directory, then the values that don't fit into its entries.
fn directory(out: &mut Vec<u8>, entries: &[(u16, Value)]) {
    let beyond = out.len() + 2 + 12 * entries.len() + 4;
    let mut rest: Vec<u8> = Vec::new();
    out.extend((entries.len() as u16).to_be_bytes());
    for (tag, value) in entries {
        let (kind, count): (u16, u32) = match value {
            Value::Short(_) => (3, 1),
            Value::Long(_) => (4, 1),
            Value::Ratio(..) => (5, 1),
            Value::Date(_) => (2, 20),
            Value::Version => (7, 4),
        };
        out.extend(tag.to_be_bytes());
        out.extend(kind.to_be_bytes());
        out.extend(count.to_be_bytes());
        let there = ((beyond + rest.len()) as u32).to_be_bytes();
        match value {
            Value::Short(n) => {
                out.extend(n.to_be_bytes());
                out.extend([0, 0]);
            }
            Value::Long(n) => out.extend(n.to_be_bytes()),
            Value::Version => out.extend(b"0232"),
            Value::Ratio(over, under) => {
                out.extend(there);
                rest.extend(over.to_be_bytes());
                rest.extend(under.to_be_bytes());
            }
            Value::Date(t) => {
                out.extend(there);
                let text = format!(
                    "{:04}:{:02}:{:02} {:02}:{:02}:{:02}\0",
                    t.year, t.month, t.day, t.hour, t.minute, t.second
                );
                rest.extend(text.as_bytes());
            }
        }
    }
    out.extend([0; 4]);
    out.extend(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let tags = Tags {
            orientation: Orientation::from_exif(6),
            focal: Some(FocalLength::OnSensor {
                mm: 6.765,
                px_per_mm: 819.7,
            }),
            taken: Taken::read(b"2026:03:14 09:30:05"),
            written_as: Some(Size::new(4032, 3024)),
        };
        assert_eq!(Tags::read(&written(&tags)), tags);
        let tags = Tags {
            focal: Some(FocalLength::Equivalent { mm: 26.0 }),
            taken: None,
            written_as: None,
            ..tags
        };
        assert_eq!(Tags::read(&written(&tags)), tags);
    }

    /// The check value that every description of this CRC gives for "123456789".
    #[test]
    fn the_checksum_is_the_standard_one() {
        assert_eq!(checksum(b"123456789"), 0xCBF4_3926);
    }
}
