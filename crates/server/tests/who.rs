//! Who gets what: every route for every sort of caller, what a helper sees and writes, links and devices.

mod common;

use std::collections::BTreeSet;

use axum::http::{Method, StatusCode};
use common::{Answer, Bench, NOW_MS, ORIGIN, SCHOOL, request};
use lanewright_server::{Gate, INVITE_MS, LINKS_MAX, ROUTES, Who, openapi};
use lanewright_sync::{DeviceId, PullAnswer, Push, PushAnswer, Record, SchoolId, Stamp};
use serde_json::{Value, json};
use uuid::Uuid;

/// One row per route: how it is asked, with a body that it takes, and what a coach and a helper get.
struct Row {
    method: Method,
    /// As it stands in the table of routes.
    path: &'static str,
    asked: &'static str,
    body: &'static str,
    coach: u16,
    helper: u16,
    /// What a stranger gets.
    stranger: u16,
}

impl Row {
    const fn asked(mut self, asked: &'static str) -> Self {
        self.asked = asked;
        self
    }

    const fn stranger(mut self, status: u16) -> Self {
        self.stranger = status;
        self
    }
}

const fn get(path: &'static str, coach: u16, helper: u16, stranger: u16) -> Row {
    Row { method: Method::GET, path, asked: path, body: "", coach, helper, stranger }
}

const fn post(path: &'static str, body: &'static str, coach: u16, helper: u16) -> Row {
    Row { method: Method::POST, path, asked: path, body, coach, helper, stranger: 401 }
}

const ROWS: &[Row] = &[
    // Who is in already just goes on; others are told that the link is spent.
    get("/open/{token}", 303, 303, 410).asked("/open/abc"),
    get("/problems/{name}", 200, 200, 200).asked("/problems/not-found"),
    get("/api/v1/health", 200, 200, 200),
    // Wrong, as there is none.
    post("/api/v1/password/enter", r#"{"password":"hazel on a wet field"}"#, 422, 422).stranger(422),
    get("/api/v1/me", 200, 200, 401),
    get("/api/v1/pull", 200, 200, 401),
    get("/api/v1/clock", 200, 200, 401),
    post("/api/v1/push", r#"{"records":[]}"#, 200, 200),
    get("/api/v1/addresses", 200, 403, 401),
    get("/api/v1/devices", 200, 403, 401),
    post("/api/v1/devices/end", r#"{"others":true}"#, 200, 403),
    post("/api/v1/links", r#"{"role":"helper","lanes":["A"]}"#, 200, 403),
    post("/api/v1/links/void", "{}", 204, 403),
    get("/api/v1/password", 200, 403, 401),
    post("/api/v1/password/away", "{}", 204, 403),
    post("/api/v1/password", r#"{"password":"hazel on a wet field"}"#, 200, 403),
    // Last: it ends the session.
    post("/api/v1/leave", "{}", 204, 204),
];

fn headers<'a>(method: &Method, cookie: &'a str, origin: &'a str) -> Vec<(&'static str, &'a str)> {
    let mut headers = vec![("cookie", cookie)];
    if *method != Method::GET {
        headers.extend([("origin", origin), ("content-type", "application/json")]);
    }
    headers
}

async fn ask(bench: &Bench, row: &Row, cookie: &str, more: &[(&'static str, &str)]) -> Answer {
    let mut headers = headers(&row.method, cookie, ORIGIN);
    headers.retain(|(name, _)| more.iter().all(|(other, _)| other != name));
    headers.extend(more);
    bench.send(request(row.method.clone(), row.asked, &headers, row.body)).await
}

/// Lets a helper in as the app does it, and returns the helper's cookie.
async fn helper(bench: &Bench, coach: &str, lanes: Value) -> String {
    let invitation = json!({"role": "helper", "lanes": lanes}).to_string();
    let link = bench.post("/api/v1/links", coach, &invitation).await.json();
    let opened = bench.get(link["path"].as_str().expect("a path"), &[]).await;
    assert_eq!(opened.status, StatusCode::SEE_OTHER, "{}", opened.body);
    opened.header("set-cookie").split(';').next().expect("a cookie").to_owned()
}

#[tokio::test]
async fn every_route_has_a_row_and_every_row_a_route() {
    let name = |method: &Method, path: &str| format!("{method} {path}");
    let routes: BTreeSet<String> = ROUTES.iter().map(|route| name(&route.method, route.path)).collect();
    let rows: BTreeSet<String> = ROWS.iter().map(|row| name(&row.method, row.path)).collect();
    assert_eq!(routes.len(), ROUTES.len(), "no route twice");
    assert_eq!(rows, routes, "say in ROWS who may ask a new route");
    // The row says the same as the table.
    for row in ROWS {
        let route = ROUTES.iter().find(|route| (&route.method, route.path) == (&row.method, row.path));
        let who = route.expect("checked above").who;
        assert_eq!(who == Who::Coach, row.helper == 403, "{}", row.path);
        assert_eq!(who != Who::Anyone, row.stranger == 401, "{}", row.path);
    }
}

#[tokio::test]
async fn every_route_answers_every_caller_as_its_row_says() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let helper = helper(&bench, &coach, json!(["A"])).await;
    for row in ROWS {
        let path = row.path;
        let told = |answer: &Answer, status: u16, who: &str| {
            assert_eq!(answer.status.as_u16(), status, "{who} at {path}: {}", answer.body);
        };
        told(&ask(&bench, row, "", &[]).await, row.stranger, "a stranger");
        told(&ask(&bench, row, "lanewright-7314=abc", &[]).await, row.stranger, "a made-up cookie");
        // Forwarded, under another name, from another page: nobody gets anything, whoever they are.
        for cookie in ["", coach.as_str(), helper.as_str()] {
            let forwarded = ask(&bench, row, cookie, &[("x-forwarded-for", "192.0.2.9")]).await;
            forwarded.is_problem("forwarded", 403);
            let elsewhere = ask(&bench, row, cookie, &[("host", "attacker.example:7314")]).await;
            elsewhere.is_problem("stranger-host", 403);
            let foreign = ask(&bench, row, cookie, &[("origin", "http://attacker.example")]).await;
            foreign.is_problem("other-origin", 403);
        }
        if path == "/api/v1/devices/end" {
            // Tried further down: here it would sign the helper out.
            continue;
        }
        let answer = ask(&bench, row, &helper, &[]).await;
        told(&answer, row.helper, "a helper");
        if row.helper == 403 {
            answer.is_problem("coach-only", 403);
        }
        told(&ask(&bench, row, &coach, &[]).await, row.coach, "a coach");
    }
}

#[tokio::test]
async fn a_coach_of_one_school_sees_and_ends_nothing_of_another() {
    let bench = Bench::new();
    let elsewhere = SchoolId(Uuid::from_u128(0xe1));
    bench.store.add_school(elsewhere).await.expect("added");
    let token = lanewright_store::TokenHash::of("their link");
    let link = lanewright_store::Link {
        token,
        school: elsewhere,
        role: lanewright_store::Role::Coach,
        lanes: None,
        label: Some("theirs".into()),
        expires_ms: NOW_MS + INVITE_MS,
    };
    bench.store.add_link(link).await.expect("added");
    let coach = bench.enter().await;
    let helper_here = helper(&bench, &coach, Value::Null).await;
    let opened = bench.get("/open/their%20link", &[]).await;
    let theirs = opened.header("set-cookie").split(';').next().expect("a cookie").to_owned();
    let listed = bench.get("/api/v1/devices", &[("cookie", &theirs)]).await.json();
    assert_eq!(listed["devices"].as_array().expect("a list").len(), 1, "only itself");
    let ours = bench.get("/api/v1/devices", &[("cookie", &coach)]).await.json();
    assert_eq!(ours["devices"].as_array().expect("a list").len(), 2);
    assert!(!ours.to_string().contains("theirs"));
    for device in ours["devices"].as_array().expect("a list") {
        let body = json!({"name": device["name"]}).to_string();
        bench.post("/api/v1/devices/end", &theirs, &body).await.is_problem("not-found", 404);
    }
    let answer = bench.post("/api/v1/devices/end", &theirs, r#"{"others":true}"#).await;
    assert_eq!(answer.json(), json!({"ended": 0}));
    assert_eq!(bench.post("/api/v1/links/void", &theirs, "{}").await.status, StatusCode::NO_CONTENT);
    for cookie in [&coach, &helper_here] {
        assert_eq!(bench.get("/api/v1/me", &[("cookie", cookie)]).await.status, StatusCode::OK);
    }
}

#[tokio::test]
async fn a_link_from_a_coach_lets_one_device_in_within_its_minutes() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let body = json!({"role": "helper", "lanes": ["B", "C"], "label": "  Kim's phone "}).to_string();
    let made = bench.post("/api/v1/links", &coach, &body).await;
    assert_eq!(made.header("cache-control"), "no-store");
    let made = made.json();
    assert_eq!(made["expires_ms"], NOW_MS + INVITE_MS);
    let path = made["path"].as_str().expect("a path").to_owned();
    let waiting = bench.get("/api/v1/devices", &[("cookie", &coach)]).await.json();
    assert_eq!(waiting["links"][0]["label"], "Kim's phone");
    assert!(!waiting.to_string().contains(path.trim_start_matches("/open/")), "no token in a list");

    // The coach's own browser tries it: it stays a coach's, and the link stays good.
    let tried = bench.get(&path, &[("cookie", &coach)]).await;
    assert_eq!((tried.status, tried.header("set-cookie")), (StatusCode::SEE_OTHER, ""));
    let opened = bench.get(&path, &[]).await;
    let kim = opened.header("set-cookie").split(';').next().expect("a cookie").to_owned();
    let me = bench.get("/api/v1/me", &[("cookie", &kim)]).await.json();
    assert_eq!((&me["role"], &me["lanes"]), (&json!("helper"), &json!(["B", "C"])));
    assert_eq!(me.get("helpers"), None);
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &coach)]).await.json()["helpers"], 1);
    bench.get(&path, &[]).await.is_problem("link-spent", 410);

    let late = bench.post("/api/v1/links", &coach, r#"{"role":"coach"}"#).await.json();
    bench.pass(INVITE_MS);
    bench.get(late["path"].as_str().expect("a path"), &[]).await.is_problem("link-spent", 410);
}

#[tokio::test]
async fn wrong_invitations_make_no_link_and_only_so_many_wait() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    for wrong in [
        "",
        "{}",
        r#"{"role":"owner"}"#,
        r#"{"role":"helper","school":"x"}"#,
        r#"{"role":"coach","lanes":["A"]}"#,
        r#"{"role":"helper","lanes":[]}"#,
        r#"{"role":"helper","lanes":["A,B"]}"#,
        r#"{"role":"helper","lanes":["a"]}"#,
        r#"{"role":"helper","label":"a\nb"}"#,
        &json!({"role": "helper", "label": "x".repeat(41)}).to_string(),
    ] {
        bench.post("/api/v1/links", &coach, wrong).await.is_problem("not-understood", 400);
    }
    for _ in 0..LINKS_MAX {
        assert_eq!(bench.post("/api/v1/links", &coach, r#"{"role":"helper"}"#).await.status, StatusCode::OK);
    }
    bench.post("/api/v1/links", &coach, r#"{"role":"helper"}"#).await.is_problem("too-many-links", 409);
    bench.post("/api/v1/links/void", &coach, "{}").await;
    assert_eq!(bench.post("/api/v1/links", &coach, r#"{"role":"helper"}"#).await.status, StatusCode::OK);
}

#[tokio::test]
async fn no_link_is_made_where_it_would_be_read_on_the_way() {
    let arrival = lanewright_server::Arrival {
        peer: "192.0.2.9:50000".parse().expect("an address"),
        local: "192.0.2.5:7314".parse().expect("an address"),
    };
    for (tls, origin, status) in
        [(false, "http://192.0.2.5:7314", 403), (true, "https://192.0.2.5:7314", 200)]
    {
        let bench =
            Bench::with(Gate { tls, port: 7314, names: Default::default(), proxy: None }, common::files());
        let link = bench.link().await;
        let host = ("host", "192.0.2.5:7314");
        let opened = bench.send_from(arrival, request(Method::GET, &link, &[host], "")).await;
        let cookie = opened.header("set-cookie").split(';').next().expect("a cookie").to_owned();
        let headers =
            [host, ("origin", origin), ("content-type", "application/json"), ("cookie", cookie.as_str())];
        let asked = request(Method::POST, "/api/v1/links", &headers, r#"{"role":"helper"}"#);
        let answer = bench.send_from(arrival, asked).await;
        assert_eq!(answer.status.as_u16(), status, "{}", answer.body);
        if status == 403 {
            answer.is_problem("link-in-clear", 403);
        }
    }
}

#[tokio::test]
async fn devices_are_listed_by_name_and_day_and_signed_out_one_by_one_or_all() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let first = helper(&bench, &coach, json!(["A"])).await;
    let second = helper(&bench, &coach, Value::Null).await;
    bench.pass(3 * 24 * 60 * 60 * 1000);
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &first)]).await.status, StatusCode::OK);
    let listed = bench.get("/api/v1/devices", &[("cookie", &coach)]).await;
    let devices = listed.json()["devices"].as_array().expect("a list").clone();
    let numbers: Vec<&Value> = devices.iter().map(|device| &device["number"]).collect();
    assert_eq!(numbers, [1, 2, 3]);
    let day = NOW_MS / 86_400_000;
    let seen: Vec<u64> = devices.iter().map(|device| device["seen_day"].as_u64().expect("a day")).collect();
    assert_eq!(seen, [day + 3, day + 3, day]);
    assert_eq!((&devices[0]["this"], &devices[1]["this"]), (&json!(true), &json!(false)));
    for secret in ["127.0.0.1", "50000", first.split_once('=').expect("a pair").1] {
        assert!(!listed.body.contains(secret), "{secret}");
    }
    let body = json!({"name": devices[1]["name"]}).to_string();
    assert_eq!(bench.post("/api/v1/devices/end", &coach, &body).await.json(), json!({"ended": 1}));
    bench.get("/api/v1/me", &[("cookie", &first)]).await.is_problem("session-needed", 401);
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &second)]).await.status, StatusCode::OK);
    let ended = bench.post("/api/v1/devices/end", &coach, r#"{"others":true}"#).await.json();
    assert_eq!(ended, json!({"ended": 1}));
    bench.get("/api/v1/me", &[("cookie", &second)]).await.is_problem("session-needed", 401);
    assert_eq!(bench.get("/api/v1/me", &[("cookie", &coach)]).await.status, StatusCode::OK);
}

// What a helper sees and writes

const CLASS: &str = "00000000-0000-0000-0000-0000000000c1";
const RUNNER: &str = "00000000-0000-0000-0000-0000000000a1";

fn id(number: u128) -> Uuid {
    Uuid::from_u128(number)
}

fn fact(kind: &str, id: Uuid, age_ms: u64, body: Value) -> Record {
    Record {
        id,
        kind: kind.into(),
        version: 1,
        body,
        stamp: Stamp { wall_ms: NOW_MS - age_ms, counter: 0, device: DeviceId(Uuid::from_u128(0xd)) },
        school: SCHOOL,
    }
}

fn run_facts(lane: &str) -> Value {
    json!({"runner": RUNNER, "drill": "alternate-run", "lane": lane, "at_ms": 1, "hurdles": 8, "setup": "s"})
}

fn run(number: u128, lane: &str, age_ms: u64) -> Record {
    fact("run", id(number), age_ms, json!({"class": CLASS, "run": run_facts(lane)}))
}

fn timing_facts(stretch: u128) -> Value {
    json!({"stretch": id(stretch), "runner": RUNNER, "error_s": 0.1,
        "timed": {"kind": "times", "times_s": [2.4], "at_ms": 1}})
}

fn stretch(number: u128, lane: &str) -> Record {
    let body = json!({"class": CLASS, "lane": lane, "marks": [{"at_m": 10.0}], "at_ms": 1});
    fact("stretch", id(number), 0, body)
}

fn bout(number: u128, lane: &str) -> Record {
    let bout = json!({"lane": lane, "drill": "side-shuttle", "at_ms": 1, "seconds": 10.0, "runners": []});
    fact("bout", id(number), 0, json!({"class": CLASS, "bout": bout}))
}

/// Every kind that this version knows, as a coach's phone writes it. Sizes and other secrets are numbers that occur
/// nowhere else.
fn everything() -> Vec<Record> {
    let (class, runner) = (CLASS.parse().expect("an id"), RUNNER.parse().expect("an id"));
    let measured = json!({"kind": "stature", "stature_cm": 147.625});
    vec![
        fact("class", class, 0, json!({"name": "7 Larch"})),
        fact("runner-label", runner, 0, json!({"class": CLASS, "label": "Ada"})),
        fact("runner-about", runner, 0, json!({"sex": "female", "birth_date": "2014-06-05"})),
        fact("measurement", id(1), 0, json!({"runner": RUNNER, "on": null, "measured": measured})),
        fact("line-up", class, 0, json!({"order": [RUNNER]})),
        fact("today", runner, 0, json!({"on": "2026-03-02", "presence": "present"})),
        fact("lane-wish", runner, 0, json!({"only": "A", "never": []})),
        fact(
            "pair-wish",
            id(2),
            0,
            json!({"class": CLASS, "first": RUNNER, "second": "x", "together": false}),
        ),
        fact("plan-choice", class, 0, json!({"drills": ["alternate-run"], "effort": 0.6})),
        fact("import", id(3), 0, json!({"class": CLASS, "sha256": "00", "at_ms": 1, "runners": [RUNNER]})),
        fact(
            "kit",
            SCHOOL.0,
            0,
            json!({"kit": {"hurdles": [], "hurdle_width_m": 0.6, "base_depth_m": 0.3, "shoe_length_m": null}}),
        ),
        fact(
            "space",
            SCHOOL.0,
            0,
            json!({"space": {"length_m": 28.0, "width_m": 15.0, "surface": "hall", "wall_start": true,
                "wall_finish": true, "wall_left": true, "wall_right": true}}),
        ),
        run(10, "A", 0),
        run(11, "B", 0),
        run(12, "A", 25 * 60 * 60 * 1000),
        fact("run-correction", id(13), 0, json!({"class": CLASS, "of": id(10), "run": null})),
        fact(
            "sweep",
            id(14),
            0,
            json!({"class": CLASS, "runner": RUNNER, "drill": "side-run", "lane": "B", "at_ms": 1, "got_it": true}),
        ),
        stretch(20, ""),
        stretch(21, "B"),
        fact("timing", id(22), 0, json!({"class": CLASS, "timing": timing_facts(20)})),
        fact("timing", id(23), 0, json!({"class": CLASS, "timing": timing_facts(21)})),
        fact("timing-correction", id(24), 0, json!({"class": CLASS, "of": id(22), "timing": null})),
        bout(25, "B"),
        fact("bout-correction", id(26), 0, json!({"class": CLASS, "of": id(25), "bout": null})),
        fact(
            "clock-check",
            id(27),
            0,
            json!({"device": "d", "clock_ms": 1, "at_ms": 1, "offset_ms": 0.5, "error_ms": 0.5, "round_trips": 3}),
        ),
        fact("erasure", id(28), 0, json!({"what": "runner"})),
        fact("retention", SCHOOL.0, 0, json!({"keep_days": 400})),
        fact("lane-sheet", class, 0, json!({"on": "2026-03-02", "lanes": []})),
        fact("standing-lanes", class, 0, json!({"on": "2026-03-02", "since_ms": 1, "lanes": []})),
        fact("telescope", id(30), 0, json!({"note": "a kind from the future"})),
    ]
}

async fn push(bench: &Bench, cookie: &str, records: &[Record]) -> PushAnswer {
    let text = serde_json::to_string(&Push { records: records.to_vec() }).expect("JSON");
    serde_json::from_str(&bench.post("/api/v1/push", cookie, &text).await.body).expect("an answer")
}

async fn pull(bench: &Bench, cookie: &str) -> (Vec<String>, PullAnswer) {
    let answer = bench.get("/api/v1/pull", &[("cookie", cookie)]).await;
    let answer: PullAnswer = serde_json::from_str(&answer.body).expect("an answer");
    let names = answer.records.iter().map(|record| format!("{} {}", record.kind, record.id.as_u128()));
    (names.collect(), answer)
}

#[tokio::test]
async fn a_helper_sees_names_lanes_and_today_s_runs_and_never_a_size_and_the_cursor_moves_on() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let all = everything();
    let kinds: BTreeSet<&str> = all.iter().map(|record| record.kind.as_str()).collect();
    for kind in lanewright_model::record::KINDS {
        assert!(kinds.contains(kind), "say here whether a helper sees `{kind}`");
    }
    assert!(push(&bench, &coach, &all).await.refused.is_empty());
    let (_, everything) = pull(&bench, &coach).await;
    assert_eq!(everything.records.len(), all.len());

    let (class, runner) = (0xc1, 0xa1);
    let named = |names: &[(&str, u128)]| -> BTreeSet<String> {
        names.iter().map(|(kind, id)| format!("{kind} {id}")).collect()
    };
    let always = [
        ("class", class),
        ("runner-label", runner),
        ("today", runner),
        ("plan-choice", class),
        ("lane-sheet", class),
        ("erasure", 28),
        ("stretch", 20),
        ("stretch", 21),
        ("clock-check", 27),
        ("timing", 22),
        ("timing-correction", 24),
    ];
    let of_a = [("run", 10), ("run-correction", 13)];
    let of_b = [("run", 11), ("sweep", 14), ("timing", 23), ("bout", 25), ("bout-correction", 26)];
    for (lanes, expected) in [
        (Value::Null, [named(&always), named(&of_a), named(&of_b)].concat_sets()),
        (json!(["A"]), [named(&always), named(&of_a)].concat_sets()),
        (json!(["B"]), [named(&always), named(&of_b)].concat_sets()),
        (json!(["C"]), named(&always)),
    ] {
        let helper = helper(&bench, &coach, lanes.clone()).await;
        let (names, answer) = pull(&bench, &helper).await;
        assert_eq!(names.into_iter().collect::<BTreeSet<_>>(), expected, "{lanes}");
        assert_eq!((answer.cursor, answer.more), (everything.cursor, false), "over what was left out");
        let text = serde_json::to_string(&answer).expect("JSON");
        for secret in ["147.625", "female", "2014-06-05", "future"] {
            assert!(!text.contains(secret), "{secret}");
        }
        // Page by page too: a page may be empty, and the next one goes on behind it.
        let (mut after, mut seen) = (0, BTreeSet::new());
        loop {
            let page =
                bench.get(&format!("/api/v1/pull?after={after}&limit=1"), &[("cookie", &helper)]).await;
            let page: PullAnswer = serde_json::from_str(&page.body).expect("an answer");
            let names = page.records.iter().map(|record| format!("{} {}", record.kind, record.id.as_u128()));
            seen.extend(names);
            assert!(page.cursor > after || !page.more);
            after = page.cursor;
            if !page.more {
                break;
            }
        }
        assert_eq!(seen, expected, "{lanes}");
    }
}

#[tokio::test]
async fn a_helper_gets_a_class_when_its_lanes_are_given_out_and_no_other_class() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let (yew, yew_child, rowan) = (id(0xc2), id(0xa2), id(0xc3));
    let of = |kind: &str, number: u128, class: Uuid, more: Value| {
        let mut body = json!({"class": class});
        body.as_object_mut().expect("an object").extend(more.as_object().expect("an object").clone());
        fact(kind, id(number), 0, body)
    };
    let facts = [
        fact("class", yew, 0, json!({"name": "8 Yew"})),
        of("runner-label", 0xa2, yew, json!({"label": "Bo"})),
        fact("today", yew_child, 0, json!({"on": "2026-03-02", "presence": "absent"})),
        fact("plan-choice", yew, 0, json!({"drills": ["side-run"], "effort": 0.6})),
        of("run", 0xd2, yew, json!({"run": run_facts("A")})),
        fact("class", rowan, 0, json!({"name": "9 Rowan"})),
        of("runner-label", 0xa3, rowan, json!({"label": "Cy"})),
        fact("lane-sheet", rowan, 25 * 60 * 60 * 1000, json!({"on": "2026-03-01", "lanes": []})),
    ];
    assert!(push(&bench, &coach, &facts).await.refused.is_empty());
    let helper = helper(&bench, &coach, Value::Null).await;
    let (names, before) = pull(&bench, &helper).await;
    assert_eq!(names, Vec::<String>::new(), "no lanes were given out today");

    // Lanes are given out: what the cursor has passed comes along, of this class alone.
    let sheet = fact("lane-sheet", yew, 0, json!({"on": "2026-03-02", "lanes": []}));
    let later = of("runner-label", 0xa4, rowan, json!({"label": "Di"}));
    push(&bench, &coach, &[sheet, later]).await;
    let path = format!("/api/v1/pull?after={}", before.cursor);
    let page: PullAnswer =
        serde_json::from_str(&bench.get(&path, &[("cookie", &helper)]).await.body).expect("an answer");
    let came: BTreeSet<String> =
        page.records.iter().map(|record| format!("{} {}", record.kind, record.id.as_u128())).collect();
    let named = [
        ("class", 0xc2),
        ("runner-label", 0xa2),
        ("today", 0xa2),
        ("plan-choice", 0xc2),
        ("run", 0xd2),
        ("lane-sheet", 0xc2_u128),
    ];
    assert_eq!(came, named.iter().map(|(kind, id)| format!("{kind} {id}")).collect());
    let text = serde_json::to_string(&page).expect("JSON");
    for other in ["9 Rowan", "Cy", "Di"] {
        assert!(!text.contains(other), "{other}");
    }
    // What comes later of that class comes at once; a day later nothing does.
    let more = of("runner-label", 0xa5, yew, json!({"label": "Ed"}));
    push(&bench, &coach, &[more]).await;
    let path = format!("/api/v1/pull?after={}", page.cursor);
    let page = bench.get(&path, &[("cookie", &helper)]).await;
    assert!(page.body.contains("Ed"), "{}", page.body);
    bench.pass(25 * 60 * 60 * 1000);
    let (names, _) = pull(&bench, &helper).await;
    assert_eq!(names, Vec::<String>::new(), "whoever comes a day later gets none of them");
}

trait ConcatSets {
    fn concat_sets(self) -> BTreeSet<String>;
}

impl<const N: usize> ConcatSets for [BTreeSet<String>; N] {
    fn concat_sets(self) -> BTreeSet<String> {
        self.into_iter().flatten().collect()
    }
}

#[tokio::test]
async fn a_helper_writes_recordings_in_the_given_lanes_and_nothing_else() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    push(&bench, &coach, &everything()).await;
    let before = pull(&bench, &coach).await.1.records;
    let reasons = async |lanes: Value, records: &[Record]| -> Vec<String> {
        let helper = helper(&bench, &coach, lanes).await;
        let answer = push(&bench, &helper, records).await;
        let sent: Vec<_> = records.iter().map(Record::key).collect();
        let refused: Vec<_> = answer.refused.iter().map(|refused| refused.key.clone()).collect();
        let in_order: Vec<_> = sent.iter().filter(|key| refused.contains(key)).cloned().collect();
        assert_eq!(refused, in_order, "in the order of the push");
        assert_eq!(answer.acked.len() + answer.refused.len(), records.len());
        records
            .iter()
            .map(|record| {
                let refused = answer.refused.iter().find(|refused| refused.key == record.key());
                let reason = refused.map_or(json!("taken"), |refused| json!(refused.reason));
                reason.as_str().expect("a name").to_owned()
            })
            .collect()
    };

    // Every kind that is no recording is refused, whatever the lanes; so is one from the future.
    let later = |record: &Record| {
        let mut record = record.clone();
        record.stamp.counter = 7;
        record
    };
    let recordings = [
        "run",
        "run-correction",
        "sweep",
        "stretch",
        "timing",
        "timing-correction",
        "bout",
        "bout-correction",
        "clock-check",
    ];
    let others: Vec<Record> =
        everything().iter().filter(|record| !recordings.contains(&record.kind.as_str())).map(later).collect();
    assert_eq!(others.len(), 17);
    for lanes in [Value::Null, json!(["A"])] {
        let told = reasons(lanes, &others).await;
        assert!(told.iter().all(|reason| reason == "other-role"), "{told:?}");
    }
    assert_eq!(pull(&bench, &coach).await.1.records, before, "nothing was changed");

    let correction = |number, of: u128, run: Value| {
        fact("run-correction", id(number), 0, json!({"class": CLASS, "of": id(of), "run": run}))
    };
    let timing = |number, stretch| {
        fact("timing", id(number), 0, json!({"class": CLASS, "timing": timing_facts(stretch)}))
    };
    let unreadable = Record { version: 2, ..fact("run", id(190), 0, json!({"course": "around the tree"})) };
    let bad = fact("run", id(191), 0, json!({"class": CLASS}));
    let tries = [
        (run(100, "A", 0), "taken"),
        (run(101, "B", 0), "other-lane"),
        (run(102, "", 0), "other-lane"),
        // A run that stands in lane B is neither voided nor pulled over into lane A.
        (later(&run(11, "A", 0)), "other-lane"),
        (later(&run(10, "A", 0)), "taken"),
        (correction(110, 10, run_facts("A")), "taken"),
        (correction(111, 100, Value::Null), "taken"),
        (correction(112, 11, Value::Null), "other-lane"),
        (correction(113, 10, run_facts("B")), "other-lane"),
        (correction(114, 999, Value::Null), "other-lane"),
        // Timing on a stretch of the whole class is recording; laying one out is not.
        (timing(120, 20), "taken"),
        (timing(121, 21), "other-lane"),
        (stretch(130, "A"), "taken"),
        (timing(131, 130), "taken"),
        (stretch(132, ""), "other-lane"),
        (bout(140, "A"), "taken"),
        (bout(141, "B"), "other-lane"),
        (unreadable, "other-lane"),
        (bad, "bad-body"),
    ];
    let records: Vec<Record> = tries.iter().map(|(record, _)| record.clone()).collect();
    let told = reasons(json!(["A"]), &records).await;
    for ((record, expected), told) in tries.iter().zip(told) {
        assert_eq!(&told, expected, "{} {}", record.kind, record.id.as_u128());
    }
    let stored = pull(&bench, &coach).await.0;
    for (record, expected) in tries.iter().filter(|(record, _)| record.id.as_u128() >= 100) {
        let name = format!("{} {}", record.kind, record.id.as_u128());
        assert_eq!(stored.contains(&name), *expected == "taken", "{name}");
    }
    // In all lanes, all of these are recordings.
    let told = reasons(Value::Null, &records).await;
    assert!(told[..told.len() - 1].iter().all(|reason| reason == "taken"), "{told:?}");
}

#[tokio::test]
async fn wrong_links_are_slowed_down_and_a_right_one_never_waits() {
    let bench = Bench::new();
    let link = bench.link().await;
    for _ in 0..20 {
        bench.get("/open/abc", &[]).await.is_problem("link-spent", 410);
    }
    // Another wrong one is under way: the right one is through before it is answered.
    let right = tokio::select! {
        answer = bench.get("/open/abc", &[]) => panic!("answered at once: {}", answer.body),
        answer = async {
            tokio::task::yield_now().await;
            bench.get(&link, &[]).await
        } => answer,
    };
    assert_eq!(right.status, StatusCode::SEE_OTHER);
    let begin = std::time::Instant::now();
    bench.get("/open/abc", &[]).await.is_problem("link-spent", 410);
    assert!(begin.elapsed().as_millis() >= 1900, "it waited");
}

#[tokio::test]
async fn a_device_is_told_when_the_store_no_longer_stands_where_it_stood() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let answer = push(&bench, &coach, &[run(1, "A", 0), run(2, "A", 0)]).await;
    let at = answer.at.expect("told");
    assert_eq!(at.seq, 2);
    let me = async |history: String, seq: u64| {
        let path = format!("/api/v1/me?history={history}&seq={seq}");
        bench.get(&path, &[("cookie", &coach)]).await
    };
    assert_eq!(me(at.history.to_string(), 2).await.json()["known"], true);
    assert_eq!(me(at.history.to_string(), 3).await.json()["known"], false);
    assert_eq!(me(id(7).to_string(), 0).await.json()["known"], false);
    me("x".into(), 0).await.is_problem("not-a-cursor", 400);
    // An app of an earlier version names nothing, and one of a later version may name more.
    let earlier = bench.get("/api/v1/me", &[("cookie", &coach)]).await.json();
    assert_eq!((&earlier["known"], &earlier["at"]["seq"]), (&json!(true), &json!(2)));
    assert_eq!(bench.get("/api/v1/me?moon=full", &[("cookie", &coach)]).await.status, StatusCode::OK);
}

// The description of the service

const OPENAPI: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/formats/openapi.json");

#[test]
fn the_description_is_the_one_that_is_kept() {
    let text = serde_json::to_string_pretty(&openapi()).expect("JSON") + "\n";
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(OPENAPI, &text).expect("written");
    }
    let kept = std::fs::read_to_string(OPENAPI).expect("docs/formats/openapi.json");
    assert!(kept == text, "the service has changed: look at it, then UPDATE_GOLDEN=1");
}

/// Checks a value against the few words of JSON Schema that the description uses.
fn fits(value: &Value, schema: &Value, whole: &Value) -> Result<(), String> {
    let wrong = |what: &str| Err(format!("{what}: {value} against {schema}"));
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        let name = name.trim_start_matches("#/components/schemas/");
        return fits(value, &whole["components"]["schemas"][name], whole);
    }
    if let Some(allowed) = schema.get("enum").and_then(Value::as_array) {
        return if allowed.contains(value) { Ok(()) } else { wrong("not one of these") };
    }
    if let Some(constant) = schema.get("const") {
        return if constant == value { Ok(()) } else { wrong("not this") };
    }
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(kind) => vec![kind],
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
        _ => return wrong("a schema without a type"),
    };
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_u64() => "integer",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    if !kinds.contains(&kind) {
        return wrong("of another type");
    }
    if let (Value::Array(items), Some(of)) = (value, schema.get("items")) {
        return items.iter().try_for_each(|item| fits(item, of, whole));
    }
    let Value::Object(map) = value else { return Ok(()) };
    for key in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if !map.contains_key(key) {
            return wrong(&format!("{key} is missing"));
        }
    }
    let Some(known) = schema.get("properties") else { return Ok(()) };
    for (key, value) in map {
        match known.get(key) {
            Some(schema) => fits(value, schema, whole)?,
            None => return wrong(&format!("{key} is not described")),
        }
    }
    Ok(())
}

#[tokio::test]
async fn every_answer_has_the_shape_that_the_description_gives_it() {
    let bench = Bench::new();
    let coach = bench.enter().await;
    let description = openapi();
    let wrong = fact("class", id(1), 0, json!({}));
    push(&bench, &coach, &everything()).await;
    let both = serde_json::to_string(&Push { records: vec![run(50, "A", 0), wrong] }).expect("JSON");
    helper(&bench, &coach, json!(["A"])).await;
    bench.post("/api/v1/links", &coach, r#"{"role":"helper","label":"x"}"#).await;
    // With a password, the right one is let in.
    bench.post("/api/v1/password", &coach, r#"{"password":"hazel on a wet field"}"#).await;
    let mut described = 0;
    for row in ROWS.iter().filter(|row| row.path.starts_with("/api")) {
        let body = if row.path == "/api/v1/push" { &both } else { row.body };
        let headers = headers(&row.method, &coach, ORIGIN);
        let answer = bench.send(request(row.method.clone(), row.asked, &headers, body)).await;
        let operation = &description["paths"][row.path][row.method.as_str().to_lowercase()];
        let good = &operation["responses"][answer.status.as_str()];
        assert!(good.is_object(), "{}: {} is not described", row.path, answer.status);
        if let Some(schema) = good["content"]["application/json"].get("schema") {
            fits(&answer.json(), schema, &description)
                .unwrap_or_else(|error| panic!("{}: {error}", row.path));
            described += 1;
        } else {
            assert_eq!(answer.body, "", "{}", row.path);
        }
        let problem = ask(&bench, row, &coach, &[("x-forwarded-for", "x")]).await;
        fits(&problem.json(), &json!({"$ref": "#/components/schemas/Problem"}), &description)
            .expect("a problem");
    }
    assert_eq!(described, 11);
}
