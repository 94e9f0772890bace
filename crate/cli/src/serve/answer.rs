//! One request, one answer: which form of a file, with which headers.
//!
//! Sources: HTTP semantics, RFC 9110 (12.5.3 Accept-Encoding, 13.1.2
//! If-None-Match, 15.4.5 Not Modified); Content Security Policy Level 3, W3C.

use std::borrow::Cow;
use std::sync::Arc;

use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::{
    ACCEPT_ENCODING, ALLOW, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
    ETAG, IF_NONE_MATCH, REFERRER_POLICY, VARY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use super::assets::{Assets, name_of};

/// The page may use its own files, pictures it made itself, and WebAssembly.
/// Nothing comes from elsewhere and nothing goes there.
const POLICY: &str = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; \
    img-src 'self' blob: data:; style-src 'self' 'unsafe-inline'; connect-src 'self' blob:; \
    base-uri 'none'; form-action 'none'; frame-ancestors 'self'; object-src 'none'";

/// On every answer. `no-cache` means: keep it, but ask whether it still holds.
const ALWAYS: [(HeaderName, &str); 5] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (CACHE_CONTROL, "no-cache"),
    (VARY, "accept-encoding"),
];

/// Answers any request. Files are small and there is one reader, so reading
/// them here holds nobody up.
pub async fn answer(
    State(assets): State<Arc<Assets>>,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    respond(&assets, &method, uri.path(), &headers)
}

/// What the artist's page asks to know whether the studio's network is open.
const IS_IT_OPEN: &str = "/studio/here";

fn respond(assets: &Assets, method: &Method, path: &str, headers: &HeaderMap) -> Response {
    if method == Method::POST && path == IS_IT_OPEN {
        // It isn't: an ordinary answer, with nothing in it (RFC 9110, 15.3.5).
        return (StatusCode::NO_CONTENT, ALWAYS).into_response();
    }
    if method != Method::GET && method != Method::HEAD {
        let sentence = "This server only hands out the app.";
        return plain(
            StatusCode::METHOD_NOT_ALLOWED,
            &[(ALLOW, "GET, HEAD")],
            sentence,
        );
    }
    let Some((name, asset)) = name_of(path).and_then(|name| {
        let asset = assets.get(&name)?;
        Some((name, asset))
    }) else {
        return plain(StatusCode::NOT_FOUND, &[], "The app has no such file.");
    };
    let (bytes, coding) = match (asset.brotli, asset.gzip) {
        (Some(brotli), _) if accepts(headers, "br") => (brotli, Some("br")),
        (_, Some(gzip)) if accepts(headers, "gzip") => (gzip, Some("gzip")),
        _ => (asset.bytes, None),
    };
    let tag = entity_tag(&bytes);
    if matches_tag(headers, &tag) {
        return (StatusCode::NOT_MODIFIED, ALWAYS, [(ETAG, tag)]).into_response();
    }
    let body = Body::from(match bytes {
        Cow::Borrowed(carried) => Bytes::from_static(carried),
        Cow::Owned(read) => Bytes::from(read),
    });
    let mut answer = (
        ALWAYS,
        [(ETAG, tag.as_str()), (CONTENT_TYPE, content_type(&name))],
        body,
    )
        .into_response();
    if let Some(coding) = coding {
        answer
            .headers_mut()
            .insert(CONTENT_ENCODING, HeaderValue::from_static(coding));
    }
    answer
}

fn plain(
    status: StatusCode,
    more: &[(HeaderName, &'static str)],
    sentence: &'static str,
) -> Response {
    let mut answer = (
        status,
        ALWAYS,
        [(CONTENT_TYPE, "text/plain; charset=utf-8")],
        sentence,
    )
        .into_response();
    for (name, value) in more {
        answer
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// A strong tag of the bytes as they travel, so the two forms of a file differ.
fn entity_tag(bytes: &[u8]) -> String {
    let hash: String = Sha256::digest(bytes)
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("\"{hash}\"")
}

fn matches_tag(headers: &HeaderMap, tag: &str) -> bool {
    listed(headers, &IF_NONE_MATCH)
        .any(|given| given == "*" || given.strip_prefix("W/").unwrap_or(given) == tag)
}

/// A coding is taken when named, or covered by `*`, with a weight above 0.
fn accepts(headers: &HeaderMap, coding: &str) -> bool {
    let weight = |wanted: &str| {
        listed(headers, &ACCEPT_ENCODING).find_map(|coding| {
            let mut parts = coding.split(';').map(str::trim);
            let name = parts.next()?;
            name.eq_ignore_ascii_case(wanted).then(|| {
                parts
                    .find_map(|part| part.strip_prefix("q=").or(part.strip_prefix("Q=")))
                    .map_or(1.0, |weight| weight.parse::<f32>().unwrap_or(0.0))
            })
        })
    };
    weight(coding)
        .or_else(|| weight("*"))
        .is_some_and(|weight| weight > 0.0)
}

/// The comma-separated values of a header that may come more than once.
fn listed<'a>(headers: &'a HeaderMap, name: &HeaderName) -> impl Iterator<Item = &'a str> {
    headers
        .get_all(name)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(str::trim)
}

/// The media type of a file by its ending, as IANA registers them. The list
/// is what the app has; anything else is offered as bytes.
fn content_type(name: &str) -> &'static str {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "pdf" => "application/pdf",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    static FILES: &[(&str, &[u8])] = &[
        ("index.html", b"the page, the page, the page"),
        ("index.html.gz", b"packed"),
        ("ophryon_bg.wasm", b"\0asm"),
        ("ophryon_bg.wasm.br", b"packed well"),
    ];

    fn ask(path: &str, headers: &[(HeaderName, &str)]) -> Response {
        let headers = headers
            .iter()
            .map(|(name, value)| (name.clone(), value.parse().unwrap()))
            .collect();
        respond(&Assets::Embedded(FILES), &Method::GET, path, &headers)
    }

    fn header(answer: &Response, name: HeaderName) -> &str {
        answer
            .headers()
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }

    #[test]
    fn the_page_comes_gzipped_only_to_who_takes_it() {
        let packed = ask("/", &[(ACCEPT_ENCODING, "gzip, deflate, br")]);
        assert_eq!(packed.status(), StatusCode::OK);
        assert_eq!(header(&packed, CONTENT_ENCODING), "gzip");
        assert_eq!(header(&packed, CONTENT_TYPE), "text/html; charset=utf-8");
        let bare = ask("/", &[]);
        assert_eq!(header(&bare, CONTENT_ENCODING), "");
        assert_ne!(header(&bare, ETAG), header(&packed, ETAG));
        assert_eq!(header(&bare, VARY), "accept-encoding");
    }

    #[test]
    fn the_smaller_copy_goes_to_who_takes_both() {
        let taken = |value| {
            let answer = ask("/ophryon_bg.wasm", &[(ACCEPT_ENCODING, value)]);
            header(&answer, CONTENT_ENCODING).to_owned()
        };
        assert_eq!(taken("gzip, deflate, br, zstd"), "br");
        assert_eq!(taken("gzip, br;q=0"), "");
        assert_eq!(taken("identity"), "");
    }

    #[test]
    fn weights_of_accept_encoding_count() {
        let takes = |value: &str| {
            let headers = HeaderMap::from_iter([(ACCEPT_ENCODING, value.parse().unwrap())]);
            accepts(&headers, "gzip")
        };
        assert!(takes("br, GZIP;q=0.5") && takes("*") && takes("*;q=0, gzip"));
        assert!(!takes("gzip;q=0") && !takes("gzip;q=0, *") && !takes("br") && !takes("xgzip"));
        assert!(!accepts(&HeaderMap::new(), "gzip"));
    }

    #[test]
    fn a_known_tag_saves_the_body_and_an_old_one_does_not() {
        let tag = header(&ask("/", &[]), ETAG).to_owned();
        for known in [
            tag.clone(),
            format!("W/{tag}"),
            format!("\"x\", {tag}"),
            "*".to_owned(),
        ] {
            let again = ask("/", &[(IF_NONE_MATCH, &known)]);
            assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{known}");
            assert_eq!(header(&again, ETAG), tag);
        }
        assert_eq!(
            ask("/", &[(IF_NONE_MATCH, "\"old\"")]).status(),
            StatusCode::OK
        );
    }

    #[test]
    fn nothing_but_reading_is_answered() {
        let assets = Assets::Embedded(FILES);
        let answer = respond(&assets, &Method::POST, "/", &HeaderMap::new());
        assert_eq!(answer.status(), StatusCode::METHOD_NOT_ALLOWED);
        assert_eq!(header(&answer, ALLOW), "GET, HEAD");
    }

    #[test]
    fn whether_the_network_is_open_is_answered_with_nothing_and_no_error() {
        let assets = Assets::Embedded(FILES);
        let answer = respond(&assets, &Method::POST, IS_IT_OPEN, &HeaderMap::new());
        assert_eq!(answer.status(), StatusCode::NO_CONTENT);
        assert_eq!(header(&answer, CACHE_CONTROL), "no-cache");
        let offer = respond(&assets, &Method::POST, "/studio/offer", &HeaderMap::new());
        assert_eq!(offer.status(), StatusCode::METHOD_NOT_ALLOWED);
    }

    #[test]
    fn every_answer_carries_the_policy() {
        for path in ["/", "/ophryon_bg.wasm", "/nothing", "/../Cargo.toml"] {
            let answer = ask(path, &[]);
            let policy = header(&answer, CONTENT_SECURITY_POLICY);
            assert!(policy.starts_with("default-src 'self';"), "{path}");
            assert!(!policy.contains("http"), "no foreign address");
            assert_eq!(header(&answer, CACHE_CONTROL), "no-cache");
        }
        assert_eq!(ask("/nothing", &[]).status(), StatusCode::NOT_FOUND);
    }

    #[test]
    fn media_types_are_those_browsers_insist_on() {
        // Browsers compile WebAssembly while it arrives only under this type,
        // and run modules only under a JavaScript type.
        assert_eq!(content_type("ophryon_bg.wasm"), "application/wasm");
        assert_eq!(content_type("ophryon.js"), "text/javascript; charset=utf-8");
        assert_eq!(content_type("icons/BROW.SVG"), "image/svg+xml");
        assert_eq!(content_type("app.webmanifest"), "application/manifest+json");
        assert_eq!(
            content_type("folder.js/LICENSE"),
            "application/octet-stream"
        );
        assert_eq!(content_type("LICENSE"), "application/octet-stream");
    }
}
