//! How uneven a face is, and how uneven its brows are.
//!
//! Object symmetry: a face against its own mirror image with right and left
//! relabelled (Mardia KV, Bookstein FL, Moreton IJ. Biometrika 2000;87:285-300;
//! Klingenberg CP, Barluenga M, Meyer A. Evolution 2002;56:1909-20). In the
//! plane the best mirror axis has a closed form: with centred landmarks as
//! complex numbers z and partners p, its angle is half the argument of the
//! sum of z_j z_p(j), and it runs through the centroid.

use ophryon_frames::{Front, Point, Side, Vector};

use crate::{FaceError, FrontFace, SidedLandmark};

/// How far a face is from its mirror image. The brows take no part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MirrorResidual {
    /// Root mean square distance of the landmarks from their mirrored
    /// partners, mm, mirrored at the upright through the origin (x = 0). A
    /// middle landmark is its own partner.
    pub about_upright_mm: f64,
    /// The same at the best possible axis; never larger.
    pub about_best_axis_mm: f64,
    /// A point of the best axis: the centroid of the landmarks.
    pub axis_through: Point<Front>,
    /// The best axis against the upright, degrees; positive when its upper
    /// end leans toward the client's left.
    pub axis_tilt_degrees: f64,
    /// How many landmarks took part.
    pub landmarks: usize,
}

/// Compares the face with its mirror image. `None` when there is no landmark
/// with its partner, or when they show no axis.
pub fn mirror_residual(face: &FrontFace) -> Option<MirrorResidual> {
    let pairs: Vec<(Point<Front>, Point<Front>)> = face
        .points
        .iter()
        .filter(|(landmark, _)| !landmark.is_brow())
        .filter_map(|(landmark, &p)| Some((p, *face.points.get(&landmark.partner())?)))
        .collect();
    if pairs.is_empty() {
        return None;
    }
    let n = pairs.len() as f64;
    let centre = Point::<Front>::new(
        pairs.iter().map(|(p, _)| p.x).sum::<f64>() / n,
        pairs.iter().map(|(p, _)| p.y).sum::<f64>() / n,
    );
    // Sum of the complex products of partners.
    let (mut re, mut im) = (0.0, 0.0);
    for (p, q) in &pairs {
        let (z, w) = (*p - centre, *q - centre);
        re += z.x * w.x - z.y * w.y;
        im += z.x * w.y + z.y * w.x;
    }
    let twice = Vector::<Front>::new(re, im).unit()?;
    let rms = |mirror: &dyn Fn(Point<Front>) -> Point<Front>| {
        let sum: f64 = pairs
            .iter()
            .map(|(p, q)| {
                let gap = *p - mirror(*q);
                gap.dot(gap)
            })
            .sum();
        (sum / n).sqrt()
    };
    // Reflection about an axis at half the angle of `twice`: conjugate, turn.
    let about_axis = |q: Point<Front>| {
        let v = q - centre;
        centre + Vector::new(twice.x * v.x + twice.y * v.y, twice.y * v.x - twice.x * v.y)
    };
    // The axis is a line, so the angle is taken within a quarter turn of up.
    let axis = 0.5 * libm::atan2(twice.y, twice.x).to_degrees();
    let axis_tilt_degrees = if axis > 0.0 {
        90.0 - axis
    } else {
        -90.0 - axis
    };
    Some(MirrorResidual {
        about_upright_mm: rms(&|q| Point::new(-q.x, q.y)),
        about_best_axis_mm: rms(&about_axis),
        axis_through: centre,
        axis_tilt_degrees,
        landmarks: pairs.len(),
    })
}

/// Right against left at one place of the natural brows, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrowDifference {
    /// Height above the pupil line, right minus left: positive when the
    /// client's right brow is the higher one there.
    pub height_mm: f64,
    /// Distance from the midline, right minus left: positive when the
    /// client's right brow is farther out there.
    pub from_midline_mm: f64,
}

/// The natural brows' differences at the places an artist compares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrowDifferences {
    /// Middle of the front edge, between its upper and lower end.
    pub start: BrowDifference,
    /// Highest point of the upper edge.
    pub peak: BrowDifference,
    /// End of the tail.
    pub tail: BrowDifference,
}

/// Compares the natural brows at start, peak and tail.
///
/// # Errors
/// [`FaceError::Missing`] for the first brow landmark that was not tapped.
pub fn brow_differences(face: &FrontFace) -> Result<BrowDifferences, FaceError> {
    let at = |landmark| -> Result<BrowDifference, FaceError> {
        Ok(BrowDifference::of(
            face.need(Side::Right, landmark)?,
            face.need(Side::Left, landmark)?,
        ))
    };
    let start = |side| -> Result<Point<Front>, FaceError> {
        let top = face.need(side, SidedLandmark::BrowStartTop)?;
        Ok(top.midpoint(face.need(side, SidedLandmark::BrowStartBottom)?))
    };
    Ok(BrowDifferences {
        start: BrowDifference::of(start(Side::Right)?, start(Side::Left)?),
        peak: at(SidedLandmark::BrowPeak)?,
        tail: at(SidedLandmark::BrowTail)?,
    })
}

impl BrowDifference {
    fn of(right: Point<Front>, left: Point<Front>) -> Self {
        Self {
            height_mm: right.y - left.y,
            from_midline_mm: Side::Right.sign() * right.x - Side::Left.sign() * left.x,
        }
    }
}
