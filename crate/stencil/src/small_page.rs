//! Labels and other small paper: the drawing in the upper left corner, gauges
//! as long as they fit along the edges, notes in what is left.

use ophryon_frames::Point;

use crate::caption::Note;
use crate::gauge::{self, Lie};
use crate::grid::{Grid, side_by_side};
use crate::large_page::set;
use crate::sheet::{Group, Letters, Spot, page_size};
use crate::strip::{Layers, Strip};
use crate::{GaugeLengths, Sheet, SheetContent, notes};

/// White between the drawing and what stands beside or below it, mm.
const GAP_MM: f64 = 3.0;

/// Sizes of letters to try, mm; the last can still be read (about 5.5 pt).
const SIZES_MM: [f64; 6] = [3.0, 2.8, 2.6, 2.4, 2.2, 2.0];

/// Narrowest column of notes that reads well, mm.
const NARROWEST_MM: f64 = 34.0;

/// Kept free for the note that a sheet is corrected, lines.
const NOTE_LINES: usize = 2;

/// From one line to the next, and more after a note, in sizes of the letters.
const LINE: f64 = 1.36;
const AFTER: f64 = 0.35;

/// The notes as they fit.
struct Text {
    corner: Point<ophryon_frames::Page>,
    room_mm: f64,
    size_mm: f64,
    notes: Vec<Note>,
}

/// A page shared out.
struct Plan {
    turned: bool,
    grid: Grid,
    standing: Point<ophryon_frames::Page>,
    lying: Point<ophryon_frames::Page>,
    gauges: GaugeLengths,
    text: Text,
}

/// The page with so many copies, if they fit with gauges and notes.
pub(crate) fn lay_out(content: &SheetContent, strip: &Strip, copies: u32) -> Option<Sheet> {
    let plan = best(content, strip, copies)?;
    Some(draw(plan, content, strip))
}

/// How many copies fit at most.
pub(crate) fn most(content: &SheetContent, strip: &Strip) -> u32 {
    (1..)
        .take_while(|copies| best(content, strip, *copies).is_some())
        .last()
        .unwrap_or(0)
}

/// Upright if that fits; of several arrangements the one with the largest
/// letters, then with the longest gauges.
fn best(content: &SheetContent, strip: &Strip, copies: u32) -> Option<Plan> {
    [false, true].into_iter().find_map(|turned| {
        let (width, _) = page_size(content.options.paper, turned);
        let most = side_by_side(
            width - 2.0 * content.options.paper.margin_mm(),
            strip.width_mm(),
        );
        (1..=most.min(copies))
            .filter_map(|columns| plan(content, strip, turned, Grid::new(copies, columns)))
            .max_by(|a, b| {
                let worth = |p: &Plan| (p.text.size_mm, p.gauges.across_mm + p.gauges.down_mm);
                worth(a)
                    .partial_cmp(&worth(b))
                    .unwrap_or(std::cmp::Ordering::Equal)
            })
    })
}

fn plan(content: &SheetContent, strip: &Strip, turned: bool, grid: Grid) -> Option<Plan> {
    let paper = content.options.paper;
    let margin = paper.margin_mm();
    let (page_width, page_height) = page_size(paper, turned);
    let (width, height) = (page_width - 2.0 * margin, page_height - 2.0 * margin);
    let beside = width - grid.width_mm(strip);
    let below = height - grid.height_mm(strip);
    if beside < -1e-3 || below < -1e-3 {
        return None;
    }
    let (right, end) = (margin + width, margin + height);
    let text_top = margin + grid.height_mm(strip) + GAP_MM;
    let text_left = margin + grid.width_mm(strip) + GAP_MM;

    // The standing gauge: beside the drawing over the whole height, else below.
    let stands_beside = beside >= gauge::STANDING_MM + GAP_MM;
    let standing_x = right - gauge::STANDING_MM;
    let (down_mm, standing_y) = if stands_beside {
        (gauge::longest(height)?, margin)
    } else {
        (gauge::longest(below - GAP_MM)?, text_top)
    };
    let free_right = standing_x - GAP_MM;

    // The lying gauge: along the lower edge, below the drawing or beside it.
    let lies_below = below >= gauge::LYING_MM + 1.0;
    let lying_left = if lies_below { margin } else { text_left };
    let across_mm = gauge::longest(free_right - lying_left)?;
    let lying_top = end - gauge::LYING_MM;
    let gauges = GaugeLengths { across_mm, down_mm };

    // Notes below the drawing, or beside it, whichever lets them be larger.
    let areas = [
        (margin, text_top, lying_top - 1.0),
        (
            text_left,
            margin,
            if lies_below && lying_left + across_mm < text_left {
                end
            } else {
                lying_top - 1.0
            },
        ),
    ];
    let text = areas
        .into_iter()
        .filter_map(|(left, top, lower)| {
            let room = (free_right - left, lower - top);
            text(content, gauges, Point::new(left, top), room)
        })
        .reduce(|a, b| if b.size_mm > a.size_mm { b } else { a })?;
    Some(Plan {
        turned,
        grid,
        standing: Point::new(standing_x, standing_y),
        lying: Point::new(lying_left, end - gauge::BREADTH_MM),
        gauges,
        text,
    })
}

/// The notes in the largest letters that fit: at length if they do in any size
/// that reads well, else in short.
fn text(
    content: &SheetContent,
    gauges: GaugeLengths,
    corner: Point<ophryon_frames::Page>,
    (room_mm, height_mm): (f64, f64),
) -> Option<Text> {
    if room_mm < NARROWEST_MM {
        return None;
    }
    let heading = content.heading();
    let about = &content.caption;
    let mut head = heading.to_owned();
    for more in [&about.made, &about.remark].into_iter().flatten() {
        head = format!("{head}. {}", crate::lettering::clean(more));
    }
    let head = crate::lettering::fit(&head, 1.0, 60.0);
    let with_head = |notes: Vec<Note>| -> Vec<Note> {
        std::iter::once(Note::of(head.clone(), true))
            .chain(notes)
            .collect()
    };
    let at_length = with_head(
        notes::at_length(content, gauges)
            .into_iter()
            .flatten()
            .collect(),
    );
    let in_short = with_head(notes::in_short(content, gauges));
    let in_brief = with_head(notes::in_brief(content, gauges));
    let long = SIZES_MM[..4].iter().map(|size| (*size, &at_length));
    let short = SIZES_MM[..5].iter().map(|size| (*size, &in_short));
    let brief = SIZES_MM[2..].iter().map(|size| (*size, &in_brief));
    long.chain(short)
        .chain(brief)
        .find(|(size_mm, notes)| height_of(notes, *size_mm, room_mm) <= height_mm)
        .map(|(size_mm, notes)| Text {
            corner,
            room_mm,
            size_mm,
            notes: notes.clone(),
        })
}

/// Two lines more, for the note that a sheet is corrected.
fn height_of(notes: &[Note], size_mm: f64, room_mm: f64) -> f64 {
    let lines: usize = notes
        .iter()
        .map(|note| set(note, size_mm).lines(&note.words, room_mm).len())
        .sum();
    (lines as f64 + NOTE_LINES as f64) * size_mm * LINE + notes.len() as f64 * size_mm * AFTER
}

fn draw(plan: Plan, content: &SheetContent, strip: &Strip) -> Sheet {
    let paper = content.options.paper;
    let margin = paper.margin_mm();
    let mut layers = Layers::new();
    let mut ruling = Group::new("ruling");
    let placings = plan
        .grid
        .draw(strip, Point::new(margin, margin), &mut layers);
    let (standing, lying, gauges) = (plan.standing, plan.lying, plan.gauges);
    ruling.draw_as("gauge", gauge::bar(lying, Lie::Across, gauges.across_mm));
    ruling.draw_as(
        "gauge-upright",
        gauge::bar(standing, Lie::Down, gauges.down_mm),
    );
    gauge::number(lying, Lie::Across, gauges.across_mm, &mut layers.caption);
    gauge::number(standing, Lie::Down, gauges.down_mm, &mut layers.caption);

    let text = plan.text;
    let mut y = text.corner.y + text.size_mm;
    for note in &text.notes {
        let letters: Letters = set(note, text.size_mm);
        for line in letters.lines(&note.words, text.room_mm) {
            layers
                .caption
                .write(Point::new(text.corner.x, y), letters, line);
            y += text.size_mm * LINE;
        }
        y += text.size_mm * AFTER;
    }
    Sheet {
        id: "sheet",
        title: content.caption.title(content.kind()),
        language: crate::sheet::ENGLISH.to_owned(),
        paper,
        turned: plan.turned,
        placings,
        gauges: Some(gauges),
        spot: Spot {
            at: Point::new(text.corner.x, y),
            room_mm: text.room_mm,
            size_mm: text.size_mm,
            lines: NOTE_LINES,
        },
        groups: vec![
            ruling,
            layers.lining_up,
            layers.cut_lines,
            layers.brows,
            layers.caption,
        ],
    }
}
