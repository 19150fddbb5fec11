//! What a program did to the files of a folder and when it acked what, read from a trace of its system calls.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// Calls that are traced: all that change files, all that answer. A `?` stands before those that some machines lack.
const CALLS: &str = "trace=?open,?creat,openat,write,pwrite64,writev,pwritev,pwritev2,sendto,sendmsg,fsync,fdatasync,\
                     ?sync_file_range,ftruncate,truncate,fallocate,?rename,?renameat,renameat2,?unlink,unlinkat,?link,\
                     linkat,copy_file_range";

/// Something that happened to a file of the folder, or an ack that left the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    Make(String),
    Write {
        file: String,
        offset: usize,
        bytes: Vec<u8>,
    },
    Cut {
        file: String,
        length: usize,
    },
    /// A sync that has come back. It covers what happened before `begun`.
    Synced {
        file: String,
        begun: usize,
    },
    /// A sync of the folder itself: names that were given or taken before `begun` are on the disk.
    FolderSynced {
        begun: usize,
    },
    Remove(String),
    /// Proof of the record with this digest went out.
    Acked(String),
}

/// An event and its moment: a number that grows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    pub at: usize,
    pub what: What,
}

/// Returns the tracing program when it is here and may trace.
///
/// Whoever names one in `LANEWRIGHT_STRACE` wants these tests: then it is a failure when it cannot trace. Otherwise a
/// machine without one leaves them out, and says so.
pub fn tracer() -> Option<PathBuf> {
    let asked = std::env::var_os("LANEWRIGHT_STRACE");
    let program = asked.clone().map_or_else(|| PathBuf::from("strace"), PathBuf::from);
    let folder = tempfile::tempdir().expect("a folder");
    let tried = Command::new(&program)
        .arg("-o")
        .arg(folder.path().join("trace"))
        .args(["-D", "-f", "-y", "-xx", "-e", "trace=openat", "true"])
        .stderr(Stdio::null())
        .status();
    if tried.is_ok_and(|status| status.success()) {
        return Some(program);
    }
    assert!(asked.is_none(), "{} cannot trace a program here", program.display());
    eprintln!("left out: strace is not here, or may not trace a program (Debian: apt-get install strace)");
    None
}

/// Returns a command that runs a program as its own child and writes down what it calls.
pub fn traced(tracer: &Path, trace: &Path, program: &Path) -> Command {
    let mut command = Command::new(tracer);
    command.args(["-D", "-f", "-y", "-xx", "-s", "100000000", "-e", CALLS, "-o"]).arg(trace).arg(program);
    command
}

/// Waits until the trace tells of the end of a process, and returns it.
pub fn finished(trace: &Path, process: u32) -> String {
    let process = process.to_string();
    let ends = |line: &str| {
        line.split_once(' ').is_some_and(|(who, what)| who == process && what.trim_start().starts_with("+++"))
    };
    for _ in 0..2000 {
        let text = fs::read_to_string(trace).unwrap_or_default();
        if text.ends_with('\n') && text.lines().rev().take(100).any(ends) {
            return text;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("the trace does not end");
}

/// One call, put together again where others came in between.
struct Call<'a> {
    entered: usize,
    left: usize,
    name: &'a str,
    arguments: String,
    result: String,
}

/// Reads a trace. `from`: the moment of its first line.
pub fn events(text: &str, folder: &Path, from: usize) -> Vec<Event> {
    let mut begun: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
    let mut said: BTreeMap<String, String> = BTreeMap::new();
    let mut events = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let at = from + number;
        let Some((process, line)) = line.split_once(' ') else { continue };
        let line = line.trim_start();
        if let Some(first) = line.strip_suffix(" <unfinished ...>") {
            begun.insert(process, (at, first));
            continue;
        }
        let (entered, whole) = match line.strip_prefix("<... ") {
            Some(rest) => {
                let (entered, first) = begun.remove(process).expect("it was begun");
                (entered, format!("{first}{}", rest.split_once("resumed>").expect("resumed").1))
            }
            None => (at, line.to_owned()),
        };
        let Some((name, rest)) = whole.split_once('(') else { continue };
        let Some((arguments, result)) = rest.rsplit_once(" = ") else { continue };
        let call = Call {
            entered,
            left: at,
            name,
            arguments: arguments.trim_end().trim_end_matches(')').to_owned(),
            result: result.to_owned(),
        };
        read(&call, folder, &mut said, &mut events);
    }
    events.sort_by_key(|event: &Event| event.at);
    events
}

/// Returns the text between angle brackets: the path of a handle.
fn path_in(text: &str) -> Option<PathBuf> {
    let (_, rest) = text.split_once('<')?;
    let (path, _) = rest.split_once('>')?;
    Some(PathBuf::from(String::from_utf8_lossy(&bytes_of(path)).into_owned()))
}

/// Reads `\x2f\x74`.
fn bytes_of(text: &str) -> Vec<u8> {
    text.split("\\x").skip(1).map(|pair| u8::from_str_radix(&pair[..2], 16).expect("hexadecimal")).collect()
}

/// Returns the bytes of all texts in quotation marks, one after the other.
fn quoted(arguments: &str) -> Vec<u8> {
    arguments.split('"').skip(1).step_by(2).flat_map(bytes_of).collect()
}

fn read(call: &Call, folder: &Path, said: &mut BTreeMap<String, String>, events: &mut Vec<Event>) {
    let result: i64 = call.result.split(['<', ' ']).next().and_then(|text| text.parse().ok()).unwrap_or(-1);
    let opens = matches!(call.name, "open" | "openat" | "creat");
    let path = if opens { path_in(&call.result) } else { path_in(&call.arguments) };
    // The name of a file of the folder; empty for the folder itself.
    let inside = |path: &Path| path.strip_prefix(folder).ok().map(|name| name.display().to_string());
    let file = path.as_deref().and_then(inside);
    let numbers: Vec<usize> =
        call.arguments.rsplit(", ").map_while(|text| text.trim().parse().ok()).collect();
    let mut happened = |at, what| events.push(Event { at, what });
    if result < 0 {
        return;
    }
    match (call.name, file) {
        ("open" | "openat" | "creat", Some(file)) => {
            if call.arguments.contains("O_CREAT") || call.name == "creat" {
                happened(call.entered, What::Make(file.clone()));
            }
            if call.arguments.contains("O_TRUNC") || call.name == "creat" {
                happened(call.entered, What::Cut { file, length: 0 });
            }
        }
        ("pwrite64", Some(file)) => {
            let mut bytes = quoted(&call.arguments);
            bytes.truncate(result as usize);
            happened(call.entered, What::Write { file, offset: numbers[0], bytes });
        }
        ("ftruncate", Some(file)) => happened(call.entered, What::Cut { file, length: numbers[0] }),
        ("fsync" | "fdatasync", Some(file)) if file.is_empty() => {
            happened(call.left, What::FolderSynced { begun: call.entered });
        }
        ("fsync" | "fdatasync", Some(file)) => {
            happened(call.left, What::Synced { file, begun: call.entered });
        }
        ("unlink" | "unlinkat", _) => {
            let name = quoted(&call.arguments);
            let name = PathBuf::from(String::from_utf8_lossy(&name).into_owned());
            if let Some(file) = inside(&name) {
                happened(call.entered, What::Remove(file));
            }
        }
        ("write" | "writev" | "sendto" | "sendmsg", None) => {
            let place = call.arguments.split(',').next().unwrap_or_default().to_owned();
            let text = said.entry(place).or_default();
            text.push_str(&String::from_utf8_lossy(&quoted(&call.arguments)));
            const MARK: &str = "\"digest\":\"";
            while let Some(from) = text.find(MARK).map(|from| from + MARK.len()) {
                let Some(digest) = text.get(from..from + 64).map(str::to_owned) else { break };
                *text = text[from + 64..].to_owned();
                happened(call.entered, What::Acked(digest));
            }
            // What can no longer be the beginning of a proof.
            let mut keep = text.len().saturating_sub(MARK.len() + 64);
            while !text.is_char_boundary(keep) {
                keep -= 1;
            }
            *text = text[keep..].to_owned();
        }
        (name, Some(file)) if !file.ends_with("-shm") && !file.ends_with(".lock") => {
            panic!("{name} on {file} is a call that these tests do not know");
        }
        (name @ ("rename" | "renameat" | "renameat2" | "link" | "linkat" | "truncate"), _) => {
            let touched = String::from_utf8_lossy(&quoted(&call.arguments)).into_owned();
            let ours = touched.contains(&folder.display().to_string());
            assert!(!ours, "{name} is a call that these tests do not know");
        }
        _ => {}
    }
}
