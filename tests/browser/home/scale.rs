//! Two thousand clients: what listing, finding and opening take. Told, not
//! judged: a test with a clock fails on a busy machine.

use anyhow::{Result, ensure};
use serde_json::{Value, json};

use super::shelf::{fill, reopen};
use crate::at_a_desk;
use crate::desk::Desk;

/// How long until a selector finds something, ms, from a call on the page.
async fn ms(desk: &Desk, act: &str, until: &str) -> Result<f64> {
    let script = format!(
        "const done = arguments[arguments.length - 1];
        const begun = performance.now();
        {act};
        const look = () => ({until}) ? done(performance.now() - begun) : requestAnimationFrame(look);
        look();"
    );
    let took = desk
        .driver
        .execute_async(&script, Vec::<Value>::new())
        .await?;
    Ok(took.json().as_f64().unwrap_or(f64::NAN))
}

async fn memory(desk: &Desk) -> Result<f64> {
    let script = "return performance.memory ? performance.memory.usedJSHeapSize / 1e6 : -1;";
    let used = desk.driver.execute(script, Vec::<Value>::new()).await?;
    Ok(used.json().as_f64().unwrap_or(f64::NAN))
}

const TYPE: &str = "const field = document.querySelector('[data-testid=search]');
    field.value = 'lucja 2026'; field.dispatchEvent(new Event('input', { bubbles: true }))";

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn two_thousand_clients_with_three_photos_each() {
    at_a_desk((1180, 820), "light", async |desk| {
        for count in [200_u32, 2000] {
            let script = "const done = arguments[0]; const r = indexedDB.deleteDatabase('ophryon'); r.onsuccess = r.onblocked = () => done(true);";
            desk.driver.goto("about:blank").await?;
            desk.driver
                .goto(&format!("{}assets.json", desk.address))
                .await?;
            desk.driver
                .execute_async(script, Vec::<Value>::new())
                .await?;
            desk.driver.goto(&desk.address).await?;
            desk.find("no-clients").await?;
            fill(desk, count, 40_000).await?;
            reopen(desk).await?;
            desk.find("all-clients").await?;
            desk.find("safe-card").await?;
            let first = memory(desk).await?;
            // From a client back to the first screen: the list is read anew.
            let open = "document.querySelector('[data-testid=client]').click()";
            let opened = ms(desk, open, "document.querySelector('[data-testid=photo]')").await?;
            let close = "document.querySelector('[data-testid=to-clients]').click()";
            let listed = ms(
                desk,
                close,
                "document.querySelector('[data-testid=all-clients]')",
            )
            .await?;
            let again = ms(desk, open, "document.querySelector('[data-testid=photo]')").await?;
            ms(
                desk,
                close,
                "document.querySelector('[data-testid=all-clients]')",
            )
            .await?;
            let all = "document.querySelector('[data-testid=all-clients]').click()";
            let shown = ms(
                desk,
                all,
                "document.querySelector('[data-testid=rows-shown]')",
            )
            .await?;
            let found = format!(
                "document.querySelector('[data-testid=found]').textContent.startsWith('{} ')",
                count / 8
            );
            let searched = ms(desk, TYPE, &found).await?;
            let clear = TYPE.replace("lucja 2026", "c00");
            let next = ms(
                desk,
                &clear,
                "document.querySelector('[data-testid=found]').textContent.startsWith('100 ')",
            )
            .await?;
            let rows = desk
                .driver
                .execute(
                    "return document.querySelectorAll('[data-testid=client]').length;",
                    Vec::<Value>::new(),
                )
                .await?;
            ensure!(
                *rows.json() == json!(8),
                "{} rows stand on the page",
                rows.json()
            );
            println!(
                "{count} clients: opened in {opened:.0} ms, again {again:.0}; first screen back with its list in {listed:.0}; rows in {shown:.0}; first search {searched:.0}, next {next:.0}; script memory {first:.1} MB, now {:.1}",
                memory(desk).await?
            );
        }
        Ok(())
    });
}
