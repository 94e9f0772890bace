//! The constraints, each measured on the finished curve.
//!
//! Nothing here trusts the solver: every value is read off the outline by
//! sampling, so that a curve from anywhere would be judged the same way.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv};
use ophryon_frames::{Lateral, Point, Vector};
use serde::{Deserialize, Serialize};

use crate::{Brow, BrowPoints, HairRegion, Handle, Limits, Part, draw::can_draw};

/// A named constraint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Constraint {
    /// Largest distance of the top line from its chord.
    StraightTopLine,
    /// Smallest radius of curvature of the upper edge.
    RoundedPeak,
    /// The lower arch lies behind the peak, toward the tail.
    ArchBehindPeak,
    /// The tail runs toward the middle of the ear.
    TailAim,
    /// Thickness never grows from the lower arch to the tip.
    Taper,
    /// No self-crossing, no more changes of bend than allowed.
    SimpleOutline,
    /// Share of the hair inside the outline.
    HairInside,
    /// Largest step of the outline beyond the hair border.
    HairStep,
}

/// Unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Degrees.
    Degrees,
    /// Percent.
    Percent,
    /// A plain count.
    Count,
}

/// What a value is held against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Tolerance {
    /// At most so much.
    AtMost {
        /// In the reading's unit.
        most: f64,
    },
    /// At least so much.
    AtLeast {
        /// In the reading's unit.
        least: f64,
    },
    /// Between two values.
    Within {
        /// In the reading's unit.
        least: f64,
        /// In the reading's unit.
        most: f64,
    },
    /// Only shown: the artist has set no limit.
    Shown,
}

/// Whether a constraint holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The value keeps its tolerance.
    Holds,
    /// It doesn't.
    Fails,
    /// Nothing to hold it against: no limit set, or no hair traced.
    Shown,
}

/// What would make a failing constraint hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Mend {
    /// One plain sentence: "turn the tail up by 4.0 degrees".
    pub sentence: String,
    /// The brow's points with that done (before the side's offset).
    pub points: BrowPoints,
}

/// One constraint as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Reading {
    /// Which constraint.
    pub constraint: Constraint,
    /// The measured value; `None` where there is nothing to measure.
    pub value: Option<f64>,
    /// Unit of value and tolerance.
    pub unit: Unit,
    /// What it is held against.
    pub tolerance: Tolerance,
    /// Whether it holds.
    pub verdict: Verdict,
    /// A second figure that belongs to it, in mm: the miss at the ear for the
    /// tail's aim (positive: the tail points above the ear's middle).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside_mm: Option<f64>,
    /// The reading in words, with its number: "lower arch 1.5 mm behind the peak".
    pub sentence: String,
    /// What would mend it, where it fails and a remedy is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<Mend>,
}

/// What a brow stands among on its side of the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting<'a> {
    /// Middle of the ear on the skin, side-neutral, mm.
    pub ear: Point<Lateral>,
    /// This side's offset, which moves the brow against the ear and the hair.
    pub offset: crate::Offset,
    /// The natural hair on this side, where it is known.
    pub hair: Option<&'a HairRegion>,
}

/// Points per cubic when a curve is measured.
const EACH: u32 = 24;

/// Points per cubic when a crossing is looked for; see [`crossings`].
const EACH_FOR_CROSSINGS: u32 = 8;

/// Growth of the thickness toward the tip that is none, mm: far under the
/// 0.2 mm of a fine line, far above the sampling's own error.
const TAPER_KEPT_MM: f64 = 0.01;

/// Rounding that a limit met exactly may show, in the reading's unit.
const ROUNDING: f64 = 1e-6;

/// Curvature below this, 1/mm, has no side to bend to: a radius of 10 m.
const STRAIGHT: f64 = 1e-4;

/// Measures every constraint of one side's brow, in the table's order.
pub fn constraints(brow: &Brow, setting: &Setting, limits: &Limits) -> Vec<Reading> {
    let mut readings = vec![
        straight_top_line(brow, limits),
        rounded_peak(brow, limits),
        arch_behind_peak(brow, limits),
        tail_aim(brow, setting, limits),
        taper(brow),
        simple_outline(brow, limits),
    ];
    readings.extend(hair(brow, setting, limits));
    readings
}

impl Reading {
    fn of(constraint: Constraint, value: f64, unit: Unit, tolerance: Tolerance) -> Self {
        let keeps = match tolerance {
            Tolerance::AtMost { most } => value <= most + ROUNDING,
            Tolerance::AtLeast { least } => value >= least - ROUNDING,
            Tolerance::Within { least, most } => {
                (least - ROUNDING..=most + ROUNDING).contains(&value)
            }
            Tolerance::Shown => true,
        };
        let verdict = match (tolerance, keeps) {
            (Tolerance::Shown, _) => Verdict::Shown,
            (_, true) => Verdict::Holds,
            (_, false) => Verdict::Fails,
        };
        Self {
            constraint,
            value: Some(value),
            unit,
            tolerance,
            verdict,
            beside_mm: None,
            sentence: String::new(),
            mend: None,
        }
    }

    fn saying(mut self, sentence: String) -> Self {
        self.sentence = sentence;
        self
    }

    /// Adds the remedy where the constraint fails and the mended points can be
    /// drawn under the limits.
    fn mended_by(mut self, sentence: String, points: BrowPoints, limits: &Limits) -> Self {
        if self.verdict == Verdict::Fails && can_draw(&points, limits) {
            self.mend = Some(Mend { sentence, points });
        }
        self
    }
}

fn straight_top_line(brow: &Brow, limits: &Limits) -> Reading {
    let line: Vec<CubicBez> = brow
        .outline()
        .part(Part::TopLine)
        .map(|s| s.curve())
        .collect();
    let off = match (line.first(), line.last()) {
        (Some(first), Some(last)) => {
            let chord = last.p3 - first.p0;
            let length = chord.hypot();
            evaluated(&line, EACH)
                .map(|p| {
                    if length > 0.0 {
                        (p - first.p0).cross(chord).abs() / length
                    } else {
                        0.0
                    }
                })
                .fold(0.0, f64::max)
        }
        _ => 0.0,
    };
    let tolerance = Tolerance::AtMost {
        most: limits.straight_mm,
    };
    Reading::of(Constraint::StraightTopLine, off, Unit::Mm, tolerance)
        .saying(format!("top line straight to {off:.1} mm"))
}

fn rounded_peak(brow: &Brow, limits: &Limits) -> Reading {
    let upper = brow
        .outline()
        .segments()
        .iter()
        .filter(|s| s.part.is_upper());
    let sharpest = upper
        .flat_map(|s| {
            let curve = s.curve();
            (0..=EACH).map(move |i| curvature(&curve, f64::from(i) / f64::from(EACH)).abs())
        })
        .fold(0.0, f64::max);
    // A straight upper edge has no smallest radius; say the largest that
    // means anything on a face.
    let radius = if sharpest > STRAIGHT {
        1.0 / sharpest
    } else {
        1.0 / STRAIGHT
    };
    let tolerance = Tolerance::AtLeast {
        least: limits.peak_radius_mm,
    };
    let down = Vector::new(0.0, -1.0);
    let lower = brow.points().moved(Handle::Peak, down);
    Reading::of(Constraint::RoundedPeak, radius, Unit::Mm, tolerance)
        .saying(format!("peak rounded, tightest turn {radius:.1} mm"))
        .mended_by("lower the peak by 1.0 mm".into(), lower, limits)
}

fn arch_behind_peak(brow: &Brow, limits: &Limits) -> Reading {
    let points = brow.points();
    let behind = points.lower_arch.x - points.peak.x;
    let tolerance = Tolerance::Within {
        least: limits.arch_behind_least_mm,
        most: limits.arch_behind_most_mm,
    };
    let usual = Point::new(points.peak.x + limits.arch_behind_mm, points.lower_arch.y);
    let sentence = if behind >= 0.0 {
        format!("lower arch {behind:.1} mm behind the peak")
    } else {
        format!("lower arch {:.1} mm in front of the peak", -behind)
    };
    let out = usual.x - points.lower_arch.x;
    let mend = if out >= 0.0 {
        format!("move the lower arch {out:.1} mm toward the tail")
    } else {
        format!("move the lower arch {:.1} mm toward the midline", -out)
    };
    Reading::of(Constraint::ArchBehindPeak, behind, Unit::Mm, tolerance)
        .saying(sentence)
        .mended_by(mend, points.with(Handle::LowerArch, usual), limits)
}

fn tail_aim(brow: &Brow, setting: &Setting, limits: &Limits) -> Reading {
    let on_face = brow.displaced(&setting.offset);
    let (arch, tail) = (on_face.points().lower_arch, on_face.points().tail);
    let (axis, toward) = (tail - arch, setting.ear - arch);
    let angle = libm::atan2(axis.cross(toward), axis.dot(toward)).to_degrees();
    // The miss is where the tail's axis passes the ear, straight across it.
    let miss = axis.unit().map_or(0.0, |unit| -unit.cross(toward));
    let tolerance = Tolerance::AtMost {
        most: limits.aim_degrees,
    };
    let which = if miss >= 0.0 { "above" } else { "below" };
    let sentence = if angle.abs() <= limits.aim_degrees {
        format!(
            "tail aims at the middle of the ear, {:.1} degrees off",
            angle.abs()
        )
    } else {
        format!(
            "tail points {:.0} mm {which} the middle of the ear",
            miss.abs()
        )
    };
    let turned = arch + axis.turned(angle);
    let about = brow.points().at(Handle::Start);
    let mended = brow
        .points()
        .with(Handle::Tail, setting.offset.undo(turned, about));
    let way = if angle >= 0.0 { "up" } else { "down" };
    let mut reading = Reading::of(Constraint::TailAim, angle.abs(), Unit::Degrees, tolerance)
        .saying(sentence)
        .mended_by(
            format!("turn the tail {way} by {:.1} degrees", angle.abs()),
            mended,
            limits,
        );
    reading.beside_mm = Some(miss);
    reading
}

fn taper(brow: &Brow) -> Reading {
    let grown = thickness_growth(brow);
    let tolerance = Tolerance::AtMost {
        most: TAPER_KEPT_MM,
    };
    let sentence = if grown <= TAPER_KEPT_MM {
        "tail tapers to the tip".to_owned()
    } else {
        format!("tail grows {grown:.1} mm thicker on its way to the tip")
    };
    Reading::of(Constraint::Taper, grown, Unit::Mm, tolerance).saying(sentence)
}

/// Largest growth of the thickness across the tail's axis on the way from the
/// lower arch to the tip, mm; 0 when it never grows.
fn thickness_growth(brow: &Brow) -> f64 {
    let points = brow.points();
    let axis = points.tail - points.lower_arch;
    let Some(along) = axis.unit() else { return 0.0 };
    let up = Vector::new(-along.y, along.x);
    let edge = |upper: bool| -> Vec<(f64, f64)> {
        let segments = brow.outline().segments().iter();
        let curves: Vec<_> = segments
            .filter(|s| {
                if upper {
                    s.part.is_upper()
                } else {
                    s.part.is_lower()
                }
            })
            .map(|s| s.curve())
            .collect();
        let mut places: Vec<_> = evaluated(&curves, EACH)
            .map(|p| Point::<Lateral>::from_kurbo(p) - points.lower_arch)
            .map(|v| (v.dot(along), v.dot(up)))
            .collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        places
    };
    let (upper, lower) = (edge(true), edge(false));
    let begin = (points.peak - points.lower_arch).dot(along).max(0.0);
    let length = axis.length();
    let (mut thinnest, mut grown) = (f64::INFINITY, 0.0_f64);
    let stations = 64;
    for i in 0..=stations {
        let sigma = begin + (length - begin) * f64::from(i) / f64::from(stations);
        let thickness = height_at(&upper, sigma) - height_at(&lower, sigma);
        grown = grown.max(thickness - thinnest);
        thinnest = thinnest.min(thickness);
    }
    grown
}

/// Linear between neighbouring samples of one edge.
fn height_at(edge: &[(f64, f64)], sigma: f64) -> f64 {
    let next = edge.partition_point(|(s, _)| *s < sigma);
    match (
        next.checked_sub(1).and_then(|i| edge.get(i)),
        edge.get(next),
    ) {
        (Some((s0, t0)), Some((s1, t1))) if s1 > s0 => t0 + (t1 - t0) * (sigma - s0) / (s1 - s0),
        (_, Some((_, t))) | (Some((_, t)), None) => *t,
        (None, None) => 0.0,
    }
}

fn simple_outline(brow: &Brow, limits: &Limits) -> Reading {
    let changes = inflections(brow, true).max(inflections(brow, false));
    // Two edges that meet at a sharp tip can cross as coarse polygons without
    // crossing as curves, so a find is looked at again more closely.
    let crossed = match crossings(&brow.outline().sampled(EACH_FOR_CROSSINGS)) {
        0 => 0,
        _ => crossings(&brow.outline().sampled(8 * EACH_FOR_CROSSINGS)),
    };
    let tolerance = Tolerance::AtMost {
        most: f64::from(limits.inflections),
    };
    let mut reading = Reading::of(
        Constraint::SimpleOutline,
        f64::from(changes),
        Unit::Count,
        tolerance,
    );
    if crossed > 0 {
        reading.verdict = Verdict::Fails;
        return reading.saying(format!("the outline crosses itself {crossed} times"));
    }
    reading.saying(match changes {
        0 => "outline is simple and bends one way".to_owned(),
        1 => "outline is simple and changes its bend once".to_owned(),
        n => format!("outline is simple and changes its bend {n} times"),
    })
}

/// Changes of bend along one edge.
fn inflections(brow: &Brow, upper: bool) -> u32 {
    let segments = brow.outline().segments().iter();
    let mut bent = 0.0_f64;
    let mut changes = 0;
    for segment in segments.filter(|s| {
        if upper {
            s.part.is_upper()
        } else {
            s.part.is_lower()
        }
    }) {
        let curve = segment.curve();
        for i in 0..=EACH {
            let bend = curvature(&curve, f64::from(i) / f64::from(EACH));
            if bend.abs() <= STRAIGHT {
                continue;
            }
            if bent * bend < 0.0 {
                changes += 1;
            }
            bent = bend;
        }
    }
    changes
}

/// Crossings of a closed polygon with itself; neighbours share an end and
/// don't count. On a brow the polygon lies within 0.005 mm of the curve.
fn crossings(polygon: &[Point<Lateral>]) -> u32 {
    let n = polygon.len();
    let edge = |i: usize| (polygon[i], polygon[(i + 1) % n]);
    let mut count = 0;
    for i in 0..n {
        let (a, b) = edge(i);
        let (low, high) = (a.x.min(b.x), a.x.max(b.x));
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (c, d) = edge(j);
            if c.x.min(d.x) > high || c.x.max(d.x) < low {
                continue;
            }
            let (ab, cd) = (b - a, d - c);
            let apart =
                ab.cross(c - a) * ab.cross(d - a) < 0.0 && cd.cross(a - c) * cd.cross(b - c) < 0.0;
            count += u32::from(apart);
        }
    }
    count
}

fn hair(brow: &Brow, setting: &Setting, limits: &Limits) -> [Reading; 2] {
    let share_limit =
        limits
            .hair_inside_least
            .map_or(Tolerance::Shown, |least| Tolerance::AtLeast {
                least: least * 100.0,
            });
    let step_limit = limits
        .hair_step_most_mm
        .map_or(Tolerance::Shown, |most| Tolerance::AtMost { most });
    let fit = setting
        .hair
        .map(|region| region.fit(brow.displaced(&setting.offset).outline()));
    let known = fit.and_then(|fit| fit.share_inside().map(|share| (100.0 * share, fit)));
    let Some((share, fit)) = known else {
        return [
            untraced(Constraint::HairInside, Unit::Percent, share_limit),
            untraced(Constraint::HairStep, Unit::Mm, step_limit),
        ];
    };
    let step = fit.largest_step_mm;
    [
        Reading::of(Constraint::HairInside, share, Unit::Percent, share_limit).saying(format!(
            "{share:.0} % of the hair inside, {:.0} mm² to clean",
            fit.outside_mm2
        )),
        Reading::of(Constraint::HairStep, step, Unit::Mm, step_limit)
            .saying(format!("outline at most {step:.1} mm beyond the hair")),
    ]
}

fn untraced(constraint: Constraint, unit: Unit, tolerance: Tolerance) -> Reading {
    Reading {
        constraint,
        value: None,
        unit,
        tolerance,
        verdict: Verdict::Shown,
        beside_mm: None,
        sentence: "the natural hair is not traced".to_owned(),
        mend: None,
    }
}

fn evaluated(curves: &[CubicBez], each: u32) -> impl Iterator<Item = kurbo::Point> + '_ {
    curves
        .iter()
        .flat_map(move |curve| (0..=each).map(move |i| curve.eval(f64::from(i) / f64::from(each))))
}

/// Signed curvature in 1/mm: (x'y" - y'x") / |p'|³.
fn curvature(curve: &CubicBez, t: f64) -> f64 {
    let first = curve.deriv().eval(t).to_vec2();
    let second = curve.deriv().deriv().eval(t).to_vec2();
    let square = first.hypot2();
    if square == 0.0 {
        0.0
    } else {
        first.cross(second) / (square * square.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use crate::{Offset, TYPICAL_EAR_MM, draw};

    fn setting() -> Setting<'static> {
        let ear = Point::new(TYPICAL_EAR_MM.0, TYPICAL_EAR_MM.1);
        Setting {
            ear,
            offset: Offset::default(),
            hair: None,
        }
    }

    fn reading(points: &BrowPoints, constraint: Constraint) -> Reading {
        let brow = draw(points, &Limits::default()).unwrap();
        constraints(&brow, &setting(), &Limits::default())
            .into_iter()
            .find(|r| r.constraint == constraint)
            .unwrap()
    }

    #[test]
    fn a_drooping_tail_is_turned_up_by_its_mend() {
        let low = plain().with(Handle::Tail, Point::new(56.0, 12.5));
        let before = reading(&low, Constraint::TailAim);
        assert_eq!(before.verdict, Verdict::Fails);
        assert!(
            before.sentence.contains("below the middle of the ear"),
            "{}",
            before.sentence
        );
        let mend = before.mend.unwrap();
        assert!(
            mend.sentence.starts_with("turn the tail up by"),
            "{}",
            mend.sentence
        );
        let after = reading(&mend.points, Constraint::TailAim);
        assert!(after.value.unwrap() < 1e-9, "{after:?}");
    }

    /// Worked out by hand. From the lower arch the ear is 100 mm out and 33
    /// down, the tip 15 out and 3 down: cross product -195, scalar product
    /// 1599, so 6.953 degrees apart, and the axis passes the ear
    /// 195 / sqrt(234) = 12.748 mm above it.
    #[test]
    fn the_miss_at_the_ear_in_closed_form() {
        let points = plain().with(Handle::LowerArch, Point::new(43.0, 22.0));
        let shallow = points.with(Handle::Tail, Point::new(58.0, 19.0));
        let r = reading(&shallow, Constraint::TailAim);
        assert!((r.value.unwrap() - 6.953).abs() < 1e-3, "{r:?}");
        assert!((r.beside_mm.unwrap() - 12.748).abs() < 1e-3, "{r:?}");
    }

    #[test]
    fn an_arch_in_front_of_the_peak_fails_and_is_mended() {
        let before = reading(
            &plain().with(Handle::LowerArch, Point::new(39.0, 22.0)),
            Constraint::ArchBehindPeak,
        );
        assert_eq!(before.verdict, Verdict::Fails);
        assert_eq!(before.sentence, "lower arch 2.0 mm in front of the peak");
        let mend = before.mend.unwrap();
        assert_eq!(mend.sentence, "move the lower arch 3.5 mm toward the tail");
        let after = reading(&mend.points, Constraint::ArchBehindPeak);
        assert_eq!(after.value, Some(1.5));
    }

    #[test]
    fn a_bow_tie_crosses_itself_once() {
        let tie = [(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)];
        let polygon: Vec<_> = tie.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        assert_eq!(crossings(&polygon), 1);
    }
}
