//! Stages of a long chore: what ran, what it counted, how long it took.

use std::time::{Duration, Instant};

use anyhow::Result;

/// What one stage counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// Checks that held.
    pub passed: u64,
    /// Checks that did not.
    pub failed: u64,
}

impl Counts {
    /// A stage that is one check and held.
    pub const ONE: Self = Self { passed: 1, failed: 0 };
    /// A stage that checks nothing itself: a build.
    pub const NONE: Self = Self { passed: 0, failed: 0 };

    /// Adds the counts of a `test result:` line, as Rust's test harness prints it.
    pub fn add_result_line(&mut self, line: &str) {
        let Some(rest) = line.trim_start().strip_prefix("test result: ") else { return };
        let number_before = |word: &str| {
            rest.split(['.', ';'])
                .filter_map(|part| part.trim().strip_suffix(word))
                .find_map(|part| part.trim().parse::<u64>().ok())
        };
        self.passed += number_before("passed").unwrap_or(0);
        self.failed += number_before("failed").unwrap_or(0);
    }
}

struct Row {
    name: String,
    took: Duration,
    counts: Counts,
    broken: Option<String>,
}

/// The stages that ran so far.
pub struct Stages {
    began: Instant,
    rows: Vec<Row>,
}

impl Stages {
    /// Starts the clock.
    pub fn new() -> Self {
        Self { began: Instant::now(), rows: Vec::new() }
    }

    /// Runs a stage and keeps what it counted. Returns whether it held; later stages may still be worth running.
    pub fn stage(&mut self, name: &str, work: impl FnOnce() -> Result<Counts>) -> bool {
        eprintln!("\n== {name}");
        let began = Instant::now();
        let (counts, broken) = match work() {
            Ok(counts) if counts.failed == 0 => (counts, None),
            Ok(counts) => (counts, Some(format!("{} failed", counts.failed))),
            Err(error) => {
                let text = format!("{error:#}");
                eprintln!("{text}");
                (Counts { passed: 0, failed: 1 }, Some(text.lines().next().unwrap_or_default().to_owned()))
            }
        };
        let held = broken.is_none();
        self.rows.push(Row { name: name.to_owned(), took: began.elapsed(), counts, broken });
        held
    }

    /// Notes a stage that could not run because an earlier one failed.
    pub fn skip(&mut self, name: &str, why: &str) {
        eprintln!("\n== {name}: left out, {why}");
        let broken = Some(format!("left out, {why}"));
        let counts = Counts { passed: 0, failed: 1 };
        self.rows.push(Row { name: name.to_owned(), took: Duration::ZERO, counts, broken });
    }

    /// Returns the table of stages. The last line stands alone: `N passed, M failed`.
    pub fn table(&self) -> String {
        let mut text = String::from("\n  seconds  passed  failed  stage\n");
        for row in &self.rows {
            let Counts { passed, failed } = row.counts;
            text += &format!("  {:7.1}  {passed:6}  {failed:6}  {}", row.took.as_secs_f64(), row.name);
            if let Some(broken) = &row.broken {
                text += &format!("  FAILED: {broken}");
            }
            text += "\n";
        }
        let (passed, failed) = self
            .rows
            .iter()
            .fold((0, 0), |(passed, failed), row| (passed + row.counts.passed, failed + row.counts.failed));
        text += &format!("  {:7.1}  in all\n", self.began.elapsed().as_secs_f64());
        text += &format!("\n{passed} passed, {failed} failed\n");
        text
    }

    /// Returns whether every stage held.
    pub fn held(&self) -> bool {
        self.rows.iter().all(|row| row.broken.is_none())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_read_from_the_harness_line() {
        let mut counts = Counts::NONE;
        counts.add_result_line("test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 3 filtered out");
        counts.add_result_line("test result: FAILED. 4 passed; 2 failed; 0 ignored; 0 measured");
        counts.add_result_line("test reads_a_line ... ok");
        assert_eq!(counts, Counts { passed: 16, failed: 2 });
    }

    #[test]
    fn one_failed_stage_fails_the_whole() {
        let mut stages = Stages::new();
        assert!(stages.stage("a", || Ok(Counts { passed: 3, failed: 0 })));
        assert!(stages.held());
        assert!(!stages.stage("b", || anyhow::bail!("no such thing")));
        assert!(!stages.held());
        assert!(stages.table().ends_with("\n3 passed, 1 failed\n"));
    }
}
