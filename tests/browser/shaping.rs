//! What is done with a shape beside drawing it: styles, what the client says,
//! the healed size, kept shapes.

use anyhow::{Context, Result, ensure};
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;

/// A sample with its shape, at the place Shape.
async fn at_shape(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.find("photo").await?;
    desk.click("place-shape").await?;
    desk.find("styles").await?;
    Ok(())
}

/// Opens a section of the panel.
async fn open(desk: &Desk, section: &str) -> Result<()> {
    let summary = format!("[data-testid=\"{section}\"] > summary");
    let begun = std::time::Instant::now();
    loop {
        if let Ok(found) = desk.driver.find(By::Css(&summary)).await
            && found.click().await.is_ok()
        {
            return Ok(());
        }
        ensure!(
            begun.elapsed().as_secs() < 20,
            "“{section}” can't be opened"
        );
    }
}

/// The numbers of a table's row, from left to right.
async fn row(desk: &Desk, id: &str) -> Result<Vec<f64>> {
    numbers(&desk.text(id).await?)
}

fn numbers(text: &str) -> Result<Vec<f64>> {
    let plain = text.replace('\u{2212}', "-");
    let all: Vec<f64> = plain
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    ensure!(!all.is_empty(), "no number in “{text}”");
    Ok(all)
}

/// Thickness of the drawn body, mm, as the section about healing has it.
async fn body(desk: &Desk) -> Result<f64> {
    Ok(row(desk, "healed-thickness-body").await?[0])
}

#[test]
fn a_style_is_drawn_undone_and_made_of_a_shape() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_shape(desk).await?;
        open(desk, "healed").await?;
        let before = body(desk).await?;
        open(desk, "styles").await?;
        desk.photograph("styles").await?;

        desk.click("style-full-body").await?;
        desk.reads("styles", "Full body").await?;
        let full = body(desk).await?;
        desk.click("style-slim-sweep").await?;
        desk.reads("undo", "draw the style “Slim sweep”").await?;
        let slim = body(desk).await?;
        ensure!(
            slim + 0.5 < full,
            "the body of Full body is {full} mm, of Slim sweep {slim} mm"
        );
        desk.click("undo").await?;
        desk.click("undo").await?;
        let back = body(desk).await?;
        ensure!(back == before, "{before} mm before, {back} mm after undo");

        // The present shape becomes a style that is there for the next client too.
        desk.find("style-name").await?.send_keys("My line").await?;
        desk.click("style-make").await?;
        desk.reads("styles-said", "is kept on this device").await?;
        desk.find("style-my-line").await?;
        desk.driver.refresh().await?;
        desk.find("home").await?;
        at_shape(desk).await?;
        open(desk, "styles").await?;
        desk.click("style-remove-my-line").await?;
        desk.reads("styles-said", "was removed").await?;
        ensure!(!desk.is_there("style-my-line").await, "it is still there");
        Ok(())
    });
}

#[test]
fn a_file_that_holds_no_styles_is_refused_and_changes_nothing() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_shape(desk).await?;
        open(desk, "styles").await?;
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("list.json");
        std::fs::write(&file, "{\"schema\": 99, \"styles\": []}")?;
        desk.choose("styles-file", &file).await?;
        desk.reads("styles-said", "newer Ophryon").await?;
        std::fs::write(&file, "[1, 2")?;
        desk.choose("styles-file", &file).await?;
        desk.reads("styles-said", "no file of styles").await?;
        Ok(())
    });
}

#[test]
fn three_things_she_says_are_answered_in_millimetres() {
    at_a_desk((820, 1180), "light", async |desk| {
        at_shape(desk).await?;
        desk.click("sheet-larger").await?;
        open(desk, "healed").await?;
        let before = body(desk).await?;
        open(desk, "she-says").await?;

        desk.click("says-too-thick").await?;
        desk.reads("answer-reason", "underside").await?;
        desk.photograph("she-says").await?;
        // Looked at, nothing has changed yet.
        ensure!(
            body(desk).await? == before,
            "it was taken before she said so"
        );
        desk.click("answer-take").await?;
        desk.reads("undo", "answer “too thick”").await?;
        let thinner = body(desk).await?;
        ensure!(
            (before - thinner - 0.5).abs() < 0.11,
            "{before} mm became {thinner} mm"
        );

        desk.click("says-too-long").await?;
        let changes = desk.reads("answer-changes", "Start to tip").await?;
        let length = changes
            .lines()
            .find(|line| line.starts_with("Start to tip"))
            .context("no row of the length")?;
        ensure!(numbers(length)?[2] < -0.5, "{length}");
        desk.click("answer-take").await?;

        desk.click("says-looks-stern").await?;
        desk.click("answer-leave").await?;
        desk.reads("undo", "answer “too long”").await?;
        let answered = desk.text("answered").await?;
        ensure!(
            answered.contains("“too thick”") && answered.contains("“too long”"),
            "{answered}"
        );

        // Asked for again and again, it ends in words.
        for _ in 0..12 {
            if desk.is_there("nothing-left").await {
                break;
            }
            desk.click("says-too-thick").await?;
            desk.until("no answer came", async || {
                let told =
                    desk.is_there("nothing-left").await || desk.is_there("answer-take").await;
                Ok(told.then_some(()))
            })
            .await?;
            if desk.is_there("answer-take").await {
                desk.click("answer-take").await?;
                desk.until("it was not taken", async || {
                    Ok((!desk.is_there("answer-take").await).then_some(()))
                })
                .await?;
            }
        }
        desk.reads("nothing-left", "Nothing is left to give to “too thick”")
            .await?;
        desk.photograph("nothing-left").await?;
        Ok(())
    });
}

#[test]
fn the_healed_size_follows_the_shrink() {
    at_a_desk((1280, 800), "dark", async |desk| {
        at_shape(desk).await?;
        open(desk, "healed").await?;
        let area = row(desk, "healed-area").await?;
        ensure!(
            (area[1] / area[0] - 0.9).abs() < 0.001,
            "a tenth less of {} mm² is not {} mm²",
            area[0],
            area[1]
        );
        desk.click("healed-on-face").await?;
        let dotted = async || -> Result<usize> {
            let paths = By::Css("[data-testid=drawing] .healed .core");
            let mut places = 0;
            for path in desk.driver.find_all(paths).await? {
                let d = path.attr("d").await?.unwrap_or_default();
                places += d.matches('M').count();
            }
            Ok(places)
        };
        desk.until("no healed brows on the face", async || {
            Ok((dotted().await? == 2).then_some(()))
        })
        .await?;
        desk.click("larger-on-face").await?;
        desk.until("no larger brows on the face", async || {
            Ok((dotted().await? == 4).then_some(()))
        })
        .await?;
        desk.click("larger-on-face").await?;
        desk.enter("shrink", "20").await?;
        desk.reads("undo", "how much smaller").await?;
        // Out of its range it is refused in words.
        desk.enter("shrink", "99").await?;
        desk.reads("said", "99 % is no healed shrink").await?;
        let area = row(desk, "healed-area").await?;
        ensure!((area[1] / area[0] - 0.8).abs() < 0.001, "{area:?}");
        desk.click("shrink-thickness").await?;
        desk.reads("healed", "20 % less thickness").await?;
        let body = row(desk, "healed-thickness-body").await?;
        ensure!((body[1] / body[0] - 0.8).abs() < 0.015, "{body:?}");
        desk.photograph("healed-dark").await?;
        Ok(())
    });
}

#[test]
fn kept_shapes_are_compared_and_one_is_gone_on_with() {
    at_a_desk((1180, 820), "light", async |desk| {
        at_shape(desk).await?;
        open(desk, "healed").await?;
        let first = body(desk).await?;
        open(desk, "kept-shapes").await?;
        desk.click("keep-shape").await?;
        desk.reads("keep-shape", "This shape is kept").await?;
        open(desk, "styles").await?;
        desk.click("style-full-body").await?;
        desk.reads("styles", "Full body").await?;
        let second = body(desk).await?;
        ensure!((first - second).abs() > 0.2, "both are {first} mm thick");

        desk.click("compare-shapes").await?;
        let kept = desk.reads("shape-0", "Thickness, body").await?;
        let now = desk.reads("shape-now", "Thickness, body").await?;
        let body_of = |card: &str| -> Result<f64> {
            let line = card.lines().find(|l| l.starts_with("Thickness, body"));
            Ok(numbers(line.context("no row of the body")?)?[0])
        };
        ensure!(body_of(&kept)? == first && body_of(&now)? == second);
        desk.photograph("compare-shapes").await?;

        desk.click("in-turn").await?;
        desk.click("next-shape").await?;
        desk.photograph("shapes-in-turn").await?;
        desk.click("side-by-side").await?;
        desk.click("take-0").await?;
        desk.reads("shape-0", "drawn now").await?;
        desk.click("compared").await?;
        open(desk, "healed").await?;
        ensure!(body(desk).await? == first, "another shape came back");
        Ok(())
    });
}
