//! `ophryon serve`: the app, from this program or a folder, to this computer only.
//!
//! The server hands out files and takes nothing in: photos and client files
//! never leave the browser.

mod answer;
mod assets;

use std::io::{self, ErrorKind, Write};
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;

use assets::Assets;

/// Where the page is when nobody asks for another port. In the range that
/// IANA leaves to users (RFC 6335), and held by no well-known program.
pub const PORT: u16 = 8740;

/// How many ports are tried before giving up; somebody with this many servers
/// has another trouble.
const TRIES: u16 = 50;

/// What `ophryon serve` can be told.
#[derive(Debug, Clone, clap::Args)]
pub struct ServeOptions {
    /// Port to start from; a taken one is passed over
    #[arg(long, default_value_t = PORT)]
    pub port: u16,
    /// Print the address instead of opening the page
    #[arg(long)]
    pub no_open: bool,
    /// Serve the app from this folder instead of the one in this program
    #[arg(long, value_name = "DIR")]
    pub assets: Option<PathBuf>,
}

/// Why the app can't be served.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServeError {
    /// Compiled without the app.
    #[error(
        "this build of ophryon carries no app; make one that does with `cargo xtask build`, or name a folder that holds the app with --assets"
    )]
    NoApp,
    /// The folder given with `--assets` can't be read.
    #[error("{}: can't be read as the app's folder ({source}); name the folder that `cargo xtask build` fills, target/www", folder.display())]
    Folder {
        /// As given.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The folder given with `--assets` holds no page.
    #[error("{}: holds no index.html; name the folder that `cargo xtask build` fills, target/www", folder.display())]
    NoPage {
        /// As given.
        folder: PathBuf,
    },
    /// The port is not for us, taken or not.
    #[error("port {port} can't be used ({source}); choose another with --port")]
    Port {
        /// The port that was tried last.
        port: u16,
        /// What the system said.
        source: io::Error,
    },
    /// All ports that were tried are taken.
    #[error("ports {first} to {last} are all taken; choose another with --port")]
    AllTaken {
        /// The port asked for.
        first: u16,
        /// The port tried last.
        last: u16,
    },
    /// The server stopped.
    #[error("the server stopped: {0}")]
    Server(#[from] io::Error),
}

/// Serves the app until the program is stopped.
///
/// # Errors
/// When there is no app, or no port to serve it on.
pub fn run(options: ServeOptions) -> Result<(), ServeError> {
    let assets = match options.assets {
        Some(folder) => Assets::in_folder(folder)?,
        None => Assets::embedded()?,
    };
    let listener = listen(options.port, say)?;
    let address = format!("http://{}/", listener.local_addr()?);
    say(&format!(
        "Ophryon is at {address}, for this computer only. Ctrl+C stops it."
    ));
    if !options.no_open
        && let Err(error) = open::that_detached(&address)
    {
        say(&format!(
            "No browser could be started ({error}); open {address} in yours."
        ));
    }
    listener.set_nonblocking(true)?;
    let app = Router::new()
        .fallback(answer::answer)
        .with_state(Arc::new(assets));
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?
        .block_on(async {
            let listener = tokio::net::TcpListener::from_std(listener)?;
            axum::serve(listener, app).await
        })?;
    Ok(())
}

/// The first free port from `first` on, on the loopback address. Each taken
/// port is told to `say`.
fn listen(first: u16, say: impl Fn(&str)) -> Result<TcpListener, ServeError> {
    let last = first.saturating_add(TRIES - 1);
    for port in first..=last {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
            Ok(listener) => return Ok(listener),
            Err(error) if error.kind() == ErrorKind::AddrInUse => {
                if port < last {
                    say(&format!("Port {port} is taken; trying {}.", port + 1));
                }
            }
            Err(source) => return Err(ServeError::Port { port, source }),
        }
    }
    Err(ServeError::AllTaken { first, last })
}

/// A terminal that is gone is no reason to stop serving.
fn say(sentence: &str) {
    let mut out = io::stdout();
    let _ = writeln!(out, "{sentence}").and_then(|()| out.flush());
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::RefCell;

    #[test]
    fn a_taken_port_is_told_and_the_next_one_is_taken() {
        let other = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let taken = other.local_addr().unwrap().port();
        let told = RefCell::new(Vec::new());
        match listen(taken, |sentence| {
            told.borrow_mut().push(sentence.to_owned())
        }) {
            Ok(ours) => {
                let port = ours.local_addr().unwrap().port();
                assert!(port > taken && port - taken < TRIES);
                assert!(ours.local_addr().unwrap().ip().is_loopback());
            }
            // The system gave out its very last port to `other`.
            Err(trouble) => assert!(taken == u16::MAX, "{trouble}"),
        }
        if taken < u16::MAX {
            assert_eq!(
                told.borrow()[0],
                format!("Port {taken} is taken; trying {}.", taken + 1)
            );
        }
    }

    #[test]
    fn the_last_port_has_no_next_one() {
        // Held by us or by somebody else: taken either way.
        let _ours = TcpListener::bind((Ipv4Addr::LOCALHOST, u16::MAX));
        let trouble = listen(u16::MAX, |_| ()).unwrap_err();
        assert!(matches!(
            trouble,
            ServeError::AllTaken {
                first: 65535,
                last: 65535
            }
        ));
    }
}
