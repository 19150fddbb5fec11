//! The files of the app. They hold no data, so anyone who reaches the address may have them.

use std::borrow::Cow;

use axum::extract::{Request, State};
use axum::http::header::{
    ACCEPT_ENCODING, ALLOW, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, IF_NONE_MATCH, VARY,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

use crate::{AppState, Problem};

/// Page that stands for every address inside the app.
const PAGE: &str = "index.html";

/// One file.
pub struct Asset {
    /// Its bytes.
    pub bytes: Cow<'static, [u8]>,
    /// SHA-256 of its bytes.
    pub sha256: [u8; 32],
}

/// Where files come from.
pub trait Assets: Send + Sync + 'static {
    /// Returns the file at a path such as `icons/mark.svg`.
    fn get(&self, path: &str) -> Option<Asset>;
}

/// The app as `cargo xtask` built it: inside the program in release builds, read from the build folder at each
/// request in development builds.
#[derive(RustEmbed)]
#[folder = "../../target/web"]
#[allow_missing = true]
pub struct BuiltApp;

impl Assets for BuiltApp {
    fn get(&self, path: &str) -> Option<Asset> {
        let file = <Self as RustEmbed>::get(path)?;
        Some(Asset { sha256: file.metadata.sha256_hash(), bytes: file.data })
    }
}

/// Serves a file, or the page for an address inside the app.
pub(crate) async fn serve(State(state): State<AppState>, request: Request) -> Result<Response, Problem> {
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return Ok(([(ALLOW, "GET, HEAD")], Problem::OtherMethod).into_response());
    }
    let path = request.uri().path().trim_start_matches('/');
    if !is_plain(path) {
        return Err(Problem::NotFound);
    }
    let headers = request.headers();
    if !path.is_empty()
        && let Some(response) = file(&state, path, headers)
    {
        return Ok(response);
    }
    let last = path.rsplit('/').next().unwrap_or_default();
    if last.contains('.') {
        return Err(Problem::NotFound);
    }
    file(&state, PAGE, headers).ok_or(Problem::AppMissing)
}

/// Returns whether a path names a file without going up, encoding, or looking into a copy for transport.
fn is_plain(path: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"-_./".contains(&byte);
    path.bytes().all(allowed)
        && (path.is_empty() || path.split('/').all(|part| !part.is_empty() && !part.starts_with('.')))
        && !path.ends_with(".br")
        && !path.ends_with(".gz")
}

fn file(state: &AppState, path: &str, headers: &HeaderMap) -> Option<Response> {
    let plain = state.assets.get(path)?;
    let packed = [("br", "br"), ("gzip", "gz")].into_iter().find_map(|(coding, ending)| {
        let asset = accepts(headers, coding).then(|| state.assets.get(&format!("{path}.{ending}")))??;
        Some((coding, asset))
    });
    let (coding, asset) = packed.map_or((None, plain), |(coding, asset)| (Some(coding), asset));
    let tag: String = asset.sha256[..16].iter().map(|byte| format!("{byte:02x}")).collect();
    let tag = format!("\"{tag}\"");
    let keep = if is_named_by_content(path) { "public, max-age=31536000, immutable" } else { "no-cache" };
    let known = headers
        .get(IF_NONE_MATCH)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|known| known.split(',').any(|one| one.trim().trim_start_matches("W/") == tag));
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        ([(CONTENT_TYPE, content_type(path))], asset.bytes.into_owned()).into_response()
    };
    let answer = response.headers_mut();
    answer.insert(CACHE_CONTROL, HeaderValue::from_static(keep));
    answer.insert(VARY, HeaderValue::from_static("accept-encoding"));
    answer.insert(ETAG, HeaderValue::from_str(&tag).expect("hexadecimal"));
    if let Some(coding) = coding {
        answer.insert(CONTENT_ENCODING, HeaderValue::from_static(coding));
    }
    Some(response)
}

/// Returns whether the browser takes a coding (RFC 9110, section 12.5.3).
fn accepts(headers: &HeaderMap, coding: &str) -> bool {
    let listed = headers.get_all(ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok());
    listed.flat_map(|value| value.split(',')).any(|one| {
        let mut parts = one.split(';').map(str::trim);
        let named = parts.next().is_some_and(|name| name.eq_ignore_ascii_case(coding));
        let refused = parts.any(|part| {
            part.strip_prefix("q=")
                .and_then(|share| share.parse::<f32>().ok())
                .is_some_and(|share| share <= 0.0)
        });
        named && !refused
    })
}

/// Returns whether a name ends in a digest of the content (`app-1a2b3c4d.js`), so that it may be kept for ever.
fn is_named_by_content(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or_default();
    let Some((stem, _)) = name.split_once('.') else { return false };
    stem.rsplit_once('-').is_some_and(|(_, digest)| {
        digest.len() >= 8 && digest.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
    })
}

fn content_type(path: &str) -> &'static str {
    match path.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/vnd.microsoft.icon",
        "woff2" => "font/woff2",
        "ttf" => "font/ttf",
        "txt" => "text/plain; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_that_end_in_a_digest_are_kept_for_ever() {
        for (path, kept) in [
            ("app-1a2b3c4d.js", true),
            ("snippets/a/inline-0123456789abcdef.js", true),
            ("app_bg-70768af3.wasm", true),
            ("index.html", false),
            ("sw.js", false),
            ("icons/mark-180.png", false),
            ("fonts/atkinson-hyperlegible-regular.woff2", false),
            ("app-1a2b3c4.js", false),
            ("app-1A2B3C4D.js", false),
        ] {
            assert_eq!(is_named_by_content(path), kept, "{path}");
        }
    }

    #[test]
    fn a_coding_is_used_only_if_the_browser_takes_it() {
        let headers =
            |text: &'static str| HeaderMap::from_iter([(ACCEPT_ENCODING, HeaderValue::from_static(text))]);
        assert!(accepts(&headers("gzip, deflate, br"), "br"));
        assert!(accepts(&headers("br;q=0.5"), "br"));
        assert!(!accepts(&headers("br;q=0, gzip"), "br"));
        assert!(!accepts(&headers("brotli"), "br"));
        assert!(!accepts(&HeaderMap::new(), "gzip"));
    }

    #[test]
    fn paths_cannot_leave_the_folder() {
        for path in
            ["../Cargo.toml", "a/../b", "%2e%2e/x", "a//b", ".git", "a/.b", "a\\b", "app.js.br", "x?y"]
        {
            assert!(!is_plain(path), "{path}");
        }
        for path in ["", "index.html", "icons/mark-180.png", "class/7"] {
            assert!(is_plain(path), "{path}");
        }
    }
}
