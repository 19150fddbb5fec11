//! One file per command.

pub(crate) mod lanes;
mod lanes_text;
pub(crate) mod start;
pub(crate) mod topple;
