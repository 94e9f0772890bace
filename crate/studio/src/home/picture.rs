//! What the app is about, in a drawing and two lines.

use crate::markup::{El, div, el, p, svg};

/// A brow with its dimensions, as on a workshop drawing.
pub fn picture() -> El {
    let path = |class: &'static str, d: &'static str| svg("path").at("class", class).at("d", d);
    let ring = |(x, y): (&'static str, &'static str)| {
        svg("circle")
            .at("class", "ring")
            .at("cx", x)
            .at("cy", y)
            .at("r", "7")
    };
    let drawing = svg("svg")
        .at("viewBox", "0 0 480 250")
        .at("role", "img")
        .label("A brow with its dimensions drawn in")
        .put(path("dots", "M40 20V236M40 196H470"))
        .put(path(
            "brow-shape",
            "M108 156 L302 86 C336 74 352 72 372 84 C404 104 430 130 452 164 C424 140 398 126 368 119 C344 114 322 116 298 123 L110 190 Z",
        ))
        .put(path("drawn", "M108 226H452M108 218v16M452 218v16"))
        .put(path("drawn", "M40 44H348M348 36v16M40 36v16"))
        .put(path("drawn", "M348 86V196M340 196h16"))
        .all(
            [("108", "156"), ("110", "190"), ("348", "76"), ("368", "119"), ("452", "164")]
                .map(ring),
        );
    div("home-picture")
        .put(drawing)
        .put(el("h1").words("Two brows, measured on the face itself."))
        .put(p("Bring a photo, tap the landmarks, draw the brow by its own points, and print the pair at true size, with every distance to check by ruler."))
}
