//! `lanewright start` as a shell sees it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::{Sender, channel};

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
    ask(host, &format!("GET /{path}"), "", "").unwrap()
}

/// One request on a connection of its own. An error when the program went away before it had answered.
fn ask(host: &str, what: &str, headers: &str, body: &str) -> std::io::Result<String> {
    let mut stream = TcpStream::connect(host)?;
    let length = body.len();
    write!(
        stream,
        "{what} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\ncontent-length: {length}\r\n{headers}\r\n{body}"
    )?;
    let mut answer = String::new();
    stream.read_to_string(&mut answer)?;
    Ok(answer)
}

/// Uses a link up; returns the host and the header that carries the session.
fn enter(link: &str) -> (String, String) {
    let opened = get(link);
    let cookie = opened.lines().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie");
    let host = link.trim_start_matches("http://").split('/').next().unwrap();
    (host.to_owned(), format!("cookie: {}\r\n", cookie.split(';').next().unwrap()))
}

fn body(answer: &str) -> serde_json::Value {
    serde_json::from_str(answer.split_once("\r\n\r\n").expect("a body").1).expect("JSON")
}

/// Pushes one record after the other until the program is gone; says after each answer which record was acked.
fn push_until_gone(host: &str, cookie: &str, first: u32, acked: &Sender<String>) {
    // The program may be gone before it has answered this one.
    let Ok(me) = ask(host, "GET /api/v1/me", cookie, "") else { return };
    if !me.ends_with('}') {
        return;
    }
    let school = body(&me)["school"].clone();
    let headers = format!("{cookie}origin: http://{host}\r\ncontent-type: application/json\r\n");
    for number in first.. {
        let id = format!("00000000-0000-7000-8000-{number:012}");
        let stamp = "1772446445000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e";
        let record = serde_json::json!({
            "id": id, "kind": "class", "version": 1, "body": {"name": "7 Larch"}, "stamp": stamp, "school": school,
        });
        let push = serde_json::json!({"records": [record]}).to_string();
        match ask(host, "POST /api/v1/push", &headers, &push) {
            // An answer that was cut off proves nothing.
            Ok(answer) if answer.ends_with('}') && answer.starts_with("HTTP/1.1 200") => {
                assert_eq!(body(&answer)["acked"][0]["key"]["id"], id.as_str(), "{answer}");
                acked.send(id).unwrap();
            }
            _ => return,
        }
    }
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

/// Ends the program without any warning while two devices push, and looks what is there afterwards.
#[test]
fn a_killed_program_has_kept_every_acked_record() {
    let folder = tempfile::tempdir().unwrap();
    let (mut stored, mut first) = (Vec::new(), 0);
    for acks in [1, 7, 40] {
        let (mut program, link, _) = running(folder.path(), &[]);
        let (host, cookie) = enter(&link);
        let (say, hear) = channel();
        let devices: Vec<_> = (0..2)
            .map(|_| {
                first += 10_000;
                let (host, cookie, say, first) = (host.clone(), cookie.clone(), say.clone(), first);
                std::thread::spawn(move || push_until_gone(&host, &cookie, first, &say))
            })
            .collect();
        drop(say);
        stored.extend(hear.iter().take(acks));
        program.0.kill().unwrap();
        for device in devices {
            device.join().unwrap();
        }
        stored.extend(hear.iter());
        drop(program);

        let (_program, link, _) = running(folder.path(), &[]);
        let (host, cookie) = enter(&link);
        let pulled = body(&ask(&host, "GET /api/v1/pull", &cookie, "").unwrap());
        assert_eq!(pulled["more"], false);
        let found: Vec<&str> = pulled["records"]
            .as_array()
            .unwrap()
            .iter()
            .map(|record| record["id"].as_str().unwrap())
            .collect();
        for id in &stored {
            assert_eq!(found.iter().filter(|found| *found == id).count(), 1, "{id} after {acks} acks");
        }
        // Of each device and round, at most the one push that was under way may be there unanswered.
        assert!(found.len() <= stored.len() + 2 * 3, "{} of {}", found.len(), stored.len());
    }
    assert!(stored.len() >= 48);
}

#[test]
fn every_start_on_the_page_on_deploying_has_flags_that_there_are() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/deploy.md")).unwrap();
    let help = String::from_utf8(start(&["--help"]).output().unwrap().stdout).unwrap();
    let starts: Vec<&str> =
        page.lines().filter_map(|line| line.split_once("lanewright start ")).map(|it| it.1).collect();
    assert!(starts.len() >= 4, "{starts:?}");
    for word in starts.iter().flat_map(|line| line.split(' ')).filter(|word| word.starts_with("--")) {
        assert!(help.contains(&format!("{word} <")), "{word}");
    }
}
