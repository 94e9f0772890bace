//! What several of the screens here share.

use ophryon_record::Record;
use sycamore::reactive::Signal;
use sycamore::web::View;

use crate::markup::{p, shows};
use crate::studio::Studio;

/// A client's record, as it is kept.
///
/// # Errors
/// A sentence.
pub async fn record(studio: Studio, key: &str) -> Result<Record, String> {
    let read = studio.later.files.get().await?.read;
    let text = studio.keeper.store().await?.record_text(key).await?;
    read(&text)
}

/// A remark, once there is one.
pub fn said(said: Signal<Option<String>>, id: &'static str) -> View {
    shows(
        move || said.get_clone(),
        move |said| match said {
            Some(words) => p(words)
                .class("word calm")
                .at("role", "status")
                .id(id)
                .into(),
            None => View::new(),
        },
    )
}

/// "1 client", "3 clients".
pub fn count(n: usize, one: &str) -> String {
    match n {
        1 => format!("1 {one}"),
        n => format!("{n} {one}s"),
    }
}
