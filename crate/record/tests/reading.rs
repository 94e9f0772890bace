//! What a person meets when a client's file is opened: the same record again,
//! or one sentence with the field and the way out.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::Pair;
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::Point;
use ophryon_record::{Optics, PhotoState, ReadError, Record, Snap, WrapChoice};
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};
use typical::typical;

/// A client's file with a shape, as JSON to be spoilt.
fn complete() -> Value {
    let mut record = typical();
    record.pair = Some(record.proposal().expect("the typical face has a proposal"));
    // A second photo, with all that is noted of taps and lens.
    let mut in_use = record.photos[0].clone();
    in_use.id = "eyes-open".to_owned();
    in_use.state = PhotoState::EyesOpen;
    in_use.optics = Some(Optics::Pixels { focal_px: 3000.0 });
    let [pupil, peak] = [SidedLandmark::Pupil, SidedLandmark::BrowPeak]
        .map(|l| Landmark::Sided(ophryon_frames::Side::Right, l));
    let at = in_use.landmarks.get(peak).expect("it is tapped");
    in_use.tap_again(peak, Point::new(at.x + 2.0, at.y));
    let found = in_use.landmarks.get(pupil).expect("it is tapped");
    let tapped = Point::new(found.x - 5.0, found.y);
    let sd_px = Some(0.8);
    in_use.set_by_snap(pupil, found, Snap { tapped, sd_px });
    record.photos.push(in_use);
    serde_json::from_str(&record.to_json().expect("it is sound")).expect("it is JSON")
}

/// The file with one place replaced (or removed), and what reading says.
fn spoilt(pointer: &str, value: Option<Value>) -> String {
    let mut file = complete();
    let (parent, name) = pointer.rsplit_once('/').expect("a pointer");
    let parent = file.pointer_mut(parent).expect("the place is there");
    match (parent, value) {
        (Value::Object(fields), Some(value)) => {
            fields.insert(name.to_owned(), value);
        }
        (Value::Object(fields), None) => {
            fields.remove(name).expect("the field is there");
        }
        (Value::Array(list), Some(value)) => list[name.parse::<usize>().expect("a number")] = value,
        _ => panic!("{pointer} can't be spoilt"),
    }
    match Record::from_json(&file.to_string()) {
        Ok(_) => "read without a word".to_owned(),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_written_file_reads_as_the_same_record_and_writes_the_same_bytes() {
    let mut record = typical();
    record.pair = Some(record.proposal().expect("a proposal"));
    record.wrap = WrapChoice::Cylinder { radius_mm: 70.1 };
    let text = record.to_json().expect("sound");
    let again = Record::from_json(&text).expect("reads");
    assert_eq!(again, record);
    assert_eq!(again.to_json().expect("sound"), text);
    assert!(text.contains("\"brow-peak\": [395.0, 635.0]"), "{text}");
}

#[test]
fn a_short_file_is_enough_and_a_byte_order_mark_is_passed_over() {
    let text = "\u{feff}{\"schema\": 1, \"client\": {\"code\": \"K\"}}";
    assert_eq!(Record::from_json(text).expect("reads"), Record::new("K"));
}

/// A file that Ophryon wrote while schema 1 was the latest.
const SCHEMA_1: &str = include_str!("../../../tests/fixtures/client-schema-1.json");

#[test]
fn a_file_of_schema_1_is_read_and_written_as_the_latest() {
    let record = Record::from_json(SCHEMA_1).expect("it reads");
    assert_eq!(record.schema, 3);
    assert_eq!(record.photos.len(), 2);
    let old: Value = serde_json::from_str(SCHEMA_1).expect("JSON");
    let text = record.to_json().expect("it is sound");
    assert_eq!(Record::from_json(&text).expect("reads"), record);
    // Nothing of it is lost, and nothing but the reference stands elsewhere.
    let mut new: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(
        new["plan"].take(),
        json!({"share": 0.5, "cap-mm": {"right": null, "left": null},
            "beyond-hair-mm": 2.0, "way": "per-point", "decision": "open"})
    );
    new["schema"] = json!(1);
    if let Some(fields) = new.as_object_mut() {
        fields.remove("plan");
    }
    for photo in new["photos"].as_array_mut().expect("photos") {
        let fields = photo.as_object_mut().expect("a photo");
        let Some(Value::Array(mut references)) = fields.remove("references") else {
            panic!("no list of references: {fields:?}")
        };
        assert_eq!(references.len(), 1);
        fields.insert("reference".to_owned(), references.remove(0));
    }
    assert_eq!(new, old);
}

/// A file that Ophryon wrote while schema 2 was the latest.
const SCHEMA_2: &str = include_str!("../../../tests/fixtures/client-schema-2.json");

#[test]
fn a_file_of_schema_2_is_read_and_only_its_number_changes() {
    let record = Record::from_json(SCHEMA_2).expect("it reads");
    assert_eq!(record.schema, 3);
    assert_eq!(record.shrink, ophryon_brow::Shrink::default());
    assert_eq!(record.variants, vec![]);
    assert!(record.pair.as_ref().is_some_and(|pair| !pair.is_linked()));
    let text = record.to_json().expect("it is sound");
    assert_eq!(text, SCHEMA_2.replacen("\"schema\": 2", "\"schema\": 3", 1));
}

#[test]
fn a_photo_of_schema_1_without_a_scale_has_none() {
    let mut file: Value = serde_json::from_str(SCHEMA_1).expect("JSON");
    file["photos"][0]["reference"] = Value::Null;
    if let Some(fields) = file["photos"][1].as_object_mut() {
        fields.remove("reference");
    }
    let record = Record::from_json(&file.to_string()).expect("it reads");
    assert!(record.photos.iter().all(|p| p.references.is_empty()));
    file["photos"][0]["reference"] = json!({"kind": "ruler", "length-mm": 9.0});
    let said = Record::from_json(&file.to_string()).expect_err("no ends");
    assert!(said.to_string().contains("missing field `ends`"), "{said}");
}

#[test]
fn what_is_no_clients_file_is_said_to_be_none() {
    let says = |text: &str| {
        Record::from_json(text)
            .expect_err("must be refused")
            .to_string()
    };
    assert!(
        says("").starts_with("this is not JSON from line 1"),
        "{}",
        says("")
    );
    assert!(says("{\"schema\": 1,").contains("cut off or damaged"));
    assert!(says("[1, 2]").contains("no client's file"));
    assert!(says("7").contains("no client's file"));
    assert!(says("{\"cats\": 3}").contains("no client's file"));
    let none = says("{\"client\": {\"code\": \"K\"}}");
    assert!(none.contains("schema: it is missing"), "{none}");
}

#[test]
fn other_schemas_are_told_apart() {
    assert!(
        spoilt("/schema", Some(json!(7)))
            .contains("made by a newer Ophryon (schema 7); this one reads up to 3")
    );
    for odd in [
        json!(0),
        json!("2"),
        json!(-1),
        json!(1.5),
        json!(null),
        json!([1]),
        json!({}),
    ] {
        let said = spoilt("/schema", Some(odd.clone()));
        assert!(said.contains("was never a schema"), "{odd}: {said}");
    }
    // A newer file may hold what this one has never heard of.
    let newer = "{\"schema\": 4, \"client\": {\"code\": 5}, \"spells\": []}";
    assert_eq!(Record::from_json(newer), Err(ReadError::Newer { found: 4 }));
}

#[test]
fn each_fault_is_named_by_its_field() {
    let cases = [
        ("/client/code", None, "client: missing field `code`"),
        (
            "/client/code",
            Some(json!("  ")),
            "client.code: it is empty",
        ),
        (
            "/client/shoe-size",
            Some(json!(38)),
            "client.shoe-size: unknown field",
        ),
        (
            "/photos/0/width-px",
            Some(json!("wide")),
            "photos[0].width-px: invalid type",
        ),
        (
            "/photos/0/width-px",
            Some(json!(3)),
            "photos[0].width-px: 3 px is no photo's size",
        ),
        ("/photos/0/width-px", Some(json!(4e9)), "photos[0].width-px"),
        (
            "/photos/0/image/name",
            Some(json!("../../secrets.png")),
            "photos[0].image.name: it must be a plain file name",
        ),
        (
            "/photos/0/landmarks/right/pupil",
            Some(json!([null, 900])),
            "photos[0].landmarks.right.pupil",
        ),
        (
            "/photos/0/landmarks/right/pupil",
            Some(json!([4850.0, 900])),
            "photos[0].landmarks.right.pupil: 4850.0, 900.0 lies outside the photo",
        ),
        (
            "/photos/0/landmarks/left/elbow",
            Some(json!([1, 1])),
            "photos[0].landmarks.left",
        ),
        (
            "/photos/0/references/0/long/1",
            Some(json!([300.0])),
            "photos[0].references",
        ),
        (
            "/photos/0/references",
            Some(json!([{"kind": "ruler", "ends": [[1, 1], [400, 1]], "length-mm": 1e6}])),
            "photos[0].references[0].length-mm: 1000000 mm can't be right",
        ),
        (
            "/photos/0/optics",
            Some(json!({"kind": "35-mm-equivalent", "focal-mm": 0.05})),
            "photos[0].optics.focal-mm: 0.05 mm can't be right",
        ),
        (
            "/photos/0/repeated-taps",
            Some(json!({"right/pupil": [[485, 900]]})),
            "photos[0].repeated-taps.right/pupil: 1 taps of one landmark",
        ),
        (
            "/photos/0/repeated-taps",
            Some(json!({"right/pupil": [[485, 900], [489, 900]]})),
            "photos[0].repeated-taps.right/pupil: the landmark does not lie at the mean",
        ),
        (
            "/photos/0/repeated-taps",
            Some(json!({"right/elbow": [[485, 900], [485, 900]]})),
            "photos[0].repeated-taps.right/elbow: “right/elbow” is no landmark",
        ),
        (
            "/photos/0/snapped",
            Some(json!({"left/pupil": {"tapped": [1115, 9000]}})),
            "photos[0].snapped.left/pupil.tapped: 1115.0, 9000.0 lies outside the photo",
        ),
        (
            "/plan/share",
            Some(json!(1.5)),
            "plan.share: 1.5 is no share",
        ),
        (
            "/plan/cap-mm/left",
            Some(json!(-1)),
            "plan.cap-mm.left: -1 mm can't be right",
        ),
        (
            "/rules/start-offset-mm",
            Some(json!(400)),
            "rules.start-offset-mm: 400 mm can't be right",
        ),
        (
            "/rules/peak",
            Some(json!("somewhere")),
            "rules.peak: unknown variant",
        ),
        (
            "/limits/straight-mm",
            Some(json!(-1)),
            "limits: straight-mm must be a number above 0",
        ),
        (
            "/limits/aim-degrees",
            Some(json!(1000)),
            "limits.aim-degrees: 1000 is no limit",
        ),
        (
            "/wrap",
            Some(json!({"kind": "cylinder", "radius-mm": 3})),
            "wrap.radius-mm: a brow band of radius 3.0 mm is not a head's",
        ),
        (
            "/wrap",
            Some(json!({"kind": "tape", "side": "right", "length-mm": 0})),
            "wrap.right.start-to-tail-mm: 0 mm can't be right",
        ),
        (
            "/ear-tape-mm/right",
            Some(json!(14.3)),
            "ear-tape-mm.right: 14.3 mm can't be right",
        ),
        (
            "/pair/points/peak",
            Some(json!([4000, 20])),
            "pair.points.peak: the peak lies 4000.0 mm from the midline and 20.0 mm above the pupil line, outside any face",
        ),
        (
            "/pair/offset/left/lateral-mm",
            Some(json!(40)),
            "pair.offset.left",
        ),
        ("/version", Some(json!(0)), "version"),
    ];
    for (pointer, value, expected) in cases {
        let said = spoilt(pointer, value.clone());
        assert!(
            said.starts_with(expected),
            "{pointer} = {value:?}\n said: {said}\n not: {expected}"
        );
        assert!(!said.contains('\n'), "one sentence: {said}");
    }
}

#[test]
fn what_a_file_says_of_itself_stays_on_one_short_line() {
    let strange = format!("a\nb\u{1b}[31m{}", "x".repeat(5_000));
    let texts = [
        json!({"schema": 1, "client": {"code": "K"}, strange.clone(): 1}),
        json!({"schema": 1, "client": {"code": "K", strange.clone(): 1}}),
        json!({"schema": strange.clone(), "client": {"code": "K"}}),
        json!({"schema": 1, "client": {"code": "K"}, "rules": {"peak": strange.clone()}}),
        json!({"schema": 1, "client": {"code": "K"}, "photos": [{"id": strange.clone(), "width-px": 900,
            "height-px": 900, "image": {"kind": "embedded", "media-type": strange, "base64": "x"}}]}),
    ];
    for text in texts {
        let said = Record::from_json(&text.to_string())
            .expect_err("refused")
            .to_string();
        assert!(!said.chars().any(char::is_control), "{said:?}");
        assert!(said.chars().count() < 1_000, "{said}");
    }
}

#[test]
fn every_problem_is_listed_at_once() {
    let mut file = complete();
    file["client"]["code"] = json!("");
    file["version"] = json!(0);
    let said = Record::from_json(&file.to_string())
        .expect_err("refused")
        .to_string();
    assert!(
        said.contains("client.code") && said.contains("version"),
        "{said}"
    );
}

#[test]
fn numbers_that_json_cannot_hold_are_refused_on_both_ways() {
    let text = complete().to_string();
    for odd in ["NaN", "Infinity", "1e999", "-1e999"] {
        let spoilt = text.replacen("1600", odd, 1);
        assert!(Record::from_json(&spoilt).is_err(), "{odd} was read");
    }
    let mut record = typical();
    record.rules.start_offset_mm = f64::NAN;
    let said = record
        .to_json()
        .expect_err("a NaN is never written")
        .to_string();
    assert!(said.starts_with("rules.start-offset-mm"), "{said}");
}

#[test]
fn deep_and_huge_files_are_refused_calmly() {
    let deep = format!("{{\"schema\": 1, \"client\": {}", "[".repeat(200_000));
    assert!(Record::from_json(&deep).is_err());
    let wide = format!(
        "{{\"schema\": 1, \"client\": {{\"code\": \"K\"}}, \"photos\": [{}0]}}",
        "0,".repeat(2_000_000)
    );
    assert_eq!(Record::from_json(&wide), Err(ReadError::TooMany));
}

#[test]
fn two_photos_need_two_ids() {
    let mut file = complete();
    let copy = file["photos"][0].clone();
    if let Some(list) = file["photos"].as_array_mut() {
        list.push(copy);
    }
    let said = Record::from_json(&file.to_string())
        .expect_err("refused")
        .to_string();
    assert!(said.starts_with("photos[2].id"), "{said}");
}

#[test]
fn points_that_contradict_each_other_can_be_opened_and_mended() {
    let mut record = typical();
    let mut points = *record
        .proposal()
        .expect("a proposal")
        .points(ophryon_frames::Side::Right);
    points.peak.x = points.front_top.x - 5.0;
    record.pair = Some(Pair::even(points));
    let text = record.to_json().expect("it can be kept");
    let again = Record::from_json(&text).expect("it can be opened");
    let said = again.drawn().expect_err("but not drawn").to_string();
    assert!(
        said.contains("nearer the midline than the front top; move it out by"),
        "{said}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Cut off anywhere, a file is refused in words.
    #[test]
    fn a_cut_off_file_is_refused(at in any::<Index>()) {
        let text = complete().to_string();
        let end = at.index(text.len());
        prop_assume!(text.is_char_boundary(end));
        let refused = matches!(Record::from_json(&text[..end]), Err(ReadError::NotJson { .. }));
        prop_assert!(refused);
    }

    /// Damaged anywhere, a file never makes it panic, and whatever is still
    /// read has no problems, can be written and drawn or says why not.
    #[test]
    fn a_damaged_file_never_panics(hits in prop::collection::vec((any::<Index>(), any::<u8>()), 1..6)) {
        let mut bytes = complete().to_string().into_bytes();
        for (at, value) in hits {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        let Ok(text) = String::from_utf8(bytes) else { return Ok(()) };
        match Record::from_json(&text) {
            Ok(record) => {
                prop_assert_eq!(record.problems(), vec![]);
                prop_assert!(record.to_json().is_ok());
                if let Err(why) = record.drawn() {
                    prop_assert!(!why.to_string().is_empty());
                }
                if let Err(ask) = record.balance() {
                    prop_assert!(!ask.sentence().is_empty());
                }
            }
            Err(why) => prop_assert!(!why.to_string().is_empty()),
        }
    }

    /// Any single number replaced by any other.
    #[test]
    fn an_odd_number_never_panics(which in any::<Index>(), odd in prop_oneof![
        any::<f64>().prop_filter("finite", |v| v.is_finite()),
        Just(0.0), Just(-0.0), Just(1e308), Just(-1e308), Just(5e-324),
    ]) {
        let mut file = complete();
        let mut numbers = Vec::new();
        collect(&mut file, &mut numbers);
        let at = which.index(numbers.len());
        *numbers.swap_remove(at) = json!(odd);
        if let Ok(record) = Record::from_json(&file.to_string()) {
            prop_assert!(record.problems().is_empty());
            let _ = record.drawn();
            if let Ok(balance) = record.balance() {
                prop_assert!(balance.rows.iter().all(|r| r.change.plus_minus_mm.is_finite()));
            }
        }
    }
}

fn collect<'v>(value: &'v mut Value, into: &mut Vec<&'v mut Value>) {
    match value {
        Value::Number(_) => into.push(value),
        Value::Array(list) => list.iter_mut().for_each(|v| collect(v, into)),
        Value::Object(fields) => fields.values_mut().for_each(|v| collect(v, into)),
        _ => {}
    }
}
