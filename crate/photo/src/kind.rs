//! What kind of picture a file is, by its first bytes.

/// Kinds of photos that can be taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// ISO/IEC 10918-1.
    Jpeg,
    /// ISO/IEC 15948.
    Png,
    /// RFC 9649.
    Webp,
    /// ISO/IEC 23008-12 with HEVC; only some browsers can show it.
    Heic,
    /// The same container with AV1.
    Avif,
}

impl Kind {
    /// By signature; `None` for anything else.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
            return Some(Self::Jpeg);
        }
        if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            return Some(Self::Png);
        }
        if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            return Some(Self::Webp);
        }
        if bytes.get(4..8) != Some(b"ftyp") {
            return None;
        }
        let length = u32::from_be_bytes(*bytes.first_chunk()?) as usize;
        let brands = bytes.get(8..length.min(bytes.len()))?;
        let mut brands = brands.chunks_exact(4).take(LONGEST_BRANDS);
        let has = |all: &[&[u8; 4]]| brands.clone().any(|b| all.iter().any(|a| b == *a));
        if has(&[b"avif", b"avis"]) {
            Some(Self::Avif)
        } else if brands.any(|b| HEIF_BRANDS.iter().any(|a| b == *a)) {
            Some(Self::Heic)
        } else {
            None
        }
    }

    /// Its registered media type.
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
            Self::Heic => "image/heic",
            Self::Avif => "image/avif",
        }
    }

    /// As it is called in sentences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Webp => "WebP",
            Self::Heic => "HEIC",
            Self::Avif => "AVIF",
        }
    }

    /// Kept as it came; other kinds are written anew as JPEG, which every
    /// browser reads.
    pub const fn stays(self) -> bool {
        matches!(self, Self::Jpeg | Self::Png)
    }
}

/// Brands looked at; real files have three to eight.
const LONGEST_BRANDS: usize = 64;

/// Brands of HEIC, and the general ones that iPhones and Androids put first.
const HEIF_BRANDS: [&[u8; 4]; 7] = [
    b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_bytes_decide() {
        let heif = |major: &[u8; 4], other: &[u8; 4]| {
            let mut b = vec![0, 0, 0, 24];
            b.extend(b"ftyp");
            b.extend(major);
            b.extend([0; 4]);
            b.extend(other);
            b.extend(b"mif1");
            b
        };
        assert_eq!(Kind::of(&heif(b"heic", b"miaf")), Some(Kind::Heic));
        assert_eq!(Kind::of(&heif(b"mif1", b"avif")), Some(Kind::Avif));
        assert_eq!(Kind::of(&[0xFF, 0xD8, 0xFF, 0xE0]), Some(Kind::Jpeg));
        assert_eq!(Kind::of(b"\x89PNG\r\n\x1a\n"), Some(Kind::Png));
        assert_eq!(Kind::of(b"RIFF\0\0\0\0WEBPVP8 "), Some(Kind::Webp));
        // An MP4 film has the same box, and no brand of a picture.
        let film = b"\0\0\0\x18ftypisom\0\0\x02\0isomiso2";
        for other in [&b"GIF89a"[..], b"%PDF-1.7", b"", b"\0\0\0", film] {
            assert_eq!(Kind::of(other), None);
        }
    }
}
