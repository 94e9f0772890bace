//! Whether what is stated is true: the interval that is shown (k = 2) must
//! hold the true value about as often as it says.
//!
//! Simulated photos of invented heads that differ in size, depth and
//! evenness, from 0.5 to 1.5 m, turned, tipped and tilted by up to 5 degrees,
//! each tap off by 0.3 mm (SD) and rounded to a whole pixel. Nothing in here
//! is drawn from the product: the heads, the camera and what is added to them
//! are the tests' own, and the typical face in the product is an open mesh
//! that these heads know nothing of.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

mod simulated;
mod tally;

use ophryon_face::{
    BrowPlace, CameraDistance, Landmark, NEAREST_MM, PoseVerdict, Quantity, STRAIGHT_DEGREES,
    SidedLandmark,
};
use ophryon_frames::Side;

use simulated::{Again, Lot, Simulated};
use tally::{Tally, tallied};

/// Each gives three height differences and three differences of the distance
/// from the midline, so a lot has 6,000 of either.
const PHOTOS: u64 = 2000;

/// The same, by hand, before a release.
const PROOF: u64 = 50_000;

/// Of height differences so many percent must lie inside, all places together.
const HEIGHTS: std::ops::RangeInclusive<f64> = 93.0..=97.0;
/// Of distances from the midline at least so many.
const FROM_MIDLINE: f64 = 90.0;
/// Of heads turned by more than 3 degrees so many must be sent back.
const CAUGHT: f64 = 95.0;

fn lots() -> [(&'static str, Lot); 4] {
    let lot = |ears, lens| Lot {
        ears,
        lens,
        ..Lot::STATED
    };
    [
        ("ears and focal length", lot(true, true)),
        ("no ears", lot(false, true)),
        ("no focal length", lot(true, false)),
        ("neither", lot(false, false)),
    ]
}

fn differences() -> Vec<(&'static str, Quantity)> {
    let mut all = Vec::new();
    for place in BrowPlace::ALL {
        all.push(("heights", Quantity::HeightDifference(place)));
        all.push(("from the midline", Quantity::FromMidlineDifference(place)));
    }
    all
}

/// What is shown besides: of one side, and between landmarks.
fn others() -> Vec<(&'static str, Quantity)> {
    let sided = |l| Side::BOTH.map(|side| Landmark::Sided(side, l));
    let [right, left] = sided(SidedLandmark::Pupil);
    let mut all = vec![("pupils", Quantity::Between(right, left))];
    for side in Side::BOTH {
        let at = |l| Landmark::Sided(side, l);
        let (inner, outer) = (SidedLandmark::InnerCorner, SidedLandmark::OuterCorner);
        all.push(("eye", Quantity::Between(at(inner), at(outer))));
        all.push(("slant", Quantity::Angle(at(inner), at(outer))));
        for place in BrowPlace::ALL {
            all.push(("one height", Quantity::BrowHeight(side, place)));
            all.push((
                "one from the midline",
                Quantity::BrowFromMidline(side, place),
            ));
        }
    }
    all
}

fn the_true_value_lies_inside(photos: u64) {
    for (name, lot) in lots() {
        let tallies = tallied(&lot, photos, &differences());
        println!("{name}:");
        for tally in &tallies {
            println!("  {tally}");
        }
        let together = |of: &str| Tally::together(tallies.iter().filter(|t| t.name == of));
        let (heights, midline) = (together("heights"), together("from the midline"));
        println!("  together: {heights}\n  together: {midline}");
        assert!(heights.count >= 2000 && midline.count >= 2000);
        assert!(HEIGHTS.contains(&heights.percent()), "{name}: {heights}");
        assert!(midline.percent() >= FROM_MIDLINE, "{name}: {midline}");
        // No place may hide behind the others.
        for tally in &tallies {
            let least = if tally.name == "heights" { 92.0 } else { 88.0 };
            assert!(tally.percent() >= least, "{name}: {tally}");
        }
    }
}

#[test]
fn the_true_difference_lies_inside_what_is_shown() {
    the_true_value_lies_inside(PHOTOS);
}

/// `cargo xtask prove`
#[test]
#[ignore = "a minute or more: cargo xtask prove"]
fn the_true_difference_lies_inside_what_is_shown_in_fifty_thousand() {
    the_true_value_lies_inside(PROOF);
}

/// Heights, distances from the midline and lengths of one side carry more
/// that is not random (the tip of the head, how deep a brow lies), so less is
/// asked of them one by one.
#[test]
fn what_is_shown_of_one_side_holds_too() {
    // The surest lot and the least sure one.
    let [first, _, _, last] = lots();
    for (name, lot) in [first, last] {
        for tally in tallied(&lot, PHOTOS / 2, &others()) {
            println!("{name}: {tally}");
            assert!(tally.percent() >= 90.0, "{name}: {tally}");
        }
    }
}

/// A hand that is less sure than the default says so when it taps again; one
/// that doesn't tap again can't be told from a sure one.
#[test]
fn a_shaky_hand_that_taps_again_is_believed() {
    let shaky = Lot {
        tap_mm: 0.6,
        ..Lot::STATED
    };
    let heights: Vec<_> = differences()
        .into_iter()
        .filter(|(name, _)| *name == "heights")
        .collect();
    let percent = |lot: &Lot| {
        let tallies = tallied(lot, PHOTOS, &heights);
        Tally::together(tallies.iter()).percent()
    };
    let again = |landmarks, taps| Lot {
        again: Some(Again { landmarks, taps }),
        ..shaky
    };
    let once = percent(&shaky);
    let (few, all) = (percent(&again(6, 4)), percent(&again(27, 2)));
    println!(
        "tapped once: {once:.1} %; six landmarks four times: {few:.1} %; all twice: {all:.1} %"
    );
    assert!(once < 80.0, "{once} %");
    assert!(HEIGHTS.contains(&all), "{all} %");
    // With so few, the default still has a say: half as large, six repeats of
    // forty-two.
    assert!(few > 91.0, "{few} %");
}

/// With both ears tapped, of all heads turned by more than 3 degrees at least
/// 95 % are sent back, and of those turned by less than 1 degree hardly any.
#[test]
fn a_turned_head_is_sent_back() {
    let (mut over, mut caught, mut straight, mut bothered) = (0, 0, 0, 0);
    let (mut square, mut by_sd, mut tipped) = (0.0, 0.0, 0.0);
    for seed in 0..PHOTOS {
        let photo = Simulated::new(seed, &Lot::STATED);
        let survey = photo.survey().unwrap();
        let yaw = survey.pose.pose.yaw;
        let off = yaw.degrees - photo.yaw_degrees;
        let tip = survey.pose.pose.pitch.degrees - photo.pitch_degrees;
        tipped += (tip / survey.pose.pose.pitch.sd) * (tip / survey.pose.pose.pitch.sd);
        square += off * off;
        by_sd += (off / yaw.sd) * (off / yaw.sd);
        let by_yaw = yaw.degrees.abs() > STRAIGHT_DEGREES;
        if by_yaw {
            assert_eq!(survey.pose.verdict, PoseVerdict::Turned);
            assert!(survey.pose.asks_for_another() && !survey.pose.cautions().is_empty());
        }
        if photo.yaw_degrees.abs() > 3.0 {
            over += 1;
            caught += u32::from(by_yaw);
        } else if photo.yaw_degrees.abs() < 1.0 {
            straight += 1;
            bothered += u32::from(by_yaw);
        }
    }
    let percent = |a: u32, b: u32| 100.0 * f64::from(a) / f64::from(b);
    let n = PHOTOS as f64;
    let rms = (square / n).sqrt();
    println!(
        "yaw known to {rms:.2} degrees; caught {:.1} % of {over}; bothered {:.1} % of {straight}",
        percent(caught, over),
        percent(bothered, straight),
    );
    assert!(over > 500 && straight > 200);
    assert!(percent(caught, over) >= CAUGHT);
    assert!(percent(bothered, straight) < 5.0);
    assert!(rms < 1.0);
    // And the pose is as sure as it says, give or take.
    for by_sd in [by_sd, tipped] {
        let ratio = (by_sd / n).sqrt();
        assert!((0.5..1.1).contains(&ratio), "{ratio}");
    }
}

/// Without the ears the gate can't be trusted, and says so.
#[test]
fn without_the_ears_they_are_asked_for() {
    let lot = Lot {
        ears: false,
        ..Lot::STATED
    };
    let (mut unsure, mut turned, mut square) = (0, 0, 0.0);
    for seed in 0..500 {
        let photo = Simulated::new(seed, &lot);
        let survey = photo.survey().unwrap();
        let off = survey.pose.pose.yaw.degrees - photo.yaw_degrees;
        square += off * off;
        match survey.pose.verdict {
            PoseVerdict::Straight => {}
            PoseVerdict::Unsure => {
                unsure += 1;
                let said = survey.pose.cautions().concat();
                assert!(said.contains("ears"), "{said}");
            }
            PoseVerdict::Turned => turned += 1,
        }
    }
    println!(
        "{unsure} unsure, {turned} turned, yaw known to {:.2}",
        (square / 500.0_f64).sqrt()
    );
    // Nobody is told that all is well on such thin evidence.
    assert!(unsure + turned > 450, "{unsure} and {turned}");
}

/// The camera's distance from the focal length and the scale, and the warning
/// below a metre.
#[test]
fn a_near_camera_is_noticed() {
    let (mut inside, mut count) = (0, 0);
    for seed in 0..500 {
        let photo = Simulated::new(seed, &Lot::STATED);
        let survey = photo.survey().unwrap();
        let CameraDistance::Known { mm, sd } = survey.distance else {
            panic!("the photo says its focal length");
        };
        count += 1;
        inside += u32::from((mm - photo.distance_mm).abs() <= 2.0 * sd);
        if photo.distance_mm < 0.85 * NEAREST_MM {
            let said = survey.pose.cautions().concat();
            assert!(
                said.contains("camera") && said.contains("1.2 to 1.5 m"),
                "{said}"
            );
        }
    }
    assert!(
        f64::from(inside) >= 0.93 * f64::from(count),
        "{inside} of {count}"
    );
}
