//! A typical face in the round, and how far people differ from it.
//!
//! A photograph has no depth. What a turned head or a near camera does to it
//! follows from how far each landmark lies in front of the pupils or behind
//! them; this is where that comes from. It estimates pose and what pose
//! costs; no measured place is ever moved by it.
//!
//! # Source
//! Eye corners, nose, bridge, chin, lids and brows are vertices of the
//! canonical face of the MediaPipe project (Apache-2.0; npm package
//! @mediapipe/face_mesh 0.4.1657299874; which vertex is which landmark is our
//! reading), less the middle of its pupils, (0, 26, 39) by our reading,
//! because it has none. Iris rim 5.85 beside the pupil (half of 11.71, Rüfer
//! et al. 2005). The middle of the ear: 76 from the midline and 88 behind the
//! pupils, plausible values of our own. The spreads between people are ours,
//! rounded up from what surveys of faces give (Farkas 1994, from memory;
//! exophthalmometry about 16 ± 2.5 mm from orbital rim to cornea, from
//! memory). From the start of the brow to its peak and to its tail the skin
//! goes back by 9.0 ± 1.7 and 24.0 ± 4.1 mm on twelve open heads (CC0; the
//! tests have them), 8.8 and 23.2 on this face: with the 3 mm of the start
//! that makes 3.4 and 5.0 for peak and tail.

use ophryon_frames::Side;

use crate::{Landmark, MiddleLandmark, SidedLandmark};

/// One place of the typical face with its spreads (standard deviations
/// between people), mm. x toward the client's left, y up, z toward the
/// camera, from the middle of the pupils.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Solid {
    pub x: f64,
    pub y: f64,
    pub z: f64,
    /// Of x, alike on both sides.
    pub x_sd: f64,
    /// Of y, alike on both sides.
    pub y_sd: f64,
    /// Of z.
    pub z_sd: f64,
}

/// How far the middle of a pair of landmarks, or a landmark of the middle,
/// lies off the middle of the face by nature, mm (SD).
///
/// Mirrored landmarks of faces miss one another by 0.96 ± 0.52 mm (Chou et
/// al., J Clin Med 2019;8:648; abstract), so the middle of a pair lies off by
/// about half of that. A single place has no partner to share it with: √2
/// times as much. The ears and the chin, farther out, are ours.
pub(crate) const fn uneven_sd_mm(landmark: Landmark) -> f64 {
    match landmark {
        Landmark::Sided(_, SidedLandmark::EarMiddle) => 1.0,
        Landmark::Sided(..) => 0.5,
        Landmark::Middle(MiddleLandmark::Chin) => 1.5,
        Landmark::Middle(_) => 0.7,
    }
}

/// Half of how much higher a landmark lies than its partner, beyond what the
/// tilt of the whole explains, mm (SD): as uneven up and down as to the side;
/// ears seldom sit level. Ours.
pub(crate) const fn slant_sd_mm(landmark: SidedLandmark) -> f64 {
    match landmark {
        SidedLandmark::EarMiddle => 2.5,
        _ => 0.7,
    }
}

/// Where a place lies on a typical face.
pub(crate) const fn solid(landmark: Landmark) -> Solid {
    let ([x, y, z], [x_sd, y_sd, z_sd]) = match landmark {
        Landmark::Sided(side, l) => {
            let ([x, y, z], spread) = left(l);
            let x = match side {
                Side::Left => x,
                Side::Right => -x,
            };
            ([x, y, z], spread)
        }
        Landmark::Middle(l) => middle(l),
    };
    Solid {
        x,
        y,
        z,
        x_sd,
        y_sd,
        z_sd,
    }
}

/// How far in front of the pupils a landmark lies that is seen so far from
/// the midline, mm. A brow runs round the temple, so that the farther out
/// one of its places is, the deeper it lies: the slopes are those of the mean
/// face between the vertices on either side of it.
pub(crate) fn depth_mm(landmark: Landmark, x: f64) -> f64 {
    let place = solid(landmark);
    let per_mm = match landmark {
        Landmark::Sided(_, SidedLandmark::BrowStartTop | SidedLandmark::BrowStartBottom) => -0.17,
        Landmark::Sided(_, SidedLandmark::BrowPeak | SidedLandmark::BrowLowerArch) => -0.58,
        Landmark::Sided(_, SidedLandmark::BrowTail) => -1.08,
        _ => 0.0,
    };
    // Within what people differ by; beyond, the slope is a guess.
    let out = (x.abs() - place.x.abs()).clamp(-8.0, 8.0);
    place.z + per_mm * out
}

type Row = ([f64; 3], [f64; 3]);

/// The client's left. The pupils are the origin of depth, but their own
/// differs between the eyes of a person by a fraction of a millimetre.
const fn left(landmark: SidedLandmark) -> Row {
    match landmark {
        SidedLandmark::Pupil => ([31.5, 0.0, 0.0], [1.8, 0.5, 0.5]),
        SidedLandmark::IrisOuterRim => ([37.35, 0.0, -0.9], [1.8, 0.5, 0.7]),
        SidedLandmark::InnerCorner => ([18.56, -0.15, -1.42], [1.5, 1.0, 2.0]), // 362
        SidedLandmark::OuterCorner => ([44.46, 0.64, -7.27], [2.0, 1.5, 2.5]),  // 263
        SidedLandmark::NoseWing => ([17.86, -35.78, 9.50], [1.6, 3.0, 3.0]),    // 358
        SidedLandmark::LowerLid => ([37.0, -4.5, -2.65], [2.0, 1.0, 2.0]),      // near 373
        SidedLandmark::EarMiddle => ([76.0, -11.0, -88.0], [4.0, 5.0, 6.0]),
        SidedLandmark::BrowStartTop => ([13.96, 24.12, 14.16], [2.5, 3.0, 3.0]), // 336
        SidedLandmark::BrowStartBottom => ([12.21, 15.42, 12.06], [2.5, 3.0, 3.0]), // 285
        SidedLandmark::BrowPeak => ([39.87, 25.09, 5.66], [4.0, 3.0, 3.4]),      // 334
        SidedLandmark::BrowLowerArch => ([41.62, 18.05, 3.99], [4.0, 3.0, 3.4]), // 282, 283
        SidedLandmark::BrowTail => ([52.53, 12.82, -5.37], [4.0, 3.5, 5.0]),     // 276
    }
}

const fn middle(landmark: MiddleLandmark) -> Row {
    match landmark {
        MiddleLandmark::Bridge => ([0.0, 6.71, 13.36], [0.0, 4.0, 3.0]), // 168
        MiddleLandmark::NoseBase => ([0.0, -46.89, 21.58], [0.0, 3.5, 4.0]), // 2
        MiddleLandmark::Chin => ([0.0, -120.03, 3.64], [0.0, 7.0, 7.0]), // 152
    }
}

/// Depth of the plane in which scale is wanted, mm in front of the pupils:
/// that of the brows, as the mean of their start, peak and tail.
pub(crate) const BROW_PLANE_MM: f64 = ((14.16 + 12.06) / 2.0 + 5.66 - 5.37) / 3.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_brow_plane_is_the_mean_of_the_brows_own_places() {
        let z = |l| solid(Landmark::Sided(Side::Left, l)).z;
        let start = 0.5 * (z(SidedLandmark::BrowStartTop) + z(SidedLandmark::BrowStartBottom));
        let mean = (start + z(SidedLandmark::BrowPeak) + z(SidedLandmark::BrowTail)) / 3.0;
        assert!((mean - BROW_PLANE_MM).abs() < 1e-12);
    }

    /// Landmarks of the open mean face, less the middle of its pupils.
    #[test]
    fn it_is_the_open_mean_face() {
        let figures = include_str!("../../../tests/fixtures/mean-face-landmarks.csv");
        let mut compared = 0;
        for line in figures.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let cells: Vec<&str> = line.split(',').collect();
            let landmark = Landmark::from_id(cells[0]).unwrap();
            if matches!(landmark, Landmark::Sided(_, SidedLandmark::BrowLowerArch)) {
                continue; // Between two vertices of it.
            }
            let of = |i: usize| cells[i].parse::<f64>().unwrap();
            let place = solid(landmark);
            let off = [
                place.x - of(2),
                place.y - (of(3) - 26.0),
                place.z - (of(4) - 39.0),
            ];
            assert!(off.iter().all(|v| v.abs() < 0.01), "{landmark}: {off:?}");
            compared += 1;
        }
        assert!(compared > 15, "{compared}");
    }

    #[test]
    fn the_sides_mirror_each_other() {
        for landmark in Landmark::in_order() {
            let (here, there) = (solid(landmark), solid(landmark.partner()));
            assert!((here.x + there.x).abs() < 1e-12, "{landmark}");
            assert!((here.y - there.y).abs() + (here.z - there.z).abs() < 1e-12);
        }
    }
}
