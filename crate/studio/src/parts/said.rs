//! The last refusal or remark.

use sycamore::web::View;

use crate::markup::{button, div, p};
use crate::studio::Studio;

/// One sentence with a button to put it away. Always there for readers.
pub fn said(studio: Studio) -> View {
    div("told")
        .at("role", "status")
        .at("aria-live", "polite")
        .shows(
            move || studio.said.get_clone(),
            move |said| match said {
                None => View::new(),
                Some(words) => div("word")
                    .id("said")
                    .put(p(words))
                    .put(
                        div("buttons").put(
                            button("button", "said-close")
                                .words("All right")
                                .click(move || studio.said.set(None)),
                        ),
                    )
                    .into(),
            },
        )
        .into()
}
