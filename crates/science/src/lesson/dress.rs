//! From the numbers of a plan to what a coach reads: who, why, what to say, what to take care of.

use std::collections::BTreeMap;

use lanewright_model::drill::{Drill, DrillId, Family, Ladder, Setting};
use lanewright_model::plan::Plan;
use lanewright_model::words::{Arg, Message};

use super::search::value_of;
use super::{
    Block, BlockGroup, ClassPace, EASY_RATE, FixedPart, GAP_CLOSED, Known, LaneGroup, Lesson, LessonInput,
    METHOD, Moving, Solution, Task, Use, Worth, done_by, lane_flow, mean, members,
};
use crate::body::{age_on, growth};
use crate::contacts::{self, RUN_ON_CONTACTS, Unrecorded};
use crate::flow::{self, Flow, FlowError, LaneAsk, Room, RosterAsk, TURN_RUNS};

/// Sentences that name what would keep children moving more.
const MORE_MOVING_MAX: usize = 3;
/// Who carries hurdles when a lane is re-set.
const MOVERS: usize = 2;

pub(super) struct Undressed<'a, 'b> {
    pub input: &'b LessonInput<'a>,
    pub fixed: Vec<FixedPart>,
    pub drills: &'b [&'a Drill],
    pub numbers: &'b [usize],
    pub known: &'b [Vec<Known>],
    pub plan: Plan,
    pub left_out: Vec<DrillId>,
    pub pace: Option<ClassPace>,
    pub task: &'b Task,
    pub solution: Solution,
}

/// A drill's name as an argument: words where there are some, else the name in the drill file.
pub(crate) fn drill_arg(drill: &Drill) -> Arg {
    match Ladder::built_in().get(&drill.id.0) {
        Some(_) => Arg::Say(Box::new(Message::new(&format!("drill-{}", drill.id)))),
        None => Arg::Text(drill.name.clone()),
    }
}

fn count(number: usize) -> Arg {
    Arg::Count(number as i64)
}

pub(super) fn dressed(own: &Undressed) -> Result<Lesson, FlowError> {
    let groups: Vec<Vec<usize>> =
        own.plan.lanes.iter().map(|lane| members(own.input, &own.plan, &lane.lane)).collect();
    // done[group][child][block]
    let done: Vec<Vec<Vec<Option<usize>>>> = groups
        .iter()
        .enumerate()
        .map(|(group, children)| {
            (0..children.len()).map(|child| done_by(own.task, group, child, &own.solution.blocks)).collect()
        })
        .collect();
    let flows = flows(own, &groups)?;
    let mut blocks = Vec::with_capacity(own.solution.blocks.len());
    for index in 0..own.solution.blocks.len() {
        blocks.push(block(own, &groups, &done, &flows, index)?);
    }
    let mut lesson = Lesson {
        use_for: own.input.use_for,
        value: own.solution.value,
        bound: own.solution.bound,
        gap: if own.solution.bound > 0.0 { 1.0 - own.solution.value / own.solution.bound } else { 0.0 },
        relaxation: relaxation(&own.solution).to_owned(),
        relaxed_bound: own.solution.relaxed_bound,
        total_minutes: own.fixed.iter().map(|part| part.minutes).sum::<u32>()
            + blocks.iter().map(|block| block.minutes + block.change_minutes).sum::<u32>(),
        minutes: own.input.minutes,
        fixed: own.fixed.clone(),
        groups: lane_groups(own, &groups),
        worth: worth(own),
        names: own
            .input
            .lanes
            .runners
            .iter()
            .map(|runner| (runner.id.0.clone(), runner.label.clone()))
            .collect(),
        fits: own.plan.fits,
        moving: moving(own, &groups, &flows),
        pace: own.pace.clone(),
        more_moving: more_moving(own, &groups)?,
        demonstrate: Vec::new(),
        talk: Vec::new(),
        jobs: jobs(own),
        card: Vec::new(),
        cautions: cautions(own),
        prompts: prompts(own, &groups, &done),
        notes: Vec::new(),
        blocks,
        plan: Some(own.plan.clone()),
        method: METHOD.to_owned(),
    };
    lesson.demonstrate = first_of_each(own, |drill| {
        Message::new("lesson-show").with("drill", drill_arg(drill)).with("how", drill.how_arg())
    });
    lesson.talk = talk(own);
    lesson.card = card(own, &lesson);
    lesson.notes = notes(own, &lesson, &groups, &done);
    Ok(lesson)
}

/// What the lanes ask care for; a caution about running both ways only where a block does.
fn cautions(own: &Undressed) -> Vec<Message> {
    let mains = own.solution.blocks.iter().flat_map(|block| &block.mains);
    let both_ways = mains.into_iter().any(|drill| own.drills[*drill].both_ways);
    own.plan
        .remedies
        .iter()
        .chain(&own.plan.warnings)
        .filter(|message| both_ways || message.id != "plan-tip-both-ways")
        .cloned()
        .collect()
}

fn relaxation(solution: &Solution) -> &'static str {
    if solution.finished {
        "branch and bound, searched to the end; bounds from the relaxation that takes every lane for itself and leaves \
         the order of the blocks open"
    } else {
        "every lane for itself, without the limit on different drills at a time, and with the order of the blocks left \
         open"
    }
}

/// flows[block][group]
fn flows(own: &Undressed, groups: &[Vec<usize>]) -> Result<Vec<Vec<Flow>>, FlowError> {
    own.solution
        .blocks
        .iter()
        .map(|block| {
            groups
                .iter()
                .enumerate()
                .map(|(group, children)| {
                    let ask = flow_of(own, group, block.mains[group], children);
                    let lane = &own.plan.lanes[group].lane;
                    let factor = own.pace.as_ref().map_or(1.0, |pace| pace.factor_of(lane));
                    flow::flow(&ask, &own.input.paces).map(|flow| flow.slowed(factor))
                })
                .collect()
        })
        .collect()
}

fn flow_of(own: &Undressed, group: usize, drill: usize, children: &[usize]) -> flow::LaneFlow {
    let clean = mean(children.iter().map(|child| own.known[*child][own.numbers[drill]].worth.e_c));
    lane_flow(own.input, &own.plan.lanes[group], own.drills[drill], children.len() as u32, clean)
        .expect("the search chooses drills that the lane holds")
}

fn label(own: &Undressed, child: usize) -> String {
    own.input.lanes.runners[child].label.clone()
}

/// The helping children of a lane: shared out in turn.
fn helpers(own: &Undressed, group: usize) -> Vec<String> {
    let lanes = own.plan.lanes.len();
    own.input.helping.iter().skip(group).step_by(lanes).cloned().collect()
}

fn block(
    own: &Undressed,
    groups: &[Vec<usize>],
    done: &[Vec<Vec<Option<usize>>>],
    flows: &[Vec<Flow>],
    index: usize,
) -> Result<Block, FlowError> {
    let planned = &own.solution.blocks[index];
    let mut lanes = Vec::with_capacity(groups.len());
    for (group, children) in groups.iter().enumerate() {
        let main = planned.mains[group];
        let drill = own.drills[main];
        let lane = &own.plan.lanes[group];
        let setting = lane.settings.iter().find(|known| known.drills.contains(&drill.id));
        let setting = setting.expect("the search chooses drills that the lane holds");
        let flow = flows[index][group];
        let runs = flow.runs_per_min * f64::from(planned.minutes);
        let labels: Vec<String> = children.iter().map(|child| label(own, *child)).collect();
        let ask = RosterAsk {
            setters: 1,
            turn_runs: TURN_RUNS,
            starts: (runs * children.len() as f64).ceil() as u32,
            busy_starts: flow.busy_starts(),
        };
        let roster = flow::setters(&labels, &helpers(own, group), &ask)?;
        let mut setters: Vec<String> = Vec::new();
        for name in roster.turns.iter().flat_map(|turn| &turn.who) {
            if !setters.contains(name) {
                setters.push(name.clone());
            }
        }
        let before = index.checked_sub(1).map(|before| &own.solution.blocks[before]);
        let is_reset = before.is_some_and(|before| {
            own.task.groups[group].setting[before.mains[group]] != own.task.groups[group].setting[main]
        });
        let movers = if is_reset {
            let hands = helpers(own, group).into_iter().chain(labels.iter().cloned());
            hands.take(MOVERS).collect()
        } else {
            Vec::new()
        };
        let spot = on_the_spot(own.input.ladder);
        let easier = children
            .iter()
            .zip(&done[group])
            .filter(|(_, done)| done[index] != Some(main))
            .map(|(child, done)| {
                let id = match done[index] {
                    Some(drill) => own.drills[drill].id.clone(),
                    None => spot.clone(),
                };
                (own.input.lanes.runners[*child].id.0.clone(), id)
            })
            .collect();
        let over_lines = children
            .iter()
            .zip(&done[group])
            .filter(|(child, done)| index == 0 && needs_lines(own, **child, done))
            .map(|(child, _)| own.input.lanes.runners[*child].id.0.clone())
            .collect();
        lanes.push(BlockGroup {
            lane: lane.lane.clone(),
            setting: setting.setting,
            gap_m: setting.gap_m,
            drill: drill.id.clone(),
            easier,
            over_lines,
            runs_per_child: runs,
            contacts_per_child: runs * f64::from(flow.contacts_per_run),
            flow,
            setters,
            starts_without_setter: roster.uncovered_starts,
            movers,
            watch_for: drill.key_fault.clone(),
            lead_changes: drill.contacts_per_gap == Some(2) && !drill.both_ways,
        });
    }
    let without: Vec<_> = own
        .solution
        .blocks
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != index)
        .map(|(_, block)| block.clone())
        .collect();
    let share =
        if own.solution.value > 0.0 { 1.0 - value_of(own.task, &without) / own.solution.value } else { 0.0 };
    Ok(Block {
        minutes: planned.minutes,
        change_minutes: if planned.change { own.task.change_minutes } else { 0 },
        groups: lanes,
        why: why(own, groups, done, index, share),
        share,
    })
}

/// The last drill on the spot: both legs.
fn on_the_spot(ladder: &Ladder) -> DrillId {
    let spot = ladder.drills().iter().rev().find(|drill| drill.family == Family::OnTheSpot);
    spot.map_or_else(|| DrillId("on-the-spot".to_owned()), |drill| drill.id.clone())
}

/// Whether nothing that the child does in this lesson is easy enough, so that it starts over floor lines.
fn needs_lines(own: &Undressed, child: usize, done: &[Option<usize>]) -> bool {
    let easy = |drill: usize| own.known[child][own.numbers[drill]].worth.e_c >= EASY_RATE;
    done.iter().all(|drill| drill.is_some_and(|drill| !easy(drill)))
}

fn why(
    own: &Undressed,
    groups: &[Vec<usize>],
    done: &[Vec<Vec<Option<usize>>>],
    index: usize,
    share: f64,
) -> Vec<Message> {
    let mut said = Vec::new();
    for (number, drill) in own.drills.iter().enumerate() {
        // Children who do this drill now: working on it or keeping it, and those for whom it opens another.
        let (mut working, mut keeping, mut unseen, mut rates) = (0, 0, 0, Vec::new());
        let mut opens: BTreeMap<usize, usize> = BTreeMap::new();
        for (group, children) in groups.iter().enumerate() {
            for (place, child) in children.iter().enumerate() {
                let own_done = &done[group][place];
                if own_done[index] != Some(number) {
                    continue;
                }
                let worth = &own.known[*child][own.numbers[number]].worth;
                rates.push(worth.e_c);
                if worth.clean && worth.runs == 0 {
                    unseen += 1;
                } else if worth.clean {
                    keeping += 1;
                } else {
                    working += 1;
                }
                for later in own_done[index + 1..].iter().flatten() {
                    let after = own.known[*child][own.numbers[*later]].after.as_ref();
                    if after.is_some_and(|after| after.contains(&own.numbers[number])) {
                        *opens.entry(*later).or_default() += 1;
                        break;
                    }
                }
            }
        }
        let rate = Arg::Share(mean(rates.iter().copied()));
        if working > 0 {
            said.push(
                Message::new("lesson-why-working")
                    .with("drill", drill_arg(drill))
                    .with("children", count(working))
                    .with("rate", rate.clone()),
            );
        }
        if keeping > 0 {
            said.push(
                Message::new("lesson-why-keeping")
                    .with("drill", drill_arg(drill))
                    .with("children", count(keeping)),
            );
        }
        if unseen > 0 {
            said.push(
                Message::new("lesson-why-unseen")
                    .with("drill", drill_arg(drill))
                    .with("children", count(unseen)),
            );
        }
        for (later, children) in opens {
            said.push(
                Message::new("lesson-why-opens")
                    .with("drill", drill_arg(drill))
                    .with("later", drill_arg(own.drills[later]))
                    .with("children", count(children)),
            );
        }
    }
    let planned = &own.solution.blocks[index];
    if planned.change {
        said.push(
            Message::new("lesson-why-change").with("minutes", Arg::Count(i64::from(own.task.change_minutes))),
        );
    } else if index > 0 {
        said.push(Message::new("lesson-why-no-change"));
    }
    said.push(Message::new("lesson-why-share").with("share", Arg::Share(share.max(0.0))));
    said
}

fn lane_groups(own: &Undressed, groups: &[Vec<usize>]) -> Vec<LaneGroup> {
    let spot = on_the_spot(own.input.ladder);
    own.plan
        .lanes
        .iter()
        .zip(groups)
        .enumerate()
        .map(|(group, (lane, children))| {
            let mut rho = BTreeMap::new();
            let mut spacing_m = BTreeMap::new();
            for (number, drill) in own.drills.iter().enumerate() {
                let setting = lane.settings.iter().find(|known| known.drills.contains(&drill.id));
                if let Some(setting) = setting {
                    rho.insert(drill.id.0.clone(), own.task.groups[group].rho[number]);
                    spacing_m.insert(drill.id.0.clone(), setting.gap_m);
                }
            }
            // On the spot there are no runs to count.
            rho.insert(spot.0.clone(), 0.0);
            LaneGroup {
                lane: lane.lane.clone(),
                runners: children.iter().map(|child| own.input.lanes.runners[*child].id.0.clone()).collect(),
                rho,
                spacing_m,
                hurdles: lane.hurdles,
                hurdle_height_cm: lane.hurdle_height_cm,
            }
        })
        .collect()
}

fn worth(own: &Undressed) -> BTreeMap<String, BTreeMap<String, Worth>> {
    let spot = on_the_spot(own.input.ladder);
    let nothing = Worth { w: 0.0, e_g: 0.0, e_c: 1.0, clean: true, runs: 0 };
    own.input
        .lanes
        .runners
        .iter()
        .zip(own.known)
        .map(|(runner, known)| {
            let mut drills: BTreeMap<String, Worth> = own
                .drills
                .iter()
                .zip(own.numbers)
                .map(|(drill, number)| (drill.id.0.clone(), known[*number].worth))
                .collect();
            drills.insert(spot.0.clone(), nothing);
            (runner.id.0.clone(), drills)
        })
        .collect()
}

fn moving(own: &Undressed, groups: &[Vec<usize>], flows: &[Vec<Flow>]) -> Moving {
    let children: f64 = groups.iter().map(|group| group.len() as f64).sum();
    let block_minutes: f64 = own.solution.blocks.iter().map(|block| f64::from(block.minutes)).sum();
    let (mut minutes, mut runs) = (0.0, 0.0);
    let mut by_lane = vec![0.0; groups.len()];
    for (block, flows) in own.solution.blocks.iter().zip(flows) {
        for (group, flow) in flows.iter().enumerate() {
            let of = f64::from(block.minutes) * groups[group].len() as f64;
            minutes += flow.moving_share * of;
            runs += flow.runs_per_min * of;
            by_lane[group] += flow.moving_share * f64::from(block.minutes);
        }
    }
    let minutes_per_child = minutes / children;
    Moving {
        minutes_per_child,
        share_of_blocks: minutes_per_child / block_minutes,
        share_of_lesson: minutes_per_child / f64::from(own.input.minutes),
        runs_per_child: runs / children,
        least_share: by_lane.iter().copied().fold(f64::INFINITY, f64::min) / block_minutes,
    }
}

/// The changes that would keep children moving more, each tried in all blocks.
fn more_moving(own: &Undressed, groups: &[Vec<usize>]) -> Result<Vec<flow::Help>, FlowError> {
    let lanes_in = |mains: &[usize]| -> Vec<LaneAsk> {
        let of_lane = |(group, children): (usize, &Vec<usize>)| {
            let lane = &own.plan.lanes[group].lane;
            LaneAsk {
                label: lane.clone(),
                flow: flow_of(own, group, mains[group], children),
                slower: own.pace.as_ref().map_or(1.0, |pace| pace.factor_of(lane)),
                setters: 1,
                helpers: helpers(own, group).len() as u32,
            }
        };
        groups.iter().enumerate().map(of_lane).collect()
    };
    let blocks: Vec<(f64, Vec<LaneAsk>)> =
        own.solution.blocks.iter().map(|block| (f64::from(block.minutes), lanes_in(&block.mains))).collect();
    let used: u32 =
        own.plan.lanes.iter().filter(|lane| lane.hurdle_height_cm > 0.0).map(|lane| lane.hurdles).sum();
    let room = Room {
        one_more_lane: own.plan.lanes_possible as usize > own.plan.lanes.len(),
        spare_hurdles: own.input.lanes.kit.hurdle_count().saturating_sub(used),
        follow_starts: true,
    };
    let mut helps = flow::what_would_help_over(&blocks, &room, &own.input.paces)?;
    // What changes no figure as it is shown is no advice.
    let percent = |share: f64| (share * 100.0).round();
    helps.retain(|help| percent(help.moving_share.after) > percent(help.moving_share.before));
    helps.truncate(MORE_MOVING_MAX);
    Ok(helps)
}

/// One message for each drill of the first block, in the order of the ladder.
fn first_of_each(own: &Undressed, say: impl Fn(&Drill) -> Message) -> Vec<Message> {
    let Some(first) = own.solution.blocks.first() else { return Vec::new() };
    own.drills
        .iter()
        .enumerate()
        .filter(|(number, _)| first.mains.contains(number))
        .map(|(_, drill)| say(drill))
        .collect()
}

fn talk(own: &Undressed) -> Vec<Message> {
    let mut said = first_of_each(own, |drill| {
        Message::new("lesson-talk-cue").with("drill", drill_arg(drill)).with("cue", drill.cue_arg())
    });
    said.push(Message::new("lesson-talk-fallen"));
    said.push(Message::new("lesson-talk-start"));
    said.push(Message::new("lesson-talk-back"));
    said
}

fn jobs(own: &Undressed) -> Vec<Message> {
    let lanes = own.plan.lanes.len();
    own.input
        .helping
        .iter()
        .enumerate()
        .map(|(number, name)| {
            let lane = own.plan.lanes[number % lanes].lane.clone();
            // The first helper of a lane stands hurdles up, the second counts, the third calls the starts.
            let id = match number / lanes {
                0 => "lesson-job-setter",
                1 => "lesson-job-counter",
                _ => "lesson-job-caller",
            };
            Message::new(id).text("name", name.as_str()).text("lane", lane)
        })
        .collect()
}

/// What is worth saying about contacts, the planned ones counted to those on record, and about growth.
fn prompts(own: &Undressed, groups: &[Vec<usize>], done: &[Vec<Vec<Option<usize>>>]) -> Vec<Message> {
    let input = own.input;
    let day = input.lanes.today;
    let mut contacts = contacts::count(input.history, input.ladder, &Unrecorded::default());
    let mut said = Vec::new();
    for (group, children) in groups.iter().enumerate() {
        for (place, child) in children.iter().enumerate() {
            let runner = &input.lanes.runners[*child];
            let own_contacts = contacts.entry(runner.id.0.clone()).or_default();
            for (block, drill) in own.solution.blocks.iter().zip(&done[group][place]) {
                let Some(drill) = *drill else { continue };
                let runs = own.task.groups[group].rho[drill] * f64::from(block.minutes);
                let hurdles = own.plan.lanes[group].hurdles;
                let planned =
                    contacts::planned(own.drills[drill], hurdles, libm::round(runs) as u32, RUN_ON_CONTACTS);
                own_contacts.days.entry(day).or_default().join(&planned);
            }
            let prompts = contacts::prompts(&runner.label, own_contacts, day, false);
            said.extend(prompts.into_iter().map(|prompt| prompt.say));
            let age = runner.age.and_then(|age| age_on(age, day));
            let pace = match (runner.stature_before, runner.stature_cm, runner.stature_date) {
                (Some(before), Some(later_cm), Some(later)) => {
                    growth(before, (later_cm, later), runner.sex, age)
                }
                _ => None,
            };
            if let Some(prompt) = pace.and_then(|growth| contacts::growth_prompt(&runner.label, growth.pace))
            {
                said.push(prompt.say);
            }
        }
    }
    said
}

/// What stands on the card of a station: the children read it themselves.
fn card(own: &Undressed, lesson: &Lesson) -> Vec<Message> {
    if own.input.use_for != Use::Station {
        return Vec::new();
    }
    let mut said = Vec::new();
    for block in &lesson.blocks {
        let mut named: Vec<&DrillId> = Vec::new();
        for group in &block.groups {
            if named.contains(&&group.drill) {
                continue;
            }
            named.push(&group.drill);
            if let Some(drill) = own.drills.iter().find(|drill| drill.id == group.drill) {
                said.push(
                    Message::new("lesson-card-drill")
                        .with("minutes", Arg::Count(i64::from(block.minutes)))
                        .with("drill", drill_arg(drill))
                        .with("how", drill.how_arg())
                        .with("cue", drill.cue_arg()),
                );
            }
        }
    }
    said.push(Message::new("lesson-card-start"));
    said.push(Message::new("lesson-card-setter"));
    said.push(Message::new("lesson-card-count"));
    said.push(Message::new("lesson-card-stop"));
    said
}

/// Lane letters rise with the long gap; where short gaps that are laid do not, this says so.
fn short_gaps_out_of_order(lesson: &Lesson) -> Option<Message> {
    let short = |block: &Block| -> Vec<(String, f64)> {
        let groups = block.groups.iter().filter(|group| group.setting == Setting::Short);
        groups.map(|group| (group.lane.clone(), group.gap_m)).collect()
    };
    let falls = |lanes: &Vec<(String, f64)>| lanes.windows(2).any(|pair| pair[0].1 > pair[1].1);
    let lanes = lesson.blocks.iter().map(short).find(falls)?;
    let mut said = lanes.into_iter().map(|(lane, gap_m)| {
        Message::new("plan-one-gap-lane").text("lane", lane).with("gap", Arg::GapM(gap_m))
    });
    let first = said.next()?;
    let gaps = said.fold(first, |before, next| {
        Message::new("plan-list")
            .with("first", Arg::Say(Box::new(before)))
            .with("second", Arg::Say(Box::new(next)))
    });
    Some(Message::new("lesson-note-letters").with("gaps", Arg::Say(Box::new(gaps))))
}

fn notes(
    own: &Undressed,
    lesson: &Lesson,
    groups: &[Vec<usize>],
    done: &[Vec<Vec<Option<usize>>>],
) -> Vec<Message> {
    let mut said = Vec::new();
    if lesson.gap <= GAP_CLOSED {
        said.push(Message::new("lesson-note-best"));
    } else if lesson.bound.is_finite() {
        said.push(Message::new("lesson-note-gap").with("share", Arg::Share(lesson.gap)));
    }
    if own.input.history.is_empty() {
        said.push(Message::new("lesson-note-new-class"));
    }
    said.extend(short_gaps_out_of_order(lesson));
    if let Some(pace) = &own.pace {
        said.push(pace.say());
    }
    for id in &own.left_out {
        if let Some(drill) = own.input.ladder.get(&id.0) {
            said.push(Message::new("lesson-note-left-out").with("drill", drill_arg(drill)));
        }
    }
    let lanes = lesson.blocks.iter().flat_map(|block| &block.groups);
    let missing: u32 = lanes.map(|group| group.starts_without_setter).sum();
    if missing > 0 {
        said.push(Message::new("flow-setters-missing").with("starts", Arg::Count(i64::from(missing))));
    }
    let over_lines: Vec<String> = groups
        .iter()
        .zip(done)
        .flat_map(|(children, done)| children.iter().zip(done))
        .filter(|(child, done)| needs_lines(own, **child, done))
        .map(|(child, _)| label(own, *child))
        .collect();
    if !over_lines.is_empty() {
        said.push(
            Message::new("lesson-note-lines")
                .with("children", count(over_lines.len()))
                .text("names", over_lines.join(", ")),
        );
    }
    let unused = lesson.minutes - lesson.total_minutes.min(lesson.minutes);
    if unused > 0 {
        said.push(Message::new("lesson-note-unused").with("minutes", Arg::Count(i64::from(unused))));
    }
    said.push(Message::new("lesson-note-rule"));
    said
}
