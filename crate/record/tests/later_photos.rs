//! Photos from after the work: of the healed brows, and those kept with a
//! visit. Nothing that was designed, planned, printed or agreed follows from
//! them.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_agreement::{Answer, Said, Signature, Touch, text_for};
use ophryon_record::{ConsentEdit, Edit, Image, Photo, PhotoState, Record, VisitEdit, apply};
use ophryon_stencil::SheetOptions;
use typical::{PHOTO, typical};

const LATER: [PhotoState; 2] = [PhotoState::Healed, PhotoState::Visit];

fn made(record: &Record, edit: &Edit) -> Record {
    apply(record, edit).unwrap_or_else(|why| panic!("{edit:?}: {why}"))
}

/// The same taps moved and made larger, as another photo has them.
fn later(record: &Record, id: &str, state: PhotoState) -> Photo {
    let mut photo = record.photo(PHOTO).expect("it is there").clone();
    photo.id = id.to_owned();
    photo.state = state;
    photo.image = Image::File {
        name: format!("{id}.png"),
    };
    photo.hair = ophryon_frames::Sided::default();
    photo
}

fn agreed() -> Record {
    let mut asked = text_for("en").expect("there is one").asked();
    for statement in &mut asked.statements {
        statement.said = Said::Yes;
    }
    for caution in &mut asked.cautions {
        caution.answer = Answer::NotMe;
    }
    let record = made(&typical(), &Edit::Propose);
    let record = made(&record, &Edit::Consent(ConsentEdit::Ask(Box::new(asked))));
    let stroke = (0..20).map(|n| Touch(1000 + 300 * n, 3000 + (n % 5) * 200, 30 * u32::from(n)));
    let signature = Signature::Drawn {
        strokes: vec![stroke.collect()],
    };
    let at = "2025-03-14T12:00:00+01:00".parse().expect("a time");
    let yes = record.agree(signature, at).expect("all is said");
    made(&record, &Edit::Consent(yes))
}

#[test]
fn a_later_photo_is_never_designed_on_wherever_it_stands() {
    for state in LATER {
        let with = made(
            &typical(),
            &Edit::AddPhoto(later(&typical(), "later", state)),
        );
        assert_eq!(with.design_photo().map(|p| p.id.as_str()), Some(PHOTO));
        // First in the list, and when every other photo is gone.
        let mut first = with.clone();
        first.photos.rotate_right(1);
        assert_eq!(first.design_photo().map(|p| p.id.as_str()), Some(PHOTO));
        let photo = PHOTO.to_owned();
        let alone = made(&with, &Edit::RemovePhoto { photo });
        assert!(alone.design_photo().is_none());
        assert!(alone.drawn().is_err() && alone.before_work().count() == 0);
    }
    // Of those from before the work the first serves, as it always did.
    let mut only = typical();
    only.photos[0].state = PhotoState::EyesOpen;
    only.photos
        .insert(0, later(&typical(), "later", PhotoState::Healed));
    assert_eq!(only.design_photo().map(|p| p.id.as_str()), Some(PHOTO));
}

#[test]
fn shape_plan_sheet_and_seal_stay_what_they_were() {
    let before = agreed();
    let drawn = before.drawn().expect("a shape");
    let options = SheetOptions::default();
    let paper = before.papers(&options).expect("a sheet");
    for state in LATER {
        let photo = later(&before, "later", state);
        let mut after = made(&before, &Edit::AddPhoto(photo.clone()));
        // Also with everything tapped anew in it.
        for landmark in photo.landmarks.iter().map(|(l, _)| l) {
            let at = ophryon_frames::Point::new(800.0, 900.0);
            let photo = "later".to_owned();
            if let Ok(next) = apply(
                &after,
                &Edit::SetLandmark {
                    photo,
                    landmark,
                    at,
                },
            ) {
                after = next;
            }
        }
        after.photos.rotate_right(1);
        let again = after.drawn().expect("a shape");
        assert_eq!(again.on_skin, drawn.on_skin);
        assert_eq!(again.measured.levelled, drawn.measured.levelled);
        assert_eq!(
            after.papers(&options).expect("a sheet").stencil_svg(),
            paper.stencil_svg()
        );
        assert_eq!(after.fingerprint_of(&again), before.fingerprint_of(&drawn));
        assert!(after.agreed().is_agreed());
        assert_eq!(after.version, before.version);
    }
}

#[test]
fn the_balance_never_takes_a_later_photo_for_one_in_use() {
    for state in LATER {
        let with = made(
            &typical(),
            &Edit::AddPhoto(later(&typical(), "later", state)),
        );
        assert_eq!(
            with.balance_asks().first().map(|a| a.sentence()),
            typical().balance_asks().first().map(|a| a.sentence())
        );
        let asks = |r: &Record| r.balance_asks().iter().any(|a| a.photo() == Some("later"));
        assert!(!asks(&with));
        assert!(with.balance().is_err() && with.balance_with("later").is_err());
    }
}

#[test]
fn a_later_photo_is_written_and_read_again() {
    for (state, name) in [(LATER[0], "healed"), (LATER[1], "visit")] {
        let with = made(
            &typical(),
            &Edit::AddPhoto(later(&typical(), "later", state)),
        );
        let json = with.to_json().expect("it is sound");
        assert!(json.contains(&format!("\"state\": \"{name}\"")), "{json}");
        assert_eq!(Record::from_json(&json).expect("it reads"), with);
    }
}

#[test]
fn any_number_of_photos_is_kept_with_visits() {
    let mut record = typical();
    for n in 0..100 {
        let photo = later(&record, &format!("visit-{n}"), PhotoState::Visit);
        record = made(&record, &Edit::AddPhoto(photo));
    }
    let mut visit = ophryon_record::Visit::new(
        "2027-05-03".parse().expect("a day"),
        ophryon_record::VisitKind::HealedCheck,
    );
    visit.photos = (0..100).map(|n| format!("visit-{n}")).collect();
    let record = made(&record, &Edit::Visit(VisitEdit::Add(Box::new(visit))));
    assert!(record.problems().is_empty());
}
