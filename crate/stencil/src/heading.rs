//! The head of every sheet: what it is, whose, which version, agreed or not.

use ophryon_frames::{Page, Point};

use crate::lettering::{clean, fit};
use crate::page::MARGIN_MM;
use crate::sheet::{Align, Group, Letters, Mark, Stroke};
use crate::{Agreement, Caption, Paper};

/// Thin line of frames and rules.
pub(crate) const RULE: Stroke = Stroke {
    width_mm: 0.2,
    dashes: &[],
};

/// Where the head ends, mm from the top edge.
pub(crate) const HEAD_END_MM: f64 = 44.0;

/// Width of the mark at the upper right, mm.
const MARK_MM: f64 = 52.0;

fn at(x_mm: f64, y_mm: f64) -> Point<Page> {
    Point::new(x_mm, y_mm)
}

/// Writes the head of an upright page into `caption` and its rules into
/// `ruling`.
pub(crate) fn write(
    heading: &str,
    about: &Caption,
    paper: Paper,
    caption: &mut Group,
    ruling: &mut Group,
) {
    write_across(heading, about, paper.width_mm(), caption, ruling);
}

/// The same on a page of that width.
pub(crate) fn write_across(
    heading: &str,
    about: &Caption,
    width_mm: f64,
    caption: &mut Group,
    ruling: &mut Group,
) {
    let (left, right) = (MARGIN_MM, width_mm - MARGIN_MM);
    let free_mm = right - left - MARK_MM - 4.0;
    caption.write(at(left, 19.5), Letters::plain(6.2).bold(), heading);
    if let Some(remark) = &about.remark {
        let set = Letters::plain(3.2);
        caption.write(at(left, 25.5), set, fit(remark, set.size_mm, free_mm));
    }
    agreed_mark(about, right, caption, ruling);

    ruling.draw(Mark::Lines {
        lines: [29.0, 41.0].map(|y| [at(left, y), at(right, y)]).to_vec(),
        stroke: RULE,
    });
    let client = about.client();
    let fields = [
        ("client", client.as_str(), 44.0),
        ("version", about.version.as_str(), 24.0),
        (
            "made",
            about.made.as_deref().unwrap_or("no date given"),
            36.0,
        ),
        (
            "fingerprint",
            about.fingerprint.as_str(),
            right - left - 104.0,
        ),
    ];
    let mut x = left;
    for (name, value, width_mm) in fields {
        caption.write(at(x, 33.0), Letters::plain(2.5).quiet(), name);
        let shown = if clean(value).is_empty() {
            "not given"
        } else {
            value
        };
        // A long value is set smaller before it is cut: a fingerprint that
        // lost its end can't be compared.
        let size_mm = [3.8, 3.2, 2.6, 2.1, 1.8]
            .into_iter()
            .find(|size| crate::lettering::width_mm(&clean(shown), *size) <= width_mm - 3.0)
            .unwrap_or(2.6);
        let value = Letters::plain(size_mm);
        caption.write(at(x, 38.2), value, fit(shown, size_mm, width_mm - 3.0));
        x += width_mm;
    }
}

fn agreed_mark(about: &Caption, right: f64, caption: &mut Group, ruling: &mut Group) {
    let middle = right - MARK_MM / 2.0;
    match &about.agreed {
        Agreement::NotAgreed => {
            ruling.draw(Mark::Frame {
                corners: [at(right - MARK_MM, 13.5), at(right, 24.5)],
                stroke: Stroke {
                    width_mm: 0.5,
                    dashes: &[],
                },
            });
            let set = Letters::plain(5.6).bold().aligned(Align::Middle);
            caption.write(at(middle, 21.0), set, "NOT AGREED");
        }
        Agreement::Agreed { .. } => {
            let set = Letters::plain(4.2).bold().aligned(Align::End);
            caption.write(at(right, 15.5), set, "Agreed");
            let set = Letters::plain(3.2).aligned(Align::End);
            let said = [about.agreed_when(), about.agreed_seal()];
            let said = said.into_iter().filter(|s| !s.is_empty());
            for (words, y) in said.zip([20.2, 24.5]) {
                caption.write(at(right, y), set, fit(&words, set.size_mm, MARK_MM));
            }
        }
    }
}
