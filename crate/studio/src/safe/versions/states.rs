//! Versions as they are read from the store, to be shown.

use std::cell::RefCell;
use std::rc::Rc;

use ophryon_frames::{Side, Sided};
use ophryon_record::{Image, Record, StageNumbers};
use sycamore::reactive::on_cleanup;
use web_sys::{Blob, Url};

use crate::device::clock;
use crate::device::store::Version;
use crate::shaping::compare::around_brows;
use crate::studio::Studio;

/// A version, or the client as she is now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// As she is now.
    Now,
    /// The version of that number.
    Version(u32),
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// The version.
    pub version: Version,
    /// When it was kept, in words that no other of the list has.
    pub name: String,
    /// Address of its small picture.
    pub look: Option<String>,
    /// None was kept before it.
    pub is_first: bool,
}

/// One state of the client, as far as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct State {
    /// Which.
    pub which: Which,
    /// The record.
    pub record: Rc<Record>,
    /// The photo's address, its size and the piece that is shown, px.
    pub photo: Option<(String, [f64; 2], [f64; 4])>,
    /// The outlines in it.
    pub paths: Vec<String>,
    /// The shape's numbers.
    pub numbers: Option<Sided<StageNumbers>>,
}

/// Addresses of pictures, given back to the browser with the screen.
#[derive(Clone)]
pub(super) struct Urls(Rc<RefCell<Vec<String>>>);

impl Urls {
    /// None yet.
    pub(super) fn new() -> Self {
        let urls = Self(Rc::default());
        let all = Rc::clone(&urls.0);
        on_cleanup(move || {
            for url in all.borrow_mut().drain(..) {
                let _ = Url::revoke_object_url(&url);
            }
        });
        urls
    }

    fn of(&self, blob: &Blob) -> Option<String> {
        let url = Url::create_object_url_with_blob(blob).ok()?;
        self.0.borrow_mut().push(url.clone());
        Some(url)
    }
}

/// The list of a client's versions, the newest first.
pub(super) async fn lines(studio: Studio, urls: &Urls) -> Result<Vec<Line>, String> {
    let client = studio.key_now().ok_or("No client is open.")?;
    let all = studio.keeper.store().await?.versions(&client).await?;
    let last = all.len().saturating_sub(1);
    let times: Vec<f64> = all.iter().map(|one| one.version.at_ms).collect();
    let mut names = apart(&times, clock::date, clock::exact_date).into_iter();
    let line = |(i, one): (usize, crate::device::store::Earlier)| Line {
        name: names.next().unwrap_or_default(),
        look: one.look.and_then(|look| urls.of(&look)),
        version: one.version,
        is_first: i == last,
    };
    Ok(all.into_iter().enumerate().map(line).collect())
}

/// Each time in words; where some read the same, those exactly.
fn apart(times: &[f64], words: fn(f64) -> String, exactly: fn(f64) -> String) -> Vec<String> {
    let said: Vec<String> = times.iter().map(|at| words(*at)).collect();
    let name = |(words, at): (&String, &f64)| {
        if said.iter().filter(|other| *other == words).count() > 1 {
            exactly(*at)
        } else {
            words.clone()
        }
    };
    said.iter().zip(times).map(name).collect()
}

/// Draws the small picture of a version that has none yet.
pub(super) async fn look(studio: Studio, urls: &Urls, number: u32) -> Option<String> {
    let client = studio.key_now()?;
    let files = studio.later.files.get().await.ok()?;
    let store = studio.keeper.store().await.ok()?;
    urls.of(&(files.look_of)(store, client, number).await?)
}

/// The record of a version.
pub(super) async fn record(studio: Studio, which: Which) -> Result<Record, String> {
    let client = studio.key_now().ok_or("No client is open.")?;
    match which {
        Which::Now => studio
            .settled()
            .ok_or_else(|| "No client is open.".to_owned()),
        Which::Version(number) => {
            let files = studio.later.files.get().await?;
            let store = studio.keeper.store().await?;
            (files.read)(&store.version_record(&client, number).await?)
        }
    }
}

/// A picture of the client in work, also one that only a version has.
pub(super) async fn picture(studio: Studio, name: &str) -> Result<Option<Blob>, String> {
    if let Some(blob) = studio.keeper.picture(name) {
        return Ok(Some(blob));
    }
    let client = studio.key_now().ok_or("No client is open.")?;
    let store = studio.keeper.store().await?;
    store.picture(&client, name).await
}

/// All that is shown of one.
pub(super) async fn read(studio: Studio, urls: &Urls, which: Which) -> Result<State, String> {
    let record = Rc::new(record(studio, which).await?);
    let drawn = record.drawn().ok();
    let mut photo = None;
    if let Some(on) = record.design_photo()
        && let Image::File { name } = &on.image
        && let Some(blob) = picture(studio, name).await?
        && let Some(url) = urls.of(&blob)
    {
        let size = [f64::from(on.width_px), f64::from(on.height_px)];
        let band = [0.0, 0.18 * size[1], size[0], 0.42 * size[0]];
        photo = Some((url, size, around_brows(&record).unwrap_or(band)));
    }
    let both = |drawn: &ophryon_record::Drawn| Sided::from_fn(|side| drawn.stage_numbers(side));
    let paths = |drawn: &ophryon_record::Drawn| {
        let path = |side: &Side| drawn.photo_path(*side);
        Side::BOTH.iter().map(path).collect()
    };
    Ok(State {
        which,
        photo,
        paths: drawn.as_ref().map_or_else(Vec::new, paths),
        numbers: drawn.as_ref().map(both),
        record,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_versions_of_one_minute_are_told_apart_by_their_seconds() {
        let minutes = |ms: f64| format!("{:.0} min", (ms / 60_000.0).floor());
        let seconds = |ms: f64| format!("{:.0} s", ms / 1000.0);
        assert_eq!(
            apart(&[125e3, 61e3, 65e3], minutes, seconds),
            ["2 min", "61 s", "65 s"]
        );
    }
}
