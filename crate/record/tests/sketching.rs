//! Sketches over the photo, as the artist meets them.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Constraint, Handle, Offset, SketchError};
use ophryon_frames::{Photo as Px, Point, Side, Skin, Vector};
use ophryon_record::{Edit, History, Record, SketchedError, Strokes, apply};
use typical::typical;

fn apply_all(record: Record, edits: &[Edit]) -> Record {
    let next = |record, edit| apply(&record, edit).expect("a sensible edit");
    edits.iter().fold(record, next)
}

/// A pair whose left side is turned, raised and set outward.
fn offset_pair() -> Record {
    let offset = Offset {
        lateral_mm: 0.6,
        height_mm: -1.2,
        turn_degrees: 4.0,
    };
    apply_all(
        typical(),
        &[
            Edit::Propose,
            Edit::SetOffset {
                side: Side::Left,
                offset,
            },
        ],
    )
}

/// The same with another start, peak and tail.
fn reshaped(record: &Record) -> Record {
    let drawn = record.drawn().expect("drawn");
    let moved = |handle, x, y| Edit::MoveHandle {
        side: Side::Left,
        handle,
        to: drawn.handle(Side::Left, handle).expect("there").lateral + Vector::new(x, y),
    };
    apply_all(
        record.clone(),
        &[
            moved(Handle::Tail, 1.5, 0.8),
            moved(Handle::Peak, 0.4, 0.8),
            moved(Handle::Start, -2.0, 0.5),
        ],
    )
}

/// One stroke round a side's outline in the photo.
fn traced(record: &Record, side: Side) -> Vec<Point<Px>> {
    let cubics = record.drawn().expect("drawn").photo_cubics(side);
    // De Casteljau's construction, at each quarter.
    let along = |[a, b, c, d]: [Point<Px>; 4]| {
        (0..4).map(f64::from).map(move |i| {
            let t = i / 4.0;
            let [e, f, g] = [a.lerp(b, t), b.lerp(c, t), c.lerp(d, t)];
            e.lerp(f, t).lerp(f.lerp(g, t), t)
        })
    };
    cubics.into_iter().flat_map(along).collect()
}

/// Largest distance between the same side's outlines on the skin, mm.
fn apart(a: &Record, b: &Record, side: Side) -> f64 {
    let [a, b] = [a, b].map(|r| r.drawn().expect("drawn").on_skin);
    let line: Vec<Point<Skin>> = b.get(side).flattened(0.002);
    let distance = |p: Point<Skin>| {
        let ends = line.iter().zip(line.iter().cycle().skip(1));
        ends.map(|(u, v)| {
            let run = *v - *u;
            let share = ((p - *u).dot(run) / run.dot(run)).clamp(0.0, 1.0);
            p.distance(u.lerp(*v, share))
        })
        .fold(f64::INFINITY, f64::min)
    };
    let places = a.get(side).sampled(8);
    places.into_iter().map(distance).fold(0.0, f64::max)
}

#[test]
fn an_outline_traced_in_the_photo_lands_where_it_was_traced() {
    let before = offset_pair();
    let wanted = reshaped(&before);
    assert!(apart(&before, &wanted, Side::Left) > 1.0);
    let strokes = Strokes::Photo(vec![traced(&wanted, Side::Left)]);
    let found = before.sketched(Side::Left, &strokes).expect("a brow");
    assert!(found.sketched.followed.largest_mm < 0.1, "{found:?}");
    let edit = found.edit();
    assert_eq!(edit.words(), "sketch the client's left brow");
    let after = apply(&before, &edit).expect("it can be drawn");
    // Linked, so both sides follow, each with its own offset as before.
    for side in Side::BOTH {
        let off = apart(&after, &wanted, side);
        assert!(off < 0.1, "{off} mm off on the {}", side.name());
    }
    let offsets = |r: &Record| r.pair.clone().expect("a pair").offset;
    assert_eq!(offsets(&after), offsets(&before));
}

#[test]
fn an_unlinked_side_is_sketched_alone() {
    let before = apply(&offset_pair(), &Edit::Unlink).expect("unlinks");
    let wanted = reshaped(&before);
    let strokes = Strokes::Photo(vec![traced(&wanted, Side::Left)]);
    let edit = before
        .sketched(Side::Left, &strokes)
        .expect("a brow")
        .edit();
    let after = apply(&before, &edit).expect("it can be drawn");
    assert!(apart(&after, &wanted, Side::Left) < 0.1);
    let right = |r: &Record| r.drawn().expect("drawn").on_skin.right;
    assert_eq!(right(&after), right(&before));
}

#[test]
fn skin_and_model_coordinates_say_the_same_as_the_photo() {
    let before = offset_pair();
    let wanted = reshaped(&before);
    let drawn = wanted.drawn().expect("drawn");
    let on_skin = drawn.on_skin.get(Side::Left).sampled(4);
    let by_skin = before.sketched(Side::Left, &Strokes::Skin(vec![on_skin.clone()]));
    let by_skin = by_skin.expect("a brow");
    let modelled = before
        .drawn()
        .expect("drawn")
        .as_modelled(Side::Left, &Strokes::Skin(vec![on_skin]));
    let by_model = before.sketched(Side::Left, &Strokes::Lateral(modelled));
    assert_eq!(by_skin.points, by_model.expect("a brow").points);
    let after = apply(&before, &by_skin.edit()).expect("it can be drawn");
    assert!(apart(&after, &wanted, Side::Left) < 0.05);
}

#[test]
fn a_sketch_is_one_step_that_is_kept_and_undone() {
    let before = offset_pair();
    let strokes = Strokes::Photo(vec![traced(&reshaped(&before), Side::Left)]);
    let edit = before
        .sketched(Side::Left, &strokes)
        .expect("a brow")
        .edit();
    let mut history = History::new(before.clone());
    assert_eq!(history.apply(&edit), Ok(true));
    assert_eq!(history.undo_words(), Some("sketch the client's left brow"));
    let again = history.now().to_json().expect("it can be written");
    let again = Record::from_json(&again).expect("what was written is read");
    assert_eq!(&again, history.now());
    assert!(history.undo());
    assert_eq!(history.now(), &before);
    let text = serde_json::to_string(&edit).expect("an edit is a value");
    assert_eq!(serde_json::from_str::<Edit>(&text).expect("reads"), edit);
}

#[test]
fn strokes_that_show_no_brow_are_refused_in_words_and_change_nothing() {
    let record = offset_pair();
    let says = |strokes: Strokes| match record.sketched(Side::Right, &strokes) {
        Err(SketchedError::Sketch(why)) => why,
        other => panic!("{other:?}"),
    };
    assert_eq!(says(Strokes::Photo(Vec::new())), SketchError::Nothing);
    let one = says(Strokes::Photo(vec![vec![Point::new(400.0, 500.0)]]));
    assert!(matches!(
        one,
        SketchError::TooShort { .. } | SketchError::OffTheFace { .. }
    ));
    let nan = says(Strokes::Photo(vec![vec![Point::new(f64::NAN, 1.0); 3]]));
    assert!(!nan.to_string().is_empty());
    let no_photo = Record::new("C-1").sketched(Side::Left, &Strokes::Photo(Vec::new()));
    assert!(matches!(no_photo, Err(SketchedError::Study(_))));
}

#[test]
fn free_strokes_belong_to_the_side_they_lie_on() {
    let record = offset_pair();
    let wanted = reshaped(&record);
    let drawn = record.drawn().expect("drawn");
    for side in Side::BOTH {
        let stroke = traced(&wanted, side);
        assert_eq!(drawn.side_of_stroke(&stroke), side);
        let found = drawn.sketched_over(&record, &[stroke]).expect("a brow");
        let words = format!("sketch the client's {} brow", side.name());
        assert_eq!((found.words(), found.shapes.len()), (words, 1));
    }
    assert!(matches!(
        drawn.sketched_over(&record, &[]),
        Err(SketchedError::Sketch(SketchError::Nothing))
    ));
}

#[test]
fn strokes_on_both_sides_of_linked_brows_count_together() {
    let record = offset_pair();
    let wanted = reshaped(&record);
    let drawn = record.drawn().expect("drawn");
    // Half of it here and half of it there.
    let [right, left] = Side::BOTH.map(|side| traced(&wanted, side));
    let half = right.len() / 2;
    let strokes = [right[..half + 2].to_vec(), left[half..].to_vec()];
    let found = drawn.sketched_over(&record, &strokes).expect("a brow");
    assert!(found.is_for_both && found.words() == "sketch both brows");
    let mut history = History::new(record.clone());
    assert!(
        history
            .apply_all(&found.edits(), &found.words())
            .expect("taken")
    );
    for side in Side::BOTH {
        let off = apart(history.now(), &wanted, side);
        assert!(off < 0.5, "{side:?}: {off:.2} mm");
    }
    // It is pointed at where it was drawn.
    let shape = &found.shapes[0];
    let stroke = &strokes[usize::from(drawn.side_of_stroke(&[shape.farthest]) == Side::Left)];
    let reach = stroke.iter().map(|p| p.distance(shape.farthest));
    assert!(
        reach.fold(f64::INFINITY, f64::min) < 12.0,
        "{:?}",
        shape.farthest
    );
}

#[test]
fn unlinked_brows_follow_their_own_strokes() {
    let record = apply_all(offset_pair(), &[Edit::Unlink]);
    let wanted = apply_all(
        record.clone(),
        &Side::BOTH.map(|side| Edit::MoveHandle {
            side,
            handle: Handle::Peak,
            to: {
                let drawn = record.drawn().expect("drawn");
                let at = drawn.handle(side, Handle::Peak).expect("there").lateral;
                at + Vector::new(0.5, 0.6 + 0.3 * side.sign())
            },
        }),
    );
    let drawn = record.drawn().expect("drawn");
    let strokes = Side::BOTH.map(|side| traced(&wanted, side));
    let found = drawn.sketched_over(&record, &strokes).expect("a brow");
    assert!(found.shapes.len() == 2 && found.words() == "sketch both brows");
    let taken = apply_all(record, &found.edits());
    for side in Side::BOTH {
        let off = apart(&taken, &wanted, side);
        assert!(off < 0.5, "{side:?}: {off:.2} mm");
    }
}

#[test]
fn a_sketch_names_what_it_breaks_that_held() {
    let before = apply(&typical(), &Edit::Propose).expect("a proposal");
    let drawn = before.drawn().expect("drawn");
    let taken = |wanted: &Record| {
        let strokes = Strokes::Photo(vec![traced(wanted, Side::Left)]);
        let edit = before
            .sketched(Side::Left, &strokes)
            .expect("a brow")
            .edit();
        let after = apply(&before, &edit).expect("it can be drawn");
        after.drawn().expect("drawn")
    };
    assert_eq!(drawn.broken_by(&taken(&before)), []);
    let tail = drawn.handle(Side::Left, Handle::Tail).expect("there");
    let up = Edit::MoveHandle {
        side: Side::Left,
        handle: Handle::Tail,
        to: tail.lateral + Vector::new(0.0, 4.0),
    };
    let off = taken(&apply(&before, &up).expect("it can be drawn"));
    let broken = drawn.broken_by(&off);
    let aim = broken
        .iter()
        .find(|b| b.reading.constraint == Constraint::TailAim)
        .expect("the tail's aim is off");
    let words = aim.words();
    assert!(words.contains("tail aim: tail points"), "{words}");
    assert!(words.contains("degrees; it should be at most"), "{words}");
    // What was off already is no news, and mending breaks nothing.
    assert_eq!(off.broken_by(&off), []);
    assert_eq!(off.broken_by(&drawn), []);
}

#[test]
fn a_stroke_over_both_brows_counts_for_each_without_the_way_between() {
    let record = offset_pair();
    let wanted = reshaped(&record);
    let [mut right, left] = Side::BOTH.map(|side| traced(&wanted, side));
    right.extend_from_within(..1);
    // From front to front in one line, as a pen goes over the nose.
    let (from, to) = (right[right.len() - 1], left[0]);
    let way = (1..40).map(|i| from.lerp(to, f64::from(i) / 40.0));
    let stroke: Vec<_> = right.into_iter().chain(way).chain(left).collect();
    for record in [
        record.clone(),
        apply(&record, &Edit::Unlink).expect("unlinks"),
    ] {
        let drawn = record.drawn().expect("drawn");
        assert!(drawn.is_over_both(&stroke));
        let found = drawn
            .sketched_over(&record, std::slice::from_ref(&stroke))
            .expect("brows");
        assert!(found.is_for_both && found.has_one_over_both);
        for shape in &found.shapes {
            let left_out = shape.sketched.left_out;
            assert_eq!((left_out.off_the_face, left_out.beyond_midline), (0, 0));
        }
        let taken = apply_all(record, &found.edits());
        for side in Side::BOTH {
            let off = apart(&taken, &wanted, side);
            assert!(off < 2.5, "{side:?}: {off:.2} mm");
        }
    }
    let drawn = record.drawn().expect("drawn");
    assert!(!drawn.is_over_both(&traced(&wanted, Side::Left)));
}

#[test]
fn what_is_drawn_elsewhere_is_no_sketch_of_a_brow() {
    let record = offset_pair();
    let drawn = record.drawn().expect("drawn");
    let at = |x: f64, y: f64| {
        let side = Side::of_x(x);
        drawn.modelled_in_photo(side, Point::new(x.abs(), y))
    };
    let refused = |stroke: Vec<Point<Px>>| match drawn.sketched_over(&record, &[stroke]) {
        Err(SketchedError::Sketch(why)) => why,
        other => panic!("{other:?}"),
    };
    let cheek = (0..40).map(|i| at(20.0 + f64::from(i), -22.0)).collect();
    let why = refused(cheek);
    assert!(matches!(why, SketchError::FarFromABrow { off_mm } if off_mm > 10.0));
    assert!(
        why.to_string()
            .contains("along the brow's upper or lower edge")
    );
    // Round the root of the nose, small and as wide as the brows are apart.
    for radius in [6.0, 9.0, 11.0] {
        let round = (0..=60).map(|i| {
            let turn = f64::from(i) * std::f64::consts::TAU / 60.0;
            at(radius * libm::cos(turn), 20.0 + radius * libm::sin(turn))
        });
        let why = refused(round.collect());
        assert!(!why.to_string().is_empty(), "{radius}: {why}");
    }
}
