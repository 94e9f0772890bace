//! The first screen: who is in the chair.

mod clients;
mod foot;
mod picture;
mod samples;

use std::pin::Pin;

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device::store::Entry;
use crate::markup::{div, el, p};
use crate::parts::icon::Drawing;
use crate::stage::bring::FileButton;
use crate::studio::Studio;

/// What the first screen knows of the clients on this device.
#[derive(Debug, Clone, PartialEq)]
enum Known {
    /// Being read.
    Reading,
    /// Read.
    Clients(Vec<Entry>),
    /// The store can't be used; a sentence says why.
    Trouble(String),
}

/// The first screen.
pub fn home(studio: Studio) -> View {
    let doing = Doing {
        studio,
        known: create_signal(Known::Reading),
        trouble: create_signal(None),
        busy: create_signal(None),
    };
    doing.reread();
    let open_file = FileButton {
        words: "Open a client's file",
        of: Drawing::File,
        accept: ".json,application/json",
        id: "home-open-file".to_owned(),
        camera: false,
        main: false,
    };
    div("home")
        .id("home")
        .put(
            el("main").class("home-main").put(picture::picture()).put(
                div("home-ask")
                    .shows(
                        move || doing.trouble.get_clone(),
                        |trouble| match trouble {
                            Some(why) => div("word")
                                .at("role", "alert")
                                .id("home-trouble")
                                .put(p(why))
                                .into(),
                            None => View::new(),
                        },
                    )
                    .shows(
                        move || doing.busy.get(),
                        |busy| match busy {
                            Some(what) => p(what).class("busy").at("role", "status").into(),
                            None => View::new(),
                        },
                    )
                    .put(clients::clients(doing))
                    .put(
                        el("section")
                            .class("buttons")
                            .put(open_file.view(move |file| {
                                doing.run("Opening the file", async move {
                                    studio.open_file(&file).await
                                });
                            })),
                    )
                    .put(p("or look round first").class("or"))
                    .put(samples::samples(doing)),
            ),
        )
        .put(foot::foot(studio))
        .into()
}

/// The first screen at work: what takes a moment is shown while it lasts and
/// told when it fails.
#[derive(Clone, Copy)]
struct Doing {
    studio: Studio,
    known: Signal<Known>,
    trouble: Signal<Option<String>>,
    busy: Signal<Option<&'static str>>,
}

impl Doing {
    fn run(self, what: &'static str, work: impl Future<Output = Result<(), String>> + 'static) {
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
    fn reread(self) {
        spawn_local(async move {
            let list = match self.studio.keeper.store().await {
                Ok(store) => store.list().await,
                Err(why) => Err(why),
            };
            // The artist may have gone on meanwhile.
            if self.known.is_alive() {
                self.known.set(match list {
                    Ok(list) => Known::Clients(list),
                    Err(why) => Known::Trouble(why),
                });
            }
        });
    }
}
