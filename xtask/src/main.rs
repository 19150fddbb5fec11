//! Every chore of this repository: `cargo xtask help`.

mod bench;
mod house;
mod markdown;
mod source;
mod stages;
mod start;
mod suite;
mod third_party;
mod tidy;
mod tools;
mod web;

use std::process::ExitCode;

use anyhow::{Result, bail};
use house::House;

const HELP: &str = "\
cargo xtask start            build the app and the server, serve the demo class on this computer
cargo xtask start -- ARGS    the same with the arguments of `lanewright start` instead of --demo
cargo xtask test             everything that must hold, browser tests included
cargo xtask check            the same without a browser

More chores:
  start --check       start, wait until the app answers, stop
  web [--release]     build the app into target/web
  build               the program as it ships, with the app inside: target/release/lanewright
  tidy                the rules of the house, listed in CONTRIBUTING.md
  docs                run the code blocks of every Markdown page
  third-party         write THIRD_PARTY.md, the list of what ships with us; --check compares only
  shots [WORD]        pictures of every screen, phone and desk, light and dark, into target/shots
  bench [WORD]        ours against a general library on the same input, results compared; --keep stores its answers
  soak [CASES] [WORD] long random runs with their figures; WORD: the end of a crate's name
";

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let house = House::find()?;
    let (chore, rest) = match words.split_first() {
        Some((chore, rest)) => (chore.as_str(), rest),
        None => ("help", &[][..]),
    };
    match chore {
        "help" | "--help" | "-h" => print!("{HELP}"),
        "start" => start::start(&house, rest)?,
        "web" => {
            let kind = if flag_only(rest, "--release")? { web::Kind::Ship } else { web::Kind::Dev };
            let files = web::build(&house, kind)?;
            print!("{}", web::sizes(&files, kind)?);
        }
        "build" => {
            none(rest)?;
            web::build(&house, web::Kind::Ship)?;
            tools::run(house.cargo().args(["build", "--release", "-p", "lanewright"]))?;
            let ships = house.target.join("release");
            third_party::write_texts(&house, &ships.join("lanewright-licences.txt"))?;
            println!("{}, with lanewright-licences.txt beside it", ships.join("lanewright").display());
        }
        "test" => suite::run(&house, suite::Scope::parse(rest)?)?,
        "check" => suite::run(&house, suite::Scope::WithoutBrowser)?,
        "tidy" => {
            none(rest)?;
            tidy::run(&house)?;
        }
        "docs" => {
            none(rest)?;
            tools::run(house.cargo().args(["build", "-p", "lanewright"]))?;
            markdown::run(&house)?;
        }
        "third-party" => third_party::run(&house, flag_only(rest, "--check")?)?,
        "shots" => suite::shots(&house, rest)?,
        "bench" => bench::bench(&house, rest)?,
        "soak" => bench::soak(&house, rest)?,
        other => bail!("there is no chore called {other}; `cargo xtask help` lists them"),
    }
    Ok(())
}

/// Returns whether the one known flag was given; anything else is refused.
fn flag_only(rest: &[String], flag: &str) -> Result<bool> {
    match rest {
        [] => Ok(false),
        [one] if one == flag => Ok(true),
        _ => bail!("only {flag} is understood here, not: {}", rest.join(" ")),
    }
}

fn none(rest: &[String]) -> Result<()> {
    if rest.is_empty() { Ok(()) } else { bail!("nothing more is understood here, not: {}", rest.join(" ")) }
}
