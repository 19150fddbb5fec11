//! The words of the program: message ids with arguments, one folder of Fluent files per language.
//!
//! Computations return [`Message`]s; only what shows them turns them into text. Numbers are rounded here, once,
//! in the units the reader chose.

use std::collections::BTreeMap;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use serde::{Deserialize, Serialize};

/// English, one file per part of the program.
const ENGLISH: &[&str] = &[
    include_str!("../words/en/app.ftl"),
    include_str!("../words/en/body.ftl"),
    include_str!("../words/en/data.ftl"),
    include_str!("../words/en/decide.ftl"),
    include_str!("../words/en/draw.ftl"),
    include_str!("../words/en/drills.ftl"),
    include_str!("../words/en/findings.ftl"),
    include_str!("../words/en/import.ftl"),
    include_str!("../words/en/lesson.ftl"),
    include_str!("../words/en/lesson_notes.ftl"),
    include_str!("../words/en/lesson_page.ftl"),
    include_str!("../words/en/lesson_screen.ftl"),
    include_str!("../words/en/listen.ftl"),
    include_str!("../words/en/papers.ftl"),
    include_str!("../words/en/plan.ftl"),
    include_str!("../words/en/pressure.ftl"),
    include_str!("../words/en/server.ftl"),
    include_str!("../words/en/sound.ftl"),
    include_str!("../words/en/sprint.ftl"),
    include_str!("../words/en/timing.ftl"),
    include_str!("../words/en/trackside.ftl"),
    include_str!("../words/en/turn.ftl"),
    include_str!("../words/en/unit.ftl"),
    include_str!("../words/en/way_in.ftl"),
];

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
    /// A length shown to the tenth of a metre (`6.5 m`, `21 ft`): rooms and floors.
    RoomM(f64),
    /// A height in centimetres (`30 cm`, `12 in`).
    HeightCm(f64),
    /// A speed in metres per second.
    SpeedMps(f64),
    /// A share from 0 to 1, shown in percent.
    Share(f64),
    /// A force in newtons.
    ForceN(f64),
    /// A time shown to the hundredth of a second (`2.41 s`).
    TimeS(f64),
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

/// The words of one language, in one choice of units.
pub struct Words {
    bundle: FluentBundle<FluentResource>,
    /// Language tag, for `lang` attributes.
    pub language: &'static str,
    /// How lengths are shown.
    pub units: Units,
}

impl Words {
    /// Returns English words in the given units.
    pub fn english(units: Units) -> Self {
        let mut bundle = FluentBundle::new_concurrent(vec!["en".parse().expect("a language tag")]);
        bundle.set_use_isolating(false);
        for text in ENGLISH {
            let resource = FluentResource::try_new((*text).to_owned()).expect("the word files are tested");
            bundle.add_resource(resource).expect("message ids are unique: tested");
        }
        Self { bundle, language: "en", units }
    }

    /// Returns whether there are words for that id.
    pub fn has(&self, id: &str) -> bool {
        self.bundle.has_message(id)
    }

    /// Returns the words of a message without arguments. An unknown id is returned as it is.
    pub fn get(&self, id: &str) -> String {
        self.say(&Message::new(id))
    }

    /// Returns the words of a message. An unknown id is returned as it is.
    pub fn say(&self, message: &Message) -> String {
        let Some(pattern) = self.bundle.get_message(&message.id).and_then(|found| found.value()) else {
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
        self.bundle.format_pattern(pattern, Some(&args), &mut errors).into_owned()
    }

    /// Returns an argument as text: the only place where numbers are rounded for people.
    pub fn show(&self, arg: &Arg) -> String {
        match (arg, self.units) {
            (Arg::Text(text), _) => text.clone(),
            (Arg::Count(count), _) => count.to_string(),
            (Arg::Number(number), _) => trim_zeros(format!("{number:.3}")),
            (Arg::GapM(length_m), Units::Metric) => format!("{length_m:.2} m"),
            (Arg::RoomM(length_m), Units::Metric) => format!("{} m", trim_zeros(format!("{length_m:.1}"))),
            (Arg::HeightCm(height_cm), Units::Metric) => format!("{height_cm:.0} cm"),
            (Arg::SpeedMps(speed_mps), _) => format!("{speed_mps:.1} m/s"),
            (Arg::Share(share), _) => format!("{:.0} %", share * 100.0),
            (Arg::ForceN(force_newtons), _) => format!("{force_newtons:.1} N"),
            (Arg::TimeS(time_s), _) => format!("{time_s:.2} s"),
            (Arg::GapM(length_m), Units::FeetInches) => feet_inches(*length_m, 2.0),
            (Arg::RoomM(length_m), Units::FeetInches) => feet_inches(*length_m, 1.0),
            (Arg::HeightCm(height_cm), Units::FeetInches) => {
                format!("{} in", trim_zeros(format!("{:.1}", height_cm / 2.54)))
            }
            (Arg::Say(message), _) => self.say(message),
        }
    }
}

/// Shows metres as feet and inches, to the whole inch divided by `parts_per_inch`.
fn feet_inches(length_m: f64, parts_per_inch: f64) -> String {
    let inches = (length_m / 0.0254 * parts_per_inch).round() / parts_per_inch;
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
    use super::*;

    #[test]
    fn word_files_have_no_errors() {
        for text in ENGLISH {
            assert!(FluentResource::try_new((*text).to_owned()).is_ok());
        }
        Words::english(Units::Metric);
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
    }

    #[test]
    fn every_drill_has_words() {
        let words = Words::english(Units::Metric);
        for drill in crate::Ladder::built_in().drills() {
            assert_eq!(words.get(&format!("drill-{}", drill.id)), drill.name);
        }
    }
}
