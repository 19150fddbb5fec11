//! Other devices: links for them, the list of those that are in, and signing them out. For coaches only.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, UdpSocket};

use axum::Extension;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use lanewright_store::{Link, Role, Session, TokenHash};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use crate::api::{json as answer, store_failed};
use crate::gate::has_port;
use crate::session::random_token;
use crate::{AppState, Arrival, Gate, Problem, now_ms};

/// How long a link for another device works, in milliseconds: 15 minutes (engineering assumption: long enough to walk
/// over, short enough that a forgotten one is no door).
pub const INVITE_MS: u64 = 15 * 60 * 1000;
/// Most links of a school that wait at a time (engineering assumption: a helper at each lane, and a second coach).
pub const LINKS_MAX: usize = 12;
/// Longest label of a device, in characters.
const LABEL_MAX: usize = 40;
/// Most lanes that a link can name.
const LANES_MAX: usize = 26;
/// Longest body of a request here, in bytes.
const BYTES_MAX: usize = 8 * 1024;

/// Reads a small body.
pub(crate) async fn read<T: DeserializeOwned>(body: Body) -> Result<T, Problem> {
    let bytes = to_bytes(body, BYTES_MAX).await.map_err(|_| Problem::TooLarge)?;
    serde_json::from_slice(&bytes).map_err(|_| Problem::NotUnderstood)
}

/// Who is to be let in.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Invitation {
    role: InvitedRole,
    #[serde(default)]
    lanes: Option<Vec<String>>,
    #[serde(default)]
    label: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum InvitedRole {
    Coach,
    Helper,
}

impl Invitation {
    /// Returns role, lanes and label, or `None` when they do not make sense.
    fn checked(self) -> Option<(Role, Option<Vec<String>>, Option<String>)> {
        let label = self.label.map(|label| label.trim().to_owned()).filter(|label| !label.is_empty());
        let label_is_fine = label
            .as_ref()
            .is_none_or(|label| label.chars().count() <= LABEL_MAX && !label.contains(char::is_control));
        let is_lane = |lane: &String| {
            (1..=2).contains(&lane.len()) && lane.bytes().all(|byte| byte.is_ascii_uppercase())
        };
        let lanes_are_fine = self
            .lanes
            .as_ref()
            .is_none_or(|lanes| (1..=LANES_MAX).contains(&lanes.len()) && lanes.iter().all(is_lane));
        let role = match self.role {
            InvitedRole::Coach if self.lanes.is_some() => return None,
            InvitedRole::Coach => Role::Coach,
            InvitedRole::Helper => Role::Helper,
        };
        (label_is_fine && lanes_are_fine).then_some((role, self.lanes, label))
    }
}

/// `POST /api/v1/links`: makes a one-time link for another device.
///
/// The token is in the answer. Over plain HTTP from another computer everyone on the network could read it and be in
/// first, so it is made only for a browser on this computer or under TLS.
pub(crate) async fn invite(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    request: Request,
) -> Result<Response, Problem> {
    let same = request.extensions().get::<Arrival>().is_some_and(Arrival::is_same_computer);
    if !same && !state.gate.tls {
        return Err(Problem::LinkInClear);
    }
    let invitation: Invitation = read(request.into_body()).await?;
    let (role, lanes, label) = invitation.checked().ok_or(Problem::NotUnderstood)?;
    let now_ms = now_ms(&state);
    let open = state.store.links(session.school, now_ms).await.map_err(|error| store_failed(&error))?;
    if open.len() >= LINKS_MAX {
        return Err(Problem::TooManyLinks);
    }
    let token = random_token();
    let expires_ms = now_ms.saturating_add(INVITE_MS);
    let link = Link { token: TokenHash::of(&token), school: session.school, role, lanes, label, expires_ms };
    state.store.add_link(link).await.map_err(|error| store_failed(&error))?;
    tracing::info!(session = %session.token, role = role.name(), "made a link for another device");
    Ok(answer(&json!({"path": format!("/open/{token}"), "expires_ms": expires_ms})))
}

/// `POST /api/v1/links/void`: takes back all links that were not used.
pub(crate) async fn void(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    body: Body,
) -> Result<Response, Problem> {
    read::<Nothing>(body).await?;
    state.store.void_links(session.school).await.map_err(|error| store_failed(&error))?;
    tracing::info!(session = %session.token, "took links back");
    Ok(StatusCode::NO_CONTENT.into_response())
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Nothing {}

/// `GET /api/v1/devices`: who is in, and which links wait.
pub(crate) async fn list(
    state: State<AppState>,
    Extension(session): Extension<Session>,
) -> Result<Response, Problem> {
    let now_ms = now_ms(&state);
    let failed = |error| store_failed(&error);
    let devices = state.store.sessions(session.school, now_ms).await.map_err(failed)?;
    let mut links = state.store.links(session.school, now_ms).await.map_err(failed)?;
    links.sort_by_key(|link| link.expires_ms);
    let devices = devices.iter().map(|device| {
        json!({
            "name": device.name(),
            "number": device.number,
            "label": device.label,
            "role": device.role.name(),
            "lanes": device.lanes,
            "since_ms": device.opened_ms,
            "seen_day": device.seen_day,
            "this": device.token == session.token,
        })
    });
    let links = links.iter().map(|link| {
        json!({
            "role": link.role.name(),
            "lanes": link.lanes,
            "label": link.label,
            "expires_ms": link.expires_ms,
        })
    });
    Ok(answer(&json!({"devices": devices.collect::<Vec<_>>(), "links": links.collect::<Vec<_>>()})))
}

/// Who is to be signed out: one device by its name, or all but this one.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
enum End {
    Name(String),
    Others(bool),
}

/// `POST /api/v1/devices/end`: signs devices out. What is stored on them stays there.
pub(crate) async fn end(
    state: State<AppState>,
    Extension(session): Extension<Session>,
    body: Body,
) -> Result<Response, Problem> {
    let failed = |error| store_failed(&error);
    let ended = match read(body).await? {
        End::Others(true) => end_others(&state, &session).await?,
        End::Others(false) => 0,
        End::Name(name) => {
            let devices = state.store.sessions(session.school, now_ms(&state)).await.map_err(failed)?;
            let chosen: Vec<&Session> = devices.iter().filter(|device| device.name() == name).collect();
            if chosen.is_empty() {
                return Err(Problem::NotFound);
            }
            for device in &chosen {
                state.store.end_session(device.token).await.map_err(failed)?;
            }
            chosen.len()
        }
    };
    tracing::info!(session = %session.token, ended, "signed devices out");
    Ok(answer(&json!({"ended": ended})))
}

/// Signs every device of the school out but the one that asks, and takes back the links that wait: whoever is to be out
/// could come in again by one. Returns how many devices were signed out.
pub(crate) async fn end_others(state: &State<AppState>, session: &Session) -> Result<usize, Problem> {
    let failed = |error| store_failed(&error);
    let mut ended = 0;
    // While one is signed out, another may come in or make a link; hardly ten times.
    for _ in 0..10 {
        state.store.void_links(session.school).await.map_err(failed)?;
        let devices = state.store.sessions(session.school, now_ms(state)).await.map_err(failed)?;
        let others: Vec<&Session> = devices.iter().filter(|device| device.token != session.token).collect();
        if others.is_empty() {
            break;
        }
        for device in others {
            state.store.end_session(device.token).await.map_err(failed)?;
            ended += 1;
        }
    }
    Ok(ended)
}

/// `GET /api/v1/addresses`: where other devices reach this program.
pub(crate) async fn addresses(state: State<AppState>) -> Response {
    let here_only = state.bound.to_canonical().is_loopback() && state.gate.names.is_empty();
    answer(&json!({
        "network": !here_only,
        "encrypted": state.gate.tls,
        "addresses": usable(&state.gate, state.bound),
    }))
}

/// Returns the origins under which others reach this program, best first. A name comes before a number; under TLS the
/// numbers are left out when there is a name, since the certificate is for the name.
fn usable(gate: &Gate, bound: IpAddr) -> Vec<Value> {
    let mut hosts: Vec<String> = gate.names.iter().cloned().collect();
    if hosts.is_empty() || !gate.tls {
        hosts.extend(address_of(bound));
    }
    let whole = |host: String| if has_port(&host) { host } else { gate.authority(&host) };
    hosts.into_iter().map(|host| Value::from(gate.origin(&whole(host)))).collect()
}

/// Returns the address of this computer that others are most likely to reach, when it listens for others at all.
fn address_of(bound: IpAddr) -> Option<String> {
    match bound.to_canonical() {
        ip if ip.is_loopback() => None,
        ip if ip.is_unspecified() => likely_address(ip).map(host_of),
        ip => Some(host_of(ip)),
    }
}

/// Returns the address of this computer to print when the program starts.
pub(crate) fn host_to_show(ip: IpAddr) -> String {
    let shown = if ip.is_unspecified() { likely_address(ip).unwrap_or(ip) } else { ip };
    host_of(match shown {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    })
}

fn host_of(ip: IpAddr) -> String {
    match ip {
        IpAddr::V4(ip) => ip.to_string(),
        IpAddr::V6(ip) => format!("[{ip}]"),
    }
}

/// Asks the system which of our addresses it would use towards the outside. Nothing is sent: the other address is
/// one that is kept for documentation (RFC 5737, RFC 3849), and a UDP socket sends nothing by connecting.
fn likely_address(ip: IpAddr) -> Option<IpAddr> {
    let ask = |own: &str, other: &str| {
        let socket = UdpSocket::bind(own).ok()?;
        socket.connect(other).ok()?;
        socket.local_addr().ok().map(|addr| addr.ip()).filter(|ip| !ip.is_unspecified())
    };
    let v4 = || ask("0.0.0.0:0", "192.0.2.1:9");
    let v6 = || ask("[::]:0", "[2001:db8::1]:9");
    if ip.is_ipv4() { v4() } else { v4().or_else(v6) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_for_others_are_names_first_and_never_this_computer_s_own() {
        let gate = |tls, names: &[&str]| Gate {
            tls,
            port: 7314,
            names: names.iter().map(|name| (*name).to_owned()).collect(),
            proxy: None,
        };
        let loopback: IpAddr = Ipv4Addr::LOCALHOST.into();
        let network: IpAddr = "192.0.2.5".parse().unwrap();
        let name = "lanes.school.example";
        assert_eq!(usable(&gate(false, &[]), loopback), Vec::<Value>::new());
        assert_eq!(usable(&gate(false, &[]), network), ["http://192.0.2.5:7314"]);
        let both = ["http://lanes.school.example:7314", "http://192.0.2.5:7314"];
        assert_eq!(usable(&gate(false, &[name]), network), both);
        assert_eq!(usable(&gate(true, &[name]), network), ["https://lanes.school.example:7314"]);
        let mapped = "lanes.school.example:8443";
        assert_eq!(usable(&gate(true, &[mapped]), loopback), ["https://lanes.school.example:8443"]);
        assert_eq!(usable(&gate(true, &[]), "2001:db8::5".parse().unwrap()), ["https://[2001:db8::5]:7314"]);
    }
}
