//! The shape brought to hair that was traced in the photo.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{GuideSource, Offset};
use ophryon_frames::{Photo as Px, Point, Side, Vector};
use ophryon_record::{Edit, NotToHair, Record, apply};
use typical::{PHOTO, typical};

/// The typical pair, with hair as its own outline so many px higher.
fn with_hair(px: f64, offset: Offset) -> Record {
    let side = Side::Left;
    let edits = [Edit::Propose, Edit::SetOffset { side, offset }];
    let apply_one = |record: Record, edit: &Edit| apply(&record, edit).expect("sensible");
    let record = edits.iter().fold(typical(), apply_one);
    let cubics = record.drawn().expect("drawn").photo_cubics(side);
    let border: Vec<Point<Px>> = cubics
        .iter()
        .flat_map(|[a, b, c, d]| {
            (0..6).map(|i| f64::from(i) / 6.0).map(|t| {
                let [e, f, g] = [a.lerp(*b, t), b.lerp(*c, t), c.lerp(*d, t)];
                e.lerp(f, t).lerp(f.lerp(g, t), t) + Vector::new(0.0, -px)
            })
        })
        .collect();
    let photo = PHOTO.to_owned();
    apply_one(
        record,
        &Edit::TraceHair {
            photo,
            side,
            border,
        },
    )
}

#[test]
fn a_brow_below_its_hair_is_lifted_to_it_whatever_its_offset() {
    let turned = Offset {
        lateral_mm: 0.5,
        height_mm: -1.0,
        turn_degrees: 3.0,
    };
    for offset in [Offset::default(), turned] {
        let record = with_hair(6.0, offset);
        let before = record.drawn().expect("drawn");
        let lifted = before
            .lifted_to_hair(&record, Side::Left)
            .expect("hair lies above");
        assert!(
            lifted.sentence.contains("goes up by"),
            "{}",
            lifted.sentence
        );
        let after = apply(&record, &lifted.edit())
            .expect("taken")
            .drawn()
            .expect("drawn");
        let thick = |d: &ophryon_record::Drawn| d.measures.left.thickness_body_mm;
        assert!((thick(&before) - thick(&after)).abs() < 0.06);
        let inside = |d: &ophryon_record::Drawn| {
            let fit = d.hair_fit.left.expect("known hair");
            fit.share_inside().expect("some hair")
        };
        assert!(
            inside(&after) > 0.97 && inside(&before) < 0.95,
            "{} became {}",
            inside(&before),
            inside(&after)
        );
    }
}

#[test]
fn a_brow_follows_its_hair_and_leaves_it_again() {
    let record = with_hair(2.0, Offset::default());
    let drawn = record.drawn().expect("drawn");
    assert!(drawn.leaving_hair(Side::Left).is_none());
    let follows = drawn
        .following_hair(&record, Side::Left)
        .expect("hair along the brow");
    assert!(follows.sentence.contains("mm off"), "{}", follows.sentence);
    let following = apply(&record, &follows.edit()).expect("taken");
    let guide = following
        .drawn()
        .expect("drawn")
        .pair
        .form(Side::Left)
        .guide
        .clone();
    assert_eq!(guide.map(|g| g.source), Some(GuideSource::Hair));
    let leaving = following.drawn().expect("drawn").leaving_hair(Side::Left);
    let back = apply(&following, &leaving.expect("it follows").edit()).expect("taken");
    assert_eq!(back.pair, record.pair);
}

#[test]
fn hair_that_is_not_known_is_said() {
    let record = with_hair(2.0, Offset::default());
    let drawn = record.drawn().expect("drawn");
    let none = drawn.lifted_to_hair(&record, Side::Right);
    assert_eq!(none, Err(NotToHair::NoHair { side: Side::Right }));
    let said = none.expect_err("no hair").to_string();
    assert!(said.contains("client's right"), "{said}");
}

#[test]
fn hair_that_is_only_tapped_is_told_as_rough() {
    let told = |record: &Record, side: Side| {
        let drawn = record.drawn().expect("drawn");
        let about_hair = drawn.readings.get(side).iter();
        let about_hair = about_hair.filter(|r| r.constraint.name().starts_with("hair"));
        about_hair.map(|r| r.sentence.clone()).collect::<Vec<_>>()
    };
    let record = with_hair(10.0, Offset::default());
    let (tapped, traced) = (told(&record, Side::Right), told(&record, Side::Left));
    assert!(
        !tapped.is_empty() && tapped.iter().all(|s| s.contains("rough")),
        "{tapped:?}"
    );
    assert!(
        !traced.is_empty() && traced.iter().all(|s| !s.contains("rough")),
        "{traced:?}"
    );
}
