//! What stays of the shape, on this face, beside what is drawn.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Form, Front, Handle, Offset, Shrink, ShrinkBy};
use ophryon_frames::{Point, Side};
use ophryon_record::{Edit, HealedSide, PRESENT, Record, VariantEdit, apply};
use typical::typical;

fn done(record: &Record, edit: &Edit) -> Record {
    apply(record, edit).unwrap_or_else(|why| panic!("{}: {why}", edit.words()))
}

fn of_side(record: &Record, side: Side) -> HealedSide {
    let healed = record.drawn().expect("it is drawn").healed();
    healed.get(side).clone().expect("something stays")
}

/// The typical face with its proposal, the left half a millimetre higher and
/// turned.
fn offset() -> Record {
    let record = done(&typical(), &Edit::Propose);
    let offset = Offset {
        lateral_mm: 0.0,
        height_mm: 0.5,
        turn_degrees: 2.0,
    };
    let side = Side::Left;
    done(&record, &Edit::SetOffset { side, offset })
}

#[test]
fn the_records_own_shrink_counts() {
    let record = offset();
    let (usual, side) = (of_side(&record, Side::Right), Side::Right);
    assert!((usual.healed.area_mm2 / usual.drawn.area_mm2 - 0.9).abs() < 1e-6);
    let by = ShrinkBy::Thickness;
    let own = done(&record, &Edit::SetShrink(Shrink { share: 0.2, by }));
    let own = of_side(&own, side);
    let share = own.healed.thickness_body_mm / own.drawn.thickness_body_mm;
    assert!((share - 0.8).abs() < 1e-4, "{share}");
    let most = Edit::SetShrink(Shrink { share: 0.6, by });
    let why = apply(&record, &most)
        .expect_err("it is refused")
        .to_string();
    assert_eq!(
        why,
        "60 % is no healed shrink; it lies between 0 % and 50 %"
    );
}

/// Each healed outline lies wholly inside its drawn one, where the side has
/// it, and as far from it as is said; by 400 plain samples a side.
#[test]
fn it_lies_inside_the_drawn_one_on_either_side() {
    let drawn = offset().drawn().expect("it is drawn");
    for (side, healed) in drawn.healed().iter() {
        let healed = healed.as_ref().expect("something stays");
        assert_eq!(healed.on_skin.len(), 1);
        let outer = drawn.on_skin.get(side);
        let border = outer.sampled(400);
        for p in healed.on_skin[0].sampled(20) {
            assert!(outer.contains(p), "{side:?} {p:?}");
            let near = border.iter().map(|b| b.distance(p));
            let near = near.fold(f64::INFINITY, f64::min);
            let off = near - healed.healing.distance_mm;
            assert!((-0.005..0.01).contains(&off), "{side:?} {p:?} {off}");
        }
        // Seen in the photo it is one closed line inside the other's extent.
        let (path, whole) = (drawn.path_of(&healed.seen), drawn.photo_path(side));
        assert!(path.starts_with('M') && path.ends_with('Z'), "{path}");
        assert_ne!(path, whole);
        let (inner, outer) = (healed.seen[0].bounds(), drawn.seen.get(side).bounds());
        assert!(inner.0.x > outer.0.x && inner.1.y < outer.1.y);
    }
}

#[test]
fn its_numbers_stand_beside_the_drawn_ones_with_the_offset_in_them() {
    let record = offset();
    let drawn = record.drawn().expect("it is drawn");
    for side in Side::BOTH {
        let healed = of_side(&record, side);
        let measures = drawn.measures.get(side);
        let (a, b) = (healed.drawn, healed.healed);
        let d = healed.healing.distance_mm;
        let height = a.peak_height_mm.expect("drawn");
        assert!((height - measures.peak_height_mm).abs() < 1e-9);
        assert!((a.length_mm - measures.length_mm).abs() < 1e-9);
        assert!((a.thickness_tail_mm - measures.thickness_tail_mm).abs() < 1e-9);
        // At the peak the outline is level: it comes down by the distance, and
        // with a turn by its cosine.
        let lower = height - b.peak_height_mm.expect("it stays");
        assert!((lower - d).abs() < 2e-3, "{side:?} {lower} {d}");
        // The front comes in by the distance, the tip by more.
        assert!(a.length_mm - b.length_mm > 2.0 * d);
        assert!(a.length_mm - b.length_mm < 12.0 * d);
    }
    let [right, left] = Side::BOTH.map(|side| of_side(&record, side).drawn);
    assert!(left.peak_height_mm > right.peak_height_mm);
    assert_eq!(left.thickness_body_mm, right.thickness_body_mm);
}

#[test]
fn what_is_to_be_drawn_heals_to_the_shape() {
    let record = offset();
    let drawn = record.drawn().expect("it is drawn");
    let to_draw = drawn.to_draw();
    let to_draw = to_draw.get(Side::Right).as_ref().expect("it can be drawn");
    assert_eq!(to_draw.healed, drawn.stage_numbers(Side::Right));
    assert!(to_draw.drawn.area_mm2 > to_draw.healed.area_mm2);
    assert!(to_draw.drawn.length_mm > to_draw.healed.length_mm);
    let outer = &to_draw.on_skin[0];
    let inner = drawn.on_skin.get(Side::Right).sampled(20);
    assert!(inner.iter().all(|p| outer.contains(*p)));
}

#[test]
fn unlinked_sides_heal_each_by_itself() {
    let record = done(&offset(), &Edit::Unlink);
    let drawn = record.drawn().expect("it is drawn");
    let tail = drawn
        .handle(Side::Left, Handle::Tail)
        .expect("there")
        .lateral;
    let to = Point::new(tail.x - 4.0, tail.y + 1.0);
    let (side, handle) = (Side::Left, Handle::Tail);
    let record = done(&record, &Edit::MoveHandle { side, handle, to });
    let [right, left] = Side::BOTH.map(|side| of_side(&record, side));
    assert!(left.healed.length_mm < right.healed.length_mm - 2.0);
    assert_ne!(left.healing.distance_mm, right.healing.distance_mm);
}

/// A rounded front is no thin front: its thickness is taken past the rounding,
/// before and after.
#[test]
fn a_soft_front_keeps_its_thickness() {
    let square = of_side(&offset(), Side::Right);
    let mut record = offset();
    let pair = record.pair.take().expect("it has one");
    let form = Form {
        front: Front::Soft { radius_mm: 2.0 },
        ..Form::default()
    };
    record.pair = Some(pair.with_form(Side::Right, form));
    let soft = of_side(&record, Side::Right);
    let gone = |h: &HealedSide| h.drawn.thickness_start_mm - h.healed.thickness_start_mm;
    assert!(gone(&soft) < gone(&square) + 0.3, "{}", gone(&soft));
    let said = soft.healing.sentences().join(" ");
    assert!(!said.contains("Too thin at the start"), "{said}");
}

#[test]
fn kept_shapes_stand_side_by_side_in_numbers() {
    let record = offset();
    let keep = |name: &str| {
        Edit::Variant(VariantEdit::Keep {
            name: name.to_owned(),
            note: "n".to_owned(),
        })
    };
    let record = done(&record, &keep("First"));
    let all = record.compare().expect("it is measured");
    assert_eq!(all.len(), 1);
    assert!(all[0].present && all[0].index == Some(0));
    let peak = record.drawn().expect("drawn");
    let peak = peak
        .handle(Side::Right, Handle::Peak)
        .expect("there")
        .lateral;
    let (side, handle) = (Side::Right, Handle::Peak);
    let to = Point::new(peak.x, peak.y + 0.6);
    let record = done(&record, &Edit::MoveHandle { side, handle, to });
    let all = record.compare().expect("it is measured");
    let named: Vec<_> = all.iter().map(|v| (v.name.as_str(), v.present)).collect();
    assert_eq!(named, [("First", false), (PRESENT, true)]);
    let [first, now] = [&all[0], &all[1]].map(|v| v.sides.as_ref().expect("drawn"));
    for side in Side::BOTH {
        let (first, now) = (first.get(side), now.get(side));
        let rise = now.drawn.peak_height_mm.expect("is") - first.drawn.peak_height_mm.expect("is");
        assert!((rise - 0.6).abs() < 2e-3, "{rise}");
        assert!(now.drawn.area_mm2 > first.drawn.area_mm2);
        let healed = now.healed.expect("it heals");
        assert!((healed.area_mm2 / now.drawn.area_mm2 - 0.9).abs() < 1e-6);
        assert!(
            now.hair_inside
                .is_some_and(|share| share > 0.5 && share <= 1.0)
        );
        assert!(first.path.starts_with('M') && first.path != now.path);
        assert!(first.healed_path.starts_with('M') && first.healed_path != now.healed_path);
    }
    // One that can't be drawn says why and the others stand.
    let mut broken = record.clone();
    broken.variants[0].pair.points.tail = broken.variants[0].pair.points.front_top;
    let all = broken.compare().expect("it is measured");
    assert!(all[0].sides.is_none() && all[0].problem.as_ref().is_some_and(|p| !p.is_empty()));
    assert!(all[1].sides.is_some());
}
