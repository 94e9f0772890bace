//! Why an outline lies apart from its sketch: what the sketch asks that no brow
//! may do, looked for on the sketched lines themselves.

use ophryon_frames::{Lateral, Point};
use serde::Serialize;

use super::find::{Found, Told};
use super::line::Line;
use super::told::{FollowedTo, follows_mm};
use crate::{Brow, Handle, Limits, Part};

/// Strokes that spread by more than this, mm, run over one another.
const SCRIBBLED_MM: f64 = 2.0;

/// Farther off than this in the mean, mm, no edge of a brow was drawn.
const NO_BROW_MM: f64 = 2.0;

/// What a sketch may break a limit by before that is the reason, mm.
const BROKEN_MM: f64 = 0.2;

/// How finely the sketched lines are looked through, mm.
const SCAN_MM: f64 = 0.5;

/// Chord over which a sketched line's turn is taken, mm each way.
const TURN_MM: f64 = 2.0;

/// Slope that a sketched line must change by to bend another way.
const BEND: f64 = 0.06;

/// Why an outline can't come nearer to its sketch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum WhyApart {
    /// The strokes run over one another.
    #[serde(rename_all = "kebab-case")]
    Scribbled {
        /// How far they spread about the smooth line through them, mm.
        spread_mm: f64,
    },
    /// The strokes run as no edge of a brow does.
    NoBrow,
    /// Strokes lie apart from each other there.
    #[serde(rename_all = "kebab-case")]
    StrokesApart {
        /// How far the stroke lies from the middle of what was drawn, mm.
        apart_mm: f64,
    },
    /// The sketched tail grows thicker toward the tip.
    #[serde(rename_all = "kebab-case")]
    Taper {
        /// By how much, mm.
        grows_mm: f64,
    },
    /// The sketched top line bends where it must be straight.
    #[serde(rename_all = "kebab-case")]
    TopLineStraight {
        /// How far it lies off its chord, mm.
        off_mm: f64,
        /// How far it may, mm.
        most_mm: f64,
    },
    /// The sketched peak is tighter than its radius.
    #[serde(rename_all = "kebab-case")]
    PeakRounded {
        /// Radius that is kept, mm.
        least_mm: f64,
    },
    /// The sketched upper edge falls from the front on.
    #[serde(rename_all = "kebab-case")]
    PeakBelowFront {
        /// How far its peak lies below the front top, mm.
        below_mm: f64,
    },
    /// The sketched edges touch or cross.
    EdgesMeet,
    /// The sketched highest points of the edges lie too near or too far apart.
    #[serde(rename_all = "kebab-case")]
    ArchBehindPeak {
        /// How far behind the peak the sketched lower arch lies, mm.
        behind_mm: f64,
        /// Least that it must.
        least_mm: f64,
        /// Most that it may.
        most_mm: f64,
    },
    /// The sketched edge bends to and fro more often than a brow may.
    #[serde(rename_all = "kebab-case")]
    Waves {
        /// How often it changes its bend.
        bends: u32,
        /// How often it may.
        most: u32,
    },
    /// Nothing of these: the edges are kept smooth.
    Smooth,
}

impl WhyApart {
    /// The reason, to follow "because".
    pub fn words(&self) -> String {
        match self {
            Self::Scribbled { spread_mm } => format!(
                "the strokes run over one another, {spread_mm:.1} mm to either side; draw along each edge"
            ),
            Self::NoBrow => {
                "the strokes don't run as a brow's edges do, from the front up to a highest point and down to one tip"
                    .to_owned()
            }
            Self::StrokesApart { apart_mm } => {
                format!("a stroke lies {apart_mm:.1} mm beside the rest of the sketch there")
            }
            Self::Taper { grows_mm } => format!(
                "the tail must taper and the sketched one grows {grows_mm:.1} mm thicker on its way to the tip"
            ),
            Self::TopLineStraight { off_mm, most_mm } => format!(
                "the top line must be straight to {most_mm:.1} mm and the sketched one bends by {off_mm:.1} mm"
            ),
            Self::PeakRounded { least_mm } => {
                format!(
                    "the peak must be rounded to {least_mm:.1} mm and the sketched one is tighter"
                )
            }
            Self::PeakBelowFront { .. } => {
                "the upper edge must rise to its peak and the sketched one falls from its front on"
                    .to_owned()
            }
            Self::EdgesMeet => "the sketched upper and lower edges touch or cross".to_owned(),
            Self::ArchBehindPeak {
                behind_mm,
                least_mm,
                most_mm,
            } => format!(
                "the lower arch must lie {least_mm:.1} to {most_mm:.1} mm behind the peak and the sketched one lies {} it",
                match *behind_mm {
                    b if b < 0.0 => format!("{:.1} mm before", -b),
                    b => format!("{b:.1} mm behind"),
                }
            ),
            Self::Waves { bends, most } => format!(
                "an edge may change its bend {} and the sketched one does {}",
                times(*most),
                times(*bends)
            ),
            Self::Smooth => "the edges must stay smooth there".to_owned(),
        }
    }
}

fn times(n: u32) -> String {
    match n {
        0 => "nowhere".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// `None` where the outline follows as well as the strokes allow.
pub(super) fn why_apart(
    followed: &FollowedTo,
    found: &Found,
    brow: &Brow,
    limits: &Limits,
) -> Option<WhyApart> {
    if followed.largest_mm <= follows_mm(found) {
        return None;
    }
    let spread_mm = found.spread_mm();
    if spread_mm > SCRIBBLED_MM {
        return Some(WhyApart::Scribbled { spread_mm });
    }
    let part = followed.part;
    let line = if part.is_lower() {
        &found.lower
    } else {
        &found.upper
    };
    let at = followed.farthest;
    // A stroke that lies off what the others say is answered by the others.
    let off_line = [&found.upper, &found.lower]
        .into_iter()
        .flatten()
        .filter(|l| (l.from..=l.to).contains(&at.x))
        .map(|l| off(l, at))
        .fold(f64::INFINITY, f64::min);
    if off_line.is_finite() && off_line > 0.6 * followed.largest_mm {
        return Some(WhyApart::StrokesApart { apart_mm: off_line });
    }
    let both = found.upper.as_ref().zip(found.lower.as_ref());
    let no_brow = followed.rms_mm > NO_BROW_MM;
    if let Some(below_mm) = found.upper.as_ref().and_then(|u| falls(u, found)) {
        return Some(WhyApart::PeakBelowFront { below_mm });
    }
    if let Some((upper, lower)) = both {
        let (crossed, grows_mm) = tail(upper, lower, found);
        if crossed {
            return Some(WhyApart::EdgesMeet);
        }
        if grows_mm > BROKEN_MM && matches!(part, Part::UpperTail | Part::LowerTail) {
            return Some(WhyApart::Taper { grows_mm });
        }
        if let Some(why) = arches(upper, lower, found, limits) {
            return Some(why);
        }
    }
    if let Some(line) = line {
        let bends = bends(line);
        if bends > limits.inflections {
            return Some(WhyApart::Waves {
                bends,
                most: limits.inflections,
            });
        }
    }
    if part == Part::TopLine
        && let Some(upper) = &found.upper
    {
        let off_mm = bow(upper, brow);
        if off_mm > limits.straight_mm {
            return Some(WhyApart::TopLineStraight {
                off_mm,
                most_mm: limits.straight_mm,
            });
        }
    }
    if !part.is_lower()
        && let Some(upper) = &found.upper
        && tightest(upper) < limits.peak_radius_mm
    {
        return Some(WhyApart::PeakRounded {
            least_mm: limits.peak_radius_mm,
        });
    }
    Some(match no_brow {
        true => WhyApart::NoBrow,
        false => WhyApart::Smooth,
    })
}

fn off(line: &Line, p: Point<Lateral>) -> f64 {
    let slope = line.slope(p.x);
    (p.y - line.height(p.x)).abs() / (1.0 + slope * slope).sqrt()
}

/// Places along a line, `inside` mm from its ends.
fn along(line: &Line, inside: f64) -> impl Iterator<Item = f64> + use<> {
    let (from, to) = (line.from + inside, line.to - inside);
    let steps = ((to - from) / SCAN_MM).clamp(0.0, 1_000.0) as u32;
    (0..=steps)
        .map(move |i| from + SCAN_MM * f64::from(i))
        .filter(move |x| *x <= to)
}

/// How far the upper edge falls from the front to where its peak was put.
fn falls(upper: &Line, found: &Found) -> Option<f64> {
    let front = (found.told(Handle::FrontTop) == Told::Drawn).then_some(upper.from)?;
    let highest = along(upper, 0.0)
        .filter(|x| *x > front + TURN_MM)
        .map(|x| upper.height(x))
        .fold(f64::NEG_INFINITY, f64::max);
    let below = upper.height(front + 0.5) - highest;
    (below > BROKEN_MM).then_some(below)
}

/// Whether the edges cross over the body, and how much thicker the tail grows.
fn tail(upper: &Line, lower: &Line, found: &Found) -> (bool, f64) {
    let (from, to) = (upper.from.max(lower.from), upper.to.min(lower.to));
    let thick = |x: f64| upper.height(x) - lower.height(x);
    let arch = found.points.lower_arch.x;
    let (mut crossed, mut thinnest, mut grown) = (false, f64::INFINITY, 0.0_f64);
    for x in along(upper, 0.5).filter(|x| (from..=to).contains(x)) {
        let t = thick(x);
        crossed |= t < 0.0 && x < arch;
        if x >= arch {
            grown = grown.max(t - thinnest);
            thinnest = thinnest.min(t);
        }
    }
    (crossed, grown)
}

fn arches(upper: &Line, lower: &Line, found: &Found, limits: &Limits) -> Option<WhyApart> {
    let told = |h| found.told(h) == Told::Drawn;
    if !told(Handle::Peak) || !told(Handle::LowerArch) {
        return None;
    }
    let top = |line: &Line| {
        let places = along(line, 1.0).map(|x| (x, line.height(x)));
        places.max_by(|a, b| a.1.total_cmp(&b.1))
    };
    let ((peak, _), (arch, high)) = (top(upper)?, top(lower)?);
    let behind_mm = arch - peak;
    let (least_mm, most_mm) = (limits.arch_behind_least_mm, limits.arch_behind_most_mm);
    // A level arch may be called highest anywhere; only a real miss counts.
    let kept = behind_mm.clamp(least_mm, most_mm) + peak;
    let missed = high - lower.height(kept);
    (missed > BROKEN_MM).then_some(WhyApart::ArchBehindPeak {
        behind_mm,
        least_mm,
        most_mm,
    })
}

/// How often a line changes its bend by more than trembling does.
fn bends(line: &Line) -> u32 {
    let slopes: Vec<f64> = along(line, 1.0).map(|x| line.slope(x)).collect();
    let (mut count, mut way, mut extreme) = (0, 0.0, slopes.first().copied().unwrap_or(0.0));
    for slope in slopes {
        let by = slope - extreme;
        if way == 0.0 {
            if by.abs() > BEND {
                (way, extreme) = (by.signum(), slope);
            }
        } else if by * way > 0.0 {
            extreme = slope;
        } else if by.abs() > BEND {
            (count, way, extreme) = (count + 1, -way, slope);
        }
    }
    count
}

/// How far the sketched line lies off its chord over the outline's straight part.
fn bow(upper: &Line, brow: &Brow) -> f64 {
    let ends: Vec<_> = brow.outline().part(Part::TopLine).collect();
    let (Some(first), Some(last)) = (ends.first(), ends.last()) else {
        return 0.0;
    };
    let from = first.controls[0].x.max(upper.from);
    let to = last.controls[3].x.min(upper.to);
    if to - from < 2.0 * TURN_MM {
        return 0.0;
    }
    let chord = |x: f64| {
        let share = (x - from) / (to - from);
        upper.height(from) + share * (upper.height(to) - upper.height(from))
    };
    let steep = (upper.height(to) - upper.height(from)) / (to - from);
    along(upper, 0.0)
        .filter(|x| (from..=to).contains(x))
        .map(|x| (upper.height(x) - chord(x)).abs() / (1.0 + steep * steep).sqrt())
        .fold(0.0, f64::max)
}

/// Tightest turn downward of a line, mm, over [`TURN_MM`] each way.
fn tightest(line: &Line) -> f64 {
    along(line, TURN_MM)
        .map(|x| {
            let angle = |at: f64| libm::atan(line.slope(at));
            let turn = angle(x - TURN_MM) - angle(x + TURN_MM);
            let slope = line.slope(x);
            2.0 * TURN_MM * (1.0 + slope * slope).sqrt() / turn.max(1e-9)
        })
        .fold(f64::INFINITY, f64::min)
}
