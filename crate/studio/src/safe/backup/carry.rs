//! What a client's record and pictures become on this device when a restore
//! brings them: which picture is written under which name, and what the record
//! calls it.

use std::collections::{BTreeMap, BTreeSet};

use ophryon_archive::BackedUp;
use ophryon_record::{Image, Record};

use crate::device::pictures::Picture;

/// A client as she is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Carried {
    /// Her record, pictures beside it.
    pub record: Record,
    /// Pictures to write, by file name.
    pub pictures: Vec<(String, Vec<u8>)>,
}

/// File names of a client's pictures that are on this device.
pub type Here = BTreeSet<String>;

/// A client that is not here, or comes beside one.
pub fn whole(client: BackedUp) -> Carried {
    in_place_of(client, None, &Here::new())
}

/// A client in place of one that is here. A picture that only the device has
/// stays with its photo. Where the device has another picture of the same name
/// the store gives way, see [`crate::device::store::Store::put_whole`].
pub fn in_place_of(client: BackedUp, before: Option<&Record>, here: &Here) -> Carried {
    let mut given = pictures_by_photo(&client);
    let mut record = client.record;
    let mut taken = BTreeSet::new();
    for photo in &mut record.photos {
        if !given.contains_key(&photo.id)
            && let Some(name) = kept_name(before, &photo.id, here)
        {
            taken.insert(name.clone());
            photo.image = Image::File { name };
        }
    }
    let mut pictures = Vec::new();
    for photo in &mut record.photos {
        let Some(bytes) = given.remove(&photo.id) else {
            continue;
        };
        let wished = match &photo.image {
            Image::File { name } => name.clone(),
            Image::Embedded { media_type, .. } => {
                format!("{}.{}", photo.id, Picture::ending(media_type))
            }
        };
        let name = free(&wished, &mut taken);
        pictures.push((name.clone(), bytes));
        photo.image = Image::File { name };
    }
    Carried { record, pictures }
}

/// Pictures for photos of a client here that lost theirs.
pub fn missing(client: &BackedUp, before: &Record, here: &Here) -> Vec<(String, Vec<u8>)> {
    let mut given = pictures_by_photo(client);
    let wanted = before.photos.iter().filter(|p| !p.erased);
    wanted
        .filter_map(|photo| match &photo.image {
            Image::File { name } if !here.contains(name) => {
                Some((name.clone(), given.remove(&photo.id)?))
            }
            _ => None,
        })
        .collect()
}

fn pictures_by_photo(client: &BackedUp) -> BTreeMap<String, Vec<u8>> {
    let mut given = BTreeMap::new();
    for photo in &client.record.photos {
        if let Some(bytes) = photo.image.bytes() {
            given.insert(photo.id.clone(), bytes);
        }
    }
    for picture in &client.photos {
        given.insert(picture.photo.clone(), picture.bytes.clone());
    }
    given
}

/// The name under which the device has the picture of a photo of that id.
fn kept_name(before: Option<&Record>, id: &str, here: &Here) -> Option<String> {
    match &before?.photo(id)?.image {
        Image::File { name } if here.contains(name) => Some(name.clone()),
        _ => None,
    }
}

/// That name, or one like it that nothing has yet.
fn free(wished: &str, taken: &mut BTreeSet<String>) -> String {
    let (stem, ending) = wished.rsplit_once('.').unwrap_or((wished, "jpg"));
    let mut name = wished.to_owned();
    let mut number = 2;
    while !taken.insert(name.clone()) {
        name = format!("{stem}-{number}.{ending}");
        number += 1;
    }
    name
}

/// The kind of a picture, by its first bytes.
pub fn media_type(bytes: &[u8]) -> &'static str {
    // The first bytes of every PNG (ISO/IEC 15948, 5.2).
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        "image/png"
    } else {
        "image/jpeg"
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_archive::{Picture as File, state_of};
    use ophryon_record::{Photo, PhotoState};

    fn record(photos: &[(&str, &str)]) -> Record {
        let mut record = Record::new("K7");
        for (id, name) in photos {
            let image = Image::File {
                name: (*name).to_owned(),
            };
            record
                .photos
                .push(Photo::new(*id, PhotoState::Relaxed, image, 90, 120));
        }
        record
    }

    fn backed_up(record: &Record, photos: &[(&str, &str, &[u8])]) -> BackedUp {
        BackedUp {
            record: record.clone(),
            photos: photos
                .iter()
                .map(|(photo, name, bytes)| File {
                    photo: (*photo).to_owned(),
                    name: (*name).to_owned(),
                    bytes: bytes.to_vec(),
                })
                .collect(),
            changed: None,
            faults: Vec::new(),
        }
    }

    fn here(files: &[&str]) -> Here {
        files.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn a_new_client_comes_as_she_was() {
        let record = record(&[("a", "a.jpg"), ("b", "b.png")]);
        let files: [(&str, &str, &[u8]); 2] = [("a", "a.jpg", b"A"), ("b", "b.png", b"B")];
        let carried = whole(backed_up(&record, &files));
        assert_eq!(carried.record, record);
        let written = [
            ("a.jpg".to_owned(), b"A".to_vec()),
            ("b.png".to_owned(), b"B".to_vec()),
        ];
        assert_eq!(carried.pictures, written);
    }

    #[test]
    fn pictures_inside_the_file_come_to_lie_beside_it_and_none_takes_anothers_place() {
        let mut record = record(&[("a", "p.jpg"), ("b", "p.jpg")]);
        record.photos.push(Photo::new(
            "c",
            PhotoState::EyesOpen,
            Image::embed("image/png", b"C"),
            90,
            120,
        ));
        let files: [(&str, &str, &[u8]); 2] = [("a", "p.jpg", b"A"), ("b", "p.jpg", b"B")];
        let carried = whole(backed_up(&record, &files));
        let names: Vec<_> = carried.pictures.iter().map(|(n, _)| n.as_str()).collect();
        assert_eq!(names, ["p.jpg", "p-2.jpg", "c.png"]);
        assert_eq!(state_of(&carried.record), state_of(&record));
    }

    #[test]
    fn a_picture_that_only_the_device_has_stays_with_its_photo() {
        let before = record(&[("a", "a.jpg"), ("c", "a-2.jpg")]);
        let there = record(&[
            ("c", "c.jpg"),
            ("a", "a.jpg"),
            ("b", "a-2.jpg"),
            ("d", "d.jpg"),
        ]);
        let files: [(&str, &str, &[u8]); 2] = [("a", "a.jpg", b"A"), ("b", "a-2.jpg", b"B")];
        let carried = in_place_of(
            backed_up(&there, &files),
            Some(&before),
            &here(&["a.jpg", "a-2.jpg"]),
        );
        let names: Vec<_> = crate::pictures_of(&carried.record).collect();
        assert_eq!(names, ["a-2.jpg", "a.jpg", "a-2-2.jpg", "d.jpg"]);
        let written: Vec<_> = carried.pictures.iter().map(|(n, _)| n.as_str()).collect();
        assert_eq!(written, ["a.jpg", "a-2-2.jpg"]);
    }

    #[test]
    fn only_pictures_that_are_missing_are_added() {
        let before = record(&[("a", "a.jpg"), ("b", "kept.jpg")]);
        let there = record(&[("a", "x.jpg"), ("b", "y.jpg"), ("z", "z.jpg")]);
        let files: [(&str, &str, &[u8]); 3] = [
            ("a", "x.jpg", b"A"),
            ("b", "y.jpg", b"B"),
            ("z", "z.jpg", b"Z"),
        ];
        let added = missing(&backed_up(&there, &files), &before, &here(&["a.jpg"]));
        assert_eq!(added, [("kept.jpg".to_owned(), b"B".to_vec())]);
    }
}
