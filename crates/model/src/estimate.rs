//! A number that says how sure it is.

use serde::{Deserialize, Serialize};

/// A computed value with its 90 % interval, the number of observations behind it, and the method that made it.
///
/// `low` and `high` are the 5th and 95th percentile; `low <= median <= high` always holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The median, in the unit that the field name carries.
    pub median: f64,
    /// The 5th percentile, same unit.
    pub low: f64,
    /// The 95th percentile, same unit.
    pub high: f64,
    /// How many observations of this very child stand behind the value; 0 when it rests on size or age alone.
    pub n: u32,
    /// Name and version of the method, for example `stride/1`.
    pub method: String,
}
