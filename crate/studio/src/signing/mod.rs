//! What the client reads, answers and signs: one page a step, large letters,
//! one question on each.
//!
//! [`signing`] is what she sees on the artist's device. What is asked and where
//! her answers go is behind [`Asking`], so that the same pages serve a device
//! of her own: [`pages`].

mod done;
mod field;
mod here;
mod questions;
mod shape;
mod sign;
pub mod steps;
pub mod texts;

use std::rc::Rc;

use ophryon_agreement::{Answer, Asked, Said, Seal, Signature, When};
use ophryon_record::AgreedDrawing;
use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;

use crate::device::{page, settings};
use crate::handed::words::Words;
use crate::markup::{El, button, div, el, selector, shows};
use crate::studio::Studio;
use steps::{Step, go_on_at, name_of};

/// What is asked, and where her answers go.
pub trait Asking {
    /// What she is asked, with her answers so far; followed.
    fn asked(&self) -> Option<Asked>;
    /// Her yes or no to a statement.
    fn say(&self, statement: &str, said: Said);
    /// Her answer to a caution.
    fn answer(&self, caution: &str, answer: Answer);
    /// She reads another language from now on; where the text is fixed,
    /// nothing happens.
    fn speak(&self, language: &str);
    /// The shape in lines and numbers.
    fn drawing(&self) -> Option<AgreedDrawing>;
    /// The shape as she sees it here.
    fn picture(&self) -> View;
    /// She signs what is asked.
    ///
    /// # Errors
    /// A sentence; nothing was agreed to.
    fn sign(&self, signature: Signature) -> Result<(), String>;
    /// Her yes, once it is there: when, and its seal where that is known here;
    /// followed.
    fn signed(&self) -> Option<(When, Option<Seal>)>;
    /// A name for what is asked, under which the page she is on is remembered
    /// on this device.
    fn name(&self) -> String;
}

/// The pages for the client in work; `on_done` once she has agreed and is
/// through.
pub fn signing(studio: Studio, words: Words, on_done: impl Fn() + 'static) -> View {
    pages(Rc::new(here::Here::begin(studio, words)), words, on_done)
}

/// The pages for whatever is asked.
pub fn pages(asking: Rc<dyn Asking>, words: Words, on_done: impl Fn() + 'static) -> View {
    let at = create_signal(first_page(asking.as_ref()));
    let desk = Desk {
        asking: Rc::clone(&asking),
        words,
        at,
    };
    {
        let asking = Rc::clone(&asking);
        create_effect(move || asking.speak(&words.language()));
    }
    let is_signed = {
        let asking = Rc::clone(&asking);
        selector(Box::new(move || asking.signed().is_some()))
    };
    let on_done: Rc<dyn Fn()> = Rc::new(on_done);
    el("section")
        .class("signing")
        .id("signing")
        .shows(
            move || is_signed.get(),
            move |is_signed| {
                if is_signed {
                    done::done(&desk, Rc::clone(&on_done))
                } else {
                    desk.clone().open()
                }
            },
        )
        .into()
}

fn first_page(asking: &dyn Asking) -> usize {
    let kept = settings::read(KEPT);
    let kept = kept.as_deref().and_then(|kept| {
        let (name, page) = kept.split_once('\n')?;
        (name == asking.name()).then_some(page)
    });
    crate::markup::glance(|| asking.asked().map_or(0, |asked| go_on_at(&asked, kept)))
}

/// Where the page she is on is kept.
const KEPT: &str = "signing-page";

/// What all pages share.
#[derive(Clone)]
struct Desk {
    asking: Rc<dyn Asking>,
    words: Words,
    /// Which page, from 0.
    at: Signal<usize>,
}

impl Desk {
    fn all(&self) -> Vec<Step> {
        self.asking
            .asked()
            .map_or_else(Vec::new, |a| steps::steps(&a))
    }

    fn go(&self, to: usize) {
        let asked = crate::markup::glance(|| self.asking.asked());
        if let Some(asked) = asked
            && let Some(step) = steps::steps(&asked).get(to)
        {
            let name = self.asking.name();
            settings::write(KEPT, &format!("{name}\n{}", name_of(*step, &asked)));
            self.at.set(to);
        }
    }

    fn next(&self) {
        self.go(self.at.get_untracked() + 1);
    }

    fn back(&self) {
        if let Some(to) = self.at.get_untracked().checked_sub(1) {
            self.go(to);
        }
    }

    /// A heading that the keyboard and readers are led to when the page is
    /// turned, not when the first one opens.
    fn heading(&self, words: String) -> El {
        let turned = TURNED.replace(false);
        let heading = el("h1")
            .at("tabindex", "-1")
            .id("signing-heading")
            .words(words);
        if turned {
            heading.raw(page::focus)
        } else {
            heading
        }
    }

    /// The page she is on, its place among all, and the way back.
    fn open(self) -> View {
        let begun = std::cell::Cell::new(false);
        let step = {
            let desk = self.clone();
            move || {
                // Its words are others in another language.
                let language = desk.asking.asked().map(|a| a.language);
                (
                    desk.all().get(desk.at.get()).copied(),
                    language,
                    desk.words.language(),
                )
            }
        };
        let inside = {
            let desk = self.clone();
            move |(step, ..): (Option<Step>, Option<String>, String)| {
                page::to_top(&[".signing-page", ".signing", ".handed"]);
                TURNED.set(begun.replace(true));
                match step {
                    None => View::new(),
                    Some(Step::Advice) => questions::advice(&desk),
                    Some(Step::Caution(n)) => questions::caution(&desk, n),
                    Some(Step::Told) => questions::told(&desk),
                    Some(Step::Statement(n)) => questions::statement(&desk, n),
                    Some(Step::Shape) => shape::shape(&desk),
                    Some(Step::Sign) => sign::sign(&desk),
                }
            }
        };
        crate::parts![
            self.progress(),
            div("signing-page").put(shows(step, inside)),
            self.turning(),
        ]
    }

    fn progress(&self) -> El {
        let (desk, words) = (self.clone(), self.words);
        let said = move || {
            let (at, all) = (desk.at.get() + 1, desk.all().len());
            words.say_with(
                "sign-page",
                &[("page", &at.to_string()), ("pages", &all.to_string())],
            )
        };
        let desk = self.clone();
        let part = move || {
            let all = desk.all().len().max(1) as f64;
            format!("width: {:.1}%", 100.0 * (desk.at.get() as f64 + 1.0) / all)
        };
        div("signing-progress")
            .put(el("p").class("quiet").id("signing-at").says(said))
            .put(
                div("progress")
                    .decoration()
                    .put(el("span").at("style", part)),
            )
    }

    fn turning(&self) -> El {
        let (back, words) = (self.clone(), self.words);
        let at = self.at;
        div("signing-turning").shows(
            move || at.get() > 0,
            move |can_go| {
                if !can_go {
                    return View::new();
                }
                let back = back.clone();
                button("button", "sign-back")
                    .says(move || words.say("sign-back"))
                    .click(move || back.back())
                    .into()
            },
        )
    }
}

thread_local! {
    /// A page was turned, so the next heading takes the keyboard along.
    static TURNED: std::cell::Cell<bool> = const { std::cell::Cell::new(false) };
}
