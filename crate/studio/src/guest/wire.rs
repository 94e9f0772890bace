//! Questions to the server that this page came from: of the artist's page to
//! the studio's computer it runs on, of a guest's to the studio's network.
//! Nothing goes anywhere else.

use serde_json::Value;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Headers, RequestInit, Response};

/// The header that shows who asks.
const TOKEN: &str = "ophryon-token";

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// Nobody there, or a server that isn't open to the studio's network.
    Away,
    /// A refusal: its word, and the numbers that belong to it.
    Refused {
        /// The word that the server says.
        word: String,
        /// Tries that are left.
        left: u64,
        /// Seconds to wait.
        pause: u64,
    },
}

/// What is said.
pub enum Said<'a> {
    /// Nothing.
    Nothing,
    /// A text.
    Text(&'a str),
    /// A picture.
    Picture(&'a Blob),
}

/// Asks, and takes the answer as JSON.
///
/// # Errors
/// [`Trouble`].
pub async fn ask(what: &str, token: &str, said: Said<'_>) -> Result<Value, Trouble> {
    let text = ask_for_text(what, token, said).await?;
    serde_json::from_str(&text).map_err(|_| Trouble::Away)
}

/// The same, as the text that it is.
///
/// # Errors
/// [`Trouble`].
pub async fn ask_for_text(what: &str, token: &str, said: Said<'_>) -> Result<String, Trouble> {
    text_of(&call(what, token, said).await?).await
}

/// The same, as a picture.
///
/// # Errors
/// [`Trouble`].
pub async fn ask_for_picture(what: &str, token: &str) -> Result<Blob, Trouble> {
    let response = call(what, token, Said::Nothing).await?;
    let blob = response.blob().map_err(|_| Trouble::Away)?;
    let blob = JsFuture::from(blob).await.map_err(|_| Trouble::Away)?;
    Ok(blob.unchecked_into())
}

async fn text_of(response: &Response) -> Result<String, Trouble> {
    let text = response.text().map_err(|_| Trouble::Away)?;
    let text = JsFuture::from(text).await.map_err(|_| Trouble::Away)?;
    text.as_string().ok_or(Trouble::Away)
}

async fn call(what: &str, token: &str, said: Said<'_>) -> Result<Response, Trouble> {
    let away = |_: JsValue| Trouble::Away;
    let window = web_sys::window().ok_or(Trouble::Away)?;
    let how = RequestInit::new();
    how.set_method("POST");
    if !token.is_empty() {
        let headers = Headers::new().map_err(away)?;
        headers.set(TOKEN, token).map_err(away)?;
        how.set_headers(&headers);
    }
    match said {
        Said::Nothing => {}
        Said::Text(text) => how.set_body(&JsValue::from_str(text)),
        Said::Picture(blob) => how.set_body(blob),
    }
    let asked = window.fetch_with_str_and_init(&format!("studio/{what}"), &how);
    let response: Response = JsFuture::from(asked).await.map_err(away)?.unchecked_into();
    if response.ok() {
        return Ok(response);
    }
    Err(refused(&text_of(&response).await?))
}

/// A refusal, or a server that doesn't know the question.
fn refused(text: &str) -> Trouble {
    let said: Value = serde_json::from_str(text).unwrap_or_default();
    let number = |name: &str| said.get(name).and_then(Value::as_u64).unwrap_or_default();
    match said.get("refused").and_then(Value::as_str) {
        Some(word) => Trouble::Refused {
            word: word.to_owned(),
            left: number("left"),
            pause: number("pause"),
        },
        None => Trouble::Away,
    }
}

/// A field of an answer that is a text.
pub fn text_in(answer: &Value, name: &str) -> String {
    let text = answer.get(name).and_then(Value::as_str);
    text.unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_is_told_from_a_server_that_only_hands_out_files() {
        let wrong = refused(r#"{"refused":"wrong-code","left":3,"pause":4}"#);
        let expected = Trouble::Refused {
            word: "wrong-code".to_owned(),
            left: 3,
            pause: 4,
        };
        assert_eq!(wrong, expected);
        for other in ["This server only hands out the app.", "{}", "[1]", ""] {
            assert_eq!(refused(other), Trouble::Away);
        }
    }
}
