//! Which files a backup holds where its list is gone: each has a header of its
//! own before it and, in ours, its sizes and checksum after it.
//!
//! Source: PKWARE's APPNOTE.TXT 6.3.10, sections 4.3.7 (header), 4.3.9 (what
//! stands after the data) and 4.5.3 (64-bit sizes, only then of 8 bytes).

use rawzip::{CompressionMethod, ReaderAt};

use crate::entry::Entry;
use crate::fault::Faults;
use crate::limits::MOST_ENTRIES;
use crate::names::{self, Part};
use crate::{Fault, Name};

const HEADER: [u8; 4] = *b"PK\x03\x04";
const AFTER: [u8; 4] = *b"PK\x07\x08";
/// Bytes of a header before its name, and of what stands after the data.
const HEADER_SIZE: u64 = 30;
const AFTER_SIZE: usize = 16;
const AFTER_SIZE_64: usize = 24;
/// Flags: locked; sizes stand after the data.
const LOCKED: u16 = 1;
const SIZES_AFTER: u16 = 1 << 3;

/// Read at a time, so that what can't be read costs no more than one; also the
/// size of a locked file's pieces.
const STRETCH: u64 = 64 * 1024;
/// Kept of one stretch when the next is read: the longest that is looked at.
const OVERLAP: usize = 64;

/// A header whose end was not found yet.
struct Open {
    name: String,
    method: CompressionMethod,
    begin: u64,
    /// By the header, where it says.
    sizes: Option<(u32, u64, u64)>,
}

/// Walks over the whole file once.
pub(crate) fn entries(source: &impl ReaderAt, length: u64, faults: &mut Faults) -> Vec<Entry> {
    let mut search = Search {
        source,
        length,
        faults,
        found: Vec::new(),
        open: None,
    };
    search.walk();
    search.found
}

struct Search<'a, R> {
    source: &'a R,
    length: u64,
    faults: &'a mut Faults,
    found: Vec<Entry>,
    open: Option<Open>,
}

impl<R: ReaderAt> Search<'_, R> {
    fn walk(&mut self) {
        // What was read and not looked at to its end, from `start` on.
        let mut window: Vec<u8> = Vec::new();
        let mut start = 0;
        let mut at = 0;
        while at < self.length {
            let size = STRETCH.min(self.length - at);
            let mut stretch = vec![0; size as usize];
            if self.source.read_exact_at(&mut stretch, at).is_err() {
                self.faults.add(Fault::Unreadable {
                    from: at,
                    to: at + size,
                });
                self.cut_off();
                window.clear();
            } else {
                if window.is_empty() {
                    start = at;
                }
                window.extend(stretch);
            }
            at += size;
            let last = at >= self.length;
            let to = if last {
                window.len()
            } else {
                window.len().saturating_sub(OVERLAP)
            };
            let mut seen = 0;
            while let Some(next) = window[seen..to].iter().position(|b| *b == b'P') {
                seen += next;
                self.look(start + seen as u64, &window[seen..]);
                seen += 1;
                if self.found.len() >= MOST_ENTRIES {
                    self.faults.add(Fault::TooMany { most: MOST_ENTRIES });
                    return;
                }
            }
            window.drain(..to);
            start += to as u64;
        }
        self.cut_off();
    }

    fn cut_off(&mut self) {
        if let Some(open) = self.open.take() {
            let name = Name::new(&open.name);
            self.faults.add(Fault::CutOff { name });
        }
    }

    /// Whether something begins here.
    fn look(&mut self, at: u64, bytes: &[u8]) {
        if bytes.starts_with(&HEADER) {
            if let Some(open) = self.header(at, bytes) {
                self.cut_off();
                self.begin(open);
            }
        } else if bytes.starts_with(&AFTER) {
            self.after(at, bytes);
        }
    }

    /// A header of ours.
    fn header(&mut self, at: u64, bytes: &[u8]) -> Option<Open> {
        let flags = half(bytes, 6)?;
        let method = CompressionMethod::new(half(bytes, 8)?);
        let sizes = (word(bytes, 14)?, word(bytes, 18)?, word(bytes, 22)?);
        let (named, extra) = (half(bytes, 26)?, half(bytes, 28)?);
        if usize::from(named) > names::LONGEST {
            return None;
        }
        let mut name = vec![0; usize::from(named)];
        self.source
            .read_exact_at(&mut name, at + HEADER_SIZE)
            .ok()?;
        let name = String::from_utf8(name).ok()?;
        match names::part(&name) {
            Part::Manifest | Part::InFolder(..) => {}
            Part::Outside => {
                let name = Name::new(&name);
                self.faults.add(Fault::Outside { name });
                return None;
            }
            // The letters may stand in a photo by chance.
            Part::Foreign | Part::Folder => return None,
        }
        if flags & LOCKED != 0 {
            let name = Name::new(&name);
            self.faults.add(Fault::Locked { name });
            return None;
        }
        let after = flags & SIZES_AFTER != 0;
        Some(Open {
            name,
            method,
            begin: at + HEADER_SIZE + u64::from(named) + u64::from(extra),
            sizes: (!after).then_some((sizes.0, u64::from(sizes.1), u64::from(sizes.2))),
        })
    }

    fn begin(&mut self, open: Open) {
        let Some((crc, packed, size)) = open.sizes else {
            self.open = Some(open);
            return;
        };
        let end = open.begin.saturating_add(packed);
        if end > self.length {
            self.open = Some(open);
            self.cut_off();
        } else {
            self.close(open, end, crc, size);
        }
    }

    /// What stands after the data, if its size is the distance from the header.
    fn after(&mut self, at: u64, bytes: &[u8]) {
        let Some(open) = &self.open else { return };
        let Some(distance) = at.checked_sub(open.begin) else {
            return;
        };
        let small = |size: usize| bytes.get(..size).is_some();
        let fits = if small(AFTER_SIZE) && word(bytes, 8).map(u64::from) == Some(distance) {
            word(bytes, 12).map(u64::from)
        } else if small(AFTER_SIZE_64) && long(bytes, 8) == Some(distance) {
            long(bytes, 16)
        } else {
            None
        };
        let (Some(size), Some(crc)) = (fits, word(bytes, 4)) else {
            return;
        };
        if let Some(open) = self.open.take() {
            self.close(open, at, crc, size);
        }
    }

    fn close(&mut self, open: Open, end: u64, crc: u32, size: u64) {
        self.found.push(Entry {
            name: open.name,
            method: open.method,
            begin: open.begin,
            end,
            crc,
            size,
        });
    }
}

fn half(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

fn long(bytes: &[u8], at: usize) -> Option<u64> {
    Some(u64::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}
