//! A style made of a shape that an artist has drawn.

use ophryon_frames::{Side, Sided};

use super::problem::{
    LEAN_MM, PEAK_PLACE, RADIUS_MM, RISE_MM, ROUNDING, STRAIGHT_MM, TAIL_LENGTH, THICKNESS,
};
use super::{Band, Leeway, Style, StyleFront, StyleSide, TailPlace};
use crate::measure::tail_thickness;
use crate::propose::tip;
use crate::{
    Brow, Front, Limits, MappingError, Offset, Rules, SOFTEST_MM, SideMeasures, THICKNESS_RANGE_MM,
};

/// Where along the tail its thickness is taken: a third and two thirds out,
/// as in the styles that come along.
const TAIL_PLACES: [f64; 2] = [0.35, 0.7];

/// A front that leans less than this is upright, mm: what a ruler shows.
const LEANS_MM: f64 = 0.25;

/// How far a face may differ from the one the style was made on (ours, near
/// the leeways of the styles that come along): the peak's place as a share of
/// the eye's width, rise and start in mm, thickness as a share of the start's,
/// the tail's length as a share of the mapped one.
const PEAK_PLACE_ROOM: f64 = 0.12;
const RISE_ROOM_MM: f64 = 2.0;
const START_ROOM_MM: f64 = 1.5;
const THICKNESS_ROOM: f64 = 0.15;
const TAIL_LENGTH_ROOM: f64 = 0.15;

/// The same for what is multiplied: radii, bows and roundings.
const TIMES: f64 = 1.75;

/// A value inside the bounds that a style may have.
fn inside((low, high): (f64, f64), value: f64) -> f64 {
    value.max(low).min(high)
}

/// The band that a face's own value is taken into: it gives the shape's value
/// on this face, and follows a face that goes further the same way.
fn band(range: (f64, f64), usual: f64, own: f64, room: f64) -> Band {
    let usual = inside(range, usual);
    Band {
        least: inside(range, if own > usual { usual - room } else { usual }),
        most: inside(range, if own < usual { usual + room } else { usual }),
    }
}

fn leeway(range: (f64, f64), usual: f64, least: f64, most: f64) -> Leeway {
    Leeway {
        usual: inside(range, usual),
        least: inside(range, least),
        most: inside(range, most),
    }
}

fn around(range: (f64, f64), usual: f64, room: f64) -> Leeway {
    leeway(range, usual, usual - room, usual + room)
}

fn times(range: (f64, f64), usual: f64) -> Leeway {
    leeway(range, usual, usual / TIMES, usual * TIMES)
}

impl Style {
    /// What a drawn brow wants, so that it can be drawn on other faces: its
    /// own proportions, each with room to adapt. On the face it was drawn on
    /// it comes out as it is, but for a line that was sketched or followed.
    ///
    /// # Errors
    /// The face's mapping lines don't reach the brow.
    pub fn made_from(
        name: &str,
        brow: &Brow,
        face: &Sided<StyleSide>,
        rules: &Rules,
        limits: &Limits,
    ) -> Result<Self, MappingError> {
        let points = brow.points();
        let start_mm = points.front_top.y - points.front_bottom.y;
        let share = |mm: f64| mm / start_mm;
        let body_mm = SideMeasures::of(brow, &Offset::default()).thickness_body_mm;
        let run = points.tail - points.lower_arch;
        let mut before = f64::INFINITY;
        let tail = TAIL_PLACES.map(|at| {
            let mm = tail_thickness(brow.outline(), points.lower_arch, run, at);
            // A tail never grows; rounding must not make it.
            before = inside(THICKNESS, share(mm)).min(before);
            TailPlace {
                at,
                thickness: around(THICKNESS, before, THICKNESS_ROOM),
            }
        });
        let mapped = Sided::try_from_fn(|side| {
            let one = face.get(side);
            tip(one.lines, points.lower_arch, one.ear, rules, one.wrap)
        })?;
        let mapped_mm = mapped
            .right
            .midpoint(mapped.left)
            .distance(points.lower_arch);
        let share_of_eye = |side: &StyleSide, x: f64| {
            (x - side.eye.inner_corner.x) / (side.eye.outer_corner.x - side.eye.inner_corner.x)
        };
        let drawn_peak = |side: &StyleSide| {
            let seen = side.wrap.to_front(Side::Left.place(points.peak));
            (share_of_eye(side, seen.x), seen.y)
        };
        let mapped_peak = |side: &StyleSide| {
            let (drawn, height_mm) = drawn_peak(side);
            let mapped = side.lines.peak.at_height(height_mm);
            mapped.map_or(drawn, |at| share_of_eye(side, at.x))
        };
        let mean = |of: &dyn Fn(&StyleSide) -> f64| 0.5 * (of(&face.right) + of(&face.left));
        let lean_mm = points.front_top.x - points.front_bottom.x;
        Ok(Self {
            name: name.trim().to_owned(),
            about: String::new(),
            peak_place: band(
                PEAK_PLACE,
                mean(&|s| drawn_peak(s).0),
                mean(&mapped_peak),
                PEAK_PLACE_ROOM,
            ),
            rise_mm: band(
                RISE_MM,
                points.peak.y - points.front_top.y,
                mean(&|s| s.natural.peak.y - s.natural.start_top.y),
                RISE_ROOM_MM,
            ),
            peak_radius_mm: times(RADIUS_MM, limits.peak_radius_mm),
            rounding: times(ROUNDING, limits.rounding),
            straight_mm: times(STRAIGHT_MM, limits.straight_mm),
            start_mm: band(
                THICKNESS_RANGE_MM,
                start_mm,
                mean(&|s| s.natural.start_top.y - s.natural.start_bottom.y),
                START_ROOM_MM,
            ),
            body: around(THICKNESS, share(body_mm), THICKNESS_ROOM),
            peak: around(
                THICKNESS,
                share(points.peak.y - points.lower_arch.y),
                THICKNESS_ROOM,
            ),
            tail: tail.to_vec(),
            tail_length: around(TAIL_LENGTH, run.length() / mapped_mm, TAIL_LENGTH_ROOM),
            front: match brow.form().front {
                Front::Soft { radius_mm } => StyleFront::Soft {
                    radius_mm: times((0.1, SOFTEST_MM), radius_mm),
                },
                Front::Square if lean_mm.abs() >= LEANS_MM => StyleFront::Slanted {
                    lean_mm: around(LEAN_MM, lean_mm, RISE_ROOM_MM),
                },
                Front::Square => StyleFront::Square,
            },
        })
    }
}
