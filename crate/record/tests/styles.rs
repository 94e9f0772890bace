//! Styles of a shop: kept, exported, imported, whatever the file; and drawn on
//! a client.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Band, Offset, Style};
use ophryon_frames::{Point, Side};
use ophryon_record::{
    Edit, History, LARGEST_STYLES_FILE, MOST_STYLES, Record, Styles, StylesError, apply,
    built_in_styles,
};
use proptest::prelude::*;
use typical::typical;

fn own(name: &str) -> Style {
    Style {
        name: name.to_owned(),
        ..built_in_styles()[0].clone()
    }
}

#[test]
fn six_sound_styles_come_along() {
    let all = built_in_styles();
    assert_eq!(all.len(), 6);
    for style in all {
        assert_eq!(style.problems(), vec![], "{}", style.name);
        assert!(!style.about.is_empty());
    }
    let fronts: Vec<_> = all.iter().map(|s| s.front.name()).collect();
    for front in ["square", "soft", "slanted"] {
        assert!(fronts.contains(&front), "no {front} front");
    }
}

#[test]
fn what_is_exported_comes_back_the_same() {
    let mut mine = Styles::default();
    mine.keep(own(" Mine ")).expect("kept");
    let text = mine.export(&["mine", "Full body"]).expect("both are there");
    assert!(text.ends_with("}\n"), "{text}");
    let mut other = Styles::default();
    let done = other.import(&text).expect("imported");
    assert_eq!(
        (done.added, done.same),
        (vec!["Mine".to_owned()], vec!["Full body".to_owned()])
    );
    assert_eq!(other, mine);
    let (read, left_out) = Styles::from_json(&mine.to_json()).expect("read");
    assert_eq!((read, left_out), (mine, vec![]));
}

#[test]
fn the_same_twice_is_kept_once_and_another_of_that_name_is_renamed() {
    let mut mine = Styles::default();
    mine.keep(own("Mine")).expect("kept");
    let text = mine.to_json();
    let done = mine.import(&text).expect("imported");
    assert_eq!((done.added.len(), done.same), (0, vec!["Mine".to_owned()]));
    let mut other = own("MINE");
    other.rise_mm = Band {
        least: 1.0,
        most: 2.0,
    };
    let mut theirs = Styles::default();
    theirs.keep(other).expect("kept");
    let done = mine.import(&theirs.to_json()).expect("imported");
    assert_eq!(done.renamed, vec![("MINE".to_owned(), "MINE 2".to_owned())]);
    assert!(done.sentences()[1].contains("“MINE” is another style here"));
    assert_eq!(mine.own().len(), 2);
    // A name that comes along isn't an artist's own.
    let taken = built_in_styles()[2].name.to_uppercase();
    assert!(matches!(
        mine.keep(own(&taken)),
        Err(StylesError::BuiltIn { .. })
    ));
    assert!(matches!(
        mine.keep(own("mine")),
        Err(StylesError::NameTaken { .. })
    ));
    assert!(matches!(
        mine.remove(&taken),
        Err(StylesError::BuiltIn { .. })
    ));
}

#[test]
fn a_style_is_renamed_and_removed_in_its_place() {
    let mut mine = Styles::default();
    for name in ["A", "B", "C"] {
        mine.keep(own(name)).expect("kept");
    }
    mine.replace("b", own("Better")).expect("replaced");
    assert!(mine.replace("A", own("c")).is_err(), "taken");
    let names =
        |styles: &Styles| -> Vec<String> { styles.own().iter().map(|s| s.name.clone()).collect() };
    assert_eq!(names(&mine), ["A", "Better", "C"]);
    assert_eq!(mine.remove("better").expect("there").name, "Better");
    let why = mine.remove("better").expect_err("gone").to_string();
    assert_eq!(why, "there is no style “better”; there are “A” and “C”");
}

#[test]
fn what_is_sound_is_taken_and_the_rest_is_told() {
    let good = serde_json::to_value(own("Good")).expect("JSON");
    let mut upside_down = good.clone();
    upside_down["name"] = "Upside down".into();
    upside_down["rise-mm"] = serde_json::json!({ "least": 5.0, "most": 2.0 });
    let mut lacking = good.clone();
    lacking.as_object_mut().expect("an object").remove("peak");
    let mut swollen = good.clone();
    swollen["tail"][1]["thickness"] =
        serde_json::json!({ "usual": 0.9, "least": 0.1, "most": 0.95 });
    let text = serde_json::json!({
        "schema": 1,
        "styles": [upside_down, good, lacking, swollen, 5, null],
    });
    let mut mine = Styles::default();
    let done = mine.import(&text.to_string()).expect("one is sound");
    assert_eq!(done.added, ["Good"]);
    let said = done.sentences().join("\n");
    for words in [
        "style 1 (“Upside down”): rise-mm: least 5 is more than most 2",
        "style 3 (“Good”): missing field `peak`",
        "a tail can't become thicker",
        "style 5:",
        "style 6:",
    ] {
        assert!(said.contains(words), "no {words}: {said}");
    }
}

#[test]
fn bad_files_are_refused_in_a_sentence_and_change_nothing() {
    let mut mine = Styles::default();
    mine.keep(own("Mine")).expect("kept");
    let before = mine.clone();
    let large = " ".repeat(LARGEST_STYLES_FILE + 1);
    for (text, words) in [
        ("", "no file of styles (it is not JSON)"),
        ("{", "no file of styles (it is not JSON)"),
        ("\u{89}PNG", "no file of styles (it is not JSON)"),
        (
            "{\"schema\": 3, \"client\": {\"code\": \"A\"}}",
            "this is a client's file, and no file of styles",
        ),
        ("[]", "must begin with \"schema\": 1"),
        ("{\"schema\": 1}", "no list “styles”"),
        ("{\"schema\": 1, \"styles\": {}}", "no list “styles”"),
        ("{\"schema\": 1, \"styles\": []}", "it holds none"),
        (
            "{\"schema\": 1, \"styles\": [{}]}",
            "style 1: missing field",
        ),
        (
            "{\"schema\": 7, \"styles\": []}",
            "newer Ophryon (schema 7)",
        ),
        ("{\"schema\": \"1\", \"styles\": []}", "must begin with"),
        (large.as_str(), "larger than any file of styles"),
    ] {
        let why = mine.import(text).expect_err(words).to_string();
        assert!(why.contains(words), "{why}");
        assert_eq!(mine, before);
    }
}

#[test]
fn the_list_is_full_at_some_time() {
    let mut mine = Styles::default();
    for i in 0..MOST_STYLES {
        mine.keep(own(&format!("S{i}"))).expect("kept");
    }
    assert_eq!(mine.keep(own("One more")), Err(StylesError::Full));
    assert_eq!(
        mine.import(&{
            let mut more = Styles::default();
            more.keep(own("Two more")).expect("kept");
            more.to_json()
        }),
        Err(StylesError::Full)
    );
    assert_eq!(mine.own().len(), MOST_STYLES);
    let (read, left_out) = Styles::from_json(&mine.to_json()).expect("read");
    assert_eq!((read, left_out), (mine, vec![]));
}

#[test]
fn a_style_is_drawn_on_a_client_as_one_step_that_says_its_name() {
    let mut history = History::new(typical());
    for style in built_in_styles() {
        let shape = history.now().styled(style).expect("drawn");
        assert!(history.apply(&shape.edit()).expect("applied"));
        let now = history.now();
        assert_eq!(now.style.as_deref(), Some(style.name.as_str()));
        assert_eq!(now.pair.as_ref(), Some(&shape.pair));
        assert_eq!(now.limits, shape.styled.limits);
        let words = format!("draw the style “{}”", style.name);
        assert_eq!(history.undo_words(), Some(words.as_str()));
        let text = now.to_json().expect("sound");
        assert_eq!(&Record::from_json(&text).expect("read"), now);
    }
    // What the next style draws doesn't hang on the last one.
    let alone = typical().styled(&built_in_styles()[5]).expect("drawn");
    let last = history.now().styled(&built_in_styles()[5]).expect("drawn");
    assert_eq!(alone.styled, last.styled);
    history.apply(&Edit::Propose).expect("proposed");
    assert_eq!(history.now().style, None);
}

#[test]
fn a_style_leaves_the_plan_and_what_differs_between_the_sides() {
    let offset = Offset {
        lateral_mm: 0.0,
        height_mm: 0.8,
        turn_degrees: -0.7,
    };
    let edits = [
        Edit::Propose,
        Edit::SetOffset {
            side: Side::Left,
            offset,
        },
        Edit::Unlink,
    ];
    let mut record = typical();
    for edit in &edits {
        record = apply(&record, edit).expect("applied");
    }
    let pair = record.pair.clone().expect("a shape");
    let own = pair
        .points
        .mapped(|p| p + (Point::new(0.2, 0.1) - Point::new(0.0, 0.0)));
    record = apply(
        &record,
        &Edit::SetPoints {
            side: pair.master.other(),
            points: own,
        },
    )
    .expect("applied");
    let shape = record.styled(&built_in_styles()[3]).expect("drawn");
    assert_eq!(shape.pair.offset, pair.offset);
    let (a, b) = (
        shape.pair.points(Side::Right),
        shape.pair.points(Side::Left),
    );
    for handle in ophryon_brow::Handle::ALL {
        let apart = (a.at(handle) - b.at(handle)).length();
        assert!((apart - libm::hypot(0.2, 0.1)).abs() < 1e-9, "{apart}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Any number anywhere: read or refused in words, and never drawn beyond it.
    #[test]
    fn any_number_in_a_style_is_read_or_told(
        field in prop::sample::select(vec!["peak-place", "rise-mm", "start-mm", "body", "peak", "rounding", "straight-mm", "peak-radius-mm", "tail-length"]),
        which in prop::sample::select(vec!["least", "most", "usual"]),
        value in prop_oneof![any::<f64>(), -20.0..20.0f64],
    ) {
        let mut style = serde_json::to_value(own("Own")).expect("JSON");
        style[field][which] = value.into();
        let text = serde_json::json!({ "schema": 1, "styles": [style] }).to_string();
        let mut mine = Styles::default();
        match mine.import(&text) {
            Ok(_) => {
                let record = typical();
                match record.styled(&mine.own()[0]) {
                    Ok(shape) => prop_assert!(apply(&record, &shape.edit()).is_ok()),
                    Err(why) => prop_assert!(why.to_string().len() > 20),
                }
            }
            Err(why) => prop_assert!(why.to_string().contains("Own"), "{}", why),
        }
    }

    #[test]
    fn a_cut_or_scribbled_file_is_never_a_panic(cut in 0..4000usize, with in "[\\[\\]{}\",:0-9a-z]{0,3}") {
        let text = {
            let mut mine = Styles::default();
            mine.keep(own("Own")).expect("kept");
            mine.export(&["Own", "Full body", "Round hill"]).expect("there")
        };
        let at = cut.min(text.len());
        let at = (0..=at).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        let mut mine = Styles::default();
        let _ = mine.import(&format!("{}{with}{}", &text[..at], &text[at..]));
        let _ = mine.import(&format!("{}{with}", &text[..at]));
    }
}
