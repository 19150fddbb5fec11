//! The program is killed again and again while eight devices push runs; then it is judged what is left.
//!
//! Kills, starts and pushes come at moments that a seed chooses, so a run cannot be repeated to the letter: the
//! scheduler has its say. The judge does not mind; it looks only at what was sent, what was answered and what is
//! there.
//!
//! What this proves: a process that dies takes nothing that it had acked. The system's memory survives such a death,
//! so it says nothing about power: `power_cut.rs` does. The same on a PostgreSQL database: `postgres.rs`.
#![cfg(unix)]

mod wire;

use wire::cases;
use wire::kills::{Fault, Flaw, Keeping, played};

#[test]
fn a_program_that_is_killed_again_and_again_loses_nothing_that_it_acked() {
    let acks = cases(1000, 10);
    let folder = tempfile::tempdir().expect("a folder");
    let seen = played("no flaw", acks, &Keeping::in_folder(folder.path()), folder.path(), None);
    assert_eq!(seen.faults, []);
    assert!(seen.proves_something(acks), "too little happened to prove anything: {seen:?}");
}

/// The controls: the same run with a flaw has to be found out.
#[test]
fn every_flaw_in_program_or_devices_is_found() {
    let found = |flaw: Flaw, is_it: fn(&Fault) -> bool| {
        let folder = tempfile::tempdir().expect("a folder");
        let keeping = Keeping::in_folder(folder.path());
        let seen = played(&format!("{flaw:?}"), 150, &keeping, folder.path(), Some(flaw));
        assert!(seen.faults.iter().any(is_it), "{flaw:?} went unnoticed: {seen:?}");
    };
    found(Flaw::LogLost, |fault| matches!(fault, Fault::AckedLost(_)));
    found(Flaw::AckBeforeCommit, |fault| matches!(fault, Fault::AckedLost(_)));
    found(Flaw::OutboxEmptiedBySending, |fault| matches!(fault, Fault::NeverArrived(_)));
    found(Flaw::NewNamesOnRetry, |fault| matches!(fault, Fault::Doubled(_)));
}
