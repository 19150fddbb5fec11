//! Requests to the server that served this page. No other address is ever asked.

use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AbortSignal, RequestInit, Response};

/// Longest wait for an answer, in milliseconds (engineering assumption).
const ANSWER_MS: u32 = 20_000;

/// The server did not answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoAnswer;

/// Status and body of an answer.
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// The body as text.
    pub text: String,
    /// In how many seconds to ask again, when the server says so.
    pub retry_after_s: Option<i64>,
}

/// Asks for a resource.
pub async fn get(path: &str) -> Result<Answer, NoAnswer> {
    let init = RequestInit::new();
    init.set_method("GET");
    send(path, init).await
}

/// Sends JSON.
pub async fn post(path: &str, json: &str) -> Result<Answer, NoAnswer> {
    let init = RequestInit::new();
    init.set_method("POST");
    init.set_body(&JsValue::from_str(json));
    let headers = web_sys::Headers::new().map_err(|_| NoAnswer)?;
    headers.set("content-type", "application/json").map_err(|_| NoAnswer)?;
    init.set_headers(&headers);
    send(path, init).await
}

async fn send(path: &str, init: RequestInit) -> Result<Answer, NoAnswer> {
    let window = web_sys::window().ok_or(NoAnswer)?;
    init.set_signal(Some(&AbortSignal::timeout_with_u32(ANSWER_MS)));
    let response = JsFuture::from(window.fetch_with_str_and_init(path, &init)).await.map_err(|_| NoAnswer)?;
    let response: Response = response.dyn_into().map_err(|_| NoAnswer)?;
    let retry_after = response.headers().get("retry-after").ok().flatten();
    let text = JsFuture::from(response.text().map_err(|_| NoAnswer)?).await.map_err(|_| NoAnswer)?;
    Ok(Answer {
        status: response.status(),
        text: text.as_string().unwrap_or_default(),
        retry_after_s: retry_after.and_then(|seconds| seconds.parse().ok()),
    })
}
