//! Clients in and out: opening, beginning, files, samples.

use ophryon_face::Landmarks;
use ophryon_record::{Edit, History, Image, Photo, PhotoState, Record};
use web_sys::File;

use crate::device::pictures::{self, Picture};
use crate::device::{files, settings, store};
use crate::markup::glance;
use crate::pictures_of;
use crate::places::Place;
use crate::studio::{Studio, Work};
use crate::words;

/// An invented client that is shipped beside the app.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sample {
    /// Folder below `demo/`.
    pub folder: &'static str,
    /// Her invented name.
    pub name: &'static str,
    /// What there is to see on her.
    pub about: &'static str,
}

/// All samples.
pub const SAMPLES: [Sample; 3] = [
    Sample {
        folder: "demo-even",
        name: "Ilvane",
        about: "Nearly even brows; a card in the photo.",
    },
    Sample {
        folder: "demo-set",
        name: "Tamsuri",
        about: "One brow sits higher; a round sticker in the photo.",
    },
    Sample {
        folder: "demo-movement",
        name: "Oriske",
        about: "One brow rises when the eyes open; a ruler in the photo.",
    },
];

/// How a sample is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Practise {
    /// Landmarks and scale are there.
    Shape,
    /// Only the photo.
    Everything,
}

impl Studio {
    /// Opens a client that is kept on this device.
    ///
    /// # Errors
    /// A sentence; the first screen stays.
    pub async fn open(self, key: &str) -> Result<(), String> {
        let kept = self.keeper.store().await?.fetch(key).await?;
        self.keeper.clear();
        for (name, blob) in kept.pictures {
            self.keeper.hold(&name, blob, true);
        }
        self.keeper.is_kept(key, &kept.record);
        let place = match kept.record.drawn() {
            Ok(_) => Place::Shape,
            Err(_) => Place::Face,
        };
        self.set_to_work(key.to_owned(), kept.record, place);
        if let Some(name) = kept.lost.first() {
            self.said.set(Some(format!(
                "The picture “{name}” is no longer on this device; everything tapped and drawn is. Bring the photo again."
            )));
        }
        Ok(())
    }

    /// Begins a new client.
    pub fn begin(self, code: &str) {
        self.keeper.clear();
        self.set_to_work(store::new_key(), Record::new(code), Place::Face);
    }

    fn set_to_work(self, key: String, record: Record, place: Place) {
        self.view.clear();
        self.said.set(None);
        self.on_paper.set(None);
        settings::write("last", &key);
        self.work.set(Some(Work {
            key,
            history: History::new(record),
        }));
        self.view.place.set(place);
    }

    /// Back to the first screen; the client is kept.
    pub async fn close(self) {
        self.finish();
        self.keep_now().await;
        self.work.set(None);
        self.view.clear();
        self.said.set(None);
        self.keeper.clear();
    }

    /// Opens a sample.
    ///
    /// # Errors
    /// A sentence.
    pub async fn open_sample(self, sample: Sample, how: Practise) -> Result<(), String> {
        let folder = format!("demo/{}", sample.folder);
        let text = files::fetch_text(&format!("{folder}/client.json")).await?;
        let mut record = Record::from_json(&text).map_err(|e| words::sentence(&e.to_string()))?;
        let mut held = Vec::new();
        for name in pictures_of(&record) {
            let blob = files::fetch_blob(&format!("{folder}/{name}")).await?;
            held.push((name.to_owned(), blob));
        }
        let place = match how {
            Practise::Shape => Place::Shape,
            Practise::Everything => {
                for photo in &mut record.photos {
                    photo.set_landmarks(Landmarks::default());
                    photo.references.clear();
                }
                record.pair = None;
                Place::Face
            }
        };
        self.keeper.clear();
        for (name, blob) in held {
            self.keeper.hold(&name, blob, false);
        }
        self.set_to_work(store::new_key(), record, place);
        Ok(())
    }

    /// Opens a client's file that was saved.
    ///
    /// # Errors
    /// A sentence naming the file; what was open stays.
    pub async fn open_file(self, file: &File) -> Result<(), String> {
        let name = file.name();
        let told = |why: &str| {
            let why = words::sentence(why);
            format!("“{name}” was not opened. {why}")
        };
        let text = files::read_text(file).await?;
        let mut record = Record::from_json(&text).map_err(|e| told(&e.to_string()))?;
        let mut held = Vec::new();
        for photo in &mut record.photos {
            let Image::Embedded { media_type, .. } = &photo.image else {
                continue;
            };
            let bytes = photo
                .image
                .bytes()
                .ok_or_else(|| told("a photo in it is damaged; fetch the copy it came from"))?;
            let blob = pictures::from_bytes(&bytes, media_type).map_err(|e| told(&e))?;
            let name = format!("{}.{}", photo.id, Picture::ending(media_type));
            photo.image = Image::File { name: name.clone() };
            held.push((name, blob));
        }
        let lost = pictures_of(&record)
            .find(|n| !held.iter().any(|(h, _)| h == n))
            .map(str::to_owned);
        let place = match record.drawn() {
            Ok(_) => Place::Shape,
            Err(_) => Place::Face,
        };
        self.keeper.clear();
        for (name, blob) in held {
            self.keeper.hold(&name, blob, false);
        }
        self.set_to_work(store::new_key(), record, place);
        if let Some(lost) = lost {
            self.said.set(Some(format!(
                "The picture “{lost}” lies beside that file and did not come with it. Bring the photo again; everything tapped and drawn is there."
            )));
        }
        Ok(())
    }

    /// The client's file: JSON with the photos inside.
    ///
    /// # Errors
    /// A sentence.
    pub async fn client_file(self) -> Result<String, String> {
        self.finish();
        let Some(mut record) = self.settled() else {
            return Err("No client is open.".to_owned());
        };
        for photo in &mut record.photos {
            let Image::File { name } = &photo.image else {
                continue;
            };
            // A lost picture stays a name: the file still opens.
            if let Some(blob) = self.keeper.picture(name) {
                let bytes = pictures::bytes(&blob).await?;
                let media_type = match blob.type_().as_str() {
                    "image/png" => "image/png",
                    _ => "image/jpeg",
                };
                photo.image = Image::embed(media_type, &bytes);
            }
        }
        record
            .to_json()
            .map_err(|e| words::sentence(&e.to_string()))
    }

    /// Brings a photo into the record, or back to it.
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn bring_photo(self, file: File) -> Result<(), String> {
        let picture = pictures::take(&file).await?;
        let lost = glance(|| self.photo()).and_then(|p| match &p.image {
            Image::File { name } if self.keeper.picture(name).is_none() => Some((name.clone(), p)),
            _ => None,
        });
        if let Some((name, photo)) = lost {
            if (photo.width_px, photo.height_px) != (picture.width, picture.height) {
                return Err(format!(
                    "That photo is {} x {} px; the one that was tapped is {} x {} px. Choose the same photo, or remove the old one first.",
                    picture.width, picture.height, photo.width_px, photo.height_px
                ));
            }
            self.keeper.hold(&name, picture.blob, false);
            self.keep_now().await;
            self.said.set(None);
            return Ok(());
        }
        let Some(record) = self.settled() else {
            return Ok(());
        };
        let old: Vec<String> = record.photos.iter().map(|p| p.id.clone()).collect();
        let id = record.free_photo_id();
        let name = format!("{id}.{}", Picture::ending(picture.media_type));
        let photo = Photo::new(
            id,
            PhotoState::Relaxed,
            Image::File { name: name.clone() },
            picture.width,
            picture.height,
        );
        self.keeper.hold(&name, picture.blob, false);
        // Until two photos of a client are compared, the newest is the one.
        let mut edits = vec![Edit::AddPhoto(photo)];
        edits.extend(old.into_iter().map(|photo| Edit::RemovePhoto { photo }));
        let what = if edits.len() > 1 {
            "change the photo"
        } else {
            "add a photo"
        };
        if self.apply_all(&edits, what) {
            self.view.way.set(crate::ask::UnderWay::default());
            self.view.let_go();
            if picture.scaled {
                self.said.set(Some(format!(
                    "The photo was larger than 24 megapixels and was made smaller: {} x {} px. The scale is set on the smaller one, so nothing is lost in millimetres.",
                    picture.width, picture.height
                )));
            }
        }
        Ok(())
    }
}
