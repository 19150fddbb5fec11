//! Turns of a bout: where the steps break off and begin again, on how many contacts the child turns, and how hard it
//! stops.
//!
//! A turn is where the rhythm breaks: the contacts from the last one that came in step to the one after which steps
//! go on. One of them, and it was a turn on one step. What the device itself sounded is left out before anything is
//! listened to.

use serde::{Deserialize, Serialize};

use crate::analyse::{Analysis, Heard, Tables, chance, gap_odds, members, softplus};
use crate::candidates::median;
use crate::findings::Range;
use crate::front::Sound;

/// After a call the turn is looked for between these times, s. Engineering assumption: nobody turns before a tenth of a
/// second, and who has not turned after so long runs on.
pub const AFTER_CALL_S: (f64, f64) = (0.1, 2.5);
/// What a call adds to the log-odds of a turn behind it: it takes back how seldom contacts are turns, and a little
/// more. Engineering assumption.
const CALL_ODDS: f64 = 4.5;
/// What is added in a bout without a call near: in one bout there are several turns, in a run none. Engineering
/// assumption.
const BOUT_ODDS: f64 = 2.0;
/// Log-odds of a heavy stop that the table expects of any contact (its share in the fit: 12 of 903); taken back where a
/// contact is known to be a turn.
const SELDOM_HEAVY: f64 = -4.3;
/// From this probability on something is said, and from one less this on its opposite. Engineering assumption.
const SURE_P: f64 = 0.8;
/// Fewest contacts outside turns with which those in turns can be compared.
const PLAIN_MIN: usize = 5;
/// Steps that scatter more than this share of the step time hide where they break off. Engineering assumption.
const SPREAD_MAX: f64 = 0.15;
/// Who turns does so within this of [`AFTER_CALL_S`]'s beginning, s. Engineering assumption: a child turns 0.3 to 1 s
/// behind a call; later ones are found where they are heard, but nobody says that they are missing.
const TURNS_WITHIN_S: f64 = 1.0;
/// Of that time so much under the device's own sound hides a turn, s. Engineering assumption: what is left is less than
/// a step.
const HIDES_S: f64 = 0.8;
/// Two sounds closer than this are one contact, s.
const SAME_S: f64 = 0.09;
/// A heavy contact so many before the break belongs to the turn: it brakes over several steps.
const BRAKES_BEFORE: usize = 2;
/// A contact that is surely so much louder than the child's others was a heavy stop, dB. Engineering assumption:
/// twice the power.
const HEAVY_DB: f64 = 3.0;
/// A pause in step times above which it is no quick turn. Engineering assumption.
const QUICK_STEPS: f64 = 2.0;

/// What the device itself did while it recorded.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Own {
    /// Calls to turn, s from the start of the take.
    #[serde(default)]
    pub calls_s: Vec<f64>,
    /// When its own tone or voice sounded, s: beginning and end. Nothing in them is listened to.
    #[serde(default)]
    pub sounds_s: Vec<[f64; 2]>,
}

/// How a turn was stopped, against the child's own other contacts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stop {
    /// Louder or longer than its steps.
    Heavy,
    /// Like its steps, and soon on the way back.
    Quick,
    /// Sound does not say.
    NotKnown,
}

/// One turn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Turn {
    /// First contact of the turn, s.
    pub from_s: f64,
    /// Last contact of the turn: the push-off for the way back, s.
    pub t_s: f64,
    /// First contact of the way back, s.
    pub until_s: f64,
    /// Probability that it is a turn.
    pub p: f64,
    /// Contacts in the turn, with their 90 % range.
    pub contacts: Range,
    /// Probabilities of one contact, of two, of three or more, given that it is a turn.
    pub contacts_p: [f64; 3],
    /// Whether it was made on one step; `None` where that is not sure either way.
    pub one_step: Option<bool>,
    /// How much louder its loudest contact is than the child's other contacts, dB, with the 90 % range that their
    /// scatter leaves.
    pub strength_db: Option<Range>,
    /// How many times as long that contact sounds as the others, likewise.
    pub length_ratio: Option<Range>,
    /// Probability that the stop was heavy, given that it is a turn.
    pub heavy_p: f64,
    /// Heavy, quick, or not known.
    pub stop: Stop,
    /// From the push-off to the way back, s.
    pub pause_s: f64,
    /// The same in step times of this take.
    pub pause_steps: f64,
    /// The call before it, from 1.
    pub call: Option<usize>,
    /// From the call to the push-off, s.
    pub after_call_s: Option<f64>,
}

/// Why turns cannot be counted in a take in which steps are heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoTurns {
    /// No steps of one child are heard at all.
    NotHeard,
    /// Too few contacts outside turns to compare with.
    TooFewSteps,
    /// The steps are so uneven that a break does not stand out.
    TooUneven,
    /// The device's own sound covers too much.
    Covered,
}

/// The turns of a take.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Turns {
    /// Why there is no answer; `None` where there is one.
    pub reason: Option<NoTurns>,
    /// Turns in order.
    pub turns: Vec<Turn>,
    /// How many turns there were, with a 90 % range.
    pub count: Option<Range>,
    /// How many of them were made on one step, with a 90 % range; those that are not sure either way widen it.
    pub one_step: Option<Range>,
    /// Calls behind which no turn is heard, from 1; those left out behind which none could have been heard.
    pub calls_without: Vec<usize>,
}

impl Turns {
    /// Turns of a take that says nothing about them.
    #[must_use]
    pub fn none(reason: NoTurns) -> Self {
        Self {
            reason: Some(reason),
            turns: Vec::new(),
            count: None,
            one_step: None,
            calls_without: Vec::new(),
        }
    }
}

/// A stretch in which the steps are out of step: the first and the last of its intervals; interval `i` begins at
/// contact `i`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Break {
    first: usize,
    last: usize,
}

/// What the rhythm takes a moment to add to the log-odds of a turn: any moment of a bout a little, one behind a call
/// more, where one of about six contacts is the turn. Engineering assumption.
#[must_use]
pub fn likelier(own: &Own, t_s: f64) -> f64 {
    let (from_s, to_s) = AFTER_CALL_S;
    match own.calls_s.iter().any(|call| t_s >= call + from_s && t_s <= call + to_s) {
        true => 2.5,
        false => 1.0,
    }
}

/// Looks for the turns in what was heard.
#[must_use]
pub fn turns(sound: &Sound, analysis: &Analysis, heard: &Heard, own: &Own, tables: &Tables) -> Turns {
    let tempo = heard.tempo;
    let spread = libm::hypot(tempo.spread, tempo.sway);
    if spread > SPREAD_MAX {
        return Turns::none(NoTurns::TooUneven);
    }
    let covered: f64 = sound.hushed.iter().map(|&[from, to]| to - from).sum();
    if covered > 0.5 * sound.duration_s {
        return Turns::none(NoTurns::Covered);
    }
    let chain = members(analysis);
    let times: Vec<f64> = chain.iter().map(|&m| analysis.list[m].onset_s).collect();
    let brake: Vec<f64> = chain.iter().map(|&m| tables.brake.log_odds(&analysis.rows[m])).collect();
    let breaks = breaks(&times, tempo.period_s, spread, &sound.hushed);
    let plain: Vec<usize> = (0..chain.len())
        .filter(|&at| !breaks.iter().any(|one| (one.first..=one.last).contains(&at)))
        .map(|at| chain[at])
        .collect();
    if plain.len() < PLAIN_MIN {
        return Turns::none(NoTurns::TooFewSteps);
    }
    let looked =
        Looked { sound, analysis, tables, chain: &chain, times: &times, brake: &brake, plain: &plain };
    let mut found: Vec<(Turn, f64)> = Vec::new();
    for one in &breaks {
        let heavy = |at: usize| chance(brake[at] - SELDOM_HEAVY) > SURE_P;
        let earliest = one.first.saturating_sub(BRAKES_BEFORE);
        let first = (earliest..one.first).find(|&at| heavy(at)).unwrap_or(one.first);
        found.extend(turn(looked, heard, own, first, *one));
    }
    // Two breaks behind one call: the likelier one is the turn that was called for.
    let called: Vec<bool> = found
        .iter()
        .map(|(turn, odds)| {
            turn.call.is_some() && found.iter().all(|(other, more)| other.call != turn.call || more <= odds)
        })
        .collect();
    let mut found: Vec<Turn> = found
        .into_iter()
        .zip(called)
        .map(|((turn, odds), called)| {
            let p = chance(odds + if called { CALL_ODDS } else { BOUT_ODDS }) * heard.run_p;
            if called { Turn { p, ..turn } } else { Turn { p, call: None, after_call_s: None, ..turn } }
        })
        .collect();
    found.retain(|turn| turn.p > 0.5);
    let ps: Vec<f64> = found.iter().map(|turn| turn.p).collect();
    let ones: Vec<f64> = found.iter().map(|turn| turn.p * turn.contacts_p[0]).collect();
    let without = (1..=own.calls_s.len()).filter(|&call| found.iter().all(|turn| turn.call != Some(call)));
    let (mut calls_without, mut hidden) = (Vec::new(), 0);
    for call in without {
        match behind(own.calls_s[call - 1], sound.duration_s, &sound.hushed) {
            Behind::Heard => calls_without.push(call),
            Behind::Hidden => hidden += 1,
            Behind::Over => {}
        }
    }
    // Turns that nobody could hear: a count without them is none.
    if hidden > 0 && (found.is_empty() || 2 * hidden > own.calls_s.len()) {
        return Turns::none(NoTurns::Covered);
    }
    let with_hidden = |range: Range| Range { high: range.high + hidden as f64, ..range };
    Turns {
        reason: None,
        count: Some(with_hidden(counted(&ps))),
        one_step: Some(with_hidden(counted(&ones))),
        turns: found,
        calls_without,
    }
}

/// What can be said of the time behind a call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Behind {
    /// A turn would have been heard.
    Heard,
    /// The device's own sound lies over it.
    Hidden,
    /// The take ends too soon.
    Over,
}

fn behind(call_s: f64, duration_s: f64, hushed: &[[f64; 2]]) -> Behind {
    let from_s = call_s + AFTER_CALL_S.0;
    let to_s = from_s + TURNS_WITHIN_S;
    let under_s: f64 = hushed.iter().map(|&[from, to]| (to.min(to_s) - from.max(from_s)).max(0.0)).sum();
    match () {
        () if from_s < 0.0 || to_s > duration_s => Behind::Over,
        () if under_s >= HIDES_S => Behind::Hidden,
        () => Behind::Heard,
    }
}

/// What turns are looked for in.
#[derive(Clone, Copy)]
struct Looked<'a> {
    sound: &'a Sound,
    analysis: &'a Analysis,
    tables: &'a Tables,
    chain: &'a [usize],
    times: &'a [f64],
    brake: &'a [f64],
    /// Contacts outside breaks.
    plain: &'a [usize],
}

/// Where the steps are out of step; two breaks with one step between them are one.
fn breaks(times: &[f64], period_s: f64, spread: f64, hushed: &[[f64; 2]]) -> Vec<Break> {
    let off = (2.5 * spread).clamp(0.15, 0.28);
    let mut found: Vec<Break> = Vec::new();
    for (at, pair) in times.windows(2).enumerate() {
        let gap = (pair[1] - pair[0]) / period_s;
        if libm::fabs(gap - 1.0) <= off || goes_on_below(pair[0], pair[1], gap, off, hushed) {
            continue;
        }
        match found.last_mut() {
            Some(last) if at <= last.last + 2 => last.last = at,
            _ => found.push(Break { first: at, last: at }),
        }
    }
    found
}

/// Whether steps may have gone on through a gap because the missing ones fell under the device's own sound.
fn goes_on_below(from_s: f64, to_s: f64, gap: f64, off: f64, hushed: &[[f64; 2]]) -> bool {
    let steps = gap.round();
    if !(2.0..=5.0).contains(&steps) || libm::fabs(gap - steps) > off * steps.sqrt() {
        return false;
    }
    let slack_s = off * (to_s - from_s) / gap;
    (1..steps as usize).all(|k| {
        let t_s = from_s + (to_s - from_s) * k as f64 / steps;
        hushed.iter().any(|&[from, to]| t_s > from - slack_s && t_s < to + slack_s)
    })
}

/// One break as a turn, and its log-odds with nothing known of calls; `first` is the contact at which the child begins
/// to brake.
fn turn(looked: Looked<'_>, heard: &Heard, own: &Own, first: usize, one: Break) -> Option<(Turn, f64)> {
    let Looked { sound, analysis, tables, chain, times, brake, plain } = looked;
    let period_s = heard.tempo.period_s;
    // The longest of its intervals is the pause; what comes before it is the turn.
    let pause_at = (one.first..=one.last)
        .max_by(|&a, &b| (times[a + 1] - times[a]).total_cmp(&(times[b + 1] - times[b])))?;
    let (mut t_s, until_s) = (times[pause_at], times[pause_at + 1]);
    let unheard_s: f64 =
        sound.hushed.iter().map(|&[from, to]| (to.min(until_s) - from.max(times[first])).max(0.0)).sum();
    let pause_steps = (until_s - t_s) / period_s;
    let (loudest, odds) = (first..=pause_at).map(|at| (at, brake[at])).max_by(|a, b| a.1.total_cmp(&b.1))?;
    let long = if pause_steps >= 3.2 { 1.0 } else { gap_odds(pause_steps, heard.tempo.spread) };

    // Contacts: the push-off is one; the others before it, and what else may be one, count as far as they are sure. One
    // that came in step belongs to the turn as far as it brakes.
    let mut others: Vec<f64> = (first..pause_at)
        .map(|at| {
            let braking = if at < one.first { chance(brake[at] - SELDOM_HEAVY) } else { 1.0 };
            analysis.rhythm.shares[chain[at]] * braking
        })
        .collect();
    for (index, candidate) in analysis.list.iter().enumerate() {
        let inside = candidate.onset_s > times[first] + SAME_S && candidate.onset_s < until_s - SAME_S;
        let apart = times.iter().all(|t| libm::fabs(t - candidate.onset_s) > SAME_S);
        if inside && apart && !chain.contains(&index) {
            let odds = analysis.first[index] - softplus(tables.knock.log_odds(&analysis.rows[index]));
            others.push(chance(odds));
            if odds > 0.0 {
                t_s = t_s.max(candidate.onset_s);
            }
        }
    }
    let call = own
        .calls_s
        .iter()
        .rposition(|&call| call + AFTER_CALL_S.0 <= t_s)
        .filter(|&call| t_s <= own.calls_s[call] + AFTER_CALL_S.1);
    let pause_s = until_s - t_s;
    let pause_steps = pause_s / period_s;
    // A step may hide below the device's own sound.
    let hidden = (unheard_s / period_s).min(0.9);
    if hidden > 0.05 {
        others.push(0.5 * hidden);
    }
    let shares = sums(&others);
    let three = 1.0 - shares[0] - shares.get(1).unwrap_or(&0.0);
    let contacts_p = [shares[0], *shares.get(1).unwrap_or(&0.0), three.max(0.0)];
    let one_step = match contacts_p[0] {
        p if p >= SURE_P => Some(true),
        p if p <= 1.0 - SURE_P => Some(false),
        _ => None,
    };
    let number = counted(&others);
    let contacts = Range { value: number.value + 1.0, low: number.low + 1.0, high: number.high + 1.0 };

    let own_row = &analysis.rows[chain[loudest]];
    let against = |trait_: usize| -> Option<(f64, f64)> {
        let others: Vec<f64> = plain.iter().map(|&m| analysis.rows[m][trait_]).collect();
        let middle = median(&others);
        let off: Vec<f64> = others.iter().map(|x| libm::fabs(x - middle)).collect();
        // Standard deviation from the median deviation (normal), and the scatter of the median itself.
        let sd = 1.4826 * median(&off) * libm::sqrt(1.0 + 1.57 / others.len() as f64);
        sd.is_finite().then_some((own_row[trait_] - middle, sd))
    };
    let strength_db = against(3).map(|(value, sd)| Range::around(value, sd));
    let length_ratio = against(4).map(|(value, sd)| {
        let range = Range::around(value, sd);
        Range { value: libm::exp(range.value), low: libm::exp(range.low), high: libm::exp(range.high) }
    });
    let heavy_p = chance(odds - SELDOM_HEAVY);
    let stop = match heavy_p {
        p if p >= SURE_P || strength_db.is_some_and(|range| range.low >= HEAVY_DB) => Stop::Heavy,
        p if p <= 1.0 - SURE_P && pause_steps <= QUICK_STEPS => Stop::Quick,
        _ => Stop::NotKnown,
    };
    let turn = Turn {
        from_s: times[first],
        t_s,
        until_s,
        p: 0.0,
        contacts,
        contacts_p,
        one_step,
        strength_db,
        length_ratio,
        heavy_p,
        stop,
        pause_s,
        pause_steps,
        call: call.map(|call| call + 1),
        after_call_s: call.map(|call| t_s - own.calls_s[call]),
    };
    Some((turn, odds + long))
}

/// Probabilities of none, one, two … of independent events.
fn sums(ps: &[f64]) -> Vec<f64> {
    let mut shares = vec![1.0];
    for p in ps {
        shares.push(0.0);
        for k in (0..shares.len()).rev() {
            let before = if k > 0 { shares[k - 1] } else { 0.0 };
            shares[k] = shares[k] * (1.0 - p) + before * p;
        }
    }
    shares
}

/// How many of independent events come about: the most probable number and a 90 % range.
fn counted(ps: &[f64]) -> Range {
    let shares = sums(ps);
    let best = (0..shares.len()).fold(0, |best, k| if shares[k] > shares[best] { k } else { best });
    let reached = |share: f64| {
        let mut sum = 0.0;
        shares.iter().position(|p| {
            sum += p;
            sum >= share - 1e-12
        })
    };
    let last = shares.len() - 1;
    let (low, high) = (reached(0.05).unwrap_or(last), reached(0.95).unwrap_or(last));
    Range { value: best as f64, low: low.min(best) as f64, high: high.max(best) as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_of_unsure_events_has_a_range() {
        assert_eq!(counted(&[]), Range { value: 0.0, low: 0.0, high: 0.0 });
        assert_eq!(counted(&[0.999, 0.999, 0.001]), Range { value: 2.0, low: 2.0, high: 2.0 });
        let unsure = counted(&[0.9, 0.5, 0.5]);
        assert_eq!((unsure.low, unsure.value, unsure.high), (1.0, 2.0, 3.0));
        assert!((sums(&[0.5, 0.5])[1] - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_gap_whose_steps_fall_under_the_own_sound_is_no_break() {
        let times = [0.0, 0.4, 0.8, 2.0, 2.4, 2.8];
        assert_eq!(breaks(&times, 0.4, 0.04, &[]), [Break { first: 2, last: 2 }]);
        assert_eq!(breaks(&times, 0.4, 0.04, &[[1.15, 1.7]]), []);
        // One of the two steps would have been heard.
        assert_eq!(breaks(&times, 0.4, 0.04, &[[1.45, 1.75]]), [Break { first: 2, last: 2 }]);
        // Two and a half step times are no whole steps, whatever lies over them.
        let late = [0.0, 0.4, 0.8, 1.8, 2.2, 2.6];
        assert_eq!(breaks(&late, 0.4, 0.04, &[[0.9, 1.7]]), [Break { first: 2, last: 2 }]);
    }

    #[test]
    fn behind_a_tone_a_turn_is_heard_behind_a_voice_it_is_not() {
        assert_eq!(behind(3.0, 10.0, &[[2.95, 3.63]]), Behind::Heard);
        assert_eq!(behind(3.0, 10.0, &[[2.95, 4.45]]), Behind::Hidden);
        assert_eq!(behind(3.0, 10.0, &[[2.95, 3.55], [3.6, 4.0]]), Behind::Hidden);
        assert_eq!(behind(3.0, 10.0, &[]), Behind::Heard);
        assert_eq!((behind(9.2, 10.0, &[]), behind(-0.5, 10.0, &[])), (Behind::Over, Behind::Over));
    }

    #[test]
    fn small_steps_and_the_pause_behind_them_are_one_break() {
        let times = [0.0, 0.4, 0.8, 1.0, 1.2, 1.9, 2.3, 2.7];
        assert_eq!(breaks(&times, 0.4, 0.04, &[]), [Break { first: 2, last: 4 }]);
    }
}
