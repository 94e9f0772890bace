//! Where a brow stands among published measures.
//!
//! Said, not scored: the publications are opinions and averages of certain
//! people, they disagree, and a comparison of three construction rules found
//! no difference between them ([`NO_BEST_RULE`]). Everything is measured as
//! the publications did it, in the frontal view.

use ophryon_frames::{Front, Point, Side, Vector};
use serde::Serialize;

use crate::{EyeSide, Outline};

/// Why nothing here is called right or wrong.
pub const NO_BEST_RULE: &str = "Published comparisons found no rule better than another (Hamamoto et al., Facial Plast Surg 2013;29:76-82: three rules, no difference, P = .2454), so this says where the brows stand, not where they ought to.";

/// How much of a publication was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// Its abstract.
    Abstract,
}

impl Seen {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Abstract => "abstract read",
        }
    }
}

/// A published figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Published {
    /// Mean, or the one figure given.
    pub mean: f64,
    /// Standard deviation, where given.
    pub sd: Option<f64>,
    /// Of whom.
    pub whom: &'static str,
    /// Where.
    pub source: &'static str,
    /// How much of it was read.
    pub seen: Seen,
}

/// Unit of a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StandingUnit {
    /// Millimetres as seen from the front.
    Mm,
    /// Degrees.
    Degrees,
    /// A share, 1 being the whole.
    Share,
}

/// One measure of one side beside what was published of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Standing {
    /// An id: "take-off".
    pub id: &'static str,
    /// What is measured, with both its landmarks.
    pub name: &'static str,
    /// As measured; `None` where a landmark is missing.
    pub value: Option<f64>,
    /// Its unit.
    pub unit: StandingUnit,
    /// What was published; empty where no figure was found.
    pub published: &'static [Published],
}

const TAKE_OFF: [Published; 1] = [Published {
    mean: 12.0,
    sd: Some(5.2),
    whom: "Korean women in their twenties, n = 99",
    source: "J Craniofac Surg, May 2018",
    seen: Seen::Abstract,
}];

const PEAK_OF_EYE: [Published; 2] = [
    Published {
        mean: 0.929,
        sd: Some(0.146),
        whom: "women at random, n = 105",
        source: "Roth and Metzinger, Arch Facial Plast Surg 2003;5:235-9",
        seen: Seen::Abstract,
    },
    Published {
        mean: 0.978,
        sd: Some(0.131),
        whom: "models, n = 100",
        source: "Roth and Metzinger, Arch Facial Plast Surg 2003;5:235-9",
        seen: Seen::Abstract,
    },
];

const PEAK_OF_BROW: [Published; 1] = [Published {
    mean: 0.67,
    sd: None,
    whom: "near the last third, n = 50",
    source: "Pham et al., Aesthet Surg J 2010;30:297-300",
    seen: Seen::Abstract,
}];

const PEAK_HEIGHT: [Published; 1] = [Published {
    mean: 1.01,
    sd: Some(0.23),
    whom: "Korean women in their twenties, n = 99",
    source: "J Craniofac Surg, May 2018",
    seen: Seen::Abstract,
}];

const ABOVE_PUPIL: [Published; 1] = [Published {
    mean: 25.0,
    sd: None,
    whom: "n = 50",
    source: "McKinney et al., Aesthetic Plast Surg 1991;15:141-7",
    seen: Seen::Abstract,
}];

const ABOVE_IRIS: [Published; 2] = [
    Published {
        mean: 19.7,
        sd: None,
        whom: "women of 213 adults; higher with age",
        source: "inferior corneal limbus to brow, Ophthalmic Plast Reconstr Surg",
        seen: Seen::Abstract,
    },
    Published {
        mean: 19.4,
        sd: None,
        whom: "men of 213 adults; higher with age",
        source: "inferior corneal limbus to brow, Ophthalmic Plast Reconstr Surg",
        seen: Seen::Abstract,
    },
];

/// One side's shape and eye as seen from the front.
#[derive(Debug, Clone, Copy)]
pub struct SeenSide<'a> {
    /// Which side the outline lies on.
    pub side: Side,
    /// The outline where it lies.
    pub outline: &'a Outline<Front>,
    /// Middle of the front edge, reflected to the client's left.
    pub start: Point<Front>,
    /// The peak, likewise.
    pub peak: Point<Front>,
    /// The lower arch, likewise.
    pub lower_arch: Point<Front>,
    /// The tip, likewise.
    pub tail: Point<Front>,
    /// Landmarks of this side, likewise.
    pub eye: &'a EyeSide,
    /// Outer eye corner of the other side, reflected to the left by its own
    /// side.
    pub other_outer_corner: Point<Front>,
}

/// All measures of one side, always the same and in the same order.
pub fn standing(seen: &SeenSide<'_>) -> Vec<Standing> {
    let eye = seen.eye;
    // The line through both outer corners, from the other one to this one.
    let other = Point::<Front>::new(-seen.other_outer_corner.x, seen.other_outer_corner.y);
    let corners = eye.outer_corner - other;
    let rise = seen.peak.midpoint(seen.lower_arch) - seen.start;
    let eye_width = eye.outer_corner.x - eye.inner_corner.x;
    let length = seen.tail.x - seen.start.x;
    let share = |part: f64, whole: f64| finite(part / whole).filter(|_| whole > 0.0);
    let above_corners = corners.unit().map(|u| u.cross(seen.peak - other));
    let edges = edges_above(seen);
    let lower_rim = eye
        .iris_outer_rim
        .map(|rim| eye.pupil.y - rim.distance(eye.pupil));
    let row = |id, name, value: Option<f64>, unit, published| Standing {
        id,
        name,
        value: value.and_then(finite),
        unit,
        published,
    };
    let none: &'static [Published] = &[];
    vec![
        row(
            "take-off",
            "take-off: start to mid-brow at the peak, against the outer eye corners' line",
            Some(rise.degrees() - corners.degrees()),
            StandingUnit::Degrees,
            &TAKE_OFF,
        ),
        row(
            "peak-of-eye",
            "peak past the inner eye corner, share of the eye's width",
            share(seen.peak.x - eye.inner_corner.x, eye_width),
            StandingUnit::Share,
            &PEAK_OF_EYE,
        ),
        row(
            "peak-of-brow",
            "peak past the start, share of start to tail",
            share(seen.peak.x - seen.start.x, length),
            StandingUnit::Share,
            &PEAK_OF_BROW,
        ),
        row(
            "peak-height",
            "peak above the outer eye corners' line, share of the eye's width",
            above_corners.and_then(|mm| share(mm, eye_width)),
            StandingUnit::Share,
            &PEAK_HEIGHT,
        ),
        row(
            "above-pupil",
            "upper edge above the middle of the pupil",
            edges.map(|(_, upper)| upper),
            StandingUnit::Mm,
            &ABOVE_PUPIL,
        ),
        row(
            "above-iris",
            "lower edge above the lowest point of the iris",
            edges
                .zip(lower_rim)
                .map(|((lower, _), rim)| lower + eye.pupil.y - rim),
            StandingUnit::Mm,
            &ABOVE_IRIS,
        ),
        row(
            "start-above-corner",
            "start above the inner eye corner",
            Some(seen.start.y - eye.inner_corner.y),
            StandingUnit::Mm,
            none,
        ),
        row(
            "peak-above-corner",
            "peak above the outer eye corner",
            Some(seen.peak.y - eye.outer_corner.y),
            StandingUnit::Mm,
            none,
        ),
        row(
            "tail-above-corner",
            "tail above the outer eye corner",
            Some(seen.tail.y - eye.outer_corner.y),
            StandingUnit::Mm,
            none,
        ),
    ]
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// Lower and upper edge on the upright through the pupil, mm above it.
fn edges_above(seen: &SeenSide<'_>) -> Option<(f64, f64)> {
    let pupil = seen.side.front_as_left(seen.eye.pupil);
    let hits = seen.outline.crossings(pupil, Vector::new(0.0, 1.0));
    match hits[..] {
        [lower, .., upper] => Some((lower, upper)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use crate::{Form, Handle, Limits, Offset, draw};
    use ophryon_frames::Wrap;

    /// On a flat face, worked out by hand from the points.
    fn plain_face(side: Side) -> Vec<Standing> {
        let eye = EyeSide {
            inner_corner: Point::new(16.0, -1.0),
            outer_corner: Point::new(44.5, 0.0),
            nose_wing: Point::new(17.0, -38.0),
            pupil: Point::new(31.5, 0.0),
            iris_outer_rim: Some(Point::new(37.35, 0.0)),
            lower_lid: None,
        };
        let brow = draw(&plain(), &Form::default(), &Limits::default()).unwrap();
        let outline = brow.placed(side, &Offset::default()).seen(&Wrap::Flat);
        let at = |handle| {
            let p = brow.points().at(handle);
            Point::new(p.x, p.y)
        };
        standing(&SeenSide {
            side,
            outline: &outline,
            start: at(Handle::Start),
            peak: at(Handle::Peak),
            lower_arch: at(Handle::LowerArch),
            tail: at(Handle::Tail),
            eye: &eye,
            other_outer_corner: Point::new(44.5, 0.0),
        })
    }

    #[test]
    fn a_plain_brow_stands_where_worked_out_by_hand() {
        for side in Side::BOTH {
            let rows = plain_face(side);
            let value = |id: &str| rows.iter().find(|r| r.id == id).unwrap().value.unwrap();
            let near = |id: &str, known: f64, within: f64| {
                assert!((value(id) - known).abs() < within, "{id} {}", value(id));
            };
            // Start (15, 20), middle at the peak (41.75, 25.75).
            near("take-off", libm::atan(5.75 / 26.75).to_degrees(), 1e-9);
            near("peak-of-eye", 25.0 / 28.5, 1e-12);
            near("peak-of-brow", 26.0 / 42.0, 1e-12);
            near("peak-height", 29.5 / 28.5, 1e-12);
            // A top line that bends steadily over its last 9.1 of 26 mm rises
            // from (15, 24) by 4.047 over 16.9; the fairest one is close.
            near("above-pupil", 24.0 + 16.5 * 4.047_17 / 16.9, 0.06);
            // 31.5 is just past where the lower line's rounding begins.
            near("above-iris", 16.0 + 16.5 * 3.6 / 13.75 + 5.85, 0.25);
            near("tail-above-corner", 15.5, 1e-12);
        }
    }

    #[test]
    fn a_canted_face_is_measured_against_its_own_line() {
        let level = plain_face(Side::Left);
        let take_off = |rows: &[Standing]| rows[0].value.unwrap();
        let brow = draw(&plain(), &Form::default(), &Limits::default()).unwrap();
        let outline = brow
            .placed(Side::Left, &Offset::default())
            .seen(&Wrap::Flat);
        let eye = EyeSide {
            inner_corner: Point::new(16.0, -1.0),
            outer_corner: Point::new(44.5, 1.0),
            nose_wing: Point::new(17.0, -38.0),
            pupil: Point::new(31.5, 0.0),
            iris_outer_rim: None,
            lower_lid: None,
        };
        let rows = standing(&SeenSide {
            side: Side::Left,
            outline: &outline,
            start: Point::new(15.0, 20.0),
            peak: Point::new(41.0, 29.5),
            lower_arch: Point::new(42.5, 22.0),
            tail: Point::new(57.0, 15.5),
            eye: &eye,
            other_outer_corner: Point::new(44.5, -1.0),
        });
        let canted = libm::atan(2.0 / 89.0).to_degrees();
        assert!((take_off(&level) - take_off(&rows) - canted).abs() < 1e-9);
        // Without the iris there is no lowest point of it.
        let iris = rows.iter().find(|r| r.id == "above-iris").unwrap();
        assert_eq!(iris.value, None);
    }
}
