//! Second look: each candidate compared with the chain of contacts that the first look found.

use crate::candidates::{Candidate, LIKE_S, Smallest, distance_db, median};

/// Number of traits of the second look.
pub const TRAITS: usize = 21;
/// Their names, in order.
pub const TRAIT_NAMES: [&str; TRAITS] = [
    "first",
    "template",
    "nearest",
    "level_chain",
    "decay_chain",
    "late_chain",
    "rise_chain",
    "centroid_chain",
    "novelty_chain",
    "tonality",
    "near_before",
    "before",
    "phase",
    "jump_chain",
    "novelty_rel",
    "level_rel",
    "near_after",
    "decay",
    "high_share",
    "spread_bands",
    "fine_jump",
];

/// Candidates this close to another are the same sound, s.
const SAME_S: f64 = 0.12;
/// Contacts around a candidate that make its local level.
const LOCAL: usize = 6;

/// The traits of every candidate, given the members of the chain (indices into `list`, in order) and the log-odds of
/// the first look.
#[must_use]
pub fn traits(list: &[Candidate], members: &[usize], first: &[f64]) -> Vec<[f64; TRAITS]> {
    let middle = |index: usize| median(&members.iter().map(|&m| list[m].traits[index]).collect::<Vec<_>>());
    let (late, rise, decay, centroid, novelty, jump) =
        (middle(8), middle(9), middle(10), middle(14), middle(0), middle(17));
    list.iter()
        .enumerate()
        .map(|(index, own)| {
            let others: Vec<&Candidate> = members
                .iter()
                .map(|&m| &list[m])
                .filter(|m| {
                    let apart_s = libm::fabs(m.onset_s - own.onset_s);
                    apart_s > SAME_S && apart_s < LIKE_S
                })
                .collect();
            let mut row = [0.0; TRAITS];
            row[0] = first[index];
            if others.is_empty() {
                (row[1], row[2]) = (8.0, 8.0);
            } else {
                let distances: Vec<f64> = others.iter().map(|other| distance_db(own, other)).collect();
                row[1] = median(&distances);
                let mut nearest = Smallest::<3>::new();
                distances.iter().for_each(|&distance| nearest.add(distance));
                row[2] = nearest.mean(8.0);
                row[3] = own.level_db - median(&nearest_levels(&others, own.onset_s));
            }
            row[4] = own.traits[10] - decay;
            row[5] = own.traits[8] - late;
            row[6] = own.traits[9] - rise;
            row[7] = own.traits[14] - centroid;
            row[8] = own.traits[0] - novelty;
            row[9] = own.traits[11];
            row[10] = own.traits[6];
            row[11] = own.traits[4];
            row[12] = phase(list, members, own.onset_s);
            row[13] = own.traits[17] - jump;
            for (slot, from) in row[14..].iter_mut().zip([1, 3, 7, 10, 13, 16, 17]) {
                *slot = own.traits[from];
            }
            row
        })
        .collect()
}

/// Levels of the contacts nearest to a moment.
fn nearest_levels(others: &[&Candidate], t_s: f64) -> Vec<f64> {
    let mut after = others.partition_point(|other| other.onset_s <= t_s);
    let mut before = after;
    let mut levels = Vec::with_capacity(LOCAL);
    while levels.len() < LOCAL {
        let earlier = before.checked_sub(1).map(|at| others[at]);
        let later = others.get(after);
        let takes_earlier = match (earlier, later) {
            (Some(earlier), Some(later)) => t_s - earlier.onset_s <= later.onset_s - t_s,
            (earlier, _) => earlier.is_some(),
        };
        match (takes_earlier, earlier, later) {
            (true, Some(earlier), _) => {
                before -= 1;
                levels.push(earlier.level_db);
            }
            (_, _, Some(later)) => {
                after += 1;
                levels.push(later.level_db);
            }
            _ => break,
        }
    }
    levels
}

/// Where between two contacts a moment lies, 0..1; -0.2 outside the chain.
fn phase(list: &[Candidate], members: &[usize], t_s: f64) -> f64 {
    let next = members.partition_point(|&m| list[m].onset_s <= t_s - 0.004);
    if next == 0 || next == members.len() {
        return -0.2;
    }
    let (a, b) = (list[members[next - 1]].onset_s, list[members[next]].onset_s);
    ((t_s - a) / (b - a)).clamp(0.0, 1.0)
}
