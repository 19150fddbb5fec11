//! From events to coaching: cadence, evenness, the two feet, the trend along the lane, speed through every gap, which
//! hurdle was knocked.

pub use lanewright_model::run::Evenness;
use lanewright_model::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::analyse::{Contact, Event, Heard, Tables, analyse_with, heard};
use crate::candidates::{median, quantile};
use crate::front::{LONGEST_TAKE_S, Sound};
use crate::turns::{NoTurns, Own, Turns, likelier, turns};

/// Factor from a standard deviation to a two-sided 90 % range (normal distribution).
const SIGMAS_90: f64 = 1.645;
/// From this probability of a run on, contacts are reported.
const LEAST_RUN: f64 = 0.5;
/// Fewer contacts are no run.
const LEAST_CONTACTS: usize = 5;
/// Evenness is judged from this many intervals on: the sampling error of a CV from eight is a quarter of it.
const LEAST_INTERVALS: usize = 8;
/// A CV of step time above this is uneven. Engineering assumption: composed runs called even had 2 to 3 %, uneven 8
/// to 15 %.
pub const UNEVEN_CV: f64 = 0.055;
/// An asymmetry above this is one-sided, if it explains most of the CV. Engineering assumption.
pub const ONE_SIDED: f64 = 0.04;
/// Standard deviation of one onset on the waveform, s (measured: docs/methods/listen.md).
const ONSET_SD_S: f64 = 0.003;
/// Standard deviation of where a foot lands after a hurdle, m. Engineering assumption; no source for children over low
/// hurdles.
const LANDING_SD_M: f64 = 0.05;
/// Standard deviation of the change of a gap's time from one gap to the next, as a share. Engineering assumption: a
/// child that runs through changes speed little by little.
const CHANGE_SD: f64 = 0.03;
/// From this probability on a knock is put down to one hurdle. Engineering assumption: wrong once in five, and the coach
/// looks at the lane anyway.
pub const SURE_HURDLE: f64 = 0.8;
/// A sound shorter than this holds no run.
const SHORTEST_S: f64 = 1.0;
/// A peak below -60 dB of full scale is silence.
const SILENT_PEAK: f32 = 0.001;
/// This share of samples at the limit of the scale means the microphone was overdriven.
const CLIPPED_SHARE: f64 = 0.02;

/// A value with a 90 % range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// Best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Range {
    pub(crate) fn around(value: f64, sd: f64) -> Self {
        Self { value, low: value - SIGMAS_90 * sd, high: value + SIGMAS_90 * sd }
    }
}

/// Why a take gives no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// There is no sound in it at all.
    Empty,
    /// Shorter than a second.
    TooShort,
    /// Longer than a take may be.
    TooLong,
    /// Hardly any signal.
    Silent,
    /// The microphone was overdriven.
    Overdriven,
    /// Nothing in it sounds like one runner's steps.
    NoSteps,
    /// Something like steps, drowned in noise.
    TooNoisy,
}

impl Reason {
    /// The reason in words, with what to do about it.
    #[must_use]
    pub fn message(self) -> Message {
        match self {
            Self::Empty => Message::new("listen-empty"),
            Self::TooShort => Message::new("listen-too-short"),
            Self::TooLong => Message::new("listen-too-long").with("seconds", Arg::Number(LONGEST_TAKE_S)),
            Self::Silent => Message::new("listen-silent"),
            Self::Overdriven => Message::new("listen-overdriven"),
            Self::NoSteps => Message::new("listen-no-steps"),
            Self::TooNoisy => Message::new("listen-too-noisy"),
        }
    }
}

/// How the lane stood.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lane {
    /// Number of hurdles, at least 2.
    pub hurdles: usize,
    /// From one hurdle to the next, m.
    pub spacing_m: f64,
    /// Contacts from one crossing to the next, at least 1.
    pub contacts_per_gap: usize,
    /// When the first hurdle was crossed, s from the start of the take, where somebody marked it.
    pub first_crossing_s: Option<f64>,
}

/// A knock and the hurdle it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Knock {
    /// Onset, s.
    pub t_s: f64,
    /// Probability that it is a knock.
    pub p: f64,
    /// Number of the hurdle from 1, where the lane is known and the knock falls into a crossing: the most probable one.
    pub hurdle: Option<usize>,
    /// Probability that it is this hurdle, given that it is a knock; 0 without one.
    #[serde(default)]
    pub hurdle_p: f64,
    /// First and last of the hurdles among which it is with nine tenths of the probability.
    #[serde(default)]
    pub hurdle_range: Option<[usize; 2]>,
}

impl Knock {
    /// The hurdle, where it is sure enough to be marked as fallen without a look.
    #[must_use]
    pub fn sure_hurdle(&self) -> Option<usize> {
        self.hurdle.filter(|_| self.hurdle_p >= SURE_HURDLE)
    }
}

/// One gap of the lane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Gap {
    /// The gap behind this hurdle, from 1.
    pub hurdle: usize,
    /// Speed through it, m/s.
    pub speed_mps: f64,
    /// Lower end of its 90 % range.
    pub low_mps: f64,
    /// Upper end.
    pub high_mps: f64,
    /// Mean length of a step in it, m.
    pub step_m: f64,
}

/// A heavy stop before a turn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Brake {
    /// The contact it is, s.
    pub t_s: f64,
    /// Probability.
    pub p: f64,
    /// Until the first contact after the turn, s.
    pub pause_s: f64,
    /// The pause in step times of this run: below 2 the runner turned on one step.
    pub pause_steps: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Findings {
    /// Why there is no answer.
    pub reason: Option<Reason>,
    /// Probability that somebody runs.
    pub run_p: f64,
    /// Contacts in order.
    pub contacts: Vec<Contact>,
    /// Knocks in order.
    pub knocks: Vec<Knock>,
    /// Heavy stops in order.
    pub brakes: Vec<Brake>,
    /// Steps a second.
    pub cadence_hz: Option<Range>,
    /// Standard deviation of step times over their mean.
    pub cv_step_time: Option<Range>,
    /// Difference of the two feet's mean step times over the mean.
    pub asymmetry: Option<Range>,
    /// Change of cadence from the first step to the last, as a share.
    pub trend: Option<Range>,
    /// The verdict.
    pub evenness: Evenness,
    /// Speed through the gaps.
    pub gaps: Vec<Gap>,
    /// When each hurdle was crossed, s: the middle between the contacts before and after it.
    pub crossings_s: Vec<f64>,
    /// Probability that the crossings were counted right.
    pub alignment_p: Option<f64>,
    /// Length of the take, s.
    pub duration_s: f64,
    /// Turns, where they were asked for.
    #[serde(default)]
    pub turns: Option<Turns>,
}

impl Findings {
    fn none(reason: Reason, sound: &Sound, run_p: f64) -> Self {
        Self {
            reason: Some(reason),
            run_p,
            contacts: Vec::new(),
            knocks: Vec::new(),
            brakes: Vec::new(),
            cadence_hz: None,
            cv_step_time: None,
            asymmetry: None,
            trend: None,
            evenness: Evenness::NotEnough,
            gaps: Vec::new(),
            crossings_s: Vec::new(),
            alignment_p: None,
            duration_s: sound.duration_s,
            turns: None,
        }
    }
}

/// Listens to a whole take with the tables of this crate.
#[must_use]
pub fn findings(sound: &Sound, lane: Option<&Lane>) -> Findings {
    findings_with(sound, lane, &Tables::shipped())
}

/// The same with other tables.
#[must_use]
pub fn findings_with(sound: &Sound, lane: Option<&Lane>, tables: &Tables) -> Findings {
    listened(sound, lane, None, tables)
}

/// Listens to a bout: the same, and the turns. What the device itself sounded is left out first.
#[must_use]
pub fn bout(mut sound: Sound, own: &Own) -> Findings {
    sound.hush(&own.sounds_s);
    listened(&sound, None, Some(own), &Tables::shipped())
}

fn listened(sound: &Sound, lane: Option<&Lane>, own: Option<&Own>, tables: &Tables) -> Findings {
    let none = |reason: Reason, run_p: f64| Findings {
        turns: own.map(|_| Turns::none(NoTurns::NotHeard)),
        ..Findings::none(reason, sound, run_p)
    };
    let plain = match sound {
        sound if sound.duration_s == 0.0 => Some(Reason::Empty),
        sound if sound.too_long => Some(Reason::TooLong),
        sound if sound.duration_s < SHORTEST_S => Some(Reason::TooShort),
        sound if sound.peak < SILENT_PEAK => Some(Reason::Silent),
        sound if sound.clipped_share > CLIPPED_SHARE => Some(Reason::Overdriven),
        _ => None,
    };
    if let Some(reason) = plain {
        return none(reason, 0.0);
    }
    let likelier = |t_s: f64| own.map_or(0.0, |own| likelier(own, t_s));
    let Some(analysis) = analyse_with(sound, tables, likelier) else {
        return none(Reason::NoSteps, 0.0);
    };
    let events = heard(&analysis, tables);
    if events.run_p < LEAST_RUN || events.contacts.len() < LEAST_CONTACTS {
        // A chain that is long but weak points at noise, a short one at nobody running.
        let weak = analysis.rhythm.evidence > 5.0 && analysis.rhythm.sequence.len() >= LEAST_INTERVALS;
        let reason = if weak { Reason::TooNoisy } else { Reason::NoSteps };
        return none(reason, events.run_p);
    }
    let turned = own.map(|own| turns(sound, &analysis, &events, own, tables));
    Findings { turns: turned, ..coach(events, lane, sound) }
}

fn coach(events: Heard, lane: Option<&Lane>, sound: &Sound) -> Findings {
    let times: Vec<f64> = events.contacts.iter().map(|c| c.t_s).collect();
    let steps = Steps::of(&times, &events.contacts, events.tempo.period_s);
    let brakes = brakes(&times, &events.brakes, &steps);
    let crossings = lane.and_then(|lane| crossings(&times, &events.knocks, lane));
    let knocks = events
        .knocks
        .iter()
        .map(|knock| {
            let placed = crossings.as_ref().and_then(|found| found.placed(knock.t_s));
            Knock {
                t_s: knock.t_s,
                p: knock.p,
                hurdle: placed.map(|(hurdle, ..)| hurdle),
                hurdle_p: placed.map_or(0.0, |(_, p, _)| p),
                hurdle_range: placed.map(|(.., range)| range),
            }
        })
        .collect();
    let gaps = match (&crossings, lane) {
        (Some(found), Some(lane)) => gaps(&found.times, lane),
        _ => Vec::new(),
    };
    Findings {
        reason: None,
        run_p: events.run_p,
        cadence_hz: steps.cadence(),
        cv_step_time: steps.cv(),
        asymmetry: steps.asymmetry(),
        trend: steps.trend(),
        evenness: steps.evenness(),
        contacts: events.contacts,
        knocks,
        brakes,
        gaps,
        alignment_p: crossings.as_ref().map(|found| found.p),
        crossings_s: crossings
            .map(|found| found.times.iter().map(|(from, to)| 0.5 * (from + to)).collect())
            .unwrap_or_default(),
        duration_s: sound.duration_s,
        turns: None,
    }
}

/// The intervals that are one step each: turns and missed contacts left out.
#[derive(Debug, Clone, PartialEq)]
struct Steps {
    /// Length, s, and which foot it starts from.
    intervals: Vec<(f64, u8)>,
    middle_s: f64,
}

impl Steps {
    fn of(times: &[f64], contacts: &[Contact], period_s: f64) -> Self {
        let all: Vec<(f64, u8)> =
            times.windows(2).zip(contacts).map(|(pair, contact)| (pair[1] - pair[0], contact.foot)).collect();
        let middle = median(&all.iter().map(|x| x.0).filter(|d| *d < 1.5 * period_s).collect::<Vec<_>>());
        let intervals = all.into_iter().filter(|(d, _)| *d > 0.6 * middle && *d < 1.45 * middle).collect();
        Self { intervals, middle_s: middle }
    }

    fn lengths(&self) -> Vec<f64> {
        self.intervals.iter().map(|x| x.0).collect()
    }

    fn mean_sd(&self) -> Option<(f64, f64, f64)> {
        let lengths = self.lengths();
        let n = lengths.len() as f64;
        if lengths.len() < 4 {
            return None;
        }
        let mean = lengths.iter().sum::<f64>() / n;
        let variance = lengths.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / (n - 1.0);
        Some((mean, libm::sqrt(variance), n))
    }

    fn cadence(&self) -> Option<Range> {
        let (mean, sd, n) = self.mean_sd()?;
        // Onset errors cancel between neighbours: over n steps only those of the two ends remain.
        let error = libm::hypot(sd / libm::sqrt(n), ONSET_SD_S * std::f64::consts::SQRT_2 / n);
        Some(Range {
            value: 1.0 / mean,
            low: 1.0 / (mean + SIGMAS_90 * error),
            high: 1.0 / (mean - SIGMAS_90 * error).max(1e-3),
        })
    }

    fn cv(&self) -> Option<Range> {
        let (mean, sd, n) = self.mean_sd()?;
        let value = sd / mean;
        // The logarithm of a standard deviation from n values scatters by about 1 / sqrt(2 (n - 1)).
        let spread = SIGMAS_90 / libm::sqrt(2.0 * (n - 1.0));
        Some(Range { value, low: value * libm::exp(-spread), high: value * libm::exp(spread) })
    }

    fn asymmetry(&self) -> Option<Range> {
        let (mean, _, _) = self.mean_sd()?;
        let side =
            |foot: u8| -> Vec<f64> { self.intervals.iter().filter(|x| x.1 == foot).map(|x| x.0).collect() };
        let (a, b) = (side(0), side(1));
        if a.len() < 2 || b.len() < 2 {
            return None;
        }
        let stats = |values: &[f64]| {
            let n = values.len() as f64;
            let mean = values.iter().sum::<f64>() / n;
            (mean, values.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / (n - 1.0) / n)
        };
        let ((mean_a, error_a), (mean_b, error_b)) = (stats(&a), stats(&b));
        let value = libm::fabs(mean_a - mean_b) / mean;
        let sd = libm::sqrt(error_a + error_b) / mean;
        Some(Range { value, low: (value - SIGMAS_90 * sd).max(0.0), high: value + SIGMAS_90 * sd })
    }

    fn trend(&self) -> Option<Range> {
        let lengths = self.lengths();
        let n = lengths.len() as f64;
        if lengths.len() < LEAST_INTERVALS {
            return None;
        }
        let rates: Vec<f64> = lengths.iter().map(|d| 1.0 / d).collect();
        let mean = rates.iter().sum::<f64>() / n;
        let centre = (n - 1.0) / 2.0;
        let spread: f64 = (0..rates.len()).map(|k| (k as f64 - centre) * (k as f64 - centre)).sum();
        let slope =
            rates.iter().enumerate().map(|(k, r)| (k as f64 - centre) * (r - mean)).sum::<f64>() / spread;
        let left: f64 = rates
            .iter()
            .enumerate()
            .map(|(k, r)| {
                let miss = r - mean - slope * (k as f64 - centre);
                miss * miss
            })
            .sum();
        let error = libm::sqrt(left / (n - 2.0) / spread);
        Some(Range::around(slope * (n - 1.0) / mean, error * (n - 1.0) / mean))
    }

    fn evenness(&self) -> Evenness {
        let (Some(cv), Some(asymmetry)) = (self.cv(), self.asymmetry()) else { return Evenness::NotEnough };
        if self.intervals.len() < LEAST_INTERVALS {
            return Evenness::NotEnough;
        }
        let own = libm::sqrt((cv.value * cv.value - asymmetry.value * asymmetry.value / 4.0).max(0.0));
        if asymmetry.value > ONE_SIDED && asymmetry.low > 0.5 * ONE_SIDED && asymmetry.value / 2.0 > 0.9 * own
        {
            Evenness::OneSided
        } else if cv.low > UNEVEN_CV {
            Evenness::Uneven
        } else if cv.high < UNEVEN_CV {
            Evenness::Even
        } else {
            Evenness::NotEnough
        }
    }
}

fn brakes(times: &[f64], heard: &[Event], steps: &Steps) -> Vec<Brake> {
    heard
        .iter()
        .filter_map(|brake| {
            let next = times.iter().find(|&&t| t > brake.t_s + 0.01)?;
            let pause_s = next - brake.t_s;
            let pause_steps = pause_s / steps.middle_s.max(0.05);
            Some(Brake { t_s: brake.t_s, p: brake.p, pause_s, pause_steps })
        })
        .collect()
}

/// The crossings of the hurdles: for each the contact before and after it.
#[derive(Debug, Clone, PartialEq)]
struct Crossings {
    /// Last contact before each hurdle and first behind it, s.
    times: Vec<(f64, f64)>,
    /// Probability that the count is right.
    p: f64,
    /// Every count that is possible, with its probability.
    others: Vec<(f64, Vec<(f64, f64)>)>,
}

/// The hurdle whose crossing holds a moment.
fn hurdle_at(times: &[(f64, f64)], t_s: f64) -> Option<usize> {
    // A knock may be heard a little after the landing: sound, and a trailing foot.
    times.iter().position(|&(from, to)| t_s > from && t_s < to + 0.03).map(|at| at + 1)
}

impl Crossings {
    /// The most probable hurdle of a knock, its probability, and the first and last of the most probable hurdles that
    /// hold nine tenths together; `None` where the best count puts it at none.
    fn placed(&self, t_s: f64) -> Option<(usize, f64, [usize; 2])> {
        hurdle_at(&self.times, t_s)?;
        let mut shares = vec![0.0; self.times.len() + 1];
        for (p, times) in &self.others {
            shares[hurdle_at(times, t_s).unwrap_or(0)] += p;
        }
        let mut order: Vec<usize> = (1..shares.len()).collect();
        order.sort_by(|&a, &b| shares[b].total_cmp(&shares[a]).then(a.cmp(&b)));
        let best = order[0];
        let enough = 0.9 * shares[1..].iter().sum::<f64>();
        let (mut sum, mut range) = (0.0, [best, best]);
        for hurdle in order {
            if sum >= enough {
                break;
            }
            sum += shares[hurdle];
            range = [range[0].min(hurdle), range[1].max(hurdle)];
        }
        Some((best, shares[best], range))
    }
}

/// Finds the crossings: contact `first` is the last one before hurdle 1, and so on every `contacts_per_gap` contacts.
fn crossings(times: &[f64], knocks: &[Event], lane: &Lane) -> Option<Crossings> {
    let per = lane.contacts_per_gap.max(1);
    let needed = per * (lane.hurdles.max(1) - 1) + 2;
    if lane.hurdles < 2 || times.len() < needed || lane.spacing_m <= 0.0 {
        return None;
    }
    let at = |first: usize| -> Vec<(f64, f64)> {
        (0..lane.hurdles).map(|h| (times[first + h * per], times[first + h * per + 1])).collect()
    };
    if let Some(mark) = lane.first_crossing_s {
        let behind = times.partition_point(|&t| t < mark);
        let first = behind.checked_sub(1)?;
        if first + needed > times.len() {
            return None;
        }
        // Sure, unless the mark lies close to a contact.
        let nearest =
            libm::fabs(mark - times[first]).min(libm::fabs(times[behind.min(times.len() - 1)] - mark));
        let p = if nearest > 0.03 { 0.98 } else { 0.7 };
        // If not this contact, then one of its neighbours.
        let neighbours = [first.checked_sub(1), Some(first + 1)];
        let mut others = vec![(p, at(first))];
        for beside in neighbours.into_iter().flatten().filter(|beside| beside + needed <= times.len()) {
            others.push((0.5 * (1.0 - p), at(beside)));
        }
        return Some(Crossings { times: at(first), p, others });
    }
    // Nobody marked it. Knocks happen over hurdles, crossings take a little longer than other steps, and the run-up has
    // a few steps, the run-out a few more.
    let middle = median(&times.windows(2).map(|pair| pair[1] - pair[0]).collect::<Vec<_>>());
    let scores: Vec<f64> = (0..=times.len() - needed)
        .map(|first| {
            let found = at(first);
            let hits: f64 = knocks
                .iter()
                .map(|knock| if hurdle_at(&found, knock.t_s).is_some() { 1.0 } else { -2.0 } * knock.p)
                .sum();
            let long: f64 = if per > 1 {
                found.iter().map(|&(a, b)| ((b - a) / middle - 1.0).clamp(-0.3, 0.3)).sum::<f64>() / 0.06
            } else {
                0.0
            };
            let spare = (times.len() - needed) as f64;
            let even = if spare > 0.0 { libm::fabs(first as f64 / spare - 0.5) } else { 0.0 };
            hits + 0.5 * long - even
        })
        .collect();
    let best = (0..scores.len()).fold(0, |best, k| if scores[k] > scores[best] { k } else { best });
    let total: f64 = scores.iter().map(|s| libm::exp(s - scores[best])).sum();
    let others = scores
        .iter()
        .enumerate()
        .map(|(first, score)| (libm::exp(score - scores[best]) / total, at(first)))
        .collect();
    Some(Crossings { times: at(best), p: 1.0 / total, others })
}

/// Speed through every gap: the times of the crossings, smoothed as far as feet land here and there, then spacing over
/// time.
fn gaps(crossings: &[(f64, f64)], lane: &Lane) -> Vec<Gap> {
    let n = crossings.len();
    let heard: Vec<f64> = crossings.iter().map(|(from, to)| 0.5 * (from + to)).collect();
    let usual = median(&heard.windows(2).map(|pair| pair[1] - pair[0]).collect::<Vec<_>>());
    if n < 2 || usual <= 0.0 {
        return Vec::new();
    }
    let speed = lane.spacing_m / usual;
    // The mean of take-off and landing scatters by one over the root of two less than either.
    let noise = libm::hypot(LANDING_SD_M / speed, ONSET_SD_S) / std::f64::consts::SQRT_2;
    let change = CHANGE_SD * usual;
    // Least squares of (heard - smooth) / noise and of the second differences of smooth / change.
    let mut matrix = vec![vec![0.0; n]; n];
    for (k, row) in matrix.iter_mut().enumerate() {
        row[k] += 1.0 / (noise * noise);
    }
    for k in 0..n.saturating_sub(2) {
        for (a, x) in [(k, 1.0), (k + 1, -2.0), (k + 2, 1.0)] {
            for (b, y) in [(k, 1.0), (k + 1, -2.0), (k + 2, 1.0)] {
                matrix[a][b] += x * y / (change * change);
            }
        }
    }
    let right: Vec<f64> = heard.iter().map(|t| (t - heard[0]) / (noise * noise)).collect();
    let Some(inverse) = inverse(matrix) else { return Vec::new() };
    let smooth: Vec<f64> =
        inverse.iter().map(|row| row.iter().zip(&right).map(|(a, b)| a * b).sum::<f64>()).collect();
    (0..n - 1)
        .map(|k| {
            let time = (smooth[k + 1] - smooth[k]).max(1e-3);
            let variance = inverse[k][k] + inverse[k + 1][k + 1] - 2.0 * inverse[k][k + 1];
            let sd = libm::sqrt(variance.max(0.0));
            let slow = lane.spacing_m / (time + SIGMAS_90 * sd);
            let fast = lane.spacing_m / (time - SIGMAS_90 * sd).max(0.2 * time);
            Gap {
                hurdle: k + 1,
                speed_mps: lane.spacing_m / time,
                low_mps: slow,
                high_mps: fast,
                step_m: lane.spacing_m / lane.contacts_per_gap.max(1) as f64,
            }
        })
        .collect()
}

/// Inverse of a positive definite matrix by Gauss and Jordan; `None` where it has none.
fn inverse(mut matrix: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let mut result: Vec<Vec<f64>> =
        (0..n).map(|k| (0..n).map(|j| if j == k { 1.0 } else { 0.0 }).collect()).collect();
    for k in 0..n {
        let pivot = matrix[k][k];
        if pivot <= 0.0 || !pivot.is_finite() {
            return None;
        }
        for j in 0..n {
            matrix[k][j] /= pivot;
            result[k][j] /= pivot;
        }
        for i in (0..n).filter(|&i| i != k) {
            let factor = matrix[i][k];
            if factor == 0.0 {
                continue;
            }
            for j in 0..n {
                let (m, r) = (matrix[k][j], result[k][j]);
                matrix[i][j] -= factor * m;
                result[i][j] -= factor * r;
            }
        }
    }
    Some(result)
}

/// Level of the take for a meter: the 95th percentile of the wide envelope, dB of full scale.
#[must_use]
pub fn level_db(sound: &Sound) -> f64 {
    let values: Vec<f64> = sound.wide.iter().map(|&x| f64::from(x)).collect();
    20.0 * libm::log10(quantile(&values, 0.95).max(1e-6))
}
