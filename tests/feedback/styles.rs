//! The six styles that come along, on plausible faces.

use std::cell::RefCell;

use ophryon_brow::{
    Form, Front, Limits, MappingLines, Style, StyleError, StyleFront, StyleSide, Styled,
};
use ophryon_frames::{Side, Sided};
use ophryon_record::built_in_styles;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use crate::plausible::{Face, face};
use crate::ruler::across;
use crate::sampler::{places, read};

const SAMPLE: u32 = 60;
const PROOF: u32 = 2000;

pub fn on(style: &Style, face: &Face, limits: &Limits) -> Result<Styled, StyleError> {
    let lines =
        Sided::try_from_fn(|side| MappingLines::construct(&face.sides.get(side).eye, &face.rules))?;
    let ears = face.ears();
    let sides = Sided::from_fn(|side: Side| StyleSide {
        eye: &face.sides.get(side).eye,
        lines: lines.get(side),
        natural: &face.sides.get(side).natural,
        ear: ears.get(side),
        wrap: &face.wrap,
    });
    style.on(&sides, &face.rules, limits)
}

#[derive(Default)]
struct Tally {
    drawn: [u32; 6],
    gave_way: [u32; 6],
    conflicts: [u32; 6],
    thickness: [u32; 6],
    mapping: [u32; 6],
}

fn faces(cases: u32) -> Tally {
    let tally = RefCell::new(Tally::default());
    let mut config = ProptestConfig::with_cases(cases);
    config.failure_persistence = None;
    let outcome = TestRunner::new(config).run(&face(), |face| {
        let mut tally = tally.borrow_mut();
        for (i, style) in built_in_styles().iter().enumerate() {
            match on(style, &face, &Limits::default()) {
                Ok(styled) => {
                    tally.drawn[i] += 1;
                    tally.gave_way[i] += u32::from(!styled.gave_way.is_empty());
                    keeps_to_itself(style, &styled)?;
                }
                Err(why) => {
                    let said = why.to_string();
                    prop_assert!(!said.contains("NaN"), "{said}");
                    match why {
                        StyleError::NoRoom { .. } => {
                            prop_assert!(said.contains(&style.name), "{said}");
                            tally.conflicts[i] += 1;
                        }
                        StyleError::Thickness { .. } => {
                            prop_assert!(said.contains(" mm"), "{said}");
                            tally.thickness[i] += 1;
                        }
                        _ => tally.mapping[i] += 1,
                    }
                }
            }
        }
        Ok(())
    });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    tally.into_inner()
}

/// A drawn style keeps what it says, as the independent sampler reads it.
fn keeps_to_itself(style: &Style, styled: &Styled) -> Result<(), TestCaseError> {
    let (points, limits) = (&styled.points, &styled.limits);
    let soft = matches!(style.front, StyleFront::Soft { .. });
    let r = read(styled.brow.outline(), points, soft);
    prop_assert!(r.top_line_off <= limits.straight_mm + 1e-9, "{r:?}");
    prop_assert!(r.radius[0] >= limits.peak_radius_mm * (1.0 - 1e-4), "{r:?}");
    prop_assert!(r.growth < 1e-3 && r.crossings == 0, "{r:?}");
    prop_assert!(r.inflections.iter().all(|n| *n == 0), "{r:?}");
    let inside = |least: f64, value: f64, most: f64| least - 1e-9 <= value && value <= most + 1e-9;
    let rise = points.peak.y - points.front_top.y;
    prop_assert!(inside(style.rise_mm.least, rise, style.rise_mm.most));
    let start = points.front_top.y - points.front_bottom.y;
    prop_assert!(inside(style.start_mm.least, start, style.start_mm.most));
    let radius = style.peak_radius_mm;
    prop_assert!(inside(radius.least, limits.peak_radius_mm, radius.most));
    let straight = style.straight_mm;
    prop_assert!(inside(straight.least, limits.straight_mm, straight.most));
    let peak = style.peak;
    let deep = (points.peak.y - points.lower_arch.y) / start;
    prop_assert!(inside(peak.least, deep, peak.most), "{deep}");
    // Thickness as it came out: across the tail's axis, upper side only.
    let line: Vec<_> = places(styled.brow.outline())
        .iter()
        .map(|p| (p.x, p.y))
        .collect();
    let axis = points.tail - points.lower_arch;
    for place in &style.tail {
        let at = points.lower_arch + axis * place.at;
        let found = across(&line, (at.x, at.y), (axis.x, axis.y));
        let (least, most) = (place.thickness.least * start, place.thickness.most * start);
        prop_assert!(
            least - 0.06 <= found && found <= most + 0.06,
            "{}: {found} at {}, {least} to {most}",
            style.name,
            place.at
        );
    }
    match (style.front, styled.form.front) {
        (StyleFront::Soft { radius_mm }, Front::Soft { radius_mm: is }) => {
            prop_assert!(inside(radius_mm.least, is, radius_mm.most));
        }
        (StyleFront::Slanted { lean_mm }, Front::Square) => {
            let lean = points.front_top.x - points.front_bottom.x;
            // The start's line may be crossed at an angle on the skin.
            prop_assert!(
                inside(lean_mm.least - 0.2, lean, lean_mm.most + 0.2),
                "{lean}"
            );
        }
        (StyleFront::Square, Front::Square) => {}
        other => return Err(TestCaseError::fail(format!("{other:?}"))),
    }
    prop_assert!(styled.form != Form::default());
    Ok(())
}

fn told(tally: &Tally, cases: u32) {
    for (i, style) in built_in_styles().iter().enumerate() {
        println!(
            "{}: {} drawn of {cases} ({} adapted), {} no room, {} thickness, {} mapping",
            style.name,
            tally.drawn[i],
            tally.gave_way[i],
            tally.conflicts[i],
            tally.thickness[i],
            tally.mapping[i]
        );
        let usable = cases - tally.mapping[i];
        assert!(
            tally.drawn[i] * 10 >= usable * 9,
            "{} on {} of {usable}",
            style.name,
            tally.drawn[i]
        );
    }
}

#[test]
fn each_style_is_drawn_on_plausible_faces_or_says_why() {
    told(&faces(SAMPLE), SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn each_style_on_two_thousand_plausible_faces() {
    told(&faces(PROOF), PROOF);
}

/// On one face, the styles are as different as their words say.
#[test]
fn styles_differ_as_their_words_say() {
    let mut runner = TestRunner::deterministic();
    let face = face().new_tree(&mut runner).expect("a face").current();
    let drawn = |name: &str| {
        let style = built_in_styles().iter().find(|s| s.name == name);
        on(style.expect("it comes along"), &face, &Limits::default())
    };
    let start = |s: &Styled| s.points.front_top.y - s.points.front_bottom.y;
    let rise = |s: &Styled| s.points.peak.y - s.points.front_top.y;
    let (full, slim) = (
        drawn("Full body").expect("drawn"),
        drawn("Slim sweep").expect("drawn"),
    );
    assert!(start(&full) > start(&slim) + 1.0);
    let (even, clear) = (
        drawn("Even line").expect("drawn"),
        drawn("Clear peak").expect("drawn"),
    );
    assert!(rise(&clear) > rise(&even) + 1.0);
    let lean = |s: &Styled| s.points.front_top.x - s.points.front_bottom.x;
    assert!(lean(&drawn("Leaning start").expect("drawn")) > 1.5);
    assert!(lean(&clear).abs() < 0.3);
}
