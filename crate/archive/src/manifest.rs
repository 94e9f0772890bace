//! What a backup says of itself: `manifest.json`.

use serde::{Deserialize, Serialize};

/// What stands under `format`, so that no other manifest is taken for ours.
const FORMAT: &str = "ophryon-backup";

/// The schema this version writes, and the only one so far.
pub const MANIFEST_SCHEMA: u32 = 1;

/// Largest manifest that is read, bytes: some twenty thousand clients.
pub(crate) const LARGEST: u64 = 16 * 1024 * 1024;

/// By what and when a backup was made.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Made {
    /// The version of Ophryon.
    pub app: String,
    /// When, in UTC: `2027-05-03T16:20:00Z`. Handed in by the shell.
    pub at: String,
}

impl Made {
    /// By a clock that counts seconds since 1970.
    pub fn at_unix(app: impl Into<String>, seconds: i64) -> Self {
        use rawzip::time::UtcDateTime;
        let t = UtcDateTime::from_unix(seconds);
        Self {
            app: app.into(),
            at: format!(
                "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z",
                t.year(),
                t.month(),
                t.day(),
                t.hour(),
                t.minute(),
                t.second()
            ),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct Manifest {
    format: String,
    schema: u32,
    pub(crate) made: Made,
    pub(crate) clients: Vec<ListedClient>,
    /// Every other entry.
    pub(crate) entries: Vec<ListedEntry>,
}

/// A client of the backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct ListedClient {
    pub(crate) folder: String,
    /// When she was last changed, seconds since 1970, as the shell knows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) changed: Option<i64>,
    /// Photos whose place in the client's file was another than in here.
    pub(crate) placed: Vec<Placed>,
}

/// A photo that lay elsewhere.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct Placed {
    /// Its id in the client's file.
    pub(crate) photo: String,
    pub(crate) was: Was,
}

/// Where a photo lay.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Was {
    /// Inside the client's file, of that media type.
    Embedded(String),
    /// Beside it, under that name.
    Named(String),
}

/// An entry with what it must be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct ListedEntry {
    pub(crate) name: String,
    pub(crate) bytes: u64,
    /// SHA-256 (FIPS 180-4), hexadecimal.
    pub(crate) sha_256: String,
}

/// Why a manifest can't be used.
#[derive(Debug)]
pub(crate) enum ManifestError {
    Newer(u32),
    Bad(String),
}

impl Manifest {
    pub(crate) fn new(made: Made) -> Self {
        Self {
            format: FORMAT.to_owned(),
            schema: MANIFEST_SCHEMA,
            made,
            clients: Vec::new(),
            entries: Vec::new(),
        }
    }

    pub(crate) fn read(json: &[u8]) -> Result<Self, ManifestError> {
        #[derive(Deserialize)]
        struct Head {
            format: String,
            schema: u32,
        }
        let bad = |why: serde_json::Error| {
            let shown = crate::Name::new(&why.to_string());
            ManifestError::Bad(shown.to_string())
        };
        let head: Head = serde_json::from_slice(json).map_err(bad)?;
        if head.format != FORMAT {
            return Err(ManifestError::Bad("it is another program's".to_owned()));
        }
        if head.schema > MANIFEST_SCHEMA {
            return Err(ManifestError::Newer(head.schema));
        }
        if head.schema == 0 {
            return Err(ManifestError::Bad("schema 0 was never used".to_owned()));
        }
        serde_json::from_slice(json).map_err(bad)
    }

    pub(crate) fn to_json(&self) -> Result<Vec<u8>, serde_json::Error> {
        let mut json = serde_json::to_vec_pretty(self)?;
        json.push(b'\n');
        Ok(json)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_date_is_the_clocks() {
        // `date -u -d @1810138800` of GNU coreutils.
        let made = Made::at_unix("0.1.0", 1_810_138_800);
        assert_eq!(made.at, "2027-05-12T16:20:00Z");
    }
}
