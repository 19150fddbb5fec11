//! From a fault to coaching: is it the gap or the technique, what to say, what to fall back on.
//!
//! Weighs the lane against the child: a gap that is off in the direction that brings the fault about, and other
//! children of the same size in the lane who show the same fault, both speak for the gap. Part of
//! `docs/methods/decide.md`.

use lanewright_model::drill::DrillId;
use lanewright_model::fault::{Fault, LaneTry, SpacingCause, faults};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::decide::fit::logistic;

/// Chance that the gap is to blame before anything is known (engineering assumption).
pub const GAP_BLAMED_P: f64 = 0.25;
/// Misfit of the gap that multiplies the odds of the gap being to blame by e (engineering assumption).
pub const MISFIT_STEP: f64 = 0.05;
/// Children whose own gaps differ by no more than this share are of the same size (engineering assumption).
pub const SAME_SIZE_RATIO: f64 = 0.06;
/// How often a child of the same size shows the fault when the gap is to blame, and when it is not (engineering
/// assumption).
pub const PEER_SHOWS_P: (f64, f64) = (0.6, 0.2);
/// Most children of the same size that count: more say the same thing again.
pub const PEERS_MAX: usize = 4;

/// A child in the lane, for comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peer {
    /// Own gap in metres.
    pub own_gap_m: f64,
    /// Shows the same fault in this lane.
    pub shows: bool,
}

/// What to try first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum First {
    /// Change the gap.
    Gap,
    /// Give the cue.
    Technique,
}

/// What a fault comes to for one child in one lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// Fault id.
    pub fault: String,
    /// What to try first.
    pub first: First,
    /// Probability that the gap is to blame.
    pub p_gap: f64,
    /// Why the gap comes first; absent when it does not.
    pub why: Option<Message>,
    /// What to say.
    pub cue: Message,
    /// Likely causes.
    pub cause: Message,
    /// Which change of lane is worth a try.
    pub lane: Message,
    /// Drills to fall back on, nearest first.
    pub easier: Vec<DrillId>,
}

/// Returns what a fault comes to. `own_gap_m` and `lane_gap_m` are the child's and the lane's gap; `peers` are the
/// other children seen in this lane. `None` for a fault that is not in the list.
pub fn advise(fault_id: &str, own_gap_m: f64, lane_gap_m: f64, peers: &[Peer]) -> Option<Advice> {
    let list = faults();
    let fault = list.iter().find(|fault| fault.id == fault_id)?;
    let misfit = libm::log(lane_gap_m / own_gap_m);
    let peers: Vec<&Peer> = peers
        .iter()
        .filter(|peer| libm::fabs(libm::log(peer.own_gap_m / own_gap_m)) <= SAME_SIZE_RATIO)
        .take(PEERS_MAX)
        .collect();
    let p_gap = p_gap(fault, misfit, &peers);
    let gap_first = p_gap >= 0.5;
    let shows = peers.iter().filter(|peer| peer.shows).count();
    let why = gap_first.then(|| {
        // Whichever of the two speaks louder is said.
        if shows >= 2 || (shows >= 1 && libm::fabs(misfit) < MISFIT_STEP) {
            Message::new("app-findings-spacing-first")
                .with("share", Arg::Share(shows as f64 / peers.len() as f64))
        } else {
            Message::new("app-findings-spacing-misfit")
                .with("share", Arg::Share(libm::fabs(libm::expm1(misfit))))
        }
    });
    let lane = Message::new(match fault.lane_try {
        LaneTry::Shorter => "lane-try-shorter",
        LaneTry::Longer => "lane-try-longer",
        LaneTry::Lower => "lane-try-lower",
        LaneTry::None => "lane-try-none",
    });
    Some(Advice {
        fault: fault.id.clone(),
        first: if gap_first { First::Gap } else { First::Technique },
        p_gap,
        why,
        cue: Message::new(&format!("fault-{}-cue", fault.id)),
        cause: Message::new(&format!("fault-{}-cause", fault.id)),
        lane,
        easier: fault.easier.clone(),
    })
}

/// # Formula
/// log-odds = log-odds of [`GAP_BLAMED_P`] + misfit in the fault's direction / [`MISFIT_STEP`]
/// + Σ over children of the same size of ln(P(shows or not | gap) / P(shows or not | technique)).
fn p_gap(fault: &Fault, misfit: f64, peers: &[&Peer]) -> f64 {
    let direction = match fault.spacing {
        None => return 0.0,
        Some(SpacingCause::Long) => 1.0,
        Some(SpacingCause::Short) => -1.0,
    };
    let mut log_odds = libm::log(GAP_BLAMED_P / (1.0 - GAP_BLAMED_P)) + direction * misfit / MISFIT_STEP;
    let (by_gap, by_technique) = PEER_SHOWS_P;
    for peer in peers {
        log_odds += if peer.shows {
            libm::log(by_gap / by_technique)
        } else {
            libm::log((1.0 - by_gap) / (1.0 - by_technique))
        };
    }
    logistic(log_odds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wide_gap_is_blamed_for_reaching_and_a_fitting_one_is_not() {
        assert_eq!(advise("reaches", 1.20, 1.35, &[]).unwrap().first, First::Gap);
        assert_eq!(advise("reaches", 1.25, 1.25, &[]).unwrap().first, First::Technique);
        // A short gap does not make a child reach.
        assert_eq!(advise("reaches", 1.35, 1.20, &[]).unwrap().first, First::Technique);
        assert_eq!(advise("hops", 1.35, 1.20, &[]).unwrap().first, First::Gap);
    }

    #[test]
    fn children_of_the_same_size_with_the_same_fault_speak_for_the_gap() {
        let peer = |own_gap_m, shows| Peer { own_gap_m, shows };
        let same = [peer(1.24, true), peer(1.26, true), peer(1.27, false)];
        let advice = advise("leans-back", 1.25, 1.25, &same).unwrap();
        assert_eq!(advice.first, First::Gap);
        assert_eq!(advice.why.unwrap().id, "app-findings-spacing-first");
        let others = [peer(1.60, true), peer(0.95, true)];
        assert_eq!(advise("leans-back", 1.25, 1.25, &others).unwrap().first, First::Technique);
    }

    #[test]
    fn a_fault_that_no_gap_brings_about_is_technique() {
        let peers = [Peer { own_gap_m: 1.25, shows: true }; 4];
        assert_eq!(advise("arms", 1.0, 1.5, &peers).unwrap().p_gap, 0.0);
        assert!(advise("unheard-of", 1.0, 1.0, &[]).is_none());
    }
}
