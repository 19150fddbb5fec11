//! Lanes that stand: from the first thing recorded on a day the hurdles stay where they are, whoever comes or goes.
//!
//! The plan follows from who is here, so a late child would move tape marks and change who runs where, while the
//! hurdles on the ground have not moved. The lanes are therefore written down once something was recorded in them.
//! Every coach's phone follows the same records by the same rule, so two phones end up alike, whichever wrote last.

use jiff::civil::Date;
use lanewright_model::plan::Plan;
use lanewright_model::record::{SheetLane, StandingLanesBody};
use lanewright_model::run::LANE_HURDLES_MAX;
use lanewright_model::runner::RunnerId;
use lanewright_model::school::{ClassView, RunnerView};
use lanewright_model::{Arg, Message, Presence};
use lanewright_science::plan::{Wishes, wishes_unmet};

use super::trackside::{Child, LaneDrill, LaneNow};

/// A child who came after the lanes stood, and where it runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Late {
    /// What the coach calls the child.
    pub name: String,
    /// Lane letter.
    pub lane: String,
    /// The gap of that lane for its main drill, in metres.
    pub gap_m: f64,
    /// Wishes about the child that are not met there.
    pub unmet: Vec<Message>,
}

/// Returns whether a child runs today.
fn runs_today(view: &RunnerView) -> bool {
    matches!(view.presence, Presence::Present | Presence::Easy)
}

/// Returns written lanes with the names that are known. Who is absent or helps leaves the queue and keeps the place in
/// it.
pub fn lanes_written<'a>(class: &ClassView, lanes: impl IntoIterator<Item = &'a SheetLane>) -> Vec<LaneNow> {
    let child = |id: &String| {
        let view = class.runners.iter().find(|view| view.runner.id.0 == *id)?;
        runs_today(view).then(|| Child { id: id.clone(), name: view.runner.label.clone() })
    };
    let lanes = lanes.into_iter().map(|lane| LaneNow {
        lane: lane.lane.clone(),
        hurdles: lane.hurdles.clamp(1, LANE_HURDLES_MAX),
        height_cm: lane.height_cm,
        drills: lane
            .drills
            .iter()
            .map(|drill| LaneDrill { id: drill.drill.clone(), gap_m: drill.gap_m, effort: drill.effort })
            .collect(),
        children: lane.runners.iter().filter_map(child).collect(),
    });
    lanes.collect()
}

/// Returns when the first thing since `since_ms` was recorded that still counts: a run, a look, a time or a bout.
pub fn first_recorded_ms(class: &ClassView, since_ms: i64) -> Option<i64> {
    let runs = class.runs.iter().map(|view| view.run.at.as_millisecond());
    let looks = class.sweeps.iter().map(|(_, sweep)| sweep.at.as_millisecond());
    let times = class.timings.iter().map(|view| view.facts.at_ms());
    let bouts = class.bouts.iter().map(|view| view.facts.at_ms);
    runs.chain(looks).chain(times).chain(bouts).filter(|at_ms| *at_ms >= since_ms).min()
}

/// Returns the wishes about one child that are not met as children have places in lanes. Who does not run today has no
/// say.
fn unmet_of(class: &ClassView, id: &RunnerId, lanes: &[SheetLane]) -> Vec<Message> {
    let Wishes { mut only, mut never, mut together, mut apart } = Wishes::of(class);
    only.retain(|(child, _)| child == id);
    never.retain(|(child, _)| child == id);
    together.retain(|(first, second)| first != second && (first == id || second == id));
    apart.retain(|(first, second)| first != second && (first == id || second == id));
    let view = |id: &RunnerId| class.runners.iter().find(|view| view.runner.id == *id);
    let lane_of = |id: &RunnerId| {
        view(id).filter(|view| runs_today(view))?;
        lanes.iter().find(|lane| lane.runners.contains(&id.0)).map(|lane| lane.lane.clone())
    };
    let name = |id: &RunnerId| view(id).map(|view| view.runner.label.clone()).unwrap_or_default();
    wishes_unmet(&Wishes { only, never, together, apart }, &lane_of, &name)
}

/// Returns the lane, as its place in the list, for a child who came late: the one that meets most wishes, among these
/// the one whose gap is nearest to what suits the child in that lane's main drill. Of two as near the one with fewer
/// children, then the earlier one; where nothing is known of the child, the one with the fewest children.
fn lane_for(class: &ClassView, view: &RunnerView, lanes: &[SheetLane], plan: Option<&Plan>) -> Option<usize> {
    let planned = plan.and_then(|plan| plan.runners.iter().find(|runner| runner.id == view.runner.id));
    let off_m = |lane: &SheetLane| {
        let (planned, main) = (planned?, lane.drills.first()?);
        let own = planned.gaps.iter().find(|gap| gap.drill == main.drill).map(|gap| &gap.gap_m);
        Some((own.unwrap_or(&planned.spacing_m).median - main.gap_m).abs())
    };
    let unmet = |place: usize| {
        let mut with = lanes.to_vec();
        with[place].runners.push(view.runner.id.0.clone());
        unmet_of(class, &view.runner.id, &with).len()
    };
    let worth =
        |place: usize| (unmet(place), off_m(&lanes[place]).unwrap_or(f64::MAX), lanes[place].runners.len());
    (0..lanes.len())
        .map(|place| (worth(place), place))
        .min_by(|(a, _), (b, _)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)))
        .map(|(_, place)| place)
}

/// Returns what is to be written of the lanes that stand, and which children came late; `None`: nothing.
///
/// With the first thing recorded since `since_ms`, the midnight of the day `on`, the `planned` lanes stand. When the
/// last such thing is taken back, they stand no more. A child who runs today and is in none of them goes to the end of
/// a queue.
pub fn standing_next(
    class: &ClassView,
    planned: &[SheetLane],
    plan: Option<&Plan>,
    since_ms: i64,
    on: Date,
) -> Option<(StandingLanesBody, Vec<Late>)> {
    let first_ms = first_recorded_ms(class, since_ms);
    let standing = match (first_ms, &class.standing) {
        (None, None) => return None,
        (None, Some(standing)) => {
            return Some((StandingLanesBody { lanes: Vec::new(), ..standing.clone() }, vec![]));
        }
        (Some(first_ms), None) => {
            // What was given out to helpers stands where this phone cannot tell.
            let lanes = if planned.is_empty() { &class.lane_sheet } else { planned };
            let body = StandingLanesBody {
                on,
                since_ms: first_ms,
                lanes: lanes.to_vec(),
                unknown: Default::default(),
            };
            return (!lanes.is_empty()).then_some((body, vec![]));
        }
        (Some(_), Some(standing)) => standing,
    };
    let mut body = standing.clone();
    let mut late = Vec::new();
    for view in class.runners.iter().filter(|view| runs_today(view)) {
        let id = &view.runner.id.0;
        if body.lanes.iter().any(|lane| lane.runners.contains(id)) {
            continue;
        }
        // Who was recorded before anybody said that the child is here runs where it ran.
        let ran = class
            .runs
            .iter()
            .rev()
            .find(|run| run.run.runner == *id && run.run.at.as_millisecond() >= since_ms);
        let place = ran.and_then(|ran| body.lanes.iter().position(|lane| lane.lane == ran.run.lane));
        let Some(place) = place.or_else(|| lane_for(class, view, &body.lanes, plan)) else { continue };
        let lane = &mut body.lanes[place];
        lane.runners.push(id.clone());
        late.push(Late {
            name: view.runner.label.clone(),
            lane: lane.lane.clone(),
            gap_m: lane.drills.first().map_or(0.0, |drill| drill.gap_m),
            unmet: unmet_of(class, &view.runner.id, &body.lanes),
        });
    }
    (!late.is_empty()).then_some((body, late))
}

/// Says where children run who came late, and which wishes that does not meet.
pub fn late_said(late: &[Late]) -> Option<Message> {
    let said = |late: &Late| {
        Message::new("stand-late")
            .text("name", late.name.clone())
            .text("lane", late.lane.clone())
            .with("gap", Arg::GapM(late.gap_m))
    };
    let where_to = match late {
        [] => None,
        [one] => Some(said(one)),
        several => {
            let who: Vec<String> =
                several.iter().map(|late| format!("{}\u{a0}{}", late.name, late.lane)).collect();
            Some(
                Message::new("stand-late-several")
                    .with("count", Arg::Count(several.len() as i64))
                    .text("who", who.join(", ")),
            )
        }
    }?;
    // Two late children who should be apart and are not have one wish between them.
    let mut unmet: Vec<&Message> = Vec::new();
    for wish in late.iter().flat_map(|late| &late.unmet) {
        if !unmet.contains(&wish) {
            unmet.push(wish);
        }
    }
    Some(unmet.into_iter().fold(where_to, |said, wish| {
        let wish = Message::new("plan-stand-wish").with("wish", Arg::Say(Box::new(wish.clone())));
        Message::new("stand-late-and")
            .with("said", Arg::Say(Box::new(said)))
            .with("wish", Arg::Say(Box::new(wish)))
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::record::Body;
    use lanewright_model::school::School;
    use serde_json::{Value, json};

    const DAY: Date = jiff::civil::date(2026, 3, 2);
    const MIDNIGHT_MS: i64 = 1_000_000;

    fn lane(letter: &str, gap_m: f64, runners: &[&str]) -> SheetLane {
        serde_json::from_value(json!({
            "lane": letter, "hurdles": 6, "height_cm": 30.0, "runners": runners, "marks": [],
            "drills": [{"drill": "side-run", "gap_m": gap_m, "effort": 0.6}],
        }))
        .unwrap()
    }

    fn planned() -> Vec<SheetLane> {
        vec![lane("A", 1.2, &["a", "b"]), lane("B", 1.3, &["c"]), lane("C", 1.5, &["d"])]
    }

    /// A class of the children, of whom some are absent, with more records.
    fn class(absent: &[&str], more: &[(&str, &str, Value)]) -> ClassView {
        let mut records = vec![("class", "k".to_owned(), json!({"name": "7 Larch"}))];
        for (order, id) in ["a", "b", "c", "d", "e"].into_iter().enumerate() {
            records.push((
                "runner-label",
                id.to_owned(),
                json!({"class": "k", "label": id.to_uppercase(), "order": order}),
            ));
        }
        for id in absent {
            records.push(("today", (*id).to_owned(), json!({"on": "2026-03-02", "presence": "absent"})));
        }
        records.extend(more.iter().map(|(kind, id, body)| (*kind, (*id).to_owned(), body.clone())));
        let school =
            School::from_records(records.iter().map(|(kind, id, body)| (*kind, id.as_str(), body)), DAY);
        school.classes["k"].clone()
    }

    fn run(at_ms: i64, void: bool) -> (&'static str, &'static str, Value) {
        let run = json!({
            "runner": "a", "drill": "side-run", "lane": "A", "at_ms": at_ms, "lead": null, "hurdles": 6,
            "knocked": [], "watched": "knocks", "gap_m": 1.2, "height_cm": 30.0, "setup": "A",
        });
        ("run", "r1", json!({"class": "k", "run": run, "void": void}))
    }

    fn stands(lanes: Vec<SheetLane>) -> (&'static str, &'static str, Value) {
        let body =
            StandingLanesBody { on: DAY, since_ms: MIDNIGHT_MS + 5, lanes, unknown: Default::default() };
        ("standing-lanes", "k", Body::StandingLanes(body).to_value())
    }

    fn next(class: &ClassView) -> Option<(StandingLanesBody, Vec<Late>)> {
        standing_next(class, &planned(), None, MIDNIGHT_MS, DAY)
    }

    #[test]
    fn the_planned_lanes_stand_with_the_first_run_of_the_day_and_not_before() {
        assert_eq!(next(&class(&["e"], &[])), None);
        assert_eq!(next(&class(&["e"], &[run(MIDNIGHT_MS - 1, false)])), None, "a run of yesterday");
        let (body, late) = next(&class(&["e"], &[run(MIDNIGHT_MS + 7, false)])).unwrap();
        assert_eq!((body.since_ms, body.lanes, late), (MIDNIGHT_MS + 7, planned(), vec![]));
    }

    #[test]
    fn a_look_a_time_and_a_bout_make_the_lanes_stand_too() {
        let at_ms = MIDNIGHT_MS + 3;
        let look = json!({"class": "k", "runner": "a", "drill": "side-run", "lane": "A", "at_ms": at_ms, "got_it": true});
        let time = json!({"class": "k", "timing": {
            "stretch": "s", "runner": "a", "method": "tap", "error_s": 0.07,
            "timed": {"kind": "start", "press": {"device": "d", "clock_ms": 1, "at_ms": at_ms}},
        }});
        let bout = json!({"class": "k", "bout": {
            "lane": "A", "drill": "side-shuttle", "at_ms": at_ms, "planned_s": 10.0, "seconds": 10.0, "seed": 7,
            "calls": 3, "runners": [{"runner": "a", "passes": 4, "turns": 3, "one_step_turns": 2, "falls": 1}],
            "down": [2], "gap_m": 0.7,
        }});
        for (kind, body) in [("sweep", look), ("timing", time), ("bout", bout)] {
            let (standing, _) = next(&class(&["e"], &[(kind, "x", body)])).expect(kind);
            assert_eq!((standing.since_ms, standing.lanes), (at_ms, planned()), "{kind}");
        }
    }

    #[test]
    fn an_absent_child_leaves_the_queue_and_moves_no_hurdle() {
        let class = class(&["a", "e"], &[run(MIDNIGHT_MS + 7, false), stands(planned())]);
        assert_eq!(next(&class), None, "nothing is written");
        let lanes = lanes_written(&class, &class.standing.as_ref().unwrap().lanes);
        let names: Vec<_> = lanes[0].children.iter().map(|child| child.name.as_str()).collect();
        assert_eq!((names, lanes[0].drills[0].gap_m, lanes[0].hurdles), (vec!["B"], 1.2, 6));
    }

    #[test]
    fn a_late_child_comes_last_in_the_lane_whose_gap_is_nearest_and_stays_there() {
        let recorded = run(MIDNIGHT_MS + 7, false);
        let late = class(&[], &[recorded.clone(), stands(planned())]);
        let estimate = |median: f64| json!({"median": median, "low": median - 0.1, "high": median + 0.1, "n": 0, "method": "m"});
        let plan = |own_m: f64| -> Plan {
            let mut gap: Value = serde_json::from_str("{}").unwrap();
            gap["drill"] = json!("side-run");
            gap["gap_m"] = estimate(own_m);
            for (name, value) in
                [("band_low_m", json!(1.0)), ("band_high_m", json!(2.0)), ("inside", json!(true))]
            {
                gap[name] = value;
            }
            serde_json::from_value(json!({
                "runners": [{
                    "id": "e", "name": "E", "spacing_m": estimate(9.0), "hurdle_height_cm": 30.0, "basis": "stature",
                    "lane": "A", "fit_ratio": 0.0, "stature_cm": estimate(150.0), "gaps": [gap],
                }],
                "lanes": [], "misfit": lanewright_model::plan::Misfit::default(), "fits": true, "warnings": [],
                "remedies": [], "lanes_possible": 3, "drills": ["side-run"], "effort": 0.6, "floor": null,
            }))
            .unwrap()
        };
        for (own_m, letter) in [(0.9, "A"), (1.29, "B"), (1.45, "C")] {
            let (body, who) = standing_next(&late, &planned(), Some(&plan(own_m)), MIDNIGHT_MS, DAY).unwrap();
            let lane = body.lanes.iter().find(|lane| lane.lane == letter).unwrap();
            assert_eq!(lane.runners.last().map(String::as_str), Some("e"), "{own_m}");
            let gap_m = lane.drills[0].gap_m;
            assert_eq!(who, [Late { name: "E".into(), lane: letter.into(), gap_m, unmet: vec![] }]);
            // Once written, no other size moves the child, and no lane was changed but for that one place.
            let written = class(&[], &[recorded.clone(), stands(body.lanes.clone())]);
            assert_eq!(standing_next(&written, &[], Some(&plan(5.0)), MIDNIGHT_MS, DAY), None);
            let mut before = body.lanes.clone();
            before.iter_mut().for_each(|lane| lane.runners.retain(|id| id != "e"));
            assert_eq!(before, planned());
        }
    }

    #[test]
    fn a_late_child_of_whom_nothing_is_known_comes_where_it_may_run_and_the_fewest_are() {
        let wish = ("lane-wish", "e", json!({"only": null, "never": ["B"]}));
        let recorded = [run(MIDNIGHT_MS + 7, false), stands(planned())];
        let (_, who) = next(&class(&[], &recorded)).unwrap();
        assert_eq!(who[0].lane, "B");
        let (_, who) = next(&class(&[], &[recorded.to_vec(), vec![wish]].concat())).unwrap();
        assert_eq!(who[0].lane, "C");
    }

    #[test]
    fn a_late_child_runs_with_whom_and_without_whom_it_was_wished() {
        let words = lanewright_model::words::Words::english(Default::default());
        let pair = |second: &str, together: bool, void: bool| json!({"class": "k", "first": "e", "second": second, "together": together, "void": void});
        let after = |absent: &[&str], wishes: &[(&'static str, &'static str, Value)]| {
            let more = [&[run(MIDNIGHT_MS + 7, false), stands(planned())][..], wishes].concat();
            let (_, late) = next(&class(absent, &more)).unwrap();
            (late[0].lane.clone(), late_said(&late).map(|said| words.say(&said)).unwrap())
        };
        let lane = |wishes: &[(&'static str, &'static str, Value)]| after(&[], wishes).0;
        assert_eq!(lane(&[]), "B");
        assert_eq!(lane(&[("pair-wish", "p1", pair("c", false, false))]), "C");
        assert_eq!(lane(&[("pair-wish", "p1", pair("a", true, false))]), "A");
        assert_eq!(lane(&[("pair-wish", "p1", pair("c", false, true))]), "B", "taken back");
        // Who is not here has no say.
        assert_eq!(after(&["a"], &[("pair-wish", "p1", pair("a", true, false))]).0, "B");
        // What cannot be met together is said, and as much as can be is met.
        let (lane, said) = after(
            &[],
            &[
                ("pair-wish", "p1", pair("a", true, false)),
                ("pair-wish", "p2", pair("b", false, false)),
                ("lane-wish", "e", json!({"only": null, "never": ["C"]})),
            ],
        );
        assert_eq!(lane, "B");
        assert_eq!(said, "E runs in lane B, 1.30 m. Not met as the lanes stand: E and A in one lane.");
    }

    #[test]
    fn a_late_child_who_has_run_already_stays_in_the_lane_where_it_ran() {
        let (kind, id, mut body) = run(MIDNIGHT_MS + 9, false);
        body["run"]["runner"] = json!("e");
        body["run"]["lane"] = json!("C");
        let (_, who) = next(&class(&[], &[(kind, id, body), stands(planned())])).unwrap();
        assert_eq!((who[0].name.as_str(), who[0].lane.as_str()), ("E", "C"));
    }

    #[test]
    fn when_the_only_run_is_taken_back_the_lanes_follow_the_plan_again() {
        let taken_back = class(&["e"], &[run(MIDNIGHT_MS + 7, true), stands(planned())]);
        let (body, _) = next(&taken_back).unwrap();
        assert!(body.lanes.is_empty());
        let released = class(&["e"], &[stands(vec![])]);
        assert_eq!((released.standing.clone(), next(&released)), (None, None));
    }

    #[test]
    fn what_is_said_of_late_children_has_words() {
        let words = lanewright_model::words::Words::english(Default::default());
        let late =
            |name: &str, lane: &str| Late { name: name.into(), lane: lane.into(), gap_m: 1.3, unmet: vec![] };
        let one = late_said(&[late("Kesia", "B")]).unwrap();
        assert_eq!(words.say(&one), "Kesia runs in lane B, 1.30 m.");
        let two = late_said(&[late("Kesia", "B"), late("Ole", "A")]).unwrap();
        assert_eq!(
            words.say(&two),
            "2 came late and run at the end of their lanes: Kesia\u{a0}B, Ole\u{a0}A."
        );
        assert_eq!(late_said(&[]), None);
    }
}
