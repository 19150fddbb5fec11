//! Where things lie.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

/// The repository and its build folder.
pub struct House {
    /// Top folder of the repository.
    pub root: PathBuf,
    /// Cargo's build folder.
    pub target: PathBuf,
}

impl House {
    /// Finds the repository that this run belongs to.
    ///
    /// Read at run time, not built in: a build folder may be copied from one checkout to another.
    pub fn find() -> Result<Self> {
        let own = std::env::var_os("CARGO_MANIFEST_DIR").context("run this as `cargo xtask …`")?;
        let root = Path::new(&own).parent().context("xtask lies in the repository")?.to_owned();
        ensure!(root.join("Cargo.lock").exists(), "no Cargo.lock in {}", root.display());
        let target = match std::env::var_os("CARGO_TARGET_DIR") {
            Some(folder) => std::path::absolute(folder)?,
            None => root.join("target"),
        };
        Ok(Self { root, target })
    }

    /// Returns a cargo command that runs at the top of the repository.
    pub fn cargo(&self) -> Command {
        let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
        command.current_dir(&self.root);
        // What cargo told this xtask about itself is no business of the next cargo.
        for name in ["CARGO_MANIFEST_DIR", "CARGO_PKG_NAME", "CARGO_PKG_VERSION"] {
            command.env_remove(name);
        }
        command
    }

    /// Returns where the built program lies.
    pub fn program(&self) -> PathBuf {
        self.target.join("debug").join(format!("lanewright{}", std::env::consts::EXE_SUFFIX))
    }

    /// Returns where the built app lies; the server reads it from there.
    pub fn web(&self) -> PathBuf {
        self.root.join("target/web")
    }

    /// Returns the files of the repository, sorted, relative to its top: what git tracks or would track.
    pub fn files(&self) -> Result<Vec<PathBuf>> {
        let listing = Command::new("git")
            .current_dir(&self.root)
            .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"])
            .output();
        let mut files: Vec<PathBuf> = match listing {
            Ok(output) if output.status.success() => String::from_utf8(output.stdout)?
                .split('\0')
                .filter(|name| !name.is_empty())
                .map(PathBuf::from)
                .filter(|path| self.root.join(path).is_file())
                .collect(),
            _ => {
                let mut found = Vec::new();
                walk(&self.root, Path::new(""), &mut found)?;
                found
            }
        };
        files.sort();
        files.dedup();
        Ok(files)
    }
}

/// Lists files below a folder for a source tree without git.
fn walk(root: &Path, under: &Path, found: &mut Vec<PathBuf>) -> Result<()> {
    for entry in std::fs::read_dir(root.join(under))? {
        let entry = entry?;
        let name = entry.file_name();
        let path = under.join(&name);
        if entry.file_type()?.is_dir() {
            if name != "target" && name != "node_modules" && name != ".git" {
                walk(root, &path, found)?;
            }
        } else {
            found.push(path);
        }
    }
    Ok(())
}
