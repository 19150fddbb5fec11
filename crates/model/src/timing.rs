//! Timed stretches, presses and bouts: what the records hold, what they refuse, and which times follow.
//!
//! A press holds its own moment by the clock of its own device. Times are differences of presses, so they are
//! computed, never stored: a corrected mark, a swapped child or a better comparison of two clocks changes them all.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::drill::DrillId;
use crate::record::{ClockCheckBody, StretchBody};
use crate::run::{Bout, LANE_HURDLES_MAX, Observation, Source};
use crate::words::{Arg, Message};

/// Most marks of one stretch (engineering assumption: nobody taps more while a child runs by).
pub const MARKS_MAX: usize = 8;
/// Farthest mark, in metres (engineering assumption: once round a track).
pub const MARK_MAX_M: f64 = 400.0;
/// Least distance between two marks, in metres (engineering assumption: less is a slip of the keyboard).
pub const MARK_STEP_MIN_M: f64 = 0.5;
/// Longest time of one stretch, in seconds (engineering assumption).
pub const TIME_MAX_S: f64 = 300.0;
/// Longest bout, in seconds; the same in run files.
pub const BOUT_MAX_S: f64 = 600.0;

/// Standard deviation of one press by hand against the moment it is meant for, in seconds (engineering assumption: what
/// a class reaches; a practised hand is about twice as good).
pub const PRESS_SD_S: f64 = 0.10;
/// Standard deviation of a light gate, in seconds (engineering assumption).
pub const GATE_SD_S: f64 = 0.005;
/// How far two clocks run apart, as a share of the time since they were compared (engineering assumption: quartz
/// clocks of phones keep 50 parts in a million, and two of them may err in opposite directions).
pub const DRIFT: f64 = 100e-6;
/// Standard deviation added when the page was loaded anew between two presses and only the wall clock ties them
/// together, in seconds (engineering assumption).
pub const RELOAD_SD_S: f64 = 0.02;

/// How the ground in front of a mark is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Without hurdles.
    #[default]
    Flat,
    /// Over hurdles: never to be read as a flat sprint.
    Hurdled,
}

/// A mark at which a time is taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// Distance from the start, in metres.
    pub at_m: f64,
    /// The ground between the mark before (or the start) and this one.
    #[serde(default)]
    pub ground: Ground,
}

/// What begins the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StartKind {
    /// The child's first movement.
    #[default]
    FirstMovement,
    /// A clap, a call or a gun: the child's reaction is in the time.
    Gun,
    /// A gate at the start line, crossed after the first movement.
    Photocell,
    /// The child passes the start line at speed.
    Flying,
}

/// How a time was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Tapped on one phone.
    #[default]
    Tap,
    /// Started on one phone, tapped on another at the mark.
    SecondPhone,
    /// Read off a stopwatch.
    Watch,
    /// Light gates.
    Gates,
}

impl Method {
    /// Returns the timing error to assume: of one press or beam, as a standard deviation in seconds. A time has two.
    pub fn error_s(self) -> f64 {
        match self {
            Method::Tap | Method::SecondPhone | Method::Watch => PRESS_SD_S,
            Method::Gates => GATE_SD_S,
        }
    }
}

/// One press on a device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Press {
    /// The device, as in record stamps.
    pub device: String,
    /// Which clock: the wall time at which the page's steady clock read zero, in milliseconds since 1970. Two presses
    /// with the same device and clock lie exactly as far apart as they say, whatever happened to the wall clock.
    pub clock_ms: i64,
    /// The moment the finger came down, in milliseconds since 1970 by that clock.
    pub at_ms: i64,
}

/// What was timed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Timed {
    /// A child starts.
    Start {
        /// The press.
        press: Press,
    },
    /// A child passes a mark.
    Mark {
        /// Which mark, counted from 1.
        mark: u32,
        /// Record id of the start it belongs to; absent when the device did not know it yet.
        #[serde(default)]
        start: Option<String>,
        /// The press.
        press: Press,
    },
    /// Times from the start to each mark, typed or pasted.
    Times {
        /// In seconds, one per mark; `null` where there is none.
        times_s: Vec<Option<f64>>,
        /// When the child ran, in milliseconds since 1970.
        at_ms: i64,
    },
}

/// What a timing record holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TimingFacts {
    /// Record id of the stretch.
    pub stretch: String,
    /// Runner id. Of a press at a mark whose start is named, the start's child counts.
    pub runner: String,
    /// What was timed.
    pub timed: Timed,
    /// How.
    #[serde(default)]
    pub method: Method,
    /// Standard deviation of one press or beam, in seconds; a typed time began and ended with one.
    pub error_s: f64,
}

/// What a bout record holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutFacts {
    /// Lane letter.
    pub lane: String,
    /// Drill.
    pub drill: DrillId,
    /// When it began, in milliseconds since 1970.
    pub at_ms: i64,
    /// How long it was meant to be, in seconds; absent for a free one.
    #[serde(default)]
    pub planned_s: Option<f64>,
    /// How long it was, in seconds.
    pub seconds: f64,
    /// From this number the calls follow; absent when nobody called.
    #[serde(default)]
    pub seed: Option<u32>,
    /// Calls to turn that were given.
    #[serde(default)]
    pub calls: u32,
    /// Who ran: one child, or a pair.
    pub runners: Vec<BoutRunner>,
    /// Hurdles that fell and stayed down, counted from 1.
    #[serde(default)]
    pub down: Vec<u32>,
    /// Gap in metres.
    #[serde(default)]
    pub gap_m: Option<f64>,
    /// How turns were counted; absent: by tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Source>,
}

/// What one child did in a bout.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BoutRunner {
    /// Runner id.
    pub runner: String,
    /// Ways through the hurdles, whole or cut short by a call.
    #[serde(default)]
    pub passes: u32,
    /// Turns.
    #[serde(default)]
    pub turns: u32,
    /// Turns made within one step.
    #[serde(default)]
    pub one_step_turns: u32,
    /// Hurdles that the child brought down.
    #[serde(default)]
    pub falls: u32,
}

/// Returns whether the marks of a stretch fit together.
///
/// # Errors
/// What to change.
pub fn check_marks(marks: &[Mark]) -> Result<(), Message> {
    if marks.is_empty() {
        return Err(Message::new("timing-marks-none"));
    }
    if marks.len() > MARKS_MAX {
        return Err(Message::new("timing-marks-many").with("most", Arg::Count(MARKS_MAX as i64)));
    }
    let mut before_m = 0.0;
    for (mark, number) in marks.iter().zip(1i64..) {
        let named = |id: &str| Message::new(id).with("number", Arg::Count(number));
        if !(mark.at_m.is_finite() && mark.at_m > 0.0 && mark.at_m <= MARK_MAX_M) {
            return Err(named("timing-mark-range").with("most", Arg::RoomM(MARK_MAX_M)));
        }
        if mark.at_m < before_m + MARK_STEP_MIN_M {
            return Err(named("timing-mark-order").with("least", Arg::GapM(before_m + MARK_STEP_MIN_M)));
        }
        before_m = mark.at_m;
    }
    Ok(())
}

/// Longest run-up of a flying start, in metres (engineering assumption).
pub const RUN_UP_MAX_M: f64 = 100.0;

/// Returns whether a run-up can be one: more than nothing, up to [`RUN_UP_MAX_M`].
///
/// # Errors
/// What to change.
pub fn check_run_up(run_up_m: f64) -> Result<(), Message> {
    if run_up_m > 0.0 && run_up_m <= RUN_UP_MAX_M {
        Ok(())
    } else {
        Err(Message::new("timing-run-up-range").with("most", Arg::RoomM(RUN_UP_MAX_M)))
    }
}

/// Returns whether times from the start to each mark fit together: in range, and rising.
///
/// # Errors
/// What to change.
pub fn check_times(times_s: &[Option<f64>]) -> Result<(), Message> {
    let mut before_s = 0.0;
    if times_s.iter().all(Option::is_none) {
        return Err(Message::new("timing-times-none"));
    }
    for time_s in times_s.iter().flatten() {
        if !(time_s.is_finite() && *time_s > 0.0 && *time_s <= TIME_MAX_S) {
            return Err(Message::new("timing-time-range")
                .with("time", Arg::TimeS(*time_s))
                .with("most", Arg::TimeS(TIME_MAX_S)));
        }
        if *time_s <= before_s {
            return Err(Message::new("timing-time-order")
                .with("time", Arg::TimeS(*time_s))
                .with("before", Arg::TimeS(before_s)));
        }
        before_s = *time_s;
    }
    Ok(())
}

impl TimingFacts {
    /// Returns whether the facts fit a stretch with that many marks.
    ///
    /// # Errors
    /// What is wrong with them.
    pub fn check(&self, marks: usize) -> Result<(), Message> {
        if !(self.error_s.is_finite() && (0.0..=2.0).contains(&self.error_s)) {
            return Err(Message::new("timing-error-range").with("error", Arg::Number(self.error_s)));
        }
        let no_such = |mark: usize| {
            Message::new("timing-no-such-mark")
                .with("number", Arg::Count(mark as i64))
                .with("marks", Arg::Count(marks as i64))
        };
        match &self.timed {
            Timed::Start { .. } => Ok(()),
            Timed::Mark { mark, .. } if (1..=marks as u32).contains(mark) => Ok(()),
            Timed::Mark { mark, .. } => Err(no_such(*mark as usize)),
            Timed::Times { times_s, .. } if times_s.len() > marks => Err(no_such(times_s.len())),
            Timed::Times { times_s, .. } => check_times(times_s),
        }
    }

    /// Returns when it was, by the clock of the device that wrote it.
    pub fn at_ms(&self) -> i64 {
        match &self.timed {
            Timed::Start { press } | Timed::Mark { press, .. } => press.at_ms,
            Timed::Times { at_ms, .. } => *at_ms,
        }
    }
}

impl BoutFacts {
    /// Returns whether the numbers of a bout fit together.
    ///
    /// # Errors
    /// What to change.
    pub fn check(&self) -> Result<(), Message> {
        if !(self.seconds.is_finite() && self.seconds > 0.0 && self.seconds <= BOUT_MAX_S) {
            return Err(Message::new("bout-seconds")
                .with("seconds", Arg::Number(self.seconds))
                .with("most", Arg::Number(BOUT_MAX_S)));
        }
        if !(1..=2).contains(&self.runners.len()) {
            return Err(Message::new("bout-runners").with("count", Arg::Count(self.runners.len() as i64)));
        }
        if self.runners.len() == 2 && self.runners[0].runner == self.runners[1].runner {
            return Err(Message::new("bout-same-child"));
        }
        if let Some(number) = self.down.iter().find(|number| !(1..=LANE_HURDLES_MAX).contains(*number)) {
            return Err(Message::new("bout-down")
                .with("number", Arg::Count((*number).into()))
                .with("most", Arg::Count(LANE_HURDLES_MAX.into())));
        }
        for runner in &self.runners {
            if runner.one_step_turns > runner.turns {
                return Err(Message::new("bout-one-step")
                    .with("one", Arg::Count(runner.one_step_turns.into()))
                    .with("turns", Arg::Count(runner.turns.into())));
            }
        }
        Ok(())
    }

    /// Returns the bout of each child as the computations take it.
    pub fn observations(&self) -> Vec<Observation> {
        let Ok(at) = jiff::Timestamp::from_millisecond(self.at_ms) else { return Vec::new() };
        let each = self.runners.iter().map(|runner| {
            Observation::Bout(Bout {
                runner: runner.runner.clone(),
                drill: self.drill.0.clone(),
                class: None,
                at,
                passes: runner.passes,
                turns: runner.turns,
                one_step_turns: runner.one_step_turns,
                seconds: self.seconds,
                falls: Some(runner.falls),
            })
        });
        each.collect()
    }
}

// What follows from the records

/// A timing record as it counts now.
#[derive(Debug, Clone, PartialEq)]
pub struct TimingView {
    /// Record id.
    pub id: String,
    /// What it says after corrections.
    pub facts: TimingFacts,
    /// Record id of the correction that counts, when there is one.
    pub correction: Option<String>,
}

/// A bout record as it counts now.
#[derive(Debug, Clone, PartialEq)]
pub struct BoutView {
    /// Record id.
    pub id: String,
    /// What it says after corrections.
    pub facts: BoutFacts,
    /// Record id of the correction that counts, when there is one.
    pub correction: Option<String>,
}

/// Why two presses give no time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoTime {
    /// They stand on two devices whose clocks were never compared.
    ClocksNotCompared,
    /// The mark was pressed before the start.
    BeforeStart,
}

/// A time at a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkTime {
    /// Which mark, counted from 1.
    pub mark: u32,
    /// Record id of the press, or of the typed times.
    pub record: String,
    /// Seconds from the start, or why there is none.
    pub time_s: Result<f64, NoTime>,
    /// Standard deviation of the time, in seconds: presses and clocks together.
    pub sd_s: f64,
    /// What the comparison of two clocks adds at most, in seconds; 0 on one device.
    pub clocks_s: f64,
    /// How it was taken.
    pub method: Method,
}

/// One child through a stretch once.
#[derive(Debug, Clone, PartialEq)]
pub struct Attempt {
    /// Record id of the start, or of the typed times.
    pub id: String,
    /// Runner id.
    pub runner: String,
    /// Record id of the stretch.
    pub stretch: String,
    /// When, in milliseconds since 1970.
    pub at_ms: i64,
    /// The start was pressed on this device; absent for typed times.
    pub started_on: Option<String>,
    /// Times, nearest mark first; at most one per mark.
    pub marks: Vec<MarkTime>,
    /// A correction changed something.
    pub corrected: bool,
}

impl Attempt {
    /// Returns the number of the mark that is next, counted from 1: the one behind the last that has a press.
    pub fn next_mark(&self) -> u32 {
        self.marks.last().map_or(1, |last| last.mark + 1)
    }

    /// Returns the time at a mark, when there is one.
    pub fn time_at(&self, mark: u32) -> Option<&MarkTime> {
        self.marks.iter().find(|time| time.mark == mark)
    }
}

/// How far a device's clock is behind the server's, and how well that is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockOffset {
    /// Server minus device, in milliseconds.
    pub offset_ms: f64,
    /// It lies within this many milliseconds of that.
    pub error_ms: f64,
}

/// Returns how a device's clock stood to the server's at the moment of a press: by the check nearest to it, with what
/// the clocks may have run apart since.
pub fn offset_at(checks: &[ClockCheckBody], press: &Press) -> Option<ClockOffset> {
    let own = checks.iter().filter(|check| check.device == press.device && check.clock_ms == press.clock_ms);
    own.map(|check| ClockOffset {
        offset_ms: check.offset_ms,
        error_ms: check.error_ms + DRIFT * check.at_ms.abs_diff(press.at_ms) as f64,
    })
    .min_by(|a, b| a.error_ms.total_cmp(&b.error_ms))
}

/// Returns the seconds between two presses: time, standard deviation, and what the comparison of two clocks adds at
/// most.
///
/// # Errors
/// Why there is no time.
fn between(
    start: (&Press, f64),
    end: (&Press, f64),
    checks: &[ClockCheckBody],
) -> Result<(f64, f64, f64), NoTime> {
    let ((start, start_sd_s), (end, end_sd_s)) = (start, end);
    let hands = start_sd_s * start_sd_s + end_sd_s * end_sd_s;
    let plain_s = (end.at_ms - start.at_ms) as f64 / 1000.0;
    let (time_s, variance, clocks_s) = if start.device == end.device && start.clock_ms == end.clock_ms {
        (plain_s, hands, 0.0)
    } else {
        match (offset_at(checks, start), offset_at(checks, end)) {
            (Some(a), Some(b)) => {
                let clocks_s = (a.error_ms + b.error_ms) / 1000.0;
                // Anywhere within its bound is equally likely: variance a third of the bound's square, for each.
                let variance = hands + (a.error_ms * a.error_ms + b.error_ms * b.error_ms) / 3e6;
                (plain_s + (b.offset_ms - a.offset_ms) / 1000.0, variance, clocks_s)
            }
            _ if start.device == end.device => (plain_s, hands + RELOAD_SD_S * RELOAD_SD_S, 0.0),
            _ => return Err(NoTime::ClocksNotCompared),
        }
    };
    if time_s <= 0.0 {
        return Err(NoTime::BeforeStart);
    }
    Ok((time_s, variance.sqrt(), clocks_s))
}

/// Returns the attempts that follow from presses and typed times, oldest first, and the presses at marks for which no
/// start is known.
///
/// A press at a mark belongs to the start that it names. Where it names none, it belongs to the child's latest start on
/// that stretch before it that has no press at that mark yet. Of several presses of one attempt at one mark the first
/// counts.
pub fn attempts(
    timings: &[TimingView],
    stretches: &BTreeMap<String, StretchBody>,
    checks: &[ClockCheckBody],
) -> (Vec<Attempt>, Vec<TimingView>) {
    let mut attempts: Vec<Attempt> = Vec::new();
    let mut starts: BTreeMap<&str, &TimingView> = BTreeMap::new();
    for view in timings {
        let facts = &view.facts;
        let Some(stretch) = stretches.get(&facts.stretch) else { continue };
        if facts.check(stretch.marks.len()).is_err() {
            continue;
        }
        let attempt = |started_on: Option<String>, marks: Vec<MarkTime>| Attempt {
            id: view.id.clone(),
            runner: facts.runner.clone(),
            stretch: facts.stretch.clone(),
            at_ms: facts.at_ms(),
            started_on,
            marks,
            corrected: view.correction.is_some(),
        };
        match &facts.timed {
            Timed::Start { press } => {
                starts.insert(&view.id, view);
                attempts.push(attempt(Some(press.device.clone()), Vec::new()));
            }
            Timed::Times { times_s, .. } => {
                let marks = times_s.iter().zip(1..).filter_map(|(time_s, mark)| {
                    Some(MarkTime {
                        mark,
                        record: view.id.clone(),
                        time_s: Ok((*time_s)?),
                        sd_s: facts.error_s * std::f64::consts::SQRT_2,
                        clocks_s: 0.0,
                        method: facts.method,
                    })
                });
                attempts.push(attempt(None, marks.collect()));
            }
            Timed::Mark { .. } => {}
        }
    }
    attempts.sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));

    let mut presses: Vec<&TimingView> =
        timings.iter().filter(|view| matches!(view.facts.timed, Timed::Mark { .. })).collect();
    presses.sort_by(|a, b| (a.facts.at_ms(), &a.id).cmp(&(b.facts.at_ms(), &b.id)));
    // Those that name their start go first: they take their place before others look for one.
    presses.sort_by_key(|view| matches!(view.facts.timed, Timed::Mark { start: None, .. }));
    let mut loose = Vec::new();
    for view in presses {
        let facts = &view.facts;
        let Timed::Mark { mark, start, press } = &facts.timed else { continue };
        let Some(stretch) = stretches.get(&facts.stretch) else { continue };
        if facts.check(stretch.marks.len()).is_err() {
            continue;
        }
        let time_from = |attempt: &Attempt| {
            let view = starts.get(attempt.id.as_str())?;
            let Timed::Start { press: from } = &view.facts.timed else { return None };
            Some(between((from, view.facts.error_s), (press, facts.error_s), checks))
        };
        let found = match start {
            Some(start) => attempts.iter_mut().find(|attempt| attempt.id == *start),
            None => attempts.iter_mut().rev().find(|attempt| {
                attempt.runner == facts.runner
                    && attempt.stretch == facts.stretch
                    && attempt.time_at(*mark).is_none()
                    && time_from(attempt)
                        .is_some_and(|time| time.is_ok_and(|(time_s, ..)| time_s <= TIME_MAX_S))
            }),
        };
        let Some(attempt) = found else {
            // A press whose start was taken back goes with it.
            if start.is_none() {
                loose.push(view.clone());
            }
            continue;
        };
        if attempt.time_at(*mark).is_some() {
            continue;
        }
        let Some(time) = time_from(attempt) else { continue };
        let same_device = attempt.started_on.as_deref() == Some(press.device.as_str());
        attempt.marks.push(MarkTime {
            mark: *mark,
            record: view.id.clone(),
            time_s: time.map(|(time_s, ..)| time_s),
            sd_s: time.map_or(0.0, |(_, sd_s, _)| sd_s),
            clocks_s: time.map_or(0.0, |(.., clocks_s)| clocks_s),
            method: if same_device { facts.method } else { Method::SecondPhone },
        });
        attempt.marks.sort_by_key(|time| time.mark);
        attempt.corrected |= view.correction.is_some();
    }
    (attempts, loose)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(device: &str, at_ms: i64) -> Press {
        Press { device: device.into(), clock_ms: 500, at_ms }
    }

    fn view(id: &str, runner: &str, timed: Timed) -> TimingView {
        let facts = TimingFacts {
            stretch: "s".into(),
            runner: runner.into(),
            timed,
            method: Method::Tap,
            error_s: PRESS_SD_S,
        };
        TimingView { id: id.into(), facts, correction: None }
    }

    fn start(id: &str, runner: &str, device: &str, at_ms: i64) -> TimingView {
        view(id, runner, Timed::Start { press: press(device, at_ms) })
    }

    fn at_mark(id: &str, runner: &str, of: Option<&str>, device: &str, mark: u32, at_ms: i64) -> TimingView {
        view(id, runner, Timed::Mark { mark, start: of.map(str::to_owned), press: press(device, at_ms) })
    }

    fn stretches() -> BTreeMap<String, StretchBody> {
        let marks =
            vec![Mark { at_m: 8.75, ground: Ground::Hurdled }, Mark { at_m: 18.75, ground: Ground::Flat }];
        let stretch = StretchBody {
            class: "c".into(),
            lane: "A".into(),
            marks,
            start: StartKind::FirstMovement,
            run_up_m: 0.0,
            at_ms: 0,
            of: None,
            void: false,
            unknown: Default::default(),
        };
        BTreeMap::from([("s".to_owned(), stretch)])
    }

    fn check(device: &str, offset_ms: f64, error_ms: f64, at_ms: i64) -> ClockCheckBody {
        ClockCheckBody {
            device: device.into(),
            clock_ms: 500,
            at_ms,
            offset_ms,
            error_ms,
            round_trips: 8,
            void: false,
            unknown: Default::default(),
        }
    }

    fn times(views: &[TimingView], checks: &[ClockCheckBody]) -> Vec<(String, Vec<(u32, f64)>)> {
        let (attempts, _) = attempts(views, &stretches(), checks);
        attempts
            .into_iter()
            .map(|attempt| {
                let marks = attempt.marks.iter().map(|time| (time.mark, time.time_s.unwrap_or(f64::NAN)));
                (attempt.runner, marks.collect())
            })
            .collect()
    }

    #[test]
    fn presses_on_one_phone_are_as_far_apart_as_they_say() {
        let views = [
            start("a", "Ada", "p", 10_000),
            start("b", "Ben", "p", 11_000),
            at_mark("m1", "Ada", Some("a"), "p", 1, 12_410),
            at_mark("m2", "Ben", Some("b"), "p", 1, 13_900),
            at_mark("m3", "Ada", Some("a"), "p", 2, 14_120),
        ];
        assert_eq!(
            times(&views, &[]),
            [("Ada".into(), vec![(1, 2.41), (2, 4.12)]), ("Ben".into(), vec![(1, 2.9)])]
        );
        let (attempts, _) = attempts(&views, &stretches(), &[]);
        let time = &attempts[0].marks[0];
        assert!((time.sd_s - PRESS_SD_S * 2f64.sqrt()).abs() < 1e-12);
        assert_eq!((time.method, time.clocks_s), (Method::Tap, 0.0));
    }

    #[test]
    fn two_phones_give_a_time_only_when_their_clocks_were_compared() {
        let views = [start("a", "Ada", "p", 10_000), at_mark("m", "Ada", Some("a"), "q", 1, 9_000)];
        let (lone, _) = attempts(&views, &stretches(), &[check("p", 0.0, 5.0, 10_000)]);
        assert_eq!(lone[0].marks[0].time_s, Err(NoTime::ClocksNotCompared));
        let checks = [check("p", -200.0, 5.0, 10_000), check("q", 3200.0, 7.0, 9_000)];
        let (both, _) = attempts(&views, &stretches(), &checks);
        let time = &both[0].marks[0];
        assert!((time.time_s.unwrap() - 2.4).abs() < 1e-9, "-1.000 + 3.200 + 0.200");
        assert!((time.clocks_s - 0.012).abs() < 1e-9);
        assert_eq!(time.method, Method::SecondPhone);
        assert!(time.sd_s > PRESS_SD_S * 2f64.sqrt());
    }

    #[test]
    fn a_check_of_another_clock_of_the_same_phone_counts_for_nothing() {
        let other = ClockCheckBody { clock_ms: 501, ..check("q", 0.0, 1.0, 10_000) };
        assert_eq!(offset_at(&[other], &press("q", 10_000)), None);
    }

    #[test]
    fn an_old_check_is_worth_less_than_a_fresh_one() {
        let checks = [check("p", 1.0, 2.0, 0), check("p", 9.0, 3.0, 600_000)];
        let offset = offset_at(&checks, &press("p", 590_000)).unwrap();
        assert_eq!(offset.offset_ms, 9.0);
        assert!((offset.error_ms - 4.0).abs() < 1e-9, "3 ms and 10 s of drift");
    }

    #[test]
    fn a_swapped_child_takes_all_times_of_the_attempt_along() {
        let mut views = [
            start("a", "Ada", "p", 10_000),
            at_mark("m1", "Ada", Some("a"), "p", 1, 12_000),
            at_mark("m2", "Ada", Some("a"), "p", 2, 14_000),
        ];
        views[0].facts.runner = "Ben".into();
        assert_eq!(times(&views, &[]), [("Ben".into(), vec![(1, 2.0), (2, 4.0)])]);
    }

    #[test]
    fn a_press_without_a_start_finds_it_when_the_start_arrives() {
        let mut views = vec![at_mark("m", "Ada", None, "p", 1, 12_000)];
        let (none, loose) = attempts(&views, &stretches(), &[]);
        assert_eq!((none.len(), loose.len()), (0, 1));
        views.push(start("a0", "Ada", "p", 5_000));
        views.push(at_mark("m0", "Ada", Some("a0"), "p", 1, 7_000));
        views.push(start("a", "Ada", "p", 10_000));
        views.push(start("a2", "Ada", "p", 13_000));
        assert_eq!(
            times(&views, &[]),
            [("Ada".into(), vec![(1, 2.0)]), ("Ada".into(), vec![(1, 2.0)]), ("Ada".into(), vec![])]
        );
    }

    #[test]
    fn of_two_presses_at_one_mark_the_first_counts() {
        let views = [
            start("a", "Ada", "p", 10_000),
            at_mark("m1", "Ada", Some("a"), "p", 1, 12_000),
            at_mark("m2", "Ada", Some("a"), "p", 1, 12_300),
        ];
        assert_eq!(times(&views, &[]), [("Ada".into(), vec![(1, 2.0)])]);
    }

    #[test]
    fn what_does_not_fit_is_refused_with_what_to_change() {
        let mark = |at_m: f64| Mark { at_m, ground: Ground::Flat };
        for (marks, says) in [
            (vec![], "timing-marks-none"),
            (vec![mark(5.0); 9], "timing-marks-many"),
            (vec![mark(0.0)], "timing-mark-range"),
            (vec![mark(f64::NAN)], "timing-mark-range"),
            (vec![mark(10.0), mark(10.2)], "timing-mark-order"),
        ] {
            assert_eq!(check_marks(&marks).unwrap_err().id, says);
        }
        assert_eq!(check_marks(&[mark(5.0), mark(10.0)]), Ok(()));
        for (times_s, says) in [
            (vec![None], "timing-times-none"),
            (vec![Some(0.0)], "timing-time-range"),
            (vec![Some(1.0), None, Some(1.0)], "timing-time-order"),
        ] {
            assert_eq!(check_times(&times_s).unwrap_err().id, says);
        }
        let facts = at_mark("m", "Ada", None, "p", 3, 1).facts;
        assert_eq!(facts.check(2).unwrap_err().id, "timing-no-such-mark");
        let words = crate::words::Words::english(Default::default());
        assert!(!words.say(&facts.check(2).unwrap_err()).contains('{'));
    }

    #[test]
    fn a_bout_with_more_one_step_turns_than_turns_is_refused() {
        let child = |runner: &str| BoutRunner {
            runner: runner.into(),
            turns: 4,
            one_step_turns: 3,
            ..Default::default()
        };
        let good = BoutFacts {
            lane: "A".into(),
            drill: DrillId("side-shuttle".into()),
            at_ms: 1,
            planned_s: Some(10.0),
            seconds: 10.0,
            seed: Some(7),
            calls: 4,
            runners: vec![child("a"), child("b")],
            down: vec![2],
            gap_m: None,
            source: None,
        };
        assert_eq!(good.check(), Ok(()));
        assert_eq!(good.observations().len(), 2);
        let with = |change: &dyn Fn(&mut BoutFacts)| {
            let mut bout = good.clone();
            change(&mut bout);
            bout.check().unwrap_err().id
        };
        assert_eq!(with(&|bout| bout.runners[1].one_step_turns = 5), "bout-one-step");
        assert_eq!(with(&|bout| bout.runners.clear()), "bout-runners");
        assert_eq!(with(&|bout| bout.runners[1].runner = "a".into()), "bout-same-child");
        assert_eq!(with(&|bout| bout.seconds = 0.0), "bout-seconds");
        assert_eq!(with(&|bout| bout.down = vec![0]), "bout-down");
    }
}
