//! One file per command.

pub(crate) mod cause;
pub(crate) mod data;
pub(crate) mod decide;
pub(crate) mod lanes;
mod lanes_text;
pub(crate) mod lesson;
mod lesson_text;
#[cfg(feature = "audio")]
pub(crate) mod listen;
#[cfg(feature = "pdf")]
mod printed;
#[cfg(feature = "pdf")]
pub(crate) mod report;
mod runs;
pub(crate) mod sprint;
pub(crate) mod start;
pub(crate) mod topple;
