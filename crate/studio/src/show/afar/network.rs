//! The studio's own network: the shape waits on this computer under a code
//! that is read out, and her answer is fetched as soon as it is there.

use std::time::Duration;

use serde_json::Value;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::answer::take;
use super::hand_on::framed;
use super::{Afar, packet, way_of};
use crate::device::page;
use crate::guest::qr;
use crate::guest::wire::{self, Said, Trouble};
use crate::markup::{El, button, div, el, p, shows, yes_no};
use crate::places::Place;
use crate::studio::Studio;
use crate::words::sentence;

/// How often is looked whether something came.
const LOOK: Duration = Duration::from_millis(1_500);

/// Largest picture that the studio's network takes, bytes.
const LARGEST_PICTURE: f64 = 1_500_000.0;

/// The studio's network, as far as this page knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Network {
    /// Not asked yet.
    Unknown,
    /// This page's server isn't open to it.
    Closed,
    /// It is.
    Open(Here),
    /// A shape waits there.
    Offered(Here, Offer),
}

/// Where clients' devices find it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Here {
    address: String,
    fingerprint: String,
}

/// What waits there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    key: String,
    code: String,
    /// Whose shape it is.
    client: String,
    stage: Stage,
}

/// How far it is.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Stage {
    Waiting {
        minutes: u64,
        wrong: u64,
    },
    Taken,
    /// Her answer is there, and another client is open here.
    Answered,
}

impl Network {
    /// Its address, while it is open.
    pub fn address(&self) -> Option<&str> {
        match self {
            Self::Open(here) | Self::Offered(here, _) => Some(&here.address),
            Self::Unknown | Self::Closed => None,
        }
    }

    /// For the section's head.
    pub fn in_short(&self) -> Option<String> {
        let Self::Offered(_, offer) = self else {
            return None;
        };
        Some(match &offer.stage {
            Stage::Waiting { .. } => format!("code {}", spoken(&offer.code)),
            Stage::Taken => "she is looking at it".to_owned(),
            Stage::Answered => "her answer is here".to_owned(),
        })
    }
}

/// "482 915".
fn spoken(code: &str) -> String {
    match code.split_at_checked(3) {
        Some((front, back)) => format!("{front} {back}"),
        None => code.to_owned(),
    }
}

/// The first way.
pub fn way(studio: Studio) -> View {
    let afar = Afar::get();
    if afar
        .network
        .with_untracked(|n| *n == Network::Unknown || *n == Network::Closed)
    {
        spawn_local(look_for_it(afar));
    }
    way_of(
        "afar-network",
        "1. In this studio's network",
        "The shape, the text with what she has answered so far, and her code in your studio go from this computer to her phone, encrypted, and nowhere else. Her answer comes back by itself.",
    )
    .put(shows(
        move || afar.network.get_clone(),
        move |network| match network {
            Network::Unknown => p("Looking whether it is open …").class("quiet").into(),
            Network::Closed => closed(afar),
            Network::Open(here) => open(studio, &here),
            Network::Offered(here, offer) => offered(afar, &here, &offer),
        },
    ))
    .into()
}

async fn look_for_it(afar: Afar) {
    let here = wire::ask("here", "", Said::Nothing).await;
    let is_idle = afar
        .network
        .with_untracked(|n| !matches!(n, Network::Offered(..)));
    if is_idle {
        afar.network.set(match here {
            Ok(here) => Network::Open(Here {
                address: wire::text_in(&here, "address"),
                fingerprint: wire::text_in(&here, "fingerprint"),
            }),
            Err(_) => Network::Closed,
        });
    }
}

fn closed(afar: Afar) -> View {
    div("afar-made")
        .put(
            p("It isn't open. On the computer that this page comes from, stop the program and start it with “ophryon serve --studio”; then both devices must be in the same network.")
                .id("afar-closed"),
        )
        .put(
            button("button", "afar-look")
                .words("Look again")
                .click(move || spawn_local(look_for_it(afar))),
        )
        .into()
}

fn open(studio: Studio, here: &Here) -> View {
    let afar = Afar::get();
    let with = afar.with_photo;
    let photo = button("choice", "afar-photo")
        .at("role", "switch")
        .at("aria-checked", yes_no(move || with.get()))
        .class(move || if with.get() { "choice chosen" } else { "choice" })
        .put(el("strong").says(move || {
            if with.get() { "Her photo goes along" } else { "Her photo stays here" }.to_owned()
        }))
        .put(el("small").words(
            "Brows and eyes, with the shape and without. Kept in this computer's memory only until her phone has it, and on her phone only while the page is open.",
        ))
        .click(move || with.set(!with.get_untracked()));
    let here = here.clone();
    div("afar-made")
        .put(photo)
        .put(
            button("button main wide", "afar-offer")
                .flag("disabled", move || afar.busy.get())
                .words("Make a code for her")
                .click(move || spawn_local(offer(studio, here.clone()))),
        )
        .into()
}

async fn offer(studio: Studio, here: Here) {
    let afar = Afar::get();
    afar.told.set(None);
    afar.busy.set(true);
    let outcome = offer_now(studio).await;
    afar.busy.set(false);
    match outcome {
        Ok(offer) => {
            let key = offer.key.clone();
            afar.network.set(Network::Offered(here, offer));
            look_on(studio, key);
        }
        Err(why) => afar.tell(Err(why)),
    }
}

async fn offer_now(studio: Studio) -> Result<Offer, String> {
    let client = studio.key_now().ok_or("No client is open.")?;
    let packet = packet(studio)?;
    // What was sent must be known here even if this page is lost meanwhile.
    studio.keep_now().await;
    let offered = wire::ask("offer", "", Said::Text(&packet))
        .await
        .map_err(|w| why(&w))?;
    let key = wire::text_in(&offered, "key");
    if Afar::get().with_photo.get_untracked() {
        let picture = crate::look::to_send(studio, LARGEST_PICTURE).await;
        let sent = match picture {
            Ok(picture) => {
                let sent = wire::ask("picture", &key, Said::Picture(&picture)).await;
                sent.map(drop).map_err(|w| why(&w))
            }
            Err(why) => Err(why),
        };
        if let Err(why) = sent {
            // Without the photo that she was to see nothing is offered.
            end_there(&key).await;
            return Err(why);
        }
    }
    let seconds = offered
        .get("seconds")
        .and_then(Value::as_u64)
        .unwrap_or_default();
    Ok(Offer {
        key,
        code: wire::text_in(&offered, "code"),
        client,
        stage: Stage::Waiting {
            minutes: seconds.div_ceil(60),
            wrong: 0,
        },
    })
}

fn why(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Away => "The program that this page comes from doesn't answer, so nothing was sent. Start it with --studio and try again.",
        Trouble::Refused { word, .. } if word == "no-picture" => "The photo could not be sent, so nothing was offered.",
        Trouble::Refused { .. } => "The program that this page comes from did not take it, so nothing was sent. Open this page anew and try again.",
    }
    .to_owned()
}

async fn end_there(key: &str) {
    // What can't be ended now ends by itself when its time is over.
    let _ = wire::ask("end", key, Said::Nothing).await;
}

/// Looks again and again until something came, for as long as this offer stands.
fn look_on(studio: Studio, key: String) {
    page::later(LOOK, move || {
        spawn_local(async move {
            let afar = Afar::get();
            let is_mine = |afar: Afar| {
                afar.network
                    .with_untracked(|n| matches!(n, Network::Offered(_, o) if o.key == key))
            };
            if !is_mine(afar) {
                return;
            }
            let looked = wire::ask("look", &key, Said::Nothing).await;
            if is_mine(afar) && seen(studio, &key, looked).await {
                look_on(studio, key);
            }
        });
    });
}

/// What there was to see; `false` once nothing more is to be looked for.
async fn seen(studio: Studio, key: &str, looked: Result<Value, Trouble>) -> bool {
    let afar = Afar::get();
    let over = |words: &str| {
        close(afar);
        afar.tell(Err(words.to_owned()));
        false
    };
    let looked = match looked {
        Ok(looked) => looked,
        Err(_) => {
            afar.network.set(Network::Closed);
            afar.tell(Err("The program that this page comes from has stopped, and its code is void. Nothing is lost: what she signed can still come by link or file, or start the program and make a new code.".to_owned()));
            return false;
        }
    };
    let number = |name: &str| looked.get(name).and_then(Value::as_u64).unwrap_or_default();
    match wire::text_in(&looked, "stage").as_str() {
        "waiting" => stand(
            afar,
            Stage::Waiting {
                minutes: number("seconds").div_ceil(60),
                wrong: number("wrong"),
            },
        ),
        "taken" => stand(afar, Stage::Taken),
        "answered" => return !answered(studio, key).await,
        "closed" => {
            end_there(key).await;
            return over(
                "Five wrong codes were tried, so this offer is closed. Make a new code if it was her; nothing was given out.",
            );
        }
        _ => {
            return over(
                "The time of this code is over, and nothing waits any more. Make a new one.",
            );
        }
    }
    true
}

/// Where the offer stands, without drawing it anew for nothing.
fn stand(afar: Afar, stage: Stage) {
    let now = afar.network.get_clone_untracked();
    if let Network::Offered(here, offer) = now
        && offer.stage != stage
    {
        afar.network
            .set(Network::Offered(here, Offer { stage, ..offer }));
    }
}

/// Takes the answer where it is hers who is open; `false` while it isn't.
async fn answered(studio: Studio, key: &str) -> bool {
    let afar = Afar::get();
    let client = afar.network.with_untracked(|n| match n {
        Network::Offered(_, offer) => offer.client.clone(),
        _ => String::new(),
    });
    // In a client's hands nothing changes under them.
    if studio.key_now().as_deref() != Some(&*client) || studio.handed.get_untracked() {
        stand(afar, Stage::Answered);
        return false;
    }
    let Ok(answer) = wire::ask_for_text("answer", key, Said::Nothing).await else {
        return false;
    };
    let outcome = take(studio, &answer);
    studio.keep_now().await;
    close(afar);
    if studio.view.place.get_untracked() != Place::Show {
        // She is told wherever she is.
        let said = outcome.clone().unwrap_or_else(|why| sentence(&why));
        studio.said.set(Some(said));
    }
    afar.tell(outcome);
    end_there(key).await;
    true
}

/// The offer is over; the door stays. Whether a photo goes along is chosen
/// anew each time.
fn close(afar: Afar) {
    afar.with_photo.set(false);
    afar.network.update(|network| {
        if let Network::Offered(here, _) = network {
            *network = Network::Open(here.clone());
        }
    });
}

fn offered(afar: Afar, here: &Here, offer: &Offer) -> View {
    let key = offer.key.clone();
    let end = button("button", "afar-end").words("End it").click(move || {
        close(afar);
        let key = key.clone();
        spawn_local(async move { end_there(&key).await });
    });
    let stage = match &offer.stage {
        Stage::Waiting { minutes, wrong } => waiting(here, &offer.code, *minutes, *wrong),
        Stage::Taken => p("Her phone has it. Once she has signed and sent it, it is checked and kept here by itself.")
            .class("word calm")
            .id("afar-taken")
            .into(),
        Stage::Answered => p("Her answer is here. Open her file, and it is checked and kept.")
            .class("word calm")
            .id("afar-there")
            .into(),
    };
    div("afar-made")
        .put(stage)
        .put(div("buttons").put(end))
        .into()
}

fn waiting(here: &Here, code: &str, minutes: u64, wrong: u64) -> View {
    let link = format!("{}?come#code-{code}", here.address);
    let picture = qr::picture(
        &link,
        "The address and the code, to be scanned by her camera".to_owned(),
    );
    let tries = match wrong {
        0 => View::new(),
        1 => p("One wrong code was tried.")
            .class("word")
            .id("afar-wrong")
            .into(),
        n => p(format!("{n} wrong codes were tried."))
            .class("word")
            .id("afar-wrong")
            .into(),
    };
    crate::parts![
        p(
            "Her camera opens the page with this picture; or she types the address and then the code."
        ),
        picture.map_or_else(View::new, framed),
        el("dl")
            .class("afar-facts")
            .put(el("dt").words("Address"))
            .put(el("dd").id("afar-address").words(here.address.clone()))
            .put(el("dt").words("Code"))
            .put(
                el("dd")
                    .class("afar-code")
                    .id("afar-code")
                    .words(spoken(code))
            ),
        p(format!(
            "Good once, for {minutes} more {}.",
            if minutes == 1 { "minute" } else { "minutes" }
        ))
        .class("quiet"),
        tries,
        warning(here),
    ]
}

/// What her browser will say, and how to be sure.
fn warning(here: &Here) -> El {
    el("details")
        .class("more")
        .id("afar-warning")
        .flag("open", true)
        .put(el("summary").words("Her browser will warn her"))
        .put(
            div("inside")
                .put(p("It says that the connection is not private, or that it doesn't know who made the certificate. That is so: this computer made it itself when the program started, and nobody outside vouches for it. What passes is encrypted all the same. She chooses the details and goes on to the page."))
                .put(p("To be sure that it is this computer and no other, look at the certificate in her browser. Its SHA-256 fingerprint must read:"))
                .put(el("code").class("fingerprint").id("afar-fingerprint").words(in_lines(&here.fingerprint))),
        )
}

/// Eight pairs to a line, as people compare them.
fn in_lines(fingerprint: &str) -> String {
    let pairs: Vec<&str> = fingerprint.split(':').collect();
    pairs
        .chunks(8)
        .map(|line| line.join(":"))
        .collect::<Vec<_>>()
        .join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fingerprint_stands_in_four_lines_and_a_code_in_two_groups() {
        let whole: Vec<String> = (0..32).map(|n| format!("{n:02X}")).collect();
        let lines = in_lines(&whole.join(":"));
        assert_eq!(lines.lines().count(), 4);
        assert!(lines.lines().all(|l| l.len() == 23), "{lines}");
        assert_eq!(spoken("048291"), "048 291");
        assert_eq!(spoken("1"), "1");
    }
}
