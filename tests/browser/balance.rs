//! Two photos of one client: what they say together, and the plan.

use anyhow::{Context, Result, ensure};
use ophryon_face::Landmark;
use thirtyfour::prelude::*;

use crate::desk::Desk;
use crate::truth::Invented;
use crate::{at_a_desk, bring_photo};

/// Answers every landmark question of a photo by tapping where the landmark is.
async fn tap_all(desk: &Desk, client: &Invented, photo: usize) -> Result<usize> {
    let mut tapped = 0;
    loop {
        let question = desk.text("question").await?;
        let asked = Landmark::in_order()
            .into_iter()
            .find(|l| question == format!("Tap the {}.", l.name()));
        let Some(landmark) = asked else {
            return Ok(tapped);
        };
        desk.tap(client.landmark_in(photo, landmark)?)
            .await
            .with_context(|| question.clone())?;
        tapped += 1;
        desk.no_longer_reads("question", &question).await?;
    }
}

/// The first number with a decimal point in a text.
fn millimetres(text: &str) -> Option<f64> {
    text.split_whitespace()
        .find_map(|word| word.contains('.').then(|| word.parse().ok()).flatten())
}

/// The drawn truth: how much further the client's left brow rises than the
/// right, the mean of start, peak and tail.
fn true_change(client: &Invented) -> Result<f64> {
    let places = ["brow-start-top", "brow-peak", "brow-tail"];
    let mut sum = 0.0;
    for place in places {
        let at = |photo| client.left_higher_mm(photo, place);
        sum += at(1)? - at(0)?;
    }
    Ok(sum / 3.0)
}

#[test]
fn both_photos_of_the_moving_client_are_read_as_movement_and_kept() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-movement")?;
        bring_photo(desk, &client).await?;
        desk.click("scale-ruler").await?;
        desk.tap(client.scale_place("mark-0")?).await?;
        desk.tap(client.scale_place("mark-150")?).await?;
        desk.enter("scale-length", "150").await?;
        desk.click("scale-take").await?;
        let at_rest = tap_all(desk, &client, 0).await?;
        desk.click("tape-skip").await?;
        desk.photograph("face").await?;

        // The second photo is asked for, and is tapped in fewer points.
        desk.click("to-balance").await?;
        desk.reads("question", "set in the face, or movement")
            .await?;
        desk.photograph("balance-second").await?;
        desk.choose("second-photo-file", &client.eyes_open_photo())
            .await?;
        desk.reads("question", "Tap the").await?;
        let in_use = tap_all(desk, &client, 1).await?;
        ensure!(
            in_use < at_rest,
            "{in_use} points in the second photo, {at_rest} in the first"
        );
        desk.click("to-balance").await?;

        let verdict = desk.reads("verdict", "muscle").await?;
        desk.photograph("balance-movement").await?;
        let said = millimetres(&verdict).with_context(|| verdict.clone())?;
        let truth = true_change(&client)?;
        // Taps on whole screen px in two photos.
        ensure!(
            (said - truth).abs() < 0.7,
            "“{verdict}”, truly {truth:.2} mm"
        );
        ensure!(
            verdict.contains("your left brow goes up"),
            "the side is wrong: “{verdict}”"
        );
        // Nothing is corrected, and it says why.
        let why = desk.reads("plan-nothing", "Nothing is corrected").await?;
        ensure!(why.contains("uneven at rest"), "“{why}”");
        ensure!(!desk.is_there("take-plan").await, "a plan for movement");
        ensure!(desk.state("place-balance").await? == "done");

        // One photo over the other.
        for (button, seen, hidden) in [
            ("look-at-rest", "compare-at-rest", "compare-in-use"),
            ("look-in-use", "compare-in-use", "compare-at-rest"),
        ] {
            desk.click(button).await?;
            ensure!(desk.find(seen).await?.is_displayed().await?, "{button}");
            ensure!(!desk.find(hidden).await?.is_displayed().await?, "{button}");
        }

        // All of it is kept.
        desk.reads("kept", "Kept").await?;
        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.click("place-balance").await?;
        let again = desk.reads("verdict", "muscle").await?;
        ensure!(again == verdict, "“{verdict}” became “{again}”");
        Ok(())
    });
}

/// Common practice, no source: 2 mm become 1 mm down on the high side and 1 mm
/// up on the low one.
#[test]
fn the_plan_of_the_set_client_arrives_in_the_shape_as_one_step() {
    at_a_desk((820, 1180), "light", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.click("place-balance").await?;
        desk.reads("verdict", "set in your face").await?;
        desk.photograph("balance-set").await?;
        ensure!(desk.state("place-balance").await? == "needs a look");
        for place in ["plan-start", "plan-peak", "plan-tail"] {
            let row = desk.text(place).await?;
            ensure!(
                row.contains("+1.0") && row.contains("\u{2212}1.0") && row.contains("0.0"),
                "{place}: “{row}”"
            );
        }
        // A quarter on the high side, by keyboard: 0.5 down and 1.5 up, which
        // is 0.5 above the middle of both on both sides.
        desk.click("change-plan").await?;
        let share = desk.find("plan-share").await?;
        share.focus().await?;
        for _ in 0..5 {
            desk.find("plan-share")
                .await?
                .send_keys(Key::Left + "")
                .await?;
        }
        let row = desk.reads("plan-peak", "+1.5").await?;
        ensure!(row.contains("\u{2212}0.5"), "“{row}”");
        desk.photograph("balance-plan").await?;
        desk.click("take-plan").await?;
        desk.reads("plan-taken", "in the shape").await?;
        desk.reads("undo", "take the plan").await?;
        ensure!(desk.state("place-balance").await? == "done");

        desk.click("to-shape").await?;
        desk.click("both-sides").await?;
        for side in ["right", "left"] {
            let field = desk.find(&format!("offset-{side}-height")).await?;
            let up: f64 = field.prop("value").await?.unwrap_or_default().parse()?;
            ensure!((up - 0.5).abs() < 0.06, "{side}: {up} mm up");
        }
        // One step takes it out again.
        desk.click("undo").await?;
        desk.click("place-balance").await?;
        desk.find("take-plan").await?;
        Ok(())
    });
}

#[test]
fn a_cap_holds_a_side_back_and_says_so() {
    at_a_desk((1180, 820), "dark", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.click("place-balance").await?;
        desk.click("change-plan").await?;
        desk.enter("cap-left", "0,5").await?;
        let row = desk.reads("plan-peak", "at its cap").await?;
        // What the capped side can't do goes to the other.
        ensure!(
            row.contains("\u{2212}0.5") && row.contains("+1.5"),
            "“{row}”"
        );
        desk.click("no-caps").await?;
        desk.reads("plan-peak", "\u{2212}1.0").await?;
        desk.click("notice").await?;
        desk.reads("notice-words", "notice").await?;
        desk.photograph("balance-dark").await?;
        Ok(())
    });
}

#[test]
fn one_photo_alone_says_what_it_can_not_know() {
    at_a_desk((1280, 800), "light", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        // The second photo goes.
        desk.click("place-face").await?;
        desk.click("photo-eyes-open").await?;
        desk.click("other-photo").await?;
        desk.click("remove-photo").await?;
        desk.click("place-balance").await?;
        desk.click("alone").await?;
        desk.reads("alone-limits", "can't be known from one photo")
            .await?;
        let table = desk.reads("alone-table", "left higher").await?;
        ensure!(table.contains('\u{b1}'), "“{table}” carries no error");
        desk.photograph("balance-alone").await?;
        ensure!(!desk.is_there("take-plan").await, "a plan from one photo");
        Ok(())
    });
}
