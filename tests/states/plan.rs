//! The plan: worked examples, limits, and its way into the shape and back.

use ophryon_brow::{Handle, Offset};
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::{Point, Side, Vector};
use ophryon_record::{
    BalanceAsk, Edit, History, Image, Photo, PhotoState, PlanChoice, PlanDecision, PlanStop,
    PlanWay, Record, StateVerdict, apply,
};

/// The typical face of docs/method.md in two photos, every landmark tapped
/// where it is: 0.1 mm per px, the client's right brow higher by so many mm
/// at rest and in use.
fn typical(at_rest: f64, in_use: f64) -> Record {
    const SIDE: [(SidedLandmark, f64, f64); 10] = [
        (SidedLandmark::Pupil, 31.5, 0.0),
        (SidedLandmark::InnerCorner, 17.0, -1.0),
        (SidedLandmark::OuterCorner, 44.5, 0.0),
        (SidedLandmark::NoseWing, 17.0, -38.0),
        (SidedLandmark::EarMiddle, 74.0, -11.0),
        (SidedLandmark::BrowStartTop, 14.0, 22.0),
        (SidedLandmark::BrowStartBottom, 14.0, 14.5),
        (SidedLandmark::BrowPeak, 40.5, 26.5),
        (SidedLandmark::BrowLowerArch, 42.0, 21.0),
        (SidedLandmark::BrowTail, 54.0, 16.0),
    ];
    let px = |x: f64, y: f64| Point::new(800.0 + 10.0 * x, 900.0 - 10.0 * y);
    let mut record = Record::new("T1");
    for (id, state, right) in [
        ("relaxed", PhotoState::Relaxed, at_rest),
        ("eyes-open", PhotoState::EyesOpen, in_use),
    ] {
        let image = Image::File {
            name: format!("{id}.jpg"),
        };
        let mut photo = Photo::new(id, state, image, 1600, 2000);
        for side in Side::BOTH {
            for (landmark, x, y) in SIDE {
                let up = if side == Side::Right && landmark.is_brow() {
                    right
                } else {
                    0.0
                };
                let at = px(side.sign() * x, y + up);
                photo.landmarks.set(Landmark::Sided(side, landmark), at);
            }
        }
        photo.references.push(ophryon_face::Reference::Ruler {
            ends: [px(-50.0, -60.0), px(50.0, -60.0)],
            length_mm: 100.0,
            held: ophryon_face::Held::default(),
        });
        record.photos.push(photo);
    }
    record
}

fn planned(record: &Record, plan: PlanChoice) -> Record {
    apply(record, &Edit::SetPlan(plan)).expect("a plan that can be")
}

fn taken(record: &Record) -> Record {
    let take = record.take_plan().expect("all is tapped");
    apply(record, &take).expect("it can be taken")
}

/// Changes of right and left and what remains, at each place, to a tenth of a
/// micrometre.
fn moved(record: &Record) -> Vec<(f64, f64, f64)> {
    let plan = record.balance().expect("all is tapped").plan;
    let short = |mm: f64| (mm * 1e7).round() / 1e7 + 0.0;
    plan.rows
        .iter()
        .map(|r| {
            (
                short(r.change.right.mm),
                short(r.change.left.mm),
                short(r.remains.mm),
            )
        })
        .collect()
}

/// High side 2.0 mm up at rest and in use, share one half: 1.0 mm down on it,
/// 1.0 mm up on the other, 0 left (common practice, no source).
#[test]
fn two_millimetres_are_shared_by_half() {
    let record = typical(2.0, 2.0);
    assert_eq!(record.balance().expect("tapped").verdict, StateVerdict::Set);
    assert_eq!(moved(&record), [(-1.0, 1.0, 0.0); 3]);
    let lifted = planned(
        &record,
        PlanChoice {
            way: PlanWay::OneLift,
            ..PlanChoice::default()
        },
    );
    assert_eq!(moved(&lifted), [(-1.0, 1.0, 0.0); 3]);
    let all_on_the_high_side = planned(
        &record,
        PlanChoice {
            share: 1.0,
            beyond_hair_mm: None,
            ..PlanChoice::default()
        },
    );
    assert_eq!(moved(&all_on_the_high_side), [(-2.0, 0.0, 0.0); 3]);
}

/// Movement 2.0 with rest 0.2 ± 0.4 or more: nothing, and it says why.
#[test]
fn movement_is_left_and_the_reason_is_given() {
    let record = typical(0.2, 2.6);
    let balance = record.balance().expect("tapped");
    assert_eq!(balance.verdict, StateVerdict::Movement);
    assert_eq!(moved(&record), [(0.0, 0.0, 0.2); 3]);
    let said = &balance.plan.sentences;
    assert_eq!(said.len(), 1);
    assert!(
        said[0].starts_with(
            "Nothing is corrected: at rest the brows are not distinguishable from even (0.2 ± "
        ),
        "{said:?}"
    );
    assert!(said[0].contains("what shows in use is movement"));
    // Taken all the same, it leaves the pair even.
    let taken = taken(&record);
    let pair = taken.pair.expect("the proposal became the shape");
    assert!(pair.offset.iter().all(|(_, o)| *o == Offset::default()));
}

/// Only what is there at rest is evened out, however much use adds.
#[test]
fn of_both_only_the_set_part_is_corrected() {
    let record = typical(2.0, 5.0);
    assert_eq!(
        record.balance().expect("tapped").verdict,
        StateVerdict::Both
    );
    assert_eq!(moved(&record), [(-1.0, 1.0, 0.0); 3]);
}

#[test]
fn a_cap_sends_the_rest_to_the_other_side_or_leaves_it() {
    let record = typical(2.0, 2.0);
    let mut plan = PlanChoice::default();
    plan.cap_mm.right = Some(0.5);
    let capped = planned(&record, plan);
    assert_eq!(moved(&capped), [(-0.5, 1.5, 0.0); 3]);
    plan.cap_mm.left = Some(1.2);
    let capped = planned(&record, plan);
    assert_eq!(moved(&capped), [(-0.5, 1.2, 0.3); 3]);
    let found = capped.balance().expect("tapped").plan;
    assert_eq!(found.rows[1].stopped.right, Some(PlanStop::Cap));
    let said = &found.sentences[0];
    assert!(
        said.starts_with("At start, peak and tail alike, the client's right brow goes down 0.5 mm"),
        "{said}"
    );
    assert!(
        said.contains("0.3 ± ") && said.contains("the client's right one higher"),
        "{said}"
    );
    assert!(
        said.contains("The client's left brow is held by its cap."),
        "{said}"
    );
}

#[test]
fn the_hairs_border_is_a_limit() {
    let record = typical(2.0, 2.0);
    let hair = |beyond| {
        planned(
            &record,
            PlanChoice {
                beyond_hair_mm: beyond,
                ..PlanChoice::default()
            },
        )
    };
    // Half a millimetre beyond the border and no more, on both sides.
    assert_eq!(moved(&hair(Some(0.5))), [(-0.5, 0.5, 1.0); 3]);
    let stopped = hair(Some(0.5)).balance().expect("tapped").plan.rows[0].stopped;
    assert_eq!(
        (stopped.right, stopped.left),
        (Some(PlanStop::Hair), Some(PlanStop::Hair))
    );
    assert_eq!(moved(&hair(None)), [(-1.0, 1.0, 0.0); 3]);
    // Traced hair that reaches 3 mm above the left brow makes room there.
    let px = |x: f64, y: f64| Point::new(800.0 + 10.0 * x, 900.0 - 10.0 * y);
    let border = [(10.0, 14.0), (58.0, 14.0), (58.0, 29.5), (10.0, 29.5)];
    let traced = apply(
        &hair(Some(0.5)),
        &Edit::TraceHair {
            photo: "relaxed".to_owned(),
            side: Side::Left,
            border: border.map(|(x, y)| px(x, y)).to_vec(),
        },
    )
    .expect("traced");
    assert_eq!(moved(&traced), [(-0.5, 1.5, 0.0); 3]);
    let room = &traced.balance().expect("tapped").plan.rows[1];
    let up = room.up_to_mm.left.expect("a limit");
    assert!((up - 3.5).abs() < 1e-6, "{up}");
    // The limit set for the shape's step beyond the hair counts too.
    let mut record = hair(None);
    record.limits.hair_step_most_mm = Some(0.25);
    assert_eq!(moved(&record)[1], (-0.25, 0.25, 1.5));
}

/// The shape then differs by just what the plan leaves, and one undo takes all
/// of it back.
#[test]
fn a_plan_that_is_taken_is_the_shapes_difference() {
    let mut plan = PlanChoice::default();
    plan.cap_mm.right = Some(0.5);
    plan.cap_mm.left = Some(0.5);
    let record = planned(&typical(2.0, 2.0), plan);
    let mut history = History::new(record.clone());
    let take = history.now().take_plan().expect("tapped");
    assert!(history.apply(&take).expect("it can be taken"));
    assert_eq!(history.undo_words(), Some("take the plan into the shape"));
    let taken = history.now();
    assert_eq!(taken.plan.decision, PlanDecision::Taken);
    assert!(taken.balance().expect("tapped").plan.is_in_shape);
    let drawn = taken.drawn().expect("drawn");
    for id in ["front-top-height", "peak-height", "tail-height"] {
        let row = drawn
            .differences
            .iter()
            .find(|d| d.id == id)
            .expect("there");
        assert!((row.difference_mm - 1.0).abs() < 0.02, "{row:?}");
    }
    assert!(history.undo());
    assert_eq!(history.now(), &record);
    // Another share is open again until it is taken.
    history.redo();
    let other = PlanChoice {
        share: 0.25,
        ..history.now().plan
    };
    history.apply(&Edit::SetPlan(other)).expect("fine");
    assert_eq!(history.now().plan.decision, PlanDecision::Open);
    // And a shape proposed anew keeps a plan that was taken.
    let take = history.now().take_plan().expect("tapped");
    history.apply(&take).expect("taken");
    let offset = history.now().pair.as_ref().expect("a shape").offset;
    history.apply(&Edit::Propose).expect("proposed");
    let again = history.now().pair.as_ref().expect("a shape").offset;
    for side in Side::BOTH {
        let (a, b) = (offset.get(side), again.get(side));
        assert!((a.height_mm - b.height_mm).abs() < 1e-9);
    }
}

/// A difference that grows toward the tail is a turn.
#[test]
fn a_slant_becomes_a_turn() {
    let mut record = typical(0.0, 0.0);
    for photo in &mut record.photos {
        for (landmark, up) in [
            (SidedLandmark::BrowPeak, 2.0),
            (SidedLandmark::BrowLowerArch, 2.0),
            (SidedLandmark::BrowTail, 3.2),
        ] {
            let landmark = Landmark::Sided(Side::Right, landmark);
            let at = photo.landmarks.get(landmark).expect("tapped");
            photo
                .landmarks
                .set(landmark, at + Vector::new(0.0, -10.0 * up));
        }
    }
    let mut plan = PlanChoice::default();
    plan.cap_mm.right = Some(0.0);
    plan.cap_mm.left = Some(0.0);
    let record = planned(&record, plan);
    let balance = record.balance().expect("tapped");
    assert!(balance.verdict.is_there_at_rest());
    let taken = taken(&record);
    let drawn = taken.drawn().expect("drawn");
    let height = |handle, side| drawn.handle(side, handle).expect("there").skin.y;
    let differs = |handle| height(handle, Side::Right) - height(handle, Side::Left);
    let misfit = balance.plan.misfit_mm;
    assert!(misfit < 0.3, "{misfit}");
    for (handle, natural) in [(Handle::Peak, 2.0), (Handle::Tail, 3.2)] {
        let off = differs(handle) - natural;
        assert!(off.abs() < 2.0 * misfit + 0.05, "{handle:?}: {off} off");
    }
    assert!(taken.pair.expect("shape").offset.right.turn_degrees > 1.0);
}

#[test]
fn what_is_missing_is_asked_one_thing_at_a_time() {
    let whole = typical(2.0, 2.0);
    let first = |record: &Record| record.balance().expect_err("not yet").sentence();
    let mut record = Record::new("Q");
    assert_eq!(
        first(&record),
        "Take a photo of the face at rest: forehead loose, eyes softly open."
    );
    record.photos.push(whole.photos[0].clone());
    assert_eq!(first(&record), "Take a photo with the eyes wide open.");
    record.photos.push(whole.photos[1].clone());
    assert!(record.balance().is_ok());
    let peak = Landmark::Sided(Side::Right, SidedLandmark::BrowPeak);
    record.photos[1].landmarks.remove(peak);
    assert_eq!(
        first(&record),
        "Tap the peak of the client's right brow in the photo with the eyes wide open."
    );
    record.photos[0].references.clear();
    assert!(first(&record).starts_with("Tap something of known size in the relaxed photo"));
    let needed = record
        .balance_asks()
        .into_iter()
        .filter(BalanceAsk::is_needed);
    assert_eq!(needed.count(), 2);
    // Pupils follow the gaze: they are asked for at rest only.
    for photo in 0..2 {
        let mut record = whole.clone();
        let pupil = Landmark::Sided(Side::Left, SidedLandmark::Pupil);
        record.photos[photo].landmarks.remove(pupil);
        assert_eq!(record.balance().is_ok(), photo == 1);
    }
    // Taps that contradict each other are said, with the way out.
    let mut record = whole;
    let landmarks = &mut record.photos[1].landmarks;
    std::mem::swap(&mut landmarks.right, &mut landmarks.left);
    let said = first(&record);
    assert!(
        said.starts_with("In the photo “eyes-open”") && said.ends_with('.'),
        "{said}"
    );
}

/// A photo with the brows raised may be compared instead, and is when there is
/// none with the eyes wide open.
#[test]
fn a_photo_with_the_brows_raised_will_do() {
    let mut record = typical(0.0, 3.0);
    let mut raised = record.photos[1].clone();
    raised.id = "raised".to_owned();
    raised.state = PhotoState::Raised;
    let right = Landmark::Sided(Side::Right, SidedLandmark::BrowStartTop);
    let at = raised.landmarks.get(right).expect("tapped");
    raised.landmarks.set(right, at + Vector::new(0.0, -20.0));
    record.photos.push(raised);
    let usual = record.balance().expect("tapped");
    assert_eq!(
        (usual.in_use.as_str(), usual.in_use_state),
        ("eyes-open", PhotoState::EyesOpen)
    );
    let other = record.balance_with("raised").expect("tapped");
    assert_eq!(other.in_use_state, PhotoState::Raised);
    assert!((other.rows[0].change.mm - usual.rows[0].change.mm - 2.0).abs() < 0.01);
    assert!(
        other.aloud.contains("When you raise your brows"),
        "{}",
        other.aloud
    );
    record.photos.remove(1);
    assert_eq!(record.balance().expect("tapped").in_use, "raised");
}

/// A slider that is dragged plans anew what was measured once.
#[test]
fn another_plan_for_the_same_photos_is_the_same_as_measured_anew() {
    let record = typical(2.0, 2.0);
    let measured = record.balance().expect("tapped");
    for share in [0.0, 0.3, 1.0] {
        let plan = PlanChoice {
            share,
            ..PlanChoice::default()
        };
        let other = planned(&record, plan);
        assert_eq!(other.replanned(&measured), other.balance().ok());
    }
}

#[test]
fn sides_that_were_let_go_are_not_overwritten() {
    let record = apply(&typical(2.0, 2.0), &Edit::Unlink).expect("unlinked");
    let said = apply(&record, &record.take_plan().expect("tapped"))
        .expect_err("refused")
        .to_string();
    assert!(said.contains("link them, then take the plan"), "{said}");
    let early = Record::new("A").take_plan().expect_err("nothing there");
    assert_eq!(
        early,
        BalanceAsk::Photo {
            state: PhotoState::Relaxed
        }
    );
}
