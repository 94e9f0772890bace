//! Everything that touches the browser beyond the page itself: the store,
//! settings, pictures, files, printing. Failures come back as sentences.

pub mod clock;
pub mod files;
pub mod locks;
pub mod page;
pub mod pictures;
pub mod print;
pub mod settings;
pub mod store;

use wasm_bindgen::JsValue;

/// What a JavaScript error says, for the end of a sentence.
pub(crate) fn said_by(error: &JsValue) -> String {
    use wasm_bindgen::JsCast;
    error
        .dyn_ref::<js_sys::Error>()
        .map(|e| String::from(e.message()))
        .or_else(|| error.as_string())
        .unwrap_or_else(|| "no reason was given".to_owned())
}
