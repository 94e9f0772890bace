//! What she sees, says and chooses.

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use thirtyfour::prelude::*;

use super::{CODE, at_show, bounds, fingers, hand_over, look, only_hers, tap, type_code};
use crate::at_a_desk;
use crate::desk::Desk;

/// A finger goes round on her face, and whether something is drawn there.
async fn circle(desk: &Desk) -> Result<()> {
    let [x, y, w, h] = bounds(desk, "circles").await?;
    let (x, y) = (x + 0.35 * w, y + 0.4 * h);
    let mut steps: Vec<Vec<Option<[f64; 2]>>> = (0..=24)
        .map(|n| {
            let turn = f64::from(n) / 24.0 * std::f64::consts::TAU;
            vec![Some([
                x + 50.0 * libm::cos(turn),
                y + 30.0 * libm::sin(turn),
            ])]
        })
        .collect();
    if let Some(last) = steps.last().cloned() {
        steps.extend(std::iter::repeat_n(last, 12));
    }
    steps.push(vec![None]);
    fingers(desk, &["touch"], &steps).await?;
    desk.until("the finger drew nothing", async || {
        let line = desk.find("circle-line").await?.attr("d").await?;
        Ok(line.filter(|d| d.len() > 100))
    })
    .await?;
    Ok(())
}

/// Slides by a finger from one end of the slider to a part of its length.
async fn slide(desk: &Desk, from: f64, to: f64) -> Result<f64> {
    let [x, y, w, h] = bounds(desk, "slider").await?;
    // The thumb stays within the slider.
    let at = |part: f64| Some([x + 24.0 + part * (w - 48.0), y + 0.5 * h]);
    let steps: Vec<_> = (0..=8)
        .map(|n| vec![at(from + (to - from) * f64::from(n) / 8.0)])
        // It rests: a touch right after a flick only stops that.
        .chain(std::iter::repeat_n(vec![at(to)], 12))
        .chain([vec![None]])
        .collect();
    fingers(desk, &["touch"], &steps).await?;
    let value = desk.find("slider").await?.prop("value").await?;
    value.context("a value")?.parse().context("a number")
}

async fn lang(desk: &Desk) -> Result<String> {
    let script = "return document.documentElement.lang;";
    let found = desk.driver.execute(script, Vec::<Value>::new()).await?;
    Ok(found.convert()?)
}

#[test]
fn she_slides_says_too_thick_with_a_circle_and_chooses_the_other_shape() {
    at_a_desk((820, 1180), "light", async |desk| {
        at_show(desk).await?;
        hand_over(desk).await?;
        only_hers(desk).await?;
        desk.photograph("handed-look").await?;
        desk.reads("impression", "Colour is an impression").await?;

        // Healed at first; by a finger to before, let go near it.
        let before = slide(desk, 1.0, 0.03).await?;
        ensure!(before == 0.0, "the slider stays at {before}");
        desk.reads("stage-says", "as they are now").await?;
        tap(desk, "stage-fresh").await?;
        desk.reads("stage-says", "first days").await?;
        tap(desk, "facing-others").await?;
        ensure!(facing(desk).await? == "others");
        tap(desk, "facing-mirror").await?;
        ensure!(facing(desk).await? == "mirror");
        tap(desk, "shape-1").await?;

        tap(desk, "go-on").await?;
        desk.reads("handed-heading", "What do you think").await?;
        desk.photograph("handed-say").await?;
        tap(desk, "say-too-thick").await?;
        desk.reads("handed-heading", "Where").await?;
        circle(desk).await?;
        desk.photograph("handed-circle").await?;
        tap(desk, "say-keep").await?;
        desk.reads("said-so-far", "Too thick, with a circle, Shape 1")
            .await?;
        tap(desk, "say-like").await?;
        desk.reads("said-so-far", "I like it").await?;
        tap(desk, "take-back-1").await?;

        // Loaded anew, she is where she was, in the language she took since.
        tap(desk, "speak-es").await?;
        desk.reads("handed-heading", "¿Qué le parece?").await?;
        ensure!(lang(desk).await? == "es");
        desk.photograph("handed-say-es").await?;
        tokio::time::sleep(std::time::Duration::from_millis(900)).await;
        desk.driver.refresh().await?;
        only_hers(desk).await?;
        desk.reads("handed-heading", "¿Qué le parece?").await?;
        let said = desk.reads("said-so-far", "Demasiado gruesas").await?;
        ensure!(
            !said.contains("Me gusta"),
            "“{said}” holds what she took back"
        );
        tap(desk, "speak-en").await?;

        tap(desk, "go-on").await?;
        desk.reads("handed-heading", "Which shape").await?;
        tap(desk, "shape-1").await?;
        desk.photograph("handed-choose").await?;
        tap(desk, "choose").await?;
        desk.reads("chosen", "Shape 1").await?;

        tap(desk, "give-back").await?;
        desk.reads("handed-heading", "give the tablet back").await?;
        desk.photograph("handed-back").await?;
        type_code(desk, CODE).await?;
        desk.find("hand-over").await?;
        ensure!(lang(desk).await? == "en");
        ensure!(look(desk).await?.contains("artist"));

        // The artist finds it, and what she chose is a step that can be undone.
        let heard = desk.reads("heard", "Too thick").await?;
        ensure!(heard.contains("Shape 1"), "“{heard}” doesn't say of which");
        desk.reads("undo", "the shape she chose").await?;
        desk.click("undo").await?;
        desk.reads("heard", "Too thick").await?;
        Ok(())
    });
}

async fn facing(desk: &Desk) -> Result<String> {
    let face = desk.find("look-face").await?;
    Ok(face.attr("data-facing").await?.unwrap_or_default())
}

#[test]
fn the_client_view_works_by_keyboard_alone() {
    at_a_desk((1180, 820), "dark", async |desk| {
        at_show(desk).await?;
        hand_over(desk).await?;
        desk.photograph("handed-look-dark").await?;
        let slider = desk.find("slider").await?;
        slider.focus().await?;
        slider.send_keys(Key::Home + "").await?;
        desk.reads("stage-says", "as they are now").await?;
        slider.send_keys(Key::Right + "").await?;
        desk.reads("stage-says", "thin line").await?;
        for (id, then) in [
            ("go-on", "What do you think"),
            ("say-too-long", "Where"),
            ("say-keep", "What do you think"),
            ("go-on", "Which shape"),
        ] {
            press(desk, id).await?;
            desk.reads("handed-heading", then).await?;
        }
        // The heading has the keyboard, so that what is new is read next.
        let script = "return document.activeElement.dataset.testid ?? '';";
        desk.until("the keyboard is lost", async || {
            let at = desk.driver.execute(script, Vec::<Value>::new()).await?;
            Ok((at.convert::<String>()? == "handed-heading").then_some(()))
        })
        .await?;
        press(desk, "give-back").await?;
        let dots = desk.find("code-dots").await?;
        dots.send_keys(CODE).await?;
        dots.send_keys(Key::Enter + "").await?;
        desk.find("hand-over").await?;
        Ok(())
    });
}

/// Presses a button by the keyboard.
async fn press(desk: &Desk, id: &str) -> Result<()> {
    let found = desk.find(id).await?;
    found.focus().await?;
    found.send_keys(Key::Enter + "").await?;
    Ok(())
}
