//! Two lists of figures against each other. Apart from [`crate::figures`],
//! because the build script only writes.

use crate::figures::{Figures, Value};

/// How far two lists are apart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Gap {
    /// The largest difference.
    pub largest: f64,
    /// Where it is.
    pub label: String,
    /// How many numbers differ in any bit.
    pub differing: usize,
    /// Which words differ.
    pub words: Vec<String>,
}

impl Gap {
    fn add(&mut self, label: &str, here: f64, there: f64) -> Result<(), String> {
        if here.to_bits() == there.to_bits() {
            return Ok(());
        }
        self.differing += 1;
        if here.is_nan() != there.is_nan() || here.is_infinite() || there.is_infinite() {
            return Err(format!("{label}: {here} here, {there} there"));
        }
        let apart = (here - there).abs() / here.abs().max(1.0);
        if apart > self.largest {
            self.largest = apart;
            self.label = label.to_owned();
        }
        Ok(())
    }
}

impl Figures {
    /// Every figure with its label.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Value)> {
        self.all
            .iter()
            .flat_map(|(label, values)| values.iter().map(|value| (label.as_str(), *value)))
    }

    /// Compares with the bytes of another list: the largest difference of two
    /// numbers, each against its own size where that is above 1.
    ///
    /// # Errors
    /// Not the same labels, or a number on one side only.
    pub fn compare(&self, bytes: &[u8]) -> Result<Gap, String> {
        let mut eights = bytes.chunks_exact(8).map(|eight| {
            let mut bits = [0; 8];
            bits.copy_from_slice(eight);
            u64::from_le_bytes(bits)
        });
        if bytes.len() != 8 * (self.iter().count() + 1)
            || eights.next() != Some(self.mark_of_labels())
        {
            let theirs = (bytes.len() / 8).saturating_sub(1);
            return Err(format!(
                "not the same figures: {} here, {theirs} there, or with other labels",
                self.iter().count()
            ));
        }
        let mut gap = Gap::default();
        for ((label, here), there) in self.iter().zip(eights) {
            match here {
                Value::Words(mark) if mark == there => {}
                Value::Words(_) => gap.words.push(label.to_owned()),
                Value::Number(here) => gap.add(label, here, f64::from_bits(there))?,
            }
        }
        Ok(gap)
    }
}
