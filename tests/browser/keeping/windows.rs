//! Two windows on one client.

use anyhow::{Context, Result, ensure};
use thirtyfour::{Key, WindowHandle};

use super::inside::Inside;
use super::{again, is_kept, peak_moves, sample};
use crate::at_a_desk;
use crate::desk::Desk;

/// The kept client in a second window, which is the one that is looked at.
async fn second_window(desk: &Desk) -> Result<(WindowHandle, WindowHandle)> {
    let first = desk.driver.window().await?;
    let second = desk.driver.new_tab().await?;
    desk.driver.switch_to_window(second.clone()).await?;
    desk.driver.goto(&desk.address).await?;
    desk.click("client").await?;
    Ok((first, second))
}

/// How high the peak stands, as the panel says it.
async fn peak(desk: &Desk) -> Result<String> {
    let handle = desk.find("handle-right-peak").await?;
    handle.focus().await?;
    let field = desk.find("handle-up").await?;
    Ok(field.prop("value").await?.unwrap_or_default())
}

#[test]
fn a_second_window_follows_and_changes_nothing() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let (first, second) = second_window(desk).await?;
        let said = desk.reads("following", "another window").await?;
        ensure!(said.contains("nothing can be changed here"), "“{said}”");
        desk.photograph("keeping-following").await?;
        let before = desk.one_record().await?;
        peak_moves(desk, Key::Up).await?;
        desk.reads("said", "nothing was changed").await?;
        ensure!(desk.one_record().await? == before, "a follower changed her");
        desk.click("said-close").await?;
        let was = peak(desk).await?;

        // The other window goes on working, and it shows here.
        desk.driver.switch_to_window(first).await?;
        peak_moves(desk, Key::Up).await?;
        is_kept(desk).await?;
        let made = peak(desk).await?;
        ensure!(made != was, "the drag moved nothing");
        desk.driver.switch_to_window(second).await?;
        desk.until("the second window never showed it", async || {
            Ok((peak(desk).await? == made).then_some(()))
        })
        .await?;
        Ok(())
    });
}

#[test]
fn a_second_window_takes_over_and_the_first_is_told() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let (first, second) = second_window(desk).await?;
        desk.find("following").await?;
        desk.click("take-over").await?;
        desk.reads("said", "You work on this client here now")
            .await?;
        ensure!(!desk.is_there("following").await, "it follows still");
        peak_moves(desk, Key::Up).await?;
        is_kept(desk).await?;
        let made = desk.one_record().await?;

        desk.driver.switch_to_window(first.clone()).await?;
        desk.find("following").await?;
        desk.reads("said", "Another window went on with this client")
            .await?;
        desk.photograph("keeping-taken-over").await?;
        peak_moves(desk, Key::Down).await?;
        desk.reads("said", "nothing was changed").await?;
        ensure!(desk.one_record().await? == made, "it wrote over the other");

        // Once the second has left her, the first goes on by itself.
        desk.driver.switch_to_window(second).await?;
        desk.click("to-clients").await?;
        desk.find("home").await?;
        desk.driver.switch_to_window(first).await?;
        desk.reads("said", "You can go on here").await?;
        peak_moves(desk, Key::Down).await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? != made, "it can't go on");
        Ok(())
    });
}

#[test]
fn what_the_losing_window_alone_had_is_kept_as_an_earlier_version() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let (key, theirs) = desk.records().await?.pop().context("a client")?;
        // As another window does in the moment before this one writes: without
        // a lock and without a word.
        let written = desk
            .inside(
                "const db = await opened(); const store = at(db, 'keepings', 'readwrite');
                 const n = await of(store.get(given[0]));
                 store.put(n + 1, given[0]); await ended(store); db.close(); return n + 1;",
                vec![key.clone().into()],
            )
            .await?;
        ensure!(written.as_u64().is_some_and(|n| n > 1), "{written}");
        let versions = desk.count("versions").await?;
        peak_moves(desk, Key::Up).await?;
        let said = desk.reads("said", "Another window went on").await?;
        ensure!(said.contains("kept as an earlier version"), "“{said}”");
        ensure!(
            desk.one_record().await? == theirs,
            "the other window's work was written over"
        );
        ensure!(
            desk.count("versions").await? > versions,
            "no version was kept"
        );
        desk.click("kept").await?;
        desk.find("earlier").await?;
        let list = desk.find("earlier").await?.text().await?;
        ensure!(
            list.contains("what a second window had not kept"),
            "“{list}”"
        );
        Ok(())
    });
}

#[test]
fn a_client_erased_in_another_window_is_said_to_be_kept_nowhere() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let first = desk.driver.window().await?;
        let second = desk.driver.new_tab().await?;
        desk.driver.switch_to_window(second).await?;
        desk.driver.goto(&desk.address).await?;
        desk.find("home").await?;
        // Without a word, as where windows can't talk to each other.
        desk.empty_the_store().await?;
        desk.driver.switch_to_window(first).await?;
        peak_moves(desk, Key::Up).await?;
        desk.reads("erased-elsewhere", "kept nowhere").await?;
        ensure!(desk.records().await?.is_empty(), "she came back unasked");
        desk.click("keep-anew").await?;
        is_kept(desk).await?;
        desk.one_record().await?;
        ensure!(
            !desk.pictures().await?.is_empty(),
            "her photos were not kept"
        );
        again(desk).await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        Ok(())
    });
}
