//! What one step of dragging costs inside the browser, printed. A benchmark
//! and no test: `cargo xtask bench` asks for it by name.

#![cfg(target_arch = "wasm32")]

#[path = "../../../crate/brow/benches/step/mod.rs"]
mod step;

use step::{dragged, hair, linked, step, unlinked, whole_step, wishing};
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// Enough that the browser's clock, coarse on purpose, doesn't matter.
const STEPS: u32 = 4000;

#[wasm_bindgen_test]
#[ignore = "a benchmark"]
fn one_step_of_dragging() {
    let (hair, pair) = (hair(), linked());
    let timed = |name: &str, mut one: Box<dyn FnMut(u32)>| {
        let begun = js_sys::Date::now();
        (0..STEPS).for_each(&mut one);
        let each = (js_sys::Date::now() - begun) / f64::from(STEPS);
        console_log!("{name}: {each:.3} ms in the browser");
        assert!(each > 0.0, "nothing was computed");
    };
    let (p, h) = (pair.clone(), hair.clone());
    timed(
        "drag, linked pair",
        Box::new(move |n| {
            step(&dragged(&p, n), None);
        }),
    );
    let (p, h2) = (pair.clone(), h.clone());
    timed(
        "drag, linked pair on hair",
        Box::new(move |n| {
            step(&dragged(&p, n), h2.as_ref());
        }),
    );
    let h3 = h.clone();
    timed(
        "drag, unlinked pair on hair",
        Box::new(move |n| {
            step(&unlinked(&pair, n), h3.as_ref());
        }),
    );
    let (w, h4) = (wishing(), h.clone());
    timed(
        "drag, linked pair with wishes on hair, healed too",
        Box::new(move |n| {
            whole_step(&dragged(&w, n), h4.as_ref());
        }),
    );
    let w = wishing();
    timed(
        "drag, unlinked pair with wishes on hair, healed too",
        Box::new(move |n| {
            whole_step(&unlinked(&w, n), h.as_ref());
        }),
    );
    let w = wishing();
    timed(
        "draw alone, with wishes and a guide",
        Box::new(move |n| {
            let points = dragged(&w, n).points;
            let _ = ophryon_brow::draw(&points, &w.form, &Default::default());
        }),
    );
}
