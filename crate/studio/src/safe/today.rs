//! What she wished for her photos, while the day of her wish lasts: the work
//! may still need them, so it takes a second tap. Afterwards see
//! [`super::details::wishes`].

use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::erase;
use crate::device::clock;
use crate::markup::{button, div, p, shows};
use crate::studio::Studio;

/// That none is to be kept after today, and where they are erased.
pub fn wish_of_today(studio: Studio) -> View {
    let is_today = move || {
        let Some(record) = studio.record() else {
            return false;
        };
        let since = record.photos_unwanted_since().and_then(|s| s.day());
        // A clock that was set back is no later day.
        since.is_some_and(|day| clock::today().is_none_or(|today| day >= today))
    };
    let is_asked = create_signal(false);
    shows(
        move || (is_today(), is_asked.get()),
        move |stand| {
            match stand {
            (false, _) => View::new(),
            (true, false) => div("rows")
                .id("photos-today")
                .put(p("She does not want her photos kept after today."))
                .put(
                    div("buttons").put(
                        button("button", "photos-today-erase")
                            .words("Erase her photos …")
                            .click(move || is_asked.set(true)),
                    ),
                )
                .into(),
            (true, true) => div("rows")
                .id("photos-today")
                .put(p("Her photos go from this device for good, and what was done before can’t be undone any more. Every number and shape stays."))
                .put(
                    div("buttons")
                        .put(
                            button("button", "photos-today-now")
                                .words("Erase them now")
                                .click(move || {
                                    spawn_local(async move {
                                        let outcome = erase::photos_in_work(studio).await;
                                        studio.tell(outcome);
                                    });
                                }),
                        )
                        .put(
                            button("button", "photos-today-not-yet")
                                .words("Not yet")
                                .click(move || is_asked.set(false)),
                        ),
                )
                .into(),
        }
        },
    )
}
