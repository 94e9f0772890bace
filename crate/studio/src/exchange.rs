//! Clients in and out: opening, beginning, files, samples.

use ophryon_face::Landmarks;
use ophryon_record::{Edit, History, Image, Photo, PhotoState, Record};
use wasm_bindgen_futures::spawn_local;
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
        let files = self.later.files.get().await?;
        let kept = self.keeper.store().await?.fetch(key, files.read).await?;
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
        self.settings.sheet.update(settings::usual_sheet);
        self.said.set(None);
        self.on_paper.set(None);
        settings::write("last", &key);
        self.work.set(Some(Work {
            key,
            history: History::new(record),
        }));
        let state = self.settled().and_then(|r| r.design_photo().map(|p| p.state));
        self.view.on_photo.set(state.unwrap_or_default());
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
        let mut record = (self.later.files.get().await?.read)(&text)?;
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
        let files = self.later.files.get().await?;
        let mut record = (files.read)(&text).map_err(|e| told(&e))?;
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

    /// Saves the client's file under her code.
    pub fn save_client(self) {
        spawn_local(async move {
            let outcome = self.client_file().await.and_then(|text| {
                let code = self.settled().map(|r| r.client.code).unwrap_or_default();
                files::save_text(&file_name(&code), "application/json", &text)
            });
            self.tell(outcome);
        });
    }

    /// Brings a photo into the record, or back to it.
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn bring_photo(self, file: File, shows: Shows) -> Result<(), String> {
        let looks = self.later.photos.get().await?.looks;
        let picture = pictures::take(looks, &file).await?;
        if self.returned(&picture).await {
            return Ok(());
        }
        match shows {
            Shows::State(state) => self.take_photo(picture, state),
            Shows::Unknown => {
                self.view.go(Place::Face);
                self.view.let_go();
                self.view.coming.set(Some(picture));
                self.view.way.update(|w| w.coming = true);
            }
        }
        Ok(())
    }

    /// Whether it is the one that this device lost; then it is back.
    async fn returned(self, picture: &Picture) -> bool {
        let photo = glance(|| self.photo());
        let Some(photo) = photo else { return false };
        let Image::File { name } = &photo.image else {
            return false;
        };
        let same_size = (photo.width_px, photo.height_px) == (picture.width, picture.height);
        if self.keeper.picture(name).is_some() || !same_size {
            return false;
        }
        self.keeper.hold(name, picture.blob.clone(), false);
        self.keep_now().await;
        self.said.set(None);
        true
    }

    /// What the face is doing in the photo that was brought.
    pub fn coming_shows(self, state: PhotoState) {
        if let Some(picture) = self.view.coming.take() {
            self.take_photo(picture, state);
        }
    }

    /// Lets go of the photo that was brought.
    pub fn forget_coming(self) {
        self.view.coming.set(None);
        self.view.way.update(|w| w.coming = false);
    }

    /// Takes a photo; one of the face in the same state goes.
    fn take_photo(self, picture: Picture, state: PhotoState) {
        let Some(record) = self.settled() else {
            return;
        };
        let id = record.free_photo_id();
        let name = format!("{id}.{}", Picture::ending(picture.media_type));
        let image = Image::File { name: name.clone() };
        let mut photo = Photo::new(id, state, image, picture.width, picture.height);
        photo.optics = picture.optics;
        self.keeper.hold(&name, picture.blob, false);
        let mut edits = vec![Edit::AddPhoto(photo)];
        let old = record.photos.iter().filter(|p| p.state == state);
        edits.extend(old.map(|p| Edit::RemovePhoto {
            photo: p.id.clone(),
        }));
        let what = if edits.len() > 1 {
            format!("change the photo {}", words::state(state))
        } else {
            format!("add the photo {}", words::state(state))
        };
        if self.apply_all(&edits, &what) {
            self.view.look_at_photo(state);
            self.view.go(Place::Face);
            if edits.len() > 1 {
                self.view.way.update(|w| w.skipped.retain(|(s, _)| *s != state));
            }
            if picture.scaled {
                self.said.set(Some(format!(
                    "The photo was larger than 24 megapixels and was made smaller: {} x {} px. The scale is set on the smaller one, so nothing is lost in millimetres.",
                    picture.width, picture.height
                )));
            }
        }
    }
}

/// What the face is doing in a photo that is brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// That.
    State(PhotoState),
    /// It is asked for.
    Unknown,
}

/// A file name from the artist's code: letters and digits, and whatever other
/// scripts have; the rest as hyphens.
fn file_name(code: &str) -> String {
    let plain: String = code
        .trim()
        .chars()
        .map(|c| {
            let kept = c.is_ascii_alphanumeric() || !(c.is_ascii() || c.is_control());
            if kept { c } else { '-' }
        })
        .collect();
    let plain = plain.trim_matches('-');
    if plain.is_empty() {
        "client.json".to_owned()
    } else {
        format!("{plain}.json")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_holds_nothing_that_a_folder_could_stumble_over() {
        assert_eq!(file_name("K. M."), "K--M.json");
        assert_eq!(file_name("../../etc"), "etc.json");
        assert_eq!(file_name("Åsa 2"), "Åsa-2.json");
        assert_eq!(file_name(" / "), "client.json");
    }
}
