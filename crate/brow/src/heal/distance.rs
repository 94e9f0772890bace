//! How far an outline has to be moved, for the area or the thickness that is
//! wanted.

use ophryon_frames::Lateral;

use super::ShrinkBy;
use super::gauge::Gauge;
use crate::inset::{Ground, Moved, Toward};

/// How near the share is met: a millionth of the brow.
const MET: f64 = 1e-8;

/// Thickness is read off the fitted outline, which leaps by less than this, mm
/// (mm² for an area), where a piece is halved once more.
const LEAP: f64 = 5e-4;

/// Rounds before the distance is given up; halving alone needs about forty.
const MOST_ROUNDS: u32 = 60;

/// Cuts before the quick search for an area gives way to the one that halves.
const MOST_CUTS: u32 = 8;

/// The distance that leaves, or gives, so much area or thickness of the body;
/// `None` where none does.
pub(super) fn distance_for(
    gauge: &Gauge<'_>,
    toward: Toward,
    by: ShrinkBy,
    wanted: f64,
) -> Option<(f64, Moved<Lateral>)> {
    let outline = gauge.brow.outline();
    let ground = &Ground::of(outline)?;
    let sign = match toward {
        Toward::Inside => -1.0,
        Toward::Outside => 1.0,
    };
    let close = MET * wanted;
    match by {
        ShrinkBy::Area => sought_area(ground, toward, wanted).or_else(|| {
            let first = sign * (wanted - ground.area) / ground.length;
            sought(ground, toward, first, close, |m| {
                (m.area - wanted, sign * m.length)
            })
        }),
        ShrinkBy::Thickness => {
            let before = gauge.body(std::slice::from_ref(outline));
            let first = 0.5 * sign * (wanted - before);
            sought(ground, toward, first, close, |m| {
                (gauge.body(&m.outlines) - wanted, sign * 2.0)
            })
        }
    }
}

/// The distance at which `off` is nothing: Newton's steps by the slope that
/// `off` gives with its value, halved where they leave what is known. `None`
/// where no distance does it.
fn sought(
    ground: &Ground,
    toward: Toward,
    first: f64,
    close: f64,
    off: impl Fn(&Moved<Lateral>) -> (f64, f64),
) -> Option<(f64, Moved<Lateral>)> {
    let (mut near, mut far) = (0.0, f64::INFINITY);
    let mut distance = first;
    for _ in 0..MOST_ROUNDS {
        let m = ground.moved(distance, toward)?;
        let (value, slope) = off(&m);
        let settled = far - near < 1e-9 && value.abs() < LEAP;
        if (value.abs() <= close || settled) && !m.outlines.is_empty() {
            return Some((distance, m));
        }
        // Too little moved as long as the value would go on toward 0.
        if value * slope < 0.0 {
            near = distance
        } else {
            far = distance
        }
        let step = distance - value / slope;
        let inside = step > near && step < far;
        distance = match (inside, far.is_finite()) {
            (true, _) => step,
            (false, true) => 0.5 * (near + far),
            (false, false) => 2.0 * near,
        };
        if far - near < 1e-12 {
            return None;
        }
    }
    None
}

/// The same for an area, without a fit before the last round: the area's slope
/// is the length of the line, and the length changes nearly evenly with the
/// distance, so that two or three cuts do. `None` where that leads nowhere.
fn sought_area(ground: &Ground, toward: Toward, wanted: f64) -> Option<(f64, Moved<Lateral>)> {
    let sign = match toward {
        Toward::Inside => -1.0,
        Toward::Outside => 1.0,
    };
    let mut distance = sign * (wanted - ground.area) / ground.length;
    for _ in 0..MOST_CUTS {
        let cut = ground.cut(distance, toward)?;
        let off = cut.area - wanted;
        if off.abs() <= MET * wanted {
            return Some((distance, cut.fitted()?)).filter(|(_, m)| !m.outlines.is_empty());
        }
        // off + sign length s + bend s²/2 = 0, by the root that is small.
        let (slope, bend) = (
            sign * cut.length,
            sign * (cut.length - ground.length) / distance,
        );
        let square = slope * slope - 2.0 * bend * off;
        if square <= 0.0 {
            return None;
        }
        distance -= 2.0 * off / (slope + slope.signum() * square.sqrt());
        if distance <= 0.0 {
            return None;
        }
    }
    None
}
