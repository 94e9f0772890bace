//! From skin to page: where everything on a stencil sheet lies.

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Side, Sided, Skin};

use crate::{Caption, Facing, Paper, Sheet, SheetOptions};

/// What goes on a stencil sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetContent {
    /// Both outlines on the skin, where they belong.
    pub outlines: Sided<Outline<Skin>>,
    /// What the sheet says.
    pub caption: Caption,
    /// How it is put on paper.
    pub options: SheetOptions,
}

/// Where skin lies on a page. True size: 1 mm is 1 mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// Where midline and pupil line meet.
    pub origin: Point<Page>,
    /// Which way the drawing is turned.
    pub facing: Facing,
}

impl Placing {
    /// Where a place on the skin lies on the page. Face up, the client's right
    /// is on the page's left, as one sees the client.
    pub fn to_page(&self, p: Point<Skin>) -> Point<Page> {
        let outward = match self.facing {
            Facing::FaceUp => p.x,
            Facing::FaceDown => -p.x,
        };
        Point::new(self.origin.x + outward, self.origin.y - p.y)
    }
}

/// Why there can be no sheet, and the way out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// An outline without segments or with a coordinate that is no number.
    #[error("the client's {} brow has no outline that can be printed; draw it again", .side.name())]
    NoOutline {
        /// The side.
        side: Side,
    },
    /// Wider than the paper.
    #[error("the pair needs {needed_mm:.0} mm across and {} leaves {room_mm:.0} mm; {}", .paper.name(), way_out(*.needed_mm, *.other_room_mm, *.paper))]
    TooWide {
        /// What the pair and its marks need across, mm.
        needed_mm: f64,
        /// What the paper leaves, mm.
        room_mm: f64,
        /// What the other paper leaves, mm.
        other_room_mm: f64,
        /// The paper asked for.
        paper: Paper,
    },
    /// Higher than the paper.
    #[error("the pair with its pupil line needs {needed_mm:.0} mm from top to bottom and {} leaves {room_mm:.0} mm; {}", .paper.name(), way_out(*.needed_mm, *.other_room_mm, *.paper))]
    TooHigh {
        /// What the pair, the pupil line and its marks need, mm.
        needed_mm: f64,
        /// What the paper leaves, mm.
        room_mm: f64,
        /// What the other paper leaves, mm.
        other_room_mm: f64,
        /// The paper asked for.
        paper: Paper,
    },
}

fn way_out(needed_mm: f64, other_room_mm: f64, paper: Paper) -> String {
    let other = match paper {
        Paper::A4 => Paper::Letter,
        _ => Paper::A4,
    };
    if needed_mm <= other_room_mm {
        format!(
            "use {} paper, which leaves {other_room_mm:.0} mm",
            other.name()
        )
    } else {
        "no brows are that large: check the scale of the photo and the tape length".to_owned()
    }
}

/// Lays out the stencil sheet.
///
/// # Errors
/// [`SheetError`], when an outline can't be printed or doesn't fit the paper.
pub fn lay_out(content: &SheetContent) -> Result<Sheet, SheetError> {
    crate::drawing::stencil(content)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Agreement, Mark, WrapSource, example, lettering};
    use ophryon_frames::{Vector, Wrap};
    use proptest::prelude::*;

    fn ends(sheet: &Sheet, id: &str) -> Vec<Point<Page>> {
        match sheet.mark(id) {
            Some(Mark::Outline { start, cubics, .. }) => std::iter::once(*start)
                .chain(cubics.iter().map(|[_, _, end]| *end))
                .collect(),
            other => panic!("{id} is no outline: {other:?}"),
        }
    }

    fn x_range(places: &[Point<Page>]) -> (f64, f64) {
        places.iter().fold((f64::MAX, f64::MIN), |(low, high), p| {
            (low.min(p.x), high.max(p.x))
        })
    }

    /// The client's right lies on the page's left, as one looks at her; its
    /// start is 15 mm and its tip 57 mm from the midline, as mapped.
    #[test]
    fn face_up_is_as_one_looks_at_the_client() {
        let sheet = lay_out(&example::content()).unwrap();
        let midline = Paper::A4.width_mm() / 2.0;
        let (low, high) = x_range(&ends(&sheet, "brow-right"));
        assert!((midline - high - 15.0).abs() < 1e-9 && (midline - low - 57.0).abs() < 1e-9);
        let (low, high) = x_range(&ends(&sheet, "brow-left"));
        assert!((low - midline - 15.0).abs() < 1e-9 && (high - midline - 57.0).abs() < 1e-9);
    }

    #[test]
    fn higher_on_the_face_is_higher_on_the_page_by_as_much() {
        let sheet = lay_out(&example::content()).unwrap();
        let top = |id| {
            ends(&sheet, id)
                .iter()
                .map(|p| p.y)
                .fold(f64::MAX, f64::min)
        };
        // The client's left was placed 1 mm higher.
        assert!((top("brow-right") - top("brow-left") - 1.0).abs() < 1e-9);
        let pupil_line = sheet.placing().unwrap().origin.y;
        assert!((pupil_line - top("brow-right") - 29.5).abs() < 1e-9);
    }

    #[test]
    fn face_down_mirrors_everything_drawn_and_says_so() {
        let up = example::content();
        let mut down = up.clone();
        down.options.facing = Facing::FaceDown;
        let (up, down) = (lay_out(&up).unwrap(), lay_out(&down).unwrap());
        for id in ["brow-right", "brow-left"] {
            for (a, b) in ends(&up, id).into_iter().zip(ends(&down, id)) {
                assert!((a.x + b.x - Paper::A4.width_mm()).abs() < 1e-9 && a.y == b.y);
            }
        }
        let place_of = |sheet: &Sheet, name: &str| {
            let items = sheet.groups().iter().flat_map(|g| &g.items);
            let mut at = items.filter_map(|item| match &item.mark {
                Mark::Words { at, words, .. } if words == name => Some(at.x),
                _ => None,
            });
            at.next_back().unwrap()
        };
        assert!(place_of(&up, "client's right") < place_of(&up, "client's left"));
        assert!(place_of(&down, "client's right") > place_of(&down, "client's left"));
        let said = |sheet: &Sheet| sheet.words().collect::<Vec<_>>().join(" ");
        assert!(said(&down).contains("FACE DOWN") && said(&down).contains("printed side on"));
        assert!(!said(&up).contains("FACE DOWN"));
    }

    #[test]
    fn the_sheet_warns_of_what_it_does_not_rest_on() {
        let said = |caption: Caption| {
            let sheet = lay_out(&SheetContent {
                caption,
                ..example::content()
            });
            sheet.unwrap().words().collect::<Vec<_>>().join(" ")
        };
        let estimate = said(example::caption());
        assert!(estimate.contains("NOT AGREED") && estimate.contains("WRAP ESTIMATED"));
        assert!(estimate.contains("Local codes and licensed practice rule"));
        assert!(estimate.contains("Print at 100 %"));
        for fact in ["K. M.", "3f9a51c07be2d448", "12 March 2025"] {
            assert!(estimate.contains(fact), "{fact}");
        }
        let sure = said(Caption {
            agreed: Agreement::Agreed {
                when: Some("14 March 2025".to_owned()),
            },
            wrap_source: WrapSource::Measured,
            ..example::caption()
        });
        assert!(!sure.contains("NOT AGREED") && !sure.contains("ESTIMATED"));
        assert!(sure.contains("agreed to this exact shape: 14 March 2025."));
        let flat = said(Caption {
            wrap: Wrap::Flat,
            wrap_source: WrapSource::Measured,
            ..example::caption()
        });
        assert!(flat.contains("WITHOUT A WRAP") && flat.contains("too short"));
    }

    #[test]
    fn a_pair_wider_than_the_paper_is_refused_with_the_way_out() {
        let shifted = |by: f64| {
            let mut pair = example::pair();
            pair.points = pair.points.shifted(Vector::new(by, 0.0));
            example::content_of(&pair)
        };
        let on = |mut content: SheetContent, paper| {
            content.options.paper = paper;
            lay_out(&content)
        };
        // The tail lies at 57 mm; with 8 mm beyond it, A4 leaves 92 mm a side
        // and Letter 94.95.
        assert!(on(shifted(26.9), Paper::A4).is_ok());
        let said = on(shifted(29.0), Paper::A4).unwrap_err().to_string();
        assert_eq!(
            said,
            "the pair needs 188 mm across and A4 leaves 184 mm; use Letter paper, which leaves \
             190 mm"
        );
        assert!(on(shifted(29.0), Paper::Letter).is_ok());
        let said = on(shifted(60.0), Paper::A4).unwrap_err().to_string();
        assert!(said.contains("check the scale of the photo"), "{said}");
    }

    #[test]
    fn a_pair_higher_than_the_paper_is_refused_with_the_way_out() {
        let mut pair = example::pair();
        pair.points = pair.points.shifted(Vector::new(0.0, 48.0));
        pair.offset.left.height_mm = 15.0;
        let mut content = example::content_of(&pair);
        assert!(lay_out(&content).is_ok());
        content.options.paper = Paper::Letter;
        let said = lay_out(&content).unwrap_err().to_string();
        assert!(
            said.contains("Letter leaves") && said.contains("use A4 paper"),
            "{said}"
        );
    }

    proptest! {
        /// Whatever a client is called: words stay on the page, clear of the
        /// margins that printers can't reach (by the cautious estimate).
        #[test]
        fn words_of_any_kind_stay_on_the_page(
            code in ".{0,200}", version in ".{0,40}", when in ".{0,80}",
            fingerprint in "[0-9a-f]{0,128}", letter in any::<bool>(), down in any::<bool>(),
        ) {
            let mut content = example::content();
            content.options.paper = if letter { Paper::Letter } else { Paper::A4 };
            content.options.facing = if down { Facing::FaceDown } else { Facing::FaceUp };
            content.caption = Caption {
                code: code.clone(),
                version,
                fingerprint,
                agreed: Agreement::Agreed { when: Some(when) },
                remark: Some(code),
                ..content.caption
            };
            let sheet = lay_out(&content).unwrap();
            for item in sheet.groups().iter().flat_map(|g| &g.items) {
                let Mark::Words { at, align, size_mm, words, .. } = &item.mark else { continue };
                let width = lettering::width_mm(words, *size_mm);
                let from = match align {
                    crate::Align::Start => at.x,
                    crate::Align::Middle => at.x - width / 2.0,
                    crate::Align::End => at.x - width,
                };
                let (low, high) = (12.9, content.options.paper.width_mm() - 12.9);
                prop_assert!(from >= low && from + width <= high, "{words}: {from} + {width}");
                prop_assert!((12.9..=content.options.paper.height_mm() - 12.9).contains(&at.y));
                prop_assert!(!words.chars().any(char::is_control));
            }
        }
    }
}
