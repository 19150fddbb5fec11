//! Checks against the world outside: published tables, rules and worked examples, each with its source beside it.

mod site;
mod topple;
