//! Judges a drawn brow against its limits: value, tolerance, verdict, words and
//! what would mend it.
//!
//! Nothing here trusts the solver: every value is read off the finished
//! outline ([`crate::trace`]), so that a curve from anywhere would be judged
//! the same way.

use ophryon_frames::{Point, Side, Sided, Vector};

use crate::constraint::{Constraint, Mend, Reading, Setting, Tolerance, Unit, Verdict};
use crate::draw::can_draw;
use crate::onto_hair::onto_hair;
use crate::trace::Trace;
use crate::{Brow, BrowPoints, Form, Handle, Limits};

/// Growth of the thickness toward the tip that is none, mm: far under the
/// 0.2 mm of a fine line, far above the sampling's own error.
const TAPER_KEPT_MM: f64 = 0.01;

/// Rounding that a limit met exactly may show, in the reading's unit.
const ROUNDING: f64 = 1e-6;

/// Largest radius worth a number, mm: 10 m is straight on a face.
const FLAT_RADIUS_MM: f64 = 1e4;

/// Measures every constraint of one side's brow, in the table's order.
pub fn constraints(brow: &Brow, setting: &Setting, limits: &Limits) -> Vec<Reading> {
    let mut readings = of_shape(brow, limits);
    readings.extend(on_face(brow, setting, limits));
    in_order(&mut readings);
    readings
}

/// In the table's order. A handful, sorted by exchange: the library's sort
/// would cost the app's first load more than all constraints' words.
fn in_order(readings: &mut [Reading]) {
    for end in 1..readings.len() {
        let mut at = end;
        while at > 0 && readings[at].constraint < readings[at - 1].constraint {
            readings.swap(at, at - 1);
            at -= 1;
        }
    }
}

/// Measures both sides. What the shape alone decides is measured once where
/// the sides are linked.
pub fn pair_constraints(
    brows: &Sided<Brow>,
    settings: &Sided<Setting>,
    limits: &Limits,
) -> Sided<Vec<Reading>> {
    let right = of_shape(&brows.right, limits);
    let left = if brows.left.outline() == brows.right.outline() {
        right.clone()
    } else {
        of_shape(&brows.left, limits)
    };
    let mut both = Sided { right, left };
    for side in Side::BOTH {
        let readings = both.get_mut(side);
        readings.extend(on_face(brows.get(side), settings.get(side), limits));
        in_order(readings);
    }
    both
}

/// The readings that don't depend on where the brow lies.
fn of_shape(brow: &Brow, limits: &Limits) -> Vec<Reading> {
    let trace = Trace::of(brow);
    vec![
        straight_top_line(&trace, limits),
        rounded_peak(brow, &trace, limits),
        arch_behind_peak(brow, limits),
        taper(&trace),
        simple_outline(&trace, limits),
    ]
}

/// The readings against the ear and the hair.
fn on_face(brow: &Brow, setting: &Setting, limits: &Limits) -> Vec<Reading> {
    let mut readings = vec![tail_aim(brow, setting, limits)];
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
    fn mended_by(
        mut self,
        sentence: String,
        points: BrowPoints,
        form: &Form,
        limits: &Limits,
    ) -> Self {
        if self.verdict == Verdict::Fails && can_draw(&points, form, limits) {
            self.mend = Some(Mend { sentence, points });
        }
        self
    }
}

fn straight_top_line(trace: &Trace, limits: &Limits) -> Reading {
    let off = trace.top_line_off_chord();
    let tolerance = Tolerance::AtMost {
        most: limits.straight_mm,
    };
    Reading::of(Constraint::StraightTopLine, off, Unit::Mm, tolerance)
        .saying(format!("top line straight to {off:.1} mm"))
}

fn rounded_peak(brow: &Brow, trace: &Trace, limits: &Limits) -> Reading {
    let radius = trace.tightest_upper_radius().min(FLAT_RADIUS_MM);
    let tolerance = Tolerance::AtLeast {
        least: limits.peak_radius_mm,
    };
    let down = Vector::new(0.0, -1.0);
    let lower = brow.points().moved(Handle::Peak, down);
    Reading::of(Constraint::RoundedPeak, radius, Unit::Mm, tolerance)
        .saying(format!("peak rounded, tightest turn {radius:.1} mm"))
        .mended_by(
            "lower the peak by 1.0 mm".into(),
            lower,
            brow.form(),
            limits,
        )
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
        .mended_by(
            mend,
            points.with(Handle::LowerArch, usual),
            brow.form(),
            limits,
        )
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
            brow.form(),
            limits,
        );
    reading.beside_mm = Some(miss);
    reading
}

fn taper(trace: &Trace) -> Reading {
    let grown = trace.thickness_growth();
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

fn simple_outline(trace: &Trace, limits: &Limits) -> Reading {
    let changes = trace.inflections();
    let crossed = trace.crossings();
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
    let mut readings = [
        Reading::of(Constraint::HairInside, share, Unit::Percent, share_limit).saying(format!(
            "{share:.0} % of the hair inside, {:.0} mm² to clean",
            fit.outside_mm2
        )),
        Reading::of(Constraint::HairStep, step, Unit::Mm, step_limit)
            .saying(format!("outline at most {step:.1} mm beyond the hair")),
    ];
    if readings.iter().any(|r| r.verdict == Verdict::Fails) {
        // One move for both: neither limit is mended at the other's cost.
        let mend = onto_hair(brow, setting, limits, |fit| {
            limits
                .hair_inside_least
                .is_none_or(|least| fit.share_inside().is_some_and(|s| s >= least))
                && limits
                    .hair_step_most_mm
                    .is_none_or(|most| fit.largest_step_mm <= most)
        });
        for reading in &mut readings {
            if reading.verdict == Verdict::Fails {
                reading.mend.clone_from(&mend);
            }
        }
    }
    readings
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
        let brow = draw(points, &Form::default(), &Limits::default()).unwrap();
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
}
