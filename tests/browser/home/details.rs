//! Who a client is: seen and edited, from the list and in her file.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

use super::shelf::{everybody, reopen};
use crate::at_a_desk;
use crate::desk::Desk;

async fn begin(desk: &Desk, code: &str) -> Result<()> {
    desk.enter("new-code", code).await?;
    desk.find("bring").await?;
    desk.reads("kept", "Kept").await?;
    desk.click("to-clients").await?;
    desk.find("home").await?;
    Ok(())
}

async fn kept(desk: &Desk, code: &str) -> Result<Value> {
    let all = everybody(desk).await?;
    Ok(all.get(code).context("she is kept")?.record["client"].clone())
}

#[test]
fn code_name_and_note_are_edited_from_the_list_and_in_her_file() {
    at_a_desk((1280, 800), "light", async |desk| {
        begin(desk, "K7").await?;
        desk.click("details").await?;
        desk.enter("details-name", "Åsa Invented").await?;
        desk.find("details-note")
            .await?
            .send_keys("first visit\nsoft start")
            .await?;
        desk.photograph("details").await?;
        desk.click("details-keep").await?;
        desk.until("the details were never kept", async || {
            let client = kept(desk, "K7").await?;
            Ok((client["name"] == "Åsa Invented").then_some(()))
        })
        .await?;
        let client = kept(desk, "K7").await?;
        ensure!(client["note"] == "first visit\nsoft start", "{client}");
        // A full name doesn't show unless it is asked for.
        let page = desk.driver.find(By::Tag("body")).await?.text().await?;
        ensure!(!page.contains("Åsa"), "her name shows on the first screen");
        // In her file, as one step that can be undone.
        desk.click("client").await?;
        desk.click("client-code").await?;
        let name = desk.find("details-name").await?.prop("value").await?;
        ensure!(name.as_deref() == Some("Åsa Invented"), "{name:?}");
        desk.enter("details-code", "K7 b").await?;
        desk.photograph("details-in-client").await?;
        desk.click("details-keep").await?;
        desk.reads("client-code", "K7 b").await?;
        desk.click("undo").await?;
        desk.no_longer_reads("client-code", "K7 b").await?;
        // Nobody is without a code.
        desk.click("client-code").await?;
        let code = desk.find("details-code").await?;
        code.send_keys(Key::Control + "a").await?;
        code.send_keys(Key::Delete + "").await?;
        desk.click("details-keep").await?;
        desk.reads("said", "is empty").await?;
        desk.reads("client-code", "K7").await?;
        Ok(())
    });
}

#[test]
fn two_clients_of_one_code_are_told_apart_and_it_is_said() {
    at_a_desk((1180, 820), "light", async |desk| {
        begin(desk, "M. B.").await?;
        desk.click("details").await?;
        desk.find("details-note")
            .await?
            .send_keys("the tall one")
            .await?;
        desk.click("details-keep").await?;
        desk.until("the note was never kept", async || {
            let client = kept(desk, "M. B.").await?;
            Ok((client["note"] == "the tall one").then_some(()))
        })
        .await?;
        desk.find("new-code").await?.send_keys("m. b.").await?;
        desk.reads("code-in-use", "has this code already").await?;
        desk.photograph("code-in-use").await?;
        desk.find("new-code")
            .await?
            .send_keys(Key::Enter + "")
            .await?;
        desk.find("bring").await?;
        desk.reads("kept", "Kept").await?;
        desk.click("to-clients").await?;
        let rows = desk.until("there are not two", async || {
            let rows = desk
                .driver
                .find_all(By::Css("[data-testid=client]"))
                .await?;
            Ok((rows.len() == 2).then_some(rows))
        });
        let rows = rows.await?;
        let first = rows[0].text().await?;
        let second = rows[1].text().await?;
        ensure!(
            !first.contains("the tall one") && second.contains("the tall one"),
            "nobody can tell “{first}” from “{second}”"
        );
        Ok(())
    });
}

/// Scripts, and marks that turn the direction of what follows.
const HOSTILE: &str = "<img src=x onerror=window.hurt=1>\u{202e}txt";

#[test]
fn scripts_in_codes_names_and_notes_are_text() {
    at_a_desk((1180, 820), "light", async |desk| {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("client.json");
        let record =
            json!({ "schema": 3, "client": { "code": HOSTILE, "name": HOSTILE, "note": HOSTILE } });
        std::fs::write(&file, record.to_string())?;
        desk.choose("home-open-file", &file).await?;
        desk.find("bring").await?;
        desk.reads("kept", "Kept").await?;
        desk.reads("client-code", "<img").await?;
        desk.click("client-code").await?;
        desk.find("details-note").await?;
        desk.click("to-clients").await?;
        desk.reads("client", "<img src=x onerror").await?;
        desk.click("details").await?;
        desk.find("details-name").await?;
        desk.photograph("hostile-names").await?;
        // What follows a code is read in its own direction.
        let by = By::Css("[data-testid=client] strong bdi");
        ensure!(
            desk.driver.find(by).await.is_ok(),
            "the code isn't set apart"
        );
        // Found, backed up, erased and its receipt, all as text.
        desk.click("erase").await?;
        desk.find("erase-word")
            .await?
            .send_keys("<img src=x onerror=window.hurt=1>")
            .await?;
        let by = By::Css("[data-testid=erase-word]");
        let script = "const i = arguments[0]; i.value = arguments[1]; i.dispatchEvent(new Event('input', { bubbles: true }));";
        let input = desk.driver.find(by).await?;
        desk.driver
            .execute(script, vec![input.to_json()?, json!(HOSTILE)])
            .await?;
        desk.click("erase-now").await?;
        desk.reads("receipt", "<img src=x onerror").await?;
        desk.click("receipt-print").await?;
        let hurt = desk
            .driver
            .execute("return [window.hurt ?? null, document.images.length, document.querySelector('#print-frame').contentDocument.images.length];", Vec::<Value>::new())
            .await?;
        ensure!(*hurt.json() == json!([null, 0, 0]), "{:?}", hurt.json());
        desk.click("receipt-done").await?;
        reopen(desk).await?;
        desk.find("no-clients").await?;
        Ok(())
    });
}
