//! Which of several shapes she wants. What she chooses becomes the present
//! one, as one step that the artist can undo; the other stays kept.

use ophryon_record::{ConsentEdit, Edit, Opinion, Record, VariantEdit};
use sycamore::web::View;

use super::{Client, seen};
use crate::device::clock;
use crate::markup::{button, div, el, shows};

/// The question.
pub fn ask(client: Client) -> View {
    let words = client.words;
    let variant = client.studio.view.look.variant;
    let seen_now = move || {
        let shape = variant.get();
        client.shapes().iter().position(|s| *s == shape)
    };
    crate::parts![
        client.heading(move || words.say("choose-heading")),
        seen::slider(client),
        seen::shapes(client),
        shows(
            move || (seen_now(), words.language()),
            move |(place, _)| {
                let Some(place) = place else {
                    return View::new();
                };
                let shape = crate::markup::glance(|| client.shape_name(place));
                let said = words.say_with("choose-this", &[("shape", &shape)]);
                button("button main wide", "choose")
                    .words(said)
                    .click(move || choose(client))
                    .into()
            },
        ),
        div("handed-chosen").at("role", "status").shows(
            move || chosen(client).zip(Some(words.language())),
            move |chosen| match chosen {
                Some((place, _)) => {
                    let shape = crate::markup::glance(|| client.shape_name(place));
                    let said = words.say_with("choose-chosen", &[("shape", &shape)]);
                    el("p").id("chosen").words(said).into()
                }
                None => View::new(),
            },
        ),
    ]
}

/// The shape she chose last, while it is the present one.
pub(super) fn chosen(client: Client) -> Option<usize> {
    let record = client.studio.record()?;
    let present = client.shapes().iter().position(Option::is_none)?;
    chose_last(&record, None).then_some(present)
}

/// Whether what she chose last is this shape, as it is.
fn chose_last(record: &Record, variant: Option<usize>) -> bool {
    let all = &record.consent.remarks;
    let last = all.iter().rposition(|r| r.said == Opinion::ChoosesIt);
    last.is_some() && last == record.has_said(Opinion::ChoosesIt, variant)
}

fn choose(client: Client) {
    let studio = client.studio;
    let look = studio.view.look;
    let (Some(record), Some(at)) = (studio.settled(), clock::moment()) else {
        return;
    };
    let shape = look.variant.get_untracked();
    let said = |record: &Record, shape| {
        let remark = record.remark(Opinion::ChoosesIt, shape, Vec::new(), at.clone());
        Edit::Consent(ConsentEdit::Remark(Box::new(remark)))
    };
    let Some(index) = shape else {
        // Said once is enough.
        if !chose_last(&record, None) {
            studio.apply(&said(&record, None));
        }
        return;
    };
    let edits = [
        said(&record, shape),
        Edit::Variant(VariantEdit::Take { index }),
    ];
    if studio.apply_all(&edits, "go on with the shape she chose") {
        look.variant.set(None);
    }
}
