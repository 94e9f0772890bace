//! The server as a browser meets it: the program itself, over a socket.

// Failing loudly is what a test is for; the server is waited for when dropped.
#![allow(clippy::unwrap_used, clippy::zombie_processes)]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use tempfile::TempDir;

/// A running `ophryon serve`, stopped when the test ends.
struct Server {
    program: Child,
    lines: BufReader<ChildStdout>,
    port: u16,
    before: Vec<String>,
}

impl Server {
    /// Waits for the line that gives the address; keeps the lines before it.
    fn start(folder: &Path, port: u16) -> Self {
        let mut program = Command::new(env!("CARGO_BIN_EXE_ophryon"))
            .args([
                "serve",
                "--no-open",
                "--port",
                &port.to_string(),
                "--assets",
            ])
            .arg(folder)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(program.stdout.take().unwrap());
        let mut before = Vec::new();
        loop {
            let mut line = String::new();
            assert!(
                lines.read_line(&mut line).unwrap() > 0,
                "it ended: {before:?}"
            );
            if let Some((_, rest)) = line.split_once("http://127.0.0.1:") {
                let port = rest.split('/').next().unwrap().parse().unwrap();
                return Self {
                    program,
                    lines,
                    port,
                    before,
                };
            }
            before.push(line.trim_end().to_owned());
        }
    }

    /// Sends a request as it stands: a browser's tidying of the path is left out.
    fn ask(&self, method: &str, path: &str, more: &str) -> (String, Vec<u8>) {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).unwrap();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{more}\r\n"
        )
        .unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer
            .windows(4)
            .position(|four| four == b"\r\n\r\n")
            .unwrap();
        let head = String::from_utf8(answer[..end].to_vec()).unwrap();
        (head.to_ascii_lowercase(), answer[end + 4..].to_vec())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let mut rest = String::new();
        let _ = self.lines.read_to_string(&mut rest);
    }
}

fn app() -> TempDir {
    let top = tempfile::tempdir().unwrap();
    let folder = top.path().join("www");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("index.html"), "<!doctype html>a page").unwrap();
    fs::write(folder.join("index.html.gz"), "stands for the gzipped page").unwrap();
    fs::write(folder.join("ophryon_bg.wasm"), b"\0asm").unwrap();
    fs::write(top.path().join("private.txt"), "not the app's").unwrap();
    top
}

#[test]
fn the_page_arrives_with_its_policy() {
    let app = app();
    let server = Server::start(&app.path().join("www"), 0);
    let (head, body) = server.ask("GET", "/", "");
    assert!(head.starts_with("http/1.1 200"), "{head}");
    assert!(
        head.contains("content-security-policy: default-src 'self';"),
        "{head}"
    );
    assert!(head.contains("cache-control: no-cache"), "{head}");
    assert_eq!(body, b"<!doctype html>a page");
    let (head, body) = server.ask("GET", "/", "Accept-Encoding: gzip\r\n");
    assert!(head.contains("content-encoding: gzip"), "{head}");
    assert_eq!(body, b"stands for the gzipped page");
}

#[test]
fn an_unchanged_file_is_not_sent_again_and_a_changed_one_is() {
    let app = app();
    let server = Server::start(&app.path().join("www"), 0);
    let (head, _) = server.ask("GET", "/ophryon_bg.wasm", "");
    assert!(head.contains("content-type: application/wasm"), "{head}");
    let tag = head
        .lines()
        .find_map(|line| line.strip_prefix("etag: "))
        .unwrap();
    let known = format!("If-None-Match: {tag}\r\n");
    let (head, body) = server.ask("GET", "/ophryon_bg.wasm", &known);
    assert!(head.starts_with("http/1.1 304"), "{head}");
    assert!(body.is_empty());
    fs::write(
        app.path().join("www/ophryon_bg.wasm"),
        b"\0asm, built again",
    )
    .unwrap();
    let (head, body) = server.ask("GET", "/ophryon_bg.wasm", &known);
    assert!(head.starts_with("http/1.1 200"), "{head}");
    assert_eq!(body, b"\0asm, built again");
}

#[test]
fn asking_for_the_head_brings_no_body() {
    let app = app();
    let server = Server::start(&app.path().join("www"), 0);
    let (head, body) = server.ask("HEAD", "/", "");
    assert!(
        head.starts_with("http/1.1 200") && head.contains("content-length: 21"),
        "{head}"
    );
    assert!(body.is_empty());
}

#[test]
fn nothing_outside_the_folder_is_handed_out() {
    let app = app();
    let server = Server::start(&app.path().join("www"), 0);
    for path in [
        "/../private.txt",
        "/%2e%2e/private.txt",
        "/..%2fprivate.txt",
        "/..%5cprivate.txt",
    ] {
        let (head, body) = server.ask("GET", path, "");
        assert!(head.starts_with("http/1.1 404"), "{path}: {head}");
        assert!(
            !String::from_utf8_lossy(&body).contains("not the app's"),
            "{path}"
        );
    }
    let (head, _) = server.ask("POST", "/", "Content-Length: 0\r\n");
    assert!(head.starts_with("http/1.1 405"), "{head}");
}

#[test]
fn a_taken_port_is_said_and_the_next_one_serves() {
    let other = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let taken = other.local_addr().unwrap().port();
    let app = app();
    let server = Server::start(&app.path().join("www"), taken);
    assert!(server.port > taken);
    assert_eq!(
        server.before.first().map(String::as_str),
        Some(format!("Port {taken} is taken; trying {}.", taken + 1).as_str())
    );
    assert!(server.ask("GET", "/", "").0.starts_with("http/1.1 200"));
}

#[test]
fn a_folder_that_is_no_app_is_named_and_the_exit_code_is_2() {
    let empty = tempfile::tempdir().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_ophryon"))
        .args(["serve", "--no-open", "--port", "0", "--assets"])
        .arg(empty.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains(&empty.path().display().to_string()), "{said}");
    assert!(
        said.contains("index.html") && said.contains("target/www"),
        "{said}"
    );
}
