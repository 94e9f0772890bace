//! One brow in all its stages, painted on a photo.

use ophryon_brow::Outline;
use ophryon_frames::Front;

use crate::bed::Bed;
use crate::cover::Cover;
use crate::dots::{Dot, scattered};
use crate::ground::{BESIDE_MM, Ground};
use crate::line;
use crate::manner::Manner;
use crate::tone::Tone;
use crate::window::Window;

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// The face as it is.
    Before,
    /// The outline, as a thin soft line.
    Drawn,
    /// The powder on the first days.
    Fresh,
    /// What stays of it.
    Healed,
}

impl Stage {
    /// In the order of time.
    pub const ALL: [Self; 4] = [Self::Before, Self::Drawn, Self::Fresh, Self::Healed];
}

/// Pixels by rows from the top left.
#[derive(Debug)]
pub struct Pixels<'a> {
    /// Red, green, blue, and whatever else belongs to a pixel; sRGB.
    pub bytes: &'a mut [u8],
    /// Bytes to a pixel, three or four.
    pub each: usize,
}

/// The powder of one brow: where it may lie drawn and healed, and its dots.
#[derive(Debug, Clone)]
pub struct Powder {
    drawn: (Bed, Ground),
    healed: (Bed, Ground),
    dots: Vec<Dot>,
}

impl Powder {
    /// Nothing is painted farther from the outlines, mm.
    pub const BESIDE_MM: f64 = line::BESIDE_MM;

    /// Of an outline as the camera sees it, and of what stays of it.
    pub fn of(drawn: &Outline<Front>, healed: &[Outline<Front>]) -> Self {
        Self::on(Bed::drawn(drawn), Bed::healed(healed, drawn))
    }

    /// On beds that are known.
    pub fn on(drawn: Bed, healed: Bed) -> Self {
        let ground = Ground::of(&drawn);
        let dots = scattered(&drawn, &ground, &Manner::FRESH);
        let within = Ground::of(&healed);
        Self {
            drawn: (drawn, ground),
            healed: (healed, within),
            dots,
        }
    }

    /// The dots. What heals are the same ones, as far as they lie in what stays.
    pub fn dots(&self) -> &[Dot] {
        &self.dots
    }

    /// How much of each pixel is covered; of nothing before and of the line.
    pub fn cover(&self, stage: Stage, window: &Window) -> Cover {
        let ((bed, ground), manner) = match stage {
            Stage::Healed => (&self.healed, &Manner::HEALED),
            _ => (&self.drawn, &Manner::FRESH),
        };
        let shown = matches!(stage, Stage::Fresh | Stage::Healed);
        match bed.bounds().filter(|_| shown) {
            Some(bounds) => Cover::of(ground, bounds, &self.dots, manner, window),
            None => Cover {
                width: window.width(),
                height: window.height(),
                cells: vec![0.0; window.width() as usize * window.height() as usize],
            },
        }
    }

    /// Paints a stage over the photo's pixels, which the window describes.
    /// Fewer pixels than that are painted as far as they go.
    pub fn paint(&self, stage: Stage, tone: Tone, window: &Window, pixels: &mut Pixels<'_>) {
        let each = pixels.each.max(3);
        match stage {
            Stage::Before => {}
            Stage::Drawn => self.each_near(window, |i, depth| {
                if let Some(px) = pixels.bytes.get_mut(i * each..i * each + 3) {
                    line::draw(px, depth, window.px_mm());
                }
            }),
            Stage::Fresh | Stage::Healed => {
                let cover = self.cover(stage, window);
                let tone = tone.srgb().map(|c| f32::from(c) / 255.0);
                for (px, covered) in pixels.bytes.chunks_mut(each).zip(&cover.cells) {
                    if *covered > 0.0 {
                        multiply(px, tone, *covered);
                    }
                }
            }
        }
    }

    /// Calls with the number of every pixel that some stage may change, and its
    /// depth within the drawn outline, mm.
    pub fn each_near(&self, window: &Window, mut told: impl FnMut(usize, f64)) {
        let (bed, ground) = &self.drawn;
        let Some(bounds) = bed.bounds() else { return };
        let [columns, rows] = window.touched(bounds, BESIDE_MM);
        for row in rows {
            for column in columns.clone() {
                let place = ground.at(window.place(column, row));
                let depth = place.map_or(f64::NEG_INFINITY, |place| place.depth_mm);
                if depth > -line::BESIDE_MM {
                    let i = row as usize * window.width() as usize + column as usize;
                    told(i, depth);
                }
            }
        }
    }
}

/// Lays a tone over a pixel as a dye: light that comes back through it is
/// less by the tone's share, so the photo's light and shadow stay, on any
/// skin, and darker hair stays darker than the powder.
///
/// On the numbers as they are stored (sRGB), like the blend mode "multiply" of
/// W3C Compositing and Blending. With a tone over everything the result is
/// nearly the same as in linear light, as a power of a product is the product
/// of the powers; where it covers a share, the stored numbers, which are even
/// to the eye, keep the fading even.
fn multiply(px: &mut [u8], tone: [f32; 3], cover: f32) {
    for (value, tone) in px.iter_mut().zip(tone) {
        let lit = f32::from(*value) * (1.0 - cover * (1.0 - tone));
        *value = (lit + 0.5) as u8;
    }
}
