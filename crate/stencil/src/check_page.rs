//! The check page: what a printer does to gauges of known length, both ways.

use ophryon_frames::{Page, Point};

use crate::gauge::{self, Lie};
use crate::heading::RULE;
use crate::page::MARGIN_MM;
use crate::sheet::{Group, Letters, Mark, Spot};
use crate::{GaugeLengths, Paper, Sheet};

/// White at the edges of small paper, as a share of its side: a page stretched
/// by as much as any printer is believed to need stays on it.
const EDGE: f64 = 0.05;

/// What to do, step by step.
fn steps(gauges: GaugeLengths) -> [String; 4] {
    [
        "1. Print this page at 100 %, with “fit to page” switched off, on the paper that stencils \
         are printed on."
            .to_owned(),
        "2. Lay a ruler along each gauge and read its whole length, outer edge to outer edge, as \
         finely as the ruler allows."
            .to_owned(),
        "3. Give both readings to Ophryon, with a name for this printer. A reading more than 3 % \
         off nearly always means that “fit to page” was on."
            .to_owned(),
        format!(
            "4. Print the corrected check page: {}.",
            gauges.in_words().replace("must read", "must now read")
        ),
    ]
}

/// Lays out the check page, uncorrected and upright: its horizontal gauge lies
/// along the paper's short side.
pub fn lay_out_printer_check(paper: Paper) -> Sheet {
    let mut sheet = if paper.is_small() {
        small(paper)
    } else {
        large(paper)
    };
    sheet.title = format!("Printer check, {} paper", paper.name());
    sheet
}

fn at(x_mm: f64, y_mm: f64) -> Point<Page> {
    Point::new(x_mm, y_mm)
}

fn large(paper: Paper) -> Sheet {
    let gauges = GaugeLengths::FULL;
    let (left, right) = (MARGIN_MM, paper.width_mm() - MARGIN_MM);
    let mut words = Group::new("caption");
    let mut ruling = Group::new("ruling");
    let title = Letters::plain(6.2).bold();
    words.write(at(left, 19.5), title, "Printer check");
    ruling.draw(Mark::Lines {
        lines: vec![[at(left, 25.0), at(right, 25.0)]],
        stroke: RULE,
    });
    let plain = Letters::plain(3.8);
    let what = format!("What a printer makes of 100 mm on {} paper.", paper.name());
    words.write(at(left, 33.0), plain, what);
    write_steps(gauges, plain, at(left, 58.0), right - left, &mut words);

    let top = 130.0;
    let standing = at(left, top);
    let lying = at(left + 34.0, top + 10.0);
    draw_gauges(gauges, standing, lying, &mut words, &mut ruling);
    let boxes = at(lying.x, top + 34.0);
    write_boxes(plain, boxes, [48.0, 34.0, 90.0], &mut words, &mut ruling);
    sheet(
        paper,
        gauges,
        Spot::under_head(paper, false),
        [ruling, words],
    )
}

/// Title, standing gauge with the steps beside it, lying gauge below.
fn small(paper: Paper) -> Sheet {
    let (width, height) = (paper.width_mm(), paper.height_mm());
    let (left, top) = (width * EDGE, height * EDGE);
    let (right, end) = (width - left, height - top);
    let standing = at(left, top + 14.0);
    let lying = at(left, end - gauge::BREADTH_MM);
    // Neither is ever too short on the papers there are.
    let length = |room| gauge::longest(room).unwrap_or(gauge::SHORTEST_MM);
    let gauges = GaugeLengths {
        across_mm: length(right - left),
        down_mm: length(end - gauge::LYING_MM - 3.0 - standing.y),
    };
    let mut words = Group::new("caption");
    let mut ruling = Group::new("ruling");
    let title = Letters::plain(4.4).bold();
    words.write(at(left, top + 4.0), title, "Printer check");
    let plain = Letters::plain(2.4);
    let what = format!("{}: {}", paper.name(), lengths(gauges));
    words.write(at(left, top + 8.0), plain, plain.fit(&what, right - left));
    let beside = left + gauge::STANDING_MM + 2.0;
    let room = right - beside;
    let y = write_steps(
        gauges,
        plain,
        at(beside, standing.y + 2.4),
        room,
        &mut words,
    );
    // Nothing to write into where there is no room: it is typed all the same.
    if room > 55.0 {
        let boxes = [30.0, 16.0, (room - 30.0).min(40.0)];
        write_boxes(plain, at(beside, y + 1.0), boxes, &mut words, &mut ruling);
    }
    draw_gauges(gauges, standing, lying, &mut words, &mut ruling);
    let spot = Spot {
        at: at(left, top + 11.4),
        room_mm: right - left,
        size_mm: 2.4,
        lines: 1,
    };
    sheet(paper, gauges, spot, [ruling, words])
}

fn lengths(gauges: GaugeLengths) -> String {
    if gauges.across_mm == gauges.down_mm {
        format!("gauges of {:.0} mm", gauges.across_mm)
    } else {
        format!(
            "gauges of {:.0} and {:.0} mm",
            gauges.across_mm, gauges.down_mm
        )
    }
}

/// Says where the next line would stand.
fn write_steps(
    gauges: GaugeLengths,
    letters: Letters,
    corner: Point<Page>,
    room_mm: f64,
    words: &mut Group,
) -> f64 {
    let mut y = corner.y;
    let indent = letters.size_mm * 1.3;
    for step in steps(gauges) {
        let lines = letters.lines(&step, room_mm - indent).into_iter();
        for (row, text) in lines.enumerate() {
            // What runs on stands under the words, not under the number.
            let x = if row == 0 {
                corner.x
            } else {
                corner.x + indent
            };
            words.write(at(x, y), letters, text);
            y += letters.size_mm * 1.47;
        }
        y += letters.size_mm * 0.68;
    }
    y
}

/// What was read, to be written down: names, boxes and the printer's name.
fn write_boxes(
    letters: Letters,
    corner: Point<Page>,
    [names_mm, box_mm, name_mm]: [f64; 3],
    words: &mut Group,
    ruling: &mut Group,
) {
    let size = letters.size_mm;
    let (high, step) = (size * 2.9, size * 4.5);
    let rows = [
        ("horizontal gauge reads", box_mm, "mm"),
        ("vertical gauge reads", box_mm, "mm"),
        ("printer", name_mm, ""),
    ];
    let mut y = corner.y;
    for (name, width_mm, unit) in rows {
        words.write(at(corner.x, y + size * 1.97), letters, name);
        let near = at(corner.x + names_mm, y);
        let far = at(near.x + width_mm, y + high);
        ruling.draw(Mark::Frame {
            corners: [near, far],
            stroke: RULE,
        });
        let beside = at(far.x + size * 0.5, y + size * 1.97);
        words.write(beside, letters, unit);
        y += step;
    }
}

fn draw_gauges(
    gauges: GaugeLengths,
    standing: Point<Page>,
    lying: Point<Page>,
    words: &mut Group,
    ruling: &mut Group,
) {
    ruling.draw_as("gauge", gauge::bar(lying, Lie::Across, gauges.across_mm));
    ruling.draw_as(
        "gauge-upright",
        gauge::bar(standing, Lie::Down, gauges.down_mm),
    );
    gauge::number(lying, Lie::Across, gauges.across_mm, words);
    gauge::number(standing, Lie::Down, gauges.down_mm, words);
}

fn sheet(paper: Paper, gauges: GaugeLengths, spot: Spot, groups: [Group; 2]) -> Sheet {
    Sheet {
        id: "printer-check",
        title: String::new(),
        language: crate::sheet::ENGLISH.to_owned(),
        paper,
        turned: false,
        placings: vec![],
        gauges: Some(gauges),
        spot,
        groups: groups.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Align, Correction, GAUGE_MM};

    #[test]
    fn gauges_are_as_long_as_said_and_all_stays_between_the_margins() {
        for paper in Paper::ALL {
            let page = lay_out_printer_check(paper);
            let gauges = page.gauges().unwrap();
            for (id, across, length) in [
                ("gauge", true, gauges.across_mm),
                ("gauge-upright", false, gauges.down_mm),
            ] {
                let Some(Mark::Bars { bars }) = page.mark(id) else {
                    panic!("no {id}");
                };
                let along = |p: &Point<Page>| if across { p.x } else { p.y };
                let low = bars.iter().flatten().map(along).fold(f64::MAX, f64::min);
                let high = bars.iter().flatten().map(along).fold(f64::MIN, f64::max);
                assert!((high - low - length).abs() < 1e-9);
                assert!(high < paper.height_mm() - paper.margin_mm());
                // Short enough for the paper, long enough to measure by.
                assert!((50.0..=100.0).contains(&length), "{} {id}", paper.name());
            }
            assert_eq!(gauges.down_mm, GAUGE_MM, "{}", paper.name());
            for item in page.groups().iter().flat_map(|g| &g.items) {
                if let Mark::Words {
                    at,
                    size_mm,
                    words,
                    align: Align::Start,
                    ..
                } = &item.mark
                {
                    let end = at.x + crate::lettering::width_mm(words, *size_mm);
                    let most = paper.width_mm() - paper.margin_mm() + 1.0;
                    assert!(end <= most, "{}: {words}", paper.name());
                    assert!(at.y < paper.height_mm() - paper.margin_mm());
                }
            }
            // Any printer that is believed can have its corrected page.
            let most = Correction::from_gauges(92.0, 92.0).unwrap();
            assert!(page.corrected(most, "studio").is_ok(), "{}", paper.name());
        }
    }
}
