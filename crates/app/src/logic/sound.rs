//! Listening beside the lane without a microphone: when a recording is over, what the level says, what the listener is
//! asked and answers, what becomes of the answer.
//!
//! Times are counts of samples over the sample rate, never readings of another clock: only when the run was, to the
//! second, is the device's time of day.

use lanewright_draw::SoundStrip;
use lanewright_listen::{Findings, Lane, Listener, Own, Range};
use lanewright_model::record::{RunBody, RunFacts, RunSound, SoundKnock, SoundRange};
use lanewright_model::run::{Leg, Source, Watched};
use lanewright_model::school::RunView;
use lanewright_model::{Arg, Ladder, Message};
use lanewright_science::pressure::StepEvenness;
use serde::{Deserialize, Serialize};

use super::trackside::{LaneDrill, LaneNow, Marks, Row, Watching, run_body};

/// Longest recording, s. Engineering assumption: a lane of 30 m at a child's walking pace, and a moment before and
/// after.
pub const LONGEST_S: f64 = 20.0;
/// Counted down before a recording begins, s: time to look up and say "go".
pub const COUNTDOWN_S: u32 = 3;
/// A kept recording is deleted after so many days. Engineering assumption: the next lesson of the class.
pub const KEEP_DAYS: i64 = 7;
/// Largest sound file that is opened, MB: two minutes of uncompressed stereo are 23.
pub const FILE_MAX_MB: u32 = 60;

// While it records

/// A piece is as long as this or a little longer, s.
const PIECE_S: f64 = 0.04;
/// No recording ends by itself before this, s.
const SHORTEST_S: f64 = 3.0;
/// It ends when nobody was heard for so long, s: a heavy stop and a turn take less.
const QUIET_S: f64 = 2.5;
/// A run has at least so many pieces that stand out.
const LEAST_LOUD: usize = 4;
/// A piece stands out when its peak is this many times the usual one (12 dB).
const STANDS_OUT: f32 = 4.0;
/// A peak below this is no sound at all, of full scale (-60 dB, as in the listener).
const SILENT_PEAK: f32 = 0.001;
/// A sample from here on is at the limit of the scale.
const LIMIT: f32 = 0.99;
/// So large a share of the last second at the limit is too loud; the listener refuses 2 % of a whole take.
const LOUD_SHARE: f64 = 0.005;
/// What is said about the level rests on this, s.
const LATELY_S: f64 = 1.0;

/// What the level says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Level {
    /// It hears well, or there was too little to tell.
    #[default]
    Good,
    /// The microphone is overdriven.
    Loud,
    /// There is no sound at all.
    Silent,
}

/// A recording while it grows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Taking {
    rate_hz: u32,
    samples: Vec<f32>,
    /// Peak, length and samples at the limit of each piece.
    pieces: Vec<(f32, usize, usize)>,
    /// The piece that is not full yet.
    open: (f32, usize, usize),
}

impl Taking {
    /// Begins.
    pub fn new(rate_hz: u32) -> Self {
        Self { rate_hz: rate_hz.max(1), ..Self::default() }
    }

    /// Takes the next samples in; what comes after the longest recording is left out.
    pub fn push(&mut self, samples: &[f32]) {
        let most = (LONGEST_S * f64::from(self.rate_hz)) as usize;
        let room = most.saturating_sub(self.samples.len()).min(samples.len());
        self.samples.extend_from_slice(&samples[..room]);
        let size = ((PIECE_S * f64::from(self.rate_hz)) as usize).max(1);
        for &sample in &samples[..room] {
            let (peak, count, limited) = self.open;
            let height = sample.abs();
            self.open = (peak.max(height), count + 1, limited + usize::from(height >= LIMIT));
            if self.open.1 >= size {
                self.pieces.push(std::mem::take(&mut self.open));
            }
        }
    }

    /// Seconds so far.
    pub fn seconds(&self) -> f64 {
        self.samples.len() as f64 / f64::from(self.rate_hz)
    }

    /// Returns the pieces of the last second.
    fn lately(&self) -> &[(f32, usize, usize)] {
        let count = (LATELY_S / PIECE_S) as usize;
        &self.pieces[self.pieces.len().saturating_sub(count)..]
    }

    /// Height of the meter, 0 to 1: the peak of the last tenth of a second, 60 dB down to nothing.
    pub fn meter(&self) -> f64 {
        let last = self.pieces.iter().rev().take(3).fold(0.0f32, |top, piece| top.max(piece.0));
        (1.0 + 20.0 * libm::log10(f64::from(last.max(1e-6))) / 60.0).clamp(0.0, 1.0)
    }

    /// What the last second says about the level.
    pub fn level(&self) -> Level {
        let lately = self.lately();
        let heard: usize = lately.iter().map(|piece| piece.1).sum();
        let limited: usize = lately.iter().map(|piece| piece.2).sum();
        if (heard as f64) < 0.9 * LATELY_S * f64::from(self.rate_hz) {
            return Level::Good;
        }
        match () {
            () if limited as f64 > LOUD_SHARE * heard as f64 => Level::Loud,
            () if lately.iter().all(|piece| piece.0 < SILENT_PEAK) => Level::Silent,
            () => Level::Good,
        }
    }

    /// Returns whether the recording is over: a run was heard and then nothing for a while, or it is as long as it may
    /// be. What is a run and what is nothing, the pieces say among themselves: the lower half is the background.
    pub fn is_over(&self) -> bool {
        let seconds = self.seconds();
        if seconds >= LONGEST_S - 1e-9 {
            return true;
        }
        if seconds < SHORTEST_S {
            return false;
        }
        let mut peaks: Vec<f32> = self.pieces.iter().map(|piece| piece.0).collect();
        peaks.sort_by(f32::total_cmp);
        let background = peaks.get(peaks.len() / 4).copied().unwrap_or(0.0).max(SILENT_PEAK);
        let loud = |piece: &(f32, usize, usize)| piece.0 >= STANDS_OUT * background;
        let quiet = (QUIET_S / PIECE_S) as usize;
        let (before, after) = self.pieces.split_at(self.pieces.len().saturating_sub(quiet));
        before.iter().filter(|piece| loud(piece)).count() >= LEAST_LOUD && !after.iter().any(loud)
    }

    /// Ends it.
    pub fn done(self) -> (Vec<f32>, u32) {
        (self.samples, self.rate_hz)
    }
}

// What the listener is asked and answers

/// What the page asks of the listener, beside the samples.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// How the lane stands, where it has gaps to count by.
    #[serde(default)]
    pub lane: Option<Lane>,
    /// What the device itself called and sounded: then it is a bout, and its turns are counted.
    #[serde(default)]
    pub own: Option<Own>,
}

/// Returns how the lane stands for a drill; `None` when it has no two hurdles, or the drill no contacts per gap.
pub fn lane_of(
    lane: &LaneNow,
    drill: &LaneDrill,
    ladder: &Ladder,
    first_crossing_s: Option<f64>,
) -> Option<Lane> {
    let contacts = ladder.get(&drill.id.0)?.contacts_per_gap.filter(|count| *count > 0)?;
    (lane.hurdles >= 2 && drill.gap_m > 0.0).then_some(Lane {
        hurdles: lane.hurdles as usize,
        spacing_m: drill.gap_m,
        contacts_per_gap: contacts as usize,
        first_crossing_s,
    })
}

/// Listens to a take; question and answer are JSON, so that the same bytes can be compared wherever this runs.
///
/// # Errors
/// The question cannot be read: page and listener are of different versions.
pub fn answer(samples: &[f32], rate_hz: u32, asked: &str) -> Result<String, String> {
    let asked: Asked = serde_json::from_str(asked).map_err(|error| error.to_string())?;
    let mut listener = Listener::new(rate_hz);
    listener.push(samples);
    let found = match &asked.own {
        Some(own) => listener.finish_bout(own),
        None => listener.finish(asked.lane.as_ref()),
    };
    serde_json::to_string(&found).map_err(|error| error.to_string())
}

/// Returns the number, from 1, of the last contact before hurdle 1; `None` where hurdles were not counted.
pub fn first_contact(found: &Findings) -> Option<usize> {
    let crossing = *found.crossings_s.first()?;
    Some(found.contacts.iter().filter(|contact| contact.t_s < crossing).count())
}

/// Returns the moment at which hurdle 1 is crossed when the last contact before it is another one, `by` contacts on;
/// `None` where there is no such contact, or too few behind it.
pub fn crossing_moved(found: &Findings, lane: &Lane, by: isize) -> Option<f64> {
    let before = first_contact(found)?.checked_add_signed(by)?.checked_sub(1)?;
    let needed = lane.contacts_per_gap * (lane.hurdles - 1) + 2;
    (before + needed <= found.contacts.len())
        .then(|| 0.5 * (found.contacts[before].t_s + found.contacts[before + 1].t_s))
}

/// Returns what is drawn.
pub fn strip_of(found: &Findings) -> SoundStrip {
    SoundStrip {
        duration_s: found.duration_s,
        contacts: found.contacts.iter().map(|contact| (contact.t_s, contact.p, contact.foot)).collect(),
        knocks: found.knocks.iter().map(|knock| (knock.t_s, knock.sure_hurdle())).collect(),
        brakes: found.brakes.iter().map(|brake| brake.t_s).collect(),
        speeds: found
            .gaps
            .iter()
            .zip(found.crossings_s.windows(2))
            .map(|(gap, pair)| (pair[0], pair[1], gap.speed_mps))
            .collect(),
    }
}

// What becomes of it

/// Returns whether the answer can become a run. A recording that gives no answer never does.
pub fn is_usable(found: &Findings) -> bool {
    found.reason.is_none()
}

/// Returns the marks that were heard: what was knocked counts as fallen until the coach says otherwise, where the
/// hurdle is sure; else nothing is marked before somebody looked.
pub fn marks_heard(found: &Findings, hurdles: u32) -> Marks {
    let mut marks = Marks::clear(hurdles);
    for (row, number) in marks.rows.iter_mut().zip(1..) {
        if found.knocks.iter().any(|knock| knock.sure_hurdle() == Some(number)) {
            *row = Row::Down;
        }
    }
    marks
}

/// Returns the marks when hurdles were counted anew: what was heard `before` gives way to what is heard `now`, what the
/// coach saw stays. A hurdle was seen where its mark is another than the one that was heard; hurdles beyond the lane
/// are left out.
pub fn marks_anew(marks: &Marks, before: Option<&Findings>, now: &Findings, hurdles: u32) -> Marks {
    let heard = before.map_or_else(|| Marks::clear(hurdles), |found| marks_heard(found, hurdles));
    let mut anew = Marks { faults: marks.faults.clone(), ..marks_heard(now, hurdles) };
    for ((row, was), seen) in anew.rows.iter_mut().zip(&heard.rows).zip(&marks.rows) {
        if seen != was {
            *row = *seen;
        }
    }
    anew
}

/// The fault that a heavy stop is.
pub const HEAVY_STOP: &str = "heavy-stop";

/// Returns whether a heavy stop is proposed as a fault of the run.
pub fn stops_heavily(found: &Findings) -> bool {
    found.brakes.iter().any(|brake| brake.p >= HEAVY_STOP_P)
}

/// From this probability a heavy stop is proposed. Engineering assumption: the coach decides in any case.
const HEAVY_STOP_P: f64 = 0.7;

/// Returns how many knocks belong to no hurdle for sure.
pub fn unplaced(found: &Findings) -> usize {
    found.knocks.iter().filter(|knock| knock.sure_hurdle().is_none()).count()
}

/// Returns how many heard knocks still want a look: they belong to no hurdle for sure, and the coach has marked no
/// hurdle for them. Every hurdle that was marked as fallen beyond those that were heard settles one; `none_fell`
/// settles all.
pub fn open_knocks(found: &Findings, marks: &Marks, none_fell: bool) -> usize {
    if none_fell || marks.rows.is_empty() {
        return 0;
    }
    let heard = marks_heard(found, u32::try_from(marks.rows.len()).unwrap_or(u32::MAX));
    let pairs = marks.rows.iter().zip(&heard.rows);
    let seen = pairs.filter(|(now, heard)| **now == Row::Down && **heard != Row::Down).count();
    unplaced(found).saturating_sub(seen)
}

/// Returns the words of the one big button when a run was heard: nothing is called clean while a knock is open.
pub fn heard_verb(found: &Findings, marks: &Marks, none_fell: bool) -> Message {
    match open_knocks(found, marks, none_fell) {
        0 => marks.verb(),
        open => Message::new("sound-which").with("count", Arg::Count(open as i64)),
    }
}

fn range(range: Range) -> SoundRange {
    SoundRange { value: range.value, low: range.low, high: range.high }
}

/// Returns what is kept of the answer with the run.
pub fn run_sound(found: &Findings) -> RunSound {
    RunSound {
        duration_s: found.duration_s,
        run_p: found.run_p,
        contacts_s: found.contacts.iter().map(|contact| contact.t_s).collect(),
        knocks: found
            .knocks
            .iter()
            .map(|knock| SoundKnock {
                t_s: knock.t_s,
                p: knock.p,
                hurdle: knock.sure_hurdle().and_then(|hurdle| u32::try_from(hurdle).ok()),
            })
            .collect(),
        brakes_s: found.brakes.iter().map(|brake| brake.t_s).collect(),
        cadence_hz: found.cadence_hz.map(range),
        cv_step_time: found.cv_step_time.map(range),
        asymmetry: found.asymmetry.map(range),
        evenness: found.evenness,
        speeds_mps: found
            .gaps
            .iter()
            .map(|gap| SoundRange { value: gap.speed_mps, low: gap.low_mps, high: gap.high_mps })
            .collect(),
        alignment_p: found.alignment_p,
    }
}

/// Returns the record of a heard run: knocks only were watched, whatever the coach watches in runs by tap; `None` when
/// the recording gives no answer.
pub fn heard_run(
    class: &str,
    watching: &Watching,
    runner: &str,
    lead: Option<Leg>,
    marks: &Marks,
    found: &Findings,
    at_ms: i64,
) -> Option<RunBody> {
    if !is_usable(found) {
        return None;
    }
    let watching = Watching { watched: Watched::Knocks, ..watching.clone() };
    let run = RunFacts {
        source: Source::Sound,
        // Only what was heard and then agreed to; that no other fault was seen says nothing.
        faults: marks.faults.clone(),
        ..watching.facts(runner, lead, marks, at_ms)
    };
    Some(RunBody { sound: Some(Box::new(run_sound(found))), ..run_body(class, run) })
}

/// Returns how even the steps of the heard runs were, for what the running says under pressure.
///
/// Step times behind a coefficient of variation are counted from its range, which the listener makes of their number n:
/// the value times exp(1.645 / √(2 (n - 1))) either way.
pub fn steps_heard(runs: &[RunView]) -> Vec<StepEvenness> {
    let heard = runs.iter().filter_map(|view| {
        let cv = view.sound.as_ref()?.cv_step_time?;
        let factor = libm::log(cv.high / cv.value);
        let steps = 1.0 + 0.5 * (1.645 / factor) * (1.645 / factor);
        (cv.value > 0.0 && steps.is_finite()).then(|| StepEvenness {
            runner: view.run.runner.clone(),
            drill: view.run.drill.clone(),
            exit_sprint: view.run.exit_sprint,
            cv: cv.value,
            steps: libm::round(steps) as u32,
        })
    });
    heard.collect()
}

/// Returns the samples as a WAV file of one channel and 16 bits.
pub fn wav(samples: &[f32], rate_hz: u32) -> Vec<u8> {
    let size = u32::try_from(samples.len() * 2).unwrap_or(u32::MAX - 36);
    let mut bytes = Vec::with_capacity(44 + samples.len() * 2);
    bytes.extend(b"RIFF");
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    bytes.extend(rate_hz.to_le_bytes());
    bytes.extend(rate_hz.wrapping_mul(2).to_le_bytes());
    bytes.extend(b"\x02\0\x10\0data");
    bytes.extend(size.to_le_bytes());
    for sample in samples {
        bytes.extend(((sample.clamp(-1.0, 1.0) * 32_767.0) as i16).to_le_bytes());
    }
    bytes
}

// Kept recordings

/// A recording that somebody kept on purpose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// Its own id.
    pub id: String,
    /// When it was recorded, in milliseconds since 1970.
    pub at_ms: i64,
    /// Runner id.
    pub runner: Option<String>,
    /// Lane letter.
    pub lane: String,
    /// Length, s.
    pub seconds: f64,
}

impl Kept {
    /// When it is deleted, in milliseconds since 1970.
    pub fn until_ms(&self) -> i64 {
        self.at_ms + KEEP_DAYS * 86_400_000
    }

    /// Returns whether it has to go: its day has come, or it is from a future that no clock of this device will see
    /// again, or its runner was erased.
    pub fn has_to_go(&self, now_ms: i64, is_known: impl Fn(&str) -> bool) -> bool {
        now_ms >= self.until_ms()
            || self.at_ms > now_ms + 86_400_000
            || self.runner.as_deref().is_some_and(|runner| !is_known(runner))
    }
}

/// Why there is no sound to listen to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// The page is not secure, so browsers hide the microphone from it.
    NotSecure,
    /// The person or the browser said no.
    NoPermission,
    /// There is none.
    NoMicrophone,
    /// Another program has it.
    BusyMicrophone,
    /// The browser lacks what recording needs.
    NoRecorder,
    /// The microphone went away in the middle.
    BrokeOff,
    /// The file is no sound that this browser knows.
    FileUnreadable,
    /// The file is too large.
    FileTooBig,
    /// The listener does not start.
    NoListener,
}

impl Trouble {
    /// What does not work, and what still does.
    pub fn message(self) -> Message {
        match self {
            Self::NotSecure => Message::new("sound-not-secure"),
            Self::NoPermission => Message::new("sound-no-permission"),
            Self::NoMicrophone => Message::new("sound-no-microphone"),
            Self::BusyMicrophone => Message::new("sound-busy-microphone"),
            Self::NoRecorder => Message::new("sound-no-recorder"),
            Self::BrokeOff => Message::new("sound-broke-off"),
            Self::FileUnreadable => Message::new("sound-file-unreadable"),
            Self::FileTooBig => Message::new("sound-file-too-big")
                .with("most", lanewright_model::Arg::Count(FILE_MAX_MB.into())),
            Self::NoListener => Message::new("sound-no-listener"),
        }
    }

    /// Returns what a browser's refusal of the microphone means, from the name of its error.
    pub fn of_refusal(name: &str) -> Self {
        match name {
            "NotAllowedError" | "SecurityError" => Self::NoPermission,
            "NotFoundError" | "OverconstrainedError" => Self::NoMicrophone,
            "NotReadableError" | "AbortError" => Self::BusyMicrophone,
            _ => Self::NoRecorder,
        }
    }
}

#[cfg(test)]
#[path = "../../../listen/tests/synth/mod.rs"]
pub(crate) mod synth;

#[cfg(test)]
mod tests {
    use lanewright_listen::Reason;
    use lanewright_model::DrillId;
    use lanewright_model::run::Observation;
    use lanewright_model::school::School;
    use lanewright_science::decide::{Options, decide};

    use super::super::trackside::correction_body;
    use super::synth::{Dice, Plan, make};
    use super::*;

    const RATE: u32 = 16_000;

    fn noise(dice: &mut Dice, seconds: f64, level: f64) -> Vec<f32> {
        (0..(seconds * f64::from(RATE)) as usize).map(|_| (level * dice.normal()) as f32).collect()
    }

    /// Pushes as a microphone does, and returns after how many seconds the recording was over.
    fn record(samples: &[f32]) -> (Taking, f64) {
        let mut taking = Taking::new(RATE);
        for piece in samples.chunks(2048) {
            taking.push(piece);
            if taking.is_over() {
                break;
            }
        }
        let seconds = taking.seconds();
        (taking, seconds)
    }

    #[test]
    fn a_recording_ends_by_itself_when_the_run_is_over_and_not_before() {
        let plan = Plan { rate_hz: RATE, ..Plan::plain(4) };
        let made = make(&plan);
        let mut dice = Dice::new(1);
        let mut samples = noise(&mut dice, 1.5, 0.003);
        samples.extend(&made.samples);
        let run_ends_s = 1.5 + made.contacts_s.last().unwrap();
        samples.extend(noise(&mut dice, 12.0, 0.003));
        let (taking, seconds) = record(&samples);
        assert!(seconds > run_ends_s + 2.0 && seconds < run_ends_s + 4.5, "{seconds} {run_ends_s}");
        assert_eq!(taking.done().0[..], samples[..(seconds * f64::from(RATE)).round() as usize]);
    }

    #[test]
    fn without_a_run_or_without_quiet_it_ends_at_its_longest() {
        let mut dice = Dice::new(2);
        for level in [0.0, 0.003, 0.1] {
            let (taking, seconds) = record(&noise(&mut dice, 30.0, level));
            assert_eq!(seconds, LONGEST_S, "{level}");
            assert_eq!(taking.done().0.len(), (LONGEST_S * f64::from(RATE)) as usize);
        }
    }

    #[test]
    fn the_level_is_said_when_it_is_too_loud_or_nothing_at_all() {
        let mut dice = Dice::new(3);
        let level = |samples: &[f32]| {
            let mut taking = Taking::new(RATE);
            taking.push(samples);
            (taking.level(), taking.meter())
        };
        assert_eq!(level(&noise(&mut dice, 2.0, 0.05)).0, Level::Good);
        let loud: Vec<f32> = noise(&mut dice, 2.0, 0.9).iter().map(|x| x.clamp(-1.0, 1.0)).collect();
        assert_eq!(level(&loud).0, Level::Loud);
        assert_eq!(level(&vec![0.0; 2 * RATE as usize]), (Level::Silent, 0.0));
        // Before a second is over nothing is said.
        assert_eq!(level(&vec![0.0; RATE as usize / 2]).0, Level::Good);
        assert!(level(&loud).1 > 0.99 && level(&noise(&mut dice, 2.0, 0.01)).1 < 0.6);
    }

    fn lane_now() -> (LaneNow, LaneDrill) {
        let drill = LaneDrill { id: DrillId("two-contact-run".into()), gap_m: 2.9, effort: 0.6 };
        let lane = LaneNow {
            lane: "B".into(),
            hurdles: 6,
            height_cm: 30.0,
            drills: vec![drill.clone()],
            children: Vec::new(),
        };
        (lane, drill)
    }

    /// A run over the lane above, the third hurdle knocked, and what is heard of it through text, as in the worker.
    fn heard(marked: bool) -> (synth::Made, Lane, Findings) {
        let plan = Plan {
            hurdles: 6,
            spacing_m: 2.9,
            contacts_per_gap: 2,
            knocked: vec![3],
            rate_hz: RATE,
            ..Plan::plain(21)
        };
        let made = make(&plan);
        let (lane, drill) = lane_now();
        let lane =
            lane_of(&lane, &drill, &Ladder::built_in(), marked.then_some(made.first_crossing_s)).unwrap();
        let asked = serde_json::to_string(&Asked { lane: Some(lane), own: None }).unwrap();
        let text = answer(&made.samples, RATE, &asked).unwrap();
        (made, lane, serde_json::from_str(&text).unwrap())
    }

    #[test]
    fn the_drill_says_how_many_contacts_lie_between_hurdles() {
        let (lane, drill) = lane_now();
        let ladder = Ladder::built_in();
        let found = lane_of(&lane, &drill, &ladder, None).unwrap();
        assert_eq!((found.hurdles, found.spacing_m, found.contacts_per_gap), (6, 2.9, 2));
        let run = LaneDrill { id: DrillId("alternate-run".into()), ..drill.clone() };
        assert_eq!(lane_of(&lane, &run, &ladder, None).unwrap().contacts_per_gap, 1);
        let free = LaneDrill { id: DrillId("free-run".into()), ..drill.clone() };
        assert_eq!(lane_of(&lane, &free, &ladder, None), None);
        assert_eq!(lane_of(&LaneNow { hurdles: 1, ..lane }, &drill, &ladder, None), None);
    }

    #[test]
    fn a_question_of_another_version_is_an_error_and_no_answer() {
        assert!(answer(&[0.0; 10], RATE, "{\"lane\":7}").is_err());
        let found: Findings = serde_json::from_str(&answer(&[], RATE, "{\"lane\":null}").unwrap()).unwrap();
        assert_eq!(found.reason, Some(Reason::Empty));
    }

    #[test]
    fn the_knocked_hurdle_is_marked_and_moving_the_count_moves_it() {
        let (_, lane, found) = heard(true);
        assert_eq!(marks_heard(&found, 6).numbers(Row::Down), [3]);
        assert_eq!(unplaced(&found), 0);
        // The run-up has four contacts; one gap is two contacts.
        assert_eq!(first_contact(&found), Some(4));
        let two_earlier = crossing_moved(&found, &lane, -2).unwrap();
        let (made, ..) = heard(true);
        let asked = serde_json::to_string(&Asked {
            lane: Some(Lane { first_crossing_s: Some(two_earlier), ..lane }),
            own: None,
        })
        .unwrap();
        let moved: Findings = serde_json::from_str(&answer(&made.samples, RATE, &asked).unwrap()).unwrap();
        assert_eq!(first_contact(&moved), Some(2));
        assert_eq!(marks_heard(&moved, 6).numbers(Row::Down), [4]);
        // What was only heard moves along; what the coach saw stays where it was seen.
        let mut marks = marks_anew(&Marks::default(), None, &found, 6);
        assert_eq!(marks, marks_heard(&found, 6));
        assert_eq!(marks_anew(&marks, Some(&found), &moved, 6).numbers(Row::Down), [4]);
        marks.tap(2);
        marks.tap(5);
        marks.tap(5);
        marks.tap_fault(HEAVY_STOP);
        let anew = marks_anew(&marks, Some(&found), &moved, 6);
        assert_eq!((anew.numbers(Row::Down), anew.numbers(Row::WasDown)), (vec![2, 4], vec![5]));
        assert_eq!(anew.faults, [HEAVY_STOP]);
        // A knock that was taken away at hurdle 3 is no reason to mark hurdle 3 again.
        marks.tap(3);
        marks.tap(3);
        assert_eq!(marks_anew(&marks, Some(&moved), &found, 6).rows[2], Row::Down, "heard there only now");
        assert_eq!(marks_anew(&marks, Some(&found), &found, 6), marks);
        assert_eq!(marks_anew(&marks, Some(&found), &moved, 3).numbers(Row::Down), [2], "a shorter lane");
        // Nothing before the first contact, and hurdle 6 needs contacts of its own.
        assert_eq!(crossing_moved(&found, &lane, -4), None);
        assert_eq!(crossing_moved(&found, &lane, 20), None);
    }

    #[test]
    fn a_run_is_not_called_clean_while_a_heard_knock_belongs_to_no_hurdle() {
        let (.., placed) = heard(true);
        assert_eq!(heard_verb(&placed, &marks_heard(&placed, 6), false).id, "trackside-save-down");
        let mut open = placed.clone();
        open.knocks[0].hurdle_p = 0.5;
        let mut marks = marks_heard(&open, 6);
        assert_eq!(marks.numbers(Row::Down), [0; 0]);
        assert_eq!(
            heard_verb(&open, &marks, false),
            Message::new("sound-which").with("count", Arg::Count(1))
        );
        // Somebody looked: it was hurdle 4, or none.
        assert_eq!(heard_verb(&open, &marks, true).id, "trackside-clean");
        marks.tap(4);
        assert_eq!(heard_verb(&open, &marks, false).id, "trackside-save-down");
        // Of two knocks one hurdle settles one.
        open.knocks.push(open.knocks[0]);
        assert_eq!(open_knocks(&open, &marks, false), 1);
        marks.tap(5);
        assert_eq!(open_knocks(&open, &marks, false), 0);
    }

    fn watching() -> Watching {
        let (lane, drill) = lane_now();
        Watching { lane, drill, watched: Watched::Technique, exit_sprint: true }
    }

    #[test]
    fn a_heard_run_is_a_run_like_any_other_with_what_was_heard_beside_it() {
        let (made, _, found) = heard(true);
        let marks = marks_heard(&found, 6);
        let body = heard_run("c", &watching(), "a", Some(Leg::Right), &marks, &found, 77).unwrap();
        assert_eq!((body.run.source, body.run.watched), (Source::Sound, Watched::Knocks));
        assert_eq!((body.run.knocked.as_slice(), body.run.exit_sprint), ([3].as_slice(), true));
        let sound = body.sound.clone().unwrap();
        assert_eq!(sound.contacts_s.len(), made.contacts_s.len());
        assert_eq!((sound.evenness, sound.speeds_mps.len()), (found.evenness, 5));
        // Through a record and back.
        let value = serde_json::to_value(&body).unwrap();
        let records = [
            ("class", "c", serde_json::json!({"name": "7 Larch"})),
            ("run", "r", value),
            (
                "run-correction",
                "s",
                serde_json::to_value(correction_body(
                    "c",
                    "r",
                    &body.run,
                    Some(("a", None, &Marks::clear(6))),
                ))
                .unwrap(),
            ),
        ];
        let read = |count: usize| {
            let records = records[..count].iter().map(|(kind, id, body)| (*kind, *id, body));
            School::from_records(records, jiff::civil::date(2026, 3, 2)).classes["c"].runs[0].clone()
        };
        let view = read(2);
        assert_eq!((view.run.knocked.numbers(), view.sound.as_ref()), (vec![3], Some(&sound)));
        let corrected = read(3);
        assert_eq!((corrected.run.knocked.numbers(), corrected.sound), (vec![], Some(sound)));
        assert_eq!(corrected.run.source, Source::Sound);
        let steps = steps_heard(std::slice::from_ref(&view));
        let cv = found.cv_step_time.unwrap();
        assert_eq!((steps[0].cv, steps[0].exit_sprint), (cv.value, true));
        assert_eq!(
            steps[0].steps as usize,
            made.contacts_s.len() - 1,
            "every step counts in a run without a turn"
        );
        assert!(steps_heard(&[RunView { sound: None, ..view }]).is_empty());
    }

    #[test]
    fn decisions_do_not_care_whether_a_run_was_tapped_or_heard() {
        let (.., found) = heard(true);
        let marks = marks_heard(&found, 6);
        let runs = |tapped: bool| -> Vec<Observation> {
            (0..4)
                .map(|turn| {
                    let body = heard_run("c", &watching(), "a", None, &marks, &found, 1000 + turn).unwrap();
                    let source = if tapped { Source::Tap } else { Source::Sound };
                    Observation::Run(RunFacts { source, ..body.run }.to_run("c").unwrap())
                })
                .collect()
        };
        let options = Options { now: jiff::Timestamp::from_second(60).unwrap(), losses: Default::default() };
        let said = |tapped| decide(&runs(tapped), &Ladder::built_in(), &options);
        assert_eq!(said(true), said(false));
        assert!(!said(false).is_empty());
    }

    #[test]
    fn a_recording_without_an_answer_becomes_no_run() {
        let asked = serde_json::to_string(&Asked::default()).unwrap();
        let text = answer(&vec![0.0; 3 * RATE as usize], RATE, &asked).unwrap();
        let found: Findings = serde_json::from_str(&text).unwrap();
        assert_eq!(found.reason, Some(Reason::Silent));
        assert_eq!(heard_run("c", &watching(), "a", None, &Marks::clear(6), &found, 1), None);
    }

    #[test]
    fn kept_recordings_go_on_their_day_with_their_runner_and_when_the_clock_was_wrong() {
        let day = 86_400_000;
        let kept = Kept {
            id: "k".into(),
            at_ms: 10 * day,
            runner: Some("a".into()),
            lane: "B".into(),
            seconds: 7.0,
        };
        let known = |runner: &str| runner == "a";
        assert!(!kept.has_to_go(10 * day, known));
        assert!(!kept.has_to_go(kept.until_ms() - 1, known));
        assert!(kept.has_to_go(kept.until_ms(), known));
        assert!(kept.has_to_go(8 * day, known));
        assert!(kept.has_to_go(10 * day, |_| false));
        assert!(!Kept { runner: None, ..kept }.has_to_go(10 * day, |_| false));
    }

    #[test]
    fn a_wav_file_holds_the_samples() {
        let bytes = wav(&[0.0, 1.0, -2.0], 48_000);
        assert_eq!(bytes, synth::wav(&[0.0, 1.0, -2.0], 48_000));
        assert_eq!(bytes.len(), 44 + 6);
    }
}
