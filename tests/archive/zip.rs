//! Zips as other programs, damage and ill will make them: every field can be
//! said wrongly. By PKWARE's APPNOTE.TXT 6.3.10, sections 4.3.7, 4.3.12, 4.3.16.

use miniz_oxide::deflate::compress_to_vec;

/// One file of a zip.
#[derive(Clone)]
pub struct File {
    pub name: Vec<u8>,
    pub flags: u16,
    pub method: u16,
    pub packed: Vec<u8>,
    pub crc: u32,
    pub size: u32,
    pub packed_size: u32,
    /// Unix mode, in the upper half of the attributes.
    pub mode: u16,
    /// Points at another file's header instead of its own.
    pub at: Option<u32>,
}

pub fn file(name: &str, bytes: &[u8]) -> File {
    let packed = compress_to_vec(bytes, 6);
    File {
        name: name.as_bytes().to_vec(),
        flags: 0,
        method: 8,
        crc: crc32(bytes),
        size: bytes.len() as u32,
        packed_size: packed.len() as u32,
        packed,
        mode: 0o100_644,
        at: None,
    }
}

pub fn stored(name: &str, bytes: &[u8]) -> File {
    File {
        method: 0,
        packed: bytes.to_vec(),
        packed_size: bytes.len() as u32,
        ..file(name, bytes)
    }
}

/// CRC-32 of ISO 3309, bit by bit, so that it owes nothing to the one in use.
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc: u32, _| {
            (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg())
        })
    })
}

/// The zip of these, with a list that states so many.
pub fn zip_stating(files: &[File], stated: u16) -> Vec<u8> {
    let mut out = Vec::new();
    let mut list = Vec::new();
    for file in files {
        let at = out.len() as u32;
        let mut shared = Vec::new();
        shared.extend(20_u16.to_le_bytes());
        shared.extend(file.flags.to_le_bytes());
        shared.extend(file.method.to_le_bytes());
        shared.extend([0, 0, 0x21, 0]);
        shared.extend(file.crc.to_le_bytes());
        shared.extend(file.packed_size.to_le_bytes());
        shared.extend(file.size.to_le_bytes());
        shared.extend((file.name.len() as u16).to_le_bytes());
        shared.extend(0_u16.to_le_bytes());
        if file.at.is_none() {
            out.extend(b"PK\x03\x04");
            out.extend(&shared);
            out.extend(&file.name);
            out.extend(&file.packed);
        }
        list.extend(b"PK\x01\x02");
        // Made by Unix, so that the mode counts.
        list.extend([20, 3]);
        list.extend(&shared);
        list.extend([0; 6]);
        list.extend([0, 0]);
        list.extend(file.mode.to_le_bytes());
        list.extend(file.at.unwrap_or(at).to_le_bytes());
        list.extend(&file.name);
    }
    let begin = out.len() as u32;
    out.extend(&list);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend(stated.to_le_bytes());
    out.extend(stated.to_le_bytes());
    out.extend((list.len() as u32).to_le_bytes());
    out.extend(begin.to_le_bytes());
    out.extend([0, 0]);
    out
}

pub fn zip(files: &[File]) -> Vec<u8> {
    zip_stating(files, files.len() as u16)
}
