//! Room on her pages and in the artist's panel, also at twice their size: a
//! window of 820 by 1180 px at 200 % is one of 410 by 590.

use anyhow::{Context, Result, ensure};
use serde_json::Value;

use super::{bounds, hand_over, tap};
use crate::at_a_desk;
use crate::desk::Desk;

const STOPS: [&str; 4] = ["stage-before", "stage-drawn", "stage-fresh", "stage-healed"];
const WAYS: [&str; 4] = ["facing-mirror", "facing-others", "near-face", "near-brows"];

/// Below the picture, in a row under the slider, each as wide as its word.
async fn has_room(desk: &Desk, height: f64) -> Result<()> {
    let [_, _, _, picture] = bounds(desk, "circles").await?;
    ensure!(
        picture >= 0.4 * height,
        "her face is only {picture} px high"
    );
    for id in WAYS {
        let [_, top, _, _] = bounds(desk, id).await?;
        let [_, y, _, h] = bounds_as_they_are(desk, "circles").await?;
        ensure!(top >= y + h - 1.0, "{id} lies on her face");
    }
    let [x, _, w, _] = bounds(desk, "slider").await?;
    let row = bounds(desk, STOPS[0]).await?[1];
    for (n, id) in STOPS.iter().enumerate() {
        let [left, top, width, _] = bounds_as_they_are(desk, id).await?;
        ensure!((top - row).abs() < 1.0, "{id} stands in a row of its own");
        // The thumb is 48 px wide and stays within the slider.
        let thumb = x + 24.0 + (w - 48.0) * n as f64 / 3.0;
        let off = thumb - (left + 0.5 * width);
        ensure!(off.abs() < 2.0, "{id} is {off} px beside its stage");
        let script = format!(
            "const it = document.querySelector('[data-testid=\"{id}\"]');
            return it.scrollWidth - it.clientWidth;"
        );
        let over = desk.driver.execute(script, Vec::<Value>::new()).await?;
        ensure!(
            over.convert::<f64>()? <= 1.0,
            "{id} is wider than its button"
        );
    }
    Ok(())
}

/// Left, top, width and height, without scrolling.
async fn bounds_as_they_are(desk: &Desk, id: &str) -> Result<[f64; 4]> {
    let script = format!(
        "const box = document.querySelector('[data-testid=\"{id}\"]').getBoundingClientRect();
        return [box.left, box.top, box.width, box.height];"
    );
    let found = desk.driver.execute(script, Vec::<Value>::new()).await?;
    Ok(found.convert()?)
}

async fn to_the_middle(desk: &Desk, id: &str) -> Result<()> {
    desk.find(id).await?;
    let script = format!(
        "document.querySelector('[data-testid=\"{id}\"]').scrollIntoView({{ block: 'center' }});"
    );
    desk.driver.execute(script, Vec::<Value>::new()).await?;
    Ok(())
}

/// Every place has 44 px, no row holds one alone, nothing is wider than the panel.
async fn places_have_room(desk: &Desk) -> Result<()> {
    let script =
        "const all = [...document.querySelectorAll('.knot')].map(k => k.getBoundingClientRect());
        const rows = all.map(k => all.filter(o => Math.abs(o.top - k.top) < 2).length);
        return [Math.min(...all.map(k => k.width)), Math.min(...rows),
            Math.max(...all.map(k => k.right)) - innerWidth];";
    let found = desk.driver.execute(script, Vec::<Value>::new()).await?;
    let [width, row, over]: [f64; 3] = found.convert()?;
    ensure!(width >= 44.0, "a place is only {width} px wide");
    ensure!(row >= 3.0, "a place stands in a row with {row}");
    ensure!(
        over <= 0.0,
        "the places are {over} px wider than the window"
    );
    Ok(())
}

#[test]
fn her_face_and_every_word_have_room_also_at_twice_the_size() {
    for size in [(410, 590), (640, 400), (820, 1180), (1180, 820)] {
        at_a_desk(size, "light", async |desk| {
            desk.click("try-sample").await?;
            desk.click("demo-set").await?;
            desk.find("handle-right-peak").await?;
            places_have_room(desk).await?;
            desk.click("place-show").await?;
            // Scrolled into view, so that no foot of the panel lies on it.
            to_the_middle(desk, "hand-over").await?;
            hand_over(desk).await?;
            for language in ["speak-en", "speak-es"] {
                tap(desk, language).await?;
                has_room(desk, f64::from(size.1))
                    .await
                    .with_context(|| format!("{language} at {size:?}"))?;
            }
            Ok(())
        });
    }
}
