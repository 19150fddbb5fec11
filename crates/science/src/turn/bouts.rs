//! What bouts showed: passes, turns, one-step turns, and hurdles that fell and stayed down.

use lanewright_model::run::Bout;
use serde::{Deserialize, Serialize};

use super::METHOD;
use crate::decide::Rate;
use crate::normal::Z_95;
use crate::proportion;

/// One hurdle that fell in a bout; it stays down until the bout is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fall {
    /// Pass in which it fell, counted from 1.
    pub pass: u32,
    /// Hurdle, counted from 1 at the end where the bout began.
    pub hurdle: u32,
}

/// One bout of one child.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutSeen {
    /// Length, seconds.
    pub seconds: f64,
    /// Passes through the lane.
    pub passes: u32,
    /// Turns on a call.
    pub turns: u32,
    /// Turns made within one step.
    pub one_step_turns: u32,
    /// Hurdles of the lane, all standing at the start; 0 when not known.
    pub hurdles: u32,
    /// Hurdles that fell, when counted.
    pub falls: Option<u32>,
    /// Which fell in which pass, when that was seen; then `falls` is their number.
    pub fell: Vec<Fall>,
}

impl BoutSeen {
    /// Returns a bout as the run file has it, in a lane of so many hurdles (0 when not known).
    pub fn of(bout: &Bout, hurdles: u32) -> Self {
        Self {
            seconds: bout.seconds,
            passes: bout.passes,
            turns: bout.turns,
            one_step_turns: bout.one_step_turns,
            hurdles,
            falls: bout.falls,
            fell: Vec::new(),
        }
    }

    /// Returns how many hurdles fell: those named, or the count; none when nobody counted.
    pub fn fallen(&self) -> Option<u32> {
        if self.fell.is_empty() { self.falls } else { Some(self.fell.len() as u32) }
    }

    /// Returns how many times the child met a standing hurdle: the least and the most that the falls leave possible.
    ///
    /// A hurdle that fell is not met again. With passes named both are the same.
    pub fn standing_met(&self) -> (u32, u32) {
        if !self.fell.is_empty() {
            let met_after: u32 =
                self.fell.iter().map(|fall| self.passes.saturating_sub(fall.pass.max(1))).sum();
            let met = (self.hurdles * self.passes).saturating_sub(met_after);
            return (met, met);
        }
        let fallen = self.falls.unwrap_or(0).min(self.hurdles);
        let most = self.hurdles * self.passes;
        (most.saturating_sub(fallen * self.passes.saturating_sub(1)), most)
    }
}

/// What several bouts of one child say together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutSummary {
    /// Bouts.
    pub bouts: u32,
    /// Their length together, seconds.
    pub seconds: f64,
    /// Passes.
    pub passes: u32,
    /// Turns.
    pub turns: u32,
    /// Share of turns made within one step, with its 90 % interval; none without a turn.
    pub one_step: Option<Rate>,
    /// Hurdles that fell, over the bouts in which they were counted.
    pub falls: u32,
    /// Standing hurdles met in those bouts: least and most.
    pub standing_met: (u32, u32),
    /// Clean rate: share of the standing hurdles met that did not fall, with its 90 % interval; none when the lanes'
    /// hurdles or the falls are not known.
    pub clean_rate: Option<Rate>,
    /// Passes in ten seconds.
    pub passes_per_10_s: f64,
    /// Name and version of the method.
    pub method: String,
}

/// Sums up the bouts of one child; nothing without a bout.
///
/// # Formula
/// Shares with Wilson's interval. Where only the number of falls is known, the interval reaches from the least to the
/// most standing hurdles that the child can have met, and the mean takes their middle.
pub fn summarise(bouts: &[BoutSeen]) -> Option<BoutSummary> {
    if bouts.is_empty() {
        return None;
    }
    let sum = |of: fn(&BoutSeen) -> u32| bouts.iter().map(of).sum::<u32>();
    let (passes, turns) = (sum(|bout| bout.passes), sum(|bout| bout.turns));
    let one_step_turns = sum(|bout| bout.one_step_turns).min(turns);
    let seconds: f64 = bouts.iter().map(|bout| bout.seconds).sum();
    let counted = || bouts.iter().filter(|bout| bout.fallen().is_some());
    let falls: u32 = counted().filter_map(BoutSeen::fallen).sum();
    let standing_met = counted().map(BoutSeen::standing_met).fold((0, 0), |(a, b), (c, d)| (a + c, b + d));
    let one_step = (turns > 0).then(|| {
        let (low, high) = proportion::wilson(one_step_turns, turns, Z_95);
        Rate { mean: f64::from(one_step_turns) / f64::from(turns), low, high }
    });
    let (least, most) = standing_met;
    let clean_rate = (least > 0 && falls <= least).then(|| {
        let middle = 0.5 * f64::from(least + most);
        Rate {
            mean: 1.0 - f64::from(falls) / middle,
            low: 1.0 - proportion::wilson(falls, least, Z_95).1,
            high: 1.0 - proportion::wilson(falls, most, Z_95).0,
        }
    });
    Some(BoutSummary {
        bouts: bouts.len() as u32,
        seconds,
        passes,
        turns,
        one_step,
        falls,
        standing_met,
        clean_rate,
        passes_per_10_s: per_ten_seconds(passes, seconds),
        method: METHOD.to_owned(),
    })
}

/// Returns a count as so many in ten seconds, so that bouts of unlike length can stand side by side; 0 for no time.
pub fn per_ten_seconds(count: u32, seconds: f64) -> f64 {
    if seconds > 0.0 { 10.0 * f64::from(count) / seconds } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bout(passes: u32, hurdles: u32, fell: &[(u32, u32)]) -> BoutSeen {
        BoutSeen {
            seconds: 10.0,
            passes,
            turns: 4,
            one_step_turns: 3,
            hurdles,
            falls: None,
            fell: fell.iter().map(|&(pass, hurdle)| Fall { pass, hurdle }).collect(),
        }
    }

    #[test]
    fn a_hurdle_that_lies_down_is_not_met_again() {
        // Four passes of six hurdles; one falls in the second pass and is not met in the third and fourth.
        assert_eq!(bout(4, 6, &[(2, 3)]).standing_met(), (22, 22));
        assert_eq!(bout(4, 6, &[(4, 1), (4, 2)]).standing_met(), (24, 24));
        let counted = BoutSeen { falls: Some(1), ..bout(4, 6, &[]) };
        assert_eq!(counted.standing_met(), (21, 24));
    }

    #[test]
    fn named_falls_lie_within_what_a_bare_count_leaves_possible() {
        let named = summarise(&[bout(5, 6, &[(1, 2), (3, 5)])]).unwrap();
        let counted = summarise(&[BoutSeen { falls: Some(2), ..bout(5, 6, &[]) }]).unwrap();
        let (named, counted) = (named.clean_rate.unwrap(), counted.clean_rate.unwrap());
        assert!(counted.low <= named.low && named.high <= counted.high);
    }

    #[test]
    fn nothing_counted_says_nothing_about_clean() {
        let summary = summarise(&[bout(5, 6, &[])]).unwrap();
        assert!(summary.clean_rate.is_none() && summary.falls == 0);
        let none = summarise(&[BoutSeen { falls: Some(0), ..bout(5, 6, &[]) }]).unwrap();
        assert_eq!(none.clean_rate.unwrap().mean, 1.0);
        assert!(none.clean_rate.unwrap().low < 1.0);
        assert!(summarise(&[]).is_none());
        assert_eq!(summary.one_step.unwrap().mean, 0.75);
    }
}
