//! What is said while another window works on the client.

use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::keeper::Seat;
use crate::markup::{button, div, p, shows};
use crate::studio::Studio;

/// Following another window, or a client that another one erased.
pub fn between_windows(studio: Studio) -> View {
    let busy = create_signal(false);
    let take_over = move || {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            let outcome = match studio.later.files.get().await {
                Ok(files) => (files.take_over)(studio).await,
                Err(why) => Err(why),
            };
            if busy.is_alive() {
                busy.set(false);
            }
            if outcome.is_err() {
                studio.tell(outcome);
            }
        });
    };
    let keep_anew = move || {
        spawn_local(async move {
            match studio.later.files.get().await {
                Ok(files) => (files.keep_anew)(studio).await,
                Err(why) => studio.said.set(Some(why)),
            }
        });
    };
    let words = shows(
        move || studio.keeper.seat.get(),
        move |seat| {
            match seat {
            Seat::Here => View::new(),
            Seat::Following => div("word calm")
                .at("role", "status")
                .id("following")
                .put(p("This client is being worked on in another window. What is kept there shows here by itself; nothing can be changed here."))
                .put(
                    div("buttons").put(
                        button("button", "take-over")
                            .flag("disabled", move || busy.get())
                            .words("Go on here")
                            .click(take_over),
                    ),
                )
                .into(),
            Seat::Gone => div("word")
                .at("role", "alert")
                .id("erased-elsewhere")
                .put(p("This client was erased in another window. What you see is kept nowhere and is gone once you leave."))
                .put(
                    div("buttons")
                        .put(
                            button("button", "keep-as-file")
                                .words("Save the client's file")
                                .click(move || studio.save_client()),
                        )
                        .put(
                            button("button", "keep-anew")
                                .words("Keep this client again")
                                .click(keep_anew),
                        ),
                )
                .into(),
        }
        },
    );
    div("told").put(words).into()
}
