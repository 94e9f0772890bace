//! Who a client is: her code, her name, what was noted; and what can be done
//! with her file as a whole.

use std::cell::RefCell;

use ophryon_record::{Client, Edit, Record, apply};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Event, HtmlTextAreaElement};

use super::backup::Whom;
use super::erase;
use super::own;
use super::progress::Progress;
use crate::device::clock;
use crate::device::store::{Entry, Keeping, NotKept};
use crate::home::Doing;
use crate::home::line::same_code;
use crate::markup::{El, button, div, el, glance, p, shows, value_of};
use crate::parts;
use crate::places;
use crate::studio::Studio;
use crate::words;

/// What is typed into the fields.
#[derive(Clone, Copy)]
struct Typed {
    code: Signal<String>,
    name: Signal<String>,
    note: Signal<String>,
}

/// What was typed of the client in work and neither kept nor closed.
struct Left {
    key: Option<String>,
    /// What was kept of her as the card was opened.
    of: Client,
    typed: Typed,
}

thread_local! {
    static LEFT: RefCell<Option<Left>> = const { RefCell::new(None) };
}

impl Typed {
    fn of(client: &Client) -> Self {
        Self {
            code: create_signal(client.code.clone()),
            name: create_signal(client.name.clone().unwrap_or_default()),
            note: create_signal(client.note.clone()),
        }
    }

    /// The fields of the client in work, as they were left: going to another
    /// place takes nothing that was typed away.
    fn in_work(studio: Studio, client: &Client) -> Self {
        let key = studio.key_now();
        let left = LEFT.with_borrow(|left| {
            let left = left.as_ref().filter(|left| left.key == key);
            // Where nothing was typed, what she is called by now stands there.
            let typed = left.filter(|left| left.of == *client || left.typed.client() != left.of);
            typed.map(|left| left.typed)
        });
        left.unwrap_or_else(|| {
            // In the scope of the app, for it outlasts the card.
            let typed = glance(|| Self::of(client));
            let of = client.clone();
            LEFT.set(Some(Left { key, of, typed }));
            typed
        })
    }

    fn client(self) -> Client {
        let name = self.name.get_clone_untracked().trim().to_owned();
        Client {
            code: self.code.get_clone_untracked().trim().to_owned(),
            name: (!name.is_empty()).then_some(name),
            note: self.note.get_clone_untracked().trim().to_owned(),
        }
    }

    /// The fields; `known` says what is to be said of the code.
    fn fields(self, known: impl Fn(&str) -> Option<String> + 'static) -> View {
        let said = move || self.code.with(|code| known(code));
        parts![
            field("Code, as it stands on paper", "details-code", self.code),
            shows(said, |said| match said {
                None => View::new(),
                Some(said) => p(said)
                    .class("word calm")
                    .at("role", "status")
                    .id("details-code-in-use")
                    .into(),
            }),
            field("Name, if you keep it here", "details-name", self.name),
            el("label")
                .class("field")
                .put(el("span").words("Note"))
                .put(
                    el("textarea")
                        .class("plain-input")
                        .at("rows", "3")
                        .at("dir", "auto")
                        .id("details-note")
                        .words(self.note.get_clone_untracked())
                        .on::<Event>("input", move |e| self.note.set(text_of(e))),
                ),
        ]
    }
}

fn field(words: &'static str, id: &'static str, text: Signal<String>) -> El {
    el("label").class("field").put(el("span").words(words)).put(
        el("input")
            .at("type", "text")
            .at("autocomplete", "off")
            .at("spellcheck", "false")
            .at("dir", "auto")
            .at("value", text.get_clone_untracked())
            .id(id)
            .on::<Event>("input", move |e| text.set(value_of(e))),
    )
}

fn text_of(event: &Event) -> String {
    use wasm_bindgen::JsCast;
    let area = event.target().and_then(|t| t.dyn_into().ok());
    area.map_or_else(String::new, |area: HtmlTextAreaElement| area.value())
}

/// Of a client of the list.
pub fn details(doing: Doing, entry: Entry) -> View {
    let found = create_signal(None::<Result<Record, String>>);
    let key = entry.key.clone();
    spawn_local(async move {
        let record = own::record(doing.studio, &key).await;
        if found.is_alive() {
            found.set(Some(record));
        }
    });
    div("details")
        .id("client-details")
        .shows(
            move || found.get_clone(),
            move |found| match found {
                None => p("Reading").class("busy").at("role", "status").into(),
                Some(Ok(record)) => of_record(doing, &entry, record),
                Some(Err(why)) => unread(doing, &entry, &why),
            },
        )
        .into()
}

fn of_record(doing: Doing, entry: &Entry, record: Record) -> View {
    let typed = Typed::of(&record.client);
    let said = create_signal(None::<String>);
    let progress = Progress::new();
    let (key, code) = (entry.key.clone(), entry.code.clone());
    let others = {
        let key = key.clone();
        move |code: &str| {
            doing.known.with(|known| {
                let list = known.clients()?;
                let twin = list
                    .iter()
                    .find(|e| e.key != key && same_code(&e.code, code));
                twin.map(|e| {
                    let date = clock::date(e.changed_ms);
                    format!("Another client has this code too, last changed {date}. A letter or a number tells them apart.")
                })
            })
        }
    };
    let keep = {
        let key = key.clone();
        move || {
            let key = key.clone();
            doing.run("Keeping the details", async move {
                set(doing.studio, &key, typed.client()).await?;
                doing.reread();
                Ok(())
            });
        }
    };
    let back_up = {
        let whom = Whom::One(key.clone(), code.clone());
        move || {
            let whom = whom.clone();
            spawn_local(async move {
                match doing.studio.later.backup.get().await {
                    Ok(views) => (views.back_up)(doing, whom, None, progress, said),
                    Err(why) => said.set(Some(why)),
                }
            });
        }
    };
    let is_gone = create_signal(false);
    let about = move |is_gone: bool| {
        if is_gone {
            return View::new();
        }
        let (keep, back_up) = (keep.clone(), back_up.clone());
        parts![
            typed.fields(others.clone()),
            div("buttons")
                .put(
                    button("button main", "details-keep")
                        .words("Keep these")
                        .click(keep),
                )
                .put(
                    button("button", "details-backup")
                        .words("Back up this client")
                        .flag("disabled", move || progress.is_busy())
                        .click(back_up),
                ),
            progress.view(),
            own::said(said, "details-said"),
        ]
    };
    parts![
        shows(move || is_gone.get(), about),
        erase::choices(doing.studio, &key, &record, is_gone, move || doing.reread()),
    ]
}

/// A record that can't be read is kept as it is; it can still be erased.
fn unread(doing: Doing, entry: &Entry, why: &str) -> View {
    parts![
        p(why.to_owned()).class("word").at("role", "alert"),
        erase::unread(doing.studio, &entry.key, &entry.code, move || doing
            .reread()),
    ]
}

/// Writes a client's code, name and note.
async fn set(studio: Studio, key: &str, client: Client) -> Result<(), String> {
    let files = studio.later.files.get().await?;
    let store = studio.keeper.store().await?;
    let raw = store.read(key).await?;
    let record = (files.read)(&raw.record)?;
    let record =
        apply(&record, &Edit::SetClient(client)).map_err(|e| words::sentence(&e.to_string()))?;
    let stands = places::stands(&record, Some(&record.drawn()));
    let entry = Entry::of(key, &record, &stands, clock::now_ms());
    let text = (files.write)(&record)?;
    let keeping = Keeping {
        entry: &entry,
        record: &text,
        pictures: &[],
        keepings: raw.keepings,
    };
    match store.keep(&keeping).await {
        Ok(_) => Ok(()),
        Err(NotKept::Trouble(why)) => Err(why),
        Err(NotKept::Elsewhere) => Err(
            "This client was changed in another window just now, so nothing was kept here. Try again."
                .to_owned(),
        ),
        Err(NotKept::Erased) => {
            Err("This client was erased in another window just now.".to_owned())
        }
    }
}

/// Of the client in work, above the panel's own.
pub fn in_client(studio: Studio) -> View {
    let Some(record) = studio.settled() else {
        return View::new();
    };
    let typed = Typed::in_work(studio, &record.client);
    let close = move || {
        LEFT.set(None);
        studio.view.details.set(false);
    };
    let keep = move || {
        if studio.apply(&Edit::SetClient(typed.client())) {
            close();
        }
    };
    div("details card")
        .id("client-details")
        .put(el("h2").words("Who she is"))
        .put(typed.fields(|_| None))
        .put(
            div("buttons")
                .put(
                    button("button main", "details-keep")
                        .words("Keep these")
                        .click(keep),
                )
                .put(
                    button("button", "details-close")
                        .words("Close")
                        .click(close),
                ),
        )
        .into()
}

/// What she wished for her photos, once the day is over that they were for.
pub fn wishes(studio: Studio) -> View {
    let since = move || {
        let record = studio.record()?;
        let since = record.photos_unwanted_since()?;
        let today = clock::today()?;
        since
            .day()
            .is_some_and(|day| day < today)
            .then(|| since.day_in_words())
    };
    shows(since, move |since| {
        let Some(since) = since else {
            return View::new();
        };
        let now = move || {
            spawn_local(async move {
                let outcome = erase::photos_in_work(studio).await;
                studio.tell(outcome);
            });
        };
        div("word calm")
            .id("photos-unwanted")
            .put(p(format!(
                "She signed on {since} that no photo of her face is kept after that day. Every number and shape stays without them."
            )))
            .put(
                div("buttons").put(
                    button("button", "erase-unwanted")
                        .words("Erase her photos")
                        .click(now),
                ),
            )
            .into()
    })
}
