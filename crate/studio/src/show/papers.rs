//! Asks for an agreement on paper, with her face where she lets photos be kept.

use ophryon_record::Image;
use sycamore::reactive::Signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::markup::{p, shows};
use crate::paper::agreement::{To, Wanted};
use crate::studio::Studio;

/// Puts one agreement on paper. `busy` while that takes.
pub fn put_on_paper(studio: Studio, index: usize, with_face: bool, to: To, busy: Signal<bool>) {
    busy.set(true);
    spawn_local(async move {
        let made = async {
            let face = if with_face {
                face(studio, index).await?
            } else {
                None
            };
            let paper = studio.later.paper.get().await?;
            (paper.agreement)(studio, Wanted { index, face, to }).await
        };
        match made.await {
            Ok(missing) => studio.said.set(missing),
            Err(why) => studio.said.set(Some(why)),
        }
        // The artist may have gone on meanwhile.
        if busy.is_alive() {
            busy.set(false);
        }
    });
}

/// Her face with the shape of an agreement; none where its photo is gone, or
/// she lets none be kept.
async fn face(studio: Studio, index: usize) -> Result<Option<[Vec<u8>; 3]>, String> {
    let record = studio.settled().ok_or("No client is open.")?;
    let Some((sealed, as_agreed)) = record.with_agreement(index) else {
        return Ok(None);
    };
    let image = as_agreed.design_photo().map(|photo| photo.image.clone());
    let (true, Some(Image::File { name })) = (sealed.keeps_photos(), image) else {
        return Ok(None);
    };
    let Some(blob) = studio.keeper.picture(&name) else {
        return Ok(None);
    };
    let tone = studio.view.look.tone.get_untracked();
    crate::look::face_pictures(&as_agreed, tone, &blob)
        .await
        .map(Some)
}

/// While it is written.
pub fn busy_word(busy: Signal<bool>) -> View {
    shows(
        move || busy.get(),
        |is_busy| {
            if is_busy {
                p("Writing the paper")
                    .class("busy")
                    .at("role", "status")
                    .into()
            } else {
                View::new()
            }
        },
    )
}
