//! The app for the browser: compiled, bound, named by content, compressed, put in place at once.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use sha2::{Digest, Sha256};

use crate::house::House;
use crate::tools;

/// How the app is compiled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Quick to build, served from disk.
    Dev,
    /// Small, with compressed copies.
    Ship,
}

/// One file of the app.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Served {
    /// Path below the app's top, with `/`.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// Bytes of the digest that go into a file name: 8 hex digits.
const NAME_DIGEST_BYTES: usize = 4;
/// Files shorter than this are not worth a compressed copy.
const COMPRESS_FROM_BYTES: usize = 512;
/// Where the service worker wants the version of the app and the list of its files.
const VERSION_MARK: &str = "__VERSION__";
const FILES_MARK: &str = "\"__FILES__\"";

/// Builds the app into `target/web` and returns its files.
pub fn build(house: &House, kind: Kind) -> Result<Vec<Served>> {
    tools::ensure_wasm_target(house)?;
    let mut cargo = house.cargo();
    cargo.args(["build", "-p", "lanewright-app", "--target", tools::WASM]);
    if kind == Kind::Ship {
        cargo.args(["--profile", "wasm"]);
    }
    tools::run(&mut cargo)?;
    let profile = if kind == Kind::Ship { "wasm" } else { "debug" };
    let module = compiled(&house.target.join(tools::WASM).join(profile))?;

    let fresh = house.root.join("target/web.new");
    let _ = fs::remove_dir_all(&fresh);
    fs::create_dir_all(&fresh)?;
    wasm_bindgen_cli_support::Bindgen::new()
        .input_path(&module)
        .out_name("app")
        .web(true)?
        // The script finds its module by itself, under the name with the digest.
        .omit_default_module_path(false)
        .typescript(false)
        .remove_name_section(kind == Kind::Ship)
        .remove_producers_section(kind == Kind::Ship)
        .generate(&fresh)?;

    let mut files = Vec::new();
    read_folder(&fresh, "", &mut files)?;
    let before = files.len();
    read_folder(&house.root.join("crates/app/static"), "", &mut files)?;
    ensure!(files.len() > before, "crates/app/static is empty: the app has no page");
    let files = name_by_content(files)?;

    fs::remove_dir_all(&fresh)?;
    for file in &files {
        write(&fresh, &file.name, &file.bytes)?;
        if kind == Kind::Ship && compresses(&file.name) && file.bytes.len() >= COMPRESS_FROM_BYTES {
            write(&fresh, &format!("{}.br", file.name), &brotli(&file.bytes)?)?;
            write(&fresh, &format!("{}.gz", file.name), &gzip(&file.bytes)?)?;
        }
    }
    put_in_place(&fresh, &house.web())?;
    Ok(files)
}

/// Returns the module that cargo made; its name depends on whether the app is a program or a library.
fn compiled(folder: &Path) -> Result<PathBuf> {
    ["lanewright-app.wasm", "lanewright_app.wasm"]
        .iter()
        .map(|name| folder.join(name))
        .filter(|path| path.exists())
        .max_by_key(|path| fs::metadata(path).and_then(|data| data.modified()).ok())
        .with_context(|| format!("no lanewright_app.wasm in {}: is the app a cdylib?", folder.display()))
}

/// Swaps the new folder in; a server that reads the old one in between misses a few milliseconds at most.
fn put_in_place(fresh: &Path, place: &Path) -> Result<()> {
    let old = place.with_extension("old");
    let _ = fs::remove_dir_all(&old);
    if place.exists() {
        fs::rename(place, &old)?;
    }
    fs::rename(fresh, place)?;
    let _ = fs::remove_dir_all(&old);
    Ok(())
}

fn read_folder(folder: &Path, prefix: &str, files: &mut Vec<Served>) -> Result<()> {
    let entries = fs::read_dir(folder).with_context(|| format!("no folder {}", folder.display()))?;
    let mut entries = entries.collect::<Result<Vec<_>, _>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            read_folder(&entry.path(), &format!("{name}/"), files)?;
        } else if !name.ends_with(".md") {
            // Pages are for those who work on the app, not for those who use it.
            files.push(Served { name, bytes: fs::read(entry.path())? });
        }
    }
    Ok(())
}

fn write(folder: &Path, name: &str, bytes: &[u8]) -> Result<()> {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().context("a file lies in a folder")?)?;
    fs::write(&path, bytes).with_context(|| format!("could not write {}", path.display()))
}

/// Returns whether a file gets its digest in its name, so that browsers may keep it for ever.
fn named_by_content(name: &str) -> bool {
    let extension = Path::new(name).extension().and_then(|extension| extension.to_str());
    matches!(extension, Some("js" | "wasm" | "css")) && name != "sw.js"
}

fn is_text(name: &str) -> bool {
    let extension = Path::new(name).extension().and_then(|extension| extension.to_str());
    matches!(extension, Some("html" | "js" | "css" | "webmanifest" | "json" | "svg" | "txt"))
}

fn compresses(name: &str) -> bool {
    is_text(name) || name.ends_with(".wasm") || name.ends_with(".ttf") || name.ends_with(".ico")
}

/// Puts digests into the names of scripts, styles and modules, and follows the names wherever pages, styles and
/// scripts mention them. The service worker gets the version of the whole and the list of its files.
///
/// # Errors
///
/// When two files mention each other, so that neither can be named by its content.
pub fn name_by_content(files: Vec<Served>) -> Result<Vec<Served>> {
    let mut waiting: BTreeMap<String, Vec<u8>> =
        files.into_iter().map(|file| (file.name, file.bytes)).collect();
    let originals: Vec<String> = waiting.keys().filter(|name| named_by_content(name)).cloned().collect();
    let mut renamed: BTreeMap<String, String> = BTreeMap::new();
    let mut done: Vec<Served> = Vec::new();
    // A file can be named once every file that it mentions is named: its own bytes depend on those names.
    while let Some(name) = waiting
        .iter()
        .filter(|(name, _)| named_by_content(name))
        .find(|(name, bytes)| {
            originals.iter().all(|other| {
                other == *name || renamed.contains_key(other) || !is_text(name) || !mentions(bytes, other)
            })
        })
        .map(|(name, _)| name.clone())
    {
        let bytes = follow(&name, waiting.remove(&name).context("it is in the list")?, &renamed);
        let (stem, extension) = name.rsplit_once('.').context("named files have an extension")?;
        let new = format!("{stem}-{}.{extension}", digest(&bytes, NAME_DIGEST_BYTES));
        renamed.insert(name, new.clone());
        done.push(Served { name: new, bytes });
    }
    if let Some(name) = waiting.keys().find(|name| named_by_content(name)) {
        bail!("{name} and a file that it names name each other; one of them must stop");
    }
    for (name, bytes) in waiting {
        let bytes = follow(&name, bytes, &renamed);
        done.push(Served { name, bytes });
    }
    done.sort_by(|a, b| a.name.cmp(&b.name));
    fill_worker(&mut done);
    Ok(done)
}

/// Tells the service worker, if there is one, the version and the files.
fn fill_worker(files: &mut [Served]) {
    let mut whole = Sha256::new();
    let mut listed = Vec::new();
    for file in files.iter() {
        whole.update(file.name.as_bytes());
        whole.update(Sha256::digest(&file.bytes));
        if file.name != "sw.js" {
            listed.push(format!("{:?}", format!("/{}", file.name)));
        }
    }
    let version = hex(&whole.finalize()[..8]);
    let listed = listed.join(", ");
    for file in files.iter_mut().filter(|file| file.name == "sw.js" || file.name.ends_with(".html")) {
        let text = String::from_utf8_lossy(&file.bytes);
        file.bytes = text.replace(FILES_MARK, &listed).replace(VERSION_MARK, &version).into_bytes();
    }
}

/// Returns whether a text mentions a file: its name, standing on its own.
fn mentions(bytes: &[u8], name: &str) -> bool {
    replace_name(&String::from_utf8_lossy(bytes), name, name).1 > 0
}

fn follow(name: &str, bytes: Vec<u8>, renamed: &BTreeMap<String, String>) -> Vec<u8> {
    match String::from_utf8(bytes) {
        Ok(mut text) if is_text(name) => {
            for (old, new) in renamed {
                text = replace_name(&text, old, new).0;
            }
            text.into_bytes()
        }
        Ok(text) => text.into_bytes(),
        Err(error) => error.into_bytes(),
    }
}

/// Replaces a file's name where it stands as a name: between quotes, slashes or brackets, not inside a longer one.
fn replace_name(text: &str, old: &str, new: &str) -> (String, usize) {
    let mut out = String::with_capacity(text.len());
    let mut count = 0;
    let mut rest = text;
    while let Some(at) = rest.find(old) {
        let before = rest[..at].chars().next_back().or_else(|| out.chars().next_back());
        let after = rest[at + old.len()..].chars().next();
        let opens = before.is_none_or(|sign| "\"'`/(= \n".contains(sign));
        let closes = after.is_none_or(|sign| "\"'`)?#; \n>".contains(sign));
        out += &rest[..at];
        if opens && closes {
            out += new;
            count += 1;
        } else {
            out += old;
        }
        rest = &rest[at + old.len()..];
    }
    out += rest;
    (out, count)
}

fn digest(bytes: &[u8], length: usize) -> String {
    hex(&Sha256::digest(bytes)[..length])
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let params = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    let mut out = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut out, &params)?;
    Ok(out)
}

fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

/// Returns a table of the files and their sizes; for an app that ships, also as they travel with brotli.
pub fn sizes(files: &[Served], kind: Kind) -> Result<String> {
    let mut text = String::from("    bytes    brotli  file\n");
    let mut all = (0, 0);
    for file in files {
        let travels = if kind == Kind::Ship && compresses(&file.name) {
            brotli(&file.bytes)?.len()
        } else {
            file.bytes.len()
        };
        all = (all.0 + file.bytes.len(), all.1 + travels);
        text += &format!("{:9} {travels:9}  {}\n", file.bytes.len(), file.name);
    }
    Ok(text + &format!("{:9} {:9}  in all\n", all.0, all.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn served(name: &str, text: &str) -> Served {
        Served { name: name.into(), bytes: text.into() }
    }

    fn named(files: &[Served], start: &str) -> Served {
        files.iter().find(|file| file.name.starts_with(start)).expect("the file is there").clone()
    }

    #[test]
    fn pages_follow_the_new_names() {
        let files = name_by_content(vec![
            served("index.html", "<link href=\"/app.css\"><script>import init from '/app.js'</script>"),
            served("app.css", "body { color: black }"),
            served("app.js", "fetch(new URL('app_bg.wasm', import.meta.url)); import './snippets/a/app.js';"),
            served("app_bg.wasm", "\0asm"),
            served("snippets/a/app.js", "export {}"),
            served("sw.js", "const VERSION = '__VERSION__'; const FILES = [\"__FILES__\"];"),
        ])
        .expect("nothing names itself");
        let page = String::from_utf8(named(&files, "index.html").bytes).expect("text");
        let script = named(&files, "app-");
        assert!(page.contains(&format!("'/{}'", named(&files, "app-").name)) || page.contains("/app-"));
        assert!(!page.contains("/app.css") && !page.contains("/app.js"));
        let worker = String::from_utf8(named(&files, "sw.js").bytes).expect("text");
        for file in files.iter().filter(|file| file.name != "sw.js") {
            assert!(worker.contains(&format!("\"/{}\"", file.name)), "{}", file.name);
        }
        assert!(!worker.contains("__"));
        assert!(script.name.len() > "app-.js".len());
    }

    #[test]
    fn a_changed_module_changes_the_names_of_all_that_mention_it() {
        let build = |module: &str| {
            let files = name_by_content(vec![
                served("app.js", "fetch('app_bg.wasm')"),
                served("app_bg.wasm", module),
                served("other.js", "export {}"),
            ])
            .expect("nothing names itself");
            (named(&files, "app-").name, named(&files, "other-").name)
        };
        let (one, two) = (build("1"), build("2"));
        assert_ne!(one.0, two.0);
        assert_eq!(one.1, two.1);
    }

    #[test]
    fn a_longer_name_is_left_alone() {
        assert_eq!(
            replace_name("'my-app.js' '/app.js?x'", "app.js", "n.js"),
            ("'my-app.js' '/n.js?x'".into(), 1)
        );
    }

    #[test]
    fn files_that_name_each_other_are_refused() {
        let files = vec![served("a.js", "import './b.js'"), served("b.js", "import './a.js'")];
        assert!(name_by_content(files).is_err());
    }

    #[test]
    fn compressed_copies_hold_the_same_bytes() {
        use std::io::Read;
        let text = "run-up, hurdles, run-out; ".repeat(100);
        let small = brotli(text.as_bytes()).expect("compresses");
        let mut back = Vec::new();
        brotli::BrotliDecompress(&mut small.as_slice(), &mut back).expect("opens");
        assert_eq!(back, text.as_bytes());
        let mut back = String::new();
        let small = gzip(text.as_bytes()).expect("compresses");
        flate2::read::GzDecoder::new(small.as_slice()).read_to_string(&mut back).expect("opens");
        assert_eq!(back, text);
    }
}
