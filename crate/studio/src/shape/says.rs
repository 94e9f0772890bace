//! What the constraints say, in words with their numbers; what is off comes
//! first, with one touch to mend it and one to see it on the face.

use ophryon_brow::{Mend, Reading, Verdict};
use ophryon_frames::Side;
use ophryon_record::{Edit, apply};
use sycamore::reactive::{create_signal, on_cleanup};
use sycamore::web::View;

use super::section;
use crate::face::question;
use crate::markup::{El, button, div, el, glance, shows};
use crate::parts::line::{Stands, line};
use crate::studio::Studio;
use crate::words;

/// A reading, of one side or of both alike.
pub type Said = (Option<Side>, Reading);

/// The sentence of the place.
pub fn headline(studio: Studio) -> View {
    shows(
        move || off(studio).len(),
        |off| match off {
            0 => question(
                "Shape",
                "Both brows hold to the rules.",
                "Change what you like; the words here follow.",
            ),
            1 => question("Shape", "One thing wants a look.", ""),
            _ => question("Shape", "A few things want a look.", ""),
        },
    )
}

/// What fails: once where both sides say the same, else per side.
pub fn off(studio: Studio) -> Vec<Said> {
    let mut all = grouped(studio);
    all.retain(|(_, r)| r.verdict == Verdict::Fails);
    all
}

/// Every reading; a pair of readings that say the same stands once.
fn grouped(studio: Studio) -> Vec<Said> {
    let read = |drawn: &ophryon_record::Drawn| {
        let (right, left) = (&drawn.readings.right, &drawn.readings.left);
        let linked = drawn.pair.is_linked();
        let mut all = Vec::new();
        for (r, l) in right.iter().zip(left) {
            if linked && r.sentence == l.sentence && r.verdict == l.verdict {
                all.push((None, r.clone()));
            } else {
                all.push((Some(Side::Right), r.clone()));
                all.push((Some(Side::Left), l.clone()));
            }
        }
        all
    };
    studio.of_shape(read).unwrap_or_default()
}

fn list(studio: Studio, said: Vec<Said>) -> View {
    let lines = said.into_iter().map(|said| says(studio, said).into());
    View::from(lines.collect::<Vec<_>>())
}

/// What is off.
pub fn failing(studio: Studio) -> El {
    el("ul")
        .class("says")
        .at("aria-live", "polite")
        .id("failing")
        .shows(move || off(studio), move |said| list(studio, said))
}

/// Every constraint.
pub fn all(studio: Studio) -> El {
    let count = move || match off(studio).len() {
        0 => "all hold".to_owned(),
        n => format!("{n} off"),
    };
    let inside = el("ul")
        .class("says")
        .shows(move || grouped(studio), move |said| list(studio, said));
    section("constraints", "What the rules say", count, inside)
}

/// Its sentence.
pub fn sentence((side, reading): &Said) -> String {
    words::sentence(&match side {
        Some(side) => format!("{}: {}", words::side_title(*side), reading.sentence),
        None => reading.sentence.clone(),
    })
}

fn says(studio: Studio, said: Said) -> El {
    let text = sentence(&said);
    let (side, reading) = said;
    let (stands, in_words) = match reading.verdict {
        Verdict::Holds => (Stands::Well, "holds"),
        Verdict::Fails => (Stands::Off, "off"),
        Verdict::Shown => (Stands::Told, "for information"),
    };
    let line = line(stands, in_words, text);
    match reading.mend {
        Some(mend) => line.put(mend_it(studio, side.unwrap_or(Side::Right), &mend)),
        None => line,
    }
}

/// One touch to mend it, one to see it first.
fn mend_it(studio: Studio, side: Side, mend: &Mend) -> El {
    let edit = Edit::SetPoints {
        side,
        points: mend.points,
    };
    let ghost = studio.view.ghost;
    let shown = create_signal(false);
    let see = {
        let edit = edit.clone();
        move || {
            let path = if shown.get_untracked() {
                None
            } else {
                mended(studio, &edit, side)
            };
            shown.set(path.is_some());
            ghost.set(path);
        }
    };
    on_cleanup(move || ghost.set(None));
    div("buttons")
        .put(
            button("button", "mend")
                .words(words::title(&mend.sentence))
                .click(move || {
                    studio.apply(&edit);
                }),
        )
        .put(
            button("button", "see-mend")
                .pressed(move || shown.get())
                .words("See it on the face")
                .click(see),
        )
}

/// The outline after the mend, as path data in the photo's px.
fn mended(studio: Studio, edit: &Edit, side: Side) -> Option<String> {
    let record = glance(|| studio.record())?;
    let mended = apply(&record, edit).ok()?;
    Some(mended.drawn().ok()?.photo_path(side))
}
