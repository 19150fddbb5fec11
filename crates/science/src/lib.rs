//! The computations: body, stride, lanes, site, topple, and the plan that joins them.
//!
//! Pure functions of their inputs: no clock, no files, no hidden randomness, and the same digits native and in
//! wasm (`libm` only). Every estimate carries its 90 % interval, the observations behind it and its method.

pub mod body;
pub mod cause;
pub mod change;
pub mod chi_square;
pub mod coach;
pub mod contacts;
pub mod decide;
pub mod flow;
pub mod lanes;
pub mod lesson;
pub mod normal;
pub mod plan;
pub mod pressure;
pub mod progress;
pub mod proportion;
pub mod safety;
mod seeded;
pub mod site;
pub mod sprint;
pub mod stride;
pub mod student;
pub mod topple;
pub mod turn;
pub mod unit;
pub mod verdict;
pub mod watch;
pub mod weather;
