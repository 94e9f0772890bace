//! Which part of the photo is seen, and where its pixels lie on the screen.

use ophryon_face::FaceFrame;
use ophryon_frames::{Front, Point, Vector};
use ophryon_powder::Window;

use super::Near;
use crate::stage::sight::{Sight, Size, Spot};

/// Half the breadth and the height of what must be seen, and its middle above
/// the pupils, mm: brows reach some 58 mm from the midline; a face is some
/// 140 mm broad, and its chin some 115 below the pupils.
const BROWS_MM: [f64; 3] = [68.0, 32.0, 10.0];
const FACE_MM: [f64; 3] = [78.0, 106.0, -22.0];

/// A pixel of a photo is not blown up beyond so many of the screen.
const FINEST: f64 = 3.0;

/// A rectangle of whole pixels of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patch {
    /// First column.
    pub left: u32,
    /// First row.
    pub top: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

/// What part of the photo fills a view of that size (in the view's own px).
pub fn sight(frame: &FaceFrame, near: Near, photo: Size, view: Size) -> Sight {
    let [across, upright, above] = match near {
        Near::Brows => BROWS_MM,
        Near::Face => FACE_MM,
    };
    let (middle, px_per_mm) = at(frame, above);
    let fits = (0.5 * view.width / across).min(0.5 * view.height / upright);
    let scale = (fits / px_per_mm).min(FINEST);
    // Within the photo where it is larger than the view, in the middle where not.
    let start = |at: f64, room: f64, length: f64| {
        let free = room - scale * length;
        if free > 0.0 {
            0.5 * free
        } else {
            (0.5 * room - scale * at).clamp(free, 0.0)
        }
    };
    Sight {
        scale,
        left: start(middle.0, view.width, photo.width),
        top: start(middle.1, view.height, photo.height),
    }
}

/// A place of the midline in the photo, px, and how many px a mm has there.
fn at(frame: &FaceFrame, above_mm: f64) -> ((f64, f64), f64) {
    let middle = frame.to_photo(Point::<Front>::new(0.0, above_mm));
    let beside = frame.to_photo(Point::<Front>::new(1.0, above_mm));
    ((middle.x, middle.y), middle.distance(beside))
}

/// The pixels of a view that hold everything within these corners and so many
/// mm around; `None` where it shows nothing of that.
pub fn patch(
    frame: &FaceFrame,
    sight: Sight,
    view: (u32, u32),
    corners: impl Iterator<Item = Point<Front>>,
    around_mm: f64,
) -> Option<Patch> {
    let (_, px_per_mm) = at(frame, 0.0);
    let around = around_mm * px_per_mm * sight.scale;
    let spots = corners.map(|p| sight.to_stage(frame.to_photo(p)));
    let bounds = spots.fold(None, |bounds: Option<[f64; 4]>, s| {
        let [left, top, right, bottom] = bounds.unwrap_or([s.x, s.y, s.x, s.y]);
        Some([left.min(s.x), top.min(s.y), right.max(s.x), bottom.max(s.y)])
    });
    let [left, top, right, bottom] = bounds?;
    // A cast keeps within the type's bounds.
    let low = |v: f64| (v - around).floor() as u32;
    let high = |v: f64, most: u32| ((v + around).ceil() as u32).min(most);
    let (left, top) = (low(left), low(top));
    let width = high(right, view.0).checked_sub(left)?;
    let height = high(bottom, view.1).checked_sub(top)?;
    (width > 0 && height > 0).then_some(Patch {
        left,
        top,
        width,
        height,
    })
}

/// Where the patch's pixels lie on the face.
pub fn window(frame: &FaceFrame, sight: Sight, patch: Patch) -> Option<Window> {
    let front = |column: f64, row: f64| frame.to_front(sight.to_photo(Spot::new(column, row)));
    let (left, top) = (f64::from(patch.left), f64::from(patch.top));
    let corner = front(left, top);
    let right: Vector<Front> = front(left + 1.0, top) - corner;
    let down = front(left, top + 1.0) - corner;
    Window::new((patch.width, patch.height), corner, right, down)
}
