//! What part of the photo the stage shows: zoom and pan.
//!
//! The stage is measured in CSS pixels from its upper left corner; the photo
//! in its own pixels. One [`Sight`] joins the two, without turning anything.

use ophryon_frames::{Photo, Point};

/// A place on the stage, CSS px, origin at its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spot {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Spot {
    /// A place from its two coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Straight distance, CSS px.
    pub fn distance(self, other: Self) -> f64 {
        let (x, y) = (self.x - other.x, self.y - other.y);
        (x * x + y * y).sqrt()
    }

    /// Halfway to the other.
    pub fn midpoint(self, other: Self) -> Self {
        Self::new(0.5 * (self.x + other.x), 0.5 * (self.y + other.y))
    }
}

/// A width and a height.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Size {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Size {
    /// From width and height.
    pub const fn new(width: f64, height: f64) -> Self {
        Self { width, height }
    }

    /// Neither side is nothing.
    pub fn is_some(self) -> bool {
        self.width > 0.0 && self.height > 0.0
    }

    /// The place lies on it.
    pub fn holds(self, spot: Spot) -> bool {
        (0.0..=self.width).contains(&spot.x) && (0.0..=self.height).contains(&spot.y)
    }
}

/// The finest zoom, CSS px per photo px. Beyond it single pixels are blocks
/// and nothing new is seen.
const FINEST: f64 = 8.0;

/// How much smaller than fitted the photo may be made.
const COARSEST_OF_FIT: f64 = 0.6;

/// Share of the stage that must keep showing photo, so that it can't be lost.
const KEPT_SHARE: f64 = 0.3;

/// Stage = photo times `scale` plus (`left`, `top`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// CSS px per photo px.
    pub scale: f64,
    /// Where the photo's left edge stands on the stage.
    pub left: f64,
    /// Where the photo's upper edge stands on the stage.
    pub top: f64,
}

impl Default for Sight {
    fn default() -> Self {
        Self {
            scale: 1.0,
            left: 0.0,
            top: 0.0,
        }
    }
}

impl Sight {
    /// The whole photo in the middle of the stage.
    pub fn fitting(photo: Size, stage: Size) -> Self {
        if !photo.is_some() || !stage.is_some() {
            return Self::default();
        }
        let scale = (stage.width / photo.width).min(stage.height / photo.height);
        Self {
            scale,
            left: 0.5 * (stage.width - scale * photo.width),
            top: 0.5 * (stage.height - scale * photo.height),
        }
    }

    /// `radius` photo px around a place, in the middle of the stage.
    pub fn framing(centre: Point<Photo>, radius: f64, photo: Size, stage: Size) -> Self {
        let fit = Self::fitting(photo, stage);
        let scale = 0.5 * stage.width.min(stage.height) / radius.max(1.0);
        let scale = scale.clamp(fit.scale, FINEST.max(fit.scale));
        Self {
            scale,
            left: 0.5 * stage.width - scale * centre.x,
            top: 0.5 * stage.height - scale * centre.y,
        }
        .kept(photo, stage)
    }

    /// Where a place of the photo stands on the stage.
    pub fn to_stage(self, p: Point<Photo>) -> Spot {
        Spot::new(self.left + self.scale * p.x, self.top + self.scale * p.y)
    }

    /// Which place of the photo stands there.
    pub fn to_photo(self, spot: Spot) -> Point<Photo> {
        Point::new(
            (spot.x - self.left) / self.scale,
            (spot.y - self.top) / self.scale,
        )
    }

    /// Zoomed by a factor, with what is under `about` staying there.
    #[must_use]
    pub fn zoomed(self, factor: f64, about: Spot, photo: Size, stage: Size) -> Self {
        if !factor.is_finite() || factor <= 0.0 {
            return self;
        }
        let fit = Self::fitting(photo, stage).scale;
        let scale = (self.scale * factor).clamp(COARSEST_OF_FIT * fit, FINEST.max(fit));
        let fixed = self.to_photo(about);
        Self {
            scale,
            left: about.x - scale * fixed.x,
            top: about.y - scale * fixed.y,
        }
        .kept(photo, stage)
    }

    /// Moved by so many CSS px.
    #[must_use]
    pub fn panned(self, x: f64, y: f64, photo: Size, stage: Size) -> Self {
        Self {
            left: self.left + x,
            top: self.top + y,
            ..self
        }
        .kept(photo, stage)
    }

    /// Two fingers went from one pair of places to another.
    #[must_use]
    pub fn pinched(self, from: [Spot; 2], to: [Spot; 2], photo: Size, stage: Size) -> Self {
        let (before, after) = (from[0].distance(from[1]), to[0].distance(to[1]));
        // Fingers on top of each other have no spread to compare.
        let factor = if before < 8.0 { 1.0 } else { after / before };
        let (a, b) = (from[0].midpoint(from[1]), to[0].midpoint(to[1]));
        self.zoomed(factor, a, photo, stage)
            .panned(b.x - a.x, b.y - a.y, photo, stage)
    }

    /// Between two sights; 1 is the other one. Zooms evenly to the eye.
    #[must_use]
    pub fn toward(self, other: Self, t: f64, stage: Size) -> Self {
        let middle = Spot::new(0.5 * stage.width, 0.5 * stage.height);
        let (a, b) = (self.to_photo(middle), other.to_photo(middle));
        let scale = self.scale + (other.scale - self.scale) * t;
        let centre = a.lerp(b, t);
        Self {
            scale,
            left: middle.x - scale * centre.x,
            top: middle.y - scale * centre.y,
        }
    }

    /// Whether a place stands well inside the stage at a useful size: `radius`
    /// photo px around it would be neither tiny nor cut off.
    pub fn shows(self, centre: Point<Photo>, radius: f64, stage: Size) -> bool {
        let at = self.to_stage(centre);
        let inside = (0.18 * stage.width..=0.82 * stage.width).contains(&at.x)
            && (0.18 * stage.height..=0.82 * stage.height).contains(&at.y);
        let spread = self.scale * radius / (0.5 * stage.width.min(stage.height).max(1.0));
        inside && (0.6..=1.8).contains(&spread)
    }

    /// Pushed back so far that some of the photo stays on the stage.
    fn kept(self, photo: Size, stage: Size) -> Self {
        let keep = |start: f64, length: f64, room: f64| {
            let least = KEPT_SHARE * room;
            start.clamp(
                least.min(length) - length,
                (room - least).max(room - length),
            )
        };
        Self {
            scale: self.scale,
            left: keep(self.left, self.scale * photo.width, stage.width),
            top: keep(self.top, self.scale * photo.height, stage.height),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PHOTO: Size = Size::new(3000.0, 4000.0);
    const STAGE: Size = Size::new(900.0, 800.0);

    #[test]
    fn the_whole_photo_is_seen_at_first_in_the_middle() {
        let sight = Sight::fitting(PHOTO, STAGE);
        let corner = sight.to_stage(Point::new(3000.0, 4000.0));
        assert!((sight.top, corner.y) == (0.0, 800.0));
        assert!((sight.left - (900.0 - corner.x)).abs() < 1e-9);
    }

    #[test]
    fn what_lies_under_the_finger_stays_under_it_while_zooming() {
        let about = Spot::new(430.0, 300.0);
        let before = Sight::fitting(PHOTO, STAGE);
        let place = before.to_photo(about);
        let after = before.zoomed(3.0, about, PHOTO, STAGE);
        assert!((after.scale / before.scale - 3.0).abs() < 1e-12);
        assert!(after.to_stage(place).distance(about) < 1e-9);
    }

    #[test]
    fn a_pinch_keeps_both_fingers_on_their_places() {
        let from = [Spot::new(400.0, 300.0), Spot::new(500.0, 300.0)];
        let to = [Spot::new(300.0, 340.0), Spot::new(600.0, 340.0)];
        let before = Sight::fitting(PHOTO, STAGE);
        let after = before.pinched(from, to, PHOTO, STAGE);
        for (a, b) in from.into_iter().zip(to) {
            assert!(after.to_stage(before.to_photo(a)).distance(b) < 1e-6);
        }
        let still = before.pinched([from[0], from[0]], [to[0], to[0]], PHOTO, STAGE);
        assert!((still.scale - before.scale).abs() < 1e-12);
    }

    #[test]
    fn the_photo_can_not_be_lost() {
        for (x, y) in [(9e9, 0.0), (-9e9, 9e9), (0.0, -9e9)] {
            let sight = Sight::fitting(PHOTO, STAGE).panned(x, y, PHOTO, STAGE);
            let (a, b) = (
                sight.to_stage(Point::new(0.0, 0.0)),
                sight.to_stage(Point::new(PHOTO.width, PHOTO.height)),
            );
            let shown_x = b.x.min(STAGE.width) - a.x.max(0.0);
            let shown_y = b.y.min(STAGE.height) - a.y.max(0.0);
            assert!(shown_x > 200.0 && shown_y > 200.0, "{shown_x} {shown_y}");
        }
        let far = Sight::fitting(PHOTO, STAGE).zoomed(1e9, Spot::default(), PHOTO, STAGE);
        assert!(far.scale <= FINEST);
    }

    #[test]
    fn framing_puts_the_place_in_the_middle_and_counts_as_shown() {
        let eye = Point::new(1200.0, 1500.0);
        let sight = Sight::framing(eye, 250.0, PHOTO, STAGE);
        assert!(sight.to_stage(eye).distance(Spot::new(450.0, 400.0)) < 1e-9);
        assert!(sight.shows(eye, 250.0, STAGE));
        assert!(!Sight::fitting(PHOTO, STAGE).shows(eye, 250.0, STAGE));
        assert!(!sight.shows(Point::new(2500.0, 1500.0), 250.0, STAGE));
    }

    #[test]
    fn going_from_sight_to_sight_ends_where_it_should() {
        let a = Sight::fitting(PHOTO, STAGE);
        let b = Sight::framing(Point::new(1200.0, 1500.0), 250.0, PHOTO, STAGE);
        for (t, sight) in [(0.0, a), (1.0, b)] {
            let at = a.toward(b, t, STAGE);
            assert!((at.scale - sight.scale).abs() < 1e-9);
            assert!((at.left - sight.left).abs() < 1e-6 && (at.top - sight.top).abs() < 1e-6);
        }
    }

    #[test]
    fn nothing_breaks_before_the_stage_has_a_size() {
        let sight = Sight::fitting(PHOTO, Size::default());
        assert!(sight.scale == 1.0);
        assert_eq!(sight.zoomed(f64::NAN, Spot::default(), PHOTO, STAGE), sight);
    }
}
