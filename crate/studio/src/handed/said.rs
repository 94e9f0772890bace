//! What she says of the shape she sees: phrases in her own plain words, with
//! circles on her face where she likes.

use ophryon_brow::Phrase;
use ophryon_record::{ConsentEdit, Edit, Opinion, Remark, Reply, Whereabouts};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;

use super::{Client, seen};
use crate::device::clock;
use crate::markup::{El, button, div, el, glance, shows};

/// Most of what she said that is listed; the last of it.
const LISTED: usize = 6;

/// The question, or where she means it.
pub fn ask(client: Client) -> View {
    let saying = create_signal(None::<Phrase>);
    shows(
        move || saying.get(),
        move |phrase| match phrase {
            None => what(client, saying),
            Some(phrase) => place(client, saying, phrase),
        },
    )
}

fn what(client: Client, saying: Signal<Option<Phrase>>) -> View {
    let words = client.words;
    let one = move |phrase: Phrase| {
        button("button", format!("say-{}", phrase.id()))
            .pressed(move || has_said(client, Opinion::Phrase(phrase)))
            .says(move || words.say(&phrase_key(phrase)))
            .click(move || {
                client.circling.is_on.set(true);
                saying.set(Some(phrase));
            })
    };
    crate::parts![
        client.heading(move || words.say("say-heading")),
        el("p").class("quiet").says(move || words.say("say-why")),
        seen::shapes(client),
        button("button wide liked", "say-like")
            .pressed(move || has_said(client, Opinion::LikesIt))
            .says(move || words.say("say-like"))
            .click(move || like(client)),
        div("handed-phrases")
            .at("role", "group")
            .label(move || words.say("say-heading"))
            .all(Phrase::ALL.map(one)),
        so_far(client),
    ]
}

fn phrase_key(phrase: Phrase) -> String {
    format!("says-{}", phrase.id())
}

/// Where she means it.
fn place(client: Client, saying: Signal<Option<Phrase>>, phrase: Phrase) -> View {
    let words = client.words;
    let circling = client.circling;
    let close = move || {
        circling.clear();
        saying.set(None);
    };
    let keep = move || {
        if say(client, Opinion::Phrase(phrase)) {
            close();
        }
    };
    crate::parts![
        el("p")
            .class("handed-quoted")
            .id("saying")
            .says(move || words.say(&phrase_key(phrase))),
        client.heading(move || words.say("say-where")),
        el("p").says(move || words.say("say-where-how")),
        div("handed-answers")
            .put(
                button("button main wide", "say-keep")
                    .says(move || words.say("say-keep"))
                    .click(keep),
            )
            .put(
                button("button wide", "say-clear")
                    .flag("disabled", move || circling.circles.with(Vec::is_empty))
                    .says(move || words.say("say-clear"))
                    .click(move || circling.erase()),
            )
            .put(
                button("button wide", "say-leave")
                    .says(move || words.say("say-leave"))
                    .click(close),
            ),
    ]
}

/// Whether she has said it of the shape in view; followed.
fn has_said(client: Client, said: Opinion) -> bool {
    let variant = client.studio.view.look.variant.get();
    let record = client.studio.record();
    record.is_some_and(|record| record.has_said(said, variant).is_some())
}

/// She likes it, or on a second tap doesn't.
fn like(client: Client) {
    let studio = client.studio;
    let variant = studio.view.look.variant.get_untracked();
    let record = studio.settled();
    match record.and_then(|r| r.has_said(Opinion::LikesIt, variant)) {
        Some(index) => {
            let reply = Some(Reply::TakenBack);
            studio.apply(&Edit::Consent(ConsentEdit::Reply { index, reply }));
        }
        None => {
            say(client, Opinion::LikesIt);
        }
    }
}

/// Keeps a remark about the shape in view, in place of its opposite.
fn say(client: Client, said: Opinion) -> bool {
    let studio = client.studio;
    let (Some(record), Some(at)) = (studio.settled(), clock::moment()) else {
        return false;
    };
    let shape = studio.view.look.variant.get_untracked();
    let circles = client.circling.circles.get_clone_untracked();
    let remark = record.remark(said, shape, circles, at);
    studio.apply_all(&record.saying(remark), "note what the client said")
}

/// A remark in her words.
fn in_words(client: Client, remark: &Remark) -> String {
    let words = client.words;
    let said = match remark.said {
        Opinion::LikesIt => words.say("say-like"),
        Opinion::ChoosesIt => words.say("step-choose"),
        Opinion::Phrase(phrase) => words.say(&phrase_key(phrase)),
    };
    let said = if remark.circles.is_empty() {
        said
    } else {
        words.say_with("say-circled", &[("what", &said)])
    };
    let shapes = client.shapes();
    let record = client.studio.record();
    let number = record.as_deref().and_then(|record| {
        let shape = match record.whereabouts(remark) {
            Whereabouts::Present => None,
            Whereabouts::Kept(index) => Some(index),
            Whereabouts::Gone => return None,
        };
        shapes.iter().position(|s| *s == shape)
    });
    match number {
        Some(place) if shapes.len() > 1 => {
            let shape = client.shape_name(place);
            words.say_with("say-of-shape", &[("what", &said), ("shape", &shape)])
        }
        _ => said,
    }
}

/// What she has said and not taken back.
fn so_far(client: Client) -> View {
    let words = client.words;
    let said = move || {
        let Some(record) = client.studio.record() else {
            return Vec::new();
        };
        let all = record.consent.remarks.iter().enumerate().rev();
        let hers = all.filter(|(_, r)| r.reply.is_none() && r.said != Opinion::ChoosesIt);
        hers.take(LISTED)
            .map(|(index, remark)| (index, in_words(client, remark)))
            .collect::<Vec<_>>()
    };
    shows(said, move |said| {
        if said.is_empty() {
            return View::new();
        }
        let one = |(index, what): (usize, String)| -> El {
            let label = glance(|| words.say_with("say-take-back", &[("what", &what)]));
            el("li").put(el("span").words(what)).put(
                button("button bare", format!("take-back-{index}"))
                    .label(label)
                    .words("\u{00d7}")
                    .click(move || {
                        let reply = Some(Reply::TakenBack);
                        let edit = ConsentEdit::Reply { index, reply };
                        client.studio.apply(&Edit::Consent(edit));
                    }),
            )
        };
        el("ul")
            .class("handed-said")
            .id("said-so-far")
            .label(glance(|| words.say("say-so-far")))
            .all(said.into_iter().map(one))
            .into()
    })
}
