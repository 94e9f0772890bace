//! The files of the app, from this program or from a folder.

use std::borrow::Cow;
use std::fs;
use std::path::{Path, PathBuf};

use ophryon_stencil::ScriptFont;

use super::ServeError;

/// What `build.rs` found: names with `/`, packed copies among them.
static EMBEDDED: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/app.rs"));

/// The page itself.
const PAGE: &str = "index.html";

/// Where the app finds letters of scripts beyond its own. The program has them
/// for its own PDF already, so the app in it comes without.
const FONTS: &str = "fonts/";

/// Where the app's files come from.
#[derive(Debug)]
pub enum Assets {
    /// Carried by the program, in the order of their names.
    Embedded(&'static [(&'static str, &'static [u8])]),
    /// Read at each request, so that a fresh build shows on reload.
    Folder {
        /// Absolute and free of links.
        folder: PathBuf,
    },
}

/// One file, as it is and as it may travel.
#[derive(Debug, PartialEq, Eq)]
pub struct Asset {
    /// The content.
    pub bytes: Cow<'static, [u8]>,
    /// The content gzipped, where that was worth it.
    pub gzip: Option<Cow<'static, [u8]>>,
    /// The content packed by Brotli (RFC 7932), likewise: a fifth smaller.
    pub brotli: Option<Cow<'static, [u8]>>,
}

impl Assets {
    /// # Errors
    /// When the program was compiled without the app.
    pub fn embedded() -> Result<Self, ServeError> {
        Self::carried(EMBEDDED)
    }

    fn carried(files: &'static [(&'static str, &'static [u8])]) -> Result<Self, ServeError> {
        let assets = Self::Embedded(files);
        assets.get(PAGE).map(|_| assets).ok_or(ServeError::NoApp)
    }

    /// # Errors
    /// When `folder` can't be read or holds no page.
    pub fn in_folder(folder: PathBuf) -> Result<Self, ServeError> {
        let real = match fs::canonicalize(&folder) {
            Ok(real) => real,
            Err(source) => return Err(ServeError::Folder { folder, source }),
        };
        let assets = Self::Folder { folder: real };
        assets
            .get(PAGE)
            .map(|_| assets)
            .ok_or(ServeError::NoPage { folder })
    }

    /// The file called `name`, which must come from [`name_of`].
    pub fn get(&self, name: &str) -> Option<Asset> {
        Some(Asset {
            bytes: self.bytes(name)?,
            gzip: self.bytes(&format!("{name}.gz")),
            brotli: self.bytes(&format!("{name}.br")),
        })
    }

    fn bytes(&self, name: &str) -> Option<Cow<'static, [u8]>> {
        match self {
            Self::Embedded(files) => {
                if let Some(font) = name.strip_prefix(FONTS) {
                    let font = ScriptFont::from_file_name(font)?;
                    return Some(Cow::Borrowed(font.bytes()));
                }
                let index = files
                    .binary_search_by(|(other, _)| (*other).cmp(name))
                    .ok()?;
                files.get(index).map(|(_, bytes)| Cow::Borrowed(*bytes))
            }
            Self::Folder { folder } => {
                let path = fs::canonicalize(folder.join(name)).ok()?;
                within(folder, &path)
                    .then(|| fs::read(&path).ok())
                    .flatten()
                    .map(Cow::Owned)
            }
        }
    }
}

/// A link may lead out of the folder; then it is not the app's.
fn within(folder: &Path, path: &Path) -> bool {
    path.starts_with(folder) && path.is_file()
}

/// The file that a request's path asks for: decoded, below the app's folder on
/// any system, never hidden, never a packed copy. `None` for everything else.
pub fn name_of(path: &str) -> Option<String> {
    let decoded = percent_encoding::percent_decode_str(path)
        .decode_utf8()
        .ok()?;
    let name = decoded.strip_prefix('/')?;
    if name.is_empty() {
        return Some(PAGE.to_owned());
    }
    // A backslash, a drive's colon and a device's name mean something on Windows.
    let plain = name.split('/').all(|part| {
        !part.is_empty()
            && !part.starts_with('.')
            && !part.ends_with(['.', ' '])
            && !part.contains(['\\', ':'])
            && !part.contains(char::is_control)
    });
    let packed = [".gz", ".br"].iter().any(|ending| name.ends_with(ending));
    (plain && !packed).then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_paths_are_names_and_the_root_is_the_page() {
        assert_eq!(name_of("/").as_deref(), Some("index.html"));
        assert_eq!(name_of("/ophryon.js").as_deref(), Some("ophryon.js"));
        assert_eq!(
            name_of("/icons/brow.svg").as_deref(),
            Some("icons/brow.svg")
        );
        assert_eq!(name_of("/a%20b.svg").as_deref(), Some("a b.svg"));
    }

    #[test]
    fn nothing_leads_out_of_the_folder() {
        for path in [
            "",
            "index.html",
            "//etc/passwd",
            "/../Cargo.toml",
            "/icons/../../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "/%2e%2e%2fCargo.toml",
            "/..%5cCargo.toml",
            "/icons/%5c..%5c..%5cCargo.toml",
            "/C:/Windows/win.ini",
            "/c%3a/Windows/win.ini",
            "/.git/config",
            "/icons/.hidden",
            "/icons/",
            "/./index.html",
            "/index.html%00.png",
            "/index.html.",
            "/%ff",
            "/ophryon.js.gz",
            "/ophryon.js.br",
        ] {
            assert_eq!(name_of(path), None, "{path}");
        }
    }

    #[test]
    fn a_program_without_the_app_says_how_to_get_one() {
        let trouble = Assets::carried(&[]).unwrap_err().to_string();
        assert!(trouble.contains("carries no app") && trouble.contains("cargo xtask build"));
    }

    #[test]
    fn a_folder_without_a_page_or_no_folder_is_refused_by_name() {
        let top = tempfile::tempdir().unwrap();
        let empty = Assets::in_folder(top.path().to_owned()).unwrap_err();
        assert!(empty.to_string().contains("index.html"));
        let missing = Assets::in_folder(top.path().join("nowhere")).unwrap_err();
        assert!(missing.to_string().contains("nowhere"));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_out_of_the_folder_is_not_followed() {
        let top = tempfile::tempdir().unwrap();
        let folder = top.path().join("www");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("index.html"), "page").unwrap();
        fs::write(top.path().join("private.txt"), "private").unwrap();
        std::os::unix::fs::symlink(top.path().join("private.txt"), folder.join("link.txt"))
            .unwrap();
        std::os::unix::fs::symlink(folder.join("index.html"), folder.join("inner.html")).unwrap();
        let assets = Assets::in_folder(folder).unwrap();
        assert_eq!(assets.get("link.txt"), None);
        assert!(assets.get("inner.html").is_some());
    }

    #[test]
    fn packed_copies_come_with_their_file() {
        static FILES: &[(&str, &[u8])] = &[
            ("index.html", b"page"),
            ("index.html.br", b"packed well"),
            ("index.html.gz", b"packed"),
            ("start.js", b"start"),
        ];
        let assets = Assets::Embedded(FILES);
        let page = assets.get("index.html").unwrap();
        assert_eq!(page.gzip.as_deref(), Some(b"packed".as_slice()));
        assert_eq!(page.brotli.as_deref(), Some(b"packed well".as_slice()));
        let script = assets.get("start.js").unwrap();
        assert_eq!((&*script.bytes, script.gzip), (b"start".as_slice(), None));
        assert_eq!(assets.get("icons"), None);
    }
}
