//! The whole service without a socket: who gets what.

mod common;

use axum::http::{Method, StatusCode};
use common::{Bench, Files, HOST, NOW_MS, ORIGIN, SCHOOL, record, request};
use lanewright_server::{Arrival, Gate, LINK_MS, Problem, SESSION_MS};
use lanewright_sync::message::{PUSH_BYTES_MAX, PUSH_RECORDS_MAX};
use lanewright_sync::stamp::STAMP_AHEAD_MAX_MS;
use lanewright_sync::{Acked, PullAnswer, Push, PushAnswer, RefusalReason};
use serde_json::json;

/// Every route that needs a session, with a body that it takes.
const CLOSED: &[(Method, &str, &str)] = &[
    (Method::GET, "/api/v1/me", ""),
    (Method::GET, "/api/v1/clock", ""),
    (Method::GET, "/api/v1/pull", ""),
    (Method::GET, "/api/v1/pull?after=0&limit=10", ""),
    (Method::POST, "/api/v1/push", r#"{"records":[]}"#),
    (Method::POST, "/api/v1/leave", "{}"),
];

fn as_own_page<'a>(method: &Method, cookie: &'a str) -> Vec<(&'static str, &'a str)> {
    let mut headers = vec![("cookie", cookie)];
    if *method != Method::GET {
        headers.extend([("origin", ORIGIN), ("content-type", "application/json")]);
    }
    headers
}

#[tokio::test]
async fn the_owner_gets_every_route_and_a_stranger_none() {
    let bench = Bench::new();
    for (method, path, body) in CLOSED {
        let cookie = bench.enter().await;
        let answer = bench.send(request(method.clone(), path, &as_own_page(method, &cookie), body)).await;
        assert!(answer.status.is_success(), "{path}: {}", answer.body);
        for wrong in ["", "lanewright-7314=", "lanewright-7314=abc", "lanewright-7315=abc; other=1"] {
            let answer = bench.send(request(method.clone(), path, &as_own_page(method, wrong), body)).await;
            answer.is_problem("session-needed", 401);
            assert!(!answer.header("www-authenticate").is_empty());
        }
    }
}

#[tokio::test]
async fn what_is_not_there_under_the_api_is_closed_too() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    for path in ["/api/v1/records", "/api/v2/push", "/api/v1/", "/api/v1", "/api/x.js"] {
        bench.get(path, &[]).await.is_problem("session-needed", 401);
        bench.get(path, &[("cookie", &cookie)]).await.is_problem("not-found", 404);
    }
    bench.get("/api/v1/push", &[]).await.is_problem("session-needed", 401);
    let wrong_method = bench.get("/api/v1/push", &[("cookie", &cookie)]).await;
    wrong_method.is_problem("other-method", 405);
    assert_eq!(wrong_method.header("allow"), "POST");
}

#[tokio::test]
async fn another_host_gets_nothing_whatever_it_carries() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    for host in ["attacker.example:7314", "127.0.0.1:7315", "127.0.0.1", "192.0.2.5:7314", "localhost:80", ""]
    {
        for path in ["/", "/index.html", "/api/v1/me", "/api/v1/health", "/open/abc"] {
            bench.get(path, &[("host", host), ("cookie", &cookie)]).await.is_problem("stranger-host", 403);
        }
    }
    let twice = [("host", HOST), ("host", "attacker.example"), ("cookie", &cookie)];
    bench.get("/api/v1/me", &twice).await.is_problem("stranger-host", 403);
    // A request line may name a host, too.
    let line = "http://attacker.example/api/v1/me";
    bench.get(line, &[("cookie", &cookie)]).await.is_problem("stranger-host", 403);
    for host in ["localhost:7314", "LANES.school.example:7314"] {
        assert_eq!(
            bench.get("/api/v1/me", &[("host", host), ("cookie", &cookie)]).await.status,
            StatusCode::OK
        );
    }
}

#[tokio::test]
async fn another_page_can_neither_read_nor_change_anything() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    for (method, path, body) in CLOSED {
        for origin in [
            "http://attacker.example",
            "http://127.0.0.1:7315",
            "https://127.0.0.1:7314",
            "http://localhost:7314",
            "http://127.0.0.1:7314.attacker.example",
            "null",
            "",
        ] {
            let mut headers = as_own_page(method, &cookie);
            headers.retain(|(name, _)| *name != "origin");
            headers.push(("origin", origin));
            bench.send(request(method.clone(), path, &headers, body)).await.is_problem("other-origin", 403);
        }
        for site in ["cross-site", "same-site"] {
            let mut headers = as_own_page(method, &cookie);
            headers.push(("sec-fetch-site", site));
            bench.send(request(method.clone(), path, &headers, body)).await.is_problem("other-origin", 403);
        }
    }
    // A change without any origin comes from no page of ours.
    let headers = [("cookie", cookie.as_str()), ("content-type", "application/json")];
    bench.send(request(Method::POST, "/api/v1/leave", &headers, "{}")).await.is_problem("other-origin", 403);
    // A question whether another page may ask is answered without a yes.
    let headers = [("origin", "http://attacker.example"), ("access-control-request-method", "POST")];
    let asked = bench.send(request(Method::OPTIONS, "/api/v1/push", &headers, "")).await;
    asked.is_problem("other-origin", 403);
    assert!(asked.headers.keys().all(|name| !name.as_str().starts_with("access-control")));
    // Nothing of all this ended the session.
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &cookie)]).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_forwarded_request_is_turned_away_everywhere() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    for name in
        ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "X-Forwarded", "x-real-ip"]
    {
        for path in ["/", "/api/v1/me", "/api/v1/health"] {
            bench.get(path, &[(name, "x"), ("cookie", &cookie)]).await.is_problem("forwarded", 403);
        }
    }
    let link = bench.link().await;
    bench.get(&link, &[("x-forwarded-for", "192.0.2.9")]).await.is_problem("forwarded", 403);
    assert_eq!(bench.get(&link, &[]).await.status, StatusCode::SEE_OTHER, "the link was not used up");
}

#[tokio::test]
async fn behind_a_proxy_only_what_it_passes_on_encrypted_under_its_name_is_answered() {
    let names = ["lanes.school.example".into()].into();
    let gate = Gate { tls: true, port: 443, names, proxy: Some("192.0.2.7".parse().expect("an address")) };
    let bench = Bench::with(gate, common::files());
    let from = |peer: &str| Arrival {
        peer: peer.parse().expect("an address"),
        local: "192.0.2.5:7314".parse().expect("an address"),
    };
    let proxy = from("192.0.2.7:50000");
    let get = |path: &str, headers: &[(&str, &str)]| request(Method::GET, path, headers, "");
    let passed =
        [("host", "lanes.school.example"), ("x-forwarded-proto", "https"), ("x-forwarded-for", "192.0.2.99")];
    let link = bench.link().await;
    // Past the proxy, in clear, twice told, or under our own address: nothing, and the link is not used up.
    for peer in ["192.0.2.99:50000", "127.0.0.1:50000", "192.0.2.5:50000"] {
        bench.send_from(from(peer), get(&link, &passed)).await.is_problem("not-through-proxy", 403);
    }
    for wrong in
        [&passed[..1], &[passed[0], ("x-forwarded-proto", "http")], &[passed[0], passed[1], passed[1]]]
    {
        bench.send_from(proxy, get(&link, wrong)).await.is_problem("not-through-proxy", 403);
    }
    for host in ["192.0.2.5:7314", "192.0.2.5", "lanes.school.example:7314"] {
        let headers = [("host", host), passed[1]];
        bench.send_from(proxy, get(&link, &headers)).await.is_problem("stranger-host", 403);
    }
    let opened = bench.send_from(proxy, get(&link, &passed)).await;
    assert_eq!(opened.status, StatusCode::SEE_OTHER);
    // The cookie is as for a certificate of our own, and the same whatever port of ours the proxy asks.
    let cookie = opened.header("set-cookie");
    assert!(cookie.starts_with("__Host-lanewright-443=") && cookie.ends_with("; Secure"), "{cookie}");
    assert!(opened.header("strict-transport-security").starts_with("max-age="));
    let cookie = cookie.split(';').next().expect("a cookie");
    let with = |more: &[(&'static str, &'static str)]| {
        let mut headers = passed.to_vec();
        headers.extend([("cookie", cookie), ("content-type", "application/json")]);
        headers.extend_from_slice(more);
        headers.into_iter().map(|(name, value)| (name.to_owned(), value.to_owned())).collect::<Vec<_>>()
    };
    let send = async |method, path: &str, more: &[(&'static str, &'static str)], body: &str| {
        let headers = with(more);
        let headers: Vec<(&str, &str)> =
            headers.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        bench.send_from(proxy, request(method, path, &headers, body)).await
    };
    let me = send(Method::GET, "/api/v1/me", &[], "").await.json();
    assert_eq!(me["device"], "network", "where it came from is not known");
    send(Method::POST, "/api/v1/leave", &[("origin", "http://lanes.school.example")], "{}")
        .await
        .is_problem("other-origin", 403);
    let own = [("origin", "https://lanes.school.example")];
    let addresses = send(Method::GET, "/api/v1/addresses", &[], "").await.json();
    assert_eq!(addresses["addresses"], json!(["https://lanes.school.example"]));
    assert_eq!(send(Method::POST, "/api/v1/leave", &own, "{}").await.status, StatusCode::NO_CONTENT);
}

#[tokio::test]
async fn a_link_opens_one_session_and_goes_to_the_start_page() {
    let bench = Bench::new();
    let link = bench.link().await;
    let opened = bench.get(&link, &[]).await;
    assert_eq!((opened.status, opened.header("location")), (StatusCode::SEE_OTHER, "/"));
    assert_eq!(opened.header("cache-control"), "no-store");
    let cookie = opened.header("set-cookie");
    let (pair, flags) = cookie.split_once("; ").expect("flags");
    assert_eq!(flags, format!("Path=/; Max-Age={}; HttpOnly; SameSite=Strict", SESSION_MS / 1000));
    let token = pair.strip_prefix("lanewright-7314=").expect("the name tells the port");
    assert!(token.len() == 64 && !link.contains(token), "another secret than the link's");

    let me = bench.get("/api/v1/me", &[("cookie", pair)]).await.json();
    let expected = json!({
        "role": "coach", "lanes": null, "school": SCHOOL, "device": "this-computer",
        "until_ms": NOW_MS + SESSION_MS, "helpers": 0, "coaches": 0, "known": true,
        "at": {"history": uuid::Uuid::nil(), "seq": 0},
    });
    assert_eq!(me, expected);
    bench.get(&link, &[]).await.is_problem("link-spent", 410);
    // Who is in already and goes back to the link is not stopped.
    let back = bench.get(&link, &[("cookie", pair)]).await;
    assert_eq!((back.status, back.header("set-cookie")), (StatusCode::SEE_OTHER, ""));
}

#[tokio::test]
async fn a_fresh_link_voids_the_one_before_and_a_new_session_ends_the_old_one() {
    let bench = Bench::new();
    let first = bench.link().await;
    let second = bench.link().await;
    bench.get(&first, &[]).await.is_problem("link-spent", 410);
    let one = bench.get(&second, &[]).await;
    let one = one.header("set-cookie").split(';').next().expect("a cookie").to_owned();
    let third = bench.link().await;
    let two = bench.get(&third, &[("cookie", &one)]).await;
    assert_eq!(two.status, StatusCode::SEE_OTHER);
    bench.get("/api/v1/me", &[("cookie", &one)]).await.is_problem("session-needed", 401);
}

#[tokio::test]
async fn links_and_sessions_end_when_their_time_is_up() {
    let bench = Bench::new();
    let late = bench.link().await;
    bench.pass(LINK_MS);
    bench.get(&late, &[]).await.is_problem("link-spent", 410);
    let cookie = bench.enter().await;
    bench.pass(SESSION_MS - 1);
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &cookie)]).await.status, StatusCode::OK);
    bench.pass(1);
    bench.get("/api/v1/me", &[("cookie", &cookie)]).await.is_problem("session-needed", 401);
}

#[tokio::test]
async fn looking_ahead_does_not_use_a_link_up() {
    let bench = Bench::new();
    let link = bench.link().await;
    let head = bench.send(request(Method::HEAD, &link, &[], "")).await;
    assert_eq!((head.status, head.header("set-cookie")), (StatusCode::METHOD_NOT_ALLOWED, ""));
    for (name, value) in [
        ("sec-purpose", "prefetch"),
        ("sec-purpose", "prefetch;prerender"),
        ("purpose", "prefetch"),
        ("x-purpose", "preview"),
        ("x-moz", "prefetch"),
    ] {
        bench.get(&link, &[(name, value)]).await.is_problem("link-preview", 403);
    }
    let headers = [("origin", ORIGIN), ("content-type", "application/json")];
    bench.send(request(Method::POST, &link, &headers, "{}")).await.is_problem("other-method", 405);
    assert_eq!(bench.get(&link, &[]).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn leaving_ends_the_session_and_takes_the_cookie_back() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    let left = bench.post("/api/v1/leave", &cookie, "{}").await;
    assert_eq!(left.status, StatusCode::NO_CONTENT);
    assert_eq!(left.header("set-cookie"), "lanewright-7314=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict");
    assert_eq!(left.header("clear-site-data"), "", "what waits on the device to be sent must stay there");
    bench.get("/api/v1/me", &[("cookie", &cookie)]).await.is_problem("session-needed", 401);
}

#[tokio::test]
async fn what_one_device_pushes_another_pulls() {
    let bench = Bench::new();
    let (one, other) = (bench.enter().await, bench.enter().await);
    let records =
        vec![record(1, json!({"gap_m": 0.977_829_260_965_009_9})), record(2, json!({"name": "Zoë"}))];
    let ahead = {
        let mut record = record(3, json!({}));
        record.stamp.wall_ms += STAMP_AHEAD_MAX_MS + 1;
        record
    };
    let push = Push { records: [records.clone(), vec![ahead.clone()]].concat() };
    let text = serde_json::to_string(&push).expect("JSON");
    for _ in 0..2 {
        let answer = bench.post("/api/v1/push", &one, &text).await;
        assert_eq!((answer.status, answer.header("content-type")), (StatusCode::OK, "application/json"));
        let answer: PushAnswer = serde_json::from_str(&answer.body).expect("an answer");
        assert!(answer.acked.iter().zip(&records).all(|(acked, record)| acked.proves(record)));
        assert_eq!(answer.acked, records.iter().map(Acked::of).collect::<Vec<_>>());
        assert_eq!((answer.refused.len(), answer.refused[0].reason), (1, RefusalReason::ClockAhead));
        assert_eq!(answer.now_ms, NOW_MS);
    }
    let first = bench.get("/api/v1/pull?after=0&limit=1", &[("cookie", &other)]).await;
    let first: PullAnswer = serde_json::from_str(&first.body).expect("an answer");
    assert!(first.more);
    let rest = bench.get(&format!("/api/v1/pull?after={}", first.cursor), &[("cookie", &other)]).await;
    assert_eq!(rest.header("cache-control"), "no-store");
    let rest: PullAnswer = serde_json::from_str(&rest.body).expect("an answer");
    assert!(!rest.more);
    assert_eq!([first.records, rest.records].concat(), records);
}

#[tokio::test]
async fn wrong_pushes_are_refused_and_store_nothing() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    let own = [("origin", ORIGIN), ("cookie", cookie.as_str())];
    for kind in
        ["", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/jsonp"]
    {
        let headers = [own.as_slice(), &[("content-type", kind)]].concat();
        bench.send(request(Method::POST, "/api/v1/push", &headers, "{}")).await.is_problem("not-json", 415);
    }
    bench.send(request(Method::POST, "/api/v1/push", &own, "{}")).await.is_problem("not-json", 415);

    let good = serde_json::to_value(record(1, json!({}))).expect("JSON");
    for wrong in [
        "".to_owned(),
        "records".to_owned(),
        "{}".to_owned(),
        json!({"records": [good], "as": "owner"}).to_string(),
        json!({"records": [{"id": 1}]}).to_string(),
        format!("{{\"records\": [{good}"),
        "[".repeat(100_000),
    ] {
        bench.post("/api/v1/push", &cookie, &wrong).await.is_problem("not-records", 400);
    }
    let mistake = bench.post("/api/v1/push", &cookie, "{\n \"records\": secret-name}").await;
    assert!(mistake.body.contains("line 2, column 13"), "{}", mistake.body);
    assert!(!mistake.body.contains("secret"), "nothing of the input comes back");

    let many = Push { records: vec![record(1, json!({})); PUSH_RECORDS_MAX + 1] };
    let many = serde_json::to_string(&many).expect("JSON");
    bench.post("/api/v1/push", &cookie, &many).await.is_problem("too-large", 413);
    let long = format!("{{\"records\":[{}]}}", " ".repeat(PUSH_BYTES_MAX));
    bench.post("/api/v1/push", &cookie, &long).await.is_problem("too-large", 413);
    for query in
        ["after=x", "after=-1", "limit=0", "limit=x", "after=1&school=2", "after=99999999999999999999"]
    {
        let answer = bench.get(&format!("/api/v1/pull?{query}"), &[("cookie", &cookie)]).await;
        answer.is_problem("not-a-cursor", 400);
    }
    let all = bench.get("/api/v1/pull", &[("cookie", &cookie)]).await.json();
    let at = json!({"history": uuid::Uuid::nil(), "seq": 0});
    assert_eq!(all, json!({"records": [], "cursor": 0, "more": false, "at": at}));
}

#[tokio::test]
async fn a_session_reads_and_writes_its_own_school_only() {
    let bench = Bench::new();
    let elsewhere = lanewright_sync::SchoolId(uuid::Uuid::from_u128(0xe1));
    bench.store.add_school(elsewhere).await.expect("added");
    let theirs = lanewright_sync::Record { school: elsewhere, ..record(1, json!({"whose": "theirs"})) };
    bench.store.push(elsewhere, std::slice::from_ref(&theirs), NOW_MS).await.expect("pushed");
    let cookie = bench.enter().await;
    let changed = lanewright_sync::Record { school: elsewhere, ..record(1, json!({"whose": "ours"})) };
    let push = serde_json::to_string(&Push { records: vec![changed] }).expect("JSON");
    let answer = bench.post("/api/v1/push", &cookie, &push).await.json();
    assert_eq!(answer["refused"][0]["reason"], "other-school");
    assert_eq!(bench.get("/api/v1/pull", &[("cookie", &cookie)]).await.json()["records"], json!([]));
    assert_eq!(bench.store.get(elsewhere, &theirs.key()).await.expect("read"), Some(theirs));
}

#[tokio::test]
async fn every_answer_wears_its_headers() {
    let bench = Bench::new();
    let cookie = bench.enter().await;
    let link = bench.link().await;
    for (path, headers) in [
        ("/", vec![]),
        ("/app-1a2b3c4d.js", vec![]),
        ("/nothing.here", vec![]),
        ("/api/v1/health", vec![]),
        ("/api/v1/me", vec![]),
        ("/api/v1/me", vec![("cookie", cookie.as_str())]),
        ("/", vec![("host", "attacker.example")]),
        (link.as_str(), vec![]),
        ("/problems/not-found", vec![]),
    ] {
        let answer = bench.get(path, &headers).await;
        let policy = answer.header("content-security-policy");
        for part in [
            "default-src 'none'",
            "script-src 'self' 'wasm-unsafe-eval'",
            "style-src 'self';",
            "media-src blob:;",
            "object-src 'none'",
            "base-uri 'none'",
            "frame-ancestors 'none'",
            "form-action 'self'",
        ] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        // The microphone for our own page, when the coach asks for it; no camera, no position.
        let allowed = answer.header("permissions-policy");
        assert_eq!(allowed, "camera=(), geolocation=(), microphone=(self), payment=(), usb=()", "{path}");
        assert!(
            !policy.contains("unsafe-inline") && !policy.contains("http") && !policy.contains('*'),
            "{policy}"
        );
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cross-origin-embedder-policy", "require-corp"),
            ("cross-origin-resource-policy", "same-origin"),
            ("strict-transport-security", ""),
        ] {
            assert_eq!(answer.header(name), value, "{path}: {name}");
        }
        assert!(!answer.header("cache-control").is_empty(), "{path}");
        if path.starts_with("/api") {
            assert_eq!(answer.header("cache-control"), "no-store");
        }
    }
}

#[tokio::test]
async fn under_tls_cookies_are_bound_to_the_host_and_browsers_stay_with_tls() {
    let names = [String::from("lanes.school.example")].into();
    let bench = Bench::with(Gate { tls: true, port: 7314, names, proxy: None }, common::files());
    let link = bench.link().await;
    let opened = bench.get(&link, &[]).await;
    let cookie = opened.header("set-cookie");
    assert!(cookie.starts_with("__Host-lanewright-7314=") && cookie.ends_with("; Secure"), "{cookie}");
    assert!(cookie.contains("; Path=/;") && !cookie.contains("Domain"), "{cookie}");
    assert_eq!(opened.header("strict-transport-security"), "max-age=31536000");
    let pair = cookie.split(';').next().expect("a cookie");
    let headers =
        [("origin", "https://127.0.0.1:7314"), ("content-type", "application/json"), ("cookie", pair)];
    let answer = bench.send(request(Method::POST, "/api/v1/leave", &headers, "{}")).await;
    assert_eq!(answer.status, StatusCode::NO_CONTENT);
    // The plain name of the cookie is not enough here.
    let plain = pair.trim_start_matches("__Host-");
    bench.get("/api/v1/me", &[("cookie", plain)]).await.is_problem("session-needed", 401);
}

#[tokio::test]
async fn files_are_served_to_anyone_with_the_right_type_and_keeping_time() {
    let bench = Bench::new();
    let forever = "public, max-age=31536000, immutable";
    for (path, kind, keep) in [
        ("/", "text/html; charset=utf-8", "no-cache"),
        ("/index.html", "text/html; charset=utf-8", "no-cache"),
        ("/class/7-larch", "text/html; charset=utf-8", "no-cache"),
        ("/sw.js", "text/javascript; charset=utf-8", "no-cache"),
        ("/app-1a2b3c4d.js", "text/javascript; charset=utf-8", forever),
        ("/app_bg-70768af3.wasm", "application/wasm", forever),
        ("/icons/mark.svg", "image/svg+xml", "no-cache"),
        ("/manifest.webmanifest", "application/manifest+json", "no-cache"),
    ] {
        let answer = bench.get(path, &[]).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}");
        assert_eq!((answer.header("content-type"), answer.header("cache-control")), (kind, keep), "{path}");
        let tag = answer.header("etag").to_owned();
        let again = bench.get(path, &[("if-none-match", &format!("\"x\", W/{tag}"))]).await;
        assert_eq!((again.status, again.body.as_str()), (StatusCode::NOT_MODIFIED, ""), "{path}");
        assert_eq!(again.header("etag"), tag);
        // From another site a person may follow a link to the page.
        assert_eq!(bench.get(path, &[("sec-fetch-site", "cross-site")]).await.status, StatusCode::OK);
    }
    for path in [
        "/missing.js",
        "/../Cargo.toml",
        "/%2e%2e/Cargo.toml",
        "/.git/config",
        "/app-1a2b3c4d.js.br",
        "//x.js",
    ] {
        bench.get(path, &[]).await.is_problem("not-found", 404);
    }
    let headers = [("origin", ORIGIN), ("content-type", "application/json")];
    bench.send(request(Method::POST, "/index.html", &headers, "{}")).await.is_problem("other-method", 405);
}

#[tokio::test]
async fn packed_copies_go_to_browsers_that_take_them() {
    let bench = Bench::new();
    for (path, takes, coding, body) in [
        ("/app-1a2b3c4d.js", "gzip, deflate, br", "br", "br of the script"),
        ("/app-1a2b3c4d.js", "gzip, deflate", "gzip", "gz of the script"),
        ("/app-1a2b3c4d.js", "br;q=0, gzip", "gzip", "gz of the script"),
        ("/app-1a2b3c4d.js", "identity", "", "export {}"),
        ("/app-1a2b3c4d.js", "", "", "export {}"),
        ("/", "br, gzip", "gzip", "gz of the page"),
        ("/sw.js", "br, gzip", "", "// worker"),
    ] {
        let answer = bench.get(path, &[("accept-encoding", takes)]).await;
        assert_eq!(
            (answer.header("content-encoding"), answer.body.as_str()),
            (coding, body),
            "{path} {takes}"
        );
        assert_eq!(answer.header("vary"), "accept-encoding");
    }
}

#[tokio::test]
async fn people_get_problems_as_a_page_and_programs_as_json() {
    let bench = Bench::new();
    let accepts = [("accept", "text/html,application/xhtml+xml,*/*;q=0.8")];
    let page = bench.get("/open/abc", &accepts).await;
    assert_eq!((page.status, page.header("content-type")), (StatusCode::GONE, "text/html; charset=utf-8"));
    assert!(page.body.contains("This link no longer works."), "{}", page.body);
    assert!(!page.body.contains("style"), "the policy allows no inline style");
    bench.get("/api/v1/me", &accepts).await.is_problem("session-needed", 401);
    bench.get("/open/abc", &[("accept", "*/*")]).await.is_problem("link-spent", 410);
    for problem in Problem::ALL {
        let page = bench.get(&format!("/problems/{}", problem.name()), &[]).await;
        assert_eq!((page.status, page.header("content-type")), (StatusCode::OK, "text/html; charset=utf-8"));
    }
    bench.get("/problems/moon-phase", &[]).await.is_problem("not-found", 404);
}

#[tokio::test]
async fn health_is_open_and_says_nothing_else() {
    let bench = Bench::new();
    let answer = bench.get("/api/v1/health", &[]).await;
    assert_eq!((answer.status, answer.json()), (StatusCode::OK, json!({"status": "ok"})));
}

#[tokio::test]
async fn without_the_built_app_the_start_page_says_how_to_build_it() {
    let bench = Bench::with(
        Gate { tls: false, port: 7314, names: Default::default(), proxy: None },
        Files(Default::default()),
    );
    bench.get("/", &[]).await.is_problem("app-missing", 503);
}
