//! What stands on the paper of an agreement besides what was asked, by
//! language: the file `words.json`. A language more is a block more.

use std::collections::BTreeMap;

use ophryon_agreement::{Day, When};

const FILE: &str = include_str!("words.json");

/// What every word is there in.
const ENGLISH: &str = "en";

/// Words by their key.
pub(super) struct Words {
    hers: BTreeMap<String, String>,
    english: BTreeMap<String, String>,
}

impl Words {
    /// Those of a language such as "es-MX", else of the language without its
    /// region, else English.
    pub(super) fn of(language: &str) -> Self {
        // A file that can't be read fails the tests.
        let mut all: BTreeMap<String, BTreeMap<String, String>> =
            serde_json::from_str(FILE).unwrap_or_default();
        let short = language.split('-').next().unwrap_or_default();
        let english = all.get(ENGLISH).cloned().unwrap_or_default();
        let hers = all.remove(language).or_else(|| all.remove(short));
        Self {
            hers: hers.unwrap_or_default(),
            english,
        }
    }

    pub(super) fn say(&self, key: &str) -> String {
        let found = self.hers.get(key).or_else(|| self.english.get(key));
        found.cloned().unwrap_or_default()
    }

    pub(super) fn say_with(&self, key: &str, values: &[(&str, &str)]) -> String {
        let places = values.iter();
        places.fold(self.say(key), |words, (name, value)| {
            words.replace(&format!("{{{name}}}"), value)
        })
    }

    /// "14 March 2025, 15:09".
    pub(super) fn when(&self, at: &When) -> String {
        let Some((year, month, day)) = at.day().map(Day::parts) else {
            return at.in_words();
        };
        let months = self.say("months");
        let month = months.split(' ').nth(month.saturating_sub(1) as usize);
        self.say_with(
            "when",
            &[
                ("day", &day.to_string()),
                ("month", month.unwrap_or_default()),
                ("year", &year.to_string()),
                ("time", at.time()),
            ],
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    type All = BTreeMap<String, BTreeMap<String, String>>;

    #[test]
    fn every_language_says_everything_with_the_same_places() {
        let all: All = serde_json::from_str(FILE).unwrap();
        let places = |words: &str| -> BTreeSet<String> {
            let parts = words.split('{').skip(1);
            parts
                .map(|p| p.split('}').next().unwrap().to_owned())
                .collect()
        };
        for text in ophryon_agreement::texts() {
            assert!(all.contains_key(&text.language), "{}", text.language);
        }
        for (language, words) in &all {
            let keys = |m: &BTreeMap<String, String>| m.keys().cloned().collect::<Vec<_>>();
            assert_eq!(keys(words), keys(&all[ENGLISH]), "{language}");
            for (key, said) in words {
                assert_eq!(
                    places(said),
                    places(&all[ENGLISH][key]),
                    "{language}, {key}"
                );
            }
            assert_eq!(words["months"].split(' ').count(), 12, "{language}");
        }
    }

    #[test]
    fn a_time_is_said_in_her_language() {
        let at: When = "2025-03-14T15:09:26+01:00".parse().unwrap();
        assert_eq!(Words::of("en").when(&at), at.in_words());
        assert_eq!(Words::of("es-MX").when(&at), "14 de marzo de 2025, 15:09");
        assert_eq!(Words::of("tlh").say("yes"), "Yes");
    }
}
