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

type Shifts = BTreeMap<Landmark, Vector<Front>>;

/// What moves the landmarks of one levelled face.
#[derive(Debug, Clone, PartialEq)]
pub struct Influences {
    face: FrontFace,
    all: Vec<(Input, Shifts)>,
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
        let mut all: Vec<(Input, Shifts)> = Vec::new();
        chain.taps(&mut all)?;
        chain.unevenness(&mut all)?;
        chain.scale(&mut all);
        chain.view(&mut all)?;
        Ok(Self {
            face: chain.face.clone(),
            all,
        })
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
        let mut squares: BTreeMap<Cause, f64> = BTreeMap::new();
        for (input, shifts) in &self.all {
            if !asked.iter().any(|l| shifts.contains_key(l)) {
                continue;
            }
            let moved = |sign: f64| {
                measure(&|l| {
                    let p = *self.face.points.get(&l)?;
                    let by = shifts.get(&l).copied().unwrap_or(Vector::new(0.0, 0.0));
                    Some(p + by * sign)
                })
            };
            let by = 0.5 * (moved(1.0)? - moved(-1.0)?);
            if by != 0.0 {
                *squares
                    .entry(input.cause(|l| asked.contains(&l)))
                    .or_insert(0.0) += by * by;
            }
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
                let beside = Some((mark, mm));
                let frame = FaceFrame::fit_beside(self.landmarks, self.frame.scale(), beside)?;
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

    /// Turn, tip, nearness and depth. None of them is corrected, so each
    /// counts with what it is believed to cost, and with how far that belief
    /// may be off: together the root of the mean square, whatever the sign.
    fn view(&self, all: &mut Vec<(Input, Shifts)>) -> Result<(), FaceError> {
        let Nearness { per_mm, sd } = self.nearness;
        let seen = |view: View, nearer| view.levelled(self.face, nearer);
        let here = self.pose.view(per_mm);
        let straight = View {
            nearness: per_mm,
            ..View::FRONT
        };
        let near = seen(straight, None)?;
        all.push((Input::NearCost, collect(shift(self.face, &near))));
        all.push((Input::PoseCost, collect(shift(&near, &seen(here, None)?))));

        let at = |nearness: f64| View { nearness, ..here };
        let mut shifts = halved(&seen(at(per_mm - sd), None)?, &seen(at(per_mm + sd), None)?);
        self.enlarge(&mut shifts, self.combined.moves.of(Input::Nearness));
        all.push((Input::Nearness, shifts));

        let turned = |by: f64| View {
            yaw: here.yaw + by,
            ..here
        };
        let sd = self.pose.yaw.sd.to_radians();
        let shifts = halved(&seen(turned(-sd), None)?, &seen(turned(sd), None)?);
        all.push((Input::Yaw, shifts));

        let tipped = |by: f64| View {
            pitch: here.pitch + by,
            ..here
        };
        let sd = self.pose.pitch.sd.to_radians();
        let shifts = halved(&seen(tipped(-sd), None)?, &seen(tipped(sd), None)?);
        all.push((Input::Pitch, shifts));

        for landmark in self.face.points.keys() {
            let (partner, left) = (landmark.partner(), *landmark > landmark.partner());
            if left && self.face.points.contains_key(&partner) {
                continue;
            }
            let sd = solid(*landmark).z_sd;
            let nearer = |by: f64| seen(here, Some((*landmark, by)));
            all.push((Input::Depth(*landmark), halved(&nearer(-sd)?, &nearer(sd)?)));
        }
        Ok(())
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

fn collect(shifts: Vec<(Landmark, Vector<Front>)>) -> Shifts {
    let mut all = Shifts::new();
    for (landmark, by) in shifts {
        all.insert(landmark, by);
    }
    all
}

fn halved(before: &FrontFace, after: &FrontFace) -> Shifts {
    let mut all = Shifts::new();
    for (landmark, by) in shift(before, after) {
        all.insert(landmark, by * 0.5);
    }
    all
}
