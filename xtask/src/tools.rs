//! Programs from outside: finding them, asking for them, running them.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::house::House;
use crate::stages::Counts;

/// The target that the app is compiled for.
pub const WASM: &str = "wasm32-unknown-unknown";

/// Names under which Chromium and its kin are installed.
const BROWSERS: &[&str] = &[
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
];

/// Runs a command to its end; fails when it does.
pub fn run(command: &mut Command) -> Result<()> {
    let status = command.status().with_context(|| format!("could not run {}", shown(command)))?;
    if status.success() { Ok(()) } else { bail!("{} ended with {status}", shown(command)) }
}

/// Runs a command and returns what it printed to stdout; fails when it does.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .with_context(|| format!("could not run {}", shown(command)))?;
    if !output.status.success() {
        bail!("{} ended with {}", shown(command), output.status);
    }
    Ok(String::from_utf8(output.stdout)?)
}

/// Runs `cargo test` and counts the tests, passing its lines on as they come.
pub fn count_tests(command: &mut Command) -> Result<Counts> {
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("could not run {}", shown(command)))?;
    let mut counts = Counts::NONE;
    for line in BufReader::new(child.stdout.take().context("stdout is piped")?).lines() {
        let line = line?;
        counts.add_result_line(&line);
        println!("{line}");
    }
    let status = child.wait()?;
    if !status.success() && counts.failed == 0 {
        bail!("{} ended with {status}", shown(command));
    }
    Ok(counts)
}

/// Returns the command as a person would type it.
pub fn shown(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or_default().to_string_lossy();
    command.get_args().fold(program.into_owned(), |text, arg| format!("{text} {}", arg.to_string_lossy()))
}

/// Returns where a program lies, if it is on the PATH (or is a path and exists).
pub fn find(name: &str) -> Option<PathBuf> {
    if Path::new(name).is_absolute() {
        return Path::new(name).exists().then(|| name.into());
    }
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(format!("{name}{}", std::env::consts::EXE_SUFFIX)))
        .find(|path| path.is_file())
}

/// Makes sure that Rust can compile the app; installs the target through rustup when it may.
pub fn ensure_wasm_target(house: &House) -> Result<()> {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let folder = output(Command::new(rustc).current_dir(&house.root).args(["--print", "sysroot"]))?;
    if Path::new(folder.trim()).join("lib/rustlib").join(WASM).join("lib").is_dir() {
        return Ok(());
    }
    if find("rustup").is_none() {
        bail!(
            "the app needs Rust's {WASM} target, and rustup is not here to add it.\nInstall the package that brings it (Debian: libstd-rust-dev-wasm32), or Rust through rustup, and try again."
        );
    }
    eprintln!("adding Rust's {WASM} target");
    run(Command::new("rustup").current_dir(&house.root).args(["target", "add", WASM]))
}

/// Returns the browser for the tests. As root on a Debian system a missing one is installed;
/// elsewhere the command to type is said.
pub fn ensure_browser() -> Result<PathBuf> {
    if let Some(chosen) = std::env::var_os("LANEWRIGHT_BROWSER") {
        return Ok(chosen.into());
    }
    if let Some(browser) = BROWSERS.iter().find_map(|name| find(name)) {
        return Ok(browser);
    }
    const ASK: &str = "the browser tests need Chromium: apt-get install chromium (or set LANEWRIGHT_BROWSER \
                       to a Chromium or Chrome that is already here); `cargo xtask check` needs none";
    if find("apt-get").is_none() || !is_root() {
        bail!("{ASK}");
    }
    eprintln!("installing Chromium");
    run(apt().args(["update", "-q"]))?;
    run(apt().args(["install", "-y", "-q", "--no-install-recommends", "chromium"]))?;
    BROWSERS.iter().find_map(|name| find(name)).context(ASK)
}

/// Returns the tracer for the power-cut tests. As root on a Debian system a missing one is installed; where there is none, or
/// where no program may trace another, those tests are left out, and it is said here.
pub fn tracer() -> Result<Option<PathBuf>> {
    if !cfg!(target_os = "linux") {
        return Ok(None);
    }
    if find("strace").is_none() && find("apt-get").is_some() && is_root() {
        eprintln!("installing strace");
        run(apt().args(["update", "-q"]))?;
        run(apt().args(["install", "-y", "-q", "--no-install-recommends", "strace"]))?;
    }
    let Some(tracer) = find("strace") else {
        eprintln!("no strace: power cuts are left out (Debian: apt-get install strace)");
        return Ok(None);
    };
    let tried = Command::new(&tracer).args(["-f", "-e", "trace=none", "true"]).output()?;
    if !tried.status.success() {
        eprintln!("strace may not trace a program here: power cuts are left out");
        return Ok(None);
    }
    Ok(Some(tracer))
}

fn apt() -> Command {
    let mut command = Command::new("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive").stdin(Stdio::null()).stdout(Stdio::null());
    command
}

fn is_root() -> bool {
    let id = Command::new("id").arg("-u").output();
    id.is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}
