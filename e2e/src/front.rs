//! An address before the program's, at which tests change what the browser gets: a newer build, or a file that fails.

use std::sync::{Arc, Mutex};

use anyhow::{Context, Result};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

/// What stands in the page of the newer build.
pub const NEWER_MARK: &str = "<meta name=\"build\" content=\"next\">";

#[derive(Debug, Clone, Default)]
struct Rules {
    /// Where the program listens.
    program: String,
    newer: bool,
    /// Paths that end so fail.
    fails: Option<String>,
}

/// Listens on an address of this computer and asks the program behind it.
pub struct Front {
    /// `127.0.0.1:PORT`.
    pub addr: String,
    rules: Arc<Mutex<Rules>>,
}

impl Front {
    /// Begins to listen.
    pub async fn listen() -> Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let addr = listener.local_addr()?.to_string();
        let rules = Arc::new(Mutex::new(Rules::default()));
        let shared = rules.clone();
        tokio::spawn(async move {
            while let Ok((browser, _)) = listener.accept().await {
                let rules = shared.clone();
                tokio::spawn(async move {
                    // A browser that hangs up is no news.
                    let _ = pass_on(browser, &rules).await;
                });
            }
        });
        Ok(Self { addr, rules })
    }

    fn change(&self, change: impl FnOnce(&mut Rules)) {
        change(&mut self.rules.lock().expect("nobody panicked"));
    }

    /// Says where the program listens.
    pub fn ask_at(&self, program: &str) {
        self.change(|rules| rules.program = program.to_owned());
    }

    /// From here on the browser gets a build of another version; its page carries [`NEWER_MARK`].
    pub fn serve_newer(&self) {
        self.change(|rules| rules.newer = true);
    }

    /// Lets files whose path ends so fail, or none.
    pub fn fail(&self, ending: Option<&str>) {
        self.change(|rules| rules.fails = ending.map(str::to_owned));
    }
}

/// Answers one request and closes.
async fn pass_on(mut browser: TcpStream, rules: &Mutex<Rules>) -> Result<()> {
    let mut asked = Vec::new();
    let head_end = loop {
        if let Some(at) = asked.windows(4).position(|four| four == b"\r\n\r\n") {
            break at + 4;
        }
        if browser.read_buf(&mut asked).await? == 0 {
            return Ok(());
        }
    };
    let head = String::from_utf8_lossy(&asked[..head_end]).into_owned();
    let path = head.split(' ').nth(1).unwrap_or_default().to_owned();
    let length: usize = value(&head, "content-length").and_then(|text| text.parse().ok()).unwrap_or(0);
    while asked.len() < head_end + length {
        if browser.read_buf(&mut asked).await? == 0 {
            return Ok(());
        }
    }
    let rules = rules.lock().expect("nobody panicked").clone();
    if rules.fails.is_some_and(|ending| path.ends_with(&ending)) {
        browser.write_all(b"HTTP/1.1 500 No\r\ncontent-length: 0\r\nconnection: close\r\n\r\n").await?;
        return Ok(());
    }
    // Without these the program answers whole, unpacked, and closes.
    let kept = head.trim_end().split("\r\n").filter(|line| {
        let name = line.split(':').next().unwrap_or_default().to_lowercase();
        !["connection", "accept-encoding", "if-none-match"].contains(&name.as_str())
    });
    let mut head: String = kept.map(|line| format!("{line}\r\n")).collect();
    head += "connection: close\r\n\r\n";
    let mut program = TcpStream::connect(&rules.program).await?;
    program.write_all(head.as_bytes()).await?;
    program.write_all(&asked[head_end..]).await?;
    let mut answer = Vec::new();
    program.read_to_end(&mut answer).await?;
    if rules.newer {
        answer = match path.as_str() {
            "/sw.js" => changed(&answer, "const VERSION = \"", "const VERSION = \"next-")?,
            "/" | "/index.html" => changed(&answer, "<head>", &format!("<head>\n{NEWER_MARK}"))?,
            _ => answer,
        };
    }
    browser.write_all(&answer).await?;
    browser.shutdown().await?;
    Ok(())
}

fn value<'a>(head: &'a str, name: &str) -> Option<&'a str> {
    head.split("\r\n").find_map(|line| {
        let (key, value) = line.split_once(':')?;
        key.eq_ignore_ascii_case(name).then(|| value.trim())
    })
}

/// Puts other words into the body of an answer, and its length right.
fn changed(answer: &[u8], words: &str, others: &str) -> Result<Vec<u8>> {
    let text = String::from_utf8(answer.to_vec()).context("a text")?;
    let (head, body) = text.split_once("\r\n\r\n").context("an answer")?;
    anyhow::ensure!(body.contains(words), "{words} is not in what the program answers");
    let body = body.replacen(words, others, 1);
    let kept = head.split("\r\n").filter(|line| !line.to_lowercase().starts_with("content-length:"));
    let head: String = kept.map(|line| format!("{line}\r\n")).collect();
    Ok(format!("{head}content-length: {}\r\n\r\n{body}", body.len()).into_bytes())
}
