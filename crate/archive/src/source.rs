//! Reading parts of a file that may be of any size.

use std::io;

use rawzip::ReaderAt;

/// The first bytes, at most so many.
pub(crate) fn first(source: &impl ReaderAt, length: u64, most: usize) -> io::Result<Vec<u8>> {
    part(source, 0, length.min(most as u64) as usize)
}

/// So many bytes from there on, all of them.
pub(crate) fn part(source: &impl ReaderAt, at: u64, size: usize) -> io::Result<Vec<u8>> {
    let mut bytes = vec![0; size];
    source.read_exact_at(&mut bytes, at)?;
    Ok(bytes)
}
