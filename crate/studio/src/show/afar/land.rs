//! A link with a signed answer was opened on the artist's device: whose it is
//! is found among the clients that are kept here.

use ophryon_agreement::{Nonce, PacketKind, unpack};
use ophryon_record::Answer;
use wasm_bindgen_futures::spawn_local;

use super::Afar;
use super::answer::take;
use crate::places::Place;
use crate::studio::Studio;
use crate::words::sentence;

/// Opens her file and takes the answer, or says why not. Nothing else of any
/// file is looked at than whether that number stands in it.
pub fn land(studio: Studio, packet: String) {
    spawn_local(async move {
        let outcome = landed(studio, &packet).await;
        let is_open = studio.key_now().is_some();
        Afar::get().is_about(studio.key_now());
        match outcome {
            Ok(words) => Afar::get().tell(Ok(words)),
            Err(why) if is_open => Afar::get().tell(Err(why)),
            // The first screen has no panel to say it in.
            Err(why) => studio.said.set(Some(sentence(&why))),
        }
    });
}

async fn landed(studio: Studio, packet: &str) -> Result<String, String> {
    let answer: Answer = unpack(PacketKind::Answer, packet).map_err(|why| why.to_string())?;
    let key = whose(studio, answer.nonce).await?;
    let key = key.ok_or(
        "this answers no question that was sent from this device; open it where the client's file is",
    )?;
    studio.open(&key).await?;
    studio.view.go(Place::Show);
    let outcome = take(studio, packet);
    studio.keep_now().await;
    outcome
}

/// The client who was asked under that number, or answered it before.
async fn whose(studio: Studio, nonce: Nonce) -> Result<Option<String>, String> {
    let store = studio.keeper.store().await?;
    let number = nonce.to_string();
    for key in store.keys().await? {
        if store.record_text(&key).await?.contains(&number) {
            return Ok(Some(key));
        }
    }
    Ok(None)
}
