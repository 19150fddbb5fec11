//! Size: stature where it is missing, leg length, and growth.
//!
//! Every child gets a stature with an honest spread, from the best that is known: a measurement, a place in the
//! line-up, age and sex, age alone, the rest of the class, and at the very least "some schoolchild". The method
//! and its limits are written up in `docs/methods/body.md`.

mod age;
mod growth;
mod leg;
mod line_up;
mod reference;
#[cfg(test)]
mod tests;

use jiff::civil::Date;
use lanewright_model::words::{Arg, Message};
use lanewright_model::{Estimate, Runner, Sex};

pub use age::{AgeNow, age_on};
pub use growth::{
    FAST_BOYS_CM_PER_Y, FAST_GIRLS_CM_PER_Y, Growth, Pace, READING_SD_CM, SHORTEST_INTERVAL_DAYS,
    SPURT_AGES_Y, growth,
};
pub use leg::{
    HIP_OVER_SUB_ISCHIAL, LEG_FROM_STATURE_SD_LN, TAPED_LEG_SD_LN, age_that_suits_y, leg_length_m,
    sitting_height_ratio, usual_leg_length_m,
};
pub use reference::{Lms, Reference, lms, usual};

use crate::normal;
use age::{DAYS_PER_YEAR, days_between};

/// Name and version of the method behind every estimate of this module.
pub const METHOD: &str = "body/1";

/// Statures outside this range (in centimetres) are not used; the import refuses them.
pub const STATURE_RANGE_CM: std::ops::RangeInclusive<f64> = 60.0..=230.0;

/// Spread of a stature taken in class, on the log scale: 6 mm on 150 cm. Engineering assumption.
pub const MEASURED_SD_LN: f64 = 0.004;

/// Spread that a growing child's stature gains per year since it was measured, when the usual growth can be added:
/// about 1.5 cm a year between children. Engineering assumption.
const GROWN_SD_LN_PER_Y: f64 = 0.010;

/// The same when age is unknown and no growth can be added.
const GROWN_UNKNOWN_SD_LN_PER_Y: f64 = 0.030;

/// An undated stature counts as this old, in years. Engineering assumption: class lists are renewed every year.
const UNDATED_Y: f64 = 0.5;

/// Age in years from which nobody grows any more.
const GROWN_UP_AGE_Y: f64 = 19.0;

/// How far a whole class may lie from the growth reference, as a standard deviation of ln stature: medians of
/// national references differ from the WHO's by up to 3 %.
const CLASS_SHIFT_SD_LN: f64 = 0.02;

/// A schoolchild of whom nothing is known: 150 cm, with nine in ten between 119 and 189.
const UNKNOWN_MEDIAN_CM: f64 = 150.0;
const UNKNOWN_SD_LN: f64 = 0.14;

/// The prior spread inside a class counts as much as this many children. Engineering assumption.
const CLASS_SPREAD_WEIGHT: f64 = 4.0;

/// A stature further than this from the usual one, in standard deviations, is worth a second look.
pub const SURPRISING_Z: f64 = 3.5;

/// A taped leg further than this from what stature suggests, in standard deviations, is taken for a mistake.
const SURPRISING_LEG_Z: f64 = 4.0;

/// What a stature rests on, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SizeBasis {
    /// Measured.
    Measured,
    /// Place in a line-up of which some were measured, or whose ages are known.
    LineUp,
    /// A taped leg.
    LegLength,
    /// The growth reference for age and sex.
    AgeAndSex,
    /// The growth reference for age, both sexes together.
    Age,
    /// The other children of the class.
    Class,
    /// Nothing at all.
    Nothing,
}

/// One child's size today.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Stature in centimetres.
    pub stature_cm: Estimate,
    /// ln of median stature in centimetres.
    pub stature_mu_ln: f64,
    /// Standard deviation of ln stature.
    pub stature_sd_ln: f64,
    /// What the stature rests on.
    pub basis: SizeBasis,
    /// Sub-ischial leg length (stature minus sitting height) in metres.
    pub leg_length_m: Estimate,
    /// Age today, when known.
    pub age: Option<AgeNow>,
    /// Growth between the last two statures, when there are two at least four months apart.
    pub growth: Option<Growth>,
    /// What the teacher should know about this child's size.
    pub notices: Vec<Message>,
}

/// Mean and standard deviation of ln stature in centimetres.
#[derive(Debug, Clone, Copy)]
struct LnStature {
    mu: f64,
    sd: f64,
}

/// Returns the size of every child of a class, in the order given.
///
/// Children inform each other: a class that is tall for its age makes its unmeasured children tall too, and a
/// line-up carries the measured statures to its other places.
pub fn class_bodies(runners: &[Runner], today: Date) -> Vec<Body> {
    let ages: Vec<Option<AgeNow>> =
        runners.iter().map(|runner| runner.age.and_then(|age| age_on(age, today))).collect();
    let measured: Vec<Option<LnStature>> =
        runners.iter().zip(&ages).map(|(runner, age)| measured_stature(runner, *age, today)).collect();
    let usual: Vec<Option<LnStature>> = runners
        .iter()
        .zip(&ages)
        .map(|(runner, age)| age.map(|age| usual_stature(runner.sex, age)))
        .collect();
    let usual = shifted_to_class(&usual, &measured);

    let in_line: Vec<usize> = (0..runners.len()).filter(|&index| runners[index].line_up.is_some()).collect();
    let places: Vec<line_up::Place> = in_line
        .iter()
        .map(|&index| {
            let (place, size) = runners[index].line_up.expect("filtered above");
            line_up::Place { place, size, measured: measured[index].map(|stature| (stature.mu, stature.sd)) }
        })
        .collect();
    let ages_in_line: Vec<LnStature> = in_line.iter().filter_map(|&index| usual[index]).collect();
    let level = (!ages_in_line.is_empty()).then(|| {
        let class = ClassLevel::of(&ages_in_line);
        let shift = CLASS_SHIFT_SD_LN;
        (class.mean, (class.mean_variance + shift * shift).sqrt(), class.spread)
    });
    let from_line = line_up::statures(&places, level);
    let mut line: Vec<Option<LnStature>> = vec![None; runners.len()];
    for (&index, found) in in_line.iter().zip(&from_line.ln_stature) {
        line[index] = found.map(|(mu, sd)| LnStature { mu, sd });
    }

    let known: Vec<LnStature> =
        (0..runners.len()).filter_map(|index| measured[index].or(line[index]).or(usual[index])).collect();
    let class = ClassLevel::of(&known);
    runners
        .iter()
        .enumerate()
        .map(|(index, runner)| {
            let (mut stature, mut basis) = if let Some(stature) = measured[index] {
                (stature, SizeBasis::Measured)
            } else if let Some(stature) = line[index] {
                (stature, SizeBasis::LineUp)
            } else if let Some(stature) = usual[index] {
                (stature, if runner.sex.is_some() { SizeBasis::AgeAndSex } else { SizeBasis::Age })
            } else if known.is_empty() {
                (class.next_child(), SizeBasis::Nothing)
            } else {
                (class.next_child(), SizeBasis::Class)
            };
            let mut notices = Vec::new();
            let leg = leg_of(runner, ages[index], stature, basis);
            if leg.passed_over {
                notices.push(
                    Message::new("body-leg-length-odd")
                        .text("child", &*runner.label)
                        .with("leg", Arg::HeightCm(runner.leg_length_cm.unwrap_or_default())),
                );
            }
            if leg.taped && basis != SizeBasis::Measured {
                stature = leg.stature;
                if basis != SizeBasis::LineUp {
                    basis = SizeBasis::LegLength;
                }
            }
            if from_line.out_of_order.iter().any(|&position| in_line[position] == index) {
                notices.push(Message::new("body-line-up-out-of-order").text("child", &*runner.label));
            }
            if basis == SizeBasis::Measured {
                notices.extend(surprise(runner, ages[index], today));
            }
            if runner.age.is_some() && ages[index].is_none() {
                notices.push(Message::new("body-age-not-usable").text("child", &*runner.label));
            }
            if basis == SizeBasis::Nothing {
                notices.push(Message::new("body-size-unknown").text("child", &*runner.label));
            }
            let growth = growth::growth_of(runner, ages[index]);
            notices.extend(growth.as_ref().and_then(|growth| growth::notice(runner, growth)));
            let n = u32::from(basis == SizeBasis::Measured);
            Body {
                stature_cm: normal::log_normal_estimate(stature.mu, stature.sd, n, METHOD),
                stature_mu_ln: stature.mu,
                stature_sd_ln: stature.sd,
                basis,
                leg_length_m: normal::log_normal_estimate(leg.mu, leg.sd, u32::from(leg.taped), METHOD),
                age: ages[index],
                growth,
                notices,
            }
        })
        .collect()
}

/// Stature measured earlier, moved to today by the usual growth since.
fn measured_stature(runner: &Runner, age: Option<AgeNow>, today: Date) -> Option<LnStature> {
    let stature_cm = runner.stature_cm.filter(|stature_cm| STATURE_RANGE_CM.contains(stature_cm))?;
    let elapsed_y =
        runner.stature_date.map_or(UNDATED_Y, |date| days_between(date, today).max(0.0) / DAYS_PER_YEAR);
    let (growth_ln, aged_sd) = match age {
        Some(AgeNow { age_y, .. }) => {
            let then_y = age_y - elapsed_y;
            let growing_y = (age_y.min(GROWN_UP_AGE_Y) - then_y).max(0.0);
            let growth_ln = if runner.stature_date.is_some() {
                libm::log(usual_median_cm(runner.sex, age_y) / usual_median_cm(runner.sex, then_y))
            } else {
                0.0
            };
            (growth_ln, GROWN_SD_LN_PER_Y * growing_y)
        }
        None => (0.0, GROWN_UNKNOWN_SD_LN_PER_Y * elapsed_y),
    };
    // A stature from long ago says no less than age and sex alone.
    let most = age.map_or(UNKNOWN_SD_LN, |age| usual_stature(runner.sex, age).sd);
    let sd = (MEASURED_SD_LN * MEASURED_SD_LN + aged_sd * aged_sd).sqrt().min(most);
    Some(LnStature { mu: libm::log(stature_cm) + growth_ln, sd })
}

/// Median stature at an age; geometric mean of both sexes when sex is unknown.
fn usual_median_cm(sex: Option<Sex>, age_y: f64) -> f64 {
    match sex {
        Some(sex) => usual(sex, age_y).m_cm,
        None => (usual(Sex::Female, age_y).m_cm * usual(Sex::Male, age_y).m_cm).sqrt(),
    }
}

/// Stature from age, and sex if known.
fn usual_stature(sex: Option<Sex>, age: AgeNow) -> LnStature {
    let of = |sex| {
        let row = usual(sex, age.age_y);
        let sd_ln = row.sd_ln();
        (libm::log(row.m_cm), sd_ln * sd_ln)
    };
    let (mu, variance) = match sex {
        Some(sex) => of(sex),
        None => normal::mixture_of_two(of(Sex::Female), of(Sex::Male)),
    };
    // Not knowing the birthday spreads stature by growth per year times the spread of age.
    let growth_ln = libm::log(usual_median_cm(sex, age.age_y + 0.5) / usual_median_cm(sex, age.age_y - 0.5));
    let from_age = growth_ln * age.sd_y;
    LnStature { mu, sd: (variance + from_age * from_age).sqrt() }
}

/// Moves the usual statures to where the measured children of the class lie.
fn shifted_to_class(usual: &[Option<LnStature>], measured: &[Option<LnStature>]) -> Vec<Option<LnStature>> {
    let deviations = usual.iter().zip(measured).filter_map(|(usual, measured)| {
        let (usual, measured) = ((*usual)?, (*measured)?);
        Some((measured.mu - usual.mu, usual.sd * usual.sd + measured.sd * measured.sd))
    });
    let (shift, shift_variance) = normal::shared_offset(deviations, CLASS_SHIFT_SD_LN);
    usual
        .iter()
        .map(|stature| {
            stature.map(|stature| LnStature {
                mu: stature.mu + shift,
                sd: (stature.sd * stature.sd + shift_variance).sqrt(),
            })
        })
        .collect()
}

/// Level and spread of a class from what is known of its children.
struct ClassLevel {
    mean: f64,
    mean_variance: f64,
    spread: f64,
}

impl ClassLevel {
    fn of(known: &[LnStature]) -> Self {
        let count = known.len() as f64;
        let plain_mean = known.iter().map(|stature| stature.mu).sum::<f64>() / count.max(1.0);
        let squares: f64 = known
            .iter()
            .map(|stature| (stature.mu - plain_mean) * (stature.mu - plain_mean) + stature.sd * stature.sd)
            .sum();
        let prior = line_up::CLASS_SD_LN * line_up::CLASS_SD_LN;
        let freedom = CLASS_SPREAD_WEIGHT + (count - 1.0).max(0.0);
        let variance = (CLASS_SPREAD_WEIGHT * prior + squares) / freedom;
        let prior_mean = libm::log(UNKNOWN_MEDIAN_CM);
        let deviations = known.iter().map(|stature| (stature.mu - prior_mean, variance));
        let (offset, mean_variance) = normal::shared_offset(deviations, UNKNOWN_SD_LN);
        Self { mean: prior_mean + offset, mean_variance, spread: variance.sqrt() }
    }

    /// A further child of the class.
    fn next_child(&self) -> LnStature {
        LnStature { mu: self.mean, sd: (self.spread * self.spread + self.mean_variance).sqrt() }
    }
}

/// ln leg length in metres, and what a taped leg says about stature.
struct Leg {
    mu: f64,
    sd: f64,
    stature: LnStature,
    taped: bool,
    passed_over: bool,
}

fn leg_of(runner: &Runner, age: Option<AgeNow>, stature: LnStature, basis: SizeBasis) -> Leg {
    let age_y = match age {
        Some(age) => age.age_y,
        None => age_that_suits_y(libm::exp(stature.mu)),
    };
    let ratio_ln = libm::log(1.0 - sitting_height_ratio(runner.sex, age_y));
    let mu = stature.mu - libm::log(100.0) + ratio_ln;
    let from_stature = stature.sd * stature.sd + LEG_FROM_STATURE_SD_LN * LEG_FROM_STATURE_SD_LN;
    let untaped = Leg { mu, sd: from_stature.sqrt(), stature, taped: false, passed_over: false };
    let Some(taped_cm) = runner.leg_length_cm else { return untaped };
    let passed_over = Leg { passed_over: true, ..untaped };
    if !leg::TAPED_LEG_RANGE_CM.contains(&taped_cm) {
        return passed_over;
    }
    let taped_mu = libm::log(taped_cm / 100.0 / HIP_OVER_SUB_ISCHIAL);
    let taped_variance = TAPED_LEG_SD_LN * TAPED_LEG_SD_LN;
    let expected_sd = (from_stature + taped_variance).sqrt();
    if basis <= SizeBasis::LineUp && (taped_mu - mu).abs() > SURPRISING_LEG_Z * expected_sd {
        return passed_over;
    }
    // Two witnesses of one length: each counts by its precision. The same tape also tells something of stature.
    let gain = from_stature / (from_stature + taped_variance);
    let stature_gain = stature.sd * stature.sd / (from_stature + taped_variance);
    Leg {
        mu: mu + gain * (taped_mu - mu),
        sd: (from_stature * (1.0 - gain)).sqrt(),
        stature: LnStature {
            mu: stature.mu + stature_gain * (taped_mu - mu),
            sd: stature.sd * (1.0 - stature_gain).sqrt(),
        },
        taped: true,
        passed_over: false,
    }
}

/// A stature that is very unusual for the age, for every sex it could be.
fn surprise(runner: &Runner, age: Option<AgeNow>, today: Date) -> Option<Message> {
    let stature_cm = runner.stature_cm?;
    let elapsed_y =
        runner.stature_date.map_or(0.0, |date| days_between(date, today).max(0.0) / DAYS_PER_YEAR);
    let then_y = age?.age_y - elapsed_y;
    let sexes: &[Sex] = match &runner.sex {
        Some(sex) => std::slice::from_ref(sex),
        None => &[Sex::Female, Sex::Male],
    };
    let far = |sex: &Sex| usual(*sex, then_y).z_score(stature_cm).abs() > SURPRISING_Z;
    sexes.iter().all(far).then(|| {
        Message::new("body-stature-surprising")
            .text("child", &*runner.label)
            .with("stature", Arg::HeightCm(stature_cm))
            .with("age", Arg::Count(then_y as i64))
    })
}
