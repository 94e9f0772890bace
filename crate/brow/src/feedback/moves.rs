//! What each phrase moves, and why.
//!
//! | phrase | usual step | what moves |
//! |---|---|---|
//! | too thick, too thin | 0.5 mm | the underside; the top stays |
//! | too arched, too flat | 0.5 mm | peak and lower arch together |
//! | too long, too short | 1 mm | the tip, along its aim |
//! | too close together, too far apart | 0.5 mm a side | the front edge |
//! | ends too low | 0.5 mm, or 1.5 mm shorter | the tip |
//! | looks surprised | 0.5 mm | peak and lower arch down, the start by less |
//! | looks stern | 0.4 mm | the start up, and apart by less |
//!
//! Where the lower arch moves, the tip moves so that the tail keeps its length
//! and its angle to the ear.

use ophryon_frames::{Lateral, Point, Vector};

use crate::feedback::parameter::{Parameter, Total};
use crate::{BrowPoints, Form, Handle, Phrase, THICKNESS_RANGE_MM};

/// How far each part of a brow moves at the usual step, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Recipe {
    /// Front bottom and lower arch, up.
    underside_up: f64,
    /// Peak and lower arch, up.
    arch_up: f64,
    /// Front edge, up.
    start_up: f64,
    /// Front edge, away from the midline.
    start_out: f64,
    /// Tip along the tail's axis, outward.
    tail_out: f64,
    /// Tip, up.
    tip_up: f64,
}

/// What a phrase is about.
pub(super) struct Meaning {
    /// What moves; the first is the usual way, others where it gives less.
    pub ways: &'static [Recipe],
    /// What must change, as a ruler shows it.
    pub lead: Parameter,
    /// The direction: 1 for more, -1 for less.
    pub sign: f64,
    /// Usual step of the lead, mm; positive.
    pub step_mm: f64,
    /// What of it is bounded in all.
    pub total: Total,
    /// Why that, and why so much.
    pub reason: &'static str,
}

const STILL: Recipe = Recipe {
    underside_up: 0.0,
    arch_up: 0.0,
    start_up: 0.0,
    start_out: 0.0,
    tail_out: 0.0,
    tip_up: 0.0,
};

const fn underside(up: f64) -> Recipe {
    Recipe {
        underside_up: up,
        ..STILL
    }
}

const fn arch(up: f64) -> Recipe {
    Recipe {
        arch_up: up,
        ..STILL
    }
}

const fn tail(out: f64) -> Recipe {
    Recipe {
        tail_out: out,
        ..STILL
    }
}

const fn start(out: f64) -> Recipe {
    Recipe {
        start_out: out,
        ..STILL
    }
}

const THINNER: [Recipe; 1] = [underside(0.5)];
const THICKER: [Recipe; 1] = [underside(-0.5)];
const LOWER: [Recipe; 1] = [arch(-0.5)];
const HIGHER: [Recipe; 1] = [arch(0.5)];
const SHORTER: [Recipe; 1] = [tail(-1.0)];
const LONGER: [Recipe; 1] = [tail(1.0)];
const APART: [Recipe; 1] = [start(0.5)];
const TOGETHER: [Recipe; 1] = [start(-0.5)];
const LIFTED: [Recipe; 2] = [
    Recipe {
        tip_up: 0.5,
        ..STILL
    },
    tail(-1.5),
];
const CALMER: [Recipe; 1] = [Recipe {
    arch_up: -0.5,
    start_up: -0.2,
    ..STILL
}];
const FRIENDLIER: [Recipe; 1] = [Recipe {
    start_up: 0.4,
    start_out: 0.2,
    ..STILL
}];

/// What a phrase is about.
pub(super) fn meaning(phrase: Phrase) -> Meaning {
    let of = |ways, lead, sign, step_mm, total, reason| Meaning {
        ways,
        lead,
        sign,
        step_mm,
        total,
        reason,
    };
    match phrase {
        Phrase::TooThick => of(
            &THINNER,
            Parameter::BodyThickness,
            -1.0,
            0.5,
            Total::Thickness,
            "A brow is thinned from below: the underside comes up and the top stays where it is; the tail keeps its length and its aim, so the tip comes along. Half a millimetre is one tick of a ruler and about the least that is seen as a change.",
        ),
        Phrase::TooThin => of(
            &THICKER,
            Parameter::BodyThickness,
            1.0,
            0.5,
            Total::Thickness,
            "A brow is thickened from below: the underside comes down and the top stays where it is, so that the brow is not raised; the tail keeps its length and its aim, so the tip comes along. Half a millimetre is one tick of a ruler and about the least that is seen as a change.",
        ),
        Phrase::TooArched => of(
            &LOWER,
            Parameter::Rise,
            -1.0,
            0.5,
            Total::Rise,
            "Peak and lower arch come down together, so that the thickness stays; the tail keeps its length and its aim, so the tip comes along. Half a millimetre of a rise of some five changes its slope by about one degree.",
        ),
        Phrase::TooFlat => of(
            &HIGHER,
            Parameter::Rise,
            1.0,
            0.5,
            Total::Rise,
            "Peak and lower arch go up together, so that the thickness stays; the tail keeps its length and its aim, so the tip comes along. Half a millimetre of a rise of some five changes its slope by about one degree.",
        ),
        Phrase::TooLong => of(
            &SHORTER,
            Parameter::TailLength,
            -1.0,
            1.0,
            Total::TailLength,
            "The tip comes in along its aim at the ear. A tail is some fifteen to twenty millimetres long and thin at its end, so less than one millimetre is hardly seen.",
        ),
        Phrase::TooShort => of(
            &LONGER,
            Parameter::TailLength,
            1.0,
            1.0,
            Total::TailLength,
            "The tip goes out along its aim at the ear. A tail is some fifteen to twenty millimetres long and thin at its end, so less than one millimetre is hardly seen.",
        ),
        Phrase::TooCloseTogether => of(
            &APART,
            Parameter::StartToMidline,
            1.0,
            0.5,
            Total::StartToMidline,
            "Both starts move away from the midline alike. Half a millimetre a side makes one millimetre between the brows.",
        ),
        Phrase::TooFarApart => of(
            &TOGETHER,
            Parameter::StartToMidline,
            -1.0,
            0.5,
            Total::StartToMidline,
            "Both starts move toward the midline alike. Half a millimetre a side makes one millimetre between the brows.",
        ),
        Phrase::EndsTooLow => of(
            &LIFTED,
            Parameter::TailHeight,
            1.0,
            0.5,
            Total::Drop,
            "The tip goes up as far as its aim at the ear allows; where that gives less, the tail ends earlier and so higher. Half a millimetre is one tick of a ruler.",
        ),
        Phrase::LooksSurprised => of(
            &CALMER,
            Parameter::PeakHeight,
            -1.0,
            0.5,
            Total::PeakHeight,
            "Brows that are raised and strongly arched are read as surprise: the arch comes down, and the start by less than half of that, so that the brow lies lower and flatter.",
        ),
        Phrase::LooksStern => of(
            &FRIENDLIER,
            Parameter::StartHeight,
            1.0,
            0.4,
            Total::StartHeight,
            "Brows that begin low and close together and rise steeply are read as stern: the start goes up and a little apart, and the peak stays, so that the line rises less.",
        ),
    }
}

/// The points with a share of a recipe. `ear` is the middle of the ear where
/// the points are: before any offset.
pub(super) fn moved(
    points: &BrowPoints,
    recipe: &Recipe,
    share: f64,
    ear: Point<Lateral>,
) -> BrowPoints {
    let up = |mm: f64| Vector::new(0.0, share * mm);
    let mut next = points
        .moved(Handle::FrontBottom, up(recipe.underside_up))
        .moved(Handle::LowerArch, up(recipe.underside_up))
        .moved(Handle::Peak, up(recipe.arch_up))
        .moved(Handle::LowerArch, up(recipe.arch_up))
        .moved(
            Handle::Start,
            Vector::new(share * recipe.start_out, share * recipe.start_up),
        );
    if next.lower_arch != points.lower_arch {
        next = next.with(Handle::Tail, aimed_alike(points, next.lower_arch, ear));
    }
    if let Some(along) = (next.tail - next.lower_arch).unit() {
        next = next.moved(Handle::Tail, along * (share * recipe.tail_out));
    }
    next.moved(Handle::Tail, up(recipe.tip_up))
}

/// The tip of a tail of the same length and at the same angle to the ear, from
/// another lower arch.
fn aimed_alike(points: &BrowPoints, arch: Point<Lateral>, ear: Point<Lateral>) -> Point<Lateral> {
    let (tail, was) = (points.tail - points.lower_arch, ear - points.lower_arch);
    let degrees = libm::atan2(was.cross(tail), was.dot(tail)).to_degrees();
    match (ear - arch).unit() {
        Some(toward) => arch + toward.turned(degrees) * tail.length(),
        None => points.tail,
    }
}

/// The form with its wished thickness moved along: as the underside moves at
/// the body, and less and less toward the tip, which doesn't move across.
pub(super) fn wished(form: &Form, recipe: &Recipe, share: f64) -> Form {
    let thicker = -share * recipe.underside_up;
    let (thinnest, thickest) = THICKNESS_RANGE_MM;
    let kept = |mm: f64| mm.clamp(thinnest, thickest);
    let mut next = form.clone();
    next.body_mm = form.body_mm.map(|mm| kept(mm + thicker));
    for wish in &mut next.tail {
        wish.thickness_mm = kept(wish.thickness_mm + thicker * (1.0 - wish.share));
    }
    next
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;

    const EAR: Point<Lateral> = Point::new(143.0, -11.0);

    /// Worked out by hand: the underside up by half, the top where it was.
    #[test]
    fn thinner_takes_half_a_millimetre_from_below() {
        let thin = moved(&plain(), &THINNER[0], 1.0, EAR);
        assert_eq!(thin.front_top, plain().front_top);
        assert_eq!(thin.peak, plain().peak);
        assert_eq!(thin.front_bottom, Point::new(15.0, 16.5));
        assert_eq!(thin.lower_arch, Point::new(42.5, 22.5));
        // The tail is as long as it was and aims as it did: from (42.5, 22.5)
        // the ear's direction turns by about 0.27 degrees, so the tip rises by
        // a little less than the arch.
        let (was, is) = (plain(), thin);
        let long = |p: &BrowPoints| p.lower_arch.distance(p.tail);
        assert!((long(&was) - long(&is)).abs() < 1e-12);
        assert!(
            (is.tail.y - was.tail.y - 0.43).abs() < 0.02,
            "{:?}",
            is.tail
        );
    }

    /// 14.5 out and 6.5 down: one millimetre along it is 0.9125 out, 0.4091 down.
    #[test]
    fn longer_goes_out_along_the_aim() {
        let long = moved(&plain(), &LONGER[0], 1.0, EAR);
        let by = long.tail - plain().tail;
        assert!(
            (by.x - 0.9125).abs() < 1e-4 && (by.y + 0.4091).abs() < 1e-4,
            "{by:?}"
        );
    }

    #[test]
    fn opposite_steps_lead_back() {
        for phrase in Phrase::ALL {
            let Some(opposite) = phrase.opposite() else {
                continue;
            };
            let there = moved(&plain(), &meaning(phrase).ways[0], 1.0, EAR);
            let back = moved(&there, &meaning(opposite).ways[0], 1.0, EAR);
            for handle in Handle::ALL {
                assert!(
                    back.at(handle).distance(plain().at(handle)) < 1e-9,
                    "{phrase:?}"
                );
            }
        }
    }

    #[test]
    fn the_table_says_what_is_moved() {
        for phrase in Phrase::ALL {
            let Meaning {
                ways, sign, total, ..
            } = meaning(phrase);
            let before = total.of(&plain());
            let after = total.of(&moved(&plain(), &ways[0], 1.0, EAR));
            // The drop is the one that shrinks as the tip goes up.
            let sign = if total == Total::Drop { -sign } else { sign };
            assert!((after - before) * sign > 0.3, "{phrase:?}");
        }
    }
}
