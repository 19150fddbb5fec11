//! HTTP by hand over any stream, so that nothing is smoothed over on the way.

use serde_json::Value;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};

pub struct Reply {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Reply {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then_some(value.trim())
        })
    }

    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("not JSON: {}", self.body))
    }

    /// Returns the cookie as a browser sends it back.
    pub fn cookie(&self) -> String {
        let cookie = self.header("set-cookie").expect("a cookie");
        cookie.split(';').next().expect("a pair").to_owned()
    }
}

/// Sends one request and reads the whole answer.
pub async fn ask<S: AsyncRead + AsyncWrite + Unpin>(
    mut stream: S,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> Reply {
    let mut text =
        format!("{method} {path} HTTP/1.1\r\nconnection: close\r\ncontent-length: {}\r\n", body.len());
    for (name, value) in headers {
        text.push_str(&format!("{name}: {value}\r\n"));
    }
    text.push_str("\r\n");
    text.push_str(body);
    // A server that refuses an overlong request need not take all of it.
    let _ = stream.write_all(text.as_bytes()).await;
    read(stream).await
}

/// Reads an answer to the end of the connection.
pub async fn read<S: AsyncRead + Unpin>(mut stream: S) -> Reply {
    let mut bytes = Vec::new();
    // A closed connection without a closing message is an end as well.
    let _ = stream.read_to_end(&mut bytes).await;
    let text = String::from_utf8(bytes).expect("text");
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|word| word.parse().ok()).unwrap_or(0);
    Reply { status, head: head.to_owned(), body: body.to_owned() }
}
