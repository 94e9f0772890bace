//! What she said while the tablet was in her hands, each with what would
//! answer it.

use std::rc::Rc;

use ophryon_record::{
    ConsentEdit, Edit, Opinion, Remark, Reply, VariantEdit, Whereabouts, feedback_edit,
};
use sycamore::reactive::{Signal, create_signal, on_cleanup};
use sycamore::web::View;

use crate::markup::{El, button, div, el, glance, p, selector, shows};
use crate::shape;
use crate::shaping::says;
use crate::studio::Studio;
use crate::words::{sentence, title};

/// The section; open while something waits for an answer.
pub fn section(studio: Studio) -> El {
    let all = selector(Box::new(move || {
        let record = studio.record();
        record.map_or_else(Vec::new, |r| r.consent.remarks.clone())
    }));
    let waiting = move || all.with(|all| all.iter().filter(|r| r.is_open()).count());
    let in_short = move || match (all.with(Vec::len), waiting()) {
        (0, _) => "nothing yet".to_owned(),
        (n, 0) => format!("{n}, all answered"),
        (_, n) => format!("{n} to answer"),
    };
    let looked_at = create_signal(None::<usize>);
    // A change that is only looked at never outlives the list.
    on_cleanup(move || {
        if looked_at.is_alive() && looked_at.get_untracked().is_some() {
            studio.abandon();
        }
    });
    let inside = div("inside").id("heard").shows(
        move || all.get_clone(),
        move |all| {
            if all.is_empty() {
                return p("She says it on the tablet; it comes to stand here.")
                    .class("quiet")
                    .into();
            }
            // The last word first.
            let rows = all.into_iter().enumerate().rev();
            let rows = rows.map(|(n, remark)| row(studio, looked_at, n, &remark).into());
            View::from(rows.collect::<Vec<View>>())
        },
    );
    shape::section("she-said", "What she said", in_short, inside).flag("open", glance(waiting) > 0)
}

fn row(studio: Studio, looked_at: Signal<Option<usize>>, index: usize, remark: &Remark) -> El {
    let circled = match remark.circles.len() {
        0 => "",
        1 => ", with a circle",
        _ => ", with circles",
    };
    let said = match remark.said {
        Opinion::ChoosesIt => format!("She chose {}.", of_shape(remark)),
        other => format!("“{}”", title(other.words())),
    };
    let about = match remark.said {
        Opinion::ChoosesIt => String::new(),
        _ => format!("of {}{circled}, ", of_shape(remark)),
    };
    let head = div("heard-head").put(el("strong").words(said)).put(
        el("span")
            .class("quiet")
            .words(format!("{about}{}", remark.at.in_words())),
    );
    let row = div("heard-row").id(format!("heard-{index}")).put(head);
    let reply = match remark.reply {
        Some(Reply::Taken) => "Answered with a change.",
        Some(Reply::Left) => "Left as it was.",
        Some(Reply::TakenBack) => "She took it back.",
        None if !remark.is_open() => "",
        None => return row.put(open(studio, looked_at, index, remark)),
    };
    if reply.is_empty() {
        row
    } else {
        row.put(p(reply).class("quiet"))
    }
}

/// The shape as it was called on her page, with the artist's own name for it
/// where that is another.
fn of_shape(remark: &Remark) -> String {
    match (remark.seen_as(), remark.variant.clone()) {
        (Some(seen), Some(name)) if name != seen => format!("{seen}, “{name}”"),
        (Some(seen), _) => seen,
        (None, Some(name)) => name,
        (None, None) => "the shape as it was".to_owned(),
    }
}

/// Where the shape is that she meant.
#[derive(Clone, PartialEq)]
enum Meant {
    Present,
    /// Kept, by its place and under this name.
    Kept(usize, String),
    Gone,
}

/// Waits for an answer.
fn open(studio: Studio, looked_at: Signal<Option<usize>>, index: usize, remark: &Remark) -> View {
    let Opinion::Phrase(phrase) = remark.said else {
        return View::new();
    };
    let leave = button("button", format!("heard-leave-{index}"))
        .words("Leave it")
        .click(move || {
            let reply = Some(Reply::Left);
            studio.apply(&Edit::Consent(ConsentEdit::Reply { index, reply }));
        });
    // She may mean another shape than the present one.
    let seen = of_shape(remark);
    let of = remark.clone();
    let meant = selector(Box::new(move || {
        // Of the shape as it is kept, not as it is looked at.
        let _ = studio.record();
        let Some(record) = studio.settled() else {
            return Meant::Gone;
        };
        match record.whereabouts(&of) {
            Whereabouts::Present => Meant::Present,
            Whereabouts::Kept(at) => match record.variants.get(at) {
                Some(kept) => Meant::Kept(at, kept.name.clone()),
                None => Meant::Gone,
            },
            Whereabouts::Gone => Meant::Gone,
        }
    }));
    let leave = Rc::new(std::cell::RefCell::new(Some(leave)));
    let answer = selector(Box::new(move || {
        if meant.with(|m| *m != Meant::Present) {
            return None;
        }
        let _ = studio.record();
        let record = studio.settled()?;
        Some(
            record
                .feedback(phrase)
                .map_err(|why| sentence(&why.to_string())),
        )
    }));
    let inside = shows(
        move || (meant.get_clone(), answer.get_clone()),
        move |(meant, answer)| match (meant, answer) {
            (Meant::Kept(at, name), _) => crate::parts![
                p(format!("She meant {seen}, which is not the shape in work."))
                    .id(format!("heard-other-{index}")),
                div("buttons").put(
                    button("button", format!("heard-go-on-{index}"))
                        .words(format!("Go on with {name}"))
                        .click(move || {
                            studio.apply(&Edit::Variant(VariantEdit::Take { index: at }));
                        }),
                ),
            ],
            (Meant::Gone, _) => p("The shape she meant is no more; another took its place.")
                .id(format!("heard-gone-{index}"))
                .into(),
            (Meant::Present, None) => View::new(),
            (Meant::Present, Some(Err(why))) => {
                p(why).id(format!("heard-nothing-left-{index}")).into()
            }
            (Meant::Present, Some(Ok(proposal))) => {
                let short = says::in_short_of(&proposal).unwrap_or_default();
                let edit = feedback_edit(&proposal);
                let seen = edit.clone();
                let see = move || {
                    studio.abandon();
                    if looked_at.get_untracked() == Some(index) {
                        looked_at.set(None);
                    } else {
                        studio.preview(&seen);
                        looked_at.set(Some(index));
                    }
                };
                let take = move || {
                    looked_at.set(None);
                    let reply = Some(Reply::Taken);
                    let answered = Edit::Consent(ConsentEdit::Reply { index, reply });
                    studio.apply_all(&[edit.clone(), answered], "answer what she said");
                };
                crate::parts![
                    p(short).class("strong"),
                    p(sentence(&proposal.reason)),
                    div("buttons")
                        .put(
                            button("button main", format!("heard-take-{index}"))
                                .words("Take it")
                                .click(take),
                        )
                        .put(
                            button("button", format!("heard-see-{index}"))
                                .pressed(move || looked_at.get() == Some(index))
                                .words("See it")
                                .click(see),
                        ),
                ]
            }
        },
    );
    let leave = leave.borrow_mut().take().map_or_else(View::new, Into::into);
    div("heard-answer").put(inside).put(leave).into()
}
