//! Any edits in any order: nothing breaks and everything can be undone.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{
    BrowPoints, Form, Handle, Limits, Offset, PeakRule, Rules, Shrink, ShrinkBy, StartRule,
};
use ophryon_face::{Held, Landmark, Reference};
use ophryon_frames::{Point, Side, Sided};
use ophryon_record::{
    Client, Day, Edit, History, Image, Optics, Photo, PhotoState, PlanChoice, Record, Snap,
    TapeLine, VariantEdit, Visit, VisitChange, VisitEdit, VisitKind, WrapChoice, Zone,
};
use ophryon_stencil::DistanceId;
use proptest::prelude::*;
use typical::{PHOTO, px, typical};

/// Any edit, sensible or not.
fn edit() -> impl Strategy<Value = Edit> {
    let side = prop_oneof![Just(Side::Right), Just(Side::Left)];
    let handle = prop::sample::select(Handle::ALL.to_vec());
    let landmark = prop::sample::select(Landmark::in_order().to_vec());
    let lateral = (-5.0..75.0, 5.0..40.0).prop_map(|(x, y)| Point::new(x, y));
    let tap = (-50.0..1700.0, -50.0..2100.0).prop_map(|(x, y)| Point::new(x, y));
    let photo = prop_oneof![4 => Just(PHOTO.to_owned()), 1 => Just("photo-1".to_owned())];
    let offset =
        (-2.0..2.0, -2.0..2.0, -20.0..5.0).prop_map(|(lateral_mm, height_mm, turn_degrees)| {
            Offset {
                lateral_mm,
                height_mm,
                turn_degrees,
            }
        });
    let rules = (
        prop_oneof![Just(StartRule::InnerCorner), Just(StartRule::NoseWing)],
        prop_oneof![
            Just(PeakRule::AbovePupil),
            Just(PeakRule::WingThroughIrisRim)
        ],
        -20.0..20.0,
    )
        .prop_map(|(start, peak, start_offset_mm)| Rules {
            start,
            peak,
            start_offset_mm,
            ..Rules::default()
        });
    let wrap = prop_oneof![
        Just(WrapChoice::Estimate),
        Just(WrapChoice::Flat),
        (30.0..220.0).prop_map(|radius_mm| WrapChoice::Cylinder { radius_mm }),
        (20.0..80.0).prop_map(|mm| WrapChoice::tape(Side::Left, TapeLine::StartToTail, mm)),
    ];
    let line = prop::sample::select(TapeLine::ALL.as_slice());
    let distance = prop::sample::select(DistanceId::ALL.as_slice());
    let index = 0..5_usize;
    let name = prop_oneof![
        Just("A"),
        Just("B"),
        Just("C"),
        Just("D"),
        Just("E"),
        Just(" ")
    ];
    let name = name.prop_map(str::to_owned);
    let variant = prop_oneof![
        3 => name.clone().prop_map(|name| VariantEdit::Keep { name, note: String::new() }),
        2 => index.clone().prop_map(|index| VariantEdit::Take { index }),
        1 => index.clone().prop_map(|index| VariantEdit::Replace { index }),
        1 => (index.clone(), name).prop_map(|(index, name)| VariantEdit::Describe { index, name, note: "n".to_owned() }),
        1 => (index.clone(), index.clone()).prop_map(|(index, to)| VariantEdit::Move { index, to }),
        1 => index.prop_map(|index| VariantEdit::Remove { index }),
    ];
    let by = prop_oneof![Just(ShrinkBy::Area), Just(ShrinkBy::Thickness)];
    let rounding = (0.0..1.0).prop_map(|rounding| Limits {
        rounding,
        ..Limits::default()
    });
    prop_oneof![
        4 => variant.prop_map(Edit::Variant),
        4 => visit(side.clone()).prop_map(Edit::Visit),
        1 => rounding.prop_map(Edit::SetLimits),
        1 => (-0.1..0.6, by).prop_map(|(share, by)| Edit::SetShrink(Shrink { share, by })),
        6 => (side.clone(), handle, lateral).prop_map(|(side, handle, to)| Edit::MoveHandle { side, handle, to }),
        2 => (side.clone(), offset.clone()).prop_map(|(side, offset)| Edit::SetOffset { side, offset }),
        2 => sketched(side.clone()),
        2 => Just(Edit::Propose),
        1 => (offset.clone(), offset).prop_map(|(right, left)| Edit::TakePlan(Sided { right, left })),
        1 => Just(Edit::Unlink),
        1 => side.clone().prop_map(|from| Edit::Link { from }),
        2 => (photo.clone(), landmark.clone(), tap.clone()).prop_map(|(photo, landmark, at)| Edit::SetLandmark { photo, landmark, at }),
        2 => (photo.clone(), landmark.clone(), tap.clone()).prop_map(|(photo, landmark, at)| Edit::TapAgain { photo, landmark, at }),
        1 => (photo.clone(), landmark.clone(), tap.clone(), tap.clone()).prop_map(|(photo, landmark, at, tapped)| Edit::SnapLandmark { photo, landmark, at, snap: Snap { tapped, sd_px: None } }),
        1 => (photo.clone(), 0..3_usize, tap.clone()).prop_map(|(photo, index, at)| Edit::ReplaceReference { photo, index, reference: Reference::Sticker { rim: [px(0.0, 9.0), at], diameter_mm: 12.0, held: Held::Cheek } }),
        1 => (photo.clone(), tap.clone()).prop_map(|(photo, at)| Edit::AddReference { photo, reference: Reference::Iris { side: Side::Left, rim: [px(25.0, 0.0), at] } }),
        1 => (photo.clone(), 0..3_usize).prop_map(|(photo, index)| Edit::RemoveReference { photo, index }),
        1 => (photo.clone(), 0.0..100.0).prop_map(|(photo, focal_mm)| Edit::SetOptics { photo, optics: Some(Optics::Equivalent { focal_mm }) }),
        1 => (-0.1..1.1).prop_map(|share| Edit::SetPlan(PlanChoice { share, ..PlanChoice::default() })),
        1 => (photo.clone(), landmark).prop_map(|(photo, landmark)| Edit::RemoveLandmark { photo, landmark }),
        1 => (photo.clone(), side.clone(), prop::collection::vec(tap, 0..6)).prop_map(|(photo, side, border)| Edit::TraceHair { photo, side, border }),
        1 => (side.clone(), prop::option::of(80.0..210.0)).prop_map(|(side, length_mm)| Edit::SetEarTape { side, length_mm }),
        1 => rules.prop_map(Edit::SetRules),
        1 => wrap.prop_map(Edit::SetWrap),
        1 => (side.clone(), line, prop::option::of(30.0..80.0)).prop_map(|(side, line, length_mm)| Edit::SetTape { side, line, length_mm }),
        1 => (side.clone(), distance, prop::option::of(-60.0..80.0)).prop_map(|(side, distance, read_mm)| Edit::SetReading { side, distance, read_mm }),
        1 => Just(Edit::ClearReadings),
        1 => "[a-zA-Z ]{0,6}".prop_map(|code| Edit::SetClient(Client { code, ..Client::default() })),
        1 => photo.prop_map(|id| Edit::AddPhoto(Photo::new(id, PhotoState::EyesOpen, Image::File { name: "b.jpg".to_owned() }, 900, 1200))),
    ]
}

/// What may be logged of a visit, of one that isn't there as well.
fn visit(side: impl Strategy<Value = Side>) -> impl Strategy<Value = VisitEdit> {
    let day = (2024..2026_u32, 1..13_u32, 1..29_u32).prop_map(|(year, month, day)| {
        let text = format!("{year}-{month:02}-{day:02}");
        text.parse::<Day>().expect("a day")
    });
    let zone = prop::sample::select(Zone::ALL.as_slice());
    let kind = prop::sample::select(VisitKind::ALL.as_slice());
    let photos = prop::sample::subsequence(vec![PHOTO.to_owned(), "photo-1".to_owned()], 0..3);
    let what = prop_oneof![
        day.clone().prop_map(VisitChange::Day),
        (side, zone, 0..120_u32).prop_map(|(side, zone, passes)| VisitChange::Passes {
            side,
            zone,
            passes
        }),
        photos.prop_map(VisitChange::Photos),
        "[a-z\n]{0,9}".prop_map(VisitChange::NeedleBatch),
        day.clone()
            .prop_map(|day| VisitChange::Next(Visit::new(day, VisitKind::Other).proposed_next())),
    ];
    prop_oneof![
        2 => (day, kind).prop_map(|(day, kind)| VisitEdit::Add(Box::new(Visit::new(day, kind)))),
        4 => (0..3_usize, what).prop_map(|(visit, what)| VisitEdit::Change { visit, what }),
        1 => (0..3_usize).prop_map(|visit| VisitEdit::Remove { visit }),
    ]
}

/// What a sketch may come to: a brow, or hardly one.
fn sketched(side: impl Strategy<Value = Side>) -> impl Strategy<Value = Edit> {
    let moves = prop::collection::vec((-3.0..3.0, -2.0..2.0), 5);
    let wish = prop_oneof![3 => Just(None), 1 => prop::option::of(-1.0..12.0)];
    (side, moves, wish).prop_map(|(side, moves, body_mm)| {
        let by = |i: usize, x: f64, y: f64| {
            let (dx, dy): (f64, f64) = moves[i];
            Point::new(x + dx, y + dy)
        };
        let points = BrowPoints {
            front_top: by(0, 15.0, 24.0),
            front_bottom: by(1, 15.0, 16.0),
            peak: by(2, 41.0, 29.5),
            lower_arch: by(3, 42.5, 22.0),
            tail: by(4, 57.0, 15.5),
        };
        let form = Box::new(Form {
            body_mm,
            ..Form::default()
        });
        Edit::Sketch { side, points, form }
    })
}

#[derive(Debug, Clone)]
enum Act {
    Do(Box<Edit>),
    Drag(Vec<Edit>, bool),
    Undo,
    Redo,
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        5 => edit().prop_map(|edit| Act::Do(Box::new(edit))),
        2 => (prop::collection::vec(edit(), 1..5), any::<bool>()).prop_map(|(edits, keep)| Act::Drag(edits, keep)),
        2 => Just(Act::Undo),
        1 => Just(Act::Redo),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever is done in whatever order: the record is sound, its shape can
    /// be drawn unless the photo says why not, refused edits change nothing,
    /// and undo and redo lead back to exactly the same records.
    #[test]
    fn any_work_can_be_undone_and_redone(acts in prop::collection::vec(act(), 1..40)) {
        let mut history = History::new(typical());
        let first = history.now().clone();
        for act in acts {
            let before = history.now().clone();
            match act {
                Act::Do(edit) => match history.apply(&edit) {
                    Ok(changed) => prop_assert_eq!(changed, *history.now() != before),
                    Err(why) => {
                        prop_assert!(!why.to_string().is_empty());
                        prop_assert_eq!(history.now(), &before);
                    }
                },
                Act::Drag(edits, keep) => {
                    for edit in &edits {
                        let _ = history.preview(edit);
                    }
                    let shown = history.shown().clone();
                    if keep {
                        history.finish();
                        prop_assert_eq!(history.now(), &shown);
                    } else {
                        history.abandon();
                        prop_assert_eq!(history.now(), &before);
                    }
                }
                Act::Undo => if history.undo() {
                    prop_assert!(history.redo());
                    prop_assert_eq!(history.now(), &before);
                    history.undo();
                },
                Act::Redo => if history.redo() {
                    prop_assert!(history.undo());
                    prop_assert_eq!(history.now(), &before);
                    history.redo();
                },
            }
            let now = history.now();
            prop_assert_eq!(now.problems(), vec![]);
            for i in 0..now.variants.len() {
                let other = now.with_variant(i).expect("it is there");
                let shape = other.pair.expect("it has a shape");
                prop_assert!(shape.draw(&other.limits).is_ok(), "an undrawable shape was kept");
            }
            let text = now.to_json().expect("it is sound");
            prop_assert_eq!(&Record::from_json(&text).expect("it reads"), now);
            if let Some(pair) = &now.pair {
                prop_assert!(pair.draw(&now.limits).is_ok(), "an undrawable shape was kept");
            }
        }
        while history.redo() {}
        let last = history.now().clone();
        while history.undo() {}
        prop_assert_eq!(history.now(), &first);
        while history.redo() {}
        prop_assert_eq!(history.now(), &last);
    }
}
