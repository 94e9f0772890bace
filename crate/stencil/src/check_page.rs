//! The check page: what a printer does to 100 mm, both ways.

use ophryon_frames::{Page, Point};

use crate::gauge::{self, Lie};
use crate::heading::RULE;
use crate::lettering::lines;
use crate::page::MARGIN_MM;
use crate::sheet::{Group, Letters, Mark};
use crate::{Paper, Sheet};

/// What to do, step by step.
const STEPS: [&str; 4] = [
    "1. Print this page at 100 %, with “fit to page” switched off, on the paper that stencils are \
     printed on.",
    "2. Lay a ruler along each gauge and read its whole length, outer edge to outer edge, as \
     finely as the ruler allows.",
    "3. Give both readings to Ophryon, with a name for this printer. A reading below 97 or above \
     103 mm nearly always means that “fit to page” was on.",
    "4. Print the corrected check page: both gauges must now read 100 mm.",
];

/// Lays out the check page, uncorrected.
pub fn lay_out_printer_check(paper: Paper) -> Sheet {
    let (left, right) = (MARGIN_MM, paper.width_mm() - MARGIN_MM);
    let mut words = Group::new("caption");
    let mut ruling = Group::new("ruling");
    words.write(
        Point::new(left, 19.5),
        Letters::plain(6.2).bold(),
        "Printer check",
    );
    let line = |from: Point<Page>, to: Point<Page>| Mark::Lines {
        lines: vec![[from, to]],
        stroke: RULE,
    };
    ruling.draw(line(Point::new(left, 25.0), Point::new(right, 25.0)));

    words.write(
        Point::new(left, 33.0),
        Letters::plain(3.8),
        format!("What a printer makes of 100 mm on {} paper.", paper.name()),
    );

    let mut y = 58.0;
    for step in STEPS {
        for (row, text) in lines(step, 3.8, right - left - 6.0).into_iter().enumerate() {
            // What runs on stands under the words, not under the number.
            let x = if row == 0 { left } else { left + 5.0 };
            words.write(Point::new(x, y), Letters::plain(3.8), text);
            y += 5.6;
        }
        y += 2.6;
    }

    let top = 130.0;
    let down = Point::<Page>::new(left, top);
    let across = Point::<Page>::new(left + 34.0, top + 10.0);
    ruling.draw_as("gauge", gauge::bar(across, Lie::Across));
    ruling.draw_as("gauge-upright", gauge::bar(down, Lie::Down));
    gauge::number(across, Lie::Across, &mut words);
    gauge::number(down, Lie::Down, &mut words);

    let boxes = [
        ("horizontal gauge reads", 34.0, "mm"),
        ("vertical gauge reads", 34.0, "mm"),
        ("printer", 90.0, ""),
    ];
    let mut y = top + 34.0;
    for (name, width_mm, unit) in boxes {
        let base = y + 7.5;
        words.write(Point::new(across.x, base), Letters::plain(3.8), name);
        let near = Point::new(across.x + 48.0, y);
        let far = Point::new(near.x + width_mm, y + 11.0);
        ruling.draw(Mark::Frame {
            corners: [near, far],
            stroke: RULE,
        });
        words.write(Point::new(far.x + 2.0, base), Letters::plain(3.8), unit);
        y += 17.0;
    }
    Sheet {
        id: "printer-check",
        title: format!("Printer check, {} paper", paper.name()),
        paper,
        placing: None,
        groups: vec![ruling, words],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{GAUGE_MM, lettering};

    #[test]
    fn both_gauges_are_100_mm_and_all_stays_between_the_margins() {
        for paper in Paper::LARGE {
            let page = lay_out_printer_check(paper);
            for (id, across) in [("gauge", true), ("gauge-upright", false)] {
                let Some(Mark::Bars { bars }) = page.mark(id) else {
                    panic!("no {id}");
                };
                let along = |p: &Point<Page>| if across { p.x } else { p.y };
                let low = bars.iter().flatten().map(along).fold(f64::MAX, f64::min);
                let high = bars.iter().flatten().map(along).fold(f64::MIN, f64::max);
                assert!((high - low - GAUGE_MM).abs() < 1e-9);
                assert!(high < paper.height_mm() - MARGIN_MM);
            }
            for item in page.groups().iter().flat_map(|g| &g.items) {
                if let Mark::Words {
                    at,
                    size_mm,
                    words,
                    align: crate::Align::Start,
                    ..
                } = &item.mark
                {
                    let end = at.x + lettering::width_mm(words, *size_mm);
                    assert!(end <= paper.width_mm() - MARGIN_MM + 1.0, "{words}");
                }
            }
        }
    }
}
