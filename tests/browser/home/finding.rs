//! Finding a client among many.

use anyhow::{Result, ensure};

use super::shelf::{fill, reopen};
use crate::at_a_desk;
use crate::desk::Desk;

async fn search(desk: &Desk, words: &str, expect: &str) -> Result<()> {
    desk.enter("search", words).await?;
    desk.reads("found", expect).await?;
    Ok(())
}

#[test]
fn a_client_is_found_by_code_name_day_and_note_whatever_the_accents() {
    at_a_desk((1180, 820), "light", async |desk| {
        fill(desk, 40, 2000).await?;
        reopen(desk).await?;
        // At first only the last ones; the rest is asked for.
        desk.photograph("home-many").await?;
        desk.reads("all-clients", "40").await?;
        desk.click("all-clients").await?;
        search(desk, "c0017", "1 client").await?;
        search(desk, "asta", "5 clients").await?;
        search(desk, "ÁSTA", "5 clients").await?;
        search(desk, "lucja", "5 clients").await?;
        search(desk, "soren inv", "5 clients").await?;
        search(desk, "creme soft", "6 clients").await?;
        search(desk, "2026-11-28 renee", "5 clients").await?;
        // Who is found by her name shows it, for as long as it is asked for.
        desk.reads("found-by", "Renée").await?;
        for day in ["28 november 2026", "28.11.2026", "11/28/2026"] {
            search(desk, &format!("{day} renee"), "5 clients").await?;
        }
        search(desk, "nobody", "0 clients").await?;
        desk.find("nobody").await?;
        search(desk, "c0017", "1 client").await?;
        ensure!(!desk.is_there("found-by").await, "her name shows unasked");
        desk.photograph("home-found").await?;
        desk.click("client").await?;
        desk.reads("client-code", "C0017").await?;
        Ok(())
    });
}

#[test]
fn a_long_list_shows_a_few_rows_and_large_buttons_turn_it() {
    at_a_desk((820, 1180), "light", async |desk| {
        fill(desk, 40, 2000).await?;
        reopen(desk).await?;
        desk.click("all-clients").await?;
        desk.reads("rows-shown", "1 to 8 of 40").await?;
        ensure!(rows(desk).await? == 8, "more rows than one page");
        desk.click("rows-after").await?;
        desk.reads("rows-shown", "9 to 16 of 40").await?;
        ensure!(rows(desk).await? == 8, "more rows than one page");
        desk.click("rows-before").await?;
        desk.reads("rows-shown", "1 to 8 of 40").await?;
        Ok(())
    });
}

async fn rows(desk: &Desk) -> Result<usize> {
    let by = thirtyfour::By::Css("[data-testid=client]");
    Ok(desk.driver.find_all(by).await?.len())
}
