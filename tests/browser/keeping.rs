//! Nothing that an artist did is lost: each edit is kept, whatever happens to
//! the window, the browser or the device.

mod inside;
pub mod killed;
mod troubles;
mod versions;
mod windows;

use anyhow::{Context, Result, ensure};
use thirtyfour::Key;

use super::at_a_desk;
use super::desk::Desk;
use inside::Inside;

/// A sample client in work, kept.
async fn sample(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-even").await?;
    desk.find("handle-right-peak").await?;
    is_kept(desk).await
}

/// Waits until the panel says that all is kept.
async fn is_kept(desk: &Desk) -> Result<()> {
    desk.until("it was never kept", async || {
        let text = desk.text("kept").await.unwrap_or_default();
        Ok((text == "Kept").then_some(()))
    })
    .await
}

/// A nudge of the peak by the keyboard, which needs no view at rest.
async fn peak_moves(desk: &Desk, key: Key) -> Result<()> {
    let handle = desk.find("handle-right-peak").await?;
    handle.focus().await?;
    handle.send_keys(key + "").await?;
    Ok(())
}

/// Opens the app's page again, with no client open.
async fn again(desk: &Desk) -> Result<()> {
    desk.driver.goto("about:blank").await?;
    desk.driver.goto(&desk.address).await?;
    desk.find("home").await?;
    Ok(())
}

/// The code of the client whose file this is.
fn code(record: &str) -> Result<String> {
    let value: serde_json::Value = serde_json::from_str(record)?;
    let code = value["client"]["code"].as_str().context("a code")?;
    Ok(code.to_owned())
}

#[test]
fn an_edit_that_is_undone_at_once_is_kept_as_it_was_before() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let before = desk.one_record().await?;
        for _ in 0..3 {
            // The undo comes before the edit is written, and while it is.
            peak_moves(desk, Key::Up).await?;
            desk.click("undo").await?;
            is_kept(desk).await?;
            ensure!(desk.one_record().await? == before, "the undo was not kept");
        }
        again(desk).await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        is_kept(desk).await?;
        ensure!(
            desk.one_record().await? == before,
            "opening the client changed her file"
        );
        Ok(())
    });
}

#[test]
fn clients_of_the_first_version_of_the_store_are_all_there() {
    at_a_desk((820, 1180), "light", async |desk| {
        sample(desk).await?;
        let (record, pictures) = (desk.one_record().await?, desk.pictures().await?);
        ensure!(!pictures.is_empty(), "the sample has photos");
        // As a device has it that was never updated.
        desk.back_to_the_first_version().await?;
        desk.driver.goto(&desk.address).await?;
        let line = desk.reads("client", "demo-even").await?;
        ensure!(line.contains("shape proposed"), "“{line}”");
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        ensure!(desk.one_record().await? == record, "her file changed");
        ensure!(desk.pictures().await? == pictures, "her photos changed");
        // And she can be worked on.
        peak_moves(desk, Key::Up).await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? != record, "the edit was not kept");
        Ok(())
    });
}

#[test]
fn files_of_older_schemas_in_the_store_are_brought_up_to_date_when_opened() {
    at_a_desk((1280, 800), "light", async |desk| {
        let fixtures = [
            include_str!("../fixtures/client-schema-1.json"),
            include_str!("../fixtures/client-schema-2.json"),
        ];
        for old in fixtures {
            let code = code(old)?;
            desk.put_record("an-old-one", old).await?;
            again(desk).await?;
            desk.reads("client", &code).await?;
            desk.click("client").await?;
            desk.reads("client-code", &code).await?;
            // Only looked at, she stays as she was.
            ensure!(
                desk.record("an-old-one").await? == old,
                "opening changed it"
            );
            desk.click("place-shape").await?;
            desk.find("handle-right-peak").await?;
            peak_moves(desk, Key::Up).await?;
            is_kept(desk).await?;
            let new: serde_json::Value = serde_json::from_str(&desk.record("an-old-one").await?)?;
            ensure!(new["schema"] == 3, "it is schema {}", new["schema"]);
            desk.click("to-clients").await?;
            desk.find("home").await?;
            desk.empty_the_store().await?;
        }
        Ok(())
    });
}
