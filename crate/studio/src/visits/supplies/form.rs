//! What stands on a label, typed once.

use ophryon_record::{Day, Supply, SupplyKind};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use super::{Kind, set, there};
use crate::markup::{button, div, el, glance, p, value_of};
use crate::studio::Studio;
use crate::visits::bench::Bench;
use crate::visits::days::DayField;

/// What is typed of one.
#[derive(Clone, Copy)]
pub(super) struct Form {
    name: Signal<String>,
    maker: Signal<String>,
    batch: Signal<String>,
    expires: Signal<Option<Day>>,
    /// One that is changed, not added.
    at: Signal<Option<usize>>,
    /// The form is open.
    pub(super) open: Signal<bool>,
}

impl Form {
    pub(super) fn new() -> Self {
        Self {
            name: create_signal(String::new()),
            maker: create_signal(String::new()),
            batch: create_signal(String::new()),
            expires: create_signal(None),
            at: create_signal(None),
            open: create_signal(false),
        }
    }

    pub(super) fn show(self, supply: Supply, at: Option<usize>) {
        self.name.set(supply.name);
        self.maker.set(supply.maker);
        self.batch.set(supply.batch);
        self.expires.set(supply.expires);
        self.at.set(at);
        self.open.set(true);
    }

    fn supply(self) -> Supply {
        let text = |of: Signal<String>| of.get_clone_untracked().trim().to_owned();
        Supply {
            name: text(self.name),
            maker: text(self.maker),
            batch: text(self.batch),
            expires: self.expires.get_untracked(),
        }
    }

    /// Takes what was typed into the visit, and onto the shelf.
    fn take(self, studio: Studio, bench: Bench, kind: Kind) {
        let supply = self.supply();
        let mut all = glance(|| there(studio, bench, kind));
        match self.at.get_untracked().and_then(|at| all.get_mut(at)) {
            Some(one) => *one = supply.clone(),
            None => all.push(supply.clone()),
        }
        if set(studio, bench, kind, all) {
            bench.put_on_shelf(|shelf| shelf.put(kind.kind, &supply));
            self.open.set(false);
        }
    }
}

/// What stands on the label.
pub(super) fn typed(studio: Studio, bench: Bench, kind: Kind, form: Form) -> View {
    let field = |label: &'static str, id: String, of: Signal<String>| {
        let input = el("input")
            .at("type", "text")
            .at("maxlength", "100")
            .at("autocomplete", "off")
            .at("enterkeyhint", "done")
            .label(label)
            .id(id)
            .value(move || of.get_clone())
            .on::<Event>("input", move |e| of.set_silent(value_of(e)))
            .on::<KeyboardEvent>("keydown", move |e| {
                if e.key() == "Enter" {
                    e.prevent_default();
                    form.take(studio, bench, kind);
                }
            });
        div("field")
            .put(el("span").decoration().words(label))
            .put(input)
    };
    let is_change = form.at.get_untracked().is_some();
    let day = DayField {
        label: "To be used until",
        id: match kind.kind {
            SupplyKind::Tool => "tool-expires",
            SupplyKind::Pigment => "pigment-expires",
        },
        can_be_empty: true,
    };
    div("supply-form")
        .at("role", "group")
        .label(format!("What stands on the label of the {}", kind.one))
        .put(field("Name", format!("{}-name", kind.id), form.name))
        .put(
            div("pair-fields")
                .put(field("Maker", format!("{}-maker", kind.id), form.maker))
                .put(field("Batch number", format!("{}-batch", kind.id), form.batch)),
        )
        .put(day.view(move || form.expires.get(), move |day| form.expires.set(day)))
        .put(p("As the label says. Where only a month stands there, its last day is usually meant (common practice).").class("quiet"))
        .put(
            div("buttons")
                .put(
                    button("button main", format!("{}-take", kind.id))
                        .words(if is_change { "Keep the change" } else { "Add it" })
                        .click(move || form.take(studio, bench, kind)),
                )
                .put(
                    button("button", format!("{}-leave", kind.id))
                        .words("Leave it")
                        .click(move || form.open.set(false)),
                ),
        )
        .into()
}
