//! `ophryon serve --studio`: what passes through the door to the studio's
//! network, and that nothing else does. Loopback addresses stand for the
//! network.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use ophryon_agreement::{Kind, Nonce, Said, Signature, text_for};
use ophryon_record::{ConsentEdit, Edit, Invitation, Record, apply};
use serde_json::Value;
use sha2::{Digest, Sha256};
use tokio_rustls::rustls::client::danger::{
    HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier,
};
use tokio_rustls::rustls::crypto::{
    CryptoProvider, ring, verify_tls12_signature, verify_tls13_signature,
};
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use tokio_rustls::rustls::{
    ClientConfig, ClientConnection, DigitallySignedStruct, Error, SignatureScheme, StreamOwned,
};

use crate::desk::program;

/// How long a person waits before something is broken.
const PATIENCE: Duration = Duration::from_secs(20);

/// The program, serving; stopped when the test ends, whichever way.
struct Serving {
    child: Child,
    inner: u16,
    outer: u16,
    fingerprint: String,
    /// Everything it has said so far.
    said: Vec<String>,
    lines: std::io::Lines<BufReader<std::process::ChildStdout>>,
    _page: tempfile::TempDir,
}

impl Drop for Serving {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

impl Serving {
    fn begin(more: &[&str]) -> Self {
        let page = tempfile::tempdir().expect("a folder");
        std::fs::write(page.path().join("index.html"), "the page").expect("written");
        std::fs::write(page.path().join("private.txt"), "still the app's own").expect("written");
        // The program passes over a port that somebody takes meanwhile.
        let free = || {
            TcpListener::bind("127.0.0.1:0")
                .expect("a port")
                .local_addr()
                .expect("it")
        };
        let (inner, outer) = (free().port(), free().port());
        let mut child = Command::new(program())
            .args(["serve", "--no-open", "--port", &inner.to_string()])
            .args(["--assets", page.path().to_str().expect("UTF-8")])
            .args(more)
            .args(if more.is_empty() {
                vec![]
            } else {
                vec!["--studio-port".to_owned(), outer.to_string()]
            })
            .stdout(Stdio::piped())
            .spawn()
            .expect("it starts");
        let out = child.stdout.take().expect("piped");
        let mut serving = Self {
            child,
            inner,
            outer,
            fingerprint: String::new(),
            said: Vec::new(),
            lines: BufReader::new(out).lines(),
            _page: page,
        };
        let at = serving.hear("Ophryon is at");
        serving.inner = port_in(&at);
        if !more.is_empty() {
            let at = serving.hear("open to this studio's network");
            serving.outer = port_in(&at);
            serving.hear("warn about the certificate");
            serving.fingerprint = serving.hear(":");
        }
        serving
    }

    /// The next line with these words.
    fn hear(&mut self, words: &str) -> String {
        for line in self.lines.by_ref() {
            let line = line.expect("UTF-8");
            self.said.push(line.clone());
            if line.contains(words) {
                return line;
            }
        }
        panic!("it never said “{words}”: {:?}", self.said);
    }

    fn artist(&self, what: &str, token: &str, body: &[u8]) -> Answer {
        let host = format!("127.0.0.1:{}", self.inner);
        let origin = format!("http://{host}");
        let request = post(what, [&host, &origin, token], body);
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.inner)).expect("it listens");
        answered(stream, &request)
    }

    fn guest(&self, what: &str, token: &str, body: &[u8]) -> Answer {
        let host = format!("127.0.0.1:{}", self.outer);
        let origin = format!("https://{host}");
        self.through_the_door(&post(what, [&host, &origin, token], body))
    }

    fn through_the_door(&self, request: &[u8]) -> Answer {
        answered(self.tls(), request)
    }

    /// A connection to the very certificate that was printed, and to no other.
    fn tls(&self) -> StreamOwned<ClientConnection, TcpStream> {
        let provider = Arc::new(ring::default_provider());
        let only = Arc::new(Only(self.fingerprint.clone(), Arc::clone(&provider)));
        let config = ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .expect("versions")
            .dangerous()
            .with_custom_certificate_verifier(only)
            .with_no_client_auth();
        let name = ServerName::from(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST));
        let connection = ClientConnection::new(Arc::new(config), name).expect("a connection");
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.outer)).expect("it listens");
        StreamOwned::new(connection, stream)
    }
}

fn port_in(line: &str) -> u16 {
    let after = line.split("127.0.0.1:").nth(1).expect("an address");
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().expect("a port")
}

/// Takes the one certificate with that fingerprint, as a careful client does
/// who compares it.
#[derive(Debug)]
struct Only(String, Arc<CryptoProvider>);

impl ServerCertVerifier for Only {
    fn verify_server_cert(
        &self,
        certificate: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let pairs: Vec<String> = Sha256::digest(certificate)
            .iter()
            .map(|b| format!("{b:02X}"))
            .collect();
        if pairs.join(":") == self.0 {
            Ok(ServerCertVerified::assertion())
        } else {
            Err(Error::General("another certificate".to_owned()))
        }
    }

    fn verify_tls12_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signed: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        verify_tls12_signature(
            message,
            certificate,
            signed,
            &self.1.signature_verification_algorithms,
        )
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signed: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        verify_tls13_signature(
            message,
            certificate,
            signed,
            &self.1.signature_verification_algorithms,
        )
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.1.signature_verification_algorithms.supported_schemes()
    }
}

struct Answer {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Answer {
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }

    fn word(&self) -> String {
        self.json()["refused"]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }
}

fn post(what: &str, [host, origin, token]: [&str; 3], body: &[u8]) -> Vec<u8> {
    let mut request = format!(
        "POST /studio/{what} HTTP/1.1\r\nHost: {host}\r\nOrigin: {origin}\r\nophryon-token: {token}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    )
    .into_bytes();
    request.extend_from_slice(body);
    request
}

fn get(path: &str, host: &str) -> Vec<u8> {
    format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").into_bytes()
}

fn answered(mut stream: impl Read + Write, request: &[u8]) -> Answer {
    // A server that refuses early may hang up while it is still being told.
    stream.write_all(request).ok();
    stream.flush().ok();
    let mut all = Vec::new();
    // Some clients and servers end without a farewell; what came counts.
    stream.read_to_end(&mut all).ok();
    let at = all.windows(4).position(|w| w == b"\r\n\r\n");
    let at = at.unwrap_or_else(|| panic!("no answer: {}", String::from_utf8_lossy(&all)));
    let head = String::from_utf8_lossy(&all[..at]).to_ascii_lowercase();
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|s| s.parse().ok())
        .expect("a status");
    Answer {
        status,
        head,
        body: all[at + 4..].to_vec(),
    }
}

/// A client's file that was asked, its invitation, and her answer to it.
fn travelled(nonce: u8) -> (Record, String, String) {
    let client = include_str!("../../demo-data/demo-set/client.json");
    let record = Record::from_json(client).expect("the demo client");
    let record = apply(&record, &Edit::Propose).expect("a proposal");
    let asked = Box::new(text_for("en").expect("a text").asked());
    let record = apply(&record, &Edit::Consent(ConsentEdit::Ask(asked))).expect("asked");
    let at: ophryon_agreement::When = "2025-03-14T15:09:26+01:00".parse().expect("a time");
    let (sent, packet) = record
        .invite(Nonce::from_bytes([nonce; 16]), at.clone())
        .expect("sent");
    let record = apply(&record, &Edit::Consent(sent)).expect("remembered");
    let there = Invitation::read(&packet).expect("it is one");
    let mut asked = there.asked().expect("the same texts");
    for statement in &mut asked.statements {
        statement.said = match statement.kind {
            Kind::Needed => Said::Yes,
            Kind::Choice => Said::No,
        };
    }
    let name = "Tamsuri".to_owned();
    let answer = there
        .answer(&asked, Signature::Typed { name }, at)
        .expect("signed");
    (record, packet, answer)
}

const STUDIO: [&str; 3] = ["--studio", "--studio-address", "127.0.0.1"];

#[test]
fn without_studio_nothing_is_taken_in_and_no_other_address_answers() {
    let serving = Serving::begin(&[]);
    assert!(
        serving
            .said
            .iter()
            .any(|l| l.contains("for this computer only"))
    );
    // Whether it is open is an ordinary question, answered with nothing.
    let here = serving.artist("here", "", b"hello");
    assert_eq!((here.status, here.body.len()), (204, 0));
    for what in ["offer", "come", "answer"] {
        let answer = serving.artist(what, "", b"hello");
        assert_eq!(answer.status, 405, "{what}");
    }
    let elsewhere = TcpStream::connect(("127.0.0.2", serving.inner));
    assert!(elsewhere.is_err(), "it listens on another address");
}

#[test]
fn a_shape_goes_through_the_door_once_and_one_answer_comes_back() {
    let mut serving = Serving::begin(&STUDIO);
    let here = serving.artist("here", "", b"").json();
    assert_eq!(here["fingerprint"], serving.fingerprint);
    assert_eq!(
        here["address"],
        format!("https://127.0.0.1:{}/", serving.outer)
    );
    let (record, packet, signed) = travelled(7);
    let photo = [&[0xff, 0xd8, 0xff, 0xe0][..], &[7; 200_000]].concat();

    let offered = serving.artist("offer", "", packet.as_bytes()).json();
    let (key, code) = (
        offered["key"].as_str().unwrap(),
        offered["code"].as_str().unwrap(),
    );
    let told = serving.hear("under the code");
    assert!(
        told.contains(&format!("{} {}", &code[..3], &code[3..])),
        "{told}"
    );
    assert_eq!(serving.artist("picture", key, &photo).status, 200);
    assert_eq!(serving.artist("look", key, b"").json()["stage"], "waiting");

    // Another code, then at once the right one: too soon.
    let wrong = if code == "000000" { "000001" } else { "000000" };
    let refused = serving.guest("come", "", wrong.as_bytes());
    assert_eq!(
        (refused.word().as_str(), refused.json()["pause"].as_u64()),
        ("wrong-code", Some(2))
    );
    assert_eq!(serving.guest("come", "", code.as_bytes()).word(), "pause");
    assert_eq!(serving.artist("look", key, b"").json()["wrong"], 1);
    let begun = Instant::now();
    let given = loop {
        let given = serving.guest("come", "", code.as_bytes());
        if given.status == 200 {
            break given.json();
        }
        assert_eq!(given.word(), "pause");
        assert!(begun.elapsed() < PATIENCE, "the pause never ends");
        std::thread::sleep(Duration::from_millis(700));
    };
    assert_eq!(given["packet"], packet);
    let ticket = given["ticket"].as_str().unwrap();
    assert_eq!(serving.guest("come", "", code.as_bytes()).word(), "used");
    assert_eq!(serving.guest("picture", ticket, b"").body, photo);
    assert_eq!(serving.guest("picture", ticket, b"").word(), "nothing");
    assert_eq!(serving.guest("again", ticket, b"").json()["packet"], packet);
    assert_eq!(serving.artist("look", key, b"").json()["stage"], "taken");

    // Damaged, foreign, the wrong way round; then hers, then hers again.
    let foreign = travelled(8).2;
    for (other, word) in [
        (&signed[1..], "no-answer"),
        (&foreign, "other-answer"),
        (&packet, "no-answer"),
        ("", "no-answer"),
    ] {
        assert_eq!(
            serving.guest("answer", ticket, other.as_bytes()).word(),
            word
        );
    }
    assert_eq!(
        serving.guest("answer", ticket, signed.as_bytes()).status,
        200
    );
    assert_eq!(
        serving.guest("answer", ticket, signed.as_bytes()).word(),
        "twice"
    );
    assert_eq!(serving.artist("look", key, b"").json()["stage"], "answered");
    let back = serving.artist("answer", key, b"").body;
    let edit = record
        .take_answer(std::str::from_utf8(&back).unwrap())
        .expect("it is hers");
    assert!(
        apply(&record, &Edit::Consent(edit))
            .unwrap()
            .agreed()
            .is_agreed()
    );
    assert_eq!(serving.artist("end", key, b"").status, 200);
    assert_eq!(serving.artist("look", key, b"").json()["stage"], "gone");
    assert_eq!(serving.guest("again", ticket, b"").word(), "nothing");
}

#[test]
fn the_artists_questions_are_for_this_computer_and_this_page_alone() {
    let serving = Serving::begin(&STUDIO);
    let (inner, outer) = (serving.inner, serving.outer);
    let (_, packet, _) = travelled(7);
    // Asked from the network.
    for what in ["here", "offer", "look", "end"] {
        let answer = serving.guest(what, &"0".repeat(32), packet.as_bytes());
        assert_eq!(
            (answer.status, answer.word().as_str()),
            (404, "unknown"),
            "{what}"
        );
    }
    // Asked by another site's page in her browser, by a name that was made to
    // lead here, or by no page at all.
    let own = format!("127.0.0.1:{inner}");
    for (host, origin) in [
        (own.as_str(), "https://elsewhere.example"),
        (&own, "null"),
        (&own, ""),
        ("elsewhere.example", "http://elsewhere.example"),
        (
            &format!("elsewhere.example:{inner}"),
            &format!("http://elsewhere.example:{inner}"),
        ),
        (&own, &format!("http://127.0.0.1:{outer}")),
    ] {
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, inner)).unwrap();
        let answer = answered(
            stream,
            &post("offer", [host, origin, ""], packet.as_bytes()),
        );
        assert_eq!(
            (answer.status, answer.word().as_str()),
            (403, "stranger"),
            "{host} {origin}"
        );
    }
    // Reading is no way to ask.
    let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, inner)).unwrap();
    assert_eq!(answered(stream, &get("/studio/here", &own)).status, 403);
}

#[test]
fn through_the_door_there_are_the_apps_files_and_nothing_else() {
    let serving = Serving::begin(&STUDIO);
    let host = format!("127.0.0.1:{}", serving.outer);
    let bare = serving.through_the_door(&get("/", &host));
    assert_eq!(bare.status, 302);
    assert!(bare.head.contains("location: /?come"), "{}", bare.head);
    let page = serving.through_the_door(&get("/?come", &host));
    assert_eq!((page.status, page.body.as_slice()), (200, &b"the page"[..]));
    assert!(
        page.head
            .contains("content-security-policy: default-src 'self'"),
        "{}",
        page.head
    );
    for path in [
        "/../Cargo.toml",
        "/%2e%2e/etc/passwd",
        "/.git/config",
        "/nothing",
    ] {
        assert_eq!(
            serving.through_the_door(&get(path, &host)).status,
            404,
            "{path}"
        );
    }
    // Plain HTTP gets nothing out of it.
    let plain = TcpStream::connect((Ipv4Addr::LOCALHOST, serving.outer)).unwrap();
    let mut all = Vec::new();
    let mut stream = plain;
    stream.write_all(&get("/?come", &host)).ok();
    stream.read_to_end(&mut all).ok();
    assert!(!String::from_utf8_lossy(&all).contains("the page"));
    // Nor does too much at once.
    let large = vec![b'a'; 300_000];
    let refused = serving.guest("answer", &"0".repeat(32), &large);
    assert_eq!(refused.status, 413);
    let refused = serving.artist("offer", "", &vec![b'a'; 2_000_000]);
    assert_eq!(refused.status, 413);
    assert_eq!(serving.artist("offer", "", &large).word(), "no-invitation");
}

#[test]
fn who_asks_too_often_is_put_off_and_too_many_connections_are_hung_up() {
    let serving = Serving::begin(&STUDIO);
    // All on one connection, one behind the other, however slow this computer.
    let host = format!("127.0.0.1:{}", serving.outer);
    let once = post("come", [&host, &format!("https://{host}"), ""], b"000000");
    let once = String::from_utf8(once).unwrap();
    let many = once.replace("Connection: close\r\n", "").repeat(60) + &once;
    let answer = serving.through_the_door(many.as_bytes());
    let all = String::from_utf8_lossy(&answer.body).into_owned();
    assert!(all.contains("{\"refused\":\"nothing\"}"), "{all}");
    assert!(all.contains("{\"refused\":\"busy\"}"), "{all}");
    // Connections that say nothing hold no place but their own.
    let silent: Vec<_> = (0..80)
        .filter_map(|_| TcpStream::connect((Ipv4Addr::LOCALHOST, serving.outer)).ok())
        .collect();
    // The artist's own page is served beside all that.
    assert_eq!(serving.artist("here", "", b"").status, 200);
    drop(silent);
    let begun = Instant::now();
    loop {
        let mut stream = serving.tls();
        let request = get("/?come", &host);
        let mut all = Vec::new();
        stream.write_all(&request).ok();
        stream.read_to_end(&mut all).ok();
        if String::from_utf8_lossy(&all).contains("the page") {
            break;
        }
        assert!(begun.elapsed() < PATIENCE, "the door stays shut");
        std::thread::sleep(Duration::from_millis(300));
    }
}

#[test]
fn an_address_that_everybody_reaches_is_refused_in_a_sentence() {
    for (more, part) in [
        (
            &["--studio", "--studio-address", "203.0.113.9"][..],
            "no private address",
        ),
        (&["--studio-address", "127.0.0.1"], "--studio"),
    ] {
        let page = tempfile::tempdir().unwrap();
        std::fs::write(page.path().join("index.html"), "the page").unwrap();
        let ran = crate::desk::ran(
            Command::new(program())
                .args([
                    "serve",
                    "--no-open",
                    "--assets",
                    page.path().to_str().unwrap(),
                ])
                .args(more),
        );
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains(part), "{}", ran.err);
    }
}
