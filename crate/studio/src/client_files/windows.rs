//! Two windows on one client: one works, the other follows or takes over.
//!
//! Who works holds the client's lock. Whatever the locks say, each write is
//! checked in the store itself; a window that finds the client written by
//! another stops, keeps what it alone has as an earlier version, and follows.

use wasm_bindgen_futures::spawn_local;

use super::{milestones, read};
use crate::device::locks::{self, Answer, How, Lock};
use crate::device::store::{self, Cause};
use crate::keeper::{Keeping, Seat};
use crate::pictures_of;
use crate::studio::Studio;

/// What is said of a window that took over begins so.
const WENT_ON: &str = "Another window went on with this client";

fn lock_name(client: &str) -> String {
    format!("ophryon client {client}")
}

/// Whether this window may work on a client, before anything of her is shown.
pub(super) async fn ask(studio: Studio, client: &str) -> (Seat, Option<Lock>) {
    match request(studio, client, How::IfFree).await {
        Answer::Held(lock) => (Seat::Here, Some(lock)),
        Answer::NotOffered => (Seat::Here, None),
        Answer::Busy => (Seat::Following, None),
    }
}

async fn request(studio: Studio, client: &str, how: How) -> Answer {
    let key = client.to_owned();
    let lost = move || {
        spawn_local(async move {
            if studio.key_now().as_ref() == Some(&key) {
                lose(studio).await;
            }
        });
    };
    locks::ask(&lock_name(client), how, lost).await
}

/// Sits down with the answer of [`ask`], once the client is on the screen.
pub(super) fn sit(studio: Studio, (seat, lock): (Seat, Option<Lock>)) {
    studio.keeper.sit(seat, lock);
    listen(studio);
    if seat == Seat::Following {
        spawn_local(wait_in_turn(studio));
    }
}

/// Sits down with a client that only this window has.
pub(super) async fn sit_alone(studio: Studio) {
    let Some(client) = studio.key_now() else {
        return;
    };
    let seat = ask(studio, &client).await;
    if studio.key_now() == Some(client) {
        sit(studio, seat);
    }
}

/// Once the other window has left the client, this one goes on.
async fn wait_in_turn(studio: Studio) {
    let Some(client) = studio.key_now() else {
        return;
    };
    let Answer::Held(lock) = request(studio, &client, How::InTurn).await else {
        return;
    };
    let keeper = studio.keeper;
    let still_follows =
        || studio.key_now().as_ref() == Some(&client) && keeper.seat_now() == Seat::Following;
    if still_follows() && read_anew(studio).await.is_ok() && still_follows() {
        keeper.sit(Seat::Here, Some(lock));
        // What was said of the taking over still counts.
        let before = studio.said.get_clone_untracked().unwrap_or_default();
        let before = if before.starts_with(WENT_ON) {
            format!("{before} ")
        } else {
            String::new()
        };
        studio.said.set(Some(format!(
            "{before}The other window has left this client by now. You can go on here."
        )));
    }
}

/// Takes the client over from another window.
pub(super) async fn take_over(studio: Studio) -> Result<(), String> {
    let client = studio.key_now().ok_or("No client is open.")?;
    let lock = match request(studio, &client, How::TakenOver).await {
        Answer::Held(lock) => Some(lock),
        Answer::Busy | Answer::NotOffered => None,
    };
    let store = studio.keeper.store().await?;
    let there = store.fetch(&client, read).await?;
    let names = pictures_of(&there.record).map(str::to_owned).collect();
    store.take_over(&client, names).await?;
    read_anew(studio).await?;
    studio.keeper.sit(Seat::Here, lock);
    studio.said.set(Some(
        "You work on this client here now. The other window was told, and what it kept stands here; how it was before is kept as an earlier version.".to_owned(),
    ));
    Ok(())
}

/// Shows the client as she is kept now.
async fn read_anew(studio: Studio) -> Result<(), String> {
    let keeper = studio.keeper;
    let client = studio.key_now().ok_or("No client is open.")?;
    let kept = keeper.store().await?.fetch(&client, read).await?;
    if studio.key_now().as_ref() != Some(&client) {
        return Ok(());
    }
    for (name, blob) in kept.pictures {
        if keeper
            .picture(&name)
            .is_none_or(|b| b.size() != blob.size())
        {
            keeper.hold(&name, blob, true);
        }
    }
    keeper.is_kept(&kept.record, kept.keepings);
    studio.show_anew(kept.record);
    Ok(())
}

/// Another window works on the client from now on.
pub async fn lose(studio: Studio) {
    let keeper = studio.keeper;
    let Some(client) = studio.key_now() else {
        return;
    };
    if keeper.seat_now() != Seat::Here {
        return;
    }
    // What the hand is in the middle of is work as well.
    studio.finish();
    keeper.sit(Seat::Following, None);
    keeper.rested().await;
    if studio.key_now().as_ref() != Some(&client) {
        return;
    }
    let mut said = format!("{WENT_ON}. What it keeps shows here.");
    if let Some(unkept) = studio.unkept() {
        let kept = milestones::keep(studio, &client, Cause::OtherWindow, unkept).await;
        said = match kept {
            Ok(()) => format!(
                "{WENT_ON}. What you did last here isn’t in it: it was kept as an earlier version, which you find under the word at the top right."
            ),
            Err(why) => {
                // It stays on the screen, to be saved as a file.
                keeper.keeping.set(Keeping::Trouble(format!(
                    "{WENT_ON}, and what you did last here could not be kept as an earlier version. {why} It is still shown here: save the client's file."
                )));
                return;
            }
        };
    }
    keeper.keeping.set(Keeping::Kept);
    match read_anew(studio).await {
        Ok(()) => {
            studio.said.set(Some(said));
            spawn_local(wait_in_turn(studio));
        }
        Err(why) => {
            gone(studio);
            studio.said.set(Some(why));
        }
    }
}

/// She is no longer in the store; the card above the panel says so.
pub fn gone(studio: Studio) {
    if studio.keeper.seat_now() != Seat::Gone {
        studio.finish();
        studio.keeper.sit(Seat::Gone, None);
        studio.said.set(None);
    }
}

/// Keeps a client anew who was erased in another window.
pub(super) async fn keep_anew(studio: Studio) {
    studio.keeper.forget_kept();
    studio.under_key(store::new_key());
    sit_alone(studio).await;
    studio.said.set(None);
    studio.keep_now().await;
}

/// Hears what other windows write.
fn listen(studio: Studio) {
    if !studio.keeper.begins_to_listen() {
        return;
    }
    store::listen(move |client, keepings| {
        if studio.key_now().as_deref() != Some(client) {
            return;
        }
        let keeper = studio.keeper;
        match (keepings, keeper.seat_now()) {
            (0, _) => gone(studio),
            (_, Seat::Following) => spawn_local(async move {
                if let Err(why) = read_anew(studio).await {
                    studio.said.set(Some(why));
                }
            }),
            (now, Seat::Here) if now > keeper.keepings() => spawn_local(lose(studio)),
            _ => {}
        }
    });
}
