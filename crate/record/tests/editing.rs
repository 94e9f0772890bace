//! Edits, undo and redo, as the artist meets them.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Handle, Offset, Rules, TailRule};
use ophryon_face::{Held, Landmark, Reference, SidedLandmark};
use ophryon_frames::{Point, Side, Vector};
use ophryon_record::{
    Client, Edit, EditError, History, Image, Photo, PhotoState, Record, ShapeSource, Snap,
    StudyError, TapeLine, apply,
};
use typical::{PHOTO, px, typical};

fn proposed() -> Record {
    apply(&typical(), &Edit::Propose).expect("the typical face has a proposal")
}

fn place(record: &Record, side: Side, handle: Handle) -> Point<ophryon_frames::Lateral> {
    let drawn = record.drawn().expect("it can be drawn");
    drawn
        .handle(side, handle)
        .expect("every handle has a place")
        .lateral
}

#[test]
fn touching_a_proposal_makes_it_the_records_own_shape() {
    let before = typical();
    assert_eq!(before.drawn().expect("drawn").source, ShapeSource::Proposal);
    let to = place(&before, Side::Right, Handle::Tail) + Vector::new(1.0, 0.5);
    let edit = Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Tail,
        to,
    };
    assert_eq!(edit.words(), "move tail of the client's right brow");
    let after = apply(&before, &edit).expect("a millimetre is fine");
    assert_eq!(after.drawn().expect("drawn").source, ShapeSource::Record);
    // Linked, so the other tail followed.
    for side in Side::BOTH {
        assert!(place(&after, side, Handle::Tail).distance(to) < 1e-9);
    }
}

#[test]
fn an_unlinked_side_moves_alone_and_links_again() {
    let record = apply(&proposed(), &Edit::Unlink).expect("unlinks");
    let to = place(&record, Side::Left, Handle::Peak) + Vector::new(0.0, 0.7);
    let edit = Edit::MoveHandle {
        side: Side::Left,
        handle: Handle::Peak,
        to,
    };
    let moved = apply(&record, &edit).expect("moves");
    let gap =
        |r: &Record| place(r, Side::Left, Handle::Peak).y - place(r, Side::Right, Handle::Peak).y;
    assert!((gap(&moved) - 0.7).abs() < 1e-9);
    let linked = apply(&moved, &Edit::Link { from: Side::Left }).expect("links");
    assert!(gap(&linked).abs() < 1e-12);
    assert!(place(&linked, Side::Right, Handle::Peak).distance(to) < 1e-9);
}

#[test]
fn an_offset_shows_in_the_table_of_differences_by_just_that_much() {
    let offset = Offset {
        height_mm: 1.0,
        ..Offset::default()
    };
    let record = apply(
        &proposed(),
        &Edit::SetOffset {
            side: Side::Right,
            offset,
        },
    )
    .expect("fine");
    let drawn = record.drawn().expect("drawn");
    for id in ["peak-height", "tail-height", "front-top-height"] {
        let row = drawn
            .differences
            .iter()
            .find(|d| d.id == id)
            .expect("the row is there");
        assert!((row.difference_mm - 1.0).abs() < 1e-9, "{row:?}");
    }
    let tail = drawn
        .differences
        .iter()
        .find(|d| d.id == "tail")
        .expect("the row is there");
    assert!(tail.difference_mm.abs() < 1e-9, "{tail:?}");
}

#[test]
fn dragging_with_an_offset_lands_under_the_finger() {
    let offset = Offset {
        lateral_mm: 0.8,
        height_mm: -1.2,
        turn_degrees: 3.0,
    };
    let record = apply(
        &proposed(),
        &Edit::SetOffset {
            side: Side::Left,
            offset,
        },
    )
    .expect("fine");
    for handle in Handle::ALL {
        let to = place(&record, Side::Left, handle) + Vector::new(0.3, 0.2);
        let edit = Edit::MoveHandle {
            side: Side::Left,
            handle,
            to,
        };
        let Ok(moved) = apply(&record, &edit) else {
            panic!("{handle:?} can't be moved by 0.4 mm");
        };
        assert!(
            place(&moved, Side::Left, handle).distance(to) < 1e-9,
            "{handle:?}"
        );
    }
}

#[test]
fn a_tap_on_the_photo_is_found_again_on_the_skin() {
    let drawn = typical().drawn().expect("drawn");
    for side in Side::BOTH {
        for handle in drawn.handles.get(side) {
            let back = drawn
                .measured
                .place_on_skin(side, handle.photo)
                .expect("in reach");
            assert!(back.distance(handle.lateral) < 1e-9, "{handle:?}");
            let seen = drawn.measured.place_in_photo(handle.skin);
            assert!(seen.distance(handle.photo) < 1e-9);
        }
    }
    let far = drawn.measured.place_on_skin(Side::Left, px(74.0, 10.0));
    let said = far.expect_err("that is round the side").to_string();
    assert!(said.contains("lies round the side of the head"), "{said}");
}

#[test]
fn a_shape_that_cannot_be_drawn_is_refused_and_the_last_good_one_stays() {
    let mut history = History::new(proposed());
    let good = history.now().clone();
    let start = place(&good, Side::Right, Handle::Tail);
    let drag = |by: f64| Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Tail,
        to: start - Vector::new(by, 0.0),
    };
    history.preview(&drag(1.0)).expect("a millimetre is fine");
    let said = history
        .preview(&drag(40.0))
        .expect_err("the tail is before the peak")
        .to_string();
    assert!(
        said.starts_with("client's right brow: the tail lies"),
        "{said}"
    );
    // Still the good preview; releasing keeps that.
    assert!((place(history.shown(), Side::Right, Handle::Tail).x - (start.x - 1.0)).abs() < 1e-9);
    assert!(history.finish());
    assert!((place(history.now(), Side::Right, Handle::Tail).x - (start.x - 1.0)).abs() < 1e-9);
    assert!(history.undo());
    assert_eq!(history.now(), &good);
}

#[test]
fn a_gesture_is_one_step_and_abandoning_it_leaves_no_trace() {
    let mut history = History::new(proposed());
    let before = history.now().clone();
    let start = place(&before, Side::Left, Handle::Peak);
    for i in 1..=30 {
        let to = start + Vector::new(0.0, 0.02 * f64::from(i));
        let edit = Edit::MoveHandle {
            side: Side::Left,
            handle: Handle::Peak,
            to,
        };
        history.preview(&edit).expect("small moves are fine");
    }
    assert_eq!(history.now(), &before, "nothing is saved in mid-drag");
    history.abandon();
    assert_eq!(history.shown(), &before);
    assert_eq!(history.undo_words(), None);

    let to = start + Vector::new(0.0, 0.5);
    let edit = Edit::MoveHandle {
        side: Side::Left,
        handle: Handle::Peak,
        to,
    };
    history.preview(&edit).expect("fine");
    // Undo in mid-drag lets go of the drag and of nothing else.
    assert!(history.undo());
    assert_eq!(history.shown(), &before);
    assert!(!history.finish());

    history.preview(&edit).expect("fine");
    assert!(history.finish());
    assert_eq!(
        history.undo_words(),
        Some("move peak of the client's left brow")
    );
    assert!(history.undo());
    assert_eq!(history.now(), &before);
    assert_eq!(
        history.redo_words(),
        Some("move peak of the client's left brow")
    );
}

#[test]
fn an_edit_that_changes_nothing_is_no_step() {
    let mut history = History::new(proposed());
    let same = Edit::SetRules(history.now().rules);
    assert_eq!(history.apply(&same), Ok(false));
    assert_eq!(history.undo_words(), None);
    // And a redo is not lost to it.
    history.apply(&Edit::Unlink).expect("unlinks");
    history.undo();
    assert_eq!(history.apply(&same), Ok(false));
    assert_eq!(history.redo_words(), Some("unlink the brows"));
}

#[test]
fn several_edits_are_one_step_or_none() {
    let mut history = History::new(typical());
    let before = history.now().clone();
    let bad = Edit::RemovePhoto {
        photo: "nobody".to_owned(),
    };
    let said = history
        .apply_all(&[Edit::Propose, bad], "try")
        .expect_err("no such photo");
    assert_eq!(
        said,
        EditError::NoSuchPhoto {
            id: "nobody".to_owned()
        }
    );
    assert_eq!(history.now(), &before);
    let rules = Rules {
        start_offset_mm: 1.0,
        ..Rules::default()
    };
    let both = [Edit::SetRules(rules), Edit::Propose];
    assert_eq!(history.apply_all(&both, "choose other rules"), Ok(true));
    assert!(history.undo());
    assert_eq!(history.now(), &before);
}

#[test]
fn values_that_no_face_has_are_refused_with_a_sentence() {
    let record = proposed();
    let says = |edit: Edit| {
        apply(&record, &edit)
            .expect_err("must be refused")
            .to_string()
    };
    let outside = Edit::SetLandmark {
        photo: PHOTO.to_owned(),
        landmark: Landmark::Sided(Side::Right, SidedLandmark::Pupil),
        at: Point::new(-5.0, f64::NAN),
    };
    assert_eq!(says(outside), "it is not a number; tap it again");
    let tape = Edit::SetEarTape {
        side: Side::Left,
        length_mm: Some(1430.0),
    };
    assert!(says(tape).contains("it lies between 90 and 200 mm"));
    let short = Edit::SetTape {
        side: Side::Right,
        line: TapeLine::StartToTail,
        length_mm: Some(30.0),
    };
    assert!(
        says(short).contains("shorter than the"),
        "a tape is never shorter than the straight line"
    );
    let nameless = Edit::SetClient(Client::default());
    assert_eq!(says(nameless), "it is empty; enter something short");
    let twice = Edit::AddPhoto(record.photos[0].clone());
    assert!(says(twice).contains("there is a photo “relaxed” already"));
    let big = Offset {
        lateral_mm: f64::INFINITY,
        ..Offset::default()
    };
    assert!(
        says(Edit::SetOffset {
            side: Side::Left,
            offset: big
        })
        .contains("at most 15 mm")
    );
}

#[test]
fn photos_are_shared_between_the_steps_of_the_past() {
    let photo = Photo::new(
        "big",
        PhotoState::EyesOpen,
        Image::embed("image/png", &[7; 100_000]),
        800,
        600,
    );
    let record = apply(&proposed(), &Edit::AddPhoto(photo)).expect("fits");
    let next = apply(&record, &Edit::Unlink).expect("unlinks");
    let (Image::Embedded { base64: a, .. }, Image::Embedded { base64: b, .. }) =
        (&record.photos[1].image, &next.photos[1].image)
    else {
        panic!("they were embedded")
    };
    assert!(
        std::sync::Arc::ptr_eq(a, b),
        "an undo step must not copy the picture"
    );
    assert_eq!(next.photos[1].image.bytes(), Some(vec![7; 100_000]));
}

#[test]
fn the_next_thing_to_do_is_said() {
    let mut record = Record::new("K");
    assert_eq!(record.levelled(), Err(StudyError::NoPhoto));
    record.photos = typical().photos;
    record.photos[0].references.clear();
    let said = record.drawn().expect_err("no scale").to_string();
    assert!(
        said.contains("has no scale yet; tap the ends of the card"),
        "{said}"
    );
    record = typical();
    record.photos[0]
        .landmarks
        .remove(Landmark::Sided(Side::Left, SidedLandmark::OuterCorner));
    let error = record.drawn().expect_err("a landmark is missing");
    assert_eq!(
        error.to_string(),
        "in the photo “relaxed”, the outer corner of the client's left eye is missing; tap it"
    );
    assert_eq!(
        error.field(&record),
        "photos[0].landmarks.left.outer-corner"
    );
    record = typical();
    record.rules.tail = TailRule::LowerLid;
    record.photos[0]
        .landmarks
        .remove(Landmark::Sided(Side::Right, SidedLandmark::LowerLid));
    let said = record.drawn().expect_err("the rule needs it").to_string();
    assert!(
        said.contains("on the client's right, the tail rule needs the lower lid"),
        "{said}"
    );
}

/// One edit after the other on the typical record.
fn after(edits: &[Edit]) -> Record {
    edits.iter().fold(typical(), |record, edit| {
        apply(&record, edit).expect("a sensible edit is made")
    })
}

#[test]
fn a_landmark_tapped_again_lies_at_the_mean_until_it_is_set_anew() {
    let pupil = Landmark::Sided(Side::Right, SidedLandmark::Pupil);
    let photo = || PHOTO.to_owned();
    let again = |x, y| Edit::TapAgain {
        photo: photo(),
        landmark: pupil,
        at: Point::new(x, y),
    };
    assert_eq!(
        again(0.0, 0.0).words(),
        "tap the middle of the pupil of the client's right eye again"
    );
    let twice = [again(487.0, 901.0), again(489.0, 905.0)];
    let record = after(&twice);
    let lies = |r: &Record| r.photos[0].landmarks.get(pupil);
    assert_eq!(lies(&record), Some(Point::new(487.0, 902.0)));
    assert_eq!(record.photos[0].repeated_taps[&pupil].len(), 3);
    let at = Point::new(480.0, 900.0);
    let by_hand = Edit::SetLandmark {
        photo: photo(),
        landmark: pupil,
        at,
    };
    let anew = apply(&record, &by_hand).expect("set anew");
    assert_eq!(lies(&anew), Some(at));
    assert!(anew.photos[0].repeated_taps.is_empty());
    // The same for one that was left out at first: its first tap stands alone.
    let edits = [
        Edit::RemoveLandmark {
            photo: photo(),
            landmark: pupil,
        },
        again(487.0, 901.0),
    ];
    let record = after(&edits);
    assert_eq!(lies(&record), Some(Point::new(487.0, 901.0)));
    assert!(record.photos[0].repeated_taps.is_empty());
}

#[test]
fn what_was_snapped_is_known_from_what_was_set_by_hand() {
    let pupil = Landmark::Sided(Side::Left, SidedLandmark::Pupil);
    let snap = Snap {
        tapped: Point::new(1121.0, 893.0),
        sd_px: Some(0.6),
    };
    let snapped = Edit::SnapLandmark {
        photo: PHOTO.to_owned(),
        landmark: pupil,
        at: Point::new(1115.0, 900.0),
        snap,
    };
    let record = after(std::slice::from_ref(&snapped));
    assert_eq!(record.photos[0].snapped.get(&pupil), Some(&snap));
    let at = Point::new(1116.0, 899.0);
    for edit in [
        Edit::SetLandmark {
            photo: PHOTO.to_owned(),
            landmark: pupil,
            at,
        },
        // A place that was found is no tap, so it isn't averaged with one.
        Edit::TapAgain {
            photo: PHOTO.to_owned(),
            landmark: pupil,
            at,
        },
    ] {
        let record = after(&[snapped.clone(), edit]);
        assert_eq!(record.photos[0].landmarks.get(pupil), Some(at));
        assert!(record.photos[0].snapped.is_empty());
    }
    // Sides exchanged: the note doesn't stay with a landmark that moved away.
    let mut landmarks = record.photos[0].landmarks.clone();
    std::mem::swap(&mut landmarks.right, &mut landmarks.left);
    let exchange = Edit::SetLandmarks {
        photo: PHOTO.to_owned(),
        landmarks,
    };
    assert!(
        after(&[snapped, exchange]).photos[0].snapped.is_empty(),
        "a snap of another place was kept"
    );
}

#[test]
fn references_are_added_replaced_and_removed_one_by_one() {
    let ruler = |mm: f64| Reference::Ruler {
        ends: [px(-50.0, -60.0), px(50.0, -60.0)],
        length_mm: mm,
        held: Held::default(),
    };
    let photo = || PHOTO.to_owned();
    let record = after(&[
        Edit::AddReference {
            photo: photo(),
            reference: ruler(90.0),
        },
        Edit::ReplaceReference {
            photo: photo(),
            index: 1,
            reference: ruler(100.0),
        },
        Edit::RemoveReference {
            photo: photo(),
            index: 0,
        },
    ]);
    assert_eq!(record.photos[0].references, [ruler(100.0)]);
    let none = Edit::RemoveReference {
        photo: photo(),
        index: 1,
    };
    let said = apply(&record, &none).expect_err("there is none");
    assert_eq!(
        said.to_string(),
        "the photo “relaxed” has no reference 2; choose one that is there"
    );
}

#[test]
fn the_past_is_long_and_has_an_end() {
    let mut history = History::new(proposed());
    for i in 1..=600 {
        let offset = Offset {
            height_mm: 0.001 * f64::from(i),
            ..Offset::default()
        };
        let edit = Edit::SetOffset {
            side: Side::Left,
            offset,
        };
        assert_eq!(history.apply(&edit), Ok(true));
    }
    let mut steps = 0;
    while history.undo() {
        steps += 1;
    }
    assert_eq!(steps, 500);
    let offset = history.now().pair.as_ref().expect("a shape").offset.left;
    assert!((offset.height_mm - 0.1).abs() < 1e-9, "{offset:?}");
}
