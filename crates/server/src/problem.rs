//! Refusals and failures as RFC 9457 problems: a stable type, plain words, no internals.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CONTENT_TYPE, RETRY_AFTER, WWW_AUTHENTICATE};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use lanewright_model::words::{Language, Units, Words};
use lanewright_model::{Arg, Message};
use lanewright_sync::message::{PUSH_BYTES_MAX, PUSH_RECORDS_MAX};
use serde_json::json;

use crate::devices::{INVITE_MS, LINKS_MAX};
use crate::password::{SIGNS_MAX, SIGNS_MIN};

/// Content type of a problem.
const PROBLEM_JSON: &str = "application/problem+json";

static WORDS: LazyLock<Words> = LazyLock::new(|| Words::english(Units::Metric));

/// Why a request was not answered as asked. Each has a type (`/problems/NAME`), a status and words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Problem {
    /// 403: the `Host` is not the address on which the request arrived, nor a name that was allowed.
    StrangerHost,
    /// 403: another page sent it, or it does not say which page.
    OtherOrigin,
    /// 403: it passed a proxy, and none is named.
    Forwarded,
    /// 403: a proxy is named, and it did not come from there, or not encrypted.
    NotThroughProxy,
    /// 401: no open session.
    SessionNeeded,
    /// 410: the one-time link is unknown, used or expired.
    LinkSpent,
    /// 403: a preview asked for the one-time link; it was not used up.
    LinkPreview,
    /// 404: nothing at that address.
    NotFound,
    /// 405: the address is there, but not for that method.
    OtherMethod,
    /// 415: the content type is not JSON.
    NotJson,
    /// 413: too many bytes or too many records.
    TooLarge,
    /// 400: the push cannot be read as records.
    NotRecords {
        /// Line of the mistake, from 1.
        line: usize,
        /// Column of the mistake, from 1.
        column: usize,
    },
    /// 400: `after` or `limit` cannot be read.
    NotACursor,
    /// 403: a helper asked for what is a coach's.
    CoachOnly,
    /// 403: a link would travel unencrypted over the network.
    LinkInClear,
    /// 409: enough links wait.
    TooManyLinks,
    /// 400: the body cannot be read.
    NotUnderstood,
    /// 403: a password would travel unencrypted over the network.
    PasswordInClear,
    /// 422: not the password, or there is none.
    PasswordWrong,
    /// 429: too many were tried of late.
    PasswordWait {
        /// Seconds until the next one is looked at.
        seconds: u64,
    },
    /// 400: too few signs for a password.
    PasswordShort,
    /// 400: too many signs for a password.
    PasswordLong,
    /// 400: a password that is tried first.
    PasswordCommon,
    /// 503: no answer within the time a request may take.
    TooSlow,
    /// 503: the app's files are not there.
    AppMissing,
    /// 500: the store failed; the cause is in the log.
    StoreFailed,
}

impl Problem {
    /// One of each.
    pub const ALL: [Problem; 26] = [
        Problem::StrangerHost,
        Problem::OtherOrigin,
        Problem::Forwarded,
        Problem::NotThroughProxy,
        Problem::SessionNeeded,
        Problem::LinkSpent,
        Problem::LinkPreview,
        Problem::NotFound,
        Problem::OtherMethod,
        Problem::NotJson,
        Problem::TooLarge,
        Problem::NotRecords { line: 1, column: 1 },
        Problem::NotACursor,
        Problem::CoachOnly,
        Problem::LinkInClear,
        Problem::TooManyLinks,
        Problem::NotUnderstood,
        Problem::PasswordInClear,
        Problem::PasswordWrong,
        Problem::PasswordWait { seconds: 1 },
        Problem::PasswordShort,
        Problem::PasswordLong,
        Problem::PasswordCommon,
        Problem::TooSlow,
        Problem::AppMissing,
        Problem::StoreFailed,
    ];

    /// Returns the name that stands in the type.
    pub fn name(self) -> &'static str {
        match self {
            Problem::StrangerHost => "stranger-host",
            Problem::OtherOrigin => "other-origin",
            Problem::Forwarded => "forwarded",
            Problem::NotThroughProxy => "not-through-proxy",
            Problem::SessionNeeded => "session-needed",
            Problem::LinkSpent => "link-spent",
            Problem::LinkPreview => "link-preview",
            Problem::NotFound => "not-found",
            Problem::OtherMethod => "other-method",
            Problem::NotJson => "not-json",
            Problem::TooLarge => "too-large",
            Problem::NotRecords { .. } => "not-records",
            Problem::NotACursor => "not-a-cursor",
            Problem::CoachOnly => "coach-only",
            Problem::LinkInClear => "link-in-clear",
            Problem::TooManyLinks => "too-many-links",
            Problem::NotUnderstood => "not-understood",
            Problem::PasswordInClear => "password-in-clear",
            Problem::PasswordWrong => "password-wrong",
            Problem::PasswordWait { .. } => "password-wait",
            Problem::PasswordShort => "password-short",
            Problem::PasswordLong => "password-long",
            Problem::PasswordCommon => "password-common",
            Problem::TooSlow => "too-slow",
            Problem::AppMissing => "app-missing",
            Problem::StoreFailed => "store-failed",
        }
    }

    /// Returns the status.
    pub fn status(self) -> StatusCode {
        match self {
            Problem::StrangerHost
            | Problem::OtherOrigin
            | Problem::Forwarded
            | Problem::NotThroughProxy
            | Problem::LinkPreview
            | Problem::CoachOnly
            | Problem::LinkInClear
            | Problem::PasswordInClear => StatusCode::FORBIDDEN,
            Problem::PasswordWrong => StatusCode::UNPROCESSABLE_ENTITY,
            Problem::PasswordWait { .. } => StatusCode::TOO_MANY_REQUESTS,
            Problem::SessionNeeded => StatusCode::UNAUTHORIZED,
            Problem::LinkSpent => StatusCode::GONE,
            Problem::NotFound => StatusCode::NOT_FOUND,
            Problem::OtherMethod => StatusCode::METHOD_NOT_ALLOWED,
            Problem::NotJson => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Problem::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Problem::TooManyLinks => StatusCode::CONFLICT,
            Problem::NotRecords { .. }
            | Problem::NotACursor
            | Problem::NotUnderstood
            | Problem::PasswordShort
            | Problem::PasswordLong
            | Problem::PasswordCommon => StatusCode::BAD_REQUEST,
            Problem::TooSlow | Problem::AppMissing => StatusCode::SERVICE_UNAVAILABLE,
            Problem::StoreFailed => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// Returns the numbers that its words hold, by name. They stand in the answer too, so that an app can say the same
    /// in its own language.
    fn numbers(self) -> Vec<(&'static str, usize)> {
        match self {
            Problem::TooLarge => {
                vec![("records", PUSH_RECORDS_MAX), ("megabytes", PUSH_BYTES_MAX / 1024 / 1024)]
            }
            Problem::NotRecords { line, column } => vec![("line", line), ("column", column)],
            Problem::TooManyLinks => {
                let minutes = usize::try_from(INVITE_MS / 60_000).unwrap_or(0);
                vec![("links", LINKS_MAX), ("minutes", minutes)]
            }
            Problem::PasswordWait { seconds } => {
                vec![("seconds", usize::try_from(seconds).unwrap_or(usize::MAX))]
            }
            Problem::PasswordShort => vec![("signs", SIGNS_MIN)],
            Problem::PasswordLong => vec![("signs", SIGNS_MAX)],
            _ => Vec::new(),
        }
    }

    fn title(self, words: &Words) -> String {
        words.get(&format!("problem-{}-title", self.name()))
    }

    fn detail(self, words: &Words) -> String {
        let message = Message::new(&format!("problem-{}-detail", self.name()));
        let count = |number: usize| Arg::Count(i64::try_from(number).unwrap_or(i64::MAX));
        let numbers = self.numbers().into_iter();
        words.say(&numbers.fold(message, |message, (name, number)| message.with(name, count(number))))
    }

    /// Returns the problem as a page for people, in the first of their browser's languages that has words.
    pub(crate) fn to_page(self, accept_language: Option<&str>) -> Response {
        let words = Words::new(preferred(accept_language.unwrap_or_default()), Units::Metric);
        let text = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let html = format!(
            "<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n</head>\n\
             <body>\n<main>\n<h1>{title}</h1>\n<p>{}</p>\n<p><a href=\"/\">{}</a></p>\n</main>\n</body>\n</html>\n",
            words.language,
            text(&self.detail(&words)),
            text(&words.get("problem-to-start-page")),
            title = text(&self.title(&words)),
        );
        (self.status(), [(CONTENT_TYPE, "text/html; charset=utf-8")], html).into_response()
    }
}

/// Returns the language that a browser asks for first, of those with words; English when it names none.
fn preferred(accept_language: &str) -> Language {
    let tags = accept_language.split(',').map(|part| part.split(';').next().unwrap_or_default().trim());
    tags.filter_map(Language::from_tag).next().unwrap_or_default()
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut body = json!({
            "type": format!("/problems/{}", self.name()),
            "title": self.title(&WORDS),
            "status": self.status().as_u16(),
            "detail": self.detail(&WORDS),
        });
        for (name, number) in self.numbers() {
            body[name] = number.into();
        }
        let mut response = (self.status(), [(CONTENT_TYPE, PROBLEM_JSON)], body.to_string()).into_response();
        if self == Problem::SessionNeeded {
            // The standard asks for a challenge with every 401; browsers show no dialogue for this one.
            response.headers_mut().insert(WWW_AUTHENTICATE, HeaderValue::from_static("OneTimeLink"));
        }
        if let Problem::PasswordWait { seconds } = self {
            response.headers_mut().insert(RETRY_AFTER, HeaderValue::from(seconds));
        }
        response.extensions_mut().insert(self);
        response
    }
}

/// Explains a problem type to whoever follows it.
pub(crate) async fn page(Path(name): Path<String>, headers: HeaderMap) -> Result<Response, Problem> {
    let problem = Problem::ALL.into_iter().find(|problem| problem.name() == name).ok_or(Problem::NotFound)?;
    let mut page = problem.to_page(crate::header(&headers, "accept-language"));
    *page.status_mut() = StatusCode::OK;
    Ok(page)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_in_the_first_language_of_the_browser_that_has_words() {
        for (asked, language) in [
            ("de-AT,de;q=0.9,en;q=0.8", Language::German),
            ("fr-CH, fr;q=0.9, de;q=0.8, en;q=0.7", Language::German),
            ("en-GB,de;q=0.5", Language::English),
            ("fr", Language::English),
            ("", Language::English),
        ] {
            assert_eq!(preferred(asked), language, "{asked}");
        }
    }

    #[test]
    fn every_problem_has_words_that_end() {
        for problem in Problem::ALL {
            for text in [problem.title(&WORDS), problem.detail(&WORDS)] {
                assert!(text.ends_with('.'), "{}: {text}", problem.name());
                assert!(!text.contains("problem-") && !text.contains('{'), "{}: {text}", problem.name());
            }
        }
    }
}
