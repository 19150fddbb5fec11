use std::collections::{BTreeMap, BTreeSet};

use super::*;
use lanewright_model::kit::HurdleStock;
use lanewright_model::plan::Plan;
use lanewright_model::record::{LaneWishBody, PlanChoiceBody};
use lanewright_model::school::RunnerView;
use lanewright_model::words::{Units, Words};
use lanewright_model::{Age, Sex};
use proptest::prelude::*;

const TODAY: Date = jiff::civil::date(2026, 3, 2);

fn runner(index: usize, stature_cm: f64) -> Runner {
    let mut runner = Runner::named(format!("r{index:02}"), format!("Child {index:02}"));
    runner.sex = Some(if index.is_multiple_of(2) { Sex::Female } else { Sex::Male });
    runner.age = Some(Age::Born(jiff::civil::date(2014, 3, 1)));
    runner.stature_cm = Some(stature_cm);
    runner.stature_date = Some(jiff::civil::date(2026, 2, 23));
    runner
}

/// Children of about twelve, 142 to 166 cm.
fn class(count: usize) -> Vec<Runner> {
    (0..count)
        .map(|index| runner(index, 142.0 + 24.0 * ((index * 7) % count) as f64 / count as f64))
        .collect()
}

fn drills(ids: &[&str]) -> Vec<Drill> {
    let ladder = Ladder::built_in();
    ids.iter().map(|id| ladder.get(id).unwrap().clone()).collect()
}

fn kit(stock: &[(f64, u32)]) -> Kit {
    Kit {
        hurdles: stock
            .iter()
            .map(|(height_cm, count)| HurdleStock { height_cm: *height_cm, count: *count })
            .collect(),
        ..Kit::default()
    }
}

/// 28 children, 24 hurdles of 30 cm, alternate run, no floor given.
fn usual() -> PlanInput {
    PlanInput {
        effort: Some(0.6),
        ladder: Some(Ladder::built_in()),
        ..PlanInput::new(class(28), drills(&["alternate-run"]), kit(&[(30.0, 24)]), TODAY)
    }
}

fn ids(messages: &[Message]) -> Vec<&str> {
    messages.iter().map(|message| message.id.as_str()).collect()
}

fn find<'a>(plan: &'a Plan, id: &str) -> Option<&'a Message> {
    plan.warnings.iter().find(|message| message.id == id)
}

fn text_of(message: &Message, arg: &str) -> String {
    Words::english(Units::Metric).show(&message.args[arg])
}

// Lanes that stand

/// The lanes of a plan as they are written down when they stand.
fn written(plan: &Plan, input: &PlanInput) -> Vec<SheetLane> {
    let lane = |lane: &lanewright_model::plan::PlannedLane| SheetLane {
        lane: lane.lane.clone(),
        hurdles: lane.hurdles,
        height_cm: lane.hurdle_height_cm,
        drills: input
            .drills
            .iter()
            .map(|drill| lanewright_model::record::SheetDrill {
                drill: drill.id.clone(),
                gap_m: lane.settings.iter().find(|own| own.drills.contains(&drill.id)).unwrap().gap_m,
                effort: if drill.walk { drill.effort } else { input.effort.unwrap().min(drill.effort_max) },
            })
            .collect(),
        runners: lane
            .runners
            .iter()
            .map(|name| input.runners.iter().find(|runner| runner.label == *name).unwrap().id.0.clone())
            .collect(),
        marks: vec![lanewright_model::timing::Mark {
            at_m: ((lane.parts.run_up_m + lane.parts.hurdles_m) * 100.0).round() / 100.0,
            ground: lanewright_model::timing::Ground::Hurdled,
        }],
    };
    plan.lanes.iter().map(lane).collect()
}

/// Letter, number and height of the hurdles, marks, and the marks of each setting.
type LaneLaid = (String, u32, f64, Vec<f64>, Vec<Vec<f64>>);

/// Everything that is laid with a tape.
fn on_the_ground(plan: &Plan) -> Vec<LaneLaid> {
    let settings = |lane: &lanewright_model::plan::PlannedLane| {
        lane.settings.iter().map(|setting| setting.marks_m.clone()).collect()
    };
    plan.lanes
        .iter()
        .map(|lane| {
            (lane.lane.clone(), lane.hurdles, lane.hurdle_height_cm, lane.marks_m.clone(), settings(lane))
        })
        .collect()
}

#[test]
fn lanes_that_stand_are_the_plan_that_they_were_laid_by() {
    for ids in [&["alternate-run"][..], &["single-walk", "two-contact-run"], &["side-run", "alternate-walk"]]
    {
        let input = PlanInput { drills: drills(ids), space: Some(Space::hall(36.0, 18.0)), ..usual() };
        let laid = plan(&input).unwrap();
        let stands = plan_standing(&input, &Ladder::built_in(), &written(&laid, &input)).unwrap();
        assert_eq!(on_the_ground(&stands), on_the_ground(&laid), "{ids:?}");
        assert_eq!(stands.lanes, laid.lanes, "{ids:?}");
        assert_eq!((stands.floor, stands.fits), (laid.floor, laid.fits), "{ids:?}");
        assert_eq!(stands.runners, laid.runners, "{ids:?}");
    }
}

#[test]
fn who_goes_and_who_comes_late_moves_no_mark_of_lanes_that_stand() {
    let all = usual();
    let (late, first) = all.runners.split_last().unwrap();
    let early = PlanInput { runners: first.to_vec(), ..all.clone() };
    let laid = plan(&early).unwrap();
    let mut sheet = written(&laid, &early);
    sheet[0].runners.push(late.id.0.clone());
    // One child more, and the four with the shortest gaps gone.
    let gone = sheet[0].runners[..4].to_vec();
    let now = PlanInput {
        runners: all.runners.iter().filter(|runner| !gone.contains(&runner.id.0)).cloned().collect(),
        ..all.clone()
    };
    let anew = plan(&now).unwrap();
    assert_ne!(on_the_ground(&anew), on_the_ground(&laid), "else nothing is asked here");
    let stands = plan_standing(&now, &Ladder::built_in(), &sheet).unwrap();
    assert_eq!(on_the_ground(&stands), on_the_ground(&laid));
    assert_eq!(stands.lanes[0].runners.last(), Some(&late.label), "who came late is the last of the queue");
    let of_a = |plan: &Plan| plan.runners.iter().filter(|runner| runner.lane == "A").count();
    assert_eq!(of_a(&stands), stands.lanes[0].runners.len());
    assert_eq!(stands.runners.len(), 24);
    // Another drill is chosen meanwhile: what stands is not for it.
    let other = PlanInput { drills: drills(&["side-run"]), ..now };
    assert_eq!(plan_standing(&other, &Ladder::built_in(), &sheet).unwrap().lanes, stands.lanes);
}

#[test]
fn lanes_that_stand_say_which_wishes_they_do_not_meet_and_what_room_is_missing() {
    let mut input = PlanInput { space: Some(Space::hall(36.0, 18.0)), ..usual() };
    let laid = plan(&input).unwrap();
    let sheet = written(&laid, &input);
    let id = |lane: usize, place: usize| RunnerId(sheet[lane].runners[place].clone());
    input.wishes.apart = vec![(id(0, 0), id(0, 1)), (id(0, 0), id(1, 0))];
    input.wishes.together = vec![(id(0, 2), id(1, 2)), (id(1, 0), id(1, 1))];
    input.wishes.never = vec![(id(0, 3), "A".into()), (id(0, 3), "B".into())];
    input.wishes.only = vec![(id(1, 3), "A".into()), (id(0, 0), "A".into())];
    let words = Words::english(Units::Metric);
    let stands = plan_standing(&input, &Ladder::built_in(), &sheet).unwrap();
    let name = |lane: usize, place: usize| &laid.lanes[lane].runners[place];
    let said: Vec<String> = stands
        .warnings
        .iter()
        .filter(|message| message.id == "plan-stand-wish")
        .map(|message| words.say(message))
        .collect();
    let expected = [
        format!("{} only in lane A", name(1, 3)),
        format!("{} not in lane A", name(0, 3)),
        format!("{} and {} in one lane", name(0, 2), name(1, 2)),
        format!("{} and {} in different lanes", name(0, 0), name(0, 1)),
    ];
    assert_eq!(said, expected.map(|wish| format!("Not met as the lanes stand: {wish}.")));
    assert!(find(&stands, "plan-stand-no-room").is_none());
    input.space = Some(Space::hall(20.0, 18.0));
    let short = plan_standing(&input, &Ladder::built_in(), &sheet).unwrap();
    assert!(!short.fits && find(&short, "plan-stand-no-room").is_some());
    assert!(find(&short, "plan-no-remedy").is_none(), "laying anew may help");
}

// One gap for drills that need two

#[test]
fn a_gap_that_suits_no_drill_of_its_lane_is_said_with_what_each_would_need() {
    let plan = plan(&PlanInput { drills: drills(&["single-walk", "two-contact-run"]), ..usual() }).unwrap();
    let said = find(&plan, "plan-one-gap").expect("long and short stand on one gap here");
    let text = Words::english(Units::Metric).say(said);
    assert!(plan.lanes.iter().all(|lane| lane.settings[0].gap_m == lane.settings[1].gap_m));
    for lane in &plan.lanes {
        assert!(text.contains(&format!("{} {:.2} m", lane.lane, lane.spacing_m)), "{text}");
    }
    assert!(text.contains("right for none"), "{text}");
    assert!(
        text.contains("Single-leg walk-over (A 0.80 m") && text.contains("Two-contact run (A 1.2"),
        "{text}"
    );
    assert!(text.contains("Re-lay"), "{text}");
}

#[test]
fn lanes_with_a_gap_for_each_setting_have_no_such_notice() {
    for ids in
        [&["alternate-walk", "alternate-run"][..], &["alternate-run", "two-contact-run"], &["single-walk"]]
    {
        let plan = plan(&PlanInput { drills: drills(ids), ..usual() }).unwrap();
        assert!(find(&plan, "plan-one-gap").is_none(), "{ids:?}");
    }
}

// Effort

#[test]
fn a_walk_has_no_effort_and_each_run_its_own() {
    let words = Words::english(Units::Metric);
    let of = |ids: &[&str], effort| {
        let plan = plan(&PlanInput { drills: drills(ids), effort, ..usual() }).unwrap();
        (plan.effort_of_all(), plan.drills_said(&words))
    };
    assert_eq!(of(&["alternate-run"], Some(0.6)), (Some(0.6), "Alternate run".to_owned()));
    assert_eq!(of(&["alternate-walk"], None), (None, "Alternate walk-over".to_owned()));
    let (all, said) = of(&["alternate-walk", "alternate-run"], Some(0.6));
    assert_eq!((all, &*said), (None, "Alternate walk-over, Alternate run at 60 % effort"));
}

// How many lanes

#[test]
fn one_adult_gets_four_lanes_of_six_hurdles_from_a_bag_of_twenty_four() {
    let plan = plan(&usual()).unwrap();
    assert_eq!((plan.lanes.len(), plan.lanes_possible), (4, 4));
    assert!(plan.lanes.iter().all(|lane| lane.hurdles == 6 && lane.runners.len() == 7));
    assert!(plan.fits && plan.floor.is_none() && plan.remedies.is_empty());
}

#[test]
fn a_second_adult_lets_the_hurdles_decide() {
    let plan = plan(&PlanInput { adults: 2, ..usual() }).unwrap();
    assert_eq!(plan.lanes.len(), 6);
    assert!(plan.lanes.iter().all(|lane| lane.hurdles == 4));
}

#[test]
fn a_narrow_floor_allows_fewer_lanes() {
    let space = Some(Space::hall(60.0, 6.5));
    let plan = plan(&PlanInput { space, ..usual() }).unwrap();
    assert_eq!(plan.lanes.len(), 2);
    assert!(plan.fits);
}

#[test]
fn a_lane_holds_at_most_eight_hurdles_and_the_small_class_two_lanes() {
    let plan = plan(&PlanInput { runners: class(5), kit: kit(&[(30.0, 40)]), ..usual() }).unwrap();
    assert_eq!(plan.lanes.len(), 2);
    assert!(plan.lanes.iter().all(|lane| lane.hurdles == 8));
}

#[test]
fn lanes_asked_for_are_given_and_fewer_ones_are_explained() {
    let five = plan(&PlanInput { lanes_max: Some(5), ..usual() }).unwrap();
    assert_eq!(five.lanes.len(), 5);
    assert!(find(&five, "plan-lanes-unwatched").is_some());
    let nine = plan(&PlanInput { lanes_max: Some(9), ..usual() }).unwrap();
    assert_eq!(nine.lanes.len(), 6);
    assert!(find(&nine, "plan-lanes-hurdles").is_some());
    let narrow = PlanInput { lanes_max: Some(4), space: Some(Space::hall(60.0, 6.5)), ..usual() };
    let narrow = plan(&narrow).unwrap();
    assert_eq!(narrow.lanes.len(), 2);
    assert!(find(&narrow, "plan-lanes-width").is_some());
    let pair = plan(&PlanInput { lanes_max: Some(4), runners: class(2), ..usual() }).unwrap();
    assert_eq!(pair.lanes.len(), 2);
    assert!(find(&pair, "plan-lanes-children").is_some());
}

#[test]
fn an_empty_bag_is_floor_lines_and_three_hurdles_are_said_to_be_few() {
    let lines = plan(&PlanInput { kit: kit(&[]), height_cm: 0.0, ..usual() }).unwrap();
    assert!(lines.lanes.iter().all(|lane| lane.hurdles == 8 && lane.hurdle_height_cm == 0.0));
    let empty = plan(&PlanInput { kit: kit(&[]), height_cm: 30.0, ..usual() }).unwrap();
    assert_eq!(empty.lanes[0].hurdle_height_cm, 0.0);
    assert!(find(&empty, "plan-no-hurdles").is_some());
    let three = plan(&PlanInput { kit: kit(&[(30.0, 3)]), ..usual() }).unwrap();
    assert_eq!((three.lanes.len(), three.lanes[0].hurdles), (1, 3));
    assert!(find(&three, "plan-few-hurdles").is_some());
}

// Where they stand

#[test]
fn marks_start_at_the_run_up_and_go_on_by_the_gap() {
    let plan = plan(&usual()).unwrap();
    for lane in &plan.lanes {
        assert_eq!(lane.marks_m.len(), lane.hurdles as usize);
        assert_eq!(lane.marks_m[0], lane.run_up_m);
        for pair in lane.marks_m.windows(2) {
            assert!((pair[1] - pair[0] - lane.spacing_m).abs() < 1e-9);
        }
        assert!((lane.run_out_m - lane.parts.exit_m - lane.parts.stopping_m).abs() < 1e-12);
    }
    let gaps: Vec<f64> = plan.lanes.iter().map(|lane| lane.spacing_m).collect();
    assert!(gaps.is_sorted(), "{gaps:?}");
}

#[test]
fn walk_and_run_share_marks_when_the_short_gap_is_half_of_the_long_one() {
    let input = PlanInput { drills: drills(&["alternate-run", "alternate-walk"]), ..usual() };
    let plan = plan(&input).unwrap();
    let mut halves = 0;
    for lane in &plan.lanes {
        let [long, short] = &lane.settings[..] else { panic!("{:?}", lane.settings) };
        assert_eq!((long.setting, short.setting), (Setting::Long, Setting::Short));
        assert_eq!(lane.marks_m, long.marks_m);
        assert_eq!(short.drills, [DrillId("alternate-walk".into())]);
        if (long.gap_m - 2.0 * short.gap_m).abs() < 1e-9 {
            halves += 1;
            for (index, mark_m) in long.marks_m.iter().enumerate().take(short.marks_m.len() / 2) {
                assert!((short.marks_m[2 * index] - mark_m).abs() < 1e-9);
            }
        }
    }
    assert!(halves > 0);
}

#[test]
fn tape_marks_stay_where_they_are_when_the_floor_is_larger() {
    let on = |length_m| plan(&PlanInput { space: Some(Space::hall(length_m, 15.0)), ..usual() }).unwrap();
    assert_eq!(on(40.0).lanes, on(80.0).lanes);
}

// Who runs where

fn lane_by_child(plan: &Plan) -> BTreeMap<RunnerId, String> {
    plan.runners.iter().map(|runner| (runner.id.clone(), runner.lane.clone())).collect()
}

#[test]
fn wishes_are_kept() {
    let id = |index: usize| RunnerId(format!("r{index:02}"));
    let wishes = Wishes {
        only: vec![(id(0), "D".into())],
        never: vec![(id(1), "A".into()), (id(1), "b".into())],
        together: vec![(id(2), id(3)), (id(4), RunnerId("absent".into()))],
        apart: vec![(id(5), id(6))],
    };
    let lanes = lane_by_child(&plan(&PlanInput { wishes, ..usual() }).unwrap());
    assert_eq!(lanes[&id(0)], "D");
    assert!(lanes[&id(1)] == "C" || lanes[&id(1)] == "D");
    assert_eq!(lanes[&id(2)], lanes[&id(3)]);
    assert_ne!(lanes[&id(5)], lanes[&id(6)]);
}

#[test]
fn a_wish_for_a_lane_that_is_not_there_is_said_and_passed_over() {
    let wishes = Wishes { only: vec![(RunnerId("r03".into()), "F".into())], ..Wishes::default() };
    let plan = plan(&PlanInput { wishes, ..usual() }).unwrap();
    assert_eq!(text_of(find(&plan, "plan-wish-lost").unwrap(), "names"), "Child 03");
}

#[test]
fn wishes_that_clash_are_named() {
    let id = |index: usize| RunnerId(format!("r{index:02}"));
    let wishes = Wishes {
        together: vec![(id(0), id(1))],
        apart: vec![(id(1), id(0)), (id(2), id(3))],
        ..Wishes::default()
    };
    let Err(PlanError::Wishes(clash)) = plan(&PlanInput { wishes, ..usual() }) else { panic!("no clash") };
    let mut said: Vec<String> = clash.iter().map(|wish| Words::english(Units::Metric).say(wish)).collect();
    said.sort();
    assert_eq!(said, ["Child 00 and Child 01 in different lanes", "Child 00 and Child 01 in one lane"]);
}

#[test]
fn who_leaves_a_band_is_named_with_the_remedy() {
    // One tall child among small ones, in one lane.
    let mut runners = class(6);
    for small in &mut runners {
        small.stature_cm = Some(130.0);
    }
    runners[5].stature_cm = Some(175.0);
    let plan = plan(&PlanInput { runners, lanes_max: Some(1), ..usual() }).unwrap();
    let tall = &plan.runners[5];
    assert!(!tall.gaps[0].inside && tall.fit_ratio < 0.0);
    let said = find(&plan, "plan-outside-close").expect("the tall child is outside");
    assert_eq!(text_of(said, "names"), "Child 05");
    assert!(text_of(said, "remedy").starts_with("Measure the step first"), "{}", text_of(said, "remedy"));
}

#[test]
fn absent_children_inform_but_do_not_run() {
    let mut view = ClassView { name: "7 Larch".into(), ..ClassView::default() };
    for (runner, presence) in class(6).into_iter().zip([
        Presence::Present,
        Presence::Absent,
        Presence::Helping,
        Presence::Easy,
        Presence::Present,
        Presence::Present,
    ]) {
        view.runners.push(RunnerView {
            runner,
            presence,
            wish: LaneWishBody::default(),
            measurements: Vec::new(),
        });
    }
    view.runners[0].wish.only = Some("B".into());
    view.choice = PlanChoiceBody { exit_sprint_m: 10.0, lanes_max: Some(2), ..PlanChoiceBody::default() };
    let ladder = Ladder::built_in();
    let input = PlanInput::from_class(&view, &kit(&[(30.0, 16), (20.0, 8)]), None, &ladder, TODAY);
    let plan = plan(&input).unwrap();
    let names: Vec<&str> = plan.runners.iter().map(|runner| runner.name.as_str()).collect();
    assert_eq!(names, ["Child 00", "Child 03", "Child 04", "Child 05"]);
    assert_eq!(input.class_mates.len(), 2);
    assert_eq!(input.height_cm, 30.0);
    assert_eq!(lane_by_child(&plan)[&RunnerId("r00".into())], "B");
    assert_eq!(text_of(find(&plan, "plan-easy").unwrap(), "names"), "Child 03");
    assert_eq!(plan.lanes[0].parts.exit_m, 10.0);
}

// Hurdles

#[test]
fn wanted_height_stands_while_stock_lasts_and_lower_hurdles_go_to_the_shorter_gaps() {
    let plan = plan(&PlanInput { kit: kit(&[(30.0, 12), (20.0, 12)]), height_cm: 30.0, ..usual() }).unwrap();
    let heights: Vec<f64> = plan.lanes.iter().map(|lane| lane.hurdle_height_cm).collect();
    assert_eq!(heights, [20.0, 20.0, 30.0, 30.0]);
    assert_eq!(text_of(find(&plan, "plan-heights-ran-out").unwrap(), "lanes"), "A, B");
}

#[test]
fn a_bag_of_two_heights_gives_the_smaller_children_the_lower_hurdles() {
    let plan = plan(&PlanInput { kit: kit(&[(30.0, 16), (20.0, 8)]), height_cm: 30.0, ..usual() }).unwrap();
    let lanes: Vec<(f64, u32)> =
        plan.lanes.iter().map(|lane| (lane.hurdle_height_cm, lane.hurdles)).collect();
    assert_eq!(lanes, [(20.0, 6), (30.0, 5), (30.0, 5), (30.0, 5)]);
    assert_eq!(text_of(find(&plan, "plan-fewer-hurdles").unwrap(), "lanes"), "B, C, D");
}

#[test]
fn a_child_whose_leg_is_short_gets_a_lower_hurdle_or_a_line() {
    let mut runners = class(8);
    runners[3].stature_cm = Some(118.0);
    runners[3].leg_length_cm = Some(57.0);
    let line = plan(&PlanInput { runners: runners.clone(), ..usual() }).unwrap();
    assert_eq!(line.runners[3].hurdle_height_cm, 0.0);
    assert_eq!(text_of(find(&line, "plan-high-line").unwrap(), "names"), "Child 03");
    let lower = PlanInput {
        runners,
        lanes_max: Some(1),
        kit: kit(&[(30.0, 24), (20.0, 8)]),
        height_cm: 30.0,
        ..usual()
    };
    let lower = plan(&lower).unwrap();
    assert_eq!(lower.runners[3].hurdle_height_cm, 20.0);
    assert_eq!(text_of(find(&lower, "plan-high-lower").unwrap(), "suits"), "20 cm");
}

// The floor

#[test]
fn a_plan_that_does_not_fit_says_so_first_and_how_to_mend_it() {
    let input = PlanInput { space: Some(Space::hall(28.0, 15.0)), exit_sprint_m: 20.0, ..usual() };
    let found = plan(&input).unwrap();
    assert!(!found.fits);
    assert_eq!(found.warnings[0].id, "plan-too-long");
    let ways = ways_to_fit(&input);
    assert_eq!(ways.len(), found.remedies.len());
    assert!(!ways.is_empty() && ways.len() <= 4);
    for changes in ways {
        let mended = changes.iter().fold(input.clone(), |input, change| apply(&input, change));
        assert!(plan(&mended).unwrap().fits, "{changes:?}");
    }
}

#[test]
fn free_runs_through_the_lane_ask_for_their_own_stopping_room() {
    let walk = plan(&PlanInput { drills: drills(&["alternate-walk"]), effort: None, ..usual() }).unwrap();
    let input = PlanInput { drills: drills(&["alternate-walk", "free-run"]), effort: None, ..usual() };
    let free = plan(&input).unwrap();
    for (lane, before) in free.lanes.iter().zip(&walk.lanes) {
        assert_eq!(lane.marks_m.len(), before.marks_m.len());
        assert!(lane.parts.exit_speed_mps > 4.0 && before.parts.exit_speed_mps == site::WALK_MPS);
    }
}

#[test]
fn on_asphalt_only_walks_pass_without_a_word() {
    let space = Some(Space { surface: Surface::Hard, ..Space::hall(60.0, 15.0) });
    let run = plan(&PlanInput { space: space.clone(), ..usual() }).unwrap();
    assert_eq!(run.warnings[0].id, "plan-hard-floor");
    let walk = PlanInput { space, drills: drills(&["alternate-walk"]), effort: None, ..usual() };
    assert!(find(&plan(&walk).unwrap(), "plan-hard-floor").is_none());
}

#[test]
fn notices_alike_are_said_once_with_all_names() {
    let runners =
        [2, 5].map(|index| Runner::named(format!("r{index:02}"), format!("Child {index:02}"))).to_vec();
    let plan = plan(&PlanInput { runners, ..usual() }).unwrap();
    let unknown: Vec<&Message> =
        plan.warnings.iter().filter(|notice| notice.id == "body-size-unknown").collect();
    assert_eq!(unknown.len(), 1, "{:?}", ids(&plan.warnings));
    assert_eq!(text_of(unknown[0], "child"), "Child 02, Child 05");
}

#[test]
fn children_whose_size_is_only_guessed_are_named_once() {
    let mut runners = class(8);
    for index in [2, 5] {
        runners[index].stature_cm = None;
    }
    let plan = plan(&PlanInput { runners, ..usual() }).unwrap();
    assert_eq!(text_of(find(&plan, "plan-guessed").unwrap(), "names"), "Child 02, Child 05");
}

// What is refused

#[test]
fn what_cannot_be_planned_is_refused_with_the_field() {
    let cases = [
        (PlanInput { runners: Vec::new(), ..usual() }, "plan-error-no-runners"),
        (PlanInput { drills: drills(&["free-run", "spot-single"]), ..usual() }, "plan-error-no-drill"),
        (PlanInput { effort: Some(1.4), ..usual() }, "plan-error-range"),
        (PlanInput { effort: Some(f64::NAN), ..usual() }, "plan-error-range"),
        (PlanInput { exit_sprint_m: -1.0, ..usual() }, "plan-error-range"),
        (PlanInput { lanes_max: Some(0), ..usual() }, "plan-error-range"),
        (PlanInput { space: Some(Space::hall(0.0, 15.0)), ..usual() }, "plan-error-range"),
        (PlanInput { runners: vec![runner(1, 140.0), runner(1, 150.0)], ..usual() }, "plan-error-same-id"),
    ];
    let words = Words::english(Units::Metric);
    for (input, id) in cases {
        let message = plan(&input).unwrap_err().message();
        assert_eq!(message.id, id);
        assert!(words.has(id), "{id}");
    }
}

// Words and form

/// Every message in these sources, by its id as it stands there.
fn ids_in_sources() -> BTreeSet<String> {
    let sources = [
        include_str!("mod.rs"),
        include_str!("notes.rs"),
        include_str!("fit.rs"),
        include_str!("../topple/mod.rs"),
        include_str!("../stride/height.rs"),
    ];
    let mut found = BTreeSet::new();
    for text in sources.iter().flat_map(|source| source.split('"').skip(1).step_by(2)) {
        if ["plan-", "topple-", "stride-"].iter().any(|part| text.starts_with(part)) && !text.ends_with('-') {
            found.insert(text.to_owned());
        }
    }
    found
}

#[test]
fn every_message_has_english_words() {
    let words = Words::english(Units::Metric);
    let ids = ids_in_sources();
    assert!(ids.len() > 50, "{ids:?}");
    for id in ids {
        assert!(words.has(&id), "{id} has no words");
    }
}

fn all_ids(message: &Message, found: &mut BTreeSet<String>) {
    found.insert(message.id.clone());
    for arg in message.args.values() {
        if let Arg::Say(inner) = arg {
            all_ids(inner, found);
        }
    }
}

#[test]
fn output_has_the_keys_that_other_programs_rely_on_in_their_order() {
    let json =
        serde_json::to_string(&plan(&PlanInput { space: Some(Space::hall(28.0, 15.0)), ..usual() }).unwrap())
            .unwrap();
    let mut at = 0;
    for key in [
        "\"runners\":",
        "\"name\":",
        "\"spacing_m\":",
        "\"median\":",
        "\"low\":",
        "\"high\":",
        "\"hurdle_height_cm\":",
        "\"basis\":",
        "\"lanes\":",
        "\"lane\":",
        "\"spacing_m\":",
        "\"hurdles\":",
        "\"hurdle_height_cm\":",
        "\"marks_m\":",
        "\"settings\":",
        "\"setting\":",
        "\"gap_m\":",
        "\"marks_m\":",
        "\"drills\":",
        "\"runners\":",
        "\"run_up_m\":",
        "\"run_out_m\":",
        "\"length_m\":",
        "\"misfit\":",
        "\"sum_sq_ln\":",
        "\"max_abs_ln\":",
        "\"fits\":",
        "\"warnings\":",
    ] {
        at += json[at..].find(key).unwrap_or_else(|| panic!("{key} is missing or out of order")) + key.len();
    }
}

fn any_input() -> impl Strategy<Value = PlanInput> {
    let names: Vec<String> = Ladder::built_in()
        .drills()
        .iter()
        .filter(|drill| drill.gap.is_some())
        .map(|drill| drill.id.0.clone())
        .collect();
    (
        prop::collection::vec((110.0_f64..185.0, any::<bool>(), 0.0_f64..1.0), 1..20),
        prop::sample::subsequence(names, 1..=3),
        prop_oneof![Just(None), (0.2_f64..1.0).prop_map(Some)],
        prop::collection::vec((prop::sample::select(vec![0.0, 15.0, 20.0, 30.0]), 0_u32..30), 0..3),
        prop_oneof![Just(None), (10.0_f64..70.0, 3.0_f64..30.0, any::<bool>()).prop_map(Some)],
        (prop_oneof![Just(None), (1_u32..8).prop_map(Some)], 0_u32..3),
        (prop_oneof![Just(0.0), 3.0_f64..30.0], prop::sample::select(vec![0.0, 20.0, 30.0])),
    )
        .prop_map(
            |(children, names, effort, stock, floor, (lanes_max, adults), (exit_sprint_m, height_cm))| {
                let runners = children
                    .into_iter()
                    .enumerate()
                    .map(|(index, (stature_cm, known, _))| {
                        let mut runner = runner(index, stature_cm);
                        if !known {
                            runner.stature_cm = None;
                        }
                        runner
                    })
                    .collect();
                let names: Vec<&str> = names.iter().map(String::as_str).collect();
                PlanInput {
                    runners,
                    effort,
                    height_cm,
                    space: floor.map(|(length_m, width_m, slippery)| Space {
                        surface: if slippery { Surface::Slippery } else { Surface::Hall },
                        ..Space::hall(length_m, width_m)
                    }),
                    lanes_max,
                    adults,
                    exit_sprint_m,
                    ladder: Some(Ladder::built_in()),
                    ..PlanInput::new(Vec::new(), drills(&names), kit(&stock), TODAY)
                }
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn order_of_the_class_list_has_no_part_in_the_lanes(input in any_input(), by in 0_usize..20) {
        let mut turned = input.clone();
        let count = turned.runners.len();
        turned.runners.rotate_left(by % count);
        turned.runners.reverse();
        let (here, there) = (plan(&input).unwrap(), plan(&turned).unwrap());
        prop_assert_eq!(&here.lanes, &there.lanes);
        prop_assert_eq!(&here.floor, &there.floor);
        prop_assert_eq!(here.misfit, there.misfit);
        prop_assert_eq!(lane_by_child(&here), lane_by_child(&there));
    }

    #[test]
    fn every_sentence_of_a_plan_has_words_and_all_its_arguments(input in any_input()) {
        let words = Words::english(Units::Metric);
        let plan = plan(&input).unwrap();
        let mut ids = BTreeSet::new();
        for message in plan.warnings.iter().chain(&plan.remedies) {
            all_ids(message, &mut ids);
            let text = words.say(message);
            // An argument that is missing is shown by its name in braces.
            prop_assert!(!text.contains(['{', '}']), "{}", text);
        }
        for id in ids {
            prop_assert!(words.has(&id), "{} has no words", id);
        }
    }

    #[test]
    fn ways_to_fit_really_fit(input in any_input()) {
        for changes in ways_to_fit(&input) {
            let mended = changes.iter().fold(input.clone(), |input, change| apply(&input, change));
            prop_assert!(plan(&mended).unwrap().fits, "{:?}", changes);
        }
    }

    #[test]
    fn stopping_room_follows_from_the_speed_on_every_floor(input in any_input(), length_m in 8.0_f64..80.0) {
        let Some(space) = input.space.clone() else { return Ok(()) };
        let other = PlanInput { space: Some(Space { length_m, ..space.clone() }), ..input.clone() };
        let stopping = |plan: &Plan| plan.lanes.iter().map(|lane| lane.parts.stopping_m).collect::<Vec<_>>();
        let (here, there) = (plan(&input).unwrap(), plan(&other).unwrap());
        prop_assert_eq!(stopping(&here), stopping(&there));
        for lane in &here.lanes {
            let parts = &lane.parts;
            let needed_m = parts.exit_speed_mps.powi(2) / (2.0 * site::deceleration_mps2(space.surface));
            prop_assert!(parts.stopping_m >= needed_m - 1e-12 && parts.margin_m >= site::MARGIN_M);
        }
    }

    #[test]
    fn every_child_runs_once_and_hurdles_come_out_of_the_bag(input in any_input()) {
        let plan = plan(&input).unwrap();
        let in_lanes: usize = plan.lanes.iter().map(|lane| lane.runners.len()).sum();
        prop_assert_eq!(in_lanes, input.runners.len());
        let mut used: BTreeMap<u64, u32> = BTreeMap::new();
        for lane in &plan.lanes {
            prop_assert!(lane.hurdles >= 1 && lane.hurdles <= HURDLES_PER_LANE_MAX);
            if lane.hurdle_height_cm > 0.0 {
                *used.entry(lane.hurdle_height_cm.to_bits()).or_default() += lane.hurdles;
            }
        }
        prop_assert!(plan.lanes.iter().map(|lane| lane.hurdle_height_cm).is_sorted());
        for (bits, used) in used {
            let stock: u32 = input
                .kit
                .hurdles
                .iter()
                .filter(|stock| stock.height_cm.to_bits() == bits)
                .map(|stock| stock.count)
                .sum();
            prop_assert!(used <= stock, "{} of {} at {} cm", used, stock, f64::from_bits(bits));
        }
    }
}
