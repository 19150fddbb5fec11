//! A PostgreSQL server of a test's own: in a temporary folder, reached by a socket in it, gone with the test program.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use crate::postgres::Database;

/// The role as which stores work. It owns its databases and nothing else.
pub const ROLE: &str = "lanewright";
/// Asks since when the server runs.
const STARTED: &str = "SELECT pg_postmaster_start_time()";
/// The role that may do everything.
const ADMIN: &str = "admin";

/// Starts the server, kills it and starts it anew for each line on its standard input, and ends it when that is closed:
/// the system does so for a program that is gone, however it ended. $1: the folder; the others: settings of the server.
const SCRIPT: &str = r#"
folder=$1; shift
trap '' INT TERM
begin() { postgres -D "$folder/data" -c listen_addresses= -c unix_socket_directories="$folder" "$@" & }
exec >> "$folder/log" 2>&1
initdb --pgdata "$folder/data" --username admin --auth trust --encoding UTF8 --locale C --no-sync
begin "$@"
while read -r _; do kill -QUIT $!; wait $!; begin "$@"; done
kill -QUIT $!
wait $!
rm -rf "$folder/data" "$folder"/.s.* "$folder/log"
rmdir "$folder"
"#;

/// A server, ended with this value.
pub struct Cluster {
    folder: PathBuf,
    made: AtomicU32,
    child: Child,
    line: Option<ChildStdin>,
}

impl Cluster {
    /// Returns the server that all tests of one program share, each with databases of its own.
    pub fn shared() -> &'static Self {
        static SHARED: OnceLock<Cluster> = OnceLock::new();
        SHARED.get_or_init(|| Self::start(&[]))
    }

    /// Starts a server with further settings, each `NAME=VALUE`.
    ///
    /// # Panics
    /// PostgreSQL is not there, or does not start.
    pub fn start(settings: &[&str]) -> Self {
        let folder = tempfile::Builder::new().prefix("lw-").tempdir().expect("a temporary folder").keep();
        let mut command = Command::new("sh");
        command.args(["-c", SCRIPT, "sh"]).arg(&folder);
        for setting in settings {
            command.args(["-c", setting]);
        }
        let search = [programs(), "/usr/bin".into(), "/bin".into()];
        command.env("PATH", std::env::join_paths(search).expect("no colon in it")).current_dir(&folder);
        command.stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null());
        hand_over(&mut command, &folder);
        let mut child = command.spawn().expect("sh starts");
        let line = child.stdin.take();
        let cluster = Self { folder, made: AtomicU32::new(0), child, line };
        cluster.wait_until_up("");
        cluster.sql("postgres", &format!("CREATE ROLE {ROLE} LOGIN"));
        cluster
    }

    /// Ends the server without warning, as a crash of it would, and starts it again.
    pub fn crash(&mut self) {
        let before = self.sql("postgres", STARTED);
        self.line.as_mut().expect("not ended yet").write_all(b"\n").expect("the script listens");
        self.wait_until_up(&before);
    }

    /// Waits until a server answers that was not started at this time.
    fn wait_until_up(&self, before: &str) {
        // A minute: whoever waits longer has a reason to look at the log.
        let up = (0..600).any(|_| {
            std::thread::sleep(Duration::from_millis(100));
            self.psql("postgres", STARTED).is_ok_and(|started| started != before)
        });
        let log = fs::read_to_string(self.folder.join("log")).unwrap_or_default();
        assert!(up, "PostgreSQL did not start:\n{log}");
    }

    /// Makes an empty database that belongs to [`ROLE`] and returns its name.
    pub fn empty(&self) -> String {
        let name = format!("t{}", self.made.fetch_add(1, Ordering::SeqCst));
        self.sql("postgres", &format!("CREATE DATABASE {name} OWNER {ROLE}"));
        name
    }

    /// Returns the address of a database.
    pub fn address(&self, name: &str, role: &str) -> String {
        format!("postgres://{role}@localhost/{name}?host={}", self.folder.display())
    }

    /// Returns how a store reaches a database.
    pub fn reach(&self, name: &str) -> Database {
        Database::parse(&self.address(name, ROLE)).expect("an address")
    }

    /// Runs SQL in a database as the role that may do everything, past all rules for rows.
    ///
    /// # Panics
    /// It fails.
    #[track_caller]
    pub fn sql(&self, name: &str, sql: &str) -> String {
        self.psql(name, sql).unwrap_or_else(|said| panic!("{sql}: {said}"))
    }

    fn psql(&self, name: &str, sql: &str) -> Result<String, String> {
        self.psql_as(ADMIN, name, &["-c", sql])
    }

    /// Runs `psql` as a role, with these arguments.
    ///
    /// # Errors
    /// What it said when it failed.
    pub fn psql_as(&self, role: &str, name: &str, args: &[&str]) -> Result<String, String> {
        let output = Command::new(programs().join("psql"))
            .args(["-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-U", role, "-d", name, "-h"])
            .arg(&self.folder)
            .args(args)
            .stdin(Stdio::null())
            .output()
            .expect("psql runs");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).trim_end().to_owned();
        if output.status.success() { Ok(text(&output.stdout)) } else { Err(text(&output.stderr)) }
    }

    /// Runs one of PostgreSQL's programs on this server, as the role that may do everything.
    pub fn program(&self, name: &str) -> Command {
        let mut command = Command::new(programs().join(name));
        command.args(["-U", ADMIN, "-h"]).arg(&self.folder).stdin(Stdio::null());
        command
    }

    /// The folder with the server's files, and its log as `log`.
    pub fn folder(&self) -> &Path {
        &self.folder
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        drop(self.line.take());
        let _ = self.child.wait();
    }
}

/// Returns the folder with PostgreSQL's programs.
///
/// # Panics
/// They are not there.
pub fn programs() -> PathBuf {
    static FOUND: OnceLock<PathBuf> = OnceLock::new();
    FOUND.get_or_init(|| {
        let named = std::env::var_os("LANEWRIGHT_POSTGRES").map(PathBuf::from);
        let on_path = std::env::var_os("PATH").unwrap_or_default();
        let mut installed: Vec<PathBuf> = fs::read_dir("/usr/lib/postgresql")
            .into_iter()
            .flatten()
            .flatten()
            .map(|version| version.path().join("bin"))
            .collect();
        // The newest first, by the number in its path.
        installed.sort_by_key(|path| {
            let version = path.parent().and_then(Path::file_name).and_then(|name| name.to_str());
            std::cmp::Reverse(version.and_then(|version| version.parse::<u32>().ok()))
        });
        let folders = named.into_iter().chain(std::env::split_paths(&on_path)).chain(installed);
        // On the PATH there may be links only.
        let real = |folder: PathBuf| Some(folder.join("initdb").canonicalize().ok()?.parent()?.to_owned());
        folders.filter_map(real).find(|folder| folder.join("postgres").is_file()).expect(
            "these tests need PostgreSQL: apt-get install postgresql, or set LANEWRIGHT_POSTGRES to the folder \
             with its programs",
        )
    })
    .clone()
}

/// PostgreSQL does not run as root: as root the command becomes one of the user `postgres`, whose folder this is then.
#[cfg(unix)]
fn hand_over(command: &mut Command, folder: &Path) {
    use std::os::unix::fs::MetadataExt;
    use std::os::unix::process::CommandExt;
    if fs::metadata(folder).expect("just made").uid() != 0 {
        return;
    }
    let users = fs::read_to_string("/etc/passwd").expect("a list of users");
    let of = |wanted: &str| {
        let line = users.lines().find(|line| line.split(':').next() == Some(wanted))?;
        let mut fields = line.split(':').skip(2);
        Some((fields.next()?.parse::<u32>().ok()?, fields.next()?.parse::<u32>().ok()?))
    };
    let (user, group) = of("postgres").or_else(|| of("nobody")).expect("a user who is not root");
    std::os::unix::fs::chown(folder, Some(user), Some(group)).expect("given to that user");
    command.uid(user).gid(group);
}

#[cfg(not(unix))]
fn hand_over(_command: &mut Command, _folder: &Path) {}
