//! The sound of a run.
#![allow(missing_docs)]
pub mod candidates;
pub mod fft;
pub mod front;
pub mod rhythm;
pub mod weights;
pub mod refine;
pub mod related;
