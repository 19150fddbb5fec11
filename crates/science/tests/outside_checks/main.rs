//! Checks against the world outside: published tables, rules and worked examples, each with its source beside it.

mod body;
mod change;
mod contacts;
mod decide;
mod flow;
mod lanes;
mod leg;
mod lesson;
mod proportion;
mod references;
mod site;
mod sprint;
mod stride;
mod topple;
mod turn;
mod unit;
mod unit_world;
mod weather;
