//! Earlier versions of a client.

use idb::{Transaction, TransactionMode};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::Blob;

use super::door::{NotDone, ended};
use super::read::all_of;
use super::write::{key, picture_key, text};
use super::{CLIENTS, PICTURES, Store, Trouble, VERSION_LOOKS, VERSION_RECORDS, VERSIONS};

/// Most that are kept of one client, apart from those that always stay.
const MOST: usize = 40;

/// The newest are never thinned.
const NEWEST: usize = 12;

/// Why a version was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// Some minutes of work went by.
    Work,
    /// The client was left.
    Left,
    /// She agreed to it.
    Agreed,
    /// It was printed or saved.
    OnPaper,
    /// A backup came in its place.
    BeforeRestore,
    /// An earlier version came in its place.
    BeforeGoingBack,
    /// Another window went on with the client.
    BeforeTakeover,
    /// It was made in a window that another had taken the client over from.
    OtherWindow,
}

impl Cause {
    const ALL: [(Self, &'static str); 8] = [
        (Self::Work, "work"),
        (Self::Left, "left"),
        (Self::Agreed, "agreed"),
        (Self::OnPaper, "on-paper"),
        (Self::BeforeRestore, "before-restore"),
        (Self::BeforeGoingBack, "before-going-back"),
        (Self::BeforeTakeover, "before-takeover"),
        (Self::OtherWindow, "other-window"),
    ];

    fn id(self) -> &'static str {
        let found = Self::ALL.iter().find(|(c, _)| *c == self);
        found.map_or("work", |(_, id)| id)
    }

    fn from_id(id: &str) -> Option<Self> {
        let found = Self::ALL.iter().find(|(_, i)| *i == id);
        found.map(|(cause, _)| *cause)
    }

    /// Such a version is never thinned away.
    pub const fn stays(self) -> bool {
        matches!(self, Self::Agreed | Self::OtherWindow)
    }
}

/// A line about an earlier version.
#[derive(Debug, Clone, PartialEq)]
pub struct Version {
    /// Counts them for a client, whatever the clock said.
    pub number: u32,
    /// When, ms since 1970 by the clock of that moment.
    pub at_ms: f64,
    /// Why it was kept.
    pub cause: Cause,
    /// What had changed since the version before, in words.
    pub says: String,
    /// Names of its pictures.
    pub pictures: Vec<String>,
}

/// One that is to be kept.
pub struct NewVersion<'a> {
    /// When, ms since 1970.
    pub at_ms: f64,
    /// Why.
    pub cause: Cause,
    /// What changed since the version before, in words.
    pub says: &'a str,
    /// Names of its pictures.
    pub pictures: Vec<String>,
    /// The record as JSON.
    pub record: &'a str,
    /// A small picture, if there is one.
    pub look: Option<&'a Blob>,
}

/// An earlier version with its small picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// What is known of it.
    pub version: Version,
    /// The small picture.
    pub look: Option<Blob>,
}

impl Version {
    fn to_text(&self) -> String {
        let says = self.says.replace('\n', " ");
        let (at, id) = (self.at_ms, self.cause.id());
        // No picture's name holds a slash.
        format!("{at:.0}\n{id}\n{says}\n{}", self.pictures.join("/"))
    }

    fn from_text(number: u32, line: &str) -> Option<Self> {
        let mut lines = line.split('\n');
        let at_ms = lines.next()?.parse::<i64>().ok()? as f64;
        let cause = Cause::from_id(lines.next()?)?;
        let says = lines.next()?.to_owned();
        let pictures = lines.next()?.split('/').filter(|n| !n.is_empty());
        Some(Self {
            number,
            at_ms,
            cause,
            says,
            pictures: pictures.map(str::to_owned).collect(),
        })
    }
}

/// Numbers of those that go when there are too many: of the older ones, again
/// and again the one with the nearest neighbours, so that what stays is spread
/// over the whole time.
fn thinned(all: &[Version]) -> Vec<u32> {
    let mut left: Vec<(u32, bool)> = all.iter().map(|v| (v.number, v.cause.stays())).collect();
    let mut gone = Vec::new();
    while left.iter().filter(|(_, stays)| !stays).count() > MOST {
        let older = left.len().saturating_sub(NEWEST);
        let gap = |i: usize| {
            let before = i.checked_sub(1).and_then(|i| left.get(i));
            let (before, after) = (before.map_or(0, |v| v.0), left.get(i + 1).map(|v| v.0));
            after.unwrap_or(u32::MAX).saturating_sub(before)
        };
        let may_go = (0..older).filter(|&i| left.get(i).is_some_and(|v| !v.1));
        let Some(index) = may_go.min_by_key(|&i| gap(i)) else {
            break;
        };
        gone.push(left.remove(index).0);
    }
    gone
}

/// Ten digits, so that keys are in the order of numbers.
pub(super) fn version_key(client: &str, number: u32) -> String {
    picture_key(client, &format!("{number:010}"))
}

/// All of a client in a transaction over [`VERSIONS`], the first one first.
pub(super) async fn all(work: &Transaction, client: &str) -> Result<Vec<Version>, NotDone> {
    let lines = all_of(work, VERSIONS, client).await?;
    let read = |(number, line): &(String, JsValue)| {
        Version::from_text(number.parse().ok()?, &line.as_string()?)
    };
    Ok(lines.iter().filter_map(read).collect())
}

/// Puts a version into a transaction over the three stores of versions and
/// thins what is there.
pub(super) async fn put(
    work: &Transaction,
    client: &str,
    new: &NewVersion<'_>,
) -> Result<u32, NotDone> {
    let mut there = all(work, client).await?;
    let number = there.last().map_or(0, |v| v.number).saturating_add(1);
    let version = Version {
        number,
        at_ms: new.at_ms,
        cause: new.cause,
        says: new.says.to_owned(),
        pictures: new.pictures.clone(),
    };
    let name = text(&version_key(client, number));
    work.object_store(VERSIONS)?
        .put(&text(&version.to_text()), Some(&name))?;
    work.object_store(VERSION_RECORDS)?
        .put(&text(new.record), Some(&name))?;
    if let Some(look) = new.look {
        work.object_store(VERSION_LOOKS)?.put(look, Some(&name))?;
    }
    there.push(version);
    for number in thinned(&there) {
        for store in [VERSIONS, VERSION_RECORDS, VERSION_LOOKS] {
            let name = key(&version_key(client, number));
            work.object_store(store)?.delete(name)?;
        }
    }
    Ok(number)
}

impl Store {
    /// Keeps a version of a client, and its pictures where the store hasn't
    /// them. One of a client who was erased meanwhile is not kept, nor one
    /// that `may` refuses: it is handed her record as it is kept in the same
    /// breath, so nothing can come in between.
    ///
    /// # Errors
    /// A sentence.
    pub async fn keep_version(
        &self,
        client: &str,
        new: &NewVersion<'_>,
        pictures: &[(String, Blob)],
        may: impl Fn(&str) -> bool,
    ) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self.door.begin(
                &[CLIENTS, PICTURES, VERSIONS, VERSION_RECORDS, VERSION_LOOKS],
                TransactionMode::ReadWrite,
            )?;
            let clients = work.object_store(CLIENTS)?;
            let here = clients.get(key(client))?.await?;
            if here.and_then(|h| h.as_string()).is_some_and(|h| may(&h)) {
                put(&work, client, new).await?;
                for (name, blob) in pictures {
                    let name = text(&picture_key(client, name));
                    work.object_store(PICTURES)?.put(blob, Some(&name))?;
                }
            }
            ended(work).await
        };
        write().await.map_err(|e| e.says("keep an earlier version"))
    }

    /// Gives a version its small picture, drawn on the photo of that file name:
    /// none where that photo is gone.
    ///
    /// # Errors
    /// A sentence.
    pub async fn set_look(
        &self,
        client: &str,
        number: u32,
        photo: &str,
        look: &Blob,
    ) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self.door.begin(
                &[PICTURES, VERSIONS, VERSION_LOOKS],
                TransactionMode::ReadWrite,
            )?;
            let name = version_key(client, number);
            let versions = work.object_store(VERSIONS)?;
            let is_there = versions.get_key(key(&name))?.await?.is_some();
            let pictures = work.object_store(PICTURES)?;
            let photo = key(&picture_key(client, photo));
            if is_there && pictures.get_key(photo)?.await?.is_some() {
                work.object_store(VERSION_LOOKS)?
                    .put(look, Some(&text(&name)))?;
            }
            ended(work).await
        };
        write().await.map_err(|e| e.says("keep an earlier version"))
    }

    /// Earlier versions of a client with their small pictures, the newest
    /// first.
    ///
    /// # Errors
    /// A sentence.
    pub async fn versions(&self, client: &str) -> Result<Vec<Earlier>, Trouble> {
        let read = async || -> Result<_, NotDone> {
            let work = self
                .door
                .begin(&[VERSIONS, VERSION_LOOKS], TransactionMode::ReadOnly)?;
            let versions = all(&work, client).await?;
            let looks = all_of(&work, VERSION_LOOKS, client).await?;
            Ok((versions, looks))
        };
        let (versions, looks) = read().await.map_err(|e| e.says("list earlier versions"))?;
        let look_of = |number: u32| {
            let found = looks.iter().find(|(n, _)| n.parse() == Ok(number));
            found.and_then(|(_, look)| look.clone().dyn_into().ok())
        };
        let with_look = |version: Version| Earlier {
            look: look_of(version.number),
            version,
        };
        Ok(versions.into_iter().rev().map(with_look).collect())
    }

    /// The record of an earlier version, JSON.
    ///
    /// # Errors
    /// A sentence.
    pub async fn version_record(&self, client: &str, number: u32) -> Result<String, Trouble> {
        let name = version_key(client, number);
        let found = self.door.look(VERSION_RECORDS, &name).await;
        let found = found.map_err(|e| e.says("read an earlier version"))?;
        found
            .and_then(|t| t.as_string())
            .ok_or_else(|| "This earlier version is no longer kept.".to_owned())
    }

    /// Takes away pictures that neither the client's record nor a version
    /// needs.
    ///
    /// # Errors
    /// A sentence.
    pub async fn tidy(&self, client: &str, needed: &[String]) -> Result<(), Trouble> {
        let write = async || -> Result<(), NotDone> {
            let work = self
                .door
                .begin(&[PICTURES, VERSIONS], TransactionMode::ReadWrite)?;
            let versions = all(&work, client).await?;
            let pictures = work.object_store(PICTURES)?;
            let names = pictures
                .get_all_keys(Some(super::read::of_client(client)?), None)?
                .await?;
            let prefix = picture_key(client, "");
            for name in names.iter().filter_map(JsValue::as_string) {
                let bare = name.strip_prefix(&prefix).unwrap_or_default();
                let in_version = versions
                    .iter()
                    .any(|v| v.pictures.iter().any(|p| p == bare));
                if !in_version && !needed.iter().any(|n| n == bare) {
                    pictures.delete(key(&name))?;
                }
            }
            ended(work).await
        };
        write().await.map_err(|e| e.says("tidy a client’s photos"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn version(number: u32, cause: Cause) -> Version {
        Version {
            number,
            at_ms: 1_764_057_600_123.0,
            cause,
            says: "tail moved 1.2 mm".to_owned(),
            pictures: vec!["photo-1.jpg".to_owned(), "photo-2.png".to_owned()],
        }
    }

    #[test]
    fn a_line_comes_back_as_it_was() {
        for (cause, _) in Cause::ALL {
            let one = version(3, cause);
            assert_eq!(Version::from_text(3, &one.to_text()), Some(one));
        }
        let mut bare = version(3, Cause::Left);
        bare.pictures.clear();
        assert_eq!(Version::from_text(3, &bare.to_text()), Some(bare));
        assert_eq!(Version::from_text(3, "damaged"), None);
    }

    #[test]
    fn thinning_keeps_the_newest_the_agreed_and_a_spread_over_the_whole_time() {
        let mut all: Vec<Version> = Vec::new();
        for number in 1..=1000 {
            let agreed = number % 97 == 0;
            all.push(version(
                number,
                if agreed { Cause::Agreed } else { Cause::Work },
            ));
            let gone = thinned(&all);
            all.retain(|v| !gone.contains(&v.number));
        }
        let numbers: Vec<u32> = all.iter().map(|v| v.number).collect();
        for agreed in (97..=1000).step_by(97) {
            assert!(numbers.contains(&agreed), "{agreed} was agreed and is gone");
        }
        assert!(numbers.ends_with(&(989..=1000).collect::<Vec<_>>()));
        assert_eq!(all.iter().filter(|v| !v.cause.stays()).count(), MOST);
        // Every stretch of the time has one left.
        for stretch in 0..9 {
            let within = |n: &&u32| (stretch * 110..(stretch + 1) * 110).contains(*n);
            assert!(numbers.iter().filter(within).count() >= 2, "{numbers:?}");
        }
    }
}
