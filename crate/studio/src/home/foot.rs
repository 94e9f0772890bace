//! What the artist chooses for this device.

use leptos::prelude::*;

use crate::device::settings::{Hand, Light};
use crate::studio::Studio;

/// Hand and light, and where everything stays.
#[component]
pub fn Foot(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let (hand, light) = (studio.settings.hand, studio.settings.light);
    let hand_button = move |to: Hand, words: &'static str, id: &'static str| {
        view! {
            <button
                type="button"
                class="button"
                data-testid=id
                aria-pressed=move || (hand.get() == to).to_string()
                on:click=move |_| hand.set(to)
            >
                {words}
            </button>
        }
    };
    let light_button = move |to: Light, words: &'static str, id: &'static str| {
        view! {
            <button
                type="button"
                class="button"
                data-testid=id
                aria-pressed=move || (light.get() == to).to_string()
                on:click=move |_| light.set(to)
            >
                {words}
            </button>
        }
    };
    view! {
        <footer class="home-foot">
            <p>
                "Everything stays on this device unless you save a file. No medical advice: local codes and licensed practice rule."
            </p>
            <div class="settings">
                <div class="setting" role="group" aria-label="Working hand">
                    <span>"Working hand"</span>
                    <div class="sides">
                        {hand_button(Hand::Left, "Left", "hand-left")}
                        {hand_button(Hand::Right, "Right", "hand-right")}
                    </div>
                </div>
                <div class="setting" role="group" aria-label="Light">
                    <span>"Light"</span>
                    <div class="sides">
                        {light_button(Light::AsDevice, "As the device", "light-device")}
                        {light_button(Light::Light, "Day", "light-day")}
                        {light_button(Light::Dark, "Dim room", "light-dark")}
                    </div>
                </div>
            </div>
        </footer>
    }
}
