//! A lesson on the screen: what is asked of the plan, the parts that follow each other, and what is kept of them.

use std::collections::BTreeMap;

use lanewright_model::{DrillId, Setting};
use lanewright_science::lesson::{
    BLOCK_MINUTES, CHANGE_BY_TAPE_MIN, CHANGE_ON_MARKS_MIN, FixedPart, Lesson, PinAsk, Use, When, usual_parts,
};
use serde::{Deserialize, Serialize};

use super::clock::{Bouts, PartTime};

/// Least and most minutes that can be asked for.
pub const MINUTES: (u32, u32) = (5, 180);

/// What the coach asks of the lesson. Holds no names.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LessonAsk {
    /// What it is for.
    pub use_for: Use,
    /// All minutes.
    pub minutes: u32,
    /// Lanes are re-set by tape, not on marks.
    pub by_tape: bool,
    /// Most blocks, once a block was dropped.
    pub blocks_max: Option<usize>,
    /// What is fixed about blocks, one entry a block.
    pub pins: Vec<PinAsk>,
    /// Seconds of work and rest of the blocks that have bouts.
    pub bouts: BTreeMap<usize, (u64, u64)>,
    /// Parts without drills, once one of them was changed.
    pub fixed: Option<Vec<FixedPart>>,
}

impl Default for LessonAsk {
    fn default() -> Self {
        Self::of(Use::Lesson)
    }
}

impl LessonAsk {
    /// Returns what is usually asked for (common practice, no source).
    pub fn of(use_for: Use) -> Self {
        let minutes = match use_for {
            Use::WarmUp => 8,
            Use::Station => 10,
            Use::Lesson => 40,
        };
        Self {
            use_for,
            minutes,
            by_tape: false,
            blocks_max: None,
            pins: Vec::new(),
            bouts: BTreeMap::new(),
            fixed: None,
        }
    }

    /// Gives a part without drills a minute more or less; without minutes it falls away.
    pub fn stretch_fixed(&mut self, what: &str, longer: bool) {
        let mut parts = self.fixed.take().unwrap_or_else(|| usual_parts(self.use_for));
        if let Some(part) = parts.iter_mut().find(|part| part.what == what) {
            part.minutes = if longer { part.minutes + 1 } else { part.minutes.saturating_sub(1) };
        }
        parts.retain(|part| part.minutes > 0);
        self.fixed = Some(parts);
    }

    fn pin(&mut self, block: usize) -> &mut PinAsk {
        let place = self.pins.iter().position(|pin| pin.block == block).unwrap_or_else(|| {
            self.pins.push(PinAsk { block, ..PinAsk::default() });
            self.pins.len() - 1
        });
        &mut self.pins[place]
    }

    /// Whether anything about a block is fixed.
    pub fn is_fixed(&self, block: usize) -> bool {
        self.pins.iter().any(|pin| pin.block == block)
    }

    /// Whether anything was changed by hand.
    pub fn is_changed(&self) -> bool {
        !self.pins.is_empty() || self.blocks_max.is_some() || !self.bouts.is_empty() || self.fixed.is_some()
    }

    /// Fixes a block as it stands: its minutes, and the drill of every lane.
    pub fn fix(&mut self, blocks: &[BlockNow], block: usize) {
        let Some(now) = blocks.get(block) else { return };
        let minutes = Some(now.minutes);
        *self.pin(block) = PinAsk { block, minutes, drill: None, lanes: now.lanes.clone() };
    }

    /// Leaves a block to the plan again.
    pub fn loosen(&mut self, block: usize) {
        self.pins.retain(|pin| pin.block != block);
    }

    /// Makes a block longer or shorter, within what a block may last.
    pub fn stretch(&mut self, blocks: &[BlockNow], block: usize, longer: bool) {
        let Some(now) = blocks.get(block) else { return };
        let minutes = if longer { now.minutes + 1 } else { now.minutes.saturating_sub(1) };
        self.pin(block).minutes = Some(minutes.clamp(BLOCK_MINUTES.0, BLOCK_MINUTES.1));
    }

    /// Gives one lane of a block another drill.
    pub fn swap(&mut self, block: usize, lane: &str, drill: &DrillId) {
        self.pin(block).lanes.insert(lane.to_owned(), drill.clone());
    }

    /// Takes a block out. The others keep their drills; their minutes are planned anew, unless they are fixed.
    pub fn drop_block(&mut self, blocks: &[BlockNow], block: usize) {
        if blocks.len() < 2 || block >= blocks.len() {
            return;
        }
        let mut pins = Vec::new();
        for (index, now) in blocks.iter().enumerate().filter(|(index, _)| *index != block) {
            let minutes = self.pins.iter().find(|pin| pin.block == index).and_then(|pin| pin.minutes);
            let (block, lanes) = (index - usize::from(index > block), now.lanes.clone());
            pins.push(PinAsk { block, minutes, drill: None, lanes });
        }
        self.pins = pins;
        self.blocks_max = Some(blocks.len() - 1);
        self.bouts = std::mem::take(&mut self.bouts)
            .into_iter()
            .filter(|(index, _)| *index != block)
            .map(|(index, bouts)| (index - usize::from(index > block), bouts))
            .collect();
    }

    /// Leaves everything to the plan again.
    pub fn afresh(&mut self) {
        let Self { use_for, minutes, by_tape, .. } = *self;
        *self = Self { minutes, by_tape, ..Self::of(use_for) };
    }

    /// Returns the bouts of a block.
    pub fn bouts_of(&self, block: usize) -> Option<Bouts> {
        let (work_s, rest_s) = *self.bouts.get(&block)?;
        Bouts::new(work_s, rest_s)
    }
}

/// A block as it stands: what the coach's changes go by.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockNow {
    /// Minutes.
    pub minutes: u32,
    /// Main drill by lane letter.
    pub lanes: BTreeMap<String, DrillId>,
}

/// Returns the blocks among some parts, in order.
pub fn blocks_of(parts: &[Part]) -> Vec<BlockNow> {
    parts
        .iter()
        .filter_map(|part| match &part.what {
            What::Block { lanes, .. } => Some(BlockNow {
                minutes: part.minutes,
                lanes: lanes.iter().map(|lane| (lane.lane.clone(), lane.drill.clone())).collect(),
            }),
            _ => None,
        })
        .collect()
}

/// Returns how many blocks have begun when a part is on; while lanes are re-set, the block after that counts.
pub fn blocks_begun(parts: &[Part], part: usize) -> usize {
    let through = match parts.get(part).map(|part| &part.what) {
        Some(What::Change(_)) => part + 2,
        _ => part + 1,
    };
    parts.iter().take(through).filter(|part| matches!(part.what, What::Block { .. })).count()
}

/// Returns what to ask for the rest of a lesson that has begun: the blocks that have begun stay as they are, and what
/// comes takes `rest_minutes` after the part that is on. Nothing when no block has room in them.
///
/// `parts` have the minutes that they have by now; `ask` is what the coach wants of the whole lesson.
pub fn ask_for_rest(ask: &LessonAsk, parts: &[Part], part: usize, rest_minutes: u32) -> Option<LessonAsk> {
    let begun = blocks_begun(parts, part);
    let change_minutes = if ask.by_tape { CHANGE_BY_TAPE_MIN } else { CHANGE_ON_MARKS_MIN };
    let mut rest = LessonAsk {
        pins: ask.pins.iter().filter(|pin| pin.block >= begun).cloned().collect(),
        ..ask.clone()
    };
    let (mut fixed, mut used, mut seen) = (Vec::new(), 0, 0);
    for now in parts {
        match &now.what {
            What::Fixed(what) => {
                let when = if seen == 0 { When::Before } else { When::After };
                fixed.push(FixedPart { what: what.clone(), minutes: now.minutes, when });
            }
            What::Block { .. } => {
                if seen < begun {
                    used += now.minutes;
                    rest.fix(&blocks_of(parts), seen);
                }
                seen += 1;
            }
            What::Change(_) if seen < begun => used += change_minutes,
            What::Change(_) => {}
        }
    }
    let fixed_minutes: u32 = fixed.iter().map(|part| part.minutes).sum();
    let fixed_to_come: u32 = parts
        .iter()
        .skip(part + 1)
        .filter(|part| matches!(part.what, What::Fixed(_)))
        .map(|part| part.minutes)
        .sum();
    // While lanes are re-set, the block after that counts as begun, and its minutes lie in the rest.
    let begun_to_come: u32 = match (&parts.get(part)?.what, parts.get(part + 1)) {
        (What::Change(_), Some(next)) => next.minutes,
        _ => 0,
    };
    let left = rest_minutes.checked_sub(fixed_to_come + begun_to_come)?;
    if left < BLOCK_MINUTES.0 {
        return None;
    }
    rest.minutes = fixed_minutes + used + left;
    rest.fixed = Some(fixed);
    rest.blocks_max = Some(ask.blocks_max.unwrap_or(ask.use_for.blocks_max()).max(begun));
    Some(rest)
}

/// Returns the parts of a lesson with another plan for what comes after the part that is on; nothing when the plan
/// does not hold that part.
pub fn with_rest(parts: &[Part], part: usize, planned: &[Part]) -> Option<Vec<Part>> {
    let place_of = |wanted: usize| {
        planned.iter().position(|part| matches!(part.what, What::Block { number, .. } if number == wanted))
    };
    let from = match &parts.get(part)?.what {
        What::Block { number, .. } => place_of(*number)? + 1,
        What::Change(_) => place_of(blocks_begun(parts, part).checked_sub(1)?)?,
        What::Fixed(_) if blocks_begun(parts, part) == 0 => part + 1,
        What::Fixed(_) => return None,
    };
    Some(parts[..=part].iter().chain(planned.get(from..)?).cloned().collect())
}

/// One lane in one block, as it is shown at the field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartLane {
    /// Letter.
    pub lane: String,
    /// Which gap stands.
    pub setting: Setting,
    /// That gap in metres.
    pub gap_m: f64,
    /// Main drill.
    pub drill: DrillId,
    /// The fault to watch for.
    pub watch_for: Option<String>,
    /// The lead leg changes from run to run.
    pub lead_changes: bool,
    /// Easier drills and the labels of those who do them; never kept.
    #[serde(skip)]
    pub easier: Vec<(DrillId, Vec<String>)>,
    /// Labels of those who run over floor lines; never kept.
    #[serde(skip)]
    pub over_lines: Vec<String>,
    /// Labels of those who stand hurdles up, in order; never kept.
    #[serde(skip)]
    pub setters: Vec<String>,
}

/// One lane that is re-set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChangeLane {
    /// Letter.
    pub lane: String,
    /// Which gap is to stand.
    pub setting: Setting,
    /// That gap in metres.
    pub gap_m: f64,
    /// Labels of those who carry; never kept.
    #[serde(skip)]
    pub movers: Vec<String>,
}

/// What happens in a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// A part without drills: a known word such as `talk`, or the coach's own.
    Fixed(String),
    /// Lanes are re-set.
    Change(Vec<ChangeLane>),
    /// A block, counted from 0.
    Block {
        /// Which.
        number: usize,
        /// What each lane does.
        lanes: Vec<PartLane>,
    },
}

/// A part of the lesson in its order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Minutes as planned.
    pub minutes: u32,
    /// What happens.
    pub what: What,
    /// Bouts within it.
    pub bouts: Option<Bouts>,
}

impl Part {
    /// Returns what the clock needs of the part.
    pub fn time(&self) -> PartTime {
        PartTime::new(self.minutes.into(), self.bouts)
    }
}

/// Returns the parts of a lesson one after the other; what takes no time is left out.
pub fn parts_of(lesson: &Lesson, ask: &LessonAsk) -> Vec<Part> {
    let fixed = |when: When| {
        lesson.fixed.iter().filter(move |part| part.when == when && part.minutes > 0).map(|part| Part {
            minutes: part.minutes,
            what: What::Fixed(part.what.clone()),
            bouts: None,
        })
    };
    let mut parts: Vec<Part> = fixed(When::Before).collect();
    for (number, block) in lesson.blocks.iter().enumerate() {
        if block.change_minutes > 0 {
            let lanes = block.groups.iter().filter(|group| !group.movers.is_empty());
            let lanes = lanes.map(|group| ChangeLane {
                lane: group.lane.clone(),
                setting: group.setting,
                gap_m: group.gap_m,
                movers: group.movers.clone(),
            });
            let what = What::Change(lanes.collect());
            parts.push(Part { minutes: block.change_minutes, what, bouts: None });
        }
        let label = |id: &String| lesson.names.get(id).cloned().unwrap_or_default();
        let lanes = block.groups.iter().map(|group| {
            let mut easier: BTreeMap<&DrillId, Vec<String>> = BTreeMap::new();
            for (runner, drill) in &group.easier {
                easier.entry(drill).or_default().push(label(runner));
            }
            PartLane {
                lane: group.lane.clone(),
                setting: group.setting,
                gap_m: group.gap_m,
                drill: group.drill.clone(),
                watch_for: group.watch_for.clone(),
                lead_changes: group.lead_changes,
                easier: easier.into_iter().map(|(drill, names)| (drill.clone(), names)).collect(),
                over_lines: group.over_lines.iter().map(label).collect(),
                setters: group.setters.clone(),
            }
        });
        let what = What::Block { number, lanes: lanes.collect() };
        parts.push(Part { minutes: block.minutes, what, bouts: ask.bouts_of(number) });
    }
    parts.extend(fixed(When::After));
    parts
}

/// Gives parts that were kept without names the names of the same parts as they are planned now.
pub fn name_children(kept: &mut [Part], planned: &[Part]) {
    // What is written of a part has no names in it: equal words, equal part.
    let written = |part: &Part| serde_json::to_string(&part.what).unwrap_or_default();
    for part in kept {
        let words = written(part);
        if let Some(same) = planned.iter().find(|planned| written(planned) == words) {
            part.what = same.what.clone();
        }
    }
}

/// Returns the seed of a class's samples: the same class, the same seed (the hash of Fowler, Noll and Vo).
pub fn seed_of(class: &str) -> u64 {
    let hash = |hash: u32, byte: u8| (hash ^ u32::from(byte)).wrapping_mul(16_777_619);
    u64::from(class.bytes().fold(2_166_136_261, hash))
}

/// Returns a time as it stands on the clock: whole seconds, begun ones counted, `7:05`.
pub fn minutes_seconds(left_ms: u64) -> String {
    let seconds = left_ms.div_ceil(1000);
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use jiff::Timestamp;
    use lanewright_model::{Kit, Ladder, Runner, Space};
    use lanewright_science::decide;
    use lanewright_science::lesson::{LessonInput, lesson};
    use lanewright_science::plan::PlanInput;

    use super::*;

    fn planned(ask: &LessonAsk) -> Lesson {
        let ladder = Ladder::built_in();
        let runners = (0..8)
            .map(|number| {
                let mut runner = Runner::named(format!("r{number}"), format!("Child {number}"));
                runner.stature_cm = Some(128.0 + 3.0 * f64::from(number));
                runner
            })
            .collect();
        let lanes = PlanInput {
            runners,
            space: Some(Space::hall(32.0, 18.0)),
            ..PlanInput::from_class(
                &Default::default(),
                &Kit::default(),
                None,
                &ladder,
                jiff::civil::date(2026, 3, 2),
            )
        };
        let options = decide::Options { now: Timestamp::UNIX_EPOCH, losses: Default::default() };
        let mut input = LessonInput::new(lanes, &ladder, &[], options, ask.use_for, ask.minutes);
        input.pins = ask.pins.clone();
        input.fixed = ask.fixed.clone();
        input.blocks_max = ask.blocks_max;
        lesson(&input).expect("a lesson")
    }

    #[test]
    fn parts_follow_each_other_and_take_the_minutes_of_the_plan() {
        let ask = LessonAsk { bouts: BTreeMap::from([(0, (20, 40)), (9, (1, 1))]), ..LessonAsk::default() };
        let lesson = planned(&ask);
        let parts = parts_of(&lesson, &ask);
        assert_eq!(parts.iter().map(|part| part.minutes).sum::<u32>(), lesson.total_minutes);
        assert_eq!(parts.first().map(|part| &part.what), Some(&What::Fixed("register".into())));
        assert_eq!(parts.last().map(|part| &part.what), Some(&What::Fixed("kit-away".into())));
        let blocks: Vec<&Part> =
            parts.iter().filter(|part| matches!(part.what, What::Block { .. })).collect();
        assert_eq!(blocks.len(), lesson.blocks.len());
        assert_eq!(blocks[0].bouts, Bouts::new(20, 40));
        assert!(blocks[1..].iter().all(|part| part.bouts.is_none()));
    }

    fn now(lesson: &Lesson) -> Vec<BlockNow> {
        blocks_of(&parts_of(lesson, &LessonAsk::default()))
    }

    /// The rest of a lesson planned anew from a part on, within so many minutes, after a change by the coach.
    fn rest(parts: &[Part], part: usize, minutes: u32, change: impl FnOnce(&mut LessonAsk)) -> Vec<Part> {
        let mut ask = LessonAsk::default();
        change(&mut ask);
        let asked = ask_for_rest(&ask, parts, part, minutes).expect("there is room");
        with_rest(parts, part, &parts_of(&planned(&asked), &ask)).expect("the plan holds what has begun")
    }

    #[test]
    fn from_whatever_part_the_rest_is_planned_what_has_begun_stays_and_the_minutes_are_kept() {
        let parts = parts_of(&planned(&LessonAsk::default()), &LessonAsk::default());
        let last_block = parts.iter().rposition(|part| matches!(part.what, What::Block { .. })).expect("one");
        let after =
            |parts: &[Part], part: usize| parts[part + 1..].iter().map(|part| part.minutes).sum::<u32>();
        let blocks = blocks_of(&parts).len();
        for part in (0..last_block).filter(|part| blocks_begun(&parts, *part) < blocks) {
            let minutes = after(&parts, part);
            let same = rest(&parts, part, minutes, |_| {});
            assert_eq!(same[..=part], parts[..=part]);
            assert!(after(&same, part) <= minutes, "part {part}: {same:?}");
            // Four minutes were lost to a talk.
            if ask_for_rest(&LessonAsk::default(), &parts, part, minutes - 4).is_some() {
                let shorter = rest(&parts, part, minutes - 4, |_| {});
                assert_eq!(shorter[..=part], parts[..=part]);
                assert!(
                    (minutes - 6..=minutes - 4).contains(&after(&shorter, part)),
                    "part {part}: {shorter:?}"
                );
            }
        }
    }

    #[test]
    fn a_block_to_come_is_swapped_stretched_and_dropped_while_the_lesson_runs() {
        let parts = parts_of(&planned(&LessonAsk::default()), &LessonAsk::default());
        let blocks = blocks_of(&parts);
        let first = parts.iter().position(|part| matches!(part.what, What::Block { .. })).expect("one");
        assert!(blocks.len() > 2 && blocks_begun(&parts, first) == 1, "{blocks:?}");
        let minutes = parts[first + 1..].iter().map(|part| part.minutes).sum();
        let longer = rest(&parts, first, minutes, |ask| ask.stretch(&blocks, 1, true));
        assert_eq!(blocks_of(&longer)[1].minutes, (blocks[1].minutes + 1).min(BLOCK_MINUTES.1));
        assert_eq!(blocks_of(&longer)[0], blocks[0]);
        let dropped = rest(&parts, first, minutes, |ask| ask.drop_block(&blocks, 1));
        assert_eq!(blocks_of(&dropped).len(), blocks.len() - 1);
        assert_eq!(blocks_of(&dropped)[0], blocks[0]);
        assert_eq!(blocks_of(&dropped)[1].lanes, blocks[2].lanes);
        let (lane, drill) = blocks[0].lanes.iter().next().expect("a lane");
        let swapped = rest(&parts, first, minutes, |ask| ask.swap(2, lane, drill));
        assert_eq!(blocks_of(&swapped)[2].lanes[lane], *drill);
        // With two minutes left there is nothing to plan.
        assert_eq!(ask_for_rest(&LessonAsk::default(), &parts, first, 2), None);
    }

    #[test]
    fn what_is_kept_holds_no_names_and_gets_them_back() {
        let ask = LessonAsk::default();
        let mut parts = parts_of(&planned(&ask), &ask);
        for part in &mut parts {
            if let What::Block { lanes, .. } = &mut part.what {
                lanes[0].easier = vec![(DrillId("single-walk".into()), vec!["Child 1".into()])];
            }
        }
        let kept = serde_json::to_string(&parts).expect("it can be written");
        assert!(!kept.contains("Child"), "{kept}");
        let mut again: Vec<Part> = serde_json::from_str(&kept).expect("it can be read");
        assert_ne!(again, parts);
        name_children(&mut again, &parts);
        assert_eq!(again, parts);
    }

    #[test]
    fn minutes_taken_from_a_part_go_to_the_blocks() {
        let mut ask = LessonAsk::default();
        let usual = planned(&ask);
        assert!(!ask.is_changed());
        for _ in 0..3 {
            ask.stretch_fixed("register", false);
        }
        ask.stretch_fixed("talk", true);
        let changed = planned(&ask);
        assert!(ask.is_changed() && changed.fixed.iter().all(|part| part.what != "register"));
        let talk =
            |lesson: &Lesson| lesson.fixed.iter().find(|part| part.what == "talk").map(|part| part.minutes);
        assert_eq!(talk(&changed), talk(&usual).map(|minutes| minutes + 1));
        let blocks = |lesson: &Lesson| -> u32 {
            lesson.blocks.iter().map(|block| block.minutes + block.change_minutes).sum()
        };
        assert_eq!(blocks(&changed), blocks(&usual) + 2);
    }

    #[test]
    fn a_fixed_block_stays_and_the_rest_is_planned_anew() {
        let mut ask = LessonAsk::default();
        let before = planned(&ask);
        ask.fix(&now(&before), 0);
        assert!(ask.is_fixed(0) && !ask.is_fixed(1));
        assert_eq!(planned(&ask).blocks[0].groups[0].drill, before.blocks[0].groups[0].drill);
        ask.stretch(&now(&before), 0, true);
        let longer = planned(&ask);
        assert_eq!(longer.blocks[0].minutes, (before.blocks[0].minutes + 1).min(BLOCK_MINUTES.1));
        ask.loosen(0);
        assert!(!ask.is_changed());
        assert_eq!(planned(&ask), before);
    }

    #[test]
    fn a_dropped_block_leaves_the_others_with_their_drills() {
        let mut ask = LessonAsk { bouts: BTreeMap::from([(1, (10, 20))]), ..LessonAsk::default() };
        let before = planned(&ask);
        assert!(before.blocks.len() > 1, "{:?}", before.blocks.len());
        ask.drop_block(&now(&before), 0);
        assert_eq!(ask.bouts_of(0), Bouts::new(10, 20));
        let after = planned(&ask);
        assert_eq!(after.blocks.len(), before.blocks.len() - 1);
        let drills = |lesson: &Lesson, from: usize| -> Vec<DrillId> {
            let groups = lesson.blocks[from..].iter().flat_map(|block| &block.groups);
            groups.map(|group| group.drill.clone()).collect()
        };
        assert_eq!(drills(&after, 0), drills(&before, 1));
        ask.afresh();
        assert_eq!(planned(&ask).blocks, before.blocks);
    }

    #[test]
    fn a_begun_second_counts_as_a_second() {
        assert_eq!(minutes_seconds(0), "0:00");
        assert_eq!(minutes_seconds(1), "0:01");
        assert_eq!(minutes_seconds(59_001), "1:00");
        assert_eq!(minutes_seconds(425_000), "7:05");
    }
}
