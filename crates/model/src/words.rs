//! The words of the program: message ids with arguments, one folder of Fluent files per language.
//!
//! Computations return [`Message`]s; only what shows them turns them into text. Numbers are rounded here, once,
//! in the units the reader chose.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::types::FluentNumber;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Names one file of words and takes in its text in every language, so that no language can forget a file.
macro_rules! word_files {
    ($($name:literal)*) => {
        /// English, one file per part of the program.
        const ENGLISH: &[&str] = &[$(include_str!(concat!("../words/en/", $name, ".ftl"))),*];
        /// German, in the same files.
        const GERMAN: &[&str] = &[$(include_str!(concat!("../words/de/", $name, ".ftl"))),*];
    };
}

word_files! {
    "app"
    "body"
    "cli"
    "data"
    "decide"
    "deploy"
    "draw"
    "drills"
    "findings"
    "import"
    "lesson"
    "lesson_notes"
    "lesson_page"
    "lesson_screen"
    "listen"
    "papers"
    "plan"
    "pressure"
    "safe"
    "server"
    "sound"
    "sprint"
    "timing"
    "trackside"
    "turn"
    "turns_heard"
    "unit"
    "way_in"
}

/// A sentence to be said: the id of its words and what goes into them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Message {
    /// Id in the word files.
    pub id: String,
    /// What goes into it.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub args: BTreeMap<String, Arg>,
}

/// One argument of a message, with its unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Arg {
    /// A name or other text, as it is.
    Text(String),
    /// A whole number; chooses the plural form.
    Count(i64),
    /// A plain number, up to three significant decimals.
    Number(f64),
    /// A length shown to the centimetre (`1.25 m`, `4 ft 1 in`): gaps and tape marks.
    GapM(f64),
    /// Room that is needed, kept free or laid: to the tenth of a metre or to the inch, rounded up, so that words never
    /// promise less than it takes (`6.5 m`, `21 ft 4 in`).
    RoomM(f64),
    /// Room at hand, or a distance as it was measured: to the centimetre or to the inch, rounded down, so that words
    /// never promise more than there is (`29 m`, `29.05 m`, `95 ft 1 in`).
    MeasuredM(f64),
    /// A height in centimetres, with a decimal where it has one (`30 cm`, `144.5 cm`, `12 in`).
    HeightCm(f64),
    /// A speed in metres per second.
    SpeedMps(f64),
    /// A share from 0 to 1, shown in percent.
    Share(f64),
    /// A share from 0 to 1, shown as so many of a hundred, without a sign: `93`.
    OfHundred(f64),
    /// A force in newtons.
    ForceN(f64),
    /// A time shown to the hundredth of a second (`2.41 s`).
    TimeS(f64),
    /// A plain number with so many decimals, zeros kept (`2.40`).
    Decimals(f64, u8),
    /// The words of another message.
    Say(Box<Message>),
}

impl Message {
    /// Returns a message without arguments.
    pub fn new(id: &str) -> Self {
        Self { id: id.to_owned(), args: BTreeMap::new() }
    }

    /// Returns the message with one more argument.
    #[must_use]
    pub fn with(mut self, name: &str, arg: Arg) -> Self {
        self.args.insert(name.to_owned(), arg);
        self
    }

    /// Returns the message with one more text argument.
    #[must_use]
    pub fn text(self, name: &str, text: impl Into<String>) -> Self {
        self.with(name, Arg::Text(text.into()))
    }
}

/// How lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Metres and centimetres.
    #[default]
    Metric,
    /// Feet and inches.
    FeetInches,
}

/// A language of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Language {
    /// English. What another language lacks is said in it.
    #[default]
    #[serde(rename = "en")]
    English,
    /// German.
    #[serde(rename = "de")]
    German,
}

type Bundle = FluentBundle<FluentResource>;

static ENGLISH_BUNDLE: LazyLock<Bundle> = LazyLock::new(|| bundle(Language::English));
static GERMAN_BUNDLE: LazyLock<Bundle> = LazyLock::new(|| bundle(Language::German));

impl Language {
    /// Every language, English first.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Returns its tag, for `lang` attributes and choices that are kept: `en`, `de`.
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// Returns the language that a tag asks for, as browsers and operating systems write it: `de`, `de-AT`,
    /// `de_CH.UTF-8`. `None` for a language without words here.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let primary = tag.split(['-', '_', '.']).next().unwrap_or_default();
        Self::ALL.into_iter().find(|language| language.tag().eq_ignore_ascii_case(primary))
    }

    fn files(self) -> &'static [&'static str] {
        match self {
            Self::English => ENGLISH,
            Self::German => GERMAN,
        }
    }

    /// The sign before the decimals.
    fn decimal_mark(self) -> char {
        match self {
            Self::English => '.',
            Self::German => ',',
        }
    }

    /// The sign between groups of three digits, in numbers of five digits and more.
    fn group_mark(self) -> char {
        match self {
            Self::English => ',',
            Self::German => '.',
        }
    }

    /// Returns a number that was written with a point as this language writes it.
    fn written(self, plain: &str) -> String {
        let (whole, decimals) = match plain.split_once('.') {
            Some((whole, decimals)) => (whole, Some(decimals)),
            None => (plain, None),
        };
        let digits = whole.bytes().filter(u8::is_ascii_digit).count();
        let mut written = String::with_capacity(plain.len() + 4);
        let mut left = digits;
        for sign in whole.chars() {
            if sign.is_ascii_digit() {
                if digits > 4 && left < digits && left % 3 == 0 {
                    written.push(self.group_mark());
                }
                left -= 1;
            }
            written.push(sign);
        }
        if let Some(decimals) = decimals {
            written.push(self.decimal_mark());
            written.push_str(decimals);
        }
        written
    }

    fn bundle(self) -> &'static Bundle {
        match self {
            Self::English => &ENGLISH_BUNDLE,
            Self::German => &GERMAN_BUNDLE,
        }
    }
}

fn bundle(language: Language) -> Bundle {
    let mut bundle = FluentBundle::new_concurrent(vec![language.tag().parse().expect("a language tag")]);
    bundle.set_use_isolating(false);
    bundle.set_formatter(Some(match language {
        Language::English => |value, _| counted(value, Language::English),
        Language::German => |value, _| counted(value, Language::German),
    }));
    for text in language.files() {
        let resource = FluentResource::try_new((*text).to_owned()).expect("the word files are tested");
        bundle.add_resource(resource).expect("message ids are unique: tested");
    }
    bundle
}

/// Writes a count inside a sentence; everything else comes as text.
fn counted(value: &FluentValue<'_>, language: Language) -> Option<String> {
    match value {
        FluentValue::Number(FluentNumber { value, .. }) => Some(language.written(&value.to_string())),
        _ => None,
    }
}

/// The words of one language, in one choice of units.
pub struct Words {
    bundle: &'static Bundle,
    chosen: Language,
    /// Language tag, for `lang` attributes.
    pub language: &'static str,
    /// How lengths are shown.
    pub units: Units,
}

impl Words {
    /// Returns the words of a language in the given units.
    pub fn new(language: Language, units: Units) -> Self {
        Self { bundle: language.bundle(), chosen: language, language: language.tag(), units }
    }

    /// Returns English words in the given units.
    pub fn english(units: Units) -> Self {
        Self::new(Language::English, units)
    }

    /// Returns the language.
    pub fn chosen(&self) -> Language {
        self.chosen
    }

    /// Returns whether there are words for that id, be it in English.
    pub fn has(&self, id: &str) -> bool {
        self.bundle.has_message(id) || Language::English.bundle().has_message(id)
    }

    /// Returns the words of a message without arguments. An unknown id is returned as it is.
    pub fn get(&self, id: &str) -> String {
        self.say(&Message::new(id))
    }

    /// Returns the words of a message, in English where the language has none. An unknown id is returned as it is.
    pub fn say(&self, message: &Message) -> String {
        let pattern_in = |bundle: &'static Bundle| {
            let pattern = bundle.get_message(&message.id).and_then(|found| found.value())?;
            Some((bundle, pattern))
        };
        let Some((bundle, pattern)) =
            pattern_in(self.bundle).or_else(|| pattern_in(Language::English.bundle()))
        else {
            return message.id.clone();
        };
        let mut args = FluentArgs::new();
        for (name, arg) in &message.args {
            let value = match arg {
                Arg::Count(count) => FluentValue::from(*count),
                other => FluentValue::from(self.show(other)),
            };
            args.set(name.clone(), value);
        }
        let mut errors = Vec::new();
        bundle.format_pattern(pattern, Some(&args), &mut errors).into_owned()
    }

    /// Returns an argument as text: the only place where numbers are rounded for people.
    pub fn show(&self, arg: &Arg) -> String {
        let places = |value: f64, places: usize| self.chosen.written(&rounded(value, places));
        let trimmed = |value: f64, places: usize| self.chosen.written(&trim_zeros(rounded(value, places)));
        match (arg, self.units) {
            (Arg::Text(text), _) => text.clone(),
            (Arg::Count(count), _) => self.chosen.written(&count.to_string()),
            (Arg::Number(number), _) => trimmed(*number, 3),
            (Arg::Decimals(number, decimals), _) => places(*number, usize::from(*decimals)),
            (Arg::GapM(length_m), Units::Metric) => format!("{} m", places(to_cm(*length_m), 2)),
            (Arg::RoomM(_), Units::Metric) => format!("{} m", trimmed(self.length_shown_m(arg), 1)),
            (Arg::MeasuredM(_), Units::Metric) => format!("{} m", trimmed(self.length_shown_m(arg), 2)),
            (Arg::HeightCm(height_cm), Units::Metric) => format!("{} cm", trimmed(*height_cm, 1)),
            (Arg::SpeedMps(speed_mps), _) => format!("{} m/s", places(*speed_mps, 1)),
            (Arg::Share(share), _) => format!("{} %", places(share * 100.0, 0)),
            (Arg::OfHundred(share), _) => places(share * 100.0, 0),
            (Arg::ForceN(force_newtons), _) => format!("{} N", places(*force_newtons, 1)),
            (Arg::TimeS(time_s), _) => format!("{} s", places(*time_s, 2)),
            (Arg::GapM(length_m), Units::FeetInches) => feet_inches(*length_m, 2.0),
            (Arg::RoomM(_) | Arg::MeasuredM(_), Units::FeetInches) => {
                feet_inches(self.length_shown_m(arg), 1.0)
            }
            (Arg::HeightCm(height_cm), Units::FeetInches) => format!("{} in", trimmed(height_cm / 2.54, 1)),
            (Arg::Say(message), _) => self.say(message),
        }
    }

    /// Returns the length that a room is shown as, in metres; 0 for what is no room.
    pub fn length_shown_m(&self, arg: &Arg) -> f64 {
        match (arg, self.units) {
            (Arg::RoomM(length_m), Units::Metric) => stepped_up(*length_m, 0.1),
            (Arg::MeasuredM(length_m), Units::Metric) => -stepped_up(-length_m, 0.01),
            (Arg::RoomM(length_m), Units::FeetInches) => stepped_up(*length_m, INCH_M),
            (Arg::MeasuredM(length_m), Units::FeetInches) => -stepped_up(-length_m, INCH_M),
            _ => 0.0,
        }
    }

    /// Returns a mark on the tape up to which something is kept free: what [`Arg::GapM`] shows, rounded up.
    pub fn free_until(&self, at_m: f64) -> Arg {
        Arg::GapM(match self.units {
            Units::Metric => stepped_up(at_m, 0.01),
            Units::FeetInches => stepped_up(at_m, INCH_M / 2.0),
        })
    }

    /// Returns a day as the language writes it, `2 March 2026` or `2. März 2026`, with its year or without.
    pub fn day(&self, day: Date, with_year: bool) -> String {
        self.say(&day_message(day, with_year))
    }

    /// Returns a title as it stands inside a sentence: English loses its capitals there, German nouns keep theirs.
    pub fn inside(&self, title: &str) -> String {
        match self.chosen {
            Language::English => title.to_lowercase(),
            Language::German => title.to_owned(),
        }
    }
}

/// Returns a day as a message, to stand in another; see [`Words::day`].
pub fn day_message(day: Date, with_year: bool) -> Message {
    let month = Message::new(&format!("papers-month-{}", day.month()));
    Message::new(if with_year { "papers-day-year" } else { "papers-day" })
        .text("day", day.day().to_string())
        .with("month", Arg::Say(Box::new(month)))
        .text("year", day.year().to_string())
}

/// Metres in an inch.
const INCH_M: f64 = 0.0254;

/// Returns the whole number of steps that holds a length. This is how every room that is needed is rounded.
fn stepped_up(length_m: f64, step_m: f64) -> f64 {
    // A millionth of a step is a rounding error of a sum, not a length.
    (length_m / step_m - 1e-6).ceil() * step_m
}

/// Returns a length in metres as it is set out with a tape that is marked in centimetres: the nearest mark, and from
/// half way between two marks the farther one. Half steps of the grid lie there, 0.625 m for one.
fn to_cm(length_m: f64) -> f64 {
    // A millionth of a centimetre is a rounding error of a sum, not a length.
    (length_m * 100.0 + 0.5 + 1e-6).floor() / 100.0
}

/// Rounds; what is nought then has no sign.
fn rounded(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if !rest.contains(|sign| ('1'..='9').contains(&sign)) => rest.to_owned(),
        _ => text,
    }
}

/// Shows metres as feet and inches, to the whole inch divided by `parts_per_inch`.
fn feet_inches(length_m: f64, parts_per_inch: f64) -> String {
    let inches = (length_m / INCH_M * parts_per_inch).round() / parts_per_inch;
    let feet = (inches / 12.0).floor();
    let rest = inches - feet * 12.0;
    let rest = match (rest.floor(), rest.fract() == 0.5) {
        (0.0, true) => "½".to_owned(),
        (whole, true) => format!("{whole}½"),
        (whole, false) => format!("{whole}"),
    };
    match (feet as i64, rest.as_str()) {
        (0, rest) => format!("{rest} in"),
        (feet, "0") => format!("{feet} ft"),
        (feet, rest) => format!("{feet} ft {rest} in"),
    }
}

fn trim_zeros(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use fluent_syntax::ast::{CallArguments, Entry, Expression, InlineExpression, Pattern, PatternElement};

    use super::*;

    #[test]
    fn word_files_have_no_errors() {
        for language in Language::ALL {
            for text in language.files() {
                assert!(FluentResource::try_new((*text).to_owned()).is_ok());
            }
            Words::new(language, Units::Metric);
        }
    }

    #[test]
    fn lengths_follow_the_units() {
        let metric = Words::english(Units::Metric);
        let feet = Words::english(Units::FeetInches);
        assert_eq!(metric.show(&Arg::GapM(1.25)), "1.25 m");
        assert_eq!(feet.show(&Arg::GapM(1.25)), "4 ft 1 in");
        assert_eq!(feet.show(&Arg::GapM(1.24)), "4 ft 1 in");
        assert_eq!(feet.show(&Arg::GapM(0.62)), "2 ft ½ in");
        assert_eq!(metric.show(&Arg::RoomM(6.0)), "6 m");
        assert_eq!(metric.show(&Arg::Share(0.125)), "12 %");
        assert_eq!(metric.show(&Arg::Share(-0.004)), "0 %");
        assert_eq!(metric.show(&Arg::OfHundred(0.934)), "93");
        assert_eq!(metric.show(&Arg::Share(-0.1)), "-10 %");
        assert_eq!(metric.show(&Arg::Number(-0.0001)), "0");
    }

    #[test]
    fn a_gap_half_way_between_two_marks_of_the_tape_is_set_out_at_the_farther_one() {
        let (english, german) = (Words::english(Units::Metric), Words::new(Language::German, Units::Metric));
        // Every half step of the 5 cm grid, and the marks that they add up to.
        for steps in 0..2000_u32 {
            for from_m in [0.0, 6.2] {
                let length_m = from_m + f64::from(steps) * 0.025;
                let millimetres = (if from_m == 0.0 { 0 } else { 6200 }) + steps * 25;
                let tape_cm =
                    millimetres.div_ceil(10) - u32::from(millimetres % 10 < 5 && millimetres % 10 > 0);
                let expected = format!("{}.{:02} m", tape_cm / 100, tape_cm % 100);
                assert_eq!(english.show(&Arg::GapM(length_m)), expected, "{millimetres} mm");
            }
        }
        assert_eq!(english.show(&Arg::GapM(0.625)), "0.63 m");
        assert_eq!(german.show(&Arg::GapM(0.625)), "0,63 m");
        assert_eq!(english.show(&Arg::GapM(1.075)), "1.08 m", "in binary a little less");
        assert_eq!(english.show(&Arg::GapM(1.2349)), "1.23 m");
    }

    #[test]
    fn words_never_shorten_a_room_that_is_needed() {
        let (metric, feet) = (Words::english(Units::Metric), Words::english(Units::FeetInches));
        let room = |words: &Words, length_m: f64| words.show(&Arg::RoomM(length_m));
        assert_eq!(room(&metric, 4.901), "5 m");
        assert_eq!(room(&metric, 29.04), "29.1 m");
        assert_eq!(room(&metric, 6.5), "6.5 m");
        assert_eq!(room(&metric, 0.1 + 0.2), "0.3 m");
        assert_eq!(room(&feet, 6.5), "21 ft 4 in");
        assert_eq!(room(&feet, 6.51), "21 ft 5 in");
        assert_eq!(metric.show(&metric.free_until(20.501)), "20.51 m");
        for tenths in 0..3000 {
            let length_m = f64::from(tenths) / 10.0;
            assert_eq!(room(&metric, length_m).trim_end_matches(" m").parse(), Ok(length_m));
        }
    }

    #[test]
    fn words_never_lengthen_a_room_at_hand() {
        let (metric, feet) = (Words::english(Units::Metric), Words::english(Units::FeetInches));
        let at_hand = |words: &Words, length_m: f64| words.show(&Arg::MeasuredM(length_m));
        assert_eq!(at_hand(&metric, 29.0), "29 m");
        assert_eq!(at_hand(&metric, 29.05), "29.05 m");
        assert_eq!(at_hand(&metric, 29.059), "29.05 m");
        assert_eq!(at_hand(&metric, 7.5), "7.5 m");
        assert_eq!(at_hand(&feet, 6.51), "21 ft 4 in");
        assert_eq!(at_hand(&feet, 30.0 * 0.3048), "30 ft");
        for hundredths in 0..30_000 {
            let length_m = f64::from(hundredths) / 100.0;
            assert_eq!(at_hand(&metric, length_m).trim_end_matches(" m").parse(), Ok(length_m));
        }
    }

    #[test]
    fn a_height_keeps_the_half_centimetre_that_was_entered() {
        let words = Words::english(Units::Metric);
        assert_eq!(words.show(&Arg::HeightCm(144.5)), "144.5 cm");
        assert_eq!(words.show(&Arg::HeightCm(145.5)), "145.5 cm");
        assert_eq!(words.show(&Arg::HeightCm(144.0)), "144 cm");
        assert_eq!(Words::new(Language::German, Units::Metric).show(&Arg::HeightCm(144.5)), "144,5 cm");
    }

    #[test]
    fn numbers_follow_the_language_and_are_rounded_alike() {
        let german = Words::new(Language::German, Units::Metric);
        assert_eq!(german.show(&Arg::GapM(1.25)), "1,25 m");
        assert_eq!(german.show(&Arg::RoomM(6.04)), "6,1 m");
        assert_eq!(german.show(&Arg::TimeS(2.405)), "2,40 s");
        assert_eq!(german.show(&Arg::Number(-0.5)), "-0,5");
        assert_eq!(german.show(&Arg::Decimals(1.5, 2)), "1,50");
        assert_eq!(german.show(&Arg::HeightCm(30.0)), "30 cm");
        assert_eq!(Words::new(Language::German, Units::FeetInches).show(&Arg::HeightCm(25.0)), "9,8 in");
        let english = Words::english(Units::Metric);
        for value in [0.0, 0.005, 1.0049, 12.345, 9_999.0, 123_456.789] {
            let numbers = |words: &Words| words.show(&Arg::Number(value));
            assert_eq!(
                numbers(&german),
                numbers(&english).replace(',', ";").replace('.', ",").replace(';', ".")
            );
        }
    }

    #[test]
    fn days_are_written_as_the_language_writes_them() {
        let day = jiff::civil::date(2026, 3, 2);
        let german = Words::new(Language::German, Units::Metric);
        assert_eq!(german.day(day, true).replace('\u{a0}', " "), "2. März 2026");
        assert_eq!(Words::english(Units::Metric).day(day, false).replace('\u{a0}', " "), "2 March");
    }

    #[test]
    fn digits_stand_in_groups_from_five_on() {
        for (language, expected) in [(Language::English, "12,345"), (Language::German, "12.345")] {
            let words = Words::new(language, Units::Metric);
            assert_eq!(words.show(&Arg::Count(12_345)), expected);
            assert_eq!(words.show(&Arg::Count(2_345)), "2345");
            assert_eq!(
                words.show(&Arg::Count(-123_456)).chars().filter(|sign| !sign.is_ascii_digit()).count(),
                2
            );
            let said = words.say(&Message::new("app-data-here").with("count", Arg::Count(12_345)));
            assert!(said.contains(expected), "{said}");
        }
    }

    #[test]
    fn a_language_is_found_as_browsers_and_systems_write_it() {
        for tag in ["de", "de-AT", "DE", "de_CH.UTF-8"] {
            assert_eq!(Language::from_tag(tag), Some(Language::German), "{tag}");
        }
        assert_eq!(Language::from_tag("en-GB"), Some(Language::English));
        for tag in ["", "C", "fr", "den"] {
            assert_eq!(Language::from_tag(tag), None, "{tag}");
        }
    }

    #[test]
    fn what_a_language_lacks_is_said_in_english() {
        let nearly = Words {
            bundle: Box::leak(Box::new({
                let mut bundle = FluentBundle::new_concurrent(vec!["de".parse().unwrap()]);
                let text = "app-save = Speichern\n".to_owned();
                bundle.add_resource(FluentResource::try_new(text).unwrap()).unwrap();
                bundle
            })),
            chosen: Language::German,
            language: "de",
            units: Units::Metric,
        };
        assert_eq!(nearly.get("app-save"), "Speichern");
        assert_eq!(nearly.get("app-close"), "Close");
        assert!(nearly.has("app-close"));
        assert_eq!(nearly.get("no-such-words"), "no-such-words");
    }

    #[test]
    fn titles_inside_a_sentence_keep_the_capitals_of_their_language() {
        assert_eq!(Words::english(Units::Metric).inside("Toes hang"), "toes hang");
        assert_eq!(Words::new(Language::German, Units::Metric).inside("Fuß hängt"), "Fuß hängt");
    }

    #[test]
    fn every_drill_has_words() {
        let words = Words::english(Units::Metric);
        for drill in crate::Ladder::built_in().drills() {
            assert_eq!(words.get(&format!("drill-{}", drill.id)), drill.name);
            assert_eq!(words.get(&format!("drill-{}-how", drill.id)), drill.how);
            assert_eq!(words.get(&format!("drill-{}-cue", drill.id)), drill.cue);
        }
    }

    /// The variables that a pattern uses.
    fn variables(pattern: &Pattern<&str>, found: &mut BTreeSet<String>) {
        for element in &pattern.elements {
            if let PatternElement::Placeable { expression } = element {
                of_expression(expression, found);
            }
        }
    }

    fn of_expression(expression: &Expression<&str>, found: &mut BTreeSet<String>) {
        match expression {
            Expression::Inline(inline) => of_inline(inline, found),
            Expression::Select { selector, variants } => {
                of_inline(selector, found);
                for variant in variants {
                    variables(&variant.value, found);
                }
            }
        }
    }

    fn of_inline(inline: &InlineExpression<&str>, found: &mut BTreeSet<String>) {
        match inline {
            InlineExpression::VariableReference { id } => {
                found.insert(id.name.to_owned());
            }
            InlineExpression::Placeable { expression } => of_expression(expression, found),
            InlineExpression::FunctionReference { arguments: CallArguments { positional, .. }, .. } => {
                for argument in positional {
                    of_inline(argument, found);
                }
            }
            _ => {}
        }
    }

    /// Every message of a language: its words as they stand in the file, without spaces at the ends, and its variables.
    fn messages(language: Language) -> BTreeMap<String, (String, BTreeSet<String>)> {
        let mut messages = BTreeMap::new();
        for text in language.files() {
            let resource = fluent_syntax::parser::parse(*text).unwrap();
            for entry in &resource.body {
                let Entry::Message(message) = entry else { continue };
                let Some(pattern) = &message.value else { continue };
                let mut found = BTreeSet::new();
                variables(pattern, &mut found);
                let body = fluent_syntax::ast::Resource { body: vec![entry.clone()] };
                let said = fluent_syntax::serializer::serialize(&body);
                messages.insert(message.id.name.to_owned(), (said, found));
            }
        }
        messages
    }

    #[test]
    fn every_language_says_every_message_with_the_same_variables() {
        let english = messages(Language::English);
        assert!(english.len() > 1_500);
        for language in Language::ALL {
            let own = messages(language);
            let missing: Vec<_> = english.keys().filter(|id| !own.contains_key(*id)).collect();
            assert!(missing.is_empty(), "{} lacks {missing:?}", language.tag());
            let alone: Vec<_> = own.keys().filter(|id| !english.contains_key(*id)).collect();
            assert!(alone.is_empty(), "only {} has {alone:?}", language.tag());
            for (id, (_, variables)) in &own {
                assert_eq!(variables, &english[id].1, "{} says {id} with other variables", language.tag());
            }
        }
    }

    /// What German says with the very letters of English: the same word in both, or a sign, an abbreviation, a shape.
    const ALIKE: &[&str] = &[
        "app-child-label",
        "app-hint-celsius",
        "app-hint-cm",
        "app-hint-fahrenheit",
        "app-hint-grams",
        "app-hint-kg",
        "app-hint-m",
        "app-hint-newtons",
        "app-language-english",
        "app-language-german",
        "app-paper-a4",
        "app-paper-letter",
        "app-surface-hard",
        "card-name-line",
        "chart-rate-n",
        "draw-foot-left",
        "draw-foot-right",
        "draw-mark-start-left",
        "draw-mark-start-right",
        "draw-start-left",
        "draw-start-right",
        "import-month-11",
        "import-month-4",
        "import-month-8",
        "import-month-9",
        "lesson-now-block",
        "lesson-now-vibration",
        "lesson-page-why-block",
        "lesson-plan-block",
        "lesson-text-block",
        "lesson-use-station",
        "papers-month-11",
        "papers-month-4",
        "papers-month-8",
        "papers-month-9",
        "timing-verb-start",
        "weather-wbgt-value",
    ];

    /// Returns whether there are no words in it: only arguments, signs and units.
    fn is_shape(said: &str) -> bool {
        let (_, value) = said.split_once('=').unwrap();
        let mut depth = 0;
        let outside: String = value
            .chars()
            .map(|sign| match sign {
                '{' => {
                    depth += 1;
                    ' '
                }
                '}' => {
                    depth -= 1;
                    ' '
                }
                sign if depth > 0 || !sign.is_alphabetic() => ' ',
                sign => sign,
            })
            .collect();
        outside.split_whitespace().all(|word| ["in", "min", "s"].contains(&word))
    }

    #[test]
    fn what_german_says_like_english_is_on_the_list() {
        let (english, german) = (messages(Language::English), messages(Language::German));
        let alike: BTreeSet<&str> = german
            .iter()
            .filter(|(id, (said, _))| *said == english[*id].0 && !is_shape(said))
            .map(|(id, _)| id.as_str())
            .collect();
        let listed: BTreeSet<&str> = ALIKE.iter().copied().collect();
        assert_eq!(alike, listed);
    }
}
