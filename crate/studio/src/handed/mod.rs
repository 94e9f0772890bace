//! What the client sees while the device is in her hands: her face, what she
//! thinks of it, what she chooses and signs, and the way back to the artist.
//!
//! She only says; nothing here changes a shape but her choosing between those
//! that the artist kept. Everything is in her language ([`words`]).

mod back;
mod choose;
pub mod circles;
pub mod code;
pub mod over;
mod pad;
mod page;
mod said;
mod seen;
pub mod words;

use std::time::Duration;

use sycamore::reactive::{Signal, create_effect, create_signal, on_cleanup};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device;
use crate::keeper::Keeping;
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::studio::Studio;
use circles::Circling;
use page::{Page, Stand};
use words::Words;

/// Between two looks at a pause.
const SECOND: Duration = Duration::from_secs(1);

/// A window that is told to keep its client does so within this time.
const OTHER_WINDOW: Duration = Duration::from_millis(300);

/// What stands on the page.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ready {
    /// Messages and client are being fetched.
    Opening,
    /// All is there.
    Here,
    /// The messages can't be had.
    NoWords,
    /// Her file can't be had.
    Gone,
}

/// The whole page.
pub fn whole(studio: Studio) -> View {
    count_down(studio);
    let ready = create_signal(Ready::Opening);
    let words = create_signal(None::<Words>);
    let why = create_signal(String::new());
    let fetch = move || {
        ready.set(Ready::Opening);
        spawn_local(async move {
            let (state, said) = open(studio, words).await;
            if ready.is_alive() {
                why.set(said);
                ready.set(state);
            }
        });
    };
    let is_here = studio.lock.is_here;
    create_effect(move || {
        if is_here.get() {
            fetch();
        } else {
            // Another window has her by now; what was said here is kept first.
            spawn_local(studio.close());
        }
    });
    on_cleanup(|| words::mark_page("en"));
    el("main")
        .class("handed")
        .id("handed")
        .shows(
            move || (is_here.get(), ready.get()),
            move |(is_here, ready)| match (words.get_untracked(), ready, is_here) {
                (Some(words), _, false) => elsewhere(studio, words),
                (Some(words), Ready::Here, true) => Client::new(studio, words).view(),
                (Some(words), Ready::Gone, true) => {
                    back::gone(studio, words, &why.get_clone_untracked())
                }
                (_, Ready::NoWords, _) => div("handed-alone")
                    .at("role", "alert")
                    .put(p(why.get_clone_untracked()))
                    .put(
                        button("button main", "handed-again")
                            .words("Try again")
                            .click(fetch),
                    )
                    .into(),
                _ => div("coming quiet")
                    .at("role", "status")
                    .words("\u{2026}")
                    .into(),
            },
        )
        .into()
}

async fn open(studio: Studio, held: Signal<Option<Words>>) -> (Ready, String) {
    let words = match held.get_untracked() {
        Some(words) => words,
        None => match Words::fetch().await {
            Ok(words) => words,
            Err(why) => return (Ready::NoWords, why),
        },
    };
    if held.is_alive() {
        held.set(Some(words));
    }
    style_is_here().await;
    let key = studio.lock.kept.with_untracked(|k| k.handed.clone());
    let Some(key) = key else {
        return (Ready::Opening, String::new());
    };
    if studio.key_now().as_ref() != Some(&key) {
        // A window that had her until now keeps what she did there first.
        device::page::wait(OTHER_WINDOW).await;
        if let Err(why) = studio.open(&key).await {
            return (Ready::Gone, why);
        }
    }
    (Ready::Here, String::new())
}

/// Waits for the style of these pages, which comes beside the first load: bare
/// of it they would jump. One that never comes is done without.
async fn style_is_here() {
    const PATIENCE: u32 = 60;
    for _ in 0..PATIENCE {
        let link = device::page::document().and_then(|d| {
            d.query_selector("link[href$=\"/handed.css\"]")
                .ok()
                .flatten()
        });
        let sheet = link.and_then(|l| js_sys::Reflect::get(&l, &"sheet".into()).ok());
        if sheet.is_some_and(|s| !s.is_null() && !s.is_undefined()) {
            return;
        }
        device::page::breathe().await;
    }
}

/// A pause gets shorter while the lock is on the screen.
pub fn count_down(studio: Studio) {
    let alive = create_signal(());
    tick(studio, alive);
}

fn tick(studio: Studio, alive: Signal<()>) {
    device::page::later(SECOND, move || {
        if !alive.is_alive() {
            return;
        }
        let is_paused = studio.lock.kept.with_untracked(|k| k.pause_s > 0);
        if is_paused && studio.lock.is_here.get_untracked() {
            studio
                .lock
                .change(|k| k.pause_s = k.pause_s.saturating_sub(1));
        }
        tick(studio, alive);
    });
}

/// Her pages are open in another window.
fn elsewhere(studio: Studio, words: Words) -> View {
    div("handed-alone")
        .id("handed-elsewhere")
        .put(el("h1").says(move || words.say("elsewhere-heading")))
        .put(el("p").says(move || words.say("elsewhere-says")))
        .put(
            button("button main", "handed-here")
                .says(move || words.say("elsewhere-here"))
                .click(move || studio.lock.work_here()),
        )
        .into()
}

/// What all her pages share.
#[derive(Clone, Copy)]
struct Client {
    studio: Studio,
    words: Words,
    page: Signal<Page>,
    circling: Circling,
}

impl Client {
    fn new(studio: Studio, words: Words) -> Self {
        let look = studio.view.look;
        let kept = studio.lock.kept.with_untracked(|k| k.page.parse::<Stand>());
        let stand = kept.unwrap_or_else(|()| Stand::beginning(look.tone.get_untracked()));
        stand.set(look);
        let asked = studio.settled().and_then(|r| r.consent.asked);
        let asked_in = asked.map(|asked| asked.language).unwrap_or_default();
        for language in [&asked_in, &stand.language] {
            words.speak(language);
        }
        let client = Self {
            studio,
            words,
            page: create_signal(stand.page),
            circling: Circling::new(),
        };
        create_effect(move || client.keep_stand());
        create_effect(move || words::mark_page(&words.language()));
        client
    }

    fn keep_stand(self) {
        let look = self.studio.view.look;
        let stand = Stand {
            page: self.page.get(),
            language: self.words.language(),
            variant: look.variant.get(),
            facing: look.facing.get(),
            near: look.near.get(),
            tone: look.tone.get(),
        };
        let text = stand.to_text();
        if self
            .studio
            .lock
            .kept
            .with_untracked(|k| k.handed.is_some() && k.page != text)
        {
            let studio = self.studio;
            spawn_local(async move {
                studio.change_lock(|k| k.page = text).await;
            });
        }
    }

    fn go(self, to: Page) {
        self.circling.clear();
        self.page.set(to);
    }

    fn turn(self, forth: bool) {
        let shapes = glance(|| self.shapes().len());
        if let Some(to) = self.page.get_untracked().beside(forth, shapes) {
            self.go(to);
        }
    }

    /// The shapes to see, each as the look knows it; followed. The present one
    /// comes last where it is not kept.
    fn shapes(self) -> Vec<Option<usize>> {
        let Some(record) = self.studio.record() else {
            return Vec::new();
        };
        let present = record.kept_as();
        let kept = (0..record.variants.len()).map(|n| (present != Some(n)).then_some(n));
        kept.chain(present.is_none().then_some(None)).collect()
    }

    /// "Shape 2".
    fn shape_name(self, place: usize) -> String {
        let number = (place + 1).to_string();
        self.words.say_with("shape-number", &[("number", &number)])
    }

    fn view(self) -> View {
        let page = self.page;
        crate::parts![
            self.top(),
            not_kept(self),
            div("handed-page")
                .at("data-page", move || page.get().id())
                .shows(
                    move || page.get().has_face(),
                    move |has_face| {
                        if has_face {
                            self.with_face()
                        } else {
                            shows(move || page.get(), move |page| self.alone(page))
                        }
                    },
                ),
        ]
    }

    /// Her face and one question about it.
    fn with_face(self) -> View {
        let page = self.page;
        div("handed-two")
            .put(seen::face(self))
            .put(
                div("handed-ask")
                    .shows(
                        move || page.get(),
                        move |page| match page {
                            Page::Say => said::ask(self),
                            Page::Choose => choose::ask(self),
                            _ => seen::ask(self),
                        },
                    )
                    .put(self.turning()),
            )
            .into()
    }

    fn alone(self, page: Page) -> View {
        match page {
            Page::Sign => div("handed-sign")
                .put(crate::signing::signing(
                    self.studio,
                    self.words,
                    move || {
                        self.go(Page::Back);
                    },
                ))
                .put(self.turning())
                .into(),
            _ => back::give_back(self),
        }
    }

    /// Where she is, her language, the way to give the tablet back.
    fn top(self) -> El {
        let (page, words) = (self.page, self.words);
        let steps = move || {
            let all = Page::ALL.into_iter();
            let several = self.shapes().len() > 1;
            // Giving back has a button of its own.
            all.filter(|p| *p != Page::Back && (*p != Page::Choose || several))
                .map(|step| (step, words.say(&format!("step-{}", step.id()))))
                .collect::<Vec<_>>()
        };
        let one = move |(step, name): (Page, String)| -> El {
            el("li")
                .at("aria-current", move || {
                    (page.get() == step).then_some("step")
                })
                .words(name)
        };
        let languages = words.languages().iter().map(|(code, name)| {
            button("button bare", format!("speak-{code}"))
                .at("lang", code.as_str())
                .pressed(move || words.language() == *code)
                .words(name.as_str())
                .click(move || words.speak(code))
        });
        el("header")
            .class("handed-top")
            .put(
                el("ol")
                    .class("handed-steps")
                    .label(move || words.say("steps"))
                    .id("handed-steps")
                    .shows(steps, move |steps| {
                        let all = steps.into_iter().map(|s| one(s).into());
                        View::from(all.collect::<Vec<View>>())
                    }),
            )
            .put(
                div("handed-languages")
                    .at("role", "group")
                    .label(move || words.say("language"))
                    .all(languages),
            )
            .put(
                button("button", "give-back")
                    .flag("disabled", move || page.get() == Page::Back)
                    .says(move || words.say("step-back"))
                    .click(move || self.go(Page::Back)),
            )
    }

    /// Back and on; not while she says where she means something.
    fn turning(self) -> View {
        let (page, words, is_on) = (self.page, self.words, self.circling.is_on);
        shows(
            move || is_on.get(),
            move |is_on| {
                if is_on {
                    return View::new();
                }
                let on = button("button", "go-on")
                    .class(move || {
                        // What is asked comes first.
                        match page.get() == Page::Choose && choose::chosen(self).is_none() {
                            true => "button",
                            false => "button main",
                        }
                    })
                    // Her signature leads on.
                    .flag("hidden", move || page.get() == Page::Sign)
                    .says(move || words.say("go-on"))
                    .click(move || self.turn(true));
                div("handed-turning")
                    .put(
                        button("button", "go-back")
                            .flag("disabled", move || page.get() == Page::Look)
                            .says(move || words.say("go-back"))
                            .click(move || self.turn(false)),
                    )
                    .put(on)
                    .into()
            },
        )
    }

    /// A heading that the keyboard and readers are led to.
    fn heading(self, words: impl Fn() -> String + 'static) -> El {
        el("h1")
            .at("tabindex", "-1")
            .id("handed-heading")
            .says(words)
            .raw(device::page::focus)
    }
}

/// What she says can't be kept: the artist should know at once.
fn not_kept(client: Client) -> View {
    let keeping = client.studio.keeper.keeping;
    let words = client.words;
    shows(
        move || keeping.with(|k| matches!(k, Keeping::Trouble(_))),
        move |trouble| {
            if !trouble {
                return View::new();
            }
            div("word")
                .at("role", "alert")
                .id("handed-not-kept")
                .put(el("p").says(move || words.say("not-kept")))
                .into()
        },
    )
}
