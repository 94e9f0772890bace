//! The whole job in a real browser, as an artist does it.
//!
//! Needs the built app, the program, a browser and its driver; `cargo xtask
//! test` has them all. Pictures of the screens go to target/screens.

// Failing loudly is what a test is for.
#![allow(clippy::expect_used, clippy::panic)]

mod balance;
mod desk;
mod face_photo;
mod guest;
mod hair;
mod handed;
mod healed;
mod home;
mod keeping;
mod later;
mod look;
mod paper;
mod shaping;
// Reading what a browser printed as a scanner does; the other half of it reads
// drawings.
#[allow(dead_code)]
#[path = "../paper/scan.rs"]
mod scan;
mod show;
mod signing;
mod sketch;
mod touch;
mod truth;
mod visits;

use std::fs;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use ophryon_face::Landmark;
use thirtyfour::prelude::*;

use desk::Desk;
use truth::Invented;

/// Tells a story at a desk of that size. The browser is closed whichever way
/// it ends: left open, the driver would wait for minutes.
fn at_a_desk(size: (u32, u32), light: &str, story: impl AsyncFnOnce(&Desk) -> Result<()>) {
    told(async {
        let desk = Desk::open(size.0, size.1, light).await?;
        let told = story(&desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

fn told(story: impl Future<Output = Result<()>>) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    if let Err(why) = runtime.block_on(story) {
        panic!("{why:#}");
    }
}

/// A new client with her photo, up to the question about the scale.
async fn bring_photo(desk: &Desk, client: &Invented) -> Result<()> {
    desk.find("new-code").await?.send_keys("T. B.").await?;
    desk.click("new-client").await?;
    desk.find("bring").await?;
    desk.choose("photo-file", &client.relaxed_photo()).await?;
    desk.find("photo").await?;
    Ok(())
}

/// Answers every landmark question by tapping where the landmark is.
async fn tap_landmarks(desk: &Desk, client: &Invented) -> Result<usize> {
    let mut tapped = 0;
    for _ in 0..2 * Landmark::in_order().len() {
        let question = desk.text("question").await?;
        let asked = Landmark::in_order()
            .into_iter()
            .find(|l| question == format!("Tap the {}.", l.name()));
        let Some(landmark) = asked else { break };
        desk.tap(client.landmark(landmark)?)
            .await
            .with_context(|| question.clone())?;
        tapped += 1;
        // The next question comes by itself.
        let begun = std::time::Instant::now();
        while desk.text("question").await? == question {
            ensure!(
                begun.elapsed().as_secs() < 10,
                "“{question}” was answered and still stands"
            );
        }
    }
    Ok(tapped)
}

/// The day, by the clock that the browser goes by.
fn today() -> Result<String> {
    let ran = Command::new("date").arg("+%Y-%m-%d").output()?;
    Ok(String::from_utf8(ran.stdout)?.trim().to_owned())
}

/// What `ophryon sheet` makes of a saved client's file.
fn sheet_of(client_file: &[u8]) -> Result<(Vec<u8>, Vec<u8>)> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("client.json");
    fs::write(&file, client_file)?;
    let out = folder.path().join("out");
    let ran = Command::new(std::env::var_os("OPHRYON_BIN").context("OPHRYON_BIN")?)
        .arg("sheet")
        .args(["--made", &today()?])
        .arg(&file)
        .arg("--out")
        .arg(&out)
        .output()?;
    ensure!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    Ok((
        fs::read(out.join("stencil.svg"))?,
        fs::read(out.join("report.json"))?,
    ))
}

#[test]
fn from_a_photo_to_the_same_sheet_as_the_command_line() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        desk.photograph("home").await?;
        bring_photo(desk, &client).await?;
        desk.click("scale-card").await?;
        for edge in ["edge-top", "edge-bottom", "edge-left", "edge-right"] {
            desk.tap(client.scale_place(edge)?)
                .await
                .with_context(|| edge)?;
        }
        desk.photograph("landmarks").await?;
        let tapped = tap_landmarks(desk, &client).await?;
        ensure!(tapped >= 16, "only {tapped} landmarks were asked for");

        // Then, by itself, the tape.
        desk.reads("question", "How long is it over the skin, start to tail?")
            .await?;
        desk.photograph("tape-asked").await?;
        desk.enter("tape-length", "49").await?;
        desk.reads("question", "The curve of the skin is measured.")
            .await?;

        // The pair is there at once, and holds.
        desk.click("to-shape").await?;
        desk.find("handle-right-tail").await?;
        desk.photograph("shape").await?;

        // Drag the tail, mend or undo it, and keep a changed peak.
        desk.drag("handle-right-tail", [-6, 24]).await?;
        desk.reads("undo", "tail").await?;
        desk.click("undo").await?;
        desk.drag("handle-right-peak", [0, -5]).await?;
        desk.reads("undo", "peak").await?;

        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        desk.photograph("paper").await?;
        desk.click("files").await?;
        let stencil = desk.save("save-stencil").await?;
        let report = desk.save("save-report").await?;
        let file = desk.save("save-client").await?;
        // What tells her file from every other, wherever it goes.
        let saved: serde_json::Value = serde_json::from_slice(&file)?;
        let id = saved["id"].as_str().unwrap_or_default();
        ensure!(id.len() == 32, "the file's identity is “{id}”");
        let (same_stencil, same_report) = sheet_of(&file)?;
        ensure!(
            stencil == same_stencil,
            "the saved stencil differs from `ophryon sheet`"
        );
        ensure!(
            report == same_report,
            "the saved report differs from `ophryon sheet`"
        );

        // Tapped on the screen, measured by the engine, against the drawn truth.
        let report: serde_json::Value = serde_json::from_slice(&report)?;
        let pupils = report.pointer("/face/pupils/mm").and_then(|v| v.as_f64());
        let pupils = pupils.context("the report has the pupils' distance")?;
        let truth = {
            let file: serde_json::Value = serde_json::from_slice(&fs::read(
                client.relaxed_photo().with_file_name("truth.json"),
            )?)?;
            let x = |side: &str| {
                let at = format!("/photos/0/landmarks/{side}/pupil/mm/0");
                file.pointer(&at).and_then(|v| v.as_f64()).context(at)
            };
            x("left")? - x("right")?
        };
        // Taps on whole screen px: 0.3 mm of the engine and 0.3 of the taps.
        ensure!(
            (pupils - truth).abs() < 0.6,
            "{pupils} mm between the pupils, truly {truth}"
        );
        Ok(())
    });
}

#[test]
fn a_client_in_progress_survives_closing_the_page() {
    at_a_desk((820, 1180), "light", async |desk| {
        let client = Invented::read("demo-movement")?;
        bring_photo(desk, &client).await?;
        desk.click("scale-ruler").await?;
        desk.tap(client.scale_place("mark-0")?).await?;
        desk.tap(client.scale_place("mark-150")?).await?;
        desk.enter("scale-length", "150,0").await?;
        if desk.is_there("scale-take").await {
            desk.click("scale-take").await?;
        }
        let question = desk.text("question").await?;
        ensure!(
            question.starts_with("Tap the "),
            "after the scale: {question}"
        );
        // Kept within a second of the last edit.
        desk.reads("kept", "Kept").await?;
        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.find("photo").await?;
        let again = desk.text("question").await?;
        ensure!(
            again == question,
            "it asked “{question}”, and after reopening “{again}”"
        );
        Ok(())
    });
}

#[test]
fn what_is_no_photo_is_refused_in_a_sentence_and_changes_nothing() {
    at_a_desk((1180, 820), "light", async |desk| {
        let folder = tempfile::tempdir()?;
        let text = folder.path().join("notes.jpg");
        fs::write(&text, "these are notes, not a photograph")?;
        desk.find("new-code").await?.send_keys("N. P.").await?;
        desk.click("new-client").await?;
        desk.find("bring").await?;
        desk.choose("photo-file", &text).await?;
        let said = desk.reads("said", "photo").await?;
        ensure!(
            said.contains("nothing was changed"),
            "“{said}” doesn't say what was kept"
        );
        ensure!(!desk.is_there("photo").await, "a text became a photo");
        desk.find("bring").await?;
        Ok(())
    });
}

#[test]
fn a_sample_client_is_shaped_by_keyboard_alone_and_nothing_leaves_the_device() {
    at_a_desk((1280, 800), "dark", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        let handle = desk.find("handle-right-peak").await?;
        desk.photograph("sample-dark").await?;
        handle.focus().await?;
        handle.send_keys(Key::Up + "").await?;
        desk.reads("undo", "peak").await?;
        let up = desk.find("handle-up").await?;
        let before: f64 = number(&up).await?;
        // An arrow is 0.1 mm, with Shift 1 mm.
        let handle = desk.find("handle-right-peak").await?;
        handle.focus().await?;
        handle.send_keys(Key::Up + "").await?;
        let up = desk.find("handle-up").await?;
        let after = number(&up).await?;
        ensure!(
            (after - before - 0.1).abs() < 0.051,
            "{before} became {after}"
        );
        // Typed millimetres with a comma; nonsense changes nothing.
        desk.enter("handle-up", "27,5").await?;
        desk.reads("undo", "peak").await?;
        desk.enter("handle-up", "abc").await?;
        desk.click("undo").await?;

        // An impossible drag keeps the last good shape and says why.
        desk.drag("handle-left-tail", [-420, 0]).await?;
        let said = desk.text("said").await?;
        ensure!(
            !said.is_empty(),
            "an impossible shape passed without a word"
        );

        let foreign: Vec<String> = desk
            .fetched()
            .await?
            .into_iter()
            .filter(|url| {
                !url.starts_with(&desk.address)
                    && !url.starts_with("blob:")
                    && !url.starts_with("data:")
            })
            .collect();
        ensure!(foreign.is_empty(), "fetched from elsewhere: {foreign:?}");
        Ok(())
    });
}

async fn number(field: &WebElement) -> Result<f64> {
    let text = field.prop("value").await?.unwrap_or_default();
    text.replace(',', ".")
        .trim()
        .parse()
        .with_context(|| format!("“{text}” is no number"))
}
