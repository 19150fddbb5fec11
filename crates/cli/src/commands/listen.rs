//! `lanewright listen`: the sound of a run in numbers.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use lanewright_draw::{SoundStrip, Style, sound_strip};
use lanewright_listen::{
    Brake, Evenness, Findings, Gap, Knock, Lane, NoTurns, Own, Range, Turn, Turns, said,
};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Arg, Message};
use lanewright_science::stride::heard_step_m;
use lanewright_science::turn::{DropOff, drop_off};
use serde::Serialize;

use crate::audio::{self, Trouble};
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # Contacts, evenness and knocks of one run.
  lanewright listen run.m4a
  # Five hurdles 4.8 m apart, three contacts in every gap: speed through each gap, and which hurdle fell.
  lanewright listen run.m4a --hurdles 5 --spacing-m 4.8 --contacts-per-gap 3 --first-crossing-s 2
  # A free run, 20 m in 4.4 s by watch: this child's own step, for the class list.
  lanewright listen run.m4a --distance-m 20 --time-s 4.4
  # A bout to and fro with two calls: turns, contacts in each, heavy or quick.
  lanewright listen bout.m4a --bout --call-s 2.4,5.1
  # All recordings of a folder, for another program.
  lanewright listen recordings --json
  # A picture of what was heard.
  lanewright listen run.m4a --svg run.svg";

const NOTES: &str = "\
One child at a time, phone beside the lane, the others quiet. Sound alone does not say which foot is the left one.
How it is computed, and how well: docs/methods/listen.md

Exit codes:
  0  done; a recording that gives no answer is an answer too: \"usable\": false
  2  a flag is missing or cannot be understood
  3  none of the recordings can be read
  6  a file cannot be written";

/// Width of the strip.
const STRIP_PX: f64 = 960.0;

/// Hears contacts, evenness, knocks and speed in recordings of a run.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES, arg_required_else_help = true)]
pub(crate) struct Args {
    /// Recordings (WAV, FLAC, OGG, MP3, M4A, AAC), folders of them, or - for standard input
    #[arg(required = true, value_name = "CLIP")]
    clips: Vec<PathBuf>,
    /// Hurdles in the lane
    #[arg(long, value_name = "N", requires = "spacing_m", value_parser = clap::value_parser!(u16).range(2..=60))]
    hurdles: Option<u16>,
    /// From one hurdle to the next
    #[arg(long, value_name = "D", requires = "hurdles")]
    spacing_m: Option<f64>,
    /// Contacts from one crossing to the next
    #[arg(long, value_name = "n", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=12))]
    contacts_per_gap: u16,
    /// When the first hurdle was crossed, from the start of the recording
    #[arg(long, value_name = "S", requires = "hurdles")]
    first_crossing_s: Option<f64>,
    /// A free run over this distance: the step in it
    #[arg(long, value_name = "M", requires = "time_s", conflicts_with_all = ["hurdles", "bout"])]
    distance_m: Option<f64>,
    /// Time for that distance
    #[arg(long, value_name = "S", requires = "distance_m")]
    time_s: Option<f64>,
    /// A bout to and fro: count its turns
    #[arg(long, conflicts_with = "hurdles")]
    bout: bool,
    /// When somebody called to turn, from the start of the recording
    #[arg(long, value_name = "S", requires = "bout", value_delimiter = ',')]
    call_s: Vec<f64>,
    /// Answer as JSON (docs/formats/listen.md)
    #[arg(long, conflicts_with = "svg")]
    json: bool,
    /// Draw what was heard into this file; one recording only
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
}

/// What one recording gave.
struct Heard {
    file: String,
    found: Result<Findings, Trouble>,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let lane = lane(args)?;
    let own = own(args)?;
    let free = free(args)?;
    let files = files(&args.clips)?;
    if args.svg.is_some() && files.len() != 1 {
        return Err(Failure::new(
            Kind::Usage,
            format!("--svg draws one recording; here are {}", files.len()),
        ));
    }
    let inputs: Vec<&Path> = files.iter().map(PathBuf::as_path).collect();
    output::apart(&inputs, &[("--svg", args.svg.as_deref())])?;
    let words = language::words(Units::Metric);
    let heard: Vec<Heard> = files
        .iter()
        .map(|file| Heard {
            file: file.display().to_string(),
            found: audio::listen(file).map(|listener| match &own {
                Some(own) => listener.finish_bout(own),
                None => listener.finish(lane.as_ref()),
            }),
        })
        .collect();
    if args.json {
        for said in heard.iter().filter_map(|one| beyond(lane.as_ref(), one.found.as_ref().ok()?)) {
            output::note(&words.say(&said));
        }
        let english = Words::english(Units::Metric);
        let out: Vec<Out> = heard.iter().map(|one| Out::new(one, free, &english)).collect();
        output::print_json(&out)?;
    } else {
        let mut text = String::new();
        for (index, one) in heard.iter().enumerate() {
            if index > 0 {
                text.push('\n');
            }
            tell(one, lane.as_ref(), free, &words, &mut text);
        }
        output::print(&text)?;
    }
    if let (Some(path), Some(Ok(found))) = (&args.svg, heard.first().map(|one| &one.found)) {
        let figure = sound_strip(&strip(found, lane.as_ref()), STRIP_PX, &words, Style::Print);
        output::write(path, figure.svg.as_bytes())?;
    }
    match heard.iter().any(|one| one.found.is_ok()) {
        true => Ok(()),
        false => {
            Err(Failure::new(Kind::Read, words.get("cli-none-heard")).and(words.get("cli-none-heard-remedy")))
        }
    }
}

fn lane(args: &Args) -> Result<Option<Lane>, Failure> {
    let (Some(hurdles), Some(spacing_m)) = (args.hurdles, args.spacing_m) else { return Ok(None) };
    if !(0.2..=20.0).contains(&spacing_m) {
        return Err(Failure::new(Kind::Usage, format!("--spacing-m is {spacing_m}; allowed is 0.2 to 20 m")));
    }
    if let Some(mark) = args.first_crossing_s.filter(|mark| !(0.0..=3600.0).contains(mark)) {
        return Err(Failure::new(
            Kind::Usage,
            format!("--first-crossing-s is {mark}; allowed is 0 to 3600 s"),
        ));
    }
    Ok(Some(Lane {
        hurdles: usize::from(hurdles),
        spacing_m,
        contacts_per_gap: usize::from(args.contacts_per_gap),
        first_crossing_s: args.first_crossing_s,
    }))
}

/// Distance and time of a free run, where it is one.
fn free(args: &Args) -> Result<Option<(f64, f64)>, Failure> {
    let (Some(distance_m), Some(time_s)) = (args.distance_m, args.time_s) else { return Ok(None) };
    if !(5.0..=400.0).contains(&distance_m) {
        return Err(Failure::new(
            Kind::Usage,
            format!("--distance-m is {distance_m}; allowed is 5 to 400 m"),
        ));
    }
    if !(0.5..=12.0).contains(&(distance_m / time_s)) {
        return Err(Failure::new(
            Kind::Usage,
            format!("--time-s is {time_s}; over {distance_m} m nobody runs like that"),
        )
        .and("Check seconds and metres."));
    }
    Ok(Some((distance_m, time_s)))
}

/// The step of a free run.
fn step_m(found: &Findings, free: Option<(f64, f64)>) -> Option<Range> {
    let ((distance_m, time_s), cadence) = (free?, found.cadence_hz?);
    let step = heard_step_m(distance_m, time_s, (cadence.value, cadence.low, cadence.high))?;
    Some(Range { value: step.median, low: step.low, high: step.high })
}

/// What is known of a bout, where it is one.
fn own(args: &Args) -> Result<Option<Own>, Failure> {
    if let Some(call) = args.call_s.iter().find(|call| !(0.0..=3600.0).contains(*call)) {
        return Err(Failure::new(Kind::Usage, format!("--call-s is {call}; allowed is 0 to 3600 s")));
    }
    let mut calls_s = args.call_s.clone();
    calls_s.sort_by(f64::total_cmp);
    Ok(args.bout.then_some(Own { calls_s, sounds_s: Vec::new() }))
}

/// Standard deviation of the time of a turn, s: two onsets (docs/methods/listen.md).
const TURN_SD_S: f64 = 0.005;

/// Returns how the times of turns fell off over a bout; nothing for fewer than four.
fn fell_off(turns: &Turns) -> Option<DropOff> {
    let times_s: Vec<f64> = turns.turns.iter().map(|turn| turn.until_s - turn.from_s).collect();
    drop_off(&times_s, TURN_SD_S)
}

/// Puts the recordings of a folder in its place, by name.
fn files(clips: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for clip in clips {
        if !clip.is_dir() {
            files.push(clip.clone());
            continue;
        }
        let entries = std::fs::read_dir(clip)
            .map_err(|error| Failure::new(Kind::Read, output::unreadable(clip, &error)))?;
        let mut found: Vec<PathBuf> =
            entries.filter_map(|entry| Some(entry.ok()?.path())).filter(|path| is_recording(path)).collect();
        found.sort();
        if found.is_empty() {
            return Err(Failure::new(Kind::Read, format!("`{}` holds no recording", clip.display()))
                .and(format!("Recordings end in {}.", audio::ENDINGS.join(", "))));
        }
        files.extend(found);
    }
    Ok(files)
}

fn is_recording(path: &Path) -> bool {
    path.is_file()
        && path
            .extension()
            .and_then(|ending| ending.to_str())
            .is_some_and(|ending| audio::ENDINGS.iter().any(|known| known.eq_ignore_ascii_case(ending)))
}

/// One recording as other programs get it.
#[derive(Serialize)]
struct Out {
    file: String,
    usable: bool,
    reason: Option<String>,
    remedy: Option<String>,
    run_p: f64,
    duration_s: f64,
    contacts: Vec<ContactOut>,
    knocks: Vec<Knock>,
    brakes: Vec<Brake>,
    cadence_hz: Option<f64>,
    cadence_range_hz: Option<[f64; 2]>,
    cv_step_time: Option<f64>,
    cv_step_time_range: Option<[f64; 2]>,
    asymmetry: Option<f64>,
    asymmetry_range: Option<[f64; 2]>,
    trend: Option<f64>,
    trend_range: Option<[f64; 2]>,
    evenness: Evenness,
    gaps: Vec<Gap>,
    crossings_s: Vec<f64>,
    alignment_p: Option<f64>,
    step_m: Option<Range>,
    turns: Option<TurnsOut>,
}

/// The turns of a bout.
#[derive(Serialize)]
struct TurnsOut {
    usable: bool,
    reason: Option<NoTurns>,
    remedy: Option<String>,
    count: Option<Range>,
    one_step: Option<Range>,
    list: Vec<Turn>,
    calls_without: Vec<usize>,
    drop_off: Option<DropOut>,
}

#[derive(Serialize)]
struct DropOut {
    slope_s: Range,
    decrement: f64,
    noise_high: f64,
    above_noise: bool,
}

impl TurnsOut {
    fn new(turns: &Turns, words: &Words) -> Self {
        Self {
            usable: turns.reason.is_none(),
            reason: turns.reason,
            remedy: turns.reason.and_then(|_| said::turns(turns).first().map(|why| words.say(why))),
            count: turns.count,
            one_step: turns.one_step,
            list: turns.turns.clone(),
            calls_without: turns.calls_without.clone(),
            drop_off: fell_off(turns).map(|found| DropOut {
                slope_s: Range {
                    value: found.slope_s.median,
                    low: found.slope_s.low,
                    high: found.slope_s.high,
                },
                decrement: found.decrement,
                noise_high: found.noise_high,
                above_noise: found.above_noise,
            }),
        }
    }
}

#[derive(Serialize)]
struct ContactOut {
    t_s: f64,
    p: f64,
    foot: &'static str,
}

fn ends(range: Option<Range>) -> (Option<f64>, Option<[f64; 2]>) {
    (range.map(|range| range.value), range.map(|range| [range.low, range.high]))
}

impl Out {
    fn new(heard: &Heard, free: Option<(f64, f64)>, words: &Words) -> Self {
        let file = heard.file.clone();
        let found = match &heard.found {
            Ok(found) => found,
            Err(trouble) => {
                let (reason, remedy) = trouble_words(trouble, words);
                return Self::unusable(file, reason.to_owned(), remedy);
            }
        };
        let (cadence_hz, cadence_range_hz) = ends(found.cadence_hz);
        let (cv_step_time, cv_step_time_range) = ends(found.cv_step_time);
        let (asymmetry, asymmetry_range) = ends(found.asymmetry);
        let (trend, trend_range) = ends(found.trend);
        Self {
            file,
            usable: found.reason.is_none(),
            reason: found
                .reason
                .and_then(|reason| serde_json::to_value(reason).ok()?.as_str().map(str::to_owned)),
            remedy: found.reason.map(|reason| words.say(&reason.message())),
            run_p: found.run_p,
            duration_s: found.duration_s,
            contacts: found
                .contacts
                .iter()
                .map(|contact| ContactOut {
                    t_s: contact.t_s,
                    p: contact.p,
                    foot: if contact.foot == 0 { "one" } else { "other" },
                })
                .collect(),
            knocks: found.knocks.clone(),
            brakes: found.brakes.clone(),
            cadence_hz,
            cadence_range_hz,
            cv_step_time,
            cv_step_time_range,
            asymmetry,
            asymmetry_range,
            trend,
            trend_range,
            evenness: found.evenness,
            gaps: found.gaps.clone(),
            crossings_s: found.crossings_s.clone(),
            alignment_p: found.alignment_p,
            step_m: step_m(found, free),
            turns: found.turns.as_ref().map(|turns| TurnsOut::new(turns, words)),
        }
    }

    fn unusable(file: String, reason: String, remedy: String) -> Self {
        Self {
            file,
            usable: false,
            reason: Some(reason),
            remedy: Some(remedy),
            run_p: 0.0,
            duration_s: 0.0,
            contacts: Vec::new(),
            knocks: Vec::new(),
            brakes: Vec::new(),
            cadence_hz: None,
            cadence_range_hz: None,
            cv_step_time: None,
            cv_step_time_range: None,
            asymmetry: None,
            asymmetry_range: None,
            trend: None,
            trend_range: None,
            evenness: Evenness::NotEnough,
            gaps: Vec::new(),
            crossings_s: Vec::new(),
            alignment_p: None,
            step_m: None,
            turns: None,
        }
    }
}

/// The short reason and the sentence for a recording that gave no samples.
fn trouble_words(trouble: &Trouble, words: &Words) -> (&'static str, String) {
    match trouble {
        Trouble::Read(why) => {
            ("unreadable", words.say(&Message::new("cli-unreadable").text("why", why.to_string())))
        }
        Trouble::Decode(why) => {
            ("undecodable", words.say(&Message::new("cli-undecodable").text("why", words.get(why))))
        }
    }
}

fn tell(heard: &Heard, lane: Option<&Lane>, free: Option<(f64, f64)>, words: &Words, text: &mut String) {
    let _ = writeln!(text, "{}", heard.file);
    let found = match &heard.found {
        Ok(found) => found,
        Err(trouble) => return output::bullet(&trouble_words(trouble, words).1, text),
    };
    if let Some(reason) = found.reason {
        return output::bullet(&words.say(&reason.message()), text);
    }
    let mut said = said::said(found, lane);
    said.extend(said::gaps(found));
    said.extend(step_m(found, free).map(|step| {
        Message::new("listen-step")
            .with("step", Arg::GapM(step.value))
            .with("low", Arg::GapM(step.low))
            .with("high", Arg::GapM(step.high))
    }));
    if let Some(p) = found.alignment_p.filter(|_| lane.is_some_and(|lane| lane.first_crossing_s.is_none())) {
        said.push(Message::new("listen-alignment").with("p", Arg::Share(p)));
    }
    said.extend(beyond(lane, found));
    if let Some(turns) = &found.turns {
        said.extend(said::turns(turns));
        said.extend(fell_off(turns).map(|found| found.words()));
    }
    for message in &said {
        output::bullet(&words.say(message), text);
    }
}

/// Says that the first crossing was put beyond the end of the recording.
fn beyond(lane: Option<&Lane>, found: &Findings) -> Option<Message> {
    let seconds = lane?.first_crossing_s.filter(|seconds| *seconds > found.duration_s)?;
    let said = Message::new("cli-crossing-beyond").with("seconds", Arg::Number(seconds));
    Some(said.with("length", Arg::Decimals(found.duration_s, 1)))
}

fn strip(found: &Findings, lane: Option<&Lane>) -> SoundStrip {
    SoundStrip {
        duration_s: found.duration_s,
        contacts: found.contacts.iter().map(|contact| (contact.t_s, contact.p, contact.foot)).collect(),
        knocks: found.knocks.iter().map(|knock| (knock.t_s, knock.hurdle)).collect(),
        brakes: found.brakes.iter().map(|brake| brake.t_s).collect(),
        speeds: match lane {
            Some(_) => found
                .gaps
                .iter()
                .zip(found.crossings_s.windows(2))
                .map(|(gap, pair)| (pair[0], pair[1], gap.speed_mps))
                .collect(),
            None => Vec::new(),
        },
    }
}
