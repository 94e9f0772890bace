//! Long work: how far it is, and a way to stop it.

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::JsFuture;

use crate::markup::{button, div, el, shows};

/// Work goes on at a stretch for this long before the page gets a turn, ms:
/// below what a hand notices.
const STRETCH_MS: f64 = 40.0;

/// What is being done, and how far it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// "Reading clients".
    pub what: &'static str,
    /// How many are done, of how many; nothing where nobody can say.
    pub of: Option<(usize, usize)>,
}

/// Long work as the screen sees it. A handle.
#[derive(Clone, Copy)]
pub struct Progress {
    step: Signal<Option<Step>>,
    stopped: Signal<bool>,
    turn: Signal<f64>,
}

impl Progress {
    /// Nothing is being done.
    pub fn new() -> Self {
        Self {
            step: create_signal(None),
            stopped: create_signal(false),
            turn: create_signal(0.0),
        }
    }

    /// Begins.
    pub fn begin(self, what: &'static str) {
        self.stopped.set(false);
        self.at(what, None);
    }

    /// Ends, whichever way.
    pub fn end(self) {
        if self.step.is_alive() {
            self.step.set(None);
        }
    }

    /// Whether something is being done; followed.
    pub fn is_busy(self) -> bool {
        self.step.with(Option::is_some)
    }

    /// How far it is.
    pub fn at(self, what: &'static str, of: Option<(usize, usize)>) {
        if self.step.is_alive() {
            self.step.set(Some(Step { what, of }));
        }
    }

    /// Whether it is to stop: asked to, or its page has gone.
    pub fn is_stopped(self) -> bool {
        !self.stopped.is_alive() || self.stopped.get_untracked()
    }

    /// Lets the page have its turn, now and then.
    pub async fn breathe(self) {
        let now = js_sys::Date::now();
        if self.turn.is_alive() && now - self.turn.get_untracked() > STRETCH_MS {
            rest().await;
            if self.turn.is_alive() {
                self.turn.set(js_sys::Date::now());
            }
        }
    }

    /// The bar, with its button.
    pub fn view(self) -> View {
        let words = move || {
            self.step.with(|step| match step {
                Some(Step {
                    what,
                    of: Some((done, all)),
                }) => format!("{what}, {done} of {all}"),
                Some(Step { what, of: None }) => (*what).to_owned(),
                None => String::new(),
            })
        };
        let part = move || {
            let of = self.step.with(|s| s.as_ref().and_then(|s| s.of));
            let (done, all) = of.unwrap_or((0, 1));
            format!("width:{:.1}%", 100.0 * done as f64 / all.max(1) as f64)
        };
        shows(
            move || self.is_busy(),
            move |is_busy| {
                if !is_busy {
                    return View::new();
                }
                div("under-way")
                    .id("under-way")
                    .put(el("p").class("busy").at("role", "status").says(words))
                    .put(
                        div("progress")
                            .decoration()
                            .put(el("span").at("style", part)),
                    )
                    .put(
                        div("buttons").put(
                            button("button", "stop")
                                .words("Stop")
                                .click(move || self.stopped.set(true)),
                        ),
                    )
                    .into()
            },
        )
    }
}

/// Comes back once the page has drawn what is new.
pub async fn rest() {
    let turn = js_sys::Promise::new(&mut |done, _| {
        crate::device::page::later(std::time::Duration::ZERO, move || {
            let _ = done.call0(&wasm_bindgen::JsValue::NULL);
        });
    });
    // It never fails.
    let _ = JsFuture::from(turn).await;
}
