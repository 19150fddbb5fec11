//! From an address and a data folder to a service that runs.

use std::collections::BTreeSet;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use axum::http::header::{CONTENT_TYPE, HOST, LOCATION};
use axum::http::{Response, StatusCode};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use lanewright_model::Message;
use lanewright_store::postgres::Database;
use lanewright_store::{PostgresStore, SqliteStore, Store, StoreError};
use lanewright_sync::SchoolId;
use rustls::ServerConfig;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;
use tokio_rustls::TlsAcceptor;
use tower::Service;

use crate::devices::host_to_show;
use crate::gate::has_port;
use crate::{AppState, Arrival, BuiltApp, Gate, TlsFiles, app, demo, keep, session, system_clock, tls};

/// Connections at once; more wait (engineering assumption: a school's devices with six connections each).
const CONNECTIONS_MAX: usize = 512;
/// Longest wait for the headers of a request, and for the next request on a connection (engineering assumption).
const HEADERS_WAIT: Duration = Duration::from_secs(30);
/// Longest time for agreeing on encryption (engineering assumption).
const HANDSHAKE_MAX: Duration = Duration::from_secs(10);
/// Most headers of a request (engineering assumption).
const HEADERS_MAX: usize = 64;
/// Longest head of a request, in bytes (engineering assumption; the least that the library takes is 8 kB).
const HEAD_BYTES_MAX: usize = 32 * 1024;
/// The port that stands for itself in `https://` addresses.
const HTTPS_PORT: u16 = 443;
/// How long open requests may take to finish after a stop was asked for (engineering assumption).
const STOP_WAIT: Duration = Duration::from_secs(10);
/// Pause after the system refused a connection, for lack of file handles for example.
const ACCEPT_PAUSE: Duration = Duration::from_millis(100);

/// What to serve, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Config {
    /// `HOST:PORT` to listen on; port 0 takes any free one.
    pub addr: String,
    /// The data folder.
    pub data: PathBuf,
    /// Whether to put the demo class in.
    pub demo: bool,
    /// Certificate and key for encrypted connections.
    pub tls: Option<TlsFiles>,
    /// Further names of this computer, `NAME` or `NAME:PORT`.
    pub hosts: Vec<String>,
    /// A file with the address of a PostgreSQL database to work with instead of the data folder.
    pub database: Option<PathBuf>,
    /// In a database: the school for which this program works; `None`: the one for which the database was made.
    pub school: Option<SchoolId>,
    /// The address of a proxy that stands in front with the certificate: only what comes from there is answered.
    pub proxy: Option<IpAddr>,
}

/// Why the service cannot start. The last words say what to change.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StartError {
    /// The data folder cannot be used.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Someone listens there already.
    #[error(
        "{addr} is taken by another program, perhaps another Lanewright; stop that one, or choose another port with --addr, for example --addr 127.0.0.1:0 for any free one"
    )]
    Taken {
        /// The address.
        addr: String,
    },
    /// The address cannot be used.
    #[error(
        "cannot listen on {addr}: {source}; give --addr as HOST:PORT, for example 127.0.0.1:7314 for this computer or 0.0.0.0:7314 for the network"
    )]
    Address {
        /// The address.
        addr: String,
        /// Why.
        source: io::Error,
    },
    /// A certificate or key file cannot be used.
    #[error("{path} cannot be used for TLS: {problem}")]
    Certificate {
        /// The file.
        path: String,
        /// What is wrong and what to do.
        problem: String,
    },
    /// A proxy without a name for what it stands in front of.
    #[error(
        "behind a proxy browsers know another name; give it with --host NAME, as it stands in the proxy's certificate"
    )]
    ProxyWithoutName,
    /// A name is none.
    #[error("`{provided}` is no name for --host; give it as NAME or NAME:PORT, without http://")]
    Name {
        /// What stood there.
        provided: String,
    },
}

/// A service with its data open and its address bound, ready to run.
pub struct Server {
    listener: TcpListener,
    tls: Option<Arc<ServerConfig>>,
    state: AppState,
    addr: SocketAddr,
    link: String,
    notes: Vec<Message>,
}

impl Server {
    /// Opens the data folder, binds the address and makes a one-time link.
    ///
    /// # Errors
    /// See [`StartError`]; nothing keeps running then.
    pub async fn start(config: Config) -> Result<Self, StartError> {
        let identity = config.tls.as_ref().map(tls::identity).transpose()?;
        let mut names: BTreeSet<String> =
            config.hosts.iter().map(|name| host_name(name)).collect::<Result<_, _>>()?;
        // Names that were asked for stand first in the link; names of the certificate serve when there are none.
        let asked = config.hosts.first().map(|name| name.to_lowercase());
        let certified = identity.as_ref().and_then(|identity| identity.names.first().cloned());
        if let Some(identity) = &identity {
            names.extend(identity.names.iter().cloned());
        }

        if config.proxy.is_some() && asked.is_none() {
            return Err(StartError::ProxyWithoutName);
        }

        let store: Arc<dyn Store> = match &config.database {
            None => Arc::new(SqliteStore::open(&config.data, new_school()).await?),
            Some(file) => {
                let database = Database::from_file(file)?;
                Arc::new(PostgresStore::open(&database, new_school(), config.school).await?)
            }
        };
        let clock = system_clock();
        if config.demo {
            demo::put(&*store, clock()).await?;
        }
        keep::apply_to_all(&*store, clock()).await?;
        let listener = TcpListener::bind(&config.addr).await.map_err(|source| match source.kind() {
            io::ErrorKind::AddrInUse => StartError::Taken { addr: config.addr.clone() },
            _ => StartError::Address { addr: config.addr.clone(), source },
        })?;
        let addr = listener
            .local_addr()
            .map_err(|source| StartError::Address { addr: config.addr.clone(), source })?;

        // Behind a proxy, what browsers see is its port, and its encryption.
        let gate = match config.proxy {
            Some(_) => Gate { tls: true, port: HTTPS_PORT, names, proxy: config.proxy },
            None => Gate { tls: identity.is_some(), port: addr.port(), names, proxy: None },
        };
        let host = asked.or(certified).unwrap_or_else(|| host_to_show(addr.ip()));
        let authority = if has_port(&host) { host } else { gate.authority(&host) };
        let token = session::fresh_link(&*store, clock()).await?;
        let link = format!("{}/open/{token}", gate.origin(&authority));
        let notes = notes(&config, &gate, addr);
        let state =
            AppState { store, gate: Arc::new(gate), assets: Arc::new(BuiltApp), clock, bound: addr.ip() };
        Ok(Self { listener, tls: identity.map(|identity| identity.config), state, addr, link, notes })
    }

    /// Returns the address that is bound, with the port that was really taken.
    pub fn addr(&self) -> SocketAddr {
        self.addr
    }

    /// Returns the one-time link.
    pub fn link(&self) -> &str {
        &self.link
    }

    /// Returns what a person should know, in the order in which it should be said: first how to open the link.
    pub fn notes(&self) -> &[Message] {
        &self.notes
    }

    /// Serves until `stop` resolves, then finishes what is under way and closes the data.
    pub async fn run(self, stop: impl Future<Output = ()>) {
        let service = app(self.state.clone());
        let keeper = tokio::spawn(keep::daily(self.state.clone()));
        let graceful = GracefulShutdown::new();
        let seats = Arc::new(Semaphore::new(CONNECTIONS_MAX));
        let tls = self.tls.map(TlsAcceptor::from);
        let mut stop = std::pin::pin!(stop);
        loop {
            let next = async {
                let seat = seats.clone().acquire_owned().await.expect("never closed");
                (seat, self.listener.accept().await)
            };
            let (seat, accepted) = tokio::select! {
                next = next => next,
                () = &mut stop => break,
            };
            let (stream, peer) = match accepted {
                Ok(accepted) => accepted,
                Err(error) => {
                    tracing::warn!(%error, "a connection was not accepted");
                    tokio::time::sleep(ACCEPT_PAUSE).await;
                    continue;
                }
            };
            let Ok(local) = stream.local_addr() else { continue };
            // Answers are small and awaited: they are sent at once instead of being collected.
            let _ = stream.set_nodelay(true);
            let connection = Connection {
                arrival: Arrival { peer, local },
                service: service.clone(),
                gate: self.state.gate.clone(),
                watcher: graceful.watcher(),
            };
            let tls = tls.clone();
            tokio::spawn(async move {
                match tls {
                    None => connection.serve(stream).await,
                    Some(tls) => connection.serve_tls(stream, &tls).await,
                }
                drop(seat);
            });
        }
        drop(self.listener);
        tracing::info!("stopping");
        if tokio::time::timeout(STOP_WAIT, graceful.shutdown()).await.is_err() {
            tracing::warn!("some requests did not finish in time");
        }
        keeper.abort();
        self.state.store.close().await;
    }
}

/// One connection on its way to the service.
struct Connection {
    arrival: Arrival,
    service: Router,
    gate: Arc<Gate>,
    watcher: hyper_util::server::graceful::Watcher,
}

impl Connection {
    async fn serve<S: AsyncRead + AsyncWrite + Unpin + Send + 'static>(self, stream: S) {
        let Self { arrival, service, watcher, .. } = self;
        let service = service_fn(move |mut request: Request<hyper::body::Incoming>| {
            request.extensions_mut().insert(arrival);
            service.clone().call(request)
        });
        let connection = builder().serve_connection(TokioIo::new(stream), service);
        if let Err(error) = watcher.watch(connection).await {
            tracing::debug!(%error, "a connection ended early");
        }
    }

    async fn serve_tls(self, stream: TcpStream, tls: &TlsAcceptor) {
        // The first byte of a TLS connection is 22 (RFC 8446, section 5.1, handshake). Who speaks plain HTTP here
        // has left out the s of https.
        let accepted = tokio::time::timeout(HANDSHAKE_MAX, async {
            let mut first = [0];
            match stream.peek(&mut first).await {
                Ok(1) if first == [22] => tls.accept(stream).await.map(Ok),
                Ok(1) => Ok(Err(stream)),
                Ok(_) => Err(io::ErrorKind::UnexpectedEof.into()),
                Err(error) => Err(error),
            }
        });
        match accepted.await {
            Ok(Ok(Ok(stream))) => self.serve(stream).await,
            Ok(Ok(Err(stream))) => self.point_to_https(stream).await,
            Ok(Err(error)) => tracing::debug!(%error, "no encrypted connection came about"),
            Err(_) => tracing::debug!("no encrypted connection came about in time"),
        }
    }

    /// Answers plain HTTP on an encrypted port: with the start page's encrypted address, never with data.
    async fn point_to_https(self, stream: TcpStream) {
        let (gate, arrival) = (self.gate, self.arrival);
        let service = service_fn(move |request: Request<hyper::body::Incoming>| {
            let host = request.headers().get(HOST).and_then(|host| host.to_str().ok());
            let known = host.filter(|host| gate.knows(host, Some(&arrival)));
            let response =
                Response::builder().header("connection", "close").header("cache-control", "no-store");
            let response = match known {
                Some(host) => response
                    .status(StatusCode::PERMANENT_REDIRECT)
                    .header(LOCATION, format!("{}/", gate.origin(host)))
                    .body(Body::empty()),
                None => response
                    .status(StatusCode::BAD_REQUEST)
                    .header(CONTENT_TYPE, "text/plain; charset=utf-8")
                    .body(Body::from("This address is encrypted: begin it with https://\n")),
            };
            std::future::ready(response)
        });
        let connection = builder().keep_alive(false).serve_connection(TokioIo::new(stream), service);
        let _ = self.watcher.watch(connection).await;
    }
}

/// How connections are read: slowly arriving or overlong heads are cut off.
fn builder() -> http1::Builder {
    let mut builder = http1::Builder::new();
    builder
        .timer(TokioTimer::new())
        .header_read_timeout(HEADERS_WAIT)
        .max_headers(HEADERS_MAX)
        .max_buf_size(HEAD_BYTES_MAX);
    builder
}

fn new_school() -> SchoolId {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).expect("the system has randomness");
    SchoolId(uuid::Builder::from_random_bytes(bytes).into_uuid())
}

/// Reads a name for `--host`.
fn host_name(provided: &str) -> Result<String, StartError> {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"-._:[]".contains(&byte);
    if provided.is_empty() || !provided.bytes().all(allowed) {
        return Err(StartError::Name { provided: provided.to_owned() });
    }
    Ok(provided.to_lowercase())
}

fn notes(config: &Config, gate: &Gate, addr: SocketAddr) -> Vec<Message> {
    let here = addr.ip().to_canonical().is_loopback() && gate.proxy.is_none();
    let mut notes = vec![
        Message::new(if here { "server-open" } else { "server-open-network" }),
        Message::new("server-open-once"),
    ];
    if config.demo {
        notes.push(Message::new("server-demo"));
    }
    if !here && !gate.tls {
        notes.push(Message::new("server-plain-network"));
        notes.push(Message::new("server-plain-network-remedy"));
    }
    if !gate.names.is_empty() {
        let names: Vec<&str> = gate.names.iter().map(String::as_str).collect();
        notes.push(Message::new("server-names").text("names", names.join(", ")));
    }
    notes.push(match &config.database {
        None => Message::new("server-data").text("folder", config.data.display().to_string()),
        Some(file) => Message::new("server-database").text("file", file.display().to_string()),
    });
    if let Some(proxy) = gate.proxy {
        notes.push(Message::new("server-proxy").text("proxy", proxy.to_string()));
    }
    notes.push(Message::new("server-stop"));
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_note_has_words() {
        let words = lanewright_model::words::Words::english(lanewright_model::words::Units::Metric);
        let config = Config {
            addr: String::new(),
            data: "folder".into(),
            demo: true,
            tls: None,
            hosts: Vec::new(),
            database: None,
            school: None,
            proxy: None,
        };
        let shared = Config { database: Some("file".into()), ..config.clone() };
        let names: BTreeSet<String> = [String::from("lanes.school.example")].into();
        let plain = Gate { tls: false, port: 7314, names: names.clone(), proxy: None };
        let behind = Gate { tls: true, port: 443, names, proxy: Some("127.0.0.1".parse().unwrap()) };
        for (config, gate, addr, count) in [
            (&config, &plain, "127.0.0.1:7314", 6),
            (&config, &plain, "192.0.2.5:7314", 8),
            (&shared, &behind, "127.0.0.1:7314", 7),
        ] {
            let notes = notes(config, gate, addr.parse().unwrap());
            assert_eq!(notes.len(), count);
            for note in notes {
                let text = words.say(&note);
                assert!(!text.starts_with("server-") && !text.contains('{'), "{text}");
            }
        }
    }

    #[test]
    fn a_host_is_a_name_with_or_without_a_port() {
        for (name, port) in [
            ("lanes.school.example", false),
            ("lanes.school.example:8443", true),
            ("192.0.2.5", false),
            ("[2001:db8::5]", false),
            ("[2001:db8::5]:8443", true),
        ] {
            assert_eq!(host_name(name).unwrap(), name);
            assert_eq!(has_port(name), port, "{name}");
        }
        for wrong in ["", "http://lanes.school.example", "a b", "lanes/x", "läufe.example"] {
            assert!(host_name(wrong).is_err(), "{wrong}");
        }
    }
}
