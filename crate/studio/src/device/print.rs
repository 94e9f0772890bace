//! Printing a page of its own, without leaving the app.

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::HtmlIFrameElement;

const FRAME: &str = "print-frame";

/// Puts a complete HTML page into a hidden frame and asks the browser to
/// print it.
///
/// # Errors
/// A sentence.
pub fn page(html: &str) -> Result<(), String> {
    let told = |e| format!("The browser would not print ({}).", super::said_by(&e));
    let page = super::page::document().ok_or("There is no page to print from.")?;
    if let Some(old) = page.get_element_by_id(FRAME) {
        old.remove();
    }
    let frame: HtmlIFrameElement = page
        .create_element("iframe")
        .map_err(told)?
        .unchecked_into();
    frame.set_id(FRAME);
    frame.set_class_name("print-frame");
    // Neither tabbed to nor read out.
    frame.set_attribute("aria-hidden", "true").map_err(told)?;
    frame.set_tab_index(-1);
    let inner = frame.clone();
    let print = Closure::once_into_js(move || {
        if let Some(window) = inner.content_window() {
            // The print window belongs to the browser from here on.
            let _ = window.focus();
            let _ = window.print();
        }
    });
    frame.set_onload(Some(print.unchecked_ref()));
    frame.set_srcdoc(html);
    page.body()
        .ok_or("There is no page to print from.")?
        .append_child(&frame)
        .map_err(told)?;
    Ok(())
}
