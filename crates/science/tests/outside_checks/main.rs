//! Checks against the world outside: published tables, rules and worked examples, each with its source beside it.

mod body;
mod decide;
mod lanes;
mod proportion;
mod references;
mod site;
mod stride;
mod topple;
