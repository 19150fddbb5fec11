//! Floor, shoes and what else to look at before children run; rest between timed bouts.

use lanewright_model::kit::Surface;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{WeatherError, range};

/// Returns what to look at before the first run, in the order of a walk round the lanes.
pub fn checklist(surface: Surface, outdoors: bool) -> Vec<Message> {
    let mut list = vec![Message::new("weather-check-floor")];
    match surface {
        Surface::Slippery => list.push(Message::new("weather-check-slippery")),
        Surface::Hard => list.push(Message::new("weather-check-hard")),
        Surface::Grass => list.push(Message::new("weather-check-grass")),
        Surface::Hall | Surface::Track => {}
    }
    list.push(Message::new("weather-check-walls"));
    list.push(Message::new("weather-check-shoes"));
    if outdoors {
        list.push(Message::new("weather-check-outdoors"));
    }
    list.push(Message::new("weather-check-first-aid"));
    list.push(Message::new("weather-check-rules"));
    list
}

/// How hard a timed bout is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoutKind {
    /// As fast as possible.
    AllOut,
    /// A side-step game or shuttle with calls.
    Game,
}

/// Rest after a bout.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rest {
    /// Shortest rest, in seconds.
    pub low_s: f64,
    /// Longest rest that the guidance asks for, in seconds.
    pub high_s: f64,
    /// The rest in a sentence.
    pub say: Message,
}

/// Returns the rest after a bout of 5 to 30 seconds.
///
/// All-out bouts of 5 to 10 s rest 12 to 20 times as long, of 15 to 30 s 3 to 5 times (National Strength and
/// Conditioning Association, Essentials, a table for adults); between 10 and 15 s nothing is printed and the longer
/// rest counts. Games rest 3 to 5 times as long throughout (engineering assumption after the same table).
///
/// # Errors
/// A bout out of its range.
pub fn rest_between_bouts(bout_s: f64, kind: BoutKind) -> Result<Rest, WeatherError> {
    range("bout_s", bout_s, 5.0, 30.0, "5 to 30 s")?;
    let (low, high) = if kind == BoutKind::AllOut && bout_s < 15.0 { (12.0, 20.0) } else { (3.0, 5.0) };
    let (low_s, high_s) = (low * bout_s, high * bout_s);
    let seconds = |value: f64| Arg::Count(value.round() as i64);
    let id = match kind {
        BoutKind::AllOut => "weather-rest-all-out",
        BoutKind::Game => "weather-rest-game",
    };
    let say = Message::new(id)
        .with("bout", seconds(bout_s))
        .with("low", seconds(low_s))
        .with("high", seconds(high_s));
    Ok(Rest { low_s, high_s, say })
}
