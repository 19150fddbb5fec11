//! What Lanewright talks about: runners, kit, space, drills, plans and the records that carry them.
//!
//! Pure: no clock, no files, no network, no randomness. Everything here is data, its validation, and its
//! reading and writing. Bare numbers in public names carry their unit.

pub mod drill;
pub mod erasure;
pub mod estimate;
pub mod fault;
pub mod import;
pub mod kit;
pub mod plan;
pub mod plan_json;
pub mod record;
pub mod run;
pub mod runner;
pub mod school;
pub mod splits;
pub mod timing;
pub mod words;
pub mod writing;

pub use drill::{Drill, DrillId, Ladder, Setting};
pub use estimate::Estimate;
pub use kit::{Kit, Space};
pub use runner::{Age, Presence, Runner, RunnerId, Sex, StrideObservation, Verdict};
pub use words::{Arg, Message};
