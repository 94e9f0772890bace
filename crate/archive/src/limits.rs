//! The most that is read of anything, so that no file takes more time or
//! memory than an honest one.

/// Clients of one backup; an artist's whole life is under ten thousand.
pub(crate) const MOST_CLIENTS: usize = 20_000;

/// Entries of one backup.
pub(crate) const MOST_ENTRIES: usize = 200_000;

/// Largest photo, bytes: three times a 24-megapixel camera's largest JPEG, and
/// all that a client's file of 128 MB can hold in base64.
pub(crate) const LARGEST_PHOTO: u64 = 96 * 1024 * 1024;

/// How much a packed file may grow when it is unpacked. Clients' files come to
/// 4 to 12 times their packed size; a bomb comes to 1,000.
pub(crate) const MOST_SWELLING: u64 = 200;

/// Up to so many bytes growth is no matter.
pub(crate) const SMALL: u64 = 1024 * 1024;
