//! What moves the landmarks of a levelled face, and so every number that is
//! taken from it.
//!
//! Each input of the whole chain, from the taps to the front view, is moved up
//! and down by its own standard uncertainty, everything is computed again, and
//! half of what changes is its share: JCGM 100:2008, 5.1.3, note 2. Any
//! function of the landmarks then has its [`Budget`].

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use ophryon_frames::{Front, Point, Vector};

use crate::input::{Axis, Input};
use crate::lens::Nearness;
use crate::level::midline_marks;
use crate::typical::{solid, uneven_sd_mm};
use crate::view::{View, shift};
use crate::{
    Budget, Cause, CombinedScale, FaceError, FaceFrame, FrontFace, Landmark, Landmarks, Pose,
    TapSpread, Unit,
};

pub(crate) type Shifts = BTreeMap<Landmark, Vector<Front>>;

/// What moves the landmarks of one levelled face.
#[derive(Debug, Clone, PartialEq)]
pub struct Influences {
    face: FrontFace,
    /// Each moved by its own standard uncertainty.
    inputs: Vec<(Input, Shifts)>,
    /// What a near camera is believed to cost.
    near_cost: Shifts,
    /// What a turned head is believed to cost on top of that.
    pose_cost: Shifts,
}

/// What the table of influences is made from.
pub(crate) struct Chain<'a> {
    pub landmarks: &'a Landmarks,
    pub spread: &'a TapSpread,
    pub combined: &'a CombinedScale,
    pub frame: &'a FaceFrame,
    pub face: &'a FrontFace,
    pub pose: &'a Pose,
    pub nearness: Nearness,
}

impl Influences {
    pub(crate) fn of(chain: &Chain<'_>) -> Result<Self, FaceError> {
        let mut inputs: Vec<(Input, Shifts)> = Vec::new();
        chain.taps(&mut inputs)?;
        chain.unevenness(&mut inputs)?;
        chain.scale(&mut inputs);
        let believed = Believed {
            face: chain.face,
            pose: chain.pose,
            nearness: chain.nearness,
        };
        for (input, mut shifts) in believed.view()? {
            if input == Input::Nearness {
                chain.enlarge(&mut shifts, chain.combined.moves.of(input));
            }
            inputs.push((input, shifts));
        }
        inputs.extend(believed.depth()?);
        let (near_cost, pose_cost) = believed.costs()?;
        Ok(Self {
            face: chain.face.clone(),
            inputs,
            near_cost,
            pose_cost,
        })
    }

    /// Every independent input with what it moves.
    pub(crate) fn inputs(&self) -> &[(Input, Shifts)] {
        &self.inputs
    }

    /// What nearness and pose are believed to cost together.
    pub(crate) fn cost(&self) -> Shifts {
        added(&self.near_cost, &self.pose_cost)
    }

    /// The budget of any number taken from the landmarks. `measure` is given
    /// the places (mm, front view) and says the number, or `None` where a
    /// landmark is missing.
    pub fn budget(
        &self,
        unit: Unit,
        measure: impl Fn(&dyn Fn(Landmark) -> Option<Point<Front>>) -> Option<f64>,
    ) -> Option<Budget> {
        let asked = RefCell::new(BTreeSet::new());
        let value = measure(&|l| {
            asked.borrow_mut().insert(l);
            self.face.points.get(&l).copied()
        })?;
        let asked = asked.into_inner();
        let moved = |shifts: &[(&Shifts, f64)]| {
            let measured = measure(&|l| {
                let mut p = *self.face.points.get(&l)?;
                for (shift, sign) in shifts {
                    if let Some(by) = shift.get(&l) {
                        p = p + *by * *sign;
                    }
                }
                Some(p)
            });
            let mut by = measured? - value;
            if unit == Unit::Degrees {
                // Across the seam of a full turn.
                by -= 360.0 * (by / 360.0).round();
            }
            Some(by)
        };
        let mut squares: BTreeMap<Cause, f64> = BTreeMap::new();
        let mut add = |cause, square: f64| {
            if square > 0.0 {
                *squares.entry(cause).or_insert(0.0) += square;
            }
        };
        for (input, shifts) in &self.inputs {
            if asked.iter().any(|l| shifts.contains_key(l)) {
                let by = 0.5 * (moved(&[(shifts, 1.0)])? - moved(&[(shifts, -1.0)])?);
                add(input.cause(|l| asked.contains(&l)), by * by);
            }
        }
        // Both costs are believed to be there at once, so they add up or
        // cancel; their causes share what that comes to.
        let (near, turned) = (
            moved(&[(&self.near_cost, 1.0)])?,
            moved(&[(&self.pose_cost, 1.0)])?,
        );
        let both = moved(&[(&self.near_cost, 1.0), (&self.pose_cost, 1.0)])?;
        let share = both * both / (near * near + turned * turned);
        if share.is_finite() {
            add(Cause::Distance, near * near * share);
            add(Cause::Pose, turned * turned * share);
        }
        let finite = value.is_finite() && squares.values().all(|s| s.is_finite());
        finite.then(|| Budget {
            value,
            unit,
            parts: squares.into_iter().map(|(c, s)| (c, s.sqrt())).collect(),
        })
    }
}

impl Chain<'_> {
    /// Every tap, through roll, midline and (for a caliper) scale.
    fn taps(&self, all: &mut Vec<(Input, Shifts)>) -> Result<(), FaceError> {
        let scale = self.frame.scale();
        for (landmark, tap) in self.landmarks.iter() {
            let sd = self.spread.of_landmark(landmark);
            for axis in [Axis::X, Axis::Y] {
                let by = match axis {
                    Axis::X => Vector::new(sd, 0.0),
                    Axis::Y => Vector::new(0.0, sd),
                };
                let mut shifts = if landmark.is_brow() {
                    // A brow moves nothing but itself.
                    let half = self.frame.to_front(tap + by) - self.frame.to_front(tap - by);
                    BTreeMap::from([(landmark, half * 0.5)])
                } else {
                    let seen = |sign: f64| -> Result<FrontFace, FaceError> {
                        let mut taps = self.landmarks.clone();
                        taps.set(landmark, tap + by * sign);
                        let frame = FaceFrame::fit(&taps, scale)?;
                        FrontFace::new(&taps, &frame)
                    };
                    halved(&seen(-1.0)?, &seen(1.0)?)
                };
                // By a caliper between landmarks, their taps make the scale.
                let larger = self.combined.moves.of(Input::Tap(landmark, axis));
                self.enlarge(&mut shifts, larger);
                all.push((Input::Tap(landmark, axis), shifts));
            }
        }
        Ok(())
    }

    /// The middle of each pair beside the middle of the face.
    fn unevenness(&self, all: &mut Vec<(Input, Shifts)>) -> Result<(), FaceError> {
        for mark in midline_marks() {
            let both = self
                .landmarks
                .get(mark)
                .zip(self.landmarks.get(mark.partner()));
            if both.is_none() {
                continue;
            }
            let sd = uneven_sd_mm(mark) * self.pose.unevenness;
            let seen = |mm: f64| -> Result<FrontFace, FaceError> {
                let beside = [(mark, mm)];
                let frame = FaceFrame::fit_beside(self.landmarks, self.frame.scale(), &beside)?;
                FrontFace::new(self.landmarks, &frame)
            };
            all.push((Input::Uneven(mark), halved(&seen(-sd)?, &seen(sd)?)));
        }
        Ok(())
    }

    /// What makes the scale uncertain, taps on landmarks and the camera's
    /// distance aside: those have their own rows.
    fn scale(&self, all: &mut Vec<(Input, Shifts)>) {
        for (input, larger) in &self.combined.moves.0 {
            if matches!(input, Input::Tap(..) | Input::Nearness) {
                continue;
            }
            let mut shifts = Shifts::new();
            self.enlarge(&mut shifts, *larger);
            all.push((*input, shifts));
        }
    }

    /// Everything grows with the scale.
    fn enlarge(&self, shifts: &mut Shifts, larger: f64) {
        if larger == 0.0 {
            return;
        }
        for (landmark, p) in &self.face.points {
            let own = shifts.entry(*landmark).or_insert(Vector::new(0.0, 0.0));
            *own = *own + Vector::new(p.x, p.y) * larger;
        }
    }
}

/// A levelled face with what is believed of how it is seen.
#[derive(Clone, Copy)]
pub(crate) struct Believed<'a> {
    pub face: &'a FrontFace,
    pub pose: &'a Pose,
    pub nearness: Nearness,
}

impl Believed<'_> {
    /// What nearness and pose are believed to cost. Neither is corrected, so
    /// each counts with all of it, and (in [`Believed::view`]) with how far that
    /// belief may be off: together the root of the mean square of the error
    /// (JCGM 100:2008, F.2.4.5, on corrections that are not applied).
    pub(crate) fn costs(&self) -> Result<(Shifts, Shifts), FaceError> {
        let per_mm = self.nearness.per_mm;
        let straight = View {
            nearness: per_mm,
            ..View::FRONT
        };
        let near = self.seen(straight)?;
        let posed = self.seen(self.pose.view(per_mm))?;
        Ok((shifted(self.face, &near), shifted(&near, &posed)))
    }

    /// Turn, tip and nearness.
    pub(crate) fn view(&self) -> Result<Vec<(Input, Shifts)>, FaceError> {
        let one = |(input, lower, upper): (Input, View, View)| {
            Ok((input, halved(&self.seen(lower)?, &self.seen(upper)?)))
        };
        self.views().into_iter().map(one).collect()
    }

    /// How deep the landmarks of this face lie: at the view that is believed,
    /// and once more for each thing in the view that may be off. Depth does
    /// nothing to a face seen from the front and far away, so the products
    /// count as much as it does by itself (JCGM 100:2008, 5.1.2, note on terms
    /// of higher order).
    pub(crate) fn depth(&self) -> Result<Vec<(Input, Shifts)>, FaceError> {
        let mut all = Vec::new();
        let here = self.pose.view(self.nearness.per_mm);
        for landmark in self.face.points.keys() {
            let partner = landmark.partner();
            if *landmark > partner && self.face.points.contains_key(&partner) {
                continue;
            }
            let sd = solid(*landmark).z_sd;
            let nearer = |view: View| -> Result<Shifts, FaceError> {
                let at = |by: f64| view.levelled(self.face, &[(*landmark, by)]);
                Ok(halved(&at(-sd)?, &at(sd)?))
            };
            let alone = nearer(here)?;
            for (_, _, upper) in self.views() {
                let mut product = nearer(upper)?;
                for (l, by) in &mut product {
                    if let Some(without) = alone.get(l) {
                        *by = *by - *without;
                    }
                }
                all.push((Input::Depth(*landmark), product));
            }
            all.push((Input::Depth(*landmark), alone));
        }
        Ok(all)
    }

    /// What may be off in the view, with the view moved down and up by it.
    fn views(&self) -> [(Input, View, View); 3] {
        let here = self.pose.view(self.nearness.per_mm);
        let moved = |yaw: f64, pitch: f64, nearness: f64| View {
            yaw: here.yaw + yaw,
            pitch: here.pitch + pitch,
            nearness: here.nearness + nearness,
        };
        let yaw = self.pose.yaw.sd.to_radians();
        let pitch = self.pose.pitch.sd.to_radians();
        let near = self.nearness.sd;
        [
            (Input::Yaw, moved(-yaw, 0.0, 0.0), moved(yaw, 0.0, 0.0)),
            (
                Input::Pitch,
                moved(0.0, -pitch, 0.0),
                moved(0.0, pitch, 0.0),
            ),
            (
                Input::Nearness,
                moved(0.0, 0.0, -near),
                moved(0.0, 0.0, near),
            ),
        ]
    }

    fn seen(&self, view: View) -> Result<FrontFace, FaceError> {
        view.levelled(self.face, &[])
    }
}

/// One thing and another.
pub(crate) fn added(one: &Shifts, other: &Shifts) -> Shifts {
    let mut all = one.clone();
    for (landmark, by) in other {
        let own = all.entry(*landmark).or_insert(Vector::new(0.0, 0.0));
        *own = *own + *by;
    }
    all
}

fn shifted(before: &FrontFace, after: &FrontFace) -> Shifts {
    let mut all = Shifts::new();
    for (landmark, by) in shift(before, after) {
        all.insert(landmark, by);
    }
    all
}

fn halved(before: &FrontFace, after: &FrontFace) -> Shifts {
    let mut all = shifted(before, after);
    for by in all.values_mut() {
        *by = *by * 0.5;
    }
    all
}
