//! Her face as a picture that is sent to her own device, where the artist
//! chooses so.

use std::rc::Rc;

use ophryon_powder::Stage;
use web_sys::Blob;

use super::brows::Brows;
use super::canvas::{Made, Wanted};
use super::{Near, STAGES};
use crate::device::{pictures, said_by};
use crate::markup::glance;
use crate::stage::sight::Size;
use crate::studio::Studio;

/// Both halves of it, CSS px: a phone's width and more, brows and eyes.
const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 560.0;

/// Tried one after the other until the picture is small enough.
const QUALITIES: [f64; 3] = [0.86, 0.7, 0.5];

/// Brows and eyes, twice: above as they are, below with the fresh powder of
/// the present shape. A JPEG of at most so many bytes.
///
/// # Errors
/// A sentence.
pub async fn to_send(studio: Studio, most_bytes: f64) -> Result<Blob, String> {
    let brows = glance(|| {
        let record = studio.record()?;
        studio.of_shape(|drawn| Brows::of(&record, drawn)).flatten()
    });
    let brows = Rc::new(brows.ok_or("There is no shape on a photo to send yet.")?);
    let blob = studio.keeper.picture(&brows.photo);
    let blob = blob.ok_or("The photo isn't on this device, so it can't be sent.")?;
    let wanted = Wanted {
        brows,
        tone: studio.view.look.tone.get_untracked(),
        near: Near::Brows,
        view: Size::new(WIDTH, HEIGHT),
    };
    let painted = Made::default().paint(&wanted, &blob, || false).await?;
    let painted = painted.ok_or("The photo can't be painted.")?;
    let failed = |e| format!("The photo can't be sent ({}).", said_by(&e));
    let fresh = STAGES
        .iter()
        .position(|s| *s == Stage::Fresh)
        .unwrap_or_default();
    let both = painted.two(fresh).map_err(failed)?;
    for quality in QUALITIES {
        let picture = pictures::jpeg(&both, quality).await.map_err(failed)?;
        if picture.size() <= most_bytes {
            return Ok(picture);
        }
    }
    Err("The photo can't be made small enough to send.".to_owned())
}
