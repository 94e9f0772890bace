//! Looks for the hair of both brows in the photo's pixels.

use ophryon_frames::{Side, Sided};
use ophryon_photo::{FoundHair, HairSearch, Layout, Pixels, Size, find_hair};
use ophryon_record::{Edit, Image, Photo};
use wasm_bindgen_futures::spawn_local;
use web_sys::Blob;

use super::{border, px_per_mm};
use crate::device::{page, pictures};
use crate::markup::glance;
use crate::studio::Studio;
use crate::words;

/// Finds it and keeps it as one step; says what stands in the way.
pub fn find(studio: Studio) {
    let hairing = studio.view.hairing;
    if hairing.is_busy.get_untracked() {
        return;
    }
    let (photo, px_per_mm) = glance(|| (studio.photo(), px_per_mm(studio)));
    let (Some(photo), Some(px_per_mm)) = (photo, px_per_mm) else {
        return;
    };
    let client = studio.key_now();
    hairing.is_busy.set(true);
    studio.said.set(None);
    spawn_local(async move {
        let found = search(studio, &photo, px_per_mm).await;
        if studio.key_now() != client {
            return;
        }
        hairing.is_busy.set(false);
        // Meanwhile another photo may have taken its place.
        let same = glance(|| studio.photo()).is_some_and(|now| now.id == photo.id);
        match found {
            Ok(found) if same => take(studio, &photo, found),
            Ok(_) => {}
            Err(why) => studio.said.set(Some(words::sentence(&why))),
        }
    });
}

type Sides = Sided<Result<FoundHair, String>>;

async fn search(studio: Studio, photo: &Photo, px_per_mm: f64) -> Result<Sides, String> {
    let away = "the photo isn't on this device, so the hair can't be looked for; the brush still adds it by hand";
    let Image::File { name } = &photo.image else {
        return Err(away.to_owned());
    };
    let blob = studio.keeper.picture(name).ok_or(away)?;
    let right = one(&blob, photo, Side::Right, px_per_mm).await;
    let left = one(&blob, photo, Side::Left, px_per_mm).await;
    Ok(Sided { right, left })
}

async fn one(blob: &Blob, photo: &Photo, side: Side, px_per_mm: f64) -> Result<FoundHair, String> {
    let search =
        HairSearch::of_landmarks(&photo.landmarks, side, px_per_mm).map_err(|e| e.to_string())?;
    let whole = Size::new(photo.width_px, photo.height_px);
    let outside = "the brow lies outside of the photo; tap its places again";
    let crop = search.crop(whole).ok_or(outside)?;
    let rgba = pictures::pixels(blob, (photo.width_px, photo.height_px), crop.into()).await?;
    // So that it is seen that something is under way.
    page::breathe().await;
    let pixels = Pixels::of_crop(crop, Layout::Rgba, &rgba).ok_or(outside)?;
    find_hair(&pixels, &search).map_err(|e| e.to_string())
}

fn take(studio: Studio, photo: &Photo, found: Sides) {
    let mut edits = Vec::new();
    let mut remarks = Vec::new();
    let mut sides = Vec::new();
    for (side, found) in found.iter() {
        match found {
            Ok(found) => {
                sides.push(side);
                edits.push(Edit::TraceHair {
                    photo: photo.id.clone(),
                    side,
                    border: border::joined(&found.border),
                });
                if let Some(remark) = found.remark {
                    remarks.push(format!(
                        "{}: {}",
                        words::side_title(side),
                        remark.sentence()
                    ));
                }
            }
            Err(why) => remarks.push(format!(
                "{}: {}",
                words::side_title(side),
                words::sentence(why)
            )),
        }
    }
    let what = match sides[..] {
        [side] => format!("find the hair of the client's {} brow", side.name()),
        _ => "find the hair of both brows".to_owned(),
    };
    if edits.is_empty() || studio.apply_all(&edits, &what) {
        studio.view.hairing.remarks.set(remarks);
    }
}
