//! Under what conditions a photograph is taken: light, focus, grain, and what
//! the eye mirrors. The demo clients' are the default; tests choose worse.

/// Everything between the head and the file that a photographer has in hand,
/// or has not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// More light (positive) or less than the demo clients', in stops: each
    /// doubles it.
    pub stops: f64,
    /// How many stops more light the picture's right edge gets than its left
    /// one; the middle stays as it is.
    pub side_stops: f64,
    /// Gaussian blur by the lens or the hand: standard deviation, px.
    pub blur_px: f64,
    /// Grain of the sensor: standard deviation in steps of 255, each px and
    /// colour by itself.
    pub grain: f64,
    /// A second light mirrored in both eyes.
    pub glint: Option<Glint>,
    /// Half the breadth over which the iris passes into the white, mm.
    pub rim_soft: f64,
    /// How dark the ring along the iris's rim is, 0 to 1; age takes it away.
    pub rim_ring: f64,
}

/// A round light mirrored in the eye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glint {
    /// Its middle, beside and above the pupil's, in radii of the iris; right
    /// in the picture and up are positive. (1, 0) lies on the rim.
    pub at: (f64, f64),
    /// Its radius, mm.
    pub radius: f64,
}

impl Default for Conditions {
    fn default() -> Self {
        Self {
            stops: 0.0,
            side_stops: 0.0,
            blur_px: 0.0,
            grain: 0.0,
            glint: None,
            rim_soft: 0.16,
            rim_ring: 0.72,
        }
    }
}
