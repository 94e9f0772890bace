//! What healed checks say: known answers, nothing from too few, and no single
//! result that carries the rest.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

use ophryon_brow::{Shrink, ShrinkBy};
use ophryon_frames::Sided;
use ophryon_record::{
    FEWEST_CHECKS, HealedCheck, Kept, Learned, Lesson, Lessons, MeasuredShare, OwnFigure, Record,
    SkinType, Visit, VisitKind, learn,
};
use proptest::prelude::*;

const AREA: Lesson = Lesson::Shrink(ShrinkBy::Area);

fn kept(area_gone: f64) -> Kept {
    let share = |share| MeasuredShare { share, sd: 0.03 };
    Kept {
        area: share(1.0 - area_gone),
        thickness: share(1.0 - area_gone / 2.0),
        lightening: None,
        darkness: None,
    }
}

/// A check of one brow, of whose area so much went.
fn check(area_gone: f64) -> HealedCheck {
    HealedCheck {
        kept: Sided {
            right: Some(kept(area_gone)),
            left: None,
        },
        ..HealedCheck::default()
    }
}

fn learned(checks: &[HealedCheck], lesson: Lesson) -> Lessons {
    learn(&checks.iter().collect::<Vec<_>>(), lesson)
}

fn all(gone: &[f64]) -> Learned {
    learned(&gone.iter().map(|g| check(*g)).collect::<Vec<_>>(), AREA).all
}

fn known(learned: &Learned) -> OwnFigure {
    *learned.known().unwrap_or_else(|| panic!("{learned:?}"))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-12
}

#[test]
fn median_and_quartiles_are_those_that_statisticians_get() {
    // Motor Trend 1974, mpg of 32 cars (Henderson and Velleman, Biometrics
    // 1981;37:391-411), which R ships as `mtcars`; `summary(mtcars$mpg)` is
    // 15.43, 19.20, 22.80, and Python's `statistics.quantiles(…, n=4,
    // method="inclusive")` 15.425, 19.2, 22.8. Here a hundredth of each.
    let mpg = [
        21.0, 21.0, 22.8, 21.4, 18.7, 18.1, 14.3, 24.4, 22.8, 19.2, 17.8, 16.4, 17.3, 15.2, 10.4,
        10.4, 14.7, 32.4, 30.4, 33.9, 21.5, 15.5, 15.2, 13.3, 19.2, 27.3, 26.0, 30.4, 15.8, 19.7,
        15.0, 21.4,
    ];
    let figure = known(&all(&mpg.map(|g| g / 100.0)));
    assert_eq!(figure.count, 32);
    assert!(near(figure.lower, 0.15425), "{figure:?}");
    assert!(near(figure.median, 0.192), "{figure:?}");
    assert!(near(figure.upper, 0.228), "{figure:?}");
}

#[test]
fn nothing_is_learned_from_fewer_than_five() {
    for count in 0..FEWEST_CHECKS {
        let learned = all(&vec![0.2; count]);
        let needed = 5;
        assert_eq!(learned, Learned::NotYet { count, needed });
        assert_eq!(learned.shrink(), None);
        let words = learned.words();
        assert!(
            words.starts_with(&format!("{count} of the 5 healed checks")),
            "{words}"
        );
        assert!(words.contains("10 %"), "{words}");
    }
    assert!(all(&[0.2; 5]).known().is_some());
}

#[test]
fn her_own_figure_is_offered_beside_the_common_one_with_its_count() {
    let learned = all(&[0.2, 0.1, 0.12, 0.14, 0.16]);
    let share = known(&learned).median;
    assert!(near(share, 0.14));
    let by = ShrinkBy::Area;
    assert_eq!(learned.shrink(), Some(Shrink { share, by }));
    assert_eq!(
        learned.words(),
        "14 % smaller in area, the middle of your 5 healed checks, half of them between 12 % and 16 %"
    );
    assert_eq!(
        learned.words_beside_usual(),
        format!("{}; commonly about 10 %", learned.words())
    );
    // Whole percents are what is drawn with.
    let learned = all(&[0.2, 0.1, 0.12, 0.1432, 0.16]);
    assert!(near(learned.whole_shrink().expect("known").share, 0.14));
}

#[test]
fn one_absurd_value_moves_the_figure_no_further_than_to_its_neighbour() {
    let sound = [0.10, 0.12, 0.13, 0.14, 0.16, 0.17];
    let before = known(&all(&sound)).median;
    for absurd in [-0.5, 1.0] {
        let mut with = sound.to_vec();
        with.push(absurd);
        let figure = known(&all(&with));
        assert!(
            (figure.median - before).abs() < 0.0051,
            "{absurd}: {figure:?}"
        );
        assert!(figure.lower >= 0.10 && figure.upper <= 0.17, "{figure:?}");
    }
}

#[test]
fn numbers_that_cannot_be_are_not_counted() {
    let mut checks: Vec<_> = [0.10, 0.12, 0.13, 0.14].map(check).to_vec();
    for gone in [f64::NAN, f64::INFINITY, -9.0, 2.0] {
        checks.push(check(gone));
    }
    checks.push(HealedCheck::default());
    let count = 4;
    assert_eq!(
        learned(&checks, AREA).all,
        Learned::NotYet { count, needed: 5 }
    );
}

#[test]
fn two_brows_of_one_check_count_once_as_their_mean() {
    let both = HealedCheck {
        kept: Sided {
            right: Some(kept(0.1)),
            left: Some(kept(0.3)),
        },
        ..HealedCheck::default()
    };
    let four = [both.clone(), both.clone(), both.clone(), both.clone()];
    assert!(learned(&four, AREA).all.known().is_none());
    let figure = known(&learned(&vec![both; 5], AREA).all);
    assert_eq!(figure.count, 5);
    assert!(near(figure.median, 0.2));
}

#[test]
fn area_thickness_and_colour_are_learned_apart() {
    let mut checks: Vec<_> = (0..6).map(|_| check(0.2)).collect();
    let thickness = learned(&checks, Lesson::Shrink(ShrinkBy::Thickness)).all;
    let by = ShrinkBy::Thickness;
    assert!(near(thickness.shrink().expect("known").share, 0.1));
    assert_eq!(thickness.shrink().expect("known").by, by);
    let count = 0;
    assert_eq!(
        learned(&checks, Lesson::Lightening).all,
        Learned::NotYet { count, needed: 5 }
    );
    for check in &mut checks {
        let right = check.kept.right.as_mut().expect("there");
        right.lightening = Some(MeasuredShare {
            share: 0.4,
            sd: 0.1,
        });
    }
    let lighter = learned(&checks, Lesson::Lightening).all;
    assert!(near(known(&lighter).median, 0.4));
    assert_eq!(lighter.shrink(), None, "a colour is no size");
    assert!(
        lighter.words().starts_with("40 % lighter"),
        "{}",
        lighter.words()
    );
}

#[test]
fn each_pigment_and_skin_type_has_its_own_figure_once_there_are_five() {
    let with = |pigment: &str, skin_type, gone| HealedCheck {
        pigment: pigment.to_owned(),
        skin_type,
        ..check(gone)
    };
    let mut checks = Vec::new();
    for _ in 0..5 {
        checks.push(with("Ash brown", Some(SkinType::II), 0.1));
    }
    for name in ["Umber", " umber ", "UMBER", "Umber"] {
        checks.push(with(name, Some(SkinType::V), 0.3));
    }
    checks.push(with("", None, 0.2));
    let lessons = learned(&checks, AREA);
    assert_eq!(known(&lessons.all).count, 10);
    assert!(near(known(&lessons.with_pigment("ash Brown ")).median, 0.1));
    let count = 4;
    assert_eq!(
        lessons.with_pigment("umber"),
        Learned::NotYet { count, needed: 5 }
    );
    assert_eq!(lessons.by_pigment.len(), 2);
    assert!(near(known(&lessons.on_skin_type(SkinType::II)).median, 0.1));
    assert_eq!(
        lessons.on_skin_type(SkinType::V),
        Learned::NotYet { count, needed: 5 }
    );
    let count = 0;
    assert_eq!(
        lessons.on_skin_type(SkinType::I),
        Learned::NotYet { count, needed: 5 }
    );
    assert_eq!(
        lessons.with_pigment(""),
        Learned::NotYet { count, needed: 5 }
    );
}

#[test]
fn a_client_is_offered_the_narrowest_group_that_holds_enough() {
    let mut checks: Vec<_> = [0.1; 6].map(check).to_vec();
    for one in &mut checks {
        one.skin_type = Some(SkinType::II);
    }
    let of = |checks: &[HealedCheck], pigment, skin| {
        let (of, learned) = learned(checks, AREA).for_client(pigment, skin);
        (of, known(&learned).count)
    };
    let (brown, two) = (Some("brown"), Some(SkinType::II));
    checks.extend([0.2; 4].map(|gone| HealedCheck {
        pigment: "Brown".to_owned(),
        ..check(gone)
    }));
    // Four with her pigment are too few.
    let on_two = "On skin of type II (usually burns, tans a little): ".to_owned();
    assert_eq!(of(&checks, brown, two), (on_two, 6));
    assert_eq!(of(&checks, brown, None), (String::new(), 10));
    checks.push(HealedCheck {
        pigment: "brown ".to_owned(),
        ..check(0.2)
    });
    assert_eq!(of(&checks, brown, two), ("With brown: ".to_owned(), 5));
    assert_eq!(of(&checks, None, Some(SkinType::VI)), (String::new(), 11));
}

#[test]
fn a_brow_that_healed_larger_is_offered_as_no_shrink_and_said() {
    let learned = all(&[-0.1, -0.1, -0.1, -0.1, -0.1]);
    assert_eq!(learned.shrink().expect("known").share, 0.0);
    assert!(learned.words().contains("check how they were measured"));
    assert_eq!(all(&[0.7; 5]).shrink().expect("known").share, 0.5);
}

#[test]
fn a_records_checks_come_out_of_its_visits() {
    let mut record = Record::new("K7");
    for (text, gone) in [("2025-06-01", 0.2), ("2025-05-01", 0.1)] {
        let day = text.parse().expect("a day");
        let mut visit = Visit::new(day, VisitKind::HealedCheck);
        visit.healed = Some(Box::new(check(gone)));
        record.visits.push(visit);
    }
    let day = "2025-07-01".parse().expect("a day");
    record.visits.push(Visit::new(day, VisitKind::Other));
    assert!(record.problems().is_empty());
    let checks: Vec<_> = record.healed_checks().into_iter().cloned().collect();
    assert_eq!(checks, [check(0.1), check(0.2)]);
}

proptest! {
    #[test]
    fn order_does_not_matter_and_quartiles_hold_the_median(
        gone in prop::collection::vec(-0.5..1.0f64, 5..40),
    ) {
        let figure = known(&all(&gone));
        let mut turned = gone.clone();
        turned.reverse();
        prop_assert_eq!(known(&all(&turned)), figure);
        prop_assert!(figure.lower <= figure.median && figure.median <= figure.upper);
        let below = gone.iter().filter(|g| **g < figure.median - 1e-9).count();
        let above = gone.iter().filter(|g| **g > figure.median + 1e-9).count();
        prop_assert!(2 * below <= gone.len() && 2 * above <= gone.len());
    }

    #[test]
    fn one_more_result_whatever_it_is_keeps_the_figure_within_the_others(
        gone in prop::collection::vec(0.05..0.25f64, 5..20), absurd in -0.5..1.0f64,
    ) {
        let mut with = gone.clone();
        with.push(absurd);
        let median = known(&all(&with)).median;
        let least = gone.iter().copied().fold(f64::INFINITY, f64::min);
        let most = gone.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        prop_assert!(least - 1e-9 <= median && median <= most + 1e-9);
    }
}
