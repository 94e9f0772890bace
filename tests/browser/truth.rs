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

    pub fn landmark(&self, landmark: Landmark) -> Result<[f64; 2]> {
        self.px(&format!("/photos/0/landmarks/{}/px", landmark.id()))
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
