//! Erasing a client, or only her photos, with a receipt.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, ensure};
use ophryon_agreement::{Answer, Said, Signature, Touch, text_for};
use ophryon_record::{ConsentEdit, Edit, Image, Record, apply};
use thirtyfour::prelude::*;

use super::shelf::{counts, everybody, reopen};
use crate::at_a_desk;
use crate::desk::Desk;

/// A sample client with a photo and a shape, kept and left.
async fn somebody(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.drag("handle-right-peak", [0, -5]).await?;
    desk.reads("undo", "peak").await?;
    desk.reads("kept", "Kept").await?;
    desk.click("to-clients").await?;
    desk.find("details").await?;
    Ok(())
}

async fn type_code(desk: &Desk) -> Result<String> {
    let all = everybody(desk).await?;
    let code = all.keys().next().context("somebody is there")?.clone();
    let now = desk.find("erase-now").await?;
    ensure!(!now.is_enabled().await?, "it erases without the word");
    desk.find("erase-word").await?.send_keys(&code).await?;
    desk.click("erase-now").await?;
    Ok(code)
}

#[test]
fn a_client_is_erased_wholly_after_a_typed_word_and_leaves_a_receipt() {
    at_a_desk((820, 1180), "light", async |desk| {
        somebody(desk).await?;
        desk.click("details").await?;
        desk.click("erase").await?;
        let code = type_code(desk).await?;
        let said = desk.reads("receipt", "was erased").await?;
        ensure!(said.contains(&code), "“{said}” doesn't say who");
        desk.photograph("receipt").await?;
        let saved = String::from_utf8(desk.save("receipt-save").await?)?;
        ensure!(
            saved.contains(&code) && saved.contains("Backups that were made before"),
            "{saved}"
        );
        desk.click("receipt-done").await?;
        desk.find("no-clients").await?;
        for (store, count) in counts(desk).await? {
            ensure!(
                store == "facts" || count == 0,
                "{count} are left in {store}"
            );
        }
        Ok(())
    });
}

#[test]
fn photos_alone_are_erased_and_every_number_stays() {
    at_a_desk((1280, 800), "light", async |desk| {
        somebody(desk).await?;
        let before = everybody(desk).await?;
        desk.click("details").await?;
        desk.click("erase-photos").await?;
        let code = type_code(desk).await?;
        desk.reads("receipt", "photos of client").await?;
        desk.click("receipt-done").await?;
        let after = everybody(desk).await?;
        let (was, is) = (&before[&code], &after[&code]);
        ensure!(is.pictures.is_empty(), "{:?} are left", is.pictures.keys());
        ensure!(
            counts(desk).await?["version-looks"] == 0,
            "small pictures are left"
        );
        ensure!(was.record["pair"] == is.record["pair"], "the shape changed");
        let tapped = |k: &super::shelf::Kept| k.record["photos"][0]["landmarks"].clone();
        ensure!(tapped(was) == tapped(is), "landmarks changed");
        // Opened, nothing is missed, and papers are made as before.
        reopen(desk).await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        ensure!(!desk.is_there("said").await, "{}", desk.text("said").await?);
        ensure!(!desk.is_there("bring").await, "the photo is missed");
        desk.find("photo-erased").await?;
        desk.photograph("without-photos").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        Ok(())
    });
}

/// The sample client, who signed long ago that no photo of her is kept.
fn unwilling() -> Result<Record> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-set");
    let mut record = Record::from_json(&fs::read_to_string(folder.join("client.json"))?)?;
    for photo in &mut record.photos {
        if let Image::File { name } = &photo.image {
            photo.image = Image::embed("image/jpeg", &fs::read(folder.join(name))?);
        }
    }
    let mut asked = text_for("en").context("English")?.asked();
    for statement in &mut asked.statements {
        statement.said = Said::Yes;
    }
    for caution in &mut asked.cautions {
        caution.answer = Answer::NotMe;
    }
    asked.say("photo", Said::No)?;
    record = apply(&record, &Edit::Propose)?;
    record = apply(&record, &Edit::Consent(ConsentEdit::Ask(Box::new(asked))))?;
    let stroke = (0..20).map(|n| Touch(1000 + 300 * n, 3000, 30 * u32::from(n)));
    let signature = Signature::Drawn {
        strokes: vec![stroke.collect()],
    };
    let yes = record.agree(signature, "2025-03-14T12:00:00+01:00".parse()?)?;
    Ok(apply(&record, &Edit::Consent(yes))?)
}

#[test]
fn where_she_wanted_no_photos_kept_one_touch_erases_them() {
    at_a_desk((1180, 820), "light", async |desk| {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("client.json");
        fs::write(&file, unwilling()?.to_json()?)?;
        desk.choose("home-open-file", &file).await?;
        desk.find("photo").await?;
        desk.reads("photos-unwanted", "14 March 2025").await?;
        desk.photograph("photos-unwanted").await?;
        desk.reads("kept", "Kept").await?;
        desk.click("erase-unwanted").await?;
        desk.find("photo-erased").await?;
        ensure!(!desk.is_there("photos-unwanted").await, "it still asks");
        desk.find("handle-right-peak").await?;
        let all = everybody(desk).await?;
        let kept = all.values().next().context("she is there")?;
        ensure!(
            kept.pictures.is_empty(),
            "{:?} are left",
            kept.pictures.keys()
        );
        let record = Record::from_json(&kept.record.to_string())?;
        ensure!(
            record.agreed().is_agreed(),
            "her agreement to the shape is lost"
        );
        Ok(())
    });
}

#[test]
fn what_is_typed_wrong_erases_nothing() {
    at_a_desk((1180, 820), "light", async |desk| {
        somebody(desk).await?;
        desk.click("details").await?;
        desk.click("erase").await?;
        desk.find("erase-word")
            .await?
            .send_keys("somebody else")
            .await?;
        let now = desk.find("erase-now").await?;
        ensure!(!now.is_enabled().await?, "any word erases");
        desk.click("erase-not").await?;
        desk.find("erase").await?;
        ensure!(everybody(desk).await?.len() == 1, "she is gone");
        let by = By::Css("[data-testid=erase-word]");
        ensure!(desk.driver.find(by).await.is_err(), "it still asks");
        Ok(())
    });
}
