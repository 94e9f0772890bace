//! The pair by itself: to scale, as others see it, on a plain invented face.

use ophryon_brow::Outline;
use ophryon_frames::{Front, Side, Skin, Wrap};
use ophryon_record::{AgreedDrawing, AgreedShape, WrapChoice};

use crate::markup::{El, svg};

/// What is shown of a brow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The lines that are drawn on her.
    Drawn,
    /// What stays of it.
    Healed,
}

/// Eyes, nose and the sides of a face that is nobody's, mm: x to the right of
/// whoever looks, y down. Pupils 63 mm apart.
const FACE: &str = "M-71-46C-74-20-72 8-64 30M71-46C74-20 72 8 64 30\
    M-45 1C-40-6-24-8-17 3C-25 8-38 8-45 1ZM45 1C40-6 24-8 17 3C25 8 38 8 45 1Z\
    M-9-2C-8 12-13 26-15 33C-12 38-6 38 0 40C6 38 12 38 15 33C13 26 8 12 9-2";

/// The curve that the shape is seen through. A tape alone doesn't give it
/// without her photo, so a typical one stands in: this is to look at, the
/// numbers are what is signed.
fn curve(shape: &AgreedShape) -> Wrap {
    let typical = || WrapChoice::Estimate.fixed();
    shape.wrap.fixed().or_else(typical).unwrap_or(Wrap::Flat)
}

/// The picture.
pub fn face(shape: &AgreedShape, drawing: &AgreedDrawing, stage: Stage, label: String) -> El {
    let wrap = curve(shape);
    let seen = |outline: &Outline<Skin>| -> Outline<Front> { outline.seen(&wrap) };
    let brows: Vec<(Side, String)> = Side::BOTH
        .into_iter()
        .map(|side| {
            let pieces: Vec<String> = match stage {
                Stage::Drawn => vec![seen(drawing.on_skin.get(side)).path().to_svg()],
                Stage::Healed => {
                    let pieces = drawing.healed_on_skin.get(side).iter();
                    pieces.map(|o| seen(o).path().to_svg()).collect()
                }
            };
            (side, pieces.join(" "))
        })
        .collect();
    let iris = |x: &'static str| svg("circle").at("cx", x).at("cy", "0.5").at("r", "5.4");
    let brow = |(side, d): (Side, String)| {
        svg("path").at("d", d).at("data-side", side.name()).at(
            "class",
            match stage {
                Stage::Drawn => "plain-brow",
                Stage::Healed => "plain-brow healed",
            },
        )
    };
    svg("svg")
        .at("class", "plain-face")
        .at("viewBox", "-80 -50 160 96")
        .at("role", "img")
        .id("plain-face")
        .label(label)
        .put(
            svg("g")
                .at("class", "plain-lines")
                .put(svg("path").at("d", FACE))
                .all([iris("-31.5"), iris("31.5")]),
        )
        .put(svg("path").at("class", "plain-midline").at("d", "M0-48V44"))
        // Heights count up, a page's rows down.
        .put(
            svg("g")
                .at("transform", "scale(1 -1)")
                .all(brows.into_iter().map(brow).collect::<Vec<_>>()),
        )
}
