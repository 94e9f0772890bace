//! Worked examples: one plain brow, every number by hand.

use ophryon_brow::{
    Asked, BrowPoints, Form, HairRegion, InTheWay, Limits, Offset, Pair, Parameter, Phrase,
    Proposal, Shrink, answer,
};
use ophryon_frames::{Point, Sided};

/// Pupils 63 mm apart; the peak 5.5 mm above a front edge of 8 mm. The tail runs
/// from (42.5, 22) to (57, 15.5).
fn plain() -> BrowPoints {
    BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    }
}

fn say(
    phrase: Phrase,
    pair: &Pair,
    first: &Pair,
    hair: Option<HairRegion>,
) -> Result<Proposal, ophryon_brow::NothingLeft> {
    say_within(&Limits::default(), phrase, pair, first, hair)
}

fn say_within(
    limits: &Limits,
    phrase: Phrase,
    pair: &Pair,
    first: &Pair,
    hair: Option<HairRegion>,
) -> Result<Proposal, ophryon_brow::NothingLeft> {
    // On the tail's own line: (57, 15.5) lies 6.5 below 22 after 14.5, so 143
    // lies 100.5 after, 45.05 below.
    let ear = Point::new(143.0, 22.0 - 100.5 * 6.5 / 14.5);
    answer(
        phrase,
        &Asked {
            pair,
            first,
            limits,
            ears: &Sided::from_fn(|_| ear),
            hair: &Sided::from_fn(|_| hair.clone()),
            traced: Sided::from_fn(|_| true),
            shrink: &Shrink::default(),
        },
    )
}

fn one(phrase: Phrase) -> Proposal {
    let pair = Pair::even(plain());
    say(phrase, &pair, &pair, None).expect("a plain brow has room")
}

fn by(proposal: &Proposal, parameter: Parameter) -> f64 {
    let found = proposal.changes.iter().find(|c| c.parameter == parameter);
    found.map_or(0.0, |c| c.by_mm)
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() < within, "{a} is not {b}");
}

#[test]
fn too_thick_takes_half_a_millimetre_from_below() {
    let p = one(Phrase::TooThick);
    near(by(&p, Parameter::StartThickness), -0.5, 1e-9);
    // The body leans by atan(5.75 / 26.75) = 12.1 degrees: across it half a
    // millimetre of height is 0.489.
    near(by(&p, Parameter::BodyThickness), -0.489, 0.03);
    near(by(&p, Parameter::PeakThickness), -0.5, 0.02);
    assert_eq!(by(&p, Parameter::PeakHeight), 0.0);
    assert!(p.held_back.is_none());
    assert_eq!(p.by_mm, -0.5);
    // 1.5 mm in all, half a one used.
    near(p.from_first_mm, 0.5, 1e-9);
    near(p.still_possible_mm, 1.0, 1e-9);
    assert_eq!(
        p.still_possible(),
        "With it, thickness is 0.5 mm from the shape first shown; feedback goes up to 1.5 mm. About 1.0 mm more could follow."
    );
}

#[test]
fn too_arched_lowers_peak_and_lower_arch_and_keeps_the_thickness() {
    let p = one(Phrase::TooArched);
    near(by(&p, Parameter::Rise), -0.5, 1e-9);
    near(by(&p, Parameter::PeakHeight), -0.5, 1e-9);
    near(by(&p, Parameter::PeakThickness), 0.0, 0.05);
    assert_eq!(p.points.front_top, plain().front_top);
}

#[test]
fn too_short_lets_the_tip_out_along_its_aim() {
    let p = one(Phrase::TooShort);
    near(by(&p, Parameter::TailLength), 1.0, 1e-9);
    // 14.5 out and 6.5 down over 15.890.
    near(p.points.tail.x - 57.0, 14.5 / 15.890, 1e-4);
    near(by(&p, Parameter::TailHeight), -6.5 / 15.890, 1e-4);
}

#[test]
fn too_close_together_moves_both_starts_alike() {
    let p = one(Phrase::TooCloseTogether);
    near(by(&p, Parameter::StartToMidline), 0.5, 1e-9);
    let change = p
        .changes
        .iter()
        .find(|c| c.parameter == Parameter::StartToMidline);
    let change = change.expect("it is told");
    assert_eq!((change.from_mm.right, change.from_mm.left), (15.0, 15.0));
    assert_eq!((change.to_mm.right, change.to_mm.left), (15.5, 15.5));
}

/// The tip may be 2 degrees off its aim. From (42.5, 22) it lies 14.5 out and 6.5
/// down, at -24.146 degrees; half a millimetre up, at -22.479, which is 1.67
/// degrees off; a tenth more, at -22.141, which is 2.005 degrees off and too much.
#[test]
fn a_low_end_goes_up_as_far_as_its_aim_allows() {
    let pair = Pair::even(plain());
    let p = say(Phrase::EndsTooLow, &pair, &pair, None).expect("once");
    near(by(&p, Parameter::TailHeight), 0.5, 1e-9);
    near(p.points.tail.x, 57.0, 1e-12);
    // Then it ends earlier: 1.5 mm along the axis brings it up by about
    // 1.5 sin(22.5 degrees) = 0.57.
    let again = say(Phrase::EndsTooLow, &p.pair, &pair, None).expect("twice");
    near(by(&again, Parameter::TailLength), -1.5, 1e-6);
    near(by(&again, Parameter::TailHeight), 0.57, 0.02);
    // The first answer tells of what comes that other way too.
    assert!(p.still_possible_mm > 0.5, "{}", p.still_possible());
    assert!(
        !p.still_possible().contains("No more"),
        "{}",
        p.still_possible()
    );
}

#[test]
fn stern_brows_begin_higher_and_rise_less() {
    let p = one(Phrase::LooksStern);
    near(by(&p, Parameter::StartHeight), 0.4, 1e-9);
    near(by(&p, Parameter::StartToMidline), 0.2, 1e-9);
    near(by(&p, Parameter::Rise), -0.4, 1e-9);
    assert_eq!(by(&p, Parameter::PeakHeight), 0.0);
}

#[test]
fn surprised_brows_lie_lower_and_flatter() {
    let p = one(Phrase::LooksSurprised);
    near(by(&p, Parameter::PeakHeight), -0.5, 1e-9);
    near(by(&p, Parameter::StartHeight), -0.2, 1e-9);
    near(by(&p, Parameter::Rise), -0.3, 1e-9);
}

/// Hair 12 mm thick at the body: a body of 7 is not made thinner, because five
/// millimetres of hair lie outside already.
#[test]
fn hair_that_is_thicker_than_asked_is_named_with_its_area() {
    let pair = Pair::even(plain());
    let border = [
        (14.0, 13.0),
        (14.0, 27.0),
        (42.0, 33.0),
        (58.0, 15.0),
        (43.0, 19.0),
    ];
    let hair = HairRegion::new(border.map(|(x, y)| Point::new(x, y)).to_vec());
    let nothing = say(Phrase::TooThick, &pair, &pair, hair).expect_err("hair is in the way");
    assert!(
        matches!(nothing.in_the_way, InTheWay::Hair { .. }),
        "{nothing:?}"
    );
    let said = nothing.to_string();
    for words in [
        "too thick",
        "natural hair is",
        "mm thick",
        "mm² of hair outside",
    ] {
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn the_bound_from_the_shape_first_shown_is_named() {
    let first = Pair::even(plain());
    let mut pair = first.clone();
    for _ in 0..3 {
        pair = say(Phrase::TooThin, &pair, &first, None)
            .expect("three times")
            .pair;
    }
    let nothing = say(Phrase::TooThin, &pair, &first, None).expect_err("four times");
    assert_eq!(
        nothing.to_string(),
        "nothing is left to give to “too thin”: thickness is already 1.5 mm from the shape first shown, and feedback goes no farther than 1.5 mm; for more, choose another style or draw it anew"
    );
    // The other way there is room again, past the shape first shown.
    let back = say(Phrase::TooThick, &pair, &first, None).expect("back");
    near(back.still_possible_mm, 2.5, 1e-9);
    assert_eq!(
        back.still_possible(),
        "It brings thickness back toward the shape first shown. About 2.5 mm more could follow."
    );
}

/// Healed a tenth smaller, a brow of 3.2 mm can't become thinner.
#[test]
fn a_thin_brow_is_not_made_thinner_than_a_brow() {
    let slim = BrowPoints {
        front_bottom: Point::new(15.0, 20.8),
        lower_arch: Point::new(42.5, 26.4),
        ..plain()
    };
    let pair = Pair::even(slim);
    let nothing = say(Phrase::TooThick, &pair, &pair, None).expect_err("too thin already");
    let said = nothing.to_string();
    assert!(
        said.contains("no longer looks like a brow") || said.contains("healed"),
        "{said}"
    );
}

#[test]
fn wished_thickness_moves_along() {
    let mut pair = Pair::even(plain());
    pair.form = Form {
        body_mm: Some(7.0),
        ..Form::default()
    };
    let p = say(Phrase::TooThick, &pair, &pair, None).expect("room");
    assert_eq!(p.form.body_mm, Some(6.5));
    assert_eq!(p.pair.form, p.form);
}

#[test]
fn a_shape_that_can_t_be_drawn_is_said_and_not_a_panic() {
    let mut pair = Pair::even(plain());
    pair.points.peak = Point::new(f64::NAN, 0.0);
    pair.offset.left = Offset::default();
    for phrase in Phrase::ALL {
        let first = Pair::even(plain());
        let nothing = say(phrase, &pair, &first, None).expect_err("no brow");
        assert!(matches!(nothing.in_the_way, InTheWay::Conflict(_)));
        assert!(nothing.to_string().contains("peak"), "{nothing}");
    }
}

/// An artist may have dragged the peak far above the hair: what is said of the
/// top holds for that shape too.
#[test]
fn the_reason_for_thicker_is_true_of_every_shape() {
    let raised = Pair::even(BrowPoints {
        peak: Point::new(41.0, 31.5),
        lower_arch: Point::new(42.5, 24.0),
        ..plain()
    });
    let p = say(Phrase::TooThin, &raised, &raised, None).expect("room");
    assert_eq!(p.points.peak, raised.points.peak);
    assert!(
        p.reason.contains("the top stays where it is"),
        "{}",
        p.reason
    );
    assert!(!p.reason.contains("hair"), "{}", p.reason);
}

/// Half of the hair hangs below the underside, so too little lies inside already;
/// an underside that comes up leaves more outside.
#[test]
fn what_fails_already_is_said_to_be_off_already() {
    let pair = Pair::even(plain());
    let border = [
        (14.0, 12.0),
        (14.0, 18.5),
        (42.0, 24.5),
        (58.0, 15.0),
        (43.0, 18.0),
    ];
    let hair = HairRegion::new(border.map(|(x, y)| Point::new(x, y)).to_vec());
    let limits = Limits {
        hair_inside_least: Some(0.95),
        ..Limits::default()
    };
    let nothing = say_within(&limits, Phrase::TooThick, &pair, &pair, hair);
    let nothing = nothing.expect_err("hair hangs out");
    assert!(
        matches!(nothing.in_the_way, InTheWay::Worse { .. }),
        "{nothing:?}"
    );
    let said = nothing.to_string();
    assert!(
        said.contains(" is off already (") && said.ends_with("); this would make it worse"),
        "{said}"
    );
    assert!(!said.contains("no longer hold"), "{said}");
}
