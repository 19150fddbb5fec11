//! What a heard run says of a child's steps: a free run becomes a measurement, and over hurdles it is said whether the
//! gap sounds too close or too far for this child. The coach looks and decides; nothing here is saved by itself.

use jiff::civil::Date;
use lanewright_listen::{Findings, Lane};
use lanewright_model::words::Units;
use lanewright_model::{Arg, DrillId, Ladder, Message, Runner, StrideObservation, Verdict};
use lanewright_science::stride::{cadence_sd_hz, gap_sounds, heard_speed, own_steps};

use super::entry::{self, Bare};

/// Shortest and longest stretch of a free run, in metres. Over less than ten a watch in the hand is off by a tenth
/// (engineering assumption).
pub const STRETCH_M: (f64, f64) = (10.0, 120.0);
/// Speeds outside this range, in metres a second, are slips of the thumb: walking, and faster than anybody runs.
const SPEED_MPS: (f64, f64) = (1.0, 11.0);
/// The same of steps, in metres.
const STEP_M: (f64, f64) = (0.3, 3.0);
/// From this probability on a guessed count of the hurdles is sure enough to speak of the gap. Engineering
/// assumption, as for knocks that are put down to one hurdle.
const COUNTED_P: f64 = 0.8;

// A free run

/// The field in which something has to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    /// The distance.
    Distance,
    /// The time.
    Time,
}

/// Returns the cadence of a take and its standard deviation, in steps a second; `None` where it does not carry one.
pub fn cadence_of(found: &Findings) -> Option<(f64, f64)> {
    let range = found.cadence_hz.filter(|_| found.reason.is_none())?;
    Some((range.value, cadence_sd_hz(range.value, range.low, range.high)?))
}

/// Returns the observation of a free run that was heard, from the distance and the time that the coach wrote down and
/// the effort that was asked for, as a share of top speed.
///
/// # Errors
/// The field that has to change, and a sentence that names it and says how.
pub fn free_run(
    (cadence_hz, cadence_sd_hz): (f64, f64),
    distance: &str,
    time: &str,
    effort: f64,
    units: Units,
) -> Result<StrideObservation, (Entry, Message)> {
    let wrong = |field: Entry, what: Message| {
        let id = match field {
            Entry::Distance => "heard-distance-wrong",
            Entry::Time => "heard-time-wrong",
        };
        (field, Message::new(id).with("what", Arg::Say(Box::new(what))))
    };
    let distance_m = entry::length_within_m(distance, Bare::Large, units, STRETCH_M.0, STRETCH_M.1)
        .map_err(|what| wrong(Entry::Distance, what))?;
    if time.trim().is_empty() {
        return Err((Entry::Time, Message::new("heard-time-missing")));
    }
    let time_s = entry::number(time).map_err(|what| wrong(Entry::Time, what))?;
    let speed_mps = distance_m / time_s;
    if !(SPEED_MPS.0..=SPEED_MPS.1).contains(&speed_mps) {
        return Err((Entry::Time, wrong(Entry::Time, Message::new("app-time-range")).1));
    }
    let step_m = speed_mps / cadence_hz;
    if !(STEP_M.0..=STEP_M.1).contains(&step_m) {
        let what = Message::new("heard-step-range")
            .with("cadence", Arg::Decimals(cadence_hz, 1))
            .with("step", Arg::GapM(step_m));
        return Err(wrong(Entry::Time, what));
    }
    Ok(StrideObservation::TimedRun {
        distance_m,
        steps: libm::round(cadence_hz * time_s).max(1.0) as u32,
        time_s: Some(time_s),
        effort,
        cadence_hz: Some(cadence_hz),
        cadence_sd_hz: Some(cadence_sd_hz),
    })
}

// A run over hurdles

/// A judgement of the gap that the coach may agree to.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Runner id.
    pub runner: String,
    /// The drill that was run.
    pub drill: DrillId,
    /// The gap that stood, in metres.
    pub gap_m: f64,
    /// How it sounds.
    pub verdict: Verdict,
    /// The sentence, with its figures.
    pub said: Message,
}

/// What is said of the gap.
#[derive(Debug, Clone, PartialEq)]
pub enum GapSaid {
    /// One judgement is likely enough.
    Likely(Judged),
    /// The hurdles are counted, and too few gaps are heard well enough.
    NotEnough,
}

/// Returns what a run over hurdles says of the gap for a child of the class; nothing where no judgement is likely
/// enough, where the hurdles are not counted for sure, and for drills whose gap is not one running step.
pub fn gap_heard(
    found: &Findings,
    lane: &Lane,
    drill: &DrillId,
    (class, runner): (&[Runner], &str),
    ladder: &Ladder,
    today: Date,
) -> Option<GapSaid> {
    let place = class.iter().position(|other| other.id.0 == runner)?;
    let own = own_steps(class, ladder.get(&drill.0)?, ladder, today)?[place];
    let counted = lane.first_crossing_s.is_some() || found.alignment_p.is_some_and(|p| p >= COUNTED_P);
    if found.reason.is_some() || !counted || found.crossings_s.is_empty() {
        return None;
    }
    let gaps: Vec<(f64, f64, f64)> =
        found.gaps.iter().map(|gap| (gap.speed_mps, gap.low_mps, gap.high_mps)).collect();
    let Some(speed) = heard_speed(&gaps) else { return Some(GapSaid::NotEnough) };
    let sounds = gap_sounds(&own, lane.spacing_m, speed)?;
    Some(GapSaid::Likely(Judged {
        runner: runner.to_owned(),
        drill: drill.clone(),
        gap_m: lane.spacing_m,
        verdict: sounds.likely()?.0,
        said: sounds.message()?,
    }))
}

#[cfg(test)]
mod tests {
    use lanewright_model::words::Words;
    use lanewright_model::{Age, Sex};

    use super::super::sound::synth::{Plan, make};
    use super::super::sound::{Asked, answer};
    use super::*;

    const RATE: u32 = 16_000;
    const TODAY: Date = jiff::civil::date(2026, 3, 2);

    fn listened(made: &[f32], lane: Option<Lane>) -> Findings {
        let asked = serde_json::to_string(&Asked { lane, own: None }).unwrap();
        serde_json::from_str(&answer(made, RATE, &asked).unwrap()).unwrap()
    }

    /// A girl of eleven and a boy of sixteen.
    fn class() -> Vec<Runner> {
        let runner = |id: &str, sex, age_y, stature_cm| Runner {
            sex: Some(sex),
            age: Some(Age::Years { age_y, on: Some(TODAY) }),
            stature_cm: Some(stature_cm),
            stature_date: Some(TODAY),
            ..Runner::named(id, id)
        };
        vec![runner("girl", Sex::Female, 11.0, 145.0), runner("boy", Sex::Male, 16.0, 178.0)]
    }

    /// Runs over six hurdles at a speed and is listened to, hurdle 1 marked or not.
    fn run(spacing_m: f64, speed_mps: f64, contacts_per_gap: usize, marked: bool) -> (Findings, Lane) {
        let made = make(&Plan {
            hurdles: 6,
            spacing_m,
            contacts_per_gap,
            speed_mps,
            landing_sd_m: 0.01,
            rate_hz: RATE,
            ..Plan::plain(4)
        });
        let first_crossing_s = marked.then_some(made.first_crossing_s);
        let lane = Lane { hurdles: 6, spacing_m, contacts_per_gap, first_crossing_s };
        (listened(&made.samples, Some(lane)), lane)
    }

    fn said(heard: &(Findings, Lane), drill: &str, runner: &str) -> Option<GapSaid> {
        let (found, lane) = heard;
        gap_heard(found, lane, &DrillId(drill.into()), (&class(), runner), &Ladder::built_in(), TODAY)
    }

    #[test]
    fn a_free_run_becomes_a_measurement_that_older_versions_read_as_counted() {
        let made = make(&Plan {
            contacts_per_gap: 1,
            spacing_m: 1.3,
            speed_mps: 4.0,
            rate_hz: RATE,
            ..Plan::plain(9)
        });
        let cadence = cadence_of(&listened(&made.samples, None)).unwrap();
        let steps: Vec<f64> = made.contacts_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let true_hz = steps.len() as f64 / steps.iter().sum::<f64>();
        assert!(
            (cadence.0 / true_hz - 1.0).abs() < 0.02 && cadence.1 > 0.0 && cadence.1 < 0.2,
            "{cadence:?}"
        );
        let run = free_run(cadence, "20", "5,0", 0.75, Units::Metric).unwrap();
        let value = serde_json::to_value(&run).unwrap();
        assert_eq!(value["steps"], (cadence.0 * 5.0).round() as u32);
        assert_eq!((&value["distance_m"], &value["time_s"]), (&20.0.into(), &5.0.into()));
        assert_eq!(serde_json::from_value::<StrideObservation>(value.clone()).unwrap(), run);
        // An older version's reading: the same without what it does not know.
        let mut older = value;
        older.as_object_mut().unwrap().retain(|key, _| !key.starts_with("cadence"));
        let StrideObservation::TimedRun { steps, cadence_hz: None, .. } =
            serde_json::from_value(older).unwrap()
        else {
            panic!("a counted run")
        };
        assert!((20.0 / f64::from(steps) / (4.0 / cadence.0) - 1.0).abs() < 0.05);
    }

    #[test]
    fn a_wrong_entry_is_named_with_its_field_and_what_to_change() {
        let words = Words::english(Units::Metric);
        for (distance, time, field, says) in [
            ("", "5", Entry::Distance, "Distance: "),
            ("5", "2", Entry::Distance, "between 10 m and 120 m"),
            ("twenty", "5", Entry::Distance, "Distance: "),
            ("20", "", Entry::Time, "Time: "),
            ("20", "fast", Entry::Time, "Time: "),
            ("20", "0", Entry::Time, "Check seconds and distance"),
            ("20", "-5", Entry::Time, "Check seconds and distance"),
            ("20", "50", Entry::Time, "Check seconds and distance"),
            ("100", "10", Entry::Time, "steps of 3.33 m"),
        ] {
            let (wrong, message) = free_run((3.0, 0.05), distance, time, 0.6, Units::Metric).unwrap_err();
            let said = words.say(&message);
            assert!(wrong == field && said.to_lowercase().contains(&says.to_lowercase()), "{said}");
        }
        assert!(free_run((3.0, 0.05), "60 ft", "5", 0.6, Units::FeetInches).is_ok());
    }

    #[test]
    fn a_take_without_an_answer_has_no_cadence() {
        assert_eq!(cadence_of(&listened(&vec![0.0; 3 * RATE as usize], None)), None);
    }

    #[test]
    fn a_gap_far_too_close_is_said_for_this_child_and_one_that_fits_is_not() {
        // 3.9 steps a second at 3.5 m/s.
        let close = run(0.90, 3.5, 1, true);
        let Some(GapSaid::Likely(judged)) = said(&close, "alternate-run", "girl") else {
            panic!("{:?}", said(&close, "alternate-run", "girl"))
        };
        assert_eq!((judged.verdict, judged.gap_m, judged.runner.as_str()), (Verdict::TooClose, 0.90, "girl"));
        let words = Words::english(Units::Metric).say(&judged.said);
        assert!(words.contains("steps a second at 3.") && words.contains("too close"), "{words}");
        // For long legs the same lane is far too close as well, the girl's right one only for them.
        let fits = run(1.25, 3.5, 1, true);
        assert_eq!(said(&fits, "alternate-run", "girl"), None);
        let far = run(1.75, 3.5, 1, true);
        let Some(GapSaid::Likely(judged)) = said(&far, "alternate-run", "girl") else { panic!("too far") };
        assert_eq!(judged.verdict, Verdict::TooFar);
    }

    #[test]
    fn nothing_is_said_where_the_gap_is_no_stride_or_the_hurdles_are_not_counted() {
        let close = run(0.90, 3.5, 1, true);
        for drill in ["alternate-walk", "side-run", "dead-leg-run", "two-contact-run", "free-run", "no-drill"]
        {
            assert_eq!(said(&close, drill, "girl"), None, "{drill}");
        }
        assert_eq!(said(&close, "alternate-run", "nobody"), None);
        let guessed = run(0.90, 3.5, 1, false);
        assert!(guessed.0.alignment_p.unwrap() < COUNTED_P, "{:?}", guessed.0.alignment_p);
        assert_eq!(said(&guessed, "alternate-run", "girl"), None);
    }

    #[test]
    fn with_too_few_gaps_heard_it_says_so() {
        let (found, lane) = run(0.90, 3.5, 1, true);
        let few = Findings { gaps: found.gaps[..1].to_vec(), ..found.clone() };
        assert_eq!(said(&(few, lane), "alternate-run", "girl"), Some(GapSaid::NotEnough));
        let silent = Findings { crossings_s: Vec::new(), gaps: Vec::new(), ..found };
        assert_eq!(said(&(silent, lane), "alternate-run", "girl"), None);
    }
}
