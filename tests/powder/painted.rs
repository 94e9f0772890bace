//! What is painted, measured on the pixels.

use ophryon_demo::{Look, looks};
use ophryon_frames::{Point, Side, Sided, Vector};
use ophryon_powder::{Bed, Pixels, Powder, Stage, Tone, Window};

use crate::faces::{Seen, drawn, powders};
use crate::pictures::SHOWN;
use crate::{band, window};

/// Area of the pixels that are covered at all, mm².
fn covered_mm2(powder: &Powder, stage: Stage, window: &Window) -> f64 {
    let cover = powder.cover(stage, window);
    let some = cover.cells.iter().filter(|c| **c > 0.0).count();
    some as f64 * window.px_mm() * window.px_mm()
}

/// By counting pixels, against the areas that kurbo integrates along the
/// outlines; and the healed one is smaller by the artist's shrink, a tenth.
#[test]
fn healed_it_is_smaller_by_the_shrink() {
    let drawn = drawn();
    let healed = drawn.healed();
    for (side, powder) in powders(&drawn).iter() {
        let (low, high) = drawn.seen.get(side).bounds();
        let window = window(low, high, 16.0);
        let fresh = covered_mm2(powder, Stage::Fresh, &window);
        let kept = covered_mm2(powder, Stage::Healed, &window);
        let by_line = drawn.seen.get(side).area();
        let healed = healed.get(side).as_ref().unwrap();
        let kept_by_line: f64 = healed.seen.iter().map(|o| o.area()).sum();
        assert!((fresh / by_line - 1.0).abs() < 0.01, "{fresh} {by_line}");
        assert!(
            (kept / kept_by_line - 1.0).abs() < 0.01,
            "{kept} {kept_by_line}"
        );
        let share = drawn.shrink.share;
        assert!((0.08..0.12).contains(&share), "{share}");
        // Seen from the front the tail is narrower than on the skin.
        assert!(
            (kept / fresh - (1.0 - share)).abs() < 0.012,
            "{kept} {fresh}"
        );
    }
}

/// CIE 1976 lightness of an sRGB pixel: IEC 61966-2-1 for the linear light and
/// its weights, CIE 15 for L*.
fn lightness(px: &[u8]) -> f64 {
    let linear = |v: u8| {
        let v = f64::from(v) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            libm::pow((v + 0.055) / 1.055, 2.4)
        }
    };
    let y = 0.2126 * linear(px[0]) + 0.7152 * linear(px[1]) + 0.0722 * linear(px[2]);
    if y > 216.0 / 24389.0 {
        116.0 * libm::cbrt(y) - 16.0
    } else {
        y * 24389.0 / 27.0
    }
}

/// Mean lightness of what lies well within the healed outline of one side.
fn mean(seen: &Seen, rgb: &[u8], inside: &[usize]) -> f64 {
    assert_eq!(rgb.len(), seen.picture.rgb.len());
    let sum: f64 = inside
        .iter()
        .map(|i| lightness(&rgb[3 * i..3 * i + 3]))
        .sum();
    sum / inside.len() as f64
}

/// On every skin and hair that the generator has, with the tone that suits it
/// and with the lightest and the darkest: fresh is darker than healed, healed
/// darker than bare, each by more than the one unit of L* that is just seen side by
/// side (from memory).
#[test]
fn fresh_is_darker_than_healed_on_every_skin() {
    let drawn = drawn();
    let powders = powders(&drawn);
    let suits = |i: usize| {
        SHOWN
            .iter()
            .find(|s| s.0 == i)
            .map_or(Tone::RiverClay, |s| s.1)
    };
    let one_side = Sided {
        right: powders.right.clone(),
        left: Powder::on(crate::nothing(), crate::nothing()),
    };
    for (i, look) in looks().iter().enumerate() {
        let seen = close_up(look, &drawn);
        let healed = drawn.healed();
        let kept = &healed.right.as_ref().unwrap().seen;
        let kept = Bed::healed(kept, drawn.seen.get(Side::Right));
        let inside: Vec<usize> = (0..seen.picture.width * seen.picture.height)
            .filter(|i| {
                let (column, row) = (i % seen.picture.width, i / seen.picture.width);
                let p = seen.window.place(column, row);
                kept.holds(p)
            })
            .map(|i| i as usize)
            .collect();
        assert!(inside.len() > 1000);
        let bare = mean(&seen, &seen.picture.rgb, &inside);
        for tone in [suits(i), Tone::RipeBarley, Tone::DeepPeat] {
            let shown = |stage| mean(&seen, &seen.painted(&one_side, stage, tone).rgb, &inside);
            let (fresh, healed) = (shown(Stage::Fresh), shown(Stage::Healed));
            let said = format!("{}, {}: {bare} {healed} {fresh}", look.name, tone.name());
            assert!(healed < bare - 1.0 && fresh < healed - 1.0, "{said}");
        }
    }
}

/// The client's right brow.
fn close_up(look: &Look, drawn: &ophryon_record::Drawn) -> Seen {
    let (low, high) = drawn.seen.get(Side::Right).bounds();
    Seen::new(look, drawn, low.midpoint(high), (200, 92), 0.54)
}

/// Light and shadow of the photo stay: what was half as bright is half as
/// bright under the powder, in every colour, to rounding.
#[test]
fn shadow_stays_shadow() {
    let powder = Powder::on(band(8.0), band(8.0));
    let window = window(Point::new(8.0, -6.0), Point::new(62.0, 6.0), 6.0);
    let count = window.width() as usize * window.height() as usize;
    let painted = |skin: [u8; 3], stage| {
        let mut bytes = skin.repeat(count);
        let mut pixels = Pixels {
            bytes: &mut bytes,
            each: 3,
        };
        powder.paint(stage, Tone::AcornShell, &window, &mut pixels);
        bytes
    };
    for stage in [Stage::Fresh, Stage::Healed] {
        let (lit, shade) = (
            painted([220, 180, 160], stage),
            painted([110, 90, 80], stage),
        );
        for (a, b) in lit.iter().zip(&shade) {
            assert!(
                (f64::from(*a) - 2.0 * f64::from(*b)).abs() <= 1.51,
                "{a} {b}"
            );
        }
        assert!(lit.chunks(3).any(|px| px[0] < 160), "something is painted");
    }
}

/// Nothing but the brows and a breath beside them changes, and before nothing
/// at all.
#[test]
fn the_face_beside_stays_as_it_is() {
    let drawn = drawn();
    let powders = powders(&drawn);
    let seen = close_up(&looks()[4], &drawn);
    let rings: Vec<_> = Side::BOTH
        .iter()
        .map(|side| drawn.seen.get(*side).flattened(0.02))
        .collect();
    let beds = Sided::from_fn(|side| Bed::drawn(drawn.seen.get(side)));
    for stage in Stage::ALL {
        let painted = seen.painted(&powders, stage, Tone::DeepPeat);
        let mut changed = 0;
        for (i, (a, b)) in painted
            .rgb
            .chunks(3)
            .zip(seen.picture.rgb.chunks(3))
            .enumerate()
        {
            let (column, row) = (i as u32 % painted.width, i as u32 / painted.width);
            let p = seen.window.place(column, row);
            let is_near = beds.iter().any(|(_, bed)| bed.holds(p))
                || rings.iter().flatten().any(|q| q.distance(p) < 2.5);
            if !is_near {
                assert_eq!(a, b, "{stage:?} at {p:?}");
            }
            changed += u32::from(a != b);
        }
        assert_eq!(
            changed > 500,
            stage != Stage::Before,
            "{stage:?}: {changed}"
        );
    }
}

/// A turned and mirrored picture shows the same powder at the same place.
#[test]
fn turned_pixels_show_the_same() {
    let powder = Powder::on(band(8.0), band(8.0));
    let upright = window(Point::new(8.0, -6.0), Point::new(62.0, 6.0), 5.0);
    let (wide, high) = (upright.width(), upright.height());
    let step = 1.0 / 5.0;
    // Columns run down, rows to the right.
    let turned = Window::new(
        (high, wide),
        Point::new(8.0, 6.0),
        Vector::new(0.0, -step),
        Vector::new(step, 0.0),
    )
    .unwrap();
    let (a, b) = (
        powder.cover(Stage::Fresh, &upright),
        powder.cover(Stage::Fresh, &turned),
    );
    for row in 0..high {
        for column in 0..wide {
            let (x, y) = (
                a.cells[(row * wide + column) as usize],
                b.cells[(column * high + row) as usize],
            );
            assert!((x - y).abs() < 1e-4, "{column} {row}: {x} {y}");
        }
    }
}
