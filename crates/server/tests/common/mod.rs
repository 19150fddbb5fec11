//! A service over a store in memory, a clock that tests turn, and requests as a browser sends them.
#![allow(dead_code)]

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode};
use lanewright_server::{AppState, Arrival, Asset, Assets, Gate, app, fresh_link};
use lanewright_store::{MemoryStore, Store};
use lanewright_sync::{DeviceId, Record, SchoolId, Stamp};
use serde_json::Value;
use sha2::{Digest, Sha256};
use tower::ServiceExt;
use uuid::Uuid;

pub const SCHOOL: SchoolId = SchoolId(Uuid::from_u128(0x5c));
pub const NOW_MS: u64 = 1_772_446_445_000;
pub const HOST: &str = "127.0.0.1:7314";
pub const ORIGIN: &str = "http://127.0.0.1:7314";

pub struct Files(pub BTreeMap<&'static str, &'static str>);

impl Assets for Files {
    fn get(&self, path: &str) -> Option<Asset> {
        let bytes = self.0.get(path)?.as_bytes();
        Some(Asset { bytes: Cow::Borrowed(bytes), sha256: Sha256::digest(bytes).into() })
    }
}

pub fn files() -> Files {
    Files(
        [
            ("index.html", "<!doctype html><title>Lanewright</title>"),
            ("index.html.gz", "gz of the page"),
            ("sw.js", "// worker"),
            ("app-1a2b3c4d.js", "export {}"),
            ("app-1a2b3c4d.js.br", "br of the script"),
            ("app-1a2b3c4d.js.gz", "gz of the script"),
            ("icons/mark.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>"),
            ("manifest.webmanifest", "{}"),
            ("app_bg-70768af3.wasm", "\0asm"),
        ]
        .into(),
    )
}

pub struct Bench {
    pub store: Arc<dyn Store>,
    pub app: Router,
    pub now_ms: Arc<AtomicU64>,
}

pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("not JSON: {}", self.body))
    }

    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().expect("text"))
    }

    /// Checks that this is the named problem, whole and in plain words.
    #[track_caller]
    pub fn is_problem(&self, name: &str, status: u16) {
        assert_eq!(self.status.as_u16(), status, "{}", self.body);
        assert_eq!(self.header("content-type"), "application/problem+json");
        let problem = self.json();
        assert_eq!(problem["type"], format!("/problems/{name}"));
        assert_eq!(problem["status"], status);
        for key in ["title", "detail"] {
            assert!(problem[key].as_str().is_some_and(|text| text.ends_with('.')), "{problem}");
        }
        // Besides, it has the numbers that its words hold, by name, and nothing else.
        let numbers: &[&str] = match name {
            "too-large" => &["megabytes", "records"],
            "not-records" => &["column", "line"],
            "too-many-links" => &["links", "minutes"],
            "password-wait" => &["seconds"],
            "password-short" | "password-long" => &["signs"],
            _ => &[],
        };
        let members = problem.as_object().expect("an object").iter();
        let others: Vec<(&str, bool)> = members
            .filter(|(key, _)| !["type", "status", "title", "detail"].contains(&key.as_str()))
            .map(|(key, value)| (key.as_str(), value.is_u64()))
            .collect();
        let expected: Vec<(&str, bool)> = numbers.iter().map(|number| (*number, true)).collect();
        assert_eq!(others, expected, "{problem}");
    }
}

impl Bench {
    pub fn new() -> Self {
        Self::with(
            Gate { tls: false, port: 7314, names: ["lanes.school.example".into()].into(), proxy: None },
            files(),
        )
    }

    pub fn with(gate: Gate, files: Files) -> Self {
        let store: Arc<dyn Store> = Arc::new(MemoryStore::new(SCHOOL));
        let now_ms = Arc::new(AtomicU64::new(NOW_MS));
        let clock = now_ms.clone();
        let state = AppState {
            store: store.clone(),
            gate: Arc::new(gate),
            assets: Arc::new(files),
            clock: Arc::new(move || clock.load(Ordering::SeqCst)),
            bound: std::net::Ipv4Addr::LOCALHOST.into(),
        };
        Self { store, app: app(state), now_ms }
    }

    pub fn pass(&self, ms: u64) {
        self.now_ms.fetch_add(ms, Ordering::SeqCst);
    }

    pub async fn link(&self) -> String {
        let token = fresh_link(&*self.store, self.now_ms.load(Ordering::SeqCst)).await.expect("made");
        format!("/open/{token}")
    }

    /// Opens a fresh link and returns the cookie as a browser sends it back.
    pub async fn enter(&self) -> String {
        let link = self.link().await;
        let answer = self.get(&link, &[]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
        answer.header("set-cookie").split(';').next().expect("a cookie").to_owned()
    }

    pub async fn send(&self, request: Request) -> Answer {
        let here = Arrival {
            peer: "127.0.0.1:50000".parse().expect("an address"),
            local: HOST.parse().expect("an address"),
        };
        self.send_from(here, request).await
    }

    pub async fn send_from(&self, arrival: Arrival, mut request: Request) -> Answer {
        request.extensions_mut().insert(arrival);
        let response = self.app.clone().oneshot(request).await.expect("never fails");
        let (parts, body) = response.into_parts();
        let body = to_bytes(body, usize::MAX).await.expect("read");
        let body = String::from_utf8(body.to_vec()).expect("text");
        Answer { status: parts.status, headers: parts.headers, body }
    }

    pub async fn get(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        self.send(request(Method::GET, path, headers, "")).await
    }

    /// Posts JSON as our own page does.
    pub async fn post(&self, path: &str, cookie: &str, body: &str) -> Answer {
        let headers = [("origin", ORIGIN), ("content-type", "application/json"), ("cookie", cookie)];
        self.send(request(Method::POST, path, &headers, body)).await
    }
}

/// Returns a request with our `Host` unless another is given.
pub fn request(method: Method, path: &str, headers: &[(&str, &str)], body: &str) -> Request {
    let mut request = Request::builder().method(method).uri(path);
    if !headers.iter().any(|(name, _)| *name == "host") {
        request = request.header("host", HOST);
    }
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    request.body(Body::from(body.to_owned())).expect("a request")
}

/// Returns a sound record.
pub fn record(number: u128, body: Value) -> Record {
    Record {
        id: Uuid::from_u128(number),
        kind: "telescope".into(),
        version: 1,
        body,
        stamp: Stamp { wall_ms: NOW_MS, counter: 0, device: DeviceId(Uuid::from_u128(0xd)) },
        school: SCHOOL,
    }
}
