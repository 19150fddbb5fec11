//! From a fresh clone to a served demo class.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};

use crate::house::House;
use crate::{tools, web};

/// How long a started program may take to print its link.
const LINK_WITHIN: Duration = Duration::from_secs(30);

/// Builds what is missing, then serves.
pub fn start(house: &House, rest: &[String]) -> Result<()> {
    let (own, theirs) = match rest.iter().position(|word| word == "--") {
        Some(at) => (&rest[..at], &rest[at + 1..]),
        None => (rest, &[][..]),
    };
    let check = match own {
        [] => false,
        [one] if one == "--check" => true,
        _ => bail!("arguments of `lanewright start` go after --: cargo xtask start -- {}", own.join(" ")),
    };
    let began = Instant::now();
    web::build(house, web::Kind::Dev)?;
    let app_s = began.elapsed().as_secs_f64();
    let server_began = Instant::now();
    // Neither PDF nor file decoders: the browser prints, and a first start stays quick.
    tools::run(house.cargo().args(["build", "-p", "lanewright", "--no-default-features"]))?;
    let server_s = server_began.elapsed().as_secs_f64();
    eprintln!("app {app_s:.1} s, server {server_s:.1} s");

    if check {
        return smoke(house);
    }
    let mut program = Command::new(house.program());
    program.current_dir(&house.root).arg("start");
    if theirs.is_empty() {
        program.arg("--demo")
    } else {
        program.args(theirs)
    };
    // Ctrl-C reaches the program too and ends it in its own way.
    tools::run(&mut program)
}

/// A program that serves, ended with this value.
pub struct Serving {
    child: Child,
    /// The one-time link it printed.
    pub link: String,
}

impl Serving {
    /// Starts the built program on a free port with its data in the given folder.
    pub fn demo(house: &House, data: &std::path::Path) -> Result<Self> {
        let mut child = Command::new(house.program())
            .current_dir(&house.root)
            .args(["start", "--demo", "--addr", "127.0.0.1:0", "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .context("could not run the built program")?;
        let stdout = child.stdout.take().context("stdout is piped")?;
        let mut serving = Self { child, link: String::new() };
        let (say, hear) = std::sync::mpsc::channel();
        // The pipe is read to its end, or the program would one day block on a full one.
        std::thread::spawn(move || {
            for line in BufReader::new(stdout).lines().map_while(Result::ok) {
                if let Some(link) = link_in(&line) {
                    let _ = say.send(link);
                }
            }
        });
        serving.link = hear
            .recv_timeout(LINK_WITHIN)
            .context("the program printed no link to open; does `lanewright start --demo` work?")?;
        Ok(serving)
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Returns the one-time link in a line that the program printed.
fn link_in(line: &str) -> Option<String> {
    let at = line.find("http://").or_else(|| line.find("https://"))?;
    let link: String = line[at..].chars().take_while(|sign| !sign.is_whitespace()).collect();
    link.contains("/open/").then_some(link)
}

/// Starts, opens the link as a browser would, fetches the page and what it names, stops.
fn smoke(house: &House) -> Result<()> {
    let data = std::env::temp_dir().join(format!("lanewright-check-{}", std::process::id()));
    std::fs::create_dir_all(&data)?;
    let began = Instant::now();
    let outcome = Serving::demo(house, &data).and_then(|serving| {
        let link =
            serving.link.strip_prefix("http://").context("without a certificate the link is plain http")?;
        let (host, path) = link.split_once('/').context("the link has a path")?;
        let opened = get(host, &format!("/{path}"), None)?;
        ensure!(opened.status < 400, "the link answered {}", opened.status);
        let cookie = opened.header("set-cookie").and_then(|text| text.split(';').next()).map(str::to_owned);
        ensure!(cookie.is_some(), "the link opened no session");
        let page = get(host, "/", cookie.as_deref())?;
        ensure!(page.status == 200, "the page answered {}", page.status);
        let text = String::from_utf8_lossy(&page.body).into_owned();
        let named: Vec<&str> =
            text.split(['"', '\'']).filter(|word| word.ends_with(".js") || word.ends_with(".css")).collect();
        ensure!(!named.is_empty(), "the page names no script");
        for name in &named {
            let file = get(host, &format!("/{}", name.trim_start_matches(['.', '/'])), cookie.as_deref())?;
            ensure!(file.status == 200 && !file.body.is_empty(), "{name} answered {}", file.status);
        }
        Ok(named.len())
    });
    let _ = std::fs::remove_dir_all(&data);
    let files = outcome?;
    println!(
        "started, opened the link, fetched the page and {files} files that it names, stopped: {:.1} s",
        began.elapsed().as_secs_f64()
    );
    Ok(())
}

struct Answer {
    status: u16,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }
}

/// One plain GET on a connection of its own.
fn get(host: &str, path: &str, cookie: Option<&str>) -> Result<Answer> {
    let mut stream = TcpStream::connect(host).with_context(|| format!("nobody listens on {host}"))?;
    stream.set_read_timeout(Some(LINK_WITHIN))?;
    let cookie = cookie.map(|cookie| format!("Cookie: {cookie}\r\n")).unwrap_or_default();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{cookie}\r\n")?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    let at = bytes.windows(4).position(|four| four == b"\r\n\r\n").context("no end of the headers")?;
    let head = String::from_utf8_lossy(&bytes[..at]).into_owned();
    let mut lines = head.lines();
    let status = lines.next().and_then(|line| line.split(' ').nth(1)).and_then(|word| word.parse().ok());
    let headers = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_lowercase(), value.trim().to_owned()))
        .collect();
    Ok(Answer { status: status.context("no status line")?, headers, body: bytes[at + 4..].to_vec() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_link_is_found_in_a_sentence() {
        let line = "Open http://127.0.0.1:8080/open/abc123 in a browser.";
        assert_eq!(link_in(line).as_deref(), Some("http://127.0.0.1:8080/open/abc123"));
        assert_eq!(link_in("listening on http://127.0.0.1:8080"), None);
    }
}
