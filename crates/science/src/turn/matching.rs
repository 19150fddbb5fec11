//! Perfect matching of least cost in a complete graph, exact.
//!
//! Edmonds' blossom method with dual values (Journal of Research of the National Bureau of Standards 69B:125-130,
//! 1965; laid out as in Galil 1986, ACM Computing Surveys 18:23-38). Every step keeps: no edge is worth more than its
//! two ends' duals; matched edges are worth exactly that. So the matching that is complete at the end is the best.

/// Returns the pairs, the smaller first, in rising order. `count` must be even; `cost` symmetric and 0 or more, its
/// sum over any matching below 2⁶⁰ / `count`.
///
/// The time it takes grows with the cube of `count` (docs/measured.md has figures).
pub(super) fn least_cost_pairs(count: usize, cost: impl Fn(usize, usize) -> i64) -> Vec<(usize, usize)> {
    assert!(count.is_multiple_of(2), "an odd child rests before the others are paired");
    if count == 0 {
        return Vec::new();
    }
    let mut most = 0;
    for a in 0..count {
        for b in 0..a {
            most = most.max(cost(a, b));
        }
    }
    // Worth instead of cost: leaving anybody out loses more than any pairing could gain, so the best is perfect.
    let base = (most + 1) * (count as i64 / 2 + 1);
    let mut search = Search::new(count, |a, b| base - cost(a, b));
    while search.augment_once() {}
    let mut pairs: Vec<(usize, usize)> =
        (0..count).map(|a| (a, search.partner_of(a))).filter(|(a, b)| a < b).collect();
    pairs.sort_unstable();
    pairs
}

/// Nobody, or nothing.
const NONE: usize = usize::MAX;

/// What a blossom or a single child is in the forest of one stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Label {
    Free,
    /// An even distance from an unmatched root.
    Outer,
    /// An odd one.
    Inner,
}

/// A directed edge between two children.
type Edge = (usize, usize);

/// Nodes 0 to `count` − 1 are children; higher numbers are blossoms, odd rings of nodes shrunk to one.
struct Search {
    count: usize,
    /// Twice the worth of every pair of children.
    worth: Vec<i64>,
    /// Dual values of nodes, in halves of `worth`.
    dual: Vec<i64>,
    /// The edge by which a node is matched, from inside it.
    matched: Vec<Option<Edge>>,
    /// The node at the top that holds a node.
    top: Vec<usize>,
    /// The nodes of a blossom in ring order, the one that holds the stem first; empty for children and unused numbers.
    ring: Vec<Vec<usize>>,
    /// For every blossom: the edges of its ring, from each node to the next.
    ring_edges: Vec<Vec<Edge>>,
    label: Vec<Label>,
    /// The edge by which a node came into the forest, ending inside it.
    entry: Vec<Option<Edge>>,
    /// Whether a top node stands as one: unused blossom numbers do not.
    used: Vec<bool>,
}

impl Search {
    fn new(count: usize, worth: impl Fn(usize, usize) -> i64) -> Self {
        let nodes = 2 * count;
        let mut table = vec![0; count * count];
        let mut most = 0;
        for a in 0..count {
            for b in 0..count {
                if a != b {
                    table[a * count + b] = 2 * worth(a, b);
                    most = most.max(worth(a, b));
                }
            }
        }
        let mut dual = vec![0; nodes];
        dual[..count].fill(most);
        Self {
            count,
            worth: table,
            dual,
            matched: vec![None; nodes],
            top: (0..nodes).collect(),
            ring: vec![Vec::new(); nodes],
            ring_edges: vec![Vec::new(); nodes],
            label: vec![Label::Free; nodes],
            entry: vec![None; nodes],
            used: (0..nodes).map(|node| node < count).collect(),
        }
    }

    fn partner_of(&self, child: usize) -> usize {
        self.matched[child].map_or(NONE, |(_, partner)| partner)
    }

    /// How much the two ends' duals exceed the worth of an edge between two children: 0 for edges that may be used.
    fn slack(&self, (a, b): Edge) -> i64 {
        self.dual[a] + self.dual[b] - self.worth[a * self.count + b]
    }

    fn tops(&self) -> Vec<usize> {
        (0..self.top.len()).filter(|node| self.used[*node] && self.top[*node] == *node).collect()
    }

    /// One stage: grows a forest from all unmatched nodes until one more pair can be matched; `false` when all are.
    fn augment_once(&mut self) -> bool {
        let mut unmatched = false;
        for node in self.tops() {
            self.entry[node] = None;
            self.label[node] = if self.matched[node].is_none() { Label::Outer } else { Label::Free };
            unmatched |= self.matched[node].is_none();
        }
        if !unmatched {
            return false;
        }
        loop {
            if self.use_tight_edges() {
                return true;
            }
            self.move_duals();
            self.open_spent_blossoms();
        }
    }

    /// Follows edges without slack from outer nodes until none is left or a path between two roots was turned over.
    fn use_tight_edges(&mut self) -> bool {
        let mut again = true;
        while again {
            again = false;
            for a in 0..self.count {
                if self.label[self.top[a]] != Label::Outer {
                    continue;
                }
                for b in 0..self.count {
                    let (from, to) = (self.top[a], self.top[b]);
                    if from == to || self.slack((a, b)) != 0 {
                        continue;
                    }
                    match self.label[to] {
                        Label::Inner => {}
                        Label::Free => {
                            self.take_in((a, b));
                            again = true;
                        }
                        Label::Outer => {
                            if let Some(stem) = self.common_stem(from, to) {
                                self.shrink(stem, (a, b));
                                again = true;
                            } else {
                                self.turn_over((a, b));
                                return true;
                            }
                        }
                    }
                }
            }
        }
        false
    }

    /// A free node becomes inner, and the one it is matched with outer.
    fn take_in(&mut self, edge: Edge) {
        let inner = self.top[edge.1];
        self.label[inner] = Label::Inner;
        self.entry[inner] = Some(edge);
        let matched = self.matched[inner].expect("unmatched nodes are roots, not free");
        let outer = self.top[matched.1];
        self.label[outer] = Label::Outer;
        self.entry[outer] = Some(matched);
    }

    /// The top node from which a top node was reached.
    fn parent(&self, node: usize) -> Option<usize> {
        self.entry[node].map(|(from, _)| self.top[from])
    }

    fn common_stem(&self, a: usize, b: usize) -> Option<usize> {
        let mut on_path = vec![false; self.top.len()];
        let mut node = Some(a);
        while let Some(here) = node {
            on_path[here] = true;
            node = self.parent(here);
        }
        node = Some(b);
        while let Some(here) = node {
            if on_path[here] {
                return Some(here);
            }
            node = self.parent(here);
        }
        None
    }

    /// Makes one outer node of the odd ring that an edge between two outer nodes closes.
    fn shrink(&mut self, stem: usize, edge: Edge) {
        let number = (self.count..self.top.len())
            .find(|node| !self.used[*node])
            .expect("blossoms nest, so there are fewer of them than children");
        // From the stem down to one end of the edge, over it, and back up from the other end.
        let (mut ring, mut edges) = (Vec::new(), Vec::new());
        let mut node = self.top[edge.0];
        while node != stem {
            let entry = self.entry[node].expect("the stem lies above");
            ring.push(node);
            edges.push(entry);
            node = self.top[entry.0];
        }
        ring.push(stem);
        ring.reverse();
        edges.reverse();
        edges.push(edge);
        node = self.top[edge.1];
        while node != stem {
            let (from, to) = self.entry[node].expect("the stem lies above");
            ring.push(node);
            edges.push((to, from));
            node = self.top[from];
        }
        for child in (0..self.count).filter(|child| ring.contains(&self.top[*child])).collect::<Vec<_>>() {
            self.top[child] = number;
        }
        for node in &ring {
            self.top[*node] = number;
        }
        self.used[number] = true;
        self.top[number] = number;
        self.dual[number] = 0;
        self.label[number] = Label::Outer;
        self.entry[number] = self.entry[stem];
        self.matched[number] = self.matched[stem];
        self.ring[number] = ring;
        self.ring_edges[number] = edges;
    }

    /// Matches the ends of the edge, and turns over the paths from both to their roots.
    fn turn_over(&mut self, (a, b): Edge) {
        for (mut from, mut to) in [(a, b), (b, a)] {
            loop {
                let node = self.top[from];
                self.match_from(node, (from, to));
                // An outer node was reached by its matched edge, from an inner one, which was reached from an outer
                // one.
                let Some((inner_end, _)) = self.entry[node] else { break };
                let inner = self.top[inner_end];
                let (outer_end, into_inner) = self.entry[inner].expect("inner nodes are not roots");
                self.match_from(inner, (into_inner, outer_end));
                (from, to) = (outer_end, into_inner);
            }
        }
    }

    /// Matches a node by an edge that begins inside it, and its ring accordingly.
    fn match_from(&mut self, node: usize, edge: Edge) {
        self.matched[node] = Some(edge);
        if node < self.count {
            return;
        }
        let place = self.place_in_ring(node, edge.0);
        let size = self.ring[node].len();
        self.ring[node].rotate_left(place);
        self.ring_edges[node].rotate_left(place);
        let first = self.ring[node][0];
        self.match_from(first, edge);
        // The others pair up along the ring: second with third, fourth with fifth.
        for at in (1..size).step_by(2) {
            let (left, right) = (self.ring[node][at], self.ring[node][at + 1]);
            let (from, to) = self.ring_edges[node][at];
            self.match_from(left, (from, to));
            self.match_from(right, (to, from));
        }
    }

    /// The place in a blossom's ring of the node that holds a child.
    fn place_in_ring(&self, blossom: usize, child: usize) -> usize {
        self.ring[blossom].iter().position(|node| self.holds(*node, child)).expect("the child is inside")
    }

    fn holds(&self, node: usize, child: usize) -> bool {
        node == child || self.ring[node].iter().any(|inside| self.holds(*inside, child))
    }

    /// Moves the duals as far as nothing breaks: then an edge loses its slack, or an inner blossom is spent.
    fn move_duals(&mut self) {
        let mut by = i64::MAX;
        for a in 0..self.count {
            if self.label[self.top[a]] != Label::Outer {
                continue;
            }
            for b in 0..self.count {
                if self.top[a] != self.top[b] {
                    match self.label[self.top[b]] {
                        Label::Free => by = by.min(self.slack((a, b))),
                        Label::Outer => by = by.min(self.slack((a, b)) / 2),
                        Label::Inner => {}
                    }
                }
            }
        }
        let tops = self.tops();
        for node in &tops {
            if *node >= self.count && self.label[*node] == Label::Inner {
                by = by.min(self.dual[*node] / 2);
            }
        }
        for child in 0..self.count {
            match self.label[self.top[child]] {
                Label::Outer => self.dual[child] -= by,
                Label::Inner => self.dual[child] += by,
                Label::Free => {}
            }
        }
        for node in tops.into_iter().filter(|node| *node >= self.count) {
            match self.label[node] {
                Label::Outer => self.dual[node] += 2 * by,
                Label::Inner => self.dual[node] -= 2 * by,
                Label::Free => {}
            }
        }
    }

    /// Takes inner blossoms without a dual apart: half their ring stays on the path, the rest is free again.
    fn open_spent_blossoms(&mut self) {
        for blossom in self.tops() {
            if blossom < self.count || self.label[blossom] != Label::Inner || self.dual[blossom] != 0 {
                continue;
            }
            let entry = self.entry[blossom].expect("inner nodes are not roots");
            let (ring, edges) =
                (std::mem::take(&mut self.ring[blossom]), std::mem::take(&mut self.ring_edges[blossom]));
            self.used[blossom] = false;
            for node in &ring {
                self.set_top(*node, *node);
                self.label[*node] = Label::Free;
                self.entry[*node] = None;
            }
            let size = ring.len();
            let place = self.place_of(&ring, entry.1);
            // The first of the ring holds the matched edge that leads on. From where the path comes in, it goes there
            // the way round that has an even number of steps.
            let mut at = place;
            let mut into = entry;
            loop {
                let node = ring[at];
                self.label[node] = Label::Inner;
                self.entry[node] = Some(into);
                if at == 0 {
                    break;
                }
                let backwards = place.is_multiple_of(2);
                let step = |from: usize| if backwards { from - 1 } else { (from + 1) % size };
                let edge_from = |from: usize| {
                    if backwards {
                        let (a, b) = edges[from - 1];
                        (b, a)
                    } else {
                        edges[from]
                    }
                };
                let outer = ring[step(at)];
                self.label[outer] = Label::Outer;
                self.entry[outer] = Some(edge_from(at));
                let next = step(at);
                into = edge_from(next);
                at = step(next);
            }
        }
    }

    fn place_of(&self, ring: &[usize], child: usize) -> usize {
        ring.iter().position(|node| self.holds(*node, child)).expect("the child is inside")
    }

    fn set_top(&mut self, node: usize, top: usize) {
        self.top[node] = top;
        for inside in self.ring[node].clone() {
            self.set_top(inside, top);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seeded::Seeded;
    use proptest::prelude::*;

    /// Every perfect matching tried.
    fn by_trying(left: &[usize], cost: &impl Fn(usize, usize) -> i64) -> i64 {
        let Some((first, rest)) = left.split_first() else { return 0 };
        (0..rest.len())
            .map(|at| {
                let mut others = rest.to_vec();
                let partner = others.remove(at);
                cost(*first, partner) + by_trying(&others, cost)
            })
            .min()
            .expect("an even number")
    }

    fn check(count: usize, costs: &[i64]) {
        let cost = |a: usize, b: usize| costs[a.min(b) * count + a.max(b)];
        let pairs = least_cost_pairs(count, cost);
        let mut seen: Vec<usize> = pairs.iter().flat_map(|(a, b)| [*a, *b]).collect();
        seen.sort_unstable();
        assert_eq!(seen, (0..count).collect::<Vec<_>>());
        let total: i64 = pairs.iter().map(|&(a, b)| cost(a, b)).sum();
        assert_eq!(total, by_trying(&seen, &cost), "{costs:?}");
    }

    proptest! {
        #[test]
        fn the_pairs_cost_least_of_all_matchings(
            half in 1usize..=4, costs in proptest::collection::vec(0i64..12, 64),
        ) {
            check(2 * half, &costs);
        }

        #[test]
        fn few_different_costs_make_many_blossoms_and_no_mistake(
            half in 3usize..=5, costs in proptest::collection::vec(0i64..3, 100),
        ) {
            check(2 * half, &costs);
        }
    }

    #[test]
    fn thirty_two_children_equal_their_neighbours_when_only_ability_counts() {
        let mut random = Seeded(2);
        for _ in 0..50 {
            let ability: Vec<i64> = (0..32).map(|_| (random.uniform() * 1e6) as i64).collect();
            let pairs = least_cost_pairs(32, |a, b| (ability[a] - ability[b]).abs());
            let mut sorted = ability.clone();
            sorted.sort_unstable();
            let neighbours: i64 = sorted.chunks(2).map(|two| two[1] - two[0]).sum();
            assert_eq!(pairs.iter().map(|&(a, b)| (ability[a] - ability[b]).abs()).sum::<i64>(), neighbours);
        }
    }
}
