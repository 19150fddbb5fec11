//! What times say of a child: exit speeds, whether a change from an earlier lesson is real, what the hurdles cost, and
//! whether repeats fell off. Nobody is set against anybody else.

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::record::StretchBody;
use lanewright_model::timing::{Attempt, Ground, MarkTime, Method};
use lanewright_science::change::{
    self, Better, Change, Quantity, TypicalError, judge, smallest_change, typical_error,
};
use lanewright_science::sprint::{HurdlesCost, Mark, Speed, TAPE_SD_M, Timing, exit_speed, hurdles_cost};
use lanewright_science::turn::{DropOff, drop_off};

use super::timing::is_short_by_hand;

/// Marks of two days are the same when they lie no farther apart than this, in metres (engineering assumption: laid
/// with a tape again).
const SAME_MARK_M: f64 = 0.1;

/// One run with its times.
#[derive(Debug, Clone, PartialEq)]
pub struct TimedRun {
    /// When, in milliseconds since 1970.
    pub at_ms: i64,
    /// The day, where the device is.
    pub day: Date,
    /// Metres from the start and time at each mark that has one.
    pub times: Vec<(f64, MarkTime)>,
    /// Speed behind the last hurdle, where the last stretch is flat and the one before is not.
    pub exit: Option<Exit>,
}

/// What the stretch behind the last hurdle says.
#[derive(Debug, Clone, PartialEq)]
pub enum Exit {
    /// How fast.
    Speed(Speed),
    /// Nothing: for presses by hand it is too short, with its length in metres.
    ShortByHand(f64),
}

/// What a child's times say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChildTimes {
    /// Runs with times, latest first.
    pub runs: Vec<TimedRun>,
    /// Time at the last mark: the latest lesson against the one before, on the same marks.
    pub change: Option<(Change, TypicalError)>,
    /// What the hurdles cost, where the same distance was run with and without.
    pub cost: Option<HurdlesCost>,
    /// Drop-off over the repeats of the latest lesson.
    pub drop: Option<DropOff>,
}

/// The shape of a stretch: where it ends, and whether it goes over hurdles.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shape {
    end_m: f64,
    hurdled: bool,
}

fn shape(stretch: &StretchBody) -> Option<Shape> {
    let end_m = stretch.marks.last()?.at_m;
    Some(Shape { end_m, hurdled: stretch.marks.iter().any(|mark| mark.ground == Ground::Hurdled) })
}

impl Shape {
    fn is_like(self, other: Self) -> bool {
        (self.end_m - other.end_m).abs() <= SAME_MARK_M && self.hurdled == other.hurdled
    }
}

/// A time over a whole stretch.
struct Whole<'a> {
    runner: &'a str,
    shape: Shape,
    lane: &'a str,
    day: Date,
    time_s: f64,
    sd_s: f64,
}

/// Returns what the times of a class say of each child who has any, by runner id. `day_of` turns milliseconds since
/// 1970 into the day on this device; `hurdles_of` says how many hurdles a lane has (empty: the whole class).
pub fn child_times(
    attempts: &[Attempt],
    stretches: &BTreeMap<String, StretchBody>,
    day_of: impl Fn(i64) -> Date,
    hurdles_of: impl Fn(&str) -> u32,
) -> BTreeMap<String, ChildTimes> {
    let mut children: BTreeMap<String, ChildTimes> = BTreeMap::new();
    let mut wholes: Vec<Whole> = Vec::new();
    for attempt in attempts {
        let Some(stretch) = stretches.get(&attempt.stretch) else { continue };
        let times: Vec<(f64, MarkTime)> = attempt
            .marks
            .iter()
            .filter_map(|time| Some((stretch.marks.get(time.mark as usize - 1)?.at_m, time.clone())))
            .collect();
        if times.is_empty() {
            continue;
        }
        let day = day_of(attempt.at_ms);
        let exit = exit_of(attempt, stretch);
        children.entry(attempt.runner.clone()).or_default().runs.push(TimedRun {
            at_ms: attempt.at_ms,
            day,
            times,
            exit,
        });
        let last = stretch.marks.len() as u32;
        if let (Some(shape), Some(time)) = (shape(stretch), attempt.time_at(last))
            && let Ok(time_s) = time.time_s
        {
            let (runner, lane) = (attempt.runner.as_str(), stretch.lane.as_str());
            wholes.push(Whole { runner, shape, lane, day, time_s, sd_s: time.sd_s });
        }
    }
    for (runner, child) in &mut children {
        child.runs.reverse();
        let own: Vec<&Whole> = wholes.iter().filter(|whole| whole.runner == runner).collect();
        let Some(latest) = own.last() else { continue };
        let like: Vec<&&Whole> = own.iter().filter(|whole| whole.shape.is_like(latest.shape)).collect();
        let after: Vec<f64> =
            like.iter().filter(|whole| whole.day == latest.day).map(|whole| whole.time_s).collect();
        child.drop = drop_off(&after, latest.sd_s);
        let error = class_error(&wholes, latest);
        if let Some(before_day) = like.iter().map(|whole| whole.day).filter(|day| *day < latest.day).max() {
            let before: Vec<f64> =
                like.iter().filter(|whole| whole.day == before_day).map(|whole| whole.time_s).collect();
            let quantity = Quantity::Seconds { timing_sd_s: latest.sd_s };
            let smallest = smallest_change(&means(&wholes, latest), quantity);
            child.change =
                judge(&before, &after, Better::Less, &error, smallest).map(|change| (change, error.clone()));
        }
        let over = |hurdled: bool| -> Vec<f64> {
            let shape = Shape { hurdled, ..latest.shape };
            own.iter().filter(|whole| whole.shape.is_like(shape)).map(|whole| whole.time_s).collect()
        };
        let lane = own.iter().rev().find(|whole| whole.shape.hurdled).map_or("", |whole| whole.lane);
        child.cost = hurdles_cost(&over(false), &over(true), hurdles_of(lane), &error);
    }
    children
}

/// Returns the speed behind the last hurdle, or that it is too short for one: by the same length at which the marks say
/// so.
fn exit_of(attempt: &Attempt, stretch: &StretchBody) -> Option<Exit> {
    let last = stretch.marks.len();
    let [before, after] = stretch.marks.get(last.checked_sub(2)?..)? else { return None };
    if (before.ground, after.ground) != (Ground::Hurdled, Ground::Flat) {
        return None;
    }
    let (from, to) = (attempt.time_at(last as u32 - 1)?, attempt.time_at(last as u32)?);
    let length_m = after.at_m - before.at_m;
    if is_short_by_hand(length_m) && [from, to].iter().any(|time| time.method != Method::Gates) {
        return Some(Exit::ShortByHand(length_m));
    }
    // Half of the variance of a time is that of one press; the start is the other half.
    let sd_s = from.sd_s.max(to.sd_s) / std::f64::consts::SQRT_2;
    let timing = Timing { sd_s, start_sd_s: sd_s, tape_sd_m: TAPE_SD_M };
    let mark = |at_m: f64, time: &MarkTime| Some(Mark { distance_m: at_m, time_s: time.time_s.ok()? });
    exit_speed(&mark(before.at_m, from)?, &mark(after.at_m, to)?, &timing).ok().map(Exit::Speed)
}

/// Returns the typical error of a time on such a stretch, from the class's repeats on the day that has most of them.
fn class_error(wholes: &[Whole], of: &Whole) -> TypicalError {
    let mut days: BTreeMap<Date, BTreeMap<&str, Vec<f64>>> = BTreeMap::new();
    for whole in wholes.iter().filter(|whole| whole.shape.is_like(of.shape)) {
        days.entry(whole.day).or_default().entry(whole.runner).or_default().push(whole.time_s);
    }
    let repeats = |day: &BTreeMap<&str, Vec<f64>>| day.values().map(|times| times.len() - 1).sum::<usize>();
    let best = days.values().max_by_key(|day| repeats(day));
    let lists: Vec<Vec<f64>> = best.map(|day| day.values().cloned().collect()).unwrap_or_default();
    typical_error(&lists, Quantity::Seconds { timing_sd_s: of.sd_s })
}

/// Returns one mean per child of the times on such a stretch that day.
fn means(wholes: &[Whole], of: &Whole) -> Vec<f64> {
    let mut each: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for whole in wholes.iter().filter(|whole| whole.day == of.day && whole.shape.is_like(of.shape)) {
        each.entry(whole.runner).or_default().push(whole.time_s);
    }
    each.values().map(|times| times.iter().sum::<f64>() / times.len() as f64).collect()
}

/// Returns whether a change was a gain or a loss beyond one run and the next.
pub fn is_told(change: &Change) -> bool {
    change.verdict != change::Verdict::NotTold
}

/// Returns the method of a run's times: the coarsest of them.
pub fn method_of(run: &TimedRun) -> (Method, f64) {
    let coarsest = run.times.iter().map(|(_, time)| time).max_by(|a, b| a.sd_s.total_cmp(&b.sd_s));
    coarsest.map_or((Method::Tap, 0.0), |time| (time.method, time.clocks_s))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use lanewright_model::timing::{Mark as At, StartKind};

    const DAY_MS: i64 = 86_400_000;

    fn stretch(marks: &[(f64, Ground)]) -> StretchBody {
        StretchBody {
            class: "c".into(),
            lane: "A".into(),
            marks: marks.iter().map(|(at_m, ground)| At { at_m: *at_m, ground: *ground }).collect(),
            start: StartKind::FirstMovement,
            run_up_m: 0.0,
            at_ms: 0,
            of: None,
            void: false,
            unknown: Default::default(),
        }
    }

    fn run(runner: &str, stretch: &str, at_ms: i64, times_s: &[f64], sd_s: f64) -> Attempt {
        let marks = times_s.iter().zip(1..).map(|(time_s, mark)| MarkTime {
            mark,
            record: "x".into(),
            time_s: Ok(*time_s),
            sd_s,
            clocks_s: 0.0,
            method: Method::Gates,
        });
        Attempt {
            id: format!("{runner}{at_ms}"),
            runner: runner.into(),
            stretch: stretch.into(),
            at_ms,
            started_on: None,
            marks: marks.collect(),
            corrected: false,
        }
    }

    fn stretches() -> BTreeMap<String, StretchBody> {
        BTreeMap::from([
            ("h".to_owned(), stretch(&[(10.0, Ground::Hurdled), (20.0, Ground::Flat)])),
            ("f".to_owned(), stretch(&[(20.0, Ground::Flat)])),
        ])
    }

    fn found(attempts: &[Attempt]) -> BTreeMap<String, ChildTimes> {
        let day = |at_ms: i64| date(2026, 3, 2).checked_add(jiff::Span::new().days(at_ms / DAY_MS)).unwrap();
        child_times(attempts, &stretches(), day, |_| 8)
    }

    #[test]
    fn the_exit_speed_lies_behind_the_last_hurdle_and_carries_its_error() {
        let fine = found(&[run("a", "h", 0, &[3.0, 5.0], 0.007)]);
        let speed = |run: &TimedRun| match &run.exit {
            Some(Exit::Speed(speed)) => *speed,
            other => panic!("{other:?}"),
        };
        let exit = speed(&fine["a"].runs[0]);
        assert!((exit.speed_mps - 5.0).abs() < 1e-9 && (exit.from_m, exit.to_m) == (10.0, 20.0));
        let coarse = found(&[run("a", "h", 0, &[3.0, 5.0], 0.14)]);
        let wide = speed(&coarse["a"].runs[0]);
        assert!(wide.low_mps < exit.low_mps && exit.low_mps < 5.0, "{wide:?}");
        assert!(found(&[run("a", "f", 0, &[4.0], 0.007)])["a"].runs[0].exit.is_none(), "no hurdle, no exit");
    }

    #[test]
    fn a_stretch_that_the_marks_call_too_short_by_hand_gives_no_speed_by_hand() {
        let stretches =
            BTreeMap::from([("h".to_owned(), stretch(&[(14.2, Ground::Hurdled), (16.77, Ground::Flat)]))]);
        let exit = |method: Method| {
            let mut attempt = run("a", "h", 0, &[4.0, 5.07], method.error_s() * std::f64::consts::SQRT_2);
            attempt.marks.iter_mut().for_each(|time| time.method = method);
            exit_of(&attempt, &stretches["h"])
        };
        for method in [Method::Tap, Method::SecondPhone, Method::Watch] {
            assert!(
                matches!(exit(method), Some(Exit::ShortByHand(length_m)) if (length_m - 2.57).abs() < 1e-9)
            );
        }
        let Some(Exit::Speed(speed)) = exit(Method::Gates) else { panic!("gates tell it") };
        assert!((speed.speed_mps - 2.4).abs() < 0.01, "{speed:?}");
    }

    #[test]
    fn a_change_needs_two_lessons_on_the_same_marks_and_more_than_the_scatter() {
        let one = [run("a", "h", 0, &[3.0, 5.0], 0.14), run("a", "h", 60_000, &[3.0, 4.6], 0.14)];
        assert!(found(&one)["a"].change.is_none(), "one lesson");
        let then = |times_s: [f64; 2]| {
            let later =
                [run("a", "h", DAY_MS, &times_s, 0.14), run("a", "h", DAY_MS + 60_000, &times_s, 0.14)];
            let found = found(&[one.to_vec(), later.to_vec()].concat());
            is_told(&found["a"].change.as_ref().unwrap().0)
        };
        assert!(!then([3.0, 4.75]), "a tenth of a second by hand says nothing");
        assert!(then([2.0, 3.4]), "more than a second does");
    }

    #[test]
    fn what_the_hurdles_cost_needs_the_same_distance_without_them() {
        let hurdled = run("a", "h", 0, &[3.0, 5.0], 0.007);
        assert!(found(std::slice::from_ref(&hurdled))["a"].cost.is_none());
        let both = found(&[hurdled, run("a", "f", 60_000, &[4.2], 0.007)]);
        let cost = both["a"].cost.as_ref().unwrap();
        assert!((cost.seconds.median - 0.8).abs() < 1e-9);
    }

    #[test]
    fn repeats_by_hand_fall_off_only_beyond_their_noise() {
        let series = |times_s: &[f64], sd_s: f64| {
            let runs: Vec<Attempt> = times_s
                .iter()
                .zip(0i64..)
                .map(|(time_s, at)| run("a", "f", at * 60_000, &[*time_s], sd_s))
                .collect();
            found(&runs)["a"].drop.clone()
        };
        assert!(series(&[4.0, 4.1, 4.2], 0.14).is_none());
        assert!(!series(&[4.0, 4.1, 4.0, 4.1], 0.14).unwrap().above_noise);
        assert!(series(&[4.0, 4.4, 4.9, 5.3], 0.01).unwrap().above_noise);
    }
}
