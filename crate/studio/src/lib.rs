//! In the making.

use wasm_bindgen::prelude::wasm_bindgen;

/// Runs when the page has loaded the app.
#[wasm_bindgen(start)]
pub fn start() {}
