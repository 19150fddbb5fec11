//! The school's password: who may set it, whom it lets in, how it is slowed down, and what strangers learn.

mod common;

use axum::http::{Method, StatusCode};
use common::{Answer, Bench, NOW_MS, ORIGIN, files, request};
use lanewright_server::{Arrival, Gate, SIGNS_MAX};
use serde_json::{Value, json};

const PASSWORD: &str = "hazel on a wet field";

async fn set(bench: &Bench, coach: &str, body: Value) -> Answer {
    bench.post("/api/v1/password", coach, &body.to_string()).await
}

async fn enter(bench: &Bench, cookie: &str, password: &str) -> Answer {
    bench.post("/api/v1/password/enter", cookie, &json!({"password": password}).to_string()).await
}

fn cookie_of(answer: &Answer) -> String {
    answer.header("set-cookie").split(';').next().unwrap_or_default().to_owned()
}

async fn me(bench: &Bench, cookie: &str) -> Answer {
    bench.get("/api/v1/me", &[("cookie", cookie)]).await
}

#[tokio::test]
async fn without_one_every_password_is_wrong_in_the_same_words_as_with_one() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let state = bench.get("/api/v1/password", &[("cookie", &coach)]).await;
    assert_eq!(
        state.json(),
        json!({"set_ms": null, "in_clear": false, "signs_min": 8, "signs_max": SIGNS_MAX})
    );
    let without = enter(&bench, "", PASSWORD).await;
    without.is_problem("password-wrong", 422);
    assert!(set(&bench, &coach, json!({"password": PASSWORD})).await.status.is_success());
    let with = enter(&bench, "", "hazel on a wet fiel").await;
    assert_eq!((with.status, &with.body), (without.status, &without.body));
    let names = |answer: &Answer| answer.headers.keys().map(|name| name.to_string()).collect::<Vec<_>>();
    assert_eq!(names(&with), names(&without));
}

#[tokio::test]
async fn the_password_lets_a_coach_in_on_a_new_device_more_than_once() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let answer = set(&bench, &coach, json!({"password": PASSWORD})).await;
    assert_eq!(answer.json(), json!({"set_ms": NOW_MS, "ended": 0}));
    assert_eq!(answer.header("cache-control"), "no-store");
    let state = bench.get("/api/v1/password", &[("cookie", &coach)]).await.json();
    assert_eq!(state["set_ms"], NOW_MS);
    assert!(!state.to_string().contains("argon"), "the hash stays inside");
    for _ in 0..2 {
        let answer = enter(&bench, "", PASSWORD).await;
        assert_eq!(answer.status, StatusCode::NO_CONTENT, "{}", answer.body);
        assert!(answer.header("set-cookie").contains("HttpOnly; SameSite=Strict"));
        let me = me(&bench, &cookie_of(&answer)).await.json();
        assert_eq!((&me["role"], &me["lanes"]), (&json!("coach"), &Value::Null));
    }
    // Who is in as a coach goes on as before; a helper's session makes place for a coach's.
    let again = enter(&bench, &coach, PASSWORD).await;
    assert_eq!((again.status, again.header("set-cookie")), (StatusCode::NO_CONTENT, ""));
    let link = bench.post("/api/v1/links", &coach, r#"{"role":"helper"}"#).await.json();
    let helper = cookie_of(&bench.get(link["path"].as_str().expect("a path"), &[]).await);
    let answer = enter(&bench, &helper, PASSWORD).await;
    me(&bench, &helper).await.is_problem("session-needed", 401);
    assert_eq!(me(&bench, &cookie_of(&answer)).await.json()["role"], "coach");
    let devices = bench.get("/api/v1/devices", &[("cookie", &coach)]).await.json();
    assert_eq!(devices["devices"].as_array().expect("a list").len(), 4);
}

#[tokio::test]
async fn a_changed_password_can_sign_all_others_out_and_one_that_is_taken_away_opens_nothing() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    set(&bench, &coach, json!({"password": PASSWORD})).await;
    let other = cookie_of(&enter(&bench, "", PASSWORD).await);
    set(&bench, &coach, json!({"password": "larch in the rain"})).await;
    assert_eq!(me(&bench, &other).await.status, StatusCode::OK, "who is in stays in, unless");
    let answer = set(&bench, &coach, json!({"password": "yew behind the hall", "others": true})).await;
    assert_eq!(answer.json()["ended"], 1);
    me(&bench, &other).await.is_problem("session-needed", 401);
    assert_eq!(me(&bench, &coach).await.status, StatusCode::OK);
    for old in [PASSWORD, "larch in the rain"] {
        enter(&bench, "", old).await.is_problem("password-wrong", 422);
    }
    assert_eq!(enter(&bench, "", "yew behind the hall").await.status, StatusCode::NO_CONTENT);
    let away = bench.post("/api/v1/password/away", &coach, "{}").await;
    assert_eq!(away.status, StatusCode::NO_CONTENT);
    enter(&bench, "", "yew behind the hall").await.is_problem("password-wrong", 422);
    assert_eq!(bench.get("/api/v1/password", &[("cookie", &coach)]).await.json()["set_ms"], Value::Null);
}

#[tokio::test]
async fn whoever_signs_all_others_out_takes_their_links_back() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    for (path, body) in [
        ("/api/v1/password", json!({"password": PASSWORD, "others": true})),
        ("/api/v1/devices/end", json!({"others": true})),
    ] {
        let mut links = Vec::new();
        for invitation in [r#"{"role":"helper"}"#, r#"{"role":"coach"}"#] {
            let made = bench.post("/api/v1/links", &coach, invitation).await.json();
            links.push(made["path"].as_str().expect("a path").to_owned());
        }
        // Neither a new password alone nor signing nobody out touches them.
        set(&bench, &coach, json!({"password": "larch in the rain"})).await;
        bench.post("/api/v1/devices/end", &coach, r#"{"others":false}"#).await;
        let listed = bench.get("/api/v1/devices", &[("cookie", &coach)]).await.json();
        assert_eq!(listed["links"].as_array().map(Vec::len), Some(2), "{path}");
        let answer = bench.post(path, &coach, &body.to_string()).await;
        assert_eq!(answer.json()["ended"], 0, "{path}");
        for link in links {
            let opened = bench.get(&link, &[]).await;
            assert_eq!((opened.status, opened.header("set-cookie")), (StatusCode::GONE, ""), "{path}");
        }
    }
    assert_eq!(me(&bench, &coach).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_password_that_will_not_do_is_refused_with_the_reason_and_changes_nothing() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    set(&bench, &coach, json!({"password": PASSWORD})).await;
    for (password, problem) in [
        ("short", "password-short"),
        ("Football", "password-common"),
        ("aaaaaaaaaaaa", "password-common"),
        (&"ab3 ".repeat(40), "password-long"),
    ] {
        set(&bench, &coach, json!({"password": password})).await.is_problem(problem, 400);
    }
    for wrong in ["", "{}", r#"{"password":7}"#, r#"{"password":"hazel on a field","role":"owner"}"#] {
        bench.post("/api/v1/password", &coach, wrong).await.is_problem("not-understood", 400);
        bench.post("/api/v1/password/enter", "", wrong).await.is_problem("not-understood", 400);
    }
    assert_eq!(enter(&bench, "", PASSWORD).await.status, StatusCode::NO_CONTENT);
    // Signs of any kind, spaces at the ends too, count as they are.
    let odd = "  «ß» ünter 🏃 dem Dach ";
    assert!(set(&bench, &coach, json!({"password": odd})).await.status.is_success());
    enter(&bench, "", odd.trim()).await.is_problem("password-wrong", 422);
    assert_eq!(enter(&bench, "", odd).await.status, StatusCode::NO_CONTENT);
}

#[tokio::test]
async fn no_password_is_set_or_tried_where_it_would_be_read_on_the_way() {
    let network = Arrival {
        peer: "192.0.2.9:50000".parse().expect("an address"),
        local: "192.0.2.5:7314".parse().expect("an address"),
    };
    let loopback = Arrival {
        peer: "127.0.0.1:50000".parse().expect("an address"),
        local: "127.0.0.1:7314".parse().expect("an address"),
    };
    for (tls, arrival, host, clear) in [
        (false, network, "192.0.2.5:7314", true),
        (false, loopback, "lanes.school.example:7314", true),
        (false, loopback, "localhost:7314", false),
        (true, network, "192.0.2.5:7314", false),
        (true, network, "lanes.school.example:7314", false),
    ] {
        let names = ["lanes.school.example".into()].into();
        let bench = Bench::with(Gate { tls, port: 7314, names, proxy: None }, files());
        let scheme = if tls { "https" } else { "http" };
        let origin = format!("{scheme}://{host}");
        let opened = {
            let link = bench.link().await;
            bench.send_from(arrival, request(Method::GET, &link, &[("host", host)], "")).await
        };
        let cookie = cookie_of(&opened);
        let ask = async |path: &str| {
            let headers = [
                ("host", host),
                ("origin", origin.as_str()),
                ("content-type", "application/json"),
                ("cookie", cookie.as_str()),
            ];
            let body = json!({"password": PASSWORD}).to_string();
            bench.send_from(arrival, request(Method::POST, path, &headers, &body)).await
        };
        let answers = [ask("/api/v1/password").await, ask("/api/v1/password/enter").await];
        for answer in answers {
            if clear {
                answer.is_problem("password-in-clear", 403);
            } else {
                assert!(answer.status.is_success(), "{host}: {}", answer.body);
            }
        }
        let headers = [("host", host), ("cookie", cookie.as_str())];
        let state =
            bench.send_from(arrival, request(Method::GET, "/api/v1/password", &headers, "")).await.json();
        assert_eq!(state["in_clear"], clear, "{host}");
    }
}

#[tokio::test]
async fn wrong_passwords_wait_ever_longer_and_links_and_devices_never_do() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    set(&bench, &coach, json!({"password": PASSWORD})).await;
    for _ in 0..5 {
        enter(&bench, "", "hazel").await.is_problem("password-wrong", 422);
    }
    let waits = enter(&bench, "", "hazel").await;
    waits.is_problem("password-wait", 429);
    assert_eq!(waits.header("retry-after"), "1");
    assert!(waits.json()["detail"].as_str().expect("text").contains("in a second"), "{}", waits.body);
    // A right one from there waits as well, or the answer would tell; nothing else does.
    enter(&bench, "", PASSWORD).await.is_problem("password-wait", 429);
    assert_eq!(me(&bench, &coach).await.status, StatusCode::OK);
    assert!(set(&bench, &coach, json!({"password": PASSWORD})).await.status.is_success());
    bench.enter().await;
    let elsewhere = Arrival {
        peer: "127.0.0.2:50000".parse().expect("an address"),
        local: "127.0.0.1:7314".parse().expect("an address"),
    };
    let headers = [("origin", ORIGIN), ("content-type", "application/json")];
    let body = json!({"password": PASSWORD}).to_string();
    let from = request(Method::POST, "/api/v1/password/enter", &headers, &body);
    assert_eq!(bench.send_from(elsewhere, from).await.status, StatusCode::NO_CONTENT, "another address");
    bench.pass(1000);
    assert_eq!(enter(&bench, "", PASSWORD).await.status, StatusCode::NO_CONTENT);
    // A right one forgets the wrong ones before it.
    for _ in 0..5 {
        enter(&bench, "", "hazel").await.is_problem("password-wrong", 422);
    }
}

#[tokio::test]
async fn behind_a_proxy_one_that_guesses_makes_nobody_else_wait() {
    let proxy = Arrival {
        peer: "127.0.0.1:50000".parse().expect("an address"),
        local: "127.0.0.1:7314".parse().expect("an address"),
    };
    let (port, names) = (443, ["lanes.school.example".into()].into());
    let bench = Bench::with(Gate { tls: true, port, names, proxy: Some(proxy.peer.ip()) }, files());
    let home = bench.store.home();
    let password = lanewright_store::Password { hash: weak(PASSWORD), set_ms: 5 };
    assert!(bench.store.set_password(home, None, Some(password)).await.expect("set"));
    let tries = async |forwarded: &str, password: &str| {
        let headers = [
            ("host", "lanes.school.example"),
            ("origin", "https://lanes.school.example"),
            ("content-type", "application/json"),
            ("x-forwarded-proto", "https"),
            ("x-forwarded-for", forwarded),
        ];
        let body = json!({"password": password}).to_string();
        bench.send_from(proxy, request(Method::POST, "/api/v1/password/enter", &headers, &body)).await
    };
    for own_word in 0..5 {
        let forwarded = format!("198.51.100.{own_word}, 192.0.2.66");
        tries(&forwarded, "hazel").await.is_problem("password-wrong", 422);
    }
    let waits = tries("203.0.113.9, 192.0.2.66", "hazel").await;
    assert_eq!(waits.json()["type"], "/problems/password-wait", "{}", waits.body);
    assert_eq!(tries("192.0.2.7", PASSWORD).await.status, StatusCode::NO_CONTENT, "another address");
}

#[tokio::test]
async fn a_text_of_less_work_is_made_anew_when_the_right_password_comes_by() {
    // Made with the parameters 19 MiB, 2 passes, 1 lane, by the same library.
    let earlier = lanewright_store::Password { hash: weak(PASSWORD), set_ms: 5 };
    let bench = Bench::new();
    let home = bench.store.home();
    assert!(bench.store.set_password(home, None, Some(earlier.clone())).await.expect("set"));
    enter(&bench, "", "hazel").await.is_problem("password-wrong", 422);
    assert_eq!(bench.store.password(home).await.expect("asked"), Some(earlier.clone()));
    assert_eq!(enter(&bench, "", PASSWORD).await.status, StatusCode::NO_CONTENT);
    let kept = bench.store.password(home).await.expect("asked").expect("there");
    assert!(kept.hash.starts_with("$argon2id$v=19$m=47104,t=1,p=1$"), "{}", kept.hash);
    assert_eq!(kept.set_ms, earlier.set_ms, "nobody set it anew");
    assert_eq!(enter(&bench, "", PASSWORD).await.status, StatusCode::NO_CONTENT);
}

fn weak(password: &str) -> String {
    use argon2::{Algorithm, Argon2, Params, PasswordHasher, Version, password_hash::phc::PasswordHash};
    let params = Params::new(19_456, 2, 1, None).expect("allowed");
    let hash: PasswordHash = Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_with_salt(password.as_bytes(), b"0123456789abcdef")
        .expect("hashed");
    hash.to_string()
}
