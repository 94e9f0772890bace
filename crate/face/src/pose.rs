//! Which way the head is turned, from where its landmarks are seen.
//!
//! A typical face in the round is turned, tipped, tilted, moved and resized
//! until it is seen where the landmarks were tapped: least squares weighted by
//! what taps and the differences between people allow, by Gauss and Newton.
//! Pairs are taken as their middle and their half distance: what people
//! differ in alike on both sides says nothing of yaw, and their unevenness
//! little of pitch.
//!
//! A frontal photo can't tell a turned head from an uneven one, so this is a
//! gate and never a correction. How people hold their head when they look
//! into the lens is put in beforehand; the less the photo says, the more that
//! counts.

use ophryon_frames::Side;

use crate::definite::Factored;
use crate::lens::Nearness;
use crate::typical::{slant_sd_mm, solid, uneven_sd_mm};
use crate::view::View;
use crate::{FrontFace, Landmark, MiddleLandmark, SidedLandmark, TapSpread};

/// How far a person who looks into the lens is turned or tipped, degrees
/// (SD). Repeated natural head positions differ by 1.8 to 2.4 degrees in
/// pitch and by less in yaw (stereophotogrammetry of 40 students, Orthod
/// Craniofac Res 2019; abstract; from memory where it appeared), and the
/// camera is seldom quite in front: 3, ours.
const USUAL_SD_DEGREES: f64 = 3.0;

/// Turned or tipped by more than this, another photo is worth more than this
/// one: 20 mm of depth shift by 0.7 mm there, so a distance from the midline
/// differs from its partner by 1.4 mm.
pub const STRAIGHT_DEGREES: f64 = 2.0;

/// Looked at for the pose; the brows never are.
const PAIRS: [SidedLandmark; 5] = [
    SidedLandmark::Pupil,
    SidedLandmark::InnerCorner,
    SidedLandmark::OuterCorner,
    SidedLandmark::NoseWing,
    SidedLandmark::EarMiddle,
];

/// How many measured deviations the usual unevenness counts as, as with taps.
const USUAL_COUNTS_AS: f64 = 6.0;

/// Gauss-Newton is at rest after three or four rounds; the problem is nearly
/// linear at a few degrees.
const ROUNDS: usize = 8;

/// At rest: micrometres and hundred-thousandths of a degree.
const AT_REST: f64 = 1e-6;

/// An angle with its standard uncertainty, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle {
    /// Best estimate.
    pub degrees: f64,
    /// Standard uncertainty (k = 1).
    pub sd: f64,
}

/// Which way the head is turned against the line from the camera to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Positive toward the client's left.
    pub yaw: Angle,
    /// Positive with the chin up.
    pub pitch: Angle,
    /// Both ears were tapped; without them yaw is hardly seen.
    pub by_ears: bool,
    /// How uneven the face is against the usual, as a factor on its spread.
    pub(crate) unevenness: f64,
}

impl Pose {
    /// Turned or tipped by more than [`STRAIGHT_DEGREES`], as far as can be
    /// seen.
    pub fn turned(&self) -> bool {
        self.yaw.degrees.abs() > STRAIGHT_DEGREES || self.pitch.degrees.abs() > STRAIGHT_DEGREES
    }

    /// As the camera sees the head from so near.
    pub(crate) fn view(&self, nearness: f64) -> View {
        View {
            yaw: self.yaw.degrees.to_radians(),
            pitch: self.pitch.degrees.to_radians(),
            nearness,
        }
    }

    /// What is known without a photo.
    pub(crate) const USUAL: Self = Self {
        yaw: Angle {
            degrees: 0.0,
            sd: USUAL_SD_DEGREES,
        },
        pitch: Angle {
            degrees: 0.0,
            sd: USUAL_SD_DEGREES,
        },
        by_ears: false,
        unevenness: 1.0,
    };

    /// From the levelled face. Where the landmarks make no sense, what is
    /// usual.
    pub(crate) fn of(
        face: &FrontFace,
        spread: &TapSpread,
        mm_per_px: f64,
        nearness: Nearness,
    ) -> Self {
        let seen = Seen::of(face, spread, mm_per_px);
        seen.fit(nearness.per_mm).unwrap_or(Self {
            by_ears: seen.by_ears,
            ..Self::USUAL
        })
    }
}

/// A landmark or pair with the taps' standard uncertainty, mm.
#[derive(Debug, Clone, Copy)]
enum Mark {
    Pair(SidedLandmark, [[f64; 2]; 2], f64),
    Single(MiddleLandmark, [f64; 2], f64),
}

struct Seen {
    marks: Vec<Mark>,
    by_ears: bool,
}

/// One equation: what is seen less what is expected, its standard uncertainty,
/// and whether it speaks of right against left.
struct Equation {
    off: f64,
    sd: f64,
    sideways: bool,
}

/// Beside, above, roll, logarithm of size, yaw, pitch; mm and radians.
type Fit = [f64; 6];
const YAW: usize = 4;
const PITCH: usize = 5;

impl Seen {
    fn of(face: &FrontFace, spread: &TapSpread, mm_per_px: f64) -> Self {
        let tap = |l| spread.of_landmark(l) * mm_per_px;
        let mut marks = Vec::new();
        let mut by_ears = false;
        for l in PAIRS {
            let (Some(r), Some(p)) = (face.get(Side::Right, l), face.get(Side::Left, l)) else {
                continue;
            };
            let sd = libm::hypot(
                tap(Landmark::Sided(Side::Right, l)),
                tap(Landmark::Sided(Side::Left, l)),
            );
            // The mean of both, and half their difference, are off by half.
            marks.push(Mark::Pair(l, [[r.x, r.y], [p.x, p.y]], 0.5 * sd));
            by_ears |= l == SidedLandmark::EarMiddle;
        }
        for l in MiddleLandmark::ALL {
            if let Some(p) = face.middle(l) {
                marks.push(Mark::Single(l, [p.x, p.y], tap(Landmark::Middle(l))));
            }
        }
        Self { marks, by_ears }
    }

    /// Where the typical face would be seen.
    fn expected(fit: &Fit, nearness: f64) -> impl Fn(Landmark) -> [f64; 2] + use<> {
        let size = libm::exp(fit[3]);
        let (sin, cos) = libm::sincos(fit[2]);
        let [beside, above] = [fit[0], fit[1]];
        let view = View {
            yaw: fit[YAW],
            pitch: fit[PITCH],
            nearness,
        };
        let view = view.ready();
        move |landmark| {
            let place = solid(landmark);
            let [x, y] = view.of([size * place.x, size * place.y, size * place.z]);
            [x * cos - y * sin + beside, x * sin + y * cos + above]
        }
    }

    /// How far the face of `fit` is from what was seen. `turn` is the turn by
    /// which the spread of depths counts.
    fn equations(&self, fit: &Fit, nearness: f64, turn: &Fit) -> Vec<Equation> {
        let mut all = Vec::with_capacity(4 * self.marks.len());
        let (yaw, pitch) = (turn[YAW], turn[PITCH]);
        let expected = Self::expected(fit, nearness);
        let root = |terms: &[f64]| terms.iter().map(|t| t * t).sum::<f64>().sqrt();
        for mark in &self.marks {
            let mut add = |off: f64, sd: f64, sideways: bool| {
                all.push(Equation { off, sd, sideways });
            };
            match *mark {
                Mark::Pair(l, [r, p], tap) => {
                    let place = solid(Landmark::Sided(Side::Left, l));
                    let uneven = uneven_sd_mm(Landmark::Sided(Side::Left, l));
                    let [er, ep] =
                        [Side::Right, Side::Left].map(|s| expected(Landmark::Sided(s, l)));
                    let off = |i: usize| (r[i] - er[i], p[i] - ep[i]);
                    let ((rx, px), (ry, py)) = (off(0), off(1));
                    let deep = place.z_sd;
                    add(0.5 * (rx + px), root(&[tap, uneven, yaw * deep]), true);
                    add(0.5 * (px - rx), root(&[tap, place.x_sd]), false);
                    add(
                        0.5 * (ry + py),
                        root(&[tap, place.y_sd, pitch * deep]),
                        false,
                    );
                    add(0.5 * (py - ry), root(&[tap, slant_sd_mm(l)]), true);
                }
                Mark::Single(l, p, tap) => {
                    let landmark = Landmark::Middle(l);
                    let place = solid(landmark);
                    let e = expected(landmark);
                    let uneven = uneven_sd_mm(landmark);
                    let deep = place.z_sd;
                    add(p[0] - e[0], root(&[tap, uneven, yaw * deep]), true);
                    add(p[1] - e[1], root(&[tap, place.y_sd, pitch * deep]), false);
                }
            }
        }
        all
    }

    fn fit(&self, nearness: f64) -> Option<Pose> {
        // Fewer equations than unknowns: the usual alone would answer.
        if self.marks.len() < 3 {
            return None;
        }
        let prior = USUAL_SD_DEGREES.to_radians();
        let mut fit: Fit = [0.0; 6];
        let mut covariance = None;
        for _ in 0..ROUNDS {
            let at = self.equations(&fit, nearness, &fit);
            let mut normal = [[0.0; 6]; 6];
            let mut right = [0.0; 6];
            let slopes = self.slopes(&fit, nearness);
            for (i, equation) in at.iter().enumerate() {
                let weight = 1.0 / (equation.sd * equation.sd);
                for a in 0..6 {
                    right[a] += weight * slopes[a][i] * equation.off;
                    for b in 0..6 {
                        normal[a][b] += weight * slopes[a][i] * slopes[b][i];
                    }
                }
            }
            for a in [YAW, PITCH] {
                normal[a][a] += 1.0 / (prior * prior);
                right[a] -= fit[a] / (prior * prior);
            }
            let factored = Factored::new(6, |i, j| normal[i][j])?;
            let step = factored.solve(&right);
            for (a, by) in step.iter().enumerate() {
                fit[a] += by;
            }
            if fit.iter().any(|v| !v.is_finite() || v.abs() > 1e3) {
                return None;
            }
            covariance = Some(factored);
            if step.iter().all(|by| by.abs() < AT_REST) {
                break;
            }
        }
        let covariance = covariance?;
        let (mut chi_squared, mut count) = (0.0, 0);
        for equation in self.equations(&fit, nearness, &fit) {
            if equation.sideways {
                chi_squared += (equation.off / equation.sd) * (equation.off / equation.sd);
                count += 1;
            }
        }
        // Three of the unknowns lie in the sideways equations.
        let degrees = f64::from((count - 3).max(0));
        let unevenness = ((USUAL_COUNTS_AS + chi_squared) / (USUAL_COUNTS_AS + degrees)).sqrt();
        // The more uneven the face, the less its landmarks say of yaw.
        let angle = |a: usize, factor: f64| {
            let sd = covariance.inverse_at(a).sqrt() * factor;
            Angle {
                degrees: fit[a].to_degrees(),
                sd: sd.to_degrees().min(USUAL_SD_DEGREES),
            }
        };
        Some(Pose {
            yaw: angle(YAW, unevenness.max(1.0)),
            pitch: angle(PITCH, 1.0),
            by_ears: self.by_ears,
            unevenness,
        })
    }

    /// What each unknown moves, by central differences over a length at which
    /// the view is straight to nine digits.
    fn slopes(&self, fit: &Fit, nearness: f64) -> [Vec<f64>; 6] {
        const STEP: f64 = 1e-5;
        std::array::from_fn(|a| {
            let moved = |by: f64| {
                let mut other = *fit;
                other[a] += by;
                self.equations(&other, nearness, fit)
            };
            moved(-STEP)
                .into_iter()
                .zip(moved(STEP))
                .map(|(before, after)| (before.off - after.off) / (2.0 * STEP))
                .collect()
        })
    }
}
