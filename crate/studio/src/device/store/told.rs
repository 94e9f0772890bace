//! Windows tell each other what they wrote.

use std::cell::RefCell;

use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{BroadcastChannel, MessageEvent};

thread_local! {
    /// One for the window: a second one would hear the first.
    static CHANNEL: RefCell<Option<BroadcastChannel>> = const { RefCell::new(None) };
}

fn with(what: impl FnOnce(&BroadcastChannel)) {
    CHANNEL.with_borrow_mut(|channel| {
        if channel.is_none() {
            *channel = BroadcastChannel::new("ophryon").ok();
        }
        // Where it is not offered, each write still checks the store.
        if let Some(channel) = channel {
            what(channel);
        }
    });
}

/// A client was written so often by now; 0 where she was erased.
pub(super) fn tell(client: &str, keepings: u32) {
    with(|channel| {
        let _ = channel.post_message(&JsValue::from_str(&format!("{keepings} {client}")));
    });
}

/// Hears what other windows wrote, from now on: the client, and how often she
/// was written.
pub fn listen(heard: impl Fn(&str, u32) + 'static) {
    with(|channel| {
        let heard = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
            let message = event.data().as_string().unwrap_or_default();
            if let Some((keepings, client)) = message.split_once(' ')
                && let Ok(keepings) = keepings.parse()
            {
                heard(client, keepings);
            }
        });
        channel.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        heard.forget();
    });
}
