//! What a finger does at a desk, and a client with it from page to page.

use std::time::Instant;

use anyhow::{Result, ensure};
use serde_json::json;
use thirtyfour::prelude::*;

use crate::desk::Desk;
use crate::sketch::fingers;

/// Where an element's middle is, once it rests in sight.
async fn middle(desk: &Desk, id: &str) -> Result<[f64; 2]> {
    let script = "const e = document.querySelector(`[data-testid=\"${arguments[0]}\"]`);
        if (!e) return null;
        e.scrollIntoView({ block: 'nearest', behavior: 'instant' });
        const b = e.getBoundingClientRect();
        return [b.left + b.width / 2, b.top + b.height / 2];";
    let before = std::cell::Cell::new(None);
    desk.until(&format!("“{id}” never comes to rest"), async || {
        let at = desk.driver.execute(script, vec![json!(id)]).await?;
        let at: Option<[f64; 2]> = at.convert()?;
        let rests = at.is_some() && at == before.replace(at);
        Ok(at.filter(|_| rests))
    })
    .await
}

/// One touch with a finger.
pub async fn touch(desk: &Desk, id: &str) -> Result<()> {
    desk.find(id).await?;
    let at = middle(desk, id).await?;
    fingers(desk, &["touch"], &[vec![Some(at)], vec![None]]).await
}

/// A finger drawn along these places of an element, each a share of its width
/// and height.
pub async fn draw_on(desk: &Desk, id: &str, line: &[[f64; 2]]) -> Result<()> {
    let rect = desk.find(id).await?;
    middle(desk, id).await?;
    let rect = rect.rect().await?;
    let at = |p: &[f64; 2]| {
        vec![Some([
            rect.x + p[0] * rect.width,
            rect.y + p[1] * rect.height,
        ])]
    };
    let mut steps: Vec<_> = line.iter().map(at).collect();
    // The finger comes to rest: a browser takes a touch right after a flick for
    // the end of it.
    steps.extend(line.last().map(at).into_iter().cycle().take(6));
    steps.push(vec![None]);
    fingers(desk, &["touch"], &steps).await
}

/// A name in two strokes.
pub async fn sign_by_hand(desk: &Desk) -> Result<()> {
    let first: Vec<[f64; 2]> = (0..24)
        .map(|n| {
            let t = f64::from(n) / 23.0;
            [0.12 + 0.45 * t, 0.5 - 0.25 * libm::sin(9.0 * t)]
        })
        .collect();
    draw_on(desk, "signature", &first).await?;
    draw_on(
        desk,
        "signature",
        &[[0.62, 0.7], [0.7, 0.3], [0.8, 0.65], [0.88, 0.35]],
    )
    .await
}

/// The artist's keys, by touch.
pub async fn type_code(desk: &Desk, code: &str, id: &str) -> Result<()> {
    for digit in code.chars() {
        touch(desk, &format!("{id}-{digit}")).await?;
    }
    touch(desk, &format!("{id}-take")).await
}

/// Opens a section of the panel, if it isn't.
pub async fn unfold(desk: &Desk, section: &str) -> Result<()> {
    desk.find(section).await?;
    let summary = By::Css(format!("[data-testid=\"{section}\"]:not([open]) > summary"));
    let begun = Instant::now();
    loop {
        match desk.driver.find(summary.clone()).await {
            Err(_) => return Ok(()),
            Ok(found) => found.click().await.ok(),
        };
        ensure!(
            begun.elapsed().as_secs() < 20,
            "“{section}” can't be opened"
        );
    }
}

/// Answers page after page of what is asked: no to every caution but those
/// named, which she flags; yes to every statement; up to the signature.
pub async fn answer_everything(desk: &Desk, flagged: &[&str]) -> Result<()> {
    let begun = Instant::now();
    while !desk.is_there("sign-agree").await {
        ensure!(begun.elapsed().as_secs() < 120, "the pages never end");
        let before = desk.text("signing-at").await?;
        let heading = desk.text("signing-heading").await?;
        let answer = if desk.is_there("caution-no").await {
            if flagged.iter().any(|words| heading.contains(words)) {
                "caution-yes"
            } else {
                "caution-no"
            }
        } else if desk.is_there("say-yes").await {
            // A no that was given stays one.
            let no = desk.find("say-no").await?.attr("aria-pressed").await?;
            if no.as_deref() == Some("true") {
                "say-no"
            } else {
                "say-yes"
            }
        } else if desk.is_there("shape-on").await {
            desk.reads("shape-numbers", "mm").await?;
            desk.photograph("signing-shape").await?;
            "shape-on"
        } else if desk.is_there("sign-begin").await {
            "sign-begin"
        } else {
            "sign-on"
        };
        touch(desk, answer).await?;
        desk.no_longer_reads("signing-at", &before).await?;
    }
    Ok(())
}
