//! What was heard, as sentences.

use lanewright_model::{Arg, Message};

use crate::findings::{Evenness, Findings, Lane, Range};

/// From this probability of the right count on, the hurdle of a knock is said without a "perhaps".
pub const SURE_COUNT: f64 = 0.6;

fn two(value: f64) -> Arg {
    Arg::Number((value * 100.0).round() / 100.0)
}

fn shares(id: &str, name: &str, range: Range) -> Message {
    Message { id: id.to_owned(), args: Default::default() }
        .with(name, Arg::Share(range.value))
        .with("low", Arg::Share(range.low))
        .with("high", Arg::Share(range.high))
}

/// Returns the findings of a take as sentences: contacts, cadence, evenness, trend, heavy stops, knocks. Of a take that
/// gives no answer, why and what to do.
#[must_use]
pub fn said(found: &Findings, lane: Option<&Lane>) -> Vec<Message> {
    if let Some(reason) = found.reason {
        return vec![reason.message()];
    }
    let mut said = vec![
        Message::new("listen-contacts")
            .with("count", Arg::Count(found.contacts.len() as i64))
            .with("seconds", Arg::Number((found.duration_s * 10.0).round() / 10.0)),
    ];
    if let Some(cadence) = found.cadence_hz {
        said.push(
            Message::new("listen-cadence")
                .with("cadence", two(cadence.value))
                .with("low", two(cadence.low))
                .with("high", two(cadence.high)),
        );
    }
    said.push(evenness(found));
    if let Some(trend) = found.trend.filter(|trend| trend.low > 0.0 || trend.high < 0.0) {
        said.push(shares("listen-trend", "trend", trend));
    }
    for brake in &found.brakes {
        said.push(
            Message::new("listen-brake")
                .with("t", two(brake.t_s))
                .with("p", Arg::Share(brake.p))
                .with("pause", Arg::Number((brake.pause_steps * 10.0).round() / 10.0)),
        );
    }
    for knock in &found.knocks {
        let sure = found.alignment_p.is_some_and(|p| p >= SURE_COUNT);
        let message = match knock.hurdle {
            Some(hurdle) if !sure => {
                Message::new("listen-knock-perhaps").with("hurdle", Arg::Count(hurdle as i64))
            }
            Some(hurdle) => Message::new("listen-knock-hurdle").with("hurdle", Arg::Count(hurdle as i64)),
            None => Message::new("listen-knock"),
        };
        said.push(message.with("t", two(knock.t_s)).with("p", Arg::Share(knock.p)));
    }
    if let Some(lane) = lane.filter(|_| found.gaps.is_empty()) {
        said.push(Message::new("listen-no-gaps").with("hurdles", Arg::Count(lane.hurdles as i64)));
    }
    said
}

/// Returns the speed through each gap as sentences.
#[must_use]
pub fn gaps(found: &Findings) -> Vec<Message> {
    let said = found.gaps.iter().map(|gap| {
        Message::new("listen-gap")
            .with("hurdle", Arg::Count(gap.hurdle as i64))
            .with("speed", Arg::SpeedMps(gap.speed_mps))
            .with("low", Arg::SpeedMps(gap.low_mps))
            .with("high", Arg::SpeedMps(gap.high_mps))
    });
    said.collect()
}

/// Returns the sentence about evenness.
#[must_use]
pub fn evenness(found: &Findings) -> Message {
    let (Some(cv), asymmetry) = (found.cv_step_time, found.asymmetry) else {
        return Message::new("listen-not-enough-steps");
    };
    match (found.evenness, asymmetry) {
        (Evenness::Even, _) => shares("listen-even", "cv", cv),
        (Evenness::Uneven, _) => shares("listen-uneven", "cv", cv),
        (Evenness::OneSided, Some(asymmetry)) => shares("listen-one-sided", "asymmetry", asymmetry),
        _ => shares("listen-not-enough", "cv", cv),
    }
}
