//! Where a landmark is likely to be, so that the screen can go there before
//! the artist does. Never used to measure anything.

use ophryon_frames::{Photo, Point, Side, Vector};

use crate::{Landmark, Landmarks, MiddleLandmark, SidedLandmark};

/// Two taps nearer than this say too little about size and roll, mm on the
/// typical face.
const LEAST_SPAN_MM: f64 = 20.0;

/// Where a place lies on a typical face, front frame of the client's left,
/// mm, with the distance within which a real one lies (ours, rounded up from
/// adults' spread).
const fn typical(landmark: SidedLandmark) -> (f64, f64, f64) {
    match landmark {
        SidedLandmark::Pupil => (31.5, 0.0, 16.0),
        SidedLandmark::IrisOuterRim => (37.4, 0.0, 14.0),
        SidedLandmark::InnerCorner => (16.0, -1.0, 16.0),
        SidedLandmark::OuterCorner => (44.5, 0.0, 16.0),
        SidedLandmark::NoseWing => (17.0, -38.0, 20.0),
        SidedLandmark::LowerLid => (37.4, -5.0, 14.0),
        SidedLandmark::EarMiddle => (76.0, -11.0, 32.0),
        SidedLandmark::BrowStartTop => (15.0, 23.0, 18.0),
        SidedLandmark::BrowStartBottom => (15.0, 15.0, 18.0),
        SidedLandmark::BrowPeak => (40.0, 27.0, 20.0),
        SidedLandmark::BrowLowerArch => (42.0, 20.0, 20.0),
        SidedLandmark::BrowTail => (54.0, 17.0, 22.0),
    }
}

const fn typical_middle(landmark: MiddleLandmark) -> (f64, f64, f64) {
    match landmark {
        MiddleLandmark::Bridge => (0.0, 2.0, 20.0),
        MiddleLandmark::NoseBase => (0.0, -47.0, 22.0),
        MiddleLandmark::Chin => (0.0, -108.0, 38.0),
    }
}

/// A place of the typical face in a plane with y down, as photos have it.
fn typical_place(landmark: Landmark) -> (Vector<Photo>, f64) {
    let (x, y, radius) = match landmark {
        Landmark::Sided(side, l) => {
            let (x, y, radius) = typical(l);
            (side.sign() * x, y, radius)
        }
        Landmark::Middle(l) => typical_middle(l),
    };
    (Vector::new(x, -y), radius)
}

/// A guess: the landmark is likely within `radius_px` of `centre`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// The likeliest place.
    pub centre: Point<Photo>,
    /// How far off it may be, px.
    pub radius_px: f64,
}

impl Landmarks {
    /// Where `landmark` is likely to be: its own tap if there is one, else a
    /// typical face laid over the taps by least squares (similarity, closed
    /// form in complex numbers). With a single tap the face is taken as
    /// upright and `mm_per_px` gives its size. `None` while too little is
    /// known.
    pub fn expected(&self, landmark: Landmark, mm_per_px: Option<f64>) -> Option<Expected> {
        let taps: Vec<(Vector<Photo>, Point<Photo>)> = self
            .iter()
            .filter(|(_, p)| p.is_finite())
            .map(|(l, p)| (typical_place(l).0, p))
            .collect();
        let (px_per_mm, roll, from, to) = laid_over(&taps, mm_per_px)?;
        let (place, radius_mm) = typical_place(landmark);
        let v = place - from;
        let guessed = to
            + Vector::new(
                px_per_mm * (roll.x * v.x - roll.y * v.y),
                px_per_mm * (roll.y * v.x + roll.x * v.y),
            );
        Some(Expected {
            centre: self.get(landmark).unwrap_or(guessed),
            radius_px: radius_mm * px_per_mm,
        })
    }

    /// The part of the photo that shows both eyes and brows, once it is known
    /// where they are.
    pub fn brow_region(&self, mm_per_px: Option<f64>) -> Option<Expected> {
        let bridge = self.expected(Landmark::Middle(MiddleLandmark::Bridge), mm_per_px)?;
        let tail = |side| {
            let tail = Landmark::Sided(side, SidedLandmark::BrowTail);
            self.expected(tail, mm_per_px)
        };
        let reach = tail(Side::Right)?.centre.distance(tail(Side::Left)?.centre);
        Some(Expected {
            centre: bridge.centre,
            radius_px: 0.62 * reach,
        })
    }
}

type Laid = (f64, Vector<Photo>, Vector<Photo>, Point<Photo>);

/// Scale, unit complex turn, centroid of the typical places, centroid of the taps.
fn laid_over(taps: &[(Vector<Photo>, Point<Photo>)], mm_per_px: Option<f64>) -> Option<Laid> {
    let n = taps.len() as f64;
    if taps.is_empty() {
        return None;
    }
    let from = taps
        .iter()
        .fold(Vector::new(0.0, 0.0), |sum, (v, _)| sum + *v * (1.0 / n));
    let to = taps.iter().fold(Point::new(0.0, 0.0), |sum, (_, p)| {
        sum + Vector::new(p.x / n, p.y / n)
    });
    let span = taps
        .iter()
        .map(|(v, _)| (*v - from).length())
        .fold(0.0, f64::max);
    if 2.0 * span < LEAST_SPAN_MM {
        let px_per_mm = 1.0 / mm_per_px.filter(|k| k.is_finite() && *k > 0.0)?;
        return Some((px_per_mm, Vector::new(1.0, 0.0), from, to));
    }
    let (mut re, mut im, mut size) = (0.0, 0.0, 0.0);
    for (v, p) in taps {
        let (a, b) = (*v - from, *p - to);
        re += a.x * b.x + a.y * b.y;
        im += a.x * b.y - a.y * b.x;
        size += a.dot(a);
    }
    let turn = Vector::new(re, im);
    Some((turn.length() / size, turn.unit()?, from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The typical face itself, 10 px per mm, turned by so many degrees.
    fn tapped(landmarks: &[Landmark], degrees: f64) -> Landmarks {
        let mut taps = Landmarks::default();
        for &l in landmarks {
            let v = typical_place(l).0.turned(degrees) * 10.0;
            taps.set(l, Point::new(1500.0, 2000.0) + v);
        }
        taps
    }

    fn sided(side: Side, l: SidedLandmark) -> Landmark {
        Landmark::Sided(side, l)
    }

    #[test]
    fn two_taps_place_all_others_on_a_turned_face() {
        let corners = [
            sided(Side::Right, SidedLandmark::OuterCorner),
            sided(Side::Right, SidedLandmark::InnerCorner),
        ];
        let all = tapped(&Landmark::in_order(), 7.0);
        let some = tapped(&corners, 7.0);
        for l in Landmark::in_order() {
            let guess = some.expected(l, None).unwrap();
            assert!(guess.centre.distance(all.get(l).unwrap()) < 1e-6, "{l}");
            assert!((100.0..400.0).contains(&guess.radius_px));
        }
    }

    #[test]
    fn one_tap_needs_the_scale() {
        let one = tapped(&[sided(Side::Right, SidedLandmark::Pupil)], 0.0);
        let other = sided(Side::Left, SidedLandmark::Pupil);
        assert_eq!(one.expected(other, None), None);
        let guess = one.expected(other, Some(0.1)).unwrap();
        assert!((guess.centre.x - 1815.0).abs() < 1e-6);
        assert_eq!(Landmarks::default().expected(other, Some(0.1)), None);
    }

    #[test]
    fn a_landmark_that_was_tapped_is_where_it_was_tapped() {
        let mut taps = tapped(&Landmark::in_order(), 0.0);
        let tail = sided(Side::Left, SidedLandmark::BrowTail);
        let place = Point::new(2100.0, 1900.0);
        taps.set(tail, place);
        assert_eq!(taps.expected(tail, None).unwrap().centre, place);
        let region = taps.brow_region(None).unwrap();
        assert!(region.centre.distance(Point::new(1500.0, 1980.0)) < 20.0);
    }
}
