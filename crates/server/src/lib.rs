//! Serves the app, its API and its sessions.
//!
//! [`app`] is the whole service as a value, so tests ask it without a socket. [`Server`] puts it on one: it opens
//! the data folder, binds the address, makes the one-time link, and runs until it is told to stop.
//!
//! # Invariants
//! - Everything under `/api` needs a session, except `health` and trying a password; what is added there later is closed
//!   from the start.
//! - Every route stands in [`ROUTES`] with who is answered; a helper sees and writes what `access` lists, nothing else.
//! - Only the exact address is answered, nothing that was forwarded, and nothing that another page sends.
//! - Nobody outside this process is asked for anything. No name, token or query stands in a log or an error.
//! - Records go to the store through [`lanewright_store::Store::push`] and nowhere else.

mod access;
mod api;
mod demo;
mod devices;
mod files;
mod gate;
pub mod keep;
mod password;
mod problem;
mod routes;
mod serve;
mod session;
mod throttle;
mod tls;

use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use axum::extract::{MatchedPath, Request, State};
use axum::middleware::{self, Next};
use axum::response::Response;
use axum::{Extension, Router, http};
use lanewright_store::Store;
use throttle::Throttle;

pub use demo::demo_records;
pub use devices::{INVITE_MS, LINKS_MAX};
pub use files::{Asset, Assets, BuiltApp};
pub use gate::{Arrival, Gate};
pub use password::{SIGNS_MAX, SIGNS_MIN};
pub use problem::Problem;
pub use routes::{ROUTES, Route, Who, openapi};
pub use serve::{Config, Server, StartError};
pub use session::{LINK_MS, SESSION_MS, fresh_link};
pub use tls::TlsFiles;

/// Longest time for one request, from its headers to the answer (engineering assumption).
const REQUEST_MAX: Duration = Duration::from_secs(30);

/// What tells the time, in milliseconds since 1970.
pub type Clock = Arc<dyn Fn() -> u64 + Send + Sync>;

/// Returns the clock of this computer.
pub fn system_clock() -> Clock {
    Arc::new(|| {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        u64::try_from(since.as_millis()).unwrap_or(u64::MAX)
    })
}

/// What the service works with.
#[derive(Clone)]
pub struct AppState {
    /// Where records, links and sessions are.
    pub store: Arc<dyn Store>,
    /// Which requests are let in.
    pub gate: Arc<Gate>,
    /// The files of the app.
    pub assets: Arc<dyn Assets>,
    /// What tells the time.
    pub clock: Clock,
    /// The address that the service listens on.
    pub bound: std::net::IpAddr,
}

/// Returns the whole service.
pub fn app(state: AppState) -> Router {
    let open = routes::open()
        .nest("/api", routes::api(&state))
        .fallback(files::serve)
        .method_not_allowed_fallback(async || Problem::OtherMethod)
        .layer(Extension(Arc::new(Throttle::default())))
        .layer(Extension(Arc::new(password::Door::default())));
    open.layer(middleware::from_fn(log))
        .layer(middleware::from_fn(in_time))
        .layer(middleware::from_fn_with_state(state.clone(), gate::let_in))
        .layer(middleware::from_fn_with_state(state.clone(), gate::dress))
        .with_state(state)
}

/// Ends requests that take too long.
async fn in_time(request: Request, next: Next) -> Result<Response, Problem> {
    tokio::time::timeout(REQUEST_MAX, next.run(request)).await.map_err(|_| Problem::TooSlow)
}

/// Notes what was asked and how it ended: the route, never the address, which may hold a token.
async fn log(request: Request, next: Next) -> Response {
    let method = request.method().clone();
    let route = request.extensions().get::<MatchedPath>().map(|path| path.as_str().to_owned());
    let response = next.run(request).await;
    let status = response.status().as_u16();
    let problem = response.extensions().get::<Problem>().map(|problem| problem.name());
    tracing::debug!(%method, route = route.as_deref().unwrap_or("file"), status, problem, "answered");
    response
}

/// Returns the time.
fn now_ms(state: &State<AppState>) -> u64 {
    (state.clock)()
}

/// Reads a header as text.
fn header<'a>(headers: &'a http::HeaderMap, name: &str) -> Option<&'a str> {
    headers.get(name)?.to_str().ok()
}
