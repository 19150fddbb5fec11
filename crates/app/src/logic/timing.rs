//! Timing in the hand without a screen: who is on the way, what a press makes, which press nobody can have meant,
//! what a swap changes, and how times from a watch or gates are read.

use lanewright_model::plan::Plan;
use lanewright_model::record::{StretchBody, TimingBody, TimingCorrectionBody};
use lanewright_model::timing::{
    Attempt, Ground, Mark, MarkTime, Method, Press, Timed, TimingFacts, TimingView, check_times,
};
use lanewright_model::{Arg, Message};
use lanewright_science::sprint::SPEED_MAX_MPS;

use super::entry;
use super::trackside::Child;

/// A start without a last mark for so long is a start that was forgotten, in milliseconds (engineering assumption).
pub const ON_THE_WAY_MS: i64 = 60_000;
/// Marks of a flat stretch where there are no lanes, in metres (common practice, no source).
const FLAT_M: [f64; 2] = [10.0, 20.0];
/// Shorter flat stretches behind the hurdles give no speed by hand, in metres (engineering assumption: at 5 m/s a press
/// is off by half a metre).
pub const EXIT_MIN_M: f64 = 5.0;
/// Slower than this from mark to mark nobody walks, in metres per second (engineering assumption: half of a stroll).
const WALK_MIN_MPS: f64 = 0.5;
/// No time up to this is queried as too long, in seconds (engineering assumption: a child who did not set off at once).
const HESITATES_S: f64 = 20.0;
/// Normal deviate of a 90 % interval, both sides.
pub const Z_90: f64 = 1.645;

/// What this phone does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Role {
    /// Starts and marks: one phone.
    #[default]
    Both,
    /// Starts; another phone stands at the mark.
    Starts,
    /// Stands at that mark, counted from 1; another phone starts.
    AtMark(u32),
}

impl Role {
    /// Returns what is kept of it on the device.
    pub fn name(self) -> String {
        match self {
            Role::Both => "both".into(),
            Role::Starts => "starts".into(),
            Role::AtMark(mark) => format!("mark-{mark}"),
        }
    }

    /// Reads what was kept.
    pub fn from_name(name: &str) -> Self {
        match name.strip_prefix("mark-").and_then(|mark| mark.parse().ok()) {
            Some(mark) => Role::AtMark(mark),
            None if name == "starts" => Role::Starts,
            None => Role::Both,
        }
    }

    /// Returns how a press of this phone is taken.
    pub fn method(self) -> Method {
        match self {
            Role::AtMark(_) => Method::SecondPhone,
            Role::Both | Role::Starts => Method::Tap,
        }
    }

    /// Returns this role where there are only so many marks.
    pub fn within(self, marks: u32) -> Self {
        match self {
            Role::AtMark(mark) => Role::AtMark(mark.clamp(1, marks.max(1))),
            other => other,
        }
    }
}

/// Returns the marks to begin with: behind the last hurdle of a lane and far enough beyond it for an exit speed by
/// hand, or a flat stretch.
///
/// The second mark is the exit line. Where that lies too near, it moves out as far as [`EXIT_MIN_M`] needs if the floor
/// has twice that much length to spare: the room to stop moves along, and whoever runs on runs faster (engineering
/// assumption). Otherwise there is none: two marks that give no speed would only promise one.
pub fn proposed_marks(plan: Option<&Plan>, lane: &str) -> Vec<Mark> {
    let lane = plan.and_then(|plan| Some((plan, plan.lanes.iter().find(|planned| planned.lane == lane)?)));
    let to_cm = |length_m: f64| (length_m * 100.0).round() / 100.0;
    match lane {
        Some((plan, lane)) => {
            let last_m = to_cm(lane.parts.run_up_m + lane.parts.hurdles_m);
            let exit_m = to_cm(last_m + lane.parts.exit_m);
            let farther_m = to_cm(last_m + EXIT_MIN_M);
            let spare_m =
                plan.floor.as_ref().map_or(0.0, |floor| floor.space.length_m - floor.needed_length_m);
            let mut marks = vec![Mark { at_m: last_m, ground: Ground::Hurdled }];
            if !is_short_by_hand(exit_m - last_m) {
                // The exit line and no farther: beyond it children slow down.
                marks.push(Mark { at_m: exit_m, ground: Ground::Flat });
            } else if spare_m >= 2.0 * (farther_m - exit_m) {
                marks.push(Mark { at_m: farther_m, ground: Ground::Flat });
            }
            marks
        }
        None => FLAT_M.iter().map(|at_m| Mark { at_m: *at_m, ground: Ground::Flat }).collect(),
    }
}

/// Returns whether a flat stretch behind the last hurdle is too short for a speed from presses.
pub fn is_short_by_hand(length_m: f64) -> bool {
    // Marks stand to the centimetre.
    length_m < EXIT_MIN_M - 0.005
}

/// Why a press cannot have been meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// Nobody sprints so fast.
    TooFast,
    /// Nobody walks so slowly.
    TooSlow,
}

/// Returns why a press at a mark cannot have been meant, over the stretch from the start and over the one from the mark
/// before. `marks_m` are metres from the start, `passed` the times of the child that stand already.
pub fn slip_of(marks_m: &[f64], passed: &[MarkTime], time: &MarkTime) -> Option<Slip> {
    let at_m = |mark: u32| marks_m.get((mark as usize).checked_sub(1)?).copied();
    let (there_m, time_s) = (at_m(time.mark)?, time.time_s.ok()?);
    let before = passed.iter().filter(|other| other.mark < time.mark).max_by_key(|other| other.mark);
    let before = before.and_then(|other| Some((at_m(other.mark)?, other.time_s.ok()?, other.clocks_s)));
    [Some((0.0, 0.0, 0.0)), before].into_iter().flatten().find_map(|(from_m, from_s, clocks_s)| {
        let (length_m, seconds) = (there_m - from_m, time_s - from_s);
        // Two clocks may be off; a press that may have been meant is not asked about.
        if length_m > SPEED_MAX_MPS * (seconds + time.clocks_s + clocks_s) {
            Some(Slip::TooFast)
        } else {
            (seconds > HESITATES_S.max(length_m / WALK_MIN_MPS)).then_some(Slip::TooSlow)
        }
    })
}

/// A child who started and is expected at a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct OnTheWay {
    /// The attempt.
    pub id: String,
    /// Runner id.
    pub runner: String,
    /// When it started, in milliseconds since 1970 by the starting phone's clock.
    pub at_ms: i64,
    /// The mark it comes to next, counted from 1.
    pub mark: u32,
    /// Record id of its stretch.
    pub stretch: String,
}

/// Returns the children on the way in the order in which they started: the first is expected first.
///
/// `pressed` are attempts and marks whose press is on its way to the disk: they are passed already. A phone at a mark
/// expects whoever has not passed that mark; one phone for all whoever has not passed the last. A phone that starts
/// waits for the marks at which another phone was seen to press, or, before the first press, for the next mark if
/// another phone is `beside` it at all: where nobody stands, nobody is outstanding.
pub fn on_the_way(
    attempts: &[Attempt],
    marks_of: impl Fn(&str) -> Option<u32>,
    pressed: &[(String, u32)],
    role: Role,
    beside: bool,
    now_ms: i64,
) -> Vec<OnTheWay> {
    let started = attempts.iter().filter(|attempt| attempt.started_on.is_some());
    let manned = |stretch: &str| {
        let own = attempts.iter().filter(|attempt| attempt.stretch == stretch);
        let there = own.flat_map(|attempt| &attempt.marks).filter(|time| time.method == Method::SecondPhone);
        there.map(|time| time.mark).max()
    };
    started
        .filter(|attempt| (now_ms - attempt.at_ms).abs() <= ON_THE_WAY_MS)
        .filter_map(|attempt| {
            let mut last = marks_of(&attempt.stretch)?;
            if role == Role::Starts {
                last = manned(&attempt.stretch).or(beside.then_some(last))?.min(last);
            }
            let passed = |mark: u32| {
                attempt.time_at(mark).is_some()
                    || pressed.iter().any(|(id, pressed)| *id == attempt.id && *pressed == mark)
            };
            let mark = match role {
                Role::AtMark(mark) => mark.min(last),
                Role::Both | Role::Starts => {
                    (1..=last).rev().find(|mark| passed(*mark)).map_or(1, |mark| mark + 1)
                }
            };
            (mark <= last && !passed(mark)).then(|| OnTheWay {
                id: attempt.id.clone(),
                runner: attempt.runner.clone(),
                at_ms: attempt.at_ms,
                mark,
                stretch: attempt.stretch.clone(),
            })
        })
        .collect()
}

/// Returns the facts of a start.
pub fn start_facts(stretch: &str, runner: &str, press: Press) -> TimingFacts {
    TimingFacts {
        stretch: stretch.to_owned(),
        runner: runner.to_owned(),
        timed: Timed::Start { press },
        method: Method::Tap,
        error_s: Method::Tap.error_s(),
    }
}

/// Returns the facts of a press at a mark.
pub fn mark_facts(of: &OnTheWay, press: Press, role: Role) -> TimingFacts {
    TimingFacts {
        stretch: of.stretch.clone(),
        runner: of.runner.clone(),
        timed: Timed::Mark { mark: of.mark, start: Some(of.id.clone()), press },
        method: role.method(),
        error_s: role.method().error_s(),
    }
}

/// Returns the facts of a press at a mark by a child whose start this phone has not seen.
pub fn loose_facts(stretch: &str, runner: &str, mark: u32, press: Press) -> TimingFacts {
    TimingFacts {
        stretch: stretch.to_owned(),
        runner: runner.to_owned(),
        timed: Timed::Mark { mark, start: None, press },
        method: Method::SecondPhone,
        error_s: Method::SecondPhone.error_s(),
    }
}

/// Returns the record of a timing.
pub fn timing_body(class: &str, timing: TimingFacts) -> TimingBody {
    TimingBody { class: class.to_owned(), timing, void: false, unknown: Default::default() }
}

/// Returns the record of a correction; `None` instead of facts: there was no such time.
pub fn timing_correction(class: &str, of: &str, timing: Option<TimingFacts>) -> TimingCorrectionBody {
    TimingCorrectionBody {
        class: class.to_owned(),
        of: of.to_owned(),
        timing,
        void: false,
        unknown: Default::default(),
    }
}

/// Returns what makes another child of an attempt: one correction, which all its times follow.
pub fn other_child(class: &str, view: &TimingView, runner: &str) -> TimingCorrectionBody {
    let facts = TimingFacts { runner: runner.to_owned(), ..view.facts.clone() };
    timing_correction(class, &view.id, Some(facts))
}

/// Returns what exchanges two presses at one mark that were taken for each other's. `there` may have none yet: then the
/// press moves over.
pub fn swap_at_mark(
    class: &str,
    (here, press_here): (&Attempt, &TimingView),
    (there, press_there): (&Attempt, Option<&TimingView>),
) -> Vec<TimingCorrectionBody> {
    let moved = |view: &TimingView, to: &Attempt| {
        let Timed::Mark { mark, press, .. } = &view.facts.timed else { return None };
        let facts = TimingFacts {
            runner: to.runner.clone(),
            stretch: to.stretch.clone(),
            timed: Timed::Mark { mark: *mark, start: Some(to.id.clone()), press: press.clone() },
            ..view.facts.clone()
        };
        Some(timing_correction(class, &view.id, Some(facts)))
    };
    moved(press_here, there).into_iter().chain(press_there.and_then(|view| moved(view, here))).collect()
}

/// Returns half the width of the 90 % interval of a time, in seconds.
pub fn plus_minus_s(sd_s: f64) -> f64 {
    Z_90 * sd_s
}

/// Returns the stretch that stands for a lane (or the whole class): the latest of today.
pub fn stretch_now<'a>(
    stretches: impl IntoIterator<Item = (&'a String, &'a StretchBody)>,
    lane: &str,
    since_ms: i64,
) -> Option<(&'a String, &'a StretchBody)> {
    let own = stretches.into_iter().filter(|(_, stretch)| stretch.lane == lane && stretch.at_ms >= since_ms);
    own.max_by_key(|(id, stretch)| (stretch.at_ms, (*id).clone()))
}

// From a watch or gates

/// One line that was read: whose, and the time at each mark.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedRun {
    /// Runner id.
    pub runner: String,
    /// What the coach calls the child.
    pub name: String,
    /// From the start to each mark, in seconds.
    pub times_s: Vec<Option<f64>>,
}

/// Words that stand for a run without a time.
const NO_TIME: [&str; 5] = ["", "-", "dns", "dnf", "na"];

/// Reads lines of `name, time, time …`: one time per mark, or one alone for the last mark. Cells are parted by
/// semicolons, tabs or commas; with semicolons and tabs a comma may stand in a number. Times are seconds (`4.12`) or
/// minutes and seconds (`1:02.5`). A line of headings at the top is passed over.
///
/// # Errors
/// What to change, one sentence per bad line; then nothing is taken.
pub fn typed_runs(text: &str, children: &[Child], marks: usize) -> Result<Vec<TypedRun>, Vec<Message>> {
    let mut runs = Vec::new();
    let mut bad = Vec::new();
    for (line, number) in text.lines().zip(1i64..) {
        let cells = cells(line);
        if cells.iter().all(|cell| cell.is_empty()) {
            continue;
        }
        match typed_run(&cells, children, marks) {
            Ok(Some(run)) => runs.push(run),
            Ok(None) => {}
            Err(_) if number == 1 && is_headings(&cells) => {}
            Err(says) => bad.push(
                Message::new("timing-typed-line")
                    .with("line", Arg::Count(number))
                    .with("says", Arg::Say(Box::new(says))),
            ),
        }
    }
    if bad.is_empty() { Ok(runs) } else { Err(bad) }
}

fn cells(line: &str) -> Vec<String> {
    let line = line.trim_start_matches('\u{feff}');
    let by = if line.contains('\t') {
        '\t'
    } else if line.contains(';') {
        ';'
    } else {
        ','
    };
    line.split(by).map(|cell| cell.trim().trim_matches('"').trim().to_owned()).collect()
}

/// Returns whether a line names its columns: by what stands over names, or because nothing in it is a time.
fn is_headings(cells: &[String]) -> bool {
    let named = ["name", "runner", "child", "id"].contains(&cells[0].to_lowercase().as_str());
    named || !cells[1..].iter().any(|cell| matches!(typed_time(cell), Ok(Some(_))))
}

fn typed_run(cells: &[String], children: &[Child], marks: usize) -> Result<Option<TypedRun>, Message> {
    let name = &cells[0];
    let same = |child: &&Child| child.name.to_lowercase() == name.to_lowercase() || child.id == *name;
    let found: Vec<&Child> = children.iter().filter(same).collect();
    let child = match found.as_slice() {
        [] => return Err(Message::new("timing-typed-nobody").text("name", name.clone())),
        [child] => *child,
        _ => return Err(Message::new("timing-typed-two").text("name", name.clone())),
    };
    let mut times: Vec<Option<f64>> =
        cells[1..].iter().map(|cell| typed_time(cell)).collect::<Result<_, _>>()?;
    while times.len() > marks && times.last() == Some(&None) {
        times.pop();
    }
    if times.iter().all(Option::is_none) {
        return Ok(None);
    }
    if times.len() > marks {
        return Err(Message::new("timing-typed-many")
            .with("times", Arg::Count(times.len() as i64))
            .with("marks", Arg::Count(marks as i64)));
    }
    // One time alone is the time at the last mark.
    let times_s = if times.len() == 1 { [vec![None; marks - 1], times].concat() } else { times };
    check_times(&times_s)?;
    Ok(Some(TypedRun { runner: child.id.clone(), name: child.name.clone(), times_s }))
}

fn typed_time(cell: &str) -> Result<Option<f64>, Message> {
    if NO_TIME.contains(&cell.to_lowercase().as_str()) {
        return Ok(None);
    }
    let says = || Message::new("timing-typed-time").text("entry", cell);
    let plain = cell.trim_end_matches(['s', ' ']);
    let (minutes, seconds) = match plain.split_once(':') {
        Some((minutes, seconds)) => (minutes.parse::<u32>().map_err(|_| says())?, seconds),
        None => (0, plain),
    };
    let seconds = entry::number(seconds).map_err(|_| says())?;
    Ok(Some(f64::from(minutes) * 60.0 + seconds))
}

/// Returns the facts of typed runs. They are as old as the order in which they stand: the last one is now.
pub fn typed_facts(runs: &[TypedRun], stretch: &str, method: Method, now_ms: i64) -> Vec<TimingFacts> {
    let count = runs.len() as i64;
    runs.iter()
        .zip(1..)
        .map(|(run, place)| TimingFacts {
            stretch: stretch.to_owned(),
            runner: run.runner.clone(),
            timed: Timed::Times { times_s: run.times_s.clone(), at_ms: now_ms - count + place },
            method,
            error_s: method.error_s(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::timing::attempts;
    use lanewright_model::words::Words;
    use std::collections::BTreeMap;

    fn press(at_ms: i64) -> Press {
        Press { device: "d".into(), clock_ms: 0, at_ms }
    }

    fn stretches() -> BTreeMap<String, StretchBody> {
        let marks = proposed_marks(None, "");
        let stretch = StretchBody {
            class: "c".into(),
            lane: String::new(),
            marks,
            start: Default::default(),
            run_up_m: 0.0,
            at_ms: 5,
            of: None,
            void: false,
            unknown: Default::default(),
        };
        BTreeMap::from([("s".to_owned(), stretch)])
    }

    fn children() -> Vec<Child> {
        ["Ada", "Ben", "Cem"].map(|name| Child { id: name.to_lowercase(), name: name.into() }).to_vec()
    }

    fn view(id: &str, facts: TimingFacts) -> TimingView {
        TimingView { id: id.into(), facts, correction: None }
    }

    /// Takes presses, corrections and all, as the school does, and returns the attempts.
    fn fold(views: &[TimingView]) -> Vec<Attempt> {
        attempts(views, &stretches(), &[]).0
    }

    fn way(views: &[TimingView], pressed: &[(String, u32)], role: Role, now_ms: i64) -> Vec<(String, u32)> {
        on_the_way(&fold(views), |_| Some(2), pressed, role, true, now_ms)
            .into_iter()
            .map(|child| (child.runner, child.mark))
            .collect()
    }

    #[test]
    fn children_are_expected_in_the_order_in_which_they_started() {
        let mut views = vec![
            view("b", start_facts("s", "ben", press(2000))),
            view("a", start_facts("s", "ada", press(1000))),
        ];
        let both = |mark: u32| vec![("ada".to_owned(), mark), ("ben".to_owned(), 1)];
        assert_eq!(way(&views, &[], Role::Both, 3000), both(1));
        // What is on its way to the disk counts as passed.
        assert_eq!(way(&views, &[("a".into(), 1)], Role::Both, 3000), both(2));
        let first = on_the_way(&fold(&views), |_| Some(2), &[], Role::Both, true, 3000).remove(0);
        views.push(view("m", mark_facts(&first, press(3000), Role::Both)));
        assert_eq!(way(&views, &[], Role::Both, 3100), both(2));
        assert_eq!(way(&views, &[], Role::AtMark(1), 3100), [("ben".to_owned(), 1)]);
        assert_eq!(way(&views, &[], Role::AtMark(2), 3100), [("ada".to_owned(), 2), ("ben".to_owned(), 2)]);
        // Who never arrives is not expected for ever.
        assert_eq!(way(&views, &[], Role::Both, 2000 + ON_THE_WAY_MS + 1), []);
    }

    #[test]
    fn proposed_marks_give_an_exit_speed_by_hand_or_there_is_no_second_one() {
        use lanewright_model::Space;
        use lanewright_model::plan::{Floor, LaneParts, PlannedLane};
        let marks = |exit_m: f64, spare_m: Option<f64>| {
            let parts = LaneParts { run_up_m: 6.2, hurdles_m: 8.0, exit_m, ..LaneParts::default() };
            let lane = PlannedLane {
                lane: "A".into(),
                spacing_m: 1.3,
                hurdles: 7,
                hurdle_height_cm: 30.0,
                marks_m: vec![],
                settings: vec![],
                runners: vec![],
                run_up_m: 6.2,
                run_out_m: 5.0,
                length_m: 22.0,
                parts,
            };
            let floor = spare_m.map(|spare_m| Floor {
                space: Space::hall(32.0, 18.0),
                lanes: vec![],
                needed_length_m: 32.0 - spare_m,
                needed_width_m: 9.0,
            });
            let plan = Plan {
                runners: vec![],
                lanes: vec![lane],
                misfit: Default::default(),
                fits: true,
                warnings: vec![],
                remedies: vec![],
                lanes_possible: 1,
                drills: vec![],
                effort: 0.6,
                efforts: Default::default(),
                floor,
            };
            proposed_marks(Some(&plan), "A")
                .into_iter()
                .map(|mark| (mark.at_m, mark.ground))
                .collect::<Vec<_>>()
        };
        let last = (14.2, Ground::Hurdled);
        // An exit sprint: to the exit line, no farther.
        assert_eq!(marks(10.0, Some(6.0)), [last, (24.2, Ground::Flat)]);
        assert_eq!(marks(5.0, Some(0.0)), [last, (19.2, Ground::Flat)]);
        // 2.57 m are too short by hand: 2.43 m farther out, where the room to stop can move twice as far.
        assert_eq!(marks(2.57, Some(6.0)), [last, (19.2, Ground::Flat)]);
        assert_eq!(marks(2.57, Some(4.8)), [last]);
        assert_eq!(marks(2.57, None), [last], "nobody knows how long the floor is");
    }

    #[test]
    fn a_starting_phone_waits_for_no_mark_at_which_nobody_stands() {
        let mut views = vec![
            view("a", start_facts("s", "ada", press(1000))),
            view("b", start_facts("s", "ben", press(2000))),
        ];
        let waits = |views: &[TimingView], beside: bool| {
            let way = on_the_way(&fold(views), |_| Some(2), &[], Role::Starts, beside, 3000);
            way.into_iter().map(|child| (child.runner, child.mark)).collect::<Vec<_>>()
        };
        assert_eq!(waits(&views, false), [], "no other phone was seen");
        assert_eq!(waits(&views, true), [("ada".to_owned(), 1), ("ben".to_owned(), 1)]);
        // The other phone stands at the first mark: who passed it is through, there is nobody at the second.
        let first = on_the_way(&fold(&views), |_| Some(2), &[], Role::AtMark(1), true, 3000).remove(0);
        views.push(view("m", mark_facts(&first, press(2500), Role::AtMark(1))));
        assert_eq!(waits(&views, true), [("ben".to_owned(), 1)]);
        // One phone for all takes both marks itself.
        assert_eq!(way(&views, &[], Role::Both, 3000), [("ada".to_owned(), 2), ("ben".to_owned(), 1)]);
    }

    #[test]
    fn a_time_that_nobody_runs_is_a_slip_and_a_slow_child_is_not() {
        let time = |mark: u32, time_s: f64| MarkTime {
            mark,
            record: "x".into(),
            time_s: Ok(time_s),
            sd_s: 0.14,
            clocks_s: 0.0,
            method: Method::Tap,
        };
        let marks_m = [14.2, 20.28];
        let slip =
            |passed: &[MarkTime], mark: u32, time_s: f64| slip_of(&marks_m, passed, &time(mark, time_s));
        assert_eq!(slip(&[], 1, 0.4), Some(Slip::TooFast));
        assert_eq!(slip(&[], 1, 2.9), None, "a sprinter");
        assert_eq!(slip(&[], 1, 14.0), None, "a child who walks");
        assert_eq!(slip(&[], 1, 40.0), Some(Slip::TooSlow));
        assert_eq!(slip(&[time(1, 3.0)], 2, 3.1), Some(Slip::TooFast), "pressed twice");
        assert_eq!(slip(&[time(1, 3.0)], 2, 4.2), None);
        // A start without a proper time says nothing, and two clocks may be off by what they are off.
        let unknown = MarkTime { time_s: Err(lanewright_model::timing::NoTime::BeforeStart), ..time(1, 0.0) };
        assert_eq!(slip_of(&marks_m, &[], &unknown), None);
        assert_eq!(slip_of(&marks_m, &[], &MarkTime { clocks_s: 1.0, ..time(1, 0.4) }), None);
    }

    #[test]
    fn crossed_presses_are_exchanged_and_nothing_is_lost() {
        let views = vec![
            view("a", start_facts("s", "ada", press(1000))),
            view("b", start_facts("s", "ben", press(2000))),
        ];
        let way = on_the_way(&fold(&views), |_| Some(2), &[], Role::AtMark(1), true, 3000);
        let mut views = views;
        // Ben overtook Ada; the presses were taken for each other's.
        views.push(view("m1", mark_facts(&way[0], press(4000), Role::AtMark(1))));
        views.push(view("m2", mark_facts(&way[1], press(4500), Role::AtMark(1))));
        let before = fold(&views);
        let corrections = swap_at_mark("c", (&before[0], &views[2]), (&before[1], Some(&views[3])));
        assert_eq!(corrections.len(), 2);
        for correction in corrections {
            let view = views.iter_mut().find(|view| view.id == correction.of).unwrap();
            view.facts = correction.timing.unwrap();
        }
        let times: Vec<(String, Option<Result<f64, _>>)> = fold(&views)
            .into_iter()
            .map(|attempt| (attempt.runner.clone(), attempt.time_at(1).map(|time| time.time_s)))
            .collect();
        assert_eq!(times, [("ada".into(), Some(Ok(3.5))), ("ben".into(), Some(Ok(2.0)))]);
    }

    #[test]
    fn roles_survive_a_reload_and_fit_the_marks() {
        for role in [Role::Both, Role::Starts, Role::AtMark(2)] {
            assert_eq!(Role::from_name(&role.name()), role);
        }
        assert_eq!(Role::AtMark(3).within(2), Role::AtMark(2));
    }

    #[test]
    fn typed_lines_are_read_in_the_forms_people_write() {
        let times = |text: &str| {
            let runs = typed_runs(text, &children(), 2).unwrap();
            runs.into_iter().map(|run| (run.runner, run.times_s)).collect::<Vec<_>>()
        };
        let ada = |times_s: [Option<f64>; 2]| vec![("ada".to_owned(), times_s.to_vec())];
        assert_eq!(times("Ada, 2.41, 4.12"), ada([Some(2.41), Some(4.12)]));
        assert_eq!(times("name;10 m;20 m\nada;2,41;4,12\n\n"), ada([Some(2.41), Some(4.12)]));
        assert_eq!(times("Ada\t4.12"), ada([None, Some(4.12)]), "one time alone is the last mark's");
        assert_eq!(times("Ada,2.41,DNF"), ada([Some(2.41), None]));
        assert_eq!(times("\"Ada\", 2.41 s, 1:04.5"), ada([Some(2.41), Some(64.5)]));
        assert_eq!(times("Ada,-\nBen,DNS"), [], "nothing is made of no time");
        assert_eq!(times("Ada,4.1\nAda,4.0").len(), 2, "two runs of one child");
    }

    #[test]
    fn typed_slips_name_the_line_and_what_to_change() {
        let words = Words::english(Default::default());
        for (text, says) in [
            ("Ada,4.1\nZoe,4.0", "timing-typed-nobody"),
            ("Zoe,4.0\nAda,4.1", "timing-typed-nobody"),
            ("Ada,4.1,x", "timing-typed-time"),
            ("Ada,4.1,4.0", "timing-time-order"),
            ("Ada,1,2,3", "timing-typed-many"),
            ("Ada,0", "timing-time-range"),
        ] {
            let bad = typed_runs(text, &children(), 2).unwrap_err();
            assert_eq!(bad.len(), 1, "{text}");
            let Some(Arg::Say(inner)) = bad[0].args.get("says") else { panic!("{text}") };
            assert_eq!(inner.id, says, "{text}");
            let said = words.say(&bad[0]);
            assert!(said.contains("Line") && !said.contains('{') && !said.contains("timing-"), "{said}");
        }
        let twins = [children(), children()].concat();
        assert!(typed_runs("Ada,4", &twins, 2).is_err(), "two children of one name");
    }

    #[test]
    fn typed_runs_keep_their_order() {
        let runs = typed_runs("Ben,4.5\nAda,4.1", &children(), 2).unwrap();
        let facts = typed_facts(&runs, "s", Method::Gates, 1000);
        let seen: Vec<_> = facts.iter().map(|facts| (facts.runner.as_str(), facts.at_ms())).collect();
        assert_eq!(seen, [("ben", 999), ("ada", 1000)]);
        assert!(facts.iter().all(|facts| facts.error_s == Method::Gates.error_s()));
    }
}
