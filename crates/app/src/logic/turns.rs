//! Bouts with turns on call without a screen: who with whom, when the caller calls, what the taps make, and how long to
//! rest.

use lanewright_listen::{Findings, Own, Turns};
use lanewright_model::record::{BoutBody, BoutCorrectionBody, BoutSound, SoundRange, SoundTurn};
use lanewright_model::run::Source;
use lanewright_model::school::ClassView;
use lanewright_model::timing::{BoutFacts, BoutRunner, BoutView};
use lanewright_model::{DrillId, Kit, Space};
use lanewright_science::turn::{
    BothWays, BoutSeen, BoutSummary, CallAsk, DropOff, LateralAsk, LateralSetup, calls, drop_off,
    lateral_setup, pairs, summarise,
};
use serde::{Deserialize, Serialize};

use super::trackside::Child;

/// Lengths that are offered, in seconds; the last one is as long as the coach lets it.
pub const LENGTHS_S: [Option<f64>; 4] = [Some(5.0), Some(10.0), Some(30.0), None];
/// Rest after a bout, as a multiple of its length (common practice, no source: three to five times for short work over
/// technique; the least of it).
pub const REST_TIMES: f64 = 3.0;
/// Length of a shoe where nobody measured one, in metres (engineering assumption: the longest foot of a class).
const FOOT_M: f64 = 0.28;

/// Returns whose turn it is with whom: pairs of like ability who met least, and who rests with an odd number.
///
/// Ability is the passes in ten seconds of the bouts so far, for those who have any.
pub fn pairs_now(
    children: &[Child],
    bouts: &[BoutView],
    apart: &[(String, String)],
) -> (Vec<[Child; 2]>, Option<Child>) {
    let place = |id: &str| children.iter().position(|child| child.id == id);
    let asked: Vec<lanewright_science::turn::Child> = children
        .iter()
        .map(|child| {
            let own = seen_of(bouts, &child.id);
            let most = children.iter().map(|child| seen_of(bouts, &child.id).len()).max().unwrap_or(0);
            lanewright_science::turn::Child {
                ability: summarise(&own).map(|summary| summary.passes_per_10_s),
                rests: (most - own.len()) as u32,
            }
        })
        .collect();
    let both = |a: &str, b: &str| Some((place(a)?, place(b)?));
    let met: Vec<(usize, usize)> = bouts
        .iter()
        .filter_map(|view| match view.facts.runners.as_slice() {
            [a, b] => both(&a.runner, &b.runner),
            _ => None,
        })
        .collect();
    let apart: Vec<(usize, usize)> = apart.iter().filter_map(|(a, b)| both(a, b)).collect();
    let pairing = pairs(&asked, &met, &apart);
    let of = |place: usize| children[place].clone();
    let made = pairing.pairs.iter().map(|(a, b)| [of(*a), of(*b)]).collect();
    (made, pairing.rests.map(of))
}

/// Returns the pairs of a class who should stand apart.
pub fn apart_of(class: &ClassView) -> Vec<(String, String)> {
    let apart = class.pairs.iter().filter(|(_, wish)| !wish.together);
    apart.map(|(_, wish)| (wish.first.clone(), wish.second.clone())).collect()
}

/// Returns a child's bouts as the computations take them, in their order.
pub fn seen_of(bouts: &[BoutView], runner: &str) -> Vec<BoutSeen> {
    let own = bouts.iter().flat_map(|view| {
        let each = view.facts.runners.iter().filter(|each| each.runner == runner);
        each.map(|each| BoutSeen {
            seconds: view.facts.seconds,
            passes: each.passes,
            turns: each.turns,
            one_step_turns: each.one_step_turns,
            hurdles: 0,
            falls: Some(each.falls),
            fell: Vec::new(),
        })
    });
    own.collect()
}

/// Returns what a child's bouts showed.
pub fn summary_of(bouts: &[BoutView], runner: &str) -> Option<BoutSummary> {
    summarise(&seen_of(bouts, runner))
}

/// Returns how a child's passes fell off over repeats of one length without calls; calls decide how many passes fit
/// into a bout, so those say nothing about the child.
pub fn passes_drop_off(bouts: &[BoutView], runner: &str) -> Option<DropOff> {
    let free: Vec<BoutView> = bouts.iter().filter(|view| view.facts.calls == 0).cloned().collect();
    let longest_s = free.iter().map(|view| view.facts.seconds).fold(0.0, f64::max);
    let like: Vec<BoutView> =
        free.into_iter().filter(|view| (view.facts.seconds - longest_s).abs() <= 1.0).collect();
    let own = seen_of(&like, runner);
    let own: Vec<&BoutSeen> = own.iter().filter(|seen| seen.passes > 0).collect();
    let times_s: Vec<f64> = own.iter().map(|seen| seen.seconds / f64::from(seen.passes)).collect();
    // Passes are counted whole: the last one is anywhere between begun and done, a twelfth of its square.
    let sd_s = own
        .iter()
        .map(|seen| seen.seconds / f64::from(seen.passes) / f64::from(seen.passes) / 12f64.sqrt())
        .fold(0.0, f64::max);
    drop_off(&times_s, sd_s)
}

/// Returns the floor for sideways bouts of a lane's children.
pub fn floor(gap_m: f64, kit: &Kit, space: &Space, children: usize, in_pairs: bool) -> LateralSetup {
    lateral_setup(&LateralAsk {
        gap_m,
        foot_m: kit.shoe_length_m.unwrap_or(FOOT_M),
        base_depth_m: kit.base_depth_m,
        hurdle_width_m: kit.hurdle_width_m,
        hurdles: kit.hurdles.iter().map(|stock| stock.count).sum(),
        children: children as u32,
        in_pairs,
        gives_way: BothWays::NotKnown,
        space: space.clone(),
    })
}

// The caller

/// What the caller says next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// Nothing yet.
    Nothing,
    /// Turn.
    Turn,
    /// The bout is over.
    Stop,
}

/// A bout that is on.
#[derive(Debug, Clone, PartialEq)]
pub struct Caller {
    /// Length in seconds; none for a free one.
    pub length_s: Option<f64>,
    /// Seed of the calls; none when nobody calls.
    pub seed: Option<u32>,
    calls_s: Vec<f64>,
    given: usize,
    stopped: bool,
}

impl Caller {
    /// Begins a bout. The same seed gives the same calls.
    pub fn new(length_s: Option<f64>, seed: Option<u32>) -> Self {
        let ask = CallAsk::of_length(length_s);
        let calls_s = seed.map_or_else(Vec::new, |seed| calls(&ask, seed.into()).unwrap_or_default());
        Self { length_s, seed, calls_s, given: 0, stopped: false }
    }

    /// Returns what is due at a moment since the beginning. Of calls that came due since the last look only one is
    /// said: two at once would be none.
    pub fn look(&mut self, elapsed_s: f64) -> Says {
        if self.stopped {
            return Says::Nothing;
        }
        if self.length_s.is_some_and(|length_s| elapsed_s >= length_s) {
            self.stopped = true;
            return Says::Stop;
        }
        let due = self.calls_s.iter().skip(self.given).take_while(|call_s| **call_s <= elapsed_s).count();
        if due == 0 {
            return Says::Nothing;
        }
        self.calls_s.drain(self.given + 1..self.given + due);
        self.given += 1;
        Says::Turn
    }

    /// Returns how many calls were given.
    pub fn given(&self) -> u32 {
        self.given as u32
    }
}

// What is tapped

/// Taps for one child.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Taps {
    /// Turns within one step.
    pub one_step: u32,
    /// Turns of several steps.
    pub several: u32,
    /// Hurdles brought down.
    pub falls: u32,
}

/// What holds for a bout that is to be saved.
#[derive(Debug, Clone, PartialEq)]
pub struct BoutDraft {
    /// Lane letter.
    pub lane: String,
    /// Drill.
    pub drill: DrillId,
    /// When it began, in milliseconds since 1970.
    pub at_ms: i64,
    /// How long it was meant to be, in seconds.
    pub planned_s: Option<f64>,
    /// How long it was, in seconds.
    pub seconds: f64,
    /// Seed of the calls.
    pub seed: Option<u32>,
    /// Calls that were given.
    pub calls: u32,
    /// Gap in metres.
    pub gap_m: f64,
    /// Who, with the taps.
    pub children: Vec<(String, Taps)>,
    /// Hurdles that stayed down.
    pub down: Vec<u32>,
    /// How turns were counted; none: by tap.
    pub source: Option<Source>,
}

impl BoutDraft {
    /// Returns the facts of the bout: a turn ends a pass, and the last pass ends with the bout.
    pub fn facts(&self) -> BoutFacts {
        let runners = self.children.iter().map(|(runner, taps)| {
            let turns = taps.one_step + taps.several;
            BoutRunner {
                runner: runner.clone(),
                passes: turns + 1,
                turns,
                one_step_turns: taps.one_step,
                falls: taps.falls,
            }
        });
        BoutFacts {
            lane: self.lane.clone(),
            drill: self.drill.clone(),
            at_ms: self.at_ms,
            planned_s: self.planned_s,
            seconds: self.seconds,
            seed: self.seed,
            calls: self.calls,
            runners: runners.collect(),
            down: self.down.clone(),
            gap_m: Some(self.gap_m),
            source: self.source,
        }
    }
}

/// A bout that is over and not saved yet, as it is kept on the device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptBout {
    /// The class.
    pub class: String,
    /// The bout with what was tapped.
    pub bout: BoutFacts,
}

impl KeptBout {
    /// Returns whether it is of this class and began at a moment or after it, in milliseconds since 1970: what was not
    /// saved is offered on its day, and later nobody knows the counts.
    pub fn is_of(&self, class: Option<&str>, since_ms: i64) -> bool {
        class == Some(self.class.as_str()) && self.bout.at_ms >= since_ms
    }
}

/// Calls without one turn from which on somebody is asked whether none was seen (engineering assumption: a child misses
/// one or two).
const CALLS_ASKED: u32 = 3;

/// Returns whether to ask, before a bout is saved, whether really no turn was seen.
pub fn asks_for_turns(bout: &BoutFacts) -> bool {
    let nothing = bout.runners.iter().all(|each| each.turns == 0 && each.falls == 0) && bout.down.is_empty();
    bout.calls >= CALLS_ASKED && nothing
}

// Turns by sound

/// Longest recording of a bout, s: half a second more than the listener takes, so that it says of a longer bout that it
/// is too long and does not count its beginning as if that were all.
pub const BOUT_TAKE_MAX_S: f64 = 120.5;
/// A spoken call is over after this, s. Engineering assumption: one word, by a slow voice.
const VOICE_S: f64 = 1.2;
/// What the device sounds is recorded between these two times before its beginning and behind its end, s. Engineering
/// assumption: loudspeaker and microphone lag behind the page, and a hall rings on.
const EARLY_S: f64 = 0.05;
const LAG_S: f64 = 0.25;

/// The sound of a bout while it grows, and what the device itself sounds in it.
///
/// The page's clock says when something was sounded, samples say when something was heard. No piece arrives before it
/// was recorded: the earliest of the arrivals, each less the samples so far, is the beginning.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BoutTake {
    rate_hz: u32,
    samples: Vec<f32>,
    begun_ms: Option<f64>,
    /// Moment, length in seconds, and whether it was a call to turn.
    sounded: Vec<(f64, f64, bool)>,
}

impl BoutTake {
    /// Begins.
    pub fn new(rate_hz: u32) -> Self {
        Self { rate_hz: rate_hz.max(1), ..Self::default() }
    }

    /// Takes in the next samples, which arrived at a moment of the page's steady clock, in ms.
    pub fn push(&mut self, samples: &[f32], now_ms: f64) {
        let room = self.most().saturating_sub(self.samples.len()).min(samples.len());
        self.samples.extend_from_slice(&samples[..room]);
        if room == samples.len() {
            let begun_ms = now_ms - 1000.0 * self.seconds();
            self.begun_ms = Some(self.begun_ms.map_or(begun_ms, |known| known.min(begun_ms)));
        }
    }

    /// Samples that are taken in at most.
    fn most(&self) -> usize {
        (BOUT_TAKE_MAX_S * f64::from(self.rate_hz)) as usize
    }

    /// Seconds so far.
    pub fn seconds(&self) -> f64 {
        self.samples.len() as f64 / f64::from(self.rate_hz)
    }

    /// Returns whether nothing more is taken in.
    pub fn is_full(&self) -> bool {
        self.samples.len() >= self.most()
    }

    /// Notes that the device sounds something now, so many seconds long; `None`: a voice speaks.
    pub fn sounds(&mut self, now_ms: f64, long_s: Option<f64>, is_call: bool) {
        self.sounded.push((now_ms, long_s.unwrap_or(VOICE_S), is_call));
    }

    /// Ends it: samples, their rate, and what is not to be listened to.
    pub fn done(self) -> (Vec<f32>, u32, Own) {
        let begun_ms = self.begun_ms.unwrap_or_default();
        let at_s = |ms: f64| (ms - begun_ms) / 1000.0;
        let calls = self.sounded.iter().filter(|(.., is_call)| *is_call);
        let own = Own {
            calls_s: calls.map(|(ms, ..)| at_s(*ms)).collect(),
            sounds_s: self
                .sounded
                .iter()
                .map(|(ms, long_s, _)| [at_s(*ms) - EARLY_S, at_s(*ms) + long_s + LAG_S])
                .collect(),
        };
        (self.samples, self.rate_hz, own)
    }
}

/// Returns the taps that a heard bout stands for, fallen hurdles as they were tapped, and the turns that may be either:
/// those somebody has to decide.
pub fn taps_heard(turns: &Turns, falls: u32) -> (Taps, u32) {
    let count = |is: Option<bool>| turns.turns.iter().filter(|turn| turn.one_step == is).count() as u32;
    (Taps { one_step: count(Some(true)), several: count(Some(false)), falls }, count(None))
}

/// Returns what is kept of a heard bout; `None` where turns could not be counted.
pub fn bout_sound(found: &Findings) -> Option<BoutSound> {
    let turns = found.turns.as_ref().filter(|turns| turns.reason.is_none())?;
    Some(BoutSound {
        duration_s: found.duration_s,
        run_p: found.run_p,
        turns: turns
            .turns
            .iter()
            .map(|turn| SoundTurn {
                t_s: turn.t_s,
                p: turn.p,
                one_step_p: turn.contacts_p[0],
                heavy_p: turn.heavy_p,
                strength_db: turn.strength_db.map(|range| SoundRange {
                    value: range.value,
                    low: range.low,
                    high: range.high,
                }),
                seconds: turn.until_s - turn.from_s,
            })
            .collect(),
    })
}

/// Returns the record of a bout.
pub fn bout_body(class: &str, bout: BoutFacts) -> BoutBody {
    BoutBody { class: class.to_owned(), bout, sound: None, void: false, unknown: Default::default() }
}

/// Returns the record that says that there was no such bout.
pub fn no_such_bout(class: &str, of: &str) -> BoutCorrectionBody {
    BoutCorrectionBody {
        class: class.to_owned(),
        of: of.to_owned(),
        bout: None,
        void: false,
        unknown: Default::default(),
    }
}

/// Returns the seconds of rest that a child should still have; 0 when rested or never on.
pub fn rest_left_s(bouts: &[BoutView], runner: &str, now_ms: i64) -> f64 {
    let last = bouts.iter().rev().find(|view| view.facts.runners.iter().any(|each| each.runner == runner));
    last.map_or(0.0, |view| {
        let over_ms = view.facts.at_ms as f64 + view.facts.seconds * 1000.0;
        let gone_s = (now_ms as f64 - over_ms) / 1000.0;
        (REST_TIMES * view.facts.seconds - gone_s).max(0.0)
    })
}

#[cfg(test)]
mod tests {
    use lanewright_listen::{NoTurns, Reason};

    use super::*;
    use crate::logic::sound::synth::{BoutPlan, MadeBout, TONE_S, make_bout};
    use crate::logic::sound::{Asked, answer};

    fn children(names: &str) -> Vec<Child> {
        names.chars().map(|name| Child { id: name.to_string(), name: name.to_string() }).collect()
    }

    fn draft(names: &str, taps: Taps) -> BoutDraft {
        BoutDraft {
            lane: "A".into(),
            drill: DrillId("side-shuttle".into()),
            at_ms: 0,
            planned_s: Some(10.0),
            seconds: 10.0,
            seed: None,
            calls: 0,
            gap_m: 0.7,
            children: names.chars().map(|name| (name.to_string(), taps)).collect(),
            down: vec![],
            source: None,
        }
    }

    fn bout(id: &str, names: &str, at_ms: i64, turns: u32) -> BoutView {
        let taps = Taps { one_step: turns, several: 0, falls: 0 };
        let facts = BoutDraft { at_ms, ..draft(names, taps) }.facts();
        assert_eq!(facts.check(), Ok(()));
        BoutView { id: id.into(), facts, correction: None }
    }

    fn names(pairs: &[[Child; 2]]) -> Vec<String> {
        pairs.iter().map(|[a, b]| format!("{}{}", a.id, b.id)).collect()
    }

    #[test]
    fn everybody_meets_somebody_new_before_meeting_again() {
        let children = children("abcd");
        let mut bouts = Vec::new();
        let mut met = std::collections::BTreeSet::new();
        for round in 0..3 {
            let (pairs, rests) = pairs_now(&children, &bouts, &[]);
            assert_eq!((pairs.len(), rests), (2, None));
            for pair in names(&pairs) {
                assert!(met.insert(pair.clone()), "{pair} again in round {round}");
                bouts.push(bout(&format!("{round}{pair}"), &pair, round * 60_000, 3));
            }
        }
        assert_eq!(met.len(), 6);
    }

    #[test]
    fn with_an_odd_number_nobody_rests_twice_before_everybody_has() {
        let children = children("abc");
        let mut bouts = Vec::new();
        let mut rested = Vec::new();
        for round in 0..3 {
            let (pairs, rests) = pairs_now(&children, &bouts, &[]);
            rested.push(rests.unwrap().id);
            for pair in names(&pairs) {
                bouts.push(bout(&format!("{round}"), &pair, round * 60_000, 3));
            }
        }
        rested.sort_unstable();
        assert_eq!(rested, ["a", "b", "c"]);
    }

    #[test]
    fn those_who_should_stand_apart_do() {
        let (pairs, _) = pairs_now(&children("abcd"), &[], &[("a".into(), "b".into())]);
        assert!(!names(&pairs).contains(&"ab".to_owned()));
    }

    #[test]
    fn a_seed_gives_the_same_calls_and_every_call_is_said_once() {
        let run = |seed: u32| {
            let mut caller = Caller::new(Some(30.0), Some(seed));
            let said: Vec<(u32, Says)> = (0..=3100)
                .map(|step| (step, caller.look(f64::from(step) / 100.0)))
                .filter(|(_, says)| *says != Says::Nothing)
                .collect();
            (said, caller.given())
        };
        let (said, given) = run(7);
        assert_eq!(run(7).0, said);
        assert_ne!(run(8).0, said);
        assert_eq!(said.last().unwrap(), &(3000, Says::Stop));
        assert_eq!(said.len() as u32, given + 1);
    }

    #[test]
    fn calls_that_were_missed_are_not_made_up_for() {
        let mut caller = Caller::new(Some(30.0), Some(7));
        // The page was out of sight for 25 s.
        assert_eq!(caller.look(25.0), Says::Turn);
        assert_eq!(caller.look(25.01), Says::Nothing);
        assert_eq!(caller.given(), 1);
        let mut silent = Caller::new(Some(5.0), None);
        assert_eq!(
            (silent.look(4.9), silent.look(5.0), silent.look(5.1)),
            (Says::Nothing, Says::Stop, Says::Nothing)
        );
    }

    #[test]
    fn rest_is_three_times_the_bout() {
        let bouts = [bout("1", "ab", 0, 3)];
        assert_eq!(rest_left_s(&bouts, "a", 10_000), 30.0);
        assert_eq!(rest_left_s(&bouts, "a", 25_000), 15.0);
        assert_eq!(rest_left_s(&bouts, "a", 60_000), 0.0);
        assert_eq!(rest_left_s(&bouts, "c", 10_000), 0.0);
    }

    #[test]
    fn passes_fall_off_only_beyond_what_counting_makes() {
        let series = |turns: &[u32]| {
            let bouts: Vec<BoutView> = turns
                .iter()
                .zip(0i64..)
                .map(|(turns, at)| bout(&at.to_string(), "a", at * 60_000, *turns))
                .collect();
            passes_drop_off(&bouts, "a")
        };
        assert!(series(&[9, 9, 9]).is_none(), "three are no series");
        assert!(!series(&[9, 9, 8, 9]).unwrap().above_noise);
        assert!(series(&[19, 15, 11, 8]).unwrap().above_noise);
    }

    #[test]
    fn the_floor_keeps_children_out_of_each_others_lane() {
        let kit = Kit::default();
        let setup = floor(0.66, &kit, &Space::hall(32.0, 18.0), 7, true);
        assert!(setup.fits && setup.at_once.is_multiple_of(2) && setup.at_once <= 7, "{setup:?}");
        assert!(setup.gap_m >= 2.0 * FOOT_M + kit.base_depth_m);
    }

    #[test]
    fn a_bout_with_calls_and_no_tap_is_asked_about_and_one_without_calls_is_not() {
        let none = draft("ab", Taps::default());
        let asks = |calls: u32, taps: Taps| asks_for_turns(&BoutDraft { calls, ..draft("ab", taps) }.facts());
        assert!(asks(3, Taps::default()) && !asks(2, Taps::default()) && !asks(0, Taps::default()));
        assert!(
            !asks(3, Taps { several: 1, ..Taps::default() })
                && !asks(3, Taps { falls: 1, ..Taps::default() })
        );
        assert!(!asks_for_turns(&BoutDraft { calls: 3, down: vec![2], ..none }.facts()));
    }

    #[test]
    fn a_bout_that_was_not_saved_comes_back_with_its_counts_in_its_class_and_on_its_day_only() {
        let taps = Taps { one_step: 2, several: 1, falls: 1 };
        let bout = BoutDraft { at_ms: 5_000, calls: 3, down: vec![4], ..draft("ab", taps) }.facts();
        let kept = KeptBout { class: "c".into(), bout };
        let read: KeptBout = serde_json::from_str(&serde_json::to_string(&kept).unwrap()).unwrap();
        assert_eq!(read, kept);
        assert_eq!(
            (read.bout.runners[1].turns, read.bout.runners[1].falls, &read.bout.down),
            (3, 1, &vec![4])
        );
        assert!(read.is_of(Some("c"), 5_000));
        assert!(!read.is_of(Some("c"), 5_001) && !read.is_of(Some("d"), 0) && !read.is_of(None, 0));
    }

    /// A bout as the page records it: pieces arrive late, now and then very late; calls are noted by the page's clock.
    fn recorded(plan: &BoutPlan) -> (MadeBout, Findings) {
        recorded_with(plan, Some(TONE_S))
    }

    /// The same by a call so long; `None`: by a voice.
    fn recorded_with(plan: &BoutPlan, call_long_s: Option<f64>) -> (MadeBout, Findings) {
        let made = make_bout(plan);
        let began_ms = 5000.0;
        let mut take = BoutTake::new(plan.rate_hz);
        for (number, piece) in made.samples.chunks(2048).enumerate() {
            let recorded_ms = began_ms + 1000.0 * ((number + 1) * 2048) as f64 / f64::from(plan.rate_hz);
            take.push(piece, recorded_ms + if number % 7 == 0 { 3.0 } else { 90.0 });
        }
        for call_s in &made.calls_s {
            take.sounds(began_ms + 1000.0 * call_s, call_long_s, true);
        }
        let (samples, rate_hz, own) = take.done();
        for (heard_s, made_s) in own.calls_s.iter().zip(&made.calls_s) {
            assert!((heard_s - made_s).abs() < 0.01, "{heard_s} {made_s}");
        }
        let asked = serde_json::to_string(&Asked { lane: None, own: Some(own) }).unwrap();
        let found = serde_json::from_str(&answer(&samples, rate_hz, &asked).unwrap()).unwrap();
        (made, found)
    }

    #[test]
    fn a_bout_is_counted_by_sound_and_the_phones_own_tone_is_no_contact() {
        let plan = BoutPlan { turns: vec![1, 3, 1], tone: 2.0, rate_hz: 16_000, ..BoutPlan::plain(12) };
        let (made, found) = recorded(&plan);
        let turns = found.turns.clone().unwrap();
        assert_eq!(taps_heard(&turns, 2), (Taps { one_step: 2, several: 1, falls: 2 }, 0), "{turns:?}");
        assert_eq!(turns.turns.iter().filter_map(|turn| turn.call).collect::<Vec<_>>(), [1, 2, 3]);
        for contact in &found.contacts {
            let in_tone = |call: &f64| (call + 0.04..call + 0.04 + TONE_S).contains(&contact.t_s);
            assert!(!made.calls_s.iter().any(in_tone), "a contact at {}", contact.t_s);
        }
        let sound = bout_sound(&found).unwrap();
        assert_eq!(sound.turns.len(), 3);
        // Through a record and back, the count that was taken over.
        let draft = BoutDraft { source: Some(Source::Sound), ..draft("a", taps_heard(&turns, 0).0) };
        let body = BoutBody { sound: Some(Box::new(sound)), ..bout_body("c", draft.facts()) };
        let read: BoutBody = serde_json::from_value(serde_json::to_value(&body).unwrap()).unwrap();
        assert_eq!(read, body);
        assert_eq!((read.bout.runners[0].turns, read.bout.runners[0].one_step_turns), (3, 2));
    }

    #[test]
    fn a_call_whose_turn_the_own_voice_covers_is_not_said_to_have_none() {
        let mut covered = 0;
        for seed in 0..6 {
            let plan =
                BoutPlan { heavy: false, tone: 2.0, steps: 9, rate_hz: 16_000, ..BoutPlan::plain(60 + seed) };
            let (_, found) = recorded_with(&plan, None);
            let turns = found.turns.as_ref().unwrap();
            assert_eq!(turns.calls_without, [0; 0], "seed {seed}: {turns:?}");
            assert!(
                turns.reason.is_some() || !turns.turns.is_empty(),
                "seed {seed}: \"no turn\" of a covered bout"
            );
            covered += usize::from(turns.reason == Some(NoTurns::Covered));
            assert_eq!(bout_sound(&found).is_none(), turns.reason.is_some());
        }
        assert!(covered > 0);
    }

    #[test]
    fn of_a_bout_longer_than_the_listener_takes_nothing_is_proposed() {
        let rate_hz = 16_000;
        let mut take = BoutTake::new(rate_hz);
        let second: Vec<f32> = (0..rate_hz).map(|at| if at % 6000 < 200 { 0.3 } else { 0.001 }).collect();
        for at in 1..=130 {
            take.push(&second, 1000.0 * f64::from(at));
        }
        assert!(take.is_full() && take.seconds() > 120.0);
        let (samples, rate_hz, own) = take.done();
        let asked = serde_json::to_string(&Asked { lane: None, own: Some(own) }).unwrap();
        let found: Findings = serde_json::from_str(&answer(&samples, rate_hz, &asked).unwrap()).unwrap();
        assert_eq!((found.reason, bout_sound(&found)), (Some(Reason::TooLong), None));
        assert!(found.turns.unwrap().reason.is_some());
    }

    #[test]
    fn a_bout_without_steps_proposes_nothing() {
        let mut take = BoutTake::new(16_000);
        take.push(&vec![0.0; 64_000], 4000.0);
        let (samples, rate_hz, own) = take.done();
        let asked = serde_json::to_string(&Asked { lane: None, own: Some(own) }).unwrap();
        let found: Findings = serde_json::from_str(&answer(&samples, rate_hz, &asked).unwrap()).unwrap();
        assert_eq!(bout_sound(&found), None);
        assert_eq!(taps_heard(found.turns.as_ref().unwrap(), 1), (Taps { falls: 1, ..Taps::default() }, 0));
    }
}
