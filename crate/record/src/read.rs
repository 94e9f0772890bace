//! From the text of a file to a record, or to a sentence that says why not.
//!
//! Three passes: what the text holds at all (schema, how many values), the
//! typed reading with the field's path, then [`Record::problems`]. The first
//! pass keeps nothing, so a hostile file costs no memory.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, MapAccess, SeqAccess, Visitor};

use crate::{Problem, Record, SCHEMA};

/// Largest file that is read, bytes: fifty photos would be too many, ten of
/// twelve megapixels fit.
pub const LARGEST_FILE: usize = 128 * 1024 * 1024;

/// Most numbers, texts and lists in one file. A client with three photos has
/// under a thousand, with six traced borders some twenty thousand.
const MOST_VALUES: u32 = 1_000_000;

/// Problems listed in one message; the rest are counted.
const LISTED: usize = 5;

/// Why a text is no client's file, in one sentence with the way out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// Larger than any client's file.
    #[error(
        "this is larger than any client's file ({megabytes} MB, at most {} MB); choose a file that Ophryon saved",
        LARGEST_FILE / 1024 / 1024
    )]
    TooLarge {
        /// Its size in MB.
        megabytes: usize,
    },
    /// More values than any client's file.
    #[error(
        "this holds more values than any client's file (over {MOST_VALUES}); choose a file that Ophryon saved"
    )]
    TooMany,
    /// Not JSON, cut off or damaged.
    #[error(
        "this is not JSON from line {line}, column {column} on ({what}); it may be cut off or damaged, so fetch the copy it came from"
    )]
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader stumbled over.
        what: String,
    },
    /// JSON, and something else than a client.
    #[error("this is JSON but no client's file of Ophryon; choose one that Ophryon saved")]
    NotAClientsFile,
    /// No schema number.
    #[error("schema: it is missing; a client's file begins with \"schema\": {SCHEMA}")]
    NoSchema,
    /// A schema that is no number or was never used.
    #[error("schema: {found} was never a schema; a client's file has \"schema\": {SCHEMA}")]
    UnknownSchema {
        /// What stands there.
        found: String,
    },
    /// From a later version.
    #[error(
        "schema: this was made by a newer Ophryon (schema {found}); this one reads up to {SCHEMA}, so update it first"
    )]
    Newer {
        /// Its schema.
        found: u64,
    },
    /// A field that is missing, unknown or of the wrong kind.
    #[error(
        "{field}: {what} (line {line}); correct it as docs/file-format.md says, or save the client again from Ophryon"
    )]
    Field {
        /// Its path.
        field: String,
        /// What is wrong with it.
        what: String,
        /// Line, from 1.
        line: usize,
    },
    /// Numbers that can't be used; all of them.
    #[error("{}", listed(.0))]
    Problems(Vec<Problem>),
}

fn listed(problems: &[Problem]) -> String {
    let all: Vec<_> = problems
        .iter()
        .take(LISTED)
        .map(Problem::to_string)
        .collect();
    let mut text = all.join("; also, ");
    if problems.len() > LISTED {
        text.push_str(&format!("; and {} more", problems.len() - LISTED));
    }
    text
}

impl Record {
    /// Reads a client's file.
    ///
    /// # Errors
    /// [`ReadError`]; nothing that is in the text makes it panic or take more
    /// memory than a few times the text's size.
    pub fn from_json(text: &str) -> Result<Self, ReadError> {
        if text.len() > LARGEST_FILE {
            let megabytes = text.len().div_ceil(1024 * 1024);
            return Err(ReadError::TooLarge { megabytes });
        }
        // Editors of some systems put this mark in front.
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        match survey(text)? {
            // Schema 1 had one `reference` a photo, which is read as a list
            // of one, and lacked what has a default: nothing else to bring up
            // to date.
            Schema::Number(n) if (1..=u64::from(SCHEMA)).contains(&n) => typed(text),
            Schema::Number(found) if found > u64::from(SCHEMA) => Err(ReadError::Newer { found }),
            Schema::Number(found) => Err(ReadError::UnknownSchema {
                found: found.to_string(),
            }),
            Schema::Other(found) => Err(ReadError::UnknownSchema { found }),
        }
    }

    /// Writes the client's file: JSON in a fixed order, so that the
    /// same record always gives the same bytes. Ends with a line break.
    ///
    /// # Errors
    /// The problems that would keep it from being read again, such as a NaN.
    pub fn to_json(&self) -> Result<String, ReadError> {
        let problems = self.problems();
        if !problems.is_empty() {
            return Err(ReadError::Problems(problems));
        }
        Ok(crate::json::of_record(self))
    }
}

/// The typed reading, with the path of a field that can't be read.
#[cfg(feature = "field-paths")]
fn fields(text: &str) -> Result<Record, ReadError> {
    let mut json = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut json).map_err(|error| {
        let path = error.path().to_string();
        let inner = error.into_inner();
        ReadError::Field {
            field: if path == "." {
                "file".to_owned()
            } else {
                quotable(&path)
            },
            what: without_place(&inner),
            line: inner.line(),
        }
    })
}

/// The typed reading; a field that can't be read is told by its line.
#[cfg(not(feature = "field-paths"))]
fn fields(text: &str) -> Result<Record, ReadError> {
    serde_json::from_str(text).map_err(|error| ReadError::Field {
        field: "file".to_owned(),
        what: without_place(&error),
        line: error.line(),
    })
}

fn typed(text: &str) -> Result<Record, ReadError> {
    let record = Record {
        schema: SCHEMA,
        ..fields(text)?
    };
    let problems = record.problems();
    if problems.is_empty() {
        Ok(record)
    } else {
        Err(ReadError::Problems(problems))
    }
}

/// serde_json's message without its own "at line 3 column 5".
fn without_place(error: &serde_json::Error) -> String {
    let text = error.to_string();
    match text.rfind(" at line ") {
        Some(end) => quotable(&text[..end]),
        None => quotable(&text),
    }
}

/// Longest piece of a file that is quoted in a message, characters.
const QUOTED: usize = 200;

/// Text from a file that is fit for one line of a message.
pub(crate) fn quotable(text: &str) -> String {
    let printable = |c: char| if c.is_control() { ' ' } else { c };
    let mut short: String = text.chars().take(QUOTED).map(printable).collect();
    if text.chars().nth(QUOTED).is_some() {
        short.push('…');
    }
    short
}

/// What stands under "schema".
enum Schema {
    Number(u64),
    Other(String),
}

fn survey(text: &str) -> Result<Schema, ReadError> {
    let mut found = Survey::default();
    let mut json = serde_json::Deserializer::from_str(text);
    let outcome = Value {
        survey: &mut found,
        place: Place::Top,
    }
    .deserialize(&mut json)
    .and_then(|()| json.end());
    if found.values > MOST_VALUES {
        return Err(ReadError::TooMany);
    }
    if let Err(error) = outcome {
        return Err(ReadError::NotJson {
            line: error.line(),
            column: error.column(),
            what: without_place(&error),
        });
    }
    match (found.schema, found.is_client) {
        (Some(schema), _) => Ok(schema),
        (None, true) => Err(ReadError::NoSchema),
        (None, false) => Err(ReadError::NotAClientsFile),
    }
}

/// What the first pass keeps.
#[derive(Default)]
struct Survey {
    values: u32,
    schema: Option<Schema>,
    is_client: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Top,
    Schema,
    Elsewhere,
}

/// Walks over any value, counting.
struct Value<'s> {
    survey: &'s mut Survey,
    place: Place,
}

impl Value<'_> {
    fn scalar(self, number: Option<u64>, shown: impl fmt::Display) {
        if self.place == Place::Schema {
            self.survey.schema = Some(match number {
                Some(n) => Schema::Number(n),
                None => Schema::Other(quotable(&shown.to_string())),
            });
        }
    }
}

impl<'de> DeserializeSeed<'de> for Value<'_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, json: D) -> Result<(), D::Error> {
        self.survey.values = self.survey.values.saturating_add(1);
        if self.survey.values > MOST_VALUES {
            return Err(serde::de::Error::custom("too many values"));
        }
        json.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Value<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a client's file")
    }
    fn visit_bool<E>(self, v: bool) -> Result<(), E> {
        self.scalar(None, v);
        Ok(())
    }
    fn visit_i64<E>(self, v: i64) -> Result<(), E> {
        self.scalar(None, v);
        Ok(())
    }
    fn visit_u64<E>(self, v: u64) -> Result<(), E> {
        self.scalar(Some(v), v);
        Ok(())
    }
    fn visit_f64<E>(self, v: f64) -> Result<(), E> {
        self.scalar(None, v);
        Ok(())
    }
    fn visit_str<E>(self, v: &str) -> Result<(), E> {
        if self.place == Place::Schema {
            self.scalar(None, format!("“{v}”"));
        }
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        self.scalar(None, "null");
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        if self.place == Place::Schema {
            self.survey.schema = Some(Schema::Other("a list".to_owned()));
        }
        let survey = self.survey;
        let place = Place::Elsewhere;
        while list
            .next_element_seed(Value {
                survey: &mut *survey,
                place,
            })?
            .is_some()
        {}
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        if self.place == Place::Schema {
            self.survey.schema = Some(Schema::Other("an object".to_owned()));
        }
        let survey = self.survey;
        while let Some(key) = map.next_key::<String>()? {
            let top = self.place == Place::Top;
            if top && matches!(key.as_str(), "client" | "photos") {
                survey.is_client = true;
            }
            let place = if top && key == "schema" {
                Place::Schema
            } else {
                Place::Elsewhere
            };
            map.next_value_seed(Value {
                survey: &mut *survey,
                place,
            })?;
        }
        Ok(())
    }
}
