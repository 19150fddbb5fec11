//! Recording at the lane without a screen: whose turn it is, what a tap changes, what a run record says, and how
//! runs from paper are read.

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::drill::Drill;
use lanewright_model::plan::Plan;
use lanewright_model::record::{RunBody, RunCorrectionBody, RunFacts, SweepBody};
use lanewright_model::run::{HurdleSet, LANE_HURDLES_MAX, Leg, Source, Watched, default_setup};
use lanewright_model::school::{ClassView, RunView};
use lanewright_model::{Arg, DrillId, Ladder, Message};
use serde::{Deserialize, Serialize};

/// Most runs that one line of paper may hold for one child: more is a slip of the keyboard.
const PAPER_RUNS_MAX: usize = 40;
/// Faults beside the strip before "More": the key fault and five others.
const FAULTS_AT_HAND: usize = 6;

// Lanes

/// A child in a queue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Child {
    /// Runner id.
    pub id: String,
    /// What the coach calls the child.
    pub name: String,
}

/// A drill as it is run in one lane.
#[derive(Debug, Clone, PartialEq)]
pub struct LaneDrill {
    /// Which drill.
    pub id: DrillId,
    /// Gap between hurdles, in metres.
    pub gap_m: f64,
    /// Effort asked for, as a share of top speed.
    pub effort: f64,
}

/// A lane as it stands today.
#[derive(Debug, Clone, PartialEq)]
pub struct LaneNow {
    /// Letter.
    pub lane: String,
    /// Hurdles in it.
    pub hurdles: u32,
    /// Their height in centimetres; 0 is a floor line.
    pub height_cm: f64,
    /// Drills with hurdles, the main one first.
    pub drills: Vec<LaneDrill>,
    /// Children who run in it today, shortest own gap first: the order of the plan on paper.
    pub children: Vec<Child>,
}

impl LaneNow {
    /// Returns the drill of that id, or the main one.
    pub fn drill(&self, id: Option<&str>) -> Option<&LaneDrill> {
        self.drills.iter().find(|drill| Some(drill.id.0.as_str()) == id).or(self.drills.first())
    }

    /// Returns the name of the lane as it stands: lane, gap and height, as in a run file.
    pub fn setup(&self, gap_m: f64) -> String {
        default_setup(&self.lane, Some(gap_m), Some(self.height_cm))
    }
}

/// Returns the lanes of a plan with who runs in them. `effort` is what was asked of the class.
pub fn lanes_now(plan: &Plan, ladder: &Ladder, effort: f64) -> Vec<LaneNow> {
    let with_hurdles: Vec<&Drill> =
        plan.drills.iter().filter_map(|id| ladder.get(&id.0)).filter(|drill| drill.gap.is_some()).collect();
    plan.lanes
        .iter()
        .map(|lane| {
            let mut runners: Vec<_> = plan.runners.iter().filter(|runner| runner.lane == lane.lane).collect();
            runners.sort_by(|a, b| a.spacing_m.median.total_cmp(&b.spacing_m.median));
            let drills = with_hurdles.iter().map(|drill| {
                let setting = lane.settings.iter().find(|setting| setting.drills.contains(&drill.id));
                LaneDrill {
                    id: drill.id.clone(),
                    gap_m: setting.map_or(lane.spacing_m, |setting| setting.gap_m),
                    // What was asked is a running speed: a walk stays a walk.
                    effort: if drill.walk { drill.effort } else { effort.min(drill.effort_max) },
                }
            });
            LaneNow {
                lane: lane.lane.clone(),
                hurdles: lane.hurdles.clamp(1, LANE_HURDLES_MAX),
                height_cm: lane.hurdle_height_cm,
                drills: drills.collect(),
                children: runners
                    .into_iter()
                    .map(|runner| Child { id: runner.id.0.clone(), name: runner.name.clone() })
                    .collect(),
            }
        })
        .collect()
}

/// Returns the fault ids of a drill: those at hand (the key fault first), and all others after them.
pub fn faults_of(drill: &Drill, all: impl IntoIterator<Item = String>) -> (Vec<String>, Vec<String>) {
    let mut order: Vec<String> = Vec::new();
    for fault in drill.key_fault.iter().chain(&drill.faults).cloned().chain(all) {
        if !order.contains(&fault) {
            order.push(fault);
        }
    }
    let own = drill.key_fault.iter().chain(&drill.faults).count();
    let rest = order.split_off(own.min(FAULTS_AT_HAND).min(order.len()));
    (order, rest)
}

// Whose turn it is

/// Returns the children of a lane in the order in which they come up, next one first.
///
/// `seen` are the runner ids of this lane's runs today, oldest first. The child behind the one recorded last is
/// next; who was not seen within the last round goes before those who were.
pub fn queue(children: &[Child], seen: &[&str]) -> Vec<Child> {
    let size = children.len();
    let last = seen.iter().rev().find_map(|id| children.iter().position(|child| child.id == **id));
    let first = last.map_or(0, |last| last + 1);
    let mut order: Vec<&Child> = (0..size).map(|step| &children[(first + step) % size]).collect();
    let round = &seen[seen.len().saturating_sub(size.saturating_sub(1))..];
    order.sort_by_key(|child| round.contains(&child.id.as_str()));
    order.into_iter().cloned().collect()
}

/// Returns the leg to offer: the other one than in the child's latest run of the drill that names a leg.
pub fn lead_for(runner: &str, drill: &str, runs: &[RunView]) -> Leg {
    let last = runs
        .iter()
        .rev()
        .filter(|view| view.run.runner == runner && view.run.drill == drill)
        .find_map(|view| view.run.lead);
    match last {
        Some(Leg::Left) => Leg::Right,
        Some(Leg::Right) | None => Leg::Left,
    }
}

// What is marked

/// How one hurdle is after the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Row {
    /// It stands.
    #[default]
    Stands,
    /// It fell in this run.
    Down,
    /// It lay there before the run.
    WasDown,
}

impl Row {
    /// Returns what the next tap makes of it.
    pub fn tapped(self) -> Self {
        match self {
            Row::Stands => Row::Down,
            Row::Down => Row::WasDown,
            Row::WasDown => Row::Stands,
        }
    }
}

/// What the coach marked of the run that is being watched.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Marks {
    /// One per hurdle, the first hurdle first.
    pub rows: Vec<Row>,
    /// Fault ids, in the order of the taps.
    pub faults: Vec<String>,
}

impl Marks {
    /// Returns marks for a lane in which everything stands.
    pub fn clear(hurdles: u32) -> Self {
        Self { rows: vec![Row::Stands; hurdles as usize], faults: Vec::new() }
    }

    /// Returns the marks that a run was saved with.
    pub fn of(view: &RunView) -> Self {
        let run = &view.run;
        let rows = (1..=run.hurdles).map(|number| match () {
            () if run.down_before.contains(number) => Row::WasDown,
            () if run.knocked.contains(number) => Row::Down,
            () => Row::Stands,
        });
        Self { rows: rows.collect(), faults: run.faults.clone() }
    }

    /// Takes a tap on a hurdle, counted from 1.
    pub fn tap(&mut self, number: u32) {
        if let Some(row) = (number as usize).checked_sub(1).and_then(|index| self.rows.get_mut(index)) {
            *row = row.tapped();
        }
    }

    /// Takes a tap on a fault.
    pub fn tap_fault(&mut self, fault: &str) {
        match self.faults.iter().position(|other| other == fault) {
            Some(place) => drop(self.faults.remove(place)),
            None => self.faults.push(fault.to_owned()),
        }
    }

    /// Marks as lying before the run what lay after the run before, or takes these marks away again.
    pub fn still_lying(&mut self, lying: HurdleSet, lies: bool) {
        for (row, number) in self.rows.iter_mut().zip(1..) {
            if lying.contains(number) {
                *row = if lies { Row::WasDown } else { Row::Stands };
            }
        }
    }

    /// Returns the numbers of the hurdles in that state.
    pub fn numbers(&self, wanted: Row) -> Vec<u32> {
        self.rows.iter().zip(1..).filter(|(row, _)| **row == wanted).map(|(_, number)| number).collect()
    }

    /// Returns the words of the one big button.
    pub fn verb(&self) -> Message {
        let (down, lay) = (self.numbers(Row::Down).len(), self.numbers(Row::WasDown).len());
        let faults = self.faults.len();
        let count = |number: usize| Arg::Count(number as i64);
        match (down, faults) {
            (0, 0) if lay == 0 => Message::new("trackside-clean"),
            (0, 0) => Message::new("trackside-clean-lay").with("lay", count(lay)),
            (0, _) => Message::new("trackside-save-faults").with("faults", count(faults)),
            (_, 0) => Message::new("trackside-save-down").with("down", count(down)),
            (..) => {
                Message::new("trackside-save-both").with("down", count(down)).with("faults", count(faults))
            }
        }
    }
}

/// Marks of one lane that are not saved yet, with the child they are of: kept while another lane is looked at and over
/// a reload. Ids only, no names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unsaved {
    /// Class id.
    pub class: String,
    /// The day.
    pub on: Date,
    /// Lane letter.
    pub lane: String,
    /// Runner id of the child who was up.
    pub runner: String,
    /// Hurdles of the lane.
    pub hurdles: u32,
    /// Those that fell.
    pub down: Vec<u32>,
    /// Those that lay before.
    pub lay: Vec<u32>,
    /// Fault ids.
    pub faults: Vec<String>,
    /// The leg, where it was looked at.
    pub lead: Option<Leg>,
}

impl Unsaved {
    /// Returns the marks.
    pub fn marks(&self) -> Marks {
        let mut marks = Marks { faults: self.faults.clone(), ..Marks::clear(self.hurdles) };
        for (numbers, state) in [(&self.down, Row::Down), (&self.lay, Row::WasDown)] {
            for number in numbers {
                if let Some(row) =
                    (*number as usize).checked_sub(1).and_then(|place| marks.rows.get_mut(place))
                {
                    *row = state;
                }
            }
        }
        marks
    }
}

/// Puts marks in the place of those of the same lane; marks that say nothing take no place.
pub fn keep_unsaved(kept: &mut Vec<Unsaved>, now: Unsaved) {
    kept.retain(|other| (&other.class, &other.lane) != (&now.class, &now.lane));
    if !(now.down.is_empty() && now.lay.is_empty() && now.faults.is_empty()) {
        kept.push(now);
    }
}

/// Returns the unsaved marks of a lane that still hold: of this day, of a lane as long as it is now, of a child who is
/// in the class.
pub fn unsaved_of<'a>(
    kept: &'a [Unsaved],
    class: &str,
    on: Date,
    lane: &LaneNow,
    is_known: impl Fn(&str) -> bool,
) -> Option<&'a Unsaved> {
    kept.iter().find(|marks| {
        marks.class == class
            && marks.on == on
            && marks.lane == lane.lane
            && marks.hurdles == lane.hurdles
            && is_known(&marks.runner)
    })
}

/// Returns what lies on the floor after a run.
pub fn lying_after(view: &RunView) -> HurdleSet {
    HurdleSet(view.run.knocked.0 | view.run.down_before.0)
}

/// Returns what a run was, in short: `clean`, or what fell and what was seen.
pub fn in_short(knocked: &[u32], lay: usize, faults: &[String]) -> Message {
    let numbers = |numbers: &[u32]| numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let fell = match (knocked.is_empty(), lay) {
        (true, 0) => Message::new("trackside-short-clean"),
        (true, lay) => Message::new("trackside-short-clean-lay").with("lay", Arg::Count(lay as i64)),
        (false, _) => Message::new("trackside-short-down")
            .with("down", Arg::Count(knocked.len() as i64))
            .text("numbers", numbers(knocked)),
    };
    let named = |fault: &String| Message::new(&format!("fault-{fault}"));
    let Some((first, rest)) = faults.split_first() else { return fell };
    let listed = rest.iter().fold(named(first), |said, fault| {
        Message::new("trackside-short-and")
            .with("first", Arg::Say(Box::new(said)))
            .with("fault", Arg::Say(Box::new(named(fault))))
    });
    // "Clean" is said of the hurdles; the technique was not.
    let fell = match fell.id.as_str() {
        "trackside-short-clean" => Message::new("trackside-short-stood"),
        _ => fell,
    };
    Message::new("trackside-short-technique")
        .with("first", Arg::Say(Box::new(fell)))
        .with("faults", Arg::Say(Box::new(listed)))
}

// What is saved

/// What holds for all runs until the coach changes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Watching {
    /// The lane.
    pub lane: LaneNow,
    /// The drill in it.
    pub drill: LaneDrill,
    /// What is looked at.
    pub watched: Watched,
    /// An exit sprint follows the last hurdle.
    pub exit_sprint: bool,
}

impl Watching {
    /// Returns the facts of one run, pressed at `at_ms`. Faults count only when technique is watched.
    /// `lead` is the leg that somebody looked at and named; a leg that was only proposed is none.
    pub fn facts(&self, runner: &str, lead: Option<Leg>, marks: &Marks, at_ms: i64) -> RunFacts {
        RunFacts {
            runner: runner.to_owned(),
            drill: self.drill.id.clone(),
            lane: self.lane.lane.clone(),
            at_ms,
            lead,
            hurdles: self.lane.hurdles,
            knocked: marks.numbers(Row::Down),
            down_before: marks.numbers(Row::WasDown),
            watched: self.watched,
            faults: if self.watched == Watched::Technique { marks.faults.clone() } else { Vec::new() },
            effort: Some(self.drill.effort),
            exit_sprint: self.exit_sprint,
            gap_m: Some(self.drill.gap_m),
            height_cm: Some(self.lane.height_cm),
            setup: self.lane.setup(self.drill.gap_m),
            source: Source::Tap,
        }
    }

    /// Returns the facts of runs that stand on paper, in the order in which they were run: everybody's first run,
    /// then everybody's second. The last one gets the time `now_ms`, each other one millisecond less.
    pub fn facts_of_paper(&self, lines: &[(String, Vec<Vec<u32>>)], now_ms: i64) -> Vec<RunFacts> {
        let rounds = lines.iter().map(|(_, runs)| runs.len()).max().unwrap_or(0);
        let in_order: Vec<(&String, &Vec<u32>)> = (0..rounds)
            .flat_map(|round| {
                lines.iter().filter_map(move |(id, runs)| runs.get(round).map(|fell| (id, fell)))
            })
            .collect();
        let count = in_order.len() as i64;
        in_order
            .into_iter()
            .zip(1..)
            .map(|((id, fell), place)| RunFacts {
                knocked: fell.clone(),
                watched: Watched::Knocks,
                source: Source::Paper,
                ..self.facts(id, None, &Marks::clear(self.lane.hurdles), now_ms - count + place)
            })
            .collect()
    }
}

/// Returns the record of a run.
pub fn run_body(class: &str, run: RunFacts) -> RunBody {
    RunBody { class: class.to_owned(), run, sound: None, void: false, unknown: Default::default() }
}

/// Returns the record that corrects a run: what changes are the marks, the child and the leg. When it was pressed and
/// how the lane stood stay as they were. `None` instead of marks: there was no such run.
pub fn correction_body(
    class: &str,
    of: &str,
    now: &RunFacts,
    corrected: Option<(&str, Option<Leg>, &Marks)>,
) -> RunCorrectionBody {
    let run = corrected.map(|(runner, lead, marks)| RunFacts {
        runner: runner.to_owned(),
        lead,
        knocked: marks.numbers(Row::Down),
        down_before: marks.numbers(Row::WasDown),
        // Whoever names a fault has watched the technique; one that the sound proposed says nothing of the others.
        watched: match marks.faults == now.faults || marks.faults.is_empty() {
            true => now.watched,
            false => Watched::Technique,
        },
        faults: marks.faults.clone(),
        ..now.clone()
    });
    RunCorrectionBody {
        class: class.to_owned(),
        of: of.to_owned(),
        run,
        void: false,
        unknown: Default::default(),
    }
}

/// Returns a run as it stands now in the shape of a record.
pub fn facts_now(view: &RunView) -> RunFacts {
    let run = &view.run;
    RunFacts {
        runner: run.runner.clone(),
        drill: DrillId(run.drill.clone()),
        lane: run.lane.clone(),
        at_ms: run.at.as_millisecond(),
        lead: run.lead,
        hurdles: run.hurdles,
        knocked: run.knocked.numbers(),
        down_before: run.down_before.numbers(),
        watched: run.watched,
        faults: run.faults.clone(),
        effort: run.effort,
        exit_sprint: run.exit_sprint,
        gap_m: run.gap_m,
        height_cm: run.height_cm,
        setup: run.setup.clone(),
        source: run.source,
    }
}

// The whole lane at once

/// What a look at one child gave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Look {
    /// Not looked at: nothing is saved.
    #[default]
    NotSeen,
    /// Got it.
    GotIt,
    /// Not yet.
    NotYet,
}

impl Look {
    /// Returns what the next tap makes of it.
    pub fn tapped(self) -> Self {
        match self {
            Look::NotSeen => Look::GotIt,
            Look::GotIt => Look::NotYet,
            Look::NotYet => Look::NotSeen,
        }
    }
}

/// Returns what was saved of each child in looks at whole lanes since `since_ms`, in one drill: whether it got it in
/// the latest look, and when that was, in milliseconds since 1970.
pub fn looks_saved(class: &ClassView, drill: &DrillId, since_ms: i64) -> BTreeMap<String, (bool, i64)> {
    let looks = class.sweeps.iter().map(|(_, sweep)| sweep);
    looks
        .filter(|sweep| sweep.drill == drill.0 && sweep.at.as_millisecond() >= since_ms)
        .map(|sweep| (sweep.runner.clone(), (sweep.got_it, sweep.at.as_millisecond())))
        .collect()
}

/// Returns the records of a look at a whole lane: one for every child who was seen.
pub fn sweep_bodies(
    class: &str,
    lane: &str,
    drill: &DrillId,
    looks: &[(String, Look)],
    at_ms: i64,
) -> Vec<SweepBody> {
    looks
        .iter()
        .filter(|(_, look)| *look != Look::NotSeen)
        .map(|(runner, look)| SweepBody {
            class: class.to_owned(),
            runner: runner.clone(),
            drill: drill.clone(),
            lane: lane.to_owned(),
            at_ms,
            got_it: *look == Look::GotIt,
            void: false,
            unknown: Default::default(),
        })
        .collect()
}

// Runs from paper

/// Reads one child's line of a helper sheet: `0 34 5` is three runs, a clean one, one in which hurdles 3 and 4 fell,
/// one in which hurdle 5 fell. Runs are parted by spaces, or by `*` or `/` on keyboards without a space. In lanes of
/// more than 9 hurdles the numbers within a run are parted by commas.
///
/// # Errors
/// What to change.
pub fn paper_line(text: &str, hurdles: u32) -> Result<Vec<Vec<u32>>, Message> {
    let tokens = text.split(|letter: char| letter.is_whitespace() || matches!(letter, '*' | '/' | ';'));
    let runs: Vec<Vec<u32>> = tokens
        .filter(|token| !token.is_empty())
        .map(|token| paper_run(token, hurdles))
        .collect::<Result<_, _>>()?;
    if runs.len() > PAPER_RUNS_MAX {
        return Err(Message::new("trackside-paper-too-many").with("most", Arg::Count(PAPER_RUNS_MAX as i64)));
    }
    Ok(runs)
}

fn paper_run(token: &str, hurdles: u32) -> Result<Vec<u32>, Message> {
    let entry = |id: &str| Message::new(id).text("entry", token).with("hurdles", Arg::Count(hurdles.into()));
    if token == "0" || token == "-" {
        return Ok(Vec::new());
    }
    let parts: Vec<String> = if token.contains(',') || hurdles > 9 {
        token.split(',').map(str::to_owned).collect()
    } else {
        token.chars().map(String::from).collect()
    };
    let mut fell: Vec<u32> = Vec::new();
    for part in parts {
        let digits = !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        let number: u32 =
            part.parse().ok().filter(|_| digits).ok_or_else(|| entry("trackside-paper-digits"))?;
        if number == 0 {
            return Err(entry("trackside-paper-zero"));
        }
        if number > hurdles {
            let id = if hurdles > 9 && part.len() > 1 && !token.contains(',') {
                "trackside-paper-commas"
            } else {
                "trackside-paper-range"
            };
            return Err(entry(id).text("number", part));
        }
        if fell.contains(&number) {
            return Err(entry("trackside-paper-twice").text("number", part));
        }
        fell.push(number);
    }
    fell.sort_unstable();
    Ok(fell)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::school::School;
    use serde_json::json;

    fn children(names: &str) -> Vec<Child> {
        names.chars().map(|name| Child { id: name.to_string(), name: name.to_string() }).collect()
    }

    fn order(names: &str, seen: &str) -> String {
        let seen: Vec<String> = seen.chars().map(String::from).collect();
        let seen: Vec<&str> = seen.iter().map(String::as_str).collect();
        queue(&children(names), &seen).into_iter().map(|child| child.name).collect()
    }

    #[test]
    fn the_child_behind_the_last_one_is_next() {
        assert_eq!(order("abcd", ""), "abcd");
        assert_eq!(order("abcd", "a"), "bcda");
        assert_eq!(order("abcd", "abcd"), "abcd");
        assert_eq!(order("abcd", "abcda"), "bcda");
        assert_eq!(order("", ""), "");
        assert_eq!(order("a", "aaa"), "a");
    }

    #[test]
    fn who_was_skipped_in_this_round_goes_before_those_who_ran() {
        assert_eq!(order("abcdefg", "abe"), "fgcdabe");
        assert_eq!(order("abcdefg", "abefg"), "cdabefg");
    }

    #[test]
    fn a_latecomer_is_offered_once_and_then_queues_like_the_others() {
        assert_eq!(order("abcd", "abcabcabc"), "dabc");
        assert_eq!(order("abcd", "abcabcabcd"), "abcd");
    }

    #[test]
    fn a_guest_from_another_lane_does_not_move_the_queue() {
        assert_eq!(order("abcd", "abx"), "cdab");
    }

    #[test]
    fn a_full_lesson_gives_everybody_the_same_number_of_runs() {
        let mut seen = String::new();
        for _ in 0..21 {
            let next = order("abcdefg", &seen).chars().next().unwrap();
            seen.push(next);
        }
        assert_eq!(seen, "abcdefgabcdefgabcdefg");
    }

    fn watching() -> Watching {
        let drill = LaneDrill { id: DrillId("alternate-run".into()), gap_m: 1.25, effort: 0.6 };
        let lane = LaneNow {
            lane: "B".into(),
            hurdles: 8,
            height_cm: 30.0,
            drills: vec![drill.clone()],
            children: children("ab"),
        };
        Watching { lane, drill, watched: Watched::Technique, exit_sprint: false }
    }

    fn views(facts: &[RunFacts]) -> Vec<RunView> {
        let mut records = vec![("class", "c".to_owned(), json!({"name": "7 Larch"}))];
        for (index, facts) in facts.iter().enumerate() {
            let body = serde_json::to_value(run_body("c", facts.clone())).unwrap();
            records.push(("run", format!("r{index:02}"), body));
        }
        let records = records.iter().map(|(kind, id, body)| (*kind, id.as_str(), body));
        School::from_records(records, jiff::civil::date(2026, 3, 2)).classes["c"].runs.clone()
    }

    #[test]
    fn lead_legs_take_turns() {
        let watching = watching();
        let marks = Marks::clear(8);
        let mut runs = Vec::new();
        let mut legs = Vec::new();
        for at_ms in 1..=4 {
            let lead = lead_for("a", "alternate-run", &views(&runs));
            legs.push(lead);
            runs.push(watching.facts("a", Some(lead), &marks, at_ms));
            // Another child and another drill do not disturb the turn.
            runs.push(watching.facts("b", Some(Leg::Left), &marks, at_ms));
            // A run at which nobody looked at the leg neither takes the turn nor gives it away.
            runs.push(watching.facts("a", None, &marks, at_ms));
            let mut other = watching.facts("a", Some(Leg::Left), &marks, at_ms);
            other.drill = DrillId("side-run".into());
            runs.push(other);
        }
        assert_eq!(legs, [Leg::Left, Leg::Right, Leg::Left, Leg::Right]);
    }

    #[test]
    fn a_hurdle_goes_round_stands_down_was_down() {
        let mut marks = Marks::clear(8);
        marks.tap(3);
        assert_eq!((marks.numbers(Row::Down), marks.numbers(Row::WasDown)), (vec![3], vec![]));
        marks.tap(3);
        assert_eq!((marks.numbers(Row::Down), marks.numbers(Row::WasDown)), (vec![], vec![3]));
        marks.tap(3);
        marks.tap(0);
        marks.tap(9);
        assert_eq!(marks, Marks::clear(8));
    }

    #[test]
    fn the_button_says_what_it_will_save() {
        let mut marks = Marks::clear(8);
        assert_eq!(marks.verb().id, "trackside-clean");
        marks.tap(6);
        marks.tap(7);
        assert_eq!(marks.verb(), Message::new("trackside-save-down").with("down", Arg::Count(2)));
        marks.tap_fault("leans-back");
        assert_eq!(marks.verb().id, "trackside-save-both");
        marks.tap(6);
        marks.tap(7);
        assert_eq!(marks.verb().id, "trackside-save-faults");
        marks.tap_fault("leans-back");
        assert_eq!(marks.verb().id, "trackside-clean-lay");
    }

    #[test]
    fn unsaved_marks_come_back_in_their_lane_on_their_day_and_for_their_child_only() {
        let lane = watching().lane;
        let day = jiff::civil::date(2026, 3, 2);
        let unsaved = |letter: &str, down: &[u32]| Unsaved {
            class: "c".into(),
            on: day,
            lane: letter.into(),
            runner: "a".into(),
            hurdles: lane.hurdles,
            down: down.to_vec(),
            lay: vec![5],
            faults: vec!["leans-back".into()],
            lead: Some(Leg::Right),
        };
        let mut kept = Vec::new();
        keep_unsaved(&mut kept, unsaved("B", &[2]));
        keep_unsaved(&mut kept, unsaved("C", &[4]));
        keep_unsaved(&mut kept, unsaved("B", &[3]));
        let text = serde_json::to_string(&kept).unwrap();
        let mut kept: Vec<Unsaved> = serde_json::from_str(&text).unwrap();
        let found = unsaved_of(&kept, "c", day, &lane, |id| id == "a").unwrap();
        let marks = found.marks();
        assert_eq!((marks.numbers(Row::Down), marks.numbers(Row::WasDown)), (vec![3], vec![5]));
        assert_eq!(marks.faults, ["leans-back"]);
        assert_eq!(unsaved_of(&kept, "c", day, &lane, |_| false), None, "the child is gone");
        assert_eq!(unsaved_of(&kept, "c", day.tomorrow().unwrap(), &lane, |_| true), None);
        assert_eq!(unsaved_of(&kept, "k", day, &lane, |_| true), None);
        let longer = LaneNow { hurdles: lane.hurdles + 1, ..lane.clone() };
        assert_eq!(unsaved_of(&kept, "c", day, &longer, |_| true), None);
        // What was saved or taken back leaves nothing behind.
        keep_unsaved(&mut kept, Unsaved { lay: vec![], faults: vec![], ..unsaved("B", &[]) });
        assert_eq!(kept.len(), 1);
        assert_eq!(unsaved_of(&kept, "c", day, &lane, |_| true), None);
    }

    #[test]
    fn a_leg_that_was_only_proposed_is_not_written_down() {
        let facts = watching().facts("a", None, &Marks::clear(8), 1);
        assert_eq!(facts.to_run("c").unwrap().lead, None);
    }

    #[test]
    fn a_run_is_saved_with_what_was_marked_and_when_it_was_pressed() {
        let mut marks = Marks::clear(8);
        marks.tap(6);
        marks.tap(7);
        marks.still_lying(HurdleSet::from_numbers(&[1], 8).unwrap(), true);
        marks.tap_fault("leans-back");
        let facts = watching().facts("a", Some(Leg::Right), &marks, 1_772_446_445_000);
        assert_eq!((facts.at_ms, facts.setup.as_str()), (1_772_446_445_000, "B/1.25/30"));
        let run = facts.to_run("c").unwrap();
        assert_eq!((run.knocked.numbers(), run.down_before.numbers()), (vec![6, 7], vec![1]));
        assert_eq!(
            (run.lead, run.faults.as_slice()),
            (Some(Leg::Right), ["leans-back".to_owned()].as_slice())
        );
    }

    #[test]
    fn without_watching_technique_no_fault_is_saved() {
        let mut marks = Marks::clear(8);
        marks.tap_fault("hops");
        let knocks = Watching { watched: Watched::Knocks, ..watching() };
        assert!(knocks.facts("a", Some(Leg::Left), &marks, 1).faults.is_empty());
    }

    #[test]
    fn what_still_lies_can_be_taken_away_again() {
        let lying = HurdleSet::from_numbers(&[2, 5], 8).unwrap();
        let mut marks = Marks::clear(8);
        marks.still_lying(lying, true);
        assert_eq!(marks.numbers(Row::WasDown), [2, 5]);
        marks.still_lying(lying, false);
        assert_eq!(marks, Marks::clear(8));
    }

    #[test]
    fn a_correction_changes_marks_and_keeps_time_and_lane() {
        let mut marks = Marks::clear(8);
        marks.tap(3);
        let facts = watching().facts("a", Some(Leg::Left), &marks, 77);
        let view = views(std::slice::from_ref(&facts)).remove(0);
        assert_eq!(facts_now(&view), facts);
        assert_eq!(Marks::of(&view), marks);
        marks.tap(4);
        let body = correction_body("c", "r00", &facts, Some(("b", Some(Leg::Right), &marks)));
        let run = body.run.unwrap();
        assert_eq!(
            (run.knocked, run.runner, run.at_ms, run.setup),
            (vec![3, 4], "b".into(), 77, facts.setup.clone())
        );
        assert_eq!(correction_body("c", "r00", &facts, None).run, None);
    }

    #[test]
    fn a_look_goes_round_and_only_seen_children_are_saved() {
        assert_eq!(Look::NotSeen.tapped(), Look::GotIt);
        assert_eq!(Look::GotIt.tapped(), Look::NotYet);
        assert_eq!(Look::NotYet.tapped(), Look::NotSeen);
        let looks = [("a".into(), Look::GotIt), ("b".into(), Look::NotSeen), ("c".into(), Look::NotYet)];
        let bodies = sweep_bodies("k", "B", &DrillId("side-run".into()), &looks, 5);
        let seen: Vec<_> =
            bodies.iter().map(|body| (body.runner.as_str(), body.got_it, body.at_ms)).collect();
        assert_eq!(seen, [("a", true, 5), ("c", false, 5)]);
    }

    #[test]
    fn paper_lines_are_read_run_by_run() {
        let none: Vec<u32> = vec![];
        assert_eq!(paper_line("0 34 5", 8), Ok(vec![none.clone(), vec![3, 4], vec![5]]));
        assert_eq!(paper_line("  ", 8), Ok(vec![]));
        assert_eq!(paper_line("43*0/-", 8), Ok(vec![vec![3, 4], none.clone(), none.clone()]));
        assert_eq!(paper_line("3,10 12 0", 12), Ok(vec![vec![3, 10], vec![12], none]));
        assert_eq!(paper_line("3,4", 8), Ok(vec![vec![3, 4]]));
    }

    #[test]
    fn paper_slips_say_what_to_change() {
        for (text, hurdles, says) in [
            ("9", 8, "trackside-paper-range"),
            ("0 04", 8, "trackside-paper-zero"),
            ("33", 8, "trackside-paper-twice"),
            ("3x", 8, "trackside-paper-digits"),
            ("3,", 8, "trackside-paper-digits"),
            ("34", 10, "trackside-paper-commas"),
            ("3,11", 10, "trackside-paper-range"),
            ("99999999999", 10, "trackside-paper-digits"),
        ] {
            assert_eq!(paper_line(text, hurdles).unwrap_err().id, says, "{text}");
        }
        let many = "0 ".repeat(PAPER_RUNS_MAX + 1);
        assert_eq!(paper_line(&many, 8).unwrap_err().id, "trackside-paper-too-many");
    }

    #[test]
    fn paper_runs_are_saved_round_by_round_and_end_now() {
        let lines = [("a".to_owned(), vec![vec![], vec![3]]), ("b".to_owned(), vec![vec![4]])];
        let facts = watching().facts_of_paper(&lines, 1000);
        let seen: Vec<_> =
            facts.iter().map(|facts| (facts.runner.as_str(), facts.knocked.clone(), facts.at_ms)).collect();
        assert_eq!(seen, [("a", vec![], 998), ("b", vec![4], 999), ("a", vec![3], 1000)]);
        assert!(facts.iter().all(|facts| {
            facts.source == Source::Paper && facts.watched == Watched::Knocks && facts.lead.is_none()
        }));
    }

    #[test]
    fn the_key_fault_comes_first_and_five_others_beside_it() {
        let ladder = Ladder::built_in();
        let all: Vec<String> = lanewright_model::fault::faults().into_iter().map(|fault| fault.id).collect();
        for drill in ladder.drills().iter().filter(|drill| drill.gap.is_some()) {
            let (hand, rest) = faults_of(drill, all.clone());
            assert_eq!(hand.first(), drill.key_fault.as_ref().or(drill.faults.first()), "{}", drill.id);
            assert!(hand.len() <= FAULTS_AT_HAND);
            assert_eq!(hand.len() + rest.len(), all.len(), "{}: every fault is there once", drill.id);
        }
    }

    #[test]
    fn every_sentence_has_words() {
        let words = lanewright_model::words::Words::english(Default::default());
        let said = words.say(&in_short(&[6, 7], 0, &["leans-back".into()]));
        assert_eq!(said, "2 down (6, 7); technique: Leans back");
        let both = ["leans-back".to_owned(), "reaches".to_owned()];
        assert_eq!(words.say(&in_short(&[], 0, &both)), "hurdles clean; technique: Leans back, Reaches");
        assert_eq!(words.say(&in_short(&[], 0, &[])), "clean");
        for id in ["range", "zero", "twice", "digits", "commas", "too-many"] {
            assert!(words.has(&format!("trackside-paper-{id}")), "{id}");
        }
    }
}
