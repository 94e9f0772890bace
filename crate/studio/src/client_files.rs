//! Clients' files: reading, writing, opening, saving. A part of the app that is
//! fetched when it is first used: reached by [`FILES`] alone.

mod keeping;
mod look;
mod milestones;
mod opening;
mod windows;

use ophryon_face::Landmarks;
use ophryon_record::{Image, Record};
use web_sys::{Blob, File};

use crate::device::files;
use crate::device::pictures::{self, Picture};
use crate::device::store::{self, Cause, Entry, Store};
use crate::exchange::{Practise, Sample};
use crate::keeper::Keeper;
use crate::later::Work;
use crate::pictures_of;
use crate::places::Place;
use crate::studio::Studio;
use crate::words;

pub use keeping::{PutIn, put_in, relist};
pub use milestones::{State, after_a_write};
pub use windows::{gone, lose};

/// What is done with clients' files.
#[derive(Clone, Copy)]
pub struct Files {
    /// [`Record::from_json`], or the sentence why not.
    pub read: fn(&str) -> Result<Record, String>,
    /// [`Record::to_json`], or the sentence why not.
    pub write: fn(&Record) -> Result<String, String>,
    /// All clients on this device; see [`Keeper::listed`].
    pub clients: fn(Keeper) -> Work<Result<Vec<Entry>, String>>,
    /// Keeps the client in work; see [`Studio::keep_all`].
    pub keep_now: fn(Studio) -> Work<()>,
    /// Keeps an earlier version of the client in work.
    pub milestone: fn(Studio, Cause),
    /// The client of that key was left in that state.
    pub left: fn(Studio, String, State) -> Work<()>,
    /// The small picture of a version that has none yet.
    pub look_of: fn(Store, String, u32) -> Work<Option<Blob>>,
    /// Opens a client of this device.
    pub open: fn(Studio, String) -> Work<Result<(), String>>,
    /// Saves a client of this device as she is kept, also one that can't be
    /// opened.
    pub save_as_kept: fn(Studio, String) -> Work<Result<(), String>>,
    /// This window begins with the client in work.
    pub sit: fn(Studio) -> Work<()>,
    /// A new client's file begins with the artist's own figure for how much
    /// smaller a brow heals, once there is one.
    pub begin_with_own: fn(Studio) -> Work<()>,
    /// Takes the client in work over from another window.
    pub take_over: fn(Studio) -> Work<Result<(), String>>,
    /// Keeps the client in work anew who was erased in another window.
    pub keep_anew: fn(Studio) -> Work<()>,
    /// Opens a sample.
    pub open_sample: fn(Studio, Sample, Practise) -> Work<Result<(), String>>,
    /// Opens a file that was saved.
    pub open_file: fn(Studio, File) -> Work<Result<(), String>>,
    /// Saves the client in work as a file, photos inside.
    pub save: fn(Studio) -> Work<Result<(), String>>,
}

/// All of it.
pub const FILES: Files = Files {
    read,
    write,
    clients: |keeper| Box::pin(keeper.listed()),
    keep_now: |studio| Box::pin(studio.keep_all()),
    milestone: milestones::now,
    left: |studio, client, state| Box::pin(milestones::left(studio, client, state)),
    look_of: |store, client, number| {
        Box::pin(async move { milestones::look_of(&store, &client, number).await })
    },
    open: |studio, key| Box::pin(opening::open(studio, key)),
    save_as_kept: |studio, key| Box::pin(opening::save_as_kept(studio, key)),
    sit: |studio| Box::pin(windows::sit_alone(studio)),
    begin_with_own: |studio| Box::pin(crate::healed::learned::begin_with_own(studio)),
    take_over: |studio| Box::pin(windows::take_over(studio)),
    keep_anew: |studio| Box::pin(windows::keep_anew(studio)),
    open_sample: |studio, sample, how| Box::pin(open_sample(studio, sample, how)),
    open_file: |studio, file| Box::pin(open_file(studio, file)),
    save: |studio| Box::pin(save(studio)),
};

fn read(text: &str) -> Result<Record, String> {
    Record::from_json(text).map_err(|e| words::sentence(&e.to_string()))
}

fn write(record: &Record) -> Result<String, String> {
    record
        .to_json()
        .map_err(|e| words::sentence(&e.to_string()))
}

/// Opens a sample.
///
/// # Errors
/// A sentence.
async fn open_sample(studio: Studio, sample: Sample, how: Practise) -> Result<(), String> {
    let folder = format!("demo/{}", sample.folder);
    let text = files::fetch_text(&format!("{folder}/client.json")).await?;
    let mut record = read(&text)?;
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
    studio.keeper.clear();
    for (name, blob) in held {
        studio.keeper.hold(&name, blob, false);
    }
    studio.set_to_work(store::new_key(), record, place);
    windows::sit_alone(studio).await;
    Ok(())
}

/// Opens a client's file that was saved.
///
/// # Errors
/// A sentence naming the file; what was open stays.
async fn open_file(studio: Studio, file: File) -> Result<(), String> {
    let name = file.name();
    let told = |why: &str| {
        let why = words::sentence(why);
        format!("“{name}” was not opened. {why}")
    };
    let text = files::read_text(&file).await?;
    let mut record = read(&text).map_err(|e| told(&e))?;
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
    studio.keeper.clear();
    for (name, blob) in held {
        studio.keeper.hold(&name, blob, false);
    }
    studio.set_to_work(store::new_key(), record, place);
    windows::sit_alone(studio).await;
    if let Some(lost) = lost {
        studio.said.set(Some(format!(
            "The picture “{lost}” lies beside that file and did not come with it. Bring the photo again; everything tapped and drawn is there."
        )));
    }
    Ok(())
}

/// The client's file: JSON with the photos inside.
///
/// # Errors
/// A sentence.
async fn client_file(studio: Studio) -> Result<String, String> {
    studio.finish();
    let Some(mut record) = studio.settled() else {
        return Err("No client is open.".to_owned());
    };
    for photo in &mut record.photos {
        let Image::File { name } = &photo.image else {
            continue;
        };
        // A lost picture stays a name: the file still opens.
        if let Some(blob) = studio.keeper.picture(name) {
            let bytes = pictures::bytes(&blob).await?;
            let media_type = match blob.type_().as_str() {
                "image/png" => "image/png",
                _ => "image/jpeg",
            };
            photo.image = Image::embed(media_type, &bytes);
        }
    }
    write(&record)
}

/// Saves the client's file under her code.
async fn save(studio: Studio) -> Result<(), String> {
    let text = client_file(studio).await?;
    let code = studio.settled().map(|r| r.client.code).unwrap_or_default();
    files::save_text(&file_name(&code), "application/json", &text)
}

/// A file name from the artist's code.
fn file_name(code: &str) -> String {
    format!("{}.json", plain(code))
}

/// What of the artist's code a file's name can hold: letters and digits, and
/// whatever other scripts have; the rest as hyphens.
pub fn plain(code: &str) -> String {
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
        "client".to_owned()
    } else {
        plain.to_owned()
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
