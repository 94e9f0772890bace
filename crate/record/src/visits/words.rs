//! What was entered of a visit, in the words that every shell shows.

use super::{HealedCheck, MeasuredShare, Supply, Visit, ZoneWork, clock_words};

impl Supply {
    /// "Ash brown, by Invented Pigments, batch A-12, to be used until 31 January 2026".
    pub fn words(&self) -> String {
        let mut words = self.name.clone();
        if !self.maker.is_empty() {
            words.push_str(&format!(", by {}", self.maker));
        }
        if !self.batch.is_empty() {
            words.push_str(&format!(", batch {}", self.batch));
        }
        if let Some(day) = self.expires {
            words.push_str(&format!(", to be used until {}", day.in_words()));
        }
        words
    }
}

impl ZoneWork {
    /// "3 passes, 9:05 min, pinpoint bleeding"; nothing where nothing was done
    /// or seen.
    pub fn words(&self) -> String {
        if *self == Self::default() {
            return String::new();
        }
        let mut words = match self.passes {
            1 => "1 pass".to_owned(),
            n => format!("{n} passes"),
        };
        if self.seconds > 0 {
            let unit = if self.seconds < 3600 { "min" } else { "h" };
            words.push_str(&format!(", {} {unit}", clock_words(self.seconds)));
        }
        for answer in &self.skin {
            words.push_str(&format!(", {}", answer.words()));
        }
        words
    }
}

impl Visit {
    /// "first session of 14 March 2025".
    pub fn words(&self) -> String {
        format!("{} of {}", self.kind.words(), self.day.in_words())
    }
}

impl HealedCheck {
    /// What was measured, a line for each brow and one for what it rests on.
    pub fn lines(&self) -> Vec<String> {
        let mut all = Vec::new();
        let percent = |m: MeasuredShare| m.words();
        for (side, kept) in self.kept.iter() {
            let Some(kept) = kept else { continue };
            let mut words = format!(
                "Healed, client's {}: kept of the area {}, of the thickness {}",
                side.name(),
                percent(kept.area),
                percent(kept.thickness)
            );
            if let Some(lightening) = kept.lightening {
                words.push_str(&format!("; lighter by {}", percent(lightening)));
            }
            all.push(words);
        }
        let mut of = Vec::new();
        if !self.pigment.is_empty() {
            of.push(format!("pigment {}", self.pigment));
        }
        if let Some(skin) = self.skin_type {
            of.push(format!("skin type {} ({})", skin.numeral(), skin.words()));
        }
        if self.photo.is_some() {
            of.push("measured in the photo of the healed brows".to_owned());
        }
        if !of.is_empty() {
            all.push(format!("Healed brows: {}", of.join("; ")));
        }
        all
    }
}
