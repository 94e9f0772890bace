//! From skin to page: where everything on a stencil sheet lies.

mod refusal;
#[cfg(test)]
mod tests;

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Sided, Skin};

pub use refusal::SheetError;

use crate::strip::Strip;
use crate::{Caption, Facing, Paper, Sheet, SheetOptions, Sides, large_page, small_page};

/// What goes on a stencil sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetContent {
    /// Both outlines on the skin, where they belong.
    pub outlines: Sided<Outline<Skin>>,
    /// Closed lines to fill again inside them, once they have healed. Where
    /// there are any, the outlines are dashed.
    pub touch_up: Sided<Vec<Vec<Point<Skin>>>>,
    /// What the sheet says.
    pub caption: Caption,
    /// How it is put on paper.
    pub options: SheetOptions,
}

impl SheetContent {
    /// Whether it is a sheet of what is to be filled again.
    pub(crate) fn is_touch_up(&self) -> bool {
        self.touch_up.iter().any(|(_, lines)| !lines.is_empty())
    }

    /// What it is, for a window or a file.
    pub(crate) fn kind(&self) -> &'static str {
        if self.is_touch_up() {
            "Touch-up"
        } else {
            "Brow stencil"
        }
    }

    /// What stands above it.
    pub(crate) fn heading(&self) -> &'static str {
        match (self.is_touch_up(), self.options.facing) {
            (false, Facing::FaceUp) => "Brow stencil, true size",
            (false, Facing::FaceDown) => "Brow stencil, face down",
            (true, Facing::FaceUp) => "Touch-up, true size",
            (true, Facing::FaceDown) => "Touch-up, face down",
        }
    }
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

/// Lays out the stencil sheet: upright where it fits so, else across.
///
/// # Errors
/// [`SheetError`], when an outline can't be printed, or the sheet or its copies
/// don't fit the paper.
pub fn lay_out(content: &SheetContent) -> Result<Sheet, SheetError> {
    let strip = Strip::of(content)?;
    let asked = content.options.copies;
    if asked == 0 {
        return Err(SheetError::NoCopies);
    }
    if let Some(sheet) = on_paper(content, &strip, asked) {
        return Ok(sheet);
    }
    Err(match most(content, &strip) {
        0 => too_large(content, &strip),
        most => SheetError::TooManyCopies {
            asked,
            most,
            sides: content.options.sides,
            paper: content.options.paper,
        },
    })
}

/// How many copies fit on one page, whatever number is asked for; 0 where not
/// even one does.
///
/// # Errors
/// [`SheetError::NoOutline`].
pub fn most_copies(content: &SheetContent) -> Result<u32, SheetError> {
    Ok(most(content, &Strip::of(content)?))
}

fn on_paper(content: &SheetContent, strip: &Strip, copies: u32) -> Option<Sheet> {
    if content.options.paper.is_small() {
        small_page::lay_out(content, strip, copies)
    } else {
        large_page::lay_out(content, strip, copies)
    }
}

fn most(content: &SheetContent, strip: &Strip) -> u32 {
    if content.options.paper.is_small() {
        small_page::most(content, strip)
    } else {
        large_page::most(content, strip)
    }
}

fn too_large(content: &SheetContent, strip: &Strip) -> SheetError {
    let asked = content.options;
    let fits = |options: SheetOptions| {
        let content = SheetContent {
            options: SheetOptions {
                copies: 1,
                ..options
            },
            ..content.clone()
        };
        Strip::of(&content).is_ok_and(|strip| on_paper(&content, &strip, 1).is_some())
    };
    let area = |paper: Paper| paper.width_mm() * paper.height_mm();
    let mut larger: Vec<_> = Paper::ALL
        .into_iter()
        .filter(|paper| area(*paper) > area(asked.paper))
        .collect();
    larger.sort_by(|a, b| area(*a).total_cmp(&area(*b)));
    // Letter is smaller than A4 and yet wider.
    if asked.paper == Paper::A4 {
        larger.push(Paper::Letter);
    }
    SheetError::TooLarge {
        sides: asked.sides,
        width_mm: strip.width_mm(),
        height_mm: strip.height_mm(),
        paper: asked.paper,
        other: larger.into_iter().find(|paper| {
            fits(SheetOptions {
                paper: *paper,
                ..asked
            })
        }),
        one_side: asked.sides == Sides::Both
            && [Sides::Right, Sides::Left]
                .into_iter()
                .all(|sides| fits(SheetOptions { sides, ..asked })),
    }
}
