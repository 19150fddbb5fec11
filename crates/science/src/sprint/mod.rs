//! How fast: speeds between marks, the speed out of the last hurdle, and the speed curve of a flat sprint where marks
//! and timing carry one.
//!
//! Speeds over a stretch are always said, each with what the clock leaves open. The curve (top speed and time constant)
//! is said only when the start is declared, the marks are enough and the timing is fine enough; otherwise the answer is
//! why not and what would allow it. No force, no power: no timing of a school carries them. Method page:
//! `docs/methods/sprint.md`.

mod cost;
pub mod curve;
mod says;
mod speeds;

use lanewright_model::Estimate;
use lanewright_model::timing::{GATE_SD_S, PRESS_SD_S};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::chi_square;
use crate::normal::Z_95;
use curve::{Clock, Ended, Fitted};

pub use cost::{HurdlesCost, hurdles_cost};
pub use curve::Exponential;
pub use speeds::{Speed, exit_speed, speed_between};

/// Name and version of the method.
pub const METHOD: &str = "sprint/1";

/// Error of where one tape mark lies, standard deviation in metres (engineering assumption: a tape on grass).
pub const TAPE_SD_M: f64 = 0.01;
/// Coarsest timing that carries a speed curve, standard deviation of one time in seconds (engineering assumption:
/// between video of 50 pictures a second and a good hand).
pub const CURVE_TIMING_SD_MAX_S: f64 = 0.03;
/// Coarsest timing with which the first movement may be fitted as well, in seconds (engineering assumption: with 0.05 s
/// the first movement and the time constant can no longer be told apart).
pub const FREE_TIMING_SD_MAX_S: f64 = 0.02;
/// Fewest marks with which the first movement may be fitted as well (engineering assumption).
pub const FREE_MARKS_MIN: usize = 4;
/// Time constants of people, in seconds (engineering assumption, around the 1.0 to 1.7 s of trained young players:
/// Scientific Reports 2025, s41598-025-89501-3, Table 2). Others mean a wrong start, not a runner.
pub const TAU_RANGE_S: [f64; 2] = [0.5, 2.5];
/// The curve is refused when the 90 % interval of its time constant reaches further than this share to one side
/// (engineering assumption).
pub const TAU_HALF_WIDTH_MAX: f64 = 0.5;
/// Fastest mean speed over a stretch that is taken for a person's, in metres per second. Engineering assumption: a
/// little above the fastest ever run, 12.3 m/s from 60 to 80 m in Berlin 2009 (IAAF, Scientific Research Project, from
/// memory).
pub const SPEED_MAX_MPS: f64 = 13.0;
/// Reaction to a gun when it was not measured: mean and standard deviation in seconds. A start by the hand's release
/// reads this much less than one by the gun (Haugen, Tønnessen & Seiler 2012, Journal of Strength and Conditioning
/// Research 26:473-479).
pub const REACTION_S: [f64; 2] = [0.17, 0.09];
/// How much less a clock reads that a standing runner starts by breaking a light beam at the line, against the gun:
/// mean and standard deviation in seconds (the same study).
pub const PHOTOCELL_LESS_S: [f64; 2] = [0.27, 0.12];
/// Error of one event in film of 50 pictures a second, standard deviation in seconds (engineering assumption).
pub const VIDEO_SD_S: f64 = 0.02;
/// Chance below which times count as further from the curve than their timing explains (common practice, no source).
const MISFIT_P: f64 = 0.01;

/// What measured a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Timer {
    /// Light beams at the marks.
    Gates,
    /// Pictures of a film counted.
    Video,
    /// A tap on a phone when the runner passes.
    Tap,
    /// A stopwatch in the hand.
    Stopwatch,
}

impl Timer {
    /// Returns the error of one event, standard deviation in seconds.
    pub fn sd_s(self) -> f64 {
        match self {
            Timer::Gates => GATE_SD_S,
            Timer::Video => VIDEO_SD_S,
            Timer::Tap | Timer::Stopwatch => PRESS_SD_S,
        }
    }

    /// Returns its name in words.
    pub fn words(self) -> Message {
        Message::new(match self {
            Timer::Gates => "sprint-timer-gates",
            Timer::Video => "sprint-timer-video",
            Timer::Tap => "sprint-timer-tap",
            Timer::Stopwatch => "sprint-timer-stopwatch",
        })
    }
}

/// One time at one mark.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// Metres from the start line; with a flying start, from the first gate.
    pub distance_m: f64,
    /// What the clock showed, seconds.
    pub time_s: f64,
}

/// What started the clock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Start {
    /// A gun or a call: the reaction is in the time.
    Gun {
        /// Reaction of this run, seconds, 0 to 1; the published mean when absent.
        reaction_s: Option<f64>,
    },
    /// The first movement of the runner.
    FirstMovement,
    /// A light beam at the start line, broken by a runner who starts from standing behind it.
    Photocell,
    /// A first gate that the runner passes at speed.
    Flying {
        /// Metres run from standing before that gate, above 0.
        run_up_m: f64,
    },
    /// Unknown: the first movement is fitted as well.
    Free,
}

/// What was run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Course {
    /// Nothing in the way.
    Flat,
    /// Hurdles: speeds only, since hurdle steps are no free sprint.
    Hurdled,
}

/// Errors of times and marks, standard deviations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Timing {
    /// Of one time at a mark, seconds; independent from mark to mark.
    pub sd_s: f64,
    /// Of the start of the clock, seconds: all times of a run share it. 0 when it is within `sd_s` already.
    pub start_sd_s: f64,
    /// Of the place of one mark, metres.
    pub tape_sd_m: f64,
}

impl Timing {
    /// Returns the timing of runs whose start and marks were taken in the same way.
    pub fn of(timer: Timer) -> Self {
        Self { sd_s: timer.sd_s(), start_sd_s: timer.sd_s(), tape_sd_m: TAPE_SD_M }
    }

    /// Returns the timing of runs whose times, as they stand, err by this standard deviation.
    pub fn of_sd(sd_s: f64) -> Self {
        Self { sd_s, start_sd_s: 0.0, tape_sd_m: TAPE_SD_M }
    }
}

/// What is known of a run beside its times.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// What started the clock.
    pub start: Start,
    /// How fine times and marks are.
    pub timing: Timing,
    /// What was run.
    pub course: Course,
}

/// Marks that are no run.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MarksError {
    /// No mark at all.
    #[error("there is no mark; give at least one distance with its time")]
    Empty,
    /// A number that is no place or no time.
    #[error("mark {mark}: distance and time must be numbers above 0, not {distance_m} m and {time_s} s")]
    NotPositive {
        /// Place in the list, counted from 1.
        mark: usize,
        /// What was given, metres.
        distance_m: f64,
        /// What was given, seconds.
        time_s: f64,
    },
    /// Not further and later than the mark before.
    #[error("mark {mark}: {distance_m} m at {time_s} s must be further and later than the mark before")]
    NotRising {
        /// Place in the list, counted from 1.
        mark: usize,
        /// What was given, metres.
        distance_m: f64,
        /// What was given, seconds.
        time_s: f64,
    },
}

/// One mark, with the speed over the stretch that ends there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Split {
    /// Metres from the start line or the first gate.
    pub distance_m: f64,
    /// Clock reading, seconds.
    pub time_s: f64,
    /// Mean speed since the mark before, or since the clock's start. The first stretch of a run from the gun has the
    /// reaction in it: this is the speed as clocked.
    pub speed: Speed,
}

/// The speed curve of a flat sprint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// The speed that the runner nears, metres per second.
    pub v_max_mps: Estimate,
    /// Time constant, seconds.
    pub tau_s: Estimate,
    /// Clock reading at the first movement, seconds. Fitted with a free start; then no reaction time, since it takes up
    /// what the curve cannot follow.
    pub t0_s: Estimate,
    /// Typical distance of a time from the curve, seconds.
    pub rse_s: f64,
    /// Standard errors of V, τ and t0 from the distances alone, as least squares give them; t0 is 0 where it was not
    /// fitted. The intervals rest on the declared timing instead.
    pub standard_errors: [f64; 3],
    /// Model minus clock at every mark that was used, seconds.
    pub residuals_s: Vec<f64>,
    /// Marks that were used: those up to the fastest stretch.
    pub marks_used: u32,
}

/// Why no curve is said.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "refused")]
pub enum Refusal {
    /// Hurdle steps are no free sprint.
    Hurdled,
    /// Timing too coarse for any curve.
    HandTimes {
        /// As declared, seconds.
        sd_s: f64,
    },
    /// A stretch is faster than any person runs.
    TooFast {
        /// Where it begins, metres.
        from_m: f64,
        /// Where it ends.
        to_m: f64,
        /// Speed over it, metres per second.
        speed_mps: f64,
    },
    /// Too few marks in the acceleration.
    TooFewMarks {
        /// Marks that can be used.
        marks: u32,
        /// Fewest that would do.
        needed: u32,
    },
    /// Timing too coarse to fit the first movement as well.
    FreeStartTooCoarse {
        /// As declared, seconds.
        sd_s: f64,
    },
    /// The best curve is not one of a person.
    TauOutOfRange {
        /// Whether the time constant was too short (the clock started late) or too long (it started early).
        too_short: bool,
    },
    /// The times leave the time constant open.
    TauOpen,
}

/// What the times of one run say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Analysis {
    /// Every mark with the speed before it.
    pub splits: Vec<Split>,
    /// The fastest stretch between two marks that a person can have run; none with one mark.
    pub fastest: Option<Speed>,
    /// The curve; exactly one of this and `refusal` is there.
    pub curve: Option<Curve>,
    /// Why there is no curve.
    pub refusal: Option<Refusal>,
    /// What the reader should know: what was assumed, what was left out.
    pub notes: Vec<Message>,
    /// Name and version of the method.
    pub method: String,
}

/// Computes all that the times of one run carry.
///
/// # Errors
/// When marks are missing or not in rising order.
pub fn analyse(marks: &[Mark], ask: &Ask) -> Result<Analysis, MarksError> {
    if marks.is_empty() {
        return Err(MarksError::Empty);
    }
    let mut before = None;
    let mut splits = Vec::with_capacity(marks.len());
    for (index, mark) in marks.iter().enumerate() {
        rising(index, before, mark)?;
        let speed = match before {
            None => speeds::speed_from_start(mark, &ask.timing),
            Some(before) => speed_between(before, mark, &ask.timing)?,
        };
        splits.push(Split { distance_m: mark.distance_m, time_s: mark.time_s, speed });
        before = Some(mark);
    }
    let fastest = splits[1..]
        .iter()
        .map(|split| split.speed)
        .filter(|speed| !is_too_fast(speed))
        .reduce(|best, speed| if speed.speed_mps > best.speed_mps { speed } else { best });
    let mut notes = Vec::new();
    // A clock that nobody declared may have started anywhere on the way to the first mark.
    let skipped = usize::from(ask.start == Start::Free);
    let too_fast = splits.iter().skip(skipped).map(|split| split.speed).find(is_too_fast);
    let asked = match too_fast {
        Some(Speed { from_m, to_m, speed_mps, .. }) => Err(Refusal::TooFast { from_m, to_m, speed_mps }),
        None => curve_of(marks, ask, &mut notes),
    };
    let (curve, refusal) = match asked {
        Ok(curve) => (Some(curve), None),
        Err(refusal) => {
            // What was assumed for a curve is of no interest without one.
            notes.clear();
            (None, Some(refusal))
        }
    };
    Ok(Analysis { splits, fastest, curve, refusal, notes, method: METHOD.to_owned() })
}

/// Returns whether no person runs that fast.
fn is_too_fast(speed: &Speed) -> bool {
    speed.speed_mps > SPEED_MAX_MPS
}

/// Checks that a mark lies beyond the one before it.
fn rising(index: usize, before: Option<&Mark>, mark: &Mark) -> Result<(), MarksError> {
    let Mark { distance_m, time_s } = *mark;
    let positive = |value: f64| value.is_finite() && value > 0.0;
    if !positive(distance_m) || !positive(time_s) {
        return Err(MarksError::NotPositive { mark: index + 1, distance_m, time_s });
    }
    match before {
        Some(before) if distance_m <= before.distance_m || time_s <= before.time_s => {
            Err(MarksError::NotRising { mark: index + 1, distance_m, time_s })
        }
        _ => Ok(()),
    }
}

/// Returns every stretch: from the start of the clock to the first mark, then from mark to mark.
fn stretches(marks: &[Mark]) -> impl Iterator<Item = (Mark, Mark)> {
    let starts = std::iter::once(Mark { distance_m: 0.0, time_s: 0.0 }).chain(marks.iter().copied());
    starts.zip(marks.iter().copied())
}

/// Returns how many marks belong to the acceleration: those before the first stretch that is slower than the fastest
/// one before it, beyond what the timing explains (one side, 95 %).
fn acceleration_marks(marks: &[Mark], timing: &Timing) -> usize {
    let mut fastest: Option<(f64, f64, usize)> = None;
    for (index, (from, to)) in stretches(marks).enumerate().skip(1) {
        let seconds = to.time_s - from.time_s;
        let speed_mps = (to.distance_m - from.distance_m) / seconds;
        let variance_of = |seconds: f64| 2.0 * timing.sd_s * timing.sd_s / (seconds * seconds);
        if let Some((fastest_mps, fastest_s, at)) = fastest {
            // Neighbours share a mark, whose error makes one shorter and the other longer.
            let shared =
                if at + 1 == index { 2.0 * timing.sd_s * timing.sd_s / (seconds * fastest_s) } else { 0.0 };
            let sd = (variance_of(seconds) + variance_of(fastest_s) + shared).sqrt();
            if libm::log(fastest_mps / speed_mps) > Z_95 * sd {
                return index;
            }
        }
        if fastest.is_none_or(|(fastest_mps, _, _)| speed_mps > fastest_mps) {
            fastest = Some((speed_mps, seconds, index));
        }
    }
    marks.len()
}

/// Clock reading at the first movement as the start declares it: mean and standard deviation.
fn clock_of(start: Start, notes: &mut Vec<Message>) -> (Clock, f64) {
    match start {
        Start::Gun { reaction_s: Some(reaction_s) } => (Clock::Known { t0_s: reaction_s }, 0.0),
        Start::Gun { reaction_s: None } => {
            notes.push(Message::new("sprint-note-reaction").with("seconds", Arg::Number(REACTION_S[0])));
            (Clock::Known { t0_s: REACTION_S[0] }, REACTION_S[1])
        }
        Start::FirstMovement => (Clock::Known { t0_s: 0.0 }, 0.0),
        Start::Photocell => {
            let t0_s = REACTION_S[0] - PHOTOCELL_LESS_S[0];
            notes.push(Message::new("sprint-note-photocell").with("seconds", Arg::Number(-t0_s)));
            (Clock::Known { t0_s }, PHOTOCELL_LESS_S[1])
        }
        Start::Flying { run_up_m } => (Clock::Flying { run_up_m }, 0.0),
        Start::Free => {
            notes.push(Message::new("sprint-note-free"));
            (Clock::Free, 0.0)
        }
    }
}

fn curve_of(marks: &[Mark], ask: &Ask, notes: &mut Vec<Message>) -> Result<Curve, Refusal> {
    let sd_s = ask.timing.sd_s;
    if ask.course == Course::Hurdled {
        return Err(Refusal::Hurdled);
    }
    if sd_s > CURVE_TIMING_SD_MAX_S {
        return Err(Refusal::HandTimes { sd_s });
    }
    let (clock, t0_sd_s) = clock_of(ask.start, notes);
    if clock == Clock::Free && sd_s > FREE_TIMING_SD_MAX_S {
        return Err(Refusal::FreeStartTooCoarse { sd_s });
    }
    let used = &marks[..acceleration_marks(marks, &ask.timing)];
    let needed = if clock == Clock::Free { FREE_MARKS_MIN } else { clock.parameters() + 1 };
    if used.len() < needed {
        return Err(Refusal::TooFewMarks { marks: used.len() as u32, needed: needed as u32 });
    }
    if used.len() < marks.len() {
        let last_m = used.last().map_or(0.0, |mark| mark.distance_m);
        notes.push(Message::new("sprint-note-slower").with("to_m", Arg::MeasuredM(last_m)));
    }
    let fitted = curve::fit(used, clock);
    let tau_s = fitted.curve.tau_s;
    if fitted.ended == Ended::RanAway || !(TAU_RANGE_S[0]..=TAU_RANGE_S[1]).contains(&tau_s) {
        return Err(Refusal::TauOutOfRange { too_short: tau_s < 1.0 });
    }
    if fitted.ended == Ended::StepsUsedUp {
        return Err(Refusal::TauOpen);
    }
    let spare = (used.len() - clock.parameters()) as f64;
    let wide = misfit(&fitted, &ask.timing, spare);
    if wide > 1.0 {
        notes.push(Message::new("sprint-note-misfit").with("seconds", Arg::Number(fitted.rse_s)));
    }
    let covariance = declared_covariance(&fitted, &ask.timing);
    let sd_of = |by: &[f64]| {
        let mut variance = 0.0;
        for (row, by_row) in covariance.iter().zip(by) {
            for (value, by_column) in row.iter().zip(by) {
                variance += by_row * value * by_column;
            }
        }
        wide * variance.max(0.0).sqrt()
    };
    // A start off by its error moves the curve far and not evenly: fitted again at either end of the start's interval.
    let start_half_s = Z_95 * libm::hypot(t0_sd_s, ask.timing.start_sd_s);
    let [earlier, later] = match clock {
        Clock::Known { t0_s } if start_half_s > 0.0 => {
            let at = |t0_s: f64| curve::fit(used, Clock::Known { t0_s });
            let ends = [at(t0_s - start_half_s), at(t0_s + start_half_s)];
            if ends.iter().any(|fitted| fitted.ended != Ended::AtLeast) {
                return Err(Refusal::TauOpen);
            }
            ends.map(|fitted| fitted.curve)
        }
        _ => [fitted.curve; 2],
    };
    let n = used.len() as u32;
    let interval = |of: fn(&Exponential) -> f64, sd: f64| {
        let median = of(&fitted.curve);
        let timing = Z_95 * sd / median;
        let ends = [&earlier, &later].map(|curve| libm::log(of(curve) / median));
        let low = ends[0].min(ends[1]).min(0.0);
        let high = ends[0].max(ends[1]).max(0.0);
        Estimate {
            median,
            low: median * libm::exp(-libm::hypot(timing, low)),
            high: median * libm::exp(libm::hypot(timing, high)),
            n,
            method: METHOD.to_owned(),
        }
    };
    let v_max_mps = interval(|curve| curve.v_max_mps, sd_of(&[1.0]));
    let tau = interval(|curve| curve.tau_s, sd_of(&[0.0, 1.0]));
    // An error that is no number is not known either.
    let known = (tau.high - tau_s).max(tau_s - tau.low) <= TAU_HALF_WIDTH_MAX * tau_s;
    if !known {
        return Err(Refusal::TauOpen);
    }
    let t0_half_s = match clock {
        Clock::Known { .. } => start_half_s,
        Clock::Free | Clock::Flying { .. } => Z_95 * sd_of(&[0.0, 0.0, 1.0]),
    };
    Ok(Curve {
        v_max_mps,
        tau_s: tau,
        t0_s: Estimate {
            median: fitted.t0_s,
            low: fitted.t0_s - t0_half_s,
            high: fitted.t0_s + t0_half_s,
            n,
            method: METHOD.to_owned(),
        },
        rse_s: fitted.rse_s,
        standard_errors: fitted.standard_errors,
        residuals_s: fitted.residuals_s,
        marks_used: n,
    })
}

/// Returns by how much the times lie further from the curve than their declared timing explains; 1 when they do not.
fn misfit(fitted: &Fitted, timing: &Timing, spare: f64) -> f64 {
    let ratio: f64 = fitted
        .residuals_s
        .iter()
        .zip(&fitted.by_place)
        .map(|(residual_s, by)| residual_s * residual_s / variance_at(by, timing))
        .sum();
    if chi_square::above(ratio, spare) < MISFIT_P { (ratio / spare).sqrt() } else { 1.0 }
}

/// Variance of one time: the clock's, and the tape's as the time it takes to run that far.
fn variance_at(by_place: &[f64; 2], timing: &Timing) -> f64 {
    let tape_s = timing.tape_sd_m * by_place[0];
    timing.sd_s * timing.sd_s + tape_s * tape_s
}

/// What errors of times and of the tape do to the fitted numbers, each through the linear map from times to numbers,
/// (JᵀJ)⁻¹Jᵀ. With a flying start the clock's own start and the run-up have a part in it, shared by all times.
fn declared_covariance(fitted: &Fitted, timing: &Timing) -> [[f64; 3]; 3] {
    let count = fitted.slopes.len();
    // What one second at each mark moves, number by number.
    let moves: Vec<[f64; 3]> = fitted
        .slopes
        .iter()
        .map(|slope| {
            std::array::from_fn(|row| {
                fitted.inverse[row].iter().zip(slope).map(|(inverse, slope)| inverse * slope).sum()
            })
        })
        .collect();
    let mut sources: Vec<[f64; 3]> = Vec::with_capacity(count + 2);
    for (moved, by) in moves.iter().zip(&fitted.by_place) {
        let sd = variance_at(by, timing).sqrt();
        sources.push(moved.map(|moved| moved * sd));
    }
    if fitted.run_up_m > 0.0 {
        let (mut start, mut run_up) = ([0.0; 3], [0.0; 3]);
        for (moved, by) in moves.iter().zip(&fitted.by_place) {
            for index in 0..3 {
                start[index] += moved[index] * timing.start_sd_s;
                run_up[index] += moved[index] * by[1] * timing.tape_sd_m;
            }
        }
        sources.extend([start, run_up]);
        // The first movement lies before the first gate by the time that the curve takes for the run-up.
        let (_, by) = fitted.curve.time_and_slopes(fitted.run_up_m);
        for source in &mut sources {
            source[2] = -by[0] * source[0] - by[1] * source[1];
        }
        if let Some(run_up) = sources.last_mut() {
            run_up[2] += by[2] * timing.tape_sd_m;
        }
    }
    let mut covariance = [[0.0; 3]; 3];
    for source in sources {
        for row in 0..3 {
            for column in 0..3 {
                covariance[row][column] += source[row] * source[column];
            }
        }
    }
    covariance
}

#[cfg(test)]
mod tests;
