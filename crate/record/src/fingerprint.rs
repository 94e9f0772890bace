//! A short mark of one exact shape, to tell two sheets apart.

use ophryon_brow::{Form, Limits, Offset, Pair};
use ophryon_frames::{Point, Sided, Wrap};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// What makes a shape this one and no other: each side's points, its offset,
/// the limits it is drawn under and the wrap.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Canonical<'a> {
    points: Sided<[Point<ophryon_frames::Lateral>; 5]>,
    offset: Sided<Offset>,
    limits: &'a Limits,
    wrap: &'a Sided<Wrap>,
    /// Where anything is wished of the curve beyond its points.
    #[serde(skip_serializing_if = "Option::is_none")]
    form: Option<Sided<&'a Form>>,
}

/// The first eight hexadecimal digits of SHA-256 (FIPS 180-4) over the
/// shape's compact JSON in a fixed order. A linked pair and an unlinked one
/// that look the same are the same shape.
pub(crate) fn fingerprint(pair: &Pair, limits: &Limits, wrap: &Sided<Wrap>) -> String {
    let points = Sided::from_fn(|side| {
        let p = pair.points(side);
        [p.front_top, p.front_bottom, p.peak, p.lower_arch, p.tail].map(plain)
    });
    let forms = Sided::from_fn(|side| pair.form(side));
    let canonical = Canonical {
        points,
        offset: pair.offset.map(|o| Offset {
            lateral_mm: o.lateral_mm + 0.0,
            height_mm: o.height_mm + 0.0,
            turn_degrees: o.turn_degrees + 0.0,
        }),
        limits,
        wrap,
        form: (!forms.right.is_default() || !forms.left.is_default()).then_some(forms),
    };
    // Numbers and fixed names only: writing them can't fail.
    let text = serde_json::to_vec(&canonical).unwrap_or_default();
    let hash = Sha256::digest(&text);
    hash.iter().take(4).map(|b| format!("{b:02x}")).collect()
}

/// -0 and 0 are one place.
fn plain(p: Point<ophryon_frames::Lateral>) -> Point<ophryon_frames::Lateral> {
    Point::new(p.x + 0.0, p.y + 0.0)
}
