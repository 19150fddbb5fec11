//! Records in, records out.

use axum::Extension;
use axum::body::{Body, to_bytes};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use lanewright_store::{Session, StoreError, TokenHash};
use lanewright_sync::message::{PULL_RECORDS_MAX, PUSH_BYTES_MAX, PUSH_RECORDS_MAX};
use lanewright_sync::{Push, Refused};
use serde::{Deserialize, Serialize};

use crate::{AppState, Problem, access, now_ms};

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
    let token = session.token;
    let pushed = tokio::spawn(async move {
        let refusals = access::refusals(&*store, &session, &push.records).await?;
        let order: Vec<_> = push.records.iter().map(|record| (record.key(), record.stamp)).collect();
        let (mut taken, mut refused) = (Vec::new(), Vec::new());
        for (record, refusal) in push.records.into_iter().zip(refusals) {
            match refusal {
                None => taken.push(record),
                Some(reason) => {
                    refused.push(Refused { key: record.key(), stamp: record.stamp, reason });
                }
            }
        }
        let mut answer = store.push(session.school, &taken, now_ms).await?;
        answer.refused.extend(refused);
        let place = |one: &Refused| order.iter().position(|sent| (&sent.0, sent.1) == (&one.key, one.stamp));
        answer.refused.sort_by_key(place);
        Ok::<_, StoreError>(answer)
    })
    .await;
    let answer = pushed.map_err(|_| Problem::StoreFailed)?.map_err(|error| store_failed(&error))?;
    let (acked, refused) = (answer.acked.len(), answer.refused.len());
    tracing::info!(session = %token, acked, refused, "pushed");
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
    let failed = |error| store_failed(&error);
    let mut answer = state.store.pull(session.school, from.after, limit).await.map_err(failed)?;
    // The cursor moves on over what is left out.
    let records = std::mem::take(&mut answer.records);
    let seen = access::seen(&*state.store, &session, records, answer.cursor, now_ms(&state)).await;
    answer.records = seen.map_err(failed)?;
    Ok(json(&answer))
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
