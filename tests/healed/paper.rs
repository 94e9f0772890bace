//! The touch-up on paper: at true size, inside the agreed outline, nothing to
//! fill that is too small to be filled.

use kurbo::{BezPath, Shape};
use ophryon_frames::Side;
use ophryon_stencil::{SheetOptions, write_svg};

use crate::story::{CAREFUL, story};

/// All subpaths of the SVG elements whose id begins so, in mm.
fn paths(svg: &str, id: &str) -> Vec<BezPath> {
    let begin = format!("id=\"{id}");
    svg.split('<')
        .filter(|element| element.contains(&begin))
        .filter_map(|element| {
            let d = element.split(" d=\"").nth(1)?.split('"').next()?;
            BezPath::from_svg(d).ok()
        })
        .collect()
}

#[test]
fn the_touch_up_is_printed_at_true_size_inside_the_outline() {
    let story = story(2005, CAREFUL).expect("a client");
    let outcome = story.outcome().expect("it is measured");
    assert!(outcome.any_missing());
    let sheet = story
        .record
        .touch_up_sheet(&outcome, &SheetOptions::default(), None)
        .expect("a sheet");
    let svg = write_svg(&sheet);
    assert!(svg.contains("Touch-up, true size") && !svg.contains("Brow stencil"));
    assert!(svg.contains("Fill inside the full lines."));
    let words: Vec<&str> = sheet.words().collect();
    let words = words.join(" ");
    // Nothing is called agreed that she didn't agree to.
    let (whose, other) = if story.record.agreed().is_agreed() {
        ("agreed", "drawn")
    } else {
        ("drawn", "agreed")
    };
    assert!(words.contains(&format!("Short dashes: the {whose} outline.")));
    assert!(!words.contains(&format!("the {other} outline")));
    assert!(outcome.headline().contains(&format!("of the {whose} area")));
    // No list is printed with it.
    assert!(!words.contains("distance list"));
    // Nothing of it is cut.
    assert!(!words.contains('…'), "{words}");
    for side in Side::BOTH {
        let checked = outcome.sides.get(side).as_ref().expect("it is measured");
        let name = side.name();
        let brow = paths(&svg, &format!("brow-{name}\""));
        let outline = brow.first().expect("the agreed outline");
        // On paper the agreed outline encloses what the measure calls agreed.
        assert!((outline.area().abs() - checked.drawn_mm2).abs() < 0.02 * checked.drawn_mm2);
        let again = paths(&svg, &format!("touch-up-{name}-"));
        let lines: usize = checked.missing.iter().map(|m| m.lines.len()).sum();
        assert_eq!(again.len(), lines);
        let area: f64 = again.iter().map(|p| p.area().abs()).sum();
        let missing = checked.missing_mm2();
        assert!(
            (area - missing).abs() < 0.1 * missing + 1.0,
            "{area} {missing}"
        );
        for piece in &again {
            for at in piece.elements().iter().filter_map(|e| e.end_point()) {
                let near = outline.winding(at) != 0
                    || outline.segments().any(|s| {
                        let near = kurbo::ParamCurveNearest::nearest(&s, at, 1e-4);
                        near.distance_sq.sqrt() < 0.15
                    });
                assert!(near, "a piece leaves the outline at {at:?}");
            }
        }
        for missing in &checked.missing {
            assert!(missing.area_mm2 >= 1.0);
        }
    }
    // The sheet of the shape itself stays as it is.
    let usual = story
        .record
        .papers(&SheetOptions::default())
        .expect("papers");
    assert!(!usual.stencil_svg().contains("touch-up"));
}
