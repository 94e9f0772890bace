//! Handing over, at the place Show: one tap, the first time after a code.

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::pad::{PadWords, pad};
use crate::markup::{El, button, div, el, p};
use crate::studio::Studio;
use crate::view::SheetSize;

/// What is being done about the code.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Setting {
    /// Nothing.
    No,
    /// The code before is asked for.
    Before,
    /// A new one is typed; whether handing over follows.
    First { then: Then },
    /// It is typed again.
    Again { code: String, then: Then },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Then {
    HandOver,
    Nothing,
}

#[derive(Clone, Copy)]
struct Handing {
    studio: Studio,
    setting: Signal<Setting>,
    said: Signal<Option<String>>,
    busy: Signal<bool>,
}

/// The large button, and what is done about the code.
pub fn handing(studio: Studio) -> View {
    let handing = Handing {
        studio,
        setting: create_signal(Setting::No),
        said: create_signal(None),
        busy: create_signal(false),
    };
    super::count_down(studio);
    div("handing")
        .id("handing")
        .shows(
            move || handing.said.get_clone(),
            |said| match said {
                Some(said) => div("word")
                    .at("role", "status")
                    .id("handing-said")
                    .put(p(said))
                    .into(),
                None => View::new(),
            },
        )
        .shows(
            move || handing.setting.get_clone(),
            move |setting| handing.at(setting),
        )
        .into()
}

impl Handing {
    fn begin(self) {
        self.said.set(None);
        if self.studio.lock.kept.with_untracked(|k| k.code.is_some()) {
            self.hand_over();
        } else {
            self.go(Setting::First {
                then: Then::HandOver,
            });
        }
    }

    fn hand_over(self) {
        self.run(async move { self.studio.hand_over().await });
    }

    fn run(self, work: impl Future<Output = Result<(), String>> + 'static) {
        self.busy.set(true);
        spawn_local(async move {
            let outcome = work.await;
            // When it went well, this place may be gone by now.
            if self.busy.is_alive() {
                self.busy.set(false);
                self.said.set(outcome.err());
            }
        });
    }

    /// The large button.
    fn resting(self) -> View {
        let studio = self.studio;
        let has_shape = move || studio.of_shape(|_| ()).is_some();
        crate::parts![
            button("button main wide", "hand-over")
                .flag("disabled", move || !has_shape() || self.busy.get())
                .words("Hand the tablet over")
                .click(move || self.begin()),
            el("p").class("quiet").says(move || {
                if has_shape() {
                    "From then on it shows only her own pages, until your code takes it back."
                } else {
                    "There is no shape to show yet: draw one, or take the proposal."
                }
                .to_owned()
            }),
            crate::markup::shows(
                move || studio.is_code_set(),
                move |is_set| {
                    if !is_set {
                        return View::new();
                    }
                    div("buttons")
                        .put(
                            button("button bare", "change-code")
                                .words("Change your code")
                                .click(move || self.go(Setting::Before)),
                        )
                        .into()
                },
            ),
        ]
    }

    fn at(self, setting: Setting) -> View {
        match setting {
            Setting::No => self.resting(),
            Setting::Before => self.asking(
                "Your code as it is",
                "The one that is set now.",
                PadWords::artists("Your code as it is", "Next"),
                move |code| self.check_before(code),
            ),
            Setting::First { then } => self.asking(
                "Choose your code",
                "4 to 8 digits. Only it takes the tablet back from a client.",
                PadWords::artists("Your new code", "Next"),
                move |code| self.go(Setting::Again { code, then }),
            ),
            Setting::Again { code, then } => self.asking(
                "Type it once more",
                "So that no slip locks you out.",
                PadWords::artists("Your new code, once more", "Set the code"),
                move |again| self.set(&code, again, then),
            ),
        }
    }

    fn go(self, to: Setting) {
        self.said.set(None);
        // All keys are in sight on an upright tablet.
        let size = match to {
            Setting::No => SheetSize::Half,
            _ => SheetSize::Tall,
        };
        self.studio.view.sheet.set(size);
        self.setting.set(to);
    }

    fn asking(
        self,
        heading: &'static str,
        why: &'static str,
        words: PadWords,
        on_take: impl Fn(String) + Clone + 'static,
    ) -> View {
        let head: El = el("h3").id("code-heading").words(heading);
        let busy = self.busy;
        div("card code-setting")
            .put(head)
            .put(p(why))
            .put(pad("code", words, move || busy.get(), on_take))
            .put(forgotten())
            .put(
                button("button wide", "code-leave")
                    .words("Leave it")
                    .click(move || self.go(Setting::No)),
            )
            .into()
    }

    fn check_before(self, code: String) {
        self.run(async move {
            super::code::check(self.studio, &code)
                .await
                .map_err(|why| why.words())?;
            self.setting.set(Setting::First {
                then: Then::Nothing,
            });
            Ok(())
        });
    }

    fn set(self, code: &str, again: String, then: Then) {
        if code != again {
            self.setting.set(Setting::First { then });
            self.said.set(Some(
                "The two were not the same. Choose it again.".to_owned(),
            ));
            return;
        }
        self.run(async move {
            self.studio.set_code(&again).await?;
            self.go(Setting::No);
            match then {
                Then::HandOver => self.studio.hand_over().await,
                Then::Nothing => Err("Your code is changed.".to_owned()),
            }
        });
    }
}

/// What it costs to forget it.
fn forgotten() -> El {
    el("details")
        .put(el("summary").words("If it is ever forgotten"))
        .put(p(
            "There is no second key. The only way out is to delete this page\u{2019}s data in the browser\u{2019}s settings, and every client that is kept in this browser goes with it; backups and saved files stay. Write the code down where clients don\u{2019}t see it.",
        ))
}
