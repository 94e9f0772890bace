//! The first screen: who is in the chair.

mod clients;
mod foot;
mod picture;
mod samples;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::device::store::Entry;
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
#[component]
pub fn Home(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let known = RwSignal::new(Known::Reading);
    let trouble = RwSignal::new(None::<String>);
    let busy = RwSignal::new(None::<&'static str>);
    let read = move || {
        spawn_local(async move {
            let list = match studio.keeper.store().await {
                Ok(store) => store.list().await,
                Err(why) => Err(why),
            };
            // The artist may have gone on meanwhile.
            let _ = known.try_set(match list {
                Ok(list) => Known::Clients(list),
                Err(why) => Known::Trouble(why),
            });
        });
    };
    read();
    let doing = Doing {
        studio,
        trouble,
        busy,
    };
    let open_file = Callback::new(move |file: web_sys::File| {
        doing.run("Opening the file", async move { studio.open_file(&file).await });
    });
    view! {
        <div class="home" data-testid="home">
            <main class="home-main">
                <picture::Picture />
                <div class="home-ask">
                    {move || {
                        trouble
                            .get()
                            .map(|why| {
                                view! {
                                    <div class="word" role="alert" data-testid="home-trouble">
                                        <p>{why}</p>
                                    </div>
                                }
                            })
                    }}
                    {move || {
                        busy.get().map(|what| view! { <p class="busy" role="status">{what}</p> })
                    }}
                    <clients::Clients doing=doing known=known reread=Callback::new(move |()| read()) />
                    <section class="buttons">
                        <FileButton
                            words="Open a client's file"
                            of=Drawing::File
                            accept=".json,application/json"
                            testid="home-open-file"
                            on_file=open_file
                        />
                    </section>
                    <p class="or">"or look round first"</p>
                    <samples::Samples doing=doing />
                </div>
            </main>
            <foot::Foot studio=studio />
        </div>
    }
}

/// Something that takes a moment: shown while it lasts, told when it fails.
#[derive(Clone, Copy)]
struct Doing {
    studio: Studio,
    trouble: RwSignal<Option<String>>,
    busy: RwSignal<Option<&'static str>>,
}

impl Doing {
    fn run(self, what: &'static str, work: impl Future<Output = Result<(), String>> + 'static) {
        if self.busy.get_untracked().is_some() {
            return;
        }
        self.busy.set(Some(what));
        self.trouble.set(None);
        spawn_local(async move {
            let outcome = work.await;
            // When it went well, this screen is gone by now.
            let _ = self.busy.try_set(None);
            if let Err(why) = outcome {
                let _ = self.trouble.try_set(Some(why));
            }
        });
    }
}
