//! What was used on the skin, as its packing names it.

use ophryon_agreement::Day;
use serde::{Deserialize, Serialize};

/// A tool or a pigment.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Supply {
    /// What it is called; never empty.
    pub name: String,
    /// Who made it; empty until it was entered.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub maker: String,
    /// Batch number; empty until it was entered.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub batch: String,
    /// Last day on which it may be used, as its label says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expires: Option<Day>,
}

impl Supply {
    /// One of that name of which nothing else was entered yet.
    pub fn named(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            ..Self::default()
        }
    }
}
