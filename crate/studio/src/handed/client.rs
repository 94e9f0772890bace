//! What all her pages share: the bar above, the turning of pages, and where
//! she is, as it is kept.

use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::circles::Circling;
use super::page::{Page, Stand};
use super::words::{self, Words};
use super::{back, choose, said, seen};
use crate::device;
use crate::keeper::Keeping;
use crate::markup::{El, button, div, el, glance, shows};
use crate::studio::Studio;

/// What all her pages share.
#[derive(Clone, Copy)]
pub(super) struct Client {
    pub studio: Studio,
    pub words: Words,
    pub page: Signal<Page>,
    pub circling: Circling,
}

impl Client {
    pub fn new(studio: Studio, words: Words) -> Self {
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

    pub fn go(self, to: Page) {
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
    pub fn shapes(self) -> Vec<Option<usize>> {
        let Some(record) = self.studio.record() else {
            return Vec::new();
        };
        let present = record.kept_as();
        let kept = (0..record.variants.len()).map(|n| (present != Some(n)).then_some(n));
        kept.chain(present.is_none().then_some(None)).collect()
    }

    /// "Shape 2".
    pub fn shape_name(self, place: usize) -> String {
        let number = (place + 1).to_string();
        self.words.say_with("shape-number", &[("number", &number)])
    }

    pub fn view(self) -> View {
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
            .put(seen::ways_to_look(self))
            .put(
                div("handed-ask")
                    .put(div("handed-asked").shows(
                        move || page.get(),
                        move |page| match page {
                            Page::Say => said::ask(self),
                            Page::Choose => choose::ask(self),
                            _ => seen::ask(self),
                        },
                    ))
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
    pub fn heading(self, words: impl Fn() -> String + 'static) -> El {
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
