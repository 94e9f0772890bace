//! The first screen: who is in the chair.

mod clients;
mod foot;
pub mod line;
mod picture;
mod samples;

use std::pin::Pin;
use std::rc::Rc;

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device::page;
use crate::device::store::Entry;
use crate::markup::{button, div, el, p, shows};
use crate::parts;
use crate::parts::icon::Drawing;
use crate::stage::bring::FileButton;
use crate::studio::Studio;

/// What the first screen knows of the clients on this device.
#[derive(Debug, Clone, PartialEq)]
pub enum Known {
    /// Being read.
    Reading,
    /// Read, the last changed first.
    Clients(Rc<Vec<Entry>>),
    /// The store can't be used; a sentence says why.
    Trouble(String),
}

impl Known {
    /// The clients, once they are known.
    pub fn clients(&self) -> Option<&Rc<Vec<Entry>>> {
        match self {
            Self::Clients(list) => Some(list),
            Self::Reading | Self::Trouble(_) => None,
        }
    }
}

/// The first screen.
pub fn home(studio: Studio) -> View {
    let doing = Doing {
        studio,
        known: create_signal(Known::Reading),
        finding: create_signal(false),
        asked: create_signal(String::new()),
        keeping_safe: create_signal(false),
        trouble: create_signal(None),
        busy: create_signal(None),
    };
    doing.reread();
    // The page may now take a newer version of the app; see www/start.js.
    page::say("ophryon-between-clients");
    let whole = move |is_safe: bool| {
        if is_safe {
            let backup = studio.later.backup;
            el("main")
                .class("home-safe")
                .put(backup.show(move |views| (views.page)(doing)))
                .into()
        } else {
            front(doing)
        }
    };
    div("home")
        .id("home")
        .shows(move || doing.keeping_safe.get(), whole)
        .put(foot::foot(studio))
        .into()
}

/// Who is in the chair.
fn front(doing: Doing) -> View {
    let studio = doing.studio;
    let open_file = FileButton {
        words: "Open a client's file",
        of: Drawing::File,
        accept: ".json,application/json",
        id: "home-open-file".to_owned(),
        camera: false,
        main: false,
    };
    el("main")
        .class("home-main")
        .put(picture::picture())
        .put(
            div("home-ask")
                .put(doing.says())
                .put(clients::clients(doing))
                .put(
                    studio
                        .later
                        .safe
                        .show_when_here(move |views| (views.card)(doing)),
                )
                .shows(
                    move || {
                        doing
                            .known
                            .with(|known| known.clients().is_some_and(|l| !l.is_empty()))
                    },
                    |is_known| {
                        if is_known {
                            View::new()
                        } else {
                            p("or look round first").class("or").into()
                        }
                    },
                )
                .put(
                    div("home-more")
                        .put(open_file.view(move |file| {
                            doing.run(
                                "Opening the file",
                                async move { studio.open_file(&file).await },
                            );
                        }))
                        .put(samples::samples(doing)),
                ),
        )
        .into()
}

/// The first screen at work: what takes a moment is shown while it lasts and
/// told when it fails.
#[derive(Clone, Copy)]
pub struct Doing {
    /// The app.
    pub studio: Studio,
    /// The clients on this device.
    pub known: Signal<Known>,
    /// Another than the last clients is looked for.
    pub finding: Signal<bool>,
    /// By what, as it is typed.
    pub asked: Signal<String>,
    /// Backups are shown in place of the clients.
    pub keeping_safe: Signal<bool>,
    /// What went wrong last, a sentence.
    pub trouble: Signal<Option<String>>,
    /// What is being done.
    pub busy: Signal<Option<&'static str>>,
}

impl Doing {
    /// What is being done, and what went wrong.
    pub fn says(self) -> View {
        parts![
            shows(
                move || self.trouble.get_clone(),
                move |trouble| match trouble {
                    Some(why) => div("word")
                        .at("role", "alert")
                        .id("home-trouble")
                        .put(p(why))
                        .put(self.unread())
                        .into(),
                    None => View::new(),
                },
            ),
            shows(
                move || self.busy.get(),
                |busy| match busy {
                    Some(what) => p(what).class("busy").at("role", "status").into(),
                    None => View::new(),
                },
            ),
        ]
    }

    /// A client that can't be opened here can still be taken elsewhere.
    fn unread(self) -> View {
        let studio = self.studio;
        let Some(key) = studio.keeper.unread.get_clone_untracked() else {
            return View::new();
        };
        let save = move || {
            let key = key.clone();
            self.run("Saving the file", async move {
                (studio.later.files.get().await?.save_as_kept)(studio, key).await
            });
        };
        div("buttons")
            .put(
                button("button", "save-as-kept")
                    .words("Save the file as it is")
                    .click(save),
            )
            .into()
    }

    /// Does something, unless something is being done already.
    pub fn run(self, what: &'static str, work: impl Future<Output = Result<(), String>> + 'static) {
        self.run_boxed(what, Box::pin(work));
    }

    fn run_boxed(
        self,
        what: &'static str,
        work: Pin<Box<dyn Future<Output = Result<(), String>>>>,
    ) {
        if self.busy.get_untracked().is_some() {
            return;
        }
        self.busy.set(Some(what));
        self.trouble.set(None);
        spawn_local(async move {
            let outcome = work.await;
            // When it went well, this screen may be gone by now.
            if self.busy.is_alive() {
                self.busy.set(None);
                if let Err(why) = outcome {
                    self.trouble.set(Some(why));
                }
            }
        });
    }

    /// Reads the list of clients, again.
    pub fn reread(self) {
        spawn_local(async move {
            let list = self.studio.keeper.clients(self.studio.later).await;
            // The artist may have gone on meanwhile.
            if self.known.is_alive() {
                self.known.set(match list {
                    Ok(list) => Known::Clients(Rc::new(list)),
                    Err(why) => Known::Trouble(why),
                });
            }
        });
    }
}
