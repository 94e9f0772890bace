//! The window: timers, frames, listeners.

use std::time::Duration;

use sycamore::reactive::on_cleanup;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use wasm_bindgen_futures::JsFuture;

/// Does something a little later.
pub fn later(wait: Duration, work: impl FnOnce() + 'static) {
    if let Some(window) = web_sys::window() {
        let work = Closure::once_into_js(work);
        let wait = i32::try_from(wait.as_millis()).unwrap_or(i32::MAX);
        // Only a missing window could fail.
        let _ = window
            .set_timeout_with_callback_and_timeout_and_arguments_0(work.unchecked_ref(), wait);
    }
}

/// Does something when the next frame is drawn.
pub fn next_frame(work: impl FnOnce() + 'static) {
    if let Some(window) = web_sys::window() {
        let work = Closure::once_into_js(work);
        let _ = window.request_animation_frame(work.unchecked_ref());
    }
}

/// Lets the page be painted before long work goes on.
pub async fn breathe() {
    wait(Duration::from_millis(30)).await;
}

/// Goes on a little later.
pub async fn wait(time: Duration) {
    let time = i32::try_from(time.as_millis()).unwrap_or(i32::MAX);
    let wait = js_sys::Promise::new(&mut |done, _| {
        if let Some(window) = web_sys::window() {
            // Without a timer it is simply done at once.
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, time);
        }
    });
    // A promise that is only ever fulfilled.
    let _ = JsFuture::from(wait).await;
}

/// Hands the keyboard to an element once it stands; what is in sight stays so.
pub fn focus(element: web_sys::Element) {
    next_frame(move || {
        if let Ok(element) = element.dyn_into::<web_sys::HtmlElement>() {
            let how = web_sys::FocusOptions::new();
            how.set_prevent_scroll(true);
            let _ = element.focus_with_options(&how);
        }
    });
}

/// Scrolls what these selectors find first back to its top: another question
/// begins there.
pub fn to_top(selectors: &[&str]) {
    let Some(page) = document() else { return };
    for selector in selectors {
        if let Ok(Some(found)) = page.query_selector(selector) {
            found.set_scroll_top(0);
        }
    }
}

/// Listens to the window for as long as the part of the page that asked is
/// there.
pub fn listen<E: JsCast + 'static>(name: &'static str, mut told: impl FnMut(&E) + 'static) {
    let Some(window) = web_sys::window() else {
        return;
    };
    let told = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
        told(event.unchecked_ref());
    });
    let heard = window
        .add_event_listener_with_callback(name, told.as_ref().unchecked_ref())
        .is_ok();
    on_cleanup(move || {
        if heard {
            let _ = window.remove_event_listener_with_callback(name, told.as_ref().unchecked_ref());
        }
    });
}

/// Says something to whoever listens on the page.
pub fn say(name: &str) {
    if let Some(window) = web_sys::window()
        && let Ok(event) = web_sys::Event::new(name)
    {
        let _ = window.dispatch_event(&event);
    }
}

/// The page.
pub fn document() -> Option<web_sys::Document> {
    web_sys::window()?.document()
}

/// Whether the system asks for less motion.
pub fn wants_stillness() -> bool {
    web_sys::window()
        .and_then(|w| {
            w.match_media("(prefers-reduced-motion: reduce)")
                .ok()
                .flatten()
        })
        .is_some_and(|m| m.matches())
}

/// Sixteen random bytes; `None` where the browser hands out none.
pub fn random() -> Option<[u8; 16]> {
    let mut bytes = [0; 16];
    let crypto = web_sys::window()?.crypto().ok()?;
    crypto.get_random_values_with_u8_array(&mut bytes).ok()?;
    Some(bytes)
}
