//! Saving a file from the browser, and reading one that was chosen.

use std::time::Duration;

use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, HtmlAnchorElement, HtmlInputElement, Url};

use super::page;

/// Hands a text to the browser as a file to save.
///
/// # Errors
/// A sentence.
pub fn save_text(name: &str, media_type: &str, text: &str) -> Result<(), String> {
    let kind = BlobPropertyBag::new();
    kind.set_type(media_type);
    let parts = js_sys::Array::of1(&text.into());
    save(name, Blob::new_with_str_sequence_and_options(&parts, &kind))
}

/// Hands bytes to the browser as a file to save.
///
/// # Errors
/// A sentence.
pub fn save_bytes(name: &str, media_type: &str, bytes: &[u8]) -> Result<(), String> {
    let kind = BlobPropertyBag::new();
    kind.set_type(media_type);
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    save(
        name,
        Blob::new_with_u8_array_sequence_and_options(&parts, &kind),
    )
}

/// Hands a file that the browser holds already back to it, to be saved.
///
/// # Errors
/// A sentence.
pub fn save_blob(name: &str, blob: Blob) -> Result<(), String> {
    save(name, Ok(blob))
}

fn save(name: &str, blob: Result<Blob, wasm_bindgen::JsValue>) -> Result<(), String> {
    let told = |e| format!("“{name}” can't be saved ({}).", super::said_by(&e));
    let blob = blob.map_err(told)?;
    let url = Url::create_object_url_with_blob(&blob).map_err(told)?;
    let link: HtmlAnchorElement = page::document()
        .ok_or("There is no page to save from.")?
        .create_element("a")
        .map_err(told)?
        .unchecked_into();
    link.set_href(&url);
    link.set_download(name);
    link.click();
    // The browser has taken the blob by the time a minute is over.
    page::later(Duration::from_secs(60), move || {
        let _ = Url::revoke_object_url(&url);
    });
    Ok(())
}

/// The text of a chosen file.
///
/// # Errors
/// A sentence.
pub async fn read_text(file: &File) -> Result<String, String> {
    let name = file.name();
    if file.size() > ophryon_record::LARGEST_FILE as f64 {
        return Err(format!(
            "“{name}” is larger than any client's file. Choose a file that Ophryon saved."
        ));
    }
    let text = JsFuture::from(file.text())
        .await
        .map_err(|e| format!("“{name}” can't be read ({}).", super::said_by(&e)))?;
    Ok(text.as_string().unwrap_or_default())
}

/// The file that was just chosen in an input, which is emptied so that the
/// same file can be chosen again.
pub fn chosen(event: &web_sys::Event) -> Option<File> {
    let input: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = input.files()?.get(0);
    input.set_value("");
    file
}

/// Fetches a text that is shipped beside the app.
///
/// # Errors
/// A sentence.
pub async fn fetch_text(address: &str) -> Result<String, String> {
    let response = fetch(address).await?;
    let unread = |e| format!("{address} can't be read ({}).", super::said_by(&e));
    let text = JsFuture::from(response.text().map_err(unread)?)
        .await
        .map_err(unread)?;
    Ok(text.as_string().unwrap_or_default())
}

/// Fetches a picture that is shipped beside the app.
///
/// # Errors
/// A sentence.
pub async fn fetch_blob(address: &str) -> Result<Blob, String> {
    let response = fetch(address).await?;
    let unread = |e| format!("{address} can't be read ({}).", super::said_by(&e));
    let blob = JsFuture::from(response.blob().map_err(unread)?)
        .await
        .map_err(unread)?;
    Ok(blob.unchecked_into())
}

/// Fetches bytes that are shipped beside the app.
///
/// # Errors
/// A sentence.
pub async fn fetch_bytes(address: &str) -> Result<Vec<u8>, String> {
    let response = fetch(address).await?;
    let unread = |e| format!("{address} can't be read ({}).", super::said_by(&e));
    let buffer = JsFuture::from(response.array_buffer().map_err(unread)?)
        .await
        .map_err(unread)?;
    Ok(js_sys::Uint8Array::new(&buffer).to_vec())
}

async fn fetch(address: &str) -> Result<web_sys::Response, String> {
    let away = || {
        "The sample can't be fetched: the app's server can't be reached and this device has no copy yet. Start the server, or bring a photo of your own.".to_owned()
    };
    let window = web_sys::window().ok_or_else(away)?;
    let response: web_sys::Response = JsFuture::from(window.fetch_with_str(address))
        .await
        .map_err(|_| away())?
        .unchecked_into();
    if response.ok() {
        Ok(response)
    } else {
        Err(away())
    }
}
