//! What the client reads, in her language: from message files beside the app.
//!
//! `words/list.json` names the languages, each in itself; `words/CODE.json`
//! holds a language's messages by key. Another language is another file and
//! its line in the list. What a language hasn't, English says.

use std::collections::BTreeMap;

use sycamore::reactive::{Signal, create_signal};

use crate::device::{files, page};
use crate::markup::glance;
use crate::number::tenths;

/// What every message is there in.
const ENGLISH: &str = "en";

type Messages = BTreeMap<String, String>;

/// The messages, in a language that can be changed. A handle.
#[derive(Clone, Copy)]
pub struct Words(&'static Held);

struct Held {
    language: Signal<String>,
    languages: Vec<(String, String)>,
    messages: BTreeMap<String, Messages>,
}

impl Words {
    /// Fetches all languages.
    ///
    /// # Errors
    /// A sentence, where the files can't be had or aren't what they should be.
    pub async fn fetch() -> Result<Self, String> {
        let list = fetch_map("list").await?;
        let mut messages = BTreeMap::new();
        for code in list.keys() {
            messages.insert(code.clone(), fetch_map(code).await?);
        }
        // English first, the others as their files are named.
        let mut languages: Vec<_> = list.into_iter().collect();
        languages.sort_by_key(|(code, _)| code != ENGLISH);
        Ok(Self(Box::leak(Box::new(Held {
            // The files came outside of any scope.
            language: glance(|| create_signal(ENGLISH.to_owned())),
            languages,
            messages,
        }))))
    }

    /// Every language: its code, and its name in itself.
    pub fn languages(self) -> &'static [(String, String)] {
        &self.0.languages
    }

    /// The code of the one that is spoken; followed.
    pub fn language(self) -> String {
        self.0.language.get_clone()
    }

    /// Speaks another from now on; one without messages stays unspoken.
    pub fn speak(self, code: &str) {
        if self.0.messages.contains_key(code) && self.0.language.with_untracked(|now| now != code) {
            self.0.language.set(code.to_owned());
        }
    }

    /// A message; follows the language.
    pub fn say(self, key: &str) -> String {
        let language = self.0.language.get_clone();
        let found = |code: &str| self.0.messages.get(code)?.get(key).cloned();
        // A key that nobody wrote shows as itself, which the tests forbid.
        found(&language)
            .or_else(|| found(ENGLISH))
            .unwrap_or_else(|| key.to_owned())
    }

    /// One decimal, with the sign that her language puts before it; follows
    /// the language.
    pub fn tenths(self, value: f64) -> String {
        tenths(value).replace('.', &self.say("decimal"))
    }

    /// A message with its places filled: `{name}` by the value of that name.
    pub fn say_with(self, key: &str, values: &[(&str, &str)]) -> String {
        filled(self.say(key), values)
    }
}

fn filled(mut text: String, values: &[(&str, &str)]) -> String {
    for (name, value) in values {
        text = text.replace(&format!("{{{name}}}"), value);
    }
    text
}

/// The page tells readers and the browser which language it is in.
pub fn mark_page(language: &str) {
    if let Some(root) = page::document().and_then(|d| d.document_element()) {
        // Only a name that is no attribute's could fail.
        let _ = root.set_attribute("lang", language);
    }
}

async fn fetch_map(name: &str) -> Result<Messages, String> {
    let text = files::fetch_text(&format!("words/{name}.json")).await?;
    serde_json::from_str(&text)
        .map_err(|e| format!("The messages “{name}” are not what they should be ({e})."))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::{Path, PathBuf};

    fn folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../www/words")
    }

    fn read(name: &str) -> Messages {
        let path = folder().join(format!("{name}.json"));
        let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
    }

    fn places(message: &str) -> BTreeSet<String> {
        let parts = message.split('{').skip(1);
        parts
            .map(|part| part.split('}').next().unwrap_or_default().to_owned())
            .collect()
    }

    #[test]
    fn every_language_says_everything_with_the_same_places() {
        let english = read(ENGLISH);
        for code in read("list").keys() {
            let other = read(code);
            let keys = |m: &Messages| m.keys().cloned().collect::<BTreeSet<_>>();
            assert_eq!(keys(&english), keys(&other), "{code}");
            for (key, message) in &english {
                assert_eq!(places(message), places(&other[key]), "{code}, {key}");
                assert!(!other[key].trim().is_empty(), "{code}, {key} is empty");
                assert!(!other[key].contains(['!', '¡']), "{code}, {key} shouts");
                let quotes = ['“', '”', '"'];
                assert!(
                    code == ENGLISH || !other[key].contains(quotes),
                    "{code}, {key}"
                );
            }
        }
    }

    /// One word for healed brows, wherever she reads of them.
    #[test]
    fn healed_is_one_word_in_spanish() {
        for (key, message) in read("es") {
            assert!(
                !message.to_lowercase().contains("curad"),
                "{key}: {message}"
            );
        }
        assert_eq!(read("es")["guest-healed"], read("es")["stage-healed"]);
        assert_eq!(read("es")["decimal"], ",");
    }

    #[test]
    fn every_file_of_messages_is_in_the_list() {
        let list = read("list");
        for file in fs::read_dir(folder()).expect("the folder") {
            let path = file.expect("a file").path();
            let name = path.file_stem().and_then(|n| n.to_str()).expect("a name");
            assert!(name == "list" || list.contains_key(name), "{name}");
        }
        // What she signs is there in each of them too.
        for code in list.keys() {
            let text = ophryon_agreement::text_for(code).expect("a text");
            assert_eq!(text.language, *code, "no statements in {code}");
        }
    }

    /// Keys as they stand in the sources, after what asks for them.
    fn keys_used(source: &str) -> Vec<String> {
        const ASKED: [&str; 3] = ["say(", "say_with(", "_KEY: &str ="];
        let mut keys = Vec::new();
        // What tests say is said to nobody.
        let source = source.split("#[cfg(test)]").next().unwrap_or_default();
        for asked in ASKED {
            for rest in source.split(asked).skip(1) {
                let rest = rest.trim_start();
                if let Some(rest) = rest.strip_prefix('"') {
                    keys.push(rest.split('"').next().unwrap_or_default().to_owned());
                }
            }
        }
        keys
    }

    fn sources(below: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(below).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                sources(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }

    #[test]
    fn every_key_that_is_used_is_there() {
        let english = read(ENGLISH);
        let mut files = Vec::new();
        // What a client may see.
        for room in ["handed", "signing", "look", "guest"] {
            let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
            sources(&src.join(room), &mut files);
        }
        let mut used: Vec<String> = files
            .iter()
            .flat_map(|f| keys_used(&fs::read_to_string(f).expect("a source")))
            .collect();
        assert!(used.len() > 20, "only {} keys are used", used.len());
        used.extend(ophryon_brow::Phrase::ALL.map(|p| format!("says-{}", p.id())));
        for key in used {
            assert!(english.contains_key(&key), "nobody wrote “{key}”");
        }
    }

    #[test]
    fn a_place_is_filled() {
        let text = filled(
            "Shape {number} of {all}".to_owned(),
            &[("number", "2"), ("all", "3")],
        );
        assert_eq!(text, "Shape 2 of 3");
    }
}
