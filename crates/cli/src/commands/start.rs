//! `lanewright start`: the app on this computer, or on the school's network.

use std::fmt::Write as _;
use std::path::PathBuf;

use etcetera::base_strategy::{BaseStrategy, choose_native_strategy};
use lanewright_model::words::Units;
use lanewright_server::{Config, Server, StartError, TlsFiles};
use lanewright_sync::SchoolId;

use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # Look around with an invented class.
  lanewright start --demo
  # Your own classes, on this computer only.
  lanewright start
  # On the school's network, with a certificate for the name of this computer.
  lanewright start --addr 0.0.0.0:7314 --tls-cert lanes.pem --tls-key lanes-key.pem
  # Behind a proxy on this computer that has the certificate, with the data in a PostgreSQL database.
  lanewright start --proxy 127.0.0.1 --host lanes.school.example --database /etc/lanewright/database";

const NOTES: &str = "\
The data folder must lie on a disk of this computer, not in a synchronised or network folder.
The address of a database is read from a file, since it may hold a password, and other programs of this computer see
flags and environment. Several programs may work with one database at once.
On a server of a school or a district: docs/deploy.md
What is kept and how it is protected: SECURITY.md

Exit codes:
  0  stopped when asked to
  2  a flag, an address or a name cannot be used
  3  the data folder or a certificate file cannot be used";

/// Serves the app with its data and prints a one-time link to open it.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES)]
pub(crate) struct Args {
    /// Put in an invented class, a kit and a hall; without --data in a folder of their own
    #[arg(long)]
    demo: bool,
    /// Folder for the data; without it, a folder of this user's own
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    #[command(flatten)]
    shared: Shared,
    /// Address to listen on; 0.0.0.0 for all addresses of this computer, port 0 for any free port
    #[arg(long, value_name = "HOST:PORT", default_value = "127.0.0.1:7314")]
    addr: String,
    /// Further name by which browsers may reach this computer, NAME or NAME:PORT; may be given again
    #[arg(long, value_name = "NAME")]
    host: Vec<String>,
    /// Certificate in PEM, followed by those between it and its root
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// Private key of the certificate in PEM
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// Address from which a proxy with a certificate passes requests on; nobody else is answered. It must pass Host on
    /// unchanged and set X-Forwarded-Proto
    #[arg(long, value_name = "IP", requires = "host", conflicts_with = "tls_cert")]
    proxy: Option<std::net::IpAddr>,
}

/// A PostgreSQL database instead of the data folder.
#[derive(clap::Args, Clone)]
pub(super) struct Shared {
    /// File with the address of a PostgreSQL database, postgres://ROLE@HOST/DATABASE, instead of a data folder
    #[arg(long, value_name = "FILE", conflicts_with_all = ["data", "demo"])]
    pub database: Option<PathBuf>,
    /// In a database of several schools: the id of the school that is meant
    #[arg(long, value_name = "ID", requires = "database")]
    pub school: Option<uuid::Uuid>,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_ansi(false)
        .with_target(false)
        .with_max_level(tracing_subscriber::filter::LevelFilter::INFO)
        .init();
    let config = Config {
        addr: args.addr.clone(),
        data: match args.shared.database {
            // Not looked for: a service may have no home folder.
            Some(_) => PathBuf::new(),
            None => data_folder(args.data.as_ref(), args.demo)?,
        },
        demo: args.demo,
        tls: match (&args.tls_cert, &args.tls_key) {
            (Some(cert), Some(key)) => Some(TlsFiles { cert: cert.clone(), key: key.clone() }),
            _ => None,
        },
        hosts: args.host.clone(),
        database: args.shared.database.clone(),
        school: args.shared.school.map(SchoolId),
        proxy: args.proxy,
    };
    let runtime = tokio::runtime::Runtime::new()
        .map_err(|error| Failure::new(Kind::Read, format!("the system gives no threads: {error}")))?;
    runtime.block_on(async {
        let server = Server::start(config).await.map_err(|error| failure(&error))?;
        // Before anything is printed: whoever reads the link may end the program at once.
        let requests = StopRequests::listen()
            .map_err(|error| Failure::new(Kind::Read, format!("the system passes on no signals: {error}")))?;
        output::print(&greeting(&server))?;
        server.run(asked_to_stop(requests)).await;
        Ok(())
    })
}

/// Returns what a person needs to know, the link on a line of its own.
fn greeting(server: &Server) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    for (place, note) in server.notes().iter().enumerate() {
        output::wrapped("", "", words.say(note).split(' '), &mut text);
        if place == 0 {
            writeln!(text, "\n  {}\n", server.link()).expect("a String grows");
        }
    }
    text
}

/// Resolves when the terminal or the system asks the program to end. Asked again, the program ends at once:
/// what was confirmed is on the disk.
async fn asked_to_stop(mut requests: StopRequests) {
    requests.next().await;
    tokio::spawn(async move {
        requests.next().await;
        std::process::exit(ENDED_BY_INTERRUPT);
    });
}

/// What shells report for a program that Ctrl-C has ended: 128 and the signal's number.
const ENDED_BY_INTERRUPT: i32 = 130;

/// Requests to end, heard from the moment at which this is made.
struct StopRequests {
    #[cfg(unix)]
    signals: [tokio::signal::unix::Signal; 2],
}

impl StopRequests {
    #[cfg(unix)]
    fn listen() -> std::io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Self { signals: [signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?] })
    }

    #[cfg(not(unix))]
    fn listen() -> std::io::Result<Self> {
        Ok(Self {})
    }

    #[cfg(unix)]
    async fn next(&mut self) {
        let [interrupt, terminate] = &mut self.signals;
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    }

    #[cfg(not(unix))]
    async fn next(&mut self) {
        let _ = tokio::signal::ctrl_c().await;
    }
}

/// Returns the data folder: as given, or this user's own.
pub(super) fn data_folder(data: Option<&PathBuf>, demo: bool) -> Result<PathBuf, Failure> {
    if let Some(data) = data {
        return Ok(data.clone());
    }
    let own = choose_native_strategy().map_err(|_| {
        Failure::new(Kind::Usage, "this user has no home folder")
            .and("Name a folder for the data with --data DIR.")
    })?;
    // On Windows the usual data folder travels between computers; a database must stay on one. The folder that
    // stays is the one for local data, which goes by the name of cache here.
    let base = if cfg!(windows) { own.cache_dir() } else { own.data_dir() };
    let folder = base.join("lanewright");
    Ok(if demo { folder.join("demo") } else { folder.join("data") })
}

fn failure(error: &StartError) -> Failure {
    let kind = match error {
        StartError::Taken { .. }
        | StartError::Address { .. }
        | StartError::Name { .. }
        | StartError::ProxyWithoutName => Kind::Usage,
        _ => Kind::Read,
    };
    Failure::new(kind, error.to_string())
}
