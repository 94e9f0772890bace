//! The picture of flat against wrapped in docs/pictures, drawn from the open
//! mean face. `OPHRYON_WRITE=1` draws it anew.

use std::path::Path;

use ophryon_frames::{Wrap, WrapKind};

use crate::band::{LeftOver, left_over};
use crate::crowd::mean_face;
use crate::surface::Seen;
use crate::{by_laid_tape, left, unrolled};

/// The strip's border: along the lower edge, back along the upper.
fn border(places: &[Seen], rows: usize) -> Vec<Seen> {
    let lower = places.iter().step_by(rows);
    let upper = places.iter().skip(rows - 1).step_by(rows);
    lower.chain(upper.rev()).copied().collect()
}

/// As a stencil is laid on: the middle of the front edge on the middle, and
/// turned about it to fit best.
fn laid_on(own: &[Seen], truth: &[Seen], rows: usize) -> Vec<Seen> {
    let middle = |p: &[Seen]| [0, 1].map(|k| 0.5 * (p[0][k] + p[rows - 1][k]));
    let (from, to) = (middle(own), middle(truth));
    let apart = |p: &Seen, q: Seen| [p[0] - q[0], p[1] - q[1]];
    let pairs = || {
        own.iter()
            .zip(truth)
            .map(|(p, q)| (apart(p, from), apart(q, to)))
    };
    let along: f64 = pairs().map(|(p, q)| p[0] * q[0] + p[1] * q[1]).sum();
    let across: f64 = pairs().map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum();
    let (sin, cos) = libm::sincos(libm::atan2(across, along));
    let place = |(p, _): (Seen, Seen)| {
        [
            to[0] + cos * p[0] - sin * p[1],
            to[1] + sin * p[0] + cos * p[1],
        ]
    };
    pairs().map(place).collect()
}

/// An outline in the picture's own millimetres, y down.
fn path(border: &[Seen], down: f64) -> String {
    let [x0, y0] = [-5.0, 63.0];
    let at = |p: &Seen| format!("{:.2} {:.2}", p[0] + x0, y0 - p[1] + down);
    let points: Vec<String> = border.iter().map(at).collect();
    format!("M{}Z", points.join("L"))
}

fn drawn() -> String {
    let (face, truth) = mean_face();
    let rows = face.band.rows;
    let wrapped = by_laid_tape(WrapKind::Profile, &face);
    let mut panels = String::new();
    for (k, (wrap, title)) in [
        (Wrap::Flat, "Printed flat, as the photo shows it"),
        (wrapped, "Unrolled by one tape length"),
    ]
    .into_iter()
    .enumerate()
    {
        let down = 28.0 * k as f64;
        let own = unrolled(&wrap, &face.band.seen);
        let LeftOver { rms, most } = left_over(&own, &truth);
        let short = left(&wrap, &face).centre;
        let words = if short < -0.05 {
            format!(
                "{:.1} mm short along the brow; shape {rms:.1} mm off (rms), {most:.1} at most",
                -short
            )
        } else {
            format!("as long as the brow; shape {rms:.1} mm off (rms), {most:.1} at most")
        };
        let own = laid_on(&own, &truth, rows);
        panels.push_str(&format!(
            concat!(
                "<text x=\"2\" y=\"{:.1}\" class=\"title\">{}</text>\n",
                "<text x=\"2\" y=\"{:.1}\" class=\"words\">{}</text>\n",
                "<path class=\"skin\" d=\"{}\"/>\n<path class=\"print\" d=\"{}\"/>\n"
            ),
            4.5 + down,
            title,
            7.6 + down,
            words,
            path(&border(&truth, rows), down),
            path(&border(&own, rows), down),
        ));
    }
    format!(
        concat!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"132mm\" height=\"110mm\" viewBox=\"0 0 66 55\" preserveAspectRatio=\"xMidYMid meet\" role=\"img\">\n",
            "<title>A brow printed flat and one unrolled by a tape, on skin</title>\n",
            "<desc>The brow band of the open mean face (MediaPipe project, Apache-2.0), client's left. Filled: the skin laid flat with its lengths kept. Line: what is printed, laid on at the start.</desc>\n",
            "<style>.skin{{fill:#e8c9b0}}.print{{fill:none;stroke:#7a1f3d;stroke-width:.35;stroke-linejoin:round}}text{{font-family:sans-serif;fill:#333}}.title{{font-size:2.6px;font-weight:bold}}.words{{font-size:2px}}</style>\n",
            "<rect width=\"66\" height=\"55\" fill=\"#fff\"/>\n{}</svg>\n"
        ),
        panels
    )
}

#[test]
fn the_picture_shows_this_face() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/pictures/flat-and-wrapped.svg");
    let picture = drawn();
    if std::env::var_os("OPHRYON_WRITE").is_some() {
        std::fs::write(&file, &picture).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(
        kept == picture,
        "draw it anew: OPHRYON_WRITE=1 cargo test -p ophryon-tests --test heads"
    );
    let says = |words: &str| assert!(picture.contains(words), "{picture}");
    says("6.1 mm short along the brow");
    says("as long as the brow; shape 0.3 mm off (rms), 0.9 at most");
}
