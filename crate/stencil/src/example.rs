//! A plain pair for the tests of this crate: invented, and not quite even.

use ophryon_brow::{BrowPoints, Limits, Pair, SideMeasures};
use ophryon_frames::{Point, Sided, Wrap};

use crate::{Agreement, Caption, Paper, SheetContent, SheetOptions, WrapSource};

/// A plain brow; the client's left lies 1 mm higher.
pub(crate) fn pair() -> Pair {
    let mut pair = Pair::even(BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    });
    pair.offset.left.height_mm = 1.0;
    pair
}

/// A tape from start to tail on each side, read to half a millimetre.
pub(crate) fn basis() -> crate::ListBasis {
    let depth = |depth: f64| Sided::from_fn(|_| Wrap::profile(depth).unwrap());
    crate::ListBasis {
        scale_relative_sd: 0.005,
        wrap: depth(0.095),
        longer: depth(0.101),
        is_by_tape: true,
        is_shared: false,
    }
}

pub(crate) fn measures() -> Sided<SideMeasures> {
    let pair = pair();
    let brows = pair.draw(&Limits::default()).unwrap();
    Sided::from_fn(|side| SideMeasures::of(brows.get(side), pair.offset.get(side)))
}

pub(crate) fn caption() -> Caption {
    Caption {
        code: "K. M.".to_owned(),
        name: None,
        version: "3".to_owned(),
        fingerprint: "3f9a51c07be2d448".to_owned(),
        agreed: Agreement::NotAgreed,
        wrap: Wrap::cylinder(75.0).unwrap(),
        wrap_source: WrapSource::Estimated,
        wrap_basis: None,
        length_uncertainty_mm: Some(4.4),
        made: Some("12 March 2025".to_owned()),
        remark: None,
    }
}

pub(crate) fn content_of(pair: &Pair) -> SheetContent {
    let brows = pair.draw(&Limits::default()).unwrap();
    SheetContent {
        outlines: Sided::from_fn(|side| brows.get(side).placed(side, pair.offset.get(side))),
        touch_up: Sided::default(),
        caption: caption(),
        options: SheetOptions::default(),
    }
}

/// On that paper, all else as usual.
pub(crate) fn on(paper: Paper) -> SheetContent {
    let mut content = content();
    content.options.paper = paper;
    content
}

pub(crate) fn content() -> SheetContent {
    content_of(&pair())
}
