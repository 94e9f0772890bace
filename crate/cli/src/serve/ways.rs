//! What may be asked of an open studio: by the artist's page, on this computer,
//! and by a client's device, on the studio's network. Each has its own few
//! questions; everything else is the app's own files.
//!
//! All of it is POST, because browsers then always say which page asks (Fetch,
//! WHATWG: the Origin header): another site's page in the same browser is told
//! apart, and so is a name that was made to lead here.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_TYPE, HOST, LOCATION, ORIGIN, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, Method, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use axum::routing::any;
use ophryon_agreement::LONGEST_PACKET;
use serde::Serialize;

use super::answer;
use super::assets::Assets;
use super::tray::{ANSWER_LIFE, CODE_LIFE, Code, LARGEST_PICTURE, Refusal, Token, Tray};

/// Shows that a page is the one that offered, or the one that came.
const TOKEN: &str = "ophryon-token";

/// What was brought is looked through for what is past its time this often.
const SWEEP: Duration = Duration::from_secs(15);

/// A studio that is open.
pub struct Open {
    tray: Mutex<Tray>,
    begun: Instant,
    /// Where client's devices find it: `https://192.168.0.7:8741`.
    outer: String,
    /// Where the artist's page is served, by each of its names.
    inner: Vec<String>,
    fingerprint: String,
    say: fn(&str),
}

/// What the artist's page is told of the door.
#[derive(Serialize)]
struct Here<'a> {
    address: String,
    fingerprint: &'a str,
}

/// What it is told of its offer.
#[derive(Serialize)]
struct Offered {
    key: Token,
    code: String,
    seconds: u64,
}

impl Open {
    /// Open at `outer`; the artist's page is served on this port of this
    /// computer.
    pub fn new(outer: String, fingerprint: String, inner_port: u16, say: fn(&str)) -> Self {
        let inner = ["127.0.0.1", "localhost"];
        Self {
            tray: Mutex::new(Tray::default()),
            begun: Instant::now(),
            outer,
            inner: inner
                .map(|name| format!("http://{name}:{inner_port}"))
                .into(),
            fingerprint,
            say,
        }
    }

    /// For the artist, on this computer.
    pub fn inside(self: &Arc<Self>) -> Router {
        Router::new()
            .route("/studio/{what}", any(artist))
            .layer(DefaultBodyLimit::max(LARGEST_PICTURE))
            .with_state(Arc::clone(self))
    }

    /// For her client, on the studio's network: the app's files, and these.
    pub fn outside(self: &Arc<Self>, assets: Arc<Assets>) -> Router {
        Router::new()
            .route("/studio/{what}", any(guest))
            .layer(DefaultBodyLimit::max(LONGEST_PACKET))
            .with_state(Arc::clone(self))
            .fallback_service(
                Router::new()
                    .fallback(files)
                    .with_state(assets)
                    .into_service::<axum::body::Body>(),
            )
    }

    /// Lets go of what is past its time, also while nobody asks.
    pub async fn sweep(self: Arc<Self>) {
        loop {
            tokio::time::sleep(SWEEP).await;
            let now = self.now();
            self.tray().sweep(now);
        }
    }

    fn now(&self) -> Duration {
        self.begun.elapsed()
    }

    fn tray(&self) -> MutexGuard<'_, Tray> {
        // Nothing in it is ever half done.
        self.tray.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn asked_by_artist(&self, what: &str, headers: &HeaderMap, body: &[u8]) -> Answered {
        let now = self.now();
        let mut tray = self.tray();
        match what {
            "here" => as_json(&Here {
                address: format!("{}/", self.outer),
                fingerprint: &self.fingerprint,
            }),
            "offer" => {
                let (key, code) = (Token::from_bytes(by_chance()?), Code::of(by_chance()?));
                tray.offer(now, text(body).ok_or(Refusal::NoInvitation)?, (key, code))?;
                let (spoken, minutes) = (spoken(code), CODE_LIFE.as_secs() / 60);
                (self.say)(&format!(
                    "A shape waits for a client at {}/ under the code {spoken}, for {minutes} minutes.",
                    self.outer
                ));
                as_json(&Offered {
                    key,
                    code: code.to_string(),
                    seconds: CODE_LIFE.as_secs(),
                })
            }
            "picture" => {
                tray.add_picture(now, token(headers)?, body)?;
                as_json(&())
            }
            "look" => as_json(&tray.look(now, token(headers)?)),
            "answer" => {
                let answer = tray.answer_of(now, token(headers)?)?.to_owned();
                Ok(("text/plain; charset=utf-8", answer.into_bytes()))
            }
            "end" => {
                tray.end(now, token(headers)?);
                as_json(&())
            }
            _ => Err(Refusal::Unknown),
        }
    }

    fn asked_by_guest(&self, what: &str, headers: &HeaderMap, body: &[u8]) -> Answered {
        let now = self.now();
        let mut tray = self.tray();
        tray.call(now)?;
        match what {
            "come" => {
                let code = text(body).unwrap_or_default();
                let given = tray.come(now, code, Token::from_bytes(by_chance()?));
                match &given {
                    Ok(_) => (self.say)(&format!(
                        "A device came with the code. Its answer is waited for, {} minutes at most.",
                        ANSWER_LIFE.as_secs() / 60
                    )),
                    Err(why @ (Refusal::WrongCode { .. } | Refusal::Closed)) => {
                        (self.say)(&format!("A device came with another code: {why}."));
                    }
                    Err(_) => {}
                }
                as_json(&given?)
            }
            "again" => as_json(&tray.again(now, token(headers)?)?),
            "picture" => Ok(("image/jpeg", tray.take_picture(now, token(headers)?)?)),
            "answer" => {
                let packet = text(body).ok_or(Refusal::NoAnswer)?;
                tray.bring(now, token(headers)?, packet)?;
                (self.say)("The signed answer is here and waits for the artist's page.");
                as_json(&())
            }
            _ => Err(Refusal::Unknown),
        }
    }
}

type Answered = Result<(&'static str, Vec<u8>), Refusal>;

async fn artist(
    State(open): State<Arc<Open>>,
    Path(what): Path<String>,
    method: Method,
    headers: HeaderMap,
    body: Bytes,
) -> Response {
    let own = open.inner.iter().any(|page| is_own_page(&headers, page));
    sent(match (method, own) {
        (Method::POST, true) => open.asked_by_artist(&what, &headers, &body),
        _ => Err(Refusal::Stranger),
    })
}

async fn guest(
    State(open): State<Arc<Open>>,
    Path(what): Path<String>,
    method: Method,
    headers: HeaderMap,
    body: Bytes,
) -> Response {
    let own = is_own_page(&headers, &open.outer);
    sent(match (method, own) {
        (Method::POST, true) => open.asked_by_guest(&what, &headers, &body),
        _ => Err(Refusal::Stranger),
    })
}

/// The app's files. Who comes to the bare address is here to look at a shape,
/// not to design one; what stands behind a `#` comes along by itself.
async fn files(
    assets: State<Arc<Assets>>,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    if uri.path() == "/" && uri.query().is_none() {
        return (
            StatusCode::FOUND,
            [(LOCATION, "/?come"), (CACHE_CONTROL, "no-store")],
        )
            .into_response();
    }
    answer::answer(assets, method, uri, headers).await
}

/// Whether a page asks that was served from there, by that name.
fn is_own_page(headers: &HeaderMap, page: &str) -> bool {
    let said = |name: &HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
    let host = page.split_once("://").map(|(_, host)| host);
    said(&ORIGIN) == Some(page) && said(&HOST) == host
}

fn token(headers: &HeaderMap) -> Result<Token, Refusal> {
    let shown = headers.get(TOKEN).and_then(|v| v.to_str().ok());
    let token = shown.and_then(|text| text.parse().ok());
    token.ok_or(Refusal::Nothing)
}

fn text(body: &[u8]) -> Option<&str> {
    std::str::from_utf8(body).ok()
}

fn as_json(value: &impl Serialize) -> Answered {
    let json = serde_json::to_vec(value).map_err(|_| Refusal::Unknown)?;
    Ok(("application/json", json))
}

fn sent(answered: Answered) -> Response {
    let (status, kind, body) = match answered {
        Ok((kind, body)) => (StatusCode::OK, kind, body),
        Err(why) => {
            let status = match why {
                Refusal::Stranger => StatusCode::FORBIDDEN,
                Refusal::Busy | Refusal::Pause { .. } => StatusCode::TOO_MANY_REQUESTS,
                Refusal::Unknown => StatusCode::NOT_FOUND,
                _ => StatusCode::CONFLICT,
            };
            let body = serde_json::to_vec(&why).unwrap_or_default();
            (status, "application/json", body)
        }
    };
    let headers = [
        (CONTENT_TYPE, kind),
        (CACHE_CONTROL, "no-store"),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    ];
    (status, headers, body).into_response()
}

/// "482 915".
fn spoken(code: Code) -> String {
    let digits = code.to_string();
    let (front, back) = digits.split_at_checked(3).unwrap_or((&digits, ""));
    format!("{front} {back}")
}

/// From the system's own source of chance; without it there is no secret to
/// be had, and nothing is offered.
fn by_chance<const N: usize>() -> Result<[u8; N], Refusal> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| Refusal::NoChance)?;
    Ok(bytes)
}
