//! What follows the header: pieces of 64 KiB, each locked by itself.

use chacha20poly1305::Nonce;

/// Plain bytes of a piece; only the last may have fewer.
pub(super) const PIECE: usize = 64 * 1024;
/// Bytes that proving a piece adds.
pub(super) const TAG: usize = 16;
/// Bytes of the nonce that the payload begins with.
pub(super) const NONCE: usize = 16;

/// Whether more pieces follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    Amid,
    Last,
}

/// Eleven bytes of counter, big end first, and one that marks the last piece.
pub(super) fn nonce(index: u64, place: Place) -> Nonce {
    let mut bytes = [0; 12];
    bytes[3..11].copy_from_slice(&index.to_be_bytes());
    bytes[11] = u8::from(place == Place::Last);
    bytes.into()
}
