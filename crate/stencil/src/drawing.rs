//! The stencil sheet's composition: head, drawing, gauges and notes.

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Side, Sided, Skin};

use crate::gauge::{self, Lie};
use crate::heading::{self, HEAD_END_MM, RULE};
use crate::lettering::{clean, lines};
use crate::page::MARGIN_MM;
use crate::sheet::{Align, Group, Letters, Mark, Stroke};
use crate::{Agreement, Facing, Paper, Placing, Sheet, SheetContent, SheetError, caption};

/// The outline itself. Thin enough to cut along, thick enough for a transfer
/// machine to copy (common practice, no source), and the heaviest line of the
/// drawing.
const CUT: Stroke = Stroke {
    width_mm: 0.25,
    dashes: &[],
};

/// Centre lines are long-dashed and dotted in technical drawings (ISO 128,
/// line type 04.1, from memory).
const CENTRE: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[6.0, 1.0, 0.5, 1.0],
};

/// Marks along the lines to line up with.
const TICK: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[],
};

/// How far the level line runs on beyond the farther tail, and the midline
/// above and below everything drawn, mm.
const BEYOND_MM: f64 = 8.0;

/// From one mark to the next along midline and level line, mm.
const MARK_EVERY_MM: f64 = 10.0;

/// Height of the part below the drawing: gauges and notes, mm.
const FOOT_MM: f64 = gauge::GAUGE_MM;

/// White between head, drawing and foot, mm.
const GAP_MM: f64 = 5.0;

/// Room for the side names above the drawing, mm.
const NAMES_MM: f64 = 10.0;

/// The part of the skin that is drawn, mm: all of both brows and the pupil
/// line.
struct Extent {
    reach: f64,
    top: f64,
    bottom: f64,
}

pub(crate) fn stencil(content: &SheetContent) -> Result<Sheet, SheetError> {
    let extent = extent(&content.outlines)?;
    let placing = placing(&extent, content.options.paper, content.options.facing)?;
    let mut caption = Group::new("caption");
    let mut ruling = Group::new("ruling");
    let heading = match content.options.facing {
        Facing::FaceUp => "Brow stencil, true size",
        Facing::FaceDown => "Brow stencil, face down",
    };
    heading::write(
        heading,
        &content.caption,
        content.options.paper,
        &mut caption,
        &mut ruling,
    );
    let lining_up = lining_up(&extent, &placing);
    name_lines(content, &extent, &placing, &mut caption);
    foot(content, &mut caption, &mut ruling);
    Ok(Sheet {
        id: "sheet",
        title: title("Brow stencil", &content.caption),
        paper: content.options.paper,
        placing: Some(placing),
        groups: vec![ruling, lining_up, brows(content, &placing), caption],
    })
}

/// "Brow stencil, client K. M., version 3".
pub(crate) fn title(what: &str, about: &crate::Caption) -> String {
    let mut title = what.to_owned();
    for (name, value) in [("client", &about.code), ("version", &about.version)] {
        let value = clean(value);
        if !value.is_empty() {
            title = format!("{title}, {name} {value}");
        }
    }
    title
}

fn extent(outlines: &Sided<Outline<Skin>>) -> Result<Extent, SheetError> {
    let mut extent = Extent {
        reach: 0.0,
        top: 0.0,
        bottom: 0.0,
    };
    for (side, outline) in outlines.iter() {
        let mut places = outline.segments().iter().flat_map(|s| s.controls);
        if outline.segments().is_empty() || !places.all(Point::is_finite) {
            return Err(SheetError::NoOutline { side });
        }
        let (low, high) = outline.bounds();
        extent.reach = extent.reach.max(low.x.abs()).max(high.x.abs());
        extent.top = extent.top.max(high.y);
        extent.bottom = extent.bottom.min(low.y);
    }
    extent.reach += BEYOND_MM;
    extent.top += BEYOND_MM;
    extent.bottom -= BEYOND_MM;
    Ok(extent)
}

/// Midline in the middle of the page, the drawing halfway between head and
/// foot.
fn placing(extent: &Extent, paper: Paper, facing: Facing) -> Result<Placing, SheetError> {
    let across = |paper: Paper| paper.width_mm() - 2.0 * MARGIN_MM;
    let area_top = HEAD_END_MM + GAP_MM + NAMES_MM;
    let foot_top = |paper: Paper| paper.height_mm() - MARGIN_MM - FOOT_MM;
    let upright = |paper: Paper| foot_top(paper) - GAP_MM - area_top;
    let other = match paper {
        Paper::A4 => Paper::Letter,
        _ => Paper::A4,
    };
    let (wide_mm, high_mm) = (2.0 * extent.reach, extent.top - extent.bottom);
    if wide_mm > across(paper) {
        return Err(SheetError::TooWide {
            needed_mm: wide_mm,
            room_mm: across(paper),
            other_room_mm: across(other),
            paper,
        });
    }
    if high_mm > upright(paper) {
        return Err(SheetError::TooHigh {
            needed_mm: high_mm,
            room_mm: upright(paper),
            other_room_mm: upright(other),
            paper,
        });
    }
    let above = (upright(paper) - high_mm) / 2.0;
    Ok(Placing {
        origin: Point::new(paper.width_mm() / 2.0, area_top + above + extent.top),
        facing,
    })
}

/// Both outlines, exactly as they lie on the skin.
fn brows(content: &SheetContent, placing: &Placing) -> Group {
    let mut brows = Group::new("brows");
    for (side, outline) in content.outlines.iter() {
        let id = match side {
            Side::Right => "brow-right",
            Side::Left => "brow-left",
        };
        let segments = outline.segments();
        let Some(first) = segments.first() else {
            continue; // refused before: see `extent`
        };
        let mark = Mark::Outline {
            start: placing.to_page(first.controls[0]),
            cubics: segments
                .iter()
                .map(|s| {
                    let [_, b, c, d] = s.controls.map(|p| placing.to_page(p));
                    [b, c, d]
                })
                .collect(),
            stroke: CUT,
        };
        brows.draw_as(id, mark);
    }
    brows
}

/// Midline and level line with a mark every 10 mm.
fn lining_up(extent: &Extent, placing: &Placing) -> Group {
    let page = |s: f64, h: f64| placing.to_page(Point::new(s, h));
    let mut group = Group::new("lining-up");
    let level = vec![[page(-extent.reach, 0.0), page(extent.reach, 0.0)]];
    let midline = vec![[page(0.0, extent.top), page(0.0, extent.bottom)]];
    group.draw_as(
        "level",
        Mark::Lines {
            lines: level,
            stroke: CENTRE,
        },
    );
    group.draw_as(
        "midline",
        Mark::Lines {
            lines: midline,
            stroke: CENTRE,
        },
    );
    let mut ticks = vec![];
    for s in marks(-extent.reach, extent.reach) {
        ticks.push([page(s, 0.8), page(s, -0.8)]);
    }
    for h in marks(extent.bottom, extent.top) {
        ticks.push([page(-0.8, h), page(0.8, h)]);
    }
    // The ends, plain to see when the sheet is cut to a strip.
    for s in [-extent.reach, extent.reach] {
        ticks.push([page(s, 2.5), page(s, -2.5)]);
    }
    for h in [extent.bottom, extent.top] {
        ticks.push([page(-2.5, h), page(2.5, h)]);
    }
    group.draw(Mark::Lines {
        lines: ticks,
        stroke: TICK,
    });
    group
}

/// Whole tens strictly inside a stretch, without 0.
fn marks(from: f64, to: f64) -> impl Iterator<Item = f64> {
    let mut place = (from / MARK_EVERY_MM).floor() * MARK_EVERY_MM;
    std::iter::from_fn(move || {
        place += MARK_EVERY_MM;
        (place < to - 2.0).then_some(place)
    })
    .filter(move |place| *place != 0.0 && *place > from + 2.0)
}

/// Names beside what is drawn. Places are mirrored with the drawing, words
/// are not.
fn name_lines(content: &SheetContent, extent: &Extent, placing: &Placing, caption: &mut Group) {
    let page = |s: f64, h: f64| placing.to_page(Point::new(s, h));
    let number = Letters::plain(2.3).quiet();
    for s in marks(-extent.reach, extent.reach) {
        let below = page(s, -3.6);
        caption.write(
            below,
            number.aligned(Align::Middle),
            format!("{:.0}", s.abs()),
        );
    }
    for h in marks(extent.bottom, extent.top) {
        let place = page(0.0, h);
        let beside = Point::new(place.x + 1.6, place.y + 0.8);
        caption.write(beside, number, format!("{h:.0}"));
    }
    let right_edge = placing.origin.x + extent.reach;
    let left_edge = placing.origin.x - extent.reach;
    let level_y = placing.origin.y;
    let small = Letters::plain(2.6);
    caption.write(
        Point::new(left_edge, level_y + 7.6),
        small,
        "level line: the pupil line",
    );
    caption.write(
        Point::new(right_edge, level_y + 7.6),
        small.aligned(Align::End),
        "numbers: mm over the skin",
    );
    let top = page(0.0, extent.top);
    caption.write(
        Point::new(top.x, top.y - 1.6),
        small.aligned(Align::Middle),
        "midline",
    );
    let warnings = content.caption.warnings();
    for (side, words) in [
        (Side::Right, "client's right"),
        (Side::Left, "client's left"),
    ] {
        let on_the_left = page(side.sign(), 0.0).x < placing.origin.x;
        let (x, align) = if on_the_left {
            (left_edge, Align::Start)
        } else {
            (right_edge, Align::End)
        };
        let name = Letters::plain(3.6).bold().aligned(align);
        caption.write(Point::new(x, top.y - 1.6), name, words);
        let mark = Letters::plain(2.6).aligned(align);
        caption.write(Point::new(x, top.y + 2.2), mark, warnings.as_str());
    }
}

/// Gauges, and the notes between them.
fn foot(content: &SheetContent, caption: &mut Group, ruling: &mut Group) {
    let paper = content.options.paper;
    let (left, right) = (MARGIN_MM, paper.width_mm() - MARGIN_MM);
    let end = paper.height_mm() - MARGIN_MM;
    let top = end - FOOT_MM;
    let notes_left = left + gauge::BREADTH_MM + 16.0;
    let down = Point::<Page>::new(left, top);
    let across = Point::<Page>::new(notes_left, end - gauge::BREADTH_MM);
    ruling.draw_as("gauge", gauge::bar(across, Lie::Across));
    ruling.draw_as("gauge-upright", gauge::bar(down, Lie::Down));
    gauge::number(across, Lie::Across, caption);
    gauge::number(down, Lie::Down, caption);

    let gutter = 8.0;
    let column_mm = (right - notes_left - gutter) / 2.0;
    let about = &content.caption;
    let (facing, facing_counts) = match content.options.facing {
        Facing::FaceUp => (
            "FACE UP: the drawing is as you look at the client. Lay the blank side on the skin.",
            false,
        ),
        Facing::FaceDown => (
            "FACE DOWN: the drawing is mirrored as a whole, for transfer. Lay the printed side on \
             the skin.",
            true,
        ),
    };
    let wrap = about.wrap_sentence();
    let agreement = about.agreement_sentence();
    let columns: [(&str, [(&str, bool); 4]); 2] = [
        (
            "Before use",
            [
                (
                    "Print at 100 %, never fitted to the page. Lay a ruler on both gauges: each \
                     must read 100 mm. If one does not, do not use this sheet.",
                    true,
                ),
                (facing, facing_counts),
                (
                    "Lay the midline on the client's midline and the level line on the line \
                     through both pupils.",
                    false,
                ),
                (
                    "The middle of the thin line is the outline of the brow: cut or trace along \
                     it.",
                    false,
                ),
            ],
        ),
        (
            "What it rests on",
            [
                (&wrap, !about.is_wrap_measured()),
                (&agreement, about.agreed == Agreement::NotAgreed),
                (
                    "Check on skin with a ruler: a reading within 0.5 mm of the distance list \
                     agrees.",
                    false,
                ),
                (caption::CAUTIONS, false),
            ],
        ),
    ];
    for (index, (head, notes)) in (0u8..).zip(columns) {
        let x = notes_left + f64::from(index) * (column_mm + gutter);
        let mut y = top + 3.0;
        caption.write(Point::new(x, y), Letters::plain(2.8).quiet(), head);
        ruling.draw(Mark::Lines {
            lines: vec![[Point::new(x, y + 1.6), Point::new(x + column_mm, y + 1.6)]],
            stroke: RULE,
        });
        y += 7.0;
        for (note, counts) in notes {
            let set = Letters::plain(3.0);
            let set = if counts { set.bold() } else { set };
            // Bold letters are about a tenth wider.
            let room_mm = if counts { column_mm / 1.1 } else { column_mm };
            for line in lines(note, set.size_mm, room_mm) {
                caption.write(Point::new(x, y), set, line);
                y += 4.3;
            }
            y += 2.2;
        }
    }
}
