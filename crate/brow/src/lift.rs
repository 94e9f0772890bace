//! Lift without thickening: the top goes up to the upper border of the hair,
//! and the underside by as much.

use ophryon_frames::{Lateral, Point, Vector};

use crate::draw::drawn;
use crate::{Brow, BrowPoints, Form, HairRegion, Limits, Offset, Part, SideMeasures};

/// Most that is lifted in one go, mm: more makes another brow of it (ours).
pub const MOST_LIFT_MM: f64 = 3.0;
/// Least that is worth it, mm: half a ruler's tick is the least a hand draws.
pub const LEAST_LIFT_MM: f64 = 0.25;
/// How near thicknesses stay to what they were, mm.
pub const KEPT_MM: f64 = 0.05;
/// How far the top may come to lie beyond the hair, mm, unless it lay farther
/// before: a straight line can't follow each hair.
const BEYOND_MM: f64 = 0.3;
/// Parts of the whole lift that are tried, from all of it downward.
const PARTS: u32 = 16;
/// Rounds of mending thicknesses after a lift.
const ROUNDS: usize = 6;
/// Where the start's hair is looked at, mm beyond the front: its first hairs
/// stand thin.
const BEHIND_FRONT_MM: f64 = 1.0;

/// A brow lifted to its hair.
#[derive(Debug, Clone, PartialEq)]
pub struct Lifted {
    /// Its points.
    pub points: BrowPoints,
    /// What it wishes of the curve between them: as thick as before.
    pub form: Form,
    /// How far the start went up, mm.
    pub start_mm: f64,
    /// How far peak, lower arch and tail went up, mm.
    pub peak_mm: f64,
    /// How much hair there was above the top, at start and peak, mm.
    pub room_mm: [f64; 2],
}

impl Lifted {
    /// What was done, for the artist.
    pub fn sentence(&self) -> String {
        let [start, peak] = self.room_mm;
        let why = if start - self.start_mm > 0.1 || peak - self.peak_mm > 0.1 {
            "; the hair goes higher, but more would make the brow thicker, leave the hair or break a limit"
        } else {
            ""
        };
        format!(
            "The start goes up by {:.1} mm and the peak by {:.1} mm, no thicker than before{why}.",
            self.start_mm, self.peak_mm
        )
    }
}

/// Why nothing is lifted. The brow stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoLift {
    /// These points can't be drawn as they are.
    #[error("the brow can't be drawn as it is, so it can't be lifted; mend its points first")]
    NotDrawn,
    /// The hair isn't above the brow.
    #[error(
        "there is nothing to lift: the top is at the upper border of the hair, or above it, already"
    )]
    NoHairAbove,
    /// Any lift would break something.
    #[error(
        "the hair reaches {room_mm:.1} mm above the top, but no lift keeps the thickness, the limits and the hair; move the points by hand"
    )]
    NotKept {
        /// The most that hair lies above, mm.
        room_mm: f64,
    },
}

/// Raises the top to the upper border of the hair and takes the same from the
/// underside: front corners by what the hair leaves at the start; peak, lower
/// arch and tail by what it leaves at the peak, so that the tail keeps its
/// direction. At most [`MOST_LIFT_MM`]; as much of it as keeps the limits, the
/// top on the hair, and the thickness at start, body and peak within
/// [`KEPT_MM`]. `hair` lies where the brow does, without a side's offset.
///
/// # Errors
/// [`NoLift`], with the reason.
pub fn lift(
    points: &BrowPoints,
    form: &Form,
    hair: &HairRegion,
    limits: &Limits,
) -> Result<Lifted, NoLift> {
    let before = drawn(points, form, limits).ok_or(NoLift::NotDrawn)?;
    let above = |p: Point<Lateral>| hair.reach(p.x).map_or(0.0, |(_, high)| high - p.y);
    let start_x = points.front_top.x + BEHIND_FRONT_MM;
    let top = upper_edge(&before, points);
    let start = top.iter().find(|p| p.x >= start_x);
    let room = [
        above(*start.unwrap_or(&points.front_top)),
        above(points.peak),
    ]
    .map(|mm| mm.clamp(0.0, MOST_LIFT_MM));
    let most = room[0].max(room[1]);
    if most < LEAST_LIFT_MM {
        return Err(NoLift::NoHairAbove);
    }
    let old = Lie::of(&before, points, hair);
    (1..=PARTS)
        .rev()
        .map(|part| room.map(|mm| mm * f64::from(part) / f64::from(PARTS)))
        .take_while(|by| by[0].max(by[1]) >= LEAST_LIFT_MM)
        .find_map(|by| {
            let (points, form) = lifted(points, form, by, hair, limits, &old)?;
            Some(Lifted {
                points,
                form,
                start_mm: by[0],
                peak_mm: by[1],
                room_mm: room,
            })
        })
        .ok_or(NoLift::NotKept { room_mm: most })
}

/// How a brow lies on its hair.
struct Lie {
    start_mm: f64,
    body_mm: f64,
    peak_mm: f64,
    /// Most that the top of the body lies above the hair, mm.
    beyond_mm: f64,
    inside: f64,
    step_mm: f64,
}

impl Lie {
    fn of(brow: &Brow, points: &BrowPoints, hair: &HairRegion) -> Self {
        let m = SideMeasures::of(brow, &Offset::default());
        let over = |p: &Point<Lateral>| hair.reach(p.x).map_or(0.0, |(_, high)| p.y - high);
        let from = points.front_top.x + BEHIND_FRONT_MM;
        let top = upper_edge(brow, points);
        let fit = hair.fit(brow.outline());
        Self {
            start_mm: m.thickness_start_mm,
            body_mm: m.thickness_body_mm,
            peak_mm: m.thickness_peak_mm,
            beyond_mm: top
                .iter()
                .filter(|p| p.x >= from)
                .map(over)
                .fold(0.0, f64::max),
            inside: fit.share_inside().unwrap_or(0.0),
            step_mm: fit.largest_step_mm,
        }
    }

    /// As thick as before, on the hair, and no limit newly broken.
    fn keeps(&self, before: &Self, limits: &Limits) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= KEPT_MM;
        let least = limits.hair_inside_least.unwrap_or(0.0);
        let most = limits.hair_step_most_mm.unwrap_or(f64::INFINITY);
        near(self.start_mm, before.start_mm)
            && near(self.body_mm, before.body_mm)
            && near(self.peak_mm, before.peak_mm)
            && self.beyond_mm <= before.beyond_mm.max(BEYOND_MM)
            && self.inside >= least.min(before.inside)
            && self.step_mm <= most.max(before.step_mm)
    }
}

/// Places along the top from the front to the peak, from front to back.
fn upper_edge(brow: &Brow, points: &BrowPoints) -> Vec<Point<Lateral>> {
    let segments = brow.outline().segments().iter();
    let upper = segments.filter(|s| matches!(s.part, Part::TopLine | Part::PeakRound));
    let mut along: Vec<Point<Lateral>> = upper
        .flat_map(|s| {
            let curve = s.curve();
            let at = move |i| kurbo::ParamCurve::eval(&curve, f64::from(i) / 8.0);
            (0..=8).map(move |i| Point::from_kurbo(at(i)))
        })
        .filter(|p| p.x <= points.peak.x)
        .collect();
    along.sort_by(|a, b| a.x.total_cmp(&b.x));
    along
}

fn lifted(
    points: &BrowPoints,
    form: &Form,
    by: [f64; 2],
    hair: &HairRegion,
    limits: &Limits,
    old: &Lie,
) -> Option<(BrowPoints, Form)> {
    let up = |mm: f64| Vector::<Lateral>::new(0.0, mm);
    let mut moved = BrowPoints {
        front_top: points.front_top + up(by[0]),
        front_bottom: points.front_bottom + up(by[0]),
        peak: points.peak + up(by[1]),
        lower_arch: points.lower_arch + up(by[1]),
        tail: points.tail + up(by[1]),
    };
    let mut form = form.clone();
    for _ in 0..ROUNDS {
        let brow = drawn(&moved, &form, limits)?;
        let lie = Lie::of(&brow, &moved, hair);
        if lie.keeps(old, limits) {
            return Some((moved, form));
        }
        // What tilting the body did to its thicknesses is taken back below.
        let wished = form
            .body_mm
            .map_or(old.body_mm, |mm| mm + old.body_mm - lie.body_mm);
        form.body_mm = Some(wished);
        moved.lower_arch = moved.lower_arch + up(lie.peak_mm - old.peak_mm);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use proptest::prelude::*;

    /// The brow's own outline as hair, so much higher at start and peak.
    fn hair_above(start: f64, peak: f64) -> HairRegion {
        let points = plain();
        let brow = drawn(&points, &Form::default(), &Limits::default()).unwrap();
        let long = points.peak.x - points.front_top.x;
        let raised = brow.outline().flattened(0.01).into_iter().map(|p| {
            let share = ((p.x - points.front_top.x) / long).clamp(0.0, 1.0);
            Point::new(p.x, p.y + start + (peak - start) * share)
        });
        HairRegion::new(raised.collect()).unwrap()
    }

    fn measures(points: &BrowPoints, form: &Form) -> SideMeasures {
        let brow = drawn(points, form, &Limits::default()).unwrap();
        SideMeasures::of(&brow, &Offset::default())
    }

    #[test]
    fn a_brow_below_its_hair_goes_up_to_it_and_stays_as_thick() {
        let limits = Limits::default();
        for (start, peak) in [(0.6, 1.2), (1.0, 1.0), (1.2, 0.8), (0.0, 0.8)] {
            let hair = hair_above(start, peak);
            let found = lift(&plain(), &Form::default(), &hair, &limits).unwrap();
            let before = measures(&plain(), &Form::default());
            let after = measures(&found.points, &found.form);
            for (a, b) in [
                (before.thickness_start_mm, after.thickness_start_mm),
                (before.thickness_body_mm, after.thickness_body_mm),
                (before.thickness_peak_mm, after.thickness_peak_mm),
            ] {
                assert!((a - b).abs() <= KEPT_MM, "{a} {b}");
            }
            let rise = after.peak_height_mm - before.peak_height_mm;
            assert!((rise - found.peak_mm).abs() < 1e-9);
            assert!((found.start_mm - start).abs() < 0.15, "{found:?}");
            assert!((found.peak_mm - peak).abs() < 0.15, "{found:?}");
            // Lifted once, there is nothing left to lift.
            let again = lift(&found.points, &found.form, &hair, &limits);
            assert_eq!(again, Err(NoLift::NoHairAbove));
        }
    }

    #[test]
    fn nothing_to_lift_is_said_in_words() {
        let lifted = |hair: &HairRegion| lift(&plain(), &Form::default(), hair, &Limits::default());
        assert_eq!(lifted(&hair_above(-1.0, 0.0)), Err(NoLift::NoHairAbove));
        let away = [(80.0, 60.0), (90.0, 60.0), (85.0, 65.0)];
        let away = HairRegion::new(away.map(|(x, y)| Point::new(x, y)).to_vec()).unwrap();
        assert_eq!(lifted(&away), Err(NoLift::NoHairAbove));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// Whatever the hair: lifted within bounds and no thicker, or a reason.
        #[test]
        fn any_hair_lifts_within_bounds_or_says_why(
            start in -3.0..9.0f64,
            peak in -3.0..9.0f64,
            ragged in -4.0..2.0f64,
        ) {
            let mut border: Vec<_> = hair_above(start, peak).border().to_vec();
            for p in border.iter_mut().step_by(3) {
                p.y += ragged;
            }
            let hair = HairRegion::new(border).unwrap();
            match lift(&plain(), &Form::default(), &hair, &Limits::default()) {
                Ok(found) => {
                    let bounds = 0.0..=MOST_LIFT_MM;
                    prop_assert!(bounds.contains(&found.start_mm) && bounds.contains(&found.peak_mm));
                    let (a, b) = (measures(&plain(), &Form::default()), measures(&found.points, &found.form));
                    prop_assert!((a.thickness_body_mm - b.thickness_body_mm).abs() <= KEPT_MM);
                    prop_assert!(found.sentence().ends_with('.'));
                }
                Err(why) => prop_assert!(!why.to_string().is_empty()),
            }
        }
    }
}
