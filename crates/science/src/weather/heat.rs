//! Heat index, wet-bulb globe temperature, and what published guidance says about them.

use lanewright_model::Estimate;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{METHOD, WeatherError, range};

/// How far a typed air temperature may be off, in degrees Celsius (engineering assumption).
pub const TEMPERATURE_ERROR_C: f64 = 1.0;

/// How far a typed relative humidity may be off, in percent (engineering assumption).
pub const HUMIDITY_ERROR_PCT: f64 = 5.0;

/// Words for the heat index, as the US National Weather Service bands it (80, 90, 103 and 125 °F; an older chart has
/// 105 and 130).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeatIndexBand {
    /// Below 80 °F.
    BelowCaution,
    /// 80 to 90 °F.
    Caution,
    /// 90 to 103 °F.
    ExtremeCaution,
    /// 103 to 125 °F.
    Danger,
    /// 125 °F and above.
    ExtremeDanger,
}

/// Returns the heat index in degrees Fahrenheit, for shade and light wind. `air_f` −60 to 140 °F, `humidity_pct` 0 to
/// 100.
///
/// # Formula
/// US National Weather Service: the mean of T and 0.5 (T + 61 + 1.2 (T − 68) + 0.094 R) where that is below 80; else
/// the regression of Rothfusz 1990, less (13 − R)/4 √((17 − |T − 95|)/17) for R < 13 and 80 ≤ T ≤ 112, or
/// more by (R − 85)/10 · (87 − T)/5 for R > 85 and 80 ≤ T ≤ 87.
///
/// # Errors
/// Names the number that is out of its range.
pub fn heat_index_f(air_f: f64, humidity_pct: f64) -> Result<f64, WeatherError> {
    range("air_f", air_f, -60.0, 140.0, "-60 to 140 °F")?;
    range("humidity_pct", humidity_pct, 0.0, 100.0, "0 to 100 %")?;
    let (t, r) = (air_f, humidity_pct);
    let simple = 0.5 * (t + 0.5 * (t + 61.0 + 1.2 * (t - 68.0) + 0.094 * r));
    if simple < 80.0 {
        return Ok(simple);
    }
    let regression = -42.379 + 2.049_015_23 * t + 10.143_331_27 * r
        - 0.224_755_41 * t * r
        - 0.006_837_83 * t * t
        - 0.054_817_17 * r * r
        + 0.001_228_74 * t * t * r
        + 0.000_852_82 * t * r * r
        - 0.000_001_99 * t * t * r * r;
    Ok(if r < 13.0 && (80.0..=112.0).contains(&t) {
        regression - (13.0 - r) / 4.0 * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt()
    } else if r > 85.0 && (80.0..=87.0).contains(&t) {
        regression + (r - 85.0) / 10.0 * (87.0 - t) / 5.0
    } else {
        regression
    })
}

/// Returns the heat index in degrees Celsius; see [`heat_index_f`]. `air_c` −51 to 60 °C.
///
/// # Errors
/// Names the number that is out of its range.
pub fn heat_index_c(air_c: f64, humidity_pct: f64) -> Result<f64, WeatherError> {
    range("air_c", air_c, -51.0, 60.0, "-51 to 60 °C")?;
    Ok(c_from_f(heat_index_f(f_from_c(air_c), humidity_pct)?))
}

/// Returns the band of a heat index in degrees Fahrenheit.
pub fn heat_index_band(index_f: f64) -> HeatIndexBand {
    match index_f {
        index if index >= 125.0 => HeatIndexBand::ExtremeDanger,
        index if index >= 103.0 => HeatIndexBand::Danger,
        index if index >= 90.0 => HeatIndexBand::ExtremeCaution,
        index if index >= 80.0 => HeatIndexBand::Caution,
        _ => HeatIndexBand::BelowCaution,
    }
}

/// Returns one sentence on a heat index in degrees Fahrenheit, with its band and its limits.
pub fn heat_index_note(index_f: f64) -> Message {
    let id = match heat_index_band(index_f) {
        HeatIndexBand::BelowCaution => "weather-index-below",
        HeatIndexBand::Caution => "weather-index-caution",
        HeatIndexBand::ExtremeCaution => "weather-index-extreme-caution",
        HeatIndexBand::Danger => "weather-index-danger",
        HeatIndexBand::ExtremeDanger => "weather-index-extreme-danger",
    };
    Message::new(id)
        .with("celsius", Arg::Count(c_from_f(index_f).round() as i64))
        .with("fahrenheit", Arg::Count(index_f.round() as i64))
}

fn f_from_c(celsius: f64) -> f64 {
    celsius * 9.0 / 5.0 + 32.0
}

fn c_from_f(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) * 5.0 / 9.0
}

/// A wet-bulb globe temperature, in degrees Celsius.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wbgt {
    /// Read from a meter, or computed from its three thermometers.
    Measured(f64),
    /// Estimated from air temperature and humidity: moderate sun and a light wind are assumed, nothing is measured.
    /// The range is what the typed numbers leave open; sun, wind and the surface leave more.
    Estimated(Estimate),
}

impl Wbgt {
    /// Returns the value that advice goes by: the measured one, or the upper end of an estimate.
    pub fn careful_c(&self) -> f64 {
        match self {
            Self::Measured(wbgt_c) => *wbgt_c,
            Self::Estimated(estimate) => estimate.high,
        }
    }
}

/// Returns the wet-bulb globe temperature outdoors, in degrees Celsius, from natural wet bulb, globe and air.
///
/// # Formula
/// 0.7 Tnwb + 0.2 Tg + 0.1 Ta
///
/// # Errors
/// Names the reading that is out of its range, −20 to 60 °C (globe up to 90).
pub fn wbgt_outdoor_c(natural_wet_bulb_c: f64, globe_c: f64, air_c: f64) -> Result<f64, WeatherError> {
    range("natural_wet_bulb_c", natural_wet_bulb_c, -20.0, 60.0, "-20 to 60 °C")?;
    range("globe_c", globe_c, -20.0, 90.0, "-20 to 90 °C")?;
    range("air_c", air_c, -20.0, 60.0, "-20 to 60 °C")?;
    Ok(0.7 * natural_wet_bulb_c + 0.2 * globe_c + 0.1 * air_c)
}

/// Returns the wet-bulb globe temperature indoors or without sun, in degrees Celsius.
///
/// # Formula
/// 0.7 Tnwb + 0.3 Tg (ISO 7243, from memory)
///
/// # Errors
/// Names the reading that is out of its range, −20 to 60 °C (globe up to 90).
pub fn wbgt_indoor_c(natural_wet_bulb_c: f64, globe_c: f64) -> Result<f64, WeatherError> {
    range("natural_wet_bulb_c", natural_wet_bulb_c, -20.0, 60.0, "-20 to 60 °C")?;
    range("globe_c", globe_c, -20.0, 90.0, "-20 to 90 °C")?;
    Ok(0.7 * natural_wet_bulb_c + 0.3 * globe_c)
}

/// Returns an estimate of the wet-bulb globe temperature in degrees Celsius from what a weather page says.
///
/// `air_c` −20 to 60 °C, `humidity_pct` 0 to 100. Low and high are the corners of ±1 °C and ±5 % in what was typed,
/// which is wider than their 90 % interval. The estimate assumes moderate sun and a light wind.
///
/// # Formula
/// 0.567 Ta + 0.393 e + 3.94 with the vapour pressure e = R/100 · 6.105 exp(17.27 Ta / (237.7 + Ta)) in hPa
/// (Australian Bureau of Meteorology, from memory).
///
/// # Errors
/// Names the number that is out of its range.
pub fn wbgt_estimate(air_c: f64, humidity_pct: f64) -> Result<Wbgt, WeatherError> {
    range("air_c", air_c, -20.0, 60.0, "-20 to 60 °C")?;
    range("humidity_pct", humidity_pct, 0.0, 100.0, "0 to 100 %")?;
    let at = |by: f64| {
        let humidity_pct = (humidity_pct + by * HUMIDITY_ERROR_PCT).clamp(0.0, 100.0);
        approximate_wbgt_c(air_c + by * TEMPERATURE_ERROR_C, humidity_pct)
    };
    Ok(Wbgt::Estimated(Estimate {
        median: at(0.0),
        low: at(-1.0),
        high: at(1.0),
        n: 1,
        method: METHOD.to_owned(),
    }))
}

fn approximate_wbgt_c(air_c: f64, humidity_pct: f64) -> f64 {
    let vapour_hpa = humidity_pct / 100.0 * 6.105 * libm::exp(17.27 * air_c / (237.7 + air_c));
    0.567 * air_c + 0.393 * vapour_hpa + 3.94
}

/// What a band of guidance asks, the mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// The lesson as planned, with an eye on the children.
    AsPlanned,
    /// More and longer rests, shade, drinks.
    MoreRest,
    /// Hard running is limited; some children do not run.
    Limit,
    /// No lesson in the heat.
    Cancel,
}

/// From where a school's own steps begin, in degrees Celsius, each at least the one before.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SchoolLimits {
    /// More rest from here.
    pub more_rest_c: f64,
    /// Limits from here.
    pub limit_c: f64,
    /// No lesson from here.
    pub cancel_c: f64,
}

/// Whose bands count. They disagree with one another.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Guidance {
    /// The older table of a committee of the American Academy of Pediatrics: 24, 26 and 29 °C. It limits and
    /// cancels earliest, so it is the default. A statement of 2011 replaced it (from memory).
    #[default]
    PediatricsCommittee,
    /// American College of Sports Medicine 2007, not used to heat: 27.8, 30.0 and 32.2 °C.
    SportsMedicineNew,
    /// The same, used to heat.
    SportsMedicineUsed,
    /// The school's own.
    School(SchoolLimits),
}

impl Guidance {
    /// Returns the step at a wet-bulb globe temperature in degrees Celsius.
    ///
    /// Tables leave holes between their printed rows (25.9 and 26); a value in a hole belongs to the stricter row.
    pub fn step(&self, wbgt_c: f64) -> Step {
        use Step::{AsPlanned, Cancel, Limit, MoreRest};
        // A table's last printed value of a row still belongs to the row, however it was computed.
        const PRINTED: f64 = 1e-9;
        let up_to = |limit_c: f64| wbgt_c <= limit_c + PRINTED;
        match self {
            Self::PediatricsCommittee => match wbgt_c {
                wbgt if wbgt < 24.0 => AsPlanned,
                wbgt if wbgt <= 25.9 + PRINTED => MoreRest,
                wbgt if wbgt <= 29.0 + PRINTED => Limit,
                _ => Cancel,
            },
            Self::SportsMedicineNew | Self::SportsMedicineUsed => {
                let row = usize::from(wbgt_c >= 27.8) + usize::from(!up_to(30.0)) + usize::from(!up_to(32.2));
                match self {
                    Self::SportsMedicineNew => [MoreRest, Limit, Cancel, Cancel][row],
                    _ => [AsPlanned, MoreRest, Limit, Cancel][row],
                }
            }
            Self::School(limits) => match wbgt_c {
                wbgt if wbgt < limits.more_rest_c => AsPlanned,
                wbgt if wbgt < limits.limit_c => MoreRest,
                wbgt if wbgt < limits.cancel_c => Limit,
                // A number that is none lands here: the careful end.
                _ => Cancel,
            },
        }
    }

    fn name(&self) -> Message {
        Message::new(match self {
            Self::PediatricsCommittee => "weather-guidance-pediatrics",
            Self::SportsMedicineNew => "weather-guidance-sports-new",
            Self::SportsMedicineUsed => "weather-guidance-sports-used",
            Self::School(_) => "weather-guidance-school",
        })
    }
}

/// What guidance says about a wet-bulb globe temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeatAdvice {
    /// The step of the guidance that counts.
    pub step: Step,
    /// The value it went by, in degrees Celsius: the upper end of an estimate.
    pub by_c: f64,
    /// What the published tables say at that value, in the order of [`Guidance`].
    pub published: Vec<(Guidance, Step)>,
    /// What to tell the teacher: the step, then where the value comes from, then whether the tables disagree.
    pub say: Vec<Message>,
}

/// Below this nothing is said about heat, in degrees Celsius: the lowest value that the tables name is 10 °C.
const COOL_C: f64 = 10.0;

/// Returns what guidance says. In the cool it says nothing of heat, and that nothing here is about cold.
///
/// # Errors
/// Limits of a school that do not rise, or lie outside 0 to 50 °C, and a value that is no number.
pub fn heat_advice(wbgt: &Wbgt, guidance: &Guidance) -> Result<HeatAdvice, WeatherError> {
    let by_c = wbgt.careful_c();
    range("wbgt_c", by_c, -60.0, 150.0, "-60 to 150 °C")?;
    if let Guidance::School(limits) = guidance {
        range("more_rest_c", limits.more_rest_c, 0.0, 50.0, "0 to 50 °C")?;
        range("limit_c", limits.limit_c, limits.more_rest_c, 50.0, "at least more_rest_c, up to 50 °C")?;
        range("cancel_c", limits.cancel_c, limits.limit_c, 50.0, "at least limit_c, up to 50 °C")?;
    }
    let step = guidance.step(by_c);
    let tables = [Guidance::PediatricsCommittee, Guidance::SportsMedicineNew, Guidance::SportsMedicineUsed];
    let published: Vec<(Guidance, Step)> = tables.iter().map(|table| (*table, table.step(by_c))).collect();
    let id = match step {
        Step::AsPlanned => "weather-heat-as-planned",
        Step::MoreRest => "weather-heat-more-rest",
        Step::Limit => "weather-heat-limit",
        Step::Cancel => "weather-heat-cancel",
    };
    let tenths = |celsius: f64| Arg::Number((celsius * 10.0).round() / 10.0);
    let value = match wbgt {
        Wbgt::Estimated(_) => "weather-wbgt-at-most",
        _ => "weather-wbgt-value",
    };
    let value = || Arg::Say(Box::new(Message::new(value).with("wbgt", tenths(by_c))));
    if by_c < COOL_C && step == Step::AsPlanned {
        let say = vec![Message::new("weather-cool").with("wbgt", value())];
        return Ok(HeatAdvice { step, by_c, published, say });
    }
    let mut say =
        vec![Message::new(id).with("wbgt", value()).with("guidance", Arg::Say(Box::new(guidance.name())))];
    if step == Step::Cancel {
        say.push(Message::new("weather-heat-another-time"));
    }
    if let Wbgt::Estimated(estimate) = wbgt {
        say.push(
            Message::new("weather-wbgt-estimated")
                .with("wbgt", tenths(estimate.median))
                .with("low", tenths(estimate.low))
                .with("high", tenths(estimate.high)),
        );
    }
    if published.iter().any(|(_, other)| *other != step) {
        let of = |index: usize| Arg::Say(Box::new(step_name(published[index].1)));
        say.push(
            Message::new("weather-guidance-disagrees")
                .with("pediatrics", of(0))
                .with("sports-new", of(1))
                .with("sports-used", of(2)),
        );
    }
    Ok(HeatAdvice { step, by_c, published, say })
}

/// Returns whether a sentence of [`heat_advice`] limits or ends running: it belongs above a plan, not below.
pub fn limits_running(said: &Message) -> bool {
    said.id == "weather-heat-limit" || ends_running(said)
}

/// Returns whether a sentence of [`heat_advice`] ends running: beside it nothing is said of how to run more.
pub fn ends_running(said: &Message) -> bool {
    matches!(said.id.as_str(), "weather-heat-cancel" | "weather-heat-another-time")
}

fn step_name(step: Step) -> Message {
    Message::new(match step {
        Step::AsPlanned => "weather-step-as-planned",
        Step::MoreRest => "weather-step-more-rest",
        Step::Limit => "weather-step-limit",
        Step::Cancel => "weather-step-cancel",
    })
}
