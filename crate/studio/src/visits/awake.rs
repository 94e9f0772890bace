//! The screen stays on while the counter lies there: gloves can't unlock a
//! tablet. Screen Wake Lock API (W3C); where a browser hasn't got it, or says no,
//! the screen does as ever.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use js_sys::{Function, Promise, Reflect};
use sycamore::reactive::on_cleanup;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use crate::device::page;

/// What the browser handed out, to be let go.
#[derive(Default)]
struct Lock {
    held: RefCell<Option<JsValue>>,
    /// Nobody wants it any more.
    is_over: Cell<bool>,
}

/// Until this part of the page is gone. A page that was hidden asks anew.
pub fn stay_awake() {
    let lock = Rc::new(Lock::default());
    ask(&lock);
    let again = Rc::clone(&lock);
    page::listen::<web_sys::Event>("visibilitychange", move |_| ask(&again));
    on_cleanup(move || {
        lock.is_over.set(true);
        let_go(lock.held.take());
    });
}

fn ask(lock: &Rc<Lock>) {
    let lock = Rc::clone(lock);
    spawn_local(async move {
        let Ok(given) = request().await else { return };
        let before = if lock.is_over.get() {
            Some(given)
        } else {
            lock.held.replace(Some(given))
        };
        let_go(before);
    });
}

async fn request() -> Result<JsValue, JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let keeper = Reflect::get(&window.navigator(), &"wakeLock".into())?;
    let request: Function = Reflect::get(&keeper, &"request".into())?.dyn_into()?;
    let asked: Promise = request.call1(&keeper, &"screen".into())?.dyn_into()?;
    JsFuture::from(asked).await
}

fn let_go(held: Option<JsValue>) {
    let Some(held) = held else { return };
    let release = Reflect::get(&held, &"release".into());
    if let Some(release) = release.ok().and_then(|r| r.dyn_into::<Function>().ok()) {
        // It may be gone already.
        let _ = release.call0(&held);
    }
}
