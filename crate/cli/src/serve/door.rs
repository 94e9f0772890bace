//! The door to the studio's own network: TLS with a certificate made on the
//! spot, few connections, each for a short while.
//!
//! Sources: private addresses, RFC 1918; link-local ones, RFC 3927; TLS by
//! rustls; a certificate that nobody vouches for is told by its SHA-256
//! fingerprint, as browsers show it.

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::sync::{Arc, Mutex};
use std::time::{Duration, SystemTime};

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use rcgen::{CertificateParams, DnType, ExtendedKeyUsagePurpose, KeyPair, SanType};
use sha2::{Digest, Sha256};
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::timeout;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

use super::ServeError;

/// Connections at a time. A browser opens up to six to one server.
const MOST_CONNECTIONS: usize = 48;
/// Of them, from one device.
const MOST_OF_ONE: usize = 12;
/// For agreeing on a key, and for the head of a request.
const HEAD: Duration = Duration::from_secs(10);
/// For one connection, whatever is done with it.
const CONNECTION: Duration = Duration::from_secs(120);
/// For what is on its way when that time is over.
const LAST_ANSWER: Duration = Duration::from_secs(10);
/// A certificate that is made anew at each start needs no long life; clocks
/// of devices differ.
const DAY: Duration = Duration::from_secs(24 * 3600);

/// The door, open and not served yet.
pub struct Door {
    listener: TcpListener,
    acceptor: TlsAcceptor,
    /// Where it is.
    pub at: SocketAddr,
    /// Of the certificate: SHA-256, in pairs of hexadecimal digits.
    pub fingerprint: String,
}

/// This computer's address in the studio's network.
///
/// # Errors
/// It is in none, or the one that was named is open to the world.
pub fn studio_address(named: Option<Ipv4Addr>) -> Result<Ipv4Addr, ServeError> {
    if let Some(address) = named {
        return if is_own(address) {
            Ok(address)
        } else {
            Err(ServeError::NotPrivate { address })
        };
    }
    let all = if_addrs::get_if_addrs().map_err(|source| ServeError::NoAddresses { source })?;
    let found = all.into_iter().filter_map(|one| match one.ip() {
        IpAddr::V4(v4) if v4.is_private() || v4.is_link_local() => Some(v4),
        _ => None,
    });
    found.min_by_key(rank).ok_or(ServeError::NoNetwork)
}

/// Never an address that the internet reaches.
const fn is_own(address: Ipv4Addr) -> bool {
    address.is_private() || address.is_link_local() || address.is_loopback()
}

/// Which of several is most likely the studio's: home and small-office boxes
/// hand out 192.168, large networks 10, programs on this computer 172.16
/// (common practice).
fn rank(address: &Ipv4Addr) -> (u8, Ipv4Addr) {
    let kind = match address.octets()[0] {
        192 => 0,
        10 => 1,
        172 => 2,
        _ => 3,
    };
    (kind, *address)
}

impl Door {
    /// Opens it at the first free port from `first` on.
    ///
    /// # Errors
    /// No port, or no certificate.
    pub fn open(address: Ipv4Addr, first: u16, say: impl Fn(&str)) -> Result<Self, ServeError> {
        let listener = super::listen(address, first, say)?;
        listener.set_nonblocking(true)?;
        let at = listener.local_addr()?;
        let (config, certificate) = made_on_the_spot(address)?;
        Ok(Self {
            listener,
            acceptor: TlsAcceptor::from(Arc::new(config)),
            at,
            fingerprint: fingerprint(&certificate),
        })
    }

    /// Serves until the program stops.
    ///
    /// # Errors
    /// The listener can't be used.
    pub async fn serve(self, app: Router) -> std::io::Result<()> {
        let listener = tokio::net::TcpListener::from_std(self.listener)?;
        let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
        let guests = Arc::new(Mutex::new(BTreeMap::new()));
        loop {
            let (stream, from) = match listener.accept().await {
                Ok(come) => come,
                Err(why) => {
                    // Out of handles, most likely: some are given back soon.
                    if why.kind() != ErrorKind::ConnectionAborted {
                        tokio::time::sleep(Duration::from_millis(100)).await;
                    }
                    continue;
                }
            };
            // Beyond that, hanging up is the answer.
            let Ok(place) = Arc::clone(&places).try_acquire_owned() else {
                continue;
            };
            let Some(guest) = Guest::of(from.ip(), &guests) else {
                continue;
            };
            let (acceptor, app) = (self.acceptor.clone(), app.clone());
            tokio::spawn(attend(stream, acceptor, app, (place, guest)));
        }
    }
}

/// One connection from its first byte to its last.
async fn attend(
    stream: TcpStream,
    acceptor: TlsAcceptor,
    app: Router,
    _held: (OwnedSemaphorePermit, Guest),
) {
    let Ok(Ok(stream)) = timeout(HEAD, acceptor.accept(stream)).await else {
        return;
    };
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(app));
    let mut connection = std::pin::pin!(connection);
    // A connection that breaks is the other side's matter.
    if timeout(CONNECTION, connection.as_mut()).await.is_err() {
        connection.as_mut().graceful_shutdown();
        let _ = timeout(LAST_ANSWER, connection).await;
    }
}

type Counts = Arc<Mutex<BTreeMap<IpAddr, usize>>>;

/// One of a device's connections; counted while it is held.
struct Guest(IpAddr, Counts);

impl Guest {
    fn of(from: IpAddr, counts: &Counts) -> Option<Self> {
        let mut held = counts.lock().ok()?;
        let count = held.entry(from).or_insert(0);
        if *count >= MOST_OF_ONE {
            return None;
        }
        *count += 1;
        Some(Self(from, Arc::clone(counts)))
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        if let Ok(mut held) = self.1.lock()
            && let Some(count) = held.get_mut(&self.0)
        {
            *count -= 1;
            if *count == 0 {
                held.remove(&self.0);
            }
        }
    }
}

fn made_on_the_spot(
    address: Ipv4Addr,
) -> Result<(ServerConfig, CertificateDer<'static>), ServeError> {
    let make = || -> Result<_, rcgen::Error> {
        let key = KeyPair::generate()?;
        let mut wanted = CertificateParams::default();
        wanted.subject_alt_names = vec![SanType::IpAddress(IpAddr::V4(address))];
        wanted.distinguished_name.push(
            DnType::CommonName,
            "Ophryon, made on the spot for this studio",
        );
        wanted.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        let now = SystemTime::now();
        wanted.not_before = (now - DAY).into();
        wanted.not_after = (now + 7 * DAY).into();
        let certificate = wanted.self_signed(&key)?;
        Ok((certificate.der().clone(), key.serialize_der()))
    };
    let told = |what: String| ServeError::Certificate { what };
    let (certificate, key) = make().map_err(|e| told(e.to_string()))?;
    let key = PrivateKeyDer::try_from(key).map_err(|e| told(e.to_owned()))?;
    let config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .and_then(|c| {
            c.with_no_client_auth()
                .with_single_cert(vec![certificate.clone()], key)
        })
        .map_err(|e| told(e.to_string()))?;
    Ok((config, certificate))
}

fn fingerprint(certificate: &CertificateDer<'_>) -> String {
    let pairs: Vec<String> = Sha256::digest(certificate.as_ref())
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    pairs.join(":")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_network_of_ones_own_is_opened_to() {
        for own in [
            "192.168.0.7",
            "10.1.2.3",
            "172.16.0.1",
            "169.254.9.9",
            "127.0.0.1",
        ] {
            let own: Ipv4Addr = own.parse().unwrap();
            assert_eq!(studio_address(Some(own)).unwrap(), own);
        }
        // Documentation addresses (RFC 5737) stand for the internet's.
        for public in [
            "203.0.113.7",
            "198.51.100.1",
            "0.0.0.0",
            "172.32.0.1",
            "255.255.255.255",
        ] {
            let said = studio_address(Some(public.parse().unwrap())).unwrap_err();
            assert!(said.to_string().contains("no private address"), "{said}");
        }
    }

    #[test]
    fn the_network_of_a_small_office_comes_first() {
        let mut all: Vec<Ipv4Addr> = ["172.17.0.1", "169.254.1.1", "10.0.0.2", "192.168.1.5"]
            .iter()
            .map(|a| a.parse().unwrap())
            .collect();
        all.sort_by_key(rank);
        assert_eq!(all[0].to_string(), "192.168.1.5");
        assert_eq!(all[3].to_string(), "169.254.1.1");
    }

    #[test]
    fn each_start_has_a_certificate_of_its_own_that_is_told_by_its_fingerprint() {
        let at = Ipv4Addr::LOCALHOST;
        let [a, b] = [(); 2].map(|()| fingerprint(&made_on_the_spot(at).unwrap().1));
        assert_ne!(a, b);
        assert_eq!(a.len(), 95);
        assert!(
            a.split(':')
                .all(|pair| u8::from_str_radix(pair, 16).is_ok())
        );
    }

    #[test]
    fn one_device_takes_no_more_than_its_share() {
        let counts: Counts = Counts::default();
        let one = IpAddr::V4(Ipv4Addr::LOCALHOST);
        let mut held: Vec<_> = (0..MOST_OF_ONE).map(|_| Guest::of(one, &counts)).collect();
        assert!(held.iter().all(Option::is_some));
        assert!(Guest::of(one, &counts).is_none());
        assert!(Guest::of(IpAddr::V4(Ipv4Addr::new(127, 0, 0, 2)), &counts).is_some());
        held.pop();
        assert!(Guest::of(one, &counts).is_some());
    }
}
