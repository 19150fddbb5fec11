//! The drill ladder, read from one data file that users can extend.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::words::{Arg, Message};

/// The ladder that ships with the program.
const BUILT_IN: &str = include_str!("../data/drills.toml");

/// The same, read once.
static BUILT_IN_LADDER: LazyLock<Ladder> = LazyLock::new(Ladder::built_in);

/// Names one drill, for example `alternate-run`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DrillId(pub String);

impl std::fmt::Display for DrillId {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(&self.0)
    }
}

/// Which of a lane's two gaps a drill uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Setting {
    /// About one running step.
    Long,
    /// About one walking step.
    Short,
}

/// How drills belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Without a lane.
    OnTheSpot,
    /// One leg works beside the hurdles.
    OneLeg,
    /// Every step crosses a hurdle.
    Alternate,
    /// Two contacts per gap, the same leg leads.
    SameLead,
    /// Facing across the lane.
    Sideways,
    /// Running without hurdles.
    Free,
}

/// How the gap of a drill follows from the child.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GapRule {
    /// Which of the lane's two gaps the drill uses.
    pub setting: Setting,
    /// Comfortable gap as a share of stature.
    pub comfortable_ratio: f64,
    /// Shortest tolerated gap: a share of stature, or of the own step when `band_of_own_step`.
    pub low_ratio: f64,
    /// Longest tolerated gap, likewise.
    pub high_ratio: f64,
    /// The band is a share of the child's own comfortable gap rather than of stature.
    #[serde(default)]
    pub band_of_own_step: bool,
    /// The comfortable gap is the child's own running step at the effort asked for.
    #[serde(default)]
    pub own_running_step: bool,
    /// Spread of comfortable gaps between children of the same size: standard deviation of ln gap.
    pub sd_ln: f64,
    /// The gap is never less than two foot lengths plus the base depth of a hurdle.
    #[serde(default)]
    pub room_for_two_feet: bool,
}

/// One drill of the ladder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drill {
    /// Stable name.
    pub id: DrillId,
    /// English name as a teacher says it; languages look up `drill-<id>` in the words.
    pub name: String,
    /// Which drills it belongs with.
    pub family: Family,
    /// One leg works while the other stands or supports; the one-leg family does so in any case.
    #[serde(default)]
    pub one_leg: bool,
    /// Foot contacts per gap; absent for drills without hurdles.
    #[serde(default)]
    pub contacts_per_gap: Option<u32>,
    /// How its gap follows from the child; absent for drills without hurdles.
    #[serde(default)]
    pub gap: Option<GapRule>,
    /// Walked, not run.
    #[serde(default)]
    pub walk: bool,
    /// Typical speed as a share of top speed, when the coach gives no other.
    pub effort: f64,
    /// Highest effort the drill is meant for.
    pub effort_max: f64,
    /// Steps of run-up before the first hurdle.
    pub run_up_steps: u32,
    /// Runs both ways between the ends instead of one way out and back outside.
    #[serde(default)]
    pub both_ways: bool,
    /// The fault that keeps a child on this drill; absent for drills without one.
    #[serde(default)]
    pub key_fault: Option<String>,
    /// Other faults to look for, the commonest first.
    #[serde(default)]
    pub faults: Vec<String>,
    /// Drills that must be clean before.
    #[serde(default)]
    pub needs: Vec<DrillId>,
    /// What a child does meanwhile when this drill is not open yet, nearest first.
    #[serde(default)]
    pub easier: Vec<DrillId>,
    /// Share of hurdles that a child is expected to leave standing before any run was seen, 0.5 to 0.99.
    #[serde(default = "first_clean_rate")]
    pub first_clean_rate: f64,
    /// Contact class: `A` walking, `B` running, `C` jumps, `D` hard stops and turns.
    pub contact_class: String,
    /// Hurdle heights that suit the drill, in centimetres, the usual one first; 0 is a floor line.
    pub heights_cm: Vec<f64>,
    /// One plain sentence that says how it goes.
    pub how: String,
    /// What the teacher calls out.
    pub cue: String,
}

impl Drill {
    /// Returns how it goes as an argument: in the reader's language while it is the built-in text, else as the drill
    /// file says it.
    pub fn how_arg(&self) -> Arg {
        match BUILT_IN_LADDER.get(&self.id.0) {
            Some(known) if known.how == self.how => {
                Arg::Say(Box::new(Message::new(&format!("drill-{}-how", self.id))))
            }
            _ => Arg::Text(self.how.clone()),
        }
    }

    /// Returns what the teacher calls out as an argument, likewise.
    pub fn cue_arg(&self) -> Arg {
        match BUILT_IN_LADDER.get(&self.id.0) {
            Some(known) if known.cue == self.cue => {
                Arg::Say(Box::new(Message::new(&format!("drill-{}-cue", self.id))))
            }
            _ => Arg::Text(self.cue.clone()),
        }
    }
}

/// What a drill without the entry counts with (engineering assumption).
fn first_clean_rate() -> f64 {
    0.75
}

impl Drill {
    /// Returns whether the free leg passes beside the hurdles, so that the lane needs a clear side strip.
    pub fn needs_side_strip(&self) -> bool {
        self.family == Family::OneLeg
    }
}

/// All drills, slow ones first.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    drills: Vec<Drill>,
}

/// What is wrong with a drill file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LadderError {
    /// The file is not the expected TOML; the text names line and column.
    #[error("the drill file cannot be read: {0}")]
    Syntax(String),
    /// Two drills have the same id.
    #[error("drill `{0}` is there twice; give one of them another id")]
    Duplicate(DrillId),
    /// A drill needs one that is not in the file.
    #[error("drill `{drill}` needs `{missing}`, which is not in the file; add it or take it out of `needs`")]
    UnknownNeed {
        /// The drill with the entry.
        drill: DrillId,
        /// The entry.
        missing: DrillId,
    },
    /// An easier drill is not in the file, or is the drill itself.
    #[error("drill `{drill}`: `easier` names `{easier}`, which is not another drill of the file")]
    UnknownEasier {
        /// The drill with the entry.
        drill: DrillId,
        /// The entry.
        easier: DrillId,
    },
    /// Drills need each other in a circle, so that none could ever come first.
    #[error("drill `{0}` needs itself in the end; take one entry out of `needs`")]
    NeedsItself(DrillId),
    /// A number is out of its range.
    #[error("drill `{drill}`: `{field}` is {provided}; allowed is {allowed}")]
    Range {
        /// The drill with the number.
        drill: DrillId,
        /// The field.
        field: &'static str,
        /// What stood there.
        provided: f64,
        /// What may stand there.
        allowed: &'static str,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LadderFile {
    drill: Vec<Drill>,
}

impl Ladder {
    /// Returns the ladder that ships with the program.
    ///
    /// # Panics
    /// Never in a released build: a test reads the same file.
    pub fn built_in() -> Self {
        Self::from_toml(BUILT_IN).expect("the built-in drill file is tested")
    }

    /// Reads a ladder from the text of a drill file.
    ///
    /// # Errors
    /// Names the line or the drill, and what to change.
    pub fn from_toml(text: &str) -> Result<Self, LadderError> {
        let file: LadderFile =
            toml::from_str(text).map_err(|error| LadderError::Syntax(error.to_string()))?;
        let mut ids = BTreeSet::new();
        for drill in &file.drill {
            if !ids.insert(drill.id.clone()) {
                return Err(LadderError::Duplicate(drill.id.clone()));
            }
        }
        for drill in &file.drill {
            if let Some(missing) = drill.needs.iter().find(|need| !ids.contains(*need)) {
                return Err(LadderError::UnknownNeed { drill: drill.id.clone(), missing: missing.clone() });
            }
            let is_other = |easier: &&DrillId| ids.contains(*easier) && **easier != drill.id;
            if let Some(easier) = drill.easier.iter().find(|easier| !is_other(easier)) {
                return Err(LadderError::UnknownEasier { drill: drill.id.clone(), easier: easier.clone() });
            }
            let range = |field, provided: f64, allowed_range: std::ops::RangeInclusive<f64>, allowed| {
                if allowed_range.contains(&provided) {
                    Ok(())
                } else {
                    Err(LadderError::Range { drill: drill.id.clone(), field, provided, allowed })
                }
            };
            range("effort", drill.effort, 0.05..=1.0, "0.05 to 1")?;
            range("effort_max", drill.effort_max, drill.effort..=1.0, "from `effort` to 1")?;
            if let Some(gap) = &drill.gap {
                range("comfortable_ratio", gap.comfortable_ratio, 0.2..=1.5, "0.2 to 1.5 statures")?;
                range("sd_ln", gap.sd_ln, 0.02..=0.5, "0.02 to 0.5")?;
                let highest = if gap.band_of_own_step { 1.0 } else { gap.comfortable_ratio };
                range("low_ratio", gap.low_ratio, 0.1..=highest, "0.1 to the comfortable gap")?;
                range("high_ratio", gap.high_ratio, highest..=2.0, "the comfortable gap to 2")?;
            }
            range("first_clean_rate", drill.first_clean_rate, 0.5..=0.99, "0.5 to 0.99")?;
            for height_cm in &drill.heights_cm {
                range("heights_cm", *height_cm, 0.0..=60.0, "0 to 60 cm")?;
            }
        }
        let ladder = Self { drills: file.drill };
        match ladder.drills.iter().find(|drill| ladder.all_needs(&drill.id.0).contains(&drill.id)) {
            Some(drill) => Err(LadderError::NeedsItself(drill.id.clone())),
            None => Ok(ladder),
        }
    }

    /// Returns every drill that must be clean before this one, directly or through another.
    fn all_needs(&self, id: &str) -> BTreeSet<DrillId> {
        let mut all = BTreeSet::new();
        let mut open: Vec<&DrillId> = self.get(id).iter().flat_map(|drill| &drill.needs).collect();
        while let Some(need) = open.pop() {
            if all.insert(need.clone()) {
                open.extend(self.get(&need.0).iter().flat_map(|drill| &drill.needs));
            }
        }
        all
    }

    /// Returns what a child may do while a drill is on: the drill itself, then easier ones, nearest first.
    pub fn ways_down(&self, id: &str) -> Vec<&Drill> {
        let mut ways: Vec<&Drill> = self.get(id).into_iter().collect();
        let mut next = 0;
        while let Some(drill) = ways.get(next).copied() {
            for easier in drill.easier.iter().filter_map(|easier| self.get(&easier.0)) {
                if ways.iter().all(|known| known.id != easier.id) {
                    ways.push(easier);
                }
            }
            next += 1;
        }
        ways
    }

    /// Returns the drills that this one opens or that fall back on it: its harder neighbours.
    pub fn harder(&self, id: &str) -> Vec<&Drill> {
        let names = |list: &[DrillId]| list.iter().any(|entry| entry.0 == id);
        self.drills.iter().filter(|drill| names(&drill.needs) || names(&drill.easier)).collect()
    }

    /// Returns all drills, slow ones first.
    pub fn drills(&self) -> &[Drill] {
        &self.drills
    }

    /// Returns the drill of that name.
    pub fn get(&self, id: &str) -> Option<&Drill> {
        self.drills.iter().find(|drill| drill.id.0 == id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_ladder_is_valid_and_complete() {
        let ladder = Ladder::built_in();
        for id in [
            "spot-single",
            "spot-alternate",
            "single-walk",
            "dead-leg-run",
            "alternate-walk",
            "alternate-run",
            "two-contact-walk",
            "two-contact-run",
            "side-walk",
            "side-run",
            "side-shuttle",
            "free-run",
        ] {
            assert!(ladder.get(id).is_some(), "{id} is missing");
        }
    }

    #[test]
    fn neighbours_lead_up_and_down() {
        let ladder = Ladder::built_in();
        let ids = |drills: Vec<&Drill>| drills.iter().map(|drill| drill.id.0.clone()).collect::<Vec<_>>();
        let down = ids(ladder.ways_down("alternate-run"));
        assert_eq!(
            down,
            ["alternate-run", "two-contact-run", "two-contact-walk", "alternate-walk", "single-walk"]
        );
        assert_eq!(ids(ladder.harder("side-walk")), ["side-run"]);
    }

    #[test]
    fn walks_are_expected_to_be_cleaner_than_runs_of_their_family() {
        let ladder = Ladder::built_in();
        for drill in ladder.drills().iter().filter(|drill| !drill.walk && drill.gap.is_some()) {
            for walk in ladder.drills().iter().filter(|walk| walk.walk && walk.family == drill.family) {
                assert!(walk.first_clean_rate > drill.first_clean_rate, "{} and {}", walk.id, drill.id);
            }
        }
    }

    #[test]
    fn mistakes_in_a_drill_file_are_named() {
        let broken = BUILT_IN.replacen("id = \"dead-leg-run\"", "id = \"single-walk\"", 1);
        assert_eq!(Ladder::from_toml(&broken), Err(LadderError::Duplicate(DrillId("single-walk".into()))));
        let broken = BUILT_IN.replacen("needs = [\"single-walk\"]", "needs = [\"stroll\"]", 1);
        assert!(matches!(Ladder::from_toml(&broken), Err(LadderError::UnknownNeed { .. })));
        let broken = BUILT_IN.replacen("easier = [\"single-walk\"]", "easier = [\"dead-leg-run\"]", 1);
        assert!(matches!(Ladder::from_toml(&broken), Err(LadderError::UnknownEasier { .. })));
        let broken =
            BUILT_IN.replacen("first_clean_rate =", "needs = [\"side-shuttle\"]\nfirst_clean_rate =", 1);
        assert!(matches!(Ladder::from_toml(&broken), Err(LadderError::NeedsItself(_))));
        let broken = BUILT_IN.replacen("comfortable_ratio = 0.55", "comfortable_ratio = 5.5", 1);
        assert!(matches!(
            Ladder::from_toml(&broken),
            Err(LadderError::Range { field: "comfortable_ratio", .. })
        ));
        assert!(matches!(Ladder::from_toml("drill = 3"), Err(LadderError::Syntax(_))));
    }
}
