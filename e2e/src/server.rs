//! The program as people start it.

use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use tempfile::TempDir;
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, Command};

use crate::Front;

/// How long the program may take to print its link. It takes a few hundredths of a second.
const LINK_WITHIN: Duration = Duration::from_secs(60);

/// A running `lanewright start`, with its data in a folder of its own. It ends with this value.
pub struct Server {
    child: Option<Child>,
    data: TempDir,
    /// `127.0.0.1:PORT`.
    pub addr: String,
    /// The link that opens the coach's session, once.
    pub link: String,
    /// The address before the program's under which browsers know it, if there is one.
    front: Option<String>,
}

impl Server {
    /// Starts the program with the demo class on a free port.
    pub async fn demo() -> Result<Self> {
        Self::begin("127.0.0.1:0".into(), None).await
    }

    /// The same behind an address of the test's own.
    pub async fn demo_behind(front: &Front) -> Result<Self> {
        // The link will name the front, so the port has to be known before: one that is free now.
        let addr = std::net::TcpListener::bind("127.0.0.1:0")?.local_addr()?.to_string();
        front.ask_at(&addr);
        Self::begin(addr, Some(front.addr.clone())).await
    }

    async fn begin(addr: String, front: Option<String>) -> Result<Self> {
        let mut server = Self { child: None, data: tempfile::tempdir()?, addr, link: String::new(), front };
        server.start().await?;
        Ok(server)
    }

    /// Starts the program again, on the same address and with the same data, after [`stop`](Self::stop).
    pub async fn start(&mut self) -> Result<()> {
        let mut child = Command::new(program()?)
            .args(["start", "--demo", "--addr", &self.addr, "--data"])
            .arg(self.data.path())
            .args(self.front.iter().flat_map(|front| ["--host", front]))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()
            .context("could not run the program")?;
        let mut lines = BufReader::new(child.stdout.take().context("stdout is piped")?).lines();
        let link = async {
            while let Some(line) = lines.next_line().await? {
                let found = line.split_whitespace().find(|word| word.contains("/open/"));
                if let Some(link) = found {
                    return Ok(link.to_owned());
                }
            }
            bail!("the program ended without a link; its messages are above")
        };
        self.link =
            tokio::time::timeout(LINK_WITHIN, link).await.context("the program printed no link")??;
        let address = self.link.split("//").nth(1).and_then(|rest| rest.split('/').next());
        let address = address.context("the link has an address")?;
        if self.front.is_none() {
            self.addr = address.to_owned();
        }
        // Read to the end, or the program would one day block on a full pipe.
        tokio::spawn(async move { while let Ok(Some(_)) = lines.next_line().await {} });
        self.child = Some(child);
        Ok(())
    }

    /// Stops the program: from here on nobody answers at its address.
    pub async fn stop(&mut self) -> Result<()> {
        if let Some(mut child) = self.child.take() {
            child.kill().await?;
        }
        Ok(())
    }

    /// Starts the program again and returns its fresh link.
    pub async fn link_again(&mut self) -> Result<String> {
        self.stop().await?;
        self.start().await?;
        Ok(self.link.clone())
    }

    /// Returns the address of a page.
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.front.as_ref().unwrap_or(&self.addr))
    }

    /// Returns the folder with the program's data.
    pub fn data(&self) -> &Path {
        self.data.path()
    }
}

/// Returns where the built program lies.
pub fn program() -> Result<PathBuf> {
    let path = std::env::var_os("LANEWRIGHT_PROGRAM").context("run this through `cargo xtask test`")?;
    Ok(path.into())
}
