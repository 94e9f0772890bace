//! The way out of a conflict: the smallest move of one point that resolves it.

use ophryon_frames::{Lateral, Vector};

use crate::draw::{attempt, can_draw};
use crate::fair::Bounds;
use crate::{BrowPoints, Conflict, Form, Handle, Limits, Remedy, Way};

/// Farthest the search for a remedy moves a point, and how finely, mm.
const REMEDY_MM: u32 = 20;
const REMEDY_STEP_MM: f64 = 0.05;

/// Halvings until it is known by how much a bound is missed: to a hundredth of
/// a millimetre where it is a few.
const SHORT_ROUNDS: u32 = 10;

/// Tightest radius that is looked at, mm, and most bent top line.
const TIGHTEST_MM: f64 = 0.2;
const MOST_BENT_MM: f64 = 5.0;

/// The moves tried, the likeliest first: most conflicts are a tail too near.
const MOVES: [(Handle, Way); 10] = [
    (Handle::Tail, Way::Out),
    (Handle::Tail, Way::Down),
    (Handle::Tail, Way::Up),
    (Handle::Peak, Way::Down),
    (Handle::Peak, Way::Up),
    (Handle::LowerArch, Way::Down),
    (Handle::LowerArch, Way::Up),
    (Handle::FrontTop, Way::Up),
    (Handle::FrontBottom, Way::Up),
    (Handle::FrontBottom, Way::Down),
];

/// Looks for the smallest single move that lets the brow be drawn, and writes
/// it into the conflict.
pub(crate) fn with_remedy(
    conflict: Conflict,
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
) -> Conflict {
    let mut found: Option<Remedy> = None;
    for (handle, way) in MOVES {
        let less_than = found.map_or(f64::from(REMEDY_MM), |r| r.by_mm);
        let works = |mm: f64| {
            let moved = points.moved(handle, direction(way) * mm);
            can_draw(&moved, form, limits)
        };
        if let Some(by_mm) = smallest_move(works, less_than) {
            found = Some(Remedy { handle, way, by_mm });
        }
    }
    let eased = |ease: &dyn Fn(&mut Bounds, f64), most: f64| {
        short_by(most, |by| {
            let mut bounds = Bounds::of(limits);
            ease(&mut bounds, by);
            attempt(points, form, limits, &bounds).is_ok()
        })
    };
    match conflict {
        Conflict::PeakTooTight { least_mm, .. } => Conflict::PeakTooTight {
            least_mm,
            short_mm: eased(&|b, by| b.upper_radius_mm -= by, least_mm - TIGHTEST_MM),
            remedy: found,
        },
        Conflict::TopLineBent { most_mm, .. } => Conflict::TopLineBent {
            most_mm,
            short_mm: eased(&|b, by| b.straight_mm += by, MOST_BENT_MM),
            remedy: found,
        },
        Conflict::ArchTooTight { .. } => Conflict::ArchTooTight {
            short_mm: eased(
                &|b, by| b.lower_radius_mm -= by,
                Bounds::of(limits).lower_radius_mm - TIGHTEST_MM,
            ),
            remedy: found,
        },
        Conflict::Taper { .. } => {
            let length = points.lower_arch.distance(points.tail);
            Conflict::Taper {
                short_mm: eased(&|b, by| b.closing -= by / length, length),
                remedy: found,
            }
        }
        Conflict::EdgesMeet {
            lateral_mm, gap_mm, ..
        } => Conflict::EdgesMeet {
            lateral_mm,
            gap_mm,
            remedy: found,
        },
        // These say what to do for each point themselves.
        Conflict::Points(_) | Conflict::Limits(_) | Conflict::Form(_) => conflict,
    }
}

/// By how much one bound must be eased; `None` where even the most doesn't
/// help.
fn short_by(most: f64, works: impl Fn(f64) -> bool) -> Option<f64> {
    if most <= 0.0 || !works(most) {
        return None;
    }
    let (mut short, mut enough) = (0.0, most);
    // A few rounds: a limit without any sense is not worth more.
    for _ in 0..SHORT_ROUNDS {
        let middle = 0.5 * (short + enough);
        if works(middle) {
            enough = middle
        } else {
            short = middle
        }
    }
    Some(enough)
}

fn direction(way: Way) -> Vector<Lateral> {
    match way {
        Way::Out => Vector::new(1.0, 0.0),
        Way::Up => Vector::new(0.0, 1.0),
        Way::Down => Vector::new(0.0, -1.0),
    }
}

/// The least distance after which it works, to [`REMEDY_STEP_MM`], if it is
/// less than another; found in whole steps first, since what works need not
/// keep working farther out.
fn smallest_move(works: impl Fn(f64) -> bool, less_than: f64) -> Option<f64> {
    let first = (1..=REMEDY_MM)
        .map(f64::from)
        .take_while(|mm| mm - 1.0 < less_than)
        .find(|mm| works(*mm))?;
    let (mut short, mut enough) = (first - 1.0, first);
    while enough - short > REMEDY_STEP_MM {
        let middle = 0.5 * (short + enough);
        if works(middle) {
            enough = middle
        } else {
            short = middle
        }
    }
    // Rounded up to what is said, so that doing what is said is enough.
    let said = (enough * 10.0).ceil() / 10.0;
    let by_mm = if works(said) { said } else { enough };
    (by_mm < less_than).then_some(by_mm)
}
