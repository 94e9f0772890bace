//! Hair inside the brows, hair outside of them and bare skin inside, each as
//! a layer over the photo.

use ophryon_frames::{Photo as Px, Point, Side};
use sycamore::reactive::Signal;
use sycamore::web::View;

use super::border::parted;
use super::kept;
use crate::markup::{El, shows, svg};
use crate::stage::drawing::twice;
use crate::stage::scene::Line;
use crate::studio::Studio;

/// A pattern repeats after so many CSS px.
const REPEAT: f64 = 9.0;

/// The layers, in px of the photo.
pub fn layers(studio: Studio) -> View {
    shows(
        move || {
            let hair: String = Side::BOTH
                .iter()
                .map(|s| rings_path(&kept(studio, *s)))
                .collect();
            let brows = studio.of_shape(|d| Side::BOTH.map(|side| d.photo_path(side)).concat());
            (hair, brows.unwrap_or_default())
        },
        move |(hair, brows)| {
            if hair.is_empty() {
                View::new()
            } else {
                over(studio, &hair, &brows)
            }
        },
    )
}

/// The border's rings as path data.
fn rings_path(border: &[Point<Px>]) -> String {
    let mut d = String::new();
    for ring in parted(border) {
        for (i, p) in ring.iter().enumerate() {
            let step = if i == 0 { 'M' } else { 'L' };
            d.push_str(&format!("{step}{:.1} {:.1}", p.x, p.y));
        }
        d.push('Z');
    }
    d
}

fn over(studio: Studio, hair: &str, brows: &str) -> View {
    let hairing = studio.view.hairing;
    let size = studio.photo_size_now();
    // They belong to the shape as it is, not to one that is proposed.
    let hidden = move |shown: Signal<bool>| !shown.get() || hairing.brought.with(Option::is_some);
    let all_but = |path: &str| format!("M0 0H{:.0}V{:.0}H0Z{path}", size.width, size.height);
    let area = |class: &'static str, path: &str, clip: &'static str| {
        svg("path")
            .at("class", class)
            .at("d", path.to_owned())
            .at("clip-path", clip)
    };
    let border = twice(Line {
        class: "hair-border",
        path: hair.to_owned(),
        filled: false,
    });
    crate::parts![
        svg("defs")
            .put(clip("in-brows", brows.to_owned(), "nonzero"))
            .put(clip("off-brows", all_but(brows), "evenodd"))
            .put(clip("off-hair", all_but(hair), "evenodd"))
            .put(
                pattern(studio, "to-clean")
                    .put(
                        svg("rect")
                            .at("class", "ground")
                            .at("width", "9")
                            .at("height", "9")
                    )
                    .put(
                        svg("path")
                            .at("class", "strokes")
                            .at("d", "M-1 4L4 -1M-1 10L10 -1M5 10L10 5")
                    ),
            )
            .put(
                pattern(studio, "to-fill")
                    .put(
                        svg("rect")
                            .at("class", "ground")
                            .at("width", "9")
                            .at("height", "9")
                    )
                    .put(
                        svg("circle")
                            .at("class", "dots")
                            .at("cx", "4.5")
                            .at("cy", "4.5")
                            .at("r", "1.5")
                    ),
            ),
        area("hair-inside", hair, "url(#in-brows)"),
        area("hair-outside", hair, "url(#off-brows)")
            .flag("hidden", move || hidden(hairing.shows_outside)),
        area("bare", brows, "url(#off-hair)").flag("hidden", move || hidden(hairing.shows_bare)),
        border,
    ]
}

fn clip(id: &'static str, path: String, rule: &'static str) -> El {
    svg("clipPath")
        .at("id", id)
        .put(svg("path").at("clip-rule", rule).at("d", path))
}

/// A pattern of the same grain at every zoom.
fn pattern(studio: Studio, id: &'static str) -> El {
    svg("pattern")
        .at("id", id)
        .at("patternUnits", "userSpaceOnUse")
        .at("width", format!("{REPEAT:.0}"))
        .at("height", format!("{REPEAT:.0}"))
        .at("patternTransform", move || {
            format!(
                "scale({:.5})",
                1.0 / studio.view.sight.get().scale.max(1e-3)
            )
        })
}
