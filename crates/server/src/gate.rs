//! Who is let in, and what every answer wears.
//!
//! A browser sends along which address it thinks it talks to (`Host`) and which page asks (`Origin`). Both are
//! compared exactly, so neither a foreign page nor a foreign name that points at this computer gets an answer.

use std::collections::BTreeSet;
use std::net::{IpAddr, SocketAddr};

use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::{AppState, Problem, header};

/// Where a connection came from and at which of this computer's addresses it arrived.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrival {
    /// The other side.
    pub peer: SocketAddr,
    /// Our side.
    pub local: SocketAddr,
}

impl Arrival {
    /// Returns whether the other side is this very computer.
    pub fn is_same_computer(&self) -> bool {
        let peer = self.peer.ip().to_canonical();
        peer.is_loopback() || peer == self.local.ip().to_canonical()
    }
}

/// Which addresses are ours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gate {
    /// Whether connections are encrypted, by us or by the proxy.
    pub tls: bool,
    /// The port to which browsers connect: ours, or the proxy's.
    pub port: u16,
    /// Further names of this computer, `NAME` or `NAME:PORT`, in lower case. Its own addresses need no entry.
    pub names: BTreeSet<String>,
    /// The address from which a proxy passes requests on. With one, nobody else is answered.
    pub proxy: Option<IpAddr>,
}

impl Gate {
    fn scheme(&self) -> &'static str {
        if self.tls { "https" } else { "http" }
    }

    /// Returns a host with the port if it has to be named.
    pub fn authority(&self, host: &str) -> String {
        let default = if self.tls { 443 } else { 80 };
        if self.port == default { host.to_owned() } else { format!("{host}:{}", self.port) }
    }

    /// Returns the origin of our own pages under a host and port.
    pub fn origin(&self, authority: &str) -> String {
        format!("{}://{authority}", self.scheme())
    }

    /// Returns whether a `Host` header is one of the further names.
    pub(crate) fn is_named(&self, authority: &str) -> bool {
        let authority = authority.to_ascii_lowercase();
        let is = |name: &String| {
            if has_port(name) { *name == authority } else { self.authority(name) == authority }
        };
        self.names.iter().any(is)
    }

    /// Returns whether a `Host` header names us: one of the names, or the very address at which the connection
    /// arrived (`localhost` for a loopback address), with exactly our port.
    pub fn knows(&self, authority: &str, arrival: Option<&Arrival>) -> bool {
        let authority = authority.to_ascii_lowercase();
        let known = |host: &str| self.authority(host) == authority;
        if self.is_named(&authority) {
            return true;
        }
        // At a proxy's request, our own address is not the one that the browser knows.
        let Some(arrival) = arrival.filter(|_| self.proxy.is_none()) else { return false };
        match arrival.local.ip().to_canonical() {
            IpAddr::V4(address) => {
                known(&address.to_string()) || (address.is_loopback() && known("localhost"))
            }
            IpAddr::V6(address) => {
                known(&format!("[{address}]")) || (address.is_loopback() && known("localhost"))
            }
        }
    }

    /// Decides about a request by its headers alone.
    ///
    /// # Errors
    /// The reason for which it is turned away.
    pub fn check(&self, request: &Request) -> Result<(), Problem> {
        let headers = request.headers();
        let arrival = request.extensions().get::<Arrival>();
        match self.proxy {
            None if headers.keys().any(is_forwarding) => return Err(Problem::Forwarded),
            None => {}
            // Whose address it was, as the proxy says, decides nothing here: wrong passwords are counted by it.
            Some(proxy) => {
                let from_proxy = arrival.is_some_and(|arrival| arrival.peer.ip().to_canonical() == proxy);
                let scheme = single(headers, &HeaderName::from_static("x-forwarded-proto"));
                if !from_proxy || scheme != Some("https") {
                    return Err(Problem::NotThroughProxy);
                }
            }
        }
        let host = single(headers, &header::HOST)
            .filter(|host| self.knows(host, arrival))
            .ok_or(Problem::StrangerHost)?;
        // A request line may name a host of its own; it would win over the header.
        if request.uri().authority().is_some_and(|authority| authority.as_str() != host) {
            return Err(Problem::StrangerHost);
        }
        let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
        let own = self.origin(host);
        match headers.get(header::ORIGIN) {
            Some(origin) if *origin == *own => {}
            None if !changes => {}
            _ => return Err(Problem::OtherOrigin),
        }
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        let is_api = request.uri().path().starts_with("/api/");
        if (changes || is_api) && !matches!(site, None | Some(b"same-origin" | b"none")) {
            return Err(Problem::OtherOrigin);
        }
        if changes && !is_json(headers) {
            return Err(Problem::NotJson);
        }
        Ok(())
    }
}

/// Returns whether a name carries a port.
pub(crate) fn has_port(authority: &str) -> bool {
    authority.rsplit_once(':').is_some_and(|(host, port)| {
        !port.is_empty() && port.bytes().all(|byte| byte.is_ascii_digit()) && !host.ends_with(':')
    })
}

/// Returns the value of a header that stands there once.
fn single<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    let value = values.next()?.to_str().ok()?;
    if values.next().is_some() { None } else { Some(value) }
}

/// Returns for whom a proxy asks, by what it wrote itself: the last entry. Those before it anybody can have sent.
pub(crate) fn forwarded_for(headers: &HeaderMap) -> Option<IpAddr> {
    let last = headers.get_all("x-forwarded-for").iter().next_back()?.to_str().ok()?;
    last.rsplit(',').next()?.trim().parse().ok()
}

/// Returns whether a header says that a proxy passed the request on. When no proxy is named, none is trusted.
fn is_forwarding(name: &HeaderName) -> bool {
    let name = name.as_str();
    name == "forwarded" || name == "x-real-ip" || name.starts_with("x-forwarded")
}

fn is_json(headers: &HeaderMap) -> bool {
    let kind = header(headers, "content-type").unwrap_or_default();
    kind.split(';').next().unwrap_or_default().trim().eq_ignore_ascii_case("application/json")
}

/// Turns away whom the gate does not know.
pub(crate) async fn let_in(State(state): State<AppState>, request: Request, next: Next) -> Response {
    match state.gate.check(&request) {
        Ok(()) => next.run(request).await,
        Err(problem) => {
            tracing::warn!(problem = problem.name(), method = %request.method(), "turned away");
            problem.into_response()
        }
    }
}

/// What every answer carries.
const HEADERS: &[(&str, &str)] = &[
    // Own files only, no inline script or style, no frame, no plug-in. WebAssembly needs its own word. `blob:` is for
    // sound that the page itself holds in memory and plays back.
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data:; \
         font-src 'self'; media-src blob:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
         object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
    ),
    ("cross-origin-embedder-policy", "require-corp"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), geolocation=(), microphone=(self), payment=(), usb=()"),
    ("referrer-policy", "no-referrer"),
    ("x-content-type-options", "nosniff"),
];

/// A year, as the standard for long-lived sites asks.
const HSTS: &str = "max-age=31536000";

/// Gives every answer its headers, and shows problems as a page to browsers that ask for one.
pub(crate) async fn dress(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let is_api = path == "/api" || path.starts_with("/api/");
    let wants_page =
        !is_api && header(request.headers(), "accept").is_some_and(|kinds| kinds.contains("text/html"));
    let languages = header(request.headers(), "accept-language").map(str::to_owned);
    let mut response = next.run(request).await;
    if let Some(problem) = response.extensions().get::<Problem>().copied()
        && wants_page
    {
        response = problem.to_page(languages.as_deref());
    }
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if state.gate.tls {
        headers.insert(header::STRICT_TRANSPORT_SECURITY, HeaderValue::from_static(HSTS));
    }
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gate(tls: bool, port: u16, names: &[&str]) -> Gate {
        Gate { tls, port, names: names.iter().map(|name| (*name).to_owned()).collect(), proxy: None }
    }

    fn arrival(local: &str) -> Arrival {
        Arrival { peer: "192.0.2.9:50000".parse().unwrap(), local: local.parse().unwrap() }
    }

    #[test]
    fn only_the_address_of_arrival_and_the_allowed_names_are_known() {
        let plain = gate(false, 7314, &["lanes.school.example"]);
        let loopback = arrival("127.0.0.1:7314");
        let network = arrival("192.0.2.5:7314");
        for (host, arrival, known) in [
            ("127.0.0.1:7314", &loopback, true),
            ("localhost:7314", &loopback, true),
            ("LocalHost:7314", &loopback, true),
            ("lanes.school.example:7314", &loopback, true),
            ("127.0.0.1", &loopback, false),
            ("127.0.0.1:7315", &loopback, false),
            ("127.0.0.2:7314", &loopback, false),
            ("localhost.attacker.example:7314", &loopback, false),
            ("attacker.example:7314", &loopback, false),
            ("lanes.school.example", &loopback, false),
            ("", &loopback, false),
            ("192.0.2.5:7314", &network, true),
            ("localhost:7314", &network, false),
            ("192.0.2.6:7314", &network, false),
        ] {
            assert_eq!(plain.knows(host, Some(arrival)), known, "{host}");
        }
        assert!(plain.knows("[::1]:7314", Some(&arrival("[::1]:7314"))));
        // A socket for both families reports IPv4 addresses in their IPv6 form.
        assert!(plain.knows("192.0.2.5:7314", Some(&arrival("[::ffff:192.0.2.5]:7314"))));
        assert!(!plain.knows("127.0.0.1:7314", None));
    }

    #[test]
    fn of_those_for_whom_a_proxy_asks_only_the_last_counts() {
        for (sent, expected) in [
            (&["192.0.2.1"][..], Some("192.0.2.1")),
            (&["198.51.100.7, 192.0.2.1"], Some("192.0.2.1")),
            (&["192.0.2.1", "198.51.100.7,2001:db8::1 "], Some("2001:db8::1")),
            (&["192.0.2.1", "unknown"], None),
            (&["192.0.2.1,"], None),
            (&[], None),
        ] {
            let mut headers = HeaderMap::new();
            for value in sent {
                headers.append("x-forwarded-for", value.parse().unwrap());
            }
            assert_eq!(forwarded_for(&headers), expected.map(|one| one.parse().unwrap()), "{sent:?}");
        }
    }

    #[test]
    fn the_usual_port_is_left_out_as_browsers_do() {
        let secure = gate(true, 443, &["lanes.school.example"]);
        assert!(secure.knows("lanes.school.example", None));
        assert!(!secure.knows("lanes.school.example:80", None));
        assert_eq!(secure.origin("lanes.school.example"), "https://lanes.school.example");
        // A name may carry a port of its own, for a port that is mapped.
        assert!(gate(true, 7314, &["lanes.school.example:8443"]).knows("lanes.school.example:8443", None));
    }
}
