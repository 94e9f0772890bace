//! Reading numbers from a file's bytes: a place past the end is `None`.

/// Which end of a number comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Most significant byte first.
    Big,
    /// Least significant byte first.
    Little,
}

impl Order {
    /// 16 bits at a place.
    pub fn u16(self, bytes: &[u8], at: usize) -> Option<u16> {
        let b = *bytes.get(at..)?.first_chunk()?;
        Some(match self {
            Self::Big => u16::from_be_bytes(b),
            Self::Little => u16::from_le_bytes(b),
        })
    }

    /// 32 bits at a place.
    pub fn u32(self, bytes: &[u8], at: usize) -> Option<u32> {
        let b = *bytes.get(at..)?.first_chunk()?;
        Some(match self {
            Self::Big => u32::from_be_bytes(b),
            Self::Little => u32::from_le_bytes(b),
        })
    }

    /// 24 bits at a place.
    pub fn u24(self, bytes: &[u8], at: usize) -> Option<u32> {
        let &[a, b, c] = bytes.get(at..)?.first_chunk()?;
        Some(match self {
            Self::Big => u32::from_be_bytes([0, a, b, c]),
            Self::Little => u32::from_le_bytes([a, b, c, 0]),
        })
    }
}
