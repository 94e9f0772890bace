//! The natural hair: found in an invented client's photo, brushed, held.

use anyhow::{Context, Result, ensure};
use ophryon_demo::{HairGround, Side as Half};
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::Side;
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;
use crate::truth::Invented;

/// Gaps and lone hairs as the search takes them, mm.
const GAP_MM: f64 = 0.7;
const LONE_MM: f64 = 0.35;

async fn at_the_hair(desk: &Desk, client: &str) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click(client).await?;
    desk.find("handle-right-peak").await?;
    desk.click("hand-hair").await?;
    Ok(())
}

/// Ground that hair covers on the skin of an invented client, mm².
fn truly(client: &str, side: Side) -> Result<f64> {
    let all = ophryon_demo::clients();
    let client = all.iter().find(|c| c.code == client).context("a client")?;
    let half = match side {
        Side::Right => Half::Right,
        Side::Left => Half::Left,
    };
    let head = &client.shots.first().context("a photo")?.head;
    Ok(HairGround::of(head, half, GAP_MM, LONE_MM).on_skin_mm2)
}

/// The numbers of a row: the client's right, then the left.
async fn row(desk: &Desk, id: &str) -> Result<[f64; 2]> {
    let text = desk.text(id).await?;
    let numbers: Vec<f64> = text
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|word| word.parse().ok())
        .collect();
    match numbers[..] {
        [a, b] => Ok([a, b]),
        // With the share behind each.
        [a, _, b, _] => Ok([a, b]),
        _ => anyhow::bail!("“{text}”"),
    }
}

#[test]
fn hair_is_found_within_a_tenth_of_the_drawn_truth_and_brushed() {
    for (client, size, light) in [
        ("demo-set", (1280, 800), "light"),
        ("demo-even", (820, 1180), "dark"),
        ("demo-movement", (1180, 820), "light"),
    ] {
        at_a_desk(size, light, async |desk| {
            let invented = Invented::read(client)?;
            at_the_hair(desk, client).await?;
            desk.reads("question", "Where does the hair grow?").await?;
            desk.click("find-hair").await?;
            desk.find("hair-numbers").await?;
            desk.reads("undo", "find the hair of both brows").await?;
            let found = row(desk, "hair-all").await?;
            for (side, mm2) in [(Side::Right, found[0]), (Side::Left, found[1])] {
                let truth = truly(client, side)?;
                ensure!(
                    (mm2 / truth - 1.0).abs() < 0.1,
                    "{client}, {side:?}: {mm2} mm², truly {truth:.0}"
                );
            }
            // Inside and outside are all of it.
            let [inside, outside] = [
                row(desk, "hair-inside").await?,
                row(desk, "hair-outside").await?,
            ];
            for i in 0..2 {
                ensure!((inside[i] + outside[i] - found[i]).abs() < 1.6, "side {i}");
            }
            desk.photograph(&format!("hair-{client}")).await?;

            // A broad stroke across the middle of the client's right brow.
            desk.click("brush-remove").await?;
            desk.click("brush-broad").await?;
            let place = |l| invented.landmark(Landmark::Sided(Side::Right, l));
            let top = place(SidedLandmark::BrowPeak)?;
            let [x, y] = desk.on_screen(top).await?;
            let mut chain = desk.driver.action_chain();
            chain = chain.move_to(x as i64, y as i64 - 15).click_and_hold();
            for step in 1..=8 {
                chain = chain.move_to(x as i64, y as i64 - 15 + 8 * step);
            }
            chain.release().perform().await?;
            desk.reads("undo", "brush hair off the client's right brow")
                .await?;
            let brushed = row(desk, "hair-all").await?;
            let less = found[0] - brushed[0];
            // 5 mm of a brow 5 to 9 mm thick there.
            ensure!((15.0..55.0).contains(&less), "{less} mm² less");
            ensure!((brushed[1] - found[1]).abs() < 0.5, "the other side too");
            desk.photograph(&format!("hair-brushed-{client}")).await?;
            // One step back.
            desk.click("undo").await?;
            desk.reads("undo", "find the hair").await?;
            ensure!(row(desk, "hair-all").await? == found);

            // By keys: a dab of hair above the start.
            desk.click("brush-add").await?;
            let ground = desk.find("hair-ground").await?;
            let start = desk.on_screen(place(SidedLandmark::BrowStartTop)?).await?;
            desk.driver
                .action_chain()
                .move_to(start[0] as i64, start[1] as i64)
                .perform()
                .await?;
            ground.focus().await?;
            for _ in 0..2 {
                ground.send_keys(Key::Shift + Key::Up).await?;
            }
            ground.send_keys(Key::Enter + "").await?;
            desk.reads("undo", "brush hair onto").await?;
            let dabbed = row(desk, "hair-all").await?;
            ensure!(dabbed[0] > found[0] + 3.0, "{found:?} became {dabbed:?}");

            desk.click("remove-hair").await?;
            desk.reads("undo", "remove the hair of both brows").await?;
            desk.find("find-hair").await?;
            Ok(())
        });
    }
}

#[test]
fn a_limit_on_the_hair_is_checked_with_the_other_rules() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_the_hair(desk, "demo-set").await?;
        desk.click("find-hair").await?;
        desk.find("hair-numbers").await?;
        desk.click("hair-limits").await?;
        desk.click("hair-step-most-held").await?;
        desk.enter("hair-step-most", "0,5").await?;
        desk.reads("undo", "change the limits").await?;
        desk.click("hand-points").await?;
        desk.reads("failing", "hair").await?;
        Ok(())
    });
}

/// Thickness at start, body and peak of the client's left brow, mm.
async fn thickness(desk: &Desk) -> Result<Vec<f64>> {
    desk.click("hand-points").await?;
    desk.find("differences").await?;
    let script = "return ['start', 'body', 'peak'].map(place => Number(document
        .querySelector(`[data-testid=difference-thickness-${place}]`)
        .querySelectorAll('td')[1].textContent));";
    Ok(desk.driver.execute(script, vec![]).await?.convert()?)
}

#[test]
fn a_brow_is_lifted_to_its_hair_without_thickening_and_follows_it() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_the_hair(desk, "demo-set").await?;
        desk.click("find-hair").await?;
        desk.find("hair-numbers").await?;
        let thick = thickness(desk).await?;
        ensure!(thick.iter().all(|mm| *mm > 2.0), "{thick:?}");
        desk.click("hand-hair").await?;
        let outside = row(desk, "hair-outside").await?[1];
        // This client's left brow is the higher one, its hair above the shape.
        desk.click("hair-side-left").await?;
        desk.click("lift-to-hair").await?;
        desk.reads("hair-brought", "goes up by").await?;
        desk.photograph("hair-lift").await?;
        ensure!(
            desk.text("undo").await? == "Undo: find the hair of both brows",
            "it was taken before it was asked for"
        );
        desk.click("hair-take").await?;
        desk.reads("undo", "lift the client's left brow").await?;
        ensure!(row(desk, "hair-outside").await?[1] < 0.7 * outside);
        for (before, after) in thick.iter().zip(thickness(desk).await?) {
            // Both to a tenth, as they stand there.
            ensure!((before - after).abs() < 0.16, "{before} became {after} mm");
        }

        desk.click("hand-hair").await?;
        desk.click("follow-hair").await?;
        desk.reads("hair-brought", "mm off").await?;
        desk.photograph("hair-follow").await?;
        desk.click("hair-leave").await?;
        desk.reads("undo", "lift the client's left brow").await?;
        desk.click("follow-hair").await?;
        desk.click("hair-take").await?;
        desk.reads("undo", "follow its hair").await?;
        desk.click("leave-hair").await?;
        desk.click("hair-take").await?;
        desk.reads("undo", "leave its hair").await?;
        desk.find("follow-hair").await?;
        Ok(())
    });
}
