//! Earlier versions: when one is kept, what is said of it, its small picture.

use ophryon_record::{Image, Record};
use wasm_bindgen_futures::spawn_local;
use web_sys::Blob;

use super::{look, read, write};
use crate::device::clock;
use crate::device::store::{Cause, NewVersion, Store};
use crate::keeper::Keeping;
use crate::pictures_of;
use crate::studio::Studio;
use crate::words;

/// One is kept after so much work, ms.
const WORK_MS: f64 = 4.0 * 60.0 * 1000.0;

/// A state of a client, with the pictures that may not be in the store yet.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// The record.
    pub record: Record,
    /// Its pictures.
    pub pictures: Vec<(String, Blob)>,
}

/// Why one is due after a write that went well; `before` is the last one in
/// this sitting, of `at_ms`.
fn due(record: &Record, before: &Record, at_ms: f64, now_ms: f64) -> Option<Cause> {
    if record.consent.agreements.len() > before.consent.agreements.len() {
        return Some(Cause::Agreed);
    }
    // A clock that was set back must not keep versions away.
    let since = now_ms - at_ms;
    (!(0.0..WORK_MS).contains(&since) && record != before).then_some(Cause::Work)
}

/// Looks whether a version is due. Nothing waits for it.
pub fn after_a_write(studio: Studio) {
    let Some(record) = studio.settled() else {
        return;
    };
    let now_ms = clock::now_ms();
    let Some((before, at_ms)) = studio.keeper.last_version() else {
        // A client who has just begun: what comes is measured from here.
        studio.keeper.versioned(Some((record, now_ms)));
        return;
    };
    if let Some(cause) = due(&record, &before, at_ms, now_ms) {
        now(studio, cause);
    }
}

/// Keeps one of the client in work, beside whatever else is done.
pub(super) fn now(studio: Studio, cause: Cause) {
    let (Some(client), Some(state)) = (studio.key_now(), studio.state_now()) else {
        return;
    };
    studio
        .keeper
        .versioned(Some((state.record.clone(), clock::now_ms())));
    spawn_local(async move {
        if let Err(why) = keep(studio, &client, cause, state).await {
            // The client herself is kept or not for reasons of her own.
            if studio.keeper.keeping.get_clone_untracked() == Keeping::Kept {
                studio.said.set(Some(format!(
                    "{why} The client is kept as she is; only this earlier version isn’t."
                )));
            }
        }
    });
}

/// One of a client who was left, and what nobody needs any more goes.
pub(super) async fn left(studio: Studio, client: String, state: State) {
    let needed: Vec<String> = pictures_of(&state.record).map(str::to_owned).collect();
    // The next time she is opened is early enough for what fails here.
    let _ = keep(studio, &client, Cause::Left, state).await;
    if let Ok(store) = studio.keeper.store().await {
        let _ = store.tidy(&client, &needed).await;
    }
}

/// Keeps a version, unless the last one is the same.
pub(super) async fn keep(
    studio: Studio,
    client: &str,
    cause: Cause,
    state: State,
) -> Result<(), String> {
    let store = studio.keeper.store().await?;
    let versions = store.versions(client).await?;
    let last = match versions.first() {
        Some(last) => Some(store.version_record(client, last.version.number).await?),
        None => None,
    };
    let text = write(&state.record)?;
    if last.as_ref() == Some(&text) {
        return Ok(());
    }
    let says = match last.and_then(|text| read(&text).ok()) {
        Some(before) => words::in_short(state.record.changes_since(&before)),
        None => String::new(),
    };
    let look = look::draw(&state.record, |name| {
        let found = state.pictures.iter().find(|(n, _)| n == name);
        found.map(|(_, blob)| blob.clone())
    })
    .await;
    let new = NewVersion {
        at_ms: clock::now_ms(),
        cause,
        says: &says,
        pictures: pictures_of(&state.record).map(str::to_owned).collect(),
        record: &text,
        look: look.as_ref(),
    };
    // Only those that the store hasn't got: the others are in it for good.
    let mut missing = Vec::new();
    for (name, blob) in &state.pictures {
        if store.picture(client, name).await?.is_none() {
            missing.push((name.clone(), blob.clone()));
        }
    }
    // Her photos may have been erased while this was drawn: they don't come back.
    let may = |here: &str| match read(here) {
        Ok(here) => brings_none_back(&state.record, &here),
        Err(_) => false,
    };
    store.keep_version(client, &new, &missing, may).await
}

/// Whether a state holds no photo that is erased in the record as it is kept.
fn brings_none_back(state: &Record, here: &Record) -> bool {
    let is_erased = |id: &str| here.photo(id).is_some_and(|p| p.erased);
    let mut photos = state.photos.iter().filter(|p| !p.erased);
    !photos.any(|p| is_erased(&p.id))
}

/// The small picture of a version that has none yet.
pub(super) async fn look_of(store: &Store, client: &str, number: u32) -> Option<Blob> {
    let text = store.version_record(client, number).await.ok()?;
    let record = read(&text).ok()?;
    let photo = record.design_photo()?;
    let Image::File { name } = &photo.image else {
        return None;
    };
    let blob = store.picture(client, name).await.ok()??;
    let look = look::draw(&record, |_| Some(blob.clone())).await?;
    // It is drawn again the next time where it can't be kept.
    let _ = store.set_look(client, number, name, &look).await;
    Some(look)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_record::{Photo, PhotoState};

    #[test]
    fn a_version_is_due_after_minutes_of_work_and_when_the_clock_jumps_back() {
        let before = Record::new("A");
        let mut now = before.clone();
        now.client.note = "changed".to_owned();
        let at = 1e12;
        assert_eq!(due(&now, &before, at, at + 1000.0), None);
        assert_eq!(due(&now, &before, at, at + WORK_MS), Some(Cause::Work));
        assert_eq!(due(&now, &before, at, 1e9), Some(Cause::Work));
        assert_eq!(due(&before, &before, at, at + WORK_MS), None);
    }

    #[test]
    fn a_version_with_photos_that_were_erased_meanwhile_is_not_kept() {
        let mut before = Record::new("A");
        let image = Image::File {
            name: "photo-1.jpg".to_owned(),
        };
        let photo = Photo::new("photo-1", PhotoState::Relaxed, image, 90, 120);
        before.photos.push(photo);
        assert!(brings_none_back(&before, &before));
        let erased = before.without_photos();
        assert!(!brings_none_back(&before, &erased));
        assert!(brings_none_back(&erased, &erased));
        // Without the photo, as by an undo, she has none to bring.
        assert!(brings_none_back(&Record::new("A"), &erased));
    }
}
