//! Which files a backup holds, by the list at its end.

use std::collections::BTreeSet;

use rawzip::{RECOMMENDED_BUFFER_SIZE, ReaderAt, ZipLocator};

use crate::entry::Entry;
use crate::fault::Faults;
use crate::limits::MOST_ENTRIES;
use crate::names::{self, Part};
use crate::{Fault, Name, salvage};

/// How far from the end the list's end is looked for: the longest comment that
/// a zip can have, and a little.
const SEARCHED: u64 = 70_000;

/// Every entry that is ours and sound at first sight.
pub(crate) fn entries(source: &impl ReaderAt, length: u64, faults: &mut Faults) -> Vec<Entry> {
    let mut found = Vec::new();
    let mut aside = Faults::default();
    let listed = directory(source, length, &mut found, &mut aside);
    if listed.is_some() {
        for fault in aside.all() {
            faults.add(fault);
        }
    } else {
        faults.add(Fault::NoDirectory);
        found = salvage::entries(source, length, faults);
    }
    apart(once(found, faults), faults)
}

/// By the list; `None` where it can't be followed to its end.
fn directory(
    source: &impl ReaderAt,
    length: u64,
    found: &mut Vec<Entry>,
    faults: &mut Faults,
) -> Option<()> {
    let mut buffer = vec![0; RECOMMENDED_BUFFER_SIZE];
    let locator = ZipLocator::new().max_search_space(SEARCHED);
    let zip = locator
        .locate_in_reader(source, &mut buffer, length)
        .map_err(|(_, why)| why)
        .ok()?;
    let stated = zip.entries_hint();
    // Each takes 46 bytes of the list and 30 before its data.
    if stated > length / 76 {
        return None;
    }
    let mut listed = zip.entries(&mut buffer);
    let mut count: usize = 0;
    while let Some(header) = listed.next_entry().ok()? {
        count += 1;
        if count > MOST_ENTRIES {
            faults.add(Fault::TooMany { most: MOST_ENTRIES });
            return Some(());
        }
        let raw = String::from_utf8_lossy(header.file_path().as_bytes()).into_owned();
        let name = || Name::new(&raw);
        match names::part(&raw) {
            Part::Outside => faults.add(Fault::Outside { name: name() }),
            Part::Foreign => faults.add(Fault::Foreign { name: name() }),
            Part::Folder => {}
            Part::Manifest | Part::InFolder(..) if header.mode().is_symlink() => {
                faults.add(Fault::Link { name: name() });
            }
            Part::Manifest | Part::InFolder(..) if header.flags().is_encrypted() => {
                faults.add(Fault::Locked { name: name() });
            }
            Part::Manifest | Part::InFolder(..) => match zip.get_entry(header.wayfinder()) {
                Ok(entry) => {
                    let (begin, end) = entry.compressed_data_range();
                    found.push(Entry {
                        method: header.compression_method(),
                        begin,
                        end,
                        crc: header.crc32(),
                        size: header.uncompressed_size_hint(),
                        name: raw,
                    });
                }
                Err(_) => faults.add(Fault::CutOff { name: name() }),
            },
        }
    }
    (count as u64 == stated).then_some(())
}

/// The first of each name, whatever its capitals: to some systems they are one.
fn once(found: Vec<Entry>, faults: &mut Faults) -> Vec<Entry> {
    let mut seen = BTreeSet::new();
    let mut kept = Vec::with_capacity(found.len());
    for entry in found {
        if seen.insert(entry.name.to_ascii_lowercase()) {
            kept.push(entry);
        } else {
            let name = Name::new(&entry.name);
            faults.add(Fault::Twice { name });
        }
    }
    kept
}

/// Those that share no byte with one before them. A zip whose entries do is a
/// bomb: a small one can unpack to anything.
fn apart(mut found: Vec<Entry>, faults: &mut Faults) -> Vec<Entry> {
    found.sort_by_key(|e| (e.begin, e.end));
    let mut reached = 0;
    found.retain(|entry| {
        let free = entry.begin >= reached;
        if free {
            reached = entry.end;
        } else {
            let name = Name::new(&entry.name);
            faults.add(Fault::Overlaps { name });
        }
        free
    });
    found
}
