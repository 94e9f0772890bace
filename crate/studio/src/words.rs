//! Sentences as they stand on the screen.

use ophryon_face::{Distance, Landmark};
use ophryon_frames::Side;
use ophryon_record::{PhotoState, StudyError};
use ophryon_stencil::DistanceId;

/// A domain message as a sentence of its own: capital letter, full stop.
pub fn sentence(message: &str) -> String {
    let message = message.trim();
    let mut letters = message.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let mut text = String::from(first.to_ascii_uppercase());
    text.push_str(letters.as_str());
    if !text.ends_with(['.', '?', '!', '…']) {
        text.push('.');
    }
    text
}

/// Most changes that are told of one step; the rest are counted.
const TOLD: usize = 3;

/// Changes as part of a sentence, the first few by name.
pub fn in_short(mut changes: Vec<String>) -> String {
    let more = changes.len().saturating_sub(TOLD);
    changes.truncate(TOLD);
    let mut text = changes.join("; ");
    if more > 0 {
        text.push_str(&format!("; {more} more"));
    }
    text
}

/// A name at the head of a row: capital letter, no full stop.
pub fn title(name: &str) -> String {
    let mut text = sentence(name);
    if text.ends_with('.') {
        text.pop();
    }
    text
}

/// After "the photo": what the face is doing in it.
pub const fn state(state: PhotoState) -> &'static str {
    match state {
        PhotoState::Relaxed => "at rest",
        PhotoState::EyesOpen => "with eyes wide open",
        PhotoState::Raised => "with brows raised",
        PhotoState::Healed => "of the healed brows",
        PhotoState::Visit => "kept with a visit",
    }
}

/// What keeps the photo from being measured, without the photo's id: the
/// artist looks at it.
pub fn study(error: &StudyError) -> String {
    let message = match error {
        StudyError::Scale { problem, .. } => problem.to_string(),
        StudyError::Landmarks { problems, .. } => match problems.first() {
            Some(problem) => problem.to_string(),
            None => error.to_string(),
        },
        StudyError::Face { problem, .. } => problem.to_string(),
        StudyError::Pupils { sentence, .. } => sentence.clone(),
        StudyError::NoScale { .. } => {
            "the photo has no scale yet; tap something of known size in it".to_owned()
        }
        other => other.to_string(),
    };
    sentence(&message)
}

/// "Tap the inner corner of the client's right eye."
pub fn tap(landmark: Landmark) -> String {
    format!("Tap the {}.", landmark.name())
}

/// "What is the distance from the midline to the tail?"
pub fn asked(distance: DistanceId) -> String {
    format!("What is {}?", distance.words())
}

/// "the client's right".
pub fn side_of(side: Side) -> String {
    format!("the client's {}", side.name())
}

/// "Client's right".
pub fn side_title(side: Side) -> &'static str {
    match side {
        Side::Right => "Client's right",
        Side::Left => "Client's left",
    }
}

/// "31.2 ± 0.4 mm" for a length of the shape, whose error is that of the scale.
pub fn length(mm: f64, relative_sd: f64) -> String {
    Distance {
        mm,
        sd: mm.abs() * relative_sd,
    }
    .to_string()
}

/// How sure a scale is, in words with its number: k = 2, percent.
pub fn scale_in_words(relative_sd: f64) -> String {
    let percent = 200.0 * relative_sd;
    // On a brow of 45 mm.
    let on_a_brow = 45.0 * 2.0 * relative_sd;
    let how = if percent < 1.0 {
        "Very sure"
    } else if percent < 3.0 {
        "Sure"
    } else {
        "Rough"
    };
    format!("{how}: within {percent:.1} %, which is {on_a_brow:.1} mm on a brow of 45 mm.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::{FaceError, SidedLandmark};

    #[test]
    fn a_message_becomes_one_sentence() {
        assert_eq!(
            sentence("the peak is lost; place it again"),
            "The peak is lost; place it again."
        );
        assert_eq!(sentence(" Tap again? "), "Tap again?");
        assert_eq!(sentence(""), "");
        assert_eq!(title("lower arch"), "Lower arch");
    }

    #[test]
    fn many_changes_are_told_in_short() {
        let all = ["a", "b", "c", "d", "e"].map(str::to_owned).to_vec();
        assert_eq!(in_short(all), "a; b; c; 2 more");
    }

    #[test]
    fn the_artist_never_reads_a_photos_id() {
        let landmark = Landmark::Sided(Side::Right, SidedLandmark::Pupil);
        let said = study(&StudyError::Face {
            photo: "photo-1".to_owned(),
            problem: FaceError::Missing { landmark },
        });
        assert!(!said.contains("photo-1"), "{said}");
        assert!(said.contains("client's right eye"));
    }

    #[test]
    fn an_iris_is_called_rough_and_a_card_is_not() {
        assert!(scale_in_words(0.036).starts_with("Rough: within 7.2 %"));
        assert!(scale_in_words(0.004).starts_with("Very sure: within 0.8 %"));
    }
}
