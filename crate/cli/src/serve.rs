//! `ophryon serve`: the app, from this program or a folder, to this computer only.
//!
//! The server hands out files and takes nothing in: photos and client files
//! never leave the browser. With `--studio` it also opens a door to the
//! studio's own network, through which one shape at a time goes to a client's
//! device and her signed answer comes back; see [`tray`].

mod answer;
mod assets;
mod door;
mod tray;
mod ways;

use std::io::{self, ErrorKind, Write};
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;

use assets::Assets;
use door::Door;
use ways::Open;

/// Where the page is when nobody asks for another port. In the range that
/// IANA leaves to users (RFC 6335), and held by no well-known program.
pub const PORT: u16 = 8740;

/// Where client's devices find an open studio: the next one.
pub const STUDIO_PORT: u16 = 8741;

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
    /// Open to the studio's own network too, so that a client can look at her
    /// shape and sign it on a device of her own
    #[arg(long)]
    pub studio: bool,
    /// This computer's address in the studio's network, where it has several
    #[arg(long, value_name = "ADDRESS", requires = "studio")]
    pub studio_address: Option<Ipv4Addr>,
    /// Port for the studio's network to start from
    #[arg(long, value_name = "PORT", default_value_t = STUDIO_PORT, requires = "studio")]
    pub studio_port: u16,
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
    /// The address is reached from everywhere.
    #[error(
        "{address} is no private address (RFC 1918), and a studio is never opened to the internet; name this computer's address in the studio's own network"
    )]
    NotPrivate {
        /// As given.
        address: Ipv4Addr,
    },
    /// This computer is in no network.
    #[error(
        "this computer is in no private network that a client's device could be in; connect it to the studio's network, or serve without --studio and use a file or a link"
    )]
    NoNetwork,
    /// The system doesn't tell.
    #[error(
        "this computer's addresses can't be read ({source}); name the one in the studio's network with --studio-address"
    )]
    NoAddresses {
        /// What the system said.
        source: io::Error,
    },
    /// No certificate.
    #[error(
        "no certificate for the studio's network could be made ({what}); serve without --studio and use a file or a link"
    )]
    Certificate {
        /// What the library said.
        what: String,
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
    let listener = listen(Ipv4Addr::LOCALHOST, options.port, say)?;
    let at = listener.local_addr()?;
    let address = format!("http://{at}/");
    let door = if options.studio {
        let studio = door::studio_address(options.studio_address)?;
        Some(Door::open(studio, options.studio_port, say)?)
    } else {
        None
    };
    say(&format!(
        "Ophryon is at {address}, for this computer only. Ctrl+C stops it."
    ));
    if let Some(door) = &door {
        tell_of(door);
    }
    if !options.no_open
        && let Err(error) = open::that_detached(&address)
    {
        say(&format!(
            "No browser could be started ({error}); open {address} in yours."
        ));
    }
    listener.set_nonblocking(true)?;
    let assets = Arc::new(assets);
    let app = Router::new()
        .fallback(answer::answer)
        .with_state(Arc::clone(&assets));
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?
        .block_on(async {
            let app = match door {
                Some(door) => opened(door, at.port(), &assets, app),
                None => app,
            };
            let listener = tokio::net::TcpListener::from_std(listener)?;
            axum::serve(listener, app).await
        })?;
    Ok(())
}

/// Serves the door beside the app, and gives the app the questions that the
/// artist's page may ask about it.
fn opened(door: Door, port: u16, assets: &Arc<Assets>, app: Router) -> Router {
    let outer = format!("https://{}", door.at);
    let open = Arc::new(Open::new(outer, door.fingerprint.clone(), port, say));
    let outside = open.outside(Arc::clone(assets));
    let inside = open.inside();
    tokio::spawn(door.serve(outside));
    tokio::spawn(open.sweep());
    inside.merge(app)
}

fn tell_of(door: &Door) {
    let (at, fingerprint) = (door.at, &door.fingerprint);
    say(&format!(
        "It is open to this studio's network at https://{at}/, for what you offer under Show, and for nothing else."
    ));
    say(
        "The browser on your client's device will warn about the certificate. It was made here a moment ago and nobody vouches for it, which is why; what passes is encrypted all the same. To be sure that she reached this computer, compare its SHA-256 fingerprint with the one that her browser shows:",
    );
    say(fingerprint);
}

/// The first free port from `first` on, on that address. Each taken port is
/// told to `say`.
fn listen(address: Ipv4Addr, first: u16, say: impl Fn(&str)) -> Result<TcpListener, ServeError> {
    let last = first.saturating_add(TRIES - 1);
    for port in first..=last {
        match TcpListener::bind((address, port)) {
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
        match listen(Ipv4Addr::LOCALHOST, taken, |sentence| {
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
        let trouble = listen(Ipv4Addr::LOCALHOST, u16::MAX, |_| ()).unwrap_err();
        assert!(matches!(
            trouble,
            ServeError::AllTaken {
                first: 65535,
                last: 65535
            }
        ));
    }
}
