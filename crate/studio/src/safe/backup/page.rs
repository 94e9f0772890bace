//! Backup, bringing back, and the room on this device: a page of its own
//! instead of the clients.

use ophryon_archive::{Passphrase, SHORTEST_PASSPHRASE};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

use super::Whom;
use super::bring::bring_back;
use super::make::{self, make};
use crate::device::clock;
use crate::device::store::{Space, space};
use crate::home::Doing;
use crate::markup::{El, button, div, el, p, value_of, yes_no};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::safe::age::{Age, DAYS, REMIND, room};
use crate::safe::own;
use crate::safe::progress::Progress;

/// The page.
pub fn page(doing: Doing) -> View {
    let progress = Progress::new();
    let age = create_signal(None::<Age>);
    reread(doing, age);
    let back = move || {
        doing.keeping_safe.set(false);
        doing.reread();
    };
    div("safe-page")
        .put(
            el("header")
                .class("safe-top")
                .put(
                    button("button bare", "to-home")
                        .flag("disabled", move || progress.is_busy())
                        .put(icon(Drawing::Clients))
                        .put(el("span").words("Clients"))
                        .click(back),
                )
                .put(el("h1").words("Backup and room")),
        )
        .put(
            div("safe-cards")
                .put(making(doing, progress, age))
                .put(bring_back(doing, progress, move || reread(doing, age)))
                .put(here(doing)),
        )
        .into()
}

fn reread(doing: Doing, age: Signal<Option<Age>>) {
    spawn_local(async move {
        let Ok(store) = doing.studio.keeper.store().await else {
            return;
        };
        let Ok(list) = store.list().await else { return };
        if let Ok(found) = Age::of(&store, &list.entries).await
            && age.is_alive()
        {
            age.set(Some(found));
        }
    });
}

/// Makes a backup, shows how far it is and says what came of it.
pub fn back_up(
    doing: Doing,
    whom: Whom,
    passphrase: Option<Passphrase>,
    progress: Progress,
    said: Signal<Option<String>>,
) {
    said.set(None);
    progress.begin("Beginning");
    spawn_local(async move {
        let made = make(doing.studio, whom, passphrase, progress).await;
        progress.end();
        if !said.is_alive() {
            return;
        }
        said.set(Some(match made {
            Err(why) => why,
            Ok(None) => "Stopped. Nothing was saved.".to_owned(),
            Ok(Some(outcome)) => says(&outcome),
        }));
    });
}

fn says(outcome: &make::Outcome) -> String {
    let (name, clients) = (&outcome.name, own::count(outcome.clients, "client"));
    let mut words = format!(
        "“{name}” with {clients} went to where this browser saves files. Keep a copy away from this device."
    );
    for lack in &outcome.lacks {
        words.push(' ');
        words.push_str(lack);
    }
    words
}

fn making(doing: Doing, progress: Progress, age: Signal<Option<Age>>) -> El {
    let now = clock::now_ms();
    let is_locked = create_signal(false);
    let first = create_signal(String::new());
    let second = create_signal(String::new());
    let said = create_signal(None::<String>);
    let start = move || {
        let passphrase = if is_locked.get_untracked() {
            match agreed(&first.get_clone_untracked(), &second.get_clone_untracked()) {
                Ok(passphrase) => Some(passphrase),
                Err(why) => {
                    said.set(Some(why));
                    return;
                }
            }
        } else {
            None
        };
        back_up(doing, Whom::All, passphrase, progress, said);
    };
    // Once it is made the age is another.
    sycamore::reactive::create_effect(move || {
        if !progress.is_busy() {
            reread(doing, age);
        }
    });
    let way = move |to: bool, words: &'static str, id: &'static str| {
        button("button", id)
            .pressed(move || is_locked.get() == to)
            .words(words)
            .click(move || is_locked.set(to))
    };
    el("section")
        .class("card")
        .put(el("h2").words("Back up"))
        .put(p("").id("backup-age").says(move || {
            age.get().map_or_else(String::new, |age| age.words(now))
        }))
        .put(
            div("sides")
                .at("role", "group")
                .label("Who can read it")
                .put(way(false, "Not locked", "backup-open"))
                .put(way(true, "Locked", "backup-locked")),
        )
        .shows(
            move || is_locked.get(),
            move |is_locked| {
                if !is_locked {
                    return p("Whoever has the file can read it, so keep it where nobody else is.")
                        .class("quiet")
                        .into();
                }
                parts![
                    passphrase_field("Passphrase", "passphrase", first),
                    passphrase_field("The same again", "passphrase-again", second),
                    p(format!(
                        "At least {SHORTEST_PASSPHRASE} characters; four or five words that don't belong together are good. It is kept nowhere: without it nobody can open the backup, not even you. Write it down in a safe place."
                    ))
                    .class("quiet"),
                ]
            },
        )
        .put(
            button("button main", "backup-all")
                .words("Back up all clients")
                .flag("disabled", move || {
                    progress.is_busy() || age.with(|a| a.is_some_and(|a| a.clients == 0))
                })
                .click(start),
        )
        .put(progress.view())
        .put(own::said(said, "backup-said"))
        .put(reminding(doing, age))
}

fn agreed(first: &str, second: &str) -> Result<Passphrase, String> {
    let passphrase = Passphrase::new(first);
    if let Some(weakness) = passphrase.weakness() {
        return Err(crate::words::sentence(&weakness));
    }
    if passphrase != Passphrase::new(second) {
        return Err("The two passphrases differ. Type both again.".to_owned());
    }
    Ok(passphrase)
}

/// A field for a passphrase, with a way to see what was typed.
pub fn passphrase_field(words: &'static str, id: &'static str, text: Signal<String>) -> El {
    let is_seen = create_signal(false);
    div("passphrase")
        .put(
            el("label").class("field").put(el("span").words(words)).put(
                el("input")
                    .at(
                        "type",
                        move || if is_seen.get() { "text" } else { "password" },
                    )
                    .at("autocomplete", "off")
                    .at("autocapitalize", "off")
                    .at("spellcheck", "false")
                    .id(id)
                    .value(move || text.get_clone())
                    .on::<Event>("input", move |e| text.set(value_of(e))),
            ),
        )
        .put(
            button("button bare", format!("{id}-seen"))
                .pressed(move || is_seen.get())
                .words("Show")
                .click(move || is_seen.set(!is_seen.get_untracked())),
        )
}

/// After how many days to remind.
fn reminding(doing: Doing, age: Signal<Option<Age>>) -> El {
    let choice = move |days: u32| {
        let words = match days {
            0 => "Never".to_owned(),
            n => format!("{n} days"),
        };
        el("button")
            .at("type", "button")
            .class("button")
            .id(format!("remind-{days}"))
            .pressed(move || age.with(|a| a.is_some_and(|a| a.remind_days == days)))
            .words(words)
            .click(move || {
                spawn_local(async move {
                    if let Ok(store) = doing.studio.keeper.store().await {
                        // Only a reminder: not kept, it is as it was.
                        let _ = store.set_fact(REMIND, &days.to_string()).await;
                    }
                    reread(doing, age);
                });
            })
    };
    div("reminding")
        .put(el("span").words("Remind me after"))
        .put(
            div("sides")
                .at("role", "group")
                .label("Remind me after")
                .all(DAYS.map(choice)),
        )
}

/// The room on this device, and whether the browser keeps what is there.
fn here(doing: Doing) -> El {
    let found = create_signal(None::<Option<Space>>);
    let look = move || {
        spawn_local(async move {
            let space = space().await;
            if found.is_alive() {
                found.set(Some(space));
            }
        });
    };
    look();
    let is_more = create_signal(false);
    let ask = move || {
        spawn_local(async move {
            clock::ask_to_keep().await;
            look();
        });
    };
    let _ = doing;
    el("section")
        .class("card")
        .put(el("h2").words("Room on this device"))
        .shows(
            move || found.get(),
            move |found| match found {
                None => View::new(),
                Some(None) => p("This browser doesn't say how much room there is. Back up often.")
                    .id("room")
                    .into(),
                Some(Some(space)) => {
                    let promise = if space.is_promised {
                        "The browser promised to keep it, also when the device runs short of room."
                    } else {
                        "The browser has not promised to keep it: it may clear it when the device runs short of room. A backup helps then; installing Ophryon on this device often brings the promise."
                    };
                    let ask = (!space.is_promised).then(|| {
                        button("button", "ask-to-keep")
                            .words("Ask it to keep everything")
                            .click(ask)
                    });
                    parts![
                        p(room(&space)).id("room"),
                        p(promise).class("quiet").id("promise"),
                        div("buttons").all(ask),
                    ]
                }
            },
        )
        .put(
            button("button bare start", "room-more")
                .at("aria-expanded", yes_no(move || is_more.get()))
                .words("Private windows, and clearing the browser")
                .click(move || is_more.set(!is_more.get_untracked())),
        )
        .shows(
            move || is_more.get(),
            |is_more| {
                if !is_more {
                    return View::new();
                }
                parts![
                    p("Everything lies in this browser on this device and nowhere else. A private window loses it when it is closed, and so does clearing the data of pages in the browser's settings: make a backup first, keep it elsewhere, and bring it back here afterwards."),
                    p("Whoever can unlock this device can see it. Lock the device, and let it encrypt its storage. What you must keep, and for how long, is set by local rules."),
                ]
            },
        )
}
