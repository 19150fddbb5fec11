//! `lanewright start` as a shell sees it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

fn start(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lanewright"));
    command.arg("start").args(args).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// A program that runs, ended with this value.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Starts on a free port and returns the link and what stands beside it.
fn running(data: &Path, more: &[&str]) -> (Running, String, String) {
    let mut child = start(&["--addr", "127.0.0.1:0", "--data"]).arg(data).args(more).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let mut text = String::new();
    for line in &mut lines {
        text.push_str(&line);
        text.push('\n');
        if line.starts_with("Stop with") {
            break;
        }
    }
    let link = text.lines().map(str::trim).find(|line| line.starts_with("http")).expect("a link").to_owned();
    (Running(child), link, text)
}

/// One GET on a connection of its own.
fn get(link: &str) -> String {
    let (host, path) = link.strip_prefix("http://").unwrap().split_once('/').unwrap();
    let mut stream = TcpStream::connect(host).unwrap();
    write!(stream, "GET /{path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

fn refused(output: &Output, code: i32, words: &[&str]) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{said}");
    for word in words {
        assert!(said.contains(word), "{word} is missing: {said}");
    }
    assert!(output.stdout.is_empty());
}

#[test]
fn the_printed_link_opens_a_session_once() {
    let folder = tempfile::tempdir().unwrap();
    let (_program, link, text) = running(folder.path(), &["--demo"]);
    assert!(text.contains("invented") && text.contains(&folder.path().display().to_string()), "{text}");
    let opened = get(&link);
    assert!(opened.starts_with("HTTP/1.1 303") && opened.contains("HttpOnly"), "{opened}");
    assert!(get(&link).starts_with("HTTP/1.1 410"));
}

#[test]
fn a_second_program_on_the_same_data_or_address_says_what_to_do() {
    let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (_program, link, _) = running(folder.path(), &[]);
    let same_data = start(&["--addr", "127.0.0.1:0", "--data"]).arg(folder.path()).output().unwrap();
    refused(&same_data, 3, &["another Lanewright", "--data"]);
    let host = link.trim_start_matches("http://").split('/').next().unwrap();
    let same_address = start(&["--addr", host, "--data"]).arg(other.path()).output().unwrap();
    refused(&same_address, 2, &["is taken", "--addr"]);
}

#[test]
fn flags_that_cannot_be_used_are_refused_with_the_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_str().unwrap();
    refused(&start(&["--data", data, "--addr", "here"]).output().unwrap(), 2, &["HOST:PORT"]);
    refused(&start(&["--data", data, "--tls-cert", "a.pem"]).output().unwrap(), 2, &["--tls-key"]);
    let missing = ["--data", data, "--tls-cert", "no-cert.pem", "--tls-key", "no-key.pem"];
    refused(&start(&missing).output().unwrap(), 3, &["no-cert.pem", "cannot be read"]);
    refused(&start(&["--data", data, "--host", "http://x"]).output().unwrap(), 2, &["--host"]);
}

#[cfg(unix)]
#[test]
fn asked_to_end_the_program_ends_in_order_and_the_data_opens_again() {
    let folder = tempfile::tempdir().unwrap();
    for signal in ["-INT", "-TERM"] {
        let (mut program, ..) = running(folder.path(), &[]);
        let sent = Command::new("kill").args([signal, &program.0.id().to_string()]).status().unwrap();
        assert!(sent.success());
        assert_eq!(program.0.wait().unwrap().code(), Some(0), "{signal}");
    }
    // The log was written back into the file, which a program that was cut off leaves beside it.
    assert!(!folder.path().join("lanewright.sqlite-wal").exists());
}
