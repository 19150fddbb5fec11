//! From a heard take to events: the first look at each candidate, the rhythm, the second look, and what it all says.

use serde::{Deserialize, Serialize};

use crate::candidates::{Candidate, candidates, median};
use crate::front::Sound;
use crate::related;
use crate::rhythm::{Beat, Rhythm, SELDOM_TURN, Tempo, find, sequence};
use crate::weights::Weights;

/// The fitted tables.
#[derive(Debug, Clone, PartialEq)]
pub struct Tables {
    /// Contact or not, by a candidate's own traits.
    pub contact: Weights,
    /// Knock or not, compared with the chain.
    pub knock: Weights,
    /// Heavy stop or not, among contacts.
    pub brake: Weights,
    /// Somebody runs or not, for the whole take.
    pub run: Weights,
}

impl Tables {
    /// Reads the four tables; `None` when one does not read.
    #[must_use]
    pub fn parse(contact: &str, knock: &str, brake: &str, run: &str) -> Option<Self> {
        Some(Self {
            contact: Weights::parse(contact, &crate::candidates::TRAIT_NAMES)?,
            knock: Weights::parse(knock, &related::TRAIT_NAMES)?,
            brake: Weights::parse(brake, &related::TRAIT_NAMES)?,
            run: Weights::parse(run, &WHOLE_NAMES)?,
        })
    }

    /// The tables that come with the crate.
    ///
    /// # Panics
    ///
    /// Never: a test reads them.
    #[must_use]
    pub fn shipped() -> Self {
        Self::parse(
            include_str!("../data/contact.csv"),
            include_str!("../data/knock.csv"),
            include_str!("../data/brake.csv"),
            include_str!("../data/run.csv"),
        )
        .expect("the tables of this crate read")
    }
}

/// Everything between the samples and the findings, for the fit and for looking at.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// All candidates.
    pub list: Vec<Candidate>,
    /// Log-odds of a contact by each candidate's own traits.
    pub first: Vec<f64>,
    /// The chain of the first look (indices into `list`, in order).
    pub rough: Vec<usize>,
    /// Traits against the rough chain.
    pub rough_rows: Vec<[f64; related::TRAITS]>,
    /// Rhythm of the second look.
    pub rhythm: Rhythm,
    /// Traits against the final chain.
    pub rows: Vec<[f64; related::TRAITS]>,
    /// Traits of the take as a whole, see [`WHOLE_NAMES`].
    pub whole: [f64; 3],
}

/// Names of [`Analysis::whole`].
pub const WHOLE_NAMES: [&str; 3] = ["log_evidence", "apart", "contrast"];

/// Likeness and log-odds of sounds beside the steps where there are none, dB and nats: as of what is unlike a step.
const NONE_BESIDE: (f64, f64) = (8.0, -8.0);
/// Sounds so close to the first and the last contact still lie beside the steps, s.
const BESIDE_S: f64 = 0.02;

/// What the take says as a whole. One runner's steps are more alike than the other sounds between them (`apart`, dB,
/// below zero), and sound more like steps than the best of these (`contrast`, nats); of clapping hands neither is true.
fn whole(list: &[Candidate], rhythm: &Rhythm, rows: &[[f64; related::TRAITS]]) -> [f64; 3] {
    let chain = &rhythm.sequence;
    let (Some(&from), Some(&to)) = (chain.first(), chain.last()) else { return [0.0; 3] };
    let (from_s, to_s) = (list[from].onset_s - BESIDE_S, list[to].onset_s + BESIDE_S);
    let beside: Vec<usize> = (0..list.len())
        .filter(|k| (from_s..=to_s).contains(&list[*k].onset_s) && chain.binary_search(k).is_err())
        .collect();
    let of = |which: &[usize], index: usize| which.iter().map(|&k| rows[k][index]).collect::<Vec<_>>();
    let (likeness, first) = (of(chain, 2), of(chain, 0));
    let (mut other_likeness, mut rivals) = (of(&beside, 2), of(&beside, 0));
    if other_likeness.is_empty() {
        other_likeness.push(NONE_BESIDE.0);
    }
    // As many rivals as there are steps.
    rivals.sort_by(|a, b| b.total_cmp(a));
    rivals.resize(chain.len(), NONE_BESIDE.1);
    let evidence = libm::log(rhythm.evidence.max(1.0));
    [evidence, median(&likeness) - median(&other_likeness), median(&first) - median(&rivals)]
}

pub(crate) fn softplus(x: f64) -> f64 {
    if x > 30.0 { x } else { libm::log1p(libm::exp(x)) }
}

/// Looks twice. `None` when nothing in the take rises.
#[must_use]
pub fn analyse(sound: &Sound, tables: &Tables) -> Option<Analysis> {
    analyse_with(sound, tables, |_| 0.0)
}

/// The same, where more is known of turns: what a moment adds to the log-odds of a turn there.
#[must_use]
pub fn analyse_with(sound: &Sound, tables: &Tables, turns: impl Fn(f64) -> f64) -> Option<Analysis> {
    let list = candidates(sound);
    let first: Vec<f64> = list.iter().map(|c| tables.contact.log_odds(&c.traits)).collect();
    let beats: Vec<Beat> = list
        .iter()
        .zip(&first)
        .map(|(c, &log_odds)| Beat { t_s: c.onset_s, log_odds, turn_odds: SELDOM_TURN + turns(c.onset_s) })
        .collect();
    let rough = sequence(&beats)?;
    let rough_rows = related::traits(&list, &rough, &first);
    let beats: Vec<Beat> = beats
        .iter()
        .zip(&rough_rows)
        .map(|(beat, row)| Beat {
            t_s: beat.t_s,
            log_odds: beat.log_odds - softplus(tables.knock.log_odds(row)),
            turn_odds: tables.brake.log_odds(row) + turns(beat.t_s),
        })
        .collect();
    let rhythm = find(&beats)?;
    let rows = related::traits(&list, &rhythm.sequence, &first);
    let whole = whole(&list, &rhythm, &rows);
    Some(Analysis { list, first, rough, rough_rows, rhythm, rows, whole })
}

/// A foot on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Contact {
    /// Onset at the microphone, s from the start of the take.
    pub t_s: f64,
    /// Probability.
    pub p: f64,
    /// Which of the two feet, 0 or 1; which of them is the left one, sound alone does not say.
    pub foot: u8,
}

/// A knock or a heavy stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// Onset, s.
    pub t_s: f64,
    /// Probability.
    pub p: f64,
}

/// What was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Probability that somebody runs and the rhythm found is theirs.
    pub run_p: f64,
    /// Contacts in order.
    pub contacts: Vec<Contact>,
    /// Knocks in order.
    pub knocks: Vec<Event>,
    /// Heavy stops at turns, in order; each is a contact too.
    pub brakes: Vec<Event>,
    /// The most probable rhythm.
    pub tempo: Tempo,
}

/// A contact in the best sequence is reported from this probability on.
const LEAST_SHARE: f64 = 0.35;
/// How much too little the table says of heavy stops with the pause behind them, nats: the ridge draws a fit on twelve
/// of them to the mean. The shift under which those of left-out sources are likeliest (docs/methods/listen.md).
const BRAKE_SHY: f64 = 1.2;
/// After a knock the hurdle falls and clatters, s.
const CLATTER_S: f64 = 0.5;

pub(crate) fn chance(log_odds: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-log_odds))
}

/// The members of the best sequence that are sure enough to be reported.
pub(crate) fn members(analysis: &Analysis) -> Vec<usize> {
    let rhythm = &analysis.rhythm;
    rhythm.sequence.iter().copied().filter(|&m| rhythm.shares[m] >= LEAST_SHARE).collect()
}

/// Reads the events off an analysis.
#[must_use]
pub fn heard(analysis: &Analysis, tables: &Tables) -> Heard {
    let Analysis { list, rhythm, rows, whole, .. } = analysis;
    let run_p = chance(tables.run.log_odds(whole));
    let tempo = rhythm.tempo;
    let members = members(analysis);
    let mut contacts: Vec<Contact> = Vec::new();
    let mut brakes = Vec::new();
    let mut foot = 0u8;
    for (at, &m) in members.iter().enumerate() {
        if let Some(&before) = at.checked_sub(1).and_then(|at| members.get(at)) {
            let steps = ((list[m].onset_s - list[before].onset_s) / tempo.period_s).round().max(1.0);
            foot = (foot + (steps as u64 % 2) as u8) % 2;
        }
        contacts.push(Contact { t_s: list[m].onset_s, p: rhythm.shares[m] * run_p, foot });
        if let Some(&next) = members.get(at + 1) {
            let gap = (list[next].onset_s - list[m].onset_s) / tempo.period_s;
            let odds = tables.brake.log_odds(&rows[m]) + gap_odds(gap, tempo.spread) + BRAKE_SHY;
            if odds > 0.0 {
                brakes.push(Event { t_s: list[m].onset_s, p: chance(odds) * run_p });
            }
        }
    }
    let mut knocks: Vec<(Event, f64)> = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        let odds = tables.knock.log_odds(row) + phase_odds(row[12]);
        let t_s = list[index].onset_s;
        if odds <= 0.0 || rhythm.sequence.contains(&index) {
            continue;
        }
        match knocks.last_mut() {
            Some((last, level)) if t_s - last.t_s < CLATTER_S => {
                // The clatter may be louder than the knock; only what is far more certain takes its place.
                if odds > *level + 3.0 && t_s - last.t_s < 0.12 {
                    *last = Event { t_s, p: chance(odds) * run_p };
                    *level = odds;
                }
            }
            _ => knocks.push((Event { t_s, p: chance(odds) * run_p }, odds)),
        }
    }
    Heard { run_p, contacts, knocks: knocks.into_iter().map(|k| k.0).collect(), brakes, tempo }
}

/// How much more a turn makes of a gap than an ordinary step would, nats.
pub(crate) fn gap_odds(gap: f64, spread: f64) -> f64 {
    if !(1.3..3.2).contains(&gap) {
        return -6.0;
    }
    let spread = spread.max(0.03);
    let z = (gap - 1.0) / spread;
    let go = libm::exp(-0.5 * z * z) / (spread * 2.507) + 0.02;
    libm::log((1.0 / 1.7) / go)
}

/// A hurdle is hit in flight, which is the second part of the time from contact to contact. Engineering assumption.
fn phase_odds(phase: f64) -> f64 {
    match phase {
        p if p < 0.0 => -3.0,
        p if p < 0.35 => -1.5,
        _ => 1.8,
    }
}
