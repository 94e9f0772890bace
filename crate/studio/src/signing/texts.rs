//! The texts she may be asked with: ours, and the artist's own, which are kept
//! on this device as the files they are.

use ophryon_agreement::{Asked, Text, text_for, texts};

use crate::device::settings;

/// Where own texts are kept: a file each, by language.
fn name(language: &str) -> String {
    format!("text.{language}")
}

/// Where it is kept that our text is asked although there is an own one.
fn ours_name(language: &str) -> String {
    format!("text-ours.{language}")
}

/// The artist's own text in a language; `None` while there is none, or where
/// what is kept can't be used.
pub fn own(language: &str) -> Option<Text> {
    let json = settings::read(&name(language))?;
    Text::from_json(&json).ok()
}

/// Keeps an own text; it is asked from now on in its language.
///
/// # Errors
/// A sentence, where this browser keeps nothing.
pub fn keep(text: &Text) -> Result<(), String> {
    let json = text.to_json();
    settings::write(&name(&text.language), &json);
    settings::write(&ours_name(&text.language), "");
    if settings::read(&name(&text.language)).as_deref() == Some(&*json) {
        Ok(())
    } else {
        Err("This browser keeps nothing for this page, so the text is lost when the page is closed: save it as a file.".to_owned())
    }
}

/// Asks with ours, or with the own text again.
pub fn use_ours(language: &str, ours: bool) {
    settings::write(&ours_name(language), if ours { "yes" } else { "" });
}

/// Whether the own text is asked.
pub fn uses_own(language: &str) -> bool {
    settings::read(&ours_name(language)).as_deref() != Some("yes") && own(language).is_some()
}

/// The text that is asked in a language.
pub fn text_in(language: &str) -> Option<Text> {
    if uses_own(language) {
        own(language)
    } else {
        text_for(language)
    }
}

/// What is asked in a language.
pub fn asked_in(language: &str) -> Option<Asked> {
    text_in(language).map(|text| text.asked())
}

/// Languages that there is a text in, with their names in themselves.
pub fn languages() -> Vec<(String, String)> {
    let all = texts().into_iter();
    all.map(|text| (text.language, text.name)).collect()
}
