//! The whole run as one sequence: which candidates are the contacts, given that steps follow each other in a rhythm.
//!
//! A semi-Markov chain: the time from one contact to the next is drawn around the step time, with left and right
//! alternating, now and then a contact that was not heard, and a longer gap where the runner turns.

/// A possible contact for the rhythm: when, and its log-odds of being a contact by its sound alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beat {
    /// Onset, s.
    pub t_s: f64,
    /// Log-odds by sound alone.
    pub log_odds: f64,
    /// Log-odds that the runner stops on it and turns, by sound alone; [`SELDOM_TURN`] where nothing is known.
    pub turn_odds: f64,
}

/// Log-odds of a turn after any one contact. Engineering assumption: about one contact in fifty.
pub const SELDOM_TURN: f64 = -4.0;

/// How steps follow each other: one hypothesis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tempo {
    /// Mean step time, s.
    pub period_s: f64,
    /// Standard deviation of a step time as a share of it, alternation left out.
    pub spread: f64,
    /// Half the difference of the two feet as a share of the step time: one step lasts `1 + sway`, the next `1 - sway`.
    pub sway: f64,
}

/// Foot contacts a second that the log-odds by sound alone expect (their share of the candidates in the fit).
const CONTACTS_PER_S: f64 = 1.9;
/// Log of the share of contacts that no candidate marks.
const LOG_MISSED: f64 = -3.9;
/// Shortest and longest gap at a turn, in step times.
const TURN_GAP: (f64, f64) = (1.3, 3.0);
/// Log-odds for the run to begin at one given candidate.
const LOG_START: f64 = -2.0;
/// Log-odds for a second stretch of steps after a silence.
const LOG_RESTART: f64 = -8.0;
/// Beats below this are left out of the search.
const HOPELESS: f64 = -9.0;
/// Step times whose coarse score is this much below the best are not looked at closer, nats.
const HOPEFUL: f64 = 15.0;
/// Nothing.
const NEVER: f64 = -1e300;

/// Best sequence for one tempo.
#[derive(Debug, Clone, PartialEq)]
struct Sequence {
    /// Score over "nobody runs", nats.
    score: f64,
    /// Which beats, in order.
    beats: Vec<usize>,
}

/// Logs of the two chances after a contact.
#[derive(Debug, Clone, Copy)]
struct Turn {
    turns: f64,
    goes_on: f64,
}

impl Turn {
    fn after(beat: &Beat) -> Self {
        let odds = beat.turn_odds;
        Self { turns: -libm::log1p(libm::exp(-odds)), goes_on: -libm::log1p(libm::exp(odds)) }
    }
}

/// A tempo with everything that does not depend on the beats worked out.
#[derive(Debug, Clone, Copy)]
struct Pace {
    period_s: f64,
    means_s: [f64; 2],
    /// One over the standard deviation of one, two and three step times.
    sharp: [f64; 3],
    /// Log of each density's top, missed contacts priced in.
    tops: [f64; 3],
    turn_top: f64,
    shortest_s: f64,
    longest_s: f64,
}

impl Pace {
    fn new(tempo: &Tempo) -> Self {
        let period_s = tempo.period_s;
        let spreads = [1.0, 1.5, 1.8].map(|times| times * tempo.spread * period_s);
        let top = |index: usize| {
            index as f64 * LOG_MISSED - libm::log(spreads[index] * 2.506_628_274_631 * CONTACTS_PER_S)
        };
        Self {
            period_s,
            means_s: [period_s * (1.0 + tempo.sway), period_s * (1.0 - tempo.sway)],
            sharp: spreads.map(|spread| 1.0 / spread),
            tops: [top(0), top(1), top(2)],
            turn_top: -libm::log((TURN_GAP.1 - TURN_GAP.0) * period_s * CONTACTS_PER_S),
            shortest_s: 0.55 * period_s,
            longest_s: (3.0 + 3.0 * tempo.spread).max(TURN_GAP.1) * period_s,
        }
    }

    /// Log of the density of a step of `d_s` over what chance would give.
    fn step(&self, d_s: f64, parity: usize, turn: Turn) -> f64 {
        let gauss = |mean: f64, times: usize| {
            let z = (d_s - mean) * self.sharp[times];
            self.tops[times] - 0.5 * z * z
        };
        let mut best = gauss(self.means_s[parity], 0);
        if d_s > 1.5 * self.period_s {
            best = best.max(gauss(2.0 * self.period_s, 1));
            if d_s > 2.5 * self.period_s {
                best = best.max(gauss(3.0 * self.period_s, 2));
            }
        }
        best += turn.goes_on;
        if d_s >= TURN_GAP.0 * self.period_s && d_s < TURN_GAP.1 * self.period_s {
            best = best.max(turn.turns + self.turn_top);
        }
        best
    }
}

/// The best sequence of contacts for one tempo.
fn best_sequence(beats: &[Beat], turns: &[Turn], pace: &Pace) -> Sequence {
    // Where both feet step alike it does not matter which one it is.
    match pace.means_s[0] == pace.means_s[1] {
        true => best_of::<1>(beats, turns, pace),
        false => best_of::<2>(beats, turns, pace),
    }
}

fn best_of<const FEET: usize>(beats: &[Beat], turns: &[Turn], pace: &Pace) -> Sequence {
    let n = beats.len();
    let mut score = vec![[NEVER; FEET]; n];
    let mut from = vec![[None::<(usize, usize)>; FEET]; n];
    let mut best = (0.0, None);
    // The best end among the beats too far back to be stepped from.
    let mut ended = (NEVER, None);
    let mut gone = 0;
    for (j, beat) in beats.iter().enumerate() {
        while gone < j && beat.t_s - beats[gone].t_s > pace.longest_s {
            for (p, &value) in score[gone].iter().enumerate() {
                if value > ended.0 {
                    ended = (value, Some((gone, p)));
                }
            }
            gone += 1;
        }
        let mut tops = [(LOG_START, None); FEET];
        if ended.0 + LOG_RESTART > LOG_START {
            tops = [(ended.0 + LOG_RESTART, ended.1); FEET];
        }
        for i in gone..j {
            let d = beat.t_s - beats[i].t_s;
            if d < pace.shortest_s {
                break;
            }
            for (p, top) in tops.iter_mut().enumerate() {
                let other = FEET - 1 - p;
                let value = score[i][other] + pace.step(d, p, turns[i]);
                if value > top.0 {
                    *top = (value, Some((i, other)));
                }
            }
        }
        for (p, top) in tops.into_iter().enumerate() {
            score[j][p] = top.0 + beat.log_odds;
            from[j][p] = top.1;
            if score[j][p] > best.0 {
                best = (score[j][p], Some((j, p)));
            }
        }
    }
    let mut chosen = Vec::new();
    let mut at = best.1;
    while let Some((j, p)) = at {
        chosen.push(j);
        at = from[j][p];
    }
    chosen.reverse();
    Sequence { score: best.0, beats: chosen }
}

fn add(a: f64, b: f64) -> f64 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    if high - low > 40.0 { high } else { high + libm::log1p(libm::exp(low - high)) }
}

/// Log evidence over "nobody runs" for one tempo, and each beat's probability of being a contact given that tempo.
fn posterior(beats: &[Beat], turns: &[Turn], pace: &Pace) -> (f64, Vec<f64>) {
    let n = beats.len();
    let mut ahead = vec![[NEVER; 2]; n];
    let mut total = 0.0; // the empty sequence
    let mut steps: Vec<(usize, usize, [f64; 2])> = Vec::new();
    let mut first = 0;
    for (j, beat) in beats.iter().enumerate() {
        while beat.t_s - beats[first].t_s > pace.longest_s {
            first += 1;
        }
        let mut sums = [LOG_START; 2];
        for i in first..j {
            let d = beat.t_s - beats[i].t_s;
            if d < pace.shortest_s {
                break;
            }
            let weight = [pace.step(d, 0, turns[i]), pace.step(d, 1, turns[i])];
            if weight[0].max(weight[1]) < -20.0 {
                continue;
            }
            for (p, sum) in sums.iter_mut().enumerate() {
                *sum = add(*sum, ahead[i][1 - p] + weight[p]);
            }
            steps.push((i, j, weight));
        }
        for (slot, sum) in ahead[j].iter_mut().zip(sums) {
            *slot = sum + beat.log_odds;
            total = add(total, *slot);
        }
    }
    let mut behind = vec![[0.0; 2]; n];
    for &(i, j, weight) in steps.iter().rev() {
        for (p, weight) in weight.into_iter().enumerate() {
            behind[i][1 - p] = add(behind[i][1 - p], weight + beats[j].log_odds + behind[j][p]);
        }
    }
    let shares = (0..n)
        .map(|j| {
            (0..2).map(|p| libm::exp((ahead[j][p] + behind[j][p] - total).min(0.0))).sum::<f64>().min(1.0)
        })
        .collect();
    (total, shares)
}

/// What the rhythm says about a take.
#[derive(Debug, Clone, PartialEq)]
pub struct Rhythm {
    /// The most probable tempo.
    pub tempo: Tempo,
    /// Log evidence for a run over "nobody runs", nats, all tempos weighed.
    pub evidence: f64,
    /// Best sequence at that tempo.
    pub sequence: Vec<usize>,
    /// Probability of each beat to be a contact, given that there is a run.
    pub shares: Vec<f64>,
}

/// Shortest and longest step time looked for: sprinting children to a slow walk.
pub const PERIODS_S: (f64, f64) = (0.19, 0.95);

/// Finds the rhythm. `None` without beats.
#[must_use]
pub fn find(beats: &[Beat]) -> Option<Rhythm> {
    if beats.is_empty() {
        return None;
    }
    // What sounds nothing like a contact cannot become one: no step adds as much as this takes away.
    let kept: Vec<usize> = (0..beats.len()).filter(|&k| beats[k].log_odds > HOPELESS).collect();
    let all = beats.len();
    let beats: Vec<Beat> = kept.iter().map(|&k| beats[k]).collect();
    let mut rhythm = search(&beats);
    rhythm.sequence = rhythm.sequence.iter().map(|&k| kept[k]).collect();
    let mut shares = vec![0.0; all];
    for (&k, &share) in kept.iter().zip(&rhythm.shares) {
        shares[k] = share;
    }
    rhythm.shares = shares;
    Some(rhythm)
}

fn search(beats: &[Beat]) -> Rhythm {
    let turns: Vec<Turn> = beats.iter().map(Turn::after).collect();
    let count = 40;
    let ratio = PERIODS_S.1 / PERIODS_S.0;
    let mut coarse: Vec<(f64, f64)> = (0..count)
        .map(|k| {
            let period_s = PERIODS_S.0 * libm::pow(ratio, k as f64 / (count - 1) as f64);
            let tempo = Tempo { period_s, spread: 0.12, sway: 0.0 };
            (best_sequence(beats, &turns, &Pace::new(&tempo)).score, period_s)
        })
        .collect();
    coarse.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut seeds: Vec<f64> = Vec::new();
    let worth = coarse[0].0 - HOPEFUL;
    for &(score, period_s) in &coarse {
        if score >= worth && seeds.iter().all(|seed| libm::fabs(libm::log(seed / period_s)) > 0.09) {
            seeds.push(period_s);
        }
        if seeds.len() == 4 {
            break;
        }
    }
    let kinds =
        [(0.03, 0.0), (0.06, 0.0), (0.11, 0.0), (0.16, 0.0), (0.03, 0.035), (0.03, 0.06), (0.04, 0.085)];
    let mut tried: Vec<(f64, Tempo)> = Vec::new();
    for seed in seeds {
        for k in -3..=3 {
            let period_s = seed * (1.0 + 0.014 * f64::from(k));
            for (spread, sway) in kinds {
                let tempo = Tempo { period_s, spread, sway };
                tried.push((best_sequence(beats, &turns, &Pace::new(&tempo)).score, tempo));
            }
        }
    }
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    let top = tried[0].0;
    let mut shares = vec![0.0; beats.len()];
    let mut total = NEVER;
    let mut parts = Vec::new();
    for (_, tempo) in tried.iter().filter(|(score, _)| *score > top - 4.0).take(12) {
        let (evidence, own) = posterior(beats, &turns, &Pace::new(tempo));
        total = add(total, evidence);
        parts.push((evidence, own));
    }
    for (evidence, own) in &parts {
        let weight = libm::exp(evidence - total);
        for (sum, share) in shares.iter_mut().zip(own) {
            *sum += weight * share;
        }
    }
    let tempo = tried[0].1;
    let sequence = best_sequence(beats, &turns, &Pace::new(&tempo)).beats;
    Rhythm { tempo, evidence: total - libm::log(parts.len() as f64), sequence, shares }
}
