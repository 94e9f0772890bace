//! Brows drawn alone, quickly, with what is known of their hair.

use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use ophryon_demo::{
    Camera, Conditions, Face, Hair, HairGround, HairStyle, Head, Picture, Side as Half, Skin,
    landmarks_of, on_skin, render_under,
};
use ophryon_face::{Landmark, Landmarks, SidedLandmark};
use ophryon_frames::{Photo, Point, Side};
use ophryon_photo::{FoundHair, HairSearch, Layout, NoHair, Pixels, Size, find_hair};

/// The generator's skin tones and hair colours in words.
pub const SKINS: [&str; 6] = ["fair", "light", "medium", "olive", "brown", "dark"];
pub const HAIRS: [&str; 7] = [
    "black",
    "dark brown",
    "brown",
    "auburn",
    "fair",
    "grey",
    "very fair",
];

/// Gaps narrower than twice this belong to the brow's hair, and what is
/// thinner than twice the other stands out of it, mm: hairs of a brow stand
/// half a millimetre to one apart.
const GAP_MM: f64 = 0.7;
const LONE_MM: f64 = 0.35;

/// One brow in a picture of its own.
pub struct Drawn {
    pub picture: Picture,
    pub px_per_mm: f64,
    pub side: Side,
    pub landmarks: Landmarks,
    /// The closed outline that no hair leaves, px.
    pub outline: Vec<Point<Photo>>,
    /// What the generator's hairs cover, mm² seen from the front.
    pub ground_mm2: f64,
}

/// A random head's brow with this skin and hair.
pub fn draw(seed: u64, skin: usize, hair: usize, k: f64, conditions: &Conditions) -> Drawn {
    let side = Side::BOTH[seed as usize % 2];
    let head = Head {
        skin: Skin::tone(skin),
        hair: Hair::of(hair, seed as usize % 7, HairStyle::Back),
        ..Head::random(seed)
    };
    let half = match side {
        Side::Right => Half::Right,
        Side::Left => Half::Left,
    };
    let full = Camera {
        focal: k * 3200.0,
        ..Camera::default()
    };
    let face = Face::of(&head);
    let marks = landmarks_of(&head, &face);
    let brow = head.brow_now(half);
    let around = full.project(on_skin(&face, half, brow.centre(0.5)));
    let size = ((70.0 * k) as u32, (46.0 * k) as u32);
    let camera = Camera {
        size,
        principal: (
            full.principal.0 - around.0 + 0.5 * f64::from(size.0),
            full.principal.1 - around.1 + 0.42 * f64::from(size.1),
        ),
        ..full
    };
    let px = |p| {
        let (x, y) = camera.project(p);
        Point::new(x, y)
    };
    let m = marks.side(half);
    let mut landmarks = Landmarks::default();
    for (l, at) in [
        (SidedLandmark::InnerCorner, m.inner_corner),
        (SidedLandmark::OuterCorner, m.outer_corner),
        (SidedLandmark::BrowStartTop, m.brow_start_top),
        (SidedLandmark::BrowStartBottom, m.brow_start_bottom),
        (SidedLandmark::BrowPeak, m.brow_peak),
        (SidedLandmark::BrowLowerArch, m.brow_lower_arch),
        (SidedLandmark::BrowTail, m.brow_tail),
    ] {
        landmarks.set(Landmark::Sided(side, l), px(at));
    }
    let outline = brow.outline().into_iter();
    Drawn {
        picture: render_under(&head, &camera, None, conditions),
        ground_mm2: HairGround::of(&head, half, GAP_MM, LONE_MM).frontal_mm2,
        px_per_mm: k,
        side,
        landmarks,
        outline: outline.map(|s| px(on_skin(&face, half, s))).collect(),
    }
}

impl Drawn {
    pub fn find(&self) -> Result<FoundHair, NoHair> {
        let search = HairSearch::of_landmarks(&self.landmarks, self.side, self.px_per_mm).unwrap();
        self.find_in(&search)
    }

    pub fn find_in(&self, search: &HairSearch) -> Result<FoundHair, NoHair> {
        let size = Size::new(self.picture.width, self.picture.height);
        let pixels = Pixels::of_photo(size, Layout::Rgb, &self.picture.rgb).unwrap();
        find_hair(&pixels, search)
    }

    /// Through a JPEG file of this quality.
    pub fn through_jpeg(mut self, quality: u8) -> Self {
        let mut bytes = Vec::new();
        let Picture { width, height, .. } = self.picture;
        JpegEncoder::new_with_quality(&mut bytes, quality)
            .write_image(&self.picture.rgb, width, height, ExtendedColorType::Rgb8)
            .unwrap();
        self.picture.rgb = image::load_from_memory(&bytes)
            .unwrap()
            .to_rgb8()
            .into_raw();
        self
    }

    /// Area of a border, mm² as the camera sees it.
    pub fn mm2(&self, border: &[Vec<Point<Photo>>]) -> f64 {
        shoelace(border).abs() / (self.px_per_mm * self.px_per_mm)
    }

    /// How far off an area found is from what the hairs cover, as a share.
    pub fn off(&self, found: &FoundHair) -> f64 {
        self.mm2(&found.border) / self.ground_mm2 - 1.0
    }
}

/// Signed areas of closed lines added up, px².
pub fn shoelace(border: &[Vec<Point<Photo>>]) -> f64 {
    let mut twice = 0.0;
    for ring in border {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            twice += a.x * b.y - b.x * a.y;
        }
    }
    0.5 * twice
}
