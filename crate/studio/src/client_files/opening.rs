//! Opening a client of this device, and one that can't be opened as she is
//! kept.

use ophryon_record::{Image, PhotoState};
use serde_json::Value;

use super::{file_name, read, windows};
use crate::device::store::Raw;
use crate::device::{clock, files, pictures};
use crate::places::Place;
use crate::studio::Studio;

pub(super) async fn open(studio: Studio, key: String) -> Result<(), String> {
    studio.keeper.unread.set(None);
    let seat = windows::ask(studio, &key).await;
    let raw = studio.keeper.store().await?.read(&key).await?;
    let record = match read(&raw.record) {
        Ok(record) => record,
        Err(why) => {
            studio.keeper.unread.set(Some(key));
            return Err(format!(
                "This client was not opened and stays as she is kept. {why} Her file can be saved as it is."
            ));
        }
    };
    let kept = raw.with(record);
    studio.keeper.clear();
    for (name, blob) in kept.pictures {
        studio.keeper.hold(&name, blob, true);
    }
    studio.keeper.is_kept(&kept.record, kept.keepings);
    let opened = (kept.record.clone(), clock::now_ms());
    studio.keeper.versioned(Some(opened));
    // A healed photo that is tapped in part is gone on with.
    let is_healed_to_tap = kept.record.is_healed_to_tap();
    let place = match kept.record.drawn() {
        Ok(_) if !is_healed_to_tap => Place::Shape,
        _ => Place::Face,
    };
    studio.set_to_work(key, kept.record, place);
    if is_healed_to_tap {
        studio.view.look_at_photo(PhotoState::Healed);
    }
    windows::sit(studio, seat);
    if let Some(name) = kept.lost.first() {
        studio.said.set(Some(format!(
            "The picture “{name}” is no longer on this device; everything tapped and drawn is. Bring the photo again."
        )));
    }
    Ok(())
}

/// Saves a client's record as it is kept, whatever it holds, its photos inside
/// where it names them as this version does.
pub(super) async fn save_as_kept(studio: Studio, key: String) -> Result<(), String> {
    let raw = studio.keeper.store().await?.read(&key).await?;
    let (text, code) = with_pictures(&raw).await?;
    files::save_text(&file_name(&code), "application/json", &text)
}

async fn with_pictures(raw: &Raw) -> Result<(String, String), String> {
    let Ok(mut value) = serde_json::from_str::<Value>(&raw.record) else {
        // Damaged: what there is, to the letter.
        return Ok((raw.record.clone(), String::new()));
    };
    let code = value.pointer("/client/code").and_then(Value::as_str);
    let code = code.unwrap_or_default().to_owned();
    for (name, blob) in &raw.pictures {
        let beside = serde_json::json!({ "kind": "file", "name": name });
        if !holds(&value, &beside) {
            continue;
        }
        let bytes = pictures::bytes(blob).await?;
        let media_type = match blob.type_().as_str() {
            "image/png" => "image/png",
            _ => "image/jpeg",
        };
        let inside = serde_json::to_value(Image::embed(media_type, &bytes));
        let inside = inside.map_err(|e| format!("A photo can't be put into the file ({e})."))?;
        put_instead(&mut value, &beside, &inside);
    }
    Ok((format!("{value:#}\n"), code))
}

fn holds(value: &Value, what: &Value) -> bool {
    value == what
        || match value {
            Value::Array(all) => all.iter().any(|v| holds(v, what)),
            Value::Object(all) => all.values().any(|v| holds(v, what)),
            _ => false,
        }
}

fn put_instead(value: &mut Value, what: &Value, with: &Value) {
    if value == what {
        value.clone_from(with);
        return;
    }
    match value {
        Value::Array(all) => all.iter_mut().for_each(|v| put_instead(v, what, with)),
        Value::Object(all) => all.values_mut().for_each(|v| put_instead(v, what, with)),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_photo_comes_inside_wherever_a_later_version_names_it() {
        let beside = serde_json::json!({ "kind": "file", "name": "rest.jpg" });
        let mut file = serde_json::json!({
            "schema": 9, "albums": [{ "pictures": [{ "image": beside, "id": "a" }] }],
        });
        assert!(holds(&file, &beside));
        put_instead(&mut file, &beside, &serde_json::json!("inside"));
        assert_eq!(
            file.pointer("/albums/0/pictures/0/image"),
            Some(&serde_json::json!("inside"))
        );
        assert!(!holds(&file, &beside));
    }
}
