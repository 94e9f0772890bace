//! Names inside a backup: which are ours, and which lead elsewhere.

/// The backup's own description.
pub(crate) const MANIFEST: &str = "manifest.json";
/// A client's file in her folder.
pub(crate) const CLIENT: &str = "client.json";
/// Where the clients' folders are.
pub(crate) const CLIENTS: &str = "clients/";

/// Longest name that one of our entries has, bytes.
pub(crate) const LONGEST: usize = 255;

/// What an entry is by its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part<'a> {
    Manifest,
    /// A client's file or photo: folder and file.
    InFolder(&'a str, &'a str),
    /// Made by packing folders; holds nothing.
    Folder,
    Outside,
    Foreign,
}

/// What a name stands for. Nothing that isn't ours is ever turned into a path.
pub(crate) fn part(name: &str) -> Part<'_> {
    if leads_outside(name) {
        return Part::Outside;
    }
    if name == MANIFEST {
        return Part::Manifest;
    }
    if name.ends_with('/') {
        return Part::Folder;
    }
    let inner = name.strip_prefix(CLIENTS).and_then(|n| n.split_once('/'));
    match inner {
        Some((folder, file)) if name.len() <= LONGEST && is_plain(folder) && is_plain(file) => {
            Part::InFolder(folder, file)
        }
        _ => Part::Foreign,
    }
}

/// Absolute, with a drive, or climbing out.
fn leads_outside(name: &str) -> bool {
    name.starts_with(['/', '\\'])
        || name.as_bytes().get(1) == Some(&b':')
        || name.split(['/', '\\']).any(|step| step == "..")
}

/// Device names of Windows, which are no files whatever their ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
const NUMBERED_DEVICES: [&str; 2] = ["com", "lpt"];

/// A file or folder name that means the same on every system: letters, digits,
/// space, `.`, `-`, `_`; neither hidden nor a device.
pub fn is_plain(name: &str) -> bool {
    let fine = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '.' | '-' | '_');
    let stem = name
        .split('.')
        .next()
        .unwrap_or_default()
        .trim_end()
        .to_ascii_lowercase();
    let numbered = |d: &&str| {
        stem.strip_prefix(*d)
            .is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()))
    };
    (1..=100).contains(&name.len())
        && name.chars().all(fine)
        && !name.starts_with(['.', ' '])
        && !name.ends_with(['.', ' '])
        && !DEVICES.contains(&stem.as_str())
        && !NUMBERED_DEVICES.iter().any(numbered)
}

/// A folder's name for the client of that place in the backup: `0001-k7`.
pub(crate) fn folder(index: usize, code: &str) -> String {
    let fit = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    let code: String = code.chars().take(24).map(fit).collect();
    let code = code.trim_matches('-');
    let number = index + 1;
    if code.is_empty() {
        format!("{number:04}")
    } else {
        format!("{number:04}-{code}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_names_are_ours() {
        assert_eq!(part("manifest.json"), Part::Manifest);
        assert_eq!(
            part("clients/0001-k7/relaxed.jpg"),
            Part::InFolder("0001-k7", "relaxed.jpg")
        );
        assert_eq!(part("clients/0001-k7/"), Part::Folder);
        for foreign in [
            "__MACOSX/a",
            "clients/x",
            "clients/a/b/c",
            "clients/a/.x",
            "",
            "clients//x",
            "clients/a/con.txt",
            "clients/a/COM1",
            "clients/a/b:c",
            "clients/a/b ",
            "clients/a\\b/c",
        ] {
            assert_eq!(part(foreign), Part::Foreign, "{foreign}");
        }
        for outside in [
            "../x",
            "/etc/passwd",
            "clients/../../x",
            "C:\\x",
            "c:x",
            "clients\\..\\x",
            "\\\\server\\x",
            "clients/a/..",
        ] {
            assert_eq!(part(outside), Part::Outside, "{outside}");
        }
    }

    #[test]
    fn folders_are_plain_whatever_the_code() {
        for (code, name) in [
            ("K7", "0001-k7"),
            ("../..", "0001"),
            ("Łucja <b>", "0001-ucja--b"),
            ("con", "0001-con"),
        ] {
            assert_eq!(folder(0, code), name);
            assert!(is_plain(&folder(0, code)));
        }
    }
}
