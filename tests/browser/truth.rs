//! Where things are in the invented clients' photos, from the files beside them.

use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result};
use ophryon_face::Landmark;
use serde_json::Value;

/// An invented client of demo-data.
pub struct Invented {
    folder: PathBuf,
    truth: Value,
}

impl Invented {
    pub fn read(name: &str) -> Result<Self> {
        // The driver takes no path with dots in it.
        let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../demo-data");
        let folder = root.join(name).canonicalize()?;
        let truth = serde_json::from_str(&fs::read_to_string(folder.join("truth.json"))?)?;
        Ok(Self { folder, truth })
    }

    pub fn relaxed_photo(&self) -> PathBuf {
        self.folder.join("relaxed.jpg")
    }

    pub fn eyes_open_photo(&self) -> PathBuf {
        self.folder.join("eyes-open.jpg")
    }

    pub fn landmark(&self, landmark: Landmark) -> Result<[f64; 2]> {
        self.landmark_in(0, landmark)
    }

    /// In the relaxed photo (0) or the one with eyes open (1).
    pub fn landmark_in(&self, photo: usize, landmark: Landmark) -> Result<[f64; 2]> {
        self.px(&format!("/photos/{photo}/landmarks/{}/px", landmark.id()))
    }

    /// Focal length of the relaxed photo, px, and the camera's distance, mm.
    pub fn camera(&self) -> Result<(f64, f64)> {
        let number = |name: &str| {
            let at = format!("/photos/0/camera/{name}");
            let found = self.truth.pointer(&at).and_then(Value::as_f64);
            found.context(at)
        };
        Ok((number("focal-px")?, number("distance-mm")?))
    }

    /// How much higher the client's left brow is at a landmark, mm.
    pub fn left_higher_mm(&self, photo: usize, landmark: &str) -> Result<f64> {
        let at = format!("/photos/{photo}/left-minus-right-height-mm/{landmark}");
        let found = self.truth.pointer(&at).and_then(Value::as_f64);
        found.context(at)
    }

    /// A place on the scale object: "edge-top" of a card, "mark-0" of a ruler.
    pub fn scale_place(&self, name: &str) -> Result<[f64; 2]> {
        self.px(&format!("/photos/0/scale-object/points/{name}/px"))
    }

    fn px(&self, pointer: &str) -> Result<[f64; 2]> {
        let found = self
            .truth
            .pointer(pointer)
            .with_context(|| pointer.to_owned())?;
        Ok(serde_json::from_value(found.clone())?)
    }
}
