//! Heat, lightning, floor and shoes, rest between bouts: what the school's own rules usually ask about.
//!
//! Everything here defers to the school, the local authority and the sports body. Method page:
//! `docs/methods/weather.md`.

mod heat;
mod lightning;
mod lists;
#[cfg(test)]
mod tests;

pub use heat::{
    Guidance, HUMIDITY_ERROR_PCT, HeatAdvice, HeatIndexBand, SchoolLimits, Step, TEMPERATURE_ERROR_C, Wbgt,
    ends_running, heat_advice, heat_index_band, heat_index_c, heat_index_f, heat_index_note, limits_running,
    wbgt_estimate, wbgt_indoor_c, wbgt_outdoor_c,
};
pub use lightning::{
    FLASH_TO_BANG_S, LightningRule, RESUME_AFTER_MIN, Sky, Thunder, lightning, lightning_note,
    storm_distance_m,
};
pub use lists::{BoutKind, Rest, checklist, rest_between_bouts};

/// Name and version of the method.
pub const METHOD: &str = "weather/1";

/// A number out of its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{field} is {provided}; allowed is {allowed}")]
pub struct WeatherError {
    /// The field.
    pub field: &'static str,
    /// What stood there.
    pub provided: f64,
    /// What may stand there.
    pub allowed: &'static str,
}

fn range(
    field: &'static str,
    provided: f64,
    low: f64,
    high: f64,
    allowed: &'static str,
) -> Result<(), WeatherError> {
    // Written so that a number that is none (NaN) is refused as well.
    if provided >= low && provided <= high { Ok(()) } else { Err(WeatherError { field, provided, allowed }) }
}
