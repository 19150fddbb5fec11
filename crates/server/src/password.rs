//! A school's password: for a coach on a new device, when nobody is at hand to make a link.
//!
//! There is none until a coach sets one. It opens a coach's session, over TLS or on the program's own computer only.
//! The store keeps an Argon2id text (RFC 9106), never the password. Whoever tries one is told whether it was right, and
//! nothing else: where there is no password, every one is wrong, and takes as long to be wrong.

use std::sync::{Arc, LazyLock};

use argon2::password_hash::PasswordVerifier;
use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher, Version};
use axum::Extension;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use lanewright_store::{Password, Role, Session, TokenHash};
use serde::Deserialize;
use serde_json::json;
use sha2::{Digest, Sha256};
use tokio::sync::Semaphore;

use crate::api::{json as answer, store_failed};
use crate::devices::{Nothing, end_others, read};
use crate::gate::forwarded_for;
use crate::session::{SESSION_MS, cookie, random_token, session_in};
use crate::throttle::Tries;
use crate::{AppState, Arrival, Gate, Problem, now_ms};

/// Fewest signs of a password (OWASP ASVS 5.0, 6.2.1).
pub const SIGNS_MIN: usize = 8;
/// Most signs of a password; ASVS 6.2.9 asks for 64 at least.
pub const SIGNS_MAX: usize = 128;
/// Memory of one digest, in KiB: 46 MiB, with one pass and one lane (OWASP password storage cheat sheet).
const MEMORY_KIB: u32 = 47_104;
const PASSES: u32 = 1;
const LANES: u32 = 1;
/// Digests made at a time: each holds its memory (engineering assumption: a small server keeps 100 MB free).
const AT_ONCE: usize = 2;
/// The commonest passwords, as the file says.
const COMMON: &str = include_str!("../data/common_passwords.txt");

/// What tries of passwords share.
pub(crate) struct Door {
    seats: Arc<Semaphore>,
    tries: Tries,
}

impl Default for Door {
    fn default() -> Self {
        Self { seats: Arc::new(Semaphore::new(AT_ONCE)), tries: Tries::default() }
    }
}

impl Door {
    /// Works beside the threads that answer requests, a few at a time. What has begun keeps its seat to its end, also
    /// when the other side hangs up.
    async fn beside<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let seat = self.seats.clone().acquire_owned().await.expect("never closed");
        let worked = tokio::task::spawn_blocking(move || {
            let done = work();
            drop(seat);
            done
        });
        worked.await.map_err(|_| Problem::StoreFailed)
    }
}

fn argon2() -> Argon2<'static> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).expect("within what Argon2 allows");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

/// Returns the text that is kept of a password, with a salt of its own.
fn hash(password: &str) -> String {
    let mut salt = [0; 16];
    getrandom::fill(&mut salt).expect("the system has randomness");
    let hash: PasswordHash =
        argon2().hash_password_with_salt(password.as_bytes(), &salt).expect("length and salt are allowed");
    hash.to_string()
}

/// What comparing a password with what is kept came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Compared {
    Right,
    /// Right, and kept with less work than we ask for now.
    RightAndWeak,
    Wrong,
    /// What is kept cannot be read.
    Damaged,
}

/// Compares in constant time. Without anything to compare with, as much work is done.
fn compare(password: &str, kept: Option<&str>) -> Compared {
    let Some(kept) = kept else {
        hash(password);
        return Compared::Wrong;
    };
    let Ok(kept) = PasswordHash::new(kept) else { return Compared::Damaged };
    let Ok(params) = Params::try_from(&kept) else { return Compared::Damaged };
    if argon2().verify_password(password.as_bytes(), &kept).is_err() {
        return Compared::Wrong;
    }
    let weak = params.m_cost() < MEMORY_KIB
        || params.t_cost() < PASSES
        || params.p_cost() < LANES
        || kept.algorithm != Algorithm::Argon2id.ident()
        || kept.version != Some(Version::V0x13.into());
    if weak { Compared::RightAndWeak } else { Compared::Right }
}

/// Returns why a new password will not do. Nothing is asked of it but length, and that it is none that is tried first.
fn fault(password: &str) -> Option<Problem> {
    match password.chars().count() {
        signs if signs < SIGNS_MIN => return Some(Problem::PasswordShort),
        signs if signs > SIGNS_MAX => return Some(Problem::PasswordLong),
        _ => {}
    }
    (is_common(password) || is_pattern(password)).then_some(Problem::PasswordCommon)
}

/// Returns whether a password is among the commonest, whatever the case of its letters.
fn is_common(password: &str) -> bool {
    static LINES: LazyLock<Vec<&str>> =
        LazyLock::new(|| COMMON.lines().filter(|line| !line.starts_with('#')).collect());
    let plain = password.to_lowercase();
    let digest: String = Sha256::digest(&plain)[..5].iter().map(|byte| format!("{byte:02x}")).collect();
    // The name of the program, bare or with figures behind it, is the first that somebody tries here.
    plain.trim_end_matches(|sign: char| !sign.is_alphabetic()) == "lanewright"
        || LINES.binary_search(&digest.as_str()).is_ok()
}

/// Returns whether a password is one piece of at most three signs over and over, or signs in their order up or down.
fn is_pattern(password: &str) -> bool {
    let signs: Vec<char> = password.chars().collect();
    let repeats = (1..=3).any(|piece| (piece..signs.len()).all(|at| signs[at] == signs[at - piece]));
    let goes =
        |step: i64| signs.windows(2).all(|two| i64::from(two[1] as u32) - i64::from(two[0] as u32) == step);
    repeats || goes(1) || goes(-1)
}

/// Returns whether what is sent on this connection could be read by others on the way. On this computer nothing leaves
/// it, as long as both ends and the address in the browser say so; a name could be a proxy's.
fn in_clear(gate: &Gate, arrival: Option<&Arrival>, headers: &HeaderMap) -> bool {
    if gate.tls {
        return false;
    }
    let loopback = arrival.is_some_and(|arrival| {
        arrival.peer.ip().to_canonical().is_loopback() && arrival.local.ip().to_canonical().is_loopback()
    });
    let host = crate::header(headers, header::HOST.as_str()).unwrap_or_default();
    !loopback || gate.is_named(host)
}

/// Refuses what would travel in clear, and hands on the body.
fn body_of(state: &State<AppState>, request: Request) -> Result<Body, Problem> {
    let arrival = request.extensions().get::<Arrival>();
    if in_clear(&state.gate, arrival, request.headers()) {
        Err(Problem::PasswordInClear)
    } else {
        Ok(request.into_body())
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tried {
    password: String,
}

/// `POST /api/v1/password/enter`: opens a coach's session for whoever knows the password. A coach who is in goes on as
/// before.
pub(crate) async fn enter(
    state: State<AppState>,
    Extension(door): Extension<Arc<Door>>,
    request: Request,
) -> Result<Response, Problem> {
    let peer = match state.gate.proxy {
        None => request.extensions().get::<Arrival>().map(|arrival| arrival.peer.ip()),
        Some(_) => forwarded_for(request.headers()),
    };
    let before = session_in(&state, request.headers()).await?;
    let tried: Tried = read(body_of(&state, request)?).await?;
    let now_ms = now_ms(&state);
    let turn = door.tries.begin(peer, now_ms).map_err(|seconds| {
        tracing::warn!(problem = "password-wait", "turned away");
        Problem::PasswordWait { seconds }
    })?;
    let school = state.store.home();
    let failed = |error| store_failed(&error);
    let kept = state.store.password(school).await.map_err(failed)?;
    let hash_kept = kept.as_ref().map(|kept| kept.hash.clone());
    let (compared, tried) = door
        .beside(move || {
            let compared = compare(&tried.password, hash_kept.as_deref());
            // A stronger text is made while there is a seat, and the password is at hand only here.
            let stronger = (compared == Compared::RightAndWeak).then(|| hash(&tried.password));
            (compared, stronger)
        })
        .await?;
    let kept = match (compared, kept) {
        (Compared::Right | Compared::RightAndWeak, Some(kept)) => kept,
        (Compared::Damaged, _) => {
            tracing::error!("the password that is kept cannot be read; a coach who is in can set it anew");
            return Err(Problem::StoreFailed);
        }
        _ => {
            tracing::warn!(problem = Problem::PasswordWrong.name(), "turned away");
            return Err(Problem::PasswordWrong);
        }
    };
    let fresh = random_token();
    let mut token = None;
    if before.as_ref().is_none_or(|before| before.role != Role::Coach) {
        let until_ms = now_ms.saturating_add(SESSION_MS);
        let opened =
            state.store.open_with_password(school, &kept.hash, TokenHash::of(&fresh), now_ms, until_ms).await;
        let session = opened.map_err(failed)?.ok_or(Problem::PasswordWrong)?;
        if let Some(before) = before {
            state.store.end_session(before.token).await.map_err(failed)?;
        }
        tracing::info!(session = %session.token, "the password opened a session");
        token = Some(fresh);
    }
    door.tries.right(turn);
    if let Some(stronger) = tried {
        let stronger = Password { hash: stronger, set_ms: kept.set_ms };
        state.store.set_password(school, Some(&kept.hash), Some(stronger)).await.map_err(failed)?;
    }
    Ok(match token {
        Some(token) => {
            let cookie = cookie(&state.gate, &token, SESSION_MS / 1000);
            (StatusCode::NO_CONTENT, [(SET_COOKIE, cookie)]).into_response()
        }
        None => StatusCode::NO_CONTENT.into_response(),
    })
}

/// `GET /api/v1/password`: whether there is one, since when, and whether one may be sent on this connection.
pub(crate) async fn look(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    request: Request,
) -> Result<Response, Problem> {
    let kept = state.store.password(session.school).await.map_err(|error| store_failed(&error))?;
    Ok(answer(&json!({
        "set_ms": kept.map(|kept| kept.set_ms),
        "in_clear": in_clear(&state.gate, request.extensions().get::<Arrival>(), request.headers()),
        "signs_min": SIGNS_MIN,
        "signs_max": SIGNS_MAX,
    })))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct New {
    password: String,
    #[serde(default)]
    others: bool,
}

/// `POST /api/v1/password`: sets or changes it. `others`: signs every other device out and takes back the links
/// that wait, after the old one has stopped working.
pub(crate) async fn set(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    Extension(door): Extension<Arc<Door>>,
    request: Request,
) -> Result<Response, Problem> {
    let new: New = read(body_of(&state, request)?).await?;
    if let Some(fault) = fault(&new.password) {
        return Err(fault);
    }
    let others = new.others;
    let hash = door.beside(move || hash(&new.password)).await?;
    let now_ms = now_ms(&state);
    replace(&state, &session, Some(Password { hash, set_ms: now_ms })).await?;
    let ended = if others { end_others(&state, &session).await? } else { 0 };
    tracing::info!(session = %session.token, ended, "set a password");
    Ok(answer(&json!({"set_ms": now_ms, "ended": ended})))
}

/// `POST /api/v1/password/away`: takes it away. Who is in stays in.
pub(crate) async fn away(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    body: Body,
) -> Result<Response, Problem> {
    read::<Nothing>(body).await?;
    replace(&state, &session, None).await?;
    tracing::info!(session = %session.token, "took the password away");
    Ok(StatusCode::NO_CONTENT.into_response())
}

/// Puts another password in the place of whatever stands: of two coaches who do it at once, the later one's stays.
async fn replace(state: &State<AppState>, session: &Session, after: Option<Password>) -> Result<(), Problem> {
    let failed = |error| store_failed(&error);
    // Somebody else can come in between once or twice, hardly a hundred times.
    for _ in 0..100 {
        let before = state.store.password(session.school).await.map_err(failed)?;
        let before = before.as_ref().map(|before| before.hash.as_str());
        if state.store.set_password(session.school, before, after.clone()).await.map_err(failed)? {
            return Ok(());
        }
    }
    Err(Problem::StoreFailed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_names_its_work_and_tells_right_from_wrong() {
        let kept = hash("nine lanes, one tape");
        assert!(kept.starts_with("$argon2id$v=19$m=47104,t=1,p=1$"), "{kept}");
        assert_ne!(kept, hash("nine lanes, one tape"), "each has a salt of its own");
        assert_eq!(compare("nine lanes, one tape", Some(&kept)), Compared::Right);
        for wrong in ["nine lanes, one tap", "Nine lanes, one tape", "nine lanes, one tape ", ""] {
            assert_eq!(compare(wrong, Some(&kept)), Compared::Wrong, "{wrong:?}");
            assert_eq!(compare(wrong, None), Compared::Wrong);
        }
        assert_eq!(compare("x", Some("no such thing")), Compared::Damaged);
    }

    #[test]
    fn what_was_kept_with_less_work_is_right_and_weak() {
        for (algorithm, memory_kib) in [(Algorithm::Argon2id, 19_456), (Algorithm::Argon2i, 65_536)] {
            let params = Params::new(memory_kib, 2, 1, None).unwrap();
            let earlier: PasswordHash = Argon2::new(algorithm, Version::V0x13, params)
                .hash_password_with_salt(b"nine lanes, one tape", b"0123456789abcdef")
                .unwrap();
            let earlier = earlier.to_string();
            assert_eq!(compare("nine lanes, one tape", Some(&earlier)), Compared::RightAndWeak);
            assert_eq!(compare("nine lanes, two tapes", Some(&earlier)), Compared::Wrong);
        }
    }

    #[test]
    fn length_and_the_commonest_are_all_that_is_asked() {
        for (password, expected) in [
            ("", Some(Problem::PasswordShort)),
            ("seven77", Some(Problem::PasswordShort)),
            ("ümläüte", Some(Problem::PasswordShort)),
            ("Football", Some(Problem::PasswordCommon)),
            ("PASSWORD1", Some(Problem::PasswordCommon)),
            ("fussball", Some(Problem::PasswordCommon)),
            ("Lanewright2026!", Some(Problem::PasswordCommon)),
            ("zzzzzzzzzzzzzzzz", Some(Problem::PasswordCommon)),
            ("xyzxyzxyzxyzxyz", Some(Problem::PasswordCommon)),
            ("klmnopqrstuv", Some(Problem::PasswordCommon)),
            ("zyxwvuts", Some(Problem::PasswordCommon)),
            ("hazel on a wet field", None),
            ("fünf nasse Hürden", None),
            ("        x", None),
            ("lanewright of the north", None),
            (&"ü".repeat(SIGNS_MAX + 1), Some(Problem::PasswordLong)),
            (&format!("{}x", "üa7 ".repeat(31)), None),
        ] {
            assert_eq!(fault(password), expected, "{password}");
        }
    }

    #[test]
    fn the_list_is_three_thousand_digests_in_their_order() {
        let lines: Vec<&str> = COMMON.lines().filter(|line| !line.starts_with('#')).collect();
        assert_eq!(lines.len(), 3000);
        assert!(lines.is_sorted() && lines.iter().all(|line| line.len() == 10));
    }

    #[test]
    fn only_tls_and_the_own_computer_under_its_own_address_are_not_in_clear() {
        let gate = |tls| Gate { tls, port: 7314, names: ["lanes.school.example".into()].into(), proxy: None };
        let arrival = |peer: &str, local: &str| Arrival {
            peer: format!("{peer}:50000").parse().unwrap(),
            local: format!("{local}:7314").parse().unwrap(),
        };
        let here = arrival("127.0.0.1", "127.0.0.1");
        for (tls, arrival, host, expected) in [
            (false, Some(here), "127.0.0.1:7314", false),
            (false, Some(here), "localhost:7314", false),
            (false, Some(arrival("[::1]", "[::1]")), "[::1]:7314", false),
            // A proxy on this computer would arrive so.
            (false, Some(here), "lanes.school.example:7314", true),
            (false, Some(arrival("192.0.2.9", "192.0.2.5")), "192.0.2.5:7314", true),
            (false, None, "127.0.0.1:7314", true),
            (true, Some(arrival("192.0.2.9", "192.0.2.5")), "192.0.2.5:7314", false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, host.parse().unwrap());
            assert_eq!(in_clear(&gate(tls), arrival.as_ref(), &headers), expected, "{host} {tls}");
        }
    }
}
