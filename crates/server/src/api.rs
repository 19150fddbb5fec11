//! Records in, records out.

use axum::Extension;
use axum::body::{Body, to_bytes};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use lanewright_store::{Session, StoreError, TokenHash};
use lanewright_sync::Push;
use lanewright_sync::message::{PULL_RECORDS_MAX, PUSH_BYTES_MAX, PUSH_RECORDS_MAX};
use serde::{Deserialize, Serialize};

use crate::{AppState, Problem, now_ms};

/// Returns an answer in JSON.
pub(crate) fn json(value: &impl Serialize) -> Response {
    let text = serde_json::to_string(value).expect("answers hold only JSON values");
    ([(CONTENT_TYPE, "application/json")], text).into_response()
}

/// Notes why the store failed, for whoever runs the program; the other side learns only that it did.
pub(crate) fn store_failed(error: &StoreError) -> Problem {
    tracing::error!(%error, "the store failed");
    Problem::StoreFailed
}

/// `POST /api/v1/push`: stores records, answers each.
pub(crate) async fn push(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    body: Body,
) -> Result<Response, Problem> {
    let bytes = to_bytes(body, PUSH_BYTES_MAX).await.map_err(|_| Problem::TooLarge)?;
    let push: Push = serde_json::from_slice(&bytes)
        .map_err(|error| Problem::NotRecords { line: error.line(), column: error.column() })?;
    if push.records.len() > PUSH_RECORDS_MAX {
        return Err(Problem::TooLarge);
    }
    let (store, now_ms) = (state.store.clone(), now_ms(&state));
    // A task of its own: a commit that has begun is finished even when the other side hangs up.
    let pushed = tokio::spawn(async move { store.push(session.school, &push.records, now_ms).await }).await;
    let answer = pushed.map_err(|_| Problem::StoreFailed)?.map_err(|error| store_failed(&error))?;
    let (acked, refused) = (answer.acked.len(), answer.refused.len());
    tracing::info!(session = %session.token, acked, refused, "pushed");
    Ok(json(&answer))
}

/// Where to read on, and how much.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct From {
    #[serde(default)]
    after: u64,
    #[serde(default = "limit_default")]
    limit: usize,
}

fn limit_default() -> usize {
    PULL_RECORDS_MAX
}

/// `GET /api/v1/pull?after=&limit=`: records that were committed after a cursor.
pub(crate) async fn pull(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    from: Result<Query<From>, QueryRejection>,
) -> Result<Response, Problem> {
    let Query(from) = from.map_err(|_| Problem::NotACursor)?;
    if from.limit == 0 {
        return Err(Problem::NotACursor);
    }
    let limit = from.limit.min(PULL_RECORDS_MAX);
    let answer = state.store.pull(session.school, from.after, limit).await;
    Ok(json(&answer.map_err(|error| store_failed(&error))?))
}

/// `GET /api/v1/clock`: the time here. A device that asks knows from its own clock how long the answer took, and with
/// that how far its clock is off: two devices that both asked can set their times against each other.
pub(crate) async fn clock(state: State<AppState>) -> Response {
    json(&serde_json::json!({"now_ms": now_ms(&state)}))
}

/// `GET /api/v1/health`: whether the store answers.
pub(crate) async fn health(state: State<AppState>) -> Result<Response, Problem> {
    let asked = state.store.session(TokenHash::of(""), now_ms(&state)).await;
    asked.map_err(|error| store_failed(&error))?;
    Ok(json(&serde_json::json!({"status": "ok"})))
}
