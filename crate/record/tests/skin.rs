//! Tapes over the skin, the tail's aim on it, and what a ruler reads there.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used)]

mod typical;

use ophryon_brow::{AimFrame, Constraint, Handle, Verdict};
use ophryon_frames::{Front, Point, Side, Wrap};
use ophryon_record::{
    CurveBasis, Edit, EditError, History, Record, TapeLine, TapeVerdict, WrapChoice, apply,
};
use ophryon_stencil::{Cause, DistanceId, RulerVerdict};
use typical::typical;

const START: Point<Front> = Point::new(14.0, 18.25);
const TAIL: Point<Front> = Point::new(54.0, 16.0);

/// What a tape reads on a head of that depth.
fn reads(line: TapeLine, depth: f64) -> f64 {
    let wrap = Wrap::profile(depth).unwrap();
    let from = match line {
        TapeLine::StartToTail => START,
        TapeLine::MidlineToTail => Point::new(0.0, START.y),
    };
    wrap.to_skin(from)
        .unwrap()
        .distance(wrap.to_skin(TAIL).unwrap())
}

fn taped(record: &Record, side: Side, line: TapeLine, length_mm: f64) -> Record {
    let edit = Edit::SetTape {
        side,
        line,
        length_mm: Some(length_mm),
    };
    apply(record, &edit).unwrap()
}

fn depth(wrap: &Wrap) -> f64 {
    match *wrap {
        Wrap::Profile { depth } => depth,
        _ => f64::NAN,
    }
}

#[test]
fn either_tape_finds_the_head_it_was_laid_on() {
    for line in TapeLine::ALL {
        for side in Side::BOTH {
            let curve = taped(&typical(), side, line, reads(line, 0.12))
                .curve()
                .unwrap();
            assert!((depth(&curve.wrap.right) - 0.12).abs() < 1e-9, "{line:?}");
            // The side without a tape takes the other's.
            assert_eq!(curve.wrap.right, curve.wrap.left);
            assert_eq!(*curve.basis.get(side), CurveBasis::OwnTape);
            assert_eq!(*curve.basis.get(side.other()), CurveBasis::OtherSidesTape);
            assert!(curve.checks.is_empty());
        }
    }
    let one = WrapChoice::tape(Side::Left, TapeLine::MidlineToTail, 60.0);
    assert_eq!(
        one.words(),
        "Curve of the skin: by tape, 60.0 mm from midline to tail over the client's left brow. The client's right is taken to be curved alike."
    );
}

#[test]
fn each_side_is_unrolled_by_its_own_tape() {
    let start = TapeLine::StartToTail;
    let record = taped(&typical(), Side::Right, start, reads(start, 0.08));
    let record = taped(&record, Side::Left, start, reads(start, 0.13));
    let drawn = record.drawn().unwrap();
    let wrap = drawn.measured.wrap;
    assert!((depth(&wrap.right) - 0.08).abs() < 1e-9 && (depth(&wrap.left) - 0.13).abs() < 1e-9);
    // The pair is one shape on the skin; in the photo the flatter side's tail
    // is seen farther out. Every handle is right in both frames.
    for side in Side::BOTH {
        for place in drawn.handles.get(side) {
            let back = wrap.get(side).to_skin(place.front).unwrap();
            assert!(back.distance(place.skin) < 1e-9);
            let again = drawn.measured.place_on_skin(side, place.photo).unwrap();
            assert!(again.distance(place.lateral) < 1e-9);
        }
    }
    let seen = |side| drawn.handle(side, Handle::Tail).unwrap().front.x.abs();
    assert!(seen(Side::Right) > seen(Side::Left) + 0.5);
    // Faces differ, and are told so: 38 mm seen, about 3 mm apart.
    let check = &drawn.measured.curve.checks[0];
    assert_eq!(
        (check.side, check.verdict),
        (None, TapeVerdict::MeasureAgain)
    );
    let record = taped(&record, Side::Left, start, reads(start, 0.11));
    let check = record.curve().unwrap().checks[0].clone();
    assert!(check.difference.mm < 0.0);
    assert_eq!(check.verdict, TapeVerdict::FacesDiffer, "{check:?}");
    assert!(
        check.sentence.contains("client's left brow is")
            && check.sentence.contains("faces do differ")
    );
    let record = taped(&record, Side::Left, start, reads(start, 0.083));
    assert_eq!(
        record.curve().unwrap().checks[0].verdict,
        TapeVerdict::Agree
    );
}

#[test]
fn two_tapes_on_one_side_are_held_against_each_other() {
    let [start, middle] = TapeLine::ALL;
    let with = |off_mm: f64| {
        let record = taped(&typical(), Side::Right, start, reads(start, 0.1));
        taped(&record, Side::Right, middle, reads(middle, 0.1) + off_mm)
            .curve()
            .unwrap()
    };
    // What the second would read by the first is what it reads on that head.
    let exact = with(0.0);
    let check = &exact.checks[0];
    assert!((check.by_the_other_mm - reads(middle, 0.1)).abs() < 1e-6);
    assert!(check.difference.mm.abs() < 1e-6 && check.verdict == TapeVerdict::Agree);
    assert!((depth(&exact.wrap.right) - 0.1).abs() < 1e-6);
    // A little off they agree still, and are met between.
    let near = with(1.0);
    assert_eq!(near.checks[0].verdict, TapeVerdict::Agree);
    assert!((near.checks[0].difference.mm - 1.0).abs() < 1e-6);
    let between = depth(&near.wrap.right);
    let by_second = taped(&typical(), Side::Right, middle, reads(middle, 0.1) + 1.0)
        .curve()
        .unwrap();
    assert!(
        0.1 < between && between < depth(&by_second.wrap.right),
        "{between}"
    );
    // Two are surer than one.
    let one = taped(&typical(), Side::Right, start, reads(start, 0.1))
        .curve()
        .unwrap();
    let sure =
        |curve: &ophryon_record::Curve| depth(&curve.longer.right) - depth(&curve.wrap.right);
    assert!(sure(&near) < 0.9 * sure(&one));
    // Far off, the one that makes the stranger head is to be laid again; the
    // usual one counts meanwhile, and the artist is told.
    let far = with(5.0);
    let check = &far.checks[0];
    assert_eq!(
        (check.verdict, check.again),
        (TapeVerdict::MeasureAgain, Some(middle))
    );
    assert!(
        check
            .sentence
            .contains("measure again from midline to tail"),
        "{}",
        check.sentence
    );
    assert!((depth(&far.wrap.right) - 0.1).abs() < 1e-9);
    let record = taped(&typical(), Side::Right, start, reads(start, 0.1));
    let record = taped(&record, Side::Right, middle, reads(middle, 0.1) + 5.0);
    let cautions = record.measured().unwrap().cautions().join(" ");
    assert!(cautions.contains(&check.sentence));
}

#[test]
fn a_file_of_schema_1_has_its_one_tape() {
    let written = taped(&typical(), Side::Left, TapeLine::StartToTail, 46.5)
        .to_json()
        .unwrap();
    let now = "\"left\": {\n      \"start-to-tail-mm\": 46.5\n    }";
    assert!(written.contains(now), "{written}");
    let start = written.find("\"wrap\": {").unwrap();
    let end = start + written[start..].find("\"ear-tape-mm\"").unwrap();
    let old = "\"wrap\": {\"kind\": \"tape\", \"side\": \"left\", \"length-mm\": 46.5}, ";
    let old = format!("{}{old}{}", &written[..start], &written[end..]);
    let read = Record::from_json(&old).unwrap();
    assert_eq!(
        read.wrap,
        WrapChoice::tape(Side::Left, TapeLine::StartToTail, 46.5)
    );
    assert_eq!(read.to_json().unwrap(), written);
    let says = |wrap: &str| {
        let text = format!("{}\"wrap\": {wrap}, {}", &written[..start], &written[end..]);
        Record::from_json(&text).unwrap_err().to_string()
    };
    assert!(says("{\"kind\": \"tape\"}").contains("no tape is given"));
    assert!(says("{\"kind\": \"tape\", \"side\": \"left\"}").contains("either `right` and `left`"));
    assert!(
        says("{\"kind\": \"tape\", \"right\": {\"start-to-tail-mm\": 4}}")
            .contains("wrap.right.start-to-tail-mm: 4 mm")
    );
}

#[test]
fn tapes_are_set_and_taken_away_step_by_step() {
    let mut history = History::new(typical());
    let set = |side, line, length_mm| Edit::SetTape {
        side,
        line,
        length_mm,
    };
    let [start, middle] = TapeLine::ALL;
    history.apply(&set(Side::Right, start, Some(45.0))).unwrap();
    assert_eq!(
        history.undo_words(),
        Some("set the tape from start to tail on the client's right")
    );
    history
        .apply(&set(Side::Right, middle, Some(59.0)))
        .unwrap();
    history.apply(&set(Side::Right, start, None)).unwrap();
    assert_eq!(
        history.undo_words(),
        Some("remove the tape from start to tail on the client's right")
    );
    assert_eq!(
        history.now().wrap,
        WrapChoice::tape(Side::Right, middle, 59.0)
    );
    // Without any tape left, the estimate.
    history.apply(&set(Side::Right, middle, None)).unwrap();
    assert_eq!(history.now().wrap, WrapChoice::Estimate);
    history.undo();
    assert_eq!(
        history.now().wrap,
        WrapChoice::tape(Side::Right, middle, 59.0)
    );
    // What no head has is refused, and names the tape.
    let says = |edit| match apply(&typical(), &edit) {
        Err(why @ EditError::Study(_)) => why.to_string(),
        other => panic!("{other:?}"),
    };
    let short = says(set(Side::Left, middle, Some(52.0)));
    assert!(
        short.starts_with("on the client's left, of the tape from midline to tail:"),
        "{short}"
    );
    assert!(
        short.contains("shorter than the 54.0 mm seen from the front"),
        "{short}"
    );
    let long = says(set(Side::Right, start, Some(75.0)));
    assert!(
        long.contains("more than any head has over the 40.1 mm seen"),
        "{long}"
    );
}

/// Straight on the skin from the lower arch to the ear, each side through its
/// own wrap: no angle, no miss. The same tail is far from straight in the
/// photo, where the ear seems 74 mm out.
#[test]
fn the_tail_aims_on_the_skin() {
    let start = TapeLine::StartToTail;
    let mut record = taped(&typical(), Side::Right, start, reads(start, 0.08));
    record = taped(&record, Side::Left, start, reads(start, 0.1));
    for (side, length_mm) in [(Side::Right, 140.0), (Side::Left, 150.0)] {
        record = apply(
            &record,
            &Edit::SetEarTape {
                side,
                length_mm: Some(length_mm),
            },
        )
        .unwrap();
    }
    record = apply(&record, &Edit::Propose).unwrap();
    record = apply(&record, &Edit::Unlink).unwrap();
    for (side, ear_mm) in [(Side::Right, 140.0), (Side::Left, 150.0)] {
        // On the line from the arch to the ear, 11 mm below the pupils.
        let arch = record.pair.as_ref().unwrap().points_on(side).lower_arch;
        let to = arch.lerp(Point::new(ear_mm, -11.0), 0.17);
        record = apply(
            &record,
            &Edit::MoveHandle {
                side,
                handle: Handle::Tail,
                to,
            },
        )
        .unwrap();
        let drawn = record.drawn().unwrap();
        let aim = drawn
            .readings
            .get(side)
            .iter()
            .find(|r| r.constraint == Constraint::TailAim);
        let aim = aim.unwrap();
        assert_eq!(aim.verdict, Verdict::Holds);
        assert!(
            aim.value.unwrap().abs() < 1e-6 && aim.beside_mm.unwrap().abs() < 1e-6,
            "{aim:?}"
        );
        // Seen in the photo the tail points 10 degrees and more above that ear.
        let seen = |h| side.front_as_left(drawn.handle(side, h).unwrap().front);
        let (arch, tail) = (seen(Handle::LowerArch), seen(Handle::Tail));
        let ear = Point::<Front>::new(74.0, -11.0);
        let angle = |p: Point<Front>| libm::atan2(p.y - arch.y, p.x - arch.x).to_degrees();
        assert!(
            angle(tail) - angle(ear) > 10.0,
            "{} {}",
            angle(tail),
            angle(ear)
        );
        // A tail that aims straight in the photo misses on the skin.
        let down = arch.lerp(ear, 0.35);
        let to = Side::Left.neutral(drawn.measured.wrap.get(side).to_skin(down).unwrap());
        let drooping = apply(
            &record,
            &Edit::MoveHandle {
                side,
                handle: Handle::Tail,
                to,
            },
        );
        if let Ok(drooping) = drooping {
            let drawn = drooping.drawn().unwrap();
            let aim = drawn
                .readings
                .get(side)
                .iter()
                .find(|r| r.constraint == Constraint::TailAim);
            assert_eq!(aim.unwrap().verdict, Verdict::Fails);
        }
    }
    // The proposal's own aim is on the skin too, unless the artist says so.
    assert_eq!(record.rules.aim, AimFrame::Skin);
}

#[test]
fn readings_are_kept_with_the_shape_they_were_read_on() {
    let mut history = History::new(apply(&typical(), &Edit::Propose).unwrap());
    let read = |side, distance, read_mm| Edit::SetReading {
        side,
        distance,
        read_mm,
    };
    let expected =
        |record: &Record, side, id: DistanceId| id.of(record.drawn().unwrap().measures.get(side));
    let tail = expected(history.now(), Side::Right, DistanceId::Tail);
    history
        .apply(&read(Side::Right, DistanceId::Tail, Some(tail + 0.3)))
        .unwrap();
    assert_eq!(
        history.undo_words(),
        Some("enter the distance from the midline to the tail read on the client's right")
    );
    let peak = expected(history.now(), Side::Left, DistanceId::PeakHeight);
    history
        .apply(&read(Side::Left, DistanceId::PeakHeight, Some(peak + 4.0)))
        .unwrap();
    let check = |record: &Record| record.ruler_check(&record.drawn().unwrap());
    let verdict = |record: &Record, side, id| {
        check(record)
            .rows
            .iter()
            .find(|r| r.side == side && r.id == id)
            .unwrap()
            .verdict
    };
    let now = history.now();
    assert_eq!(
        verdict(now, Side::Right, DistanceId::Tail),
        RulerVerdict::Agrees
    );
    assert_eq!(
        verdict(now, Side::Left, DistanceId::PeakHeight),
        RulerVerdict::Off
    );
    assert_eq!(
        verdict(now, Side::Left, DistanceId::Tail),
        RulerVerdict::NotRead
    );
    assert_eq!(
        check(now).sentence,
        "1 of 2 readings off by more than the tolerance."
    );
    assert_eq!(check(now).causes[0].cause, Cause::OneReading);
    // They outlive the file, and a changed shape tells them from new ones.
    let back = Record::from_json(&now.to_json().unwrap()).unwrap();
    assert_eq!(&back, now);
    let drawn = now.drawn().unwrap();
    let place = drawn.handle(Side::Left, Handle::Peak).unwrap().lateral;
    let to = place + ophryon_frames::Vector::new(0.0, 0.4);
    history
        .apply(&Edit::MoveHandle {
            side: Side::Left,
            handle: Handle::Peak,
            to,
        })
        .unwrap();
    let moved = history.now();
    assert_eq!(
        verdict(moved, Side::Left, DistanceId::PeakHeight),
        RulerVerdict::Earlier
    );
    assert_eq!(
        verdict(moved, Side::Right, DistanceId::Tail),
        RulerVerdict::Agrees
    );
    assert!(
        check(moved)
            .sentence
            .contains("1 reading from before the shape was changed")
    );
    history.apply(&Edit::ClearReadings).unwrap();
    assert_eq!(history.undo_words(), Some("clear what the ruler read"));
    assert_eq!(check(history.now()).sentence, "Nothing has been read yet.");
    history.undo();
    assert_eq!(
        verdict(history.now(), Side::Right, DistanceId::Tail),
        RulerVerdict::Agrees
    );
    // What no ruler reads is refused.
    let far = read(Side::Left, DistanceId::Tail, Some(560.0));
    let says = history.apply(&far).unwrap_err().to_string();
    assert!(says.contains("560 mm can't be right"), "{says}");
    let none = apply(
        &Record::new("A"),
        &read(Side::Left, DistanceId::Tail, Some(56.0)),
    );
    assert!(
        none.unwrap_err()
            .to_string()
            .contains("there is no photo yet")
    );
}

/// Without a tape the words say what that may cost on this brow: 40 mm seen.
#[test]
fn an_estimate_says_what_it_may_cost() {
    let words = typical().measured().unwrap().wrap_words();
    let usual = reads(TapeLine::StartToTail, 0.095);
    let more = reads(TapeLine::StartToTail, 0.125) - usual;
    let says = format!(
        "Over this brow a tape would read {usual:.0} mm on a typical head, on two heads of three within {more:.1} mm of that, on nearly all within {:.1} mm.",
        2.0 * more
    );
    assert!(words.ends_with(&says), "{words}");
    assert!((1.5..3.0).contains(&more), "{more}");
    let taped = taped(&typical(), Side::Left, TapeLine::StartToTail, usual);
    let words = taped.measured().unwrap().wrap_words();
    assert!(
        words.contains("by tape") && !words.contains("typical head"),
        "{words}"
    );
}

/// A tape narrows what is uncertain along the skin, and leaves heights alone.
#[test]
fn tolerances_follow_from_what_is_known() {
    let tolerance = |record: &Record, id: DistanceId| {
        let drawn = record.drawn().unwrap();
        let row = drawn.distances().into_iter().find(|d| d.id == id).unwrap();
        (row.tolerance_mm.right, row.right_mm)
    };
    let guessed = typical();
    let start = TapeLine::StartToTail;
    let taped = taped(&guessed, Side::Right, start, reads(start, 0.095));
    let (wide, _) = tolerance(&guessed, DistanceId::Tail);
    let (narrow, _) = tolerance(&taped, DistanceId::Tail);
    let (_, start_mm) = tolerance(&taped, DistanceId::Start);
    assert!(narrow < 2.2 && wide > narrow + 2.0, "{wide}, {narrow}");
    let heights = [&guessed, &taped].map(|r| tolerance(r, DistanceId::PeakHeight).0);
    assert!(
        (heights[0] - heights[1]).abs() < 1e-9 && heights[0] < 1.2,
        "{heights:?}"
    );
    // By hand: ruler 0.25, wrap 0.6, the scale as far as the start, and what
    // the tape carries to the tail of the shape.
    let drawn = taped.drawn().unwrap();
    let scale = drawn.measured.levelled.scale().relative_sd();
    let row = drawn
        .distances()
        .into_iter()
        .find(|d| d.id == DistanceId::Tail)
        .unwrap();
    let parts = [0.25, 0.6, scale * start_mm, row.by_tape_mm.right];
    let by_hand = 2.0 * parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    assert!((narrow - by_hand).abs() < 1e-9, "{narrow}, {by_hand}");
    assert!(
        (0.5..1.2).contains(&row.by_tape_mm.right),
        "{}",
        row.by_tape_mm.right
    );
}
