//! A tap on a pupil snaps to the rim of the iris, where that is in sight.

use std::time::Duration;

use ophryon_face::{Landmark, PupilVerdict, SidedLandmark, check_pupil_distance, pupil_distance};
use ophryon_frames::{Photo as Px, Point};
use ophryon_record::{Edit, Image, Photo, Snap};
use wasm_bindgen_futures::spawn_local;

use crate::ask::photo_in;
use crate::device::pictures::PupilTap;
use crate::device::{page, pictures};
use crate::markup::glance;
use crate::studio::Studio;
use crate::view::FoundRim;

/// The rim is shown for so long.
const SHOWN: Duration = Duration::from_secs(4);

/// An iris as it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundIris {
    /// Its middle.
    pub centre: Point<Px>,
    /// Half its width, px.
    pub radius_px: f64,
    /// Standard uncertainty of the middle, px.
    pub sd_px: f64,
}

/// Whether the pupils, with that tap, lie as far apart as few people's do.
fn is_scale_doubtful(photo: &Photo, landmark: Landmark, tap: Point<Px>) -> bool {
    let mut taps = photo.landmarks.clone();
    taps.set(landmark, tap);
    let apart = photo
        .first_reference()
        .and_then(|r| r.scale(&taps).ok())
        .and_then(|scale| pupil_distance(&taps, scale).ok());
    apart.is_some_and(|d| check_pupil_distance(d.mm).verdict != PupilVerdict::Usual)
}

impl Studio {
    /// Looks for the iris around a tap on a pupil; anything else is left. The
    /// tap stays a step of its own, so that undo leads back to it.
    pub fn snap(self, landmark: Landmark, tap: Point<Px>) {
        if !matches!(landmark, Landmark::Sided(_, SidedLandmark::Pupil)) {
            return;
        }
        let Some(photo) = glance(|| self.photo()) else {
            return;
        };
        spawn_local(async move {
            let found = self.look_for_iris(&photo, tap).await;
            // Meanwhile it may have been moved, or another client be open.
            let is_still_there = self.settled().is_some_and(|record| {
                record
                    .photo(&photo.id)
                    .is_some_and(|p| p.landmarks.get(landmark) == Some(tap))
            });
            if !is_still_there || self.is_previewing() {
                return;
            }
            match found {
                Ok(iris) => self.take_snap(&photo, landmark, tap, iris),
                // With a wrong scale an iris of the wrong size was looked for;
                // that is said by itself.
                Err(_) if is_scale_doubtful(&photo, landmark, tap) => {}
                Err(why) => self.said.set(Some(why)),
            }
        });
    }

    async fn look_for_iris(self, photo: &Photo, tap: Point<Px>) -> Result<FoundIris, String> {
        let looks = self.later.photos.get().await?.looks;
        let Image::File { name } = &photo.image else {
            return Err(
                "The photo isn’t kept on this device, so the tap was left as it is.".to_owned(),
            );
        };
        let blob = self
            .keeper
            .picture(name)
            .ok_or("The photo isn’t on this device, so the tap was left as it is.")?;
        let scale = photo
            .first_reference()
            .and_then(|r| r.scale(&photo.landmarks).ok());
        let tap = PupilTap {
            at: tap,
            photo: (photo.width_px, photo.height_px),
            scale,
        };
        let piece = (looks.eye)(tap)?;
        let rgba = pictures::pixels(&blob, tap.photo, piece).await?;
        (looks.iris)(&rgba, piece, tap)
    }

    fn take_snap(self, photo: &Photo, landmark: Landmark, tapped: Point<Px>, iris: FoundIris) {
        let chosen = self.view.chosen.get_untracked();
        let taken = self.apply(&Edit::SnapLandmark {
            photo: photo.id.clone(),
            landmark,
            at: iris.centre,
            snap: Snap {
                tapped,
                sd_px: Some(iris.sd_px),
            },
        });
        if !taken {
            return;
        }
        self.view.chosen.set(chosen);
        let rim = FoundRim {
            state: photo.state,
            landmark,
            centre: iris.centre,
            radius_px: iris.radius_px,
        };
        self.view.found.set(Some(rim));
        let found = self.view.found;
        page::later(SHOWN, move || {
            if found.get_untracked() == Some(rim) {
                found.set(None);
            }
        });
    }

    /// The tap as it was before the assistance found the iris.
    pub fn back_to_tap(self, landmark: Landmark) {
        let Some(record) = self.settled() else { return };
        let photo = photo_in(&record, self.view.on_photo.get_untracked());
        let snap = photo.and_then(|p| Some((p.id.clone(), *p.snapped.get(&landmark)?)));
        if let Some((photo, snap)) = snap {
            self.view.found.set(None);
            self.apply(&Edit::SetLandmark {
                photo,
                landmark,
                at: snap.tapped,
            });
        }
    }
}
