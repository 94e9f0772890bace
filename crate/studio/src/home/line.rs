//! A client of the list: how the artist knows her, and the way in.

use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::Doing;
use crate::device::clock;
use crate::device::store::Entry;
use crate::markup::{El, button, div, el, yes_no};

/// How much of a note stands in a line, characters.
const NOTE_SHOWN: usize = 60;

/// So long somebody is remembered by hours rather than by the day, ms.
const RECENT_MS: f64 = 48.0 * 3_600_000.0;

/// Whether two codes would be taken for one.
pub fn same_code(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

/// Her line; `among` are those she may be mistaken for, `why` is what she was
/// found by where her code doesn't show it.
pub fn line(doing: Doing, entry: &Entry, newest: bool, among: &[Entry], why: Option<String>) -> El {
    let is_open = create_signal(false);
    let key = entry.key.clone();
    let open = move || {
        let key = key.clone();
        doing.run("Opening the client", async move {
            doing.studio.open(&key).await
        });
    };
    // Whatever a code holds, it turns no direction but its own.
    let code = el("bdi").words(entry.code.clone());
    let title = if newest {
        el("strong").words("Go on with ").put(code)
    } else {
        el("strong").put(code)
    };
    let details = entry.clone();
    el("li")
        .put(
            div("client-line")
                .put(
                    button("choice", "client")
                        .put(title)
                        .put(el("small").put(el("bdi").words(stands(entry, among))))
                        .all(why.map(|why| el("small").id("found-by").put(el("bdi").words(why))))
                        .click(open),
                )
                .put(
                    button("button bare", "details")
                        .label(format!("Details of {}", entry.code))
                        .at("aria-expanded", yes_no(move || is_open.get()))
                        .words("Details")
                        .click(move || is_open.set(!is_open.get_untracked())),
                ),
        )
        .shows(
            move || is_open.get(),
            move |is_open| {
                if !is_open {
                    return View::new();
                }
                let entry = details.clone();
                let safe = doing.studio.later.safe;
                safe.show(move |views| (views.details)(doing, entry.clone()))
            },
        )
}

/// Where the work stands and since when; with her note where another has the
/// same code.
fn stands(entry: &Entry, among: &[Entry]) -> String {
    let now = clock::now_ms();
    let when = if now - entry.changed_ms < RECENT_MS {
        clock::ago(entry.changed_ms, now)
    } else {
        clock::day_in_words(entry.changed_ms)
    };
    let mut words = format!("{}, {when}", entry.stands);
    let is_twin = |e: &Entry| e.key != entry.key && same_code(&e.code, &entry.code);
    let note = entry.note.trim();
    if !note.is_empty() && among.iter().any(is_twin) {
        words.push_str(". ");
        words.extend(note.chars().take(NOTE_SHOWN));
        if note.chars().nth(NOTE_SHOWN).is_some() {
            words.push('…');
        }
    }
    words
}
