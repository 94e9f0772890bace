//! One window at a time: the browser's own locks between its windows (Web
//! Locks API). A lock ends with its window, whichever way that ends.

use std::cell::Cell;
use std::rc::Rc;

use js_sys::{Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

/// How a lock is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Now or not.
    IfFree,
    /// Once all before have let go.
    InTurn,
    /// Now, taken from whoever has it.
    TakenOver,
}

/// What came of asking.
pub enum Answer {
    /// It is held until this is dropped.
    Held(Lock),
    /// Another window has it.
    Busy,
    /// This browser has no locks, or none for this page.
    NotOffered,
}

/// A lock that is held.
pub struct Lock(Function);

impl Drop for Lock {
    fn drop(&mut self) {
        // A promise's own function; it does not fail.
        let _ = self.0.call0(&JsValue::NULL);
    }
}

fn promise() -> Option<(Promise, Function)> {
    let mut hand = None;
    let promise = Promise::new(&mut |done, _| hand = Some(done));
    hand.map(|done| (promise, done))
}

/// Asks for a lock; `lost` is told when another window takes it over.
pub async fn ask(name: &str, how: How, lost: impl FnOnce() + 'static) -> Answer {
    match begin(name, how, lost) {
        Some((granted, release)) => match JsFuture::from(granted).await {
            Ok(is) if is.is_truthy() => Answer::Held(Lock(release)),
            Ok(is) if is.is_null() => Answer::NotOffered,
            _ => Answer::Busy,
        },
        None => Answer::NotOffered,
    }
}

fn begin(name: &str, how: How, lost: impl FnOnce() + 'static) -> Option<(Promise, Function)> {
    let navigator = web_sys::window()?.navigator();
    let locks = Reflect::get(&navigator, &"locks".into()).ok()?;
    let request = Reflect::get(&locks, &"request".into()).ok()?;
    let request: Function = request.dyn_into().ok()?;
    let (held, release) = promise()?;
    let (granted, tell) = promise()?;
    let is_held = Rc::new(Cell::new(false));
    let told = {
        let (tell, is_held) = (tell.clone(), Rc::clone(&is_held));
        Closure::once_into_js(move |lock: JsValue| -> JsValue {
            let is = lock.is_truthy();
            is_held.set(is);
            let _ = tell.call1(&JsValue::NULL, &is.into());
            if is { held.into() } else { JsValue::UNDEFINED }
        })
    };
    let options = Object::new();
    let wish = match how {
        How::IfFree => "ifAvailable",
        How::TakenOver => "steal",
        How::InTurn => "",
    };
    if !wish.is_empty() {
        Reflect::set(&options, &wish.into(), &true.into()).ok()?;
    }
    let over = request.call3(&locks, &name.into(), &options, &told).ok()?;
    let over: Promise = over.dyn_into().ok()?;
    spawn_local(async move {
        if JsFuture::from(over).await.is_err() {
            if is_held.get() {
                lost();
            } else {
                // Refused, as where the settings deny storing anything.
                let _ = tell.call1(&JsValue::NULL, &JsValue::NULL);
            }
        }
    });
    Some((granted, release))
}
