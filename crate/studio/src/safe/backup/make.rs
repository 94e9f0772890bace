//! Making a backup: every client, or one, into a file that the browser saves.

use ophryon_archive::{BackupWriter, Made, Passphrase, PhotoBytes, WriteError, state_of};
use ophryon_record::{Image, Record};
use web_sys::Blob;

use super::Whom;
use super::sink::Sink;
use crate::device::store::{Base, Raw, Store};
use crate::device::{clock, files, pictures};
use crate::safe::age::LAST;
use crate::safe::progress::{Progress, rest};
use crate::studio::Studio;
use crate::words;

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// The file's name.
    pub name: String,
    /// Clients in it.
    pub clients: usize,
    /// What is not in it, a sentence each.
    pub lacks: Vec<String>,
}

/// Makes a backup and hands it to the browser to be saved. One client is read
/// and in memory at a time. `None` where it was stopped: nothing was saved.
///
/// # Errors
/// A sentence; nothing was saved.
pub async fn make(
    studio: Studio,
    whom: Whom,
    passphrase: Option<Passphrase>,
    progress: Progress,
) -> Result<Option<Outcome>, String> {
    let read = studio.later.files.get().await?.read;
    let store = studio.keeper.store().await?;
    let keys = keys(&store, &whom).await?;
    progress.at(
        match passphrase {
            Some(_) => "Locking, which takes a moment",
            None => "Beginning",
        },
        None,
    );
    rest().await;
    let now = clock::now_ms();
    let made = Made::at_unix(env!("CARGO_PKG_VERSION"), (now / 1000.0) as i64);
    let mut writer = BackupWriter::new(Sink::new(passphrase.as_ref())?, made);
    let mut lacks = Vec::new();
    let mut bases = Vec::new();
    for (done, (key, changed)) in keys.iter().enumerate() {
        progress.at("Putting clients into the backup", Some((done, keys.len())));
        progress.breathe().await;
        if progress.is_stopped() {
            return Ok(None);
        }
        let raw = store.read(key).await?;
        let record = match read(&raw.record) {
            Ok(record) => record,
            Err(why) => {
                lacks.push(format!("A client can't be read, and is not in it. {why}"));
                continue;
            }
        };
        match add(&mut writer, &record, &raw, *changed).await {
            Ok(missing) => {
                let code = &record.client.code;
                lacks.extend(missing.iter().map(|photo| {
                    format!("{code}: the picture of {photo} is no longer on this device; all else of her is in it.")
                }));
                if let Ok(sum) = state_of(&record) {
                    bases.push((key.clone(), Base { sum, at_ms: now }));
                }
            }
            Err(WriteError::Io(why)) => return Err(not_written(&why.to_string())),
            Err(why @ (WriteError::Zip(_) | WriteError::TooMany)) => {
                return Err(words::sentence(&why.to_string()));
            }
            Err(why) => {
                let code = &record.client.code;
                lacks.push(format!("{code} is not in it: {why}."));
            }
        }
    }
    let sink = writer.finish().map_err(|e| not_written(&e.to_string()))?;
    let blob = sink.whole().map_err(|e| not_written(&e.to_string()))?;
    let name = file_name(&whom, passphrase.is_some());
    files::save_blob(&name, blob)?;
    let clients = bases.len();
    store.set_bases(&bases).await?;
    if whom == Whom::All {
        store.set_fact(LAST, &format!("{now:.0}")).await?;
    }
    Ok(Some(Outcome {
        name,
        clients,
        lacks,
    }))
}

fn not_written(why: &str) -> String {
    format!(
        "The backup can't be written ({why}). Nothing was saved, and every client is as she was. Make room on the device, or back up one client at a time."
    )
}

/// Whom to put in, with the second in which she was last changed.
async fn keys(store: &Store, whom: &Whom) -> Result<Vec<(String, Option<i64>)>, String> {
    let list = store.list().await?;
    let changed = |key: &String| {
        let entry = list.entries.iter().find(|e| e.key == *key);
        entry.map(|e| (e.changed_ms / 1000.0) as i64)
    };
    Ok(match whom {
        Whom::One(key, _) => vec![(key.clone(), changed(key))],
        Whom::All => {
            let listed = list.entries.iter().map(|e| e.key.clone());
            let seen = |key: &&String| !list.entries.iter().any(|e| e.key == **key);
            let unlisted = list.unlisted.iter().filter(seen).cloned();
            let all = listed.chain(unlisted);
            all.map(|key| (key.clone(), changed(&key))).collect()
        }
    })
}

/// Adds a client; gives the ids of photos without a picture.
async fn add(
    writer: &mut BackupWriter<Sink>,
    record: &Record,
    raw: &Raw,
    changed: Option<i64>,
) -> Result<Vec<String>, WriteError> {
    let mut held = Vec::new();
    for photo in record.photos.iter().filter(|p| !p.erased) {
        let Image::File { name } = &photo.image else {
            continue;
        };
        if let Some((_, blob)) = raw.pictures.iter().find(|(n, _)| n == name)
            && let Ok(bytes) = picture(blob).await
        {
            held.push((photo.id.as_str(), bytes));
        }
    }
    let photos: Vec<PhotoBytes<'_>> = held
        .iter()
        .map(|(photo, bytes)| PhotoBytes { photo, bytes })
        .collect();
    writer.add(record, &photos, changed)
}

/// A picture that can't be read is told as missing.
async fn picture(blob: &Blob) -> Result<Vec<u8>, String> {
    pictures::bytes(blob).await
}

/// `ophryon-2026-11-28.zip`, or with her code where it is of one.
fn file_name(whom: &Whom, is_locked: bool) -> String {
    let day = clock::today().map_or_else(String::new, |d| format!("-{d}"));
    let of = match whom {
        Whom::All => "ophryon".to_owned(),
        Whom::One(_, code) => format!("ophryon-{}", crate::client_files::plain(code)),
    };
    // An age file says so by its ending, so that other programs know it.
    let lock = if is_locked { ".age" } else { "" };
    format!("{of}{day}.zip{lock}")
}
