//! From strokes to the constrained outline that is closest to them.
//!
//! Strokes are cleaned and parted ([`strokes`]), told apart by edge
//! ([`edges`]), made one smooth line each ([`line`]), read for the five points
//! ([`find`]); then the points are moved until the outline that [`crate::draw`]
//! makes of them lies closest to what was drawn ([`refine`]). The shape is
//! always one that [`crate::draw`] gives, so it keeps every constraint, and
//! says how far it lies from the strokes ([`told`]) and why ([`why`]).

mod edges;
mod find;
mod line;
mod nearest;
mod present;
mod refine;
mod strokes;
mod told;
mod why;

use ophryon_frames::{Lateral, Point};

use crate::draw::drawn;
use crate::{Brow, BrowPoints, Form, Guide, GuideSource, Handle, Limits, Weights};

use find::{Found, POINTS, Told};
use present::Present;
use refine::Target;

pub use strokes::LeftOut;
pub use told::FollowedTo;
pub use why::WhyApart;

/// How finely the sketched lines are handed on as a guide, mm.
const GUIDE_STEP_MM: f64 = 0.5;

/// Sketched lines that lie this near to the outline, mm, and as near as
/// [`WITHIN_SPREAD`] of what the strokes spread, need no guide.
const NEAR_MM: f64 = 0.02;
const WITHIN_SPREAD: f64 = 0.3;

/// A guide is followed when it brings the outline nearer by at least this
/// share; less is the trembling of the hand, which five points smooth better.
const WORTH_A_GUIDE: f64 = 0.15;

/// How firmly a sketched line is followed, times the usual weight; the first
/// that serves.
const FIRMER: [f64; 4] = [1.0, 10.0, 100.0, 1000.0];

/// Most rounds of moving the points, by themselves and with a guide; they
/// settle in three to five.
const ROUNDS: u32 = 8;
const GUIDED_ROUNDS: u32 = 2;

/// How often the guide is laid anew once the points have moved, and what share
/// that must gain to be done again.
const GUIDED_TIMES: u32 = 3;
const WORTH_A_ROUND: f64 = 0.2;

/// How near to the present shape the search for a drawable one goes.
const HALVINGS: u32 = 7;

/// What became of a sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketched {
    /// The closest outline, with the points and the form that give it.
    pub brow: Brow,
    /// How far the strokes lie from it.
    pub followed: FollowedTo,
    /// How far the strokes lie from their own smooth lines, mm (robust
    /// standard deviation): the trembling, and the distance between strokes
    /// drawn twice.
    pub spread_mm: f64,
    /// The points that the sketch shows; the others stayed, or nearly.
    pub shown: Vec<Handle>,
    /// Why the outline lies apart from the sketch where it does by more than
    /// the strokes' own spread; `None` where it follows.
    pub why: Option<WhyApart>,
    /// What was not used.
    pub left_out: LeftOut,
}

/// A sketch that shows no brow. The present shape stays.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SketchError {
    /// No stroke, or strokes without a point.
    #[error("nothing is drawn yet; draw along the upper or the lower edge")]
    Nothing,
    /// Not one point is a number.
    #[error("none of the {count} points is a number; draw again")]
    NotNumbers {
        /// How many there were.
        count: usize,
    },
    /// Not one point lies where a face is.
    #[error("all {count} points lie off the face; check the scale or the side, and draw again")]
    OffTheFace {
        /// How many there were.
        count: usize,
    },
    /// Nothing as long as an edge can be told by.
    #[error(
        "the strokes reach only {along_mm:.1} mm along the brow; draw at least {least_mm:.0} mm of an edge"
    )]
    TooShort {
        /// How far they reach, mm.
        along_mm: f64,
        /// How far they must, mm.
        least_mm: f64,
    },
    /// The closest brow lies so far off that no brow was drawn.
    #[error(
        "this is no sketch of a brow: the closest one lies {off_mm:.0} mm off; draw along the brow's upper or lower edge, and take back what lies elsewhere"
    )]
    FarFromABrow {
        /// How far a stroke lies from the closest outline, mm.
        off_mm: f64,
    },
    /// The brow would be thicker than any.
    #[error(
        "this is no sketch of a brow: it would be {thick_mm:.0} mm thick; draw along the brow's upper or lower edge, or both where you want a new one"
    )]
    TooThick {
        /// How thick it would be, mm.
        thick_mm: f64,
    },
    /// The brow would lie below the eyes.
    #[error(
        "this is no sketch of a brow: it would lie below the pupils; draw along the brow's upper or lower edge"
    )]
    BelowThePupils,
    /// The brow would start on the midline or beyond it.
    #[error(
        "this is no sketch of one brow: it would start {}; draw each brow on its own side, from its front to its tail",
        from_midline(*.start_mm)
    )]
    AtTheMidline {
        /// Distance of its start from the midline, mm; negative beyond it.
        start_mm: f64,
    },
}

fn from_midline(start_mm: f64) -> String {
    match start_mm {
        x if x <= -0.05 => format!("{:.1} mm beyond the midline", -x),
        x => format!("{:.1} mm from the midline", x.abs()),
    }
}

/// What lies farther from the closest brow, mm, is no sketch of one: more than
/// a brow is thick (ours).
pub const FARTHEST_SKETCH_MM: f64 = 10.0;

/// No brow that is sketched is thicker, mm: twice a full one (ours).
pub const THICKEST_SKETCH_MM: f64 = 20.0;

/// No brow that is sketched starts nearer to the midline, mm (ours).
pub const NEAREST_START_MM: f64 = 2.0;

/// Shortest stretch of an edge that can be told from a slip of the pen, mm.
pub const SHORTEST_SKETCH_MM: f64 = 5.0;

/// The constrained outline closest to strokes.
///
/// # Units and conventions
/// Side-neutral on the skin, mm, without the side's offset. Strokes in any
/// order and direction, drawn over as often as one likes, one or both edges,
/// open or closed, whole or in part; what is not drawn stays as `present` has
/// it. At most some hundred places are worked with, so that a sketch of any
/// length takes a few milliseconds.
///
/// # Errors
/// [`SketchError`] where nothing of a brow can be read. A sketch that no brow
/// can follow is no error: the closest shape comes with the reason
/// ([`Sketched::why`]).
pub fn sketch(
    strokes: &[Vec<Point<Lateral>>],
    present: &Brow,
    limits: &Limits,
) -> Result<Sketched, SketchError> {
    let cleaned = strokes::clean(strokes);
    let left_out = cleaned.left_out;
    if cleaned.told.is_empty() {
        let off_the_face = left_out.off_the_face + left_out.beyond_midline;
        let count = left_out.not_numbers + off_the_face;
        return Err(match (count, off_the_face) {
            (0, _) => SketchError::Nothing,
            (_, 0) => SketchError::NotNumbers { count },
            _ => SketchError::OffTheFace { count },
        });
    }
    let present = Present::of(present);
    let edges = edges::told_apart(&cleaned.pieces, &present);
    let too_short = |along_mm| SketchError::TooShort {
        along_mm,
        least_mm: SHORTEST_SKETCH_MM,
    };
    let Some(found) = find::find(&edges, &present, limits) else {
        return Err(too_short(reach(&cleaned.told)));
    };
    let longest = [&found.upper, &found.lower]
        .into_iter()
        .flatten()
        .map(|l| l.to - l.from)
        .fold(0.0, f64::max);
    if longest < SHORTEST_SKETCH_MM {
        return Err(too_short(longest));
    }
    let target = Target::new(&edges, &found, limits);
    let brow = closest(&target, &found, &present, limits);
    let followed = FollowedTo::measure(&cleaned.told, &brow, &found);
    if followed.largest_mm > FARTHEST_SKETCH_MM {
        return Err(SketchError::FarFromABrow {
            off_mm: followed.largest_mm,
        });
    }
    let thick_of = |brow: &Brow| {
        let p = brow.points();
        let body = p.peak.y - p.lower_arch.y;
        body.max(p.front_top.y - p.front_bottom.y)
    };
    let thick_mm = thick_of(&brow);
    if thick_mm > THICKEST_SKETCH_MM && thick_mm > thick_of(present.brow) {
        return Err(SketchError::TooThick { thick_mm });
    }
    if brow.points().peak.y < 0.0 {
        return Err(SketchError::BelowThePupils);
    }
    let start_of = |brow: &Brow| brow.points().at(Handle::Start).x;
    let start_mm = start_of(&brow);
    // One that stands there already may be sketched on.
    if start_mm < NEAREST_START_MM && start_mm < start_of(present.brow) {
        return Err(SketchError::AtTheMidline { start_mm });
    }
    let why = why::why_apart(&followed, &found, &brow, limits);
    let shown = |h: &Handle| found.told(*h) == Told::Drawn;
    Ok(Sketched {
        spread_mm: found.spread_mm(),
        shown: POINTS.into_iter().filter(shown).collect(),
        brow,
        followed,
        why,
        left_out,
    })
}

/// How far points reach along the brow, mm.
fn reach(told: &[Point<Lateral>]) -> f64 {
    let (from, to) = told
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
            (a.min(p.x), b.max(p.x))
        });
    (to - from).max(0.0)
}

/// By the points alone where that follows, else with the sketched lines as a
/// guide, followed as firmly as it takes.
fn closest(target: &Target, found: &Found, present: &Present, limits: &Limits) -> Brow {
    let plain = Form {
        front: present.brow.form().front,
        ..Form::default()
    };
    let whole = found.upper.is_some() && found.lower.is_some();
    // Where an edge stays, whatever shaped it must stay too.
    let form = if whole {
        plain
    } else {
        present.brow.form().clone()
    };
    let first = drawable(&found.points, &form, present, limits);
    let mut best = target.closest(first, ROUNDS);
    let least = target.cost_of(&best);
    let near = NEAR_MM + WITHIN_SPREAD * found.spread_mm();
    if target.lines_off(&best) <= near {
        return best;
    }
    // A line that the points alone can't follow may be one that their best
    // places by themselves lead away from.
    let starts = [*best.points(), found.points];
    let guided = |points: &BrowPoints, firmer: f64| {
        let usual = Weights::default();
        let form = Form {
            guide: Some(guide(points, found, present)?),
            weights: Weights {
                sketch: usual.sketch * firmer,
                ..usual
            },
            front: form.front,
            ..Form::default()
        };
        let brow = drawn(points, &form, limits)?;
        Some((target.cost_of(&brow), brow))
    };
    let tries = FIRMER.into_iter().flat_map(|firmer| {
        let drawn = starts.iter().filter_map(move |p| guided(p, firmer));
        drawn.map(move |(cost, brow)| (cost, brow, firmer))
    });
    let tried: Vec<_> = tries.collect();
    let nearest = tried.iter().map(|t| t.0).fold(f64::INFINITY, f64::min);
    // The least firm that serves as well as any, or nearly.
    let mut tried = tried.into_iter();
    let Some((mut cost, mut brow, firmer)) = tried.find(|t| t.0 * (1.0 - WORTH_A_GUIDE) <= nearest)
    else {
        return best;
    };
    for _ in 0..GUIDED_TIMES {
        let moved = target.closest(brow.clone(), GUIDED_ROUNDS);
        // The guide went along with the points; lay it where it was drawn.
        let Some((its_cost, its)) = guided(moved.points(), firmer) else {
            break;
        };
        if its_cost >= cost {
            break;
        }
        let settled = its_cost > (1.0 - WORTH_A_ROUND) * cost;
        (cost, brow) = (its_cost, its);
        if settled {
            break;
        }
    }
    if cost < (1.0 - WORTH_A_GUIDE) * least {
        best = brow;
    }
    best
}

/// The points if they can be drawn, else the last that can on the way to them
/// from the present shape.
fn drawable(points: &BrowPoints, form: &Form, present: &Present, limits: &Limits) -> Brow {
    if let Some(brow) = drawn(points, form, limits) {
        return brow;
    }
    let was = present.brow.points();
    let toward = |share: f64| {
        let mut between = *points;
        for h in POINTS {
            between = between.with(h, was.at(h).lerp(points.at(h), share));
        }
        between
    };
    let (mut works, mut fails) = (0.0, 1.0);
    let mut best = drawn(was, form, limits).unwrap_or_else(|| present.brow.clone());
    for _ in 0..HALVINGS {
        let middle = 0.5 * (works + fails);
        match drawn(&toward(middle), form, limits) {
            Some(brow) => (best, works) = (brow, middle),
            None => fails = middle,
        }
    }
    best
}

/// The sketched lines, and the present edges where nothing was drawn.
fn guide(points: &BrowPoints, found: &Found, present: &Present) -> Option<Guide> {
    let of = |line: &Option<line::Line>, was: &[Point<Lateral>]| match line {
        None => was.to_vec(),
        Some(line) => {
            let before = was.iter().filter(|p| p.x < line.from - GUIDE_STEP_MM);
            let after = was.iter().filter(|p| p.x > line.to + GUIDE_STEP_MM);
            let steps = ((line.to - line.from) / GUIDE_STEP_MM).ceil().max(1.0);
            let along = (0..=steps as u32)
                .map(|i| line.from + (line.to - line.from) * f64::from(i) / steps)
                .map(|x| Point::new(x, line.height(x)));
            let before = before
                .copied()
                .filter(|_| found.told(Handle::FrontTop) != Told::Drawn);
            let after = after
                .copied()
                .filter(|_| found.told(Handle::Tail) != Told::Drawn);
            before.chain(along).chain(after).collect()
        }
    };
    let upper = of(&found.upper, &present.upper);
    let lower = of(&found.lower, &present.lower);
    Guide::from_lines(points, &upper, &lower, GuideSource::Sketch)
}
