//! How long the brow is over the skin: a tape length joins the flat photo and
//! the curved brow. A question of its own, and a section that leads back to it.

use ophryon_frames::Side;
use ophryon_record::{Edit, PhotoState, TapeCheck, TapeLine, TapeVerdict, WrapChoice};
use sycamore::web::View;

use super::section;
use crate::ask::TapeWay;
use crate::face::question;
use crate::markup::{El, button, div, el, glance, selector, shows};
use crate::number::tenths;
use crate::parts;
use crate::parts::keypad::{Keypad, keyed};
use crate::parts::line::{Stands, line};
use crate::places::Place;
use crate::studio::Studio;
use crate::words;

/// Asks for a tape, wherever the artist is.
pub fn ask(studio: Studio) {
    let wrap = glance(|| studio.record())
        .map(|r| r.wrap)
        .unwrap_or_default();
    let way = match wrap {
        WrapChoice::Tape(_) => TapeWay::List,
        _ => TapeWay::At(Side::Right, TapeLine::StartToTail),
    };
    studio.view.look_at_photo(PhotoState::Relaxed);
    studio.view.way.update(|w| w.tape = way);
    studio.view.go(Place::Face);
}

fn go(studio: Studio, way: TapeWay) {
    studio.said.set(None);
    studio.view.way.update(|w| w.tape = way);
}

/// What going on without a tape may cost, as the sheet says it.
fn without(studio: Studio) -> String {
    let off = studio.of_shape(|drawn| drawn.length_uncertainty_mm());
    let off = off.flatten().map_or_else(
        || "2 mm off, on some heads 6".to_owned(),
        |mm| format!("{} mm off", tenths(mm)),
    );
    format!(
        "Without it the curve is that of a usual head, and lengths along the brow may be {off}. The sheet says so."
    )
}

/// What the tape along a line of a side read.
fn read(studio: Studio, side: Side, line: TapeLine) -> Option<f64> {
    let record = studio.record()?;
    record.wrap.tapes().get(side).get(line)
}

/// One tape: where it is laid, and what it reads.
pub fn one_tape(studio: Studio, side: Side, line: TapeLine) -> View {
    let before = glance(|| read(studio, side, line));
    let any = glance(|| studio.record()).is_some_and(|r| matches!(r.wrap, WrapChoice::Tape(_)));
    let take = move |length_mm: f64| {
        let edit = Edit::SetTape {
            side,
            line,
            length_mm: Some(length_mm),
        };
        if studio.apply(&edit) {
            studio.view.way.update(|w| w.tape = TapeWay::List);
        }
    };
    let side_button = |s: Side| {
        button("button", format!("tape-side-{}", s.name()))
            .pressed(move || side == s)
            .words(words::side_title(s))
            .click(move || go(studio, TapeWay::At(s, line)))
    };
    let keypad = Keypad {
        label: "Tape reads, mm",
        id: "tape-length",
        take: "Use it",
        before,
    };
    let (text, hint) = match line {
        TapeLine::StartToTail => (
            "How long is it over the skin, start to tail?",
            "Draw a soft tape tight over the skin, straight to the end of the natural tail. Don't follow the arch.",
        ),
        TapeLine::MidlineToTail => (
            "How long is it over the skin, midline to tail?",
            "Draw a soft tape tight over the skin, from the midline level with the start, straight to the end of the natural tail.",
        ),
    };
    let mut buttons = div("buttons").put(button("button", "back").words("Back").click(move || {
        studio.said.set(None);
        if any {
            go(studio, TapeWay::List);
        } else {
            studio.previous_landmark();
        }
    }));
    if before.is_some() {
        buttons = buttons.put(
            button("button", "tape-remove")
                .words("Take this tape away")
                .click(move || {
                    let edit = Edit::SetTape {
                        side,
                        line,
                        length_mm: None,
                    };
                    if studio.apply(&edit) {
                        go(studio, TapeWay::List);
                    }
                }),
        );
    }
    let mut skip = div("skip");
    if !any {
        buttons = buttons.put(button("button", "tape-skip").words("Skip for now").click(
            move || {
                go(studio, TapeWay::Skipped);
            },
        ));
        skip = skip.put(
            el("p")
                .class("quiet")
                .id("without-tape")
                .says(move || without(studio)),
        );
    }
    keyed(
        parts![
            question("Tape", text, hint),
            div("sides")
                .at("role", "group")
                .label("Side the tape is laid on")
                .all(Side::BOTH.map(side_button)),
        ],
        keypad.view(take),
        parts![buttons, skip],
    )
}

/// The tapes that were laid, whether they agree, and on to the shape.
pub fn tapes(studio: Studio) -> View {
    let wrap = selector(Box::new(move || {
        studio.record().map(|r| r.wrap).unwrap_or_default()
    }));
    let is_taped = move || matches!(wrap.get(), WrapChoice::Tape(_));
    let row = move |line: TapeLine, side: Side| {
        let from_to = line.words().trim_start_matches("from ");
        let name = format!("{}, {from_to}", words::side_title(side));
        button("onward", format!("tape-{}-{}", side.name(), line_id(line)))
            .put(el("span").words(name))
            .put(el("span").class("beside").says(move || {
                match wrap.get().tapes().get(side).get(line) {
                    Some(mm) => format!("{} mm", tenths(mm)),
                    None => "not laid".to_owned(),
                }
            }))
            .click(move || go(studio, TapeWay::At(side, line)))
    };
    parts![
        shows(is_taped, move |is_taped| if is_taped {
            question(
                "Tape",
                "The curve of the skin is measured.",
                "A second tape, on the other side or from the midline, shows whether the first was right.",
            )
        } else {
            question(
                "Tape",
                "The curve of the skin is an estimate.",
                glance(|| without(studio)),
            )
        }),
        checks(studio),
        button("button main wide", "to-shape")
            .words("Go to the shape")
            .click(move || {
                let way = if glance(is_taped) {
                    TapeWay::Usual
                } else {
                    TapeWay::Skipped
                };
                go(studio, way);
                studio.view.go(Place::Shape);
            }),
        div("rows")
            .all(Side::BOTH.map(|side| row(TapeLine::StartToTail, side)))
            .all(Side::BOTH.map(|side| row(TapeLine::MidlineToTail, side))),
        button("button", "tape-done")
            .words("Back to the face")
            .click(move || go(studio, TapeWay::Skipped)),
    ]
}

const fn line_id(line: TapeLine) -> &'static str {
    match line {
        TapeLine::StartToTail => "start",
        TapeLine::MidlineToTail => "midline",
    }
}

/// What the tapes say of each other.
fn checks(studio: Studio) -> El {
    let checks = move || {
        let curve = studio.record().and_then(|r| r.curve().ok());
        curve.map(|c| c.checks).unwrap_or_default()
    };
    let says = |check: TapeCheck| {
        let (stands, in_words) = match check.verdict {
            TapeVerdict::Agree => (Stands::Well, "agrees"),
            TapeVerdict::FacesDiffer => (Stands::Told, "for information"),
            TapeVerdict::MeasureAgain => (Stands::Off, "needs a look"),
        };
        line(stands, in_words, words::sentence(&check.sentence))
    };
    el("ul")
        .class("says")
        .at("aria-live", "polite")
        .id("tape-checks")
        .shows(checks, move |checks| {
            View::from(
                checks
                    .into_iter()
                    .map(|c| says(c).into())
                    .collect::<Vec<_>>(),
            )
        })
}

/// The section of the shape: what the curve rests on, and the way back to the
/// tape.
pub fn over_the_skin(studio: Studio) -> El {
    let wrap = selector(Box::new(move || {
        studio.record().map(|r| r.wrap).unwrap_or_default()
    }));
    let in_short = move || match wrap.get() {
        WrapChoice::Estimate => "an estimate".to_owned(),
        WrapChoice::Tape(tapes) => {
            let all = tapes.iter().flat_map(|(_, t)| t.iter());
            let all: Vec<_> = all.map(|(_, mm)| tenths(mm)).collect();
            format!("{} mm by tape", all.join(", "))
        }
        WrapChoice::Cylinder { .. } => "chosen".to_owned(),
        WrapChoice::Flat => "left out".to_owned(),
    };
    let inside = div("inside")
        .put(el("p").id("wrap-words").says(move || wrap.get().words()))
        .put(checks(studio))
        .put(
            button("button", "to-tape")
                .says(move || {
                    if matches!(wrap.get(), WrapChoice::Tape(_)) {
                        "Look at the tape again".to_owned()
                    } else {
                        "Enter a tape length".to_owned()
                    }
                })
                .click(move || ask(studio)),
        );
    section("over-the-skin", "Over the skin", in_short, inside)
}
