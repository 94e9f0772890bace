//! The artist's own text: a copy of one, sentence by sentence.

use ophryon_agreement::{CautionText, Kind, NEEDED_IDS, StatementText, Text};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::{Event, HtmlTextAreaElement};

use crate::markup::{El, button, div, el, glance, p, shows, value_of};

/// The editor. `keep` takes the text, or says why not.
pub fn writing(
    written: Signal<Option<Text>>,
    keep: impl Fn(&Text) -> Result<(), String> + 'static,
) -> View {
    let said = create_signal(None::<String>);
    let done = move || {
        let Some(text) = written.get_clone_untracked() else {
            return;
        };
        match keep(&text) {
            Ok(()) => written.set(None),
            Err(why) => said.set(Some(why)),
        }
    };
    // Fields are put up anew when one comes or goes, not while one is typed in.
    let counts =
        move || written.with(|w| w.as_ref().map(|t| (t.statements.len(), t.cautions.len())));
    crate::parts![
        p("Words in braces stand for the ranges below. What was signed before keeps its own words.")
            .class("quiet"),
        shows(counts, move |_| fields(written)),
        div("").at("role", "alert").shows(
            move || said.get_clone(),
            |said| match said {
                Some(said) => div("word").id("text-problem").put(p(said)).into(),
                None => View::new(),
            },
        ),
        div("buttons")
            .put(button("button main", "keep-text").words("Keep this text").click(done))
            .put(
                button("button", "leave-text")
                    .words("Leave it")
                    .click(move || written.set(None)),
            ),
    ]
}

fn change(written: Signal<Option<Text>>, change: impl FnOnce(&mut Text)) {
    written.update(|text| {
        if let Some(text) = text {
            change(text);
        }
    });
}

fn fields(written: Signal<Option<Text>>) -> View {
    let Some(text) = glance(|| written.get_clone()) else {
        return View::new();
    };
    let statements = text.statements.iter().enumerate().map(|(n, s)| {
        let label = match s.kind {
            Kind::Needed => format!("Statement {}: needs a yes", n + 1),
            Kind::Choice => format!("Statement {}: yes or no", n + 1),
        };
        let field = area(
            label,
            format!("text-statement-{}", s.id),
            &s.words,
            move |words| {
                change(written, |t| t.statements[n].words = words);
            },
        );
        let can_go = !NEEDED_IDS.contains(&s.id.as_str());
        with_removal(
            field,
            can_go.then_some(()),
            format!("remove-statement-{}", s.id),
            move || {
                change(written, |t| drop(t.statements.remove(n)));
            },
        )
    });
    let statements: Vec<View> = statements.map(Into::into).collect();
    let cautions = text.cautions.iter().enumerate().map(|(n, c)| {
        let label = format!("Caution {}", n + 1);
        let field = area(
            label,
            format!("text-caution-{}", c.id),
            &c.words,
            move |words| {
                change(written, |t| t.cautions[n].words = words);
            },
        );
        let advice = area(
            format!("Caution {}: said to yes and not sure", n + 1),
            format!("text-caution-advice-{}", c.id),
            &c.advice,
            move |words| {
                change(written, |t| t.cautions[n].advice = words);
            },
        );
        with_removal(
            div("field").put(field).put(advice),
            Some(()),
            format!("remove-caution-{}", c.id),
            move || {
                change(written, |t| drop(t.cautions.remove(n)));
            },
        )
    });
    let cautions: Vec<View> = cautions.map(Into::into).collect();
    let ranges = text.ranges.iter().enumerate().map(|(n, range)| {
        let number = |which: &'static str, value: u32, set: fn(&mut Text, usize, u32)| {
            el("input")
                .at("type", "number")
                .at("min", "0")
                .label(format!("{}, {which}", range.id))
                .id(format!("range-{}-{which}", range.id))
                .value(move || value.to_string())
                .on::<Event>("change", move |e| {
                    if let Ok(value) = value_of(e).trim().parse() {
                        change(written, |t| set(t, n, value));
                    }
                })
        };
        div("range-row")
            .put(el("span").words(format!("{{{}}}", range.id)))
            .put(div("field").put(number("from", range.from, |t, n, v| t.ranges[n].from = v)))
            .put(div("field").put(number("to", range.to, |t, n, v| t.ranges[n].to = v)))
            .put(p(range.source.clone()).class("quiet"))
    });
    let ranges: Vec<View> = ranges.map(Into::into).collect();
    crate::parts![
        area(
            "What comes before the cautions".to_owned(),
            "text-advice".to_owned(),
            &text.advice,
            move |words| {
                change(written, |t| t.advice = words);
            }
        ),
        View::from(statements),
        button("button", "add-statement")
            .words("Add a statement")
            .click(move || change(written, add_statement)),
        View::from(cautions),
        button("button", "add-caution")
            .words("Add a caution")
            .click(move || change(written, add_caution)),
        el("h3").words("Ranges"),
        View::from(ranges),
    ]
}

fn add_statement(text: &mut Text) {
    let id = free_id(text);
    text.statements.push(StatementText {
        id,
        kind: Kind::Needed,
        words: String::new(),
    });
}

fn add_caution(text: &mut Text) {
    let id = free_id(text);
    text.cautions.push(CautionText {
        id,
        words: String::new(),
        advice: String::new(),
    });
}

/// "own-1", "own-2" and so on.
fn free_id(text: &Text) -> String {
    let taken = |id: &str| {
        let statements = text.statements.iter().map(|s| &s.id);
        statements
            .chain(text.cautions.iter().map(|c| &c.id))
            .any(|i| i == id)
    };
    (1_u32..)
        .map(|n| format!("own-{n}"))
        .find(|id| !taken(id))
        .unwrap_or_default()
}

fn area(label: String, id: String, words: &str, told: impl Fn(String) + 'static) -> El {
    let words = words.to_owned();
    el("label").class("field").put(el("span").words(label)).put(
        el("textarea")
            .class("plain-input")
            .at("rows", "4")
            .at("maxlength", "1000")
            .id(id)
            .value(move || words.clone())
            .on::<Event>("input", move |e| {
                let area = e
                    .target()
                    .and_then(|t| t.dyn_into::<HtmlTextAreaElement>().ok());
                if let Some(area) = area {
                    // A sentence is one line.
                    told(area.value().replace(['\n', '\r'], " "));
                }
            }),
    )
}

fn with_removal(field: El, can_go: Option<()>, id: String, remove: impl Fn() + 'static) -> El {
    let row = div("text-row").put(field);
    match can_go {
        Some(()) => row.put(button("button bare", id).words("Remove").click(remove)),
        None => row,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_agreement::text_for;

    #[test]
    fn what_is_added_has_a_name_of_its_own_and_must_say_something() {
        let mut text = text_for("en").expect("a text");
        add_caution(&mut text);
        add_statement(&mut text);
        assert_eq!(text.cautions.last().map(|c| c.id.as_str()), Some("own-1"));
        assert_eq!(text.statements.last().map(|s| s.id.as_str()), Some("own-2"));
        assert!(text.check().is_err(), "an empty sentence passes");
        for words in [
            &mut text.cautions.last_mut().expect("there").words,
            &mut text.statements.last_mut().expect("there").words,
        ] {
            *words = "Something of her own.".to_owned();
        }
        assert_eq!(text.check(), Ok(()));
    }
}
