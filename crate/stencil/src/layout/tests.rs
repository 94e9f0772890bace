//! What lies where, on every paper and for every choice.

use ophryon_frames::{Side, Vector, Wrap};
use proptest::prelude::*;

use super::*;
use crate::sheet::Letters;
use crate::{Agreement, Align, CUT_MARGIN_MM, GAUGE_MM, Mark, Weight, WrapSource, example, page};

fn ends(sheet: &Sheet, id: &str) -> Vec<Point<Page>> {
    match sheet.mark(id) {
        Some(Mark::Outline { start, cubics, .. }) => std::iter::once(*start)
            .chain(cubics.iter().map(|[_, _, end]| *end))
            .collect(),
        other => panic!("{id} is no outline: {other:?}"),
    }
}

fn x_range(places: &[Point<Page>]) -> (f64, f64) {
    places.iter().fold((f64::MAX, f64::MIN), |(low, high), p| {
        (low.min(p.x), high.max(p.x))
    })
}

/// The example pair, moved out and up.
fn shifted(out_mm: f64, up_mm: f64) -> SheetContent {
    let mut pair = example::pair();
    pair.points = pair.points.shifted(Vector::new(out_mm, up_mm));
    example::content_of(&pair)
}

fn with(options: SheetOptions) -> SheetContent {
    SheetContent {
        options,
        ..example::content()
    }
}

fn said(sheet: &Sheet) -> String {
    sheet.words().collect::<Vec<_>>().join(" ")
}

/// Every choice that fits, with one copy and with as many as there is room for.
fn all_that_fit() -> Vec<(SheetContent, Sheet)> {
    let mut all = vec![];
    for paper in Paper::ALL {
        for sides in Sides::ALL {
            for facing in [Facing::FaceUp, Facing::FaceDown] {
                let mut content = with(SheetOptions {
                    paper,
                    sides,
                    facing,
                    ..SheetOptions::default()
                });
                let most = most_copies(&content).unwrap();
                let mut copies = vec![1, most];
                copies.dedup();
                for copies in copies.into_iter().filter(|n| (1..=most).contains(n)) {
                    content.options.copies = copies;
                    let sheet = lay_out(&content).unwrap();
                    all.push((content.clone(), sheet));
                }
            }
        }
    }
    all
}

/// The box that a line of words takes up at most.
fn words_box(mark: &Mark) -> Option<[f64; 4]> {
    let Mark::Words {
        at,
        align,
        size_mm,
        weight,
        words,
        ..
    } = mark
    else {
        return None;
    };
    let letters = Letters::plain(*size_mm);
    let letters = match weight {
        Weight::Plain => letters,
        Weight::Bold => letters.bold(),
    };
    let width = letters.width_mm(words);
    let from = match align {
        Align::Start => at.x,
        Align::Middle => at.x - width / 2.0,
        Align::End => at.x - width,
    };
    // Capitals are 0.73 of the size, and letters reach 0.24 below the line.
    Some([
        from,
        at.y - 0.73 * size_mm,
        from + width,
        at.y + 0.24 * size_mm,
    ])
}

fn overlap(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] - 0.01 && b[0] < a[2] - 0.01 && a[1] < b[3] - 0.01 && b[1] < a[3] - 0.01
}

fn bounds(places: impl IntoIterator<Item = Point<Page>>) -> [f64; 4] {
    places.into_iter().fold(
        [f64::MAX, f64::MAX, f64::MIN, f64::MIN],
        |[left, top, right, low], p| [left.min(p.x), top.min(p.y), right.max(p.x), low.max(p.y)],
    )
}

/// The client's right lies on the page's left, as one looks at her; its start
/// is 15 mm and its tip 57 mm from the midline, as mapped.
#[test]
fn face_up_is_as_one_looks_at_the_client() {
    let sheet = lay_out(&example::content()).unwrap();
    let midline = Paper::A4.width_mm() / 2.0;
    let (low, high) = x_range(&ends(&sheet, "brow-right"));
    assert!((midline - high - 15.0).abs() < 1e-9 && (midline - low - 57.0).abs() < 1e-9);
    let (low, high) = x_range(&ends(&sheet, "brow-left"));
    assert!((low - midline - 15.0).abs() < 1e-9 && (high - midline - 57.0).abs() < 1e-9);
}

#[test]
fn higher_on_the_face_is_higher_on_the_page_by_as_much() {
    let sheet = lay_out(&example::content()).unwrap();
    let top = |id| {
        ends(&sheet, id)
            .iter()
            .map(|p| p.y)
            .fold(f64::MAX, f64::min)
    };
    // The client's left was placed 1 mm higher.
    assert!((top("brow-right") - top("brow-left") - 1.0).abs() < 1e-9);
    let pupil_line = sheet.placing().unwrap().origin.y;
    assert!((pupil_line - top("brow-right") - 29.5).abs() < 1e-9);
}

#[test]
fn face_down_mirrors_everything_drawn_and_says_so() {
    let up = example::content();
    let mut down = up.clone();
    down.options.facing = Facing::FaceDown;
    let (up, down) = (lay_out(&up).unwrap(), lay_out(&down).unwrap());
    for id in ["brow-right", "brow-left"] {
        for (a, b) in ends(&up, id).into_iter().zip(ends(&down, id)) {
            assert!((a.x + b.x - Paper::A4.width_mm()).abs() < 1e-9 && a.y == b.y);
        }
    }
    let place_of = |sheet: &Sheet, name: &str| {
        let items = sheet.groups().iter().flat_map(|g| &g.items);
        let mut at = items.filter_map(|item| match &item.mark {
            Mark::Words { at, words, .. } if words.starts_with(name) => Some(at.x),
            _ => None,
        });
        at.next_back().unwrap()
    };
    assert!(place_of(&up, "client's right") < place_of(&up, "client's left"));
    assert!(place_of(&down, "client's right") > place_of(&down, "client's left"));
    assert!(said(&down).contains("FACE DOWN") && said(&down).contains("printed side on"));
    assert!(said(&down).contains("client's left, face down"));
    assert!(!said(&up).contains("FACE DOWN"));
}

/// On every paper: whose it is, whether agreed, what the wrap may cost, how it
/// is laid, what the gauges must read, and the cautions.
#[test]
fn every_sheet_says_what_it_must() {
    for (content, sheet) in all_that_fit() {
        let said = said(&sheet);
        let told = || format!("{:?}: {said}", content.options);
        for fact in [
            "K. M.",
            "version 3",
            "3f9a51c07be2d448",
            "12 March 2025",
            "NOT AGREED",
            "WRAP ESTIMATED",
            "4.4 mm off",
            "Local codes and licensed practice rule",
            "Print at 100 %",
        ] {
            assert!(said.contains(fact), "no {fact}, {}", told());
        }
        let facing = match content.options.facing {
            Facing::FaceUp => "FACE UP",
            Facing::FaceDown => "FACE DOWN",
        };
        assert!(said.contains(facing), "{}", told());
        let gauges = sheet.gauges().unwrap();
        for length in [gauges.across_mm, gauges.down_mm] {
            assert!(said.contains(&format!("{length:.0} mm")), "{}", told());
        }
    }
}

#[test]
fn the_sheet_warns_of_what_it_does_not_rest_on() {
    let said = |caption: Caption| {
        let sheet = lay_out(&SheetContent {
            caption,
            ..example::content()
        });
        said(&sheet.unwrap())
    };
    let sure = said(Caption {
        agreed: Agreement::Agreed {
            when: Some("14 March 2025".to_owned()),
            seal: Some("7d1c9e02".to_owned()),
        },
        wrap_source: WrapSource::Measured,
        wrap_basis: Some("By tape, 52.6 mm from start to tail.".to_owned()),
        length_uncertainty_mm: Some(1.2),
        ..example::caption()
    });
    assert!(!sure.contains("NOT AGREED") && !sure.contains("ESTIMATED"));
    assert!(sure.contains("agreed to this exact shape: 14 March 2025, seal 7d1c9e02."));
    assert!(sure.contains("By tape, 52.6 mm") && sure.contains("± 1.2 mm"));
    let flat = said(Caption {
        wrap: Wrap::Flat,
        wrap_source: WrapSource::Measured,
        ..example::caption()
    });
    assert!(flat.contains("WITHOUT A WRAP") && flat.contains("too short"));
    let unknown = said(Caption {
        length_uncertainty_mm: None,
        ..example::caption()
    });
    assert!(unknown.contains("may be 2 mm off, on some heads 6"));
}

#[test]
fn the_name_is_on_paper_only_where_it_was_handed_in() {
    let mut content = example::content();
    assert!(!said(&lay_out(&content).unwrap()).contains("Invented"));
    content.caption.name = Some("Invented Person".to_owned());
    let sheet = lay_out(&content).unwrap();
    assert!(said(&sheet).contains("K. M., Invented Person, version 3"));
    assert!(sheet.title().contains("Invented Person"));
}

#[test]
fn each_copy_has_its_own_ids_and_lies_as_the_first_does() {
    for (content, sheet) in all_that_fit() {
        let ids: Vec<_> = sheet
            .groups()
            .iter()
            .flat_map(|g| &g.items)
            .filter_map(|item| item.id.clone())
            .collect();
        for id in &ids {
            assert_eq!(ids.iter().filter(|other| *other == id).count(), 1, "{id}");
        }
        let options = content.options;
        for side in Side::BOTH {
            let of = |what: &str| {
                let name = format!("{what}-{}", side.name());
                let mine = ids.iter().filter(|id| id.starts_with(&name));
                mine.count() as u32
            };
            let expected = if options.sides.has(side) {
                options.copies
            } else {
                0
            };
            for what in ["brow", "cut", "centre"] {
                assert_eq!(of(what), expected, "{what} of {options:?}");
            }
        }
        assert_eq!(sheet.placings().len() as u32, options.copies);
        assert_eq!(ids.iter().any(|id| id == "cut-apart"), options.copies > 1);
        let side = options.sides.drawn().next().unwrap();
        let first = ends(&sheet, &format!("brow-{}", side.name()));
        for (copy, placing) in (1..).zip(sheet.placings()) {
            if copy == 1 {
                continue;
            }
            let shift = placing.origin - sheet.placings()[0].origin;
            let other = ends(&sheet, &format!("brow-{}-{copy}", side.name()));
            for (a, b) in first.iter().zip(other) {
                assert!((*a + shift).distance(b) < 1e-9);
            }
        }
    }
}

/// No words on other words, on a brow, a cut line or a gauge; everything
/// between the margins; copies and gauges apart from each other.
#[test]
fn nothing_lies_on_anything_else() {
    for (content, sheet) in all_that_fit() {
        let options = content.options;
        let (width, height) = (sheet.width_mm(), sheet.height_mm());
        let margin = options.paper.margin_mm() - 0.1;
        let inside = |[left, top, right, low]: [f64; 4]| {
            left >= margin
                && top >= margin
                && right <= width - margin
                && low <= height - margin + 0.7
        };
        let items: Vec<_> = sheet.groups().iter().flat_map(|g| &g.items).collect();
        let words: Vec<_> = items
            .iter()
            .filter_map(|item| {
                let Mark::Words { words, .. } = &item.mark else {
                    return None;
                };
                Some((words_box(&item.mark)?, words))
            })
            .collect();
        for (i, (a, said)) in words.iter().enumerate() {
            assert!(inside(*a), "“{said}” leaves {options:?}");
            for (b, other) in &words[i + 1..] {
                assert!(!overlap(*a, *b), "“{said}” on “{other}”, {options:?}");
            }
        }
        for item in &items {
            let Some(id) = &item.id else { continue };
            match &item.mark {
                Mark::Polyline { places, .. } => {
                    assert!(inside(bounds(places.iter().copied())), "{id}, {options:?}");
                    for (a, said) in &words {
                        let hit = places
                            .iter()
                            .any(|p| overlap(*a, [p.x, p.y, p.x + 0.1, p.y + 0.1]));
                        assert!(!hit, "“{said}” on {id}, {options:?}");
                    }
                }
                Mark::Bars { bars } => {
                    let bar = bounds(bars.iter().flatten().copied());
                    assert!(inside(bar), "{id}, {options:?}");
                    for (a, said) in &words {
                        assert!(!overlap(*a, bar), "“{said}” on {id}, {options:?}");
                    }
                    for other in items.iter().filter(|i| i.id != item.id) {
                        if let Mark::Polyline { places, .. } = &other.mark {
                            let brow = bounds(places.iter().copied());
                            assert!(!overlap(brow, bar), "{id}, {options:?}");
                        }
                    }
                }
                Mark::Lines { lines, .. } if id == "cut-apart" => {
                    for [from, to] in lines {
                        let line = bounds([*from, *to]);
                        let line = [line[0] - 0.05, line[1] - 0.05, line[2], line[3]];
                        for (a, said) in &words {
                            assert!(!overlap(*a, line), "“{said}” on {id}, {options:?}");
                        }
                    }
                }
                _ => {}
            }
        }
    }
}

#[test]
fn gauges_are_100_mm_wherever_there_is_room_and_always_as_said() {
    for (content, sheet) in all_that_fit() {
        let gauges = sheet.gauges().unwrap();
        for (id, length, along) in [
            ("gauge", gauges.across_mm, 0),
            ("gauge-upright", gauges.down_mm, 1),
        ] {
            let Some(Mark::Bars { bars }) = sheet.mark(id) else {
                panic!("no {id}");
            };
            let bar = bounds(bars.iter().flatten().copied());
            assert!((bar[along + 2] - bar[along] - length).abs() < 1e-9);
            assert!((30.0..=GAUGE_MM).contains(&length));
            if !content.options.paper.is_small() {
                assert_eq!(length, GAUGE_MM);
            }
        }
    }
}

#[test]
fn a_pair_that_fits_only_across_lies_across() {
    // 65 mm tails: 142 mm with cut lines and ends, and A5 leaves 138 upright.
    let mut content = shifted(8.0, 0.0);
    content.options.paper = Paper::A5;
    let sheet = lay_out(&content).unwrap();
    assert!(sheet.is_turned());
    assert_eq!((sheet.width_mm(), sheet.height_mm()), (210.0, 148.0));
    let mut content = shifted(26.9, 0.0);
    assert!(!lay_out(&content).unwrap().is_turned());
    content = shifted(40.0, 0.0);
    assert!(lay_out(&content).unwrap().is_turned());
    assert_eq!(page::Paper::A4.width_mm(), 210.0);
}

#[test]
fn what_is_larger_than_the_paper_is_refused_with_the_way_out() {
    let refused = |content: &SheetContent| lay_out(content).unwrap_err().to_string();
    let on = |mut content: SheetContent, paper| {
        content.options.paper = paper;
        content
    };
    let said = refused(&on(example::content(), Paper::Roll62x150));
    assert_eq!(
        said,
        "both brows with midline and level line need 125 x 46 mm and do not fit on 62 x 150 mm \
         paper beside what the sheet must say; use 100 x 150 mm paper, or print one side to a page"
    );
    // Both ways out that it names do fit.
    let mut content = on(example::content(), Paper::Label100x150);
    assert!(lay_out(&content).is_ok());
    for sides in [Sides::Right, Sides::Left] {
        content.options.sides = sides;
        assert!(lay_out(&on(content.clone(), Paper::Roll62x150)).is_ok());
    }
    // So wide that one side is no way out on the roll.
    let wide = on(shifted(60.0, 0.0), Paper::Roll62x150);
    assert!(
        refused(&wide).ends_with("use A4 paper"),
        "{}",
        refused(&wide)
    );
    assert!(lay_out(&on(wide, Paper::A4)).is_ok());
    // Nothing fits: then it is no brow.
    let nowhere = SheetError::TooLarge {
        sides: Sides::Right,
        width_mm: 400.0,
        height_mm: 50.0,
        paper: Paper::A4,
        other: None,
        one_side: false,
    };
    assert!(
        nowhere
            .to_string()
            .ends_with("check the scale of the photo and the tape length")
    );
}

#[test]
fn more_copies_than_fit_are_refused_with_how_many_do() {
    for paper in Paper::ALL {
        for sides in Sides::ALL {
            let mut content = with(SheetOptions {
                paper,
                sides,
                ..SheetOptions::default()
            });
            let most = most_copies(&content).unwrap();
            if most == 0 {
                continue;
            }
            content.options.copies = most + 1;
            let said = lay_out(&content).unwrap_err().to_string();
            let holds = match most {
                1 => "holds one copy of".to_owned(),
                most => format!("holds {most} copies of"),
            };
            assert!(
                said.contains(&holds) && said.contains(sides.name()),
                "{said}"
            );
            assert!(
                said.contains(&format!("not {}; ask for {most}", most + 1)),
                "{said}"
            );
        }
    }
    let said = lay_out(&with(SheetOptions {
        copies: 0,
        ..SheetOptions::default()
    }));
    assert!(said.unwrap_err().to_string().contains("ask for 1 or more"));
}

/// Options written by an older version, or by hand, may leave things out; what
/// nobody knows is refused.
#[test]
fn options_read_what_they_write() {
    let options = SheetOptions {
        paper: Paper::Label4x6In,
        sides: Sides::Left,
        copies: 2,
        facing: Facing::FaceDown,
        with_name: true,
    };
    let text = serde_json::to_string(&options).unwrap();
    assert_eq!(
        text,
        r#"{"paper":"4x6in","sides":"left","copies":2,"facing":"face-down","with-name":true}"#
    );
    assert_eq!(
        serde_json::from_str::<SheetOptions>(&text).unwrap(),
        options
    );
    let some: SheetOptions = serde_json::from_str(r#"{"paper":"letter"}"#).unwrap();
    assert_eq!((some.paper, some.copies), (Paper::Letter, 1));
    assert!(serde_json::from_str::<SheetOptions>(r#"{"papre":"a4"}"#).is_err());
    for paper in Paper::ALL {
        assert_eq!(Paper::from_id(paper.id()), Some(paper));
        assert_eq!(
            serde_json::to_string(&paper).unwrap(),
            format!("\"{}\"", paper.id())
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever a client is called: words stay on the page, clear of the
    /// margins that printers can't reach (by the cautious estimate).
    #[test]
    fn words_of_any_kind_stay_on_the_page(
        code in ".{0,200}", name in prop::option::of(".{0,80}"), version in ".{0,40}",
        when in ".{0,80}", fingerprint in "[0-9a-f]{0,128}",
        paper in prop::sample::select(&Paper::ALL[..]),
        sides in prop::sample::select(&Sides::ALL[..]), down in any::<bool>(),
    ) {
        let mut content = example::content();
        content.options.paper = paper;
        content.options.sides = sides;
        content.options.facing = if down { Facing::FaceDown } else { Facing::FaceUp };
        content.caption = Caption {
            code: code.clone(),
            name,
            version,
            fingerprint,
            agreed: Agreement::Agreed {
                seal: Some(when.clone()),
                when: Some(when),
            },
            wrap_basis: Some(code.clone()),
            remark: Some(code),
            ..content.caption
        };
        let Ok(sheet) = lay_out(&content) else {
            prop_assert!(paper == Paper::Roll62x150 && sides == Sides::Both);
            return Ok(());
        };
        let margin = paper.margin_mm() - 0.1;
        for item in sheet.groups().iter().flat_map(|g| &g.items) {
            let Some([left, top, right, low]) = words_box(&item.mark) else { continue };
            let Mark::Words { words, .. } = &item.mark else { continue };
            prop_assert!(left >= margin && right <= sheet.width_mm() - margin, "{words}");
            // A gauge's last number stands on the gauge's end.
            prop_assert!(top >= margin - 0.5 && low <= sheet.height_mm() - margin + 0.7, "{words}");
            prop_assert!(!words.chars().any(char::is_control));
        }
    }

    /// Wherever brows lie on a face: the cut line keeps its margin from the
    /// page's edge by what lies beyond it, and nothing is lost.
    #[test]
    fn brows_anywhere_on_a_face_are_drawn_whole(
        out in -10.0..12.0f64, up in -14.0..14.0f64, turn in -6.0..6.0f64,
        paper in prop::sample::select(&Paper::ALL[..]),
        sides in prop::sample::select(&Sides::ALL[..]),
    ) {
        let mut pair = example::pair();
        pair.points = pair.points.shifted(Vector::new(out, up));
        pair.offset.left.turn_degrees = turn;
        let mut content = example::content_of(&pair);
        content.options.paper = paper;
        content.options.sides = sides;
        let Ok(sheet) = lay_out(&content) else { return Ok(()) };
        for side in sides.drawn() {
            let brow = bounds(ends(&sheet, &format!("brow-{}", side.name())));
            let Some(Mark::Polyline { places, closed: true, .. }) =
                sheet.mark(&format!("cut-{}", side.name()))
            else {
                panic!("no cut line");
            };
            let cut = bounds(places.iter().copied());
            for (inner, outer) in [(brow[0], cut[0]), (brow[1], cut[1])] {
                prop_assert!(inner - outer > CUT_MARGIN_MM - 0.01);
            }
            prop_assert!(cut[0] > 2.0 && cut[2] < sheet.width_mm() - 2.0);
            prop_assert!(cut[1] > 2.0 && cut[3] < sheet.height_mm() - 2.0);
        }
    }
}

/// Beside each brow, whatever the paper: the seal whole, and the warning too.
#[test]
fn a_seal_is_never_cut() {
    let seal = "7d1c9e02";
    for (mut content, _) in all_that_fit() {
        content.caption.agreed = Agreement::Agreed {
            when: Some("24 September 2025, 15:09".to_owned()),
            seal: Some(seal.to_owned()),
        };
        let sheet = lay_out(&content).unwrap();
        let beside = sheet
            .words()
            .filter(|w| w.contains("wrap estimated") && w.contains("Agreed"));
        let mut count = 0;
        for words in beside {
            assert!(words.contains(seal), "{:?}: {words}", content.options);
            count += 1;
        }
        assert!(count > 0, "{:?}", content.options);
    }
}
