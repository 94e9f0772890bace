//! In which state a client last went into a backup or came out of one: by it a
//! restore knows which side changed (`ophryon_archive::Present::base`).

use std::collections::BTreeMap;
use std::fmt::Write;

use idb::TransactionMode;
use wasm_bindgen::JsValue;

use super::door::{NotDone, ended};
use super::write::text;
use super::{BASES, Store, Trouble};

/// A client's state at a backup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Base {
    /// `ophryon_archive::state_of` her record then.
    pub sum: [u8; 32],
    /// When, ms since 1970.
    pub at_ms: f64,
}

impl Base {
    pub(super) fn to_text(self) -> String {
        let mut line = String::with_capacity(80);
        for byte in self.sum {
            // Writing into a string never fails.
            let _ = write!(line, "{byte:02x}");
        }
        let _ = write!(line, " {:.0}", self.at_ms);
        line
    }

    fn from_text(line: &str) -> Option<Self> {
        let (hex, at) = line.split_once(' ')?;
        let mut sum = [0; 32];
        if hex.len() != 2 * sum.len() {
            return None;
        }
        for (i, byte) in sum.iter_mut().enumerate() {
            *byte = u8::from_str_radix(hex.get(2 * i..2 * i + 2)?, 16).ok()?;
        }
        Some(Self {
            sum,
            at_ms: at.parse::<i64>().ok()? as f64,
        })
    }
}

impl Store {
    /// All of them by client key.
    ///
    /// # Errors
    /// A sentence.
    pub async fn bases(&self) -> Result<BTreeMap<String, Base>, Trouble> {
        let read = async || -> Result<(Vec<JsValue>, Vec<JsValue>), NotDone> {
            let work = self.door.begin(&[BASES], TransactionMode::ReadOnly)?;
            let store = work.object_store(BASES)?;
            let keys = store.get_all_keys(None, None)?.await?;
            Ok((keys, store.get_all(None, None)?.await?))
        };
        let (keys, lines) = read().await.map_err(|e| e.says("read its notes"))?;
        let all = keys.iter().zip(&lines);
        Ok(all
            .filter_map(|(key, line)| {
                Some((key.as_string()?, Base::from_text(&line.as_string()?)?))
            })
            .collect())
    }

    /// Notes that these clients went into a backup.
    ///
    /// # Errors
    /// A sentence; none is noted then.
    pub async fn set_bases(&self, bases: &[(String, Base)]) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self.door.begin(&[BASES], TransactionMode::ReadWrite)?;
            let store = work.object_store(BASES)?;
            for (key, base) in bases {
                store.put(&text(&base.to_text()), Some(&text(key)))?;
            }
            ended(work).await
        };
        write().await.map_err(|e| e.says("keep its notes"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_base_comes_back_as_it_was_and_a_damaged_one_is_none() {
        let base = Base {
            sum: std::array::from_fn(|i| (7 * i) as u8),
            at_ms: 1_764_057_600_123.0,
        };
        assert_eq!(Base::from_text(&base.to_text()), Some(base));
        for damaged in ["", "00 1", "zz", "é 4"] {
            assert_eq!(Base::from_text(damaged), None, "“{damaged}”");
        }
    }
}
