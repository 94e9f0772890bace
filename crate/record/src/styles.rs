//! Styles to choose from: the six that come along, and an artist's own.
//!
//! A list of the shop, not of a client: the command line keeps it in a file,
//! the app on the device. Both are the same JSON; what is exported from one is
//! imported into the other.
//!
//! ```json
//! { "schema": 1, "styles": [{ "name": "Even line", "peak-place": … }] }
//! ```

use std::sync::OnceLock;

use ophryon_brow::{
    LONGEST_STYLE_NAME, NaturalBrow, Pair, Style, StyleError, StyleProblem, StyleSide, Styled,
};
use ophryon_frames::{Side, Sided};
use serde::Serialize;

use crate::read::quotable;
use crate::study::natural_brow;
use crate::{Edit, Measured, Record, StudyError};

/// The schema that is written, and the only one so far.
const SCHEMA: u32 = 1;

/// Most styles of one artist; more can't be chosen from.
pub const MOST_STYLES: usize = 100;

/// Largest file of styles that is read, bytes: a hundred take a tenth of it.
pub const LARGEST_STYLES_FILE: usize = 1024 * 1024;

/// The styles that come along. Invented; no better or worse than others.
pub fn built_in_styles() -> &'static [Style] {
    static STYLES: OnceLock<Vec<Style>> = OnceLock::new();
    STYLES.get_or_init(|| {
        let read = read(include_str!("styles.json"));
        read.map_or_else(|_| Vec::new(), |(sound, _)| sound)
    })
}

/// Why styles can't be read or kept; what was kept stays.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum StylesError {
    /// Larger than any list of styles.
    #[error(
        "this is larger than any file of styles ({kilobytes} kB, at most {} kB); choose a file that Ophryon exported",
        LARGEST_STYLES_FILE / 1024
    )]
    TooLarge {
        /// Its size.
        kilobytes: usize,
    },
    /// A text that is no list of styles.
    #[error("this is no file of styles ({what}); choose a file that Ophryon exported")]
    NotStyles {
        /// What the reader stumbled over.
        what: String,
    },
    /// A client's file.
    #[error(
        "this is a client's file, and no file of styles; choose a file of styles that Ophryon exported"
    )]
    ClientsFile,
    /// From a later version.
    #[error(
        "this was made by a newer Ophryon (schema {found}); this one reads up to {SCHEMA}, so update it first"
    )]
    Newer {
        /// Its schema.
        found: u64,
    },
    /// No style in it can be used.
    #[error("no style in it can be used: {}", .0.first().map_or_else(|| "it holds none".to_owned(), LeftOut::sentence))]
    None(Vec<LeftOut>),
    /// A style that can't be used.
    #[error("“{name}” can't be kept: {problem}")]
    Problem {
        /// Its name.
        name: String,
        /// The first thing that is wrong.
        problem: StyleProblem,
    },
    /// The name is taken by another style.
    #[error("there is a style “{name}” already; choose another name, or remove that one first")]
    NameTaken {
        /// The name.
        name: String,
    },
    /// The name is one of the styles that come along.
    #[error("“{name}” is a style that comes along with Ophryon; choose another name")]
    BuiltIn {
        /// The name.
        name: String,
    },
    /// No style of that name.
    #[error("there is no style “{name}”; there are {}", named(.known))]
    NoSuchStyle {
        /// As asked for.
        name: String,
        /// Those that there are.
        known: Vec<String>,
    },
    /// The list is full.
    #[error("{MOST_STYLES} styles are the most that can be kept; remove some first")]
    Full,
}

fn named(names: &[String]) -> String {
    let names: Vec<_> = names.iter().map(|n| format!("“{n}”")).collect();
    match names.split_last() {
        None => "none".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// A style of a file that was left out, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Which one of the file, from 1.
    pub number: usize,
    /// Its name, where it can be told.
    pub name: Option<String>,
    /// What is wrong with it.
    pub why: String,
}

impl LeftOut {
    /// "style 2 (“Fine”): peak: least 0.9 is more than most 0.8".
    pub fn sentence(&self) -> String {
        let name = self.name.as_ref();
        let name = name.map_or_else(String::new, |n| format!(" (“{n}”)"));
        format!("style {}{name}: {}", self.number, self.why)
    }
}

/// What became of an import.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Imported {
    /// Names under which styles were added.
    pub added: Vec<String>,
    /// Old and new name of those whose name was taken by another style.
    pub renamed: Vec<(String, String)>,
    /// Names of those that were there already, the same in everything.
    pub same: Vec<String>,
    /// Those that can't be used.
    pub left_out: Vec<LeftOut>,
}

impl Imported {
    /// All of it, a sentence each.
    pub fn sentences(&self) -> Vec<String> {
        let mut all = Vec::new();
        match self.added.len() {
            0 => all.push("No style was added.".to_owned()),
            1 => all.push(format!("Added {}.", named(&self.added))),
            n => all.push(format!("Added {n} styles: {}.", named(&self.added))),
        }
        for (old, new) in &self.renamed {
            all.push(format!(
                "“{old}” is another style here, so the new one is called “{new}”."
            ));
        }
        if !self.same.is_empty() {
            all.push(format!("Already here: {}.", named(&self.same)));
        }
        for left_out in &self.left_out {
            all.push(format!("Left out {}.", left_out.sentence()));
        }
        all
    }
}

/// An artist's own styles, in the order they were kept.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Styles {
    styles: Vec<Style>,
}

/// As it stands in a file.
#[derive(Serialize)]
pub(crate) struct StylesFile<'a> {
    schema: u32,
    styles: Vec<&'a Style>,
}

impl Styles {
    /// Reads a list. What is sound in it is kept, the rest is told.
    ///
    /// # Errors
    /// A text that is no list of styles, or from a newer Ophryon.
    pub fn from_json(text: &str) -> Result<(Self, Vec<LeftOut>), StylesError> {
        let (sound, mut left_out) = read(text)?;
        let mut kept = Self::default();
        for style in sound {
            let name = style.name.clone();
            if let Err(why) = kept.keep(style) {
                left_out.push(LeftOut {
                    number: kept.styles.len() + left_out.len() + 1,
                    name: Some(name),
                    why: why.to_string(),
                });
            }
        }
        Ok((kept, left_out))
    }

    /// Writes the list; ends with a line break.
    pub fn to_json(&self) -> String {
        written(self.styles.iter().collect())
    }

    /// A file with some styles, own ones or such that come along.
    ///
    /// # Errors
    /// A name that no style has.
    pub fn export(&self, names: &[&str]) -> Result<String, StylesError> {
        let chosen: Result<Vec<&Style>, _> = names.iter().map(|name| self.find(name)).collect();
        Ok(written(chosen?))
    }

    /// The artist's own, in the order they were kept.
    pub fn own(&self) -> &[Style] {
        &self.styles
    }

    /// Every style to choose from: those that come along, then the own ones.
    pub fn all(&self) -> impl Iterator<Item = &Style> {
        built_in_styles().iter().chain(&self.styles)
    }

    /// A style by its name, capitals or not.
    ///
    /// # Errors
    /// [`StylesError::NoSuchStyle`].
    pub fn find(&self, name: &str) -> Result<&Style, StylesError> {
        self.all()
            .find(|s| same_name(&s.name, name))
            .ok_or_else(|| StylesError::NoSuchStyle {
                name: quotable(name),
                known: self.all().map(|s| s.name.clone()).collect(),
            })
    }

    /// Keeps a new style.
    ///
    /// # Errors
    /// A style that can't be used, a name that is taken, a full list.
    pub fn keep(&mut self, mut style: Style) -> Result<(), StylesError> {
        style.name = style.name.trim().to_owned();
        sound(&style)?;
        let name = || style.name.clone();
        if is_built_in(&style.name) {
            return Err(StylesError::BuiltIn { name: name() });
        }
        if self.styles.iter().any(|s| same_name(&s.name, &style.name)) {
            return Err(StylesError::NameTaken { name: name() });
        }
        if self.styles.len() >= MOST_STYLES {
            return Err(StylesError::Full);
        }
        self.styles.push(style);
        Ok(())
    }

    /// Puts a style in the place of an own one of that name, which may be
    /// renamed by it.
    ///
    /// # Errors
    /// No own style of that name; as [`Styles::keep`].
    pub fn replace(&mut self, name: &str, style: Style) -> Result<(), StylesError> {
        let at = self.place(name)?;
        let mut next = self.clone();
        next.styles.remove(at);
        next.keep(style)?;
        if let Some(last) = next.styles.pop() {
            next.styles.insert(at, last);
        }
        *self = next;
        Ok(())
    }

    /// Takes an own style away and hands it back.
    ///
    /// # Errors
    /// No own style of that name.
    pub fn remove(&mut self, name: &str) -> Result<Style, StylesError> {
        let at = self.place(name)?;
        Ok(self.styles.remove(at))
    }

    /// Adds the styles of a file. One that is there already is told and not
    /// doubled; one whose name another style has gets a number behind it.
    ///
    /// # Errors
    /// As [`Styles::from_json`]; a file of which nothing can be used. The list
    /// then stays as it was.
    pub fn import(&mut self, text: &str) -> Result<Imported, StylesError> {
        let (sound, left_out) = read(text)?;
        if sound.is_empty() {
            return Err(StylesError::None(left_out));
        }
        let mut next = self.clone();
        let mut done = Imported {
            left_out,
            ..Imported::default()
        };
        for mut style in sound {
            if next.all().any(|s| *s == style) {
                done.same.push(style.name);
                continue;
            }
            let free = next.free_name(&style.name);
            if free != style.name {
                let old = std::mem::replace(&mut style.name, free.clone());
                done.renamed.push((old, free.clone()));
            }
            next.keep(style)?;
            done.added.push(free);
        }
        *self = next;
        Ok(done)
    }

    /// The name itself, or with the first free number behind it.
    pub fn free_name(&self, name: &str) -> String {
        let name = name.trim();
        let taken = |name: &str| self.all().any(|s| same_name(&s.name, name));
        if !taken(name) {
            return name.to_owned();
        }
        let numbered = |n: u32| {
            let tail = format!(" {n}");
            let room = LONGEST_STYLE_NAME.saturating_sub(tail.chars().count());
            let short: String = name.chars().take(room).collect();
            format!("{}{tail}", short.trim_end())
        };
        // One more than there are styles is always enough.
        let most = self.styles.len() + built_in_styles().len() + 2;
        (2..=u32::try_from(most).unwrap_or(u32::MAX))
            .map(numbered)
            .find(|name| !taken(name))
            .unwrap_or_else(|| name.to_owned())
    }

    fn place(&self, name: &str) -> Result<usize, StylesError> {
        if is_built_in(name) {
            return Err(StylesError::BuiltIn {
                name: quotable(name),
            });
        }
        let found = self.styles.iter().position(|s| same_name(&s.name, name));
        found.ok_or_else(|| StylesError::NoSuchStyle {
            name: quotable(name),
            known: self.styles.iter().map(|s| s.name.clone()).collect(),
        })
    }
}

fn is_built_in(name: &str) -> bool {
    built_in_styles().iter().any(|s| same_name(&s.name, name))
}

fn same_name(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

fn sound(style: &Style) -> Result<(), StylesError> {
    match style.problems().into_iter().next() {
        None => Ok(()),
        Some(problem) => Err(StylesError::Problem {
            name: quotable(&style.name),
            problem,
        }),
    }
}

fn written(styles: Vec<&Style>) -> String {
    crate::json::of_styles(&StylesFile {
        schema: SCHEMA,
        styles,
    })
}

/// The sound styles of a text, and what was left out.
fn read(text: &str) -> Result<(Vec<Style>, Vec<LeftOut>), StylesError> {
    if text.len() > LARGEST_STYLES_FILE {
        let kilobytes = text.len().div_ceil(1024);
        return Err(StylesError::TooLarge { kilobytes });
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let given: serde_json::Value = serde_json::from_str(text).map_err(|_| not_json())?;
    if given.get("client").is_some() {
        return Err(StylesError::ClientsFile);
    }
    // A newer file may have fields that this version doesn't know.
    match given.get("schema").and_then(serde_json::Value::as_u64) {
        Some(found) if found > u64::from(SCHEMA) => return Err(StylesError::Newer { found }),
        Some(1) => {}
        _ => {
            return Err(StylesError::NotStyles {
                what: format!("it must begin with \"schema\": {SCHEMA}"),
            });
        }
    }
    let Some(serde_json::Value::Array(styles)) = given.get("styles").cloned() else {
        return Err(StylesError::NotStyles {
            what: "it has no list “styles”".to_owned(),
        });
    };
    let (mut kept, mut left_out) = (Vec::new(), Vec::new());
    for (i, one) in styles.into_iter().enumerate() {
        let name = one.get("name").and_then(|n| n.as_str()).map(quotable);
        let mut out = |why: String| {
            left_out.push(LeftOut {
                number: i + 1,
                name: name.clone(),
                why,
            });
        };
        if i >= MOST_STYLES {
            out(format!("a file can hold {MOST_STYLES} styles"));
            break;
        }
        match serde_json::from_value::<Style>(one) {
            Err(why) => out(quotable(&why.to_string())),
            Ok(style) => match style.problems().into_iter().next() {
                Some(problem) => out(problem.to_string()),
                None => kept.push(style),
            },
        }
    }
    Ok((kept, left_out))
}

fn not_json() -> StylesError {
    StylesError::NotStyles {
        what: "it is not JSON".to_owned(),
    }
}

/// Why a style can't be drawn on a client. The record is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StyledError {
    /// The face isn't measured yet.
    #[error("{0}")]
    Study(#[from] StudyError),
    /// The style doesn't go with this face.
    #[error("{0}")]
    Style(#[from] StyleError),
    /// Drawn apart, one side can't follow.
    #[error("“{style}” can't be drawn on both sides: {conflict}")]
    Side {
        /// The style's name.
        style: String,
        /// The side and why.
        conflict: ophryon_brow::SideConflict,
    },
}

/// A style as it would be drawn on a client.
#[derive(Debug, Clone, PartialEq)]
pub struct StyledShape {
    /// The style's name.
    pub style: String,
    /// What was drawn, and what gave way.
    pub styled: Styled,
    /// Both sides, offsets as they were.
    pub pair: Pair,
}

impl StyledShape {
    /// The change that takes it into the record.
    pub fn edit(&self) -> Edit {
        Edit::ApplyStyle {
            style: self.style.clone(),
            pair: Box::new(self.pair.clone()),
            limits: self.styled.limits,
        }
    }
}

impl Record {
    /// What a style comes to on this face. Each side keeps its offset; sides
    /// that were drawn apart keep their difference, point by point.
    ///
    /// # Errors
    /// [`StyledError`].
    pub fn styled(&self, style: &Style) -> Result<StyledShape, StyledError> {
        let measured = self.measured()?;
        let natural = natural_of(&measured)?;
        let face = face_of(&measured, &natural);
        let styled = style.on(&face, &self.rules, &self.limits)?;
        let mut pair = match &self.pair {
            Some(pair) => pair.clone(),
            None => Pair::even(styled.points),
        };
        if let Some(own) = &mut pair.unlinked {
            *own = own.moved_as(&pair.points, &styled.points);
            pair.unlinked_form = styled.form.clone();
        }
        pair.points = styled.points;
        pair.form = styled.form.clone();
        match pair.draw(&styled.limits) {
            Ok(_) => Ok(StyledShape {
                style: style.name.clone(),
                styled,
                pair,
            }),
            Err(conflict) => Err(StyledError::Side {
                style: style.name.clone(),
                conflict,
            }),
        }
    }

    /// The present shape as a style of the artist's own, to be drawn on other
    /// faces; of sides that were drawn apart, the master's.
    ///
    /// # Errors
    /// A face that isn't measured yet, a name that can't be used.
    pub fn as_style(&self, name: &str) -> Result<Style, StyledError> {
        let drawn = self.drawn()?;
        let natural = natural_of(&drawn.measured)?;
        let face = face_of(&drawn.measured, &natural);
        let brow = drawn.brows.get(drawn.pair.master);
        Style::made_from(name, brow, &face, &self.rules, &self.limits)
            .map_err(|why| StyledError::Style(why.into()))
    }
}

/// The natural brows of a face.
fn natural_of(measured: &Measured) -> Result<Sided<NaturalBrow>, StudyError> {
    Sided::try_from_fn(|side| {
        natural_brow(&measured.levelled.survey.face, side).map_err(|problem| StudyError::Face {
            photo: measured.levelled.photo.clone(),
            problem,
        })
    })
}

/// What a style needs to know of a face.
fn face_of<'a>(measured: &'a Measured, natural: &'a Sided<NaturalBrow>) -> Sided<StyleSide<'a>> {
    Sided::from_fn(|side: Side| StyleSide {
        eye: measured.eyes.get(side),
        lines: measured.lines.get(side),
        natural: natural.get(side),
        ear: measured.ears.get(side),
        wrap: measured.wrap.get(side),
    })
}
