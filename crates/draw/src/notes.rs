//! Notes for paper: those on safety first and all of them, of the others as many as there is room for.

use lanewright_model::words::Words;
use lanewright_model::{Arg, Message};
use lanewright_science::safety::is_safety;

use crate::{say, tie};

/// Arguments of messages in which children's names stand.
const NAMES: [&str; 5] = ["names", "name", "child", "first", "second"];

/// Notes as they are printed.
pub(crate) struct Notes {
    /// The sentences, those on safety first.
    pub(crate) shown: Vec<String>,
    /// How many are left out; none of them is about safety.
    pub(crate) more: usize,
}

/// Returns the notes that are printed: every one on safety, and at most `others_max` others, each kind in its order.
///
/// On a copy without names a note on safety says how many children it is about; other notes with names stay out.
pub(crate) fn notes<'a>(
    said: impl IntoIterator<Item = &'a Message>,
    words: &Words,
    without_names: bool,
    others_max: usize,
) -> Notes {
    let (safety, others): (Vec<&Message>, Vec<&Message>) = said.into_iter().partition(|said| is_safety(said));
    let count = others.len();
    let written = |said: &Message| match without_names {
        true => nameless(said, words),
        false => Some(tie(&words.say(said))),
    };
    let others: Vec<String> = others.into_iter().filter_map(written).take(others_max).collect();
    let more = count - others.len();
    let mut shown: Vec<String> = safety
        .into_iter()
        .map(|said| written(said).unwrap_or_else(|| words.get("draw-note-one-child")))
        .collect();
    shown.extend(others);
    Notes { shown, more }
}

/// Says a message without names; `None` where names are what it is about.
fn nameless(said: &Message, words: &Words) -> Option<String> {
    let named: Vec<&str> =
        NAMES.into_iter().filter(|name| matches!(said.args.get(*name), Some(Arg::Text(_)))).collect();
    match (&named[..], said.args.get("count")) {
        ([], _) => Some(tie(&words.say(said))),
        (["names"], Some(Arg::Count(count))) if is_safety(said) => {
            // Who goes easy does something; hurdles are high for somebody.
            let id = if said.id == "plan-easy" { "draw-children" } else { "draw-for-children" };
            let who = say(words, id, &[("count", Arg::Count(*count))]);
            Some(tie(&words.say(&said.clone().text("names", who))))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use lanewright_model::words::{Language, Units};

    use super::*;

    fn guessed(name: &str) -> Message {
        Message::new("plan-guessed").text("names", name).with("count", Arg::Count(1))
    }

    fn high() -> Message {
        Message::new("plan-high-lower")
            .text("names", "Kesia, Piran")
            .with("count", Arg::Count(2))
            .text("lane", "A")
            .with("height", Arg::HeightCm(30.0))
            .with("suits", Arg::HeightCm(20.0))
    }

    #[test]
    fn notes_on_safety_come_first_and_none_of_them_is_left_out() {
        let words = Words::english(Units::Metric);
        let said = [guessed("Wren"), Message::new("plan-tip-both-ways"), guessed("Idris"), high()];
        let notes = notes(&said, &words, false, 1);
        assert!(notes.shown[0].starts_with("Side-steps go both ways"), "{:?}", notes.shown);
        assert!(notes.shown[1].contains("Kesia, Piran"), "{:?}", notes.shown);
        assert!(notes.shown[2].contains("Wren"), "{:?}", notes.shown);
        assert_eq!((notes.shown.len(), notes.more), (3, 1));
        assert_eq!(super::notes(&said, &words, false, 0).shown.len(), 2);
    }

    #[test]
    fn a_copy_without_names_keeps_notes_on_safety_and_names_nobody() {
        for language in Language::ALL {
            let words = Words::new(language, Units::Metric);
            let easy = Message::new("plan-easy").text("names", "Kesia").with("count", Arg::Count(1));
            let said = [
                guessed("Wren"),
                high(),
                easy,
                Message::new("plan-few-hurdles").with("count", Arg::Count(3)),
            ];
            let notes = notes(&said, &words, true, 5);
            let all = notes.shown.join(" ");
            assert!(["Wren", "Kesia", "Piran"].iter().all(|name| !all.contains(name)), "{all}");
            assert_eq!((notes.shown.len(), notes.more), (3, 1), "{all}");
            assert!(all.contains('2') && all.contains("20\u{a0}cm"), "{all}");
        }
    }
}
