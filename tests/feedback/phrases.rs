//! Every phrase on plausible faces: pairs with offsets, linked and drawn apart,
//! with hair and without.

use std::cell::RefCell;

use ophryon_brow::{
    Asked, Constraint, HairRegion, InTheWay, Limits, NothingLeft, Offset, Pair, Phrase, Proposal,
    Reading, Setting, Shrink, TOTAL_BOUNDS, Verdict, answer, pair_constraints,
};
use ophryon_frames::{Lateral, Point, Side, Sided, Vector};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::plausible::{Face, face};
use crate::ruler::{self, Ruler};
use crate::sampler;

const SAMPLE: u32 = 8;
const PROOF: u32 = 1000;

/// How the pair on a face is held.
#[derive(Debug, Clone)]
struct Held {
    offset: Sided<Offset>,
    /// What the other side's points are moved by once it is drawn apart.
    apart: Option<Vec<(f64, f64)>>,
    hair: bool,
}

fn held() -> impl Strategy<Value = Held> {
    let offset = || {
        (
            -1.5..1.5f64,
            -1.0..1.0f64,
            prop_oneof![Just(0.0), -2.0..2.0f64],
        )
            .prop_map(|(height_mm, lateral_mm, turn_degrees)| Offset {
                lateral_mm,
                height_mm,
                turn_degrees,
            })
    };
    let apart = prop::option::of(prop::collection::vec((-0.5..0.5f64, -0.4..0.4f64), 5));
    (offset(), offset(), apart, any::<bool>()).prop_map(|(right, left, apart, hair)| Held {
        offset: Sided { right, left },
        apart,
        hair,
    })
}

/// A pair on a face with what it stands among.
pub struct Stand {
    pub pair: Pair,
    pub limits: Limits,
    pub ears: Sided<Point<Lateral>>,
    pub hair: Sided<Option<HairRegion>>,
    pub shrink: Shrink,
}

impl Stand {
    fn of(face: &Face, held: &Held) -> Option<Self> {
        let mut pair = Pair::even(face.proposal().ok()?);
        pair.offset = held.offset;
        if let Some(by) = &held.apart {
            let mut by = by.iter().map(|(x, y)| Vector::new(*x, *y));
            let next = |p| p + by.next().unwrap_or(Vector::new(0.0, 0.0));
            pair.unlinked = Some(pair.points.mapped(next));
        }
        let limits = Limits::default();
        pair.draw(&limits).ok()?;
        let ears = Sided::from_fn(|side| face.ears().get(side).on_skin);
        let hair = Sided::from_fn(|side| held.hair.then(|| hair(face, side)).flatten());
        Some(Self {
            pair,
            limits,
            ears,
            hair,
            shrink: Shrink::default(),
        })
    }

    pub fn say(&self, phrase: Phrase, pair: &Pair) -> Result<Proposal, NothingLeft> {
        let asked = Asked {
            pair,
            first: &self.pair,
            limits: &self.limits,
            ears: &self.ears,
            hair: &self.hair,
            traced: Sided::from_fn(|_| true),
            shrink: &self.shrink,
        };
        answer(phrase, &asked)
    }
}

fn hair(face: &Face, side: Side) -> Option<HairRegion> {
    let n = &face.sides.get(side).natural;
    let border = [
        Some(n.start_bottom),
        Some(n.start_top),
        Some(n.peak),
        Some(n.tail),
        n.lower_arch,
    ];
    let on_skin = border.into_iter().flatten().map(|p| {
        let skin = face.wrap.to_skin(p).ok()?;
        Some(Side::Left.neutral(skin))
    });
    HairRegion::new(on_skin.collect::<Option<Vec<_>>>()?)
}

#[derive(Default)]
struct Tally {
    faces: u32,
    given: [u32; 11],
    whole: [u32; 11],
    refused: [u32; 11],
    says: u32,
    longest: u32,
    worst_back_mm: f64,
    worst_balance_mm: f64,
    ways: std::collections::BTreeMap<String, u32>,
}

/// What a phrase asks of what a ruler reads: the length, and its direction.
fn asked_of(phrase: Phrase, r: &Ruler) -> f64 {
    match phrase {
        Phrase::TooThick => -r.body_thickness,
        Phrase::TooThin => r.body_thickness,
        Phrase::TooArched => -r.rise,
        Phrase::TooFlat => r.rise,
        Phrase::TooLong => -r.length,
        Phrase::TooShort => r.length,
        Phrase::TooCloseTogether => r.start_to_midline,
        Phrase::TooFarApart => -r.start_to_midline,
        Phrase::EndsTooLow => r.tail_height,
        Phrase::LooksSurprised => -r.peak_height,
        Phrase::LooksStern => r.start_height,
    }
}

fn rulers(pair: &Pair, limits: &Limits) -> Result<Sided<Ruler>, TestCaseError> {
    let brows = pair
        .draw(limits)
        .map_err(|why| TestCaseError::fail(why.to_string()))?;
    Ok(Sided::from_fn(|side| {
        let brow = brows.get(side);
        ruler::read(brow.outline(), brow.points(), pair.offset.get(side))
    }))
}

fn one_answer(
    stand: &Stand,
    before: &Pair,
    proposal: &Proposal,
    tally: &mut Tally,
) -> Result<(), TestCaseError> {
    let (phrase, after) = (proposal.phrase, &proposal.pair);
    let (was, is) = (
        rulers(before, &stand.limits)?,
        rulers(after, &stand.limits)?,
    );
    for side in Side::BOTH {
        let moved = asked_of(phrase, is.get(side)) - asked_of(phrase, was.get(side));
        prop_assert!(
            moved > 0.015,
            "{phrase:?} moved {moved} mm: {}",
            proposal.reason
        );
        prop_assert!(moved < 1.6, "{phrase:?} moved {moved} mm");
    }
    prop_assert!(!proposal.changes.is_empty() && proposal.reason.len() > 40);
    // What is said of a change is what a ruler reads.
    for change in &proposal.changes {
        let by = |side: Side| change.to_mm.get(side) - change.from_mm.get(side);
        prop_assert!((0.5 * (by(Side::Right) + by(Side::Left)) - change.by_mm).abs() < 1e-9);
    }
    stays_in_constraints(stand, before, after)?;
    keeps_balance(before, after, tally)?;
    // Never farther from the shape first shown than is said.
    let (first, now) = (&stand.pair.points, &after.points);
    let thick = |p: &ophryon_brow::BrowPoints| {
        0.5 * (p.front_top.y - p.front_bottom.y + p.peak.y - p.lower_arch.y)
    };
    prop_assert!((thick(now) - thick(first)).abs() <= 1.5 + 1e-6);
    let rise = |p: &ophryon_brow::BrowPoints| p.peak.y - p.front_top.y;
    prop_assert!((rise(now) - rise(first)).abs() <= 2.0 + 1e-6);
    let tail = |p: &ophryon_brow::BrowPoints| p.lower_arch.distance(p.tail);
    prop_assert!((tail(now) - tail(first)).abs() <= 4.0 + 1e-6);
    Ok(())
}

/// What held holds, what didn't is no worse; the shape's own limits are read by
/// the independent sampler too.
fn stays_in_constraints(stand: &Stand, before: &Pair, after: &Pair) -> Result<(), TestCaseError> {
    let limits = &stand.limits;
    let read = |pair: &Pair| {
        let brows = pair
            .draw(limits)
            .map_err(|why| TestCaseError::fail(why.to_string()))?;
        let settings = Sided::from_fn(|side| Setting {
            ear: *stand.ears.get(side),
            offset: *pair.offset.get(side),
            hair: stand.hair.get(side).as_ref(),
        });
        let readings = pair_constraints(&brows, &settings, limits);
        Ok::<_, TestCaseError>((brows, readings))
    };
    let (_, first) = read(&stand.pair)?;
    let (_, was) = read(before)?;
    let (brows, is) = read(after)?;
    for (side, brow) in brows.iter() {
        let r = sampler::read(brow.outline(), brow.points(), false);
        prop_assert!(r.top_line_off <= limits.straight_mm + 1e-9, "{r:?}");
        prop_assert!(r.radius[0] >= limits.peak_radius_mm * (1.0 - 1e-4), "{r:?}");
        prop_assert!(r.growth < 1e-3 && r.crossings == 0, "{r:?}");
        prop_assert!(r.inflections.iter().all(|n| *n == 0), "{r:?}");
        let points = brow.points();
        let behind = points.lower_arch.x - points.peak.x;
        for reading in is.get(side) {
            if reading.verdict != Verdict::Fails {
                continue;
            }
            let before = was
                .get(side)
                .iter()
                .find(|r| r.constraint == reading.constraint);
            let before = before.ok_or_else(|| TestCaseError::fail("no such reading"))?;
            prop_assert_eq!(before.verdict, Verdict::Fails, "{:?}", reading);
            match reading.constraint {
                Constraint::TailAim => {
                    // No worse than before, or than in the shape first shown.
                    let of = |r: &Reading| r.value.unwrap_or(0.0);
                    let at_first = first
                        .get(side)
                        .iter()
                        .find(|r| r.constraint == reading.constraint);
                    let at_first = at_first.map_or(0.0, of);
                    let (now, then) = (of(reading), of(before));
                    prop_assert!(
                        now <= then + 1e-6 || now <= at_first + 0.05,
                        "{at_first}, {then} to {now} degrees"
                    );
                }
                Constraint::ArchBehindPeak => {
                    prop_assert!((behind - before.value.unwrap_or(0.0)).abs() < 1e-6);
                }
                other => return Err(TestCaseError::fail(format!("{other:?} fails"))),
            }
        }
    }
    Ok(())
}

/// The offsets to the last bit; what differs between the sides, point by point,
/// to a millionth; on the face too where no side is turned.
fn keeps_balance(before: &Pair, after: &Pair, tally: &mut Tally) -> Result<(), TestCaseError> {
    prop_assert_eq!(before.offset, after.offset);
    prop_assert_eq!(before.master, after.master);
    prop_assert_eq!(before.is_linked(), after.is_linked());
    let differs = |pair: &Pair, on_face: bool| {
        let of = |side| {
            if on_face {
                pair.points_on(side)
            } else {
                *pair.points(side)
            }
        };
        let (right, left) = (of(Side::Right), of(Side::Left));
        ophryon_brow::Handle::ALL.map(|h| right.at(h) - left.at(h))
    };
    let even = before.offset.right.turn_degrees == before.offset.left.turn_degrees;
    for on_face in [false, true] {
        if on_face && !even {
            continue;
        }
        let pairs = differs(before, on_face)
            .into_iter()
            .zip(differs(after, on_face));
        for (was, is) in pairs {
            let off = (was - is).length();
            tally.worst_balance_mm = tally.worst_balance_mm.max(off);
            prop_assert!(off < 1e-6, "balance off by {off} mm");
        }
    }
    Ok(())
}

/// Says a phrase until nothing is left.
fn until_nothing_is_left(
    stand: &Stand,
    phrase: Phrase,
    tally: &mut Tally,
) -> Result<(), TestCaseError> {
    let mut pair = stand.pair.clone();
    // Whether the answer before said that more could follow.
    let mut told_of_more = None;
    for round in 0..50 {
        let said = stand.say(phrase, &pair);
        if let Some(more) = told_of_more {
            prop_assert_eq!(said.is_ok(), more, "{:?}, answer {}", phrase, round);
        }
        match said {
            Ok(proposal) => {
                told_of_more = Some(!proposal.still_possible().contains("No more could follow"));
                tally.says += 1;
                one_answer(stand, &pair, &proposal, tally)?;
                if round == 0 {
                    tally.given[phrase as usize] += 1;
                    tally.whole[phrase as usize] += u32::from(proposal.held_back.is_none());
                    back(stand, phrase, &proposal, tally)?;
                }
                pair = proposal.pair;
            }
            Err(nothing) => {
                let said = nothing.to_string();
                prop_assert!(said.starts_with("nothing is left to give"), "{said}");
                prop_assert!(!said.contains("NaN") && said.len() > 60, "{said}");
                if round == 0 {
                    tally.refused[phrase as usize] += 1;
                }
                let why = match nothing.in_the_way {
                    InTheWay::Bound { total, .. } => format!("bound on {}", total.name()),
                    InTheWay::Conflict(_) => "can't be drawn".to_owned(),
                    InTheWay::Constraint { constraint, .. } => constraint.name().to_owned(),
                    InTheWay::Worse { constraint, .. } => {
                        format!("{}, off already", constraint.name())
                    }
                    InTheWay::Hair { .. } => "hair".to_owned(),
                    InTheWay::Healed { .. } | InTheWay::HealsToNothing(_) => "healed".to_owned(),
                    InTheWay::Thinnest { .. } => "thinnest".to_owned(),
                    other => format!("{other:?}"),
                };
                *tally
                    .ways
                    .entry(format!("{}: {why}", phrase.words()))
                    .or_default() += 1;
                tally.longest = tally.longest.max(round);
                return Ok(());
            }
        }
    }
    Err(TestCaseError::fail(format!("{phrase:?} never ends")))
}

/// How far the tail of the shape first shown is off its aim.
fn aim_degrees(stand: &Stand, side: Side) -> Result<f64, TestCaseError> {
    let brows = stand.pair.draw(&stand.limits);
    let brows = brows.map_err(|why| TestCaseError::fail(why.to_string()))?;
    let settings = Sided::from_fn(|side| Setting {
        ear: *stand.ears.get(side),
        offset: *stand.pair.offset.get(side),
        hair: stand.hair.get(side).as_ref(),
    });
    let readings = pair_constraints(&brows, &settings, &stand.limits);
    let aim = readings
        .get(side)
        .iter()
        .find(|r| r.constraint == Constraint::TailAim);
    aim.and_then(|r| r.value)
        .ok_or_else(|| TestCaseError::fail("no such reading"))
}

/// The opposite phrase leads back where both give the same.
fn back(
    stand: &Stand,
    phrase: Phrase,
    proposal: &Proposal,
    tally: &mut Tally,
) -> Result<(), TestCaseError> {
    let Some(opposite) = phrase.opposite() else {
        return Ok(());
    };
    let there = match stand.say(opposite, &proposal.pair) {
        Ok(there) => there,
        // A brow that is thinner than its hair already may become thicker, and
        // not thinner again.
        Err(nothing) => {
            let floor = matches!(
                nothing.in_the_way,
                InTheWay::Hair { .. } | InTheWay::Healed { .. } | InTheWay::Thinnest { .. }
            );
            // A tail that was off its aim at first, or on the edge of it, and
            // isn't now isn't brought there again.
            let aim = match nothing.in_the_way {
                InTheWay::Constraint {
                    side,
                    constraint: Constraint::TailAim,
                    ..
                } => aim_degrees(stand, side)? > stand.limits.aim_degrees - 0.05,
                _ => false,
            };
            prop_assert!(aim || floor && opposite == Phrase::TooThick, "{nothing}");
            return Ok(());
        }
    };
    if (there.by_mm + proposal.by_mm).abs() > 1e-9 {
        return Ok(());
    }
    for handle in ophryon_brow::Handle::ALL {
        let off = there
            .pair
            .points
            .at(handle)
            .distance(stand.pair.points.at(handle));
        tally.worst_back_mm = tally.worst_back_mm.max(off);
        prop_assert!(
            off < 0.02,
            "{phrase:?}, {opposite:?}: {handle:?} off by {off} mm"
        );
    }
    Ok(())
}

fn faces(cases: u32) -> Tally {
    let tally = RefCell::new(Tally::default());
    let mut config = ProptestConfig::with_cases(cases);
    config.failure_persistence = None;
    config.max_shrink_iters = 30;
    let outcome = TestRunner::new(config).run(&(face(), held()), |(face, held)| {
        let mut tally = tally.borrow_mut();
        let Some(stand) = Stand::of(&face, &held) else {
            return Ok(());
        };
        tally.faces += 1;
        for phrase in Phrase::ALL {
            until_nothing_is_left(&stand, phrase, &mut tally)?;
        }
        Ok(())
    });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    tally.into_inner()
}

fn told(tally: &Tally, cases: u32) {
    println!(
        "{} pairs of {cases} faces, {} answers, at most {} to one phrase; back to {:.4} mm, balance to {:.1e} mm",
        tally.faces, tally.says, tally.longest, tally.worst_back_mm, tally.worst_balance_mm
    );
    for phrase in Phrase::ALL {
        let i = phrase as usize;
        println!(
            "{}: {} given ({} whole), {} nothing to give",
            phrase.words(),
            tally.given[i],
            tally.whole[i],
            tally.refused[i]
        );
    }
    for (why, count) in &tally.ways {
        println!("  ends by {why}: {count}");
    }
    assert!(tally.faces * 10 >= cases * 8, "{} pairs", tally.faces);
    for phrase in Phrase::ALL {
        let given = tally.given[phrase as usize];
        assert!(
            given * 2 > tally.faces,
            "{} given {given} times",
            phrase.words()
        );
    }
    let bounds = TOTAL_BOUNDS.map(|(_, mm)| mm / ophryon_brow::SMALLEST_STEP_MM);
    let most = bounds.into_iter().fold(0.0, f64::max);
    assert!(f64::from(tally.longest) <= most + 1.0);
}

#[test]
fn every_phrase_is_answered_in_bounds_until_nothing_is_left() {
    told(&faces(SAMPLE), SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn a_thousand_faces_answer_every_phrase() {
    told(&faces(PROOF), PROOF);
}
