//! Drives a real browser: what the browser tests and the pictures of the screens have in common.
//!
//! `cargo xtask test` and `cargo xtask shots` build the app and the program first and say through
//! `LANEWRIGHT_BROWSER` and `LANEWRIGHT_PROGRAM` where the browser and the program lie.

mod beside;
mod browser;
mod front;
mod paper;
mod server;

pub use beside::{Beside, print_case};
pub use browser::{Browser, Colours, DESK, Microphone, PHONE, Screen, Tab, marked};
pub use front::{Front, NEWER_MARK};
pub use paper::pdf_text;
pub use server::{Server, program};

/// The `rust` blocks of the pages, compiled and run as doc tests.
#[cfg(doctest)]
mod pages {}
