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
}

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
/// Log of the share of steps that are a turn.
const LOG_TURN: f64 = -4.0;
/// Shortest and longest gap at a turn, in step times.
const TURN_GAP: (f64, f64) = (1.3, 3.0);
/// Log-odds for the run to begin at one given candidate.
const LOG_START: f64 = -2.0;
/// Log-odds for a second stretch of steps after a silence.
const LOG_RESTART: f64 = -8.0;
/// Nothing.
const NEVER: f64 = -1e300;

/// Best sequence for one tempo.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// Score over "nobody runs", nats.
    pub score: f64,
    /// Which beats, in order.
    pub beats: Vec<usize>,
}

/// Log of the density of a step of `d_s` over what chance would give.
fn step(d_s: f64, tempo: &Tempo, parity: usize) -> f64 {
    let side = if parity == 0 { tempo.sway } else { -tempo.sway };
    let gauss = |mean: f64, spread: f64| {
        let z = (d_s - mean) / spread;
        -0.5 * z * z - libm::log(spread * 2.506_628_274_631 * CONTACTS_PER_S)
    };
    let spread = tempo.spread * tempo.period_s;
    let mut best = gauss(tempo.period_s * (1.0 + side), spread);
    let ratio = d_s / tempo.period_s;
    if ratio > 1.5 {
        best = best.max(gauss(2.0 * tempo.period_s, 1.5 * spread) + LOG_MISSED);
        if ratio > 2.5 {
            best = best.max(gauss(3.0 * tempo.period_s, 1.8 * spread) + 2.0 * LOG_MISSED);
        }
    }
    if (TURN_GAP.0..TURN_GAP.1).contains(&ratio) {
        let width = (TURN_GAP.1 - TURN_GAP.0) * tempo.period_s;
        best = best.max(LOG_TURN - libm::log(width * CONTACTS_PER_S));
    }
    best
}

fn longest(tempo: &Tempo) -> f64 {
    (3.0 + 3.0 * tempo.spread).max(TURN_GAP.1) * tempo.period_s
}

/// The best sequence of contacts for one tempo.
#[must_use]
pub fn best_sequence(beats: &[Beat], tempo: &Tempo) -> Sequence {
    let n = beats.len();
    let shortest = 0.55 * tempo.period_s;
    let longest = longest(tempo);
    let mut score = vec![[NEVER; 2]; n];
    let mut from = vec![[usize::MAX; 2]; n];
    let mut best = (0.0, usize::MAX, 0);
    let mut ended = (NEVER, usize::MAX, 0); // best end among those too far back to be stepped from
    let mut gone = 0;
    for j in 0..n {
        while gone < j && beats[j].t_s - beats[gone].t_s > longest {
            for p in 0..2 {
                if score[gone][p] > ended.0 {
                    ended = (score[gone][p], gone, p);
                }
            }
            gone += 1;
        }
        for p in 0..2 {
            let mut top = (LOG_START, usize::MAX);
            if ended.0 + LOG_RESTART > top.0 {
                top = (ended.0 + LOG_RESTART, ended.1 * 2 + ended.2);
            }
            for i in (gone..j).rev() {
                let d = beats[j].t_s - beats[i].t_s;
                if d < shortest {
                    continue;
                }
                let value = score[i][1 - p] + step(d, tempo, p);
                if value > top.0 {
                    top = (value, i * 2 + 1 - p);
                }
            }
            score[j][p] = top.0 + beats[j].log_odds;
            from[j][p] = top.1;
            if score[j][p] > best.0 {
                best = (score[j][p], j, p);
            }
        }
    }
    let mut chosen = Vec::new();
    let (mut at, mut p) = (best.1, best.2);
    while at != usize::MAX {
        chosen.push(at);
        let back = from[at][p];
        if back == usize::MAX {
            break;
        }
        (at, p) = (back / 2, back % 2);
    }
    chosen.reverse();
    Sequence { score: best.0, beats: chosen }
}

fn add(a: f64, b: f64) -> f64 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    if high - low > 40.0 { high } else { high + libm::log1p(libm::exp(low - high)) }
}

/// Log evidence over "nobody runs" for one tempo, and each beat's probability of being a contact given that tempo.
#[must_use]
pub fn posterior(beats: &[Beat], tempo: &Tempo) -> (f64, Vec<f64>) {
    let n = beats.len();
    let shortest = 0.55 * tempo.period_s;
    let longest = longest(tempo);
    let mut ahead = vec![[NEVER; 2]; n];
    let mut total = 0.0; // the empty sequence
    let mut steps: Vec<(usize, usize, [f64; 2])> = Vec::new();
    let mut first = 0;
    for j in 0..n {
        while beats[j].t_s - beats[first].t_s > longest {
            first += 1;
        }
        for p in 0..2 {
            ahead[j][p] = LOG_START;
        }
        for i in first..j {
            let d = beats[j].t_s - beats[i].t_s;
            if d < shortest {
                continue;
            }
            let weight = [step(d, tempo, 0), step(d, tempo, 1)];
            if weight[0].max(weight[1]) < -30.0 {
                continue;
            }
            for p in 0..2 {
                ahead[j][p] = add(ahead[j][p], ahead[i][1 - p] + weight[p]);
            }
            steps.push((i, j, weight));
        }
        for p in 0..2 {
            ahead[j][p] += beats[j].log_odds;
            total = add(total, ahead[j][p]);
        }
    }
    let mut behind = vec![[0.0; 2]; n];
    for &(i, j, weight) in steps.iter().rev() {
        for p in 0..2 {
            behind[i][1 - p] = add(behind[i][1 - p], weight[p] + beats[j].log_odds + behind[j][p]);
        }
    }
    let shares = (0..n)
        .map(|j| (0..2).map(|p| libm::exp((ahead[j][p] + behind[j][p] - total).min(0.0))).sum::<f64>().min(1.0))
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
    let count = 40;
    let ratio = PERIODS_S.1 / PERIODS_S.0;
    let mut coarse: Vec<(f64, f64)> = (0..count)
        .map(|k| {
            let period_s = PERIODS_S.0 * libm::pow(ratio, k as f64 / (count - 1) as f64);
            let tempo = Tempo { period_s, spread: 0.12, sway: 0.0 };
            (best_sequence(beats, &tempo).score, period_s)
        })
        .collect();
    coarse.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut seeds: Vec<f64> = Vec::new();
    for &(_, period_s) in &coarse {
        if seeds.iter().all(|seed| libm::fabs(libm::log(seed / period_s)) > 0.09) {
            seeds.push(period_s);
        }
        if seeds.len() == 4 {
            break;
        }
    }
    let kinds = [(0.03, 0.0), (0.06, 0.0), (0.11, 0.0), (0.16, 0.0), (0.03, 0.035), (0.03, 0.06), (0.04, 0.085)];
    let mut tried: Vec<(f64, Tempo)> = Vec::new();
    for seed in seeds {
        for k in -3..=3 {
            let period_s = seed * (1.0 + 0.014 * f64::from(k));
            for (spread, sway) in kinds {
                let tempo = Tempo { period_s, spread, sway };
                tried.push((best_sequence(beats, &tempo).score, tempo));
            }
        }
    }
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    let top = tried[0].0;
    let mut shares = vec![0.0; beats.len()];
    let mut total = NEVER;
    let mut parts = Vec::new();
    for (_, tempo) in tried.iter().filter(|(score, _)| *score > top - 4.0).take(24) {
        let (evidence, own) = posterior(beats, tempo);
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
    let sequence = best_sequence(beats, &tempo).beats;
    Some(Rhythm { tempo, evidence: total - libm::log(parts.len() as f64), sequence, shares })
}
