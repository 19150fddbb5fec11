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
/// Beats below this are left out of the search: two steps in place of one over a contact that was not heard add less at
/// any tempo that is tried.
const HOPELESS: f64 = -8.0;
/// The same at the tempos of the coarse search.
const FAINT: f64 = -6.5;
/// Step times whose coarse score is this much below the best are not looked at closer, nats.
const HOPEFUL: f64 = 15.0;
/// Steps whose log density over chance is below this are not counted among all sequences.
const LEAST_STEP: f64 = -20.0;
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
    /// The first, not as a log.
    chance: f64,
}

impl Turn {
    fn after(beat: &Beat) -> Self {
        let odds = beat.turn_odds;
        let against = libm::exp(-odds);
        Self {
            turns: -libm::log1p(against),
            goes_on: -libm::log1p(libm::exp(odds)),
            chance: 1.0 / (1.0 + against),
        }
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
    /// The same, not as a log.
    turn_chance: f64,
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
        let turn_gaps = (TURN_GAP.1 - TURN_GAP.0) * period_s * CONTACTS_PER_S;
        Self {
            period_s,
            means_s: [period_s * (1.0 + tempo.sway), period_s * (1.0 - tempo.sway)],
            sharp: spreads.map(|spread| 1.0 / spread),
            tops: [top(0), top(1), top(2)],
            turn_top: -libm::log(turn_gaps),
            turn_chance: 1.0 / turn_gaps,
            shortest_s: 0.55 * period_s,
            longest_s: (3.0 + 3.0 * tempo.spread).max(TURN_GAP.1) * period_s,
        }
    }

    /// Log of the density of a step of `d_s` over what chance would give.
    fn step(&self, d_s: f64, parity: usize, turn: &Turn) -> f64 {
        let step = self.gauss(d_s, parity) + turn.goes_on;
        if self.may_turn(d_s) { step.max(turn.turns + self.turn_top) } else { step }
    }

    /// The same without a turn.
    fn gauss(&self, d_s: f64, parity: usize) -> f64 {
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
        best
    }

    fn may_turn(&self, d_s: f64) -> bool {
        d_s >= TURN_GAP.0 * self.period_s && d_s < TURN_GAP.1 * self.period_s
    }

    /// The density of a step over what chance would give, for either foot; nothing where it is below [`LEAST_STEP`].
    fn chances<const FEET: usize>(&self, d_s: f64, turn: &Turn) -> [f64; FEET] {
        let turns = if self.may_turn(d_s) { turn.turns + self.turn_top } else { NEVER };
        let goes_on: [f64; FEET] = std::array::from_fn(|foot| self.gauss(d_s, foot) + turn.goes_on);
        if goes_on.iter().copied().fold(turns, larger) < LEAST_STEP {
            return [0.0; FEET];
        }
        goes_on
            .map(|goes_on| if goes_on > turns { libm::exp(goes_on) } else { turn.chance * self.turn_chance })
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
                let value = score[i][other] + pace.step(d, p, &turns[i]);
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

/// Several tempos of one mean step time, side by side. Each takes as many lanes as it has different feet; the best ends
/// of all of them are found in one walk over the pairs of beats.
#[derive(Debug, Clone, Copy)]
struct Paces<const LANES: usize> {
    /// The lane of the other foot, or the same one where both step alike.
    other: [usize; LANES],
    means_s: [f64; LANES],
    sharp: [[f64; LANES]; 3],
    tops: [[f64; LANES]; 3],
    longest_s: [f64; LANES],
    /// What all have in common.
    pace: Pace,
}

/// The best sequences that end on a beat.
struct Ends<const LANES: usize> {
    score: [f64; LANES],
    /// The score that the lane of the next contact's foot goes on from, and the one it has behind a turn.
    going_on: [f64; LANES],
    turning: [f64; LANES],
}

impl<const LANES: usize> Paces<LANES> {
    /// From the pace, the foot and the lane of the other foot of every lane.
    fn new(lanes: [(Pace, usize, usize); LANES]) -> Self {
        Self {
            other: lanes.map(|(_, _, other)| other),
            means_s: lanes.map(|(pace, foot, _)| pace.means_s[foot]),
            // The half of the square goes into what is squared.
            sharp: [0, 1, 2]
                .map(|times| lanes.map(|(pace, ..)| pace.sharp[times] * std::f64::consts::FRAC_1_SQRT_2)),
            tops: [0, 1, 2].map(|times| lanes.map(|(pace, ..)| pace.tops[times])),
            longest_s: lanes.map(|(pace, ..)| pace.longest_s),
            pace: lanes[0].0,
        }
    }

    /// The best score of any sequence in every lane: what [`best_of`] finds for its tempo, without the sequence.
    fn best_scores(&self, beats: &[Beat], turns: &[Turn]) -> [f64; LANES] {
        let mut ends: Vec<Ends<LANES>> = Vec::with_capacity(beats.len());
        let mut best = [0.0; LANES];
        let mut ended = [NEVER; LANES];
        let mut gone = [0; LANES];
        for (j, (beat, turn)) in beats.iter().zip(turns).enumerate() {
            let mut tops = [LOG_START; LANES];
            for lane in 0..LANES {
                while gone[lane] < j && beat.t_s - beats[gone[lane]].t_s > self.longest_s[lane] {
                    let score = &ends[gone[lane]].score;
                    ended[lane] = larger(ended[lane], larger(score[lane], score[self.other[lane]]));
                    gone[lane] += 1;
                }
                tops[lane] = larger(tops[lane], ended[lane] + LOG_RESTART);
            }
            let (first, whole) =
                (gone.iter().fold(j, |a, &b| a.min(b)), gone.iter().fold(0, |a, &b| a.max(b)));
            for (i, (from, end)) in beats.iter().zip(&ends).enumerate().skip(first) {
                let d_s = beat.t_s - from.t_s;
                if d_s < self.pace.shortest_s {
                    break;
                }
                if i >= whole {
                    self.step(d_s, end, &mut tops);
                } else {
                    // Too far back for some of them.
                    let mut with = tops;
                    self.step(d_s, end, &mut with);
                    for lane in (0..LANES).filter(|&lane| i >= gone[lane]) {
                        tops[lane] = with[lane];
                    }
                }
            }
            let score = tops.map(|top| top + beat.log_odds);
            for (best, score) in best.iter_mut().zip(score) {
                *best = larger(*best, score);
            }
            let seen = self.other.map(|other| score[other]);
            ends.push(Ends {
                score,
                going_on: seen.map(|seen| seen + turn.goes_on),
                turning: seen.map(|seen| seen + turn.turns + self.pace.turn_top),
            });
        }
        best
    }

    /// Raises `tops` to what a step of `d_s` from a beat makes of its scores; compare [`Pace::step`].
    fn step(&self, d_s: f64, end: &Ends<LANES>, tops: &mut [f64; LANES]) {
        let Ends { going_on, turning, .. } = end;
        let period_s = self.pace.period_s;
        self.gauss(0, &self.means_s.map(|mean_s| d_s - mean_s), going_on, tops);
        if d_s > 1.5 * period_s {
            self.gauss(1, &[d_s - 2.0 * period_s; LANES], going_on, tops);
            if d_s > 2.5 * period_s {
                self.gauss(2, &[d_s - 3.0 * period_s; LANES], going_on, tops);
            }
        }
        if d_s >= TURN_GAP.0 * period_s && d_s < TURN_GAP.1 * period_s {
            for (top, turning) in tops.iter_mut().zip(turning) {
                *top = larger(*top, *turning);
            }
        }
    }

    fn gauss(&self, times: usize, off_s: &[f64; LANES], going_on: &[f64; LANES], tops: &mut [f64; LANES]) {
        for lane in 0..LANES {
            let z = off_s[lane] * self.sharp[times][lane];
            tops[lane] = larger(tops[lane], going_on[lane] + (self.tops[times][lane] - z * z));
        }
    }
}

/// The larger of two numbers; `f64::max` also asks which of them is one.
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// Two to a whole power; nothing where that is next to nothing.
fn two_to(power: i32) -> f64 {
    if power < -1000 { 0.0 } else { f64::from_bits(((1023 + power.min(1000)) as u64) << 52) }
}

/// The power of two just below a positive number.
fn power_of(x: f64) -> i32 {
    (x.to_bits() >> 52) as i32 - 1023
}

/// Sums of chances, which may be larger or smaller than any floating-point number: `values` times two to `power`.
#[derive(Debug, Clone, Copy)]
struct Chances<const FEET: usize> {
    values: [f64; FEET],
    power: i32,
}

impl<const FEET: usize> Chances<FEET> {
    /// Moves what is large into the power.
    fn of(values: [f64; FEET], power: i32) -> Self {
        let more = power_of(values.iter().copied().fold(f64::MIN_POSITIVE, larger));
        Self { values: values.map(|value| value * two_to(-more)), power: power + more }
    }

    fn sum(&self) -> f64 {
        self.values.iter().sum()
    }
}

/// The steps that are worth counting: for every beat those from a stretch of beats before it, each as a chance.
struct Steps<const FEET: usize> {
    /// For every beat the first beat stepped from, the one behind the last, and where the chances begin.
    stretches: Vec<(usize, usize, usize)>,
    /// Chance over what chance alone would give, for either foot of the beat stepped to.
    chances: Vec<[f64; FEET]>,
}

impl<const FEET: usize> Steps<FEET> {
    fn new(beats: &[Beat], turns: &[Turn], pace: &Pace) -> Self {
        let mut steps = Self { stretches: Vec::with_capacity(beats.len()), chances: Vec::new() };
        let mut first = 0;
        for beat in beats {
            while beat.t_s - beats[first].t_s > pace.longest_s {
                first += 1;
            }
            let begin = steps.chances.len();
            for (from, turn) in beats[first..].iter().zip(&turns[first..]) {
                let d_s = beat.t_s - from.t_s;
                if d_s < pace.shortest_s {
                    break;
                }
                steps.chances.push(pace.chances(d_s, turn));
            }
            steps.stretches.push((first, first + steps.chances.len() - begin, begin));
        }
        steps
    }
}

/// Log evidence over "nobody runs" for one tempo, and each beat's probability of being a contact given that tempo.
fn posterior(beats: &[Beat], turns: &[Turn], pace: &Pace) -> (f64, Vec<f64>) {
    match pace.means_s[0] == pace.means_s[1] {
        true => posterior_of::<1>(beats, turns, pace),
        false => posterior_of::<2>(beats, turns, pace),
    }
}

/// All sequences that end on a beat, times all that go on from it, over all there are. Where both feet step alike one
/// of them stands for both.
fn posterior_of<const FEET: usize>(beats: &[Beat], turns: &[Turn], pace: &Pace) -> (f64, Vec<f64>) {
    let odds: Vec<f64> = beats.iter().map(|beat| libm::exp(beat.log_odds)).collect();
    let steps = Steps::<FEET>::new(beats, turns, pace);
    let start = libm::exp(LOG_START);
    let mut ahead: Vec<Chances<FEET>> = Vec::with_capacity(beats.len());
    for (&(first, end, begin), odds) in steps.stretches.iter().zip(&odds) {
        let power = ahead[first..end].iter().map(|from| from.power).fold(0, i32::max);
        let mut sums = [start * two_to(-power); FEET];
        for (from, chances) in ahead[first..end].iter().zip(&steps.chances[begin..]) {
            let scale = two_to(from.power - power);
            for (foot, sum) in sums.iter_mut().enumerate() {
                *sum += from.values[FEET - 1 - foot] * scale * chances[foot];
            }
        }
        ahead.push(Chances::of(sums.map(|sum| sum * odds), power));
    }
    let mut behind = vec![Chances { values: [1.0; FEET], power: 0 }; beats.len()];
    for i in (0..beats.len()).rev() {
        let later = || {
            let after = steps.stretches.iter().enumerate().skip(i + 1);
            after.take_while(|(_, stretch)| stretch.0 <= i).filter(|(_, stretch)| i < stretch.1)
        };
        let power = later().map(|(j, _)| behind[j].power).fold(0, i32::max);
        let mut sums = [two_to(-power); FEET];
        for (j, &(first, _, begin)) in later() {
            let chances = &steps.chances[begin + i - first];
            let scale = two_to(behind[j].power - power) * odds[j];
            for foot in 0..FEET {
                sums[FEET - 1 - foot] += behind[j].values[foot] * scale * chances[foot];
            }
        }
        behind[i] = Chances::of(sums, power);
    }
    let alike = 2.0 / FEET as f64;
    let power = ahead.iter().map(|end| end.power).fold(0, i32::max);
    // The empty sequence, and all that end somewhere.
    let ends = ahead.iter().map(|end| end.sum() * two_to(end.power - power)).sum::<f64>();
    let total = two_to(-power) + alike * ends;
    let shares = ahead.iter().zip(&behind).map(|(ahead, behind)| {
        let both: f64 = ahead.values.iter().zip(behind.values).map(|(ahead, behind)| ahead * behind).sum();
        (alike * both / total * two_to(ahead.power + behind.power - power)).min(1.0)
    });
    (libm::log(total) + f64::from(power) * std::f64::consts::LN_2, shares.collect())
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
    let (kept, hopeful) = over(HOPELESS, beats);
    let mut rhythm = search(&hopeful);
    rhythm.sequence = rhythm.sequence.iter().map(|&k| kept[k]).collect();
    let mut shares = vec![0.0; beats.len()];
    for (&k, &share) in kept.iter().zip(&rhythm.shares) {
        shares[k] = share;
    }
    rhythm.shares = shares;
    Some(rhythm)
}

/// The best sequence at the most probable tempo alone, which is quicker. `None` without beats.
#[must_use]
pub fn sequence(beats: &[Beat]) -> Option<Vec<usize>> {
    if beats.is_empty() {
        return None;
    }
    let (kept, hopeful) = over(HOPELESS, beats);
    let turns: Vec<Turn> = hopeful.iter().map(Turn::after).collect();
    let (_, tempo) = tempos(&hopeful, &turns)[0];
    let sequence = best_sequence(&hopeful, &turns, &Pace::new(&tempo)).beats;
    Some(sequence.into_iter().map(|k| kept[k]).collect())
}

/// The beats over some log-odds, and which they are.
fn over(least: f64, beats: &[Beat]) -> (Vec<usize>, Vec<Beat>) {
    beats.iter().copied().enumerate().filter(|(_, beat)| beat.log_odds > least).unzip()
}

/// Tempos with their best scores, the best ones first: many around the step times that score well in a coarse search.
fn tempos(beats: &[Beat], turns: &[Turn]) -> Vec<(f64, Tempo)> {
    let (clear, clear_beats) = over(FAINT, beats);
    let clear_turns: Vec<Turn> = clear.iter().map(|&k| turns[k]).collect();
    let count = 40;
    let ratio = PERIODS_S.1 / PERIODS_S.0;
    let mut coarse: Vec<(f64, f64)> = (0..count)
        .map(|k| {
            let period_s = PERIODS_S.0 * libm::pow(ratio, k as f64 / (count - 1) as f64);
            let pace = Pace::new(&Tempo { period_s, spread: 0.12, sway: 0.0 });
            let [score] = Paces::new([(pace, 0, 0)]).best_scores(&clear_beats, &clear_turns);
            (score, period_s)
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
    let mut tried: Vec<(f64, Tempo)> = Vec::new();
    for seed in seeds {
        for k in -3..=3 {
            let period_s = seed * (1.0 + 0.014 * f64::from(k));
            tried.extend(scores_at(period_s, beats, turns));
        }
    }
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    tried
}

fn search(beats: &[Beat]) -> Rhythm {
    let turns: Vec<Turn> = beats.iter().map(Turn::after).collect();
    let tried = tempos(beats, &turns);
    let top = tried[0].0;
    let parts: Vec<(f64, Vec<f64>)> = tried
        .iter()
        .filter(|(score, _)| *score > top - 4.0)
        .take(12)
        .map(|(_, tempo)| posterior(beats, &turns, &Pace::new(tempo)))
        .collect();
    let most = parts.iter().map(|part| part.0).fold(NEVER, larger);
    let total = most + libm::log(parts.iter().map(|part| libm::exp(part.0 - most)).sum::<f64>());
    let mut shares = vec![0.0; beats.len()];
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

/// Spreads of tempos whose feet step alike, and spreads and sways of those whose feet do not.
const ALIKE: [f64; 4] = [0.03, 0.06, 0.11, 0.16];
const SWAYING: [(f64, f64); 3] = [(0.03, 0.035), (0.03, 0.06), (0.04, 0.085)];

/// The best scores of all kinds of tempo with one mean step time.
fn scores_at(period_s: f64, beats: &[Beat], turns: &[Turn]) -> Vec<(f64, Tempo)> {
    let alike = ALIKE.map(|spread| Tempo { period_s, spread, sway: 0.0 });
    let swaying = SWAYING.map(|(spread, sway)| Tempo { period_s, spread, sway });
    let lanes: [_; ALIKE.len() + 2 * SWAYING.len()] = std::array::from_fn(|lane| match alike.get(lane) {
        Some(tempo) => (Pace::new(tempo), 0, lane),
        None => {
            let (which, foot) = ((lane - ALIKE.len()) / 2, (lane - ALIKE.len()) % 2);
            (Pace::new(&swaying[which]), foot, lane + 1 - 2 * foot)
        }
    });
    let scores = Paces::new(lanes).best_scores(beats, turns);
    let (of_alike, of_feet) = scores.split_at(ALIKE.len());
    let of_swaying = of_feet.chunks_exact(2).map(|feet| larger(feet[0], feet[1]));
    of_alike.iter().copied().zip(alike).chain(of_swaying.zip(swaying)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers between 0 and 1 that look like chance.
    fn dice(mut state: u64) -> impl FnMut() -> f64 {
        move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        }
    }

    /// Steps with gaps, turns, pauses and much that is no step; onsets are now and then out of order, as they come.
    fn take(seed: u64) -> Vec<Beat> {
        let mut dice = dice(seed);
        let period_s = 0.2 + 0.5 * dice();
        let mut beats = Vec::new();
        let (mut t_s, mut next_s) = (0.0, 0.5);
        while t_s < 4.0 + 30.0 * dice() {
            t_s += 0.02 + 0.12 * dice();
            let mut log_odds = -11.0 * dice();
            if t_s > next_s {
                (t_s, log_odds) = (next_s, 4.0 * dice() - 1.0);
                let gaps = [1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 2.0, 2.2, 3.0, 14.0];
                next_s += period_s * (0.9 + 0.2 * dice()) * gaps[(dice() * gaps.len() as f64) as usize];
            }
            let early_s = if dice() < 0.05 { 0.03 } else { 0.0 };
            beats.push(Beat { t_s: t_s - early_s, log_odds, turn_odds: -6.0 + 7.0 * dice() });
        }
        beats
    }

    fn turns(beats: &[Beat]) -> Vec<Turn> {
        beats.iter().map(Turn::after).collect()
    }

    #[test]
    fn many_tempos_at_once_score_as_each_does_alone() {
        for seed in 0..60 {
            let beats = take(seed);
            let turns = turns(&beats);
            for k in 0..8 {
                let period_s = PERIODS_S.0 * libm::exp2(f64::from(k) / 3.5);
                for (score, tempo) in scores_at(period_s, &beats, &turns) {
                    let alone = best_sequence(&beats, &turns, &Pace::new(&tempo)).score;
                    assert!(
                        (score - alone).abs() < 1e-9 * (1.0 + alone),
                        "{seed}: {tempo:?} {score} {alone}"
                    );
                }
            }
        }
    }

    /// The log of the sum of two numbers whose logs are given.
    fn add(a: f64, b: f64) -> f64 {
        a.max(b) + libm::log1p(libm::exp(-(a - b).abs()))
    }

    /// All sequences weighed with logs alone, pair by pair.
    fn posterior_by_logs(beats: &[Beat], turns: &[Turn], pace: &Pace) -> (f64, Vec<f64>) {
        let n = beats.len();
        let (mut ahead, mut behind) = (vec![[NEVER; 2]; n], vec![[0.0; 2]; n]);
        let (mut total, mut steps, mut first) = (0.0, Vec::new(), 0);
        for (j, beat) in beats.iter().enumerate() {
            while beat.t_s - beats[first].t_s > pace.longest_s {
                first += 1;
            }
            let mut sums = [LOG_START; 2];
            for i in first..j {
                let d_s = beat.t_s - beats[i].t_s;
                if d_s < pace.shortest_s {
                    break;
                }
                let weight = [pace.step(d_s, 0, &turns[i]), pace.step(d_s, 1, &turns[i])];
                if weight[0].max(weight[1]) >= LEAST_STEP {
                    for p in 0..2 {
                        sums[p] = add(sums[p], ahead[i][1 - p] + weight[p]);
                    }
                    steps.push((i, j, weight));
                }
            }
            for p in 0..2 {
                ahead[j][p] = sums[p] + beat.log_odds;
                total = add(total, ahead[j][p]);
            }
        }
        for &(i, j, weight) in steps.iter().rev() {
            for p in 0..2 {
                behind[i][1 - p] = add(behind[i][1 - p], weight[p] + beats[j].log_odds + behind[j][p]);
            }
        }
        let share = |j: usize| (0..2).map(|p| libm::exp(ahead[j][p] + behind[j][p] - total)).sum::<f64>();
        (total, (0..n).map(|j| share(j).min(1.0)).collect())
    }

    #[test]
    fn evidence_and_shares_are_those_of_plain_sums_of_logs() {
        for seed in 0..60 {
            let mut beats = take(seed);
            // Far beyond what a floating-point number holds.
            let much = if seed % 3 == 0 { 40.0 } else { 0.0 };
            beats.iter_mut().for_each(|beat| beat.log_odds += much);
            let turns = turns(&beats);
            for sway in [0.0, 0.06] {
                let tempo = Tempo { period_s: 0.2 + 0.01 * seed as f64, spread: 0.06, sway };
                let (evidence, shares) = posterior(&beats, &turns, &Pace::new(&tempo));
                let (plain, plain_shares) = posterior_by_logs(&beats, &turns, &Pace::new(&tempo));
                assert!((evidence - plain).abs() < 1e-9 * (1.0 + plain), "{seed}: {evidence}, not {plain}");
                for (share, plain) in shares.iter().zip(&plain_shares) {
                    assert!((share - plain).abs() < 1e-7, "{seed}: {share}, not {plain}");
                }
            }
        }
    }
}
