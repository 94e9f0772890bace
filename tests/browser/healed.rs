//! The healed brows measured: a later photo of an invented client whose loss
//! is known, and what is learned of several.

#[allow(dead_code, reason = "what only the native tests of healed brows use")]
#[path = "../healed/story.rs"]
mod story;

use std::fs;

use anyhow::{Context, Result, ensure};
use ophryon_face::{Landmark, Need, Reference};
use ophryon_record::{HealedCheck, Kept, MeasuredShare, PhotoState, Record, Visit, VisitKind};
use serde_json::Value;
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;
use story::{CAREFUL, Care, Story, story};

/// One client for all of it: her brows lost a known part of their powder.
fn client() -> Result<Story> {
    let care = Care {
        hair: (0.0, 0.0),
        ..CAREFUL
    };
    story(2005, care).context("a client")
}

/// Opens a client's file on the first screen.
async fn open_file(desk: &Desk, record: &Record) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join(format!("{}.json", record.client.code));
    fs::write(&file, record.to_json()?)?;
    desk.choose("home-open-file", &file).await?;
    desk.find("panel").await?;
    Ok(())
}

/// Answers what is asked of the healed photo: its scale, then every landmark
/// that is needed.
async fn tap_all(desk: &Desk, story: &Story) -> Result<usize> {
    let photo = story.record.healed_photo().context("a healed photo")?;
    let Some(Reference::Ruler { ends, .. }) = photo.first_reference() else {
        anyhow::bail!("her scale is a ruler");
    };
    desk.click("scale-ruler").await?;
    for end in ends {
        desk.tap([end.x, end.y]).await?;
    }
    desk.enter("scale-length", "150").await?;
    desk.click("scale-take").await?;
    let mut tapped = 0;
    for _ in 0..40 {
        let question = desk.text("question").await?;
        let asked = Landmark::in_order()
            .into_iter()
            .find(|l| question == format!("Tap the {}.", l.name()));
        let Some(landmark) = asked else { break };
        if story.record.need_in(PhotoState::Healed, landmark) == Need::Optional {
            desk.click("skip-all").await?;
        } else {
            let at = photo.landmarks.get(landmark).context("it is known")?;
            desk.tap([at.x, at.y]).await?;
            tapped += 1;
        }
        desk.no_longer_reads("question", &question).await?;
    }
    Ok(tapped)
}

/// "86 ± 5 %" as two numbers.
fn share(words: &str) -> Result<(f64, f64)> {
    let (share, rest) = words.split_once(" ± ").context("a share")?;
    let sd = rest.trim_end_matches('%').trim();
    Ok((share.trim().parse()?, sd.parse()?))
}

/// The cells of a row of the table, right and left.
async fn row(desk: &Desk, name: &str) -> Result<[String; 2]> {
    let table = desk.find("healed-kept").await?;
    for row in table.find_all(By::Css("tbody tr")).await? {
        if row.find(By::Css("th")).await?.text().await? == name {
            let cells = row.find_all(By::Css("td")).await?;
            return Ok([cells[0].text().await?, cells[1].text().await?]);
        }
    }
    anyhow::bail!("no row is called “{name}”")
}

#[test]
fn a_second_visit_measures_what_healed_and_prints_the_touch_up() {
    at_a_desk((1180, 820), "light", async |desk| {
        let story = client()?;
        let folder = tempfile::tempdir()?;
        let later = folder.path().join("healed.jpg");
        fs::write(&later, story.later_photo())?;
        open_file(desk, &story.before()).await?;
        desk.click("place-visits").await?;
        desk.click("begin-healed-check").await?;
        // Begun as a healed check, it opens with the healed brows.
        desk.reads("healed-asked", "Bring a photo of the healed brows.")
            .await?;
        desk.photograph("healed-asked").await?;
        desk.choose("healed-file", &later).await?;
        desk.find("scale-ruler").await?;
        ensure!(tap_all(desk, &story).await? == 8);
        desk.click("to-healed").await?;
        desk.reads("healed-asked", "The brows kept").await?;
        desk.photograph("healed-measured").await?;
        let cells = row(desk, "Area kept").await?;
        for (side, words) in ophryon_frames::Side::BOTH.into_iter().zip(&cells) {
            let truth = story.truth.get(side);
            let is = 100.0 * truth.kept_mm2 / truth.drawn_mm2;
            let (kept, within) = share(words)?;
            ensure!(
                (kept - is).abs() <= within + 0.5,
                "{} kept {words}, and {is:.1} % is so",
                side.name()
            );
        }
        // The design stays on the photo it was made on.
        desk.click("place-shape").await?;
        desk.find("photo").await?;
        desk.click("place-visits").await?;
        desk.click("keep-healed").await?;
        desk.reads("healed-is-kept", "Kept with the visit").await?;
        desk.click("place-paper").await?;
        desk.click("files").await?;
        let file: Value = serde_json::from_slice(&desk.save("save-client").await?)?;
        desk.click("place-visits").await?;
        let visit = &file["visits"][0]["healed"];
        ensure!(visit["kept"]["right"]["area"]["share"].is_f64(), "{visit}");
        let states = file["photos"].as_array().context("photos")?;
        ensure!(states.iter().any(|p| p["state"] == "healed"));
        // One step, taken back by one.
        desk.click("undo").await?;
        desk.find("keep-healed").await?;
        desk.click("redo").await?;
        desk.find("healed-is-kept").await?;
        desk.driver
            .execute("window.print = () => {};", Vec::<Value>::new())
            .await?;
        desk.click("print-touch-up").await?;
        let html = desk
            .until("nothing is printed", async || {
                let Ok(frame) = desk.driver.find(By::Id("print-frame")).await else {
                    return Ok(None);
                };
                let html = frame.attr("srcdoc").await?.unwrap_or_default();
                Ok(html.contains("touch-up-").then_some(html))
            })
            .await?;
        ensure!(html.contains("Fill inside the full lines."));
        ensure!(html.contains("brow-right") && html.contains("brow-left"));
        let pdf = desk.save("save-touch-up").await?;
        ensure!(pdf.starts_with(b"%PDF"), "the file is no PDF");
        Ok(())
    });
}

/// A client with nothing but one healed check.
fn with_check(code: &str, area: f64) -> Result<Record> {
    let mut record = Record::new(code);
    let share = |share| MeasuredShare { share, sd: 0.02 };
    let mut check = HealedCheck {
        pigment: "Invented brown".to_owned(),
        ..HealedCheck::default()
    };
    check.kept.right = Some(Kept {
        area: share(area),
        thickness: share(area + 0.03),
        lightening: None,
        darkness: None,
    });
    let mut visit = Visit::new("2027-05-03".parse()?, VisitKind::HealedCheck);
    visit.healed = Some(Box::new(check));
    record.visits.push(visit);
    Ok(record)
}

/// The words beside the healed size, on an invented client.
async fn own_figure(desk: &Desk) -> Result<String> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.click("place-shape").await?;
    let section = desk.find("healed").await?;
    if section.attr("open").await?.is_none() {
        section.find(By::Css("summary")).await?.click().await?;
    }
    desk.reads("own-figure", "healed checks").await
}

#[test]
fn the_own_figure_is_offered_from_five_checks_and_not_from_four() {
    at_a_desk((1280, 800), "dark", async |desk| {
        let areas = [0.8, 0.84, 0.85, 0.87, 0.95];
        for (n, area) in areas.iter().take(4).enumerate() {
            open_file(desk, &with_check(&format!("L{n}"), *area)?).await?;
            desk.click("to-clients").await?;
            desk.find("home").await?;
        }
        let words = own_figure(desk).await?;
        ensure!(words.contains("4 of the 5"), "{words}");
        ensure!(!desk.is_there("take-own-figure").await);
        desk.click("to-clients").await?;
        desk.find("home").await?;
        open_file(desk, &with_check("L4", areas[4])?).await?;
        desk.click("to-clients").await?;
        desk.find("home").await?;
        let words = own_figure(desk).await?;
        // The middle of 20, 16, 15, 13 and 5 %.
        ensure!(words.contains("15 % smaller in area"), "{words}");
        desk.photograph("healed-own-figure").await?;
        // A new client's file begins with it, and has nothing to take back.
        desk.click("to-clients").await?;
        desk.find("home").await?;
        desk.find("new-code").await?.send_keys("N9").await?;
        desk.click("new-client").await?;
        desk.find("panel").await?;
        desk.click("place-paper").await?;
        desk.until("her file begins with the common figure", async || {
            let file: Value = serde_json::from_slice(&desk.save("save-client").await?)?;
            let share = file["shrink"]["share"].as_f64();
            Ok(share.filter(|s| (s - 0.15).abs() < 1e-9))
        })
        .await?;
        desk.click("to-clients").await?;
        desk.find("home").await?;
        own_figure(desk).await?;
        desk.click("take-own-figure").await?;
        let shrink = desk.find("shrink").await?;
        ensure!(shrink.prop("value").await?.unwrap_or_default() == "15.0");
        Ok(())
    });
}
