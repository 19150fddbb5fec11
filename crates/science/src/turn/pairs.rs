//! Who shuttles beside whom: pairs of like ability, nobody twice with the same one before need be, rest in turn.

use serde::{Deserialize, Serialize};

use super::matching;

/// One child to be paired.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Child {
    /// Ability in any unit that all children share, such as passes in ten seconds; none when not known: then the middle
    /// of those that are.
    pub ability: Option<f64>,
    /// How often the child rested already.
    pub rests: u32,
}

/// Pairs of one round, by place in the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pairing {
    /// Pairs, the smaller place first, in the order of the list.
    pub pairs: Vec<(usize, usize)>,
    /// Who rests, with an odd number.
    pub rests: Option<usize>,
    /// Sum of the differences in ability within the pairs.
    pub difference: f64,
    /// Meetings before, summed over the pairs: 0 while everyone can have somebody new.
    pub rematches: u32,
    /// Pairs that were to be kept apart and could not be.
    pub apart_broken: u32,
}

/// Ability differences are counted in this many steps over the whole range.
const ABILITY_STEPS: f64 = 1e6;

/// Returns the pairs of one round.
///
/// `met` has each earlier pair as often as it met; `apart` has those who should not meet. Places that are not in the
/// list are passed over.
///
/// # Formula
/// First as few pairs as possible that should be kept apart, then as few meetings again as possible, then the least
/// sum of differences in ability: a perfect matching of least weight, exact. With an odd number one of those who
/// rested least so far rests, the one whose rest leaves the best pairs.
pub fn pairs(children: &[Child], met: &[(usize, usize)], apart: &[(usize, usize)]) -> Pairing {
    let count = children.len();
    let costs = Costs::new(children, met, apart);
    let everyone: Vec<usize> = (0..count).collect();
    if count < 2 {
        return costs.pairing(Vec::new(), everyone.first().copied());
    }
    if count.is_multiple_of(2) {
        return costs.pairing(costs.best(&everyone), None);
    }
    let fewest = children.iter().map(|child| child.rests).min().unwrap_or(0);
    let resting = everyone.iter().copied().filter(|place| children[*place].rests == fewest);
    resting
        .map(|rests| {
            let others: Vec<usize> = everyone.iter().copied().filter(|place| *place != rests).collect();
            let pairs = costs.best(&others);
            let cost: i64 = pairs.iter().map(|&(a, b)| costs.of(a, b)).sum();
            (cost, rests, pairs)
        })
        .min_by_key(|(cost, rests, _)| (*cost, *rests))
        .map(|(_, rests, pairs)| costs.pairing(pairs, Some(rests)))
        .expect("somebody rested least")
}

struct Costs {
    count: usize,
    ability: Vec<f64>,
    steps: Vec<i64>,
    met: Vec<i64>,
    apart: Vec<bool>,
    /// What one meeting again costs: more than all differences together.
    again: i64,
    /// What one pair costs that should be kept apart: more than all meetings together.
    together: i64,
}

impl Costs {
    fn new(children: &[Child], met: &[(usize, usize)], apart: &[(usize, usize)]) -> Self {
        let count = children.len();
        let mut known: Vec<f64> =
            children.iter().filter_map(|child| child.ability).filter(|ability| ability.is_finite()).collect();
        known.sort_by(f64::total_cmp);
        let middle = known.get(known.len() / 2).copied().unwrap_or(0.0);
        let ability: Vec<f64> = children
            .iter()
            .map(|child| child.ability.filter(|ability| ability.is_finite()).unwrap_or(middle))
            .collect();
        let lowest = known.first().copied().unwrap_or(0.0);
        let range = known.last().copied().unwrap_or(0.0) - lowest;
        let scale = if range > 0.0 { ABILITY_STEPS / range } else { 0.0 };
        let steps = ability.iter().map(|ability| ((ability - lowest) * scale).round() as i64).collect();
        let mut times_met = vec![0; count * count];
        for &(a, b) in met.iter().filter(|(a, b)| a != b && *a < count && *b < count) {
            times_met[a * count + b] += 1;
            times_met[b * count + a] += 1;
        }
        let mut kept_apart = vec![false; count * count];
        for &(a, b) in apart.iter().filter(|(a, b)| *a < count && *b < count) {
            kept_apart[a * count + b] = true;
            kept_apart[b * count + a] = true;
        }
        let half = (count / 2 + 1) as i64;
        let again = half * (ABILITY_STEPS as i64 + 1);
        let most_met = times_met.iter().copied().max().unwrap_or(0);
        let together = (half * (most_met + 1)).saturating_mul(again);
        Self { count, ability, steps, met: times_met, apart: kept_apart, again, together }
    }

    fn of(&self, a: usize, b: usize) -> i64 {
        let at = a * self.count + b;
        (self.steps[a] - self.steps[b]).abs()
            + self.met[at] * self.again
            + i64::from(self.apart[at]) * self.together
    }

    fn best(&self, places: &[usize]) -> Vec<(usize, usize)> {
        matching::least_cost_pairs(places.len(), |a, b| self.of(places[a], places[b]))
            .into_iter()
            .map(|(a, b)| (places[a], places[b]))
            .collect()
    }

    fn pairing(&self, pairs: Vec<(usize, usize)>, rests: Option<usize>) -> Pairing {
        let at = |&(a, b): &(usize, usize)| a * self.count + b;
        Pairing {
            difference: pairs.iter().map(|&(a, b)| (self.ability[a] - self.ability[b]).abs()).sum(),
            rematches: pairs.iter().map(|pair| self.met[at(pair)] as u32).sum(),
            apart_broken: pairs.iter().filter(|pair| self.apart[at(pair)]).count() as u32,
            pairs,
            rests,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seeded::Seeded;

    fn class(count: usize, random: &mut Seeded) -> Vec<Child> {
        (0..count).map(|_| Child { ability: Some(8.0 + 2.0 * random.normal()), rests: 0 }).collect()
    }

    #[test]
    fn without_history_neighbours_in_ability_are_paired() {
        let children: Vec<Child> =
            [5.0, 9.0, 5.1, 8.8].iter().map(|a| Child { ability: Some(*a), rests: 0 }).collect();
        assert_eq!(pairs(&children, &[], &[]).pairs, [(0, 2), (1, 3)]);
    }

    #[test]
    fn nobody_meets_twice_before_everyone_has_met_and_nobody_rests_twice_before_everyone_rested() {
        let mut random = Seeded(4);
        for count in [8usize, 9, 24] {
            let mut children = class(count, &mut random);
            let mut met = Vec::new();
            // Odd: with one resting, as many rounds as children; the first half of them can always be new.
            for round in 0..count / 2 {
                let found = pairs(&children, &met, &[]);
                assert_eq!(found.rematches, 0, "round {round} of {count}");
                assert_eq!(found.pairs.len(), count / 2);
                if let Some(rests) = found.rests {
                    children[rests].rests += 1;
                    assert!(children.iter().all(|child| child.rests <= 1), "{round}");
                }
                met.extend(found.pairs);
            }
        }
    }

    #[test]
    fn those_kept_apart_meet_only_when_nobody_else_is_left() {
        let children: Vec<Child> =
            [5.0, 5.0, 9.0, 9.0].iter().map(|a| Child { ability: Some(*a), rests: 0 }).collect();
        let found = pairs(&children, &[(0, 2), (0, 2)], &[(0, 1)]);
        assert_eq!((found.pairs.as_slice(), found.apart_broken), (&[(0, 3), (1, 2)][..], 0));
        let two = pairs(&children[..2], &[], &[(0, 1)]);
        assert_eq!((two.pairs.as_slice(), two.apart_broken), (&[(0, 1)][..], 1));
        assert_eq!(pairs(&children[..1], &[], &[]).rests, Some(0));
        assert!(pairs(&[], &[], &[]).rests.is_none());
    }
}
