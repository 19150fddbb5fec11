//! The web app: a local copy of the school's records, the screens, and printing.
//!
//! `logic` decides and is tested natively; `browser` shows, saves and sends, and exists only in WebAssembly.

pub mod logic;

#[cfg(target_arch = "wasm32")]
mod browser;
