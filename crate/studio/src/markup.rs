//! Elements, said briefly.
//!
//! A thin layer over Sycamore's nodes: what never changes is a value, what
//! changes is a closure. Closures are boxed here, once, so that a view costs a
//! few calls and not a type of its own.

use std::borrow::Cow;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

use sycamore::reactive::{
    NodeHandle, ReadSignal, create_effect, create_selector, create_signal, untrack,
    use_global_scope,
};
use sycamore::web::{BoolAttribute, HtmlNode, StringAttribute, View, ViewHtmlNode, ViewNode};
use wasm_bindgen::JsCast;

const SVG: &str = "http://www.w3.org/2000/svg";

thread_local! {
    static SCOPE: Cell<Option<NodeHandle>> = const { Cell::new(None) };
}

/// Remembers the app's scope for [`glance`].
pub fn remember_scope() {
    SCOPE.set(Some(use_global_scope()));
}

/// Looks at signals without following them, also in event handlers and in
/// answers from the browser, which run outside any scope.
pub fn glance<T>(look: impl FnOnce() -> T) -> T {
    match SCOPE.get() {
        Some(scope) => scope.run_in(|| untrack(look)),
        None => untrack(look),
    }
}

/// An element being put together.
pub struct El(HtmlNode);

/// An HTML element.
#[inline(never)]
pub fn el(tag: &'static str) -> El {
    El(HtmlNode::create_element(Cow::Borrowed(tag)))
}

/// An SVG element.
#[inline(never)]
pub fn svg(tag: &'static str) -> El {
    El(HtmlNode::create_element_ns(SVG, Cow::Borrowed(tag)))
}

/// A division of a class.
pub fn div(class: &'static str) -> El {
    el("div").class(class)
}

/// A paragraph.
pub fn p(words: impl Into<Cow<'static, str>>) -> El {
    el("p").words(words)
}

/// A button of a class, with its id for tests.
pub fn button(class: &'static str, id: impl Into<StringAttribute>) -> El {
    el("button").at("type", "button").class(class).id(id)
}

/// Words that follow a signal.
pub fn says(words: impl Fn() -> String + 'static) -> View {
    let words: Box<dyn FnMut() -> String> = Box::new(words);
    View::from_dynamic(words)
}

/// A part of the page that is put up anew whenever what it is built from
/// changes. Only `from` follows signals; `build` may look at others without
/// being run again for them.
pub fn shows<T: Clone + PartialEq + 'static>(
    mut from: impl FnMut() -> T + 'static,
    build: impl Fn(T) -> View + 'static,
) -> View {
    let seen = Rc::new(RefCell::new(None::<T>));
    let before = Rc::clone(&seen);
    let look = move || {
        let now = Some(from());
        let is_new = *before.borrow() != now;
        if is_new {
            *before.borrow_mut() = now;
        }
        is_new
    };
    let part = move || {
        let now = seen.borrow().clone();
        now.map_or_else(View::new, &build)
    };
    put_up(Box::new(look), Box::new(part))
}

/// The part of [`shows`] that is the same for all.
#[inline(never)]
fn put_up(mut look: Box<dyn FnMut() -> bool>, part: Box<dyn Fn() -> View>) -> View {
    let changes = create_signal(0_u32);
    create_effect(move || {
        if look() {
            changes.set(changes.get_untracked().wrapping_add(1));
        }
    });
    let part: Box<dyn FnMut() -> View> = Box::new(move || {
        changes.track();
        untrack(&part)
    });
    View::from_dynamic(part)
}

/// A value that follows signals and tells of changes only.
#[inline(never)]
pub fn selector<T: PartialEq + 'static>(from: Box<dyn FnMut() -> T>) -> ReadSignal<T> {
    create_selector(from)
}

/// "true" or "false", as ARIA writes it.
pub fn yes_no(is: impl Fn() -> bool + 'static) -> impl Fn() -> &'static str + 'static {
    move || if is() { "true" } else { "false" }
}

impl El {
    /// An attribute, fixed or following a signal.
    pub fn at(self, name: &'static str, value: impl Into<StringAttribute>) -> Self {
        self.set(name, value.into())
    }

    #[inline(never)]
    fn set(mut self, name: &'static str, value: StringAttribute) -> Self {
        self.0.set_attribute(Cow::Borrowed(name), value);
        self
    }

    /// The class attribute.
    pub fn class(self, value: impl Into<StringAttribute>) -> Self {
        self.at("class", value)
    }

    /// The id for tests.
    pub fn id(self, value: impl Into<StringAttribute>) -> Self {
        self.at("data-testid", value)
    }

    /// The words for those who can't see it.
    pub fn label(self, value: impl Into<StringAttribute>) -> Self {
        self.at("aria-label", value)
    }

    /// Not there for those who can't see it.
    pub fn decoration(self) -> Self {
        self.at("aria-hidden", "true")
    }

    /// A toggle that is on or off.
    pub fn pressed(self, is: impl Fn() -> bool + 'static) -> Self {
        self.at("aria-pressed", yes_no(is))
    }

    /// An attribute that is there or not.
    pub fn flag(mut self, name: &'static str, value: impl Into<BoolAttribute>) -> Self {
        self.0.set_bool_attribute(Cow::Borrowed(name), value.into());
        self
    }

    /// What an input holds, following a signal.
    pub fn value(mut self, value: impl Fn() -> String + 'static) -> Self {
        let value: Box<dyn Fn() -> sycamore::reactive::MaybeDyn<wasm_bindgen::JsValue>> =
            Box::new(move || wasm_bindgen::JsValue::from_str(&value()).into());
        self.0.set_property(
            Cow::Borrowed("value"),
            sycamore::reactive::MaybeDyn::Derived(value.into()),
        );
        self
    }

    /// Listens to an event.
    pub fn on<E: JsCast>(self, name: &'static str, mut told: impl FnMut(&E) + 'static) -> Self {
        self.listen(name, Box::new(move |event| told(event.unchecked_ref())))
    }

    #[inline(never)]
    fn listen(mut self, name: &'static str, told: Box<dyn FnMut(web_sys::Event)>) -> Self {
        self.0.set_event_handler(Cow::Borrowed(name), told);
        self
    }

    /// Listens to a click.
    pub fn click(self, mut told: impl FnMut() + 'static) -> Self {
        self.on::<web_sys::Event>("click", move |_| told())
    }

    /// Puts something inside.
    pub fn put(self, part: impl Into<View>) -> Self {
        self.append(part.into())
    }

    #[inline(never)]
    fn append(mut self, part: View) -> Self {
        self.0.append_view(part);
        self
    }

    /// Puts several things of a kind inside.
    pub fn all(mut self, parts: impl IntoIterator<Item = El>) -> Self {
        for part in parts {
            self.0.append_child(part.0);
        }
        self
    }

    /// Puts words inside.
    pub fn words(mut self, words: impl Into<Cow<'static, str>>) -> Self {
        self.0
            .append_child(HtmlNode::create_text_node(words.into()));
        self
    }

    /// Puts words inside that follow a signal.
    pub fn says(self, words: impl Fn() -> String + 'static) -> Self {
        self.put(says(words))
    }

    /// Puts a part inside that is put up anew; see [`shows`].
    pub fn shows<T: Clone + PartialEq + 'static>(
        self,
        from: impl FnMut() -> T + 'static,
        build: impl Fn(T) -> View + 'static,
    ) -> Self {
        self.put(shows(from, build))
    }

    /// Sets markup from our own writers.
    pub fn markup(mut self, markup: String) -> Self {
        self.0.set_inner_html(Cow::Owned(markup));
        self
    }

    /// Hands out the browser's own element; nothing happens outside one.
    pub fn raw(self, with: impl FnOnce(web_sys::Element)) -> Self {
        if cfg!(target_arch = "wasm32") {
            with(self.0.as_web_sys().clone().unchecked_into());
        }
        self
    }
}

impl From<El> for View {
    fn from(el: El) -> Self {
        Self::from_node(el.0)
    }
}

/// Several parts as one.
#[macro_export]
macro_rules! parts {
    ($($part:expr),* $(,)?) => {
        ::sycamore::web::View::from(vec![$(::sycamore::web::View::from($part)),*])
    };
}

/// What an input or a list holds.
pub fn value_of(event: &web_sys::Event) -> String {
    let Some(target) = event.target() else {
        return String::new();
    };
    if let Some(input) = target.dyn_ref::<web_sys::HtmlInputElement>() {
        input.value()
    } else if let Some(list) = target.dyn_ref::<web_sys::HtmlSelectElement>() {
        list.value()
    } else if let Some(text) = target.dyn_ref::<web_sys::HtmlTextAreaElement>() {
        text.value()
    } else {
        String::new()
    }
}
