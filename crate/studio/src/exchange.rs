//! Clients in and out: opening, beginning, photos. What is done with files is
//! in [`crate::client_files`].

use ophryon_record::{Edit, History, Image, Photo, PhotoState, Record, VisitChange, VisitEdit};
use wasm_bindgen_futures::spawn_local;
use web_sys::File;

use crate::device::pictures::{self, Picture};
use crate::device::{clock, page, settings, store};
use crate::keeper::{Keeping, Seat};
use crate::markup::glance;
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
        (self.later.files.get().await?.open)(self, key.to_owned()).await
    }

    /// Begins a new client.
    pub fn begin(self, code: &str) {
        self.keeper.clear();
        let mut record = Record::new(code);
        if let Some(random) = page::random() {
            record.identify(random);
        }
        self.set_to_work(store::new_key(), record, Place::Face);
        spawn_local(async move {
            // What keeps her comes with the same part.
            if let Ok(files) = self.later.files.get().await {
                (files.sit)(self).await;
                (files.begin_with_own)(self).await;
            }
        });
    }

    /// A client to work on from now on.
    pub fn set_to_work(self, key: String, record: Record, place: Place) {
        self.view.clear();
        self.settings.sheet.update(settings::usual_sheet);
        self.said.set(None);
        self.on_paper.set(None);
        self.work.set(Some(Work {
            key,
            history: History::new(record),
        }));
        let state = self
            .settled()
            .and_then(|r| r.design_photo().map(|p| p.state));
        self.view.on_photo.set(state.unwrap_or_default());
        self.view.place.set(place);
    }

    /// Back to the first screen once the client is kept. Where she can't be,
    /// this screen stays and says so.
    pub async fn close(self) {
        self.finish();
        if self.keeper.seat_now() == Seat::Here {
            self.keep_now().await;
            if matches!(
                self.keeper.keeping.get_clone_untracked(),
                Keeping::Trouble(_)
            ) {
                self.keeper.wants_to_leave.set(true);
                return;
            }
        }
        self.leave();
    }

    /// Back to the first screen at once.
    pub fn leave(self) {
        let left = self.key_now().zip(self.state_now());
        let is_kept = self.keeper.keeping.get_clone_untracked() == Keeping::Kept;
        let was_here = self.keeper.seat_now() == Seat::Here;
        self.work.set(None);
        self.view.clear();
        self.said.set(None);
        self.keeper.clear();
        if let Some((key, state)) = left.filter(|_| is_kept && was_here) {
            spawn_local(async move {
                if let Ok(files) = self.later.files.get().await {
                    (files.left)(self, key, state).await;
                }
            });
        }
    }

    /// Opens a sample.
    ///
    /// # Errors
    /// A sentence.
    pub async fn open_sample(self, sample: Sample, how: Practise) -> Result<(), String> {
        (self.later.files.get().await?.open_sample)(self, sample, how).await
    }

    /// Opens a client's file that was saved.
    ///
    /// # Errors
    /// A sentence naming the file; what was open stays.
    pub async fn open_file(self, file: &File) -> Result<(), String> {
        (self.later.files.get().await?.open_file)(self, file.clone()).await
    }

    /// Saves the client's file under her code.
    pub fn save_client(self) {
        spawn_local(async move {
            let outcome = match self.later.files.get().await {
                Ok(files) => (files.save)(self).await,
                Err(why) => Err(why),
            };
            self.tell(outcome);
        });
    }

    /// Brings a photo into the record, or back to it.
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn bring_photo(self, file: File, shows: Shows) -> Result<(), String> {
        self.keeper.may_change()?;
        let looks = self.later.photos.get().await?.looks;
        let picture = pictures::take(looks, &file).await?;
        if self.returned(&picture, shows).await {
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
    async fn returned(self, picture: &Picture, shows: Shows) -> bool {
        let photo = glance(|| self.photo());
        // One that was erased at her wish comes back by no accident.
        let Some(photo) = photo.filter(|p| !p.erased) else {
            return false;
        };
        if matches!(shows, Shows::State(state) if state != photo.state) {
            return false;
        }
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

    /// Keeps a photo with a visit, as one step.
    ///
    /// # Errors
    /// A sentence; nothing is changed.
    pub async fn bring_visit_photo(self, file: File, visit: usize) -> Result<(), String> {
        let looks = self.later.photos.get().await?.looks;
        let picture = pictures::take(looks, &file).await?;
        let Some(record) = self.settled() else {
            return Ok(());
        };
        let photo = self.held(&record, picture, PhotoState::Visit);
        let mut photos = record
            .visits
            .get(visit)
            .map(|v| v.photos.clone())
            .unwrap_or_default();
        photos.push(photo.id.clone());
        let edits = [
            Edit::AddPhoto(photo),
            Edit::Visit(VisitEdit::Change {
                visit,
                what: VisitChange::Photos(photos),
            }),
        ];
        self.apply_all(&edits, "add a photo to the visit");
        Ok(())
    }

    /// The photo to be added, with its picture handed to the keeper.
    fn held(self, record: &Record, picture: Picture, state: PhotoState) -> Photo {
        let id = record.free_photo_id();
        let name = picture_name(&id, picture.media_type);
        let image = Image::File { name: name.clone() };
        let mut photo = Photo::new(id, state, image, picture.width, picture.height);
        photo.optics = picture.optics;
        self.keeper.hold(&name, picture.blob, false);
        photo
    }

    /// Takes a photo; one of the face in the same state goes. One of healed
    /// brows stays with the visit it was measured for.
    fn take_photo(self, picture: Picture, state: PhotoState) {
        let Some(record) = self.settled() else {
            return;
        };
        let (scaled, width, height) = (picture.scaled, picture.width, picture.height);
        let mut edits = vec![Edit::AddPhoto(self.held(&record, picture, state))];
        let old = record.photos.iter().filter(|p| p.state == state);
        let photo = |p: &Photo| p.id.clone();
        match state {
            PhotoState::Visit => {}
            PhotoState::Healed => edits.extend(old.map(|p| Edit::SetState {
                photo: photo(p),
                state: PhotoState::Visit,
            })),
            _ => edits.extend(old.map(|p| Edit::RemovePhoto { photo: photo(p) })),
        }
        let what = if edits.len() > 1 {
            format!("change the photo {}", words::state(state))
        } else {
            format!("add the photo {}", words::state(state))
        };
        if self.apply_all(&edits, &what) && state != PhotoState::Visit {
            self.view.look_at_photo(state);
            self.view.go(Place::Face);
            if edits.len() > 1 {
                self.view
                    .way
                    .update(|w| w.skipped.retain(|(s, _)| *s != state));
            }
            if scaled {
                self.said.set(Some(format!(
                    "The photo was larger than 24 megapixels and was made smaller: {} x {} px. The scale is set on the smaller one, so nothing is lost in millimetres.",
                    width, height
                )));
            }
        }
    }
}

/// A file name that no picture of the client has or had: an earlier version
/// may still need one of the same id.
fn picture_name(id: &str, media_type: &str) -> String {
    let stamp = clock::now_ms() as u64 % 0x1_0000_0000;
    let chance = page::random().map_or(0, |bytes| u16::from_le_bytes([bytes[0], bytes[1]]));
    let ending = Picture::ending(media_type);
    format!("{id}-{stamp:x}{chance:04x}.{ending}")
}

/// What the face is doing in a photo that is brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// That.
    State(PhotoState),
    /// It is asked for.
    Unknown,
}
