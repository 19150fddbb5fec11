//! One-time links and the sessions that they open.
//!
//! A link holds 256 random bits and opens one session once. The session's cookie holds another 256, is sent to
//! this address only and is out of reach of scripts. Of both, the store keeps digests only.

use std::sync::Arc;

use axum::Extension;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, Request, State};
use axum::http::header::{ALLOW, COOKIE, LOCATION, SET_COOKIE};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use lanewright_store::{Link, Role, Session, Store, StoreError, TokenHash, day_of};
use lanewright_sync::Place;
use serde::Deserialize;
use serde_json::json;
use uuid::Uuid;

use crate::api::{self, store_failed};
use crate::throttle::Throttle;
use crate::{AppState, Arrival, Gate, Problem, header, now_ms};

/// How long a link works if it is not used, in milliseconds: 24 hours.
pub const LINK_MS: u64 = 24 * 60 * 60 * 1000;
/// How long a session lasts, in milliseconds: 90 days, about a school term (engineering assumption).
pub const SESSION_MS: u64 = 90 * 24 * 60 * 60 * 1000;

/// Takes back earlier links of the store's school that were not used, and returns the token of a fresh one.
///
/// # Errors
/// The store failed.
pub async fn fresh_link(store: &dyn Store, now_ms: u64) -> Result<String, StoreError> {
    let token = random_token();
    store.void_links(store.home()).await?;
    let link = Link {
        token: TokenHash::of(&token),
        school: store.home(),
        role: Role::Coach,
        lanes: None,
        label: None,
        expires_ms: now_ms.saturating_add(LINK_MS),
    };
    store.add_link(link).await?;
    Ok(token)
}

/// Returns 256 random bits in hexadecimal.
pub(crate) fn random_token() -> String {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).expect("the system has randomness; without it no session is safe");
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Returns the name of the session's cookie. Cookies do not tell ports apart, so the port is in the name: two
/// services on one computer do not log each other out. Under TLS the prefix binds it to this very host.
fn cookie_name(gate: &Gate) -> String {
    let prefix = if gate.tls { "__Host-" } else { "" };
    format!("{prefix}lanewright-{}", gate.port)
}

pub(crate) fn cookie(gate: &Gate, token: &str, max_age_s: u64) -> String {
    let secure = if gate.tls { "; Secure" } else { "" };
    format!("{}={token}; Path=/; Max-Age={max_age_s}; HttpOnly; SameSite=Strict{secure}", cookie_name(gate))
}

/// Returns the session token that a request carries.
fn token_in(gate: &Gate, headers: &HeaderMap) -> Option<TokenHash> {
    let name = cookie_name(gate);
    let mut pairs = headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(key, _)| *key == name).map(|(_, token)| TokenHash::of(token))
}

/// Returns the open session of a request.
pub(crate) async fn session_in(
    state: &State<AppState>,
    headers: &HeaderMap,
) -> Result<Option<Session>, Problem> {
    let Some(token) = token_in(&state.gate, headers) else { return Ok(None) };
    state.store.session(token, now_ms(state)).await.map_err(|error| store_failed(&error))
}

/// Lets a request pass only with an open session, and hands the session on.
pub(crate) async fn require(
    state: State<AppState>,
    mut request: Request,
    next: Next,
) -> Result<Response, Problem> {
    let session = session_in(&state, request.headers()).await?.ok_or_else(|| {
        tracing::warn!(problem = Problem::SessionNeeded.name(), "turned away");
        Problem::SessionNeeded
    })?;
    let day = day_of(now_ms(&state));
    if session.seen_day < day {
        state.store.note_seen(session.token, day).await.map_err(|error| store_failed(&error))?;
    }
    request.extensions_mut().insert(session);
    Ok(next.run(request).await)
}

/// Lets a request pass only from a coach.
pub(crate) async fn coach_only(
    Extension(session): Extension<Session>,
    request: Request,
    next: Next,
) -> Result<Response, Problem> {
    if session.role == Role::Coach {
        return Ok(next.run(request).await);
    }
    tracing::warn!(session = %session.token, problem = Problem::CoachOnly.name(), "turned away");
    Err(Problem::CoachOnly)
}

/// `GET /open/TOKEN`: uses the link up, opens a session, goes to the start page.
///
/// Looking ahead is not opening: previews announce themselves or ask for headers only, and use nothing up.
///
/// A coach who opens a helper's link stays a coach, and the link stays good: whoever made it tried it out on the same
/// browser.
pub(crate) async fn open(
    state: State<AppState>,
    Extension(throttle): Extension<Arc<Throttle>>,
    Path(token): Path<String>,
    method: Method,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    if method == Method::HEAD {
        return Ok(([(ALLOW, "GET")], Problem::OtherMethod).into_response());
    }
    let purposes = ["sec-purpose", "purpose", "x-purpose", "x-moz"];
    if purposes.iter().any(|name| header(&headers, name).is_some_and(|value| value.contains("pre"))) {
        return Err(Problem::LinkPreview);
    }
    let before = session_in(&state, &headers).await?;
    let now_ms = now_ms(&state);
    if let Some(before) = before.as_ref().filter(|before| before.role == Role::Coach) {
        let links = state.store.links(before.school, now_ms).await.map_err(|error| store_failed(&error))?;
        let asked = links.iter().find(|link| link.token == TokenHash::of(&token));
        if asked.is_some_and(|link| link.role == Role::Helper) {
            return Ok((StatusCode::SEE_OTHER, [(LOCATION, "/")]).into_response());
        }
    }
    let fresh = random_token();
    let opened = state
        .store
        .open_link(TokenHash::of(&token), TokenHash::of(&fresh), now_ms, now_ms.saturating_add(SESSION_MS))
        .await
        .map_err(|error| store_failed(&error))?;
    match (opened, before) {
        (Some(session), before) => {
            if let Some(before) = before {
                state.store.end_session(before.token).await.map_err(|error| store_failed(&error))?;
            }
            tracing::info!(session = %session.token, role = session.role.name(), "a link opened a session");
            let cookie = cookie(&state.gate, &fresh, SESSION_MS / 1000);
            Ok((StatusCode::SEE_OTHER, [(LOCATION, "/".to_owned()), (SET_COOKIE, cookie)]).into_response())
        }
        // Someone who is in already and goes back to the link just goes on.
        (None, Some(_)) => Ok((StatusCode::SEE_OTHER, [(LOCATION, "/")]).into_response()),
        (None, None) => {
            tracing::warn!(problem = Problem::LinkSpent.name(), "turned away");
            tokio::time::sleep(throttle.wrong(now_ms)).await;
            Err(Problem::LinkSpent)
        }
    }
}

/// Where a device was told that the store stands, the last time it asked.
#[derive(Debug, Deserialize)]
pub(crate) struct Told {
    #[serde(default)]
    history: Option<Uuid>,
    #[serde(default)]
    seq: u64,
}

/// `GET /api/v1/me`: what the server knows of the one who asks, and whether it still stands where it was told.
pub(crate) async fn me(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    told: Result<Query<Told>, QueryRejection>,
    request: Request,
) -> Result<Response, Problem> {
    let Query(told) = told.map_err(|_| Problem::NotACursor)?;
    let told = told.history.map(|history| Place { history, seq: told.seq });
    let failed = |error| store_failed(&error);
    let standing = state.store.standing(session.school, told).await.map_err(failed)?;
    // A proxy hides where a request came from.
    let same = state.gate.proxy.is_none()
        && request.extensions().get::<Arrival>().is_some_and(Arrival::is_same_computer);
    let mut answer = json!({
        "role": session.role.name(),
        "lanes": session.lanes,
        "school": session.school,
        "device": if same { "this-computer" } else { "network" },
        "until_ms": session.expires_ms,
        "at": standing.at,
        "known": standing.known,
    });
    if session.role == Role::Coach {
        // A coach's phone gives out lanes only while somebody is there, or invited, to take them.
        let now_ms = now_ms(&state);
        let sessions = state.store.sessions(session.school, now_ms).await.map_err(failed)?;
        let links = state.store.links(session.school, now_ms).await.map_err(failed)?;
        let roles = sessions.iter().map(|one| one.role).chain(links.iter().map(|link| link.role));
        answer["helpers"] = json!(roles.filter(|role| *role == Role::Helper).count());
        // Beside somebody who writes about the same children a phone asks more often.
        let day = day_of(now_ms);
        let others = sessions.iter().filter(|one| one.role == Role::Coach && one.token != session.token);
        answer["coaches"] = json!(others.filter(|one| one.seen_day >= day).count());
    }
    Ok(api::json(&answer))
}

/// `POST /api/v1/leave`: ends the session. What is stored on the device stays there.
pub(crate) async fn leave(
    state: State<AppState>,
    Extension(session): Extension<Session>,
) -> Result<Response, Problem> {
    state.store.end_session(session.token).await.map_err(|error| store_failed(&error))?;
    tracing::info!(session = %session.token, "a session was left");
    Ok((StatusCode::NO_CONTENT, [(SET_COOKIE, cookie(&state.gate, "", 0))]).into_response())
}
