//! Earlier versions: kept by themselves, compared, gone back to.

use anyhow::{Result, ensure};
use thirtyfour::Key;

use super::inside::Inside;
use super::{again, is_kept, peak_moves, sample};
use crate::at_a_desk;
use crate::desk::Desk;

/// Leaves the client and waits until so many versions are kept.
async fn leave(desk: &Desk, versions: u64) -> Result<()> {
    desk.click("to-clients").await?;
    desk.find("home").await?;
    desk.until("no version was kept", async || {
        Ok((desk.count("versions").await? == versions).then_some(()))
    })
    .await
}

#[test]
fn an_earlier_version_is_compared_and_gone_back_to_and_undo_takes_that_back() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        desk.click("kept").await?;
        desk.find("no-versions").await?;
        desk.click("back-to-work").await?;
        desk.find("handle-right-peak").await?;
        leave(desk, 1).await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        let before = desk.one_record().await?;
        peak_moves(desk, Key::Up).await?;
        is_kept(desk).await?;
        let changed = desk.one_record().await?;
        leave(desk, 2).await?;
        // Left as it was: the same again is no version.
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        leave(desk, 2).await?;

        desk.click("client").await?;
        desk.click("kept").await?;
        let newest = desk.reads("version-2", "when the client was left").await?;
        ensure!(
            newest.contains("peak"),
            "what changed isn't said: “{newest}”"
        );
        // Each with a picture of a few kB.
        ensure!(
            desk.count("version-looks").await? == 2,
            "a picture is missing"
        );
        let sizes = desk
            .inside(
                "const db = await opened();
                 const all = await of(at(db, 'version-looks').getAll());
                 db.close(); return all.map((blob) => [blob.type, blob.size]);",
                vec![],
            )
            .await?;
        for look in sizes.as_array().into_iter().flatten() {
            ensure!(look[0] == "image/jpeg", "{look}");
            let size = look[1].as_u64().unwrap_or_default();
            ensure!((1_000..25_000).contains(&size), "{size} bytes");
        }
        desk.click("version-1").await?;
        let differs = desk.reads("differs", "Client's right moved").await?;
        ensure!(differs.contains("peak"), "“{differs}”");
        ensure!(differs.contains("mm"), "“{differs}”");
        desk.photograph("versions-light").await?;
        desk.click("go-back").await?;
        desk.reads("said", "Undo takes that back").await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? == before, "not as in that version");
        desk.reads("undo", "go back to an earlier version").await?;
        desk.click("undo").await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? == changed, "the undo isn't whole");
        Ok(())
    });
}

#[test]
fn a_version_keeps_its_photo_when_another_takes_its_place() {
    at_a_desk((820, 1180), "dark", async |desk| {
        let client = crate::truth::Invented::read("demo-even")?;
        let other = crate::truth::Invented::read("demo-set")?;
        crate::bring_photo(desk, &client).await?;
        is_kept(desk).await?;
        let first = desk.pictures().await?;
        leave(desk, 1).await?;
        desk.click("client").await?;
        desk.find("photo").await?;
        desk.find("other-photo-file").await?;
        desk.choose("other-photo-file", &other.relaxed_photo())
            .await?;
        desk.until("the photo was never changed", async || {
            Ok((desk.count("pictures").await? == 2).then_some(()))
        })
        .await?;
        is_kept(desk).await?;
        leave(desk, 2).await?;
        again(desk).await?;
        let kept = desk.pictures().await?;
        for picture in &first {
            ensure!(kept.contains(picture), "the first photo is gone");
        }
        desk.click("client").await?;
        desk.click("kept").await?;
        desk.click("version-1").await?;
        desk.reads("differs", "taken out").await?;
        desk.photograph("versions-dark").await?;
        desk.click("go-back").await?;
        desk.find("photo").await?;
        is_kept(desk).await?;
        again(desk).await?;
        desk.click("client").await?;
        desk.find("photo").await?;
        ensure!(!desk.is_there("said").await, "its photo is missing");
        Ok(())
    });
}
