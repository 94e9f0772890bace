//! The distance list as a sheet of its own, with boxes for what was read.

use ophryon_frames::{Point, Side};

use crate::heading::{self, HEAD_END_MM, RULE};
use crate::lettering::{fit, lines};
use crate::page::MARGIN_MM;
use crate::sheet::{Align, Group, Letters, Mark, Stroke};
use crate::{Caption, Distance, DistanceKind, Paper, Sheet, caption};

/// Height of a row, mm: room to write a number by hand.
const ROW_MM: f64 = 7.0;

/// Width of a box to write into, mm.
const BOX_MM: f64 = 22.0;

/// Dots that lead the eye from a name to its number, and where they begin.
const LEADER: Stroke = Stroke {
    width_mm: 0.3,
    dashes: &[0.3, 1.5],
};
const LEADER_MM: f64 = MARGIN_MM + 32.0;

/// Lays out the distance list, with boxes for what the ruler read.
pub fn lay_out_distances(list: &[Distance], about: &Caption, paper: Paper) -> Sheet {
    let (left, right) = (MARGIN_MM, paper.width_mm() - MARGIN_MM);
    let mut words = Group::new("distances-words");
    let mut ruling = Group::new("distances-ruling");
    heading::write(
        "Distances to check on skin",
        about,
        paper,
        &mut words,
        &mut ruling,
    );

    // Columns: what; then per side what it should read, and a box for what it did.
    let left_box = right - BOX_MM;
    let right_box = left_box - 24.0 - BOX_MM;
    let mut y = HEAD_END_MM + 7.0;
    let head = Letters::plain(3.2).bold().aligned(Align::End);
    for (name, box_left) in [("client's right", right_box), ("client's left", left_box)] {
        words.write(Point::new(box_left - 3.0, y), head, name);
        let read = Letters::plain(2.6).quiet().aligned(Align::Middle);
        words.write(Point::new(box_left + BOX_MM / 2.0, y), read, "read");
    }
    let unit = Letters::plain(2.8).quiet();
    words.write(Point::new(left, y), unit, "all in mm");
    y += 2.5;
    for kind in DistanceKind::ALL {
        let rows: Vec<_> = list.iter().filter(|d| d.kind == kind).collect();
        if rows.is_empty() {
            continue;
        }
        let how = Letters::plain(2.8).quiet();
        words.write(
            Point::new(left, y + 5.4),
            how,
            fit(kind.how(), how.size_mm, right - left),
        );
        y += 7.4;
        for row in rows {
            write_row(row, y, [right_box, left_box], &mut words, &mut ruling);
            y += ROW_MM;
        }
        y += 1.6;
    }
    y += 6.0;
    let notes = [
        "A reading within ± of its number agrees: ruler, tape, scale and the curve of the skin \
         together. If one is off, read it again. If it stays, check first that the print's gauges \
         read 100 mm, then lay the tape again, tight from start to tail and not along the arch, \
         then see whether the sheet lay straight. With the readings entered, Ophryon says which \
         of these is likely."
            .to_owned(),
        about.wrap_sentence(),
        caption::CAUTIONS.to_owned(),
    ];
    for note in notes {
        for line in lines(&note, 3.0, right - left) {
            words.write(Point::new(left, y), Letters::plain(3.0), line);
            y += 4.3;
        }
        y += 1.6;
    }
    let title = about.title("Distances to check");
    Sheet::of_words("distances", title, paper, vec![ruling, words])
}

fn write_row(row: &Distance, y: f64, box_lefts: [f64; 2], words: &mut Group, ruling: &mut Group) {
    let line = y + ROW_MM;
    let base = y + ROW_MM - 2.2;
    words.write(Point::new(MARGIN_MM, base), Letters::plain(3.6), row.name);
    let leader = [LEADER_MM, box_lefts[0] - 25.0].map(|x| Point::new(x, base));
    ruling.draw(Mark::Lines {
        lines: vec![leader],
        stroke: LEADER,
    });
    for (side, box_left) in Side::BOTH.into_iter().zip(box_lefts) {
        let within = format!("± {}", tenths(*row.tolerance_mm.get(side)));
        let quiet = Letters::plain(2.6).quiet().aligned(Align::End);
        words.write(Point::new(box_left - 3.0, base), quiet, within);
        let set = Letters::plain(3.6).aligned(Align::End);
        let expected = tenths(row.expected_mm(side));
        words.write(Point::new(box_left - 12.5, base), set, expected);
        ruling.draw(Mark::Frame {
            corners: [
                Point::new(box_left, y + 0.8),
                Point::new(box_left + BOX_MM, line - 0.8),
            ],
            stroke: RULE,
        });
    }
}

/// One decimal, and no "-0.0"; a dash for what is no number.
fn tenths(mm: f64) -> String {
    if !mm.is_finite() {
        return "–".to_owned();
    }
    let text = format!("{mm:.1}");
    if text == "-0.0" {
        "0.0".to_owned()
    } else {
        text
    }
}
