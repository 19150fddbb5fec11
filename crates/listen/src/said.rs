//! What was heard, as sentences.

use lanewright_model::{Arg, Message};

use crate::findings::{Evenness, Findings, Lane, Range};
use crate::turns::{NoTurns, Stop, Turns};

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
    // "One of all hurdles" says nothing.
    let all = lane.map(|lane| [1, lane.hurdles]);
    for knock in &found.knocks {
        let message = match (knock.sure_hurdle(), knock.hurdle, knock.hurdle_range) {
            (Some(hurdle), ..) => {
                Message::new("listen-knock-hurdle").with("hurdle", Arg::Count(hurdle as i64))
            }
            (None, Some(_), range) if range.is_some() && range == all => {
                Message::new("listen-knock-unplaced")
            }
            (None, Some(_), Some([low, high])) if low < high => Message::new("listen-knock-among")
                .with("low", Arg::Count(low as i64))
                .with("high", Arg::Count(high as i64)),
            (None, Some(hurdle), _) => {
                Message::new("listen-knock-perhaps").with("hurdle", Arg::Count(hurdle as i64))
            }
            _ => Message::new("listen-knock"),
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

/// A number of things with its range, as one part of a sentence.
fn range(range: Range) -> Message {
    let count = |value: f64| Arg::Count(value as i64);
    if range.low < range.high {
        Message::new("heard-range")
            .with("value", count(range.value))
            .with("low", count(range.low))
            .with("high", count(range.high))
    } else {
        Message::new("heard-number").with("value", count(range.value))
    }
}

/// Returns the turns of a take as sentences: how many, each of them, calls behind which none is heard; or why they
/// cannot be counted.
#[must_use]
pub fn turns(found: &Turns) -> Vec<Message> {
    if let Some(reason) = found.reason {
        return vec![match reason {
            NoTurns::NotHeard => Message::new("heard-turns-no-steps"),
            NoTurns::TooFewSteps => Message::new("heard-turns-few-steps"),
            NoTurns::TooUneven => Message::new("heard-turns-uneven"),
            NoTurns::Covered => Message::new("heard-turns-covered"),
        }];
    }
    let mut said = Vec::new();
    if let (Some(count), Some(one)) = (found.count, found.one_step) {
        said.push(match found.turns.is_empty() {
            true => Message::new("heard-turns-none"),
            false => Message::new("heard-turns-count")
                .with("count", Arg::Say(Box::new(range(count))))
                .with("one", Arg::Say(Box::new(range(one)))),
        });
    }
    for (turn, number) in found.turns.iter().zip(1..) {
        let steps = match turn.one_step {
            Some(true) => Message::new("heard-turn-one").with("p", Arg::Share(turn.contacts_p[0])),
            Some(false) => {
                Message::new("heard-turn-several").with("contacts", Arg::Say(Box::new(range(turn.contacts))))
            }
            None => Message::new("heard-turn-unsure").with("p", Arg::Share(turn.contacts_p[0])),
        };
        let strength = turn.strength_db.unwrap_or(Range { value: 0.0, low: 0.0, high: 0.0 });
        let whole = |value: f64| Arg::Number(value.round());
        let stop = match turn.stop {
            Stop::Heavy => Message::new("heard-stop-heavy"),
            Stop::Quick => Message::new("heard-stop-quick"),
            Stop::NotKnown => Message::new("heard-stop-not-known"),
        };
        let stop = stop
            .with("value", whole(strength.value))
            .with("low", whole(strength.low))
            .with("high", whole(strength.high));
        said.push(
            Message::new("heard-turn")
                .with("number", Arg::Count(number))
                .with("t", two(turn.t_s))
                .with("p", Arg::Share(turn.p))
                .with("steps", Arg::Say(Box::new(steps)))
                .with("stop", Arg::Say(Box::new(stop))),
        );
    }
    for &call in &found.calls_without {
        said.push(Message::new("heard-call-without").with("call", Arg::Count(call as i64)));
    }
    said
}
