//! Data to standard output, files whole or not at all.

use std::io::{ErrorKind, Read as _, Write as _};
use std::path::{Path, PathBuf};

use lanewright_model::words::{Message, Units};
use serde::Serialize;

use crate::failure::{Failure, Kind};
use crate::language;

/// Writes text to standard output. A reader that has gone away is no mistake.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    print_bytes(text.as_bytes())
}

fn print_bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut stdout = std::io::stdout().lock();
    match stdout.write_all(bytes).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Failure::new(Kind::Write, format!("standard output cannot be written: {error}"))),
        Ok(()) => Ok(()),
    }
}

/// Writes a value as JSON to standard output, indented.
pub(crate) fn print_json(value: &impl Serialize) -> Result<(), Failure> {
    let mut text = serde_json::to_string_pretty(value).expect("plans and verdicts are JSON values");
    text.push('\n');
    print(&text)
}

/// Reads a file, or standard input for `-`.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let read = if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        std::io::stdin().lock().read_to_end(&mut bytes).map(|_| bytes)
    } else {
        std::fs::read(path)
    };
    read.map_err(|error| {
        Failure::new(Kind::Read, unreadable(path, &error))
            .and(language::words(Units::Metric).get("cli-file-unreadable-remedy"))
    })
}

/// Says which file cannot be read, and why.
pub(crate) fn unreadable(path: &Path, error: &std::io::Error) -> String {
    say_file("cli-file-unreadable", path, error)
}

fn say_file(id: &str, path: &Path, error: &std::io::Error) -> String {
    let message = Message::new(id).text("path", path.display().to_string()).text("why", why(error));
    language::words(Units::Metric).say(&message)
}

/// Says in words why a file cannot be opened; what is rare stays as the system says it.
pub(crate) fn why(error: &std::io::Error) -> String {
    let id = match error.kind() {
        ErrorKind::NotFound => "cli-why-not-there",
        ErrorKind::PermissionDenied => "cli-why-not-allowed",
        ErrorKind::IsADirectory => "cli-why-folder",
        _ => return error.to_string(),
    };
    language::words(Units::Metric).get(id)
}

/// Writes a file, or standard output for `-`. An existing file is replaced only when the new one is complete.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    if path.as_os_str() == "-" {
        return print_bytes(bytes);
    }
    let mut unfinished = path.as_os_str().to_owned();
    unfinished.push(".unfinished");
    std::fs::write(&unfinished, bytes).and_then(|()| std::fs::rename(&unfinished, path)).map_err(|error| {
        let _ = std::fs::remove_file(&unfinished);
        Failure::new(Kind::Write, say_file("cli-file-unwritable", path, &error))
            .and(language::words(Units::Metric).get("cli-file-unwritable-remedy"))
    })
}

/// Refuses outputs that would be written over what is read, and two outputs into one file; before anything is written.
pub(crate) fn apart(inputs: &[&Path], outputs: &[(&str, Option<&Path>)]) -> Result<(), Failure> {
    let words = language::words(Units::Metric);
    let mut taken: Vec<(&str, &Path)> = Vec::new();
    for &(flag, path) in outputs {
        let Some(path) = path.filter(|path| path.as_os_str() != "-") else { continue };
        let said = |message: Message| {
            let message = message.text("flag", flag).text("path", path.display().to_string());
            Failure::new(Kind::Usage, words.say(&message)).and(words.get("cli-write-elsewhere"))
        };
        if inputs.iter().any(|input| input.as_os_str() != "-" && same_file(input, path)) {
            return Err(said(Message::new("cli-over-input")));
        }
        if path.is_dir() {
            return Err(said(Message::new("cli-is-folder")));
        }
        if let Some((other, _)) = taken.iter().find(|(_, taken)| same_file(taken, path)) {
            return Err(said(Message::new("cli-over-output").text("other", *other)));
        }
        taken.push((flag, path));
    }
    Ok(())
}

/// Returns whether two paths name one file, there or not, by whatever links.
pub(crate) fn same_file(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        let number = |path: &Path| std::fs::metadata(path).ok().map(|data| (data.dev(), data.ino()));
        if number(one).is_some_and(|found| number(other) == Some(found)) {
            return true;
        }
    }
    // In a folder that is not there yet the paths themselves are all there is.
    one == other || place(one).is_some_and(|found| place(other) == Some(found))
}

/// The whole path of a file that need not be there; its folder has to be.
fn place(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok().or_else(|| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Some(folder.canonicalize().ok()?.join(path.file_name()?))
    })
}

/// Text is broken at this width.
const WIDTH: usize = 96;

/// Adds words to a text, one after the other, broken at the width of the page. `first` stands before the first line,
/// `next` before the others.
pub(crate) fn wrapped<'a>(first: &str, next: &str, words: impl Iterator<Item = &'a str>, text: &mut String) {
    let mut line = first.to_owned();
    let mut empty = true;
    let mut words = words.peekable();
    while let Some(word) = words.next() {
        let number = word.ends_with(|sign: char| sign.is_ascii_digit() || sign == '½');
        let unit =
            words.peek().filter(|next| number && is_unit(next)).map_or(0, |next| next.chars().count() + 1);
        if !empty && line.chars().count() + 1 + word.trim_end().chars().count() + unit > WIDTH {
            text.push_str(line.trim_end());
            text.push('\n');
            line = next.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    text.push_str(line.trim_end());
    text.push('\n');
}

/// Adds one item of a list.
pub(crate) fn bullet(said: &str, text: &mut String) {
    wrapped("- ", "  ", said.split(' '), text);
}

/// Returns whether a word stays on the line of the number before it: it is its unit.
fn is_unit(word: &str) -> bool {
    matches!(
        word.trim_end_matches([',', '.', ';', ':', ')']),
        "m" | "cm" | "ft" | "in" | "%" | "s" | "min" | "°C"
    )
}

/// Writes something the coach should know to standard error.
pub(crate) fn note(said: &str) {
    let mut text = String::new();
    let start = format!("{}: ", language::words(Units::Metric).get("cli-note"));
    wrapped(&start, "  ", said.split(' '), &mut text);
    // Nobody is left to be told when standard error is closed.
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}
