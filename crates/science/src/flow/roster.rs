//! Who stands hurdles up when.

use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{FlowError, range};

/// Runs in one turn of a setter when nobody says otherwise (engineering assumption).
pub const TURN_RUNS: u32 = 3;

/// What the roster must keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct RosterAsk {
    /// Setters at a time, 1 to 8.
    pub setters: u32,
    /// Runs after which a setter hands over, 1 to 100.
    pub turn_runs: u32,
    /// For how many starts, counted from its own, a child is busy running, coming back and getting ready; see
    /// [`super::Flow::busy_starts`].
    pub busy_starts: u32,
    /// Starts to cover, up to 1,000.
    pub starts: u32,
}

/// The same hands for some starts in a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetterTurn {
    /// First start that they stand at the lane for, counted from 0.
    pub first_start: u32,
    /// Last one.
    pub last_start: u32,
    /// Who, in a fixed order: helpers first.
    pub who: Vec<String>,
}

/// Who stands hurdles up when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Roster {
    /// The turns, in order, without a hole.
    pub turns: Vec<SetterTurn>,
    /// Starts for which hands are missing: nobody waits long enough. An adult stands in, or the lane gets fewer
    /// setters.
    pub uncovered_starts: u32,
}

impl Roster {
    /// Returns what to tell the teacher about missing hands, or nothing.
    pub fn note(&self) -> Option<Message> {
        (self.uncovered_starts > 0).then(|| {
            Message::new("flow-setters-missing").with("starts", Arg::Count(i64::from(self.uncovered_starts)))
        })
    }
}

/// Returns who stands hurdles up, start by start.
///
/// `runners` stand in the order of the queue: start 0 is the first one's, and after the last the first one comes
/// again. `helpers` are children who do not run today. Helpers come first: as many as are needed, in turn; when they
/// are too few they all stand there and waiting children fill up. A child sets only between coming back and its next
/// run, with at least one start of somebody else free before that. Among helpers, and among runners, nobody sets more
/// than one turn longer than another. Turns get shorter where whole ones would leave a start without hands.
///
/// # Errors
/// Names the number that is out of its range.
pub fn setters(runners: &[String], helpers: &[String], ask: &RosterAsk) -> Result<Roster, FlowError> {
    range("setters", f64::from(ask.setters), 1.0, 8.0, "1 to 8")?;
    range("turn_runs", f64::from(ask.turn_runs), 1.0, 100.0, "1 to 100")?;
    range("starts", f64::from(ask.starts), 0.0, 1_000.0, "0 to 1000")?;
    range("busy_starts", f64::from(ask.busy_starts), 1.0, f64::INFINITY, "1 or more")?;
    range("runners", runners.len() as f64, 1.0, 100.0, "1 to 100")?;
    let mut best: Option<Roster> = None;
    for turn_runs in (1..=ask.turn_runs).rev() {
        let roster = with_turns_of(turn_runs, runners, helpers, ask);
        if roster.uncovered_starts == 0 {
            return Ok(roster);
        }
        if best.as_ref().is_none_or(|best| roster.uncovered_starts < best.uncovered_starts) {
            best = Some(roster);
        }
    }
    Ok(best.expect("a turn is at least one run"))
}

/// Returns the roster with turns of at most so many runs.
fn with_turns_of(turn_runs: u32, runners: &[String], helpers: &[String], ask: &RosterAsk) -> Roster {
    let queue = Queue { children: runners.len() as u32, busy_starts: ask.busy_starts };
    let always = |_: usize, _: u32| u32::MAX;
    let needed = ask.setters as usize;
    let from_helpers = needed.min(helpers.len());
    let lead_max = ask.turn_runs;
    let mut helping = Shift::new(helpers.len(), from_helpers, turn_runs, lead_max);
    let mut waiting = Shift::new(runners.len(), needed - from_helpers, turn_runs, lead_max);
    let mut roster = Roster { turns: Vec::new(), uncovered_starts: 0 };
    for start in 0..ask.starts {
        let mut who: Vec<String> =
            helping.at(start, &always).into_iter().map(|index| helpers[index].clone()).collect();
        let free = |index: usize, start: u32| queue.free_for(index as u32, start);
        who.extend(waiting.at(start, &free).into_iter().map(|index| runners[index].clone()));
        if who.len() < needed {
            roster.uncovered_starts += 1;
        }
        match roster.turns.last_mut() {
            Some(turn) if turn.who == who => turn.last_start = start,
            _ => roster.turns.push(SetterTurn { first_start: start, last_start: start, who }),
        }
    }
    roster
}

/// The runners of one lane, first come first.
struct Queue {
    children: u32,
    busy_starts: u32,
}

impl Queue {
    /// Returns for how many starts from `start` on a child can set: it is back, and one start is free before its own.
    fn free_for(&self, child: u32, start: u32) -> u32 {
        let since = if start < child {
            // Not run yet: as if it had come back long ago.
            None
        } else {
            Some((start - child) % self.children)
        };
        let until_own = match since {
            None => child - start,
            Some(since) => self.children - since,
        };
        if since.is_some_and(|since| since < self.busy_starts) { 0 } else { until_own.saturating_sub(1) }
    }
}

/// Places that are filled in turn by members of one group.
struct Shift {
    /// Starts that each member has set so far.
    done: Vec<u32>,
    /// For each place: who, and for how many starts more.
    places: Vec<Option<(usize, u32)>>,
    turn_runs: u32,
    /// How far one member may be ahead of another, in starts.
    lead_max: u32,
}

impl Shift {
    fn new(members: usize, places: usize, turn_runs: u32, lead_max: u32) -> Self {
        Self { done: vec![0; members], places: vec![None; places], turn_runs, lead_max }
    }

    /// Returns who stands there at that start. `free_for` says for how many starts a member can stay.
    fn at(&mut self, start: u32, free_for: &dyn Fn(usize, u32) -> u32) -> Vec<usize> {
        for place in 0..self.places.len() {
            if self.places[place].is_none() {
                self.places[place] = self.next(start, free_for);
            }
        }
        let mut present = Vec::new();
        for place in &mut self.places {
            if let Some((member, more)) = *place {
                self.done[member] += 1;
                present.push(member);
                *place = (more > 1).then_some((member, more - 1));
            }
        }
        present
    }

    /// Returns who takes a free place, and for how many starts: whoever has set least; of
    /// these who can stay for most of a turn; of these whose own run comes soonest.
    fn next(&self, start: u32, free_for: &dyn Fn(usize, u32) -> u32) -> Option<(usize, u32)> {
        // What is promised counts as done, so that two places never add up to more than a turn.
        let promised = |member: usize| {
            let more =
                self.places.iter().flatten().find(|(who, _)| *who == member).map_or(0, |(_, more)| *more);
            self.done[member] + more
        };
        let least = (0..self.done.len()).map(promised).min()?;
        (0..self.done.len())
            .filter(|member| !self.places.iter().flatten().any(|(who, _)| who == member))
            .filter_map(|member| {
                let fair = (least + self.lead_max).saturating_sub(promised(member));
                let free = free_for(member, start);
                let stays = free.min(self.turn_runs).min(fair);
                (stays > 0).then_some((member, stays, free))
            })
            .min_by_key(|(member, stays, free)| (self.done[*member], u32::MAX - stays, *free, *member))
            .map(|(member, stays, _)| (member, stays))
    }
}
