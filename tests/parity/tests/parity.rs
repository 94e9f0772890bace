//! Here and on the machine that built this: the same figures.
//!
//! Run natively, it compares two native builds (the build script's own and
//! the test's); run in the browser, WebAssembly with native code.

use ophryon_parity::figures::{Figures, Value};
use ophryon_parity::native;
use ophryon_parity::run::{CLIENTS, all};

#[cfg(target_arch = "wasm32")]
wasm_bindgen_test::wasm_bindgen_test_configure!(run_in_browser);

/// What two machines may differ by, mm or degrees or px. A ruler shows 0.5.
const ALLOWED: f64 = 1e-9;

#[cfg(target_arch = "wasm32")]
fn say(words: &str) {
    wasm_bindgen_test::console_log!("{words}");
}

#[cfg(not(target_arch = "wasm32"))]
fn say(words: &str) {
    println!("{words}");
}

#[cfg_attr(not(target_arch = "wasm32"), test)]
#[cfg_attr(target_arch = "wasm32", wasm_bindgen_test::wasm_bindgen_test)]
fn every_machine_comes_to_the_same_figures() {
    let here = all();
    let gap = here.compare(native()).unwrap_or_else(|why| panic!("{why}"));
    say(&format!(
        "{} figures; {} numbers differ, by {:e} at most {}; {} texts differ",
        here.iter().count(),
        gap.differing,
        gap.largest,
        gap.label,
        gap.words.len()
    ));
    // Sheet, report, client's file, readings and refusals, letter by letter.
    assert!(gap.words.is_empty(), "{:?}", gap.words);
    assert!(gap.largest <= ALLOWED, "{} by {}", gap.label, gap.largest);
    enough(&here);
}

/// A comparison of nothing with nothing would pass.
fn enough(figures: &Figures) {
    let printed = figures
        .iter()
        .filter(|(label, _)| label.ends_with("stencil.svg"))
        .count();
    let refused = figures
        .iter()
        .filter(|(label, _)| label.ends_with("not drawn"))
        .count();
    let sealed = figures
        .iter()
        .filter(|(label, _)| label.ends_with("worked on: seal"))
        .count();
    say(&format!(
        "{printed} sheets, {refused} shapes refused in words, {sealed} seals"
    ));
    assert!(sealed as u64 > CLIENTS / 2, "{sealed} seals");
    assert!(printed as u64 > 2 * CLIENTS * 8 / 10, "{printed} sheets");
    assert!(refused > 0);
    let number = |(_, value)| match value {
        Value::Number(number) => Some(number),
        Value::Words(_) => None,
    };
    assert!(figures.iter().filter_map(number).count() > 100_000);
    assert!(figures.iter().filter_map(number).all(f64::is_finite));
}

/// RFC 8785 writes numbers as ECMAScript does, so the browser itself is a
/// second writer.
#[cfg(target_arch = "wasm32")]
#[wasm_bindgen_test::wasm_bindgen_test]
fn numbers_are_sealed_as_the_browser_writes_them() {
    let mut lot = ophryon_parity::lot::Lot::new(8785);
    let mut compared = 0;
    for _ in 0..20_000 {
        let any = f64::from_bits(lot.bits());
        for number in [any, lot.between(-200.0, 200.0)] {
            if number.is_finite() {
                let browser = js_sys::JSON::stringify(&number.into());
                let browser = browser.ok().and_then(|text| text.as_string());
                assert_eq!(ophryon_agreement::canonical(&number).ok(), browser);
                compared += 1;
            }
        }
    }
    say(&format!("{compared} numbers as the browser writes them"));
}

#[cfg_attr(not(target_arch = "wasm32"), test)]
#[cfg_attr(target_arch = "wasm32", wasm_bindgen_test::wasm_bindgen_test)]
fn a_difference_is_found() {
    let mut one = Figures::default();
    one.at("here:");
    one.number("length", 50.0);
    one.words("said", "a");
    let mut other = Figures::default();
    other.at("here:");
    other.number("length", 50.0 + 1e-7);
    other.words("said", "a");
    let gap = one.compare(&other.to_bytes()).unwrap();
    assert!(gap.differing == 1 && (gap.largest - 2e-9).abs() < 1e-12);
    other.words("said", "more");
    assert!(one.compare(&other.to_bytes()).is_err());
    one.words("said", "something else");
    let gap = one.compare(&other.to_bytes()).unwrap();
    assert_eq!(gap.words, ["here: said"]);
}
