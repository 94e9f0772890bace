//! What a ruler reads on the skin: one distance at a time, held against the
//! list at once.

use std::rc::Rc;

use ophryon_frames::Side;
use ophryon_record::Edit;
use ophryon_stencil::{
    Cause, CheckedDistance, DistanceId, LikelyCause, RULER_TICK_MM, RulerCheck, RulerVerdict,
};
use sycamore::reactive::{ReadSignal, Signal, create_memo, create_signal};
use sycamore::web::View;

use super::files_out;
use crate::device::page;
use crate::face::question;
use crate::markup::{El, button, div, el, p, selector, shows};
use crate::number::{decimals, tenths};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::keypad::{Keypad, keyed};
use crate::places::Place;
use crate::shape::{not_yet, tape};
use crate::studio::Studio;
use crate::view::OnTable;
use crate::words;

/// One distance of one side.
pub type Which = (DistanceId, Side);

/// The readings held against the list; nothing while there is no shape.
pub fn check(studio: Studio) -> Option<RulerCheck> {
    let record = studio.record()?;
    studio.of_shape(|drawn| record.ruler_check(drawn))
}

/// "3 read, 1 off", for the row that leads here.
pub fn in_short(studio: Studio) -> String {
    let rows = check(studio).map(|c| c.rows).unwrap_or_default();
    let count = |verdict| rows.iter().filter(|r| r.verdict == verdict).count();
    let (off, agree) = (count(RulerVerdict::Off), count(RulerVerdict::Agrees));
    match (off, agree) {
        (0, 0) => "not read yet".to_owned(),
        (0, n) => format!("{n} read, all agree"),
        (off, n) => format!("{} read, {off} off", n + off),
    }
}

/// The one that is read now: the chosen one, else the first that wasn't read.
pub fn current(studio: Studio, check: &RulerCheck) -> Option<CheckedDistance> {
    let find = |(id, side): Which| check.rows.iter().find(|r| r.id == id && r.side == side);
    let unread = |r: &&CheckedDistance| {
        matches!(r.verdict, RulerVerdict::NotRead | RulerVerdict::Earlier)
            && !studio.view.left_out.with(|l| l.contains(&(r.id, r.side)))
    };
    let chosen = studio.view.reading.get().and_then(find);
    chosen.or_else(|| check.rows.iter().find(unread)).copied()
}

/// The readings at work.
#[derive(Clone, Copy)]
struct Readings {
    studio: Studio,
    check: ReadSignal<Option<Rc<RulerCheck>>>,
    /// What was read last.
    last: Signal<Option<Which>>,
    /// Another number is being typed.
    typing: Signal<bool>,
}

/// The panel.
pub fn ruler(studio: Studio) -> View {
    let readings = Readings {
        studio,
        check: create_memo(move || check(studio).map(Rc::new)),
        last: create_signal(None),
        typing: create_signal(false),
    };
    let current = selector(Box::new(move || {
        readings.check.get_clone().map(|c| current(studio, &c))
    }));
    parts![
        button("button bare start", "to-sheets")
            .put(icon(Drawing::Left))
            .put(el("span").words("Back to the sheets"))
            .click(move || studio.view.lay_out(OnTable::Sheets)),
        shows(
            move || current.get(),
            move |row| match row {
                None => not_yet(studio, Place::Paper),
                Some(None) => readings.all_read(),
                Some(Some(row)) => readings.one(row),
            }
        ),
    ]
}

impl Readings {
    fn choose(self, which: Option<Which>) {
        self.typing.set(false);
        self.studio.view.reading.set(which);
    }

    /// One distance: what it should be, and nine readings around that to tap.
    fn one(self, row: CheckedDistance) -> View {
        let count = self
            .check
            .with_untracked(|c| c.as_ref().map_or(0, |c| c.rows.len()));
        let at = self.check.with_untracked(|c| {
            c.as_ref().and_then(|c| {
                let mut rows = c.rows.iter();
                rows.position(|r| (r.id, r.side) == (row.id, row.side))
            })
        });
        let step = format!(
            "{}, {} of {count}",
            words::side_title(row.side),
            at.unwrap_or(0) + 1
        );
        let leave = move || {
            self.studio
                .view
                .left_out
                .update(|l| l.insert((row.id, row.side)));
            self.choose(None);
        };
        let mut buttons = div("buttons");
        if row.read_mm.is_some() {
            buttons = buttons
                .put(
                    button("button", "reading-remove")
                        .words("Take it away")
                        .click(move || self.set(row, None)),
                )
                .put(
                    button("button", "reading-stays")
                        .words("It stays")
                        .click(move || self.choose(None)),
                );
        } else {
            buttons = buttons.put(
                button("button", "reading-leave")
                    .words("Leave it out")
                    .click(leave),
            );
        }
        let buttons = buttons.put(
            button("button", "reading-type")
                .pressed(move || self.typing.get())
                .words("Another reading")
                .click(move || self.typing.set(!self.typing.get_untracked())),
        );
        keyed(
            parts![
                question(step, words::asked(row.id), row.kind.how()),
                p(format!(
                    "Should be {} \u{b1} {} mm",
                    tenths(row.expected_mm),
                    tenths(row.tolerance_mm)
                ))
                .class("should")
                .id("should"),
            ],
            shows(
                move || self.typing.get(),
                move |typing| {
                    if typing {
                        self.keypad(row)
                    } else {
                        self.around(row).into()
                    }
                },
            ),
            parts![
                buttons,
                self.last_read(),
                self.causes(|c| c.cause != Cause::OneReading),
                self.rest()
            ],
        )
    }

    /// Nine marks of the ruler around what it should read.
    fn around(self, row: CheckedDistance) -> El {
        let marks = marks_around(row.expected_mm);
        let key = |mm: f64| {
            let is_expected = (mm - row.expected_mm).abs() <= row.tolerance_mm + 1e-9;
            let class = if is_expected {
                "button within"
            } else {
                "button"
            };
            let mark = button(class, format!("reads-{mm:.1}"))
                .pressed(move || row.read_mm == Some(mm))
                .words(tenths(mm))
                .click(move || self.set(row, Some(mm)));
            if mm == marks[4] {
                // A keyboard begins here, and goes on with the next one.
                mark.raw(page::focus)
            } else {
                mark
            }
        };
        div("around")
            .at("role", "group")
            .label("The ruler reads, mm")
            .id("around")
            .all(marks.map(key))
    }

    fn keypad(self, row: CheckedDistance) -> View {
        let keypad = Keypad {
            label: "The ruler reads, mm",
            id: "reading",
            take: "Use it",
            before: row.read_mm,
        };
        keypad.view(move |mm| self.set(row, Some(mm)))
    }

    fn set(self, row: CheckedDistance, read_mm: Option<f64>) {
        let edit = Edit::SetReading {
            side: row.side,
            distance: row.id,
            read_mm,
        };
        if self.studio.apply(&edit) && self.last.is_alive() {
            self.last.set(read_mm.map(|_| (row.id, row.side)));
            self.choose(None);
        }
    }

    /// How the last reading stands, with the way back to it.
    fn last_read(self) -> View {
        let last = move || {
            let (id, side) = self.last.get()?;
            let check = self.check.get_clone()?;
            let row = check.rows.iter().find(|r| r.id == id && r.side == side)?;
            Some(*row).filter(|row| row.read_mm.is_some())
        };
        div("last-read")
            .at("aria-live", "polite")
            .shows(last, move |row| match row {
                None => View::new(),
                Some(row) => {
                    let is_off = row.verdict == RulerVerdict::Off;
                    div(if is_off {
                        "word beside"
                    } else {
                        "word beside calm"
                    })
                    .id("last-reading")
                    .put(p(compared(&row)))
                    .put(
                        button("button", "reading-again")
                            .label("Read it again")
                            .words("Again")
                            .click(move || self.choose(Some((row.id, row.side)))),
                    )
                    .into()
                }
            })
            .into()
    }

    /// What the ones that are off are likely to come from, with the way there.
    /// While more is read, one alone was said already where it was read.
    fn causes(self, which: fn(&LikelyCause) -> bool) -> View {
        let causes = move || {
            let mut causes = self.check.get_clone()?.causes.clone();
            causes.retain(which);
            Some(causes)
        };
        div("causes")
            .at("aria-live", "polite")
            .shows(causes, move |causes| {
                let causes = causes.unwrap_or_default().into_iter();
                View::from(causes.map(|c| self.cause(&c).into()).collect::<Vec<_>>())
            })
            .into()
    }

    fn cause(self, found: &LikelyCause) -> El {
        let studio = self.studio;
        let way = |id: &'static str, words: &'static str| button("button", id).words(words);
        let to_tape = || way("cause-tape", "Look at the tape").click(move || tape::ask(studio));
        let again = || {
            way("cause-again", "Lay the sheet and read again").click(move || {
                studio.apply(&Edit::ClearReadings);
                self.last.set(None);
                self.choose(None);
            })
        };
        let buttons = div("buttons");
        let buttons = match found.cause {
            Cause::TapeLength => buttons.put(to_tape()),
            Cause::Scale => buttons
                .put(
                    way("cause-printer", "Check the printer")
                        .click(move || studio.view.lay_out(OnTable::Printer)),
                )
                .put(way("cause-scale", "Look at the scale").click(move || {
                    studio.view.way.update(|w| {
                        w.other_scale = Some(crate::ask::OtherScale::Instead(0));
                    });
                    studio.view.go(Place::Face);
                })),
            Cause::OneReading => {
                let side = found.side;
                let off = self.check.get_clone_untracked().and_then(|c| {
                    let mut rows = c.rows.iter();
                    let is_it = |r: &&CheckedDistance| {
                        r.verdict == RulerVerdict::Off && side.is_none_or(|s| s == r.side)
                    };
                    rows.find(is_it).map(|r| (r.id, r.side))
                });
                buttons.put(way("cause-one", "Read it again").click(move || self.choose(off)))
            }
            Cause::SheetTurned | Cause::SheetShifted | Cause::SidesExchanged => {
                buttons.put(again())
            }
        };
        div("word")
            .id("cause")
            .put(p(words::sentence(&found.sentence)))
            .put(buttons)
    }

    /// All of it in a sentence, and what is rarely needed.
    fn rest(self) -> View {
        let studio = self.studio;
        let sentence = move || {
            let check = self.check.get_clone();
            check.map(|c| c.sentence.clone()).unwrap_or_default()
        };
        let none = selector(Box::new(move || {
            studio
                .record()
                .is_none_or(|r| r.ruler.iter().all(|(_, all)| all.is_empty()))
        }));
        parts![
            el("p").class("quiet").id("ruler-sentence").says(sentence),
            div("buttons")
                .put(
                    button("button", "print-list")
                        .words("Print the list")
                        .click(move || files_out::print_list(studio)),
                )
                .put(
                    button("button", "readings-clear")
                        .flag("disabled", move || none.get())
                        .words("Clear all readings")
                        .click(move || {
                            studio.apply(&Edit::ClearReadings);
                            studio.view.left_out.update(|l| l.clear());
                            self.last.set(None);
                            self.choose(None);
                        }),
                ),
        ]
    }

    fn all_read(self) -> View {
        parts![
            question(
                "Ruler",
                "Nothing more to read.",
                "Tap a box on the list to read it again.",
            ),
            self.last_read(),
            self.causes(|_| true),
            self.rest(),
        ]
    }
}

/// The nine marks of a ruler nearest to a length.
fn marks_around(expected_mm: f64) -> [f64; 9] {
    let middle = (expected_mm / RULER_TICK_MM).round();
    [-4.0, -3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 4.0].map(|n| (middle + n) * RULER_TICK_MM)
}

/// "Client's right, tail: 59.0 mm, 2.0 mm too much."
pub fn compared(row: &CheckedDistance) -> String {
    let what = format!("{}, {}", words::side_title(row.side), row.id.words());
    let Some(read_mm) = row.read_mm else {
        return format!("{what}: not read.");
    };
    let how = match (row.verdict, row.off_mm) {
        (RulerVerdict::Agrees, _) => "agrees".to_owned(),
        (RulerVerdict::Off, Some(off)) => {
            let too = if off > 0.0 { "too much" } else { "too little" };
            format!("{} mm {too}", decimals(off.abs(), 1))
        }
        _ => "read on an earlier shape; read it again".to_owned(),
    };
    format!("{what}: {} mm, {how}.", tenths(read_mm))
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_stencil::DistanceKind;

    #[test]
    fn the_marks_are_those_of_a_ruler_with_the_expected_one_amid() {
        let marks = marks_around(57.13);
        assert_eq!(marks[4], 57.0);
        assert_eq!((marks[0], marks[8]), (55.0, 59.0));
        assert_eq!(marks_around(57.26)[4], 57.5);
    }

    #[test]
    fn a_reading_is_said_with_how_far_it_is_off() {
        let row = CheckedDistance {
            id: DistanceId::Tail,
            side: Side::Right,
            kind: DistanceKind::FromMidline,
            name: "tail",
            expected_mm: 57.0,
            tolerance_mm: 0.5,
            read_mm: Some(59.0),
            off_mm: Some(2.0),
            verdict: RulerVerdict::Off,
        };
        assert_eq!(
            compared(&row),
            "Client's right, the distance from the midline to the tail: 59.0 mm, 2.0 mm too much."
        );
        let short = CheckedDistance {
            read_mm: Some(56.0),
            off_mm: Some(-1.0),
            ..row
        };
        assert!(compared(&short).ends_with("1.0 mm too little."));
    }
}
