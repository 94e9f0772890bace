//! Office paper: a head, the drawing, and a foot with gauges and notes. With
//! one copy the notes are told at length; with several, in short.

use ophryon_frames::{Page, Point};

use crate::caption::Note;
use crate::gauge::{self, Lie};
use crate::grid::{Grid, side_by_side};
use crate::heading::{self, HEAD_END_MM, RULE};
use crate::page::MARGIN_MM;
use crate::sheet::{Group, Letters, Mark, Spot, page_size};
use crate::strip::{Layers, Strip};
use crate::{GAUGE_MM, GaugeLengths, Sheet, SheetContent, notes};

/// White between head, drawing and foot, mm.
const GAP_MM: f64 = 3.5;

/// White between two columns of notes, mm.
const GUTTER_MM: f64 = 8.0;

/// Letters of the notes in short, and from one line to the next, mm.
const SHORT_MM: f64 = 2.6;
const SHORT_LINE_MM: f64 = 3.7;

/// How the page is shared out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Foot {
    /// Notes at length beside the standing gauge.
    AtLength,
    /// Notes in short, the standing gauge beside the drawing.
    InShort,
}

/// A way to lay out the page.
#[derive(Debug, Clone, Copy)]
struct Way {
    turned: bool,
    foot: Foot,
}

/// In the order of preference.
const WAYS: [Way; 3] = [
    Way {
        turned: false,
        foot: Foot::AtLength,
    },
    Way {
        turned: false,
        foot: Foot::InShort,
    },
    Way {
        turned: true,
        foot: Foot::InShort,
    },
];

/// The page with so many copies, if they fit.
pub(crate) fn lay_out(content: &SheetContent, strip: &Strip, copies: u32) -> Option<Sheet> {
    let way = WAYS
        .into_iter()
        .find(|way| copies <= most_of(way, content, strip))?;
    Some(draw(way, content, strip, copies))
}

/// How many copies fit at most.
pub(crate) fn most(content: &SheetContent, strip: &Strip) -> u32 {
    let all = WAYS.iter().map(|way| most_of(way, content, strip));
    all.max().unwrap_or(0)
}

/// What is left for the drawing: left, top, right, lower edge, mm.
fn area(way: &Way, content: &SheetContent) -> [f64; 4] {
    let (width, height) = page_size(content.options.paper, way.turned);
    let foot = match way.foot {
        Foot::AtLength => GAUGE_MM,
        Foot::InShort => short_foot_mm(content, width),
    };
    let left = match way.foot {
        Foot::AtLength => MARGIN_MM,
        Foot::InShort => MARGIN_MM + gauge::STANDING_MM,
    };
    [
        left,
        HEAD_END_MM + GAP_MM,
        width - MARGIN_MM,
        height - MARGIN_MM - foot - GAP_MM,
    ]
}

fn most_of(way: &Way, content: &SheetContent, strip: &Strip) -> u32 {
    let [left, top, right, lower] = area(way, content);
    // Beside the drawing stands a gauge of full length.
    if way.foot == Foot::InShort && lower - top < GAUGE_MM {
        return 0;
    }
    side_by_side(right - left, strip.width_mm()) * side_by_side(lower - top, strip.height_mm())
}

fn draw(way: Way, content: &SheetContent, strip: &Strip, copies: u32) -> Sheet {
    let about = &content.caption;
    let paper = content.options.paper;
    let (width, height) = page_size(paper, way.turned);
    let mut layers = Layers::new();
    let mut ruling = Group::new("ruling");
    let heading = content.heading();
    heading::write_across(heading, about, width, &mut layers.caption, &mut ruling);

    let [left, top, right, lower] = area(&way, content);
    let grid = Grid::new(copies, side_by_side(right - left, strip.width_mm()));
    let middle = |from: f64, to: f64, size: f64| from + (to - from - size) / 2.0;
    let corner = Point::new(
        middle(left, right, grid.width_mm(strip)),
        middle(top, lower, grid.height_mm(strip)),
    );
    let placings = grid.draw(strip, corner, &mut layers);

    let end = height - MARGIN_MM;
    let (standing, lying) = match way.foot {
        Foot::AtLength => {
            let notes_left = MARGIN_MM + gauge::STANDING_MM + 4.5;
            notes_at_length(
                content,
                Point::new(notes_left, end - GAUGE_MM),
                right,
                &mut layers.caption,
                &mut ruling,
            );
            (
                Point::new(MARGIN_MM, end - GAUGE_MM),
                Point::new(notes_left, end - gauge::BREADTH_MM),
            )
        }
        Foot::InShort => {
            let columns = short_columns(content, width);
            let from = end - short_foot_mm(content, width) + SHORT_MM;
            let step = column_mm(width) + GUTTER_MM;
            for (column, lines) in [0.0, 1.0].into_iter().zip(columns) {
                for (row, (words, letters)) in lines.into_iter().enumerate() {
                    let place =
                        Point::new(MARGIN_MM + column * step, from + row as f64 * SHORT_LINE_MM);
                    layers.caption.write(place, letters, words);
                }
            }
            (
                Point::new(MARGIN_MM, top),
                Point::new(MARGIN_MM, end - gauge::BREADTH_MM),
            )
        }
    };
    gauges(standing, lying, &mut layers.caption, &mut ruling);
    Sheet {
        id: "sheet",
        title: about.title(content.kind()),
        language: crate::sheet::ENGLISH.to_owned(),
        paper,
        turned: way.turned,
        placings,
        gauges: Some(GaugeLengths::FULL),
        spot: Spot::under_head(paper, way.turned),
        groups: vec![
            ruling,
            layers.lining_up,
            layers.cut_lines,
            layers.brows,
            layers.caption,
        ],
    }
}

fn gauges(standing: Point<Page>, lying: Point<Page>, caption: &mut Group, ruling: &mut Group) {
    ruling.draw_as("gauge", gauge::bar(lying, Lie::Across, GAUGE_MM));
    ruling.draw_as("gauge-upright", gauge::bar(standing, Lie::Down, GAUGE_MM));
    gauge::number(lying, Lie::Across, GAUGE_MM, caption);
    gauge::number(standing, Lie::Down, GAUGE_MM, caption);
}

/// Two columns with a head each.
fn notes_at_length(
    content: &SheetContent,
    corner: Point<Page>,
    right: f64,
    caption: &mut Group,
    ruling: &mut Group,
) {
    let column_mm = (right - corner.x - GUTTER_MM) / 2.0;
    let heads = ["Before use", "What it rests on"];
    let columns = heads
        .into_iter()
        .zip(notes::at_length(content, GaugeLengths::FULL));
    for (index, (head, notes)) in (0u8..).zip(columns) {
        let x = corner.x + f64::from(index) * (column_mm + GUTTER_MM);
        let mut y = corner.y + 3.0;
        caption.write(Point::new(x, y), Letters::plain(2.8).quiet(), head);
        ruling.draw(Mark::Lines {
            lines: vec![[Point::new(x, y + 1.6), Point::new(x + column_mm, y + 1.6)]],
            stroke: RULE,
        });
        y += 7.0;
        for note in notes {
            let letters = set(&note, 3.0);
            for line in letters.lines(&note.words, column_mm) {
                caption.write(Point::new(x, y), letters, line);
                y += 4.3;
            }
            y += 2.2;
        }
    }
}

/// Bold for what must not be overlooked.
pub(crate) fn set(note: &Note, size_mm: f64) -> Letters {
    let letters = Letters::plain(size_mm);
    if note.counts { letters.bold() } else { letters }
}

fn column_mm(width_mm: f64) -> f64 {
    (width_mm - 2.0 * MARGIN_MM - GUTTER_MM) / 2.0
}

type Lines = Vec<(String, Letters)>;

/// The notes in short as two columns of lines, about as long as each other.
fn short_columns(content: &SheetContent, width_mm: f64) -> [Lines; 2] {
    let notes: Vec<Lines> = notes::in_short(content, GaugeLengths::FULL)
        .iter()
        .map(|note| {
            let letters = set(note, SHORT_MM);
            let lines = letters.lines(&note.words, column_mm(width_mm)).into_iter();
            lines.map(|line| (line, letters)).collect()
        })
        .collect();
    let half = notes.iter().map(Vec::len).sum::<usize>().div_ceil(2);
    let mut columns = [vec![], vec![]];
    for note in notes {
        let at = usize::from(columns[0].len() >= half);
        columns[at].extend(note);
    }
    columns
}

/// Height of the notes in short and the lying gauge, mm.
fn short_foot_mm(content: &SheetContent, width_mm: f64) -> f64 {
    let rows = short_columns(content, width_mm)
        .iter()
        .map(Vec::len)
        .max()
        .unwrap_or(0);
    rows as f64 * SHORT_LINE_MM + 1.5 + gauge::LYING_MM
}
