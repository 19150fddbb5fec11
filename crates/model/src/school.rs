//! The school as the records describe it.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde_json::Value;

use crate::kit::{Kit, Space};
use crate::record::{
    Body, BoutCorrectionBody, ClockCheckBody, ImportBody, LaneWishBody, Measured, PairWishBody,
    PlanChoiceBody, RunCorrectionBody, RunSound, RunnerAboutBody, SheetLane, StandingLanesBody, StretchBody,
    TimingCorrectionBody,
};
use crate::run::{Observation, Run, Sweep};
use crate::runner::{Age, Presence, Runner, RunnerId};
use crate::timing::{Attempt, BoutView, TimingView, attempts, check_marks};

/// Everything that the current records say, ready to show and to compute with.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct School {
    /// Classes by id.
    pub classes: BTreeMap<String, ClassView>,
    /// The bag of hurdles, when one was entered.
    pub kit: Option<Kit>,
    /// The floor, when one was entered.
    pub space: Option<Space>,
    /// Comparisons of the devices' clocks with the server's.
    pub clock_checks: Vec<ClockCheckBody>,
}

/// One class with its children and wishes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ClassView {
    /// Name such as `7 Larch`.
    pub name: String,
    /// Children in the order of the list.
    pub runners: Vec<RunnerView>,
    /// Who should share a lane and who should not.
    pub pairs: Vec<(String, PairWishBody)>,
    /// What is asked of the lanes.
    pub choice: PlanChoiceBody,
    /// Class lists that were read in.
    pub imports: Vec<(String, ImportBody)>,
    /// Runner ids by size, tallest first, when the class was lined up.
    pub line_up: Vec<String>,
    /// Runs as they stand after corrections, oldest first.
    pub runs: Vec<RunView>,
    /// Sweeps, oldest first: record id and what was seen.
    pub sweeps: Vec<(String, Sweep)>,
    /// Stretches on which times are taken, by record id.
    pub stretches: BTreeMap<String, StretchBody>,
    /// Presses and typed times as they stand after corrections, oldest first by the clocks of their devices.
    pub timings: Vec<TimingView>,
    /// Bouts as they stand after corrections, oldest first.
    pub bouts: Vec<BoutView>,
    /// Today's lanes as they were given out; empty when they were not.
    pub lane_sheet: Vec<SheetLane>,
    /// Today's lanes as they stand since something was recorded in them; `None` before that.
    pub standing: Option<StandingLanesBody>,
}

/// One run with its history.
#[derive(Debug, Clone, PartialEq)]
pub struct RunView {
    /// Record id of the run.
    pub id: String,
    /// The run as it stands now.
    pub run: Run,
    /// Record id of the correction that counts, when there is one.
    pub correction: Option<String>,
    /// What a device heard of it.
    pub sound: Option<Box<RunSound>>,
}

impl ClassView {
    /// Returns everything seen in this class's lanes, ready for the computations.
    pub fn observations(&self) -> Vec<Observation> {
        let runs = self.runs.iter().map(|view| Observation::Run(view.run.clone()));
        let bouts = self.bouts.iter().flat_map(|view| view.facts.observations());
        runs.chain(self.sweeps.iter().map(|(_, sweep)| Observation::Sweep(sweep.clone())))
            .chain(bouts)
            .collect()
    }

    /// Returns who ran through a stretch and in what time, oldest first, and presses at marks whose start is not known.
    pub fn attempts(&self, checks: &[ClockCheckBody]) -> (Vec<Attempt>, Vec<TimingView>) {
        attempts(&self.timings, &self.stretches, checks)
    }
}

/// One child with what is known and what holds today.
#[derive(Debug, Clone, PartialEq)]
pub struct RunnerView {
    /// What is known.
    pub runner: Runner,
    /// What the child does today.
    pub presence: Presence,
    /// Which lanes it may run in.
    pub wish: LaneWishBody,
    /// Measurement records that count, oldest first: record id, day, what.
    pub measurements: Vec<(String, Option<Date>, Measured)>,
}

impl School {
    /// Folds records into a school. `today` decides whose presence still holds.
    ///
    /// The order of the records does not matter, except that measurements are taken in the order of their ids
    /// within one day (ids made on the device sort by time). Bodies that cannot be read are passed over.
    pub fn from_records<'a>(
        records: impl IntoIterator<Item = (&'a str, &'a str, &'a Value)>,
        today: Date,
    ) -> Self {
        let mut bodies: BTreeMap<(String, String), Body> = BTreeMap::new();
        for (kind, id, value) in records {
            if let Ok(Some(body)) = Body::from_value(kind, value) {
                bodies.insert((kind.to_owned(), id.to_owned()), body);
            }
        }
        let mut school = School::default();
        for ((_, id), body) in &bodies {
            match body {
                Body::Class(class) if !class.gone => {
                    school.classes.entry(id.clone()).or_default().name = class.name.clone();
                }
                Body::Kit(kit) if !kit.gone => school.kit = Some(kit.kit.clone()),
                Body::Space(space) if !space.gone => school.space = Some(space.space.clone()),
                Body::ClockCheck(check) if !check.void && (0.0..).contains(&check.error_ms) => {
                    school.clock_checks.push(check.clone());
                }
                _ => {}
            }
        }
        let mut measurements: BTreeMap<String, Vec<(String, Option<Date>, Measured)>> = BTreeMap::new();
        // Ids rise with time, so of several corrections of one run the one made last stays.
        let mut corrections: BTreeMap<&str, (&String, &RunCorrectionBody)> = BTreeMap::new();
        let mut timing_corrections: BTreeMap<&str, (&String, &TimingCorrectionBody)> = BTreeMap::new();
        let mut stretch_corrections: BTreeMap<&str, Vec<&StretchBody>> = BTreeMap::new();
        let mut bout_corrections: BTreeMap<&str, (&String, &BoutCorrectionBody)> = BTreeMap::new();
        for ((_, id), body) in &bodies {
            match body {
                Body::RunCorrection(body) if !body.void => {
                    corrections.insert(&body.of, (id, body));
                }
                Body::TimingCorrection(body) if !body.void => {
                    timing_corrections.insert(&body.of, (id, body));
                }
                Body::BoutCorrection(body) if !body.void => {
                    bout_corrections.insert(&body.of, (id, body));
                }
                Body::Stretch(body) if !body.void && check_marks(&body.marks).is_ok() => {
                    if let Some(of) = &body.of {
                        stretch_corrections.entry(of).or_default().push(body);
                    }
                }
                _ => {}
            }
        }
        for ((_, id), body) in &bodies {
            match body {
                Body::Run(body) if !body.void => {
                    let Some(class) = school.classes.get_mut(&body.class) else { continue };
                    let correction = corrections.get(id.as_str());
                    let facts = match correction {
                        None => Some(&body.run),
                        Some((_, correction)) => correction.run.as_ref(),
                    };
                    if let Some(run) = facts.and_then(|facts| facts.to_run(&body.class)) {
                        let correction = correction.map(|(id, _)| (*id).clone());
                        let sound = body.sound.clone();
                        class.runs.push(RunView { id: id.clone(), run, correction, sound });
                    }
                }
                Body::Sweep(body) if !body.void => {
                    let Some(class) = school.classes.get_mut(&body.class) else { continue };
                    let Ok(at) = jiff::Timestamp::from_millisecond(body.at_ms) else { continue };
                    let sweep = Sweep {
                        runner: body.runner.clone(),
                        drill: body.drill.0.clone(),
                        lane: body.lane.clone(),
                        class: Some(body.class.clone()),
                        at,
                        got_it: body.got_it,
                    };
                    class.sweeps.push((id.clone(), sweep));
                }
                Body::Stretch(body)
                    if !body.void && body.of.is_none() && check_marks(&body.marks).is_ok() =>
                {
                    let Some(class) = school.classes.get_mut(&body.class) else { continue };
                    let mut stretch = body.clone();
                    // Times refer to marks by number, so a correction has as many.
                    let mut rights = stretch_corrections.get(id.as_str()).into_iter().flatten();
                    if let Some(right) = rights.rfind(|right| right.marks.len() == body.marks.len()) {
                        stretch.marks.clone_from(&right.marks);
                        (stretch.start, stretch.run_up_m) = (right.start, right.run_up_m);
                    }
                    class.stretches.insert(id.clone(), stretch);
                }
                Body::Timing(body) if !body.void => {
                    let Some(class) = school.classes.get_mut(&body.class) else { continue };
                    let (correction, facts) = match timing_corrections.get(id.as_str()) {
                        None => (None, Some(&body.timing)),
                        Some((id, correction)) => (Some((*id).clone()), correction.timing.as_ref()),
                    };
                    if let Some(facts) = facts.cloned() {
                        class.timings.push(TimingView { id: id.clone(), facts, correction });
                    }
                }
                Body::Bout(body) if !body.void => {
                    let Some(class) = school.classes.get_mut(&body.class) else { continue };
                    let (correction, facts) = match bout_corrections.get(id.as_str()) {
                        None => (None, Some(&body.bout)),
                        Some((id, correction)) => (Some((*id).clone()), correction.bout.as_ref()),
                    };
                    if let Some(facts) = facts.filter(|facts| facts.check().is_ok()).cloned() {
                        class.bouts.push(BoutView { id: id.clone(), facts, correction });
                    }
                }
                Body::Measurement(measurement) if !measurement.void => {
                    measurements.entry(measurement.runner.clone()).or_default().push((
                        id.clone(),
                        measurement.on,
                        measurement.measured.clone(),
                    ));
                }
                Body::PairWish(pair) if !pair.void => {
                    if let Some(class) = school.classes.get_mut(&pair.class) {
                        class.pairs.push((id.clone(), pair.clone()));
                    }
                }
                Body::PlanChoice(choice) => {
                    if let Some(class) = school.classes.get_mut(id) {
                        class.choice = choice.clone();
                    }
                }
                Body::Import(import) if !import.void => {
                    if let Some(class) = school.classes.get_mut(&import.class) {
                        class.imports.push((id.clone(), import.clone()));
                    }
                }
                Body::LaneSheet(sheet) if sheet.on == today => {
                    if let Some(class) = school.classes.get_mut(id) {
                        class.lane_sheet = sheet.lanes.clone();
                    }
                }
                Body::StandingLanes(standing) if standing.on == today && !standing.lanes.is_empty() => {
                    if let Some(class) = school.classes.get_mut(id) {
                        class.standing = Some(standing.clone());
                    }
                }
                Body::LineUp(line_up) => {
                    if let Some(class) = school.classes.get_mut(id) {
                        class.line_up = line_up.order.clone();
                    }
                }
                _ => {}
            }
        }
        let mut lists: BTreeMap<String, Vec<(u32, RunnerView)>> = BTreeMap::new();
        for ((kind, id), body) in &bodies {
            let Body::RunnerLabel(label) = body else { continue };
            debug_assert_eq!(kind, "runner-label");
            if label.gone {
                continue;
            }
            let mut runner = Runner::named(id.clone(), label.label.clone());
            if let Some(Body::RunnerAbout(about)) = bodies.get(&("runner-about".into(), id.clone())) {
                runner.sex = about.sex;
                runner.age = age_of(about);
            }
            let mut measured = measurements.remove(id).unwrap_or_default();
            measured.sort_by(|a, b| (a.1, &a.0).cmp(&(b.1, &b.0)));
            for (_, on, what) in &measured {
                match what {
                    Measured::Stature { stature_cm } => {
                        if let (Some(before_cm), Some(before)) = (runner.stature_cm, runner.stature_date) {
                            runner.stature_before = Some((before_cm, before));
                        }
                        runner.stature_cm = Some(*stature_cm);
                        runner.stature_date = *on;
                    }
                    Measured::LegLength { leg_length_cm } => runner.leg_length_cm = Some(*leg_length_cm),
                    Measured::Steps { observation } => runner.steps.push(observation.clone()),
                }
            }
            let presence = match bodies.get(&("today".into(), id.clone())) {
                Some(Body::Today(body)) if body.on == today => body.presence,
                _ => Presence::Present,
            };
            let wish = match bodies.get(&("lane-wish".into(), id.clone())) {
                Some(Body::LaneWish(wish)) => wish.clone(),
                _ => LaneWishBody::default(),
            };
            lists
                .entry(label.class.clone())
                .or_default()
                .push((label.order, RunnerView { runner, presence, wish, measurements: measured }));
        }
        for class in school.classes.values_mut() {
            class.runs.sort_by(|a, b| (a.run.at, &a.id).cmp(&(b.run.at, &b.id)));
            class.sweeps.sort_by(|a, b| (a.1.at, &a.0).cmp(&(b.1.at, &b.0)));
            class.timings.sort_by(|a, b| (a.facts.at_ms(), &a.id).cmp(&(b.facts.at_ms(), &b.id)));
            class.bouts.sort_by(|a, b| (a.facts.at_ms, &a.id).cmp(&(b.facts.at_ms, &b.id)));
        }
        for (class_id, mut list) in lists {
            let Some(class) = school.classes.get_mut(&class_id) else { continue };
            list.sort_by(|a, b| (a.0, &a.1.runner.id).cmp(&(b.0, &b.1.runner.id)));
            class.runners = list.into_iter().map(|(_, view)| view).collect();
            let line: Vec<&String> = class
                .line_up
                .iter()
                .filter(|id| class.runners.iter().any(|view| view.runner.id.0 == **id))
                .collect();
            let size = line.len() as u32;
            let places: BTreeMap<RunnerId, u32> =
                line.iter().zip(1..).map(|(id, place)| (RunnerId((*id).clone()), place)).collect();
            for view in &mut class.runners {
                view.runner.line_up = places.get(&view.runner.id).map(|place| (*place, size));
            }
        }
        school
    }
}

fn age_of(about: &RunnerAboutBody) -> Option<Age> {
    match (about.birth_date, about.age_y) {
        (Some(born), _) => Some(Age::Born(born)),
        (None, Some(age_y)) => Some(Age::Years { age_y, on: about.age_on }),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn presence_holds_for_one_day_only() {
        let day = jiff::civil::date(2026, 3, 2);
        let records = [
            ("class", "c", json!({"name": "7 Larch"})),
            ("runner-label", "r", json!({"class": "c", "label": "Ada"})),
            ("today", "r", json!({"on": "2026-03-02", "presence": "helping"})),
        ];
        let fold = |today| {
            School::from_records(records.iter().map(|(kind, id, body)| (*kind, *id, body)), today).classes["c"]
                .runners[0]
                .presence
        };
        assert_eq!(fold(day), Presence::Helping);
        assert_eq!(fold(day.tomorrow().unwrap()), Presence::Present);
    }

    #[test]
    fn later_stature_counts_and_the_one_before_is_kept_for_growth() {
        let stature = |on: &str, cm: f64| json!({"runner": "r", "on": on, "measured": {"kind": "stature", "stature_cm": cm}});
        let records = [
            ("class", "c", json!({"name": "7 Larch"})),
            ("runner-label", "r", json!({"class": "c", "label": "Ada"})),
            ("measurement", "m2", stature("2026-03-02", 142.0)),
            ("measurement", "m1", stature("2025-09-01", 139.0)),
        ];
        let school = School::from_records(
            records.iter().map(|(kind, id, body)| (*kind, *id, body)),
            jiff::civil::date(2026, 3, 2),
        );
        let runner = &school.classes["c"].runners[0].runner;
        assert_eq!(runner.stature_cm, Some(142.0));
        assert_eq!(runner.stature_before.map(|(cm, _)| cm), Some(139.0));
    }

    #[test]
    fn a_correction_counts_and_the_first_record_stays() {
        let run = |knocked: &[u32]| {
            json!({
                "runner": "r", "drill": "alternate-run", "lane": "A", "at_ms": 1_772_446_445_000i64, "hurdles": 8,
                "knocked": knocked, "setup": "A1",
            })
        };
        let mut records = vec![
            ("class", "c", json!({"name": "7 Larch"})),
            ("run", "r1", json!({"class": "c", "run": run(&[3])})),
            ("run", "r2", json!({"class": "c", "run": run(&[4])})),
            ("run-correction", "k1", json!({"class": "c", "of": "r1", "run": run(&[3, 4])})),
            ("run-correction", "k2", json!({"class": "c", "of": "r2"})),
        ];
        let fold = |records: &[(&str, &str, Value)]| {
            let school = School::from_records(
                records.iter().map(|(kind, id, body)| (*kind, *id, body)),
                jiff::civil::date(2026, 3, 2),
            );
            school.classes["c"].runs.iter().map(|view| view.run.knocked.numbers()).collect::<Vec<_>>()
        };
        assert_eq!(fold(&records), vec![vec![3, 4]]);
        records[3].2["void"] = json!(true);
        records[4].2["void"] = json!(true);
        assert_eq!(fold(&records), vec![vec![3], vec![4]]);
    }

    #[test]
    fn marks_that_were_written_down_wrongly_are_put_right_and_the_first_record_stays() {
        let stretch = |marks: &[f64], of: Option<&str>| {
            let marks: Vec<_> = marks.iter().map(|at_m| json!({"at_m": at_m})).collect();
            json!({"class": "c", "lane": "A", "marks": marks, "at_ms": 1, "of": of})
        };
        let mut records = vec![
            ("class", "c", json!({"name": "c"})),
            ("stretch", "s1", stretch(&[10.0, 20.0], None)),
            ("stretch", "s2", stretch(&[12.0, 20.0], Some("s1"))),
            ("stretch", "s3", stretch(&[12.5, 22.5], Some("s1"))),
            ("stretch", "s4", stretch(&[15.0], Some("s1"))),
        ];
        let at_m = |records: &[(&str, &str, serde_json::Value)]| -> Vec<f64> {
            let records = records.iter().map(|(kind, id, body)| (*kind, *id, body));
            let class = &School::from_records(records, jiff::civil::date(2026, 3, 2)).classes["c"];
            assert_eq!(class.stretches.len(), 1);
            class.stretches["s1"].marks.iter().map(|mark| mark.at_m).collect()
        };
        assert_eq!(
            at_m(&records),
            [12.5, 22.5],
            "the later of two stands; one with fewer marks puts nothing right"
        );
        for record in &mut records[2..] {
            record.2["void"] = json!(true);
        }
        assert_eq!(at_m(&records), [10.0, 20.0], "taken back");
    }

    #[test]
    fn a_corrected_time_and_a_corrected_bout_count_and_their_first_records_stay() {
        let press = |at_ms: i64| json!({"device": "d", "clock_ms": 0, "at_ms": at_ms});
        let start = |runner: &str| {
            json!({
                "stretch": "s", "runner": runner, "error_s": 0.07,
                "timed": {"kind": "start", "press": press(1000)},
            })
        };
        let bout = |turns: u32| {
            json!({
                "lane": "A", "drill": "side-shuttle", "at_ms": 1000, "seconds": 10.0,
                "runners": [{"runner": "r", "turns": turns, "one_step_turns": 2}],
            })
        };
        let mark = json!({
            "stretch": "s", "runner": "q", "error_s": 0.07,
            "timed": {"kind": "mark", "mark": 1, "start": "t1", "press": press(3500)},
        });
        let mut records = vec![
            ("class", "c", json!({"name": "7 Larch"})),
            ("stretch", "s", json!({"class": "c", "marks": [{"at_m": 10.0}], "at_ms": 1})),
            ("timing", "t1", json!({"class": "c", "timing": start("q")})),
            ("timing", "t2", json!({"class": "c", "timing": mark})),
            ("timing-correction", "k1", json!({"class": "c", "of": "t1", "timing": start("r")})),
            ("bout", "b1", json!({"class": "c", "bout": bout(3)})),
            ("bout-correction", "k2", json!({"class": "c", "of": "b1", "bout": bout(4)})),
            ("bout", "b2", json!({"class": "c", "bout": bout(1)})),
        ];
        let fold = |records: &[(&str, &str, Value)]| {
            let school = School::from_records(
                records.iter().map(|(kind, id, body)| (*kind, *id, body)),
                jiff::civil::date(2026, 3, 2),
            );
            let class = &school.classes["c"];
            let (attempts, loose) = class.attempts(&school.clock_checks);
            assert!(loose.is_empty());
            let runner = attempts[0].runner.clone();
            let time_s = attempts[0].marks.first().map(|time| time.time_s);
            let turns: Vec<u32> = class.bouts.iter().map(|view| view.facts.runners[0].turns).collect();
            (runner, time_s, turns)
        };
        // A bout with more one-step turns than turns is passed over.
        assert_eq!(fold(&records), ("r".into(), Some(Ok(2.5)), vec![4]));
        records[4].2["void"] = json!(true);
        records[6].2["void"] = json!(true);
        assert_eq!(fold(&records), ("q".into(), Some(Ok(2.5)), vec![3]));
    }
}
