//! What is printed and reported of the typical face.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Handle, Offset, Verdict};
use ophryon_frames::{Side, Wrap};
use ophryon_record::{Edit, LineKind, Record, TapeLine, WrapChoice, apply};
use ophryon_stencil::{Facing, Paper, SheetOptions};
use serde_json::Value;
use typical::{px, typical};

fn report(record: &Record) -> Value {
    let text = record.report().expect("it can be drawn").to_json();
    serde_json::from_str(&text).expect("a report is JSON")
}

fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("{pointer} is no number in {value}"))
}

#[test]
fn the_face_comes_out_in_the_millimetres_it_was_made_with() {
    let record = typical();
    let report = report(&record);
    assert!((number(&report, "/face/mm-per-px") - 0.1).abs() < 1e-9);
    assert!((number(&report, "/face/pupils/mm") - 63.0).abs() < 1e-6);
    assert!(number(&report, "/face/pupils/plus-minus-mm") > 0.1);
    for (landmark, x, y) in typical::SIDE {
        for side in Side::BOTH {
            let at = format!(
                "/face/landmarks-front-mm/{}~1{}",
                side.name(),
                landmark.id()
            );
            let p = report.pointer(&at).expect("every landmark is reported");
            let want = [side.sign() * x, y];
            for (i, want) in want.iter().enumerate() {
                assert!(
                    (p[i].as_f64().expect("a number") - want).abs() < 1e-6,
                    "{at}: {p}"
                );
            }
        }
    }
}

/// Hand-computed on the face of the method: the start rule's vertical stands
/// at 17 mm; on a cylinder of 75 mm that is 75 asin(17/75) = 17.149 mm over
/// the skin.
#[test]
fn the_start_lies_on_its_line_and_is_longer_over_the_skin() {
    let mut record = typical();
    record.wrap = WrapChoice::Cylinder { radius_mm: 75.0 };
    let report = report(&record);
    for (side, sign) in [("right", -1.0), ("left", 1.0)] {
        let seen = number(&report, &format!("/mapping/{side}/0/crossing-front-mm/0"));
        let worn = number(&report, &format!("/points/{side}/start/skin-mm/0"));
        assert!((seen - sign * 17.0).abs() < 1e-6, "{side}: {seen}");
        assert!((worn - sign * 17.149).abs() < 0.001, "{side}: {worn}");
        for i in 0..3 {
            let beyond = number(&report, &format!("/mapping/{side}/{i}/point-beyond-mm"));
            assert!(
                beyond.abs() < 0.01,
                "{side}, line {i}: a proposed point lies {beyond} mm off its line"
            );
        }
    }
}

#[test]
fn an_even_face_gets_an_even_pair_and_every_row_says_so() {
    let drawn = typical().drawn().expect("drawn");
    for row in &drawn.differences {
        assert!(row.difference_mm.abs() < 1e-9, "{row:?}");
        assert!(row.right_mm.is_finite());
    }
    for row in drawn.measured.natural_table() {
        assert!(
            !row.height_distinguishable && !row.from_midline_distinguishable,
            "{row:?}"
        );
    }
    assert!(
        drawn.failing().next().is_none(),
        "{:?}",
        drawn.failing().collect::<Vec<_>>()
    );
}

#[test]
fn a_raised_brow_is_told_from_tap_noise() {
    let mut record = typical();
    let landmarks = &mut record.photos[0].landmarks.right;
    for (landmark, p) in landmarks.iter_mut() {
        if landmark.is_brow() {
            p.y -= 20.0; // 2 mm up
        }
    }
    let table = record.measured().expect("measured").natural_table();
    for row in table {
        assert!((row.height.mm - 2.0).abs() < 1e-6, "{row:?}");
        assert!(row.height_distinguishable, "{row:?}");
        assert!(!row.from_midline_distinguishable, "{row:?}");
    }
}

#[test]
fn the_same_record_gives_the_same_bytes_and_another_shape_another_mark() {
    let record = apply(&typical(), &Edit::Propose).expect("proposed");
    let papers = |r: &Record| r.papers(&SheetOptions::default()).expect("it fits");
    let (once, twice) = (papers(&record), papers(&record));
    assert_eq!(once.stencil_svg(), twice.stencil_svg());
    assert_eq!(once.report_json(), twice.report_json());
    let mark = |r: &Record| papers(r).report.head.fingerprint;
    assert_eq!(mark(&record).len(), 8);
    assert!(mark(&record).chars().all(|c| c.is_ascii_hexdigit()));

    // Through a file, nothing changes.
    let again = Record::from_json(&record.to_json().expect("sound")).expect("reads");
    assert_eq!(papers(&again).stencil_svg(), once.stencil_svg());

    // The name is not part of the shape; a tenth of a millimetre is.
    let mut renamed = record.clone();
    renamed.client.code = "T2".to_owned();
    assert_eq!(mark(&renamed), mark(&record));
    let unlinked = apply(&record, &Edit::Unlink).expect("unlinks");
    assert_eq!(
        mark(&unlinked),
        mark(&record),
        "it looks the same and is the same"
    );
    let offset = Offset {
        height_mm: 0.1,
        ..Offset::default()
    };
    let higher = apply(
        &record,
        &Edit::SetOffset {
            side: Side::Left,
            offset,
        },
    )
    .expect("fine");
    assert_ne!(mark(&higher), mark(&record));
    let wrapped = apply(
        &record,
        &Edit::SetWrap(WrapChoice::Cylinder { radius_mm: 70.0 }),
    )
    .expect("fine");
    assert_ne!(mark(&wrapped), mark(&record));
}

#[test]
fn the_full_name_never_goes_on_paper() {
    let mut record = apply(&typical(), &Edit::Propose).expect("proposed");
    record.client.name = Some("Philippa Quillfeather".to_owned());
    let papers = record
        .papers(&SheetOptions {
            paper: Paper::Letter,
            facing: Facing::FaceDown,
            ..SheetOptions::default()
        })
        .expect("it fits");
    for text in [papers.stencil_svg(), papers.report_json()] {
        assert!(!text.contains("Quillfeather"));
    }
    assert!(papers.stencil.words().any(|w| w.contains("T1")));
    assert!(papers.stencil.words().any(|w| w.contains("NOT AGREED")));
}

#[test]
fn an_estimated_or_missing_wrap_is_said_and_a_tape_is_not_complained_about() {
    let cautions = |choice| {
        let mut record = typical();
        record.wrap = choice;
        record.measured().expect("measured").cautions().join(" ")
    };
    assert!(cautions(WrapChoice::Estimate).contains("estimate"));
    assert!(cautions(WrapChoice::Flat).contains("short on skin"));
    let taped = WrapChoice::tape(Side::Right, TapeLine::StartToTail, 46.0);
    assert_eq!(cautions(taped), "");
}

/// A tape of known length laid over a profile of depth 0.1 gives it back: a
/// point seen at x lies at x (1 + 0.1 (0.6 u² + 0.4 u⁶)), u = x/50, on the skin, so the unrolled
/// start (14, 18.25) and tail (54, 16) lie that far apart along and 2.25 down.
#[test]
fn a_tape_gives_the_depth_it_was_laid_over() {
    let on_skin = |x: f64| {
        let u = x / 50.0;
        x * (1.0 + 0.1 * (0.6 * u * u + 0.4 * libm::pow(u, 6.0)))
    };
    let mut record = typical();
    let read = libm::hypot(on_skin(54.0) - on_skin(14.0), 2.25);
    record.wrap = WrapChoice::tape(Side::Left, TapeLine::StartToTail, read);
    let Wrap::Profile { depth } = record.curve().expect("a head's depth").wrap.left else {
        panic!("a tape makes a profile");
    };
    assert!((depth - 0.1).abs() < 1e-9, "{depth}");
}

#[test]
fn lines_over_the_photo_lie_where_the_landmarks_are() {
    let drawn = typical().drawn().expect("drawn");
    let lines = drawn.measured.drawn_lines();
    assert_eq!(lines.len(), 8);
    let midline = lines
        .iter()
        .find(|l| l.kind == LineKind::Midline)
        .expect("there is one");
    assert!(
        midline.photo.iter().all(|p| (p.x - 800.0).abs() < 1e-6),
        "{midline:?}"
    );
    for line in lines.iter().filter(|l| l.kind == LineKind::Tail) {
        let side = line.side.expect("a tail line has a side");
        assert!(
            line.photo[0].distance(px(side.sign() * 17.0, -38.0)) < 1e-6,
            "{line:?}"
        );
        // It reaches above the brow's tail.
        assert!(line.front[1].y > 20.0, "{line:?}");
        // And passes the handle that stands on it.
        let tail = drawn
            .handle(side, Handle::Tail)
            .expect("it has a place")
            .photo;
        let run = line.photo[1] - line.photo[0];
        let off = run.unit().expect("it is long").cross(tail - line.photo[0]);
        assert!(off.abs() < 0.1, "{off} px off");
    }
}

#[test]
fn the_outline_over_the_photo_runs_through_the_handles() {
    let drawn = typical().drawn().expect("drawn");
    for side in Side::BOTH {
        let cubics = drawn.photo_cubics(side);
        for pair in cubics.windows(2) {
            assert!(
                pair[0][3].distance(pair[1][0]) < 1e-6,
                "the outline is broken"
            );
        }
        for handle in [
            Handle::FrontTop,
            Handle::Peak,
            Handle::LowerArch,
            Handle::Tail,
        ] {
            let at = drawn.handle(side, handle).expect("it has a place").photo;
            let gap = cubics
                .iter()
                .map(|c| c[0].distance(at))
                .fold(f64::INFINITY, f64::min);
            assert!(gap < 0.01, "{handle:?} lies {gap} px off the outline");
        }
        let path = drawn.photo_path(side);
        assert!(
            path.starts_with('M') && path.ends_with('Z') && !path.contains("NaN"),
            "{path}"
        );
    }
}

#[test]
fn traced_hair_replaces_the_tapped_brow() {
    let mut record = typical();
    record.wrap = WrapChoice::Cylinder { radius_mm: 75.0 };
    let tapped = record
        .drawn()
        .expect("drawn")
        .hair_fit
        .left
        .expect("the brow was tapped");
    // A band of 20 x 4 mm in the middle of the brow.
    let corners = [(22.0, 19.0), (22.0, 23.0), (42.0, 23.0), (42.0, 19.0)];
    record.photos[0].hair.left = corners.map(|(x, y)| px(x, y)).to_vec();
    let traced = record
        .drawn()
        .expect("drawn")
        .hair_fit
        .left
        .expect("traced");
    let all = |f: ophryon_brow::HairFit| f.inside_mm2 + f.outside_mm2;
    // 4 mm high, and 75 (asin(42/75) - asin(22/75)) = 22.25 mm over the skin.
    let expected = 4.0 * 75.0 * (libm::asin(42.0 / 75.0) - libm::asin(22.0 / 75.0));
    assert!(
        (all(traced) - expected).abs() < 0.5,
        "{traced:?}, not {expected}"
    );
    assert!(all(tapped) > all(traced));
    // An offset of the brow changes what is inside, not how much hair there is.
    let offset = Offset {
        height_mm: 2.0,
        ..Offset::default()
    };
    let moved = apply(
        &record,
        &Edit::SetOffset {
            side: Side::Left,
            offset,
        },
    )
    .expect("fine");
    let after = moved.drawn().expect("drawn").hair_fit.left.expect("traced");
    assert!((all(after) - all(traced)).abs() < 0.5);
    assert!(
        (after.inside_mm2 - traced.inside_mm2).abs() > 0.5,
        "{after:?} {traced:?}"
    );
}

#[test]
fn a_failing_constraint_is_reported_with_its_mend() {
    let record = apply(&typical(), &Edit::Propose).expect("proposed");
    let drawn = record.drawn().expect("drawn");
    let to = drawn
        .handle(Side::Right, Handle::Tail)
        .expect("there")
        .lateral
        - ophryon_frames::Vector::new(0.0, 3.0);
    let edit = Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Tail,
        to,
    };
    let record = apply(&record, &edit).expect("a drooping tail can be drawn");
    let report = record.report().expect("drawn");
    assert!(!report.holds);
    let failing: Vec<_> = report.failing().collect();
    assert!(
        failing
            .iter()
            .all(|(_, r)| r.verdict == Verdict::Fails && r.value.is_some())
    );
    let (side, aim) = failing[0];
    let mend = aim.mend.as_ref().expect("a tail can be turned");
    let mended = apply(
        &record,
        &Edit::SetPoints {
            side,
            points: mend.points,
        },
    )
    .expect("mends");
    assert!(
        mended.report().expect("drawn").holds,
        "the mend does not mend"
    );
}

#[test]
fn pupils_that_nobody_has_stop_the_work() {
    let mut record = typical();
    record.photos[0].references = vec![ophryon_face::Reference::Ruler {
        ends: [px(-40.0, -105.0), px(40.0, -105.0)],
        length_mm: 8.0, // centimetres taken for millimetres
        held: ophryon_face::Held::default(),
    }];
    let error = record.drawn().expect_err("no sheet from such a scale");
    assert_eq!(error.field(&record), "photos[0].references");
    assert!(
        error.to_string().contains("the scale can't be right"),
        "{error}"
    );
}
