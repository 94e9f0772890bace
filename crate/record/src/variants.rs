//! Shapes kept beside the present one, to be looked at side by side.
//!
//! A kept shape never changes by itself: work goes on with the present one
//! ([`Record::pair`]), and taking a kept one makes a copy of it the present
//! one. A present shape that is not kept yet is kept first, so that going to
//! and fro loses nothing.

use ophryon_brow::{Limits, Pair};
use serde::{Deserialize, Serialize};

use crate::{EditError, Record};

/// Most shapes kept at a time: as many as can be told apart side by side.
pub const MOST_VARIANTS: usize = 4;

/// A shape kept under a name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Variant {
    /// What the artist calls it; unlike any other's.
    pub name: String,
    /// Anything worth remembering: "she likes the tail".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The style it began with, by name, where there was one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub style: Option<String>,
    /// The shape: points, form, offsets.
    pub pair: Pair,
    /// What it is drawn under. A style brings its own, so that the same points
    /// under others may be another shape.
    #[serde(default)]
    pub limits: Limits,
}

impl Record {
    /// Whether the present shape is one of those kept, and which, from 0.
    pub fn kept_as(&self) -> Option<usize> {
        let pair = self.pair.as_ref()?;
        self.variants
            .iter()
            .position(|v| v.pair == *pair && v.limits == self.limits)
    }

    /// A name that no kept shape has yet: "Shape 1", "Shape 2" and so on.
    pub fn free_variant_name(&self) -> String {
        (1_u32..)
            .map(|n| format!("Shape {n}"))
            .find(|name| self.variants.iter().all(|v| v.name != *name))
            .unwrap_or_default()
    }

    /// The record as it is with a kept shape as the present one: to see,
    /// measure and print it without taking it. `None` for a number that none has.
    #[must_use]
    pub fn with_variant(&self, index: usize) -> Option<Self> {
        let kept = self.variants.get(index)?;
        Some(Self {
            pair: Some(kept.pair.clone()),
            limits: kept.limits,
            ..self.clone()
        })
    }
}

/// What is done to the shapes that are kept. Numbers count from 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum VariantEdit {
    /// Keeps the present shape, or the proposal while there is none.
    Keep {
        /// Its name.
        name: String,
        /// Anything worth remembering.
        note: String,
    },
    /// Keeps the present shape in place of a kept one, under its name.
    Replace {
        /// Which one goes.
        index: usize,
    },
    /// Makes a kept shape the present one. A present one that is not kept yet
    /// is kept first under a name of its own; where there is no room, in the
    /// place of the one that is taken.
    Take {
        /// Which one.
        index: usize,
    },
    /// Names a kept shape anew and notes something beside it.
    Describe {
        /// Which one.
        index: usize,
        /// Its name.
        name: String,
        /// Anything worth remembering.
        note: String,
    },
    /// Puts a kept shape in another place of the row.
    Move {
        /// Which one.
        index: usize,
        /// Where it shall stand.
        to: usize,
    },
    /// Takes a kept shape away. The present one stays.
    Remove {
        /// Which one.
        index: usize,
    },
}

impl VariantEdit {
    /// What it does, to follow "Undo:".
    pub fn words(&self) -> String {
        match self {
            Self::Keep { name, .. } => format!("keep the shape as “{name}”"),
            Self::Replace { .. } => "keep the shape in place of another".to_owned(),
            Self::Take { .. } => "go on with a kept shape".to_owned(),
            Self::Describe { name, .. } => format!("describe the shape “{name}”"),
            Self::Move { .. } => "order the kept shapes".to_owned(),
            Self::Remove { .. } => "remove a kept shape".to_owned(),
        }
    }

    /// Whether the present shape is another one afterwards.
    pub(crate) const fn redraws(&self) -> bool {
        matches!(
            self,
            Self::Keep { .. } | Self::Replace { .. } | Self::Take { .. }
        )
    }
}

/// The record with the change made.
pub(crate) fn apply(record: &Record, edit: &VariantEdit) -> Result<Record, EditError> {
    let mut next = record.clone();
    match edit {
        VariantEdit::Keep { name, note } => {
            if next.variants.len() >= MOST_VARIANTS {
                return Err(EditError::VariantsFull);
            }
            let mut kept = present(&mut next, name.clone())?;
            kept.note.clone_from(note);
            next.variants.push(kept);
        }
        VariantEdit::Replace { index } => {
            let name = there(record, *index)?.name.clone();
            next.variants[*index] = present(&mut next, name)?;
        }
        VariantEdit::Take { index } => {
            let taken = there(record, *index)?.clone();
            if record.pair.is_some() && record.kept_as().is_none() {
                let last = present(&mut next, record.free_variant_name())?;
                if next.variants.len() < MOST_VARIANTS {
                    next.variants.push(last);
                } else {
                    next.variants[*index] = last;
                }
            }
            next.pair = Some(taken.pair);
            next.limits = taken.limits;
        }
        VariantEdit::Describe { index, name, note } => {
            there(record, *index)?;
            let kept = &mut next.variants[*index];
            kept.name.clone_from(name);
            kept.note.clone_from(note);
        }
        VariantEdit::Move { index, to } => {
            there(record, *index)?;
            there(record, *to)?;
            let kept = next.variants.remove(*index);
            next.variants.insert(*to, kept);
        }
        VariantEdit::Remove { index } => {
            there(record, *index)?;
            next.variants.remove(*index);
        }
    }
    Ok(next)
}

fn there(record: &Record, index: usize) -> Result<&Variant, EditError> {
    let kept = record.variants.get(index);
    kept.ok_or(EditError::NoSuchVariant { index })
}

/// The present shape as one to keep; a proposal becomes the record's own.
fn present(record: &mut Record, name: String) -> Result<Variant, EditError> {
    let pair = match &record.pair {
        Some(pair) => pair.clone(),
        None => {
            let proposed = record.proposal()?;
            record.pair.insert(proposed).clone()
        }
    };
    Ok(Variant {
        name,
        note: String::new(),
        style: record.style.clone(),
        pair,
        limits: record.limits,
    })
}
