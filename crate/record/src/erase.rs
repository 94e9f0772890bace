//! Erasing: photos alone, or a client, with a receipt.

use ophryon_agreement::{Said, When};

use crate::{Image, Photo, Record};

/// The statement by which a client says whether her photos may be kept; every
/// text has it ([`ophryon_agreement::NEEDED_IDS`]).
const PHOTOS_KEPT: &str = "photo";

impl Record {
    /// When she signed that no photo of her is to be kept after that day, while
    /// there still is one. What she signed last counts, also where she withdrew
    /// her yes to the shape.
    pub fn photos_unwanted_since(&self) -> Option<When> {
        if self.photos.iter().all(|p| p.erased) {
            return None;
        }
        let last = self.consent.agreements.last()?.read().ok()?;
        let said = last.asked.statements.iter().find(|s| s.id == PHOTOS_KEPT);
        said.is_some_and(|s| s.said == Said::No).then_some(last.at)
    }

    /// The same client without a picture of her: what was tapped and measured
    /// stays, so that every number, the shape and its papers stay as well.
    /// Each photo is marked as erased; no picture's bytes are left.
    pub fn without_photos(&self) -> Self {
        let mut record = self.clone();
        for (i, photo) in record.photos.iter_mut().enumerate() {
            photo.erase(i);
        }
        record
    }

    /// What the artist can hand to a client whose file was erased, or print
    /// for her own list. `when` is the date as it is to stand there.
    pub fn erased_receipt(&self, what: Erased, when: &str) -> String {
        let code = &self.client.code;
        let pictures = self.photos.iter().filter(|p| !p.erased).count();
        let pictures = match pictures {
            1 => "1 photo".to_owned(),
            n => format!("{n} photos"),
        };
        let (gone, rest) = match what {
            Erased::Everything => (
                format!(
                    "The file of client {code} was erased: her name, notes, {pictures}, measurements, shapes and versions, agreements and visits."
                ),
                "Nothing of it is kept on this device.",
            ),
            Erased::Photos => (
                format!("The photos of client {code} were erased ({pictures})."),
                "Measurements, shapes, agreements and visits are kept.",
            ),
        };
        format!(
            "{gone}\n{rest}\nErased on {when}.\n\nBackups that were made before hold what they held. Each backup's place is known only to the person who made it: erase it there too.\n"
        )
    }
}

/// What a receipt is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Erased {
    /// The whole file.
    Everything,
    /// The pictures alone.
    Photos,
}

impl Photo {
    fn erase(&mut self, index: usize) {
        if let Image::Embedded { .. } = self.image {
            let name = format!("photo-{}.jpg", index + 1);
            self.image = Image::File { name };
        }
        self.erased = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::PhotoState;

    fn photographed() -> Record {
        let mut record = Record::new("K7");
        let embedded = Image::embed("image/jpeg", b"bytes of a picture");
        let beside = Image::File {
            name: "use.png".to_owned(),
        };
        for (id, image) in [("rest", embedded), ("use", beside)] {
            let photo = Photo::new(id, PhotoState::Relaxed, image, 900, 1200);
            record.photos.push(photo);
        }
        record
    }

    #[test]
    fn no_picture_stays_and_all_else_does() {
        let before = photographed();
        let after = before.without_photos();
        let text = after.to_json().unwrap();
        assert!(!text.contains("base64"));
        assert_eq!(Record::from_json(&text).unwrap(), after);
        for (old, new) in before.photos.iter().zip(&after.photos) {
            assert!(new.erased);
            assert_eq!((&old.id, &old.landmarks), (&new.id, &new.landmarks));
        }
    }

    #[test]
    fn a_receipt_names_the_code_and_never_the_person() {
        let mut record = photographed();
        record.client.name = Some("Invented Person".to_owned());
        let text = record.erased_receipt(Erased::Everything, "3 May 2027");
        assert!(text.contains("K7") && text.contains("2 photos") && text.contains("3 May 2027"));
        assert!(!text.contains("Invented"));
        let text = record
            .without_photos()
            .erased_receipt(Erased::Everything, "3 May 2027");
        assert!(text.contains("0 photos"));
    }
}
