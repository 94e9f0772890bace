//! Cautions and statements, one to a page.

use ophryon_agreement::{Answer, Kind, Said};
use sycamore::web::View;

use super::Desk;
use crate::markup::{El, button, div, el, glance, p, shows};

/// A word in her language, as it is now: the page is put up anew with it.
fn word(desk: &Desk, say: impl FnOnce(crate::handed::words::Words) -> String) -> String {
    let words = desk.words;
    glance(|| say(words))
}

/// What comes before the cautions.
pub fn advice(desk: &Desk) -> View {
    let advice = glance(|| desk.asking.asked()).map(|a| a.advice);
    let on = desk.clone();
    crate::parts![
        desk.heading(word(desk, |w| w.say("sign-cautions"))),
        p(advice.unwrap_or_default()).class("large"),
        p(word(desk, |w| w.say("sign-cautions-why"))),
        div("signing-answers").put(
            button("button main", "sign-begin")
                .words(word(desk, |w| w.say("sign-begin")))
                .click(move || on.next()),
        ),
    ]
}

/// One of several answers; it shows which is given.
fn answer(
    desk: &Desk,
    id: &'static str,
    words: String,
    is_given: impl Fn() -> bool + 'static,
    give: impl Fn(&Desk) + 'static,
) -> El {
    let on = desk.clone();
    button("button answer-button", id)
        .pressed(is_given)
        .words(words)
        .click(move || {
            give(&on);
            on.next();
        })
}

/// One caution: no, yes, not sure, or left open.
pub fn caution(desk: &Desk, number: usize) -> View {
    let Some(caution) =
        glance(|| desk.asking.asked()).and_then(|a| a.cautions.get(number).cloned())
    else {
        return View::new();
    };
    let one = |id: &'static str, words: String, given: Answer| {
        let (asking, of) = (desk.asking.clone(), caution.id.clone());
        let is_given = move || {
            let asked = asking.asked();
            let found = asked.as_ref().and_then(|a| a.cautions.get(number));
            found.is_some_and(|c| c.answer == given)
        };
        answer(desk, id, words, is_given, move |desk| {
            desk.asking.answer(&of, given);
        })
    };
    let open = desk.clone();
    // An artist's own words may state what ours ask.
    let lead = if caution.words.ends_with('?') {
        View::new()
    } else {
        p(word(desk, |w| w.say("sign-is-it-so")))
            .class("quiet")
            .into()
    };
    crate::parts![
        lead,
        desk.heading(caution.words.clone()),
        div("signing-answers")
            .at("role", "group")
            .put(one(
                "caution-no",
                word(desk, |w| w.say("sign-no")),
                Answer::NotMe
            ))
            .put(one(
                "caution-yes",
                word(desk, |w| w.say("sign-yes")),
                Answer::DoctorFirst
            ))
            .put(one(
                "caution-not-sure",
                word(desk, |w| w.say("sign-not-sure")),
                Answer::NotSure
            )),
        button("button bare", "caution-leave")
            .words(word(desk, |w| w.say("sign-leave-open")))
            .click(move || open.next()),
    ]
}

/// What she flagged or left open: said, and no more than said.
pub fn told(desk: &Desk) -> View {
    let Some(asked) = glance(|| desk.asking.asked()) else {
        return View::new();
    };
    let on = desk.clone();
    let next = button("button main", "sign-on")
        .words(word(desk, |w| w.say("sign-on")))
        .click(move || on.next());
    if asked.for_a_doctor().next().is_none() {
        return crate::parts![
            desk.heading(word(desk, |w| w.say("sign-nothing-told"))),
            p(word(desk, |w| w.say("sign-nothing-told-why"))).class("large"),
            div("signing-answers").put(next),
        ];
    }
    let given = |answer: Answer| {
        word(desk, |w| match answer {
            Answer::DoctorFirst => w.say("sign-yes"),
            Answer::NotSure => w.say("sign-not-sure"),
            Answer::Unanswered => w.say("sign-open"),
            Answer::NotMe => w.say("sign-no"),
        })
    };
    let lines = asked.cautions.iter().enumerate();
    let lines = lines.filter(|(_, c)| c.answer != Answer::NotMe);
    let lines = lines.map(|(number, caution)| {
        let back = desk.clone();
        el("li")
            .put(el("strong").words(given(caution.answer)))
            .put(el("span").words(caution.words_and_advice()))
            .put(
                button("button bare", format!("told-change-{}", caution.id))
                    .label(format!(
                        "{}: {}",
                        word(desk, |w| w.say("sign-change")),
                        caution.words
                    ))
                    .words(word(desk, |w| w.say("sign-change")))
                    .click(move || back.go(number + 1)),
            )
    });
    let is_flagged = asked.for_a_doctor().any(|c| c.answer != Answer::Unanswered);
    let (heading, why) = over_the_list(desk, is_flagged);
    crate::parts![
        desk.heading(heading),
        el("ul")
            .class("told-list")
            .id("told")
            .all(lines.collect::<Vec<_>>()),
        p(why).class("large"),
        p(asked.advice.clone()),
        div("signing-answers").put(next),
    ]
}

/// What is said over the list: that a doctor comes first where she flagged
/// something, else that questions are open.
fn over_the_list(desk: &Desk, is_flagged: bool) -> (String, String) {
    if is_flagged {
        (
            word(desk, |w| w.say("sign-told")),
            word(desk, |w| w.say("sign-told-why")),
        )
    } else {
        (
            word(desk, |w| w.say("sign-some-open")),
            word(desk, |w| w.say("sign-some-open-why")),
        )
    }
}

/// One statement: yes, or no.
pub fn statement(desk: &Desk, number: usize) -> View {
    let found = glance(|| desk.asking.asked()).and_then(|a| a.statements.get(number).cloned());
    let Some(statement) = found else {
        return View::new();
    };
    let said = {
        let asking = desk.asking.clone();
        move || {
            let asked = asking.asked();
            asked.and_then(|a| a.statements.get(number).map(|s| s.said))
        }
    };
    let yes = {
        let (said, of) = (said.clone(), statement.id.clone());
        let words = word(desk, |w| match statement.kind {
            Kind::Needed => w.say("sign-agree"),
            Kind::Choice => w.say("sign-yes"),
        });
        answer(
            desk,
            "say-yes",
            words,
            move || said() == Some(Said::Yes),
            move |desk| {
                desk.asking.say(&of, Said::Yes);
            },
        )
    };
    let no = {
        let (said, of) = (said.clone(), statement.id.clone());
        let is_no = move || said() == Some(Said::No);
        match statement.kind {
            Kind::Choice => {
                let words = word(desk, |w| w.say("sign-no"));
                answer(desk, "say-no", words, is_no, move |desk| {
                    desk.asking.say(&of, Said::No);
                })
            }
            // She stays on the page, which says what that means.
            Kind::Needed => {
                let desk = desk.clone();
                button("button answer-button", "say-no")
                    .pressed(is_no)
                    .words(word(&desk, |w| w.say("sign-not-agree")))
                    .click(move || desk.asking.say(&of, Said::No))
            }
        }
    };
    let lead = word(desk, |w| match statement.kind {
        Kind::Needed => w.say("sign-do-you-agree"),
        Kind::Choice => w.say("sign-you-choose"),
    });
    let (words, needed, on) = (desk.words, statement.kind == Kind::Needed, desk.clone());
    crate::parts![
        p(lead).class("quiet"),
        desk.heading(statement.words.clone()),
        div("signing-answers").at("role", "group").put(yes).put(no),
        shows(
            move || needed && said() == Some(Said::No),
            move |is_refused| {
                if !is_refused {
                    return View::new();
                }
                let on = on.clone();
                div("word calm")
                    .at("role", "status")
                    .id("refused")
                    .put(el("p").says(move || words.say("sign-refused")))
                    .put(
                        div("buttons").put(
                            button("button", "refused-on")
                                .says(move || words.say("sign-on"))
                                .click(move || on.next()),
                        ),
                    )
                    .into()
            },
        ),
    ]
}
