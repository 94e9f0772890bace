//! A chosen file, read piece by piece.
//!
//! What reads a backup asks for bytes and waits for them, anywhere in the
//! file. A browser gives bytes to whoever comes back later, with one exception
//! that works on the page itself: a request that waits, here to a piece of the
//! file in the browser's own hands. So a backup of any size is read without
//! ever holding more than a piece of it.

use std::cell::RefCell;
use std::io;

use ophryon_archive::ReaderAt;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Url, XmlHttpRequest};

use crate::device::said_by;

/// Files up to this size are read once and held; most single clients are.
const HELD: f64 = 24.0 * 1024.0 * 1024.0;

/// Read at a time at the least: an entry's header is asked for by its few bytes,
/// and its neighbour is mostly a photo away.
const STRETCH: u64 = 8 * 1024;

/// Bytes of a file, wherever they are.
pub enum Source {
    /// In memory.
    Held(Vec<u8>),
    /// In the browser's hands.
    There(There),
}

/// A file that is too large to be held.
pub struct There {
    file: Blob,
    length: u64,
    /// The stretch that was read last, and where it begins.
    last: RefCell<(u64, Vec<u8>)>,
}

impl Source {
    /// Of a chosen file.
    ///
    /// # Errors
    /// A sentence.
    pub async fn of(file: &Blob) -> Result<Self, String> {
        // Where something keeps the page from its own pieces, all of it is held.
        let by_pieces = file.size() > HELD && piece(file, 0, 1).is_ok();
        if !by_pieces {
            let buffer = JsFuture::from(file.array_buffer())
                .await
                .map_err(|e| format!("The file can't be read ({}).", said_by(&e)))?;
            return Ok(Self::Held(js_sys::Uint8Array::new(&buffer).to_vec()));
        }
        Ok(Self::There(There {
            file: file.clone(),
            length: file.size() as u64,
            last: RefCell::new((0, Vec::new())),
        }))
    }

    /// Bytes in all.
    pub fn length(&self) -> u64 {
        match self {
            Self::Held(bytes) => bytes.len() as u64,
            Self::There(there) => there.length,
        }
    }

    /// The first bytes, to see what kind of file it is.
    pub fn begins(&self) -> Vec<u8> {
        let mut first = [0; 64];
        let count = self.read_at(&mut first, 0).unwrap_or_default();
        first[..count].to_vec()
    }
}

impl ReaderAt for Source {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        match self {
            Self::Held(bytes) => Ok(taken(bytes, offset, buffer)),
            Self::There(there) => there.read_at(buffer, offset),
        }
    }
}

/// What of these bytes lies from there on, as far as there is room.
fn taken(bytes: &[u8], from: u64, into: &mut [u8]) -> usize {
    let rest = usize::try_from(from)
        .ok()
        .and_then(|from| bytes.get(from..))
        .unwrap_or_default();
    let count = rest.len().min(into.len());
    into[..count].copy_from_slice(&rest[..count]);
    count
}

impl There {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        if offset >= self.length || buffer.is_empty() {
            return Ok(0);
        }
        let mut last = self.last.borrow_mut();
        let reached = last.0 + last.1.len() as u64;
        if offset < last.0 || offset >= reached {
            let to = (offset + STRETCH.max(buffer.len() as u64)).min(self.length);
            *last = (offset, piece(&self.file, offset, to)?);
        }
        Ok(taken(&last.1, offset - last.0, buffer))
    }
}

/// The bytes from one place to another.
fn piece(file: &Blob, from: u64, to: u64) -> io::Result<Vec<u8>> {
    let told = |e| io::Error::other(said_by(&e));
    let part = file
        .slice_with_f64_and_f64(from as f64, to as f64)
        .map_err(told)?;
    let url = Url::create_object_url_with_blob(&part).map_err(told)?;
    let asked = || {
        let request = XmlHttpRequest::new()?;
        request.open_with_async("GET", &url, false)?;
        // Each byte comes as one character, above 127 moved up out of the way.
        request.override_mime_type("text/plain; charset=x-user-defined")?;
        request.send()?;
        request.response_text()
    };
    let text = asked();
    // Nobody else knows the address.
    let _ = Url::revoke_object_url(&url);
    let bytes: Vec<u8> = text
        .map_err(told)?
        .unwrap_or_default()
        .chars()
        .map(|c| (c as u32 & 0xff) as u8)
        .collect();
    if bytes.len() as u64 == to - from {
        Ok(bytes)
    } else {
        Err(io::Error::other("the browser gave only a part of it"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_beyond_the_end_is_nothing() {
        let source = Source::Held(vec![1, 2, 3, 4]);
        let mut room = [0; 3];
        assert_eq!(source.read_at(&mut room, 2).unwrap(), 2);
        assert_eq!(room, [3, 4, 0]);
        assert_eq!(source.read_at(&mut room, 4).unwrap(), 0);
        assert_eq!(source.read_at(&mut room, u64::MAX).unwrap(), 0);
        assert_eq!(source.begins(), [1, 2, 3, 4]);
    }
}
