//! A desk to try the program at: a folder with an invented client on it.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use serde_json::Value;
use tempfile::TempDir;

/// The program to test: `OPHRYON_BIN`, else built now, beside this test.
pub fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        if let Some(named) = env::var_os("OPHRYON_BIN") {
            return PathBuf::from(named);
        }
        let built = Command::new(env!("CARGO"))
            .args(["build", "--quiet", "--package", "ophryon"])
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .status();
        assert!(built.expect("cargo can be started").success());
        let this = env::current_exe().expect("this test is a file");
        let profile = this.ancestors().nth(2).expect("target/debug/deps/this");
        profile.join(format!("ophryon{}", env::consts::EXE_SUFFIX))
    })
}

/// What a run came to.
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

pub fn ran(command: &mut Command) -> Ran {
    let done = command.output().expect("the program can be started");
    Ran {
        code: done.status.code().expect("it ended by itself"),
        out: String::from_utf8(done.stdout).expect("it prints UTF-8"),
        err: String::from_utf8(done.stderr).expect("it prints UTF-8"),
    }
}

/// A folder of one's own with an invented client's file and photos in it.
pub struct Desk {
    folder: TempDir,
}

impl Desk {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-even");
        for name in ["client.json", "relaxed.jpg", "eyes-open.jpg"] {
            fs::copy(demo.join(name), folder.path().join(name)).expect("the demo client is there");
        }
        Self { folder }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        ran(Command::new(program())
            .args(arguments)
            .current_dir(self.folder.path()))
    }

    pub fn client(&self) -> Value {
        let text = fs::read_to_string(self.path("client.json")).expect("it is there");
        serde_json::from_str(&text).expect("it is JSON")
    }

    /// Changes the client's file.
    pub fn change(&self, change: impl FnOnce(&mut Value)) {
        let mut client = self.client();
        change(&mut client);
        fs::write(self.path("client.json"), client.to_string()).expect("it can be written");
    }

    pub fn names(&self, folder: &str) -> Vec<String> {
        let found = fs::read_dir(self.path(folder)).expect("the folder is there");
        let mut names: Vec<_> = found
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }

    /// Every task refuses the file alike: exit 2, nothing printed, one
    /// sentence with all of `parts`, no files written.
    pub fn refused(&self, parts: &[&str]) {
        for task in [
            &["sheet", "client.json", "--out", "sheets"][..],
            &["check", "client.json"],
            &["measure", "client.json", "--json"],
        ] {
            let before = self.names(".");
            let ran = self.run(task);
            assert_refusal(&ran, parts);
            assert_eq!(self.names("."), before, "{task:?} left something behind");
        }
    }
}

pub fn assert_refusal(ran: &Ran, parts: &[&str]) {
    assert_eq!(ran.code, 2, "out: {}\nerr: {}", ran.out, ran.err);
    assert_eq!(ran.out, "", "{}", ran.err);
    assert_eq!(ran.err.lines().count(), 1, "one sentence: {}", ran.err);
    for part in parts {
        assert!(ran.err.contains(part), "no “{part}” in: {}", ran.err);
    }
}
