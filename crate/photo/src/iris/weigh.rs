//! What speaks for each rim, and whether it is enough.

use ophryon_frames::{Photo, Point, Vector};

use super::rim::Rim;
use super::{CATCH_MM, Iris, RoughScale, WeakEvidence};

/// Weight below which nothing is claimed. Set on rendered eyes between those
/// that were found and those that were not; skin, hair and nostrils stay far
/// below it.
const ENOUGH: f64 = 0.045;
/// The same where no scale says how large an iris is: anything round would do.
const ENOUGH_OF_ANY_SIZE: f64 = 0.15;
/// A second rim elsewhere that weighs more than this against the first: it
/// can't be told which is right.
const ALIKE: f64 = 0.6;
/// A rim around another weighs at least this against it: the other is the
/// pupil's.
const AROUND: f64 = 0.2;
/// Share of a side that must be seen.
const LEAST_SIDE: f64 = 0.2;

/// Least uncertainty, in radii: 0.03 mm, what the rim's own softness leaves.
const FLOOR: f64 = 0.005;
/// And what the px leave.
const FLOOR_PX: f64 = 0.08;
/// The fit's own uncertainties are too small by so much, because lids and
/// lashes are no chance: across, down, radius. Found on rendered eyes.
const MORE: [f64; 3] = [1.2, 1.8, 1.6];

/// The rim to believe.
pub fn choose(rims: Vec<Rim>, tap: Point<Photo>, rough: RoughScale) -> Result<Iris, WeakEvidence> {
    let mut weighed: Vec<(f64, Rim)> = rims
        .into_iter()
        .map(|rim| (weight(&rim, tap, rough), rim))
        .collect();
    weighed.sort_by(|a, b| b.0.total_cmp(&a.0));
    let Some((mut weight, mut best)) = weighed.first().copied() else {
        return Err(WeakEvidence::NoRim);
    };
    // A pupil has a rim too, in the middle of a larger one.
    let around = weighed.iter().skip(1).find(|(w, rim)| {
        *w > AROUND * weight
            && rim.radius_px > 1.6 * best.radius_px
            && rim.centre.distance(best.centre) < 0.2 * rim.radius_px
    });
    if let Some((w, rim)) = around {
        (weight, best) = (*w, *rim);
    }
    let enough = if rough.likely_radius().is_some() {
        ENOUGH
    } else {
        ENOUGH_OF_ANY_SIZE
    };
    if weight < enough {
        let sides = best.sides[0].min(best.sides[1]);
        let hidden = weight > 0.3 * enough && (sides < 2.0 * LEAST_SIDE || best.seen < 0.25);
        return Err(if hidden {
            WeakEvidence::Hidden
        } else {
            WeakEvidence::NoRim
        });
    }
    let another = weighed.iter().skip(1).find(|(_, rim)| {
        let apart = 0.1 * best.radius_px;
        let inside = rim.radius_px < 0.6 * best.radius_px
            && rim.centre.distance(best.centre) < 0.2 * best.radius_px;
        if inside {
            return false;
        }
        rim.centre.distance(best.centre) > apart || (rim.radius_px - best.radius_px).abs() > apart
    });
    if another.is_some_and(|(w, _)| *w > ALIKE * weight) {
        return Err(WeakEvidence::Ambiguous);
    }
    let floor = libm::hypot(FLOOR * best.radius_px, FLOOR_PX);
    let sd = |i: usize| libm::hypot(MORE[i] * best.sd_px[i], floor);
    Ok(Iris {
        centre: best.centre,
        radius_px: best.radius_px,
        aspect: best.aspect,
        centre_sd_px: Vector::new(sd(0), sd(1)),
        radius_sd_px: sd(2),
        seen: best.seen,
    })
}

/// 0 for nothing to 1 for a perfect rim. A product, so that everything must be
/// about right: an iris has two sides in sight, white on both, a dark middle,
/// a likely size, and lies near the tap.
fn weight(rim: &Rim, tap: Point<Photo>, rough: RoughScale) -> f64 {
    let [left, right] = rim.outside;
    let outside = 0.5 * (left + right);
    let inside = 0.5 * (rim.inside[0] + rim.inside[1]);
    if outside <= 0.0 {
        return 0.0;
    }
    let in_sight = (rim.seen + 0.3) * (rim.sides[0].min(rim.sides[1]) - LEAST_SIDE).max(0.0);
    let even = (left.min(right) / left.max(right)).max(0.0).sqrt();
    let contrast = ((outside - inside) / outside).max(0.0);
    let dark = ((outside - rim.core) / outside).max(0.0);
    let size = rough.likely_radius().map_or(1.0, |(likely, sd)| {
        let z = libm::log(rim.radius_px / likely) / sd;
        libm::exp(-0.5 * z * z)
    });
    // In catches, by the rim's own size.
    let off = rim.centre.distance(tap) / rim.radius_px * (0.5 * ophryon_face::IRIS_MM / CATCH_MM);
    let near = if off > 1.25 {
        0.0
    } else {
        libm::exp(-0.4 * off * off)
    };
    1.4 * in_sight * even * contrast * dark * dark * size * near
}
