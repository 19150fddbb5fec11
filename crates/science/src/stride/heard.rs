//! What the sound of a run says of a child's steps.
//!
//! A free run gives a cadence, and with distance and time a step: that is an observation like a counted run. Over
//! hurdles with one contact a gap the step *is* the gap, so nothing is learned of the free step there. But at the speed
//! heard the child would usually take another step, and that says whether the gap is likely too close or too far.
//! Nothing of that moves a belief: a coach looks and judges.

use jiff::civil::Date;
use lanewright_model::words::{Arg, Message};
use lanewright_model::{Drill, Estimate, Ladder, Runner, Verdict};

use super::cadence::cadence_hz;
use super::evidence::{HURDLE_SD_LN, STOPWATCH_SD_S, TOLERANCE_LN, timed_step};
use super::{ClassView, METHOD, SPEED_RANGE_MPS, STEP_RANGE_M};
use crate::normal;

/// Cadences outside this range (in steps a second) are no running: contacts were missed or doubled.
pub const CADENCE_RANGE_HZ: std::ops::RangeInclusive<f64> = 1.0..=6.0;

/// Spread of running cadence between children of one leg at one speed, as a standard deviation of ln cadence.
/// Engineering assumption; runners differ by 4 to 5 % at a given speed, children more.
pub const CADENCE_SD_LN: f64 = 0.07;

/// From this probability on it is said that a gap is likely too close, right or too far. Engineering assumption.
pub const LIKELY_P: f64 = 0.7;

/// The speed rests on at least so many gaps. Engineering assumption.
pub const GAPS_LEAST: usize = 2;

/// With so many gaps or more the first one is left out: there children still gain speed. Engineering assumption.
const GAPS_WITHOUT_FIRST: usize = 3;

/// Gaps whose speed is less certain than this, as a standard deviation of ln speed, are left out. Engineering
/// assumption.
const GAP_SPEED_SD_LN_MAX: f64 = 0.10;

/// Froude number v² / (g leg) at which people change from walking to running. About 0.5; the value is from memory.
const WALK_FROUDE: f64 = 0.5;

/// Acceleration of free fall, in metres a second squared.
const GRAVITY_MPS2: f64 = 9.81;

/// Normal spreads are summed at these steps up to this many standard deviations either way. For a smooth function such
/// a sum is exact to far more digits than are shown.
const NODE_STEP: f64 = 0.5;
const NODE_RANGE: i32 = 6;

/// Change of ln leg by which its effect on the step is measured.
const SMALL_LN: f64 = 0.01;

/// Returns whether a heard cadence, in steps a second with its standard deviation, can be one.
pub(super) fn is_cadence_usable((hz, sd_hz): (f64, f64)) -> bool {
    CADENCE_RANGE_HZ.contains(&hz) && (0.0..=0.5 * hz).contains(&sd_hz)
}

/// Returns the standard deviation of ln value behind a 90 % range that is symmetrical in one over the value.
///
/// That is how cadence and speed come from the listener: a time with a normal error, then one over it.
fn sd_ln_of_range(value: f64, low: f64, high: f64) -> Option<f64> {
    let ordered = low > 0.0 && low <= value && value <= high && high.is_finite();
    ordered.then(|| value * (1.0 / low - 1.0 / high) / (2.0 * normal::Z_95))
}

/// Returns the standard deviation of a heard cadence, in steps a second, from its 90 % range.
///
/// The range is that of a step time with a normal error, turned over: sd = f² (1/low − 1/high) / (2 · 1.645). `None`
/// when the range is not one around the value, or value or range cannot be a running child's.
pub fn cadence_sd_hz(value_hz: f64, low_hz: f64, high_hz: f64) -> Option<f64> {
    let sd_hz = value_hz * sd_ln_of_range(value_hz, low_hz, high_hz)?;
    is_cadence_usable((value_hz, sd_hz)).then_some(sd_hz)
}

/// Returns the step of one free run that was heard, in metres, as a measurement of this child's step.
///
/// Distance in metres and time in seconds by a watch in the hand; the cadence in steps a second with its 90 % range.
/// The range is that of [`timed_step`]. `None` when the figures cannot be a run.
pub fn heard_step_m(distance_m: f64, time_s: f64, cadence: (f64, f64, f64)) -> Option<Estimate> {
    let (value_hz, low_hz, high_hz) = cadence;
    let sd_hz = cadence_sd_hz(value_hz, low_hz, high_hz)?;
    let usable = time_s > 0.0
        && SPEED_RANGE_MPS.contains(&(distance_m / time_s))
        && STEP_RANGE_M.contains(&(distance_m / time_s / value_hz));
    usable.then(|| {
        let step = timed_step(distance_m, (time_s, STOPWATCH_SD_S), (value_hz, sd_hz));
        normal::log_normal_estimate(step.ln_m, step.variance.sqrt(), 1, METHOD)
    })
}

/// How fast a run over hurdles was, by its sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeardSpeed {
    /// Speed in metres a second.
    pub speed_mps: f64,
    /// Standard deviation of ln speed.
    pub sd_ln: f64,
    /// Gaps that it rests on.
    pub gaps: usize,
}

/// Returns the speed of a run from the speeds through its gaps, in the order of the lane.
///
/// Each gap is a speed with its 90 % range, in metres a second. The first gap is left out where there are three or
/// more, uncertain gaps always. The result is the median; its spread is the median of the spreads and does not
/// shrink with their number, for neighbouring gaps share a crossing. `None` when fewer than two gaps are left.
pub fn heard_speed(gaps_mps: &[(f64, f64, f64)]) -> Option<HeardSpeed> {
    let first = usize::from(gaps_mps.len() >= GAPS_WITHOUT_FIRST);
    let (mut speeds, mut spreads): (Vec<f64>, Vec<f64>) = gaps_mps[first..]
        .iter()
        .filter_map(|&(value, low, high)| Some((value, sd_ln_of_range(value, low, high)?)))
        .filter(|(_, sd_ln)| *sd_ln <= GAP_SPEED_SD_LN_MAX)
        .unzip();
    (speeds.len() >= GAPS_LEAST).then(|| HeardSpeed {
        speed_mps: median(&mut speeds),
        sd_ln: median(&mut spreads),
        gaps: speeds.len(),
    })
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    if values.len() % 2 == 1 { values[middle] } else { 0.5 * (values[middle - 1] + values[middle]) }
}

/// What is believed of one child's running step over hurdles, at any speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnStep {
    leg_m: f64,
    leg_sd_ln: f64,
    v_max_mps: f64,
    v_max_sd_ln: f64,
    /// ln of the child's own step over the step that the cadence curve gives at the same speed.
    own_ln: f64,
    own_variance: f64,
    n: u32,
}

/// Returns what is believed of every child's running step, in the order given; `None` for a drill whose gap is not one
/// running step: walks, side-steps, one-leg drills and two contacts a gap.
///
/// # Formula
/// The belief of the drill's gap has a prior spread S, of which κ² = 0.07² + 0.08² (cadence, hurdles) stays when the
/// speed is known; the rest is speed and effort. With ρ = κ²/S² and the belief (μ, s²) against its prior mean μ₀, the
/// child's own step over the curve is ρ (μ − μ₀) on the log scale, with variance κ² (1 − ρ) + ρ² s².
pub fn own_steps(runners: &[Runner], drill: &Drill, ladder: &Ladder, today: Date) -> Option<Vec<OwnStep>> {
    let own_step = drill.gap.is_some_and(|rule| rule.own_running_step);
    if !own_step || drill.walk || drill.contacts_per_gap != Some(1) {
        return None;
    }
    let view = ClassView::new(runners, &[drill], ladder, None, today);
    let spread = |estimate: &Estimate| libm::log(estimate.high / estimate.low) / (2.0 * normal::Z_95);
    let children = view.children.iter().zip(&view.beliefs).zip(&view.bodies);
    Some(
        children
            .map(|((child, beliefs), body)| {
                let (prior, belief) = (&child.input.priors[0], &beliefs[0]);
                let size = prior.size_loading * prior.size_loading * child.input.size_variance;
                let before = prior.sd_ln * prior.sd_ln + size;
                let kept = CADENCE_SD_LN * CADENCE_SD_LN + HURDLE_SD_LN * HURDLE_SD_LN;
                let share = (kept / before).min(1.0);
                OwnStep {
                    leg_m: body.leg_length_m.median,
                    leg_sd_ln: spread(&body.leg_length_m),
                    v_max_mps: child.speed.v_max_mps,
                    v_max_sd_ln: spread(&child.speed.estimate),
                    own_ln: share * (belief.mu_ln - prior.mu_ln),
                    own_variance: kept * (1.0 - share) + share * share * belief.variance,
                    n: child.input.seen.len() as u32,
                }
            })
            .collect(),
    )
}

impl OwnStep {
    /// ln of the step in metres at a speed, for a top speed so many standard deviations from its median.
    fn ln_step(&self, speed_mps: f64, z: f64) -> f64 {
        let v_max_mps = self.v_max_mps * libm::exp(self.v_max_sd_ln * z);
        libm::log(speed_mps / cadence_hz(speed_mps, v_max_mps, self.leg_m)) + self.own_ln
    }

    /// Variance of ln step at a speed, apart from what top speed adds.
    fn variance_at(&self, speed_mps: f64) -> f64 {
        let cadence = |leg_m: f64| cadence_hz(speed_mps, self.v_max_mps, leg_m);
        let longer = cadence(self.leg_m * libm::exp(SMALL_LN));
        let leg = libm::log(longer / cadence(self.leg_m)) / SMALL_LN * self.leg_sd_ln;
        self.own_variance + leg * leg
    }

    /// Returns the cadence that is usual for this child over hurdles at a speed, in steps a second.
    pub fn usual_cadence_hz(&self, speed_mps: f64) -> Estimate {
        let steps = || nodes().map(|(z, weight)| (self.ln_step(speed_mps, z), weight));
        let mean: f64 = steps().map(|(ln, weight)| weight * ln).sum();
        let spread: f64 = steps().map(|(ln, weight)| weight * (ln - mean) * (ln - mean)).sum();
        let sd_ln = (self.variance_at(speed_mps) + spread).sqrt();
        normal::log_normal_estimate(libm::log(speed_mps) - mean, sd_ln, self.n, METHOD)
    }
}

/// Places of a standard normal and their weights, which add up to one.
fn nodes() -> impl Iterator<Item = (f64, f64)> {
    let at = |k: i32| NODE_STEP * f64::from(k);
    let total: f64 = (-NODE_RANGE..=NODE_RANGE).map(|k| normal::pdf(at(k))).sum();
    (-NODE_RANGE..=NODE_RANGE).map(move |k| (at(k), normal::pdf(at(k)) / total))
}

/// What speed and cadence of a run over hurdles say of the gap.
#[derive(Debug, Clone, PartialEq)]
pub struct GapSounds {
    /// Speed heard, in metres a second.
    pub speed_mps: f64,
    /// Cadence heard, in steps a second: one step a gap.
    pub cadence_hz: f64,
    /// Cadence that is usual for this child at that speed, in steps a second.
    pub usual_cadence_hz: Estimate,
    /// Probability that the gap is more than 7 % too close for this child at that speed.
    pub too_close_p: f64,
    /// Probability that it is right.
    pub right_p: f64,
    /// Probability that it is more than 7 % too far.
    pub too_far_p: f64,
}

/// Returns what a run over hurdles with one contact a gap says of the gap, in metres, for a child.
///
/// # Formula
/// d = ln gap − ln (v / f(v)) − own; too close below −0.07, too far above 0.07, right between (the limits of a tried
/// gap). Spread of d: the speed's own error and top speed, summed over both; what the legs' length leaves open; the
/// child's own spread.
///
/// `None` where it cannot be a run of this child: nonsensical figures, slower than people run, faster than the child's
/// top speed may be, or a cadence outside [`CADENCE_RANGE_HZ`].
pub fn gap_sounds(own: &OwnStep, gap_m: f64, heard: HeardSpeed) -> Option<GapSounds> {
    let HeardSpeed { speed_mps, sd_ln, .. } = heard;
    let slowest_mps = (WALK_FROUDE * GRAVITY_MPS2 * own.leg_m).sqrt();
    let fastest_mps = own.v_max_mps * libm::exp(normal::Z_95 * own.v_max_sd_ln);
    let usable = STEP_RANGE_M.contains(&gap_m)
        && SPEED_RANGE_MPS.contains(&speed_mps)
        && (slowest_mps..=fastest_mps).contains(&speed_mps)
        && (0.0..=GAP_SPEED_SD_LN_MAX).contains(&sd_ln)
        && CADENCE_RANGE_HZ.contains(&(speed_mps / gap_m));
    if !usable {
        return None;
    }
    let ln_gap = libm::log(gap_m);
    let (mut too_close_p, mut too_far_p) = (0.0, 0.0);
    for (z_speed, speed_weight) in nodes() {
        let speed_mps = speed_mps * libm::exp(sd_ln * z_speed);
        let sd = own.variance_at(speed_mps).sqrt();
        for (z_top, top_weight) in nodes() {
            let off = ln_gap - own.ln_step(speed_mps, z_top);
            let weight = speed_weight * top_weight;
            too_close_p += weight * normal::cdf((-TOLERANCE_LN - off) / sd);
            too_far_p += weight * normal::cdf((off - TOLERANCE_LN) / sd);
        }
    }
    Some(GapSounds {
        speed_mps,
        cadence_hz: speed_mps / gap_m,
        usual_cadence_hz: own.usual_cadence_hz(speed_mps),
        too_close_p,
        right_p: (1.0 - too_close_p - too_far_p).max(0.0),
        too_far_p,
    })
}

impl GapSounds {
    /// Returns the verdict that is likely enough to be said, with its probability.
    pub fn likely(&self) -> Option<(Verdict, f64)> {
        [
            (Verdict::TooClose, self.too_close_p),
            (Verdict::Right, self.right_p),
            (Verdict::TooFar, self.too_far_p),
        ]
        .into_iter()
        .find(|(_, p)| *p >= LIKELY_P)
    }

    /// Returns the sentence about it, when it is likely enough.
    pub fn message(&self) -> Option<Message> {
        let (verdict, p) = self.likely()?;
        let message = Message::new(match verdict {
            Verdict::TooClose => "heard-gap-too-close",
            Verdict::Right => "heard-gap-right",
            Verdict::TooFar => "heard-gap-too-far",
        });
        Some(
            message
                .with("cadence", Arg::Decimals(self.cadence_hz, 1))
                .with("speed", Arg::SpeedMps(self.speed_mps))
                .with("usual", Arg::Decimals(self.usual_cadence_hz.median, 1))
                .with("low", Arg::Decimals(self.usual_cadence_hz.low, 1))
                .with("high", Arg::Decimals(self.usual_cadence_hz.high, 1))
                .with("p", Arg::Share(p)),
        )
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use lanewright_model::words::{Units, Words};
    use lanewright_model::{Age, DrillId, Sex, StrideObservation};

    use super::*;
    use crate::seeded::Seeded;
    use crate::stride::TRIAL_SD_LN;

    const TODAY: Date = date(2026, 3, 2);

    fn child(stature_cm: f64, age_y: Option<f64>) -> Runner {
        Runner {
            sex: age_y.map(|_| Sex::Female),
            age: age_y.map(|age_y| Age::Years { age_y, on: Some(TODAY) }),
            stature_cm: Some(stature_cm),
            stature_date: Some(TODAY),
            ..Runner::named("a", "Ada")
        }
    }

    fn own(runner: &Runner) -> OwnStep {
        static LADDER: std::sync::OnceLock<Ladder> = std::sync::OnceLock::new();
        let ladder = LADDER.get_or_init(Ladder::built_in);
        let drill = ladder.get("alternate-run").unwrap();
        own_steps(std::slice::from_ref(runner), drill, ladder, TODAY).unwrap()[0]
    }

    fn speed(speed_mps: f64) -> HeardSpeed {
        HeardSpeed { speed_mps, sd_ln: 0.03, gaps: 4 }
    }

    /// The gap that the child would usually want at a speed.
    fn usual_gap_m(own: &OwnStep, speed_mps: f64) -> f64 {
        speed_mps / own.usual_cadence_hz(speed_mps).median
    }

    #[test]
    fn the_range_of_a_cadence_is_turned_back_into_its_deviation() {
        // As the listener makes it: step time 0.3 s with an error of 4 ms.
        let (mean, error) = (0.3, 0.004);
        let range = |z: f64| 1.0 / (mean + z * error);
        let sd_hz = cadence_sd_hz(1.0 / mean, range(normal::Z_95), range(-normal::Z_95)).unwrap();
        assert!((sd_hz - error / (mean * mean)).abs() < 1e-12);
        assert_eq!(cadence_sd_hz(3.0, 3.0, 3.0), Some(0.0));
        for (value, low, high) in [
            (3.0, 3.1, 3.2),
            (3.0, 0.0, 3.2),
            (3.0, 2.9, f64::INFINITY),
            (9.0, 8.9, 9.1),
            (f64::NAN, 2.0, 3.0),
        ] {
            assert_eq!(cadence_sd_hz(value, low, high), None, "{value} {low} {high}");
        }
        assert_eq!(cadence_sd_hz(3.0, 0.1, 1e3), None, "a range that says nothing");
    }

    #[test]
    fn a_heard_free_run_is_a_step_with_its_range() {
        let step = heard_step_m(20.0, 4.4, (3.35, 3.27, 3.4342)).unwrap();
        assert!((step.median - 1.357).abs() < 0.0006 && step.n == 1);
        // .12 s of 4.4, .05 Hz of 3.35 and .04 of the child's own.
        let sd_ln = libm::log(step.high / step.low) / (2.0 * normal::Z_95);
        assert!((sd_ln - (0.0273f64.powi(2) + 0.0149f64.powi(2) + 0.0016).sqrt()).abs() < 2e-4, "{sd_ln}");
        for (distance_m, time_s) in [(20.0, 0.0), (20.0, -4.4), (f64::NAN, 4.4), (20.0, 0.5), (200.0, 20.0)] {
            assert_eq!(heard_step_m(distance_m, time_s, (2.5, 2.4, 2.6)), None, "{distance_m} {time_s}");
        }
    }

    #[test]
    fn the_speed_is_the_median_without_the_first_gap_and_without_uncertain_ones() {
        let gap = |v: f64, half: f64| (v, 1.0 / (1.0 / v + half), 1.0 / (1.0 / v - half));
        let sure = 0.01;
        let heard =
            heard_speed(&[gap(2.0, sure), gap(3.6, sure), gap(3.4, sure), gap(3.5, 0.09), gap(3.5, sure)])
                .unwrap();
        assert_eq!((heard.speed_mps, heard.gaps), (3.5, 3));
        assert!((heard.sd_ln - 3.5 * sure / normal::Z_95).abs() < 1e-12);
        // Two gaps: both count. One is too few, and so are several of which one is sure.
        assert_eq!(heard_speed(&[gap(3.0, sure), gap(3.4, sure)]).unwrap().speed_mps, 3.2);
        assert_eq!(heard_speed(&[gap(3.0, sure)]), None);
        assert_eq!(heard_speed(&[gap(3.0, sure), gap(3.1, 0.09), gap(3.2, sure)]), None);
        assert_eq!(heard_speed(&[]), None);
        let nonsense = (3.0, 3.5, 4.0);
        assert_eq!(heard_speed(&[nonsense, nonsense, gap(3.0, sure)]), None);
    }

    #[test]
    fn only_drills_whose_gap_is_one_running_step_are_told_of() {
        let ladder = Ladder::built_in();
        let told: Vec<&str> = ladder
            .drills()
            .iter()
            .filter(|drill| own_steps(&[child(149.0, None)], drill, &ladder, TODAY).is_some())
            .map(|drill| drill.id.0.as_str())
            .collect();
        assert_eq!(told, ["alternate-run"]);
    }

    #[test]
    fn usual_cadence_is_the_curves_and_gives_way_to_the_childs_own_steps() {
        let runner = child(145.0, Some(11.0));
        let before = own(&runner);
        let curve = cadence_hz(3.5, before.v_max_mps, before.leg_m);
        let usual = before.usual_cadence_hz(3.5);
        assert!((usual.median / curve - 1.0).abs() < 0.02 && usual.low < curve && curve < usual.high);
        // Without anything measured its spread is at least that of cadence and hurdles.
        let spread = |usual: &Estimate| libm::log(usual.high / usual.low) / (2.0 * normal::Z_95);
        assert!(spread(&usual) > 0.1063 && spread(&usual) < 0.15);
        let short = Runner {
            steps: vec![StrideObservation::Tape {
                drill: Some(DrillId("alternate-run".into())),
                distance_m: 0.85 * 6.0 * usual_gap_m(&before, 0.6 * before.v_max_mps),
                steps: 6,
            }],
            ..runner
        };
        let after = own(&short).usual_cadence_hz(3.5);
        assert!(after.median > 1.05 * usual.median && spread(&after) < 0.9 * spread(&usual));
        assert_eq!((usual.n, after.n), (0, 1));
    }

    #[test]
    fn a_longer_gap_is_never_less_too_far_nor_more_too_close() {
        for runner in [child(128.0, None), child(149.0, Some(12.0)), child(173.0, Some(16.0))] {
            let own = own(&runner);
            let speed = speed(0.6 * own.v_max_mps);
            let all: Vec<GapSounds> =
                (70..=190).filter_map(|cm| gap_sounds(&own, f64::from(cm) / 100.0, speed)).collect();
            assert!(all.len() > 60, "{}", all.len());
            for pair in all.windows(2) {
                assert!(pair[1].too_far_p >= pair[0].too_far_p && pair[1].too_close_p <= pair[0].too_close_p);
            }
            for one in &all {
                assert!((one.too_close_p + one.right_p + one.too_far_p - 1.0).abs() < 1e-12);
            }
            let verdict = |sounds: &GapSounds| sounds.likely().map(|(verdict, _)| verdict);
            assert_eq!(verdict(&all[0]), Some(Verdict::TooClose));
            assert_eq!(verdict(all.last().unwrap()), Some(Verdict::TooFar));
        }
    }

    #[test]
    fn nothing_is_said_of_a_lane_that_fits() {
        for runner in [child(128.0, None), child(149.0, Some(12.0)), child(173.0, Some(16.0))] {
            let own = own(&runner);
            for percent in [50, 60, 75, 90] {
                let speed = speed(0.01 * f64::from(percent) * own.v_max_mps);
                for off in [-0.07, -0.03, 0.0, 0.03, 0.07] {
                    let gap_m = usual_gap_m(&own, speed.speed_mps) * libm::exp(off);
                    let sounds = gap_sounds(&own, gap_m, speed).unwrap();
                    assert_eq!((sounds.likely(), sounds.message()), (None, None), "{percent} {off}");
                }
            }
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let own = own(&child(149.0, Some(12.0)));
        assert!(gap_sounds(&own, 1.3, speed(3.6)).is_some());
        let doubtful = HeardSpeed { sd_ln: 0.2, ..speed(3.6) };
        assert_eq!(gap_sounds(&own, 1.3, doubtful), None);
        for (gap_m, speed_mps) in [
            (f64::NAN, 3.6),
            (-1.3, 3.6),
            (0.0, 3.6),
            (130.0, 3.6),
            (1.3, f64::NAN),
            (1.3, -3.6),
            // Walking, faster than this child can run, and steps that nobody takes.
            (1.3, 1.5),
            (1.3, 11.0),
            (0.5, 3.6),
        ] {
            assert_eq!(gap_sounds(&own, gap_m, speed(speed_mps)), None, "{gap_m} {speed_mps}");
        }
    }

    #[test]
    fn each_sentence_has_words_with_the_figures() {
        let own = own(&child(145.0, Some(11.0)));
        let words = Words::english(Units::Metric);
        let said = |gap_m| words.say(&gap_sounds(&own, gap_m, speed(3.5)).unwrap().message().unwrap());
        let close = said(0.90);
        assert!(close.contains("3.9 steps a second at 3.5 m/s") && close.contains("too close ("), "{close}");
        assert!(said(1.9).contains("too far ("));
        let sounds = gap_sounds(&own, 1.3, speed(3.5)).unwrap();
        let sure = GapSounds { right_p: 0.75, too_close_p: 0.15, too_far_p: 0.1, ..sounds };
        assert!(words.say(&sure.message().unwrap()).contains("right (75 %)"));
    }

    /// Statements made, those that were true, and the mean of what they said of themselves.
    #[derive(Default)]
    struct Score {
        drawn: f64,
        made: f64,
        held: f64,
        stated: f64,
    }

    impl Score {
        fn take(&mut self, sounds: &GapSounds, true_off_ln: f64) {
            self.drawn += 1.0;
            let Some((verdict, p)) = sounds.likely() else { return };
            let truth = match () {
                () if true_off_ln < -TOLERANCE_LN => Verdict::TooClose,
                () if true_off_ln > TOLERANCE_LN => Verdict::TooFar,
                () => Verdict::Right,
            };
            self.made += 1.0;
            self.stated += p;
            self.held += f64::from(u8::from(verdict == truth));
        }

        /// Share of runs with a statement, share of statements that held, and what they said.
        fn shares(&self) -> (f64, f64, f64) {
            (self.made / self.drawn, self.held / self.made, self.stated / self.made)
        }
    }

    #[test]
    fn stated_probabilities_hold_for_children_drawn_from_the_model() {
        let mut seeded = Seeded(11);
        let mut tenths = vec![(0.0, 0.0, 0.0); 10];
        let mut ranges = (0.0, 0.0);
        let mut score = Score::default();
        for runner in [child(130.0, None), child(145.0, Some(11.0)), child(165.0, Some(14.5))] {
            let own = own(&runner);
            for _ in 0..6000 {
                let heard = speed((0.5 + 0.35 * seeded.uniform()) * own.v_max_mps);
                let gap_m = usual_gap_m(&own, 0.6 * own.v_max_mps) * libm::exp(0.15 * seeded.normal());
                let speed_mps = heard.speed_mps * libm::exp(heard.sd_ln * seeded.normal());
                let leg_m = own.leg_m * libm::exp(own.leg_sd_ln * seeded.normal());
                let v_max_mps = own.v_max_mps * libm::exp(own.v_max_sd_ln * seeded.normal());
                let own_ln = own.own_ln + own.own_variance.sqrt() * seeded.normal();
                let ln_step = libm::log(speed_mps / cadence_hz(speed_mps, v_max_mps, leg_m)) + own_ln;
                let off = libm::log(gap_m) - ln_step;
                let Some(sounds) = gap_sounds(&own, gap_m, heard) else { continue };
                score.take(&sounds, off);
                for (p, is) in
                    [(sounds.too_close_p, off < -TOLERANCE_LN), (sounds.too_far_p, off > TOLERANCE_LN)]
                {
                    let tenth = &mut tenths[((p * 10.0) as usize).min(9)];
                    *tenth = (tenth.0 + 1.0, tenth.1 + p, tenth.2 + f64::from(u8::from(is)));
                }
                let usual = own.usual_cadence_hz(heard.speed_mps);
                let true_hz = cadence_hz(heard.speed_mps, v_max_mps, leg_m) * libm::exp(-own_ln);
                ranges.0 += 1.0;
                ranges.1 += f64::from(u8::from((usual.low..=usual.high).contains(&true_hz)));
            }
        }
        for (count, stated, held) in &tenths {
            let (p, share) = (stated / count, held / count);
            println!("{count:6} stated {p:.3} held {share:.3}");
            let scatter = (p * (1.0 - p) / count).sqrt();
            assert!(*count > 200.0 && (share - p).abs() < 3.5 * scatter + 0.01, "{p} {share}");
        }
        let (made, held, stated) = score.shares();
        let covered = ranges.1 / ranges.0;
        println!(
            "statements {made:.3}, held {held:.3}, stated {stated:.3}, usual cadence in range {covered:.3}"
        );
        assert!((held - stated).abs() < 0.02 && made > 0.2);
        assert!((covered - 0.90).abs() < 0.015);
    }

    /// The gap in which a girl runs.
    #[derive(Clone, Copy, PartialEq)]
    enum DrawnLane {
        /// The class's, whatever her own step is.
        OfTheClass,
        /// Exactly her own step.
        Own,
        /// The same, and a coach said before that it is right for her.
        OwnAndJudgedRight,
    }

    /// A girl of eleven drawn whole: top speed, cadence and what hurdles change; she runs at an effort, not at a speed
    /// from nowhere, and a free run of hers may have been heard before.
    fn drawn_girls(measured: bool, lane: DrawnLane, seed: u64) -> Score {
        let mut seeded = Seeded(seed);
        let plain = child(145.0, Some(11.0));
        let before = own(&plain);
        let mut score = Score::default();
        for _ in 0..2000 {
            let v_max_mps = before.v_max_mps * libm::exp(before.v_max_sd_ln * seeded.normal());
            let leg_m = before.leg_m * libm::exp(before.leg_sd_ln * seeded.normal());
            let cadence_ln = CADENCE_SD_LN * seeded.normal();
            let hurdles_ln = HURDLE_SD_LN * seeded.normal();
            let step_m =
                |speed_mps: f64, ln: f64| speed_mps / cadence_hz(speed_mps, v_max_mps, leg_m) * libm::exp(ln);
            let mut runner = plain.clone();
            if measured {
                let speed_mps = 0.75 * v_max_mps * libm::exp(0.10 * seeded.normal());
                let step_m = step_m(speed_mps, cadence_ln + TRIAL_SD_LN * seeded.normal());
                let time_s = 20.0 / speed_mps + STOPWATCH_SD_S * seeded.normal();
                let cadence = speed_mps / step_m + 0.02 * seeded.normal();
                runner.steps.push(StrideObservation::TimedRun {
                    distance_m: 20.0,
                    steps: (cadence * time_s).round() as u32,
                    time_s: Some(time_s),
                    effort: 0.75,
                    cadence_hz: Some(cadence),
                    cadence_sd_hz: Some(0.02),
                });
            }
            let speed_mps = 0.65 * v_max_mps * libm::exp(0.10 * seeded.normal());
            let heard = speed(speed_mps * libm::exp(0.03 * seeded.normal()));
            let own_m = step_m(speed_mps, cadence_ln + hurdles_ln);
            let lane_m = usual_gap_m(&before, 0.6 * before.v_max_mps) * libm::exp(0.12 * seeded.normal());
            let gap_m = if lane == DrawnLane::OfTheClass { lane_m } else { own_m };
            if lane == DrawnLane::OwnAndJudgedRight {
                let drill = DrillId("alternate-run".into());
                runner.steps.push(StrideObservation::Trial { drill, gap_m, verdict: Verdict::Right });
            }
            if let Some(sounds) = gap_sounds(&own(&runner), gap_m, heard) {
                score.take(&sounds, libm::log(gap_m / own_m));
            }
        }
        score
    }

    #[test]
    fn statements_hold_as_often_as_they_say_for_girls_who_run_at_an_effort() {
        for measured in [false, true] {
            let (made, held, stated) = drawn_girls(measured, DrawnLane::OfTheClass, 5).shares();
            println!("measured {measured}: statements {made:.3}, held {held:.3}, stated {stated:.3}");
            assert!(held > stated - 0.04 && made > 0.2, "{measured} {made} {held} {stated}");
        }
    }

    #[test]
    fn in_lanes_that_fit_exactly_the_more_was_seen_the_less_is_said() {
        let share = |measured, lane| drawn_girls(measured, lane, 6).shares().0;
        let shares = [
            share(false, DrawnLane::Own),
            share(true, DrawnLane::Own),
            share(false, DrawnLane::OwnAndJudgedRight),
            share(true, DrawnLane::OwnAndJudgedRight),
        ];
        println!("lanes that fit exactly: statements {shares:.3?}");
        assert!(shares[0] < 0.30 && shares[1] < shares[0] && shares[3] < shares[1] && shares[2] < shares[0]);
    }
}
