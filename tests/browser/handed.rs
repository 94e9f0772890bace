//! The tablet in the client's hands: handing over, what she sees, says and
//! chooses, and that nothing but the artist's code leads back.

mod hers;
mod locked;
mod readers;
mod room;

use anyhow::{Result, ensure};
use serde_json::Value;

use super::desk::Desk;
use super::sketch::fingers;

/// The artist's code in these stories.
const CODE: &str = "25804139";

/// A sample client with one kept shape beside the present one, at Show.
async fn at_show(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.find("handle-right-peak").await?;
    let summary = "[data-testid=\"kept-shapes\"] > summary";
    click_css(desk, summary).await?;
    desk.click("keep-shape").await?;
    desk.find("kept-0").await?;
    desk.drag("handle-right-peak", [0, -9]).await?;
    desk.reads("undo", "peak").await?;
    desk.click("place-show").await?;
    desk.find("hand-over").await?;
    Ok(())
}

async fn click_css(desk: &Desk, css: &str) -> Result<()> {
    use thirtyfour::prelude::*;
    desk.until(&format!("{css} can't be pressed"), async || {
        let Ok(found) = desk.driver.find(By::Css(css)).await else {
            return Ok(None);
        };
        Ok(found.click().await.ok())
    })
    .await
}

/// Presses the keys of the pad, and the button that takes the code.
async fn type_code(desk: &Desk, code: &str) -> Result<()> {
    for digit in code.chars() {
        desk.click(&format!("code-{digit}")).await?;
    }
    desk.click("code-take").await
}

/// Hands the tablet over for the first time, setting the code.
async fn hand_over(desk: &Desk) -> Result<()> {
    desk.click("hand-over").await?;
    desk.reads("code-heading", "Choose").await?;
    type_code(desk, CODE).await?;
    desk.reads("code-heading", "once more").await?;
    type_code(desk, CODE).await?;
    desk.reads("handed-heading", "Your brows").await?;
    Ok(())
}

/// A finger taps the middle of an element.
async fn tap(desk: &Desk, id: &str) -> Result<()> {
    let [x, y, w, h] = bounds(desk, id).await?;
    let place = Some([x + 0.5 * w, y + 0.5 * h]);
    fingers(desk, &["touch"], &[vec![place], vec![None]]).await
}

/// Left, top, width and height on the screen, once it is in view.
async fn bounds(desk: &Desk, id: &str) -> Result<[f64; 4]> {
    desk.find(id).await?;
    let script = format!(
        "const it = document.querySelector('[data-testid=\"{id}\"]');
        it.scrollIntoView({{ block: 'nearest' }});
        const box = it.getBoundingClientRect();
        return [box.left, box.top, box.width, box.height];"
    );
    let found = desk.driver.execute(script, Vec::<Value>::new()).await?;
    Ok(found.convert()?)
}

/// What the page is, in a word: whether anything of the artist's is on it.
async fn look(desk: &Desk) -> Result<String> {
    let found = desk.driver.execute(LOOK, Vec::<Value>::new()).await?;
    Ok(found.convert()?)
}

/// Anything that only the artist may see or use, or another client's name.
const LOOK: &str = "
    const artist = ['home', 'panel', 'stage', 'clients', 'client', 'new-client', 'to-clients',
        'undo', 'redo', 'hand-over', 'place-face', 'place-shape', 'place-show', 'place-paper',
        'try-sample', 'guest'];
    for (const id of artist)
        if (document.querySelector(`[data-testid=\"${id}\"]`)) return `the artist's “${id}”`;
    if (document.documentElement.textContent.includes('Zerelda')) return 'another client';
    if (document.querySelector('[data-testid=handed]')) return 'hers';
    return document.body?.textContent.trim() ? 'something' : 'nothing';";

/// Waits until her pages stand, with nothing else on them at any time.
async fn only_hers(desk: &Desk) -> Result<()> {
    desk.until("her pages don't come", async || {
        let seen = look(desk).await?;
        ensure!(
            !seen.contains("artist") && !seen.contains("client"),
            "{seen} is there"
        );
        Ok((seen == "hers").then_some(()))
    })
    .await
}
