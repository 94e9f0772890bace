//! `ophryon backup`: clients and photos in one file, made, looked at, checked
//! and opened again.

use std::fs::{self, File};
use std::io::{self, BufRead, BufWriter, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use ophryon_archive::{
    Backup, BackupWriter, LOCK_RANDOM, Locker, Made, Passphrase, PhotoBytes, ReaderAt, Unlocked,
    Work, WriteError, is_locked,
};
use ophryon_record::{Image, Record};

use crate::table::{Column, table};
use crate::trouble::{Trouble, unreadable};
use crate::{Outcome, client_file, output, restore};

/// What `ophryon backup` can be told.
#[derive(Debug, clap::Args)]
pub struct BackupOptions {
    #[command(subcommand)]
    task: BackupTask,
}

#[derive(Debug, clap::Subcommand)]
enum BackupTask {
    /// Put clients and their photos into one file
    Make(MakeOptions),
    /// Print whom a backup holds
    List(ReadOptions),
    /// Read all of a backup and say what is missing or damaged; exit 1 if anything is
    Check(ReadOptions),
    /// Write a backup's clients and photos into a folder
    Open(OpenOptions),
}

/// Where a passphrase comes from. Never from the command line itself, which
/// other users and the shell's history can see.
#[derive(Debug, clap::Args)]
struct Words {
    /// Read the passphrase from a file's first line, or from standard input (-), instead of asking for it
    #[arg(long, value_name = "FILE")]
    passphrase_file: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
struct MakeOptions {
    /// The clients' files
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// The backup to write
    #[arg(long, value_name = "BACKUP")]
    out: PathBuf,
    /// Lock it with a passphrase (age format)
    #[arg(long)]
    lock: bool,
    /// Replace a file of that name
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    words: Words,
}

#[derive(Debug, clap::Args)]
struct ReadOptions {
    /// The backup
    #[arg(value_name = "BACKUP")]
    backup: PathBuf,
    #[command(flatten)]
    words: Words,
}

#[derive(Debug, clap::Args)]
struct OpenOptions {
    /// The backup
    #[arg(value_name = "BACKUP")]
    backup: PathBuf,
    /// The folder to write into; each client gets a folder of her own in it
    #[arg(long, value_name = "DIR")]
    into: PathBuf,
    /// Where a client is there in another state, take the backup's
    #[arg(long, conflicts_with = "keep_both")]
    replace: bool,
    /// Where a client is there in another state, write the backup's beside her
    #[arg(long)]
    keep_both: bool,
    #[command(flatten)]
    words: Words,
}

/// Makes, lists, checks or opens.
pub fn run(options: &BackupOptions) -> Result<Outcome, Trouble> {
    match &options.task {
        BackupTask::Make(options) => make(options),
        BackupTask::List(options) => list(options),
        BackupTask::Check(options) => check(options),
        BackupTask::Open(options) => {
            let backup = open(&options.backup, &options.words)?;
            let choice = match (options.replace, options.keep_both) {
                (true, _) => restore::Differing::Replace,
                (_, true) => restore::Differing::KeepBoth,
                _ => restore::Differing::Leave,
            };
            restore::run(&backup, &options.into, choice)
        }
    }
}

/// Trouble with one file.
pub fn about(file: &Path, sentence: impl Into<String>) -> Trouble {
    Trouble::Backup {
        file: file.to_owned(),
        sentence: sentence.into(),
    }
}

fn make(options: &MakeOptions) -> Result<Outcome, Trouble> {
    let out = &options.out;
    if out.is_dir() {
        return Err(about(out, "this is a folder; name a file to write in it"));
    }
    if out.exists() && !options.replace {
        return Err(about(
            out,
            "it is there already; say --replace to replace it, or choose another name",
        ));
    }
    for (i, file) in options.files.iter().enumerate() {
        if same_place(file, out) {
            return Err(about(
                out,
                "this is a client's file itself; choose another name with --out",
            ));
        }
        if options.files[..i]
            .iter()
            .any(|other| same_place(file, other))
        {
            return Err(about(file, "it is named twice; name it once"));
        }
    }
    let passphrase = options
        .lock
        .then(|| new_passphrase(&options.words))
        .transpose()?;
    // All are read before anything is written, so that one bad file leaves
    // nothing half done; photos only one client at a time.
    let clients = options
        .files
        .iter()
        .map(|file| Ok((file, client_file::record(file)?)))
        .collect::<Result<Vec<_>, Trouble>>()?;
    let missing = output::write_through(out, |file| {
        let sink = BufWriter::new(file);
        let failed = |error: io::Error| WriteError::Io(error);
        let Some(passphrase) = &passphrase else {
            let (sink, missing) = write(sink, &clients)?;
            sink.into_inner().map_err(|e| failed(e.into_error()))?;
            return Ok(missing);
        };
        let mut random = [0; LOCK_RANDOM];
        getrandom::fill(&mut random).map_err(|e| failed(io::Error::other(e.to_string())))?;
        let locker = Locker::new(sink, passphrase, Work::USUAL, &random)?;
        let (locker, missing) = write(locker, &clients)?;
        locker
            .finish()?
            .into_inner()
            .map_err(|e| failed(e.into_error()))?;
        Ok(missing)
    })
    .map_err(|why: output::ThroughError<WriteTrouble>| match why {
        output::ThroughError::Io(source) => Trouble::Unwritable {
            file: out.clone(),
            source,
        },
        output::ThroughError::Other(WriteTrouble(file, why)) => {
            about(file.as_deref().unwrap_or(out), why.to_string())
        }
    })?;
    for words in &missing {
        eprintln!("ophryon: {words}");
    }
    let count = clients.len();
    let clients = if count == 1 {
        "1 client".to_owned()
    } else {
        format!("{count} clients")
    };
    let locked = if options.lock { ", locked" } else { "" };
    output::print(&format!("{}: {clients}{locked}.\n", out.display()))?;
    Ok(if missing.is_empty() {
        Outcome::Done
    } else {
        Outcome::Incomplete
    })
}

/// What went wrong, and with which client's file if with one.
struct WriteTrouble(Option<PathBuf>, WriteError);

impl<E: Into<WriteError>> From<E> for WriteTrouble {
    fn from(why: E) -> Self {
        Self(None, why.into())
    }
}

type Clients<'a> = [(&'a PathBuf, Record)];

/// Writes all of them; photos that can't be read are told.
fn write<W: Write>(sink: W, clients: &Clients<'_>) -> Result<(W, Vec<String>), WriteTrouble> {
    let mut writer = BackupWriter::new(sink, Made::at_unix(env!("CARGO_PKG_VERSION"), now()));
    let mut told = Vec::new();
    for (file, record) in clients {
        let beside = file.parent().unwrap_or(Path::new(""));
        let mut photos = Vec::new();
        for photo in record.photos.iter().filter(|p| !p.erased) {
            let Image::File { name } = &photo.image else {
                continue;
            };
            match fs::read(beside.join(name)) {
                Ok(bytes) => photos.push((photo.id.as_str(), bytes)),
                Err(error) => {
                    let why =
                        unreadable(&error, "the photo, which belongs beside the client's file");
                    told.push(format!(
                        "{}: “{name}”: {why}. The client is in the backup without it.",
                        file.display()
                    ));
                }
            }
        }
        let photos: Vec<_> = photos
            .iter()
            .map(|(photo, bytes)| PhotoBytes { photo, bytes })
            .collect();
        writer
            .add(record, &photos, changed(file))
            .map_err(|why| WriteTrouble(Some((*file).clone()), why))?;
    }
    Ok((writer.finish()?, told))
}

fn now() -> i64 {
    seconds(SystemTime::now())
}

fn seconds(time: SystemTime) -> i64 {
    let since = time.duration_since(UNIX_EPOCH);
    since.map_or(0, |t| i64::try_from(t.as_secs()).unwrap_or(i64::MAX))
}

/// When a client's file was last written.
pub fn changed(file: &Path) -> Option<i64> {
    fs::metadata(file).ok()?.modified().ok().map(seconds)
}

/// The same file by two names; a file that isn't there is none.
fn same_place(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

fn list(options: &ReadOptions) -> Result<Outcome, Trouble> {
    let backup = open(&options.backup, &options.words)?;
    let columns = [
        ("client", Column::Words),
        ("version", Column::Numbers),
        ("photos", Column::Numbers),
        ("folder", Column::Words),
    ];
    let mut rows = Vec::new();
    for i in 0..backup.count() {
        let folder = backup.folder(i).unwrap_or_default().to_owned();
        let row = match backup.client(i) {
            Some(Ok(client)) => {
                let inside = |p: &&ophryon_record::Photo| matches!(p.image, Image::Embedded { .. });
                let photos =
                    client.photos.len() + client.record.photos.iter().filter(inside).count();
                let code = ophryon_archive::Name::new(&client.record.client.code);
                [
                    code.to_string(),
                    client.record.version.to_string(),
                    photos.to_string(),
                    folder,
                ]
            }
            _ => [
                "can't be read".to_owned(),
                "-".to_owned(),
                "-".to_owned(),
                folder,
            ],
        };
        rows.push(row.to_vec());
    }
    let made = backup.made().map_or_else(
        || "Made at an unknown time".to_owned(),
        |made| format!("Made {} by Ophryon {}", shown(&made.at), shown(&made.app)),
    );
    output::print(&format!("{made}\n\n{}", table(&columns, &rows)))?;
    Ok(told(&backup.faults()))
}

fn shown(text: &str) -> String {
    ophryon_archive::Name::new(text).to_string()
}

fn check(options: &ReadOptions) -> Result<Outcome, Trouble> {
    let backup = open(&options.backup, &options.words)?;
    let faults = backup.check();
    let mut text = String::new();
    for fault in &faults {
        text.push_str(&format!("{fault}.\n"));
    }
    let count = backup.count();
    let clients = if count == 1 {
        "1 client".to_owned()
    } else {
        format!("{count} clients")
    };
    text.push_str(&if faults.is_empty() {
        format!("{clients}, all whole.\n")
    } else {
        format!("{clients}; see above for what is missing or damaged.\n")
    });
    output::print(&text)?;
    Ok(if faults.is_empty() {
        Outcome::Done
    } else {
        Outcome::Incomplete
    })
}

/// Tells faults on standard error.
pub fn told(faults: &[ophryon_archive::Fault]) -> Outcome {
    for fault in faults {
        eprintln!("ophryon: {fault}.");
    }
    if faults.is_empty() {
        Outcome::Done
    } else {
        Outcome::Incomplete
    }
}

/// Either kind of backup.
pub type Opened = Backup<Box<dyn ReaderAt>>;

/// Opens a backup, and asks for the passphrase where it is locked.
fn open(file: &Path, words: &Words) -> Result<Opened, Trouble> {
    let failed = |source| Trouble::Unreadable {
        file: file.to_owned(),
        source,
    };
    if fs::metadata(file).map_err(failed)?.is_dir() {
        return Err(about(file, "this is a folder; name the backup in it"));
    }
    let mut handle = File::open(file).map_err(failed)?;
    let length = handle.metadata().map_err(failed)?.len();
    let mut first = Vec::new();
    (&mut handle)
        .take(64)
        .read_to_end(&mut first)
        .map_err(failed)?;
    let source = ophryon_archive::FileReader::from(handle);
    let (source, length): (Box<dyn ReaderAt>, u64) = if is_locked(&first) {
        let passphrase = known_passphrase(words)?;
        let unlocked = Unlocked::open(source, length, &passphrase)
            .map_err(|why| about(file, why.to_string()))?;
        if !unlocked.is_whole() {
            told(&[ophryon_archive::Fault::LockCutOff]);
        }
        let length = unlocked.length();
        (Box::new(unlocked), length)
    } else {
        (Box::new(source), length)
    };
    Backup::open(source, length).map_err(|why| {
        if let ophryon_archive::OpenError::NoBackup { faults } = &why {
            told(faults);
        }
        about(file, why.to_string())
    })
}

fn known_passphrase(words: &Words) -> Result<Passphrase, Trouble> {
    match from_file(words)? {
        Some(passphrase) => Ok(passphrase),
        None => typed("Passphrase: "),
    }
}

/// Typed twice, since one mistake would lock her own clients away.
fn new_passphrase(words: &Words) -> Result<Passphrase, Trouble> {
    let passphrase = match from_file(words)? {
        Some(passphrase) => passphrase,
        None => {
            eprintln!(
                "Write the passphrase down and keep it where the backup is not: nobody can open the backup without it."
            );
            let once = typed("Passphrase: ")?;
            if once != typed("Once more: ")? {
                let why = "the two passphrases differ; start again";
                return Err(Trouble::Options(why.to_owned()));
            }
            once
        }
    };
    match passphrase.weakness() {
        Some(why) => Err(Trouble::Options(why)),
        None => Ok(passphrase),
    }
}

/// Longest first line that is read, bytes.
const LONGEST_WORDS: u64 = 4_096;

fn from_file(words: &Words) -> Result<Option<Passphrase>, Trouble> {
    let Some(file) = &words.passphrase_file else {
        return Ok(None);
    };
    let mut line = String::new();
    let read = if file.as_os_str() == "-" {
        io::stdin().lock().take(LONGEST_WORDS).read_line(&mut line)
    } else {
        File::open(file)
            .and_then(|f| io::BufReader::new(f.take(LONGEST_WORDS)).read_line(&mut line))
    };
    read.map_err(|source| Trouble::Unreadable {
        file: file.clone(),
        source,
    })?;
    Ok(Some(Passphrase::new(line)))
}

fn typed(question: &str) -> Result<Passphrase, Trouble> {
    if !io::stdin().is_terminal() {
        let why = "a passphrase is needed and there is no terminal to type it on; name a file that holds it with --passphrase-file";
        return Err(Trouble::Options(why.to_owned()));
    }
    rpassword::prompt_password(question)
        .map(Passphrase::new)
        .map_err(|error| Trouble::Options(format!("the passphrase can't be read ({error}); name a file that holds it with --passphrase-file")))
}
