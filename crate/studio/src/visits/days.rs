//! A day of the calendar, typed or picked.

use ophryon_record::Day;
use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use crate::markup::{div, el, p, value_of};

/// What a field is for.
pub struct DayField {
    /// What it is.
    pub label: &'static str,
    /// Id for tests.
    pub id: &'static str,
    /// It may stay empty.
    pub can_be_empty: bool,
}

impl DayField {
    /// The field; what is no day is complained about and changes nothing.
    pub fn view(
        self,
        day: impl Fn() -> Option<Day> + 'static,
        on_day: impl Fn(Option<Day>) + 'static,
    ) -> View {
        let Self {
            label,
            id,
            can_be_empty,
        } = self;
        let wrong = create_signal(false);
        let shown = move || day().map(|day| day.to_string()).unwrap_or_default();
        let input = el("input")
            .at("type", "date")
            .at("min", "1900-01-01")
            .at("max", "9999-12-31")
            .id(id)
            .label(label)
            .value(shown)
            .on::<Event>("change", move |e| {
                let text = value_of(e);
                let day = text.trim().parse::<Day>().ok();
                let is_fine = day.is_some() || (text.trim().is_empty() && can_be_empty);
                wrong.set(!is_fine);
                if is_fine {
                    on_day(day);
                }
            });
        div("field")
            .put(el("span").decoration().words(label))
            .put(input)
            .shows(
                move || wrong.get(),
                move |is_wrong| {
                    if !is_wrong {
                        return View::new();
                    }
                    p("That is no day of the calendar. Enter one such as 2026-03-14.")
                        .class("complaint")
                        .at("role", "alert")
                        .into()
                },
            )
            .into()
    }
}
