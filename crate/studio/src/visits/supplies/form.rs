//! What stands on a label, typed once.

use ophryon_record::{AtHand, Day, Supply, SupplyDraft, SupplyKind};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use super::{Kind, set, there};
use crate::markup::{button, div, el, glance, p, value_of};
use crate::studio::Studio;
use crate::visits::bench::Bench;
use crate::visits::days::DayField;

/// What is typed of one. It outlasts the view: whoever looks elsewhere finds it
/// as it was left.
#[derive(Clone, Copy)]
pub struct Form {
    kind: SupplyKind,
    name: Signal<String>,
    maker: Signal<String>,
    batch: Signal<String>,
    expires: Signal<Option<Day>>,
    /// One that is changed, not added.
    at: Signal<Option<usize>>,
    /// The visit it is for.
    visit: Signal<usize>,
    /// The form is open.
    pub(in crate::visits) open: Signal<bool>,
}

impl Form {
    pub(in crate::visits) fn new(kind: SupplyKind) -> Self {
        Self {
            kind,
            name: create_signal(String::new()),
            maker: create_signal(String::new()),
            batch: create_signal(String::new()),
            expires: create_signal(None),
            at: create_signal(None),
            visit: create_signal(0),
            open: create_signal(false),
        }
    }

    pub(super) fn show(self, visit: usize, supply: Supply, at: Option<usize>) {
        self.name.set(supply.name);
        self.maker.set(supply.maker);
        self.batch.set(supply.batch);
        self.expires.set(supply.expires);
        self.at.set(at);
        self.visit.set(visit);
        // Closed first, so that it is put up with these.
        self.open.set(false);
        self.open.set(true);
    }

    /// It is open for that visit.
    pub(super) fn is_for(self, visit: Option<usize>) -> bool {
        self.open.get() && Some(self.visit.get()) == visit
    }

    /// As it was laid by.
    pub(in crate::visits) fn take_up_again(self, at_hand: &AtHand) {
        match at_hand.draft(self.kind).cloned() {
            Some(draft) => self.show(draft.visit, draft.supply, draft.at),
            None => self.open.set(false),
        }
    }

    /// Lays by what was typed so far.
    pub(in crate::visits) fn lay_by(self, at_hand: &mut AtHand) {
        let supply = self.supply();
        let is_begun = self.open.get_untracked() && supply != Supply::default();
        let draft = is_begun.then(|| SupplyDraft {
            visit: self.visit.get_untracked(),
            at: self.at.get_untracked(),
            supply,
        });
        at_hand.set_draft(self.kind, draft);
    }

    fn close(self, bench: Bench) {
        self.open.set(false);
        bench.keep_at_hand();
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
            self.close(bench);
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
            .on::<Event>("input", move |e| {
                of.set_silent(value_of(e));
                bench.keep_at_hand();
            })
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
        .put(day.view(move || form.expires.get(), move |day| {
            form.expires.set(day);
            bench.keep_at_hand();
        }))
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
                        .click(move || form.close(bench)),
                ),
        )
        .into()
}
