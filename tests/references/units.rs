//! Lengths on the sheet, read back by a general SVG reader.
//!
//! W3C CSS Values 4, absolute lengths: 1in = 2.54cm = 96px, 1mm = 1cm/10,
//! 1pt = 1in/72; so 100 mm are 377.9528 px and 283.465 pt. SVG 2, chapter 8: a
//! `viewBox` is mapped to `width` and `height`, and a length without a unit is
//! in px. ISO 32000-1, 8.3.2.3: the unit of a PDF page is 1/72 in.

use ophryon_brow::{BrowPoints, Limits, Pair};
use ophryon_frames::{Point, Side, Sided, Wrap};
use ophryon_stencil::{
    Agreement, Caption, Paper, SheetContent, SheetOptions, WrapSource, lay_out, write_svg,
};
use resvg::usvg;

const MM_PER_INCH: f64 = 25.4;
const PX_PER_INCH: f64 = 96.0;
const POINTS_PER_INCH: f64 = 72.0;

/// Corners chosen by hand, so that their places need no engine.
fn points() -> BrowPoints {
    BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    }
}

fn content(paper: Paper) -> SheetContent {
    let pair = Pair::even(points());
    let brows = pair.draw(&Limits::default()).unwrap();
    SheetContent {
        outlines: Sided::from_fn(|side| brows.get(side).placed(side, pair.offset.get(side))),
        caption: Caption {
            code: "R".to_owned(),
            name: None,
            version: "1".to_owned(),
            fingerprint: "00000000".to_owned(),
            agreed: Agreement::NotAgreed,
            wrap: Wrap::Flat,
            wrap_source: WrapSource::Estimated,
            wrap_basis: None,
            length_uncertainty_mm: None,
            made: None,
            remark: None,
        },
        touch_up: Sided::default(),
        options: SheetOptions {
            paper,
            ..SheetOptions::default()
        },
    }
}

fn tree(paper: Paper) -> usvg::Tree {
    let svg = write_svg(&lay_out(&content(paper)).unwrap());
    usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap()
}

/// Left, top, right, bottom of what has that id, px.
fn box_of(tree: &usvg::Tree, id: &str) -> [f64; 4] {
    let seen = tree.node_by_id(id).unwrap().abs_bounding_box();
    [seen.left(), seen.top(), seen.right(), seen.bottom()].map(f64::from)
}

#[test]
fn a_hundred_millimetres_are_377_9528_px_and_283_465_pt() {
    for paper in Paper::LARGE {
        let [left, _, right, _] = box_of(&tree(paper), "gauge");
        assert!(
            (right - left - 377.9528).abs() < 1e-3,
            "{} px",
            right - left
        );
        let points = (right - left) / PX_PER_INCH * POINTS_PER_INCH;
        assert!((points - 283.465).abs() < 1e-3, "{points} pt");
    }
}

/// ISO 216 A4 and ANSI/ASME Y14.1 Letter as PDF page boxes: 595.276 x 841.890
/// and 612 x 792 pt.
#[test]
fn pages_are_of_their_size_in_points() {
    for (paper, width, height) in [(Paper::A4, 595.276, 841.890), (Paper::Letter, 612.0, 792.0)] {
        let size = tree(paper).size();
        for (px, points) in [(size.width(), width), (size.height(), height)] {
            let seen = f64::from(px) / PX_PER_INCH * POINTS_PER_INCH;
            assert!((seen - points).abs() < 1e-3, "{seen} pt");
        }
    }
}

/// A ruler on the sheet from the midline to the tip must read what was asked
/// for, and the front's height too: 57 mm and 8 mm.
#[test]
fn a_ruler_on_the_sheet_reads_what_was_asked_for() {
    let mm = |px: f64| px / PX_PER_INCH * MM_PER_INCH;
    for paper in Paper::LARGE {
        let tree = tree(paper);
        let right = box_of(&tree, "brow-right");
        let left = box_of(&tree, "brow-left");
        // As one sees the client: her right is on the page's left.
        assert!(right[2] < left[0]);
        assert!((mm(left[2] - right[0]) - 2.0 * 57.0).abs() < 2e-3);
        assert!((mm(left[0] - right[2]) - 2.0 * 15.0).abs() < 2e-3);
        for side in [right, left] {
            // From the peak down to the tip, both chosen by hand.
            assert!((mm(side[3] - side[1]) - (29.5 - 15.5)).abs() < 2e-3);
        }
    }
    let sheet = lay_out(&content(Paper::A4)).unwrap();
    let placing = sheet.placing().unwrap();
    let at = |side: Side, p| placing.to_page(side.place(p));
    let fronts = Side::BOTH.map(|side| at(side, points().front_top));
    assert!((fronts[0].distance(fronts[1]) - 30.0).abs() < 1e-12);
}
