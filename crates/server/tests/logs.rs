//! What is logged, alone in its program: logging is set up per process, and other tests would set it up too.

mod common;

use common::{Bench, record};
use lanewright_sync::Push;
use serde_json::json;

/// Collects what is logged, down to the finest level.
#[derive(Clone, Default)]
struct Log(std::sync::Arc<std::sync::Mutex<Vec<u8>>>);

impl std::io::Write for Log {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().expect("whole").extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[tokio::test]
async fn logs_say_what_happened_without_names_tokens_or_queries() {
    let log = Log::default();
    let writer = log.clone();
    let subscriber = tracing_subscriber::fmt()
        .with_max_level(tracing::Level::TRACE)
        .with_ansi(false)
        .with_writer(move || writer.clone())
        .finish();
    let guard = tracing::subscriber::set_default(subscriber);
    let bench = Bench::new();
    let link = bench.link().await;
    let opened = bench.get(&link, &[]).await;
    let cookie = opened.header("set-cookie").split(';').next().expect("a cookie").to_owned();
    let push = Push { records: vec![record(1, json!({"label": "Zebedee"}))] };
    bench.post("/api/v1/push", &cookie, &serde_json::to_string(&push).expect("JSON")).await;
    bench.post("/api/v1/push", &cookie, "{\"records\": Zebedee}").await;
    bench.get("/api/v1/pull?after=0&limit=17", &[("cookie", &cookie)]).await;
    bench.get("/api/v1/pull?after=Zebedee", &[("cookie", &cookie)]).await;
    bench.get(&link, &[]).await;
    bench.get("/Zebedee", &[("host", "zebedee.example")]).await;
    bench.get("/Zebedee.html", &[]).await;
    for body in [r#"{"password":"Zebedee in the hall"}"#, r#"{"password":"Zebedee in the wall"}"#] {
        bench.post("/api/v1/password", &cookie, r#"{"password":"Zebedee in the hall"}"#).await;
        bench.post("/api/v1/password/enter", "", body).await;
    }
    bench.post("/api/v1/leave", &cookie, "{}").await;
    drop(guard);
    let text = String::from_utf8(log.0.lock().expect("whole").clone()).expect("text");
    for said in [
        "a link opened a session",
        "set a password",
        "the password opened",
        "password-wrong",
        "acked=1",
        "link-spent",
        "stranger-host",
        "/open/{token}",
        "was left",
    ] {
        assert!(text.contains(said), "{said} is missing in:\n{text}");
    }
    let token = link.strip_prefix("/open/").expect("a token");
    let session = cookie.split_once('=').expect("a pair").1;
    for secret in ["argon2", token, session, "after=", "limit=", "zebedee"] {
        assert!(!text.to_lowercase().contains(&secret.to_lowercase()), "{secret} stands in:\n{text}");
    }
}
