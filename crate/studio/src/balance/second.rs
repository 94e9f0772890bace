//! The second photo: bringing it, and what is missing in it.

use ophryon_record::{BalanceAsk, PhotoState};
use sycamore::reactive::create_signal;
use sycamore::web::View;

use crate::ask::photo_in;
use crate::exchange::Shows;
use crate::face::{eyes_wide, question};
use crate::markup::{button, div, p};
use crate::parts;
use crate::places::Place;
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;
use crate::words;

/// What is missing, and the way to it.
pub fn ask(studio: Studio, ask: &BalanceAsk) -> View {
    match ask {
        BalanceAsk::Tap { state, .. } => taps(studio, *state),
        BalanceAsk::Mend { photo, sentence } => mend(studio, photo, sentence),
        BalanceAsk::Photo { .. } | BalanceAsk::Scale { .. } => bring(studio),
    }
}

fn bring(studio: Studio) -> View {
    let busy = create_signal(false);
    parts![
        question(
            "Balance",
            "Is the difference set in the face, or movement?",
            "A second photo tells: the same face with eyes wide open. What stays is set; what comes and goes is muscle, and evening it out would leave the client uneven at rest.",
        ),
        eyes_wide(),
        bring_buttons(
            studio,
            busy,
            "Choose the second photo",
            "second-photo-file",
            true,
            Shows::State(PhotoState::EyesOpen),
        ),
        button("button wide", "alone")
            .words("Go on with the one at rest alone")
            .click(move || studio.view.balance.alone.set(true)),
    ]
}

fn to_photo(studio: Studio, state: PhotoState) {
    studio.view.look_at_photo(state);
    studio.view.go(Place::Face);
}

fn taps(studio: Studio, state: PhotoState) -> View {
    let missing = studio.settled().map_or(0, |record| {
        let asks = record.balance_asks();
        let asks = asks.iter().filter(|a| a.is_needed());
        asks.filter(|a| matches!(a, BalanceAsk::Tap { .. })).count()
    });
    let points = match missing {
        1 => "One point is".to_owned(),
        n => format!("{n} points are"),
    };
    parts![
        question(
            "Balance",
            format!("{points} still to be tapped."),
            format!(
                "In the photo {}: eye corners, nose and the brows. No scale.",
                words::state(state)
            ),
        ),
        button("button main wide", "tap-second")
            .words("Tap them")
            .click(move || to_photo(studio, state)),
    ]
}

fn mend(studio: Studio, photo: &str, sentence: &str) -> View {
    let state = studio
        .settled()
        .and_then(|r| r.photo(photo).map(|p| p.state))
        .unwrap_or_default();
    parts![
        question("Balance", "Something doesn't fit yet.", ""),
        div("word")
            .id("amiss")
            .put(p(without_ids(studio, sentence)))
            .put(
                div("buttons").put(
                    button("button", "mend-second")
                        .words("Look at that photo")
                        .click(move || to_photo(studio, state)),
                ),
            ),
    ]
}

/// The artist looks at the photos; their ids are the file's.
pub fn without_ids(studio: Studio, sentence: &str) -> String {
    let mut said = sentence.to_owned();
    let Some(record) = studio.settled() else {
        return said;
    };
    for state in [
        PhotoState::Relaxed,
        PhotoState::EyesOpen,
        PhotoState::Raised,
    ] {
        if let Some(photo) = photo_in(&record, state) {
            let id = format!("photo “{}”", photo.id);
            said = said.replace(&id, &format!("photo {}", words::state(state)));
        }
    }
    said
}
