//! Runs, sweeps and bouts: what was seen of children in lanes, one JSON object a line.
//!
//! The format page is `docs/formats/runs.md`. Reading never stops at the first bad line: every bad line is
//! reported with its number, and whoever calls decides whether to go on without them.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::words::{Arg, Message, day_message};

/// Most hurdles in one lane: their marks fit one machine word.
pub const LANE_HURDLES_MAX: u32 = 64;

/// Gaps that a run may name, metres. Engineering assumption: from hurdles that nearly touch to beyond any lane of ours.
pub const GAP_M: (f64, f64) = (0.1, 20.0);
/// Heights that a run may name, centimetres; 0 is a line on the floor. Engineering assumption: the highest hurdle of
/// adults, 106.7 cm (World Athletics), and a little.
pub const HEIGHT_CM: (f64, f64) = (0.0, 120.0);

/// Left or right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Leg {
    /// The left leg.
    Left,
    /// The right leg.
    Right,
}

/// What the observer looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Watched {
    /// Only which hurdles fell.
    #[default]
    Knocks,
    /// The movement too: an absent fault was looked for and not seen.
    Technique,
}

/// Who or what recorded it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// Tapped on a device.
    #[default]
    Tap,
    /// Heard by a device.
    Sound,
    /// Written on paper, typed in later.
    Paper,
}

/// Are the steps even?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evenness {
    /// The whole range of the CV of step time lies below the mark.
    Even,
    /// The whole range lies above it.
    Uneven,
    /// One foot's steps are longer, and that explains most of the CV.
    OneSided,
    /// Too few steps, or the range holds the mark.
    NotEnough,
}

/// A set of hurdles of one lane, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord, Serialize, Deserialize)]
pub struct HurdleSet(pub u64);

impl HurdleSet {
    /// Returns the set of the given hurdle numbers, or the first number that is not in `1..=hurdles`.
    ///
    /// # Errors
    /// The number that is out of range.
    pub fn from_numbers(numbers: &[u32], hurdles: u32) -> Result<Self, u32> {
        let mut bits = 0;
        for &number in numbers {
            if number == 0 || number > hurdles || number > LANE_HURDLES_MAX {
                return Err(number);
            }
            bits |= 1 << (number - 1);
        }
        Ok(Self(bits))
    }

    /// Returns whether hurdle `number`, counted from 1, is in the set.
    pub fn contains(self, number: u32) -> bool {
        (1..=LANE_HURDLES_MAX).contains(&number) && self.0 >> (number - 1) & 1 == 1
    }

    /// Returns how many hurdles are in the set.
    pub fn count(self) -> u32 {
        self.0.count_ones()
    }

    /// Returns the hurdle numbers in rising order.
    pub fn numbers(self) -> Vec<u32> {
        (1..=LANE_HURDLES_MAX).filter(|number| self.contains(*number)).collect()
    }
}

/// One runner through one set-up once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// Runner id (or the name, in lists without ids).
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Lane letter; empty when not given.
    pub lane: String,
    /// Class, when several are in one file.
    pub class: Option<String>,
    /// The moment of the tap.
    pub at: Timestamp,
    /// The leg that crossed the first hurdle first.
    pub lead: Option<Leg>,
    /// Hurdles in the lane, 1 to 64.
    pub hurdles: u32,
    /// Which fell in this run.
    pub knocked: HurdleSet,
    /// Which lay on the floor already: no evidence.
    pub down_before: HurdleSet,
    /// What was looked at.
    pub watched: Watched,
    /// Fault ids that were seen.
    pub faults: Vec<String>,
    /// Effort asked for, as a share of top speed.
    pub effort: Option<f64>,
    /// An exit sprint followed.
    pub exit_sprint: bool,
    /// Gap in metres.
    pub gap_m: Option<f64>,
    /// Hurdle height in centimetres.
    pub height_cm: Option<f64>,
    /// The lane as it stood; lane, gap and height when not given.
    pub setup: String,
    /// Who or what recorded it.
    pub source: Source,
}

/// Returns the name of a lane as it stands when nobody gives it one: lane, gap and height, as in `B/1.25/30`.
pub fn default_setup(lane: &str, gap_m: Option<f64>, height_cm: Option<f64>) -> String {
    let part = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    format!("{lane}/{}/{}", part(gap_m), part(height_cm))
}

/// Returns what a lane was laid for, in words: gap and height, and the day when that is named, for a name like those of
/// [`default_setup`]; any other name as it is.
pub fn setup_words(setup: &str) -> Arg {
    let mut parts: Vec<&str> = setup.split('/').collect();
    let day = parts.last().and_then(|part| part.parse::<Date>().ok());
    if day.is_some() {
        parts.pop();
    }
    let number = |part: &str| part.parse::<f64>().ok().filter(|value| value.is_finite());
    let [_, gap, height] = parts[..] else { return Arg::Text(setup.to_owned()) };
    if let (Some(day), "", "") = (day, gap, height) {
        return Arg::Say(Box::new(day_message(day, false)));
    }
    let (Some(gap_m), Some(height_cm)) = (number(gap), number(height)) else {
        return Arg::Text(setup.to_owned());
    };
    let laid = Message::new(if day.is_some() { "cause-setup-day" } else { "cause-setup" })
        .with("gap", Arg::GapM(gap_m))
        .with("height", Arg::HeightCm(height_cm));
    Arg::Say(Box::new(match day {
        Some(day) => laid.with("day", Arg::Say(Box::new(day_message(day, false)))),
        None => laid,
    }))
}

impl Run {
    /// Returns the hurdles that stood at the start.
    pub fn standing(&self) -> u32 {
        self.hurdles - self.down_before.count()
    }

    /// Returns whether nobody named the lane as it stood: then lane, gap and height are all that is known of it, and
    /// the same hurdles laid again another day carry the same name.
    pub fn has_default_setup(&self) -> bool {
        self.setup == default_setup(&self.lane, self.gap_m, self.height_cm)
    }
}

/// One look at one child at the end of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sweep {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Lane letter; empty when not given.
    pub lane: String,
    /// Class, when several are in one file.
    pub class: Option<String>,
    /// When.
    pub at: Timestamp,
    /// Got it, or not yet.
    pub got_it: bool,
}

/// A timed shuttle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bout {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Class, when several are in one file.
    #[serde(default)]
    pub class: Option<String>,
    /// When.
    pub at: Timestamp,
    /// Passes through the lane.
    pub passes: u32,
    /// Turns.
    pub turns: u32,
    /// Turns made within one step.
    pub one_step_turns: u32,
    /// Length of the bout in seconds.
    pub seconds: f64,
    /// Hurdles that fell during the bout, when counted.
    pub falls: Option<u32>,
}

/// One line of a run file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Observation {
    Run(Run),
    Sweep(Sweep),
    Bout(Bout),
}

impl Observation {
    /// Returns the id of the runner.
    pub fn runner(&self) -> &str {
        match self {
            Self::Run(run) => &run.runner,
            Self::Sweep(sweep) => &sweep.runner,
            Self::Bout(bout) => &bout.runner,
        }
    }

    /// Returns the id of the drill.
    pub fn drill(&self) -> &str {
        match self {
            Self::Run(run) => &run.drill,
            Self::Sweep(sweep) => &sweep.drill,
            Self::Bout(bout) => &bout.drill,
        }
    }

    /// Returns the class, when it says one.
    pub fn class(&self) -> Option<&str> {
        match self {
            Self::Run(run) => run.class.as_deref(),
            Self::Sweep(sweep) => sweep.class.as_deref(),
            Self::Bout(bout) => bout.class.as_deref(),
        }
    }

    /// Returns when it was seen.
    pub fn at(&self) -> Timestamp {
        match self {
            Self::Run(run) => run.at,
            Self::Sweep(sweep) => sweep.at,
            Self::Bout(bout) => bout.at,
        }
    }
}

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq)]
pub struct BadLine {
    /// Line number, counted from 1.
    pub line: usize,
    /// What is wrong and what to change.
    pub problem: Message,
}

impl BadLine {
    /// Returns place and problem as one message.
    pub fn message(&self) -> Message {
        Message::new("run-bad-line")
            .text("line", self.line.to_string())
            .with("problem", Arg::Say(Box::new(self.problem.clone())))
    }
}

/// A line as it stands in the file. Unknown keys are passed over: files may come from newer versions.
#[derive(Deserialize)]
struct Line<'a> {
    #[serde(borrow)]
    kind: Option<std::borrow::Cow<'a, str>>,
    runner: Option<String>,
    drill: Option<String>,
    lane: Option<String>,
    class: Option<String>,
    #[serde(borrow)]
    at: Option<std::borrow::Cow<'a, str>>,
    lead: Option<Leg>,
    hurdles: Option<u32>,
    #[serde(default)]
    knocked: Vec<u32>,
    #[serde(default)]
    down_before: Vec<u32>,
    #[serde(default)]
    watched: Watched,
    #[serde(default)]
    faults: Vec<String>,
    effort: Option<f64>,
    #[serde(default)]
    exit_sprint: bool,
    gap_m: Option<f64>,
    height_cm: Option<f64>,
    setup: Option<String>,
    #[serde(default)]
    source: Source,
    #[serde(borrow)]
    seen: Option<std::borrow::Cow<'a, str>>,
    passes: Option<u32>,
    turns: Option<u32>,
    one_step_turns: Option<u32>,
    seconds: Option<f64>,
    falls: Option<u32>,
}

/// Reads one line.
///
/// # Errors
/// What is wrong with the line and what to change.
pub fn read_line(text: &str) -> Result<Observation, Message> {
    let line: Line = serde_json::from_str(text).map_err(|_| no_run(text))?;
    let need = |value: Option<String>, key: &str| match value {
        Some(text) if !text.trim().is_empty() => Ok(text),
        _ => Err(Message::new("run-missing").text("key", key)),
    };
    let runner = need(line.runner, "runner")?;
    let drill = need(line.drill, "drill")?;
    let at_text = line.at.ok_or_else(|| Message::new("run-missing-at"))?;
    let at: Timestamp =
        at_text.parse().map_err(|_| Message::new("run-bad-at").text("value", format!("{at_text:?}")))?;
    let lane = line.lane.unwrap_or_default();
    match line.kind.as_deref().unwrap_or("run") {
        "run" => {
            let hurdles = line.hurdles.ok_or_else(|| Message::new("run-missing-hurdles"))?;
            if !(1..=LANE_HURDLES_MAX).contains(&hurdles) {
                return Err(out_of_range("hurdles", hurdles, (1, LANE_HURDLES_MAX), ""));
            }
            let set = |numbers: &[u32], key: &str| {
                HurdleSet::from_numbers(numbers, hurdles).map_err(|number| {
                    Message::new("run-no-such-hurdle")
                        .text("key", key)
                        .text("hurdle", number.to_string())
                        .text("hurdles", hurdles.to_string())
                })
            };
            let knocked = set(&line.knocked, "knocked")?;
            let down_before = set(&line.down_before, "down_before")?;
            if knocked.0 & down_before.0 != 0 {
                let both = HurdleSet(knocked.0 & down_before.0).numbers()[0];
                return Err(Message::new("run-fell-and-lay").text("hurdle", both.to_string()));
            }
            if let Some(effort) = line.effort
                && !(effort > 0.0 && effort <= 1.0)
            {
                return Err(above_nought("effort", effort, "1"));
            }
            let within = |value: Option<f64>, key: &str, range: (f64, f64), unit: &str| match value {
                Some(value) if !(range.0..=range.1).contains(&value) => {
                    Err(out_of_range(key, value, range, unit))
                }
                _ => Ok(()),
            };
            within(line.gap_m, "gap_m", GAP_M, " m")?;
            within(line.height_cm, "height_cm", HEIGHT_CM, " cm")?;
            let setup = line.setup.unwrap_or_else(|| default_setup(&lane, line.gap_m, line.height_cm));
            Ok(Observation::Run(Run {
                runner,
                drill,
                lane,
                class: line.class,
                at,
                lead: line.lead,
                hurdles,
                knocked,
                down_before,
                watched: line.watched,
                faults: line.faults,
                effort: line.effort,
                exit_sprint: line.exit_sprint,
                gap_m: line.gap_m,
                height_cm: line.height_cm,
                setup,
                source: line.source,
            }))
        }
        "sweep" => {
            let got_it = match line.seen.as_deref() {
                Some("got-it") => true,
                Some("not-yet") => false,
                _ => return Err(Message::new("run-sweep-seen")),
            };
            Ok(Observation::Sweep(Sweep { runner, drill, lane, class: line.class, at, got_it }))
        }
        "bout" => {
            let count = |value: Option<u32>, key: &str| {
                value.ok_or_else(|| Message::new("run-bout-missing").text("key", key))
            };
            let turns = count(line.turns, "turns")?;
            let one_step_turns = count(line.one_step_turns, "one_step_turns")?;
            if one_step_turns > turns {
                return Err(Message::new("run-bout-turns")
                    .text("value", one_step_turns.to_string())
                    .text("turns", turns.to_string()));
            }
            let seconds = line.seconds.ok_or_else(|| Message::new("run-missing-seconds"))?;
            if !(seconds > 0.0 && seconds <= 600.0) {
                return Err(above_nought("seconds", seconds, "600"));
            }
            Ok(Observation::Bout(Bout {
                runner,
                drill,
                class: line.class,
                at,
                passes: count(line.passes, "passes")?,
                turns,
                one_step_turns,
                seconds,
                falls: line.falls,
            }))
        }
        other => Err(Message::new("run-kind").text("value", format!("{other:?}"))),
    }
}

/// A number that is out of range; `unit` stands behind the range with its space. Numbers stay as a file has them.
fn out_of_range<N: ToString>(key: &str, value: N, (low, high): (N, N), unit: &str) -> Message {
    Message::new("run-range")
        .text("key", key)
        .text("value", value.to_string())
        .text("low", low.to_string())
        .text("high", high.to_string())
        .text("unit", unit)
}

fn above_nought(key: &str, value: f64, most: &str) -> Message {
    Message::new("run-above-nought").text("key", key).text("value", value.to_string()).text("most", most)
}

/// What a value has to be, by its key: the message that says so to one that is not, and whether it is.
type Wanted = (&'static str, fn(&Value) -> bool);

fn wanted(key: &str) -> Option<Wanted> {
    fn text(value: &Value) -> bool {
        value.is_null() || value.is_string()
    }
    fn count(value: &Value) -> bool {
        value.is_null() || is_count(value)
    }
    fn is_count(value: &Value) -> bool {
        value.as_u64().is_some_and(|count| u32::try_from(count).is_ok())
    }
    fn number(value: &Value) -> bool {
        value.is_null() || value.is_number()
    }
    fn list(value: &Value, of: fn(&Value) -> bool) -> bool {
        value.as_array().is_some_and(|values| values.iter().all(of))
    }
    fn one_of(value: &Value, words: &[&str]) -> bool {
        value.as_str().is_some_and(|word| words.contains(&word))
    }
    Some(match key {
        "kind" | "runner" | "drill" | "lane" | "class" | "at" | "setup" | "seen" => ("run-want-text", text),
        "hurdles" | "passes" | "turns" | "one_step_turns" | "falls" => ("run-want-count", count),
        "effort" => ("run-want-effort", number),
        "gap_m" => ("run-want-metres", number),
        "height_cm" => ("run-want-centimetres", number),
        "seconds" => ("run-want-seconds", number),
        "exit_sprint" => ("run-want-yes-or-no", Value::is_boolean),
        "knocked" | "down_before" => ("run-want-hurdles", |value| list(value, is_count)),
        "faults" => ("run-want-faults", |value| list(value, Value::is_string)),
        "lead" => ("run-want-leg", |value| value.is_null() || one_of(value, &["left", "right"])),
        "watched" => ("run-want-watched", |value| one_of(value, &["knocks", "technique"])),
        "source" => ("run-want-source", |value| one_of(value, &["tap", "sound", "paper"])),
        _ => return None,
    })
}

/// Returns what is wrong with a line that has not the shape of a run: the key and what may stand there, as far as that
/// can be told.
fn no_run(text: &str) -> Message {
    /// Longest value that is repeated.
    const SHOWN_CHARS: usize = 40;
    let shown = |value: &str| match value.char_indices().nth(SHOWN_CHARS) {
        Some((end, _)) => format!("{}…", &value[..end]),
        None => value.to_owned(),
    };
    let unfit = |key: &str, value: &str, want: &str| {
        Message::new("run-unfit")
            .text("key", key)
            .text("value", shown(value))
            .with("want", Arg::Say(Box::new(Message::new(want))))
    };
    match serde_json::from_str::<Value>(text) {
        Ok(Value::Object(values)) => {
            for (key, value) in &values {
                if let Some((want, _)) = wanted(key).filter(|(_, fits)| !fits(value)) {
                    return unfit(key, &value.to_string(), want);
                }
            }
            Message::new("run-key-twice")
        }
        Ok(_) => Message::new("run-none"),
        Err(error) => {
            // Where the reading stopped, a value began; the key before it says which.
            let stop = error.column().min(text.len());
            let before = &text.as_bytes()[..stop];
            let key = before.iter().rposition(|byte| *byte == b':').and_then(|colon| {
                let key = text.get(..colon)?.trim_end().strip_suffix('"')?.rsplit('"').next()?;
                let rest = text.get(colon + 1..)?.trim_start();
                let end = rest.find([',', '}']).unwrap_or(rest.len());
                Some((key, rest[..end].trim()))
            });
            match key.and_then(|(key, value)| Some((key, value, wanted(key)?))) {
                Some((key, value, (want, fits)))
                    if !value.is_empty()
                        && !value.starts_with(['"', '[', '{'])
                        && !serde_json::from_str(value).is_ok_and(|value| fits(&value)) =>
                {
                    unfit(key, value, want)
                }
                _ => Message::new("run-cut").text("sign", stop.to_string()),
            }
        }
    }
}

/// Reads a whole run file. Blank lines are passed over.
pub fn read_lines(text: &str) -> (Vec<Observation>, Vec<BadLine>) {
    let (numbered, bad) = read_numbered(text);
    (numbered.into_iter().map(|(_, observation)| observation).collect(), bad)
}

/// Reads a whole run file, each observation with the number of its line, counted from 1. Blank lines are passed over.
pub fn read_numbered(text: &str) -> (Vec<(usize, Observation)>, Vec<BadLine>) {
    let mut observations = Vec::new();
    let mut bad = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        match read_line(line) {
            Ok(observation) => observations.push((index + 1, observation)),
            Err(problem) => bad.push(BadLine { line: index + 1, problem }),
        }
    }
    (observations, bad)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::{Language, Units, Words};

    const RUN: &str = r#"{"runner":"r07","drill":"alternate-run","lane":"B","at":"2026-03-02T10:14:05Z","lead":"left","hurdles":8,"knocked":[3,4],"watched":"technique","faults":["leans-back"],"effort":0.6,"exit_sprint":false,"gap_m":1.3,"height_cm":30,"setup":"B1"}"#;

    #[test]
    fn a_lane_that_nobody_named_is_told_by_its_gap_its_height_and_its_day() {
        let said = |words: &Words, setup: &str| words.show(&setup_words(setup)).replace('\u{a0}', " ");
        let english = Words::english(Units::Metric);
        assert_eq!(
            said(&english, &default_setup("B", Some(1.25), Some(30.0))),
            "a gap of 1.25 m, 30 cm high"
        );
        let german = Words::new(Language::German, Units::Metric);
        assert_eq!(said(&german, "B/1.25/30/2026-03-02"), "1,25 m Abstand, 30 cm hoch, am 2. März");
        assert_eq!(said(&english, "///2026-03-02"), "2 March");
        for named in ["B1", "the long one", "a/b/c", "B//30", ""] {
            assert_eq!(said(&english, named), named);
        }
    }

    fn said(line: &str) -> String {
        Words::english(Units::Metric).say(&read_line(line).expect_err(line))
    }

    #[test]
    fn a_full_run_is_read_whole() {
        let Ok(Observation::Run(run)) = read_line(RUN) else { panic!("not a run") };
        assert_eq!((run.runner.as_str(), run.hurdles, run.knocked.numbers()), ("r07", 8, vec![3, 4]));
        assert_eq!((run.watched, run.lead, run.setup.as_str()), (Watched::Technique, Some(Leg::Left), "B1"));
    }

    #[test]
    fn defaults_are_the_careful_ones() {
        let Ok(Observation::Run(run)) = read_line(
            r#"{"runner":"a","drill":"d","lane":"A","at":"2026-03-02T10:14:05Z","hurdles":6,"gap_m":1.25,"height_cm":30}"#,
        ) else {
            panic!("not a run")
        };
        assert_eq!(run.watched, Watched::Knocks);
        assert_eq!(run.setup, "A/1.25/30");
        assert!(run.has_default_setup());
        assert_eq!(run.knocked.count(), 0);
    }

    #[test]
    fn what_does_not_fit_is_named_by_its_key_with_what_may_stand_there() {
        for (wrong, says) in [
            (r#""hurdles":-3"#, "`hurdles` is -3; write a whole number, such as 8"),
            (r#""hurdles":8.5"#, "`hurdles` is 8.5; write a whole number"),
            (r#""hurdles":"eight""#, "`hurdles` is \"eight\"; write a whole number"),
            (r#""hurdles":8,"knocked":3"#, "`knocked` is 3; write the numbers of the hurdles, such as [3,4]"),
            (r#""hurdles":8,"lead":"both""#, "`lead` is \"both\"; write left or right"),
            (r#""hurdles":8,"watched":"all""#, "write knocks or technique"),
            (r#""hurdles":8,"exit_sprint":1"#, "write true or false"),
            (r#""hurdles":8,"gap_m":-1.2"#, "`gap_m` is -1.2; allowed is 0.1 to 20 m"),
            (r#""hurdles":8,"gap_m":125"#, "`gap_m` is 125; allowed is 0.1 to 20 m"),
            (r#""hurdles":8,"gap_m":1e999"#, "`gap_m` is 1e999; write metres, such as 1.25"),
            (r#""hurdles":8,"height_cm":99999"#, "`height_cm` is 99999; allowed is 0 to 120 cm"),
            (r#""hurdles":8,"height_cm":NaN"#, "`height_cm` is NaN; write centimetres"),
            (r#""hurdles":8,"height_cm":NaN,"lane":"A""#, "`height_cm` is NaN; write centimetres"),
            (r#""hurdles":8,"hurdles":9"#, "a key stands twice"),
            (r#""hurdles":8,"#, "cannot be read from sign"),
        ] {
            let line = format!(r#"{{"runner":"a","drill":"d","at":"2026-03-02T10:14:05Z",{wrong}}}"#);
            let error = said(&line);
            assert!(error.contains(says), "{error} does not say {says}");
            assert!(!error.contains("line 1") && !error.contains("u32"), "{error}");
        }
        assert!(said("8").starts_with("this is not a run; a run is one JSON"));
        assert_eq!(read_numbered(&format!("\n{RUN}\n\n{RUN}")).0.iter().map(|one| one.0).sum::<usize>(), 6);
    }

    #[test]
    fn a_bad_line_is_named_in_the_language_of_the_reader() {
        let (_, bad) =
            read_lines("{\"runner\":\"a\",\"drill\":\"d\",\"at\":\"2026-03-02T10:14:05Z\",\"hurdles\":80}");
        let german = Words::new(Language::German, Units::Metric);
        assert_eq!(german.say(&bad[0].message()), "Zeile 1: `hurdles` ist 80; erlaubt ist 1 bis 64");
        let unfit = read_line(r#"{"runner":"a","drill":"d","at":"x","hurdles":"acht"}"#).unwrap_err();
        assert_eq!(german.say(&unfit), "`hurdles` ist \"acht\"; eine ganze Zahl schreiben, etwa 8");
    }

    #[test]
    fn bad_lines_say_what_to_change() {
        for (text, says) in [
            ("{", "not a run"),
            (r#"{"drill":"d","at":"2026-03-02T10:14:05Z","hurdles":6}"#, "`runner` is missing"),
            (r#"{"runner":"a","drill":"d","at":"yesterday","hurdles":6}"#, "date, time and zone"),
            (r#"{"runner":"a","drill":"d","at":"2026-03-02T10:14:05Z"}"#, "`hurdles` is missing"),
            (
                r#"{"runner":"a","drill":"d","at":"2026-03-02T10:14:05Z","hurdles":6,"knocked":[7]}"#,
                "hurdles 1 to 6",
            ),
            (
                r#"{"runner":"a","drill":"d","at":"2026-03-02T10:14:05Z","hurdles":6,"knocked":[2],"down_before":[2]}"#,
                "cannot fall",
            ),
            (r#"{"kind":"sweep","runner":"a","drill":"d","at":"2026-03-02T10:14:05Z"}"#, "got-it or not-yet"),
            (r#"{"kind":"leap","runner":"a","drill":"d","at":"2026-03-02T10:14:05Z"}"#, "run, sweep or bout"),
        ] {
            let error = said(text);
            assert!(error.contains(says), "{error} does not say {says}");
        }
        let (good, bad) = read_lines(&format!("{RUN}\n\n{{\n{RUN}\n"));
        assert_eq!((good.len(), bad.len(), bad[0].line), (2, 1, 3));
    }
}
