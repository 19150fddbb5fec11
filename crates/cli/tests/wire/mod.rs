//! The program as a process of its own, and devices that talk to it over a kept connection.
#![allow(dead_code)]

#[cfg(unix)]
pub mod kills;

use std::ffi::OsString;
use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

pub use lanewright_dice::Dice;
use lanewright_model::record::BODY_VERSION;
use lanewright_sync::{Clock, DeviceId, PullAnswer, Push, PushAnswer, Record, RecordKey, SchoolId};
use serde_json::{Value, json};
use uuid::Uuid;

/// Longest wait for an answer. A program that takes longer is taken for one that hangs.
const ANSWER_MAX: Duration = Duration::from_secs(60);

/// A program that runs. It is killed when this value goes.
pub struct Program {
    pub child: Child,
    out: BufReader<ChildStdout>,
    text: String,
}

impl Program {
    /// Starts the program on a free port. `keeping` are the arguments that say where records are kept; what it logs
    /// goes to the file `log`.
    pub fn start(program: &Path, keeping: &[OsString], log: &Path) -> Self {
        Self::start_under(Command::new(program), keeping, log)
    }

    /// The same with a command that has the program as its last argument, such as one that traces it.
    pub fn start_under(mut command: Command, keeping: &[OsString], log: &Path) -> Self {
        let log = File::options().create(true).append(true).open(log).expect("a log");
        command.args(["start", "--addr", "127.0.0.1:0"]).args(keeping);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(log);
        let mut child = command.spawn().expect("the program starts");
        let out = BufReader::new(child.stdout.take().expect("piped"));
        Self { child, out, text: String::new() }
    }

    /// Waits until it has printed its one-time link; `None` when it ended before.
    pub fn link(&mut self) -> Option<String> {
        loop {
            let from = self.text.len();
            if self.out.read_line(&mut self.text).ok()? == 0 {
                return None;
            }
            let line = self.text[from..].trim();
            if line.starts_with("http") {
                return Some(line.to_owned());
            }
        }
    }

    /// Ends it without any warning (SIGKILL), as a system does that runs out of memory.
    pub fn kill(mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
    }

    /// Asks it to end, and waits.
    #[cfg(unix)]
    pub fn stop(mut self) {
        let sent = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status();
        assert!(sent.expect("kill runs").success());
        assert_eq!(self.child.wait().expect("it ends").code(), Some(0));
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Splits a link into `HOST:PORT` and path.
pub fn parts(link: &str) -> (String, String) {
    let (host, path) = link.trim_start_matches("http://").split_once('/').expect("a path");
    (host.to_owned(), format!("/{path}"))
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoAnswer {
    /// Nobody was there: nothing was sent.
    NotSent,
    /// The connection broke: nobody knows what became of it.
    Unknown,
}

/// An answer that arrived whole.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("not JSON: {}", self.body))
    }
}

/// A device's way to the program: a connection that is kept, and the token of its session.
pub struct Line {
    host: String,
    token: String,
    stream: Option<BufReader<TcpStream>>,
}

impl Line {
    /// A line without a session.
    pub fn to(host: &str) -> Self {
        Self { host: host.to_owned(), token: String::new(), stream: None }
    }

    /// Uses a one-time link up.
    pub fn enter(host: &str, path: &str) -> Result<Self, NoAnswer> {
        let mut line = Self::to(host);
        let opened = line.ask("GET", path, "")?;
        assert_eq!(opened.status, 303, "{} {}", opened.head, opened.body);
        let cookie = opened.head.lines().find_map(|line| line.strip_prefix("set-cookie: "));
        let pair = cookie.and_then(|cookie| cookie.split(';').next()).expect("a cookie");
        line.token = pair.split_once('=').expect("a pair").1.to_owned();
        Ok(line)
    }

    /// The same session at the port that the program has now.
    pub fn moved(&self, host: &str) -> Self {
        Self { host: host.to_owned(), token: self.token.clone(), stream: None }
    }

    /// Asks for a link for one more device and opens it.
    pub fn invite(&mut self, role: &str) -> Result<Self, NoAnswer> {
        let made = self.ask("POST", "/api/v1/links", &json!({"role": role}).to_string())?;
        assert_eq!(made.status, 200, "{}", made.body);
        let path = made.json()["path"].as_str().expect("a path").to_owned();
        Self::enter(&self.host, &path)
    }

    /// One request and its whole answer.
    pub fn ask(&mut self, method: &str, path: &str, body: &str) -> Result<Answer, NoAnswer> {
        let mut stream = match self.stream.take() {
            Some(stream) => stream,
            None => {
                let stream = TcpStream::connect(&self.host).map_err(|_| NoAnswer::NotSent)?;
                stream.set_nodelay(true).expect("set");
                stream.set_read_timeout(Some(ANSWER_MAX)).expect("set");
                BufReader::new(stream)
            }
        };
        let (host, token, length) = (&self.host, &self.token, body.len());
        let port = host.rsplit(':').next().unwrap_or_default();
        let text = format!(
            "{method} {path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\n\
             cookie: lanewright-{port}={token}\r\ncontent-type: application/json\r\n\
             content-length: {length}\r\n\r\n{body}"
        );
        let answer = stream.get_mut().write_all(text.as_bytes()).and_then(|()| read_answer(&mut stream));
        let answer = answer.map_err(|_| NoAnswer::Unknown)?;
        self.stream = Some(stream);
        Ok(answer)
    }

    /// Pushes records. `Err` with the answer's status in it would hide what it says: anything but 200 fails the test.
    pub fn push(&mut self, records: &[Record]) -> Result<PushAnswer, NoAnswer> {
        let push = Push { records: records.to_vec() };
        let answer = self.ask("POST", "/api/v1/push", &serde_json::to_string(&push).expect("JSON"))?;
        assert_eq!(answer.status, 200, "{}", answer.body);
        Ok(serde_json::from_str(&answer.body).expect("an answer"))
    }

    /// Reads everything after a cursor, page by page.
    pub fn pull(&mut self, mut after: u64) -> Result<(Vec<Record>, u64), NoAnswer> {
        let mut records = Vec::new();
        loop {
            let answer = self.ask("GET", &format!("/api/v1/pull?after={after}"), "")?;
            assert_eq!(answer.status, 200, "{}", answer.body);
            let page: PullAnswer = serde_json::from_str(&answer.body).expect("a page");
            records.extend(page.records);
            after = page.cursor;
            if !page.more {
                return Ok((records, after));
            }
        }
    }

    /// The school that the session belongs to.
    pub fn school(&mut self) -> Result<SchoolId, NoAnswer> {
        let me = self.ask("GET", "/api/v1/me", "")?;
        assert_eq!(me.status, 200, "{}", me.body);
        Ok(serde_json::from_value(me.json()["school"].clone()).expect("a school"))
    }
}

/// Reads one answer. An error when the connection ends before the answer does.
fn read_answer(stream: &mut impl BufRead) -> std::io::Result<Answer> {
    let mut head = String::new();
    loop {
        let from = head.len();
        if stream.read_line(&mut head)? == 0 {
            return Err(std::io::ErrorKind::UnexpectedEof.into());
        }
        if head[from..].trim().is_empty() {
            break;
        }
    }
    let status = head.split(' ').nth(1).and_then(|word| word.parse().ok()).unwrap_or(0);
    let length = head.lines().find_map(|line| line.strip_prefix("content-length: "));
    let mut body = vec![0; length.map_or(0, |length| length.trim().parse().expect("a number"))];
    stream.read_exact(&mut body)?;
    Ok(Answer { status, head, body: String::from_utf8(body).expect("text") })
}

/// A device that records runs.
pub struct Recorder {
    pub number: usize,
    pub school: SchoolId,
    pub class: Uuid,
    clock: Clock,
    dice: Dice,
    made: u64,
}

impl Recorder {
    pub fn new(number: usize, school: SchoolId, seed: u64) -> Self {
        let mut dice = Dice(seed ^ (number as u64 + 1).wrapping_mul(0xA24B_AED4_963E_E407));
        let device = DeviceId(dice.uuid());
        Self { number, school, class: Uuid::from_u128(0x7_1a4c), clock: Clock::new(device), dice, made: 0 }
    }

    fn record(&mut self, key: RecordKey, body: Value, now_ms: u64) -> Record {
        let stamp = self.clock.next(now_ms);
        Record { id: key.id, kind: key.kind, version: BODY_VERSION, body, stamp, school: self.school }
    }

    /// The next run of a child at this device's lane. `setup` holds the mark by which the judge knows it.
    pub fn run(&mut self, now_ms: u64) -> Record {
        self.made += 1;
        let dice = &mut self.dice;
        let hurdles = 5 + dice.below(4);
        let knocked: Vec<usize> = (1..=hurdles).filter(|_| dice.percent(12)).collect();
        let lane = char::from(b'A' + (self.number % 6) as u8).to_string();
        let body = json!({"class": self.class, "run": {
            "runner": Uuid::from_u128(0x100 + dice.below(32) as u128), "drill": "alternate-run", "lane": lane,
            "at_ms": now_ms, "lead": if dice.percent(50) { "left" } else { "right" }, "hurdles": hurdles,
            "knocked": knocked, "watched": "knocks", "gap_m": 1.3, "height_cm": 30.0,
            "setup": format!("{}-{}", self.number, self.made),
        }});
        let key = RecordKey { kind: "run".into(), id: self.dice.uuid() };
        self.record(key, body, now_ms)
    }

    /// Who is there today, written again and again for one child of this device: a fact that is replaced.
    pub fn today(&mut self, now_ms: u64) -> Record {
        let presence = ["present", "easy", "helping", "absent"][self.dice.below(4)];
        self.made += 1;
        let body = json!({"on": "2026-03-02", "presence": presence, "mark": format!("{}-{}", self.number, self.made)});
        let key = RecordKey { kind: "today".into(), id: Uuid::from_u128(0x1000 + self.number as u128) };
        self.record(key, body, now_ms)
    }
}

/// The time, in milliseconds since 1970.
pub fn now_ms() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).expect("after 1970");
    since.as_millis() as u64
}

/// How many of something a long run asks for: `LANEWRIGHT_SOAK_CASES`, or the usual number.
pub fn cases(usual: usize, share: usize) -> usize {
    let asked = std::env::var("LANEWRIGHT_SOAK_CASES").ok().and_then(|text| text.parse::<usize>().ok());
    asked.map_or(usual, |asked| (asked / share).max(usual))
}

/// The seed of this run: `LANEWRIGHT_SEED`, or always the same.
pub fn seed(usual: u64) -> u64 {
    std::env::var("LANEWRIGHT_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}
