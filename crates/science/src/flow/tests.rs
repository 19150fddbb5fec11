use std::collections::{BTreeMap, BTreeSet, VecDeque};

use proptest::prelude::*;

use super::*;
use crate::seeded::Seeded;

/// What happens at a lane.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    /// A child passes a hurdle; 0 stands for the end of the run-up.
    Passes { child: usize, hurdle: u32 },
    /// A child crosses the exit line.
    Exits { child: usize },
    /// A child joins the queue.
    Back { child: usize },
    /// A child is ready to start when its turn comes.
    Ready { child: usize },
    /// The lane is free for the next child.
    Free,
}

/// Everything that happened.
struct Lesson {
    /// For each child, when it started.
    starts_s: Vec<Vec<f64>>,
    /// All starts in order.
    all_starts_s: Vec<f64>,
    /// When somebody began (+1) or ended (−1) running, coming back or getting ready.
    busy: Vec<(f64, i32)>,
}

/// What varies: a factor on each time, and how many hurdles fall.
trait Chance {
    fn factor(&mut self) -> f64;
    fn falls(&mut self, lane: &LaneFlow) -> f64;
}

/// Every time is its mean.
struct Even;

impl Chance for Even {
    fn factor(&mut self) -> f64 {
        1.0
    }
    fn falls(&mut self, lane: &LaneFlow) -> f64 {
        f64::from(lane.hurdles) * (1.0 - lane.clean_rate)
    }
}

/// Each time within ±20 %, each hurdle falls or stands.
struct Varied(Seeded);

impl Chance for Varied {
    fn factor(&mut self) -> f64 {
        0.8 + 0.4 * self.0.uniform()
    }
    fn falls(&mut self, lane: &LaneFlow) -> f64 {
        (0..lane.hurdles).filter(|_| self.0.uniform() >= lane.clean_rate).count() as f64
    }
}

/// Plays a lane event by event until every child has started `rounds` times: a queue, a mark, children at places
/// along the lane, a setter who stands up what fell. Knows no closed form.
fn play(lane: &LaneFlow, paces: &Paces, rounds: usize, chance: &mut dyn Chance) -> Lesson {
    let children = lane.children as usize;
    let mut lesson = Lesson { starts_s: vec![vec![]; children], all_starts_s: vec![], busy: vec![] };
    // Ordered by time (never negative, so that bits order like numbers), then by when it was planned.
    let mut agenda: BTreeMap<(u64, usize), Event> = BTreeMap::new();
    let mut planned = 0;
    let mut plan = |agenda: &mut BTreeMap<(u64, usize), Event>, at_s: f64, event| {
        agenda.insert((at_s.to_bits(), planned), event);
        planned += 1;
    };
    let mut queue: VecDeque<usize> = (0..children).collect();
    let mut ready: BTreeSet<usize> = (0..children).collect();
    plan(&mut agenda, 0.0, Event::Free);
    let mut free = false;
    while let Some(((bits, _), event)) = agenda.pop_first() {
        let now_s = f64::from_bits(bits);
        match event {
            Event::Passes { hurdle, .. } => {
                let frees = match lane.start {
                    StartRule::Clear => hurdle == lane.hurdles,
                    StartRule::Follow { hurdle: mark } => hurdle == mark,
                };
                if frees {
                    let mut free_s = now_s + chance.falls(lane) * paces.reset_s_per_hurdle * chance.factor();
                    if lane.start != StartRule::Clear {
                        free_s += paces.follow_pause_s * chance.factor();
                    }
                    plan(&mut agenda, free_s, Event::Free);
                }
            }
            Event::Exits { child } => {
                let back_m = lane.length_m() + lane.run_out_m;
                let back_s =
                    if lane.walk_back { back_m / paces.walk_back_mps * chance.factor() } else { 0.0 };
                plan(&mut agenda, now_s + back_s, Event::Back { child });
            }
            Event::Back { child } => {
                queue.push_back(child);
                plan(&mut agenda, now_s + paces.ready_s * chance.factor(), Event::Ready { child });
            }
            Event::Ready { child } => {
                ready.insert(child);
                lesson.busy.push((now_s, -1));
            }
            Event::Free => free = true,
        }
        let Some(&child) = queue.front().filter(|child| free && ready.contains(child)) else { continue };
        queue.pop_front();
        ready.remove(&child);
        free = false;
        lesson.starts_s[child].push(now_s);
        lesson.all_starts_s.push(now_s);
        lesson.busy.push((now_s, 1));
        if lesson.starts_s.iter().all(|starts| starts.len() >= rounds) {
            return lesson;
        }
        let pace = chance.factor();
        let first = u32::from(lane.hurdles > 0);
        for hurdle in first..=lane.hurdles {
            let way_m = lane.run_up_m + f64::from(hurdle.saturating_sub(1)) * lane.gap_m;
            let at_s = now_s + pace * (lane.lag_s + way_m / lane.speed_mps);
            plan(&mut agenda, at_s, Event::Passes { child, hurdle });
        }
        let exit_s = now_s + pace * (lane.lag_s + lane.length_m() / lane.speed_mps);
        plan(&mut agenda, exit_s, Event::Exits { child });
    }
    unreachable!("somebody can always start")
}

impl Lesson {
    /// Mean time from start to start of one child, between two of its starts.
    fn interval_s(&self, child: usize, from: usize, to: usize) -> f64 {
        (self.starts_s[child][to] - self.starts_s[child][from]) / (to - from) as f64
    }

    /// Mean number of busy children between two moments.
    fn busy(&self, from_s: f64, to_s: f64) -> f64 {
        let mut changes = self.busy.clone();
        changes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut count, mut last_s, mut area) = (0, from_s, 0.0);
        for (at_s, by) in changes {
            let at_s = at_s.clamp(from_s, to_s);
            area += f64::from(count) * (at_s - last_s);
            last_s = at_s;
            count += by;
        }
        (area + f64::from(count) * (to_s - last_s)) / (to_s - from_s)
    }
}

prop_compose! {
    fn paces()(
        walk_back_mps in 0.8_f64..2.5, ready_s in 0.0_f64..8.0, reset_s_per_hurdle in 0.0_f64..8.0,
        follow_pause_s in 0.0_f64..2.0,
    ) -> Paces {
        Paces { walk_back_mps, ready_s, reset_s_per_hurdle, follow_pause_s, ..Paces::default() }
    }
}

prop_compose! {
    fn lanes()(
        children in 1_u32..13, run_up_m in 0.5_f64..10.0, hurdles in 0_u32..11, gap_m in 0.3_f64..2.0,
        exit_m in 0.0_f64..15.0, run_out_m in 0.0_f64..10.0, speed_mps in 0.8_f64..7.0, lag_s in 0.0_f64..1.5,
        clean_rate in 0.4_f64..=1.0, follow in prop::option::of(0.0_f64..1.0), walk_back in prop::bool::weighted(0.8),
    ) -> LaneFlow {
        let start = match follow {
            Some(share) if hurdles > 0 => {
                StartRule::Follow { hurdle: 1 + (share * f64::from(hurdles)) as u32 % hurdles }
            }
            _ => StartRule::Clear,
        };
        let contacts = RunSteps { per_gap: 1, run_up: 6, exit: 2 };
        LaneFlow {
            children, run_up_m, hurdles, gap_m, exit_m, run_out_m, speed_mps, lag_s, clean_rate, start, walk_back,
            contacts,
        }
    }
}

fn lane() -> LaneFlow {
    LaneFlow {
        children: 7,
        run_up_m: 5.0,
        hurdles: 6,
        gap_m: 1.25,
        exit_m: 4.0,
        run_out_m: 6.0,
        speed_mps: 3.5,
        lag_s: 1.1,
        clean_rate: 0.85,
        start: StartRule::Clear,
        walk_back: true,
        contacts: RunSteps { per_gap: 1, run_up: 6, exit: 2 },
    }
}

#[track_caller]
fn near(computed: f64, expected: f64, tolerance: f64) {
    assert!((computed - expected).abs() <= tolerance, "{computed} is not {expected} ± {tolerance}");
}

proptest! {
    #[test]
    fn a_lane_played_event_by_event_has_the_interval_of_the_closed_form(lane in lanes(), paces in paces()) {
        let flow = flow(&lane, &paces).unwrap();
        const WARM_UP: usize = 3;
        const END: usize = 12;
        let lesson = play(&lane, &paces, END + 1, &mut Even);
        for child in 0..lane.children as usize {
            let played_s = lesson.interval_s(child, WARM_UP, END);
            prop_assert!((played_s / flow.interval_s - 1.0).abs() < 1e-9, "{played_s} against {}", flow.interval_s);
        }
    }

    #[test]
    fn children_in_the_cycle_are_those_of_littles_law(lane in lanes(), paces in paces()) {
        let flow = flow(&lane, &paces).unwrap();
        let lesson = play(&lane, &paces, 10, &mut Even);
        let starts_s = &lesson.starts_s[0];
        let busy = lesson.busy(starts_s[3], starts_s[8]);
        prop_assert!((busy - flow.in_cycle).abs() < 1e-8 * f64::from(lane.children), "{busy}, {}", flow.in_cycle);
        prop_assert!(flow.in_cycle <= f64::from(lane.children) + 1e-9);
    }

    #[test]
    fn time_adds_up(lane in lanes(), paces in paces()) {
        let flow = flow(&lane, &paces).unwrap();
        prop_assert!((flow.run_s + flow.back_s + flow.wait_s - flow.interval_s).abs() < 1e-9);
        prop_assert!(flow.wait_s >= paces.ready_s - 1e-9);
        prop_assert!(flow.moving_share > 0.0 && flow.moving_share <= 1.0);
        let per_run = f64::from(flow.contacts_per_run);
        prop_assert!((flow.contacts_per_min - per_run * flow.runs_per_min).abs() < 1e-12);
    }

    #[test]
    fn one_child_more_never_means_more_runs_for_each(lane in lanes(), paces in paces()) {
        let more = LaneFlow { children: lane.children + 1, ..lane };
        let (lane, more) = (flow(&lane, &paces).unwrap(), flow(&more, &paces).unwrap());
        prop_assert!(more.runs_per_min <= lane.runs_per_min);
        prop_assert!(more.moving_share <= lane.moving_share);
    }
}

/// Times within ±20 % and hurdles that fall by chance, 300 lanes. The closed form is never beaten, and the gap is
/// widest where queue and cycle are about equally long. The figures stand on the method page.
#[test]
fn where_times_vary_the_closed_form_is_a_bound_that_lanes_come_near() {
    let mut draw = Seeded(7);
    let mut shares = Vec::new();
    let mut far_from_balance = Vec::new();
    for _ in 0..300 {
        let hurdles = 4 + draw.below(5) as u32;
        let lane = LaneFlow {
            children: 2 + draw.below(9) as u32,
            run_up_m: 1.0 + 6.0 * draw.uniform(),
            hurdles,
            gap_m: 0.5 + draw.uniform(),
            exit_m: 1.0 + 8.0 * draw.uniform(),
            run_out_m: 1.0 + 7.0 * draw.uniform(),
            speed_mps: 1.0 + 4.0 * draw.uniform(),
            clean_rate: 0.6 + 0.4 * draw.uniform(),
            start: if draw.uniform() < 0.3 {
                StartRule::Follow { hurdle: follow_from(hurdles) }
            } else {
                StartRule::Clear
            },
            ..lane()
        };
        let closed = flow(&lane, &Paces::default()).unwrap();
        const ROUNDS: usize = 1500;
        let lesson = play(&lane, &Paces::default(), ROUNDS + 1, &mut Varied(Seeded(draw.0)));
        let share = closed.interval_s / lesson.interval_s(0, 10, ROUNDS);
        shares.push(share);
        let balance = f64::from(lane.children) * closed.start_gap_s / closed.cycle_s;
        if !(0.7..=1.5).contains(&balance) {
            far_from_balance.push(share);
        }
    }
    shares.sort_by(f64::total_cmp);
    far_from_balance.sort_by(f64::total_cmp);
    let mean = shares.iter().sum::<f64>() / shares.len() as f64;
    let summary = format!(
        "mean {mean:.4}, median {:.4}, least {:.4}, 5th percentile {:.4}, most {:.4}; {} far from balance, least {:.4}",
        shares[150],
        shares[0],
        shares[15],
        shares[299],
        far_from_balance.len(),
        far_from_balance[0]
    );
    // Averages over 1,500 rounds are good to about half a percent, in lanes of two children to one.
    assert!(shares[299] < 1.01, "{summary}");
    assert!(shares[0] > 0.80, "{summary}");
    assert!(mean > 0.95, "{summary}");
    assert!(far_from_balance[0] > 0.90, "{summary}");
}

#[test]
fn numbers_out_of_range_are_named() {
    let refused = |lane: LaneFlow| flow(&lane, &Paces::default()).unwrap_err();
    assert_eq!(refused(LaneFlow { children: 0, ..lane() }).field, "children");
    assert_eq!(refused(LaneFlow { speed_mps: 0.0, ..lane() }).field, "speed_mps");
    assert_eq!(refused(LaneFlow { clean_rate: f64::NAN, ..lane() }).field, "clean_rate");
    assert_eq!(refused(LaneFlow { gap_m: -1.0, ..lane() }).field, "gap_m");
    let empty = LaneFlow { run_up_m: 0.0, hurdles: 1, exit_m: 0.0, ..lane() };
    assert_eq!(refused(empty).field, "length_m");
    let beyond = LaneFlow { start: StartRule::Follow { hurdle: 7 }, ..lane() };
    assert_eq!(
        refused(beyond).to_string(),
        "start.hurdle is 7; allowed is 1 to the number of hurdles in the lane"
    );
    let paces = Paces { walk_back_mps: 0.0, ..Paces::default() };
    assert_eq!(flow(&lane(), &paces).unwrap_err().field, "walk_back_mps");
}

#[test]
fn two_contacts_a_gap_count_double_between_the_hurdles() {
    let twice = LaneFlow { contacts: RunSteps { per_gap: 2, ..lane().contacts }, ..lane() };
    let (once, twice) = (flow(&lane(), &Paces::default()).unwrap(), flow(&twice, &Paces::default()).unwrap());
    assert_eq!((once.contacts_per_run, twice.contacts_per_run), (5 + 8, 10 + 8));
}

#[test]
fn the_note_on_moving_time_knows_the_half() {
    assert_eq!(moving_note(0.5).id, "flow-moving-half");
    assert_eq!(flow(&lane(), &Paces::default()).unwrap().moving_note().id, "flow-moving-less");
}

// What would help.

fn class() -> Vec<LaneAsk> {
    let ask = |label: &str, flow| LaneAsk { label: label.into(), flow, slower: 1.0, setters: 1, helpers: 0 };
    vec![
        ask("A", lane()),
        ask("B", LaneFlow { children: 8, gap_m: 1.4, speed_mps: 4.0, ..lane() }),
        ask("C", LaneFlow { children: 6, hurdles: 8, ..lane() }),
    ]
}

const OPEN: Room = Room { one_more_lane: true, spare_hurdles: 8, follow_starts: true };

fn help_of(helps: &[Help], change: Change) -> &Help {
    helps.iter().find(|help| help.change == change).expect("it is named")
}

#[test]
fn the_change_that_adds_most_moving_time_comes_first() {
    let helps = what_would_help(&class(), &OPEN, &Paces::default()).unwrap();
    assert!(helps.windows(2).all(|pair| pair[0].moving_share.gain() >= pair[1].moving_share.gain()));
    // Standing hurdles up is half of the time between two starts: a second setter takes a quarter off.
    let second = help_of(&helps, Change::SecondSetter);
    let class_moving_share = |reset_s_per_hurdle| {
        let paces = Paces { reset_s_per_hurdle, ..Paces::default() };
        let of_lane =
            |ask: &LaneAsk| f64::from(ask.flow.children) * flow(&ask.flow, &paces).unwrap().moving_share;
        class().iter().map(of_lane).sum::<f64>() / 21.0
    };
    near(second.moving_share.before, class_moving_share(4.0), 1e-12);
    near(second.moving_share.after, class_moving_share(2.0), 1e-12);
    assert_eq!(second.lanes, ["A", "B", "C"]);
    assert!(helps[0].moving_share.gain() > 0.02, "{helps:?}");
}

#[test]
fn every_sentence_has_its_words() {
    use lanewright_model::words::{Units, Words};
    let words = Words::english(Units::Metric);
    let few = LaneAsk { flow: LaneFlow { children: 2, ..lane() }, ..class().remove(0) };
    let mut said = Vec::new();
    for lanes in [class(), vec![few]] {
        said.extend(
            what_would_help(&lanes, &OPEN, &Paces::default()).unwrap().into_iter().map(|help| help.say),
        );
    }
    said.extend([moving_note(0.3), moving_note(0.6)]);
    for open in [1, 3] {
        said.extend(Roster { turns: vec![], uncovered_starts: open }.note());
    }
    let ids: BTreeSet<&str> = said.iter().map(|message| message.id.as_str()).collect();
    assert_eq!(ids.len(), 6 + 2 + 1);
    for message in &said {
        let text = words.say(message);
        assert!(!text.contains('{') && text != message.id, "{text}");
    }
    let helps = what_would_help(&class(), &OPEN, &Paces::default()).unwrap();
    let text = words.say(&help_of(&helps, Change::SecondSetter).say);
    assert!(
        text.starts_with("Put a second setter at lanes A, B, C. Moving time in the blocks 39 % → 50 %, runs"),
        "{text}"
    );
}

#[test]
fn a_change_over_blocks_does_what_it_does_in_each_by_their_minutes() {
    let long: Vec<LaneAsk> = class()
        .into_iter()
        .map(|ask| LaneAsk { flow: LaneFlow { gap_m: 1.6, ..ask.flow }, slower: 1.2, ..ask })
        .collect();
    let of = |lanes: &[LaneAsk]| {
        let helps = what_would_help(lanes, &OPEN, &Paces::default()).unwrap();
        help_of(&helps, Change::SecondSetter).moving_share
    };
    let (first, second) = (of(&class()), of(&long));
    let both = what_would_help_over(&[(3.0, class()), (9.0, long)], &OPEN, &Paces::default()).unwrap();
    let both = help_of(&both, Change::SecondSetter);
    near(both.moving_share.before, 0.25 * first.before + 0.75 * second.before, 1e-12);
    near(both.moving_share.after, 0.25 * first.after + 0.75 * second.after, 1e-12);
    assert_eq!(both.lanes, ["A", "B", "C"]);
}

#[test]
fn runs_that_stay_the_same_are_said_to_hardly_change() {
    use lanewright_model::words::{Language, Units, Words};
    let words = Words::new(Language::English, Units::Metric);
    let helps = what_would_help(&class(), &OPEN, &Paces::default()).unwrap();
    let alike = |help: &&Help| {
        let shown = |runs_per_min: f64| (runs_per_min * 10.0).round();
        shown(help.runs_per_min.before) == shown(help.runs_per_min.after)
    };
    let (same, other): (Vec<&Help>, Vec<&Help>) = helps.iter().partition(alike);
    assert!(!same.is_empty() && !other.is_empty(), "{helps:?}");
    assert!(same.iter().all(|help| words.say(&help.say).ends_with("runs of a child hardly change.")));
    assert!(other.iter().all(|help| words.say(&help.say).contains("runs of a child in ten minutes")));
}

#[test]
fn one_more_lane_splits_children_and_shares_the_bag() {
    let room = Room { spare_hurdles: 0, ..OPEN };
    let helps = what_would_help(&class(), &room, &Paces::default()).unwrap();
    let help = help_of(&helps, Change::OneMoreLane);
    // 20 hurdles over four lanes: five in each. Lane B, with eight children, gives four to the new one.
    let after = |children, ask: &LaneAsk| {
        let lane = LaneFlow { children, hurdles: 5, ..ask.flow };
        f64::from(children) * flow(&lane, &Paces::default()).unwrap().moving_share
    };
    let class = class();
    let expected =
        (after(7, &class[0]) + after(4, &class[1]) + after(4, &class[1]) + after(6, &class[2])) / 21.0;
    near(help.moving_share.after, expected, 1e-12);
    assert_eq!(help.lanes, ["B"]);
    assert_eq!(helps.iter().filter(|help| help.change == Change::OneMoreLane).count(), 1);
}

#[test]
fn what_bag_floor_and_rules_forbid_is_not_named() {
    let closed = Room { one_more_lane: false, spare_hurdles: 0, follow_starts: false };
    let helps = what_would_help(&class(), &closed, &Paces::default()).unwrap();
    assert!(helps.iter().all(|help| !matches!(help.change, Change::OneMoreLane | Change::FollowStarts)));
    let few: Vec<LaneAsk> =
        class().into_iter().map(|ask| LaneAsk { flow: LaneFlow { hurdles: 4, ..ask.flow }, ..ask }).collect();
    let helps = what_would_help(&few, &Room { spare_hurdles: 0, ..OPEN }, &Paces::default()).unwrap();
    assert!(helps.iter().all(|help| !matches!(help.change, Change::OneMoreLane | Change::OneHurdleFewer)));
}

#[test]
fn two_queues_help_only_where_nobody_waits_anyway() {
    let of = |children| {
        let lane = LaneAsk { flow: LaneFlow { children, ..lane() }, ..class().remove(0) };
        let helps = what_would_help(&[lane], &OPEN, &Paces::default()).unwrap();
        helps.into_iter().find(|help| help.change == Change::TwoQueues)
    };
    assert_eq!(of(7), None);
    let few = of(2).expect("two children are never in each other's way");
    near(few.moving_share.after, 1.0, 1e-12);
}

#[test]
fn a_change_names_only_the_lanes_where_it_changes_something() {
    let mut lanes = class();
    lanes[1].flow.children = 2;
    let helps = what_would_help(&lanes, &OPEN, &Paces::default()).unwrap();
    assert_eq!(help_of(&helps, Change::TwoQueues).lanes, ["B"]);
    // Four hurdles: following at the third saves less than the pause before following.
    let short = LaneAsk { flow: LaneFlow { hurdles: 4, ..lane() }, ..class().remove(0) };
    let helps = what_would_help(&[short], &OPEN, &Paces::default()).unwrap();
    assert!(helps.iter().all(|help| help.change != Change::FollowStarts));
}

#[test]
fn nobody_sets_where_nobody_waits() {
    let lane = LaneAsk { flow: LaneFlow { children: 2, ..lane() }, ..class().remove(0) };
    let helps = what_would_help(std::slice::from_ref(&lane), &OPEN, &Paces::default()).unwrap();
    assert!(helps.iter().all(|help| !matches!(help.change, Change::SecondSetter | Change::FollowStarts)));
    let helped = LaneAsk { helpers: 2, flow: LaneFlow { children: 4, ..lane.flow }, ..lane };
    let helps = what_would_help(&[helped], &OPEN, &Paces::default()).unwrap();
    assert!(helps.iter().any(|help| help.change == Change::SecondSetter));
}

#[test]
fn jogging_back_gives_no_moving_time_to_a_queue_and_says_so() {
    let helps = what_would_help(&class(), &OPEN, &Paces::default()).unwrap();
    let jog = help_of(&helps, Change::JogBack);
    assert!(jog.moving_share.gain() < 0.0);
    near(jog.runs_per_min.gain(), 0.0, 1e-12);
    assert_eq!(helps.last().map(|help| help.change), Some(Change::JogBack));
}

// Learning the pace.

/// One simulated lesson: starts of each lane, and each lane's true runs per child per minute.
fn simulated_lesson(draw: &mut Seeded, lane_sd: f64, gap_cv: f64) -> Vec<(LaneStarts, f64, u32)> {
    let class_offset = CLASS_SD_LN * draw.normal();
    let lanes = 3 + draw.below(4);
    (0..lanes)
        .map(|_| {
            let children = 4 + draw.below(6) as u32;
            let model_interval_s = 20.0 + 40.0 * draw.uniform();
            let interval_s = model_interval_s * libm::exp(class_offset + lane_sd * draw.normal());
            let mean_gap_s = interval_s / f64::from(children);
            // Gamma-like gaps of the given spread: a mean of independent exponentials.
            let parts = (1.0 / (gap_cv * gap_cv)).round() as usize;
            let mut starts_s = vec![0.0];
            let mut pauses = 0;
            for _ in 0..4 + draw.below(40) {
                let gap: f64 =
                    (0..parts).map(|_| -libm::log(draw.uniform())).sum::<f64>() / parts as f64 * mean_gap_s;
                let pause = draw.uniform() < 0.04;
                pauses += u32::from(pause);
                let talk_s = if pause { mean_gap_s * (10.0 + 10.0 * draw.uniform()) } else { 0.0 };
                starts_s.push(starts_s.last().unwrap() + if pause { talk_s } else { gap });
            }
            (LaneStarts { starts_s, children, model_interval_s }, 60.0 / interval_s, pauses)
        })
        .collect()
}

fn coverage(lane_sd: f64, gap_cv: f64) -> f64 {
    let mut draw = Seeded(11);
    let (mut inside, mut all, mut pauses_found, mut pauses_made) = (0, 0, 0, 0);
    for _ in 0..400 {
        let lesson = simulated_lesson(&mut draw, lane_sd, gap_cv);
        let lanes: Vec<LaneStarts> = lesson.iter().map(|(lane, _, _)| lane.clone()).collect();
        for (learned, (_, truth, pauses)) in learn_interval(&lanes).unwrap().iter().zip(&lesson) {
            let runs = &learned.runs_per_min;
            assert!(runs.low <= runs.median && runs.median <= runs.high);
            inside += u32::from((runs.low..=runs.high).contains(truth));
            all += 1;
            pauses_found += learned.pauses;
            pauses_made += pauses;
        }
    }
    // Two talks among four gaps look like the usual gap; a very uneven lane has single gaps that look like a talk.
    let found = f64::from(pauses_found) / f64::from(pauses_made);
    assert!((0.97..1.05).contains(&found), "{found} of the pauses found");
    f64::from(inside) / f64::from(all)
}

#[test]
fn ninety_percent_intervals_hold_the_true_pace_nine_times_in_ten() {
    for (lane_sd, gap_cv) in [(0.05, 0.25), (0.15, 0.25), (0.3, 0.25), (0.15, 0.5), (0.15, 0.1)] {
        let share = coverage(lane_sd, gap_cv);
        assert!((0.85..=0.95).contains(&share), "lanes apart by {lane_sd}, gaps by {gap_cv}: {share}");
    }
}

#[test]
fn the_pace_of_lanes_played_event_by_event_is_found() {
    let mut draw = Seeded(3);
    let (mut inside, mut all) = (0, 0);
    for _ in 0..120 {
        let lesson: Vec<(LaneStarts, f64)> = (0..4)
            .map(|_| {
                let lane = LaneFlow {
                    children: 4 + draw.below(6) as u32,
                    clean_rate: 0.7 + 0.3 * draw.uniform(),
                    speed_mps: 2.0 + 2.5 * draw.uniform(),
                    ..lane()
                };
                let model_interval_s = flow(&lane, &Paces::default()).unwrap().interval_s;
                let long = play(&lane, &Paces::default(), 800, &mut Varied(Seeded(draw.0)));
                let truth = 60.0 / long.interval_s(0, 10, 799);
                draw.uniform();
                let seen = 10 + draw.below(40);
                let starts_s = long.all_starts_s[..seen].to_vec();
                (LaneStarts { starts_s, children: lane.children, model_interval_s }, truth)
            })
            .collect();
        let lanes: Vec<LaneStarts> = lesson.iter().map(|(lane, _)| lane.clone()).collect();
        for (learned, (_, truth)) in learn_interval(&lanes).unwrap().iter().zip(&lesson) {
            inside += u32::from((learned.runs_per_min.low..=learned.runs_per_min.high).contains(truth));
            all += 1;
        }
    }
    let share = f64::from(inside) / f64::from(all);
    // Gaps of neighbouring starts make up for each other, so intervals are a little wide rather than narrow.
    assert!((0.85..=0.99).contains(&share), "{share}");
}

#[test]
fn a_lane_without_starts_leans_on_the_others_and_the_model() {
    let starts_s: Vec<f64> = (0..40).map(|start| 10.0 * f64::from(start)).collect();
    let silent = LaneStarts { starts_s: vec![], children: 6, model_interval_s: 48.0 };
    let slow = LaneStarts { starts_s, children: 6, model_interval_s: 48.0 };
    let alone = learn_interval(std::slice::from_ref(&silent)).unwrap().remove(0).runs_per_min;
    near(alone.median, 1.25, 1e-9);
    assert_eq!(alone.n, 0);
    let both = learn_interval(&[silent, slow]).unwrap();
    // The model says 1.25; the other lane runs once a minute.
    assert!(both[0].runs_per_min.median < 1.15 && both[0].runs_per_min.median > 1.0);
    assert!((both[1].runs_per_min.median - 1.0).abs() < 0.02);
    let width = |estimate: &lanewright_model::Estimate| estimate.high / estimate.low;
    assert!(width(&both[1].runs_per_min) < width(&both[0].runs_per_min));
    assert!(width(&both[0].runs_per_min) < width(&alone));
}

#[test]
fn a_talk_between_runs_is_left_out_and_counted() {
    let mut starts_s: Vec<f64> = (0..20).map(|start| 8.0 * f64::from(start)).collect();
    let even = LaneStarts { starts_s: starts_s.clone(), children: 6, model_interval_s: 48.0 };
    for start_s in &mut starts_s[10..] {
        *start_s += 240.0;
    }
    let talked = LaneStarts { starts_s, ..even.clone() };
    let (even, talked) =
        (learn_interval(&[even]).unwrap().remove(0), learn_interval(&[talked]).unwrap().remove(0));
    assert_eq!((even.pauses, talked.pauses), (0, 1));
    assert!((even.runs_per_min.median / talked.runs_per_min.median - 1.0).abs() < 0.01);
    let bad = LaneStarts { starts_s: vec![f64::NAN], children: 6, model_interval_s: 48.0 };
    assert_eq!(learn_interval(&[bad]).unwrap_err().field, "starts_s");
}

// Setters.

fn names(prefix: &str, count: usize) -> Vec<String> {
    (0..count).map(|index| format!("{prefix}{index}")).collect()
}

/// Returns who sets at each start.
fn by_start(roster: &Roster) -> Vec<Vec<String>> {
    roster
        .turns
        .iter()
        .flat_map(|turn| (turn.first_start..=turn.last_start).map(|_| turn.who.clone()))
        .collect()
}

proptest! {
    #[test]
    fn setters_are_free_fair_and_helpers_first(
        runners in 1_usize..14, helpers in 0_usize..4, setters_at_a_time in 1_u32..3, turn_runs in 1_u32..6,
        busy_starts in 1_u32..8, starts in 1_u32..80,
    ) {
        let (runners, helpers) = (names("r", runners), names("h", helpers));
        let ask = RosterAsk { setters: setters_at_a_time, turn_runs, busy_starts, starts };
        let roster = setters(&runners, &helpers, &ask).unwrap();
        let covered = by_start(&roster);
        prop_assert_eq!(covered.len(), starts as usize);
        let mut set: BTreeMap<&str, u32> = BTreeMap::new();
        let count = runners.len();
        for (start, who) in covered.iter().enumerate() {
            prop_assert!(who.len() <= setters_at_a_time as usize);
            let distinct: BTreeSet<_> = who.iter().collect();
            prop_assert_eq!(distinct.len(), who.len());
            let helping = who.iter().filter(|name| name.starts_with('h')).count();
            prop_assert_eq!(helping, helpers.len().min(setters_at_a_time as usize));
            for name in who {
                *set.entry(name).or_default() += 1;
                let Some(child) = runners.iter().position(|runner| runner == name) else { continue };
                // Whose turn it is from `busy_starts` − 1 starts ago up to the next start.
                for other in start.saturating_sub(busy_starts as usize - 1)..=start + 1 {
                    prop_assert_ne!(other % count, child, "start {}", start);
                }
            }
            // In any moment, nobody is more than one turn ahead of another.
            for group in [&runners, &helpers] {
                let done = |name: &String| set.get(name.as_str()).copied().unwrap_or(0);
                let most = group.iter().map(done).max().unwrap_or(0);
                let least = group.iter().map(done).min().unwrap_or(0);
                prop_assert!(most - least <= turn_runs, "start {}: {} and {}", start, most, least);
            }
        }
    }

    #[test]
    fn hands_are_missing_only_where_too_few_wait(
        runners in 2_usize..16, setters_at_a_time in 1_u32..3, turn_runs in 1_u32..6, busy_starts in 1_u32..8,
    ) {
        let ask = RosterAsk { setters: setters_at_a_time, turn_runs, busy_starts, starts: 120 };
        let roster = setters(&names("r", runners), &[], &ask).unwrap();
        let waiting = runners as u32 - (busy_starts + 1).min(runners as u32);
        prop_assert_eq!(roster.note().is_some(), roster.uncovered_starts > 0);
        if waiting < setters_at_a_time {
            prop_assert!(roster.uncovered_starts > 0);
        } else if waiting >= 2 * setters_at_a_time && turn_runs >= setters_at_a_time {
            // Two at a time who take single turns and may never be two ahead can leave a start open.
            prop_assert_eq!(roster.uncovered_starts, 0);
        }
    }
}

#[test]
fn a_queue_of_seven_shares_the_job() {
    let flow = flow(&lane(), &Paces::default()).unwrap();
    // Run, way back and getting ready take 24.8 s, a start gap 7.9 s: busy for four starts.
    assert_eq!(flow.busy_starts(), 4);
    let ask = RosterAsk { setters: 1, turn_runs: TURN_RUNS, busy_starts: flow.busy_starts(), starts: 42 };
    let roster = setters(&names("r", 7), &[], &ask).unwrap();
    assert_eq!(roster.uncovered_starts, 0);
    let mut set: BTreeMap<String, u32> = BTreeMap::new();
    for who in by_start(&roster).concat() {
        *set.entry(who).or_default() += 1;
    }
    assert_eq!(set.len(), 7);
    assert!(set.values().all(|count| (5..=7).contains(count)), "{set:?}");
}
