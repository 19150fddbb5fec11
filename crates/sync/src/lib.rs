//! Record envelopes, hybrid stamps, merging, and the messages between app and server.
//!
//! Pure: whoever calls passes the time in. The same code runs on the device, in the server and in simulations.

pub mod erase;
pub mod export;
pub mod message;
pub mod record;
pub mod stamp;

pub use erase::{class_of, erasure, erasures_in, left_of, received};
pub use message::{Acked, Place, PullAnswer, Push, PushAnswer, RefusalReason, Refused, Standing, check};
pub use record::{Merge, Record, RecordKey, SchoolId, canonical_json, merge};
pub use stamp::{Clock, DeviceId, Stamp};
