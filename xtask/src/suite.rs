//! Everything that must hold, in stages.

use std::process::Command;

use anyhow::{Result, bail};

use crate::house::House;
use crate::stages::{Counts, Stages};
use crate::{markdown, tidy, tools, web};

/// How much runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// Everything.
    Whole,
    /// What needs no browser.
    WithoutBrowser,
}

impl Scope {
    /// Reads the words behind `test`.
    pub fn parse(words: &[String]) -> Result<Self> {
        match words {
            [] => Ok(Self::Whole),
            [one] if one == "--no-browser" => Ok(Self::WithoutBrowser),
            _ => bail!("only --no-browser is understood here, not: {}", words.join(" ")),
        }
    }
}

/// Leaves out the crate that drives a browser: its client takes long to compile.
const NO_E2E: [&str; 2] = ["--exclude", "lanewright-e2e"];

/// Runs the stages; a failed one does not stop the others.
pub fn run(house: &House, scope: Scope) -> Result<()> {
    let mut stages = Stages::new();
    let whole = scope == Scope::Whole;
    let one = |command: &mut Command| tools::run(command).map(|()| Counts::ONE);
    // One choice of packages for every test stage, or cargo would compile shared crates once per choice.
    let cargo = |words: &[&str]| {
        let mut cargo = house.cargo();
        cargo.args(words).arg("--workspace");
        if !whole {
            cargo.args(NO_E2E);
        }
        cargo
    };

    // Asked first: nobody wants to hear after twenty minutes that a browser is missing.
    let mut tracer = None;
    stages.stage("tools", || {
        tools::ensure_wasm_target(house)?;
        tracer = tools::tracer()?;
        if whole {
            eprintln!("browser: {}", tools::ensure_browser()?.display());
        }
        Ok(Counts::NONE)
    });
    stages.stage("format", || one(house.cargo().args(["fmt", "--all", "--check"])));
    stages.stage("tidy", || tidy::run(house));
    let app = stages.stage("app for the browser", || web::build(house, web::Kind::Dev).map(|_| Counts::NONE));
    let built = stages.stage("program and tests, compiled", || {
        tools::run(&mut cargo(&["build", "--bins"]))?;
        tools::run(cargo(&["test", "--no-run"]).args(BROWSER_TESTS.iter().filter(|_| whole)))?;
        Ok(Counts::NONE)
    });
    stages.stage("tests", || {
        let mut tests = cargo(&["test", "--no-fail-fast"]);
        tests.args(["--lib", "--bins", "--tests"]);
        // Named here, it has to work: the power cuts are not left out without a word.
        tests.envs(tracer.iter().map(|tracer| ("LANEWRIGHT_STRACE", tracer)));
        tools::count_tests(&mut tests)
    });
    stages.stage("doc tests", || tools::count_tests(cargo(&["test", "--no-fail-fast"]).arg("--doc")));
    if built {
        stages.stage("code blocks of the pages", || markdown::run(house));
    } else {
        stages.skip("code blocks of the pages", "there is no program");
    }
    if whole && app && built {
        stages.stage("browser tests", || {
            let mut tests = cargo(&["test", "--no-fail-fast"]);
            tests.args(BROWSER_TESTS);
            tests
                .env("LANEWRIGHT_BROWSER", tools::ensure_browser()?)
                .env("LANEWRIGHT_PROGRAM", house.program());
            tools::count_tests(&mut tests)
        });
    } else if whole {
        stages.skip("browser tests", "there is no app or no program");
    }
    stages.stage("lints", || {
        let mut lints = cargo(&["clippy", "--quiet", "--all-targets"]);
        one(lints.args(BROWSER_TESTS.iter().filter(|_| whole)).args(["--", "-D", "warnings"]))
    });
    stages.stage("lints of the app", || {
        let app = ["clippy", "--quiet", "-p", "lanewright-app", "--target", tools::WASM];
        one(house.cargo().args(app).args(["--", "-D", "warnings"]))
    });

    print!("{}", stages.table());
    if stages.held() { Ok(()) } else { bail!("not everything holds") }
}

/// The tests in a browser; left out of a plain `cargo test`, which needs none.
const BROWSER_TESTS: [&str; 2] = ["--test", "browser"];

/// Takes pictures of every screen for people to look at.
pub fn shots(house: &House, rest: &[String]) -> Result<()> {
    web::build(house, web::Kind::Dev)?;
    tools::run(house.cargo().args(["build", "-p", "lanewright", "-p", "lanewright-e2e", "--bins"]))?;
    let mut shots = house.cargo();
    shots.args(["run", "--quiet", "-p", "lanewright-e2e", "--bin", "shots", "--"]);
    shots.arg(house.root.join("target/shots")).args(rest);
    shots.env("LANEWRIGHT_BROWSER", tools::ensure_browser()?).env("LANEWRIGHT_PROGRAM", house.program());
    tools::run(&mut shots)
}
