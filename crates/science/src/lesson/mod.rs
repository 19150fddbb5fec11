//! The lesson: which drills, for which lane group, how long, with what worth.

pub mod search;
pub mod worth;
