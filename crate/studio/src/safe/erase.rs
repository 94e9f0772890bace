//! Erasing: a client, or only her photos, each with a receipt.

use ophryon_record::{Erased, Record};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

use super::own;
use crate::device::store::{Entry, Reading};
use crate::device::{clock, files, print};
use crate::markup::{button, div, el, p, shows, value_of};
use crate::parts;
use crate::places;
use crate::studio::Studio;
use crate::visits::forget_timer;

/// How far erasing is.
#[derive(Debug, Clone, PartialEq)]
enum Stage {
    /// What may be erased is offered.
    Offered,
    /// The word is asked for.
    Word(What),
    /// It is done, and this is the receipt.
    Done(What, String),
    /// It isn't; a sentence says why.
    Trouble(String),
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum What {
    Client,
    Photos,
}

/// What can be erased of a client of the list; `is_gone` is set once she is,
/// `after` is told once the receipt is put away.
pub fn choices(
    studio: Studio,
    key: &str,
    record: &Record,
    is_gone: Signal<bool>,
    after: impl Fn() + Copy + 'static,
) -> View {
    let stage = create_signal(Stage::Offered);
    let key = key.to_owned();
    let code = record.client.code.clone();
    let photos = record.photos.iter().filter(|p| !p.erased).count();
    let unwanted = record.photos_unwanted_since();
    shows(
        move || stage.get_clone(),
        move |now| match now {
            Stage::Offered => {
                let wish = unwanted.as_ref().map(|since| {
                    format!(
                        "She signed on {} that no photo of her is kept after that day.",
                        since.day_in_words()
                    )
                });
                parts![
                    wish.map_or_else(View::new, |wish| p(wish)
                        .class("word calm")
                        .id("photos-unwanted")
                        .into()),
                    offered(stage, photos),
                ]
            }
            Stage::Word(what) => word(studio, &key, &code, photos, what, stage),
            Stage::Done(what, text) => {
                is_gone.set(what == What::Client);
                receipt(&code, text, after)
            }
            Stage::Trouble(why) => trouble(why, stage),
        },
    )
}

/// Erasing a client whose record can't be read.
pub fn unread(studio: Studio, key: &str, code: &str, after: impl Fn() + Copy + 'static) -> View {
    let stage = create_signal(Stage::Offered);
    let (key, code) = (key.to_owned(), code.to_owned());
    shows(
        move || stage.get_clone(),
        move |now| match now {
            Stage::Offered => offered(stage, 0),
            Stage::Word(what) => word(studio, &key, &code, 0, what, stage),
            Stage::Done(_, text) => receipt(&code, text, after),
            Stage::Trouble(why) => trouble(why, stage),
        },
    )
}

fn offered(stage: Signal<Stage>, photos: usize) -> View {
    let photos = (photos > 0).then(|| {
        button("button bare", "erase-photos")
            .words("Erase only her photos")
            .click(move || stage.set(Stage::Word(What::Photos)))
    });
    div("buttons")
        .all(photos)
        .put(
            button("button bare", "erase")
                .words("Erase the client")
                .click(move || stage.set(Stage::Word(What::Client))),
        )
        .into()
}

/// What can't be undone needs a typed word.
fn word(
    studio: Studio,
    key: &str,
    code: &str,
    photos: usize,
    what: What,
    stage: Signal<Stage>,
) -> View {
    let typed = create_signal(String::new());
    let pictures = own::count(photos, "photo");
    let warning = match what {
        What::Client => format!(
            "Everything of {code} goes from this device for good: her photos, what was measured and drawn, earlier versions, agreements, visits. To do it, type {code}."
        ),
        What::Photos => format!(
            "{pictures} of {code} and the small pictures of earlier versions go from this device for good. Measurements, shapes, agreements and visits stay. To do it, type {code}."
        ),
    };
    let now = {
        let (key, code) = (key.to_owned(), code.to_owned());
        move || {
            let (key, code) = (key.clone(), code.clone());
            spawn_local(async move {
                let done = match what {
                    What::Client => client(studio, &key, &code).await,
                    What::Photos => photos_of(studio, &key).await,
                };
                if stage.is_alive() {
                    stage.set(match done {
                        Ok(receipt) => Stage::Done(what, receipt),
                        Err(why) => Stage::Trouble(why),
                    });
                }
            });
        }
    };
    let code = code.to_owned();
    div("word")
        .put(p(warning).at("dir", "auto"))
        .put(
            div("begin")
                .put(
                    el("input")
                        .class("plain-input")
                        .at("type", "text")
                        .at("autocomplete", "off")
                        .label("Code, to erase")
                        .id("erase-word")
                        .on::<Event>("input", move |e| typed.set(value_of(e))),
                )
                .put(
                    button("button", "erase-now")
                        .flag("disabled", move || typed.with(|t| t.trim() != code.trim()))
                        .words("Erase for good")
                        .click(now),
                ),
        )
        .put(
            div("buttons").put(
                button("button", "erase-not")
                    .words("Don't erase")
                    .click(move || stage.set(Stage::Offered)),
            ),
        )
        .into()
}

fn trouble(why: String, stage: Signal<Stage>) -> View {
    div("word")
        .at("role", "alert")
        .id("erase-trouble")
        .put(p(why))
        .put(
            div("buttons").put(
                button("button", "erase-again")
                    .words("All right")
                    .click(move || stage.set(Stage::Offered)),
            ),
        )
        .into()
}

/// What was erased and when, to be saved or printed.
fn receipt(code: &str, text: String, after: impl Fn() + Copy + 'static) -> View {
    let said = create_signal(None::<String>);
    let name = format!("erased-{}.txt", crate::client_files::plain(code));
    let save = {
        let text = text.clone();
        move || said.set(files::save_text(&name, "text/plain;charset=utf-8", &text).err())
    };
    let print = {
        let text = text.clone();
        move || said.set(print::page(&sheet(&text)).err())
    };
    let lines = text.lines().filter(|l| !l.is_empty()).map(str::to_owned);
    div("word calm")
        .at("role", "status")
        .id("receipt")
        .put(el("h3").words("Receipt"))
        .all(lines.map(|line| p(line).at("dir", "auto")))
        .put(own::said(said, "receipt-said"))
        .put(
            div("buttons")
                .put(
                    button("button", "receipt-save")
                        .words("Save the receipt")
                        .click(save),
                )
                .put(
                    button("button", "receipt-print")
                        .words("Print it")
                        .click(print),
                )
                .put(
                    button("button main", "receipt-done")
                        .words("Done")
                        .click(after),
                ),
        )
        .into()
}

/// The receipt as a page; what a code holds is text there too.
fn sheet(text: &str) -> String {
    let safe = text
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Receipt</title><style>@page{{margin:25mm}}body{{font:12pt/1.5 sans-serif;white-space:pre-wrap}}</style><body dir=\"auto\">{safe}</body></html>"
    )
}

fn today() -> String {
    clock::today().map_or_else(String::new, ophryon_record::Day::in_words)
}

async fn client(studio: Studio, key: &str, code: &str) -> Result<String, String> {
    // A record that can't be read has a receipt without a count.
    let record = match own::record(studio, key).await {
        Ok(record) => record,
        Err(_) => Record::new(code),
    };
    studio.keeper.store().await?.erase(key).await?;
    forget_timer(key);
    Ok(record.erased_receipt(Erased::Everything, &today()))
}

async fn photos_of(studio: Studio, key: &str) -> Result<String, String> {
    let files = studio.later.files.get().await?;
    let record = own::record(studio, key).await?;
    let without = record.without_photos();
    let stands = places::stands(&without, Some(&without.drawn()));
    let entry = Entry::of(key, &without, &stands, clock::now_ms());
    let reading = Reading {
        read: files.read,
        write: files.write,
    };
    let store = studio.keeper.store().await?;
    store.erase_photos(&entry, reading).await?;
    Ok(record.erased_receipt(Erased::Photos, &today()))
}

/// Erases the photos of the client in work, who is then opened anew: nothing
/// of them stays in what can be undone.
///
/// # Errors
/// A sentence; the photos are then still there.
pub async fn photos_in_work(studio: Studio) -> Result<(), String> {
    let Some(key) = studio.key_now() else {
        return Ok(());
    };
    let place = studio.view.place.get_untracked();
    studio.close().await;
    let erased = photos_of(studio, &key).await;
    studio.open(&key).await?;
    studio.view.place.set(place);
    erased.map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_text_on_the_printed_receipt_too() {
        let page = sheet("client <img src=x onerror=alert(1)> & co\n\nErased");
        assert!(!page.contains("<img"), "{page}");
        assert!(page.contains("&lt;img src=x onerror=alert(1)&gt; &amp; co"));
    }
}
