//! A shape made a style of the artist's own: on the same face it comes out as
//! it was, and it can be kept, saved and read again.

mod typical;

use ophryon_record::{Styles, apply, built_in_styles};
use typical::typical;

#[test]
fn a_style_made_of_a_shape_draws_that_shape_again() {
    for style in built_in_styles() {
        let record = typical();
        let shape = record.styled(style).expect("each fits the typical face");
        let record = apply(&record, &shape.edit()).expect("it can be taken");
        let own = record.as_style("Mine").expect("it can be made a style");
        assert_eq!(own.problems(), vec![], "{}", style.name);

        let again = record.styled(&own).expect("it fits the same face");
        let (before, after) = (&shape.styled, &again.styled);
        let handles = [
            (before.points.front_top, after.points.front_top),
            (before.points.front_bottom, after.points.front_bottom),
            (before.points.peak, after.points.peak),
            (before.points.lower_arch, after.points.lower_arch),
            (before.points.tail, after.points.tail),
        ];
        for (was, is) in handles {
            let apart = was.distance(is);
            assert!(apart < 0.3, "{}: {apart:.2} mm apart", style.name);
        }
        let area = |brow: &ophryon_brow::Brow| brow.outline().area();
        let off = area(&after.brow) / area(&before.brow) - 1.0;
        assert!(off.abs() < 0.02, "{}: area off by {off:.3}", style.name);
    }
}

#[test]
fn an_own_style_is_kept_saved_and_read_again() {
    let own = typical()
        .as_style("  My line ")
        .expect("a proposal will do");
    let mut styles = Styles::default();
    styles.keep(own.clone()).expect("the name is free");
    let (read, left_out) = Styles::from_json(&styles.to_json()).expect("our own file");
    assert_eq!(left_out, vec![]);
    assert_eq!(read.own(), &[own]);
    assert_eq!(read.own()[0].name, "My line");
}
